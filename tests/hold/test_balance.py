"""Centres of mass against closed forms and hand statics."""

from __future__ import annotations

from math import pi

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from shadewright.errors import ModelProblem, ValueProblem
from shadewright.hold.balance import GRAVITY, Lump, Pose, balance_of, centroid, rotation, swung
from shadewright.hold.ranges import Ranged
from shadewright.solid.kernel import box, cylinder, difference
from shadewright.solid.mesh import Mesh


def lump(name: str, grams: float, *centre: float, vague: float = 0.0) -> Lump:
    return Lump(name=name, mass_g=Ranged.exactly(grams), centre=np.array(centre), vague=vague)


THREE = [lump("base", 450, 0, 0, 8), lump("stem", 120, 0, 0, 160), lump("head", 300, 60, 0, 330)]


def test_three_masses_of_the_worked_lamp() -> None:
    """0.45, 0.12 and 0.30 kg at (0, 8), (0, 160), (60, 330): 0.87 kg at x 20.690, z 140.0 (own, by hand)."""
    found = balance_of(THREE)

    assert found.mass_g == pytest.approx(870)
    assert found.centre == pytest.approx([20.690, 0, 140.0], abs=1e-3)
    assert found.weight_n == pytest.approx(0.870 * GRAVITY)
    assert found.drawn_centres.std(axis=0) == pytest.approx([0, 0, 0], abs=1e-9)


def test_cone_and_hollowed_box() -> None:
    """A cone's centre lies a quarter up (textbook); a box less a box by moments."""
    cone = cylinder(40, 20, 0.0, segments=64).moved(3, -4, 5)
    bored = difference(box((30, 30, 30)), box((10, 10, 40), (10, 0, 0)))

    assert centroid(cone) == pytest.approx([3, -4, 15], abs=1e-6)
    assert centroid(bored) == pytest.approx([-10 * 3000 / (27000 - 3000), 0, 0], abs=1e-6)


def test_what_encloses_nothing_has_no_centre() -> None:
    flat = Mesh(np.zeros((3, 3)), np.array([[0, 1, 2]], dtype=np.int32), "leaf")
    with pytest.raises(ModelProblem, match="no volume"):
        centroid(flat)
    with pytest.raises(ValueProblem, match="has a place"):
        balance_of([])
    with pytest.raises(ValueProblem, match="no direction"):
        rotation([0, 0, 0], 10)


def test_a_place_tilts_about_x_then_turns_about_z_then_moves() -> None:
    pose = Pose(at=(100.0, 0.0, 50.0), tilt=90.0, turn=90.0)

    assert pose.placed(np.array([[0.0, 0.0, 10.0]]))[0] == pytest.approx([110, 0, 50])  # up -> -y -> +x
    assert pose.placed(np.array([[7.0, 0.0, 0.0]]))[0] == pytest.approx([100, 7, 50])


def test_swinging_turns_about_the_pivot_only() -> None:
    head = swung(lump("head", 300, 60, 0, 330), np.array([0.0, 0.0, 330.0]), np.array([0.0, 1.0, 0.0]), 90)

    assert head.centre == pytest.approx([0, 0, 270])
    assert head.mass_g.likely == 300


def test_what_is_vague_spreads_the_centre() -> None:
    """One lump: its own triangle, SD vague / sqrt 6."""
    found = balance_of([lump("bulb", 80, 0, 0, 100, vague=6)])

    assert found.drawn_centres.std(axis=0) == pytest.approx([6 / 6**0.5] * 3, rel=0.02)


@given(st.floats(-180, 180), st.floats(-180, 180), st.floats(-500, 500))
def test_placing_a_mesh_places_its_centre(tilt: float, turn: float, x: float) -> None:
    pose = Pose(at=(x, 20.0, -30.0), tilt=tilt, turn=turn)
    wedge = cylinder(30, 12, 4, segments=16).moved(9, 2, 0)
    moved = Mesh(pose.placed(wedge.vertices), wedge.faces)

    assert moved.volume == pytest.approx(wedge.volume)
    assert centroid(moved) == pytest.approx(pose.placed(centroid(wedge)[None])[0], abs=1e-6)


def test_gravity_is_the_standard_one() -> None:
    """A pendulum of 0.994 m swings once in 2 s (textbook), to 0.1 %."""
    assert 2 * pi * (0.994 / GRAVITY) ** 0.5 == pytest.approx(2, rel=1e-3)

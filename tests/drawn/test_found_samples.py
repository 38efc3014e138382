"""Sizes found in models that other people made, against what their makers or general libraries say of them."""

from __future__ import annotations

from math import cos, pi
from pathlib import Path

import pytest
from found_shapes import found_in

from shadewright.solid.find_types import Features

pytestmark = pytest.mark.samples


def bores(found: Features, least_turn: float = 350) -> list[float]:
    return sorted(round(bore.diameter, 3) for bore in found.bores if bore.turn > least_turn)


def test_a_printed_shade_has_its_outer_inner_and_floor_hole(samples: Path) -> None:
    """Outer 67.0, inner 65.0, a floor with one hole of 40.0, height 120.0 (index of the samples)."""
    found = found_in(samples / "azdle" / "havrsis-shade.stl")

    assert [round(wall.diameter, 2) for wall in (*found.bosses, *found.bores)] == [67.0, 65.0, 40.0]
    assert found.bosses[0].length == pytest.approx(120.0, abs=1e-3)
    assert found.bores[1].across_flats == pytest.approx(40 * cos(pi / 150), abs=1e-3)


def test_pegs_and_holes_of_a_task_board_are_neither_their_box_nor_their_flats(samples: Path) -> None:
    """5 round and 4 square holes of 12.954, pegs of 12.700; the round peg's box is only 12.656 wide (index)."""
    board = found_in(samples / "nist-peginhole" / "taskboard-pegarray1-1.STL")
    peg = found_in(samples / "nist-peginhole" / "taskboard_round_peg-1.STL")
    square = found_in(samples / "nist-peginhole" / "taskboard_square_peg-1.STL")

    assert bores(board) == [12.954] * 5
    assert [round(slot.width, 3) for slot in board.slots].count(12.954) == 8  # two pairs of sides each
    assert round(peg.bosses[0].diameter, 3) == 12.7
    assert peg.bosses[0].across_flats == pytest.approx(12.7 * cos(pi / 36), abs=1e-3)
    assert 12.7 in [round(tongue.width, 3) for tongue in square.tongues]


def test_step_and_mesh_of_one_part_agree_within_the_facet_error(samples: Path) -> None:
    pytest.importorskip("OCP")
    exact = found_in(samples / "dhylands-parts" / "Spindle-Driver-Mount.step")
    mesh = found_in(samples / "dhylands-parts" / "OX-Spindle-Driver-Mount_-_Spindle-Driver-Mount.stl")

    assert exact.exact
    assert bores(exact) == [3.1, 3.1, 5.2, 5.2]
    for one, two in zip(exact.bores, mesh.bores, strict=True):
        assert two.across_flats - 1e-3 <= one.diameter <= two.diameter + 1e-3


def test_inch_part_in_step_has_inch_holes(samples: Path) -> None:
    """8 counterbores of 7/16 in; the part is 5 x 2.5 x 1.375 in (index)."""
    pytest.importorskip("OCP")
    found = found_in(samples / "trimesh" / "featuretype.STEP")

    assert sum(bore.diameter == pytest.approx(25.4 * 7 / 16, abs=1e-3) for bore in found.bores) == 8


def test_a_left_handed_duct_thread_of_pitch_ten_is_read_back(samples: Path) -> None:
    """Sections at 10 and 20 mm are the same outline, others are turned copies: pitch 10, bore 140 to 150."""
    (thread,) = found_in(samples / "cqcad" / "hot_intake_fitting.stl").threads

    assert (round(thread.major, 1), round(thread.minor, 1)) == (150.0, 140.0)
    assert thread.pitch == pytest.approx(10.0, rel=0.01)
    assert (thread.sex.value, thread.right_handed, thread.names) == ("female", False, ())

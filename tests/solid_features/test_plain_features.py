"""Plain mating solids: volumes in closed form, mates that meet with the stated clearance, ridges that stand proud."""

from __future__ import annotations

import math

import numpy as np
import pytest

from shadewright.errors import ValueProblem
from shadewright.solid import kernel
from shadewright.solid.plain_features import Feature, Hole, Key, Keyway, Pin, Socket, Spigot, plain_solid

ALL: tuple[Feature, ...] = (
    Socket(bore=40, length=12),
    Spigot(diameter=40, length=12, bore=30),
    Key(width=6, height=4, length=20),
    Keyway(width=6.3, height=4, length=20),
    Pin(diameter=6, length=10),
    Hole(bore=6, length=8),
    Pin(diameter=6, length=10, ridges=0),
    Hole(bore=6, length=8, ridges=3),
)


def rim_volume(radius: float, lead: float, *, outer: bool) -> float:
    """Plastic that a 45 degree chamfer takes off a rim, by Pappus: triangle area times its centroid's path."""
    centroid = radius - lead / 3 if outer else radius + lead / 3
    return math.pi * lead**2 * centroid


@pytest.mark.parametrize("feature", ALL, ids=lambda feature: type(feature).__name__)
def test_every_feature_is_one_closed_body_on_the_bed(feature: Feature) -> None:
    solid = plain_solid(feature)
    assert kernel.is_solid(solid) is None
    assert len(kernel.bodies(solid)) == 1
    assert solid.bounds[0, 2] == pytest.approx(0, abs=1e-9)


def test_socket_volume_in_closed_form() -> None:
    expected = math.pi * (22.4**2 - 20**2) * 12 - 2 * rim_volume(20, 0.6, outer=False)
    assert plain_solid(Socket(bore=40, length=12, wall=2.4)).volume == pytest.approx(expected, rel=1e-5)


def test_spigot_volume_in_closed_form() -> None:
    expected = math.pi * (20**2 - 15**2) * 12 - 2 * rim_volume(20, 0.6, outer=True)
    assert plain_solid(Spigot(diameter=40, length=12, bore=30)).volume == pytest.approx(expected, rel=1e-5)


def test_plain_pin_volume_in_closed_form() -> None:
    expected = math.pi * 3**2 * 10 - 2 * rim_volume(3, 0.6, outer=True)
    assert plain_solid(Pin(diameter=6, length=10, ridges=0)).volume == pytest.approx(expected, rel=1e-5)


def test_key_and_keyway_have_the_widths_asked_for() -> None:
    key = plain_solid(Key(width=6, height=4, length=20))
    assert key.size.tolist() == pytest.approx([20, 6, 4])
    way = plain_solid(Keyway(width=6.3, height=4, length=20, wall=2.4))
    assert way.size.tolist() == pytest.approx([20, 6.3 + 4.8, 6.4])
    (section,) = kernel.sections(way, [2.4 + 2.0])
    walls = [part for part in section if abs(part[:, 1].mean()) > 2]
    assert len(walls) == 2
    inner = min(abs(part[:, 1]).min() for part in walls)
    assert inner == pytest.approx(6.3 / 2)


@pytest.mark.parametrize(("clearance", "meets"), [(0.2, False), (-0.2, True)])
def test_spigot_in_socket(clearance: float, meets: bool) -> None:
    male = plain_solid(Spigot(diameter=20, length=10))
    female = plain_solid(Socket(bore=20 + clearance, length=10))
    assert (kernel.overlap_volume(male, female) > 0) == meets
    assert kernel.least_gap(male, female, 1.0) == pytest.approx(max(clearance, 0) / 2, abs=0.012)


@pytest.mark.parametrize(("clearance", "meets"), [(0.3, False), (-0.1, True)])
def test_key_in_keyway(clearance: float, meets: bool) -> None:
    key = plain_solid(Key(width=6, height=4, length=20)).moved(z=2.4 + 0.01)
    way = plain_solid(Keyway(width=6 + clearance, height=4, length=20))
    assert (kernel.overlap_volume(key, way) > 1e-6) == meets


@pytest.mark.parametrize("ridges", [3, 4, 6])
def test_ridges_touch_the_circle_asked_for_and_the_rest_stands_back(ridges: int) -> None:
    hole = plain_solid(Hole(bore=8, length=8, ridges=ridges, ridge=0.4))
    exact = kernel.cylinder(8, 8.0 / 2 - 0.02)
    tight = kernel.cylinder(8, 8.0 / 2 + 0.1)
    assert kernel.overlap_volume(hole, exact) == 0
    touching = kernel.intersection(hole, tight)
    middle = [part for part in kernel.sections(touching, [4.0])[0] if kernel.area([part]) > 1e-4]
    assert len(middle) == ridges
    pin = plain_solid(Pin(diameter=8, length=8, ridges=ridges, ridge=0.4))
    outline = kernel.sections(pin, [4.0])[0][0]
    reach = np.hypot(*outline.T)
    assert reach.max() == pytest.approx(4.0, abs=1e-6)
    assert reach.min() == pytest.approx(3.6, abs=0.02)


@pytest.mark.parametrize("feature", ALL, ids=lambda feature: type(feature).__name__)
def test_nothing_overhangs_more_than_45_degrees(feature: Feature) -> None:
    solid = plain_solid(feature)
    area = np.linalg.norm(solid.face_vectors, axis=1)
    raised = (solid.corners[:, :, 2].max(axis=1) > 1e-6) & (area > 1e-6)
    steepness = np.degrees(np.arcsin(-solid.face_vectors[raised, 2] / area[raised]))
    assert steepness.max() <= 45.01


@pytest.mark.parametrize(
    ("feature", "words"),
    [
        (Socket(bore=0, length=5), "the bore is 0 mm; it must be a number above 0"),
        (Socket(bore=math.nan, length=5), "the bore is nan mm"),
        (Socket(bore=10, length=1), "a lead-in of 0.6 mm is too much"),
        (Spigot(diameter=10, length=5, bore=9), "leaves no wall in a spigot"),
        (Key(width=1, height=4, length=20), "leaves nothing of the key"),
        (Keyway(width=6, height=0.5, length=20), "leaves nothing of the keyway"),
        (Pin(diameter=6, length=10, ridges=2), "2 ridges cannot centre a pin"),
        (Pin(diameter=2, length=10, ridges=6), "have no room on 2 mm"),
        (Hole(bore=6, length=10, ridge=-1), "the ridge height is -1 mm"),
    ],
)
def test_impossible_sizes_are_refused_in_words(feature: Feature, words: str) -> None:
    with pytest.raises(ValueProblem, match=words):
        plain_solid(feature)

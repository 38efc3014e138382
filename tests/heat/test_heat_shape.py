"""Walls, openings and distances read from models, against solids whose numbers are known."""

from __future__ import annotations

from math import pi

import numpy as np
import pytest

from shadewright.solid.kernel import box, cylinder, difference, revolve
from shadewright.solid.mesh import Mesh
from shadewright.study.heat_shape import BulbPlace, shade_shape

STANDING = BulbPlace(
    middle=(0.0, 0.0, 60.0),
    cap=(0.0, 0.0, -1.0),
    radius=30.0,
    collar_length=50.0,
    collar_radius=20.0,
    holder_radius=20.0,
)
HANGING = BulbPlace(
    middle=(0.0, 0.0, 40.0),
    cap=(0.0, 0.0, 1.0),
    radius=30.0,
    collar_length=50.0,
    collar_radius=20.0,
    holder_radius=20.0,
)


def tube(height: float = 120.0, inner: float = 50.0, wall: float = 2.0) -> Mesh:
    profile = np.array([[inner, 0], [inner + wall, 0], [inner + wall, height], [inner, height]], dtype=float)
    return revolve(profile, chord=0.01, fit="mean")


def closed_can() -> Mesh:
    return difference(cylinder(124, 52, chord=0.01), cylinder(120, 50, chord=0.01).moved(z=2))


def test_a_closed_can_has_its_walls_and_no_way_out() -> None:
    found = shade_shape(closed_can(), STANDING)

    assert found.openings == ()
    assert found.open_view == 0
    assert found.wall == pytest.approx(2.0, abs=0.01)
    assert found.height == pytest.approx(124.0)
    assert found.side_mm2 == pytest.approx(2 * pi * 50 * 120, rel=0.06)
    assert found.roof_mm2 == pytest.approx(pi * 50**2, rel=0.06)
    assert found.floor_mm2 == pytest.approx(pi * 50**2, rel=0.06)
    assert found.collar_gap == pytest.approx(30.0, abs=0.3)
    assert found.above_gap == pytest.approx(122 - 90, abs=0.1)


def test_an_open_tube_lets_air_in_below_around_the_holder_and_out_above() -> None:
    found = shade_shape(tube(), STANDING)
    below, above = sorted(found.openings, key=lambda opening: opening.low)

    assert above.faces_up and not below.faces_up
    assert above.area_mm2 == pytest.approx(pi * 50**2, rel=0.02)
    assert below.area_mm2 == pytest.approx(pi * (50**2 - 20**2), rel=0.05)
    assert (below.low, above.low) == (0.0, pytest.approx(120.0))
    assert found.above_gap is None
    # seen from the middle of a tube: the lids take 1 - h / sqrt(h² + r²) of the outlook, the holder shuts its part
    lid = (1 - 60 / np.hypot(60, 50)) / 2
    plug = (1 - 60 / np.hypot(60, 20)) / 2
    assert found.open_view == pytest.approx(2 * lid - plug, abs=0.01)


def test_a_window_is_measured_and_a_liner_shuts_it() -> None:
    windowed = difference(closed_can(), box((40, 30, 40), (50, 0, 70)))
    found = shade_shape(windowed, STANDING)
    area = sum(opening.area_mm2 for opening in found.openings)

    arc = 2 * 50 * np.arcsin(15 / 50)
    assert area == pytest.approx(arc * 40, rel=0.08)
    assert min(opening.low for opening in found.openings) == pytest.approx(50.0, abs=2.2)
    assert max(opening.high for opening in found.openings) == pytest.approx(90.0, abs=2.2)
    lined = shade_shape(windowed, STANDING, liner=tube(100.0, 47.0, 1.0))
    assert sum(opening.area_mm2 for opening in lined.openings) == 0
    half = shade_shape(windowed, STANDING, liner=tube(70.0, 47.0, 1.0))
    assert sum(opening.area_mm2 for opening in half.openings) == pytest.approx(area / 2, rel=0.15)


def test_a_hanging_bulb_heats_the_roof_around_its_holder() -> None:
    holed = difference(closed_can(), cylinder(10, 20, chord=0.01).moved(z=118))
    found = shade_shape(holed, HANGING)

    assert sum(opening.area_mm2 for opening in found.openings) < 0.05 * pi * 20**2
    assert found.above_gap == pytest.approx(122 - 90, abs=0.1)
    assert found.collar_gap == pytest.approx(30.0, abs=0.3)


def test_a_lying_bulb_is_measured_from_its_collar() -> None:
    lying = BulbPlace(
        middle=(0.0, 0.0, 60.0),
        cap=(-1.0, 0.0, 0.0),
        radius=30.0,
        collar_length=40.0,
        collar_radius=20.0,
        holder_radius=20.0,
    )
    found = shade_shape(closed_can(), lying)

    corner = np.sqrt(50**2 - 40**2)  # beside the collar's end the wall of the can is nearest
    assert found.collar_gap == pytest.approx(corner - 20, abs=1.0)


def test_what_surrounds_nothing_says_so() -> None:
    aside = BulbPlace(
        middle=(0.0, 0.0, 200.0),
        cap=(0.0, 0.0, 1.0),
        radius=30.0,
        collar_length=50.0,
        collar_radius=20.0,
        holder_radius=20.0,
    )
    found = shade_shape(tube(40.0), aside)

    assert found.collar_gap is None
    assert found.side_mm2 == pytest.approx(2 * pi * 50 * 40, rel=0.06)

"""Section properties against closed forms, a reference library's printed values, and shapely's geometry."""

from __future__ import annotations

from math import cos, pi, radians, sin

import numpy as np
import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st

from shadewright.errors import ValueProblem
from shadewright.hold.section import Section, convex_hull, lessened, section_of
from shadewright.solid.kernel import circle, plane_difference, rectangle
from shadewright.solid.mesh import Floats


def turned(contour: Floats, degrees: float) -> Floats:
    t = radians(degrees)
    return contour @ np.array([[cos(t), sin(t)], [-sin(t), cos(t)]])


def i_section(width: float, depth: float, flange: float, web: float) -> Floats:
    w, d, t, s = width / 2, depth / 2, flange, web / 2
    right = [[w, -d], [w, -d + t], [s, -d + t], [s, d - t], [w, d - t], [w, d]]
    return np.array(right + [[-x, y] for x, y in right[::-1]], dtype=float)


ANGLE = np.array([[0, 0], [100, 0], [100, 8], [8, 8], [8, 100], [0, 100]], dtype=float)


def test_rectangle() -> None:
    """I = b h^3 / 12, W = b h^2 / 6 (any beam handbook)."""
    found = section_of(rectangle(20, 10, 7, -3))

    assert found.area == pytest.approx(200)
    assert found.centroid == pytest.approx([7, -3])
    assert (found.ixx, found.iyy) == pytest.approx((20 * 10**3 / 12, 10 * 20**3 / 12))
    assert found.ixy == pytest.approx(0, abs=1e-9)
    assert found.moduli == pytest.approx((20 * 10**2 / 6, 10 * 20**2 / 6))


def test_circle_and_ring() -> None:
    """I = pi d^4 / 64 and pi (D^4 - d^4) / 64: the tube 16/10 of the worked stem has 2726.12 mm^4 (own arithmetic)."""
    disc = section_of(circle(8, chord=0.0005))
    ring = section_of(plane_difference(circle(8, chord=0.0005), circle(5, chord=0.0005)))

    assert disc.area == pytest.approx(pi * 64, rel=1e-3)
    assert disc.ixx == pytest.approx(pi * 16**4 / 64, rel=1e-3)
    assert ring.ixx == pytest.approx(2726.12, rel=1e-3)
    assert ring.iyy == pytest.approx(2726.12, rel=1e-3)


def test_i_section_of_a_reference_library() -> None:
    """I 300 x 150, flange 12, web 8: rectangle less its two pockets, by the handbook formula."""
    found = section_of([i_section(150, 300, 12, 8)])

    assert found.area == pytest.approx(2 * 150 * 12 + 276 * 8)
    assert found.ixx == pytest.approx((150 * 300**3 - 142 * 276**3) / 12)
    assert found.iyy == pytest.approx((2 * 12 * 150**3 + 276 * 8**3) / 12)


@pytest.mark.parametrize(
    ("degrees", "ixx", "iyy", "ixy"),
    [(45, 600058.6667, 2363392.0, 0.0), (90, 1481725.3333, 1481725.3333, 881666.6667)],
)
def test_turned_angle_section(degrees: float, ixx: float, iyy: float, ixy: float) -> None:
    """Angle 100 x 100 x 8 about turned axes.

    Values: results of the general-purpose library sectionproperties 3.10.2 as printed in the reference files of the
    crate section-properties 0.4.0 (cases angle_rot45, angle_rot90), seen.
    """
    found = section_of([turned(ANGLE, degrees)])

    assert found.area == pytest.approx(1536)
    assert (found.ixx, found.iyy) == pytest.approx((ixx, iyy), rel=1e-6)
    assert found.ixy == pytest.approx(ixy, rel=1e-6, abs=1e-3)
    assert found.principal[:2] == pytest.approx((2363392.0, 600058.6667), rel=1e-6)
    if degrees == 90:
        assert found.centroid == pytest.approx([-27.9583333, 27.9583333])
        assert abs(found.principal[2]) == pytest.approx(45)


def test_the_principal_axis_has_no_product_moment() -> None:
    """Mohr's circle by its meaning: turned there the product vanishes, the greatest comes first."""
    hook = turned(np.array([[0, 0], [40, 0], [40, 6], [6, 6], [6, 25], [0, 25]], dtype=float), 17)
    found = section_of([hook])
    level = section_of([turned(hook, -found.principal[2])])

    assert level.ixy == pytest.approx(0, abs=1e-6 * found.ixx)
    assert (level.ixx, level.iyy) == pytest.approx(found.principal[:2])


def test_the_strong_axis_of_a_turned_plank_lies_across_it() -> None:
    plank = section_of([turned(np.array([[0, 0], [30, 0], [30, 10], [0, 10]], dtype=float), 25)])

    assert plank.principal == pytest.approx((10 * 30**3 / 12, 30 * 10**3 / 12, 25 - 90))


def test_unsymmetrical_bending_of_an_angle() -> None:
    """Stress under a moment about x only, from the textbook formula with Ixx, Iyy and Ixy written out."""
    found = section_of([ANGLE])
    moment = 12_000.0
    x, y = found.fibres.T
    bottom = found.ixx * found.iyy - found.ixy**2
    by_hand = moment * (found.iyy * y - found.ixy * x) / bottom

    assert found.stresses(np.array([0.0, moment])) == pytest.approx(by_hand)


def test_a_hole_counts_off_and_shapely_agrees() -> None:
    plate = plane_difference(rectangle(60, 40), circle(8, chord=0.01), rectangle(6, 12, 20, 10))
    found = section_of(plate)
    region = shapely.Polygon(plate[0], plate[1:]) if len(plate[0]) == 4 else None
    if region is None:
        by_area = sorted(plate, key=lambda c: -shapely.Polygon(c).area)
        region = shapely.Polygon(by_area[0], by_area[1:])

    assert found.area == pytest.approx(region.area)
    assert found.centroid == pytest.approx([region.centroid.x, region.centroid.y])
    assert second_moment_by_strips(region) == pytest.approx(found.ixx, rel=2e-3)


def second_moment_by_strips(region: shapely.Polygon, strips: int = 600) -> float:
    """Integral of y^2 dA about the centroid by thin level strips, each measured by shapely."""
    _, low, _, high = region.bounds
    step = (high - low) / strips
    total = 0.0
    for i in range(strips):
        y = low + (i + 0.5) * step
        total += (
            region.intersection(shapely.LineString([(-1e3, y), (1e3, y)])).length * step * (y - region.centroid.y) ** 2
        )
    return total


def test_a_soft_core_weighs_by_its_fill() -> None:
    """A core of no stiffness is a hole; a half-stiff one lies half-way for a common centre (transformed section)."""
    whole, core = section_of(rectangle(20, 10)), section_of(rectangle(16, 6))
    hollow = section_of(plane_difference(rectangle(20, 10), rectangle(16, 6)))

    assert lessened(whole, core, 0.0).ixx == pytest.approx(hollow.ixx)
    assert lessened(whole, core, 0.5).ixx == pytest.approx((hollow.ixx + whole.ixx) / 2)
    aside = section_of(rectangle(6, 6, 5, 0))
    assert lessened(whole, aside, 0.0).centroid == pytest.approx(
        section_of(plane_difference(rectangle(20, 10), rectangle(6, 6, 5, 0))).centroid
    )
    assert lessened(whole, aside, 0.0).iyy == pytest.approx(
        section_of(plane_difference(rectangle(20, 10), rectangle(6, 6, 5, 0))).iyy
    )


def test_nothing_is_no_section() -> None:
    with pytest.raises(ValueProblem, match="no section"):
        section_of([])
    with pytest.raises(ValueProblem, match="encloses nothing"):
        section_of([np.array([[0.0, 0.0], [1.0, 0.0], [2.0, 0.0]])])
    with pytest.raises(ValueProblem, match="one line"):
        convex_hull(np.array([[0.0, 0.0], [1.0, 1.0], [2.0, 2.0]]))


def everything(section: Section) -> list[float]:
    return [section.area, *section.principal[:2]]


@given(st.floats(-180, 180), st.floats(-500, 500), st.floats(-500, 500))
def test_moving_and_turning_changes_no_principal_value(angle: float, x: float, y: float) -> None:
    moved = section_of([turned(ANGLE, angle) + np.array([x, y])])

    assert everything(moved) == pytest.approx(everything(section_of([ANGLE])), rel=1e-6)


@given(st.floats(0.1, 20))
def test_second_moments_go_with_the_fourth_power_of_size(scale: float) -> None:
    small, large = section_of([ANGLE]), section_of([ANGLE * scale])

    assert large.ixx == pytest.approx(small.ixx * scale**4, rel=1e-9)
    assert large.moduli[0] == pytest.approx(small.moduli[0] * scale**3, rel=1e-9)

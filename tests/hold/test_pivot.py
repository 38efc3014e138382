"""Friction pivots against clutches of a textbook and hand statics."""

from __future__ import annotations

from dataclasses import replace
from math import inf, pi, sin

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from shadewright.errors import ValueProblem
from shadewright.hold.balance import rotation
from shadewright.hold.pivot import (
    Contact,
    PivotClamp,
    arm_new,
    arm_worn,
    force_from_torque,
    moment_in_pose,
    pivot_hold,
    teeth_shear_nm,
    tooth_grip,
)
from shadewright.hold.ranges import Ranged


def clamp(
    outer: float, inner: float, faces: int = 1, *, force: float = 1.0, friction: float = 1.0, left: float = 1.0
) -> PivotClamp:
    return PivotClamp(
        outer=outer,
        inner=inner,
        faces=faces,
        force_n=Ranged.exactly(force),
        friction=Ranged.exactly(friction),
        left=Ranged.exactly(left),
    )


def test_khurmi_10_19() -> None:
    """Khurmi and Gupta ex. 10.19: 100 kN, radii 300 and 150 mm, mu 0.12: 2800 N m even pressure, 2700 even wear."""
    collar = clamp(300, 150)

    assert 0.12 * 100e3 * arm_new(collar) / 1000 == pytest.approx(2800)
    assert 0.12 * 100e3 * arm_worn(collar) / 1000 == pytest.approx(2700)


def test_khurmi_10_23() -> None:
    """Khurmi and Gupta ex. 10.23: diameters 200 and 300, mu 0.3, two faces, W 3141.6 N, even wear: 235.6 N m."""
    assert 0.3 * 3141.6 * arm_worn(clamp(150, 100, faces=2)) / 1000 == pytest.approx(235.6, rel=1e-3)


def test_thumb_screw_pivot_new_worn_and_crept() -> None:
    """Own worked example: M6 at 0.8 N m, K 0.2, two faces 12 / 3.2, mu 0.25, head 0.35 kg at 180 mm.

    666.7 N; 2.816 and 2.533 N m; 0.6178 N m needed; safety 4.10 worn in, 2.46 after losing 40 % of the force.
    """
    force = force_from_torque(Ranged.exactly(0.8), 6, Ranged.exactly(0.2))
    kept = pivot_hold(
        clamp(12, 3.2, 2, force=force.likely, friction=0.25),
        Ranged.exactly(350),
        Ranged.exactly(180),
        wanted=1.5,
        draws=50,
    )
    crept = pivot_hold(
        clamp(12, 3.2, 2, force=force.likely, friction=0.25, left=0.6),
        Ranged.exactly(350),
        Ranged.exactly(180),
        wanted=1.5,
        draws=50,
    )

    assert force.likely == pytest.approx(666.7, abs=0.05)
    assert kept.new_nm.likely == pytest.approx(2.816, abs=1e-3)
    assert kept.worn_nm.likely == pytest.approx(2.533, abs=1e-3)
    assert kept.needed_nm.likely == pytest.approx(0.6178, abs=1e-4)
    assert (kept.safety.likely, crept.safety.likely) == pytest.approx((4.10, 2.46), abs=5e-3)


def test_cone_and_rod() -> None:
    """A cone of 12 degrees holds 1 / sin 12 of a disc's moment; a clamp on a rod mu F d, at first 4 / pi of it."""
    one = Ranged.exactly(1.0)
    cone = PivotClamp(contact=Contact.CONE, outer=20, inner=10, half_angle=12, force_n=one, friction=one)
    rod = PivotClamp(contact=Contact.ROD, outer=4, force_n=one, friction=one)

    assert arm_worn(cone) == pytest.approx(15 / sin(12 * pi / 180))
    assert arm_worn(rod) == pytest.approx(8)
    assert arm_new(rod) == pytest.approx(4 / pi * 8)


def test_moment_about_the_axis_by_hand() -> None:
    """A head 150 out and 40 up from a level axis: 150 of arm; none about an upright axis."""
    centre, at = np.array([150.0, 7.0, 240.0]), np.array([0.0, 0.0, 200.0])

    assert moment_in_pose(centre, at, np.array([0.0, 1.0, 0.0])) == pytest.approx(150)
    assert moment_in_pose(centre, at, np.array([0.0, 0.0, 2.0])) == pytest.approx(0)


@given(st.floats(-180, 180), st.floats(-180, 180))
def test_the_worst_pose_is_the_worst_of_all_poses(lean: float, start: float) -> None:
    """Over a whole turn: distance from the axis times how level the axis lies (a . (r x W), textbook)."""
    axis = rotation((1, 0, 0), lean) @ np.array([0.0, 1.0, 0.0])
    out = rotation(axis.tolist(), start) @ (rotation((1, 0, 0), lean) @ np.array([90.0, 12.0, -30.0]))
    lever = float(np.linalg.norm(out - (out @ axis) * axis) * np.hypot(axis[0], axis[1]))
    poses = [moment_in_pose(rotation(axis.tolist(), a) @ out, np.zeros(3), axis) for a in range(0, 360, 2)]

    assert max(poses) == pytest.approx(lever, rel=1e-3, abs=1e-6)


@given(st.floats(0.2, 5))
def test_moment_grows_with_size_and_force(scale: float) -> None:
    assert arm_worn(clamp(12 * scale, 3 * scale)) == pytest.approx(scale * arm_worn(clamp(12, 3)))
    assert arm_new(clamp(12 * scale, 3 * scale)) == pytest.approx(scale * arm_new(clamp(12, 3)))
    assert force_from_torque(Ranged.exactly(scale), 6).likely == pytest.approx(
        scale * force_from_torque(Ranged.exactly(1), 6).likely
    )


def test_even_wear_is_the_cautious_one() -> None:
    assert arm_worn(clamp(12, 3)) < arm_new(clamp(12, 3))
    assert arm_new(clamp(12, 11.999)) == pytest.approx(arm_worn(clamp(12, 11.999)), rel=1e-4)


def test_ranges_spread_the_safety_and_say_what_is_missing() -> None:
    loose = PivotClamp(
        outer=9,
        inner=2,
        faces=1,
        force_n=Ranged(100, 150, 220),
        friction=Ranged(0.25, 0.35, 0.45),
        left=Ranged(0.3, 0.4, 0.6),
    )
    found = pivot_hold(loose, Ranged.within(300, 0.1), Ranged.within(150, 0.03), wanted=1.5)

    assert found.safety.low5 < found.safety.likely < found.safety.high95
    assert found.droops
    assert found.shortfall == pytest.approx(1.5 / found.safety.low5)


def test_teeth() -> None:
    """Teeth of 60 degrees at mu 0.25: tan(60 + 14.04) = 3.498, against 0.25 for plain faces; by inclined plane."""
    assert tooth_grip(np.array([0.25, 0.6]), 60) == pytest.approx([3.498, inf], rel=1e-3)
    assert tooth_grip(np.array([0.0]), 45) == pytest.approx([1.0])
    assert teeth_shear_nm(12, 4, 20) == pytest.approx(20 * pi * 128 / 2 * 8 / 1000)


def test_teeth_hold_until_they_jump_or_shear() -> None:
    plain = clamp(12, 4, force=200, friction=0.35)
    strong, weak = (replace(plain, tooth_shear_mpa=Ranged.exactly(mpa)) for mpa in (20.0, 0.1))
    load = (Ranged.exactly(300), Ranged.exactly(100))

    jumps = pivot_hold(strong, *load, wanted=1.5, draws=50)
    assert jumps.crept_nm.likely == pytest.approx(200 * 0.008 * (1 + 0.35) / (1 - 0.35))  # tan(45 + a)
    assert jumps.crept_nm.likely > 5 * pivot_hold(plain, *load, wanted=1.5, draws=50).crept_nm.likely
    assert pivot_hold(weak, *load, wanted=1.5, draws=50).crept_nm.likely == pytest.approx(teeth_shear_nm(12, 4, 0.1))
    with pytest.raises(ValueProblem, match="only faces have teeth"):
        replace(strong, contact=Contact.ROD)


def test_impossible_pivots_are_refused() -> None:
    with pytest.raises(ValueProblem, match="inner radius"):
        clamp(10, 12)
    with pytest.raises(ValueProblem, match="half angle"):
        clamp(10, 2, faces=0)
    with pytest.raises(ValueProblem, match="nothing off its axis"):
        pivot_hold(clamp(10, 2), Ranged.exactly(300), Ranged.exactly(0), wanted=1.5)

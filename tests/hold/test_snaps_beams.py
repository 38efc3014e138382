"""Snap arms, rings, clips and bars: the design guide's examples, integrals done another way, doubling rules."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from shadewright.errors import ValueProblem
from shadewright.fit.snap_strain import arm_thickness_for, clip_factor, ring_strain
from shadewright.hold.snap_beams import (
    Arm,
    force_per_mm,
    locking_slope,
    rectangle_twist,
    root_turning,
    strain_per_mm,
    trapezoid_factor,
    trapezoid_modulus,
    twist_snap,
    u_stretch,
    wedge_factor,
    width_factor,
)
from shadewright.hold.snap_rings import (
    Clip,
    Ring,
    clip_force_per_mm,
    grip_moment,
    hold_angle,
    remote_from,
    remote_share,
    ring_factor,
    ring_force_per_mm,
    shell_force_per_mm,
)

# Worked examples ------------------------------------------------------------------------------------------------------


def test_first_example_of_the_design_guide() -> None:
    # guide's example I (from memory): l 19, b 9.5, y 2.4, tapered to half, 2 % of strain, Es 1815 MPa, friction 0.6,
    # lead 30 degrees: h 3.28 mm, P 32.5 N, W 58.5 N
    thickness = arm_thickness_for(0.02, 2.4, 19, 0.5)
    arm = Arm(length=19, width=9.5, taper=0.5)
    force = float(force_per_mm(arm, thickness)) * 2.4 * 1815
    push = force * float(wedge_factor(30, 0.6))

    assert thickness == pytest.approx(3.28, abs=0.005)
    assert float(strain_per_mm(arm, thickness)) * 2.4 == pytest.approx(0.02)
    assert force == pytest.approx(32.5, abs=0.06)
    assert push == pytest.approx(58.5, abs=0.15)


@pytest.mark.parametrize(("length", "percent"), [(15, 4.167), (18, 2.894)])
def test_strain_of_a_plain_arm(length: float, percent: float) -> None:
    # public article on snap fits: 2.5 mm thick, bent 2.5 mm: 4.16 % at 15 mm, 2.8 % at 18 mm; exact by beam theory
    assert 250 * float(strain_per_mm(Arm(length=length, width=1), 2.5)) == pytest.approx(percent, abs=1e-3)


def test_a_hook_from_force_to_pull() -> None:
    # own example: l 14, h 1.8, b 6, y 1.2, E 1700, friction 0.3: 1.6531 %, 6.5036 N, 8.2348 N at 35°, 15.1007 N at 50°
    arm = Arm(length=14, width=6)
    force = float(force_per_mm(arm, 1.8)) * 1.2 * 1700

    assert float(strain_per_mm(arm, 1.8)) * 1.2 == pytest.approx(0.016531, rel=1e-4)
    assert force == pytest.approx(6.5036, rel=1e-4)
    assert force * float(wedge_factor(35, 0.3)) == pytest.approx(8.2348, rel=1e-4)
    assert force * float(wedge_factor(50, 0.3)) == pytest.approx(15.1007, rel=1e-4)
    assert locking_slope(0.3) == pytest.approx(73.30, abs=0.005)


def test_a_u_shaped_arm() -> None:
    # own example: legs 12, r 3, h 1.6, b 8, E 1700, y 1.5: S 2983.58 mm³, 2.3338 N, 0.6033 %
    arm = Arm(length=12, width=8, return_leg=12, bend_radius=3)

    assert u_stretch(arm) == pytest.approx(2983.58, rel=1e-5)
    assert float(force_per_mm(arm, 1.6)) * 1.5 * 1700 == pytest.approx(2.3338, rel=1e-4)
    assert float(strain_per_mm(arm, 1.6)) * 1.5 == pytest.approx(0.006033, rel=1e-3)


def test_a_lever_on_a_twisted_bar() -> None:
    # own example: strain 2 %, nu 0.35, r 2, l 15, lever 20, E 1800: 11.602 degrees, 4.0224 mm, 22.62 N for both halves
    snap = twist_snap(radius=2, half_length=15, lever=20, strain=0.02, modulus_mpa=1800, poisson=0.35)

    assert (snap.angle_deg, snap.travel, snap.force_n) == pytest.approx((11.602, 4.0224, 22.62), rel=1e-3)


def test_rectangular_bars_twist_as_tabled() -> None:
    # Timoshenko's table: J = k2 a b³, T = k1 a b² tau
    table = {
        1.0: (0.1406, 0.2082),
        1.5: (0.1958, 0.2310),
        2: (0.2287, 0.2459),
        4: (0.2808, 0.2817),
        10: (0.3123, 0.3123),
    }
    for ratio, (k2, k1) in table.items():
        inertia, modulus = rectangle_twist(ratio * 3.0, 3.0)
        assert (inertia / (ratio * 81), modulus / (ratio * 27)) == pytest.approx((k2, k1), abs=1.2e-4)
    with pytest.raises(ValueProblem, match="swap"):
        rectangle_twist(1, 2)


def test_a_shade_ring_of_sixty_millimetres() -> None:
    # own example by the guide's formulas: d 60, t 2, y 0.9, E 2000, nu 0.35, friction 0.4, 30 degrees
    outer = Ring(diameter=60, wall=2, outer_gives=True)
    inner = Ring(diameter=60, wall=2, outer_gives=False)
    force = 0.9 * 60 * 2000 * ring_factor(outer, 0.35)

    assert ring_strain(0.9, 60) == pytest.approx(0.015)
    assert ring_factor(outer, 0.35) == pytest.approx(0.0070184, rel=1e-4)
    assert force == pytest.approx(758.0, rel=1e-3)
    assert force * float(wedge_factor(30, 0.4)) == pytest.approx(963.3, rel=1e-3)
    assert ring_factor(inner, 0.35) == pytest.approx(0.0081266, rel=1e-4)
    assert remote_from(outer) == pytest.approx(19.72, abs=0.005)
    # a long shell of the joint's own diameter gives 1146.3 N; ours is taken at the middle of the wall
    assert 0.9 * 2000 * shell_force_per_mm(outer, 0.35) == pytest.approx(1146.3, rel=0.02)


def test_a_ring_of_forty_millimetres() -> None:
    # own example by the guide's formula: d 40, t 1.6, y 0.5, E 1700: X 0.0090949, 309.2 N; shell 474.4 N
    ring = Ring(diameter=40, wall=1.6, outer_gives=True)
    band = ring_force_per_mm(ring, 0.35)

    assert ring_factor(ring, 0.35) == pytest.approx(0.0090949, rel=1e-4)
    assert 0.5 * 1700 * band.low == pytest.approx(309.2, rel=1e-3)
    assert 0.5 * 1700 * band.high == pytest.approx(474.4, rel=0.03)


# The same by another way ----------------------------------------------------------------------------------------------


@pytest.mark.parametrize("taper", [0.25, 0.5, 0.8, 0.995, 1.0])
def test_factor_of_narrowing_arms_by_numbers(taper: float) -> None:
    # the guide has 0.86 for a quarter; bending line integrated by the midpoint rule
    s = (np.arange(200_000) + 0.5) / 200_000
    assert width_factor(taper) == pytest.approx(2 * float(np.mean(s**2 / (taper + (1 - taper) * s))), rel=1e-5)
    if taper == 0.25:
        assert width_factor(taper) == pytest.approx(0.86, abs=0.006)


def test_a_trapezoid_of_equal_sides_is_a_rectangle_and_others_by_numbers() -> None:
    assert trapezoid_factor(5, 5) == pytest.approx(2 / 3)
    assert trapezoid_modulus(5, 5, 2) == pytest.approx(5 * 2**2 / 6)
    # second moment about the centroid, from the wide side up, by the midpoint rule
    wide, narrow, thick = 8.0, 3.0, 2.5
    y = (np.arange(100_000) + 0.5) / 100_000 * thick
    width = wide + (narrow - wide) * y / thick
    centre = float(np.sum(width * y) / np.sum(width))
    inertia = float(np.sum(width * (y - centre) ** 2)) * thick / 100_000
    assert trapezoid_modulus(wide, narrow, thick) == pytest.approx(inertia / (thick - centre), rel=1e-6)
    # y = strain l² / (3 c) for an even arm, c the distance to the strained side
    assert trapezoid_factor(wide, narrow) == pytest.approx(thick / (3 * (thick - centre)), rel=1e-6)


@given(st.floats(4, 30), st.floats(0.2, 1.0), st.floats(1, 6))
def test_u_arms_by_castigliano_in_numbers(leg: float, back_share: float, radius: float) -> None:
    back = leg * back_share
    count = 20_000
    s = (np.arange(count) + 0.5) / count
    free = np.sum((s * leg) ** 2) * leg / count
    bend = np.sum((leg + radius * np.sin(s * math.pi)) ** 2) * radius * math.pi / count
    root = np.sum((leg - s * back) ** 2) * back / count

    arm = Arm(length=leg, width=5, return_leg=back, bend_radius=radius)
    assert u_stretch(arm) == pytest.approx(free + bend + root, rel=1e-6)


@pytest.mark.parametrize("opening", [40.0, 100.0, 150.0])
def test_clips_by_castigliano_in_numbers(opening: float) -> None:
    clip = Clip(rod=8, wall=1.6, width=10, opening_deg=opening)
    radius = (clip.rod + clip.wall) / 2
    lip = math.radians(opening / 2)
    count = 100_000
    angle = lip + (np.arange(count) + 0.5) / count * (math.pi - lip)
    square = float(np.sum((radius * (math.cos(lip) - np.cos(angle))) ** 2)) * radius * (math.pi - lip) / count
    inertia = clip.width * clip.wall**3 / 12

    assert clip_force_per_mm(clip) == pytest.approx(inertia / square, rel=1e-6)
    assert clip_factor(radius, opening / 2, 180) > 0


def test_turning_of_the_root() -> None:
    # O'Donnell 1960 (from memory): root turns 16.67 M / (pi E b h²); the beam's own tip moves 4 P l³ / (E b h³)
    length, thickness = 15.0, 2.0
    extra = (16.67 * length / (math.pi * thickness**2)) * length / (4 * length**3 / thickness**3)
    turning = root_turning(Arm(length=length, width=1), thickness)

    assert turning.likely == pytest.approx(1 + extra, rel=1e-3)
    assert turning.low == 1.0


# Doubling rules -------------------------------------------------------------------------------------------------------

ARMS = st.sampled_from(
    [
        Arm(length=14, width=6),
        Arm(length=14, width=6, taper=0.5),
        Arm(length=14, width=6, width_taper=0.3),
        Arm(length=12, width=6, return_leg=9, bend_radius=3),
    ]
)


@given(ARMS, st.floats(0.8, 3), st.floats(0.5, 3))
def test_force_goes_with_the_cube_of_the_thickness_and_strain_with_itself(
    arm: Arm, thickness: float, scale: float
) -> None:
    assert float(force_per_mm(arm, scale * thickness)) == pytest.approx(scale**3 * float(force_per_mm(arm, thickness)))
    assert float(strain_per_mm(arm, scale * thickness)) == pytest.approx(scale * float(strain_per_mm(arm, thickness)))


@given(ARMS, st.floats(0.8, 3), st.floats(0.5, 3))
def test_a_larger_copy_is_strained_alike_and_pushes_with_the_square(arm: Arm, thickness: float, scale: float) -> None:
    large = Arm(
        length=arm.length * scale,
        width=arm.width * scale,
        taper=arm.taper,
        width_taper=arm.width_taper,
        return_leg=arm.return_leg * scale,
        bend_radius=arm.bend_radius * scale,
    )
    # bent through a gap that grows with the copy
    assert scale * float(strain_per_mm(large, scale * thickness)) == pytest.approx(float(strain_per_mm(arm, thickness)))
    assert scale * float(force_per_mm(large, scale * thickness)) == pytest.approx(
        scale**2 * float(force_per_mm(arm, thickness))
    )


@given(st.floats(20, 100), st.booleans(), st.floats(1.2, 3))
def test_thin_rings_push_with_the_wall_to_one_and_a_half(diameter: float, outer: bool, scale: float) -> None:
    wall = diameter / 400
    thin = Ring(diameter=diameter, wall=wall, outer_gives=outer)
    thick = Ring(diameter=diameter, wall=scale * wall, outer_gives=outer)
    for law in (ring_factor, shell_force_per_mm):
        assert law(thick, 0.35) / law(thin, 0.35) == pytest.approx(scale**1.5, rel=0.03)


def test_beads_far_from_the_end_push_up_to_three_times() -> None:
    near, far = (Ring(diameter=60, wall=2, outer_gives=True, from_end=place) for place in (0.0, 40.0))
    assert (remote_share(near), remote_share(far)) == (1.0, 3.0)
    assert ring_force_per_mm(far, 0.35).likely == pytest.approx(3 * ring_force_per_mm(near, 0.35).likely)


@given(st.floats(5, 85), st.floats(0.05, 1.0))
def test_steeper_or_rougher_nubs_push_harder_and_lock_at_their_slope(slope: float, friction: float) -> None:
    here = float(wedge_factor(slope, friction))
    assert here <= float(wedge_factor(slope + 4, friction))
    assert here <= float(wedge_factor(slope, friction + 0.1))
    assert math.isinf(here) == (slope >= locking_slope(friction) - 1e-9)
    assert math.isinf(float(wedge_factor(90, friction)))


# Clip-on hinges -------------------------------------------------------------------------------------------------------


def test_a_hinge_holds_up_to_the_angle_its_friction_gives() -> None:
    # 100 g at 50 mm weigh 49.03 N mm; half of that holds up to 30 degrees from hanging, all of it anywhere
    full = 0.1 * 9.80665 * 0.05
    assert float(hold_angle(full / 2, 100, 50)) == pytest.approx(30, abs=1e-6)
    assert float(hold_angle(2 * full, 100, 50)) == 90
    clip = Clip(rod=8, wall=1.6, width=10, opening_deg=100)
    grip = float(grip_moment(clip, 0.1, 2100.0, 0.35))
    assert grip == pytest.approx(0.35 * 2 * clip_force_per_mm(clip) * 0.1 * 2100 * 4 / 1000)
    assert float(grip_moment(clip, 0.2, 2100.0, 0.35)) == pytest.approx(2 * grip)


# Refusals -------------------------------------------------------------------------------------------------------------


def test_shapes_that_cannot_be_are_refused() -> None:
    with pytest.raises(ValueProblem, match="taper"):
        Arm(length=10, width=5, taper=0.5, width_taper=0.5)
    with pytest.raises(ValueProblem, match="bend"):
        Arm(length=10, width=5, return_leg=8)
    with pytest.raises(ValueProblem, match="root's width"):
        width_factor(0.1)
    with pytest.raises(ValueProblem, match="bore"):
        Ring(diameter=10, wall=5, outer_gives=False)

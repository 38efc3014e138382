"""Snaps with their ranges: forces against the plain formulas, verdicts, cures that do what they say."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from shadewright.catalog.lookup import plastic
from shadewright.errors import ValueProblem
from shadewright.findings import Verdict
from shadewright.fit.defaults import built_in_habits
from shadewright.fit.joint import Side
from shadewright.fit.moving import printed_thickness
from shadewright.fit.snap import HookQuestion, hook_bend
from shadewright.fit.snap_round import BeadQuestion, ClipQuestion
from shadewright.hold.card import material_card
from shadewright.hold.hinge_advice import HingeCase, judge_hinge
from shadewright.hold.ranges import SECOND_RETENTION, Ranged
from shadewright.hold.snap_advice import (
    HAND_N,
    SnapCase,
    bead_question,
    clip_hold,
    clip_of,
    hook_question,
    judge_snap,
    triangle,
)
from shadewright.hold.snap_beams import Arm
from shadewright.hold.snap_rings import Clip, Ring, grip_moment, hold_angle
from shadewright.hold.snap_strength import NUB, SECANT, SLIP, TEAR, SnapQuestion, bent, best_arm, snap_strength
from shadewright.printing import Spread

PETG = material_card(plastic("PETG"))


def hook(**changes: object) -> SnapQuestion:
    plain = SnapQuestion(
        name="hook",
        shape=Arm(length=14, width=6),
        thickness=Ranged(1.7, 1.8, 1.9),
        overlap=Ranged(0.8, 1.0, 1.2),
        card=PETG,
    )
    return replace(plain, **changes)  # type: ignore[arg-type]


def case(question: SnapQuestion, load: Ranged | None, *, above_people: bool = False) -> SnapCase:
    words = "add load_n = ... to joint hook" if load is None else f"{load.likely:g} N as stated"
    return SnapCase(
        joint="hook",
        question=question,
        strength=snap_strength(question),
        load=load,
        load_words=words,
        above_people=above_people,
    )


def exact_card():  # type: ignore[no-untyped-def]
    """PETG known to the last digit: E 1700, friction 0.3."""
    return replace(PETG, modulus_mpa=Ranged.exactly(1700 / SECANT.likely), friction=Ranged.exactly(0.3))


def test_forces_are_those_of_the_plain_formulas_where_all_is_known() -> None:
    # own example: 1.6531 %, 6.5036 N, in 8.2348 N at 35°, out 15.1007 N at 50°, for a root that does not turn; only
    # secant modulus (0.7 to 1.0, here divided out of the likely value) and root keep their ranges
    question = hook(
        thickness=Ranged.exactly(1.8), overlap=Ranged.exactly(1.2), card=exact_card(), lead_deg=35, return_deg=50
    )
    found = snap_strength(question)
    turning = 1 + 1.33 * 1.8 / 14

    assert found.strain.likely == pytest.approx(0.016531 / turning, rel=0.01)
    assert found.bend_n.likely == pytest.approx(6.5036 / turning, rel=0.02)
    assert found.push_n.likely == pytest.approx(found.bend_n.likely * 8.2348 / 6.5036, rel=1e-4)
    assert found.hold_n.likely == pytest.approx(found.bend_n.likely * 15.1007 / 6.5036, rel=1e-4)
    assert found.opens_by == SLIP and not found.locks


def test_an_arm_that_is_bent_twice_as_far_pushes_twice_as_hard() -> None:
    one, two = (snap_strength(hook(overlap=Ranged.exactly(gap))) for gap in (0.5, 1.0))

    assert two.bend_n.low5 == pytest.approx(2 * one.bend_n.low5, rel=1e-9)
    assert two.strain.high95 == pytest.approx(2 * one.strain.high95, rel=1e-9)


def test_a_locking_nub_holds_until_something_breaks() -> None:
    found = snap_strength(hook(return_deg=90.0))

    assert found.locks
    assert found.opens_by in {TEAR, NUB}
    # the arm tears at width times thickness times strength along the layers; the nub shears along its foot
    tear = 6 * 1.8 * PETG.strength_along_mpa.likely
    foot = 1.0 / math.tan(math.radians(30))
    assert found.hold_n.likely == pytest.approx(min(tear, 6 * foot * PETG.shear_along_mpa.likely), rel=0.15)


def test_arms_add_up_and_layers_weaken() -> None:
    one, three = snap_strength(hook()), snap_strength(hook(count=3))
    across = snap_strength(hook(across_layers=True))

    assert three.hold_n.likely == pytest.approx(3 * one.hold_n.likely)
    assert three.bend_n == one.bend_n
    assert across.margin.likely < 0.5 * one.margin.likely
    assert snap_strength(hook(repeated=False)).margin.likely == pytest.approx(one.margin.likely / 0.6, rel=1e-9)


@settings(max_examples=25, deadline=None)
@given(st.floats(20, 78), st.floats(0, 20))
def test_hotter_hooks_never_hold_more(temp_c: float, warmer: float) -> None:
    cool, warm = (
        snap_strength(hook(card=material_card(plastic("PETG"), temp_c=heat)), draws=500)
        for heat in (temp_c, temp_c + warmer)
    )
    assert warm.hold_n.low5 <= cool.hold_n.low5 * (1 + 1e-9)


@pytest.mark.parametrize("wanted", [5.0, 12.0])
def test_the_best_arm_holds_what_is_wanted_and_a_thinner_one_does_not(wanted: float) -> None:
    best = best_arm(hook(), wanted)
    assert best is not None
    built = hook(
        shape=Arm(length=best.length, width=6),
        thickness=Ranged(best.thickness - 0.1, best.thickness, best.thickness + 0.1),
    )
    found = snap_strength(built)

    assert found.hold_n.low5 >= wanted
    assert found.margin.low5 >= 1
    thinner = best.thickness - 0.2
    for length in np.arange(3 * thinner, 2 * best.length, 0.5):
        other = snap_strength(
            hook(shape=Arm(length=float(length), width=6), thickness=Ranged(thinner - 0.1, thinner, thinner + 0.1)),
            draws=500,
        )
        assert other.hold_n.low5 < wanted or other.margin.low5 < 1


def test_no_arm_is_offered_where_none_does() -> None:
    stiff = replace(PETG, strain_repeated=Ranged.exactly(0.002))
    assert best_arm(hook(card=stiff, overlap=Ranged.exactly(3.0)), 500.0) is None
    with pytest.raises(ValueProblem, match="straight"):
        best_arm(hook(shape=Arm(length=12, width=6, return_leg=9, bend_radius=3)), 5.0)


def test_slopes_and_sizes_that_cannot_be_are_refused() -> None:
    for change in ({"lead_deg": 90.0}, {"return_deg": 100.0}, {"count": 0}, {"thickness": Ranged(0, 1, 2)}):
        with pytest.raises(ValueProblem):
            hook(**change)


# Verdicts -------------------------------------------------------------------------------------------------------------


def test_a_good_hook_is_sound() -> None:
    finding = judge_snap(case(hook(), Ranged.exactly(1.5)))

    assert (finding.verdict, finding.cure) == (Verdict.SOUND, "")
    assert "borne often" in finding.sentence and "holds 11 N" in finding.sentence


def test_an_unknown_load_is_asked_for() -> None:
    finding = judge_snap(case(hook(), None))

    assert finding.verdict is Verdict.UNKNOWN
    assert finding.cure == "add load_n = ... to joint hook"


def test_a_hook_too_stiff_for_its_plastic_fails_and_the_cure_mends_it() -> None:
    stiff = hook(card=material_card(plastic("PLA")), thickness=Ranged(2.4, 2.5, 2.6))
    finding = judge_snap(case(stiff, Ranged.exactly(2.0)))
    words = finding.cure.split()
    thickness, length = float(words[words.index("mm") - 1]), float(words[words.index("long:") - 1])
    mended = replace(
        stiff, shape=Arm(length=length, width=6), thickness=Ranged(thickness - 0.1, thickness, thickness + 0.1)
    )

    assert finding.verdict is Verdict.FAILING
    assert judge_snap(case(mended, Ranged.exactly(2.0))).verdict is Verdict.SOUND


def test_standing_arms_are_told_to_lie_down() -> None:
    finding = judge_snap(case(hook(across_layers=True), Ranged.exactly(2.0)))

    assert finding.verdict is Verdict.FAILING
    assert finding.cure.startswith("print the arm lying")


def test_overhead_more_is_asked_and_a_second_hold() -> None:
    load = Ranged.exactly(1.5)

    assert judge_snap(case(hook(), load)).verdict is Verdict.SOUND
    overhead = judge_snap(case(hook(), load, above_people=True))
    assert overhead.verdict is Verdict.DOUBTFUL
    assert overhead.cure.endswith(SECOND_RETENTION)


def test_a_ring_that_no_hand_closes_is_doubtful_and_gets_a_smaller_bead() -> None:
    ring = hook(
        shape=Ring(diameter=90, wall=0.8, outer_gives=True),
        thickness=Ranged(0.75, 0.8, 0.85),
        overlap=Ranged(0.28, 0.30, 0.32),
    )
    finding = judge_snap(case(ring, Ranged.exactly(5.0)))
    assert snap_strength(ring).push_n.likely > HAND_N
    assert finding.verdict is Verdict.DOUBTFUL
    bead = float(finding.cure.split("stand ")[1].split(" mm")[0])
    mended = replace(ring, overlap=Ranged(bead - 0.02, bead, bead + 0.02))
    assert snap_strength(mended).push_n.likely == pytest.approx(HAND_N, rel=0.1)
    wide = replace(ring, shape=Ring(diameter=60, wall=3, outer_gives=True), thickness=Ranged(2.9, 3, 3.1))
    assert "fingers" in judge_snap(case(wide, Ranged.exactly(5.0))).cure


# From what is sized ---------------------------------------------------------------------------------------------------


def sides() -> tuple[Side, Side]:
    habits = built_in_habits(0.4, "PETG")
    return Side(name="lid", habits=habits), Side(name="box", habits=habits)


def test_a_sized_hook_is_as_strained_here_as_there() -> None:
    male, female = sides()
    sized = HookQuestion(
        name="hook",
        male=male,
        female=female,
        arm=14,
        thickness=1.6,
        width=6,
        undercut=0.8,
        allowed=Spread(0.025, 0.003),
        taper=0.6,
    )
    asked = hook_question(sized, PETG, repeated=False, count=2)
    assert isinstance(asked.shape, Arm)
    drawn_alike = replace(asked, shape=replace(asked.shape, length=1000.0))
    # no turning of the root is left on a very long arm, and strain goes with the square of the length
    strain = snap_strength(drawn_alike).strain.likely * (1000 / 14) ** 2
    assert strain == pytest.approx(hook_bend(sized).strain, rel=0.02)
    assert asked.thickness.likely == pytest.approx(printed_thickness(1.6, male.habits).mean)  # type: ignore[arg-type]
    assert (asked.count, asked.repeated) == (2, False)


def test_a_triangle_keeps_mean_and_deviation() -> None:
    spread = triangle(Spread(2.0, 0.1))
    assert (spread.mean, spread.sd) == pytest.approx((2.0, 0.1))
    assert triangle(Spread(0.0, 1.0)).low == 0.0


def test_two_rings_that_give_alike_share_the_undercut() -> None:
    male, female = sides()
    sized = BeadQuestion(
        name="ring", male=male, female=female, diameter=60, undercut=0.9, wall=2, allowed=Spread(0.025, 0.003)
    )
    one, both = (bead_question(replace(sized, softer=softer), PETG) for softer in ("male", "both"))

    assert both.overlap.likely == pytest.approx(one.overlap.likely / 2)
    assert isinstance(one.shape, Ring) and not one.shape.outer_gives
    outer = bead_question(replace(sized, softer="female"), PETG)
    assert isinstance(outer.shape, Ring) and outer.shape.outer_gives


def test_a_flap_on_a_clip_stays_up_to_the_angle_its_grip_gives() -> None:
    male, female = sides()
    sized = ClipQuestion(name="flap", male=male, female=female, rod=8, allowed=Spread(0.025, 0.003), width=10)
    clip = clip_of(sized, opening=8 * math.sin(math.radians(50)))
    assert clip == Clip(rod=8, wall=1.6, width=10, opening_deg=pytest.approx(100))
    known = replace(PETG, modulus_mpa=Ranged.exactly(2100), friction=Ranged.exactly(0.35))
    angle = clip_hold(clip, Ranged.exactly(-0.02), known, Ranged.exactly(60), Ranged.exactly(80), hours=0.0)
    by_hand = float(hold_angle(grip_moment(clip, 0.01, 2100.0, 0.35), 60, 80))

    assert angle.likely == pytest.approx(by_hand)
    assert 0 < by_hand < 90
    later = clip_hold(clip, Ranged.exactly(-0.02), known, Ranged.exactly(60), Ranged.exactly(80))
    assert later.likely < angle.likely
    loose = clip_hold(clip, Ranged(0.05, 0.1, 0.2), PETG, Ranged.exactly(60), Ranged.exactly(80))
    assert loose.high95 == 0.0


def test_a_hook_that_only_weak_prints_do_not_bear_is_doubtful() -> None:
    edge = hook(overlap=Ranged(1.15, 1.2, 1.25))
    strength = snap_strength(edge)

    assert strength.margin.low5 < 1 < strength.margin.likely
    assert judge_snap(case(edge, Ranged.exactly(0.5))).verdict is Verdict.DOUBTFUL


def test_thicker_ring_walls_push_with_the_power_of_one_and_a_half() -> None:
    ring = hook(shape=Ring(diameter=60, wall=2, outer_gives=True), thickness=Ranged(1.0, 2.0, 3.0))
    drawn = dict.fromkeys(("overlap", "modulus", "secant", "ring"), np.array([1.0, 1.0]))
    _, force = bent(ring, drawn | {"thickness": np.array([2.0, 2.88])})

    assert force[1] / force[0] == pytest.approx(1.44**1.5)


@pytest.mark.parametrize(
    ("arm", "verdict"), [(15.0, Verdict.SOUND), (35.0, Verdict.DOUBTFUL), (400.0, Verdict.FAILING)]
)
def test_a_flap_that_shall_stay_is_judged_by_the_weak_clip(arm: float, verdict: Verdict) -> None:
    card = replace(PETG, modulus_mpa=Ranged(1000, 2100, 3200))
    flap = HingeCase(
        joint="flap",
        clip=Clip(rod=8, wall=1.6, width=10, opening_deg=100),
        gap=Ranged.exactly(-0.2),
        card=card,
        mass_g=Ranged.exactly(5),
        arm=Ranged.exactly(arm),
        stays=True,
    )
    finding = judge_hinge(flap)

    assert finding.verdict is verdict
    assert judge_hinge(replace(flap, stays=False)).verdict is Verdict.SOUND
    if verdict is Verdict.DOUBTFUL:
        width = float(finding.cure.split("clip ")[1].split(" mm")[0])
        wider = replace(flap, clip=replace(flap.clip, width=width))
        assert judge_hinge(wider).verdict is Verdict.SOUND

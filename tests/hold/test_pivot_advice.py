"""The cures that are named for pivots do cure them."""

from __future__ import annotations

import re
from dataclasses import replace

import pytest

from shadewright.findings import Verdict
from shadewright.hold.pivot import Contact, PivotClamp, force_from_torque
from shadewright.hold.pivot_advice import PivotCase, judge_pivot
from shadewright.hold.ranges import Ranged

FRICTION, LEFT = Ranged(0.25, 0.35, 0.45), Ranged(0.22, 0.36, 0.5)


def case(torque: float, *, outer: float = 7.0, teeth: bool = False, contact: Contact = Contact.FACES) -> PivotCase:
    tooth, stated = Ranged(3.0, 5.0, 8.0), Ranged.within(torque, 0.25)
    clamp = PivotClamp(
        contact=contact,
        outer=outer,
        inner=0.0 if contact is Contact.ROD else 2.2,
        faces=2,
        force_n=force_from_torque(stated, 4.0),
        friction=FRICTION,
        left=LEFT,
        tooth_shear_mpa=tooth if teeth else None,
    )
    return PivotCase(
        joint="tilt",
        clamp=clamp,
        torque_nm=stated,
        stated=True,
        mass_g=Ranged.within(130, 0.08),
        arm=Ranged(100, 105, 110),
        wanted=1.5,
        tooth_shear_mpa=tooth,
    )


def number(words: str, pattern: str) -> float:
    found = re.search(pattern, words)
    assert found is not None, words
    return float(found[1])


def test_more_torque_cures_a_droop() -> None:
    drooping = judge_pivot(case(0.1))
    torque = number(drooping.cure, r"tighten it to ([\d.]+) N·m")

    assert drooping.verdict is Verdict.FAILING
    assert judge_pivot(case(1.05 * torque)).verdict is Verdict.SOUND  # the number is rounded to two digits
    assert judge_pivot(case(0.6 * torque)).verdict is not Verdict.SOUND


def test_teeth_are_offered_with_what_they_hold() -> None:
    drooping = judge_pivot(case(0.1))
    holds = number(drooping.cure, r"holds ([\d.]+) times")
    toothed = judge_pivot(case(0.1, teeth=True))

    assert toothed.verdict is Verdict.SOUND
    assert toothed.value == pytest.approx(holds, rel=0.05)
    assert "with teeth" in toothed.why


def test_wider_faces_are_offered_when_fingers_do_not_reach() -> None:
    heavy = replace(case(0.4), mass_g=Ranged.within(400, 0.05), tooth_shear_mpa=Ranged.exactly(0.01))
    across = number(judge_pivot(heavy).cure, r"what rubs ([\d.]+) mm across")

    wide = replace(heavy, clamp=replace(heavy.clamp, outer=across / 2 + 0.5))
    assert judge_pivot(heavy).verdict is not Verdict.SOUND
    assert judge_pivot(wide).verdict is Verdict.SOUND


def test_a_rod_that_nothing_helps_is_to_carry_less() -> None:
    slipping = replace(case(0.05, outer=2.0, contact=Contact.ROD), mass_g=Ranged.within(2000, 0.05))
    grams = number(judge_pivot(slipping).cure, r"to (\d+) g")

    assert judge_pivot(replace(slipping, mass_g=Ranged.within(0.97 * grams, 0.05))).verdict is Verdict.SOUND


def test_warmth_fails_it_whatever_it_holds() -> None:
    warm = judge_pivot(replace(case(0.8), too_warm="PLA at 52 °C, limit 40 °C"))

    assert warm.verdict is Verdict.FAILING
    assert "52 °C" in warm.sentence

"""Torque and clamping force: textbook examples, torsion, creep, and what is said of it."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from shadewright.catalog.lookup import plastic, thread
from shadewright.errors import ValueProblem
from shadewright.findings import Verdict
from shadewright.fit.flank import flank_angle
from shadewright.hold.card import material_card, modulus_left
from shadewright.hold.ranges import SECOND_RETENTION, Ranged, factor_of_safety
from shadewright.hold.thread_advice import ThreadCase, judge_thread, lasting
from shadewright.hold.thread_strength import ThreadQuestion, bought_side, printed_side, thread_strength
from shadewright.hold.tightening import (
    EASED,
    HEAD,
    METAL_FRICTION,
    Head,
    length_for,
    thread_part,
    tighten,
    torque_per_newton,
    twist_modulus,
)

PETG = material_card(plastic("PETG"))
WALL = Ranged(1.3, 2.0, 2.7)


def entry(engagement: float = 7.0, *, plastic_name: str = "PETG", temp_c: float = 22.0) -> ThreadQuestion:
    """A steel nipple M10x1 in a printed head."""
    card = material_card(plastic(plastic_name), temp_c=temp_c)
    return ThreadQuestion(
        thread=thread("M10x1"),
        engagement=engagement,
        gap=Ranged(0.05, 0.2, 0.35),
        male=bought_side("nipple"),
        female=printed_side("head", card, lying=False, wall=WALL),
    )


def tightened(question: ThreadQuestion, head: Head | None = None):  # type: ignore[no-untyped-def]
    return tighten(question, head or Head(outer=15, inner=10.5), METAL_FRICTION, PETG)


def case(load: Ranged | None, *, engagement: float = 7.0, **more: object) -> ThreadCase:
    question = entry(engagement)
    return ThreadCase(
        joint="entry",
        question=question,
        strength=thread_strength(question),
        tightening=tightened(question),
        load=load,
        load_words="add load_n = ... to joint entry" if load is None else "60 N as stated",
        **more,  # type: ignore[arg-type]
    )


# Worked examples ------------------------------------------------------------------------------------------------------


def test_nut_factor_of_a_textbook() -> None:
    # Jindal, Machine Design, example 9-3: d 18, p 2.5, thread friction 0.15, collar 0.13 on 0.625 d: K = 0.183435
    d, p = 18.0, 2.5
    pitch_diameter = (d + (d - 1.2268 * p)) / 2
    lever = torque_per_newton(
        pitch=p,
        pitch_diameter=pitch_diameter,
        half_angle=30,
        friction_thread=0.15,
        friction_head=0.13,
        head_mean_radius=0.625 * d,
    )

    assert float(lever) / d == pytest.approx(0.183435, rel=1e-4)


def test_torque_of_a_textbook_screw() -> None:
    # Shigley, Mechanical Engineering Design, example 8-3 (from memory): 3/4-16 UNF, 25 kip, friction 0.15: 3551 lbf in
    lead = 1 / 16
    pitch_diameter = lead / (math.pi * math.tan(math.radians(1.6067)))
    lever = torque_per_newton(
        pitch=lead,
        pitch_diameter=pitch_diameter,
        half_angle=30,
        friction_thread=0.15,
        friction_head=0.15,
        head_mean_radius=0.625 * 0.75,
    )

    assert 25_000 * float(lever) == pytest.approx(3551, rel=1e-3)
    # the same in newtons and millimetres
    metric = torque_per_newton(
        pitch=lead * 25.4,
        pitch_diameter=pitch_diameter * 25.4,
        half_angle=30,
        friction_thread=0.15,
        friction_head=0.15,
        head_mean_radius=0.625 * 0.75 * 25.4,
    )
    assert 25_000 * 4.4482216 * float(metric) / 1000 == pytest.approx(3551 * 0.112984829, rel=1e-3)


def test_a_small_screw_in_a_print() -> None:
    # own example: M4, 300 N, pitch diameter 3.545, friction 0.2, head 5.75 in the mean: 329.5 N mm by the short form of
    # VDI 2230, which leaves out the small product of slope and friction
    lever = torque_per_newton(
        pitch=0.7,
        pitch_diameter=3.545,
        half_angle=30,
        friction_thread=0.2,
        friction_head=0.2,
        head_mean_radius=5.75 / 2,
    )

    assert 300 * float(lever) == pytest.approx(329.5, rel=0.01)
    assert pytest.approx(300 * float(lever), rel=5e-3) == 300 * (0.16 * 0.7 + 0.58 * 3.545 * 0.2 + 5.75 / 2 * 0.2)


def test_twist_modulus_of_solid_and_hollow_cores() -> None:
    # pi d³ / 16 solid; hollow less the bore's share (any strength-of-materials text)
    row = thread("M30x3.5")
    root = row.minor - math.sqrt(3) / 12 * row.pitch
    assert float(twist_modulus(row, None)) == pytest.approx(math.pi * root**3 / 16)
    hollow = float(twist_modulus(row, np.array(2.0)))
    assert hollow == pytest.approx(math.pi * (root**4 - (root - 4) ** 4) / (16 * root))


@given(st.floats(0.05, 0.6), st.floats(0.05, 0.6))
def test_more_friction_takes_more_torque(low: float, more: float) -> None:
    row = thread("M10x1")
    levers = [
        float(thread_part(row.pitch, row.pitch_diameter, flank_angle(row), friction)) for friction in (low, low + more)
    ]
    assert 0 < levers[0] < levers[1]


# How tight is enough --------------------------------------------------------------------------------------------------


def test_what_is_advised_is_a_share_of_what_the_weak_specimen_bears() -> None:
    tight = tightened(entry())

    assert tight.advised_nm == pytest.approx(EASED * tight.fails_nm.low5)
    assert tight.fails_nm.low5 < tight.fails_nm.likely < tight.fails_nm.high95
    left = modulus_left(PETG, 8766)
    assert tight.clamp_later_n.likely == pytest.approx(tight.clamp_n.likely * left.likely, rel=0.05)
    assert not tight.fingers_can_break_it


def test_creep_in_warmth_relaxes_the_clamp_faster() -> None:
    cool = tightened(entry())
    warm = tighten(entry(), Head(outer=15, inner=10.5), METAL_FRICTION, material_card(plastic("PETG"), temp_c=50))

    assert warm.clamp_later_n.likely < 0.6 * cool.clamp_later_n.likely


def test_a_soft_seat_gives_way_first() -> None:
    soft = Head(outer=15, inner=14.5, bearing_mpa=Ranged(5, 8, 12))

    assert tightened(entry(), soft).weakest == HEAD
    assert tightened(entry(), soft).fails_nm.likely < tightened(entry()).fails_nm.likely
    with pytest.raises(ValueProblem, match="seat"):
        Head(outer=10, inner=10)


def test_the_length_for_a_force_bears_it() -> None:
    length = length_for(entry(), 1500)
    strength = thread_strength(entry(length))

    assert strength.strip_per_mm_n.low5 * length == pytest.approx(1500, rel=1e-9)


# What is said ---------------------------------------------------------------------------------------------------------


def test_a_light_lamp_is_sound_and_says_how_tight() -> None:
    finding = judge_thread(case(Ranged.within(15, 0.1)))

    assert finding.verdict is Verdict.SOUND
    assert finding.cure == ""
    assert "finger-tight is fine (0.31 N·m)" in finding.sentence
    assert "overtightened, head tears off around the thread" in finding.why
    assert "after a year" in finding.why and "turns engage" in finding.why


def test_an_unknown_load_is_asked_for_and_the_bearable_one_is_told() -> None:
    finding = judge_thread(case(None))

    assert finding.verdict is Verdict.UNKNOWN
    assert finding.cure == "add load_n = ... to joint entry"
    most = lasting(thread_strength(entry()).force_n).low5 / 1.5
    assert f"{most / 9.80665:.0f} kg" in finding.sentence


def test_overhead_more_is_asked_and_a_second_hold() -> None:
    load = Ranged.exactly(lasting(thread_strength(entry()).force_n).low5 / 2)

    assert judge_thread(case(load)).verdict is Verdict.SOUND
    overhead = judge_thread(case(load, above_people=True))
    assert overhead.verdict is Verdict.DOUBTFUL
    assert overhead.cure.endswith(SECOND_RETENTION)
    assert (overhead.value, overhead.limit) == (pytest.approx(2, rel=0.01), 3.0)


def test_the_cure_does_what_it_says() -> None:
    load = Ranged.exactly(lasting(thread_strength(entry()).force_n).low5 / 0.9)
    finding = judge_thread(case(load))

    assert finding.verdict is Verdict.FAILING
    wall = float(finding.cure.split("head ")[1].split(" mm")[0])
    promised = float(finding.cure.split("then ")[1].split("-fold")[0])
    thicker = replace(entry(), female=replace(entry().female, wall=Ranged.exactly(wall)))
    safety = factor_of_safety(lasting(thread_strength(thicker).force_n), load, 1.5)
    assert safety.cautious == pytest.approx(promised, rel=0.03)
    assert promised >= 1.5


def test_a_short_thread_is_lengthened() -> None:
    question = replace(entry(1.5), female=replace(entry().female, wall=None))
    strength = thread_strength(question)
    load = Ranged.exactly(lasting(strength.force_n).low5 / 1.2)
    finding = judge_thread(replace(case(load), question=question, strength=strength))

    assert finding.verdict is Verdict.DOUBTFUL
    length = float(finding.cure.split("let ")[1].split(" mm")[0])
    longer = replace(question, engagement=length)
    assert factor_of_safety(lasting(thread_strength(longer).force_n), load, 1.5).enough


def test_too_much_torque_is_refused() -> None:
    tight = tightened(entry())
    load = Ranged.exactly(5.0)

    assert judge_thread(case(load, torque_nm=0.9 * tight.advised_nm)).verdict is Verdict.SOUND
    assert judge_thread(case(load, torque_nm=1.2 * tight.advised_nm)).verdict is Verdict.DOUBTFUL
    much = judge_thread(case(load, torque_nm=1.1 * tight.fails_nm.low5))
    assert much.verdict is Verdict.FAILING
    assert "brass insert or a captive nut into head" in much.cure


def test_a_printed_small_screw_is_exchanged_for_metal() -> None:
    question = ThreadQuestion(
        thread=thread("M3"),
        engagement=4.0,
        gap=Ranged.exactly(0.1),
        male=printed_side("screw", PETG, lying=False, wall=None),
        female=bought_side("nut"),
    )
    tight = tighten(question, Head(outer=5.5, inner=3.2), METAL_FRICTION, PETG)
    finding = judge_thread(
        replace(case(Ranged.exactly(1.0)), question=question, strength=thread_strength(question), tightening=tight)
    )

    assert tight.fingers_can_break_it
    assert finding.verdict is Verdict.DOUBTFUL
    assert "metal screw" in finding.cure
    assert "overtightened, screw is twisted off" in finding.why


def test_a_warm_plastic_bears_nothing_for_years() -> None:
    finding = judge_thread(case(Ranged.exactly(1.0), too_warm="PLA at 45 °C, limit 40 °C"))

    assert finding.verdict is Verdict.FAILING
    assert "45 °C" in finding.sentence


def test_numbers_of_our_rules() -> None:
    tight = tightened(entry())

    assert tight.advised_nm == pytest.approx(0.4 * tight.fails_nm.low5)
    assert Head(outer=15, inner=10.5).mean_radius == pytest.approx((7.5 + 5.25) / 2)
    # a tenth of the strength is lost with each tenfold time, counted in minutes: 6.72 decades in ten years
    share = lasting(thread_strength(entry()).force_n).likely / thread_strength(entry()).force_n.likely
    assert share == pytest.approx(1 - 0.095 * math.log10(10 * 365.25 * 24 * 60), rel=1e-3)

"""Strength of threads: worked examples of standards and textbooks, every form by its own profile, doubling rules."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from shadewright.catalog.lookup import plastic, thread
from shadewright.catalog.threads import Form, Sex
from shadewright.hold.card import material_card
from shadewright.hold.ranges import Ranged
from shadewright.hold.thread_strength import (
    BOSS,
    BURST,
    CORE,
    FEMALE,
    FLANKS,
    HOLDER_PLASTIC,
    MALE,
    NOTCH,
    ThreadQuestion,
    bought_side,
    core_area,
    dilation_factor,
    female_factor,
    flank_area,
    male_factor,
    printed_side,
    ridge_area,
    root_diameter,
    shear_area,
    tensile_area,
    thread_strength,
)
from shadewright.solid.profile import profile

PETG = material_card(plastic("PETG"))
NO_GAP = Ranged.exactly(0.0)
FORMS = {
    Form.V60: "M10x1",
    Form.ROUND: "E27 barrel",
    Form.V55: "G1/2",
    Form.TRAPEZOIDAL30: "Tr8x1.5",
    Form.ROUND80: "Pg7",
}


def asked(
    name: str, *, engagement: float = 8.0, gap: float = 0.0, bought: bool = False, lying: bool = False
) -> ThreadQuestion:
    male = bought_side("nipple") if bought else printed_side("stem", PETG, lying=lying, wall=None)
    return ThreadQuestion(
        thread=thread(name),
        engagement=engagement,
        gap=Ranged.exactly(gap),
        male=male,
        female=printed_side("cap", PETG, lying=lying, wall=Ranged(1.3, 2.0, 2.7)),
    )


# Worked examples ------------------------------------------------------------------------------------------------------


def test_shear_areas_of_a_quarter_inch_screw() -> None:
    # FED-STD-H28/2B for 1/4-20 UNC-2A/2B, one inch engaged; Machinery's Handbook has 0.368, 0.539 and 0.0318 in²
    least_major, least_pitch, most_minor, most_pitch = 0.2408, 0.2127, 0.2067, 0.2224
    external = shear_area(most_minor, least_pitch - most_minor, 1 / 20, 1.0, 30)
    internal = shear_area(least_major, least_major - most_pitch, 1 / 20, 1.0, 30)

    assert float(external) == pytest.approx(0.36967, rel=1e-4)
    assert float(internal) == pytest.approx(0.53898, rel=1e-4)


@pytest.mark.parametrize(
    ("size", "pitch", "limits", "areas"),
    [
        (3, 0.5, (2.874, 2.580, 2.599, 2.775), (11.71, 16.64, 5.03)),
        (4, 0.7, (3.838, 3.433, 3.422, 3.663), (21.89, 31.08, 8.78)),
        (6, 1.0, (5.794, 5.212, 5.153, 5.500), (51.87, 73.15, 20.12)),
        (8, 1.25, (7.760, 7.042, 6.912, 7.348), (97.29, 134.63, 36.61)),
    ],
)
def test_areas_of_metric_screws(
    size: float, pitch: float, limits: tuple[float, ...], areas: tuple[float, float, float]
) -> None:
    # the same formulas with the limits of 6g and 6H, engaged one diameter; stress areas as in ISO 898-1
    major, own, minor, other = limits
    external, internal, stress = areas
    row = thread(f"M{size}")

    assert float(shear_area(minor, own - minor, pitch, size, 30)) == pytest.approx(external, rel=1e-3)
    assert float(shear_area(major, major - other, pitch, size, 30)) == pytest.approx(internal, rel=1e-3)
    assert tensile_area(row.pitch_diameter, root_diameter(row)) == pytest.approx(stress, rel=1e-3)


@pytest.mark.parametrize(("name", "area"), [("M16", 156.7), ("M16x1.5", 167.2)])
def test_stress_areas_of_a_textbook(name: str, area: float) -> None:
    # Jindal, Machine Design, example 9-1: d less 0.93825 p
    assert float(core_area(thread(name), None)) == pytest.approx(area, abs=0.06)


def test_weakening_factors_of_alexander() -> None:
    # Alexander 1977 (SAE 770420), from memory; arithmetic of the polynomials
    assert dilation_factor(np.array([1.4, 1.5, 1.6, 1.8, 2.5])) == pytest.approx(
        [0.75, 0.84, 0.91, 0.99, 1.0], abs=6e-3
    )
    assert male_factor(np.array([0.5, 1.2, 1.5, 2.0])) == pytest.approx([0.897, 0.96262, 1.10433, 1.16680], rel=1e-4)
    assert female_factor(np.array([0.4, 0.6, 0.8, 1.5])) == pytest.approx([1.05518, 1.02678, 0.95331, 0.897], rel=1e-4)


def test_a_rigid_screw_does_not_weaken_the_thread_it_strips() -> None:
    # far below a ratio of 0.4 the curve would fall again, to 0.95 at 0.168: it was never fitted there
    assert female_factor(np.array([0.0, 0.168, 0.39])) == pytest.approx([1.0, 1.0, 1.0])


def test_m5_in_pla_strips_as_computed_by_hand() -> None:
    # M5x0.8 with 10 mm engaged in plastic of 50 MPa, shear 0.6 of it: area 99.99 mm² and 2999.6 N without factors
    row = thread("M5")
    major, most_pitch = row.male.major.low, row.female.pitch_diameter.high
    area = float(shear_area(major, major - most_pitch, 0.8, 10, 30))

    assert area == pytest.approx(99.99, rel=2e-3)
    assert area * 0.6 * 50 == pytest.approx(2999.6, rel=2e-3)


def test_a_boss_bursts_by_the_radial_part_of_the_pull() -> None:
    # 500 N on 60 degree flanks push 500 tan 30 = 288.7 N outwards; 2 mm wall, 8 mm long: 2.8715 MPa of hoop stress
    question = asked("M10x1", engagement=8.0)
    wall = replace(question.female, wall=Ranged.exactly(2.0), hoop_mpa=Ranged.exactly(2.8715))
    force = thread_strength(replace(question, female=wall)).forces_n[BURST]

    assert force.likely == pytest.approx(500, rel=1e-4)


# Every form against its own profile -----------------------------------------------------------------------------------


@pytest.mark.parametrize("form", list(Form))
@pytest.mark.parametrize("gap_share", [0.0, 0.15, 0.3])
def test_ridges_are_as_wide_as_the_profile_that_is_drawn(form: Form, gap_share: float) -> None:
    row = thread(FORMS[form])
    question = asked(FORMS[form])
    outline = profile(row, 0.0, 1e-4)
    z = np.linspace(0, row.pitch, 40_001)
    radius = np.interp(z, outline.z, outline.r)
    gap = gap_share * row.depth
    turns = question.engagement / row.pitch

    minor = row.minor + gap  # crests of the female cut the male's ridges here
    male = math.pi * minor * turns * row.pitch * float(np.mean(radius > minor / 2))
    major = row.major - gap  # seen from the female, the male's crests stand so much lower
    female = math.pi * row.major * turns * row.pitch * float(np.mean(radius < major / 2))

    least = 0.8 if form in (Form.V55, Form.ROUND80) and not gap_share else 0.98  # roots rounded off are left out
    assert least * male <= float(ridge_area(question, np.array(gap), Sex.MALE)) <= 1.01 * male
    assert least * female <= float(ridge_area(question, np.array(gap), Sex.FEMALE)) <= 1.01 * female


@given(st.sampled_from(list(FORMS.values())), st.floats(0.2, 3.0))
def test_areas_grow_with_the_square_of_the_size(name: str, scale: float) -> None:
    row = thread(name)
    large = replace(
        row,
        pitch=row.pitch * scale,
        major=row.major * scale,
        pitch_diameter=row.pitch_diameter * scale,
        minor=row.minor * scale,
    )
    question = asked(name, gap=0.05)
    scaled = replace(question, thread=large, engagement=question.engagement * scale)
    for sex in Sex:
        one = float(ridge_area(question, np.array(0.05), sex))
        other = float(ridge_area(scaled, np.array(0.05 * scale), sex))
        assert other == pytest.approx(scale**2 * one, rel=1e-9)
    assert float(flank_area(scaled, np.array(0.0))) == pytest.approx(
        scale**2 * float(flank_area(question, np.array(0.0))), rel=1e-9
    )


@settings(max_examples=30, deadline=None)
@given(st.sampled_from(list(FORMS.values())), st.floats(2, 20), st.floats(0, 20), st.floats(0, 0.5), st.floats(0, 0.5))
def test_longer_engagement_and_less_play_never_strip_earlier(
    name: str, length: float, more: float, gap: float, wider: float
) -> None:
    tight = thread_strength(asked(name, engagement=length + more, gap=gap), draws=400)
    loose = thread_strength(asked(name, engagement=length, gap=gap + wider), draws=400)

    for mode in (MALE, FEMALE, FLANKS):
        if loose.forces_n[mode].likely > 0:
            ratio = loose.forces_n[mode].likely / tight.forces_n[mode].likely
            assert ratio <= 1 + 1e-9 or mode == MALE  # a weaker female relieves the male's factor a little
            assert ratio <= 1.35


def test_doubling_the_engagement_doubles_the_stripping_force_and_not_the_core() -> None:
    short, long = (thread_strength(asked("M10x1", engagement=length, bought=True)) for length in (5.0, 10.0))

    for mode in (FEMALE, FLANKS, BURST):
        assert long.forces_n[mode].low5 == pytest.approx(2 * short.forces_n[mode].low5, rel=1e-9)
    assert long.forces_n[CORE] == short.forces_n[CORE]
    assert long.strip_per_mm_n.likely == pytest.approx(short.strip_per_mm_n.likely, rel=1e-9)


def test_threads_that_pass_each_other_hold_nothing() -> None:
    row = thread("M10x1")
    strength = thread_strength(asked("M10x1", gap=row.major - row.minor + 0.1))

    assert strength.force_n.high95 == pytest.approx(0, abs=1e-9)


def test_a_metal_screw_spares_its_own_thread() -> None:
    strength = thread_strength(asked("M10x1", bought=True))

    assert strength.forces_n[MALE].low5 > strength.forces_n[FEMALE].high95
    assert strength.weakest in (FEMALE, FLANKS, BOSS)
    assert "cap" in strength.sentence


def test_lying_a_printed_screw_keeps_its_core_and_loses_its_ridges() -> None:
    up, lying = thread_strength(asked("M10")), thread_strength(asked("M10", lying=True))

    assert lying.forces_n[CORE].low5 > 2 * up.forces_n[CORE].high95 * NOTCH.low  # along the layers, and no notch
    assert lying.forces_n[MALE].likely < up.forces_n[MALE].likely
    assert up.weakest in {CORE, BOSS}


def test_the_length_that_strips_as_late_as_the_core_tears_does() -> None:
    question = replace(asked("M10", engagement=6.0), female=bought_side("nut", HOLDER_PLASTIC))
    found = thread_strength(question)
    again = thread_strength(replace(question, engagement=found.engagement_for_core))

    strip = min(again.forces_n[MALE].likely, again.forces_n[FEMALE].likely)
    assert strip == pytest.approx(again.forces_n[CORE].likely, rel=0.05)
    assert found.turns_for_core(1.5) == pytest.approx(found.engagement_for_core / 1.5)


def test_hotter_threads_are_never_stronger() -> None:
    forces = []
    for temp_c in (20.0, 40.0, 60.0, 75.0):
        card = material_card(plastic("PETG"), temp_c=temp_c)
        side = printed_side("cap", card, lying=False, wall=Ranged(1.3, 2.0, 2.7))
        forces.append(thread_strength(replace(asked("M10x1", bought=True), female=side)).force_n.low5)

    assert forces == sorted(forces, reverse=True)
    assert forces[-1] < 0.5 * forces[0]


def test_layers_decide_what_each_side_bears() -> None:
    up = printed_side("stem", PETG, lying=False, wall=None)
    lying = printed_side("stem", PETG, lying=True, wall=None)

    assert up.tension_mpa.likely == pytest.approx(PETG.strength_across_mpa.likely * 0.7)  # roots are notches, judged
    assert (up.hoop_mpa, up.shear_mpa) == (PETG.strength_along_mpa, PETG.shear_along_mpa)
    assert lying.tension_mpa == PETG.strength_along_mpa
    assert (lying.hoop_mpa, lying.shear_mpa) == (PETG.strength_across_mpa, PETG.shear_across_mpa)
    assert up.torsion_mpa == lying.torsion_mpa == PETG.shear_across_mpa
    # Alexander takes 0.6 of the tensile strength as shear strength
    assert bought_side("screw", Ranged.exactly(400)).shear_mpa.likely == pytest.approx(240)


def test_a_boss_tears_by_the_ring_around_its_thread() -> None:
    question = asked("M10x1")
    wall = replace(question.female, wall=Ranged.exactly(2.0), tension_mpa=Ranged.exactly(20.0))
    force = thread_strength(replace(question, female=wall)).forces_n[BOSS]

    assert force.likely == pytest.approx(20 * math.pi / 4 * (14**2 - 10**2), rel=1e-9)

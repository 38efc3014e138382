"""Axial section of a thread, against the standards' own numbers and against what a printer can lay."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from shadewright.catalog.lookup import thread, threads
from shadewright.catalog.threads import Form, Sex
from shadewright.errors import ValueProblem
from shadewright.findings import Verdict
from shadewright.solid.profile import print_upright, printable_upright, profile

ONE_OF_EACH_FORM = ("M10x1", "E27", "G1/2", "Tr20x4", "Pg16")


def curvature_radius(z: np.ndarray, r: np.ndarray) -> float:
    """Radius of the circle through the first, middle and last of some points (circumradius a b c / 4 A)."""
    points = np.column_stack([z, r])[[0, len(z) // 2, -1]]
    a, b, c = (np.linalg.norm(points[i] - points[j]) for i, j in ((0, 1), (1, 2), (2, 0)))
    (x1, y1), (x2, y2) = points[1] - points[0], points[2] - points[0]
    return float(a * b * c / (2 * abs(x1 * y2 - x2 * y1)))


def test_iso_metric_form_has_the_flats_and_flanks_of_iso_68_1() -> None:
    """ISO 68-1: crest flat P/8, root flat P/4, flanks 30 degrees, height 5/8 H; M10x1 from ISO 724."""
    form = profile(thread("M10x1"))
    assert form.z.tolist() == pytest.approx([0, 1 / 8, 7 / 16, 1 / 2, 9 / 16, 7 / 8, 1], abs=2e-4)
    assert 2 * form.greatest == pytest.approx(10.0)
    assert 2 * form.least == pytest.approx(8.917)  # ISO 724, table: M10x1 minor diameter
    assert 2 * form.at(np.array([0.25]))[0] == pytest.approx(9.350, abs=1e-3)  # ISO 724: pitch diameter
    assert form.overhang_deg(Sex.MALE) == pytest.approx(60, abs=0.02)


def test_edison_form_is_two_equal_arcs_of_the_standard_radius() -> None:
    """Radius 1.025 mm for E27: gauge table of GOST 25578-83, which carries IEC 60061-1's form."""
    e27 = thread("E27")
    form = profile(e27, chord=1e-4)
    quarter = e27.pitch / 4
    root, crest = form.z <= quarter + 1e-9, (form.z >= quarter - 1e-9) & (form.z <= 3 * quarter + 1e-9)
    assert curvature_radius(form.z[root], form.r[root]) == pytest.approx(1.025, abs=1e-3)
    assert curvature_radius(form.z[crest], form.r[crest]) == pytest.approx(1.025, abs=1e-3)
    assert form.at(np.array([quarter]))[0] == pytest.approx((26.45 + 24.26) / 4)


@pytest.mark.parametrize(
    ("name", "radius", "tolerance", "why"),
    [
        ("G1/2", 0.249, 0.005, "ISO 228-1: r = 0.137329 P"),
        ("Pg16", 0.107 * 25.4 / 18, 0.025, "DIN 40430: r = 0.107 P, from memory; diameters are rounded to 0.01 mm"),
    ],
)
def test_rounded_crests_have_the_standard_radius(name: str, radius: float, tolerance: float, why: str) -> None:
    form = profile(thread(name), chord=1e-5)
    middle = form.pitch / 2
    crest = np.abs(form.z - middle) < radius * 0.5
    assert curvature_radius(form.z[crest], form.r[crest]) == pytest.approx(radius, rel=tolerance), why


def test_trapezoidal_crest_is_0_366_of_the_pitch_wide() -> None:
    """ISO 2901: width at the crest 0.366 P, for the basic profile with a height of P/2."""
    form = profile(thread("Tr20x4"))
    crest = form.z[np.isclose(form.r, form.greatest)]
    assert crest[-1] - crest[0] == pytest.approx(0.366 * 4, abs=2e-3)
    assert form.depth == pytest.approx(2.0)


def test_mean_square_of_the_60_degree_form_in_closed_form() -> None:
    """A cone frustum of radii a, b has mean square (a² + ab + b²)/3; flats count with their width."""
    form = profile(thread("M10x1"))
    a, b = 8.917 / 2, 5.0
    expected = a * a / 4 + b * b / 8 + (1 - 3 / 8) * (a * a + a * b + b * b) / 3
    assert form.mean_square == pytest.approx(expected, rel=1e-4)


@pytest.mark.parametrize("name", ONE_OF_EACH_FORM)
def test_allowance_shifts_every_diameter(name: str) -> None:
    plain, slim = profile(thread(name)), profile(thread(name), -0.3)
    assert (plain.r - slim.r).tolist() == pytest.approx([0.15] * len(plain.r))


def test_every_form_of_the_catalogue_is_among_those_tested() -> None:
    assert {thread(name).form for name in ONE_OF_EACH_FORM} == set(Form) == {row.form for row in threads()}


@settings(max_examples=60, deadline=None)
@given(name=st.sampled_from(ONE_OF_EACH_FORM), sex=st.sampled_from(list(Sex)), limit=st.floats(15, 75))
def test_upright_form_only_loses_plastic_and_keeps_the_limit(name: str, sex: Sex, limit: float) -> None:
    true = profile(thread(name))
    shaped, kept = print_upright(true, limit, sex)
    z = np.linspace(0, true.pitch, 2001)
    taken = true.at(z) - shaped.at(z) if sex is Sex.MALE else shaped.at(z) - true.at(z)
    assert taken.min() > -1e-9
    assert shaped.overhang_deg(sex) <= limit + 1e-6
    assert kept == pytest.approx(shaped.depth / true.depth)
    # no more than needed: where plastic is gone, the surface rises exactly as steeply as it may
    slope = np.diff(shaped.r) / np.diff(shaped.z) * (1 if sex is Sex.MALE else -1)
    middle = (shaped.z[:-1] + shaped.z[1:]) / 2
    changed = np.abs(shaped.at(middle) - true.at(middle)) > 1e-6
    assert slope[changed].tolist() == pytest.approx([math.tan(math.radians(limit))] * int(changed.sum()), rel=1e-6)


def test_upright_male_metric_keeps_88_percent() -> None:
    """Own geometry: a 45 degree ramp from z = P/8 meets the upper flank after 3/4 P * 1.732 / 2.732 = 0.4755 P."""
    _, kept = print_upright(profile(thread("M10x1")), 45, Sex.MALE)
    assert kept == pytest.approx(0.4755 / 0.54127, abs=1e-3)


def test_a_gentle_form_is_left_alone() -> None:
    true = profile(thread("E27"))
    shaped, kept = print_upright(true, 60, Sex.FEMALE)
    assert kept == 1.0
    assert shaped.at(true.z).tolist() == pytest.approx(true.r.tolist())


def test_says_when_a_thread_prints_upright() -> None:
    answer = printable_upright(thread("E27"), Sex.FEMALE)
    assert answer.verdict is Verdict.SOUND
    assert answer.sentence == "E27 prints upright: 100 % of its ridge is left at an overhang of 45 degrees."


def test_says_when_a_thread_cannot_print_upright() -> None:
    fine = printable_upright(thread("M3"), Sex.MALE, layer=0.2, nozzle=0.4)
    assert fine.verdict is Verdict.FAILING
    assert "its pitch of 0.5 mm is under 3 layers of 0.2 mm" in fine.sentence
    assert "under 1.5 times the 0.4 mm nozzle" in fine.sentence
    flat = printable_upright(thread("M30x3.5"), Sex.MALE, limit=15)
    assert flat.verdict is Verdict.FAILING
    assert "of its ridge would be left, 60 % is the least" in flat.sentence
    assert "common practice, no source" in flat.source


def test_a_ridge_narrower_than_the_nozzle_is_doubtful() -> None:
    assert printable_upright(thread("M10x1"), Sex.MALE, nozzle=0.6).verdict is Verdict.DOUBTFUL
    assert printable_upright(thread("M10x1"), Sex.MALE, nozzle=0.25).verdict is Verdict.SOUND


def test_ridge_width_is_half_a_pitch_at_half_height_for_a_symmetric_form() -> None:
    """Two equal arcs: ridge and groove are alike."""
    form = profile(thread("E27"))
    assert form.ridge_width(Sex.MALE) == pytest.approx(3.629 / 2, abs=5e-3)
    assert form.ridge_width(Sex.FEMALE) == pytest.approx(3.629 / 2, abs=5e-3)


@pytest.mark.parametrize("limit", [0, 90, -5, math.nan])
def test_refuses_an_impossible_overhang_limit(limit: float) -> None:
    with pytest.raises(ValueProblem, match="it must lie between 0 and 90"):
        print_upright(profile(thread("E27")), limit, Sex.MALE)


def test_refuses_an_allowance_that_eats_the_thread() -> None:
    with pytest.raises(ValueProblem, match="leaves nothing of M10x1"):
        profile(thread("M10x1"), -9)

"""Plain fits against ISO 286: values typed from the named sources, and the standard's own formula."""

from itertools import pairwise
from math import sqrt

import pytest

from shadewright.catalog.fits import deviation_um, fit_limits, grade_steps, it_grade_um, shaft_steps
from shadewright.catalog.lookup import fits
from shadewright.errors import UnknownName, ValueProblem


@pytest.mark.parametrize(
    ("size", "grade", "width_um"),
    # IT6 and IT7 tool catalogue, seen; IT14 encyclopaedia page, seen
    [(20, 6, 13), (30, 7, 21), (10, 14, 360), (100, 14, 870)],
)
def test_grades(size, grade, width_um):
    assert it_grade_um(size, grade) == width_um


def test_f9_shaft_of_12():
    # shoulder-screw table, seen: 11.984 / 11.941
    shaft = fit_limits(12, "f9")
    assert (shaft.low, shaft.high) == pytest.approx((11.941, 11.984))


def test_h7_g6_of_50():
    # derived from the seen table: hole 0/+25, shaft -25/-9, clearance 9 to 50 µm
    hole, shaft = fit_limits(50, "H7"), fit_limits(50, "g6")
    assert deviation_um(50, "g", 6) == (-25, -9)
    assert hole.low - shaft.high == pytest.approx(0.009)
    assert hole.high - shaft.low == pytest.approx(0.050)


def test_g_of_6_to_10_is_not_the_misprint():
    assert deviation_um(8, "g", 6)[1] == -5


def test_steps_border_on_each_other_without_gap():
    for steps in (grade_steps(), shaft_steps()):
        assert steps[0].over == 0 and steps[-1].up_to == 120
        for lower, upper in pairwise(steps):
            assert lower.up_to == upper.over
    assert it_grade_um(3, 6) == 6 and it_grade_um(3.001, 6) == 8  # a size on the border belongs to the lower step


def test_grades_from_the_formula():
    # ISO 286-1: i = 0.45 D^(1/3) + 0.001 D; IT5 to IT14 = 7, 10, 16, 25, 40, 64, 100, 160, 250, 400 i. The printed
    # table rounds, most below 3 mm, where the formula is not exact.
    factors = dict(zip(range(5, 15), (7, 10, 16, 25, 40, 64, 100, 160, 250, 400), strict=True))
    for step in grade_steps()[1:]:
        mean = sqrt(step.over * step.up_to)
        unit = 0.45 * mean ** (1 / 3) + 0.001 * mean
        for grade, factor in factors.items():
            assert step.grade_um[grade] == pytest.approx(factor * unit, rel=0.08, abs=0.75)


def test_tolerance_unit():
    # derived: D = sqrt(18 x 30) makes i = 1.307 µm, so IT7 = 16 i = 20.9
    assert it_grade_um(25, 7) == round(16 * 1.307)


def test_shaft_deviations_from_the_formulas():
    # ISO 286-1, memory: d -16 D^0.44, e -11 D^0.41, f -5.5 D^0.41, g -2.5 D^0.34, n +5 D^0.34 (µm, mm)
    for step in shaft_steps()[1:]:
        if (step.over, step.up_to) in ((50, 65), (65, 80), (80, 100), (100, 120)):
            continue  # half steps share the deviation of the whole step
        mean = sqrt(step.over * step.up_to)
        formulas = {
            "d": -16 * mean**0.44,
            "e": -11 * mean**0.41,
            "f": -5.5 * mean**0.41,
            "g": -2.5 * mean**0.34,
            "n": 5 * mean**0.34,
        }
        for letter, value in formulas.items():
            assert step.deviation_um[letter] == pytest.approx(value, rel=0.06, abs=0.6), (step.over, letter)


def test_js_lies_evenly_and_k_is_bound_to_fine_grades():
    low, high = deviation_um(20, "js", 7)
    assert -low == high == 10.5
    assert deviation_um(20, "k", 6) == (2, 15)
    assert deviation_um(20, "k", 9) == (0, 52)


@pytest.mark.parametrize(("size", "grade"), [(0, 7), (-3, 7), (121, 7), (20, 4), (20, 15)])
def test_outside_the_table_is_refused(size, grade):
    with pytest.raises(ValueProblem):
        it_grade_um(size, grade)


@pytest.mark.parametrize("position", ["z6", "G7", "H", "7", "", "hh6"])
def test_unknown_positions_are_refused(position):
    with pytest.raises(UnknownName):
        fit_limits(20, position)


def test_all_rows_are_handed_out():
    assert len(fits()) == len(grade_steps()) + len(shaft_steps())

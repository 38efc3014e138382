"""Ranges carried through a calculation, against closed forms of the triangle and of sums."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from shadewright.catalog.lookup import plastic
from shadewright.errors import ValueProblem
from shadewright.hold.ranges import (
    Outcome,
    Ranged,
    draw,
    factor_of_safety,
    governing,
    propagate,
    propagate_all,
    rounded,
    wanted_margin,
)


@given(st.floats(-50, 50), st.floats(0, 20), st.floats(0, 20), st.floats(0.1, 10))
def test_a_linear_answer_has_the_triangles_own_quantiles(low: float, up: float, more: float, factor: float) -> None:
    ranged = Ranged(low, low + up, low + up + more)
    outcome = propagate(lambda x: factor * x, {"x": ranged}, draws=1000)

    # closed form: below the peak the distribution is (x - a)² / ((b - a)(c - a)), above it 1 - (b - x)² / (...)
    for share, found in ((0.05, outcome.low5), (0.5, outcome.likely), (0.95, outcome.high95)):
        a, c, b = ranged.low, ranged.likely, ranged.high
        x = found / factor
        if b - a < 1e-6:
            assert x == pytest.approx(a, abs=1e-6)
            continue
        below = (x - a) ** 2 / ((b - a) * (c - a)) if x < c and c > a else 1 - (b - x) ** 2 / ((b - a) * (b - c or 1))
        assert below == pytest.approx(share, abs=0.003)


def test_mean_and_deviation_of_the_triangle_are_those_of_its_draws() -> None:
    ranged = Ranged(2.0, 3.0, 7.0)
    values = draw({"x": ranged}, 20_000, 7)["x"]

    assert values.mean() == pytest.approx(ranged.mean, rel=1e-3)
    assert values.std() == pytest.approx(ranged.sd, rel=1e-3)
    assert (ranged.mean, ranged.sd) == pytest.approx((4.0, math.sqrt((4 + 49 + 9 - 14 - 6 - 21) / 18)))


def test_a_sum_of_many_inputs_is_nearly_normal() -> None:
    inputs = {f"x{k}": Ranged(0.0, 1.0, 2.0) for k in range(12)}
    outcome = propagate(lambda **xs: sum(xs.values()), inputs, draws=20_000)

    # central limit: mean 12, variance 12 / 6, normal 5 % point at -1.6449 deviations
    assert outcome.likely == pytest.approx(12, abs=0.05)
    assert outcome.low5 == pytest.approx(12 - 1.6449 * math.sqrt(2), abs=0.06)
    assert outcome.high95 == pytest.approx(12 + 1.6449 * math.sqrt(2), abs=0.06)


def test_the_seed_decides_and_inputs_do_not_disturb_each_other() -> None:
    x = Ranged(0.0, 1.0, 2.0)
    alone, beside = draw({"x": x}, 100, 3)["x"], draw({"y": x, "x": x}, 100, 3)

    assert np.array_equal(alone, beside["x"])
    assert not np.array_equal(beside["x"], beside["y"])
    assert not np.array_equal(alone, draw({"x": x}, 100, 4)["x"])


def test_results_of_one_function_share_their_draws() -> None:
    outcomes = propagate_all(lambda x: {"once": x, "twice": 2 * x}, {"x": Ranged(1, 2, 4)})

    assert outcomes["twice"].low5 == pytest.approx(2 * outcomes["once"].low5, rel=1e-12)


@pytest.mark.parametrize("ends", [(2, 1, 3), (1, 4, 3), (1, 2, math.inf), (math.nan, 1, 2)])
def test_ranges_that_cannot_be_are_refused(ends: tuple[float, float, float]) -> None:
    with pytest.raises(ValueProblem, match="ascending order"):
        Ranged(*ends)


def test_the_catalogues_source_comes_along() -> None:
    ranged = Ranged.of(plastic("PLA").strength_across_mpa)

    assert ranged.source == "tensile-open-data"
    assert Ranged.of(plastic("PLA").yield_strain_percent).source == "data-sheets, from memory"
    assert ranged.times(2).source == ranged.source


def test_the_weakest_governs_and_safety_counts_the_weak_specimen() -> None:
    assert governing({"a": Outcome(9, 10, 11), "b": Outcome(1, 9, 30)}) == "b"
    safety = factor_of_safety(Outcome(30, 40, 50), Ranged(8, 10, 12), 1.5)
    assert (safety.cautious, safety.likely, safety.enough) == (2.5, 4.0, True)
    assert wanted_margin(above_people=True) > wanted_margin(above_people=False) > 1
    with pytest.raises(ValueProblem):
        governing({})
    with pytest.raises(ValueProblem):
        factor_of_safety(Outcome(1, 2, 3), Ranged(0, 0, 0), 1.5)


def test_numbers_are_written_with_the_digits_they_have() -> None:
    assert [rounded(value) for value in (0.4123, 12.6, 1342, 0, 0.05678)] == ["0.41", "13", "1300", "0", "0.057"]
    assert Outcome(9.4, 12.2, 15.1).text("N") == "12 N (9.4 to 15)"
    assert Outcome(12, 12, 12).text("N") == "12 N"

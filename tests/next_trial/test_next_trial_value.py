"""What a trial is worth, against simulation and against laws of information."""

from __future__ import annotations

import dataclasses
import math

import numpy as np
import pytest
from scipy.stats import norm

from shadewright.errors import ValueProblem
from shadewright.fit.feel import FEELS, FeelBounds, built_in_bounds, chance_of
from shadewright.fit.joint import Feel, JointKind
from shadewright.fit.learn_prior import PRINT_SHARE
from shadewright.fit.next_trial import PRINTS, next_trial, rungs_about, trial_plan
from shadewright.fit.next_trial_serves import (
    SERVED_WORTH,
    chance_served,
    harmless_neighbour,
    served_band,
    serves,
    worth,
)
from shadewright.fit.next_trial_standing import Stake, Standing, told
from shadewright.fit.next_trial_value import feel_chances, outcomes, prospect

SLIDE = built_in_bounds(JointKind.SLIDE)


def stake(name: str = "neck", feel: Feel = Feel.SNUG, **more: object) -> Stake:
    base = Stake(
        joint=name,
        feel=feel,
        bounds=SLIDE,
        clearance=0.2,
        rung_scatter=0.04,
        mate_scatter=0.03,
        part="shade",
        trial_min=((3, 12.0), (4, 15.0), (5, 18.0)),
    )
    return dataclasses.replace(base, **more)  # type: ignore[arg-type]


def standing(*stakes: Stake, sd: float = 0.1, correlation: float = 0.0, minutes: float = 240.0) -> Standing:
    n = len(stakes)
    cover = sd**2 * (np.full((n, n), correlation) + (1 - correlation) * np.eye(n))
    return Standing(
        stakes=stakes,
        offsets=(-0.2,) * n,
        covariance=tuple(map(tuple, cover.tolist())),
        part_min=tuple((part, minutes) for part in dict.fromkeys(one.part for one in stakes)),
    )


def simulated_worth(one: Stake, sd: float, clearances: tuple[float, ...], draws: int) -> float:
    """Brute force: print and try the trial ``draws`` times; for what was felt alike draw the best size, and average."""
    rng = np.random.default_rng(7)
    offset = -0.2 + sd * rng.standard_normal(draws)
    shared = math.sqrt(PRINT_SHARE) * one.rung_scatter * rng.standard_normal(draws)
    gauge = one.mate_scatter * rng.standard_normal(draws)
    felt = np.zeros(draws, dtype=int)
    for clearance in clearances:
        own = math.sqrt(1 - PRINT_SHARE) * one.rung_scatter * rng.standard_normal(draws)
        judged = offset + clearance + shared + gauge + own + one.bounds.softness * rng.standard_normal(draws)
        felt = 6 * felt + np.searchsorted(one.bounds.gaps, judged)
    low, middle = one.bounds.band(one.feel)
    high = one.bounds.band(harmless_neighbour(one.bounds.kind, one.feel))[1]
    total = 0.0
    for outcome in np.unique(felt):
        inside = offset[felt == outcome]
        best = 0.0
        for drawn in np.arange(-0.4, 1.0, 0.02):
            at_edge = [norm.cdf((edge - drawn - inside) / one.real_sd).mean() for edge in (low, middle, high)]
            best = max(best, at_edge[1] - at_edge[0] + SERVED_WORTH * (at_edge[2] - at_edge[1]))
        total += len(inside) / draws * best
    return total


@pytest.mark.parametrize(
    ("sd", "clearances"), [(0.1, (0.1, 0.2, 0.3)), (0.05, (0.15, 0.2, 0.25)), (0.15, (0.0, 0.2, 0.4))]
)
def test_worth_of_a_trial_agrees_with_printing_it_many_times(sd: float, clearances: tuple[float, ...]) -> None:
    one = stake()
    shown = outcomes(one, -0.2, sd, clearances)
    after = prospect(standing(one, sd=sd), 0).after(shown.joint_weights)[0][0]
    # 40 000 prints: standard error about 0.001; groups of few prints flatter the simulation by about as much.
    assert float(after @ shown.chances) == pytest.approx(simulated_worth(one, sd, clearances, 40_000), abs=0.004)


def test_worth_without_a_trial_is_that_of_the_best_size() -> None:
    one = stake()
    now = float(prospect(standing(one), 0).now()[0][0])
    drawn = max(worth(one.feel, -0.2 + c, math.hypot(0.1, 0.05), SLIDE) for c in np.arange(0, 0.6, 0.005))
    assert now == pytest.approx(drawn, abs=0.001)


def test_outcomes_are_all_there_is() -> None:
    shown = outcomes(stake(), -0.2, 0.1, (0.1, 0.2, 0.3))
    assert shown.chances.sum() == pytest.approx(1, abs=1e-9)
    assert shown.chances[-1] < 0.02  # what was gathered
    mean = float(shown.joint_weights.sum(axis=0) @ shown.offsets)
    assert mean == pytest.approx(-0.2, abs=1e-9)
    assert 0 < shown.spread_left() < 0.1**2


def test_fine_feels_read_like_a_ruler() -> None:
    """Many narrow feels in many rungs: the variance left is 1 / (1/sd² + 1/noise²), Gauss."""
    fine = FeelBounds(JointKind.SLIDE, (-0.1, -0.04, 0.02, 0.08, 0.14), 0.001)
    one = stake(bounds=fine, rung_scatter=0.0, mate_scatter=0.06)
    rungs = (-0.1, -0.02, 0.06, 0.14, 0.22, 0.30, 0.38)
    left = outcomes(one, -0.12, 0.08, rungs).spread_left()
    assert left == pytest.approx(1 / (1 / 0.08**2 + 1 / 0.06**2), rel=0.08)


@pytest.mark.parametrize("feel", [Feel.FREE, Feel.EASY, Feel.SNUG, Feel.TIGHT])
def test_more_rungs_never_tell_less(feel: Feel) -> None:
    one = stake(feel=feel)
    seen = prospect(standing(one), 0)
    before = float(seen.now()[0][0])
    rungs = (0.2, 0.1, 0.3, 0.15, 0.25, 0.05, 0.35)
    for count in range(1, 6):
        shown = outcomes(one, -0.2, 0.1, tuple(sorted(rungs[:count])))
        after = float(seen.after(shown.joint_weights)[0][0] @ shown.chances)
        assert after >= before - 2e-3  # rare outcomes are gathered, which may cost that much
        before = max(before, after)


def test_where_nothing_is_unsure_nothing_is_gained() -> None:
    advice = next_trial(standing(stake(), sd=0.0))
    assert advice.trial is None
    assert all(choice.saves_min == pytest.approx(0, abs=1e-9) for choice in advice.best_by_joint)


def test_a_trial_pays_from_the_part_time_at_which_it_saves_its_own() -> None:
    """Savings go with the part's time: the decision flips where they equal the trial's minutes."""
    one = stake(trial_min=((3, 12.0),))
    (choice,) = next_trial(standing(one, minutes=100.0)).best_by_joint
    flips = 100.0 * choice.minutes / choice.saves_min
    assert next_trial(standing(one, minutes=0.98 * flips)).trial is None
    assert next_trial(standing(one, minutes=1.02 * flips)).trial is not None
    assert flips > 12.0 / PRINTS  # a part as short as that is its own best trial


def test_a_long_part_pays_for_more_rungs() -> None:
    short, long = (next_trial(standing(stake(), minutes=minutes)).trial for minutes in (120.0, 50_000.0))
    assert short is not None
    assert long is not None
    assert len(long.clearances) > len(short.clearances)


def test_a_joint_without_a_trial_piece_gets_none() -> None:
    assert next_trial(standing(stake(trial_min=()))).trial is None


def test_joints_that_share_an_answer_are_tried_once() -> None:
    pair = stake("neck"), stake("foot", part="base")
    shared = trial_plan(standing(*pair, correlation=1.0))
    apart = trial_plan(standing(*pair, correlation=0.0))
    assert {choice.joint for choice in apart} == {"neck", "foot"}
    (first,) = {choice.joint for choice in shared}
    (other,) = {"neck", "foot"} - {first}
    assert shared[0].shared_with == (other,)
    assert apart[0].shared_with == ()


def test_of_several_joints_one_that_others_learn_from_is_tried_first() -> None:
    three = stake("a"), stake("b"), stake("alone")
    cover = 0.01 * np.array([[1.0, 0.9, 0.0], [0.9, 1.0, 0.0], [0.0, 0.0, 1.0]])
    known = dataclasses.replace(standing(*three), covariance=tuple(map(tuple, cover.tolist())))
    first = next_trial(known).trial
    assert first is not None
    assert first.joint in {"a", "b"}


def test_advice_counts_all_joints_of_a_lamp() -> None:
    two = next_trial(standing(stake("a"), stake("b")))
    assert two.all_serve == pytest.approx(math.prod(chance for _, chance in two.serve))
    assert next_trial(standing()).all_serve == 1.0
    assert two.trial is not None
    assert two.trial.all_serve > two.all_serve
    assert two.trial.saves_min < two.at_stake_min


def test_telling_one_offset_moves_the_others_as_conditioning_does() -> None:
    """Against the textbook conditional of a joint normal: mean m + C/V (x - m), covariance C - cc'/V."""
    known = standing(stake("a"), stake("b"), correlation=0.6)
    after = told(known, 0, -0.1, 0.0)
    assert after.offsets[1] == pytest.approx(-0.2 + 0.6 * 0.1)
    assert after.covariance[1][1] == pytest.approx(0.01 * (1 - 0.6**2))
    assert after.covariance[0][1] == pytest.approx(0.0, abs=1e-12)


def test_feel_chances_are_those_of_sizing() -> None:
    gaps = (-0.1, 0.05, 0.3)
    table = feel_chances(SLIDE, np.array(gaps), math.hypot(0.05, SLIDE.softness))
    for place, gap in enumerate(gaps):
        for row, feel in enumerate(FEELS):
            assert table[row, place] == pytest.approx(chance_of(feel, gap, 0.05, SLIDE), abs=1e-12)


@pytest.mark.parametrize("kind", [JointKind.SLIDE, JointKind.PUSH, JointKind.THREAD])
def test_loose_and_fixed_serve_only_where_they_are_wanted(kind: JointKind) -> None:
    for wanted in FEELS:
        beside = harmless_neighbour(kind, wanted)
        assert abs(FEELS.index(beside) - FEELS.index(wanted)) == 1
        assert beside not in (Feel.LOOSE, Feel.FIXED)
        assert {felt for felt in FEELS if serves(kind, wanted, felt)} == {wanted, beside}


@pytest.mark.parametrize(
    ("kind", "wanted", "beside"),
    [
        (JointKind.SLIDE, Feel.SNUG, Feel.EASY),
        (JointKind.THREAD, Feel.EASY, Feel.FREE),
        (JointKind.PUSH, Feel.TIGHT, Feel.SNUG),
        (JointKind.PUSH, Feel.SNUG, Feel.TIGHT),
    ],
)
def test_which_side_does_no_harm(kind: JointKind, wanted: Feel, beside: Feel) -> None:
    assert harmless_neighbour(kind, wanted) is beside


def test_serving_is_the_wanted_feel_and_its_neighbour_together() -> None:
    low, high = served_band(SLIDE, Feel.SNUG)
    assert (low, high) == (SLIDE.gaps[1], SLIDE.gaps[3])
    spread = math.hypot(0.07, SLIDE.softness)
    expected = norm.cdf((high - 0.1) / spread) - norm.cdf((low - 0.1) / spread)
    assert chance_served(Feel.SNUG, 0.1, 0.07, SLIDE) == pytest.approx(expected, abs=1e-12)
    strict = chance_of(Feel.SNUG, 0.1, 0.07, SLIDE)
    assert worth(Feel.SNUG, 0.1, 0.07, SLIDE) == pytest.approx(strict + SERVED_WORTH * (expected - strict))


def test_rungs_stand_about_the_best_clearance() -> None:
    assert rungs_about(0.2, 3, 0.1) == (0.1, 0.2, 0.3)
    assert rungs_about(0.2, 4, 0.05) == (0.13, 0.18, 0.23, 0.28)


def test_numbers_that_do_not_go_together_are_refused() -> None:
    known = standing(stake())
    with pytest.raises(ValueProblem, match="covariance"):
        dataclasses.replace(known, covariance=((1.0, 0.0),))
    with pytest.raises(ValueProblem, match="shade has no printing time"):
        dataclasses.replace(known, part_min=())

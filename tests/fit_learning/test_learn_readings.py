"""Learning from caliper readings: published data, sharing between plastics, and laws that must hold."""

from __future__ import annotations

import csv
import math
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as some
from learning_cases import NOZZLE, PIECE, PRINTER, TRUTH, K, bench, measured, pair, reading, slide, trial, true_size

from shadewright.fit.as_printed import printed_hole, printed_outer
from shadewright.fit.defaults import built_in_habits
from shadewright.fit.evidence import BenchEvidence, FeatureReading
from shadewright.fit.gap import true_gap
from shadewright.fit.joint import Feel, JointQuestion, Side
from shadewright.fit.learn import Learned, learn, learned_question
from shadewright.fit.learn_model import Scale, build, feature_rows
from shadewright.fit.learn_pass import believe
from shadewright.printing import HABITS, AsPrinted, Spread

# Printed round holes, measured minus drawn [mm]: HenryDore/blog on GitHub, posts/metrology.md, commit fab255f (2023).
HOLES = ((3, -0.40), (4, -0.31), (5, -0.23), (6, -0.17), (7, -0.16), (8, -0.14), (9, -0.13), (10, -0.12))
# Printed outer sizes: open FDM assessment protocol by Kickstarter on GitHub, README.md, commit 4480bfb (2018).
OUTSIDES = {
    "x": ((25, 24.82), (20, 19.93), (15, 14.99), (10, 10.01), (5, 4.84)),
    "y": ((25, 24.69), (20, 19.75), (15, 14.82), (10, 9.85), (5, 4.84)),
}
STATED_ERROR = 0.05
"""The greater of this and the publication's own repeatability is what a prediction may be off by [mm]."""


def _vague(scatter: float, **more: Spread) -> AsPrinted:
    """A start that knows next to nothing, apart from what is stated."""
    known = {name: Spread(0.0, 1e-9) for name in HABITS} | {"scale_xy": Spread(1.0, 1e-9)} | more
    return AsPrinted(**known, scatter=scatter, source="invented")


def _holes(confirmed: bool = True) -> tuple[FeatureReading, ...]:
    return tuple(reading(K.HOLE, d, d + off, caliper_sd=0.001, confirmed=confirmed) for d, off in HOLES)


def _outsides(axis: str) -> tuple[FeatureReading, ...]:
    return tuple(reading(K.OUTER, d, size, caliper_sd=0.001, confirmed=True) for d, size in OUTSIDES[axis])


def _only(evidence: BenchEvidence) -> AsPrinted:
    return learn(evidence).pairs[0][1]


def test_holes_give_the_least_squares_fit_when_nothing_is_known_before() -> None:
    """Closed form: least squares of a + b/d over these holes gives a = 0.0150, b = -1.2456, residual sd 0.0121."""
    start = _vague(0.0171, hole_shrink=Spread(0.0, 50.0), hole_curl=Spread(0.0, 50.0))
    found = _only(bench(pair(_holes(), stated=start)))
    assert found.hole_shrink.mean == pytest.approx(-0.0150, abs=0.001)
    assert found.hole_curl.mean == pytest.approx(1.2456, abs=0.001)
    own = math.sqrt(0.5) * found.scatter  # the other half of the variance is the print's own and does not show in one
    assert own == pytest.approx(0.0121, rel=0.25)


def test_outsides_give_the_least_squares_line_when_nothing_is_known_before() -> None:
    """Closed form over the x sizes: 0.99760 N - 0.0460; standard errors 0.0061 and 0.101, residual sd 0.0967."""
    start = _vague(0.0967 * math.sqrt(2), outer_growth=Spread(0.0, 50.0), scale_xy=Spread(1.0, 50.0))
    found = _only(bench(pair(_outsides("x"), stated=start)))
    assert found.scale_xy.mean == pytest.approx(0.99760, abs=0.0001)
    assert 2 * found.outer_growth.mean == pytest.approx(-0.0460, abs=0.001)
    assert found.scale_xy.sd == pytest.approx(0.0061, rel=0.25)


def _left_out_errors(features: tuple[FeatureReading, ...]) -> np.ndarray:
    """Each feature predicted from all the others by the built-in start and learning [mm]."""
    errors = []
    for at, feature in enumerate(features):
        found = _only(bench(pair(features[:at] + features[at + 1 :])))
        predict = printed_hole if feature.kind is K.HOLE else printed_outer
        errors.append(predict(feature.drawn, found).mean - feature.readings[0])
    return np.array(errors)


def test_published_holes_are_predicted_from_each_other() -> None:
    assert math.sqrt(np.mean(_left_out_errors(_holes()) ** 2)) <= max(STATED_ERROR, 0.0121)


def test_published_outsides_are_predicted_from_each_other() -> None:
    """Their own repeatability: how far two readings of one drawn size, along x and y, are from their mean."""
    x, y = (np.array(OUTSIDES[axis], dtype=float)[:, 1] for axis in "xy")
    repeat = math.sqrt(np.mean((x - y) ** 2) / 2)
    assert repeat == pytest.approx(0.1019, abs=0.0001)
    errors = np.concatenate([_left_out_errors(_outsides(axis)) for axis in "xy"])
    assert math.sqrt(np.mean(errors**2)) <= max(STATED_ERROR, repeat)


@pytest.mark.samples
def test_second_series_of_published_holes_is_predicted_from_the_first(samples: Path) -> None:
    text = (samples / "measured-facts" / "hole_diameters_dore_2023.csv").read_text(encoding="utf-8")
    rows = list(csv.DictReader(line for line in text.splitlines() if not line.startswith("#")))
    first = tuple(
        reading(K.HOLE, float(row["nominal_mm"]), float(row["measured_mm_from_deviation"]), confirmed=True)
        for row in rows
    )
    found = _only(bench(pair(first)))
    errors = [printed_hole(float(row["nominal_mm"]), found).mean - float(row["measured_mm_series2"]) for row in rows]
    assert math.sqrt(np.mean(np.square(errors))) <= STATED_ERROR


def test_a_new_plastic_starts_from_what_its_printer_does() -> None:
    thick = TRUTH | {"growth": 0.11}
    learned = learn(bench(pair(measured(3, truth=thick))))
    before, after = built_in_habits(NOZZLE, "PETG"), learned.habits_of(PRINTER, NOZZLE, "PETG", "PETG")
    assert abs(after.outer_growth.mean - 0.11) < 0.75 * abs(before.outer_growth.mean - 0.11)
    assert after.outer_growth.sd < before.outer_growth.sd
    assert after.scatter == learned.pairs[0][1].scatter
    assert "printer" in after.source


def test_a_plastic_takes_its_shrinkage_along_to_another_printer() -> None:
    learned = learn(bench(pair(measured(4, truth=TRUTH | {"xy": 0.9935}))))
    there = learned.habits_of("attic", NOZZLE, "PLA", "PLA")
    other = learned.habits_of("attic", NOZZLE, "PETG", "PETG")
    usual = built_in_habits(NOZZLE, "PLA").scale_xy
    assert there.scale_xy.mean < usual.mean - 0.2 * (usual.mean - 0.9935)
    assert other.scale_xy.mean == pytest.approx(0.997, abs=1e-9)
    assert other.scale_xy.sd == pytest.approx(0.0015, rel=1e-6)
    assert "this bench" not in other.source


def test_without_evidence_everything_is_as_built_in() -> None:
    learned = learn(bench(pair()))
    found, start = learned.pairs[0][1], built_in_habits(NOZZLE, "PLA")
    for name in HABITS:
        assert getattr(found, name).mean == pytest.approx(getattr(start, name).mean, abs=1e-12)
        assert getattr(found, name).sd == pytest.approx(getattr(start, name).sd, rel=1e-9)
    assert found.scatter == pytest.approx(start.scatter, rel=0.01)  # the grid of scatters ends somewhere


def test_stated_habits_take_the_place_of_the_built_in_start() -> None:
    start = replace(built_in_habits(NOZZLE, "PLA"), outer_growth=Spread(0.2, 0.001))
    learned = learn(bench(pair(measured(5), stated=start)))
    assert learned.pairs[0][1].outer_growth.mean == pytest.approx(0.2, abs=0.002)
    petg = learned.habits_of(PRINTER, NOZZLE, "PETG", "PETG")
    assert petg.outer_growth.mean == pytest.approx(0.05, abs=1e-9)


def test_true_habits_lie_within_what_is_learned() -> None:
    """Habits drawn from the start itself, 60 printers: 95 % intervals hold 95 % of them (binomial, 3 sigma)."""
    random = np.random.default_rng(8)
    start = built_in_habits(NOZZLE, "PLA")
    fields = dict(zip(("growth", "shrink", "curl", "xy", "z", "flare"), HABITS, strict=True))
    inside = 0
    for seed in range(60):
        truth = {k: float(random.normal(getattr(start, f).mean, getattr(start, f).sd)) for k, f in fields.items()}
        found = _only(bench(pair(measured(seed, truth=truth | {"scatter": 0.03}))))
        inside += sum(abs(getattr(found, f).mean - truth[k]) < 1.96 * getattr(found, f).sd for k, f in fields.items())
    assert inside / 360 == pytest.approx(0.95, abs=3 * math.sqrt(0.95 * 0.05 / 360) + 0.02)


@settings(max_examples=15, deadline=None)
@given(some.randoms(use_true_random=False))
def test_the_order_of_evidence_does_not_matter(random: object) -> None:
    stair = ((40.15, Feel.TIGHT), (40.25, Feel.SNUG), (40.45, Feel.EASY))
    trials = [trial(slide(), *stair), trial(slide(), *stair[:2], name="neck 2", plastic="PETG")]
    pairs = [pair(measured(1)), pair(measured(2, piece="piece 2"), "PETG", "PETG")]
    plain = learn(bench(*pairs, trials=tuple(trials)))
    random.shuffle(trials)  # type: ignore[attr-defined]
    random.shuffle(pairs)  # type: ignore[attr-defined]
    mixed = []
    for one in pairs:
        features = [replace(f, readings=tuple(random.sample(f.readings, len(f.readings)))) for f in one.features]  # type: ignore[attr-defined]
        random.shuffle(features)  # type: ignore[attr-defined]
        mixed.append(replace(one, features=tuple(features)))
    turned = [replace(one, rungs=tuple(random.sample(one.rungs, len(one.rungs)))) for one in trials]  # type: ignore[attr-defined]
    again = learn(bench(*mixed, trials=tuple(turned)))
    assert [name for name, _ in again.pairs] == [name for name, _ in plain.pairs]
    for (_, one), (_, other) in zip(plain.pairs, again.pairs, strict=True):
        assert np.array(one.covariance) == pytest.approx(np.array(other.covariance), rel=1e-6, abs=1e-14)
        assert [getattr(one, n).mean for n in HABITS] == pytest.approx([getattr(other, n).mean for n in HABITS])
    assert plain.bounds[0].gaps == pytest.approx(again.bounds[0].gaps)


@settings(max_examples=30, deadline=None)
@given(
    some.lists(some.integers(0, len(PIECE) - 1), max_size=12, unique=True),
    some.integers(0, len(PIECE) - 1),
    some.floats(-0.3, 0.3),
    some.sampled_from(("piece 1", "piece 2")),
)
def test_a_reading_never_widens_what_is_known(places: list[int], new: int, off: float, piece: str) -> None:
    """With the scatter given, where learning is linear."""
    before = [reading(*PIECE[at], true_size(*PIECE[at])) for at in places]
    more = reading(*PIECE[new], true_size(*PIECE[new]) + off, print_name=piece)
    assert np.all(_spreads([*before, more]) <= _spreads(before) * (1 + 1e-9))


def _spreads(features: list[FeatureReading]) -> np.ndarray:
    evidence = bench(pair(tuple(features)))
    model = build(evidence, feature_rows(evidence))
    belief = believe(model, Scale(np.ones(1), np.ones(1)))
    return np.array([_spread(model, belief.cover, name) for name in HABITS])


def _spread(model: object, cover: np.ndarray, name: str) -> float:
    from shadewright.fit.learn_prior import start_of

    total = start_of(PRINTER, NOZZLE, "PLA", "PLA").habit(name)
    place = model.place  # type: ignore[attr-defined]
    row = np.zeros(len(place))
    for unknown, weight in total.weights.items():
        if unknown in place:
            row[place[unknown]] = weight
    rest = sum(weight**2 for unknown, weight in total.weights.items() if unknown not in place)
    return math.sqrt(row @ cover @ row + rest)


def _learned() -> Learned:
    return learn(bench(pair(measured(1)), pair(measured(2, piece="piece 2"), "PETG", "PETG")))


def test_gap_carries_what_is_known_together() -> None:
    """Against random habits drawn with their covariance: the gap of two parts from one bench."""
    habits = _learned().pairs[1][1]
    random = np.random.default_rng(6)
    drawn = random.multivariate_normal([getattr(habits, n).mean for n in HABITS], habits.covariance, 200_000)
    growth, shrink, curl, xy, _, _ = drawn.T
    hole = 12.3 * xy - shrink - curl / 12.3
    outer = 12.0 * xy + 2 * growth
    asked = _question(habits, habits)
    gap = true_gap(asked, 12.0, 12.3)
    assert gap.mean == pytest.approx((hole - outer).mean(), abs=0.001)
    known = math.sqrt(gap.sd**2 - gap.settled_sd**2)
    assert known == pytest.approx((hole - outer).std(), rel=0.01)
    alone = true_gap(_question(replace(habits, covariance=None), replace(habits, covariance=None)), 12.0, 12.3)
    assert gap.sd - alone.sd > 0.001
    spread = printed_hole(12.3, habits)
    assert math.sqrt(spread.sd**2 - habits.scatter**2) == pytest.approx(hole.std(), rel=0.01)


def test_two_plastics_of_one_printer_are_known_together() -> None:
    """What both share cancels in the gap of a large joint: less doubt than two benches of the same spreads have."""
    learned = learn(bench(pair(), pair(plastic="PETG", family="PETG")))
    one, other = (habits for _, habits in learned.pairs)
    asked = _question(one, other, 120.0)
    apart, together = true_gap(asked, 120.0, 120.4), true_gap(learned_question(asked, learned), 120.0, 120.4)
    assert together.mean == pytest.approx(apart.mean)
    shared = 0.3 * 0.0015**2  # the printer's part of what both scales are off by
    saved = 2 * 120.0 * 120.4 * shared
    growth = 2 * 2 * 0 * shared  # a pin's walls and a hole have no habit in common
    assert apart.sd**2 - together.sd**2 == pytest.approx(saved + growth, rel=0.01)


def _question(male: AsPrinted, female: AsPrinted, nominal: float = 12.0) -> JointQuestion:
    plain = slide(nominal=nominal)
    return replace(plain, male=Side(name="pin", habits=male), female=Side(name="hole", habits=female))

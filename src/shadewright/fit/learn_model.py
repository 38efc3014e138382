"""All evidence of a bench as arrays: unknown numbers, what was read, what was felt."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from shadewright.fit.evidence import BenchEvidence, FeatureReading, PairEvidence
from shadewright.fit.learn_joint import is_learned_from, rungs_of
from shadewright.fit.learn_prior import Sum, Unknown, feature_sum, pair_key, starts

Array = npt.NDArray[np.float64]

LEAST_CALIPER_SD = 0.001
"""No caliper reads finer than this [mm]."""


@dataclass(frozen=True, slots=True)
class Scale:
    """Of every machine: scatter over the built-in one (m,), and the factor of its sort (m,)."""

    ratios: Array
    sorts: Array

    def but(self, machine: int, log_ratio: float, sort: float) -> Scale:
        """The same with one machine changed."""
        ratios, sorts = self.ratios.copy(), self.sorts.copy()
        ratios[machine], sorts[machine] = np.exp(log_ratio), sort
        return Scale(ratios, sorts)


@dataclass(frozen=True, slots=True)
class Sums:
    """Several sums as arrays, m machines and d unknown numbers.

    Attributes:
        constant: (n,) [mm].
        weights: (n, d).
        noise: (n,) variance of independent noise [mm²].
        scaled: (n, m) the same over the squared scatter ratio.
    """

    constant: Array
    weights: Array
    noise: Array
    scaled: Array

    def noise_at(self, at: Scale) -> Array:
        """Variance of the noise: (n,) [mm²]."""
        return self.noise + self.scaled @ at.ratios**2


@dataclass(frozen=True, slots=True)
class Felt:
    """Rungs of one sort as sums.

    Attributes:
        gap: (n) gap less the boundary it is above; for the tightest feel the boundary less the gap.
        width: (n) distance to the next boundary; None where the feel has no other end.
    """

    gap: Sums
    width: Sums | None


@dataclass(frozen=True, slots=True)
class Model:
    """Everything a bench knows, before it is put together.

    Attributes:
        unknowns: d of them.
        place: Their places.
        machines: m of them, named as in ``Start.machine``.
        read: What caliper readings should be, one row for each feature.
        value: (n,) what they were, the mean of each feature's readings [mm].
        felt: Rungs, those between two boundaries and those at an open end.
        boxes: Places of the unknown numbers that are uniform.
        half: Their half widths [mm].
    """

    unknowns: tuple[Unknown, ...]
    place: dict[Unknown, int]
    machines: tuple[str, ...]
    read: Sums
    value: Array
    felt: tuple[Felt, ...]
    boxes: npt.NDArray[np.intp]
    half: Array

    def prior_variance(self, at: Scale) -> Array:
        """Variances of the unknown numbers (d,); uniform ones count with w² / 3."""
        ratio_square = dict(zip(self.machines, (at.ratios**2).tolist(), strict=True))
        sort = dict(zip(self.machines, at.sorts.tolist(), strict=True))
        return np.array([one.variance_at(ratio_square, sort) for one in self.unknowns])


@dataclass(frozen=True, slots=True)
class FeatureRow:
    """One measured feature: whose print it is of (printer, nozzle, plastic), its readings, and what they should be."""

    pair: tuple[str, float, str]
    reading: FeatureReading
    sum: Sum


def feature_rows(evidence: BenchEvidence) -> tuple[FeatureRow, ...]:
    """All measured features; readings of one feature of one print are put together, whatever their order."""
    known = starts(evidence)
    merged: dict[tuple[str | float, ...], list[tuple[FeatureReading, PairEvidence]]] = {}
    for pair in evidence.pairs:
        start = known[pair_key(pair.printer, pair.nozzle, pair.plastic)]
        for one in pair.features:
            key = (one.print_name, one.kind.value, one.feature, one.drawn, one.caliper_sd, one.confirmed)
            merged.setdefault((start.key, *key), []).append((one, pair))
    made = []
    for whole_key in sorted(merged, key=repr):
        (first, pair), *_ = merged[whole_key]
        name = (pair.printer, pair.nozzle, pair.plastic)
        values = tuple(sorted(value for one, _ in merged[whole_key] for value in one.readings))
        reading = FeatureReading(
            feature=first.feature,
            kind=first.kind,
            drawn=first.drawn,
            readings=values,
            print_name=first.print_name,
            caliper_sd=first.caliper_sd,
            confirmed=first.confirmed,
        )
        expected = feature_sum(known[pair_key(*name)], first.kind, first.drawn, first.print_name)
        made.append(FeatureRow(name, reading, expected))
    return tuple(made)


def build(evidence: BenchEvidence, rows: Sequence[FeatureRow]) -> Model:
    """Put features and rungs into arrays.

    Args:
        evidence: For its trials and pairs.
        rows: The features to learn from, each with at least one reading.
    """
    known = starts(evidence)
    trials = sorted((t for t in evidence.trials if is_learned_from(t.question.kind)), key=lambda t: t.name)
    rungs = [rung for trial in trials for rung in rungs_of(trial, known)]
    read, value = [], []
    for row in rows:
        caliper = max(row.reading.caliper_sd, LEAST_CALIPER_SD)
        one = Sum()
        one.add_sum(row.sum, 1.0)
        one.noise += caliper**2 / len(row.reading.readings)
        read.append(one)
        value.append(sum(row.reading.readings) / len(row.reading.readings))
    between = [(_less(r.gap, r.low), _less(r.high, r.low)) for r in rungs if r.low and r.high]
    ends = [_less(r.gap, r.low) if r.low else _less(r.high, r.gap) for r in rungs if not (r.low and r.high)]
    every = [*read, *(one for both in between for one in both), *ends]
    unknowns = tuple(dict.fromkeys(u for one in every for u in one.weights))
    machines = tuple(dict.fromkeys([*(start.machine for start in known.values()), *_machines(every)]))
    place = {unknown: at for at, unknown in enumerate(unknowns)}

    def arrays(sums: Iterable[Sum]) -> Sums:
        return to_arrays(list(sums), place, machines)

    boxes = [at for at, one in enumerate(unknowns) if one.half is not None]
    return Model(
        unknowns=unknowns,
        place=place,
        machines=machines,
        read=arrays(read),
        value=np.array(value),
        felt=_felt(between, ends, arrays),
        boxes=np.array(boxes, dtype=np.intp),
        half=np.array([unknowns[at].half for at in boxes], dtype=float),
    )


def to_arrays(sums: list[Sum], place: dict[Unknown, int], machines: tuple[str, ...]) -> Sums:
    """Sums as arrays over known unknown numbers."""
    weights = np.zeros((len(sums), len(place)))
    scaled = np.zeros((len(sums), len(machines)))
    for row, one in enumerate(sums):
        for unknown, weight in one.weights.items():
            weights[row, place[unknown]] = weight
        for machine, variance in one.scaled.items():
            scaled[row, machines.index(machine)] = variance
    return Sums(
        np.array([one.constant for one in sums]), weights, np.array([one.noise for one in sums], dtype=float), scaled
    )


def _felt(between: list[tuple[Sum, Sum]], ends: list[Sum], arrays: Callable[[Iterable[Sum]], Sums]) -> tuple[Felt, ...]:
    made = []
    if between:
        made.append(Felt(arrays(gap for gap, _ in between), arrays(width for _, width in between)))
    if ends:
        made.append(Felt(arrays(ends), None))
    return tuple(made)


def _less(one: Sum | None, other: Sum | None) -> Sum:
    """Difference of two sums, whose noises are not shared."""
    made = Sum()
    if one is not None:
        made.add_sum(one, 1.0)
    if other is not None:
        made.add_sum(other, -1.0)
    return made


def _machines(sums: Iterable[Sum]) -> Iterable[str]:
    for one in sums:
        yield from one.scaled
        yield from (unknown.machine for unknown in one.weights if unknown.machine)

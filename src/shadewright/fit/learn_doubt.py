"""Readings that do not go with the others: a slip of the pen, the wrong feature, centimetres for millimetres.

Each reading is held against what all others lead one to expect of it, with and without the other readings of its
own feature, and against the chance that it is a slip, which lies anywhere near the drawn size. The least believable
one is put aside first, then the rest are looked at anew, so that one slip cannot make sound readings look wrong.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np
import numpy.typing as npt

from shadewright.fit.evidence import BenchEvidence, FeatureKind
from shadewright.fit.learn_model import LEAST_CALIPER_SD, Array, FeatureRow, Scale, build, feature_rows
from shadewright.fit.learn_prior import SCATTER_LOG_SD, UNUSUAL, pair_key
from shadewright.fit.learn_scatter import LOG_MEAN, log_ratio_prior, shares
from shadewright.printing import Spread

SLIP_CHANCE = 0.01
"""Share of readings that are slips [-]; judged, no source."""

SLIP_SD = 1.0
"""A slip lies about the drawn size with this spread [mm], or half the drawn size if that is more; judged, no source."""

ASK_FROM = 0.5
"""A reading that is a slip with at least this chance is asked about [-]."""

GROSS = 3.0
"""Before readings are held against each other, those are put aside that would be slips on a bench known this many
times worse than the built-in start; judged, no source."""

_NODES = LOG_MEAN + SCATTER_LOG_SD * np.linspace(-2.5, 2.5, 9)
_SORTS = tuple((node, factor, chance) for chance, factor in UNUSUAL for node in _NODES.tolist())
_LOG_PRIOR = np.array([log_ratio_prior(np.array(node)) + np.log(chance) for node, _, chance in _SORTS])

_NEAR = 0.25
"""A reading this near another feature's drawn size looks like that feature [mm]; judged, no source."""

_WALL = 0.4
"""The thinnest wall that inside and outside can differ by [mm]."""

_UNITS = ((10.0, "centimetres"), (25.4, "inches"), (0.1, "tenths of a millimetre"))


@dataclass(frozen=True, slots=True, kw_only=True)
class Suspicion:
    """One reading to be asked about.

    Attributes:
        pair: Printer, nozzle and plastic, as in the evidence.
        print_name, feature: Where it was taken.
        kind: What was measured.
        drawn: Size in the model [mm].
        reading: What was read [mm].
        expected: What all other readings lead one to expect [mm].
        chance: That it is a slip [-].
        sentence: What was expected and what to check.
    """

    pair: tuple[str, float, str]
    print_name: str
    feature: str
    kind: FeatureKind
    drawn: float
    reading: float
    expected: Spread
    chance: float
    sentence: str


@dataclass(frozen=True, slots=True)
class _Taken:
    """All n readings of a bench, one entry each.

    Attributes:
        rows: Measured features.
        row: (n,) which feature each is of.
        value: (n,) what was read [mm].
        caliper: (n,) standard deviation of reading [mm].
        drawn: (n,) size in the model [mm].
        open: (n,) False for confirmed ones.
        mean: (n,) expected before any reading [mm].
        covers: (g, n, n) covariance before any reading, for g scatters and sorts of printer [mm²].
    """

    rows: tuple[FeatureRow, ...]
    row: npt.NDArray[np.intp]
    value: Array
    caliper: Array
    drawn: Array
    open: npt.NDArray[np.bool_]
    mean: Array
    covers: Array


@dataclass(frozen=True, slots=True)
class _Doubt:
    """For n readings: log of the odds that each is a slip, and what was expected of it (mean and sd) [mm]."""

    log_odds: Array
    mean: Array
    sd: Array

    def chance(self, at: int) -> float:
        """Chance that one is a slip [-]."""
        return 1 / (1 + math.exp(-max(min(float(self.log_odds[at]), 500.0), -500.0)))

    def worst(self, among: npt.NDArray[np.bool_]) -> int | None:
        """Place of the least believable reading that must be asked about; None when there is none."""
        at = int(np.argmax(np.where(among, self.log_odds, -np.inf)))
        return at if among[at] and self.chance(at) >= ASK_FROM else None


def suspicious(evidence: BenchEvidence, pair: tuple[str, float, str]) -> tuple[Suspicion, ...]:
    """Readings of one pair that look wrong, in the order in which they were put aside.

    Confirmed readings are never suspected. Readings of other pairs count as far as they tell of this one.

    Args:
        evidence: All evidence of the bench.
        pair: Printer, nozzle [mm] and plastic.
    """
    return tuple(one for one in sound_rows(evidence)[1] if pair_key(*one.pair) == pair_key(*pair))


def sound_rows(evidence: BenchEvidence) -> tuple[tuple[FeatureRow, ...], tuple[Suspicion, ...]]:
    """Measured features without the readings that look wrong, and those readings."""
    rows = feature_rows(evidence)
    if not rows:
        return (), ()
    taken = _taken(evidence, rows)
    believed = np.ones(len(taken.value), dtype=bool)
    gross = _before_any(taken)
    found = []
    while (at := gross.worst(taken.open & believed)) is not None:
        believed[at] = False
        found.append(_suspicion(taken, at, gross))
    while believed.any():
        doubt = _by_the_others(taken, believed)
        at = doubt.worst(taken.open & believed)
        if at is None:
            break
        believed[at] = False
        found.append(_suspicion(taken, at, doubt))
    kept = (_kept(row, taken.value[(taken.row == at) & believed]) for at, row in enumerate(rows))
    return tuple(row for row in kept if row is not None), tuple(found)


def _taken(evidence: BenchEvidence, rows: tuple[FeatureRow, ...]) -> _Taken:
    model = build(replace(evidence, trials=()), rows)
    counts = [len(row.reading.readings) for row in rows]
    at = np.repeat(np.arange(len(rows)), counts)
    caliper = np.array([max(row.reading.caliper_sd, LEAST_CALIPER_SD) for row in rows])[at]
    covers = []
    count = len(model.machines)
    for node, factor, _ in _SORTS:
        scale = Scale(np.full(count, np.exp(node)), np.full(count, factor))
        own = np.diag(model.read.scaled @ scale.ratios**2)
        cover = (model.read.weights * model.prior_variance(scale)) @ model.read.weights.T + own
        covers.append(cover[np.ix_(at, at)] + np.diag(caliper**2))
    return _Taken(
        rows=rows,
        row=at,
        value=np.array([value for row in rows for value in row.reading.readings]),
        caliper=caliper,
        drawn=np.array([row.reading.drawn for row in rows])[at],
        open=~np.array([row.reading.confirmed for row in rows])[at],
        mean=model.read.constant[at],
        covers=np.array(covers),
    )


def _before_any(taken: _Taken) -> _Doubt:
    """Doubt of readings by themselves, on a bench known ``GROSS`` times worse than usual."""
    sd = GROSS * np.sqrt(np.einsum("g,gnn->n", shares(_LOG_PRIOR), taken.covers))
    z = (taken.value - taken.mean) / sd
    return _Doubt(_slip_odds(taken.value, taken.drawn, -0.5 * z**2 - np.log(sd)), taken.mean, sd)


def _by_the_others(taken: _Taken, believed: npt.NDArray[np.bool_]) -> _Doubt:
    """Doubt of each believed reading, by all the others or by those of other features, whichever is greater."""
    at = np.flatnonzero(believed)
    groups = [np.flatnonzero(taken.row[at] == row) for row in dict.fromkeys(taken.row[at].tolist())]
    alone = [np.array([place]) for place in range(len(at))]
    several = [group for group in groups if len(group) > 1]
    doubts = [_left_out(taken, at, blocks) for blocks in (alone, several) if blocks]
    log_odds, mean, sd = np.full(len(taken.value), -np.inf), taken.mean.copy(), np.zeros(len(taken.value))
    for one in doubts:
        better = one.log_odds > log_odds[at]
        log_odds[at[better]], mean[at[better]], sd[at[better]] = one.log_odds[better], one.mean[better], one.sd[better]
    return _Doubt(log_odds, mean, sd)


def _left_out(taken: _Taken, at: npt.NDArray[np.intp], blocks: list[npt.NDArray[np.intp]]) -> _Doubt:
    """Doubt of every reading in ``blocks`` (places in ``at``), each block held against all readings outside it.

    With Q the inverse of the readings' covariance, what is left of block b once the others are known is
    ``inv(Q_bb) (Q r)_b`` with covariance ``inv(Q_bb)``. Every scatter and sort counts with its share after the others.
    """
    left = (taken.value - taken.mean)[at]
    nodes = len(taken.covers)
    gone, spread, log_block = (np.zeros((nodes, len(at))) for _ in range(3))
    log_all = np.zeros(nodes)
    for node, cover in enumerate(taken.covers):
        inner = np.linalg.inv(cover[np.ix_(at, at)])
        pull = inner @ left
        log_all[node] = -0.5 * left @ pull + 0.5 * np.linalg.slogdet(inner)[1]
        for block in blocks:
            own = np.linalg.inv(inner[np.ix_(block, block)])
            gone[node, block] = own @ pull[block]
            spread[node, block] = np.sqrt(np.diag(own))
            log_block[node, block] = -0.5 * pull[block] @ gone[node, block] - 0.5 * np.linalg.slogdet(own)[1]
    told = spread[0] > 0
    share = shares(_LOG_PRIOR[:, None] + log_all[:, None] - log_block)
    safe = np.where(told, spread, 1.0)
    log_each = -0.5 * (gone / safe) ** 2 - np.log(safe)
    top = log_each.max(axis=0)
    log_chance = top + np.log((share * np.exp(log_each - top)).sum(axis=0))
    middle = (share * gone).sum(axis=0)
    sd = np.sqrt((share * (spread**2 + (gone - middle) ** 2)).sum(axis=0))
    log_odds = np.where(told, _slip_odds(taken.value[at], taken.drawn[at], log_chance), -np.inf)
    return _Doubt(log_odds, taken.value[at] - middle, sd)


def _slip_odds(value: Array, drawn: Array, log_chance: Array) -> Array:
    """Log odds of a slip (n,), by Bayes; ``log_chance`` of a sound reading lacks the constant of the normal."""
    slip_sd = np.maximum(SLIP_SD, drawn / 2)
    log_slip = -0.5 * ((value - drawn) / slip_sd) ** 2 - np.log(slip_sd)
    return np.asarray(np.log(SLIP_CHANCE / (1 - SLIP_CHANCE)) + log_slip - log_chance)


def _kept(row: FeatureRow, values: Array) -> FeatureRow | None:
    """The feature with these readings alone; None without any."""
    if not len(values):
        return None
    return replace(row, reading=replace(row.reading, readings=tuple(values.tolist())))


def _suspicion(taken: _Taken, at: int, doubt: _Doubt) -> Suspicion:
    row, value = taken.rows[taken.row[at]], float(taken.value[at])
    expected = Spread(float(doubt.mean[at]), float(doubt.sd[at]))
    reading = row.reading
    sentence = (
        f"{reading.feature} of print {reading.print_name} reads {value:.2f} mm where {expected.mean:.2f} mm is "
        f"expected, within {2 * expected.sd:.2f} mm: {_guess(taken, row, value, expected)}"
    )
    return Suspicion(
        pair=row.pair,
        print_name=reading.print_name,
        feature=reading.feature,
        kind=reading.kind,
        drawn=reading.drawn,
        reading=value,
        expected=expected,
        chance=doubt.chance(at),
        sentence=sentence,
    )


def _guess(taken: _Taken, row: FeatureRow, value: float, expected: Spread) -> str:
    """What may have happened, and what to check."""
    reach = 3 * expected.sd + 0.005 * expected.mean
    for factor, words in _UNITS:
        if abs(value * factor - expected.mean) <= reach:
            return f"it looks like {words}; give it in mm"
    if _swapped(value, expected.mean, reach):
        return "two digits may have changed places; check what was written down"
    other = _other_feature(taken, row, value)
    if other:
        return f"it looks like {other}; check which feature was measured"
    inside = row.reading.kind in (FeatureKind.HOLE, FeatureKind.SLOT)
    if abs(value - expected.mean) >= _WALL:
        taken_at = "outside" if value > expected.mean else "inside"
        wanted = "inside" if inside else "outside"
        if taken_at != wanted:
            return f"check that it was taken {wanted}, with the caliper closed to zero, and measure it again"
    return "check that the jaws sat square and the caliper closes to zero, and measure it again"


def _swapped(value: float, expected: float, reach: float) -> bool:
    """Whether two neighbouring digits of the reading, changed back, give what was expected."""
    text = f"{value:.2f}"
    for at in range(len(text) - 1):
        pair = text[at : at + 2]
        if "." not in pair and pair[0] != pair[1]:
            tried = float(text[:at] + pair[::-1] + text[at + 2 :])
            if abs(tried - expected) <= reach:
                return True
    return False


def _other_feature(taken: _Taken, row: FeatureRow, value: float) -> str:
    """Name of the feature of the same print that is drawn nearest the reading; empty when none is near."""
    others = [one.reading for one in taken.rows if one.reading.print_name == row.reading.print_name and one is not row]
    near = min(others, key=lambda one: (abs(one.drawn - value), one.kind is not row.reading.kind), default=None)
    return near.feature if near is not None and abs(near.drawn - value) <= _NEAR else ""

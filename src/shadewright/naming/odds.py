"""Odds of every row, given the readings; and which rows these readings can never tell apart."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from shadewright.catalog.threads import Form
from shadewright.naming import likelihood as model
from shadewright.naming.likelihood import Array, RowArrays
from shadewright.naming.readings import ThreadReadings

STANDARD_SD, STANDARD_LENGTH, STANDARD_LENGTH_SD = 0.05, 10.0, 0.1
"""One caliper reading of the crests and one length over about 10 mm of crests [mm]."""

TOLD_APART = 0.92
"""Rows that even the ideal judge tells apart less often than this count as one."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Odds:
    """What the readings say of every row and, last, of "none of these".

    Attributes:
        probability: Posterior, shape (rows + 1,), summing to 1.
        evidence: Log-likelihood of each kind of reading, each of shape (rows + 1,), prior first.
        miscounted: Part of each row's length evidence that comes from a miscount by one, shape (rows,).
    """

    probability: Array
    evidence: tuple[tuple[str, Array], ...]
    miscounted: Array


def odds_of(readings: ThreadReadings, rows: RowArrays) -> Odds:
    """Weigh every row and "none of these" against the readings (Bayes' theorem)."""
    evidence = [("how common", rows.log_prior)]
    sd = model.mean_sd(readings.caliper_sd, len(readings.diameters))
    density = model.size_density(rows.crest, readings.mean, sd)
    evidence.append(("diameter", _joined(density, model.none_size_density(readings.mean))))
    miscounted = np.zeros(len(rows.names))
    if readings.crests is not None and readings.length is not None:
        density, miscounted = model.length_density(rows.pitch, readings.crests, readings.length, readings.length_sd)
        evidence.append(("pitch", _joined(density, model.none_length_density(readings.length))))
    if readings.count is not None:
        chance = model.count_chance(rows.pitch, readings.count, readings.count_span)
        evidence.append(("pitch", _joined(chance, model.none_count_chance(readings.count))))
    evidence += [*_depth_evidence(readings, rows), *_seen_evidence(readings, rows)]
    logs: Array = np.sum([values for _, values in evidence], axis=0)
    return Odds(probability=normalised(logs), evidence=tuple(evidence), miscounted=miscounted)


def normalised(logs: Array) -> Array:
    """Turn log weights along the last axis into probabilities."""
    weights = np.exp(logs - logs.max(axis=-1, keepdims=True))
    probability: Array = weights / weights.sum(axis=-1, keepdims=True)
    return probability


def _joined(rows: Array, none: float | Array) -> Array:
    joined: Array = np.log(np.append(rows, none))
    return joined


def _depth_evidence(readings: ThreadReadings, rows: RowArrays) -> list[tuple[str, Array]]:
    """Evidence of root and mate diameters."""
    evidence = []
    if readings.roots:
        sd = model.root_sd(readings.caliper_sd, len(readings.roots))
        seen = sum(readings.roots) / len(readings.roots)
        none = model.none_depth_density(readings.mean, sd)
        evidence.append(("root", _joined(model.size_density(rows.root, seen, sd), none)))
    if readings.mates:
        sd = model.mean_sd(readings.caliper_sd, len(readings.mates))
        seen = sum(readings.mates) / len(readings.mates)
        none = model.none_depth_density(readings.mean, sd)
        evidence.append(("mate", _joined(model.size_density(rows.mate, seen, sd), none)))
    return evidence


def _seen_evidence(readings: ThreadReadings, rows: RowArrays) -> list[tuple[str, Array]]:
    """Evidence of what the eye tells: shape and taper."""
    evidence = []
    forms: list[Form | None] = [*rows.forms, None]
    if readings.look is not None:
        look = readings.look
        evidence.append(("shape", np.log([model.look_chance(form, look) for form in forms])))
    if readings.tapered is not None:
        seen = readings.tapered
        chances = [model.taper_chance(seen, straight=form is not None) for form in forms]
        evidence.append(("taper", np.log(chances)))
    return evidence


def told_apart(rows: RowArrays, limits: Array, sd: float, *, by_pitch: bool) -> Array:
    r"""How often the ideal judge names the right one of two rows, for the one that fares worse.

    The judge knows that it is one of the two, each as likely, and that sizes are uniform within the limits. With
    the diameter x it weighs densities p(x) and q(x); a normal length with separation D (in standard deviations)
    then leaves :math:`p\,\Phi(t) + q\,\Phi(D - t)` right, where t = D / 2 + ln(p / q) / D.

    Args:
        rows: The table.
        limits: Limits of the diameter that was read [mm], shape (2, rows).
        sd: Standard deviation of that reading [mm].
        by_pitch: Whether a length over about 10 mm of crests was read as well.

    Returns:
        Share of right names, symmetric, shape (rows, rows), 1 on pairs too far apart to matter, 0 on the diagonal.
    """
    count = len(rows.names)
    share = np.ones((count, count))
    np.fill_diagonal(share, 0.0)
    gap = np.maximum(limits[0][:, None] - limits[1][None, :], limits[0][None, :] - limits[1][:, None])
    spans = np.maximum(np.round(STANDARD_LENGTH / rows.pitch), 1)
    step = np.abs(rows.pitch[:, None] - rows.pitch[None, :]) * np.minimum(spans[:, None], spans[None, :])
    apart = step / STANDARD_LENGTH_SD if by_pitch else np.zeros_like(step)
    near = np.argwhere(np.triu((gap < 6 * sd) & (apart < 6), 1))
    if near.size:
        first, second = near.T
        worse = _worse_share(limits[:, first], limits[:, second], sd, apart[first, second])
        share[first, second] = share[second, first] = worse
    return share


def _worse_share(one: Array, two: Array, sd: float, apart: Array) -> Array:
    """Quadrature over the reading for each pair; limits of shape (2, pairs)."""
    low = np.minimum(one[0], two[0]) - 6 * sd
    high = np.maximum(one[1], two[1]) + 6 * sd
    x = low + (high - low) * np.linspace(0, 1, 401)[:, None]
    p, q = _plain_density(one, x, sd), _plain_density(two, x, sd)
    ratio = np.log(p / q)
    by_size_only = apart < 1e-6
    safe = np.where(by_size_only, 1.0, apart)
    threshold = np.where(by_size_only, np.where(ratio >= 0, 40.0, -40.0), safe / 2 + ratio / safe)
    right_one = np.trapezoid(p * model.below(threshold), x, axis=0)
    right_two = np.trapezoid(q * model.below(np.where(by_size_only, 0.0, apart) - threshold), x, axis=0)
    worse: Array = np.minimum(right_one, right_two)
    return worse


def _plain_density(limits: Array, x: Array, sd: float) -> Array:
    """Density of a reading when sizes are uniform within the limits, with no tails."""
    low, high = limits
    width = np.maximum(high - low, 0.02)
    inside = model.below((low + width - x) / sd) - model.below((low - x) / sd)
    return np.asarray(np.maximum(inside, 1e-30) / width)


def alike_groups(rows: RowArrays, readings: ThreadReadings | None = None) -> NDArray[np.int64]:
    """Number the groups of rows that count as one.

    Two rows count as one when even the ideal judge (see ``told_apart``), with one caliper reading of the crests
    (sd 0.05 mm) and one length over about 10 mm of crests (sd 0.1 mm), would give one of the pair its right name in
    less than 92 of 100 readings. That is so where limits coincide or overlap at the same pitch (E26 and E27 from
    outside), and for a few whose limits only touch while their pitches differ by less than 1 % (M5 and #10-32).
    The bar stands a little above the 90 of 100 asked of names because 200 readings scatter by 2 in 100.
    A root, a mate or a shape among the readings parts a group where that tells.

    Args:
        rows: The table for one sex.
        readings: What was read; None for diameter and pitch alone.

    Returns:
        Group number of each row, shape (rows,); the smallest row index of each group.
    """
    alike = told_apart(rows, rows.crest, STANDARD_SD, by_pitch=True) < TOLD_APART
    if readings is not None and readings.roots:
        sd = model.root_sd(readings.caliper_sd, len(readings.roots))
        alike &= told_apart(rows, rows.root, sd, by_pitch=False) < TOLD_APART
    if readings is not None and readings.mates:
        sd = model.mean_sd(readings.caliper_sd, len(readings.mates))
        alike &= told_apart(rows, rows.mate, sd, by_pitch=False) < TOLD_APART
    if readings is not None and readings.look is not None:
        forms = np.array([form.value for form in rows.forms])
        alike &= forms[:, None] == forms[None, :]
    return _components(alike)


def _components(alike: NDArray[np.bool_]) -> NDArray[np.int64]:
    """Connected groups of a symmetric relation, numbered by their smallest member."""
    group = np.arange(len(alike), dtype=np.int64)
    joined = alike | np.eye(len(alike), dtype=np.bool_)
    while True:
        lowest = np.where(joined, group[None, :], len(alike)).min(axis=1)
        if np.array_equal(lowest, group):
            return group
        group = lowest


def chances_as_read(odds: Odds) -> Array:
    """Chance of every row with the crests counted right and, last, of everything else; shape (rows + 1,).

    A row that fits only after a miscount does not fit the readings as given. Its chance goes to "none of these",
    which then says so; a name is never built on a count the maker did not make.
    """
    fits = odds.probability[:-1] * (1 - odds.miscounted)
    return np.append(fits, 1 - fits.sum())

"""How much a printer scatters and how usual it is, and the belief with both in doubt.

For one printer the belief is the exact mixture over a grid of scatters for each sort of printer. With several, each
printer's grid is run with the others at their best values, and what every grid changes is added up; printers meet
only through what their plastics share, so the products that this leaves out are small.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from shadewright.fit.learn_model import Array, Model, Scale
from shadewright.fit.learn_pass import Belief, believe
from shadewright.fit.learn_prior import SCATTER_LOG_SD, UNUSUAL

LOG_MEAN = -(SCATTER_LOG_SD**2)
"""Mean of the log ratio before evidence: such that the mean square is 1."""

_COARSE = LOG_MEAN + np.linspace(-4.0, 4.0, 41) * SCATTER_LOG_SD
_FINE = np.linspace(-2.8, 2.8, 9)
_SWEEPS = 2


@dataclass(frozen=True, slots=True)
class Whole:
    """The belief with scatter and sort of every machine in doubt.

    Attributes:
        mean: (d,).
        cover: (d, d).
        ratio_square: (m,) mean square of the scatter over the built-in one.
        sort: (m,) mean of the sorts' factors.
    """

    mean: Array
    cover: Array
    ratio_square: Array
    sort: Array


@dataclass(frozen=True, slots=True)
class _Guess:
    """One machine by readings alone: for each sort mean and sd of the log ratio (k, 2), and the sort's share (k,)."""

    log_ratio: Array
    share: Array

    @property
    def middle(self) -> tuple[float, float]:
        """Mean log ratio and mean factor."""
        return float(self.share @ self.log_ratio[:, 0]), float(self.share @ _FACTORS)


_CHANCES, _FACTORS = (np.array(column) for column in zip(*UNUSUAL, strict=True))


def believe_whole(model: Model) -> Whole:
    """The belief after all evidence, scatter and sort of every machine included."""
    best, guesses = _from_readings_alone(model)
    centre = believe(model, best)
    mean, cover = centre.mean.copy(), centre.cover.copy()
    ratio_square, sort = np.ones(len(guesses)), np.ones(len(guesses))
    for machine, guess in enumerate(guesses):
        grid, log_weight, factors, nodes = _grid(model, best, machine, guess, centre)
        share = shares(log_weight)
        means = np.array([one.mean for one in grid])
        middle = share @ means
        off = means - middle
        mean += middle - centre.mean
        cover += np.einsum("g,gij->ij", share, np.array([one.cover for one in grid])) - centre.cover
        cover += (share * off.T) @ off
        ratio_square[machine] = share @ np.exp(2 * nodes)
        sort[machine] = share @ factors
    return Whole(mean, cover, ratio_square, sort)


def readings_log_evidence(model: Model, at: Scale) -> float:
    """Log of the chance of the readings alone, up to a constant."""
    weights = model.read.weights
    cover = np.diag(model.read.noise_at(at)) + (weights * model.prior_variance(at)) @ weights.T
    left = model.value - model.read.constant
    return float(-0.5 * left @ np.linalg.solve(cover, left) - 0.5 * np.linalg.slogdet(cover)[1])


def log_ratio_prior(nodes: Array) -> Array:
    """Log density of log ratios before evidence, up to a constant."""
    return -0.5 * ((nodes - LOG_MEAN) / SCATTER_LOG_SD) ** 2


def shares(log_weight: Array) -> Array:
    """Weights along the first axis that sum to 1."""
    weight = np.exp(log_weight - log_weight.max(axis=0))
    return np.asarray(weight / weight.sum(axis=0))


def _from_readings_alone(model: Model) -> tuple[Scale, list[_Guess]]:
    """Best values by the readings, and what they tell of every machine."""
    count = len(model.machines)
    best = Scale(np.full(count, np.exp(LOG_MEAN)), np.ones(count))
    before = np.tile([LOG_MEAN, SCATTER_LOG_SD], (len(_FACTORS), 1))
    guesses = [_Guess(before, _CHANCES)] * count
    if not len(model.value):
        return best, guesses
    for _ in range(_SWEEPS if count > 1 else 1):
        for machine in range(count):
            guesses[machine] = _guess(model, best, machine)
            best = best.but(machine, *guesses[machine].middle)
    return best, guesses


def _guess(model: Model, best: Scale, machine: int) -> _Guess:
    log_ratios, totals = [], []
    for factor in _FACTORS.tolist():
        at = [readings_log_evidence(model, best.but(machine, node, factor)) for node in _COARSE.tolist()]
        log_weight = np.array(at) + log_ratio_prior(_COARSE)
        share = shares(log_weight)
        middle = share @ _COARSE
        log_ratios.append((middle, np.sqrt(share @ (_COARSE - middle) ** 2)))
        totals.append(np.logaddexp.reduce(log_weight))
    return _Guess(np.array(log_ratios), shares(np.array(totals) + np.log(_CHANCES)))


def _grid(
    model: Model, best: Scale, machine: int, guess: _Guess, centre: Belief
) -> tuple[list[Belief], Array, Array, Array]:
    """Beliefs over one machine's grid; their log weights, sorts' factors and log ratios."""
    made, log_weights, factors, places = [], [], [], []
    for sort, factor in enumerate(_FACTORS.tolist()):
        middle, spread = guess.log_ratio[sort]
        start = centre.factors
        for node in (middle + spread * _FINE).tolist():
            one = believe(model, best.but(machine, node, factor), start)
            start = one.factors
            made.append(one)
            prior = log_ratio_prior(np.array(node)) + np.log(_CHANCES[sort] * spread)
            log_weights.append(one.log_evidence + prior)
            factors.append(factor)
            places.append(node)
    return made, np.array(log_weights), np.array(factors), np.array(places)

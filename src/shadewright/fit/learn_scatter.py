"""How much a printer scatters, and the belief with that in doubt: a grid over the scatter of each printer.

For one printer the belief is the exact mixture over its grid. With several, each printer's grid is run with the
others at their best value, and what every grid changes is added up; their scatters meet only through what their
plastics share, so the products that this leaves out are small.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from shadewright.fit.learn_model import Array, Model
from shadewright.fit.learn_pass import Belief, believe
from shadewright.fit.learn_prior import SCATTER_LOG_SD

_COARSE = np.linspace(-4.0, 4.0, 41) * SCATTER_LOG_SD
_FINE = np.linspace(-2.8, 2.8, 9)
_SWEEPS = 2


@dataclass(frozen=True, slots=True)
class Whole:
    """The belief with the scatter in doubt.

    Attributes:
        mean: (d,).
        cover: (d, d).
        ratio_square: (m,) mean square of the scatter over the built-in one, by machine.
        log_ratio: (m, 2) mean and standard deviation of its logarithm.
    """

    mean: Array
    cover: Array
    ratio_square: Array
    log_ratio: Array


def believe_whole(model: Model) -> Whole:
    """The belief after all evidence, the scatter of every machine included."""
    count = len(model.machines)
    about = _from_readings_alone(model)
    best = np.exp(about[:, 0])
    centre = believe(model, best)
    mean, cover = centre.mean.copy(), centre.cover.copy()
    squares, logs = best**2, about.copy()
    for machine in range(count):
        nodes = about[machine, 0] + about[machine, 1] * _FINE
        grid = _grid(model, best, machine, nodes, centre)
        share = _shares(np.array([one.log_evidence for one in grid]) + _log_prior(nodes))
        means = np.array([one.mean for one in grid])
        middle = share @ means
        off = means - middle
        mean += middle - centre.mean
        cover += np.einsum("g,gij->ij", share, np.array([one.cover for one in grid])) - centre.cover
        cover += np.einsum("g,gi,gj->ij", share, off, off)
        squares[machine] = share @ np.exp(2 * nodes)
        log_mean = share @ nodes
        logs[machine] = log_mean, np.sqrt(share @ (nodes - log_mean) ** 2)
    return Whole(mean, cover, squares, logs)


def readings_log_evidence(model: Model, ratios: Array) -> float:
    """Log of the chance of the readings alone for given scatter ratios (m,)."""
    noise = np.diag(model.read.noise_at(ratios))
    weights = model.read.weights
    cover = noise + (weights * model.prior_variance(ratios)) @ weights.T
    left = model.value - model.read.constant
    lower = np.linalg.cholesky(cover)
    half = np.linalg.solve(lower, left)
    return float(-0.5 * half @ half - np.log(np.diag(lower)).sum())


def log_prior_mean() -> float:
    """Mean of the log ratio before evidence: such that the mean square is 1."""
    return -(SCATTER_LOG_SD**2)


def scatter_grid(model: Model, machine: int, ratios: Array) -> tuple[Array, Array]:
    """Log ratios of one machine and their shares after the readings alone, the others' ratios as given."""
    nodes = _COARSE + log_prior_mean()
    log_weight = _log_prior(nodes)
    if len(model.value):
        log_weight = log_weight + [readings_log_evidence(model, _with(ratios, machine, node)) for node in nodes]
    return nodes, _shares(log_weight)


def _from_readings_alone(model: Model) -> Array:
    """Mean and standard deviation of every machine's log ratio (m, 2)."""
    about = np.tile([log_prior_mean(), SCATTER_LOG_SD], (len(model.machines), 1))
    for _ in range(_SWEEPS if len(model.machines) > 1 else 1):
        for machine in range(len(model.machines)):
            nodes, share = scatter_grid(model, machine, np.exp(about[:, 0]))
            middle = share @ nodes
            about[machine] = middle, np.sqrt(share @ (nodes - middle) ** 2)
    return about


def _grid(model: Model, best: Array, machine: int, nodes: Array, centre: Belief) -> list[Belief]:
    made, start = [], centre.factors
    for node in nodes:
        one = believe(model, _with(best, machine, float(node)), start)
        made.append(one)
        start = one.factors
    return made


def _with(ratios: Array, machine: int, log_ratio: float) -> Array:
    changed = ratios.copy()
    changed[machine] = np.exp(log_ratio)
    return changed


def _log_prior(nodes: Array) -> Array:
    return -0.5 * ((nodes - log_prior_mean()) / SCATTER_LOG_SD) ** 2


def _shares(log_weight: Array) -> Array:
    weight = np.exp(log_weight - log_weight.max())
    return np.asarray(weight / weight.sum())

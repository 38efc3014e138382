"""Puts readings and feels together for one given scatter: expectation propagation.

Readings are linear with normal noise, so they are taken in exactly. What a rung's feel and a bought thing's limits
say is not normal; each is stood in for by the normal factor that changes the belief's mean and covariance as the
true one does when all others stand as they are, until nothing moves. A factor never widens a belief: then this
settles whatever was felt. It is accurate, as the tests show against a reference sampler.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import log, pi

import numpy as np

from shadewright.fit.learn_model import Array, Felt, Model, Scale, Sums
from shadewright.fit.learn_moments import Moments, above_zero, between, misnoted, within

DAMPING = 0.6
"""Part of the way each factor goes towards its new value."""

MOST_ROUNDS = 200
SETTLED = 1e-6
"""Greatest change of a belief's mean, in its standard deviations, at which the rounds end."""

_JITTER = 1e-12


@dataclass(frozen=True, slots=True)
class Belief:
    """Normal belief over the unknown numbers of a model.

    Attributes:
        mean: (d,).
        cover: (d, d).
        log_evidence: Log of the chance of all evidence, up to a constant that the scatter does not change.
        factors: What stands in for rungs and limits; a start for the next scatter.
    """

    mean: Array
    cover: Array
    log_evidence: float
    factors: tuple[_Factor, ...]


@dataclass(frozen=True, slots=True)
class _Factor:
    """Normal stand-ins for n pieces of evidence on p numbers each: precision (n, p, p) and pull (n, p)."""

    precision: Array
    pull: Array


@dataclass(frozen=True, slots=True)
class _Site:
    """n pieces of evidence of one sort: rows (n, p, d) with their constants (n, p), and noise (n,); None for limits."""

    rows: Array
    constant: Array
    noise: Array | None

    @property
    def flat(self) -> Array:
        """All rows (n p, d)."""
        return self.rows.reshape(-1, self.rows.shape[2])

    def answer(self, precision: Array, pull: Array) -> Moments:
        """Moments after this evidence of beliefs given by precision and pull; ``log_chance`` counts unnormalised."""
        if self.noise is None:
            return within(precision[:, 0, 0], pull[:, 0])
        cover = _invert(precision)
        mean = np.einsum("nij,nj->ni", cover, pull)
        right = (above_zero if self.rows.shape[1] == 1 else between)(mean + self.constant, cover, self.noise)
        after = misnoted(right, mean + self.constant, cover)
        size = _log_size(precision, pull, cover)
        return Moments(after.log_chance + size, after.mean - self.constant, after.cover)


def believe(model: Model, at: Scale, start: tuple[_Factor, ...] = ()) -> Belief:
    """The belief after all evidence for given scatters and sorts of the machines.

    Args:
        model: The evidence.
        at: Scatters and sorts.
        start: Factors of a belief for others, to begin from.
    """
    precision, pull, log_evidence = _from_readings(model, at)
    sites = _sites(model, at)
    factors = list(start) or [_first(site) for site in sites]
    mean, cover = _solve(precision, pull, sites, factors)
    for _ in range(MOST_ROUNDS if sites else 0):
        factors = [_renew(site, factor, mean, cover) for site, factor in zip(sites, factors, strict=True)]
        before, (mean, cover) = mean, _solve(precision, pull, sites, factors)
        if np.max(np.abs(mean - before) / np.sqrt(np.diag(cover) + _JITTER)) < SETTLED:
            break
    for site, factor in zip(sites, factors, strict=True):
        log_evidence += _log_share(site, factor, mean, cover)
    log_evidence += _log_total(precision, pull, sites, factors)
    return Belief(mean, cover, log_evidence, tuple(factors))


def _from_readings(model: Model, at: Scale) -> tuple[Array, Array, float]:
    """Precision and pull of prior and readings, and the log factors they leave behind."""
    variance = model.prior_variance(at)
    inverse = 1 / np.maximum(variance, _JITTER**2)
    normal = np.ones(len(variance), dtype=bool)
    normal[model.boxes] = False
    inverse[model.boxes] = 0.0
    noise = model.read.noise_at(at)
    left = model.value - model.read.constant
    weighed = model.read.weights / noise[:, None]
    precision = np.diag(inverse) + model.read.weights.T @ weighed
    log_evidence = -0.5 * np.log(variance[normal]).sum() - 0.5 * (left**2 / noise + np.log(2 * pi * noise)).sum()
    return precision, weighed.T @ left, float(log_evidence)


def _sites(model: Model, at: Scale) -> list[_Site]:
    sites = [_felt_site(felt, at) for felt in model.felt]
    if len(model.boxes):
        rows = np.zeros((len(model.boxes), 1, len(model.unknowns)))
        rows[np.arange(len(model.boxes)), 0, model.boxes] = 1 / model.half
        sites.append(_Site(rows, np.zeros((len(model.boxes), 1)), None))
    return sites


def _felt_site(felt: Felt, at: Scale) -> _Site:
    parts: list[Sums] = [felt.gap] if felt.width is None else [felt.gap, felt.width]
    rows = np.stack([part.weights for part in parts], axis=1)
    return _Site(rows, np.stack([part.constant for part in parts], axis=1), felt.gap.noise_at(at))


def _first(site: _Site) -> _Factor:
    """Nothing yet of rungs; of limits what their variance says."""
    count, size, _ = site.rows.shape
    precision = np.zeros((count, size, size))
    if site.noise is None:
        precision[:, 0, 0] = 3.0
    return _Factor(precision, np.zeros((count, size)))


def _solve(precision: Array, pull: Array, sites: list[_Site], factors: list[_Factor]) -> tuple[Array, Array]:
    whole, weight = _whole(precision, pull, sites, factors)
    scale = 1 / np.sqrt(np.diag(whole))  # unknown numbers have units; what is inverted should not
    cover = np.linalg.inv(whole * scale[:, None] * scale) * scale[:, None] * scale
    cover = (cover + cover.T) / 2
    return cover @ weight, cover


def _whole(precision: Array, pull: Array, sites: list[_Site], factors: list[_Factor]) -> tuple[Array, Array]:
    whole, weight = precision.copy(), pull.copy()
    for site, factor in zip(sites, factors, strict=True):
        weighed = (factor.precision @ site.rows).reshape(-1, len(pull))
        whole += site.flat.T @ weighed
        weight += factor.pull.reshape(-1) @ site.flat
    return whole, weight


def _cavity(site: _Site, factor: _Factor, mean: Array, cover: Array) -> tuple[Array, Array, Array, Array]:
    """Beliefs about each piece's numbers, with (precision, pull) and without it."""
    spread = (site.flat @ cover).reshape(site.rows.shape)
    precision = _invert(spread @ site.rows.transpose(0, 2, 1))
    pull = np.einsum("npq,nq->np", precision, site.rows @ mean)
    return precision, pull, precision - factor.precision, pull - factor.pull


def _renew(site: _Site, factor: _Factor, mean: Array, cover: Array) -> _Factor:
    """Each factor a step towards the one that gives the true mean and covariance; where that cannot be, as it was."""
    _, _, precision, pull = _cavity(site, factor, mean, cover)
    possible = np.linalg.eigvalsh(precision)[:, 0] > (-1e-9 if site.noise is None else 0.0)
    safe = np.where(possible[:, None, None], precision, np.eye(precision.shape[1]))
    after = site.answer(np.maximum(safe, 0.0) if site.noise is None else safe, pull)
    values, axes = np.linalg.eigh(_invert(after.cover) - safe)
    wanted = (axes * np.maximum(values, 0.0)[:, None, :]) @ axes.transpose(0, 2, 1)
    wanted_pull = np.einsum("npq,nq->np", safe + wanted, after.mean) - pull
    step = DAMPING * possible
    return _Factor(
        factor.precision + step[:, None, None] * (wanted - factor.precision),
        factor.pull + step[:, None] * (wanted_pull - factor.pull),
    )


def _log_share(site: _Site, factor: _Factor, mean: Array, cover: Array) -> float:
    """What the pieces add to the log evidence, beside their factors' place in the whole."""
    precision, pull, less_precision, less_pull = _cavity(site, factor, mean, cover)
    if site.noise is None:
        less_precision = np.maximum(less_precision, 0.0)
    answer = site.answer(less_precision, less_pull)
    return float((answer.log_chance - _log_size(precision, pull, _invert(precision))).sum())


def _log_total(precision: Array, pull: Array, sites: list[_Site], factors: list[_Factor]) -> float:
    """Log of the integral of the whole belief, unnormalised, less its powers of 2 pi."""
    whole, weight = _whole(precision, pull, sites, factors)
    return float(0.5 * weight @ np.linalg.solve(whole, weight) - 0.5 * np.linalg.slogdet(whole)[1])


def _log_size(precision: Array, pull: Array, cover: Array) -> Array:
    """Log of the integral of ``exp(pull x - x precision x / 2)``: (n,)."""
    size = precision.shape[1]
    _, log_det = np.linalg.slogdet(precision)
    return np.asarray(0.5 * np.einsum("ni,nij,nj->n", pull, cover, pull) - 0.5 * log_det + 0.5 * size * log(2 * pi))


def _invert(cover: Array) -> Array:
    """Inverses of n matrices of 1 x 1 or 2 x 2."""
    if cover.shape[1] == 1:
        return 1 / cover
    return np.asarray(np.linalg.inv(cover))

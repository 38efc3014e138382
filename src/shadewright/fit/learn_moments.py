"""What one felt rung, or the limits of one bought thing, makes of a normal belief: chance, mean and covariance.

Every formula here is exact for a normal belief, apart from the integral over the distance of two boundaries, taken
at ten nodes.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.polynomial.hermite_e import hermegauss
from numpy.polynomial.legendre import leggauss
from scipy.special import log_ndtr

from shadewright.fit.learn_model import Array

_NODES, _WEIGHTS = hermegauss(10)
_WEIGHTS = _WEIGHTS / _WEIGHTS.sum()
_INNER, _INNER_WEIGHTS = leggauss(200)


@dataclass(frozen=True, slots=True)
class Moments:
    """Of n beliefs over p numbers each: log of the chance (n,), mean (n, p) and covariance (n, p, p) after it."""

    log_chance: Array
    mean: Array
    cover: Array


MISNOTED = 0.02
"""Share of rungs whose feel was noted wrong, as any other [-]: one rung against all others is not believed. Judged, no
source."""

_FEELS = 6


def misnoted(right: Moments, mean: Array, cover: Array) -> Moments:
    """Beliefs after learning what was noted, which may be wrong.

    Args:
        right: Beliefs when it was noted right.
        mean: (n, p) of the beliefs before.
        cover: (n, p, p).
    """
    log_right = np.log1p(-MISNOTED) + right.log_chance
    log_chance = np.logaddexp(log_right, np.log(MISNOTED / _FEELS))
    share = np.exp(log_right - log_chance)[:, None]
    middle = share * right.mean + (1 - share) * mean
    off, off_before = right.mean - middle, mean - middle
    whole = share[:, :, None] * (right.cover + off[:, :, None] * off[:, None, :])
    whole = whole + (1 - share[:, :, None]) * (cover + off_before[:, :, None] * off_before[:, None, :])
    return Moments(log_chance, middle, whole)


def above_zero(mean: Array, cover: Array, noise: Array) -> Moments:
    """Beliefs after learning that a number plus noise is above 0.

    Args:
        mean: (n, 1).
        cover: (n, 1, 1).
        noise: (n,) variance.
    """
    m, v = mean[:, 0], cover[:, 0, 0]
    spread = np.sqrt(v + noise)
    z = m / spread
    log_chance = log_ndtr(z)
    slope = np.exp(-z * z / 2 - log_chance) / np.sqrt(2 * np.pi)
    after = m + v * slope / spread
    left = v - v**2 * slope * (z + slope) / spread**2
    return Moments(log_chance, after[:, None], left[:, None, None])


def between(mean: Array, cover: Array, noise: Array) -> Moments:
    """Beliefs after learning that the first number plus noise is above 0 and below the second.

    Args:
        mean: (n, 2): gap less the lower boundary, and distance to the upper one.
        cover: (n, 2, 2).
        noise: (n,) variance.
    """
    spread_w = np.sqrt(cover[:, 1, 1])
    width = mean[:, 1, None] + spread_w[:, None] * _NODES  # (n, q)
    slope = cover[:, 0, 1] / cover[:, 1, 1]
    m = mean[:, 0, None] + slope[:, None] * (width - mean[:, 1, None])
    v = (cover[:, 0, 0] - slope * cover[:, 0, 1])[:, None]
    log_chance, after, left = _inside(m, v, noise[:, None], width)
    log_each = log_chance + np.log(_WEIGHTS)
    top = log_each.max(axis=1, keepdims=True)
    share = np.exp(log_each - top)
    total = share.sum(axis=1, keepdims=True)
    share = share / total
    mean_after = np.stack([(share * after).sum(1), (share * width).sum(1)], axis=1)
    off = np.stack([after - mean_after[:, :1], width - mean_after[:, 1:]], axis=1)  # (n, 2, q)
    cover_after = np.einsum("nq,niq,njq->nij", share, off, off)
    cover_after[:, 0, 0] += (share * left).sum(1)
    return Moments((top + np.log(total))[:, 0], mean_after, cover_after)


def within(precision: Array, pull: Array) -> Moments:
    """Beliefs after learning that a number lies within -1 and 1; precision may be 0.

    Args:
        precision: (n,) of the belief.
        pull: (n,) mean times precision.

    Returns:
        ``log_chance`` is the log of the integral of ``exp(pull x - precision x² / 2)``.
    """
    log_at = pull[:, None] * _INNER - precision[:, None] * _INNER**2 / 2
    top = log_at.max(axis=1, keepdims=True)
    weight = np.exp(log_at - top) * _INNER_WEIGHTS
    total = weight.sum(axis=1, keepdims=True)
    weight = weight / total
    mean = weight @ _INNER
    cover = (weight * (_INNER - mean[:, None]) ** 2).sum(axis=1)
    return Moments((top + np.log(total))[:, 0], mean[:, None], cover[:, None, None])


def _inside(m: Array, v: Array, noise: Array, width: Array) -> tuple[Array, Array, Array]:
    """Log chance, mean and variance of numbers that, with noise, lie in 0..width; no chance without width."""
    spread = np.sqrt(v + noise)
    low, high = -m / spread, (width - m) / spread
    flip = low > 0  # work in the thinner tail, where no digits are lost
    a, b = np.where(flip, -high, low), np.where(flip, -low, high)
    room = np.maximum(b - a, 1e-12)
    below, above = log_ndtr(a), log_ndtr(a + room)
    log_chance = above + np.log(-np.expm1(np.minimum(below - above, -1e-300)))
    edge_a = np.exp(-a * a / 2 - log_chance) / np.sqrt(2 * np.pi)
    edge_b = np.exp(-((a + room) ** 2) / 2 - log_chance) / np.sqrt(2 * np.pi)
    slope = np.where(flip, -1.0, 1.0) * (edge_a - edge_b)
    bend = a * edge_a - (a + room) * edge_b - slope**2
    log_chance = np.where(width > 0, log_chance, -1e6)
    return log_chance, m + v * slope / spread, np.maximum(v + v**2 * bend / spread**2, 0.0)

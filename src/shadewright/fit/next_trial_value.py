"""What a trial is worth: the expectation, over everything its rungs may feel like, of what is then drawn better.

One number is at issue in a trial, the offset of its joint: true gap less drawn clearance. It stands on a grid of
equal steps. The rungs see it through what the whole print has in common (one more number, on a grid of its own) and
through what each rung has of its own (closed form, as in ``feel.chance_of``). Outcomes are enumerated rung by rung;
branches rarer than ``RARE`` are gathered into one that learns nothing, so that the value is never overstated.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

import numpy as np
from scipy.special import ndtr

from shadewright.fit.feel import FEELS, FeelBounds
from shadewright.fit.joint import Feel
from shadewright.fit.next_trial_serves import SERVED_WORTH, harmless_neighbour, served_band
from shadewright.fit.next_trial_standing import Floats, Stake, Standing

NODES = 41
REACH = 4.0
"""The grid of an unknown reaches this many standard deviations to both sides."""

RARE = 1e-4
"""Outcomes less likely than this are gathered."""

SIZES = 61
SIZES_BEYOND = 3.0
"""Sizes that might be drawn reach beyond the wanted band by this many standard deviations of the offset: as far as a
trial may show that today's best one is off."""

OPEN_END_Z = 1.2815515655446004
"""Loose and fixed are drawn so far that nine in ten come out so; as in ``fit.size``."""


@dataclass(frozen=True, slots=True)
class Outcomes:
    """Everything a trial may show, rarities gathered last.

    Attributes:
        joint_weights: Chance of outcome and offset together, shape (outcomes, nodes); sums to 1.
        offsets: The nodes' offsets [mm].
        feels: Outcome of every rung by index into ``FEELS``, shape (outcomes - 1, rungs).
    """

    joint_weights: Floats
    offsets: Floats
    feels: np.ndarray[tuple[int, int], np.dtype[np.int8]]

    @property
    def chances(self) -> Floats:
        """Chance of each outcome, shape (outcomes,)."""
        return np.asarray(self.joint_weights.sum(axis=1))

    def spread_left(self) -> float:
        """Expected variance of the offset after the trial [mm²]."""
        chances = self.chances
        kept = chances > 0
        means = self.joint_weights[kept] @ self.offsets / chances[kept]
        squares = self.joint_weights[kept] @ self.offsets**2 / chances[kept]
        return float(chances[kept] @ (squares - means**2))


def outcomes(stake: Stake, offset: float, sd: float, clearances: tuple[float, ...]) -> Outcomes:
    """Enumerate what rungs at ``clearances`` may feel like, for an offset of this mean and sd [mm]."""
    nodes, prior = _grid(offset, sd)
    seen, carry = _through_print(nodes, stake.print_sd)
    own = stake.rung_sd if carry is not None else float(np.hypot(stake.rung_sd, stake.print_sd))
    marginal = prior if carry is None else prior @ carry
    likely = np.ones((1, len(seen)))
    feels = np.zeros((1, 0), dtype=np.int8)
    for clearance in clearances:
        rung = feel_chances(stake.bounds, seen + clearance, own)
        grown = (likely[:, None, :] * rung[None, :, :]).reshape(-1, len(seen))
        named = np.concatenate(
            [np.repeat(feels, len(FEELS), axis=0), np.tile(np.arange(len(FEELS), dtype=np.int8), len(feels))[:, None]],
            axis=1,
        )
        kept = grown @ marginal > RARE
        likely, feels = grown[kept], named[kept]
    given = likely if carry is None else likely @ carry.T
    weights = given * prior
    rest = np.clip(prior - weights.sum(axis=0), 0.0, None)
    return Outcomes(np.vstack([weights, rest]), nodes, feels)


def feel_chances(bounds: FeelBounds, gaps: Floats, sd: float) -> Floats:
    """Chance of every feel at every gap [mm], shape (feels, gaps), in the order of ``FEELS``."""
    edges = np.array(bounds.gaps)[:, None]
    looser = ndtr((gaps[None, :] - edges) / sd) if sd > 0 else (gaps[None, :] >= edges).astype(np.float64)
    steps = np.vstack([np.ones_like(gaps), looser, np.zeros_like(gaps)])
    return np.asarray((steps[:-1] - steps[1:])[::-1])


@dataclass(frozen=True, slots=True)
class Prospect:
    """What every joint of a lamp is worth at every size, by where the offset of one trial's joint lies.

    Attributes:
        worth, serve: Worth, and chance to serve, each of shape (joints, sizes, nodes).
        weights: Chance of every node of that offset today, shape (nodes,).
    """

    worth: Floats
    serve: Floats
    weights: Floats

    def now(self) -> tuple[Floats, Floats]:
        """Worth and chance to serve of every joint at the size that is worth most today, each shape (joints,)."""
        worth, serve = self.after(self.weights[None, :])
        return worth[:, 0], serve[:, 0]

    def after(self, joint_weights: Floats, only: int | None = None) -> tuple[Floats, Floats]:
        """The same after every outcome, each shape (joints, outcomes).

        Args:
            joint_weights: Chance of outcome and offset together, as in ``Outcomes``.
            only: Look at this joint alone.
        """
        kept = slice(None) if only is None else slice(only, only + 1)
        chances = np.maximum(joint_weights.sum(axis=1), 1e-300)
        expected = self.worth[kept] @ joint_weights.T
        best = expected.argmax(axis=1, keepdims=True)
        serve = self.serve[kept] @ joint_weights.T
        return (
            np.take_along_axis(expected, best, axis=1)[:, 0, :] / chances,
            np.take_along_axis(serve, best, axis=1)[:, 0, :] / chances,
        )


def prospect(standing: Standing, trial: int) -> Prospect:
    """Look at all joints from the offset of joint ``trial``; the others follow it by linear regression."""
    spread = standing.spread
    own = float(spread[trial, trial])
    nodes, weights = _grid(standing.offsets[trial], own**0.5)
    tables = []
    for at, stake in enumerate(standing.stakes):
        slope = spread[at, trial] / own if own > 0 else 0.0
        left = max(float(spread[at, at] - slope * spread[at, trial]), 0.0)
        shift = slope * (nodes - standing.offsets[trial])
        tables.append(_table(stake, float(spread[at, at]) ** 0.5, shift, left**0.5))
    worth, serve = zip(*tables, strict=True)
    return Prospect(np.array(worth), np.array(serve), weights)


def _table(stake: Stake, offset_sd: float, shift: Floats, left_sd: float) -> tuple[Floats, Floats]:
    """Worth and chance to serve by size and node, when the offset is moved by ``shift`` [mm] and so far unsure."""
    gaps = _sizes(stake, offset_sd)[:, None] + shift[None, :]
    chance = feel_chances(stake.bounds, gaps.ravel(), float(np.hypot(stake.real_sd, left_sd)))
    wanted = chance[FEELS.index(stake.feel)].reshape(gaps.shape)
    beside = chance[FEELS.index(harmless_neighbour(stake.bounds.kind, stake.feel))].reshape(gaps.shape)
    return wanted + SERVED_WORTH * beside, wanted + beside


def _sizes(stake: Stake, offset_sd: float) -> Floats:
    """Gaps that sizing might aim at, as if the offset were what it is thought to be today [mm]."""
    low, high = served_band(stake.bounds, stake.feel)
    margin = OPEN_END_Z * float(np.hypot(stake.real_sd, offset_sd))
    if stake.feel is Feel.LOOSE:
        low, high = stake.bounds.gaps[-1], stake.bounds.gaps[-1] + margin
    elif stake.feel is Feel.FIXED:
        low, high = stake.bounds.gaps[0] - margin, stake.bounds.gaps[0]
    beyond = SIZES_BEYOND * offset_sd
    return np.linspace(low - beyond, high + beyond, SIZES)


def _grid(mean: float, sd: float) -> tuple[Floats, Floats]:
    """Nodes of a normal unknown and their weights, which sum to 1."""
    if sd <= 0:
        return np.array([mean]), np.ones(1)
    z, weights = _standard(NODES)
    return mean + sd * z, weights


@cache
def _standard(nodes: int) -> tuple[Floats, Floats]:
    z = np.linspace(-REACH, REACH, nodes)
    weights = np.exp(-z * z / 2)
    shares: Floats = weights / weights.sum()
    return z, shares


def _through_print(nodes: Floats, print_sd: float) -> tuple[Floats, Floats | None]:
    """What a print makes of the offset: nodes seen through its common error, and chances (nodes, seen).

    None when that error is too small for the grid's step; it is then added to each rung's own.
    """
    if len(nodes) == 1:
        if print_sd <= 0:
            return nodes, None
        seen = nodes[0] + print_sd * _standard(NODES)[0]
        return seen, _standard(NODES)[1][None, :]
    step = nodes[1] - nodes[0]
    if print_sd < step:
        return nodes, None
    beyond = int(np.ceil(REACH * print_sd / step))
    seen = nodes[0] + step * np.arange(-beyond, len(nodes) + beyond)
    carry = np.exp(-(((seen[None, :] - nodes[:, None]) / print_sd) ** 2) / 2)
    return seen, carry / carry.sum(axis=1, keepdims=True)

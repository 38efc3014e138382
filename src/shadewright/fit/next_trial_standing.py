"""What is at stake before a trial: joints, what is known of their gaps together, and what prints cost."""

from __future__ import annotations

from dataclasses import dataclass
from math import hypot, sqrt
from typing import cast

import numpy as np
import numpy.typing as npt

from shadewright.errors import ValueProblem
from shadewright.fit.feel import FeelBounds
from shadewright.fit.joint import Feel
from shadewright.fit.learn_prior import PRINT_SHARE

Floats = npt.NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True)
class Stake:
    """One joint that hangs on what a trial would show.

    Attributes:
        joint: Its name.
        feel: The wanted feel.
        bounds: Boundaries between feels; their softness is taken as each judgement's own.
        clearance: Drawn clearance that is best by today's knowledge [mm on the diameter].
        rung_scatter: Scatter of the side that takes the allowance, facets included [mm].
        mate_scatter: Scatter of a printed mate [mm]; 0 for a bought one.
        part: The part that is printed again when the joint does not serve.
        trial_min: Printing time of its trial by number of rungs [min]; rising. Empty when there is none.
    """

    joint: str
    feel: Feel
    bounds: FeelBounds
    clearance: float
    rung_scatter: float
    mate_scatter: float
    part: str
    trial_min: tuple[tuple[int, float], ...]

    @property
    def real_sd(self) -> float:
        """What is left of a real joint's spread when its offset is known: scatter and softness [mm]."""
        return hypot(self.rung_scatter, self.mate_scatter, self.bounds.softness)

    @property
    def rung_sd(self) -> float:
        """What each rung of a trial has of its own: half the scatter's variance, and softness [mm]."""
        return hypot(sqrt(1 - PRINT_SHARE) * self.rung_scatter, self.bounds.softness)

    @property
    def print_sd(self) -> float:
        """What all rungs of a trial have in common: their print's share of the scatter, and the gauge's [mm]."""
        return hypot(sqrt(PRINT_SHARE) * self.rung_scatter, self.mate_scatter)


@dataclass(frozen=True, slots=True, kw_only=True)
class Standing:
    """Joints of one lamp before a trial.

    Attributes:
        stakes: The joints.
        offsets: By joint, mean of the true gap less the drawn clearance [mm].
        covariance: Of those offsets, scatter left out [mm²]; what two joints share makes them vary together.
        part_min: Printing time of every part that may have to be printed again [min].
    """

    stakes: tuple[Stake, ...]
    offsets: tuple[float, ...]
    covariance: tuple[tuple[float, ...], ...]
    part_min: tuple[tuple[str, float], ...]

    def __post_init__(self) -> None:
        n = len(self.stakes)
        square = len(self.covariance) == n and all(len(row) == n for row in self.covariance)
        if len(self.offsets) != n or not square:
            raise ValueProblem.of(f"{n} joints need {n} offsets and a covariance of {n} x {n}", "give one for each")
        known = {name for name, _ in self.part_min}
        missing = sorted({stake.part for stake in self.stakes} - known)
        if missing:
            raise ValueProblem.of(f"part {missing[0]} has no printing time", "give one for every part")

    @property
    def spread(self) -> Floats:
        """Covariance as an array (n, n) [mm²]."""
        n = len(self.stakes)
        return np.array(self.covariance, dtype=np.float64).reshape(n, n)

    def at(self, joint: str) -> int:
        """Place of a joint among the stakes."""
        return [stake.joint for stake in self.stakes].index(joint)


def told(standing: Standing, at: int, mean: float, variance: float) -> Standing:
    """Standing once the offset of joint ``at`` is known to be normal with this mean [mm] and variance [mm²].

    The others follow by linear regression, exact for jointly normal offsets.
    """
    spread, offsets = standing.spread, np.array(standing.offsets)
    own = spread[at, at]
    if own <= 0:
        return standing
    slope = spread[:, at] / own
    moved = offsets + slope * (mean - offsets[at])
    left = spread - np.outer(slope, slope) * (own - variance)
    return Standing(
        stakes=standing.stakes,
        offsets=tuple(moved.tolist()),
        covariance=tuple(tuple(cast(list[float], row)) for row in left.tolist()),
        part_min=standing.part_min,
    )

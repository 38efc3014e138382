"""From the true gap to the feel in the hand: ordered boundaries, softened because hands and prints differ."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass
from functools import cache
from itertools import pairwise

from shadewright.catalog.tables import Row, rows
from shadewright.errors import ValueProblem
from shadewright.fit.joint import Feel, JointKind

FEELS = tuple(Feel)
"""From most play to none."""

_FROM_TIGHT = FEELS[::-1]

_FLAT_COUNTS = 0.05
"""A uniform part narrower than this share of the normal one is taken as normal; the error is below 1e-8."""


@dataclass(frozen=True, slots=True)
class FeelBounds:
    """Where one feel passes into the next for one kind of joint.

    Attributes:
        kind: thread, slide or push.
        gaps: Five gaps on the diameter [mm], rising: fixed-tight, tight-snug, snug-easy, easy-free, free-loose.
        softness: Standard deviation of every boundary [mm]. One for all five: then the chances nest, and none
            is ever negative.
    """

    kind: JointKind
    gaps: tuple[float, ...]
    softness: float

    def __post_init__(self) -> None:
        rising = all(low < high for low, high in pairwise(self.gaps))
        if len(self.gaps) != len(FEELS) - 1 or not rising or not self.softness >= 0:
            raise ValueProblem.of(
                f"feel boundaries of {self.kind} joints are {self.gaps} with softness {self.softness}",
                "five rising gaps and a softness of 0 or more are needed",
            )

    def band(self, feel: Feel) -> tuple[float, float]:
        """Gaps between which a joint has this feel [mm]; infinite at the open ends."""
        edges = (-math.inf, *self.gaps, math.inf)
        at = _FROM_TIGHT.index(feel)
        return edges[at], edges[at + 1]


def chance_of(feel: Feel, gap: float, gap_sd: float, bounds: FeelBounds, flat: float = 0.0) -> float:
    """Chance that a joint feels so [-].

    With the gap normal about ``gap`` and every boundary normal about its own, the chance to be looser than
    boundary b is ``Phi((gap - b) / sqrt(gap_sd² + softness²))``, exactly. A bought side adds a uniform part;
    then that chance is averaged over it, again in closed form.

    Args:
        feel: Which feel.
        gap: Mean gap [mm].
        gap_sd: Standard deviation of its normal part [mm].
        bounds: Boundaries between feels.
        flat: Half width of its uniform part [mm].
    """
    spread = math.hypot(gap_sd, bounds.softness)
    low, high = bounds.band(feel)
    if gap > (low + high) / 2:  # work in the thinner tail, where no digits are lost
        low, high, gap = -high, -low, -gap
    return _below(high, gap, spread, flat) - _below(low, gap, spread, flat)


def chances(gap: float, gap_sd: float, bounds: FeelBounds, flat: float = 0.0) -> tuple[tuple[Feel, float], ...]:
    """Chance of each feel, in the order of ``Feel``, summing to 1; arguments as for ``chance_of``."""
    return tuple((feel, chance_of(feel, gap, gap_sd, bounds, flat)) for feel in FEELS)


def chance_between(low: float, high: float, gap: float, gap_sd: float, flat: float = 0.0) -> float:
    """Chance that the gap lies between two limits [-], which may be infinite.

    Args:
        low: Least wanted gap [mm].
        high: Greatest wanted gap [mm].
        gap: Mean gap [mm].
        gap_sd: Standard deviation of its normal part [mm].
        flat: Half width of its uniform part [mm].
    """
    return max(0.0, _below(high, gap, gap_sd, flat) - _below(low, gap, gap_sd, flat))


def chance_together(gap: float, gap_sd: float, least: float = 0.0) -> float:
    """Chance that two parts go together: that the gap is at least ``least`` [mm]."""
    return _below(-least, -gap, gap_sd)


@cache
def built_in_bounds(kind: JointKind) -> FeelBounds:
    """Boundaries the program starts from, out of ``feel_bounds.csv``.

    Raises:
        ValueProblem: The kind is not sized yet, or its rows are not five rising boundaries with one softness.
    """
    return bounds_from_rows(kind, rows("feel_bounds"))


def bounds_from_rows(kind: JointKind, table: Iterable[Row]) -> FeelBounds:
    """Pick one kind's boundaries out of table rows, which may stand in any order; errors as above."""
    mine = {(row.text("tighter"), row.text("looser")): row for row in table if row.text("kind") == kind}
    wanted = list(pairwise(feel.value for feel in _FROM_TIGHT))
    if not mine:
        raise ValueProblem.of(f"a {kind} joint is not sized yet", "only thread, slide and push joints are")
    softness = {row.number("sd_mm") for row in mine.values()}
    if set(mine) != set(wanted) or len(softness) != 1:
        raise ValueProblem.of(
            f"the table of feels does not hold five boundaries with one softness for {kind} joints",
            "mend feel_bounds.csv",
        )
    return FeelBounds(kind, tuple(mine[pair].number("gap_mm") for pair in wanted), softness.pop())


def _below(edge: float, mean: float, sd: float, flat: float = 0.0) -> float:
    """Chance that a normal value, plus one uniform within ``flat`` of 0, lies below ``edge``."""
    if math.isinf(edge):
        return 1.0 if edge > 0 else 0.0
    if flat <= _FLAT_COUNTS * sd:
        sd, flat = math.sqrt(sd**2 + flat**2 / 3), 0.0
    if flat == 0:
        return _normal_below((edge - mean) / sd) if sd > 0 else float(mean < edge)
    return (_ramp(edge - mean + flat, sd) - _ramp(edge - mean - flat, sd)) / (2 * flat)


def _ramp(x: float, sd: float) -> float:
    """Integral of the normal distribution function up to ``x``: ``x Phi(x/sd) + sd phi(x/sd)`` [mm]."""
    if sd == 0:
        return max(x, 0.0)
    z = x / sd
    return x * _normal_below(z) + sd * math.exp(-z * z / 2) / math.sqrt(2 * math.pi)


def _normal_below(z: float) -> float:
    return 0.5 * math.erfc(-z / math.sqrt(2))

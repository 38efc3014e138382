"""Inputs known only within a range, what comes of them, and which of several failures governs.

A ``Ranged`` input is drawn from a triangle over its ends with its peak at the likely value: ends and likely value are
all that a table or a maker states, and the triangle puts more into the tails than a smoother curve would, which is the
cautious side. Draws are stratified (one in each of as many equal shares of probability as there are draws) and each
input has a stream of its own, by its name: the answer moves little with the seed, and an input that is added or shifted
leaves the others' draws as they were, so that comparing two designs compares designs and not luck.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from zlib import crc32

import numpy as np
import numpy.typing as npt

from shadewright.catalog.cards import Known, Range
from shadewright.errors import ValueProblem

Draws = npt.NDArray[np.float64]
"""Values of one quantity, (draws,), in the unit its name carries."""

LOW_SHARE, HIGH_SHARE = 0.05, 0.95
"""Shares of the draws below ``Outcome.low5`` and ``Outcome.high95``."""

DRAWS = 4000
"""Draws that settle a 5 % point to about 1 % of itself for spreads like those of printed plastics."""


@dataclass(frozen=True, slots=True)
class Ranged:
    """An input known within a range; the unit stands in the name of whatever holds it.

    Attributes:
        low, high: Ends within which nearly all specimens lie.
        likely: Usual value, between them.
        source: Where the three come from.

    Raises:
        ValueProblem: Not finite, or not in ascending order.
    """

    low: float
    likely: float
    high: float
    source: str = ""

    def __post_init__(self) -> None:
        if not (all(map(math.isfinite, (self.low, self.likely, self.high))) and self.low <= self.likely <= self.high):
            raise ValueProblem.of(
                f"a range of {self.low:g}, {self.likely:g}, {self.high:g} cannot be",
                "write its low end, likely value and high end in ascending order",
            )

    @classmethod
    def exactly(cls, value: float, source: str = "") -> Ranged:
        """A value that is known."""
        return cls(value, value, value, source)

    @classmethod
    def within(cls, value: float, share: float, source: str = "") -> Ranged:
        """``value`` give or take ``share`` of it."""
        spread = abs(value) * share
        return cls(value - spread, value, value + spread, source)

    @classmethod
    def of(cls, known: Range) -> Ranged:
        """A catalogue's range, its source carried along."""
        evidence = known.evidence if isinstance(known, Known) else None
        memory = ", from memory" if evidence and evidence.from_memory else ""
        return cls(known.low, known.likely, known.high, f"{evidence.source}{memory}" if evidence else "")

    @property
    def mean(self) -> float:
        """Mean of the triangle."""
        return (self.low + self.likely + self.high) / 3

    @property
    def sd(self) -> float:
        """Standard deviation of the triangle."""
        a, c, b = self.low, self.likely, self.high
        return math.sqrt(max(a * a + b * b + c * c - a * b - a * c - b * c, 0.0) / 18)

    def times(self, factor: float, source: str = "") -> Ranged:
        """The range with all three values multiplied by ``factor``, which is not negative."""
        return Ranged(self.low * factor, self.likely * factor, self.high * factor, source or self.source)

    def by(self, other: Ranged, source: str = "") -> Ranged:
        """Product of two ranges of numbers that are not negative, end by end: wider than drawing both."""
        joined = source or ", ".join(dict.fromkeys(text for text in (self.source, other.source) if text))
        return Ranged(self.low * other.low, self.likely * other.likely, self.high * other.high, joined)

    def at(self, share: Draws) -> Draws:
        """Values below which the given shares of the triangle lie (inverse of its distribution)."""
        a, c, b = self.low, self.likely, self.high
        if b == a:
            return np.full_like(share, a)
        peak = (c - a) / (b - a)
        rising = a + np.sqrt(share * (b - a) * (c - a))
        falling = b - np.sqrt((1 - share) * (b - a) * (b - c))
        return np.where(share < peak, rising, falling)


@dataclass(frozen=True, slots=True)
class Outcome:
    """What comes of ranged inputs: 5 % point, median and 95 % point; no samples are kept."""

    low5: float
    likely: float
    high95: float

    def text(self, unit: str, digits: int = 2) -> str:
        """Write ``12 N (9 to 15)`` with that many significant digits."""
        low, likely, high = (rounded(value, digits) for value in (self.low5, self.likely, self.high95))
        written = f"{likely} {unit}".rstrip()
        return written if low == high else f"{written} ({low} to {high})"


def rounded(value: float, digits: int = 2) -> str:
    """Write ``value`` with that many significant digits and no exponent: ``0.41``, ``1300``."""
    if value == 0 or not math.isfinite(value):
        return f"{value:g}"
    places = digits - 1 - math.floor(math.log10(abs(value)))
    return f"{round(value, places):.{max(places, 0)}f}"


def draw(inputs: Mapping[str, Ranged], draws: int, seed: int) -> dict[str, Draws]:
    """Draw every input, each (draws,), independent of one another.

    Args:
        inputs: By name; the name picks the stream.
        draws: How many.
        seed: Equal seeds give equal draws.
    """
    drawn = {}
    for name, ranged in inputs.items():
        stream = np.random.default_rng([seed, crc32(name.encode())])
        shares = (stream.permutation(draws) + stream.random(draws)) / draws
        drawn[name] = ranged.at(shares)
    return drawn


def summary(values: Draws) -> Outcome:
    """Sum up drawn values, (draws,)."""
    low, likely, high = np.quantile(values, (LOW_SHARE, 0.5, HIGH_SHARE))
    return Outcome(float(low), float(likely), float(high))


def propagate(
    function: Callable[..., Draws], inputs: Mapping[str, Ranged], draws: int = DRAWS, seed: int = 0
) -> Outcome:
    """Range of ``function(**inputs)``, which takes and gives arrays (draws,)."""
    return summary(np.broadcast_to(np.asarray(function(**draw(inputs, draws, seed)), dtype=np.float64), (draws,)))


def propagate_all(
    function: Callable[..., Mapping[str, Draws]], inputs: Mapping[str, Ranged], draws: int = DRAWS, seed: int = 0
) -> dict[str, Outcome]:
    """The same for a function of several results, all of the same draws."""
    results = function(**draw(inputs, draws, seed))
    return {
        name: summary(np.broadcast_to(np.asarray(values, dtype=np.float64), (draws,)))
        for name, values in results.items()
    }


def governing(strengths: Mapping[str, Outcome]) -> str:
    """Name of the failure that comes first: the least likely value, and among equals the lowest low end.

    Raises:
        ValueProblem: There is none to choose from.
    """
    if not strengths:
        raise ValueProblem.of("no way of failing was calculated", "state at least one strength")
    return min(strengths, key=lambda name: (strengths[name].likely, strengths[name].low5))


@dataclass(frozen=True, slots=True, kw_only=True)
class Safety:
    """How strength stands against load.

    Attributes:
        cautious: 5 % point of the strength over the greatest load [-]: what verdicts go by.
        likely: Median over the likely load [-].
        wanted: What ``cautious`` is held against [-].
    """

    cautious: float
    likely: float
    wanted: float

    @property
    def enough(self) -> bool:
        """Whether even the weak specimen holds with the margin wanted."""
        return self.cautious >= self.wanted


def factor_of_safety(strength: Outcome, load: Ranged, wanted: float) -> Safety:
    """Hold a strength against a load of the same unit.

    Raises:
        ValueProblem: The load or the margin is not above 0.
    """
    if load.low <= 0 or wanted <= 0:
        raise ValueProblem.of(f"a load of {load.low:g} needs no strength", "state a load above 0")
    return Safety(cautious=strength.low5 / load.high, likely=strength.likely / load.likely, wanted=wanted)


WANTED_MARGIN = 1.5
"""Margin on the weak specimen under the greatest load; our rule for plastic whose scatter is counted already."""

WANTED_OVERHEAD = 3.0
"""The same where people could be underneath; our rule, about what machine design asks when lives depend on it."""


def wanted_margin(*, above_people: bool) -> float:
    """Factor of safety that is asked for on the weak specimen."""
    return WANTED_OVERHEAD if above_people else WANTED_MARGIN


SECOND_RETENTION = "give it a second means of retention that holds it alone, such as a steel wire or chain"
"""Asked for wherever people could be under it."""

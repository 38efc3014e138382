"""Draws of what is known only within a range, and what comes of them."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from zlib import crc32

import numpy as np

from shadewright.catalog.cards import Range
from shadewright.heat.air import Values

DRAWS = 1000
LOW_SHARE, HIGH_SHARE = 0.05, 0.95
"""Shares of the draws below the ends of a ``Likely``."""


@dataclass(frozen=True, slots=True)
class Likely:
    """What comes of the draws: 5 % point, median and 95 % point."""

    low: float
    middle: float
    high: float

    @classmethod
    def of(cls, values: Values) -> Likely:
        """Sum up (n,) values."""
        low, middle, high = np.quantile(values, (LOW_SHARE, 0.5, HIGH_SHARE))
        return cls(float(low), float(middle), float(high))

    def text(self) -> str:
        """Write temperatures as ``48 °C (41 to 56)``."""
        return f"{self.middle:.0f} °C ({self.low:.0f} to {self.high:.0f})"


def drawn(ranges: Mapping[str, Range], draws: int, seed: int) -> dict[str, Values]:
    """Draw every range from a triangle over its ends with its peak at the likely value, each (draws,).

    One draw lies in each of as many equal shares of probability as there are draws, and every name has a stream of its
    own: two designs that are compared meet the same luck.
    """
    found = {}
    for name, known in ranges.items():
        stream = np.random.default_rng([seed, crc32(name.encode())])
        share = (stream.permutation(draws) + stream.random(draws)) / draws
        low, peak, high = known.low, known.likely, known.high
        if high <= low:
            found[name] = np.full(draws, low)
            continue
        rising = low + np.sqrt(share * (high - low) * (peak - low))
        falling = high - np.sqrt((1 - share) * (high - low) * (high - peak))
        found[name] = np.where(share < (peak - low) / (high - low), rising, falling)
    return found

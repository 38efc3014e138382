"""Warm air leaving by upper openings and drawing cool air in by lower ones.

Inside, the air counts as well mixed. Somewhere between the openings lies the height at which the pressures inside and
outside are equal: below it air flows in, above it out. That height depends on the openings alone, and so does the
factor by which the flow grows with the square root of the warmth: two openings give the textbook's
``Cd Ae sqrt(2 g h dT/T)`` with 1/Ae² = 1/A1² + 1/A2², one tall window gives ``Cd W H^1.5 sqrt(g dT/T) / 3``.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from shadewright.errors import ValueProblem
from shadewright.heat.air import GRAVITY_M_S2, KELVIN, Values

SLICES = 12
"""Into so many strips an upright opening is cut; the flow through a window alone is then within 1 % of its integral."""

EXCHANGE = 0.055
"""Flow through one level opening over warm air: 0.055 sqrt(g dT/T D^5) (Epstein, J. Heat Transfer 110 (1988) 885)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Opening:
    """One way in or out for air.

    Attributes:
        area_mm2: Free area [mm²].
        low, high: Heights of its lower and upper edge [mm]; equal for a level opening.
        faces_up: True for a level opening that faces up, which lets warm air out by itself.
    """

    area_mm2: float
    low: float
    high: float
    faces_up: bool = False

    def __post_init__(self) -> None:
        if not (self.area_mm2 > 0 and self.high >= self.low):
            raise ValueProblem.of(
                f"an opening of {self.area_mm2:g} mm² from {self.low:g} to {self.high:g} mm cannot be",
                "state an area above 0 and the lower height first",
            )


@dataclass(frozen=True, slots=True, kw_only=True)
class Draught:
    """What openings do for the flow, whatever the warmth.

    Attributes:
        stack: Flow is discharge coefficient times this times sqrt(2 g dT/T) [m^2.5].
        exchange: Flow is this times sqrt(g dT/T), through level openings that face up [m^2.5].
    """

    stack: float
    exchange: float


def draught(openings: Sequence[Opening]) -> Draught:
    """Find the neutral height of ``openings`` and what they let through."""
    if not openings:
        return Draught(stack=0.0, exchange=0.0)
    heights = np.concatenate([_strips(opening) for opening in openings]) / 1e3
    areas = np.concatenate([np.full(_count(one), one.area_mm2 / _count(one)) for one in openings]) / 1e6
    low, high = float(heights.min()), float(heights.max())
    for _ in range(60):
        middle = (low + high) / 2
        lets_out = float(_through(areas, heights - middle))
        low, high = (middle, high) if lets_out > float(_through(areas, middle - heights)) else (low, middle)
    facing_up = sum(opening.area_mm2 for opening in openings if opening.faces_up) / 1e6
    diameter = float(np.sqrt(4 * facing_up / np.pi))
    return Draught(stack=float(_through(areas, heights - low)), exchange=EXCHANGE * diameter**2.5)


def _count(opening: Opening) -> int:
    return SLICES if opening.high > opening.low else 1


def _strips(opening: Opening) -> Values:
    count = _count(opening)
    return np.asarray(opening.low + (np.arange(count) + 0.5) / count * (opening.high - opening.low), dtype=np.float64)


def _through(areas: Values, above: Values) -> Values:
    return np.asarray((areas * np.sqrt(np.maximum(above, 0.0))).sum())


def flow_m3_s(found: Draught, discharge: Values | float, inside_c: Values, outside_c: Values) -> Values:
    """Air that passes [m³/s], of the outside's density; none while the inside is not warmer."""
    buoyancy = np.maximum(inside_c - outside_c, 0.0) / (inside_c + KELVIN)
    stack = np.asarray(discharge) * found.stack * np.sqrt(2 * GRAVITY_M_S2 * buoyancy)
    return np.asarray(np.maximum(stack, found.exchange * np.sqrt(GRAVITY_M_S2 * buoyancy)))

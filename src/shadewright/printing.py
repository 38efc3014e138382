"""How a part is printed: printer, plastic and the settings that geometry and time depend on."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

LAYER_PER_NOZZLE = 0.8
"""Greatest layer over the nozzle's bore [-]: thicker ones are not pressed on (common practice, no source)."""


@dataclass(frozen=True, slots=True)
class Spread:
    """A number we know only so well: normal with this mean and standard deviation, same unit both."""

    mean: float
    sd: float


HABITS = ("outer_growth", "hole_shrink", "hole_curl", "scale_xy", "scale_z", "flare")
"""Names of the habits that are known with a spread, in the order of ``AsPrinted.covariance``."""


@dataclass(frozen=True, slots=True, kw_only=True)
class AsPrinted:
    """What one printer, nozzle and plastic make of a drawn size.

    An outer size N (shaft, block, ring outside) comes out at ``N * scale_xy + 2 * outer_growth + e``.
    A hole of diameter d comes out at ``d * scale_xy - hole_shrink - hole_curl / d + e``.
    ``e`` is normal with ``scatter``; the other spreads say how well this bench knows its own habits.
    Heights come out at ``N * scale_z + e_z``.

    Attributes:
        outer_growth: Overshoot of one outer wall [mm per face].
        hole_shrink: Part of the loss in hole diameter that every hole has [mm].
        hole_curl: Part that grows as holes get smaller [mm²]; divide by the diameter.
        scale_xy, scale_z: Ratio of printed to drawn length [-], shrinkage included.
        flare: Extra width of the first layer per side [mm].
        scatter: Standard deviation from print to print, one dimension [mm].
        source: Where the numbers come from: bench measurement, or the built-in start.
        covariance: Covariance of the habits, 6 x 6 in the order of ``HABITS``, its diagonal the squared ``sd``; None
            when what is known of one tells nothing of another.
        pair: Printer, nozzle [mm], plastic and its family on the bench whose habits these are; None for nobody's.
    """

    outer_growth: Spread
    hole_shrink: Spread
    hole_curl: Spread
    scale_xy: Spread
    scale_z: Spread
    flare: Spread
    scatter: float
    source: str
    covariance: tuple[tuple[float, ...], ...] | None = None
    pair: tuple[str, float, str, str] | None = None

    def variance_of(self, weights: Mapping[str, float]) -> float:
        """Variance of the weighted sum of habits, ``weights`` by their names in ``HABITS``; unnamed ones weigh 0."""
        if self.covariance is None:
            return math.fsum((weight * getattr(self, name).sd) ** 2 for name, weight in weights.items())
        row = [weights.get(name, 0.0) for name in HABITS]
        terms = (
            a * b * c for a, line in zip(row, self.covariance, strict=True) for b, c in zip(row, line, strict=True)
        )
        return max(math.fsum(terms), 0.0)


@dataclass(frozen=True, slots=True, kw_only=True)
class Plastic:
    """What print planning needs of a plastic; ranges of strength and heat stand in the catalogue."""

    name: str
    density_g_cm3: float
    flow_limit_mm3_s: float
    price_per_kg: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class PrintSetup:
    """One printer with one nozzle, layer height and plastic.

    Attributes:
        printer: Name on the bench.
        bed_x, bed_y, bed_z: Usable room [mm].
        nozzle: Bore of the nozzle [mm].
        line_width: Width of one laid line [mm].
        layer, first_layer: Layer heights [mm].
        walls: Lines around every outline.
        skins: Solid layers at top and bottom.
        infill: Filled fraction inside [-].
        speed_mm_s: Speed while laying walls.
        acceleration_mm_s2: Acceleration of the head.
        least_layer_s: No layer is printed faster than this.
        warm_up_s: Heating, homing and first-line time before a print.
        plastic: What it is printed in.
        habits: How sizes come out.
    """

    printer: str
    bed_x: float
    bed_y: float
    bed_z: float
    nozzle: float
    line_width: float
    layer: float
    first_layer: float
    walls: int
    skins: int
    infill: float
    speed_mm_s: float
    acceleration_mm_s2: float
    least_layer_s: float
    warm_up_s: float
    plastic: Plastic
    habits: AsPrinted

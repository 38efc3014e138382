"""How an ordinary printer prints, before anybody measured it: the start of every bench."""

from __future__ import annotations

import math
from dataclasses import dataclass

from shadewright.errors import require_positive
from shadewright.printing import AsPrinted, Spread

USUAL_NOZZLE = 0.4
"""Bore the starting numbers are stated for [mm]."""

OUTER_GROWTH = Spread(0.05, 0.03)
"""Overshoot per outer wall with a 0.4 nozzle [mm]; common practice, no source (0.04 to 0.06 is usual)."""

HOLE_SHRINK = Spread(0.06, 0.04)
"""Loss every round hole has with a 0.4 nozzle [mm]; common practice, no source: about 0.1 mm on large holes."""

HOLE_CURL = Spread(0.8, 0.4)
"""Loss that grows as holes get smaller [mm²].

Rounded from holes of 3 to 10 mm measured in an open note on printed metrology
(github.com/HenryDore/blog, posts/metrology.md), whose own best fit is 1.25 mm² with no constant part.
"""

FLARE = Spread(0.10, 0.05)
"""Extra width of the first layer per side with a 0.4 nozzle [mm].

Volume balance of a 0.42 x 0.20 line pressed flat by 0.05 to 0.08 mm gives 0.06 to 0.12 mm.
"""

SCATTER_OF_MOTION = 0.03
"""Print-to-print scatter that does not depend on the nozzle [mm]; common practice, no source."""

SCATTER_PER_NOZZLE = 0.085
"""Scatter for each mm of nozzle bore [-]; with the part above 0.045 mm at 0.4; common practice, no source."""

HEIGHT_SCALE_SD = 0.002
"""How well the height scale is known [-]; common practice, no source."""


@dataclass(frozen=True, slots=True)
class _Shrinkage:
    """Loss of length while cooling [-] and how well it is known, printer's axes included."""

    ratio: float
    sd: float
    source: str


_RANGE = "middle of the range usually reported for prints, which the thermal estimate agrees with"

_SHRINKAGE = {
    "PLA": _Shrinkage(0.0020, 0.0015, f"0.1-0.3 %, {_RANGE}"),
    "PETG": _Shrinkage(0.0030, 0.0015, f"0.2-0.4 %, {_RANGE}"),
    "ABS": _Shrinkage(0.0060, 0.0020, f"0.4-0.8 %, {_RANGE}"),
    "ASA": _Shrinkage(0.0055, 0.0020, f"0.4-0.7 %, {_RANGE}"),
    "PA": _Shrinkage(0.0050, 0.0020, f"0.4-0.6 %, {_RANGE}"),
    "PC": _Shrinkage(0.0070, 0.0025, "thermal estimate 68e-6/K from 147 to 22 °C is 0.85 %; from memory"),
}
_UNKNOWN = _Shrinkage(
    0.0040, 0.0030, "plastic without a row: 0.1-0.7 % covers the usual ones; common practice, no source"
)


def built_in_habits(nozzle: float, plastic_name: str) -> AsPrinted:
    """How sizes come out on an ordinary printer nobody has measured yet.

    Widths of lines, and with them growth, hole loss and flare, go with the bore of the nozzle.

    Args:
        nozzle: Bore of the nozzle [mm].
        plastic_name: ``PLA``, ``PETG`` ...; the letters before any blank, sign or digit decide. A name
            without a row gets a wide spread instead of an error.

    Returns:
        Habits [mm, mm², ratios] with spreads wide enough to be honest about.

    Raises:
        ValueProblem: ``nozzle`` is not a number above 0.
    """
    require_positive("nozzle", nozzle)
    wide = nozzle / USUAL_NOZZLE
    shrinkage = _SHRINKAGE.get(family_of(plastic_name), _UNKNOWN)
    return AsPrinted(
        outer_growth=_times(OUTER_GROWTH, wide),
        hole_shrink=_times(HOLE_SHRINK, wide),
        hole_curl=_times(HOLE_CURL, wide),
        scale_xy=Spread(1 - shrinkage.ratio, shrinkage.sd),
        scale_z=Spread(1 - shrinkage.ratio / 2, HEIGHT_SCALE_SD),
        flare=_times(FLARE, wide),
        scatter=math.hypot(SCATTER_OF_MOTION, SCATTER_PER_NOZZLE * nozzle),
        source=f"built-in start for a {nozzle:g} mm nozzle and {plastic_name}, not measured (shrinkage "
        f"{shrinkage.source}; growth and scatter: common practice, no source)",
    )


def _times(spread: Spread, factor: float) -> Spread:
    return Spread(spread.mean * factor, spread.sd * factor)


def family_of(plastic_name: str) -> str:
    """Leading letters in capitals: ``PLA+ matte`` and ``pla-cf`` are PLA."""
    name = plastic_name.strip().upper()
    end = next((at for at, letter in enumerate(name) if not letter.isalpha()), len(name))
    return name[:end]

"""Extra room for walls with openings: where the strand stops and starts at a rim, it leaves bumps."""

from __future__ import annotations

from shadewright.errors import require_positive
from shadewright.fit.defaults import USUAL_NOZZLE
from shadewright.printing import Spread

BUMPS = Spread(0.15, 0.08)
"""Room that bumps at the rims of openings take, on the diameter, with a 0.4 nozzle [mm]; common practice, no source.

Two opposite rims touch at once: 0.05 to 0.1 mm each. A wall without openings hides its one seam.
"""


def opening_bumps(nozzle: float) -> Spread:
    """Room that bumps at the rims of openings take of a sliding gap [mm on the diameter]; goes with the bore.

    Raises:
        ValueProblem: ``nozzle`` is not a number above 0.
    """
    require_positive("nozzle", nozzle)
    wide = nozzle / USUAL_NOZZLE
    return Spread(BUMPS.mean * wide, BUMPS.sd * wide)

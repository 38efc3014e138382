"""Room that a thin sleeve needs because it is never as round as the shell it slides into."""

from __future__ import annotations

import math

from shadewright.errors import ValueProblem, require_positive
from shadewright.printing import Spread

ROOM_PER_ROOT = 0.0525
"""Extra room on the diameter for each unit of sqrt(diameter / wall) [mm].

Judged so that liners of 60 to 100 mm with walls of 0.8 to 1.2 mm are drawn about 0.8 mm apart for an easy
slide; common practice, no source.
"""

ROOM_UNCERTAINTY = 0.35
"""Standard deviation of that room over its mean [-]; judged, no source."""


def liner_room(diameter: float, wall: float) -> Spread:
    """Extra room on the diameter that a thin liner takes by being out of round [mm].

    Args:
        diameter: Of the joint [mm].
        wall: Thickness of the liner's wall [mm].

    Raises:
        ValueProblem: A size is not above 0, or the wall leaves no sleeve.
    """
    require_positive("diameter", diameter)
    require_positive("liner wall", wall)
    if wall >= diameter / 2:
        raise ValueProblem.of(
            f"a liner wall of {wall:g} mm leaves no sleeve in a diameter of {diameter:g} mm",
            "give the thickness of one wall, or leave the liner wall out for a stiff part",
        )
    mean = ROOM_PER_ROOT * math.sqrt(diameter / wall)
    return Spread(mean, ROOM_UNCERTAINTY * mean)

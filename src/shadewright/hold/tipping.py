"""When a standing lamp tips over: every edge of its real footprint against where its weight lies.

A lamp tips about an edge of the convex hull of what touches the ground. With the centre of mass at height z and the
distance d inside that edge, it tips on a plane sloping by atan(d / z) towards it, or under a level push of m g d / H at
height H (rigid statics; the surface does not let it slide).

Limits:
    6 degrees: portable luminaires, IEC 60598-2-4:1997 clause 4.6.3 (read in a second-hand quotation).
    8 degrees: the same in the United States, UL 153 clause 132.2 (read in a second-hand quotation).
    15 degrees: garden and children's luminaires, IEC 60598-2-7 and IEC 60598-2-10:2003 clause 10.6.2 (the same).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import atan2, degrees

import numpy as np

from shadewright.errors import ValueProblem
from shadewright.findings import Verdict
from shadewright.hold.balance import GRAVITY, Balance
from shadewright.hold.ranges import Outcome, summary
from shadewright.hold.section import convex_hull
from shadewright.solid.mesh import Floats

PORTABLE_DEG = 6.0
PORTABLE_USA_DEG = 8.0
STRICT_DEG = 15.0
SOURCE = (
    "IEC 60598-2-4:1997 clause 4.6.3 (6 degrees), UL 153 clause 132.2 (8), IEC 60598-2-7 and -2-10 (15), "
    "all as quoted by others; statics of a rigid body"
)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Tipping:
    """How a standing lamp tips.

    Attributes:
        corners: (k, 2) convex hull of what touches the ground [mm], counter-clockwise.
        inside: (k,) distance of the weight's line from the edge that begins at each corner [mm], negative outside.
        edge: Which edge it tips about first.
        towards: Direction in which it tips, from +x towards +y [degrees].
        angle: Tipping angle about that edge [degrees]: likely, 5 % and 95 % point.
        push_n: Level push at ``push_height`` that tips it [N].
        push_height: Where it is pushed [mm].
    """

    corners: Floats
    inside: Floats
    edge: int
    towards: float
    angle: Outcome
    push_n: Outcome
    push_height: float


def tipping(footprint: Floats, balance: Balance, ground: float, push_height: float) -> Tipping:
    """Find the edge a lamp tips about first, and what it takes.

    Args:
        footprint: (n, 2) points that touch the ground [mm].
        balance: Mass and centre of the lamp.
        ground: Height of the ground [mm].
        push_height: Above the ground [mm]: the top of the lamp, usually.

    Raises:
        ValueProblem: The footprint is a line, or the centre of mass lies not above the ground.
    """
    corners = convex_hull(footprint)
    if not (balance.centre[2] > ground and push_height > 0):
        raise ValueProblem.of("the centre of mass does not lie above the ground", "mend the places of its parts")
    inside = _inside(corners, balance.centre[None, :2])[0]
    edge = int(inside.argmin())
    least = _inside(corners, balance.drawn_centres[:, :2]).min(axis=1)
    height = balance.drawn_centres[:, 2] - ground
    angles, pushes = summary(np.degrees(np.arctan2(least, height))), summary(least * balance.drawn_mass_g)
    scale = GRAVITY / 1000 / push_height
    along = corners[(edge + 1) % len(corners)] - corners[edge]
    return Tipping(
        corners=corners,
        inside=inside,
        edge=edge,
        towards=degrees(atan2(-along[0], along[1])),
        angle=Outcome(angles.low5, degrees(atan2(inside[edge], balance.centre[2] - ground)), angles.high95),
        push_n=Outcome(pushes.low5 * scale, float(inside[edge]) * balance.mass_g * scale, pushes.high95 * scale),
        push_height=push_height,
    )


def _inside(corners: Floats, spots: Floats) -> Floats:
    """(n, k) how far each spot lies inside the line of each edge [mm]."""
    along = np.roll(corners, -1, axis=0) - corners
    inward = np.column_stack([-along[:, 1], along[:, 0]]) / np.linalg.norm(along, axis=1)[:, None]
    return np.asarray(spots @ inward.T - (corners * inward).sum(axis=1), dtype=np.float64)


def limit_deg(*, above_people: bool) -> float:
    """Angle a standing lamp has to bear [degrees]; the stricter one where it could fall on people."""
    return STRICT_DEG if above_people else PORTABLE_DEG


def tipping_verdict(angle: Outcome, limit: float) -> Verdict:
    """Failing below the limit; doubtful while the range reaches below it, or below what the United States ask for."""
    if angle.likely < limit:
        return Verdict.FAILING
    return Verdict.DOUBTFUL if min(angle.low5, angle.likely) < max(limit, PORTABLE_USA_DEG) else Verdict.SOUND


def widening(result: Tipping, limit: float, height: float) -> float:
    """How much farther out every edge must lie for the likely angle to reach ``limit`` [mm]; 0 when it does.

    Args:
        result: How it tips now.
        limit: Angle to reach [degrees].
        height: Of the centre of mass above the ground [mm].
    """
    return max(float(np.tan(np.radians(limit))) * height - float(result.inside.min()), 0.0)


def ballast_g(result: Tipping, balance: Balance, limit: float, ground: float, at: Sequence[float]) -> float | None:
    """Mass to be put in at a place so that the likely angle reaches ``limit`` [g]; None when no mass there does.

    Moments about every edge that falls short are solved for the mass; adding weight ``at`` (3,) [mm] helps an edge
    when it lies, seen from that edge, under the limiting slope.
    """
    slope = float(np.tan(np.radians(limit)))
    spot = np.asarray(at, dtype=np.float64)
    lacks = slope * (balance.centre[2] - ground) - result.inside
    helps = _inside(result.corners, spot[None, :2])[0] - slope * (spot[2] - ground)
    short = lacks > 0
    if not short.any():
        return 0.0
    if (helps[short] <= 0).any():
        return None
    wanted = float((balance.mass_g * lacks[short] / helps[short]).max())
    over = ~short & (helps < 0)
    return None if (wanted * -helps[over] > balance.mass_g * -lacks[over]).any() else wanted

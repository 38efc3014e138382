"""How walls and layers of a printed thread eat into the play between two flanks.

Two different shifts must not be mixed up:

* A printer moves the outline of every layer outwards *in the plane of the layer*. Printed axis up, that is a
  radial shift: a growth g changes major, pitch and minor diameter alike by 2 g, whatever the flank angle.
  (The outline of a single-start thread is a slightly eccentric circle; its normal leaves the radius by less
  than 5 degrees for every row of the tables, which changes the shift by less than 0.4 %.)
* A layer of anything laid *normal to the flank*, such as the ridges that layers leave on it, is divided by the
  sine of the flank's angle to the plane of the layer: thickness p on a flank at angle a changes the pitch
  diameter by 2 p / sin a; that is 4 p for 60 degree threads, the rule known from plating.
"""

from __future__ import annotations

import math

from shadewright.catalog.threads import Form, Thread
from shadewright.printing import Spread

HALF_ANGLE = {Form.V60: 30.0, Form.V55: 27.5, Form.TRAPEZOIDAL30: 15.0, Form.ROUND80: 40.0}
"""Angle between flank and the plane across the axis [degrees]; rounded Edison forms follow from their arcs."""

FLATTEST_PRINTED = 30.0
"""A flatter flank cannot be laid upright, and is drawn or sags to about this angle [degrees]; judged, no source."""

LEFT_AFTER_RUNNING_IN = Spread(0.3, 0.2)
"""Part of the ridges' height that still rubs once a thread was turned home a few times [-].

Judged by us so that a printed screw drawn 0.3 to 0.4 mm apart turns by hand; common practice, no source.
"""


def flank_angle(thread: Thread) -> float:
    """Angle between flank and the plane across the axis [degrees].

    For two equal tangent arcs of depth h and pitch P the radius is ``(P²/16 + h²/4) / h``, and the flank is
    steepest where the arcs meet: its tangent there makes ``asin(P / (4 r))`` with the axis.
    """
    fixed = HALF_ANGLE.get(thread.form)
    if fixed is not None:
        return fixed
    pitch, depth = thread.pitch, thread.depth
    radius = (pitch**2 / 16 + depth**2 / 4) / depth
    return 90.0 - math.degrees(math.asin(pitch / (4 * radius)))


def on_pitch_diameter(normal: float, angle: float) -> float:
    """Change of the pitch diameter [mm] by ``normal`` [mm] laid on both flanks at ``angle`` [degrees]."""
    return 2 * normal / math.sin(math.radians(angle))


def ridge_height(layer: float, angle: float) -> float:
    """Height of a layered flank's ridges above its mean plane, normal to it [mm].

    A stair of layer height t on a flank at ``angle`` a [degrees] to the layers, cut at mid-height, has corners
    ``t/2 cos a`` above the mean plane. A laid line ends in a half circle of radius t/2 instead, whose highest
    point is ``t/2 (1 - sin a)`` above it.
    """
    return layer / 2 * (1 - math.sin(math.radians(angle)))


def ridges_on_pitch_diameter(thread: Thread, layer: float) -> Spread:
    """Play that the ridges of printed flanks cost, on the pitch diameter [mm].

    One layered thread against a smooth one loses the full height on every flank. Two layered ones nest: what one
    flank loses by the stairs' offset the opposite flank gains, so that on average again one height is lost.
    """
    angle = max(flank_angle(thread), FLATTEST_PRINTED)
    full = on_pitch_diameter(ridge_height(layer, angle), angle)
    return Spread(full * LEFT_AFTER_RUNNING_IN.mean, full * LEFT_AFTER_RUNNING_IN.sd)

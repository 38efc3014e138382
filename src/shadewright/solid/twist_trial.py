"""Trial piece of a bayonet: sockets of rising detent, and the plug that is turned in them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from shadewright.solid.features import TrialPiece
from shadewright.solid.moving_recipe import built_solid
from shadewright.solid.moving_trial import moving_trial
from shadewright.solid.twist import LEAD, TwistSocket, neck, plug_build, socket_build

CHORD = 0.02
_NECK, _BEHIND, _FOOT = 1.5, 0.6, 1.2  # of the short bayonet that is tried [mm]
_PLUG_WALL = 2.0  # of its plug, which is hollow [mm]


def twist_trial(
    joint: str,
    socket: TwistSocket,
    detents: Sequence[float],
    *,
    nozzle: float = 0.4,
    bed_x: float = 200.0,
    bed_y: float = 200.0,
) -> TrialPiece:
    """Sockets with these detents [mm], and one plug.

    Raises:
        ValueProblem: Sizes that cannot be, or no room on the bed.
    """
    thin = min(socket.plug.lug_thickness, socket.plug.lug_height + LEAD + 0.5)
    hollow = max(socket.plug.bore, socket.plug.diameter - 2 * _PLUG_WALL, 0.0)
    plug = replace(socket.plug, lug_thickness=thin, bore=hollow)
    short = replace(socket, plug=plug, neck_length=_NECK, behind=_BEHIND)
    deepest = neck(replace(short, detent=detents[-1]))
    how_to = (
        "Put the plug into each socket, turn it until it clicks and back; keep the one that clicks, stays, and comes "
        "back unmarked; strokes count the rungs from the arrow, digits are the detent in 1/100 mm."
    )
    return moving_trial(
        joint,
        detents,
        lambda detent: built_solid(socket_build(replace(short, detent=detent)), CHORD),
        marks=detents,
        gauges=(built_solid(plug_build(plug, deepest, foot=_FOOT), CHORD),),
        how_to=how_to,
        nozzle=nozzle,
        bed_x=bed_x,
        bed_y=bed_y,
    )

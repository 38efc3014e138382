"""A glued seat as two solids: a plug with grooves that key the glue, and the ring that goes over it."""

from __future__ import annotations

import math
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from shadewright.errors import ValueProblem, require_positive
from shadewright.solid.mesh import Floats, Mesh
from shadewright.solid.plain_brep import shape_from
from shadewright.solid.plain_features import OVERRUN, Recipe, Stacked, Turned, solid_from
from shadewright.solid.step import write_step

RIDGE_FOOT = 1.2
"""Foot of a ridge along the plug [mm]: three lines; common practice, no source."""

RIDGES = 3


@dataclass(frozen=True, slots=True, kw_only=True)
class SeatPlug:
    """The inner side: a stub on a flange that stops the ring, standing on the flange.

    Attributes:
        diameter: Of the stub as drawn, between grooves and ridges [mm].
        length: Of the stub above the flange [mm].
        grooves: How many grooves run around it.
        groove: Their depth [mm]; both flanks at 45 degrees.
        every: Their distance [mm].
        ridge: Height of three ridges along it that keep the glue's layer even [mm]; 0 for none.
        bore: Hole through it [mm]; 0 for none.
        flange, flange_height: How far the flange stands out, and how thick it is [mm].
        lead_in: Chamfer at the end [mm].
    """

    diameter: float
    length: float
    grooves: int = 2
    groove: float = 0.6
    every: float = 4.0
    ridge: float = 0.0
    bore: float = 0.0
    flange: float = 2.4
    flange_height: float = 2.0
    lead_in: float = 0.6


@dataclass(frozen=True, slots=True, kw_only=True)
class SeatRing:
    """The outer side; its lower mouth, chamfered to take what is squeezed out, meets the flange.

    Attributes:
        bore: As drawn [mm].
        length: Depth of the seat [mm].
        wall: Plastic around it [mm].
        squeeze_out: Chamfer of the lower mouth [mm].
        lead_in: Chamfer of the upper one [mm].
    """

    bore: float
    length: float
    wall: float = 2.4
    squeeze_out: float = 0.8
    lead_in: float = 0.6


SeatPart = SeatPlug | SeatRing


def seat_solid(part: SeatPart, chord: float = 0.01) -> Mesh:
    """Mesh of one side, standing on z = 0 as printed.

    Raises:
        ValueProblem: Sizes that cannot be.
        GeometryFailure: The solid failed its own check.
    """
    return solid_from(seat_recipe(part), chord)


def write_seat_step(path: Path, part: SeatPart) -> Path:
    """Write one side as STEP.

    Raises:
        ValueProblem: Sizes that cannot be.
        MissingLibrary: STEP is not installed.
        GeometryFailure: The shape failed its own check.
        FileProblem: The file cannot be written.
    """
    made = seat_recipe(part)
    return write_step(path, shape_from(made), made.name)


def seat_recipe(part: SeatPart) -> Recipe:
    """Turn one side's sizes into pieces.

    Raises:
        ValueProblem: A size is not above 0, or grooves and chamfers leave nothing.
    """
    if isinstance(part, SeatRing):
        return _ring(part)
    _check_plug(part)
    ridges = tuple(_ridge(part, 2 * math.pi * i / RIDGES) for i in range(RIDGES)) if part.ridge else ()
    top = part.flange_height + part.length
    cutters: tuple[Turned, ...] = ()
    if ridges:  # ridges end in the stub's own chamfer
        outer = part.diameter / 2 + part.ridge + OVERRUN
        inner = part.diameter / 2 - part.lead_in
        cut = [[inner - OVERRUN, top + OVERRUN], [outer, top + inner - outer], [outer, top + OVERRUN]]
        cutters = (Turned(contour=np.array(cut)),)
    return Recipe(name="seat plug", bodies=(Turned(contour=_plug_outline(part)), *ridges), cutters=cutters)


def groove_heights(part: SeatPlug) -> list[float]:
    """Middles of the grooves above the bed [mm], evenly about the middle of the stub."""
    middle = part.flange_height + (part.length - part.lead_in) / 2
    return [middle + (i - (part.grooves - 1) / 2) * part.every for i in range(part.grooves)]


def _check_plug(part: SeatPlug) -> None:
    for name in ("diameter", "length", "groove", "every", "flange", "flange_height", "lead_in"):
        require_positive(f"the {name.replace('_', ' ')}", getattr(part, name))
    if not 0 <= part.bore <= part.diameter - 2 * (part.groove + 0.8) or part.diameter < 2 * (part.groove + 0.8):
        raise ValueProblem.of(
            f"a bore of {part.bore:g} mm leaves no wall under the grooves of {part.diameter:g} mm",
            "keep 0.8 mm there at least",
        )
    span = (part.grooves - 1) * part.every + 2 * part.groove
    if part.grooves < 0 or (part.grooves and span > part.length - part.lead_in - 0.8) or part.every < 2 * part.groove:
        raise ValueProblem.of(
            f"{part.grooves} grooves have no room on a length of {part.length:g} mm", "use fewer, or a longer seat"
        )
    if part.length < part.lead_in + 0.8:
        raise ValueProblem.of(f"a length of {part.length:g} mm is too short for its chamfer", "make it longer")
    if not 0 <= part.ridge <= part.diameter / 6:
        raise ValueProblem.of(f"ridges of {part.ridge:g} mm cannot be", "use 0 for none, or the glue's layer")


def _plug_outline(part: SeatPlug) -> Floats:
    radius, inner = part.diameter / 2, part.bore / 2
    shoulder, top = part.flange_height, part.flange_height + part.length
    outline = [(inner, 0.0), (radius + part.flange, 0.0), (radius + part.flange, shoulder), (radius, shoulder)]
    for z in groove_heights(part):
        outline += [(radius, z - part.groove), (radius - part.groove, z), (radius, z + part.groove)]
    return np.array([*outline, (radius, top - part.lead_in), (radius - part.lead_in, top), (inner, top)])


def _ridge(part: SeatPlug, turn: float) -> Stacked:
    radius, half = part.diameter / 2, RIDGE_FOOT / 2
    root = radius - part.groove - 0.2  # below the grooves, so that it is one with the stub everywhere
    plan = np.array([[root, -half], [radius, -half], [radius + part.ridge, 0.0], [radius, half], [root, half]])
    c, s = math.cos(turn), math.sin(turn)
    turned = plan @ np.array([[c, s], [-s, c]])
    heights = (part.flange_height - 0.1, part.flange_height + part.length)
    return Stacked(levels=np.array([np.column_stack([turned, np.full(len(turned), z)]) for z in heights]))


def _ring(part: SeatRing) -> Recipe:
    for name in ("bore", "length", "wall", "squeeze_out", "lead_in"):
        require_positive(f"the {name.replace('_', ' ')}", getattr(part, name))
    if part.wall < max(part.squeeze_out, part.lead_in) + 0.4 or part.length < part.squeeze_out + part.lead_in + 0.4:
        raise ValueProblem.of(
            f"chamfers of {part.squeeze_out:g} and {part.lead_in:g} mm leave nothing of a ring {part.length:g} mm long "
            f"with a wall of {part.wall:g} mm",
            "make the ring longer or thicker",
        )
    inner, outer = part.bore / 2, part.bore / 2 + part.wall
    outline = [
        (inner + part.squeeze_out, 0.0),
        (outer, 0.0),
        (outer, part.length),
        (inner + part.lead_in, part.length),
        (inner, part.length - part.lead_in),
        (inner, part.squeeze_out),
    ]
    return Recipe(name="seat ring", bodies=(Turned(contour=np.array(outline)),))

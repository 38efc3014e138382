"""Solids of a bayonet: a plug with lugs, and a socket with L or J slots and something to click behind.

Printed upright, plug tip up and socket mouth up: the lug's face towards the flange and the slot's face towards the
mouth are 45 degree cones, so neither overhangs by more. In place the plug stands on its tip in the socket.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

import numpy as np

from shadewright.errors import ValueProblem, require_positive
from shadewright.solid.mesh import Floats
from shadewright.solid.moving_recipe import OVERRUN, Build, Piece, Sector, disc, polar, stacked
from shadewright.solid.plain_features import Stacked, Turned

FLANGE = 2.4  # height of the plug's flange [mm]
FLANGE_REACH = 2.4  # how far it stands over the socket's bore, wall and slots left aside [mm]
NECK = 3.0  # from the mouth to the lug's holding face, at the plug's surface [mm]
LEAD = 0.5  # chamfers of lugs and plug [mm]
MOUTH = 0.8  # flare of the slots' mouths [mm]
SIDE_ROOM = 0.25  # between a lug in its place and the rib behind it [mm]
BEHIND = 2.2  # socket beyond the slots [mm]
TIP = 1.0  # plug beyond its lugs [mm]

Path = Literal["L", "J"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Plug:
    """The male side [mm].

    Attributes:
        diameter: Of the plug.
        lugs: How many, evenly around.
        lug_height: How far they stand out.
        lug_width: Along the plug's surface.
        lug_thickness: Along the axis, at their foot.
        bore: Hole through the plug; 0 for none.
    """

    diameter: float
    lugs: int
    lug_height: float
    lug_width: float
    lug_thickness: float
    bore: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class TwistSocket:
    """The female side [mm, degrees].

    Attributes:
        plug: What it takes.
        bore: Its bore.
        slot_diameter: Across the slots' bottoms.
        slot_width: Along the bore; the way in for a lug.
        axial_clearance: Room before and behind a lug in its slot.
        turn_deg: From the way in to the lug's place.
        detent: Rib the lug rides over (``L``), or how far it falls back towards the mouth (``J``).
        path: Shape of the slot.
        wall: Around the slots.
        neck_length: From the mouth to a lug's holding face, what J slots need besides left aside.
        behind: Socket beyond the slots.
    """

    plug: Plug
    bore: float
    slot_diameter: float
    slot_width: float
    axial_clearance: float
    turn_deg: float
    detent: float
    path: Path = "L"
    wall: float = 2.0
    neck_length: float = NECK
    behind: float = BEHIND


def neck(socket: TwistSocket) -> float:
    """From the mouth to a lug's holding face [mm]; deeper where it has to fall back towards the mouth."""
    return socket.neck_length + (socket.detent if socket.path == "J" else 0.0)


def plug_build(plug: Plug, neck_length: float = NECK, *, flange: float | None = None, foot: float = FLANGE) -> Build:
    """The plug on its flange, tip up.

    Args:
        plug: Sizes.
        neck_length: From the flange to the lugs' holding faces, see ``neck`` [mm].
        flange: Diameter of the flange [mm]; None for just wider than the lugs.
        foot: Height of the flange [mm].

    Raises:
        ValueProblem: Sizes that cannot be.
    """
    _check_plug(plug)
    radius = plug.diameter / 2
    holding = foot + neck_length
    end = holding + plug.lug_thickness + TIP
    wide = (flange or plug.diameter + 2 * plug.lug_height + 2 * FLANGE_REACH) / 2
    body = [
        (plug.bore / 2, 0.0),
        (wide, 0.0),
        (wide, foot),
        (radius, foot),
        (radius, end - LEAD),
        (radius - LEAD, end),
        (plug.bore / 2, end),
    ]
    half = math.degrees(plug.lug_width / plug.diameter)
    contour = _lug(radius, plug, holding)
    places = [360 * i / plug.lugs for i in range(plug.lugs)]
    lugs = tuple(Sector(contour=contour, start_deg=at - half, end_deg=at + half) for at in places)
    return Build(name="bayonet plug", bodies=(Turned(contour=np.array(body)), *lugs))


def _check_plug(plug: Plug) -> None:
    for name in ("diameter", "lug_height", "lug_width", "lug_thickness"):
        require_positive(f"the {name.replace('_', ' ')}", getattr(plug, name))
    if not 2 <= plug.lugs <= 4:
        raise ValueProblem.of(f"a bayonet with {plug.lugs} lugs is not made", "use 2 to 4")
    if plug.lug_thickness < plug.lug_height + LEAD + 0.4:
        raise ValueProblem.of(
            f"a lug {plug.lug_height:g} mm high must be thicker than {plug.lug_thickness:g} mm to print upright",
            f"make it {plug.lug_height + LEAD + 0.4:.1f} mm thick or more along the axis",
        )
    if plug.bore > plug.diameter - 2.4:
        raise ValueProblem.of(
            f"a bore of {plug.bore:g} mm leaves no wall in a plug of {plug.diameter:g} mm",
            "keep 1.2 mm of wall or more",
        )


def _lug(radius: float, plug: Plug, foot: float) -> Floats:
    """Section of a lug: 45 degrees below, a small chamfer above."""
    outer, top = radius + plug.lug_height, foot + plug.lug_thickness
    sunk = radius - 0.5
    return np.array(
        [
            (sunk, foot - 0.5),
            (radius, foot),
            (outer, foot + plug.lug_height),
            (outer, top - LEAD),
            (outer - LEAD, top),
            (sunk, top),
        ]
    )


def socket_build(socket: TwistSocket) -> Build:
    """The socket, mouth up.

    Raises:
        ValueProblem: Sizes that cannot be, or slots that run into each other.
    """
    _check_socket(socket)
    bore, bottom = socket.bore / 2, socket.slot_diameter / 2
    outer = bottom + socket.wall
    floor = neck(socket) + socket.plug.lug_thickness + socket.axial_clearance
    height = floor + socket.behind
    rim = Turned(
        contour=np.array(
            [
                (bore - OVERRUN, height + OVERRUN),
                (bore + LEAD + OVERRUN, height + OVERRUN),
                (bore - OVERRUN, height - LEAD - OVERRUN),
            ]
        )
    )
    cutters: list[Piece] = [disc(0.0, bore, -OVERRUN, height + OVERRUN), rim]
    added: list[Piece] = []
    for i in range(socket.plug.lugs):
        at = 360 * i / socket.plug.lugs
        cutters += _slot(socket, at, height, floor)
        if socket.path == "L":
            added.append(_rib(socket, at, height, floor))
    return Build(
        name="bayonet socket", bodies=(disc(0.0, outer, 0.0, height),), cutters=tuple(cutters), added=tuple(added)
    )


def _check_socket(socket: TwistSocket) -> None:
    _check_plug(socket.plug)
    for name in ("slot_width", "turn_deg", "detent", "axial_clearance", "wall"):
        require_positive(f"the {name.replace('_', ' ')}", getattr(socket, name), "degrees" if "deg" in name else "mm")
    if socket.slot_diameter < socket.bore + socket.plug.lug_height:
        raise ValueProblem.of(
            f"slots across {socket.slot_diameter:g} mm are too shallow for lugs of {socket.plug.lug_height:g} mm",
            "make them deeper",
        )
    taken = socket.turn_deg + 2 * half_slot_deg(socket) + 8.0
    if taken > 360 / socket.plug.lugs:
        raise ValueProblem.of(
            f"{socket.plug.lugs} slots that turn {socket.turn_deg:g} degrees run into each other",
            "turn less, or use fewer or narrower lugs",
        )
    least = 2 * half_slot_deg(socket) + math.degrees(2 * socket.detent / socket.slot_diameter * 2)
    if socket.turn_deg < least:
        raise ValueProblem.of(
            f"after a turn of {socket.turn_deg:g} degrees a lug still stands in its way in",
            f"turn {math.ceil(least)} degrees or more",
        )


def half_slot_deg(socket: TwistSocket) -> float:
    """Half of the angle that a slot's way in takes."""
    return math.degrees(socket.slot_width / socket.bore)


def _slot(socket: TwistSocket, at: float, height: float, floor: float) -> list[Piece]:
    """Way in, run and, for J, the place the lug falls back into."""
    half = half_slot_deg(socket)
    end = at + socket.turn_deg + half
    holding = neck(socket) - socket.axial_clearance
    pieces: list[Piece] = [
        Sector(contour=_way(socket, height, -OVERRUN, floor, flat=True), start_deg=at - half, end_deg=at + half),
        Sector(contour=_way(socket, height, holding, floor), start_deg=at - half, end_deg=end),
        _flare(socket, at, height),
    ]
    if socket.path == "J":
        back = _way(socket, height, holding - socket.detent, floor)
        pieces.append(Sector(contour=back, start_deg=at + socket.turn_deg - half, end_deg=end))
    return pieces


def _way(socket: TwistSocket, height: float, ceiling: float, floor: float, *, flat: bool = False) -> Floats:
    """Section of a slot; ``ceiling`` and ``floor`` are depths from the mouth, the ceiling's at the plug's surface."""
    inner, outer = socket.bore / 2 - 0.5, socket.slot_diameter / 2
    surface = socket.plug.diameter / 2
    rise_in, rise_out = (0.0, 0.0) if flat else (inner - surface, outer - surface)
    return np.array(
        [
            (inner, height - floor),
            (outer, height - floor),
            (outer, height - ceiling - rise_out),
            (inner, height - ceiling - rise_in),
        ]
    )


def _flare(socket: TwistSocket, at: float, height: float) -> Stacked:
    """Trapezoid that widens a slot's mouth at 45 degrees to both sides."""
    inner, outer, half = socket.bore / 2 - 0.5, socket.slot_diameter / 2 - 0.2, socket.slot_width / 2
    reach = math.sqrt(max(outer**2 - (half + MOUTH) ** 2, (inner + 0.5) ** 2))

    def outline(wide: float) -> Floats:
        corners = [(inner, -wide), (reach, -wide), (reach, wide), (inner, wide)]
        return np.array([_turned(x, y, at) for x, y in corners])

    low = 0.2  # a hair inside the slot, so that no faces coincide
    return stacked((height - MOUTH, outline(half - low)), (height + OVERRUN, outline(half + MOUTH - low + OVERRUN)))


def _turned(x: float, y: float, angle_deg: float) -> tuple[float, float]:
    (ax, ay), (bx, by) = polar(x, angle_deg), polar(y, angle_deg + 90)
    return ax + bx, ay + by


def rib_deg(socket: TwistSocket) -> float:
    """Angle from the way in to the middle of the rib: behind it a lug in its place has ``SIDE_ROOM``."""
    reach = socket.slot_diameter / 2
    lug_half = math.degrees(socket.plug.lug_width / socket.plug.diameter)
    return socket.turn_deg - lug_half - math.degrees((SIDE_ROOM + socket.detent) / reach)


def _rib(socket: TwistSocket, at: float, height: float, floor: float) -> Stacked:
    """Upright rib of triangular section on the slot's bottom, from the floor into the 45 degree ceiling."""
    bottom, tip = socket.slot_diameter / 2, socket.slot_diameter / 2 - socket.detent
    ceiling = neck(socket) - socket.axial_clearance + tip - socket.plug.diameter / 2
    sunk = 0.4
    middle = at + rib_deg(socket)
    corners = [
        (tip, 0.0),
        (bottom - 0.02, socket.detent),
        (bottom + sunk, socket.detent),
        (bottom + sunk, -socket.detent),
        (bottom - 0.02, -socket.detent),
    ]
    outline = np.array([_turned(x, y, middle) for x, y in corners])
    return stacked((height - floor - 0.3, outline), (height - ceiling + OVERRUN, outline))

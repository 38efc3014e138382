"""Plain mating solids: socket and spigot, key and keyway, pin and hole with ridges that give way.

A feature is boiled down to a recipe of turned and stacked pieces; ``plain_solid`` makes it a mesh, ``plain_brep``
makes the same recipe a STEP body.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from shadewright.errors import ValueProblem, require_positive
from shadewright.solid import kernel
from shadewright.solid.mesh import Floats, Mesh
from shadewright.solid.thread_mesh import one_body

OVERRUN = 0.05  # how far cutters reach past faces [mm]
RIDGE_WIDTH = 1.2  # foot of a ridge that gives way [mm]: three lines; common practice, no source


@dataclass(frozen=True, slots=True, kw_only=True)
class Socket:
    """Round sleeve that takes a spigot; both mouths chamfered by ``lead_in`` [mm]."""

    bore: float
    length: float
    wall: float = 2.4
    lead_in: float = 0.6


@dataclass(frozen=True, slots=True, kw_only=True)
class Spigot:
    """Round stub that goes into a socket, with a plain ``bore`` through it; both rims chamfered [mm]."""

    diameter: float
    length: float
    bore: float = 0.0
    lead_in: float = 0.6


@dataclass(frozen=True, slots=True, kw_only=True)
class Key:
    """Flat bar along x that slides in a keyway; all edges along it chamfered, so the first layer's flare is off."""

    width: float
    height: float
    length: float
    lead_in: float = 0.6


@dataclass(frozen=True, slots=True, kw_only=True)
class Keyway:
    """Block with an open channel along x for a key of ``height``; mouths and upper edges chamfered [mm]."""

    width: float
    height: float
    length: float
    wall: float = 2.4
    lead_in: float = 0.6


@dataclass(frozen=True, slots=True, kw_only=True)
class Pin:
    """Round pin; ``diameter`` is measured over the ridges, the body between them is ``ridge`` lower all round [mm]."""

    diameter: float
    length: float
    ridges: int = 4
    ridge: float = 0.3
    lead_in: float = 0.6


@dataclass(frozen=True, slots=True, kw_only=True)
class Hole:
    """Boss with a hole; ``bore`` is the circle inside the ridges, the wall between them stands ``ridge`` back [mm]."""

    bore: float
    length: float
    wall: float = 2.4
    ridges: int = 4
    ridge: float = 0.3
    lead_in: float = 0.6


Feature = Socket | Spigot | Key | Keyway | Pin | Hole


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Turned:
    """A closed contour of (k, 2) radius and height [mm], turned about z."""

    contour: Floats


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Stacked:
    """Convex outlines of k corners each at rising heights, joined by flat faces: (levels, k, 3) [mm]."""

    levels: Floats


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Recipe:
    """Bodies joined, then cutters taken away, then what stays inside a cut put back.

    Attributes:
        name: What it is.
        bodies, cutters, kept: Pieces, in order.
    """

    name: str
    bodies: tuple[Turned | Stacked, ...]
    cutters: tuple[Turned | Stacked, ...] = ()
    kept: tuple[Turned | Stacked, ...] = ()


def plain_solid(feature: Feature, chord: float = 0.01) -> Mesh:
    """Mesh of a plain feature, standing on z = 0, axis along z (key and keyway: along x).

    Raises:
        ValueProblem: Sizes that cannot be.
        GeometryFailure: The solid failed its own check.
    """
    return solid_from(recipe(feature), chord)


def solid_from(made: Recipe, chord: float = 0.01) -> Mesh:
    """Mesh of a recipe.

    Raises:
        GeometryFailure: The solid failed its own check.
    """
    solid = kernel.union([_piece(piece, chord) for piece in made.bodies])
    if made.cutters:
        solid = kernel.difference(solid, *(_piece(piece, chord) for piece in made.cutters))
    if made.kept:
        solid = kernel.union([solid, *(_piece(piece, chord) for piece in made.kept)])
    return one_body(solid, made.name)


def recipe(feature: Feature) -> Recipe:
    """Turn a feature's sizes into pieces.

    Raises:
        ValueProblem: A size is not above 0, or the chamfers, bore or ridges leave nothing.
    """
    _check_sizes(feature)
    match feature:
        case Socket():
            inner, outer = feature.bore / 2, feature.bore / 2 + feature.wall
            _check_lead(feature.lead_in, feature.length, feature.wall)
            body = Turned(contour=_tube(inner, outer, 0.0, feature.length))
            return Recipe(name="socket", bodies=(body,), cutters=_mouths(inner, feature.lead_in, feature.length))
        case Spigot():
            radius, bore = feature.diameter / 2, feature.bore / 2
            _check_lead(feature.lead_in, feature.length, radius - bore)
            body = Turned(contour=_tube(bore, radius, 0.0, feature.length))
            return Recipe(name="spigot", bodies=(body,), cutters=_rims(radius, feature.lead_in, feature.length))
        case Key():
            return _key(feature)
        case Keyway():
            return _keyway(feature)
        case Pin():
            return _pin(feature)
        case Hole():
            return _hole(feature)


def _check_sizes(feature: Feature) -> None:
    for name in ("bore", "diameter", "width", "height", "length", "wall", "lead_in"):
        value = getattr(feature, name, None)
        if value is not None and not (name == "bore" and isinstance(feature, Spigot) and value == 0):
            require_positive(f"the {name.replace('_', '-')}", value)
    if isinstance(feature, Spigot) and feature.diameter - feature.bore < 1.6:
        raise ValueProblem.of(
            f"a bore of {feature.bore:g} mm leaves no wall in a spigot of {feature.diameter:g} mm",
            "keep at least 0.8 mm of wall",
        )
    if isinstance(feature, Pin | Hole):
        _check_ridges(feature)


def _check_ridges(feature: Pin | Hole) -> None:
    size = feature.diameter if isinstance(feature, Pin) else feature.bore
    if feature.ridges == 0:
        return
    if not 3 <= feature.ridges <= 12:
        raise ValueProblem.of(f"{feature.ridges} ridges cannot centre a pin", "use 3 to 12, or 0 for none")
    require_positive("the ridge height", feature.ridge)
    room = math.pi * size / feature.ridges
    if room < 1.5 * RIDGE_WIDTH or feature.ridge > size / 6:
        raise ValueProblem.of(
            f"{feature.ridges} ridges of {feature.ridge:g} mm have no room on {size:g} mm",
            "use fewer or lower ridges, or 0 for none",
        )


def _check_lead(lead: float, length: float, wall: float) -> None:
    if length < 2 * lead + 0.4 or wall < lead + 0.4:
        raise ValueProblem.of(
            f"a lead-in of {lead:g} mm is too much for a length of {length:g} mm and a wall of {wall:g} mm",
            "make it smaller",
        )


# Pieces --------------------------------------------------------------------------------------------------------------


def _tube(inner: float, outer: float, low: float, high: float) -> Floats:
    return np.array([[inner, low], [outer, low], [outer, high], [inner, high]])


def _mouths(radius: float, lead: float, length: float) -> tuple[Turned, ...]:
    """Cones that open both mouths of a bore by ``lead`` at 45 degrees."""
    tip = radius - OVERRUN
    cone = np.array([[0, -OVERRUN], [radius + lead + OVERRUN, -OVERRUN], [tip, lead + OVERRUN], [0, lead + OVERRUN]])
    return Turned(contour=cone), Turned(contour=cone * [1, -1] + [0, length])


def _rims(radius: float, lead: float, length: float) -> tuple[Turned, ...]:
    """Rings that take ``lead`` off both rims of a stub at 45 degrees."""
    ring = np.array(
        [[radius - lead - OVERRUN, -OVERRUN], [radius + OVERRUN, -OVERRUN], [radius + OVERRUN, lead + OVERRUN]]
    )
    return Turned(contour=ring), Turned(contour=ring * [1, -1] + [0, length])


def _stack(levels: Sequence[tuple[float, Floats]]) -> Stacked:
    return Stacked(levels=np.array([np.column_stack([xy, np.full(len(xy), z)]) for z, xy in levels]))


def _rectangle(length: float, width: float) -> Floats:
    return np.array([[-1, -1], [1, -1], [1, 1], [-1, 1]]) * [length / 2, width / 2]


def _key(key: Key) -> Recipe:
    lead, half, side = key.lead_in, key.length / 2, key.width / 2
    if min(key.length, key.width) < 3 * lead or key.height < 2 * lead + 0.4:
        raise ValueProblem.of(f"a lead-in of {lead:g} mm leaves nothing of the key", "make it smaller")
    plan = _octagon(half, side, lead, 0.0)
    inset = _octagon(half, side, lead, lead)
    levels = [(0.0, inset), (lead, plan), (key.height - lead, plan), (key.height, inset)]
    return Recipe(name="key", bodies=(_stack(levels),))


def _octagon(half: float, side: float, cut: float, inset: float) -> Floats:
    """Rectangle with corners cut by ``cut`` at 45 degrees, all eight edges moved inward by ``inset``."""
    short = inset * (math.sqrt(2) - 1)
    x, y = half - inset, side - inset
    corners = [(half - cut - short, -y), (x, cut + short - side), (x, side - cut - short), (half - cut - short, y)]
    return np.array(corners + [(-x, -y) for x, y in corners])


def _keyway(way: Keyway) -> Recipe:
    lead, width, top = way.lead_in, way.width, way.height + way.wall
    if way.length < 2 * lead + 2 or way.wall < lead + 0.4 or way.height < lead + 0.4:
        raise ValueProblem.of(f"a lead-in of {lead:g} mm leaves nothing of the keyway", "make it smaller")
    block = _stack([(z, _rectangle(way.length, width + 2 * way.wall)) for z in (0.0, top)])
    long = way.length + 2 * OVERRUN
    over = lead + OVERRUN
    channel = _stack([(way.wall, _rectangle(long, width)), (top + OVERRUN, _rectangle(long, width))])
    rim = _stack([(top - lead, _rectangle(long, width)), (top + OVERRUN, _rectangle(long, width + 2 * over))])
    flare = np.array([[0, -width / 2], [over, -width / 2 - over], [over, width / 2 + over], [0, width / 2]])
    mouth = flare + np.array([way.length / 2 - lead, 0.0])
    mouths = [_stack([(way.wall, plan), (top + OVERRUN, plan)]) for plan in (mouth, -mouth)]
    return Recipe(name="keyway", bodies=(block,), cutters=(channel, rim, *mouths))


def _ridge(foot: float, tip: float, angle: float, low: float, high: float) -> Stacked:
    """Upright ridge of triangular section, its foot sunk into the wall."""
    sunk = foot + (0.3 if foot > tip else -0.3)
    corners = np.array([[tip, 0], [foot, RIDGE_WIDTH / 2], [sunk, RIDGE_WIDTH / 2], [sunk, -RIDGE_WIDTH / 2]])
    plan = np.vstack([corners, [[foot, -RIDGE_WIDTH / 2]]])
    if foot < tip:
        plan = plan[::-1]
    turn = np.array([[math.cos(angle), math.sin(angle)], [-math.sin(angle), math.cos(angle)]])
    return _stack([(z, plan[::-1] @ turn) for z in (low, high)])


def _pin(pin: Pin) -> Recipe:
    radius = pin.diameter / 2
    _check_lead(pin.lead_in, pin.length, radius)
    body = radius - (pin.ridge if pin.ridges else 0.0)
    turned = Turned(contour=_tube(0.0, body, 0.0, pin.length))
    ridges = [_ridge(body - 0.05, radius, a, 0.0, pin.length) for a in _around(pin.ridges)]
    return Recipe(name="pin", bodies=(turned, *ridges), cutters=_rims(radius, pin.lead_in, pin.length))


def _hole(hole: Hole) -> Recipe:
    radius = hole.bore / 2
    _check_lead(hole.lead_in, hole.length, hole.wall)
    inner = radius + (hole.ridge if hole.ridges else 0.0)
    turned = Turned(contour=_tube(inner, inner + hole.wall, 0.0, hole.length))
    ridges = [_ridge(inner + 0.05, radius, a, 0.0, hole.length) for a in _around(hole.ridges)]
    return Recipe(name="hole", bodies=(turned, *ridges), cutters=_mouths(radius, hole.lead_in, hole.length))


def _around(count: int) -> list[float]:
    return [2 * math.pi * i / count for i in range(count)]


# Mesh ----------------------------------------------------------------------------------------------------------------


def _piece(piece: Turned | Stacked, chord: float) -> Mesh:
    if isinstance(piece, Turned):
        return kernel.revolve(piece.contour, chord=chord, fit="mean")
    return kernel.hull([Mesh(piece.levels.reshape(-1, 3), np.zeros((0, 3), dtype=np.int32))])

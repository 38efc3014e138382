"""Pockets for nuts, heat-set inserts and magnets: as a block to try, or as the cutter to subtract from a model.

All of them stand as printed, axis along z, and are recipes of turned and stacked pieces: mesh and STEP come out alike.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Literal

import numpy as np

from shadewright.errors import ValueProblem, require_positive
from shadewright.solid import kernel
from shadewright.solid.mesh import Floats, Mesh
from shadewright.solid.plain_brep import shape_from
from shadewright.solid.plain_features import OVERRUN, Recipe, Stacked, Turned, solid_from
from shadewright.solid.step import write_step

RIDGE_FOOT = 1.2
"""Foot of a ridge that is crushed [mm]: three lines; common practice, no source."""

SUNK = 0.3
"""How far a ridge reaches into the wall behind it [mm]."""

CLEAR = 0.02
"""How far pieces of one cut keep from each other's faces [mm], so that no two lie in one plane."""

ROOF_STEPS = 3
"""Layers in which a roof over a nut closes in on the screw's hole."""

Piece = Turned | Stacked


@dataclass(frozen=True, slots=True, kw_only=True)
class NutPocket:
    """Pocket for a hexagon nut, its corners along x.

    Attributes:
        flats: Width across flats as drawn [mm].
        depth: Height of the pocket [mm].
        hole: Diameter of the screw's hole as drawn [mm].
        mouth: ``up`` opens to the top, ``down`` to the bed, ``side`` through a slot towards +x, ``inside`` is closed
            after a pause.
        layer: Layer height [mm]; steps of the roof are one layer each.
        floor: Plastic under the nut, or over it where the mouth is down [mm].
        wall: Plastic around it [mm].
        chamfer: At the mouth [mm].
    """

    flats: float
    depth: float
    hole: float
    mouth: Literal["up", "down", "side", "inside"] = "up"
    layer: float = 0.2
    floor: float = 2.0
    wall: float = 2.4
    chamfer: float = 0.5


@dataclass(frozen=True, slots=True, kw_only=True)
class InsertHole:
    """Blind hole for a heat-set insert in a round boss.

    Attributes:
        hole, depth: As drawn [mm].
        boss: Outer diameter of the boss [mm].
        mouth: ``up``, or ``down`` towards the bed; then the blind end is a cone, so that nothing hangs.
        floor: Plastic behind the hole [mm].
        chamfer: At the mouth [mm].
    """

    hole: float
    depth: float
    boss: float
    mouth: Literal["up", "down"] = "up"
    floor: float = 1.2
    chamfer: float = 0.5


@dataclass(frozen=True, slots=True, kw_only=True)
class MagnetPocket:
    """Pocket for a magnet, its cap on the bed.

    Attributes:
        length, width: Of the pocket as drawn, inside the ridges [mm]; a round one has no width.
        depth: From cap to mouth [mm].
        cap: Plastic between magnet and face [mm], whole layers.
        ridge: Height of the ridges that are crushed [mm]; 0 for a plain pocket.
        closed: True when the pocket is closed after a pause, by a second cap as thick as the first.
        wall: Plastic around it [mm].
        chamfer: At the mouth [mm].
    """

    length: float
    width: float | None
    depth: float
    cap: float
    ridge: float = 0.0
    closed: bool = False
    wall: float = 2.0
    chamfer: float = 0.4


Pocket = NutPocket | InsertHole | MagnetPocket


def pocket_block(pocket: Pocket, chord: float = 0.01) -> Mesh:
    """A block with the pocket in it, standing on z = 0.

    Raises:
        ValueProblem: Sizes that cannot be.
        GeometryFailure: The solid failed its own check.
    """
    made = block_recipe(pocket)
    if not (isinstance(pocket, MagnetPocket) and pocket.closed):
        return solid_from(made, chord)
    shell = solid_from(replace(made, cutters=(), kept=()), chord)  # the hollow makes a second surface
    return kernel.difference(shell, pocket_cutter(pocket, chord))


def pocket_cutter(pocket: Pocket, chord: float = 0.01) -> Mesh:
    """What to subtract from a model, placed as in ``pocket_block``; it reaches a hair beyond the block's faces.

    Raises:
        ValueProblem: Sizes that cannot be.
        GeometryFailure: The solid failed its own check.
    """
    return solid_from(cutter_recipe(pocket), chord)


def write_pocket_step(path: Path, pocket: Pocket, *, cutter: bool = False) -> Path:
    """Write the block, or the cutter, as STEP.

    Raises:
        ValueProblem: Sizes that cannot be.
        MissingLibrary: STEP is not installed.
        GeometryFailure: The shape failed its own check.
        FileProblem: The file cannot be written.
    """
    made = cutter_recipe(pocket) if cutter else block_recipe(pocket)
    return write_step(path, shape_from(made), made.name)


def block_recipe(pocket: Pocket) -> Recipe:
    """The block around a pocket, and what is cut from it and put back."""
    check_pocket(pocket)
    cutters, kept = _cut(pocket)
    return Recipe(name=_name(pocket), bodies=_body(pocket), cutters=cutters, kept=kept)


def cutter_recipe(pocket: Pocket) -> Recipe:
    """The pocket itself as a solid."""
    check_pocket(pocket)
    cutters, kept = _cut(pocket)
    return Recipe(name=f"{_name(pocket)} cutter", bodies=cutters, cutters=kept)


def check_pocket(pocket: Pocket) -> None:
    """Refuse sizes that cannot be.

    Raises:
        ValueProblem: A size is not above 0, or hole, chamfer or ridges leave nothing.
    """
    for name in ("flats", "depth", "hole", "boss", "length", "width", "cap", "layer", "floor", "wall", "chamfer"):
        value = getattr(pocket, name, None)
        if value is not None:
            require_positive(f"the {name}", value)
    if pocket.depth < pocket.chamfer + 0.4:
        raise ValueProblem.of(f"a depth of {pocket.depth:g} mm is too shallow for its chamfer", "make it deeper")
    match pocket:
        case NutPocket():
            if pocket.hole >= 0.95 * pocket.flats:
                raise ValueProblem.of(
                    f"a hole of {pocket.hole:g} mm leaves the nut nothing to rest on", "make it smaller than the nut"
                )
            if pocket.wall < pocket.chamfer + 0.4:
                raise ValueProblem.of(f"a wall of {pocket.wall:g} mm is too thin for the chamfer", "make it thicker")
        case InsertHole():
            if pocket.boss < pocket.hole + 2 * pocket.chamfer + 0.8:
                raise ValueProblem.of(
                    f"a boss of {pocket.boss:g} mm leaves no wall around a hole of {pocket.hole:g} mm", "make it wider"
                )
        case MagnetPocket():
            _check_ridges(pocket)


def _check_ridges(pocket: MagnetPocket) -> None:
    least = min(pocket.length, pocket.width or pocket.length)
    if not 0 <= pocket.ridge < least / 6:
        raise ValueProblem.of(
            f"ridges of {pocket.ridge:g} mm have no room in a pocket of {least:g} mm", "make them lower, or 0 for none"
        )
    if pocket.ridge and least < 2 * RIDGE_FOOT:
        raise ValueProblem.of(f"a pocket of {least:g} mm is too small for ridges", "glue the magnet instead")


# Pieces --------------------------------------------------------------------------------------------------------------


def _name(pocket: Pocket) -> str:
    return {NutPocket: "nut pocket", InsertHole: "insert hole", MagnetPocket: "magnet pocket"}[type(pocket)]


def _body(pocket: Pocket) -> tuple[Piece, ...]:
    match pocket:
        case NutPocket():
            top = _nut_levels(pocket)[2]
            across, along = pocket.flats + 2 * pocket.wall, 2 * pocket.flats / math.sqrt(3) + 2 * pocket.wall
            return (box(-along / 2, along / 2, across, 0.0, top),)
        case InsertHole():
            return (_disc(pocket.boss / 2, 0.0, _insert_height(pocket)),)
        case MagnetPocket():
            top = pocket.cap + pocket.depth + (pocket.cap if pocket.closed else 0.0)
            around = 2 * (pocket.wall + pocket.ridge)
            if pocket.width is None:
                return (_disc((pocket.length + around) / 2, 0.0, top),)
            half = (pocket.length + around) / 2
            return (box(-half, half, pocket.width + around, 0.0, top),)


def _cut(pocket: Pocket) -> tuple[tuple[Piece, ...], tuple[Piece, ...]]:
    """What is cut, and what is put back into the cut."""
    match pocket:
        case NutPocket():
            return _nut_cut(pocket), ()
        case InsertHole():
            return _insert_cut(pocket), ()
        case MagnetPocket():
            return _magnet_cut(pocket), _ridges(pocket)


def _nut_levels(pocket: NutPocket) -> tuple[float, float, float]:
    """Floor and roof of the pocket and top of the block [mm]."""
    low = 0.0 if pocket.mouth == "down" else pocket.floor
    high = low + pocket.depth
    return low, high, high + (0.0 if pocket.mouth == "up" else pocket.floor)


def _nut_cut(pocket: NutPocket) -> tuple[Piece, ...]:
    low, high, top = _nut_levels(pocket)
    over, flats = OVERRUN, pocket.flats
    bottom = low - over if pocket.mouth == "down" else low
    ceiling = high + over if pocket.mouth == "up" else high
    pieces: list[Piece] = [stack([(bottom, hexagon(flats)), (ceiling, hexagon(flats))])]
    wide = hexagon(flats + 2 * (pocket.chamfer + over))
    if pocket.mouth == "up":
        pieces.append(stack([(high - pocket.chamfer, hexagon(flats)), (high + over, wide)]))
    if pocket.mouth == "down":
        pieces.append(stack([(low - over, wide), (low + pocket.chamfer, hexagon(flats))]))
    if pocket.mouth == "side":
        pieces += _slot(pocket, low, high)
    start = -over
    if pocket.mouth != "up":
        pieces += _stepped_roof(pocket, high)
        start = high + ROOF_STEPS * pocket.layer - over
        if pocket.mouth != "down":
            pieces.append(_disc(pocket.hole / 2, -over, low + over))
    pieces.append(_disc(pocket.hole / 2, start, top + over))
    return tuple(pieces)


def _slot(pocket: NutPocket, low: float, high: float) -> list[Piece]:
    """The way in from +x, opened at 45 degrees where it meets the side."""
    side = pocket.flats / math.sqrt(3) + pocket.wall
    half, wide = pocket.flats / 2, pocket.flats / 2 + pocket.chamfer + OVERRUN
    flare = np.array([[side - pocket.chamfer, -half], [side + OVERRUN, -wide], [side + OVERRUN, wide]])
    flare = np.vstack([flare, [[side - pocket.chamfer, half]]])
    return [box(0.0, side + OVERRUN, pocket.flats, low, high), stack([(low, flare), (high, flare)])]


def _stepped_roof(pocket: NutPocket, high: float) -> list[Piece]:
    """Three layers that let a roof with a hole print as bridges; the circle starts above them.

    The first leaves a strip open, as wide as the hole and from wall to wall; the second leaves a square, the third an
    octagon.
    """
    radius = pocket.hole / 2 + CLEAR
    one, two, three = (high + i * pocket.layer for i in (1, 2, 3))
    strip = _strip(pocket, radius + 2 * CLEAR)
    angles = np.radians(np.arange(8) * 45.0 + 22.5)
    octagon = radius / math.cos(math.pi / 8) * np.column_stack([np.cos(angles), np.sin(angles)])
    square = radius + CLEAR
    return [
        stack([(high - OVERRUN, strip), (one, strip)]),
        box(-square, square, 2 * square, one - OVERRUN, two),
        stack([(two - OVERRUN, octagon), (three, octagon)]),
    ]


def _strip(pocket: NutPocket, half: float) -> Floats:
    """Plan of the part of the pocket within ``half`` of its middle line, a hair inside the pocket's walls."""
    reach, corner = pocket.flats / 2 - CLEAR, (pocket.flats - 2 * CLEAR) / math.sqrt(3)
    drawn_in = min(reach, (corner - half) * math.sqrt(3))  # past its flats along x a hexagon draws in
    shoulder = min(half, corner / 2)
    right = [(half, reach)] if pocket.mouth == "side" else [(half, drawn_in), (shoulder, reach)]
    upper = np.array([*right, (-shoulder, reach), (-half, drawn_in)])
    if shoulder == half:
        upper = np.array([(half, reach), (-half, reach)])
    return np.vstack([upper, upper[::-1] * [1.0, -1.0]])


def _insert_height(pocket: InsertHole) -> float:
    return pocket.depth + pocket.floor + (pocket.hole / 2 if pocket.mouth == "down" else 0.0)


def _insert_cut(pocket: InsertHole) -> tuple[Piece, ...]:
    radius, height, over = pocket.hole / 2, _insert_height(pocket), OVERRUN
    wide = radius + pocket.chamfer + over
    if pocket.mouth == "up":
        floor = height - pocket.depth
        contour = [[0, floor], [radius, floor], [radius, height - pocket.chamfer], [wide, height + over]]
        return (Turned(contour=np.array([*contour, [0, height + over]], dtype=np.float64)),)
    contour = [[0, -over], [wide, -over], [radius, pocket.chamfer], [radius, pocket.depth], [0, pocket.depth + radius]]
    return (Turned(contour=np.array(contour, dtype=np.float64)),)


def _magnet_cut(pocket: MagnetPocket) -> tuple[Piece, ...]:
    """The pocket behind the ridges, and its opened mouth."""
    low, high, over = pocket.cap, pocket.cap + pocket.depth, OVERRUN
    lead, back = pocket.chamfer, 2 * pocket.ridge
    ceiling = high if pocket.closed else high + over
    if pocket.width is None:
        radius = pocket.length / 2 + pocket.ridge
        pieces: list[Piece] = [_disc(radius, low, ceiling)]
        if not pocket.closed:
            cone = [[0, high - lead], [radius, high - lead], [radius + lead + over, high + over], [0, high + over]]
            pieces.append(Turned(contour=np.array(cone, dtype=np.float64)))
        return tuple(pieces)
    size = np.array([pocket.length + back, pocket.width + back])
    pieces = [stack([(low, rectangle(*size)), (ceiling, rectangle(*size))])]
    if not pocket.closed:
        wide = rectangle(*(size + 2 * (lead + over)))
        pieces.append(stack([(high - lead, rectangle(*size)), (high + over, wide)]))
    return tuple(pieces)


def _ridges(pocket: MagnetPocket) -> tuple[Piece, ...]:
    """Upright ridges whose tips stand where the pocket is drawn; they fade out towards the mouth."""
    if not pocket.ridge:
        return ()
    low, high = pocket.cap, pocket.cap + pocket.depth
    if pocket.width is None:
        count = 4 if pocket.length < 8 else 6
        turns = [2 * math.pi * i / count for i in range(count)]
        return tuple(_ridge(pocket, pocket.length / 2, (0.0, turn), low, high) for turn in turns)
    places = [(side * pocket.length / 4, turn) for side in (-1, 1) for turn in (math.pi / 2, -math.pi / 2)]
    return tuple(_ridge(pocket, pocket.width / 2, place, low, high) for place in places)


def _ridge(pocket: MagnetPocket, tip: float, place: tuple[float, float], low: float, high: float) -> Stacked:
    """A ridge of triangular section, its tip ``tip`` from the axis towards an angle, shifted along x."""
    shift, turn = place
    foot, sunk = tip + pocket.ridge, tip + pocket.ridge + SUNK
    half, fade = RIDGE_FOOT / 2, high - pocket.chamfer - pocket.ridge

    def plan(at: float) -> Floats:
        corners = np.array([[at, 0.0], [foot, -half], [sunk, -half], [sunk, half], [foot, half]])
        c, s = math.cos(turn), math.sin(turn)
        return np.asarray(corners @ np.array([[c, s], [-s, c]]) + np.array([shift, 0.0]), dtype=np.float64)

    return stack([(low - SUNK / 2, plan(tip)), (fade, plan(tip)), (high - pocket.chamfer, plan(foot - 1e-3))])


def stack(levels: Sequence[tuple[float, Floats]]) -> Stacked:
    """Outlines of the same number of corners at rising heights."""
    return Stacked(levels=np.array([np.column_stack([xy, np.full(len(xy), z)]) for z, xy in levels]))


def hexagon(flats: float) -> Floats:
    """Six corners of a hexagon by its width across flats [mm], one of them on +x."""
    angles = np.radians(np.arange(6) * 60.0)
    return flats / math.sqrt(3) * np.column_stack([np.cos(angles), np.sin(angles)])


def rectangle(length: float, width: float) -> Floats:
    """Four corners of a rectangle about the origin."""
    return np.array([[-1, -1], [1, -1], [1, 1], [-1, 1]]) * [length / 2, width / 2]


def box(x_low: float, x_high: float, width: float, z_low: float, z_high: float) -> Stacked:
    """A box, symmetric about y = 0."""
    plan = rectangle(x_high - x_low, width) + np.array([(x_low + x_high) / 2, 0.0])
    return stack([(z_low, plan), (z_high, plan)])


def _disc(radius: float, low: float, high: float) -> Turned:
    return Turned(contour=np.array([[0.0, low], [radius, low], [radius, high], [0.0, high]]))

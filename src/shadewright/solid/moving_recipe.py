"""How joints that move are built: one recipe of turned, raised and stacked pieces, made a mesh or a STEP body."""

from __future__ import annotations

import math
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Literal

import numpy as np

from shadewright.errors import GeometryFailure
from shadewright.solid import brep, kernel
from shadewright.solid.mesh import Floats, Mesh
from shadewright.solid.plain_features import Stacked, Turned
from shadewright.solid.thread_mesh import one_body

OVERRUN = 0.05
"""How far cutters reach past faces, and joined pieces into each other [mm]."""

_STEP_OF_WEDGE = 60.0


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Sector:
    """A closed contour of (k, 2) radius and height [mm], turned about z from one angle to another [degrees]."""

    contour: Floats
    start_deg: float
    end_deg: float


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Raised:
    """A plane outline of (k, 2) corners [mm], convex or not, raised from ``low`` to ``high`` [mm]."""

    outline: Floats
    low: float
    high: float


Piece = Turned | Stacked | Sector | Raised


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Build:
    """Bodies joined, cutters taken away, then what stands in the hollows added.

    Attributes:
        name: What it is.
        bodies, cutters, added: Pieces, in order.
        up: Axis of the pieces that points up when it is printed; the finished solid is turned so.
    """

    name: str
    bodies: tuple[Piece, ...]
    cutters: tuple[Piece, ...] = ()
    added: tuple[Piece, ...] = ()
    up: Literal["x", "y", "z"] = "z"


_TURNS = {
    "x": np.array([[0.0, 0.0, -1.0], [0.0, 1.0, 0.0], [1.0, 0.0, 0.0]]),
    "y": np.array([[1.0, 0.0, 0.0], [0.0, 0.0, -1.0], [0.0, 1.0, 0.0]]),
    "z": np.eye(3),
}
"""Rotations that bring an axis up."""


def built_solid(build: Build, chord: float = 0.01, *, as_printed: bool = True) -> Mesh:
    """The mesh of a build.

    Args:
        build: What to make.
        chord: Greatest distance between circles and their facets [mm].
        as_printed: True turns it up and puts it on the bed; False leaves it in the frame of its pieces.

    Raises:
        GeometryFailure: It is not one closed body.
    """
    solid = kernel.union([_mesh(piece, chord) for piece in build.bodies])
    if build.cutters:
        solid = kernel.difference(solid, *(_mesh(piece, chord) for piece in build.cutters))
    if build.added:
        solid = kernel.union([solid, *(_mesh(piece, chord) for piece in build.added)])
    whole = one_body(solid, build.name)
    if not as_printed:
        return whole
    return Mesh(whole.vertices @ _TURNS[build.up].T, whole.faces, whole.name).on_bed()


def built_shape(build: Build) -> Any:
    """The same as a checked shape of the modelling kernel, standing as printed.

    Raises:
        MissingLibrary: STEP is not installed.
        GeometryFailure: It is not one sound solid.
    """
    from shadewright.solid.step import check_shape, quiet, require_step, shape_bounds

    require_step()
    quiet()
    shape = brep.fused(*map(_shape, build.bodies))
    shape = brep.cut(shape, *map(_shape, build.cutters))
    shape = brep.fused(shape, *map(_shape, build.added))
    shape = _placed(shape, _TURNS[build.up], 0.0)
    shape = _placed(shape, np.eye(3), -float(shape_bounds(shape)[0, 2]))
    wrong = check_shape(shape)
    if wrong:
        raise GeometryFailure(f"{build.name} came out wrong: {'; '.join(wrong)}")
    return shape


def write_built_step(path: Path, build: Build) -> Path:
    """Write a build as STEP; errors as ``built_shape``, and ``FileProblem`` when it cannot be written."""
    from shadewright.solid.step import write_step

    return write_step(path, built_shape(build), build.name)


# Shorthand for pieces ------------------------------------------------------------------------------------------------


def slab(x: tuple[float, float], y: tuple[float, float], z: tuple[float, float]) -> Raised:
    """A box between these coordinates [mm]."""
    outline = np.array([[x[0], y[0]], [x[1], y[0]], [x[1], y[1]], [x[0], y[1]]])
    return Raised(outline=outline, low=z[0], high=z[1])


def stacked(*levels: tuple[float, Floats]) -> Stacked:
    """Convex outlines of (k, 2) corners at rising heights [mm]."""
    return Stacked(levels=np.array([np.column_stack([xy, np.full(len(xy), z)]) for z, xy in levels]))


def disc(inner: float, outer: float, low: float, high: float, chamfer: float = 0.0) -> Turned:
    """A ring or disc about z; its outer rims chamfered [mm]."""
    if not chamfer:
        return Turned(contour=np.array([[inner, low], [outer, low], [outer, high], [inner, high]]))
    return Turned(
        contour=np.array(
            [
                [inner, low],
                [outer - chamfer, low],
                [outer, low + chamfer],
                [outer, high - chamfer],
                [outer - chamfer, high],
                [inner, high],
            ]
        )
    )


def polar(radius: float, angle_deg: float) -> tuple[float, float]:
    """Coordinates x and y of a point [mm]."""
    return radius * math.cos(math.radians(angle_deg)), radius * math.sin(math.radians(angle_deg))


# Mesh ----------------------------------------------------------------------------------------------------------------


def _mesh(piece: Piece, chord: float) -> Mesh:
    match piece:
        case Turned():
            return kernel.revolve(piece.contour, chord=chord, fit="mean")
        case Stacked():
            return kernel.hull([Mesh(piece.levels.reshape(-1, 3), np.zeros((0, 3), dtype=np.int32))])
        case Raised():
            return kernel.extrude([piece.outline], piece.high - piece.low).moved(z=piece.low)
        case Sector():
            whole = kernel.revolve(piece.contour, chord=chord, fit="mean")
            low, high = float(piece.contour[:, 1].min()), float(piece.contour[:, 1].max())
            reach = 2.5 * float(piece.contour[:, 0].max())
            wedge = kernel.extrude([_wedge(piece.start_deg, piece.end_deg, reach)], high - low + 2)
            return kernel.intersection(whole, wedge.moved(z=low - 1))


def _wedge(start_deg: float, end_deg: float, reach: float) -> Floats:
    count = max(1, math.ceil((end_deg - start_deg) / _STEP_OF_WEDGE))
    angles = np.linspace(start_deg, end_deg, count + 1)
    return np.array([(0.0, 0.0), *(polar(reach, float(angle)) for angle in angles)])


# Shape ---------------------------------------------------------------------------------------------------------------


def _shape(piece: Piece) -> Any:
    match piece:
        case Turned():
            return brep.turned(piece.contour)
        case Stacked():
            return brep.stacked(piece.levels)
        case Raised():
            return _raised(piece)
        case Sector():
            return _sector(piece)


def _raised(piece: Raised) -> Any:
    from OCP.BRepPrimAPI import BRepPrimAPI_MakePrism
    from OCP.gp import gp_Vec

    face = _face([(float(x), float(y), piece.low) for x, y in piece.outline])
    return BRepPrimAPI_MakePrism(face, gp_Vec(0, 0, piece.high - piece.low)).Shape()


def _sector(piece: Sector) -> Any:
    from OCP.BRepPrimAPI import BRepPrimAPI_MakeRevol
    from OCP.gp import gp_Ax1, gp_Dir, gp_Pnt

    face = _face([(*polar(float(r), piece.start_deg), float(z)) for r, z in piece.contour])
    axis = gp_Ax1(gp_Pnt(0, 0, 0), gp_Dir(0, 0, 1))
    return BRepPrimAPI_MakeRevol(face, axis, math.radians(piece.end_deg - piece.start_deg)).Shape()


def _face(points: list[tuple[float, float, float]]) -> Any:
    from OCP.BRepBuilderAPI import BRepBuilderAPI_MakeFace, BRepBuilderAPI_MakePolygon
    from OCP.gp import gp_Pnt

    maker = BRepBuilderAPI_MakePolygon()
    for point in points:
        maker.Add(gp_Pnt(*point))
    maker.Close()
    return BRepBuilderAPI_MakeFace(maker.Wire()).Face()


def _placed(shape: Any, turn: Floats, z: float) -> Any:
    from OCP.BRepBuilderAPI import BRepBuilderAPI_Transform
    from OCP.gp import gp_Trsf

    move = gp_Trsf()
    rows = [[*map(float, row), shift] for row, shift in zip(turn, (0.0, 0.0, z), strict=True)]
    move.SetValues(*rows[0], *rows[1], *rows[2])
    return BRepBuilderAPI_Transform(shape, move, True).Shape()

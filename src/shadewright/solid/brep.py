"""Small words for the modelling kernel: turned and stacked solids, joining, cutting. Shapes are typed ``Any``."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from shadewright.errors import GeometryFailure
from shadewright.solid.mesh import Floats


def turned(contour: Floats) -> Any:
    """Solid of a closed contour of (k, 2) radius and height [mm], turned once about z."""
    from OCP.BRepPrimAPI import BRepPrimAPI_MakeRevol
    from OCP.gp import gp_Ax1, gp_Dir, gp_Pnt

    face = _face([(float(r), 0.0, float(z)) for r, z in contour])
    return BRepPrimAPI_MakeRevol(face, gp_Ax1(gp_Pnt(0, 0, 0), gp_Dir(0, 0, 1))).Shape()


def stacked(levels: Floats) -> Any:
    """Solid between outlines of the same number of corners, (levels, k, 3) [mm], joined by flat faces."""
    from OCP.BRepOffsetAPI import BRepOffsetAPI_ThruSections

    maker = BRepOffsetAPI_ThruSections(True, True)
    for level in levels:
        maker.AddWire(_polygon([tuple(map(float, point)) for point in level]))
    maker.Build()
    return _done(maker, "stacking outlines")


def fused(first: Any, *others: Any) -> Any:
    """All as one solid."""
    from OCP.BRepAlgoAPI import BRepAlgoAPI_Fuse

    for other in others:
        first = _done(BRepAlgoAPI_Fuse(first, other), "joining")
    return first


def cut(first: Any, *others: Any) -> Any:
    """The first without the others."""
    from OCP.BRepAlgoAPI import BRepAlgoAPI_Cut

    for other in others:
        first = _done(BRepAlgoAPI_Cut(first, other), "cutting")
    return first


def common(first: Any, other: Any) -> Any:
    """What both share."""
    from OCP.BRepAlgoAPI import BRepAlgoAPI_Common

    return _done(BRepAlgoAPI_Common(first, other), "intersecting")


def _done(maker: Any, doing: str) -> Any:
    if not maker.IsDone():
        raise GeometryFailure(f"{doing} shapes failed")
    return maker.Shape()


def _polygon(points: Sequence[tuple[float, ...]]) -> Any:
    from OCP.BRepBuilderAPI import BRepBuilderAPI_MakePolygon
    from OCP.gp import gp_Pnt

    maker = BRepBuilderAPI_MakePolygon()
    for point in points:
        maker.Add(gp_Pnt(*point))
    maker.Close()
    return maker.Wire()


def _face(points: Sequence[tuple[float, ...]]) -> Any:
    from OCP.BRepBuilderAPI import BRepBuilderAPI_MakeFace

    return BRepBuilderAPI_MakeFace(_polygon(points)).Face()

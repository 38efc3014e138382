"""The one door to the mesh kernel: solids, booleans, cuts and plane figures.

Solids are ``Mesh``; plane figures are lists of (k, 2) contours in mm, outer ones counter-clockwise and holes clockwise
(what winds positively is filled). Results carry the name of the first mesh they were made from.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from math import acos, ceil, cos, pi, sin, sqrt
from typing import Any, Literal

import numpy as np

from shadewright.errors import GeometryFailure, ModelProblem, require_positive
from shadewright.solid.census import census, without_collapsed
from shadewright.solid.mesh import Floats, Ints, Mesh

Polygons = list[Floats]
Fit = Literal["inside", "mean", "outside"]

FEWEST_SEGMENTS = 12
DEFAULT_CHORD = 0.01
"""Greatest distance between a circle and its facets [mm], where nothing else is asked for."""


# Circles as polygons -------------------------------------------------------------------------------------------------


def segments_for(radius: float, chord: float = DEFAULT_CHORD) -> int:
    """Sides of a polygon that strays no more than ``chord`` from a circle [mm]; a multiple of 4.

    Source: sagitta of a regular polygon, e = r (1 - cos(pi/n)).
    """
    require_positive("chord", chord)
    if radius <= chord:
        return FEWEST_SEGMENTS
    sides = ceil(pi / acos(1 - chord / radius) - 1e-9)
    return max(FEWEST_SEGMENTS, 4 * ceil(sides / 4))


def corner_scale(segments: int, fit: Fit) -> float:
    """Corner radius of a regular polygon over the radius of the circle it stands for.

    ``inside`` puts the corners on the circle, ``outside`` lets the flats touch it (so that a faceted hole is nowhere
    too tight), ``mean`` gives both the same area.
    """
    if fit == "inside":
        return 1.0
    if fit == "outside":
        return 1 / cos(pi / segments)
    return 1 / sqrt(segments * sin(2 * pi / segments) / (2 * pi))


def circle(
    radius: float, *, chord: float = DEFAULT_CHORD, segments: int | None = None, fit: Fit = "inside"
) -> Polygons:
    """A circle about the origin as one polygon."""
    require_positive("radius", radius)
    sides = segments or segments_for(radius, chord)
    angle = np.linspace(0, 2 * pi, sides, endpoint=False)
    return [radius * corner_scale(sides, fit) * np.column_stack([np.cos(angle), np.sin(angle)])]


def rectangle(width: float, depth: float, x: float = 0.0, y: float = 0.0) -> Polygons:
    """A rectangle with its middle at (x, y)."""
    require_positive("width", width)
    require_positive("depth", depth)
    return [np.array([[-1, -1], [1, -1], [1, 1], [-1, 1]]) * [width / 2, depth / 2] + [x, y]]


# Plane figures -------------------------------------------------------------------------------------------------------


def _figure(polygons: Polygons) -> Any:
    from manifold3d import CrossSection, FillRule

    return CrossSection([np.ascontiguousarray(p, dtype=np.float64) for p in polygons], FillRule.Positive)


def _contours(figure: Any) -> Polygons:
    return [np.asarray(contour, dtype=np.float64) for contour in figure.to_polygons()]


def area(polygons: Polygons) -> float:
    """Area of a plane figure [mm²], overlaps counted once."""
    return float(_figure(polygons).area())


def offset(polygons: Polygons, delta: float, *, chord: float = DEFAULT_CHORD) -> Polygons:
    """Grow (``delta`` > 0) or shrink a plane figure with round corners [mm]."""
    from manifold3d import JoinType

    sides = segments_for(abs(delta), chord) if delta else FEWEST_SEGMENTS
    return _contours(_figure(polygons).offset(delta, JoinType.Round, circular_segments=sides))


def plane_union(figures: Iterable[Polygons]) -> Polygons:
    """All figures as one."""
    return _contours(_figure([contour for figure in figures for contour in _contours(_figure(figure))]))


def plane_difference(polygons: Polygons, *others: Polygons) -> Polygons:
    """The first figure without the others; empty when nothing is left."""
    left = _figure(polygons)
    for other in others:
        left = left - _figure(other)
    return _contours(left)


def plane_intersection(polygons: Polygons, other: Polygons) -> Polygons:
    """What two figures share; empty when they do not meet."""
    return _contours(_figure(polygons) ^ _figure(other))


def triangulate(polygons: Polygons) -> Ints:
    """(m, 3) triangles over the contours' points, numbered through in order; contours must not cross.

    Raises:
        GeometryFailure: The kernel cannot do it.
    """
    from manifold3d import triangulate as kernel_triangulate

    try:
        return np.asarray(kernel_triangulate(polygons), dtype=np.int32).reshape(-1, 3)
    except (RuntimeError, ValueError) as error:
        raise GeometryFailure(f"a polygon cannot be cut into triangles ({error})") from None


# Mesh in, mesh out ---------------------------------------------------------------------------------------------------


def _raw(mesh: Mesh) -> Any:
    from manifold3d import Manifold, Mesh64

    return Manifold(
        Mesh64(
            vert_properties=np.ascontiguousarray(mesh.vertices, dtype=np.float64),
            tri_verts=np.ascontiguousarray(mesh.faces, dtype=np.uint64),
        )
    )


def _manifold(mesh: Mesh) -> Any:
    solid = _raw(mesh)
    if solid.status().name != "NoError" or solid.is_empty():
        what = is_solid(mesh) or f"the mesh kernel refuses it ({solid.status().name})"
        raise ModelProblem.of(what, "repair the model first", mesh.name)
    return solid


def _mesh(solid: Any, name: str, doing: str) -> Mesh:
    if solid.status().name != "NoError":
        raise GeometryFailure(f"{doing} failed: {solid.status().name}")
    if solid.is_empty():
        raise GeometryFailure(f"{doing} leaves nothing")
    raw = solid.to_mesh64()
    return Mesh(
        np.array(raw.vert_properties[:, :3], dtype=np.float64),
        np.array(raw.tri_verts, dtype=np.int32),
        name,
    )


def is_solid(mesh: Mesh) -> str | None:
    """Why a mesh is not a solid, as a clause; None when it is one.

    A solid is finite, closed, consistently wound, right side out, and accepted by the mesh kernel.
    """
    return _array_fault(mesh) or _edge_fault(mesh) or _body_fault(mesh, _raw(mesh))


def examined(mesh: Mesh) -> tuple[str | None, tuple[Mesh, ...]]:
    """``is_solid`` and, where it is one, ``bodies`` in one go, at half the price."""
    fault = _array_fault(mesh) or _edge_fault(mesh)
    solid = None if fault else _raw(mesh)
    fault = fault or _body_fault(mesh, solid)
    return fault, () if fault else _taken_apart(solid, mesh.name)


def _array_fault(mesh: Mesh) -> str | None:
    if not len(mesh.faces):
        return "it has no triangles"
    if not np.isfinite(mesh.vertices).all():
        return "it has coordinates that are not numbers"
    if int(mesh.faces.min()) < 0 or int(mesh.faces.max()) >= len(mesh.vertices):
        return "its triangles name points that do not exist"
    return None


def _edge_fault(mesh: Mesh) -> str | None:
    edges = census(without_collapsed(mesh.faces))
    if edges.open:
        return f"it is not closed ({edges.open} open edge{'s' if edges.open > 1 else ''})"
    if edges.unbalanced:
        return f"neighbouring triangles face opposite ways (at {edges.unbalanced} edges)"
    return None


def _body_fault(mesh: Mesh, solid: Any) -> str | None:
    if solid.status().name != "NoError":
        return f"its surface does not bound a body ({solid.status().name})"
    volume = mesh.volume
    if volume < 0:
        return f"it is inside out (volume {volume:.6g} mm³)"
    if solid.is_empty() or not volume > 0:
        return "it encloses no volume"
    return None


# Solids --------------------------------------------------------------------------------------------------------------


def box(size: Sequence[float], centre: Sequence[float] = (0.0, 0.0, 0.0), name: str = "") -> Mesh:
    """A box of ``size`` (x, y, z) with its middle at ``centre`` [mm]."""
    from manifold3d import Manifold

    for axis, extent in zip("xyz", size, strict=True):
        require_positive(f"size in {axis}", extent)
    return _mesh(Manifold.cube(tuple(map(float, size)), True).translate(tuple(map(float, centre))), name, "a box")


def cylinder(
    height: float,
    radius_low: float,
    radius_high: float | None = None,
    *,
    chord: float = DEFAULT_CHORD,
    segments: int | None = None,
    fit: Fit = "inside",
    name: str = "",
) -> Mesh:
    """A cylinder or cone frustum on z = 0 about the z axis; ``radius_high`` may be 0.

    Args:
        height: Along z [mm].
        radius_low: At z = 0 [mm].
        radius_high: At z = ``height`` [mm]; None for the same.
        chord: Greatest distance between circle and facets [mm].
        segments: Number of sides; overrides ``chord``.
        fit: Where the facets lie against the circle, see ``corner_scale``; use ``outside`` for a cutter.
        name: Name of the mesh.
    """
    high = radius_low if radius_high is None else radius_high
    points = np.array([[0.0, 0.0], [radius_low, 0.0], [high, height], [0.0, height]])
    require_positive("height", height)
    require_positive("radius", max(radius_low, high))
    return revolve(points, chord=chord, segments=segments, fit=fit, name=name)


def revolve(
    points: Floats, *, chord: float = DEFAULT_CHORD, segments: int | None = None, fit: Fit = "inside", name: str = ""
) -> Mesh:
    """Turn a closed contour of (k, 2) radius and height [mm] once around the z axis; radii are 0 or more."""
    contour = np.array(points, dtype=np.float64)
    sides = segments or segments_for(float(contour[:, 0].max()), chord)
    contour[:, 0] *= corner_scale(sides, fit)
    if _signed_area(contour) < 0:
        contour = contour[::-1]
    return _mesh(_figure([contour]).revolve(sides), name, "turning a contour")


def extrude(
    polygons: Polygons,
    height: float,
    *,
    twist_deg: float = 0.0,
    divisions: int = 1,
    scale_top: float = 1.0,
    name: str = "",
) -> Mesh:
    """Raise a plane figure from z = 0 to ``height``, twisting it as it rises.

    Args:
        polygons: The figure.
        height: Along z [mm].
        twist_deg: Turn of the top against the bottom, counter-clockwise seen from above.
        divisions: Number of equal steps along z.
        scale_top: Size of the top over that of the bottom.
        name: Name of the mesh.
    """
    require_positive("height", height)
    figure = _figure(polygons)
    solid = figure.extrude(height, max(0, divisions - 1), twist_deg, (scale_top, scale_top))
    return _mesh(solid, name, "raising a figure")


def union(meshes: Iterable[Mesh]) -> Mesh:
    """All solids as one.

    Raises:
        ModelProblem: One of them is not a solid.
        GeometryFailure: There is none, or the kernel failed.
    """
    from manifold3d import Manifold, OpType

    listed = list(meshes)
    name = listed[0].name if listed else ""
    return _mesh(Manifold.batch_boolean([_manifold(m) for m in listed], OpType.Add), name, "joining solids")


def difference(mesh: Mesh, *others: Mesh) -> Mesh:
    """The first solid without the others.

    Raises:
        ModelProblem: One of them is not a solid.
        GeometryFailure: Nothing is left, or the kernel failed.
    """
    from manifold3d import Manifold, OpType

    solids = [_manifold(m) for m in (mesh, *others)]
    return _mesh(Manifold.batch_boolean(solids, OpType.Subtract), mesh.name, "cutting solids")


def intersection(mesh: Mesh, other: Mesh) -> Mesh:
    """What two solids share; see ``overlap_volume`` where they may not meet.

    Raises:
        ModelProblem: One of them is not a solid.
        GeometryFailure: They do not meet, or the kernel failed.
    """
    return _mesh(_manifold(mesh) ^ _manifold(other), mesh.name, "intersecting solids")


def overlap_volume(mesh: Mesh, other: Mesh) -> float:
    """Volume that two solids share [mm³]; 0 when they do not meet."""
    return float((_manifold(mesh) ^ _manifold(other)).volume())


def least_gap(mesh: Mesh, other: Mesh, search: float) -> float:
    """Least distance between two solids [mm]: 0 when they meet, ``search`` when it is at least that."""
    return float(_manifold(mesh).min_gap(_manifold(other), search))


def hull(meshes: Iterable[Mesh]) -> Mesh:
    """Convex hull of all points of ``meshes``."""
    from manifold3d import Manifold

    listed = list(meshes)
    points = np.concatenate([m.vertices for m in listed])
    return _mesh(Manifold.hull_points(points), listed[0].name, "a hull")


def bodies(mesh: Mesh) -> tuple[Mesh, ...]:
    """The separate surfaces of a solid, greatest volume first.

    A hollow is a surface of its own and comes out with negative volume.
    """
    return _taken_apart(_manifold(mesh), mesh.name)


def _taken_apart(solid: Any, name: str) -> tuple[Mesh, ...]:
    parts = sorted(solid.decompose(), key=lambda part: -part.volume())
    return tuple(_mesh(part, name, "taking a solid apart") for part in parts)


def hollowed(surfaces: Iterable[Mesh]) -> tuple[list[Mesh], list[Mesh]]:
    """Put hollows into the bodies around them.

    Args:
        surfaces: As ``bodies`` gives them.

    Returns:
        The bodies with their hollows cut out, and the inside-out surfaces that lie in no body.
    """
    listed = sorted(surfaces, key=lambda part: part.volume)
    outer = [part for part in listed if part.volume > 0]
    cuts: dict[int, list[Mesh]] = {}
    astray = []
    for part in listed:
        if part.volume > 0:
            continue
        hollow = Mesh(part.vertices, np.ascontiguousarray(part.faces[:, ::-1]), part.name)
        around = next((i for i, body in enumerate(outer) if _holds(body, hollow)), None)
        if around is None:
            astray.append(part)
        else:
            cuts.setdefault(around, []).append(hollow)
    return [difference(body, *cuts[i]) if i in cuts else body for i, body in enumerate(outer)], astray


def _holds(body: Mesh, inner: Mesh) -> bool:
    outside, inside = body.bounds, inner.bounds
    boxed = bool((inside[0] >= outside[0]).all() and (inside[1] <= outside[1]).all())
    return boxed and inner.volume < body.volume and overlap_volume(body, inner) > 0.999 * inner.volume


def sections(mesh: Mesh, heights: Iterable[float]) -> list[Polygons]:
    """Cut a solid by planes z = height [mm]; one figure for each, empty where the plane misses it.

    At the height of a flat bottom face the cut is that face; at the height of a flat top face it is empty.
    """
    solid = _manifold(mesh)
    return [_contours(solid.slice(float(height))) for height in heights]


def _signed_area(contour: Floats) -> float:
    x, y = contour.T
    return float((x * np.roll(y, -1) - np.roll(x, -1) * y).sum() / 2)

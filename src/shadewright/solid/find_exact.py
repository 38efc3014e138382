"""Cylinders and cones of an exact model, read off its faces; runs where STEP is read, in a process of its own."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import numpy as np

from shadewright.solid.find_types import Surface, Vector
from shadewright.solid.mesh import Floats

RECOGNISED = 1e-4
"""How far a free-form face may be off a cylinder or cone that it is taken for [mm]."""


def surfaces_of(shape: Any) -> Iterator[Surface]:
    """Every face of ``shape`` that lies on a cylinder or a cone, free-form faces that happen to do so included."""
    from OCP.BRepAdaptor import BRepAdaptor_Surface
    from OCP.GeomAbs import GeomAbs_SurfaceType
    from OCP.TopAbs import TopAbs_ShapeEnum
    from OCP.TopExp import TopExp_Explorer
    from OCP.TopoDS import TopoDS

    explorer = TopExp_Explorer(shape, TopAbs_ShapeEnum.TopAbs_FACE)
    while explorer.More():
        face = TopoDS.Face(explorer.Current())
        explorer.Next()
        adaptor = BRepAdaptor_Surface(face)
        kind = adaptor.GetType()
        if kind == GeomAbs_SurfaceType.GeomAbs_Cylinder:
            yield _measured(face, adaptor, adaptor.Cylinder(), None)
        elif kind == GeomAbs_SurfaceType.GeomAbs_Cone:
            yield _measured(face, adaptor, None, adaptor.Cone())
        elif kind not in (GeomAbs_SurfaceType.GeomAbs_Plane, GeomAbs_SurfaceType.GeomAbs_Sphere):
            cylinder, cone = _recognised(face)
            if cylinder is not None or cone is not None:
                yield _measured(face, adaptor, cylinder, cone)


def _recognised(face: Any) -> tuple[Any, Any]:
    """The cylinder or cone that a free-form face lies on."""
    from OCP.gp import gp_Cone, gp_Cylinder
    from OCP.ShapeAnalysis import ShapeAnalysis_CanonicalRecognition

    recognition = ShapeAnalysis_CanonicalRecognition(face)
    cylinder, cone = gp_Cylinder(), gp_Cone()
    if recognition.IsCylinder(RECOGNISED, cylinder):
        return cylinder, None
    if recognition.IsCone(RECOGNISED, cone):
        return None, cone
    return None, None


def _measured(face: Any, adaptor: Any, cylinder: Any, cone: Any) -> Surface:
    """Measure the face's reach along and around the axis on a net of its points."""
    from OCP.BRepTools import BRepTools

    solid = cylinder if cylinder is not None else cone
    line = solid.Axis()
    axis = _vector(line.Direction())
    origin = _vector(cone.Apex()) if cone is not None else _vector(line.Location())
    u_low, u_high, v_low, v_high = BRepTools.UVBounds_s(face)
    net = [
        [_vector(adaptor.Value(float(u), float(v))) - origin for v in np.linspace(v_low, v_high, 5)]
        for u in np.linspace(u_low, u_high, 33)
    ]
    points = np.array(net)
    height = points @ axis
    spoke = points - height[..., None] * axis
    start, turn = _around(spoke, axis)
    return Surface(
        kind="cylinder" if cone is None else "cone",
        point=_plain(origin),
        axis=_plain(axis),
        radius=float(cylinder.Radius()) if cone is None else 0.0,
        half_angle=0.0 if cone is None else abs(float(np.degrees(cone.SemiAngle()))),
        low=float(height.min()),
        high=float(height.max()),
        start=_plain(start),
        turn=turn,
        hollow=_inward(face, adaptor, ((u_low + u_high) / 2, (v_low + v_high) / 2), spoke[16, 2]),
    )


def _around(spoke: Floats, axis: Floats) -> tuple[Floats, float]:
    """Where the face begins around the axis and how far it reaches [degrees]; whichever parameter runs around."""
    length = np.linalg.norm(spoke, axis=2, keepdims=True)
    spoke = spoke / np.where(length > 0, length, 1.0)
    best: tuple[Floats, float] = (spoke[0, 0], 0.0)
    for walk in (spoke[:, 2], spoke[16]):
        sine = np.cross(walk[:-1], walk[1:]) @ axis
        steps = np.arctan2(sine, (walk[:-1] * walk[1:]).sum(axis=1))
        turn = float(np.degrees(steps.sum()))
        if abs(turn) > abs(best[1]):
            best = (walk[0] if turn > 0 else walk[-1], turn)
    return best[0], min(abs(best[1]), 360.0)


def _inward(face: Any, adaptor: Any, place: tuple[float, float], spoke: Floats) -> bool:
    """Whether the face's outward normal points at the axis."""
    from OCP.gp import gp_Pnt, gp_Vec
    from OCP.TopAbs import TopAbs_Orientation

    point, along_u, along_v = gp_Pnt(), gp_Vec(), gp_Vec()
    adaptor.D1(*place, point, along_u, along_v)
    normal = np.cross(_vector(along_u), _vector(along_v))
    if face.Orientation() == TopAbs_Orientation.TopAbs_REVERSED:
        normal = -normal
    return bool(normal @ spoke < 0)


def _vector(thing: Any) -> Floats:
    return np.array([thing.X(), thing.Y(), thing.Z()])


def _plain(values: Floats) -> Vector:
    x, y, z = (float(value) for value in values)
    return (x, y, z)

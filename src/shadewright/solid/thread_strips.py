"""The surface of a thread as cubic spline strips: one for each run of the profile between corners, and each turn."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any

import numpy as np

from shadewright.errors import GeometryFailure
from shadewright.solid.mesh import Floats
from shadewright.solid.profile import Profile

SPANS = 16
"""Spline spans for a full turn; with 8 the booleans that follow run away."""

CORNER_DEG = 4.0  # a bend sharper than this is an edge; gentler ones belong to a curve
BEND_DEG = 10.0  # of profile to each span
SEWING = 1e-5  # greatest gap that is sewn [mm]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Run:
    """A smooth piece of the profile between two corners: its phases and radii, (n,) each [mm]."""

    phase: Floats
    radius: Floats


def threaded_rod(form: Profile, low: float, turns: int) -> Any:
    """Solid of ``turns`` full turns of thread above height ``low``, closed by flat ends.

    At height z and phase p the surface stands at angle 2 pi (z - p) / pitch: a right-handed thread. Neighbouring
    strips interpolate the same points with the same knots, so their borders agree to rounding.
    """
    from OCP.BRepBuilderAPI import BRepBuilderAPI_MakeSolid, BRepBuilderAPI_Sewing
    from OCP.TopAbs import TopAbs_ShapeEnum
    from OCP.TopoDS import TopoDS

    from shadewright.solid.step import shape_volume

    sewing = BRepBuilderAPI_Sewing(SEWING)
    rows = [run_points(form, run) for run in smooth_runs(form)]
    for turn in range(turns):
        for phase, radius in rows:
            sewing.Add(_strip(form.pitch, phase, radius, low + turn * form.pitch))
    for height in (low, low + turns * form.pitch):
        sewing.Add(_end(form.pitch, rows, height))
    sewing.Perform()
    shell = sewing.SewedShape()
    if shell.ShapeType() != TopAbs_ShapeEnum.TopAbs_SHELL:
        raise GeometryFailure("the strips of the thread did not close")
    solid = BRepBuilderAPI_MakeSolid(TopoDS.Shell(shell)).Solid()
    return solid.Reversed() if shape_volume(solid) < 0 else solid


def smooth_runs(form: Profile) -> list[Run]:
    """Cut the profile at its corners; one without corners is cut once, at its root."""
    slope = np.degrees(np.arctan2(np.diff(form.r), np.diff(form.z)))
    bend = np.abs(slope - np.roll(slope, 1))  # at point i, between the pieces before and after it
    corners = np.nonzero(bend > CORNER_DEG)[0]
    starts = corners if len(corners) else np.array([int(np.argmin(form.r[:-1]))])
    count = len(form.r) - 1
    runs = []
    for start, stop in zip(starts, np.append(starts[1:], starts[0] + count), strict=True):
        index = np.arange(start, stop + 1)
        phase = form.z[index % count] + form.pitch * (index // count)
        runs.append(Run(phase=phase, radius=form.r[index % count]))
    return runs


def run_points(form: Profile, run: Run) -> tuple[Floats, Floats]:
    """Phases and radii at which a run is interpolated: evenly by its share of the turn and by how far it bends."""
    slope = np.degrees(np.arctan2(np.diff(run.radius), np.diff(run.phase)))
    bend = np.concatenate([[0.0], np.abs(np.diff(slope)), [0.0]])
    effort = np.diff(run.phase) / form.pitch * SPANS + (bend[:-1] + bend[1:]) / 2 / BEND_DEG
    along = np.concatenate([[0.0], np.cumsum(effort)])
    count = max(4, math.ceil(along[-1]))
    phase = np.interp(np.linspace(0, along[-1], count + 1), along, run.phase)
    return phase, np.interp(phase, run.phase, run.radius)


def _strip(pitch: float, phase: Floats, radius: Floats, low: float) -> Any:
    from OCP.BRepBuilderAPI import BRepBuilderAPI_MakeFace
    from OCP.collections import Array2_gp_Pnt
    from OCP.Geom import Geom_BSplineSurface
    from OCP.gp import gp_Pnt

    v = np.linspace(0, 1, SPANS + 1)
    heights = low + pitch * v
    points = _points(pitch, phase[:, None], radius[:, None], heights[None, :])
    u_knots, poles = _interpolated(_unit(phase), points)
    v_knots, poles = _interpolated(v, poles.transpose(1, 0, 2))
    poles = poles.transpose(1, 0, 2)
    array = Array2_gp_Pnt(1, poles.shape[0], 1, poles.shape[1])
    for i, j in np.ndindex(poles.shape[:2]):
        array.SetValue(i + 1, j + 1, gp_Pnt(*map(float, poles[i, j])))
    surface = Geom_BSplineSurface(array, *_values(u_knots, v_knots), *_multiplicities(u_knots, v_knots), 3, 3)
    return BRepBuilderAPI_MakeFace(surface, SEWING).Face()


def _end(pitch: float, rows: list[tuple[Floats, Floats]], height: float) -> Any:
    """Flat face at ``height``, bounded by the same curves as the strips."""
    from OCP.BRepBuilderAPI import BRepBuilderAPI_MakeEdge, BRepBuilderAPI_MakeFace, BRepBuilderAPI_MakeWire
    from OCP.collections import Array1_gp_Pnt
    from OCP.Geom import Geom_BSplineCurve
    from OCP.gp import gp_Pnt

    wire = BRepBuilderAPI_MakeWire()
    for phase, radius in rows:
        knots, poles = _interpolated(_unit(phase), _points(pitch, phase, radius, np.array(height)))
        array = Array1_gp_Pnt(1, len(poles))
        for i, pole in enumerate(poles):
            array.SetValue(i + 1, gp_Pnt(*map(float, pole)))
        wire.Add(BRepBuilderAPI_MakeEdge(Geom_BSplineCurve(array, *_values(knots), *_multiplicities(knots), 3)).Edge())
    return BRepBuilderAPI_MakeFace(wire.Wire(), True).Face()


def _points(pitch: float, phase: Floats, radius: Floats, height: Floats) -> Floats:
    angle = 2 * np.pi * (height - phase) / pitch
    return np.stack(np.broadcast_arrays(radius * np.cos(angle), radius * np.sin(angle), height), axis=-1)


def _unit(phase: Floats) -> Floats:
    return np.asarray((phase - phase[0]) / (phase[-1] - phase[0]), dtype=np.float64)


def _interpolated(at: Floats, points: Floats) -> tuple[Floats, Floats]:
    """Knots with repeats, and poles, of the cubic spline through ``points`` along their first axis."""
    from scipy.interpolate import make_interp_spline

    spline = make_interp_spline(at, points, k=3)
    return np.asarray(spline.t), np.asarray(spline.c)


def _values(*knots: Floats) -> list[Any]:
    from OCP.collections import Array1_double

    arrays = []
    for knot in knots:
        single = np.unique(knot)
        array = Array1_double(1, len(single))
        for i, value in enumerate(single):
            array.SetValue(i + 1, float(value))
        arrays.append(array)
    return arrays


def _multiplicities(*knots: Floats) -> list[Any]:
    from OCP.collections import Array1_int

    arrays = []
    for knot in knots:
        counts = np.unique(knot, return_counts=True)[1]
        array = Array1_int(1, len(counts))
        for i, value in enumerate(counts):
            array.SetValue(i + 1, int(value))
        arrays.append(array)
    return arrays

"""Screw threads read back from a mesh.

A helical surface glides along itself under one screw motion, so at each of its points the surface normal is square to
that motion: n . (v + w x p) = 0. This is linear in (v, w); the six numbers follow from an eigenvalue problem and give
axis, lead and hand at once (line geometry of kinematic surfaces; H. Pottmann and J. Wallner, Computational Line
Geometry, from memory). Planes, cylinders and balls glide along themselves in more than one way, cones and rings turn
without advancing; both are told apart by the eigenvalues and by the lead.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

import numpy as np
import numpy.typing as npt

from shadewright.solid.find_flats import Flats, Index, clusters, members, upright
from shadewright.solid.mesh import Floats

SMOOTH = np.radians(12.0)
"""Greatest turn between neighbouring triangles of one flank [radians]; a chamfer meets a 60 degree flank at 15."""
LEAST_TRIANGLES = 40
MOST_FLANKS = 400
MOST_GLIDE = 0.05
"""Greatest mean of n . motion over the motion's size for a helical surface [-]."""
CLEARER = 9.0
"""Next eigenvalue over the least one, so that only one motion is possible [-]."""
LEAST_LEAD, MOST_LEAD = 0.15, 60.0
SAME_LEAD = 0.02
ROUNDS = 6


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Helix:
    """A screw motion and the triangles that glide along it.

    Attributes:
        axis: Unit vector, made upright.
        point: A point on the axis [mm].
        lead: Advance in one turn [mm]; negative for a left-handed one.
        faces: Triangles of the flanks, as numbered in ``Flats``.
        off: How far the surface is from gliding along the motion, over its speed [-].
    """

    axis: Floats
    point: Floats
    lead: float
    faces: Index
    off: float


@dataclass(frozen=True, slots=True, eq=False)
class Triangles:
    """Triangles of a model: (m, 3) corner numbers, (m, 3) unit normals, (m,) areas [mm²], (m, 3) corner angles."""

    faces: Index
    normal: Floats
    area: Floats
    angle: Floats


def triangles_of(flats: Flats) -> Triangles:
    """Normal, area and angles of every triangle kept in ``flats``."""
    corners = flats.points[flats.faces]
    vector = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
    length = np.linalg.norm(vector, axis=1)
    ahead = np.roll(corners, -1, axis=1) - corners
    back = np.roll(corners, 1, axis=1) - corners
    angle = np.arctan2(np.linalg.norm(np.cross(ahead, back), axis=2), (ahead * back).sum(axis=2))
    return Triangles(flats.faces, vector / length[:, None], length / 2, angle)


def helices(flats: Flats, triangles: Triangles) -> list[Helix]:
    """Screw motions that flanks of the model follow, each with all of its triangles; the truest first."""
    found = sorted(_flank_helices(flats, triangles), key=lambda helix: helix.off)
    groups: list[list[Helix]] = []
    for helix in found:
        group = next((known for known in groups if _same_motion(helix, known[0])), None)
        if group is None:
            groups.append([helix])
        else:
            group.append(helix)
    return [replace(group[0], faces=np.concatenate([helix.faces for helix in group])) for group in groups]


def _same_motion(one: Helix, two: Helix) -> bool:
    off = np.cross(two.point - one.point, one.axis)
    return (
        float(np.linalg.norm(np.cross(one.axis, two.axis))) < 0.02
        and float(np.linalg.norm(off)) < 0.3
        and abs(one.lead - two.lead) < SAME_LEAD * abs(one.lead)
    )


def _flank_helices(flats: Flats, triangles: Triangles) -> Iterator[Helix]:
    smooth = np.abs(flats.turn) < SMOOTH
    label = clusters(len(flats.normal), flats.pair[smooth])[flats.face_flat]
    groups = sorted(members(label, LEAST_TRIANGLES), key=len, reverse=True)
    for faces in groups[:MOST_FLANKS]:
        helix = fit_motion(flats, triangles, faces)
        if helix is not None:
            yield helix


def fit_motion(flats: Flats, triangles: Triangles, faces: Index) -> Helix | None:
    """The one screw motion along which a surface glides; None when there is none, or more than one.

    Corners lie on the true surface, and the mean of the normals around a corner, weighted by angle, comes much nearer
    to the true normal than that of any facet; so the equations are set up there.
    """
    point, normal, weight = _corner_normals(flats, triangles, faces)
    middle = np.average(point, axis=0, weights=weight)
    arm = point - middle
    size = float(np.sqrt(np.average((arm**2).sum(axis=1), weights=weight)))
    rows = np.hstack([normal, np.cross(arm / size, normal)])
    trust = weight.copy()
    helix: Helix | None = None
    for turn in range(ROUNDS):
        values, vectors = np.linalg.eigh((rows * trust[:, None]).T @ rows / trust.sum())
        if turn == 0 and (values[0] > MOST_GLIDE**2 or values[1] < CLEARER * max(values[0], 1e-9)):
            return None
        helix = _motion(vectors[:, 0], middle, size, faces)
        if helix is None:
            return None
        off = np.abs(glide(helix, point, normal))
        helix = replace(helix, off=float(np.average(off, weights=weight)))
        trust = weight / (1 + (off / max(float(np.median(off)) * 3, 1e-4)) ** 2) ** 2
    return helix


def _corner_normals(flats: Flats, triangles: Triangles, faces: Index) -> tuple[Floats, Floats, Floats]:
    """Corners of some triangles, the mean normal there, and the area around [mm²]."""
    used, corner = np.unique(triangles.faces[faces].ravel(), return_inverse=True)
    corner = corner.ravel()
    load = (triangles.normal[faces][:, None, :] * triangles.angle[faces][:, :, None]).reshape(-1, 3)
    total = np.stack([np.bincount(corner, load[:, axis], len(used)) for axis in range(3)], axis=1)
    length = np.linalg.norm(total, axis=1)
    area = np.bincount(corner, np.repeat(triangles.area[faces] / 3, 3), len(used))
    kept = length > 0
    return flats.points[used[kept]], total[kept] / length[kept][:, None], area[kept]


def _motion(solved: npt.NDArray[np.float64], middle: Floats, size: float, faces: Index) -> Helix | None:
    along, around = solved[:3], solved[3:] / size
    speed = float(np.linalg.norm(around))
    if speed * size < 1e-3:
        return None
    lead = 2 * np.pi * float(along @ around) / speed**2
    if not LEAST_LEAD < abs(lead) < MOST_LEAD:
        return None
    point = middle + np.cross(around, along) / speed**2
    return Helix(axis=upright(around), point=point, lead=lead, faces=faces, off=0.0)


def glide(helix: Helix, centre: Floats, normal: Floats) -> Floats:
    """(m,) share of the motion's speed with which each triangle would leave its own plane [-]."""
    motion = helix.axis * helix.lead / (2 * np.pi) + np.cross(helix.axis, centre - helix.point)
    return np.asarray((normal * motion).sum(axis=1) / np.linalg.norm(motion, axis=1), dtype=np.float64)

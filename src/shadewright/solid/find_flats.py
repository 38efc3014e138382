"""A mesh as flat faces and the edges between them, the ground on which features are found."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Any

import numpy as np
import numpy.typing as npt

from shadewright.solid.census import edge_keys
from shadewright.solid.mesh import Floats, Mesh

ROUNDING = 1e-6
"""Uncertainty of a coordinate over the greatest one: eight times the step of single precision."""
SAME_PLANE = 5e-4
"""Turn below which neighbouring triangles are one flat face [radians]; circles of 12 000 sides turn as much."""
SLIVER = 4e-3
"""Triangles whose normal is less certain than this are left aside [radians]."""
ROUND_TURN = np.radians(52.0)
"""Greatest turn between facets of one round wall [radians]: seven sides are a circle, six a hexagon."""

Index = npt.NDArray[np.int64]


@dataclass(frozen=True, slots=True, eq=False)
class Flats:
    """Flat faces of a mesh.

    Attributes:
        points: (n, 3) vertices [mm].
        noise: How far a point may be off [mm].
        face_flat: (m,) flat of every triangle kept.
        faces: (m, 3) those triangles.
        normal: (f, 3) outward unit normals.
        area: (f,) areas [mm²].
        corner: (c,) vertices of all flats, flat by flat; ``first`` (f,) says where each flat's begin.
        pair: (e, 2) flats that meet at an edge.
        turn: (e,) angle between their normals [radians], positive at convex edges.
        along: (e, 3) the edge as a vector [mm].
    """

    points: Floats
    noise: float
    face_flat: Index
    faces: Index
    normal: Floats
    area: Floats
    corner: Index
    first: Index
    pair: Index
    turn: Floats
    along: Floats

    def reach(self, chosen: Index, direction: Floats) -> tuple[Floats, Floats]:
        """Least and greatest extent of the ``chosen`` flats along (3,) or (chosen, 3) directions [mm]."""
        counts = np.diff(np.append(self.first, len(self.corner)))[chosen]
        ends = np.cumsum(counts)
        index = np.arange(ends[-1]) + np.repeat(self.first[chosen] - (ends - counts), counts)
        each = np.repeat(direction, counts, axis=0) if direction.ndim == 2 else direction
        value = (self.points[self.corner[index]] * each).sum(axis=1)
        starts = ends - counts
        return np.minimum.reduceat(value, starts), np.maximum.reduceat(value, starts)

    def offset(self, chosen: Index) -> Floats:
        """Distance of the ``chosen`` flats' planes from the origin along their normals [mm]."""
        low, high = self.reach(chosen, self.normal[chosen])
        return np.asarray((low + high) / 2, dtype=np.float64)

    def corners_of(self, chosen: Index) -> Index:
        """All vertices of the ``chosen`` flats, each once."""
        wanted = np.zeros(len(self.normal), bool)
        wanted[chosen] = True
        counts = np.diff(np.append(self.first, len(self.corner)))
        return np.unique(self.corner[np.repeat(wanted, counts)])

    def without(self, left_out: Index) -> Flats:
        """The same flats with no edge at those ``left_out``, which then make no wall."""
        kept = ~np.isin(self.pair, left_out).any(axis=1)
        return replace(self, pair=self.pair[kept], turn=self.turn[kept], along=self.along[kept])


def clusters(count: int, pair: Index) -> Index:
    """(count,) number of the connected cluster of every item, given (e, 2) pairs that belong together."""
    from scipy.sparse import coo_array
    from scipy.sparse.csgraph import connected_components

    links = coo_array((np.ones(len(pair), np.int8), (pair[:, 0], pair[:, 1])), shape=(count, count))
    return np.asarray(connected_components(links, directed=False)[1], dtype=np.int64)


def members(label: Index, least: int) -> list[Index]:
    """Items of every cluster with at least ``least`` of them."""
    order = np.argsort(label, kind="stable")
    starts = np.flatnonzero(np.concatenate([[True], np.diff(label[order]) != 0]))
    return [group for group in np.split(order, starts[1:]) if len(group) >= least]


def flats_of(mesh: Mesh) -> Flats:
    """Gather triangles into flat faces; slivers too thin to tell their direction are left aside."""
    points = np.asarray(mesh.vertices, dtype=np.float64)
    noise = ROUNDING * max(float(np.abs(points).max()), 1.0)
    faces = _clear(points, mesh.faces.astype(np.int64), noise)
    corners = points[faces]
    vector = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
    unit = vector / np.linalg.norm(vector, axis=1)[:, None]
    pair, edge, turn = _neighbours(points, faces, unit)
    level = np.abs(turn) < SAME_PLANE
    label = clusters(len(faces), pair[level])
    count = int(label.max()) + 1 if len(label) else 0
    total = np.stack([np.bincount(label, vector[:, axis], count) for axis in range(3)], axis=1)
    length = np.linalg.norm(total, axis=1)
    normal = total / np.where(length, length, 1.0)[:, None]
    key = np.unique(label.repeat(3) * len(points) + faces.ravel())
    owner, corner = key // max(len(points), 1), key % max(len(points), 1)
    between = ~level & (label[pair[:, 0]] != label[pair[:, 1]])
    return Flats(
        points=points,
        noise=noise,
        face_flat=label,
        faces=faces,
        normal=normal,
        area=length / 2,
        corner=corner,
        first=np.searchsorted(owner, np.arange(count)),
        pair=label[pair[between]],
        turn=turn[between],
        along=edge[between],
    )


def _clear(points: Floats, faces: Index, noise: float) -> Index:
    """Triangles thick enough to know their direction."""
    corners = points[faces]
    sides = np.roll(corners, -1, axis=1) - corners
    longest = np.sqrt((sides**2).sum(axis=2).max(axis=1))
    double = np.linalg.norm(np.cross(sides[:, 0], sides[:, 1]), axis=1)
    return np.asarray(faces[double * SLIVER > noise * longest], dtype=np.int64)


def _neighbours(points: Floats, faces: Index, unit: Floats) -> tuple[Index, Floats, Floats]:
    """Pairs of triangles that share an edge, the edge, and the signed turn across it."""
    keys, direction = edge_keys(faces.astype(np.int32))
    order = np.argsort(keys, kind="stable")
    ranked = keys[order]
    same = ranked[1:] == ranked[:-1]
    alone = np.concatenate([[True], ~same])[:-1] & np.concatenate([~same, [True]])[1:]
    here = np.flatnonzero(same & alone)
    one, two = order[here], order[here + 1]
    matched = direction[one] != direction[two]
    one, two = one[matched], two[matched]
    left, right = one // 3, two // 3
    start, end = faces[left, one % 3], faces[left, (one + 1) % 3]
    opposite = points[faces[right, (two + 2) % 3]]
    below = ((opposite - points[start]) * unit[left]).sum(axis=1) < 0
    sine = np.linalg.norm(np.cross(unit[left], unit[right]), axis=1)
    angle = np.arctan2(sine, (unit[left] * unit[right]).sum(axis=1))
    return np.stack([left, right], axis=1), points[end] - points[start], np.where(below, angle, -angle)


def frame(axis: Floats) -> tuple[Floats, Floats]:
    """Two unit vectors square to ``axis`` and each other, right-handed with it, the same for the same axis."""
    helper = np.zeros(3)
    helper[int(np.argmin(np.abs(axis)))] = 1.0
    first = np.cross(helper, axis)
    first /= np.linalg.norm(first)
    return first, np.cross(axis, first)


def upright(axis: Floats) -> Floats:
    """The axis turned so that its greatest component is positive, exactly upon a coordinate axis when very near."""
    axis = axis / np.linalg.norm(axis)
    axis = axis * (1.0 if axis[int(np.argmax(np.abs(axis)))] > 0 else -1.0)
    if np.sort(np.abs(axis))[1] < 2e-5:
        return np.asarray(np.round(axis), dtype=np.float64)
    return np.asarray(axis, dtype=np.float64)


def directions(flats: Flats, most: int = 12) -> list[Floats]:
    """Unit vectors along which round walls may run, likeliest first: edges between their facets, normals of planes."""
    smooth = (np.abs(flats.turn) < ROUND_TURN) & (np.linalg.norm(flats.along, axis=1) > 100 * flats.noise)
    edges = flats.along[smooth]
    biggest = np.argsort(-flats.area)[:24]
    found: list[Floats] = []
    for vectors, weight, least in (
        (edges, np.linalg.norm(edges, axis=1), 4),
        (flats.normal[biggest], flats.area[biggest], 1),
    ):
        found += [axis for axis in _heaviest(vectors, weight, least, most) if not _among(axis, found)]
    return found


def _heaviest(vectors: Floats, weight: Floats, least: int, most: int) -> list[Floats]:
    """Directions that most vectors share, whichever way they point."""
    if not len(vectors):
        return []
    unit = vectors / np.linalg.norm(vectors, axis=1)[:, None]
    unit *= np.where(unit[np.arange(len(unit)), np.argmax(np.abs(unit), axis=1)] > 0, 1.0, -1.0)[:, None]
    cell = np.unique(np.round(unit, 2), axis=0, return_inverse=True)[1]
    cell = cell.ravel()
    load = np.bincount(cell, weight)
    first = np.zeros(len(load), np.int64)
    first[cell[::-1]] = np.arange(len(cell))[::-1]
    found: list[Floats] = []
    for heavy in np.argsort(-load)[: 4 * most]:
        near = unit[cell == heavy]
        centre: Any = near[int(np.argmax((near @ near[:200].T > 1 - 1e-6).sum(axis=1)))]
        close = np.abs(unit @ centre) > 1 - 2e-6
        if close.sum() < least:
            continue
        signed = unit[close] * np.sign(unit[close] @ centre)[:, None]
        axis = upright((signed * weight[close][:, None]).sum(axis=0))
        if not _among(axis, found):
            found.append(axis)
        if len(found) == most:
            break
    return found


def _among(axis: Any, others: list[Floats]) -> bool:
    return any(float(np.linalg.norm(np.cross(axis, other))) < 1e-3 for other in others)

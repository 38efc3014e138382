"""Counting what a triangle mesh's edges say: open, crowded or wrongly wound."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from shadewright.solid.mesh import Floats, Ints, Mesh


@dataclass(frozen=True, slots=True, kw_only=True)
class EdgeCensus:
    """How the edges of a mesh pair up.

    Attributes:
        open: Edges with a single triangle.
        crowded: Edges with more than two triangles.
        clashing: Edges whose two triangles are wound against each other.
        unbalanced: Edges run along more often one way than the other; 0 exactly when the surface is closed
            and consistently wound.
    """

    open: int
    crowded: int
    clashing: int
    unbalanced: int


def edge_keys(faces: Ints) -> tuple[np.ndarray, np.ndarray]:
    """Undirected key and direction of every triangle's three edges.

    Args:
        faces: (m, 3) vertex indices.

    Returns:
        (3m,) uint64 key, equal for both directions of an edge, in the order of ``faces.ravel()``, and (3m,) int8
        direction, +1 from the lower to the higher index and -1 back.
    """
    start = faces.ravel().astype(np.uint64)
    end = np.roll(faces, -1, axis=1).ravel().astype(np.uint64)
    low, high = np.minimum(start, end), np.maximum(start, end)
    return low << np.uint64(32) | high, np.where(start < end, 1, -1).astype(np.int8)


def census(faces: Ints) -> EdgeCensus:
    """Count the edges of (m, 3) ``faces``; degenerate triangles must have been dropped before."""
    if not len(faces):
        return EdgeCensus(open=0, crowded=0, clashing=0, unbalanced=0)
    keys, direction = edge_keys(faces)
    order = np.argsort(keys, kind="stable")
    starts = np.flatnonzero(np.concatenate([[True], np.diff(keys[order]) != 0]))
    uses = np.diff(np.append(starts, len(keys)))
    balance = np.add.reduceat(direction[order].astype(np.int64), starts)
    return EdgeCensus(
        open=int((uses == 1).sum()),
        crowded=int((uses > 2).sum()),
        clashing=int(((uses == 2) & (balance != 0)).sum()),
        unbalanced=int((balance != 0).sum()),
    )


def weld(corners: Floats, name: str = "") -> Mesh:
    """Join exactly equal corners of loose triangles and drop triangles that collapse.

    Args:
        corners: (m, 3, 3) finite corner positions [mm].
        name: Name of the mesh.

    Returns:
        The mesh, its points numbered as they first appear; negative zeros have become zeros, and no triangle uses a
        point twice.
    """
    flat = np.ascontiguousarray(corners.reshape(-1, 3) + 0.0)
    if not len(flat):
        return Mesh(flat, np.zeros((0, 3), np.int32), name)
    order = _grouping_order(flat)
    ranked = flat[order]
    fresh = np.concatenate([[True], (ranked[1:] != ranked[:-1]).any(axis=1)])
    first = np.minimum.reduceat(order, np.flatnonzero(fresh))
    by_appearance = np.argsort(first)
    number = np.empty(len(first), np.int32)
    number[by_appearance] = np.arange(len(first), dtype=np.int32)
    index = np.empty(len(flat), np.int32)
    index[order] = number[np.cumsum(fresh) - 1]
    return Mesh(flat[first[by_appearance]], without_collapsed(index.reshape(-1, 3)), name)


def _grouping_order(points: Floats) -> np.ndarray:
    """An order of (n, 3) points in which equal ones stand together: by a hash, or by size should hashes collide."""
    bits = points.view(np.uint64)
    mixed = np.zeros(len(points), np.uint64)
    for column in range(3):
        mixed = (mixed ^ bits[:, column]) * np.uint64(0x9E3779B97F4A7C15)
        mixed ^= mixed >> np.uint64(29)
    order = np.argsort(mixed)
    same = mixed[order][1:] == mixed[order][:-1]
    ranked = points[order]
    if (same & (ranked[1:] != ranked[:-1]).any(axis=1)).any():
        return np.lexsort(points.T)
    return order


def without_collapsed(faces: Ints) -> Ints:
    """Drop triangles that name a vertex twice."""
    a, b, c = faces.T
    return np.ascontiguousarray(faces[(a != b) & (b != c) & (c != a)])


def open_edges(faces: Ints) -> Ints:
    """(k, 2) directed edges of (m, 3) ``faces`` that belong to a single triangle."""
    keys, _ = edge_keys(faces)
    _, inverse, uses = np.unique(keys, return_inverse=True, return_counts=True)
    edges = np.stack([faces.ravel(), np.roll(faces, -1, axis=1).ravel()], axis=1)
    return np.asarray(edges[uses[inverse] == 1], dtype=np.int32)


def join_rim(mesh: Mesh, within: float) -> tuple[Ints, int]:
    """Draw together points on open edges that lie close by each other.

    Args:
        mesh: The mesh; its points stay as they are.
        within: Greatest distance joined [mm].

    Returns:
        Faces that name one point of each cluster, without those that collapsed, and how many points were given up.
    """
    from scipy.sparse import coo_array
    from scipy.sparse.csgraph import connected_components
    from scipy.spatial import cKDTree

    rim = np.unique(open_edges(mesh.faces))
    if not len(rim):
        return mesh.faces, 0
    pairs = cKDTree(mesh.vertices[rim]).query_pairs(within, output_type="ndarray")
    count = len(rim)
    links = coo_array((np.ones(len(pairs)), (pairs[:, 0], pairs[:, 1])), shape=(count, count))
    clusters, label = connected_components(links, directed=False)
    first = np.empty(clusters, rim.dtype)
    first[label[::-1]] = rim[::-1]
    target = np.arange(len(mesh.vertices), dtype=np.int32)
    target[rim] = first[label]
    return without_collapsed(target[mesh.faces]), count - clusters

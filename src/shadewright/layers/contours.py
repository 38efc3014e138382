"""Level curves of a closed mesh, exact and without special cases.

A vertex is above a plane when its z is at least the plane's, so no vertex is ever *on* one and every triangle is
crossed along none or two of its edges. A plane crosses an edge once, and the two triangles at that edge share the
crossing: contours are the cycles of "enters this triangle by that edge, leaves by this one". No point is matched by its
position, and nothing is rounded but the crossing itself.
"""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise

import numpy as np
import numpy.typing as npt

from shadewright.errors import ModelProblem
from shadewright.solid.mesh import Floats, Mesh

Indices = npt.NDArray[np.int64]

CROSSINGS_AT_A_TIME = 1_500_000
"""Bounds memory: layers are cut in runs with no more crossings than this (but at least one layer)."""


def contours(mesh: Mesh, heights: Floats) -> Iterator[list[Floats]]:
    """Cut a mesh by the planes z = height and yield the closed contours of each, material to the left.

    Args:
        mesh: Closed and consistently wound.
        heights: (n,) ascending [mm].

    Yields:
        For each height, arrays (k, 2) [mm], first point not repeated.

    Raises:
        ModelProblem: The mesh is not closed.
    """
    above = np.searchsorted(heights, mesh.vertices[:, 2], side="right").astype(np.int64)
    edge_ids = _edge_ids(mesh)
    counts = above[mesh.faces]
    low, high = counts.min(axis=1), counts.max(axis=1)
    for first, last in _runs(low, high, len(heights)):
        yield from _cut_run(mesh, heights, above, edge_ids, (first, last, low, high))


def _edge_ids(mesh: Mesh) -> Indices:
    """(m, 3) id of the edge from corner j to corner j + 1; two triangles share each id, in opposite directions.

    Where more than two triangles meet at an edge, they are paired in order: each pair closes its own contour.
    """
    start = mesh.faces.astype(np.int64)
    end = np.roll(start, -1, axis=1)
    key = (np.minimum(start, end) * len(mesh.vertices) + np.maximum(start, end)).ravel()
    backward = (start > end).ravel()
    forward_order = np.flatnonzero(~backward)[np.argsort(key[~backward], kind="stable")]
    backward_order = np.flatnonzero(backward)[np.argsort(key[backward], kind="stable")]
    loop = (start == end).ravel()
    forward_order = forward_order[~loop[forward_order]]
    if not np.array_equal(key[forward_order], key[backward_order]):
        raise ModelProblem.of("its surface is not closed", "repair the model first", mesh.name)
    ids = np.full(key.size, -1, dtype=np.int64)
    ids[forward_order] = ids[backward_order] = np.arange(len(forward_order))
    return ids.reshape(-1, 3)


def _runs(low: Indices, high: Indices, layers: int) -> Iterator[tuple[int, int]]:
    change = np.bincount(low, minlength=layers + 1) - np.bincount(high, minlength=layers + 1)
    total = np.concatenate([[0], np.cumsum(np.cumsum(change)[:layers])])
    first = 0
    while first < layers:
        last = int(np.searchsorted(total, total[first] + CROSSINGS_AT_A_TIME, side="right")) - 1
        last = min(max(last, first + 1), layers)
        yield first, last
        first = last


def _cut_run(
    mesh: Mesh,
    heights: Floats,
    above: Indices,
    edge_ids: Indices,
    limits: tuple[int, int, Indices, Indices],
) -> Iterator[list[Floats]]:
    first, last, lowest, highest = limits
    low, high = np.clip(lowest, first, last), np.clip(highest, first, last)
    crossed = np.flatnonzero(high > low)
    repeats = (high - low)[crossed]
    triangle = np.repeat(crossed, repeats)
    layer = (
        np.arange(len(triangle)) - np.repeat(np.cumsum(repeats) - repeats, repeats) + np.repeat(low[crossed], repeats)
    )
    corner_above = layer[:, None] < above[mesh.faces[triangle]]
    falls = corner_above & ~np.roll(corner_above, -1, axis=1)
    rises = ~corner_above & np.roll(corner_above, -1, axis=1)
    enters, leaves = falls.argmax(axis=1), rises.argmax(axis=1)
    edges = len(mesh.faces) * 3
    enter_key = layer * edges + edge_ids[triangle, enters]
    leave_key = layer * edges + edge_ids[triangle, leaves]
    order = np.argsort(enter_key)
    following = np.searchsorted(enter_key[order], leave_key[order])
    points = _crossing(mesh, heights[layer], triangle, enters)[order]
    yield from _walk(points, layer[order], following, (first, last))


def _crossing(mesh: Mesh, height: Floats, triangle: Indices, corner: Indices) -> Floats:
    """Where planes cross edges, worked from the lower-numbered end so that both triangles agree."""
    start = mesh.faces[triangle, corner]
    end = mesh.faces[triangle, (corner + 1) % 3]
    a, b = mesh.vertices[np.minimum(start, end)], mesh.vertices[np.maximum(start, end)]
    share = (height - a[:, 2]) / (b[:, 2] - a[:, 2])
    return np.asarray(a[:, :2] + share[:, None] * (b - a)[:, :2], dtype=np.float64)


def _walk(points: Floats, layer: Indices, following: Indices, run: tuple[int, int]) -> Iterator[list[Floats]]:
    """Order points along their cycles: pointer doubling finds each cycle's least member, then the steps to it."""
    least = _least_member(following)
    steps = _steps_to(least, following)
    order = np.lexsort((-steps, least))
    ends = np.flatnonzero(np.diff(least[order], append=-1)) + 1
    starts = np.concatenate([[0], ends[:-1]]).astype(np.int64)
    sorted_points = points[order]
    loop_layer = layer[order][starts] if len(order) else starts
    bounds = np.searchsorted(loop_layer, np.arange(run[0], run[1] + 1))
    for low, high in pairwise(bounds):
        yield [sorted_points[starts[i] : ends[i]] for i in range(low, high) if ends[i] - starts[i] > 2]


def _least_member(following: Indices) -> Indices:
    least: Indices = np.arange(len(following))
    ahead = following
    while True:
        least = np.minimum(least, least[ahead])
        if np.array_equal(least, least[following]):
            return least
        ahead = ahead[ahead]


def _steps_to(least: Indices, following: Indices) -> Indices:
    here = np.arange(len(following))
    ahead: Indices = np.where(least == here, here, following)
    steps: Indices = (least != here).astype(np.int64)
    while not np.array_equal(ahead, least):
        steps = steps + steps[ahead]
        ahead = ahead[ahead]
    return steps

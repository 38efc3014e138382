"""Walls thinner than a line.

A place is thin where no circle of the least printable width fits: what is left of a layer after shrinking it by half
that width and growing it back (opening). Corners always leave slivers then, so a leftover counts only when it is
longer than wide, reaches through ``LEAST_LAYERS`` layers, and is no tip that runs out to nothing.

Rules (common practice, no source): a wall needs 0.9 of a line width; between 0.6 and 0.9 it is laid as one line that
comes out too thick, or left out; below that it is left out.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import shapely

from shadewright.findings import Verdict
from shadewright.layers.cutting import Layers, Region, pieces
from shadewright.layers.overhang import Spot
from shadewright.layers.plane import around, as_array, in_parallel, offset
from shadewright.layers.report import Trouble
from shadewright.progress import SILENT, Progress, stepping
from shadewright.solid.mesh import Floats

LEAST_WALL = 0.9
HOPELESS_WALL = 0.6
LEAST_LENGTH = 3.0
"""A thin place is at least this many line widths long."""
LEAST_LAYERS = 3
GROW_BACK = 0.02
"""Growing back goes this much further than shrinking [mm], so that rounded corners leave less behind."""
FACING_COSINE = -0.7
"""Two sides face each other when the cosine between their outward normals is below this (within 45 degrees)."""
MOST_EDGES = 80
"""So many edges of a thin piece are measured at most, evenly picked."""
TIP_SPREAD = 0.6
"""A piece whose width varies by more than this share of the least wall is a tip running out, not a wall."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Thin:
    layer: int
    last: int
    region: Region
    width: float


def thin_walls(layers: Layers, line_width: float, progress: Progress = SILENT) -> list[Spot]:
    """Find walls thinner than ``LEAST_WALL`` lines, one spot for each connected one, with its least width."""
    least = LEAST_WALL * line_width
    distinct = [i for i in range(len(layers)) if not layers.same_as_below(i)]
    regions = as_array([layers.regions[i] for i in distinct])
    shrunk = offset(list(regions), -least / 2)
    opened = offset(list(shrunk), least / 2 + GROW_BACK)
    left = in_parallel(_left_over, regions, opened)
    ends = [*distinct[1:], len(layers)]
    found: list[_Thin] = []
    for place in stepping(progress, "looking for thin walls", range(len(distinct)), len(distinct)):
        if left[place].is_empty:
            continue
        for part in pieces(left[place]):
            width = _wall_width(part, regions[place], least, LEAST_LENGTH * line_width)
            if width is not None:
                found.append(_Thin(layer=distinct[place], last=ends[place] - 1, region=part, width=width))
    return [spot for group in _stacked(found) if (spot := _spot(group, line_width)) is not None]


def _left_over(regions: Floats, opened: Floats) -> Floats:
    return np.asarray(shapely.difference(regions, opened))


def _wall_width(part: Region, region: Region, least: float, length: float) -> float | None:
    """Least width of a thin piece [mm]; None when it is a corner, a tip or too short to matter."""
    x_low, y_low, x_high, y_high = part.bounds
    if max(x_high - x_low, y_high - y_low) < length / 2 or part.length < 2 * length:
        return None
    widths, weights = _facing_widths(part, region, least)
    if weights.sum() < length:
        return None
    order = np.argsort(widths)
    share = np.cumsum(weights[order]) / weights.sum()
    low, high = (float(widths[order][np.searchsorted(share, at)]) for at in (0.05, 0.9))
    return None if high - low > TIP_SPREAD * least and low < 0.2 * least else low


def _facing_widths(part: Region, region: Region, least: float) -> tuple[Floats, Floats]:
    """Width of the wall at every edge of its rim that faces another edge, and the lengths of those edges [mm]."""
    near = around(region, part.bounds, 2 * least)
    rim = shapely.segmentize(shapely.simplify(near, 0.005), 2 * least)
    start, end = _edges(rim)
    lengths = np.hypot(*(end - start).T)
    kept = lengths > 1e-6
    start, end, lengths = start[kept], end[kept], lengths[kept]
    inward = np.column_stack([-(end - start)[:, 1], (end - start)[:, 0]]) / lengths[:, None]
    middle = (start + end) / 2
    own = np.flatnonzero(shapely.dwithin(shapely.points(middle), part, 2 * GROW_BACK))
    stride = len(own) // MOST_EDGES + 1
    own = own[::stride]
    widths = _first_hits(middle[own], inward[own], (start, end, inward))
    hit = widths <= least * 1.05
    return widths[hit], lengths[own[hit]] * stride


def _edges(region: Region) -> tuple[Floats, Floats]:
    """Starts and ends of all edges with the material on their left; each (k, 2)."""
    rings = shapely.get_rings(as_array(pieces(shapely.orient_polygons(region))))
    points, ring = shapely.get_coordinates(rings, return_index=True)
    same = ring[1:] == ring[:-1]
    return points[:-1][same], points[1:][same]


def _first_hits(origin: Floats, inward: Floats, edges: tuple[Floats, Floats, Floats]) -> Floats:
    """Distance from each ``origin`` along ``inward`` to the nearest edge facing it; infinite when there is none.

    Args:
        origin: (k, 2) [mm].
        inward: (k, 2) unit vectors.
        edges: Starts, ends and inward normals, each (e, 2).
    """
    start, end, normals = edges
    along = end - start
    to_start = start[None] - origin[:, None]
    cross = inward[:, :1] * along[:, 1] - inward[:, 1:] * along[:, 0]
    with np.errstate(divide="ignore", invalid="ignore"):
        distance = (to_start[..., 0] * along[:, 1] - to_start[..., 1] * along[:, 0]) / cross
        share = (to_start[..., 0] * inward[:, 1:] - to_start[..., 1] * inward[:, :1]) / cross
    good = (inward @ normals.T < FACING_COSINE) & (distance > 1e-6) & (share >= -1e-9) & (share <= 1 + 1e-9)
    return np.asarray(np.where(good, distance, np.inf).min(axis=1, initial=np.inf), dtype=np.float64)


def _stacked(found: list[_Thin]) -> list[list[_Thin]]:
    """Group thin pieces that stand on one another."""
    groups: list[list[_Thin]] = []
    open_groups: list[list[_Thin]] = []
    for piece in found:
        open_groups = [group for group in open_groups if group[-1].last >= piece.layer - 1]
        for group in open_groups:
            if group[-1].last == piece.layer - 1 and group[-1].region.dwithin(piece.region, GROW_BACK):
                group.append(piece)
                break
        else:
            groups.append([piece])
            open_groups.append(groups[-1])
    return groups


def _spot(group: list[_Thin], line_width: float) -> Spot | None:
    if group[-1].last - group[0].layer + 1 < LEAST_LAYERS:
        return None
    width = min(piece.width for piece in group)
    return Spot(
        trouble=Trouble.THIN,
        verdict=Verdict.FAILING if width < HOPELESS_WALL * line_width else Verdict.DOUBTFUL,
        low=group[0].layer,
        high=group[-1].last,
        region=shapely.union_all([piece.region for piece in group], grid_size=1e-5),
        lowest=group[0].region,
        measure=width,
        reach=0.0,
    )

"""Plane geometry shared by the checks, on shapely regions."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from concurrent.futures import ThreadPoolExecutor
from typing import Any

import numpy as np
import numpy.typing as npt
import shapely

from shadewright.layers.cutting import Region, pieces
from shadewright.solid.mesh import Floats

ARC_STEPS = 4
"""Chords in a quarter circle of an offset: at a layer's height of 0.2 mm their sagitta is 4 µm."""

WORKERS = 2

RIM_STEPS = 10
"""A rim is sampled at its corners and at every tenth of its region's width, ..."""
MOST_RIM_POINTS = 200
"""... evenly thinned to no more than this."""


def offset(regions: Sequence[Region], distance: float | Floats) -> npt.NDArray[Any]:
    """Grow (above 0) or shrink every region by ``distance`` [mm] with round corners, on both cores."""
    distances = np.broadcast_to(np.asarray(distance, dtype=np.float64), len(regions))
    return in_parallel(lambda part, by: shapely.buffer(part, by, quad_segs=ARC_STEPS), as_array(regions), distances)


def in_parallel(work: Callable[..., Any], *columns: npt.NDArray[Any]) -> npt.NDArray[Any]:
    """Run a vectorised shapely call on halves of its inputs at once; shapely lets go of the interpreter lock."""
    if len(columns[0]) < 2 * WORKERS:
        return np.asarray(work(*columns))
    halves = zip(*(np.array_split(column, WORKERS) for column in columns), strict=True)
    with ThreadPoolExecutor(WORKERS) as pool:
        return np.concatenate([np.asarray(done) for done in pool.map(lambda half: work(*half), halves)])


def as_array(regions: Sequence[Region]) -> npt.NDArray[Any]:
    """Regions as an array of objects."""
    array = np.empty(len(regions), dtype=object)
    array[:] = regions
    return array


def around(region: Region, bounds: Sequence[float], pad: float) -> Region:
    """The part of a region within ``pad`` of the box ``bounds`` (x_low, y_low, x_high, y_high) [mm].

    Clipping by a rectangle is quick, but where outlines touch it may yield what is no polygon; then it is intersected.
    """
    x_low, y_low, x_high, y_high = bounds
    frame = (x_low - pad, y_low - pad, x_high + pad, y_high + pad)
    with np.errstate(invalid="ignore"):
        clipped = shapely.clip_by_rect(region, *frame)
    return clipped if shapely.is_valid(clipped) else shapely.intersection(region, shapely.box(*frame))


def outlines(region: Region) -> tuple[Floats, ...]:
    """All rings of a region as (k, 2) arrays [mm], first point not repeated."""
    rings = shapely.get_rings(as_array(pieces(region))) if not region.is_empty else []
    return tuple(shapely.get_coordinates(ring)[:-1] for ring in rings)


def spot_in(region: Region) -> tuple[float, float]:
    """A point inside the largest piece [mm]."""
    largest = max(pieces(region), key=lambda part: float(part.area))
    point = shapely.point_on_surface(largest)
    return float(point.x), float(point.y)


def width(region: Region) -> float:
    """Longer side of the box around a region [mm]."""
    x_low, y_low, x_high, y_high = region.bounds
    return float(max(x_high - x_low, y_high - y_low))


def farthest(region: Region, support: Region) -> float:
    """Greatest distance of a region from ``support`` [mm], sampled along its rim and inside.

    Without support it is the width of the region.
    """
    if support.is_empty:
        return width(region)
    shapely.prepare(support)
    rim = shapely.segmentize(region, max(width(region) / RIM_STEPS, 0.05))
    inside = [shapely.point_on_surface(region), shapely.centroid(region)]
    inside = [spot for spot in inside if region.covers(spot)]
    spots = shapely.get_coordinates(rim)
    spots = spots[:: len(spots) // MOST_RIM_POINTS + 1]
    points = np.concatenate([shapely.points(spots), as_array(inside)])
    return float(shapely.distance(points, support).max())


def corners(region: Region, least_turn_deg: float) -> int:
    """Corners of all rings that turn by more than ``least_turn_deg``, the first point of each ring included."""
    rings = shapely.get_rings(as_array(pieces(region)))
    if not len(rings):
        return 0
    points, ring = shapely.get_coordinates(rings, return_index=True)
    edge = np.diff(points, axis=0)
    inside = ring[2:] == ring[:-2]
    before, after = edge[:-1][inside], edge[1:][inside]
    cross = before[:, 0] * after[:, 1] - before[:, 1] * after[:, 0]
    turn = np.abs(np.arctan2(cross, (before * after).sum(axis=1)))
    return int((turn > np.radians(least_turn_deg)).sum()) + len(rings)


def second_moments(region: Region) -> tuple[float, Floats, Floats]:
    """Area [mm²], centroid (2,) [mm] and second moments (2, 2) about the centroid [mm⁴] of a region.

    Source: Green's theorem over every edge; any textbook of statics.
    """
    area, first, second = 0.0, np.zeros(2), np.zeros((2, 2))
    middle = np.array([region.centroid.x, region.centroid.y])
    for ring in shapely.get_rings(as_array(pieces(shapely.orient_polygons(region)))):
        a = shapely.get_coordinates(ring)[:-1] - middle
        b = np.roll(a, -1, axis=0)
        cross = a[:, 0] * b[:, 1] - a[:, 1] * b[:, 0]
        area += cross.sum() / 2
        first += ((a + b) * cross[:, None]).sum(axis=0) / 6
        whole = np.einsum("k,ki,kj->ij", cross, a + b, a + b)
        second += (whole + np.einsum("k,ki,kj->ij", cross, a, a) + np.einsum("k,ki,kj->ij", cross, b, b)) / 24
    return area, middle + first / area, second - np.outer(first, first) / area


def least_section_modulus(region: Region) -> float:
    """Section modulus [mm³] of a region against a moment in its weakest direction.

    Linear stress over a footprint with second moments S, under a moment M towards the unit vector t, is
    M tᵀ S⁻¹ p at the point p (unsymmetric bending; any textbook of statics). Over all directions the worst is
    M |S⁻¹ p|, and over all points that of a corner of the convex hull. A disc gives pi D³/32; a rectangle a x b gives
    1/sqrt((6/ab²)² + (6/a²b)²), tilting over its corner.
    """
    _, centre, second = second_moments(region)
    points = shapely.get_coordinates(shapely.convex_hull(region)) - centre
    return float(1 / np.linalg.norm(np.linalg.solve(second, points.T), axis=0).max())

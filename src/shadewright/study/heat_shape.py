"""What a shade's model says about warmth: walls, openings, distances from the bulb.

Seen from an upright axis through the bulb. Level cuts tell, all around and at many heights, where the wall is, how
thick, and where there is none; upright lines tell what lies above and below. A body that leans is seen by both, so the
surfaces are held to no more than half of the model's own.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from math import pi

import numpy as np
import numpy.typing as npt

from shadewright.heat.stack import Opening
from shadewright.layers.contours import contours
from shadewright.solid.mesh import Floats, Mesh

LEVELS, AROUND, GRID = 60, 120, 25
"""Level cuts, directions all around, and upright lines along the diameter."""
_TINY = 1e-9
_TURNS = (np.arange(AROUND) + 0.5) * 2 * pi / AROUND

Mask = npt.NDArray[np.bool_]


@dataclass(frozen=True, slots=True, kw_only=True)
class BulbPlace:
    """Where a bulb is in a shade that stands on z = 0, up as in the lamp.

    Attributes:
        middle: Middle of its round end [mm].
        cap: Direction in which its cap points: (0, 0, -1) stands on it.
        radius: Of its round end [mm].
        collar_length, collar_radius: Of its collar [mm].
        holder_radius: Of the holder that fills the hole on the cap's side [mm].
    """

    middle: tuple[float, float, float]
    cap: tuple[float, float, float]
    radius: float
    collar_length: float
    collar_radius: float
    holder_radius: float


@dataclass(frozen=True, slots=True, kw_only=True)
class ShadeShape:
    """Surfaces [mm²], sizes [mm] and openings of a shade around a bulb; heights from its lowest point.

    Attributes:
        side_mm2, roof_mm2, floor_mm2: Inner surfaces.
        height: Of the model.
        wall: Usual thickness of its upright walls; 0 when it has none.
        openings: Ways for air.
        open_view: Share of the bulb's outlook that meets nothing [-].
        collar_gap: From the collar to the nearest wall; None when there is none beside it.
        above_gap: From the bulb to what lies above it; None when nothing does.
    """

    side_mm2: float
    roof_mm2: float
    floor_mm2: float
    height: float
    wall: float
    openings: tuple[Opening, ...]
    open_view: float
    collar_gap: float | None
    above_gap: float | None


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Walls:
    """What level cuts say: (levels, AROUND) arrays, a row for each height in ``levels``, ``step`` apart [mm].

    ``inner`` is the distance to the wall, NaN where there is none, ``closed`` whether there is one; ``radius`` is the
    usual distance in each level, with or without wall.
    """

    levels: Floats
    step: float
    inner: Floats
    closed: Mask
    radius: Floats


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Lids:
    """What upright lines say: (k, 2) where they are from the axis [mm], and whether something is above and below.

    ``hit`` is plastic, ``shut`` plastic or the holder; each line stands for ``area`` [mm²].
    """

    spots: Floats
    hit: Mask
    shut: Mask
    area: float


def shade_shape(mesh: Mesh, bulb: BulbPlace, liner: Mesh | None = None) -> ShadeShape:
    """Measure a closed ``mesh`` that stands on z = 0 around a bulb; a ``liner`` in it shuts what it covers."""
    height = float(mesh.vertices[:, 2].max())
    walls, wall = _around(mesh, bulb, height)
    free = walls
    if liner is not None:
        free = replace(walls, closed=walls.closed | _around(liner, bulb, height)[0].closed)
    lids = _lids(mesh, bulb, float(np.median(walls.radius)))
    radii = np.where(walls.closed, np.nan_to_num(walls.inner), 0.0)
    roof, floor = (float(hit.sum()) * lids.area for hit in lids.hit.T)
    surfaces = np.array([float(radii.sum()) * 2 * pi / AROUND * walls.step, roof, floor])
    surfaces *= min(1.0, mesh.area / 2 / max(float(surfaces.sum()), _TINY))
    return ShadeShape(
        side_mm2=float(surfaces[0]),
        roof_mm2=float(surfaces[1]),
        floor_mm2=float(surfaces[2]),
        height=height,
        wall=wall,
        openings=(*_side_openings(free), *_level_openings(lids, height)),
        open_view=_open_view(bulb, free, lids, height),
        collar_gap=_collar_gap(bulb, _points(bulb, walls)),
        above_gap=_above_gap(mesh, bulb),
    )


def _around(mesh: Mesh, bulb: BulbPlace, height: float) -> tuple[_Walls, float]:
    """Look around at every level; answer what is there, and the usual thickness of the wall [mm], 0 for none."""
    step = height / LEVELS
    levels = (np.arange(LEVELS, dtype=np.float64) + 0.5) * step
    rays = np.column_stack([np.cos(_TURNS), np.sin(_TURNS)])
    inner = np.full((LEVELS, AROUND), np.nan)
    thick: list[float] = []
    for row, loops in enumerate(contours(mesh, levels)):
        if not loops:
            continue
        starts = np.vstack(loops) - bulb.middle[:2]
        ends = np.vstack([np.roll(loop, -1, axis=0) for loop in loops]) - bulb.middle[:2]
        crossings = np.sort(_crossings(rays, starts, ends), axis=1)
        met = np.isfinite(crossings[:, 0])
        inner[row, met] = crossings[met, 0]
        passed = np.isfinite(crossings[:, 1])
        thick += (crossings[passed, 1] - crossings[passed, 0]).tolist()
    closed = np.isfinite(inner)
    usual = float(np.median(inner[closed])) if closed.any() else 0.0
    radius = np.array(
        [np.median(line[there]) if there.any() else usual for line, there in zip(inner, closed, strict=True)]
    )
    wall = float(np.median(thick)) if thick else 0.0
    return _Walls(levels=levels, step=step, inner=inner, closed=closed, radius=radius), wall


def _crossings(rays: Floats, starts: Floats, ends: Floats) -> Floats:
    """(rays, edges) distance along each ray to each edge, infinite where they do not meet."""
    edge = ends - starts
    across = rays[:, :1] * edge[:, 1] - rays[:, 1:] * edge[:, 0]
    with np.errstate(divide="ignore", invalid="ignore"):
        along = (starts[:, 0] * edge[:, 1] - starts[:, 1] * edge[:, 0]) / across
        part = (starts[:, 0] * rays[:, 1:] - starts[:, 1] * rays[:, :1]) / across
    meets = (part >= -_TINY) & (part <= 1 + _TINY) & (along > 0)
    return np.where(meets, along, np.inf)


def _side_openings(walls: _Walls) -> list[Opening]:
    """Openings of the upright walls, one for each level that has some."""
    missing = (~walls.closed).mean(axis=1) * 2 * pi * walls.radius * walls.step
    return [
        Opening(area_mm2=float(area), low=row * walls.step, high=(row + 1) * walls.step)
        for row, area in enumerate(missing)
        if area > _TINY
    ]


def _lids(mesh: Mesh, bulb: BulbPlace, radius: float) -> _Lids:
    """Look up and down along upright lines inside the wall."""
    ticks = (np.arange(GRID) + 0.5) / GRID * 2 - 1
    x, y = (axis.ravel() * radius for axis in np.meshgrid(ticks, ticks))
    inside = np.hypot(x, y) <= 0.97 * radius
    spots = np.column_stack([x[inside], y[inside]])
    heights = _heights(mesh, spots + bulb.middle[:2])
    hit = np.array([[(z > bulb.middle[2]).any(), (z < bulb.middle[2]).any()] for z in heights], dtype=np.bool_)
    hit = hit.reshape(-1, 2)
    near = np.hypot(*spots.T) <= bulb.holder_radius
    shut = hit | np.column_stack([near & (bulb.cap[2] > 0), near & (bulb.cap[2] < 0)])
    return _Lids(spots=spots, hit=hit, shut=shut, area=pi * radius**2 / max(len(spots), 1))


def _heights(mesh: Mesh, spots: Floats) -> list[Floats]:
    """For each of the (k, 2) upright lines the heights at which it meets the surface [mm]."""
    a, b, c = mesh.corners.transpose(1, 0, 2)
    twice = (b[:, 0] - a[:, 0]) * (c[:, 1] - a[:, 1]) - (b[:, 1] - a[:, 1]) * (c[:, 0] - a[:, 0])
    flat = np.abs(twice) > _TINY
    a, b, c, twice = a[flat], b[flat], c[flat], twice[flat]
    found = []
    for x, y in spots:
        second = ((x - a[:, 0]) * (c[:, 1] - a[:, 1]) - (y - a[:, 1]) * (c[:, 0] - a[:, 0])) / twice
        third = ((b[:, 0] - a[:, 0]) * (y - a[:, 1]) - (b[:, 1] - a[:, 1]) * (x - a[:, 0])) / twice
        hit = (second >= 0) & (third >= 0) & (second + third <= 1)
        rise = second * (b[:, 2] - a[:, 2]) + third * (c[:, 2] - a[:, 2])
        found.append((a[:, 2] + rise)[hit])
    return found


def _level_openings(lids: _Lids, height: float) -> list[Opening]:
    """Free area above and below the bulb, as one opening each at the ends of the shade."""
    above, below = (float((~shut).sum()) * lids.area for shut in lids.shut.T)
    found = [Opening(area_mm2=above, low=height, high=height, faces_up=True)] if above > _TINY else []
    return found + ([Opening(area_mm2=below, low=0.0, high=0.0)] if below > _TINY else [])


def _open_view(bulb: BulbPlace, walls: _Walls, lids: _Lids, height: float) -> float:
    """Share of the outlook of the bulb's middle that meets no wall: solid angles of free cells over those of all."""
    rise = walls.levels - bulb.middle[2]
    cells = walls.radius**2 * (2 * pi / AROUND) * walls.step / np.maximum(walls.radius**2 + rise**2, _TINY) ** 1.5
    total, free = float(cells.sum()) * AROUND, float((cells * (~walls.closed).sum(axis=1)).sum())
    apart = np.hypot(*lids.spots.T)
    for shut, distance in zip(lids.shut.T, (height - bulb.middle[2], bulb.middle[2]), strict=True):
        reach = max(distance, 1.0)
        angles = reach * lids.area / (apart**2 + reach**2) ** 1.5
        total, free = total + float(angles.sum()), free + float(angles[~shut].sum())
    return min(free / max(total, _TINY), 1.0)


def _points(bulb: BulbPlace, walls: _Walls) -> Floats:
    """(k, 3) spots of the inner wall [mm]."""
    row, column = np.nonzero(walls.closed)
    radius, turn = walls.inner[row, column], _TURNS[column]
    x, y = bulb.middle[:2]
    return np.column_stack([x + radius * np.cos(turn), y + radius * np.sin(turn), walls.levels[row]])


def _collar_gap(bulb: BulbPlace, points: Floats) -> float | None:
    """Distance from the collar's surface to the nearest spot of wall beside it [mm]."""
    away = points - np.array(bulb.middle)
    along = away @ np.array(bulb.cap)
    beside = (along >= 0) & (along <= bulb.collar_length)
    if not beside.any():
        return None
    off = np.linalg.norm(away[beside] - along[beside][:, None] * np.array(bulb.cap), axis=1)
    return float(max(off.min() - bulb.collar_radius, 1.0))


def _above_gap(mesh: Mesh, bulb: BulbPlace) -> float | None:
    """Free height over the bulb [mm], looked for over its round end, or around the holder when its cap is up.

    None where half of that, or more, is open.
    """
    hangs = bulb.cap[2] > 0
    turns = np.arange(8) * pi / 4
    reach = 1.2 * bulb.holder_radius if hangs else 0.6 * bulb.radius
    spots = reach * np.column_stack([np.cos(turns), np.sin(turns)]) + bulb.middle[:2]
    top = bulb.middle[2] + (bulb.collar_length if hangs else bulb.radius)
    heights = [found[found > bulb.middle[2]] for found in _heights(mesh, spots)]
    covered = [float(found.min()) for found in heights if len(found)]
    if 2 * len(covered) <= len(spots):
        return None
    return max(min(covered) - top, 1.0)

"""Round walls of a model: circles through the corners of facets, pieces of one wall put together."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from math import cos, degrees, pi

import numpy as np

from shadewright.solid.find_flats import ROUND_TURN, Flats, Index, clusters, frame, members
from shadewright.solid.find_types import RoundWall, Surface, Vector
from shadewright.solid.mesh import Floats

SQUARE = 2e-3
"""Greatest angle by which a facet of a round wall may lean along the axis [radians]."""
OFF_CIRCLE, OFF_CIRCLE_SHARE = 0.004, 1e-4
"""How far a corner may lie off its circle [mm, and share of the radius]."""
LENGTHWISE = 0.9
"""Least cosine between the axis and an edge that joins two facets of one wall."""
LEAST_FACETS = 3
LEAST_TURN = 60.0
"""Smaller arcs are roundings of edges, not walls that anything fits [degrees]."""
SAME_WALL = 0.01
"""Axes and radii within this are one wall's [mm]."""
SAME_WALL_GAP = 1.0
"""Pieces of a wall no farther apart along the axis are one [mm]."""
ODD_SIDE = 3.0
"""A facet so many times wider than its neighbours is a flat cut into the wall, not part of it."""
FEW_FACETS, ALIKE = 8, 0.03
"""With fewer facets, those between the first and the last must be equally wide within this share: any three sides of
an even trapezium lie on a circle."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Patch:
    """A piece of a cylindrical wall.

    Attributes:
        axis: Unit vector, made upright.
        across: (2,) where the axis passes, in the plane of ``frame(axis)`` [mm].
        radius: Through corners [mm].
        low, high: Reach along the axis [mm].
        arcs: (k, 2) from-to angles in ``frame(axis)`` [radians].
        steps: (k,) central angles of the facets [radians]; empty for exact surfaces.
        hollow: Whether the plastic is outside.
        residual: Greatest distance of a corner from the circle [mm].
        flats: Facets it is made of.
    """

    axis: Floats
    across: Floats
    radius: float
    low: float
    high: float
    arcs: Floats
    steps: Floats
    hollow: bool
    residual: float
    flats: Index


@dataclass(frozen=True, slots=True, eq=False)
class _Chords:
    """Facets seen along the axis: (k, 2, 2) end points, (k,) angle of the outward normal, and which flats."""

    ends: Floats
    normal: Floats
    flats: Index

    def some(self, index: Index) -> _Chords:
        return _Chords(self.ends[index], self.normal[index], self.flats[index])


def patches_along(flats: Flats, axis: Floats) -> list[Patch]:
    """Pieces of round walls whose axis has the direction ``axis``."""
    lean = np.abs(flats.normal @ axis)
    standing = lean < SQUARE + flats.noise * 10
    found: list[Patch] = []
    length = np.linalg.norm(flats.along, axis=1)
    lengthwise = np.abs(flats.along @ axis) > LENGTHWISE * length  # rings that meet end to end are walls of their own
    across_edge = standing[flats.pair].all(axis=1) & (np.abs(flats.turn) < ROUND_TURN) & lengthwise
    for convex in (True, False):
        pair = flats.pair[across_edge & ((flats.turn > 0) == convex)]
        if not len(pair):
            continue
        used, compact = np.unique(pair, return_inverse=True)
        label = clusters(len(used), compact.reshape(pair.shape))
        for group in members(label, LEAST_FACETS):
            chords = _chords(flats, used[group], axis)
            for circle in _circles(chords):
                found.append(_patch(flats, circle, axis, hollow=not convex))
    return [patch for patch in found if len(patch.arcs)]


def _chords(flats: Flats, chosen: Index, axis: Floats) -> _Chords:
    one, two = frame(axis)
    normal = flats.normal[chosen]
    angle = np.arctan2(normal @ two, normal @ one)
    flat_normal = np.stack([np.cos(angle), np.sin(angle)], axis=1)
    tangent = np.stack([-np.sin(angle), np.cos(angle)], axis=1)
    low, high = flats.reach(chosen, tangent[:, :1] * one + tangent[:, 1:] * two)
    inner, outer = flats.reach(chosen, flat_normal[:, :1] * one + flat_normal[:, 1:] * two)
    base = flat_normal * ((inner + outer) / 2)[:, None]
    ends = np.stack([base + tangent * low[:, None], base + tangent * high[:, None]], axis=1)
    return _Chords(ends, angle, chosen)


def fit_circle(points: Floats) -> tuple[Floats, float, float]:
    """Least-squares circle through (k, 2) points: centre, radius, greatest distance of a point from it [mm]."""
    middle = points.mean(axis=0)
    local = points - middle
    scale = float(np.abs(local).max()) or 1.0
    local = local / scale
    matrix = np.column_stack([2 * local, np.ones(len(local))])
    solved, *_ = np.linalg.lstsq(matrix, (local**2).sum(axis=1), rcond=None)
    radius = float(np.sqrt(max(solved[2] + solved[0] ** 2 + solved[1] ** 2, 0.0)))
    off = np.abs(np.hypot(*(local - solved[:2]).T) - radius)
    return middle + solved[:2] * scale, radius * scale, float(off.max()) * scale


def _allowed(radius: float) -> float:
    return OFF_CIRCLE + OFF_CIRCLE_SHARE * radius


def _circles(chords: _Chords) -> list[_Chords]:
    """The chords that lie on one circle; several groups where walls of different radius run into each other."""
    _, radius, off = fit_circle(chords.ends.reshape(-1, 2))
    if off <= _allowed(radius):
        return [chords]
    order = np.argsort(chords.normal)
    gaps = np.diff(np.append(chords.normal[order], chords.normal[order[0]] + 2 * pi))
    order = np.roll(order, -1 - int(np.argmax(gaps)))
    return _grown(chords.some(order))


def _grown(chords: _Chords) -> list[_Chords]:
    """Walk along a chain of chords and gather runs that share a circle."""
    found, start, count = [], 0, len(chords.normal)
    while start + LEAST_FACETS <= count:
        end = start + LEAST_FACETS
        centre, radius, off = fit_circle(chords.ends[start:end].reshape(-1, 2))
        widths = np.hypot(*(chords.ends[start:end, 1] - chords.ends[start:end, 0]).T)
        if off > _allowed(radius) or widths.max() > ODD_SIDE * max(widths.min(), 1e-9):
            start += 1
            continue
        while end < count:
            away = np.abs(np.hypot(*(chords.ends[end] - centre).T) - radius).max()
            if away > _allowed(radius):
                break
            end += 1
            if end - start in (8, 16, 32, 64):
                centre, radius, _ = fit_circle(chords.ends[start:end].reshape(-1, 2))
        run = chords.some(np.arange(start, end))
        _, radius, off = fit_circle(run.ends.reshape(-1, 2))
        if off <= _allowed(radius):
            found.append(run)
        start = end
    return found


def _patch(flats: Flats, chords: _Chords, axis: Floats, *, hollow: bool) -> Patch:
    centre, radius, off = fit_circle(chords.ends.reshape(-1, 2))
    half = np.hypot(*(chords.ends[:, 1] - chords.ends[:, 0]).T) / (2 * radius)
    step = 2 * np.arcsin(np.minimum(half, 1.0))
    regular = step <= min(ODD_SIDE * float(np.median(step)), float(ROUND_TURN))
    spoke = chords.ends.mean(axis=1) - centre
    outward = (spoke * np.stack([np.cos(chords.normal), np.sin(chords.normal)], axis=1)).sum(axis=1)
    regular &= (outward < 0) == hollow
    middle = np.arctan2(spoke[:, 1], spoke[:, 0])
    kept = chords.flats[regular]
    low, high = flats.reach(kept, axis) if len(kept) else (np.zeros(1), np.zeros(1))
    arcs = np.stack([middle - step / 2, middle + step / 2], axis=1)[regular]
    return Patch(
        axis=axis,
        across=centre,
        radius=radius,
        low=float(low.min()),
        high=float(high.max()),
        arcs=arcs if _believable(arcs) else np.zeros((0, 2)),
        steps=step[regular],
        hollow=hollow,
        residual=off,
        flats=kept,
    )


def _believable(arcs: Floats) -> bool:
    """Whether (k, 2) facets make a wall rather than happen to lie on a circle."""
    if len(arcs) < LEAST_FACETS:
        return False
    order = np.argsort(arcs[:, 0])
    widths = (arcs[:, 1] - arcs[:, 0])[order]
    gaps = np.mod(np.roll(arcs[order, 0], -1) - arcs[order, 0], 2 * pi)
    inner = np.roll(widths, -1 - int(np.argmax(gaps)))[1:-1] if len(widths) > LEAST_FACETS else widths
    return len(widths) >= FEW_FACETS or bool(inner.max() - inner.min() <= ALIKE * inner.max())


def surface_patch(surface: Surface, axis: Floats) -> Patch:
    """An exact cylindrical face as a patch; ``axis`` is its axis made upright."""
    one, two = frame(axis)
    point, start = np.array(surface.point), np.array(surface.start)
    ahead = float(np.dot(surface.axis, axis)) > 0
    height = float(point @ axis)
    low, high = (surface.low, surface.high) if ahead else (-surface.high, -surface.low)
    begin = float(np.arctan2(start @ two, start @ one))
    sweep = np.radians(surface.turn)
    return Patch(
        axis=axis,
        across=np.array([point @ one, point @ two]),
        radius=surface.radius,
        low=height + low,
        high=height + high,
        arcs=np.array([[begin, begin + sweep] if ahead else [begin - sweep, begin]]),
        steps=np.zeros(0),
        hollow=surface.hollow,
        residual=0.0,
        flats=np.zeros(0, np.int64),
    )


def joined(patches: Iterable[Patch]) -> list[Patch]:
    """Pieces of one wall put together."""
    whole: list[Patch] = []
    for piece in sorted(patches, key=lambda patch: patch.low):
        patch, rest = piece, []
        for other in whole:
            if _one_wall(patch, other):
                patch = _both(other, patch)
            else:
                rest.append(other)
        whole = [*rest, patch]
    return whole


def _one_wall(one: Patch, two: Patch) -> bool:
    near = SAME_WALL + OFF_CIRCLE_SHARE * one.radius
    return (
        one.hollow == two.hollow
        and abs(one.radius - two.radius) < near
        and float(np.linalg.norm(one.axis - two.axis)) < SQUARE
        and float(np.abs(one.across - two.across).max()) < near
        and max(one.low, two.low) - min(one.high, two.high) < SAME_WALL_GAP
    )


def _both(one: Patch, two: Patch) -> Patch:
    leading = one if len(one.arcs) >= len(two.arcs) else two
    return replace(
        leading,
        low=min(one.low, two.low),
        high=max(one.high, two.high),
        arcs=np.vstack([one.arcs, two.arcs]),
        steps=np.concatenate([one.steps, two.steps]),
        residual=max(one.residual, two.residual),
        flats=np.concatenate([one.flats, two.flats]),
    )


def covered(arcs: Floats, slack: float = 1e-3) -> float:
    """Angle that (k, 2) arcs cover together [degrees]; gaps up to ``slack`` [radians] are closed."""
    start = np.mod(arcs[:, 0], 2 * pi)
    end = start + np.minimum(arcs[:, 1] - arcs[:, 0], 2 * pi)
    order = np.argsort(start)
    start, end = start[order], np.maximum.accumulate(end[order])
    reach = np.concatenate([[end[-1] - 2 * pi], end[:-1]])
    gaps = start - reach
    return float(degrees(2 * pi - gaps[gaps > slack].sum()))


def wall(patch: Patch) -> RoundWall:
    """A patch as it is reported."""
    step = float(patch.steps.max()) if len(patch.steps) else 0.0
    usual = float(np.median(patch.steps)) if len(patch.steps) else 0.0
    return RoundWall(
        hollow=patch.hollow,
        diameter=2 * patch.radius,
        across_flats=2 * patch.radius * cos(step / 2),
        sagitta=patch.radius * (1 - cos(step / 2)),
        sides=round(2 * pi / usual) if usual else None,
        middle=on_axis(patch.axis, patch.across, (patch.low + patch.high) / 2),
        axis=vector(patch.axis),
        length=patch.high - patch.low,
        turn=covered(patch.arcs, slack=max(1e-3, usual / 2)),
        residual=patch.residual,
    )


def on_axis(axis: Floats, across: Floats, height: float) -> Vector:
    """Point of an axis at a height along it [mm]."""
    one, two = frame(axis)
    return vector(across[0] * one + across[1] * two + height * axis)


def vector(values: Sequence[float] | Floats) -> Vector:
    """Three numbers as a tuple, rounding noise taken off."""
    x, y, z = (round(float(value), 6) + 0.0 for value in values)
    return (x, y, z)

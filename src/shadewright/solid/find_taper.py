"""Conical walls of a model: facets that lean alike and whose planes meet in one point."""

from __future__ import annotations

from dataclasses import replace
from math import atan, degrees, pi, radians, tan

import numpy as np

from shadewright.solid.find_flats import ROUND_TURN, Flats, Index, clusters, frame, members, upright
from shadewright.solid.find_round import LEAST_TURN, covered, vector
from shadewright.solid.find_types import Surface, Taper
from shadewright.solid.mesh import Floats

LEAST_LEAN, MOST_LEAN = 0.01, 0.999
SAME_LEAN = 3e-3
LEAST_FACETS = 5
OFF_APEX = 0.01
"""How far a facet's plane may pass the apex [mm]."""
OFF_CONE = 0.01
"""How far corners may leave the cone, as a share of their radius [-]."""


def tapers_along(flats: Flats, axis: Floats) -> list[Taper]:
    """Conical walls about axes of the direction ``axis``."""
    lean = flats.normal @ axis
    sloping = (np.abs(lean) > LEAST_LEAN) & (np.abs(lean) < MOST_LEAN)
    one, two = flats.pair.T
    alike = sloping[one] & sloping[two] & (np.abs(lean[one] - lean[two]) < SAME_LEAN)
    pair = flats.pair[alike & (np.abs(flats.turn) < ROUND_TURN)]
    if not len(pair):
        return []
    used, compact = np.unique(pair, return_inverse=True)
    label = clusters(len(used), compact.reshape(pair.shape))
    fitted = (_taper(flats, used[group], axis) for group in members(label, LEAST_FACETS))
    return [taper for taper in fitted if taper is not None and taper.turn >= LEAST_TURN]


def _taper(flats: Flats, chosen: Index, axis: Floats) -> Taper | None:
    normal = flats.normal[chosen]
    offset = flats.offset(chosen)
    solved, _, rank, _ = np.linalg.lstsq(normal, offset, rcond=1e-6)
    apex: Floats = solved.astype(np.float64)
    if rank < 3 or np.abs(normal @ apex - offset).max() > OFF_APEX:
        return None
    spoke = flats.points[flats.corners_of(chosen)] - apex
    height = spoke @ axis
    radius = np.linalg.norm(spoke - height[:, None] * axis, axis=1)
    away = np.abs(height) > 0.1 * np.abs(height).max()
    slope = radius[away] / np.abs(height[away])
    if slope.max() - slope.min() > OFF_CONE * slope.max() or height.min() * height.max() < -1e-6:
        return None
    one, two = frame(axis)
    angle = np.arctan2(normal @ two, normal @ one)
    return Taper(
        hollow=_hollow(flats, chosen, apex, axis),
        small=2 * float(radius.min()),
        large=2 * float(radius.max()),
        half_angle=degrees(atan(float(slope.max()))),
        middle=vector(apex + axis * (height.min() + height.max()) / 2),
        axis=vector(axis),
        length=float(height.max() - height.min()),
        turn=_turn(angle),
    )


def _hollow(flats: Flats, chosen: Index, apex: Floats, axis: Floats) -> bool:
    """Whether the normals point at the axis."""
    corner = flats.points[flats.corner[flats.first[chosen]]] - apex
    spoke = corner - (corner @ axis)[:, None] * axis
    return bool((spoke * flats.normal[chosen]).sum() < 0)


def _turn(angle: Floats) -> float:
    ranked = np.unique(np.round(np.mod(angle, 2 * pi), 4))
    step = float(np.median(np.diff(ranked))) if len(ranked) > 1 else 0.0
    return covered(np.stack([ranked - step / 2, ranked + step / 2], axis=1), slack=max(1e-3, step / 2))


def surface_taper(surface: Surface) -> Taper:
    """An exact conical face as it is reported."""
    axis, apex = upright(np.array(surface.axis)), np.array(surface.point)
    ends = [abs(reach) * tan(radians(surface.half_angle)) for reach in (surface.low, surface.high)]
    middle = apex + np.array(surface.axis) * (surface.low + surface.high) / 2
    return Taper(
        hollow=surface.hollow,
        small=2 * min(ends),
        large=2 * max(ends),
        half_angle=surface.half_angle,
        middle=vector(middle),
        axis=vector(axis),
        length=surface.high - surface.low,
        turn=surface.turn,
    )


def joined_tapers(tapers: list[Taper]) -> list[Taper]:
    """Halves of one cone put together: same ends, same place."""
    whole: dict[tuple[object, ...], Taper] = {}
    for taper in tapers:
        key = (taper.hollow, round(taper.small, 2), round(taper.large, 2), tuple(round(x, 2) for x in taper.middle))
        known = whole.get(key)
        turn = taper.turn if known is None else min(360.0, known.turn + taper.turn)
        whole[key] = replace(taper, turn=turn)
    return list(whole.values())

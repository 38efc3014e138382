"""Slots and tongues of a model: parallel flat faces that look at, or away from, each other."""

from __future__ import annotations

import numpy as np

from shadewright.solid.find_flats import Flats, Index, frame, upright
from shadewright.solid.find_round import vector
from shadewright.solid.find_types import Slot
from shadewright.solid.mesh import Floats

LEAST_FACE = 1.0
"""Smallest face looked at [mm²]."""
MOST_FACES = 600
LEAST_WIDTH = 0.2
PARALLEL = 1e-3
"""Greatest angle between the faces of a slot [radians]."""
SAME = 0.05
"""Pairs as wide and as placed as another within this are the same [mm]."""
LEAST_OVERLAP = 0.4
"""Share of the smaller face's box that must lie opposite the other."""


def slots_of(flats: Flats, left_out: Index) -> tuple[list[Slot], list[Slot]]:
    """All slots and all tongues between flat faces.

    Args:
        flats: The model.
        left_out: Flats that are facets of round walls.
    """
    big = flats.area > LEAST_FACE
    big[left_out] = False
    chosen = np.flatnonzero(big)
    chosen = chosen[np.argsort(-flats.area[chosen], kind="stable")][:MOST_FACES]
    slots: list[Slot] = []
    tongues: list[Slot] = []
    while len(chosen):
        axis = upright(flats.normal[chosen[0]])
        along = np.linalg.norm(np.cross(flats.normal[chosen], axis), axis=1) < PARALLEL
        group, chosen = chosen[along], chosen[~along]
        if len(group) > 1:
            hollow, solid = _between(flats, group, axis)
            slots += hollow
            tongues += solid
    return slots, tongues


def _between(flats: Flats, group: Index, axis: Floats) -> tuple[list[Slot], list[Slot]]:
    one, two = frame(axis)
    low1, high1 = flats.reach(group, one)
    low2, high2 = flats.reach(group, two)
    height = flats.offset(group) * np.sign(flats.normal[group] @ axis)
    up = flats.normal[group] @ axis > 0
    across1 = np.minimum(high1[:, None], high1) - np.maximum(low1[:, None], low1)
    across2 = np.minimum(high2[:, None], high2) - np.maximum(low2[:, None], low2)
    box = (high1 - low1) * (high2 - low2)
    least = LEAST_OVERLAP * np.minimum(box[:, None], box)
    meets = (across1 > 0) & (across2 > 0) & (across1 * across2 >= least)
    gap = height[None, :] - height[:, None]
    found: tuple[list[Slot], list[Slot]] = ([], [])
    for kind, lower in enumerate((up, ~up)):  # a slot's lower face looks up, a tongue's looks down
        able = meets & lower[:, None] & ~lower[None, :] & (gap > LEAST_WIDTH)
        wide = np.where(able, gap, np.inf)
        for i in np.flatnonzero(np.isfinite(wide.min(axis=1))):
            j = int(np.argmin(wide[i]))
            if wide[:, j].min() < wide[i, j] - 1e-9:
                continue
            sides = sorted((float(across1[i, j]), float(across2[i, j])), reverse=True)
            at1 = (max(low1[i], low1[j]) + min(high1[i], high1[j])) / 2
            at2 = (max(low2[i], low2[j]) + min(high2[i], high2[j])) / 2
            middle = at1 * one + at2 * two + (height[i] + height[j]) / 2 * axis
            slot = Slot(
                hollow=kind == 0,
                width=float(wide[i, j]),
                middle=vector(middle),
                normal=vector(axis),
                length=sides[0],
                depth=sides[1],
            )
            if not any(_same(slot, known) for known in found[kind]):
                found[kind].append(slot)
    return found


def _same(one: Slot, two: Slot) -> bool:
    """Whether two pairs of faces are pieces of one pair."""
    return abs(one.width - two.width) < SAME and all(
        abs(a - b) < SAME for a, b in zip(one.middle, two.middle, strict=True)
    )

"""Whether a part stays on the bed: every foot stands alone until it joins the rest.

The nozzle drags sideways at the top of what is printed; the bed holds the footprint. What stands alone comes loose when

    DRAG_N x height > ADHESION_MPA x Z

with Z the footprint's section modulus against its weakest direction (linear peel stress, textbook statics). Safety is
the ratio of both sides. A brim enlarges the footprint, but as a thin plate it can only carry so much at its root: it
counts for at most ``2 t sqrt(s / 3a)``, approached exponentially with its width (t its thickness, s the plastic's
bending strength, a the adhesion; plate statics of a uniformly held strip, doubled for the pull in the plate: judged, no
source).

Constants: adhesion of plastic to a warm bed lies between 0.05 and 1 MPa (from memory), its geometric mean is taken;
drag is that of a molten bead sheared under the nozzle's flat at 60 mm/s (1000 Pa s, 0.2 mm gap: 0.2 N). Warping is not
counted.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import exp, sqrt

import numpy as np
import shapely

from shadewright.findings import Verdict
from shadewright.layers.cutting import Layers, Region, pieces
from shadewright.layers.plane import as_array, least_section_modulus

DRAG_N = 0.2
ADHESION_MPA = 0.22
BENDING_MPA = 40.0
SOUND_SAFETY, FAILING_SAFETY = 3.0, 1.0  # judged, no source
SPECK = 0.02
"""Feet smaller than this [mm²] hold nothing."""
WIDEST_BRIM = 10.0
"""About 10 mm of brim where narrow feet carry a part alone until it joins (common practice, no source)."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Standing:
    """One piece that stands by itself up to the height at which it joins another, or to its top.

    Attributes:
        feet: Footprint on the bed.
        count: Separate feet in it.
        top: Up to which height it stands alone [mm].
        joins: False when it is the whole part, or never joins.
        safety: Holding moment over dragging moment.
        slenderness: ``top`` over the footprint's narrowest width.
        brim: Least brim that reaches ``SOUND_SAFETY`` [mm]: 0 when none is needed, None when ``WIDEST_BRIM`` is not
            enough.
        brim_safety: Safety with that brim, or with ``WIDEST_BRIM``.
    """

    feet: Region
    count: int
    top: float
    joins: bool
    safety: float
    slenderness: float
    brim: float | None
    brim_safety: float

    @property
    def verdict(self) -> Verdict:
        """How it comes out without a brim."""
        if self.safety >= SOUND_SAFETY:
            return Verdict.SOUND
        return Verdict.DOUBTFUL if self.safety >= FAILING_SAFETY else Verdict.FAILING


def standing_pieces(layers: Layers, height: float) -> list[Standing]:
    """Every piece that stands alone on the bed for a while, and the whole at last, ``height`` tall [mm]."""
    thickness = float(layers.thickness[0])
    return [_standing(feet, min(top, height), joins, thickness) for feet, top, joins in _merge_tree(layers)]


def safety(feet: Region, top: float, brim: float, thickness: float) -> float:
    """Holding over dragging moment of a footprint with a brim [mm] around it, ``thickness`` thick."""
    reach = brim_reach(brim, thickness)
    held = feet.buffer(reach, quad_segs=8) if reach else feet
    return ADHESION_MPA * least_section_modulus(held) / (DRAG_N * top)


def brim_reach(brim: float, thickness: float) -> float:
    """Width of a rigid rim that holds as much as a thin brim of width ``brim`` [mm]."""
    most = 2 * thickness * sqrt(BENDING_MPA / (3 * ADHESION_MPA))
    return most * (1 - exp(-brim / most))


def _standing(feet: Region, top: float, joins: bool, thickness: float) -> Standing:
    alone = safety(feet, top, 0.0, thickness)
    brim, brim_safety = least_brim(feet, top, thickness)
    return Standing(
        feet=feet,
        count=len(pieces(feet)),
        top=top,
        joins=joins,
        safety=alone,
        slenderness=top / _narrowest(feet),
        brim=brim,
        brim_safety=brim_safety,
    )


def least_brim(feet: Region, top: float, thickness: float) -> tuple[float | None, float]:
    """Least brim in whole mm that reaches ``SOUND_SAFETY`` (None when ``WIDEST_BRIM`` does not), and its safety."""
    reached = 0.0
    for brim in np.arange(0.0, WIDEST_BRIM + 0.5):
        reached = safety(feet, top, float(brim), thickness)
        if reached >= SOUND_SAFETY:
            return float(brim), reached
    return None, reached


def _narrowest(feet: Region) -> float:
    box = shapely.get_coordinates(shapely.minimum_rotated_rectangle(feet))
    return float(np.linalg.norm(np.diff(box[:3], axis=0), axis=1).min())


class _Groups:
    """What stands together so far: union of pieces over layers, each with its feet and the height it reaches."""

    def __init__(self) -> None:
        self.feet: list[list[Region]] = []
        self.top: list[float] = []
        self._parent: list[int] = []

    def new(self, feet: list[Region], top: float) -> int:
        """A group of its own."""
        self.feet.append(feet)
        self.top.append(top)
        self._parent.append(len(self._parent))
        return len(self._parent) - 1

    def of(self, group: int) -> int:
        """The group that ``group`` has become part of."""
        while self._parent[group] != group:
            group = self._parent[group]
        return group

    def join(self, groups: list[int], top: float) -> int:
        """Make one group of several."""
        whole = self.new([foot for group in groups for foot in self.feet[group]], top)
        for group in groups:
            self._parent[group] = whole
        return whole

    def roots(self) -> list[int]:
        """Groups that have joined no other."""
        return [group for group, parent in enumerate(self._parent) if group == parent]


def _merge_tree(layers: Layers) -> list[tuple[Region, float, bool]]:
    """(feet, height up to which they stand alone, whether they join others there), from the bed up."""
    groups = _Groups()
    ends = layers.bottoms + layers.thickness
    below = pieces(layers.regions[0])
    owner = [groups.new([foot] if foot.area > SPECK else [], float(ends[0])) for foot in below]
    stood: list[tuple[Region, float, bool]] = []
    for i in range(1, len(layers)):
        end = float(ends[i])
        if layers.same_as_below(i):
            for group in {groups.of(group) for group in owner}:
                groups.top[group] = end
            continue
        here = pieces(layers.regions[i])
        carried: list[set[int]] = [set() for _ in here]
        if below and here:
            for upper, lower in shapely.STRtree(below).query(as_array(here), predicate="intersects").T:
                carried[upper].add(owner[lower])
        owner = []
        for under in carried:
            found = sorted({groups.of(group) for group in under})
            footed = [group for group in found if groups.feet[group]]
            if len(footed) > 1:
                stood += [(_all(groups.feet[group]), float(layers.bottoms[i]), True) for group in footed]
            owner.append(groups.join(found, end) if len(found) > 1 else found[0] if found else groups.new([], end))
            groups.top[groups.of(owner[-1])] = end
        below = here
    return stood + [(_all(groups.feet[g]), groups.top[g], False) for g in groups.roots() if groups.feet[g]]


def _all(feet: list[Region]) -> Region:
    return shapely.union_all(feet)

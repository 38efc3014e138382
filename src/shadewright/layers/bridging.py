"""Strands across a gap: whether straight lines can be laid from support to support, and how long they are."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import shapely

from shadewright.layers.cutting import Region
from shadewright.layers.plane import as_array
from shadewright.solid.mesh import Floats

DIRECTIONS_DEG = tuple(range(0, 180, 15))
STRAND_SPACING = 0.5
FEWEST_STRANDS, MOST_STRANDS = 9, 40
TOUCHING = 0.03
"""An end this near to support lies on it [mm]."""

ANCHORED_SHARE = 0.95
"""A gap is bridged when this share of its strands' length hangs between two anchors; the rest is ragged edge."""

HOPELESS_SHARE = 0.25
"""When less is anchored along both sides of the gap, no other direction is tried."""


@dataclass(frozen=True, slots=True)
class Span:
    """How a gap is best bridged.

    Attributes:
        share: Share of strand length with both ends on support, in the best direction.
        length: Longest free strand [mm].
        direction_deg: Direction of the strands from the x axis.
    """

    share: float
    length: float
    direction_deg: float

    @property
    def holds(self) -> bool:
        """Whether the gap can be bridged at all."""
        return self.share >= ANCHORED_SHARE


def best_span(gap: Region, support: Region, *, axes_only: bool = False) -> Span:
    """Search the direction in which strands over ``gap`` are anchored at both ends and shortest.

    Args:
        gap: What hangs free.
        support: What carries strands at its edge.
        axes_only: Try only the long and the short side of the tightest rectangle around the gap.

    Returns:
        Among directions that hold the shortest, otherwise the one with most strands anchored.
    """
    gap = shapely.simplify(gap, TOUCHING / 4)
    shapely.prepare(gap)
    shapely.prepare(support)
    tried = [_across(gap, support, angle) for angle in _rectangle_axes(gap)]
    if not axes_only and max(span.share for span in tried) >= HOPELESS_SHARE:
        tried += [_across(gap, support, float(angle)) for angle in DIRECTIONS_DEG]
    holding = [span for span in tried if span.holds]
    if holding:
        return min(holding, key=lambda span: span.length)
    return max(tried, key=lambda span: span.share)


def _rectangle_axes(gap: Region) -> list[float]:
    corners = shapely.get_coordinates(shapely.minimum_rotated_rectangle(gap))
    if len(corners) < 4:
        return [0.0, 90.0]
    side = corners[1] - corners[0]
    along = float(np.degrees(np.arctan2(side[1], side[0]))) % 180
    return [along, (along + 90) % 180]


def _across(gap: Region, support: Region, angle: float) -> Span:
    along = np.array([np.cos(np.radians(angle)), np.sin(np.radians(angle))])
    strands = shapely.get_parts(shapely.intersection(_strands(gap, along), gap))
    strands = strands[shapely.get_type_id(strands) == shapely.GeometryType.LINESTRING]
    if not len(strands):
        return Span(0.0, 0.0, angle)
    lengths = shapely.length(strands)
    ends = [shapely.get_point(strands, 0), shapely.get_point(strands, -1)]
    anchored = np.logical_and(*(shapely.dwithin(end, support, TOUCHING) for end in ends))
    total = float(lengths.sum())
    share = float(lengths[anchored].sum() / total) if total else 0.0
    return Span(share, float(lengths[anchored].max(initial=0.0)), angle)


def _strands(gap: Region, along: Floats) -> Floats:
    """Parallel lines over the whole gap, none along its rim."""
    across = np.array([-along[1], along[0]])
    points = shapely.get_coordinates(gap)
    reach, side = points @ along, points @ across
    low, high = side.min(), side.max()
    count = int(np.clip(np.ceil((high - low) / STRAND_SPACING), FEWEST_STRANDS, MOST_STRANDS))
    at = low + (np.arange(count) + 0.5) * (high - low) / count
    start = at[:, None] * across + (reach.min() - 1) * along
    end = at[:, None] * across + (reach.max() + 1) * along
    return as_array(list(shapely.linestrings(np.stack([start, end], axis=1))))

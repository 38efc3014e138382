"""What hangs free: pieces of each layer that reach too far over the one below, joined over layers into clusters."""

from __future__ import annotations

from dataclasses import dataclass
from math import atan2, degrees, radians, tan

import numpy as np
import shapely

from shadewright.layers.bridging import Span, best_span
from shadewright.layers.cutting import Layers, Region, pieces
from shadewright.layers.plane import around, as_array, farthest, in_parallel, offset
from shadewright.progress import SILENT, Progress, stepping
from shadewright.solid.mesh import Floats

SOUND_ANGLE = 45.0
"""Steepest overhang that prints without thought, degrees from the vertical. Common practice, no source."""

SLACK = 0.0003
"""Extra reach allowed [mm]: the noise of facets and offsets."""

SPECK = 0.02
"""Pieces smaller than this [mm²] say more about facets than about the print."""

SEAM = 0.01
"""Bands grow by this [mm] before what carries them is looked for: no sliver between them may pass for support."""

TOUCH = 0.2
"""Gaps narrower than this close as they are laid [mm]: half a usual line width (common practice, no source)."""

FINE = 0.001
"""Bands are drawn no finer than this [mm]."""

NEIGHBOURING = 0.02
"""Bands of consecutive layers nearer than this [mm] are one."""

BRIDGE_STEPS = 3.0
"""A step over this many layer heights is looked at as a possible bridge (71.6 degrees)."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Piece:
    """One connected piece of a layer that the layer below does not carry.

    Attributes:
        layer: Its layer.
        band: All of it that lies beyond the layer below, the carried strip included.
        step: How far it reaches beyond the layer below [mm].
        angle: The same as degrees from the vertical.
        island: True when nothing carries any of it.
        span: How it can be bridged; None when it reaches too little to be a bridge.
    """

    layer: int
    band: Region
    step: float
    angle: float
    island: bool
    span: Span | None

    @property
    def bridges(self) -> bool:
        """Whether it hangs between anchors."""
        return self.span is not None and self.span.holds


def unsupported(layers: Layers, progress: Progress = SILENT) -> list[Piece]:
    """Find every piece of every layer beyond the sound overhang angle, from the bed up."""
    ask = [i for i in range(1, len(layers)) if not layers.same_as_below(i)]
    if not ask:
        return []
    rise = np.array([layers.heights[i] - layers.heights[i - 1] for i in ask])
    below = as_array([layers.regions[i - 1] for i in ask])
    here = as_array([layers.regions[i] for i in ask])
    reach = rise * tan(radians(SOUND_ANGLE)) + SLACK
    free = in_parallel(_beyond, here, offset(list(below), reach))
    found: list[Piece] = []
    for place in stepping(progress, "looking for what hangs free", range(len(ask)), len(ask)):
        parts = [part for part in pieces(free[place]) if part.area > SPECK]
        if len(parts) > 1:
            parts = [part for part in pieces(_knit(shapely.union_all(parts))) if part.area > SPECK]
        if parts:
            pair = (below[place], here[place])
            found += [_piece(part, pair, ask[place], float(rise[place]), float(reach[place])) for part in parts]
    return found


def _beyond(regions: Floats, carried: Floats) -> Floats:
    return np.asarray(shapely.difference(regions, carried))


def _piece(part: Region, pair: tuple[Region, Region], layer: int, rise: float, reach: float) -> Piece:
    near = part.buffer(reach + SLACK, quad_segs=4)
    below, here = (around(region, near.bounds, 1.0) for region in pair)
    if not shapely.dwithin(part, below, reach + SLACK):
        return Piece(layer=layer, band=part, step=reach, angle=90.0, island=True, span=None)
    step = farthest(part, below)
    far = step > BRIDGE_STEPS * rise
    here = _knit(here) if far else here
    band = near & (here - below)
    touching = [p for p in pieces(band) if p.intersects(part)]
    band = shapely.MultiPolygon(touching).simplify(FINE) if touching else part
    span = best_span(band, here - band.buffer(SEAM, quad_segs=2)) if far else None
    return Piece(layer=layer, band=band, step=step, angle=degrees(atan2(step, rise)), island=False, span=span)


def _knit(region: Region) -> Region:
    """Close gaps narrower than ``TOUCH``: lines laid so near to one another touch."""
    return region.buffer(TOUCH / 2, quad_segs=4).buffer(-TOUCH / 2, quad_segs=4)


def clusters(found: list[Piece]) -> list[list[Piece]]:
    """Join pieces of consecutive layers whose bands meet; islands stay alone."""
    parent = list(range(len(found)))

    def root(i: int) -> int:
        while parent[i] != i:
            parent[i] = parent[parent[i]]
            i = parent[i]
        return i

    by_layer: dict[int, list[int]] = {}
    for i, piece in enumerate(found):
        if not piece.island:
            by_layer.setdefault(piece.layer, []).append(i)
    for layer, members in by_layer.items():
        upper = by_layer.get(layer + 1)
        if not upper:
            continue
        tree = shapely.STRtree([found[i].band for i in upper])
        bands = as_array([found[i].band for i in members])
        for low, high in tree.query(bands, predicate="dwithin", distance=NEIGHBOURING).T:
            parent[root(members[low])] = root(upper[high])
    groups: dict[int, list[Piece]] = {}
    for i, piece in enumerate(found):
        groups.setdefault(root(i), []).append(piece)
    return list(groups.values())

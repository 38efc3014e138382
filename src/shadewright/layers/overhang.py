"""Overhangs, bridges and islands: which of what hangs free will print.

Rules, all common practice without a source unless said otherwise: overhangs to 45 degrees from the vertical are sound,
to 60 doubtful, beyond that failing; bridges to 10 mm are sound, to 25 mm doubtful; a round horizontal hole to 6 mm
closes by itself. Flat overhangs printed to somewhere between 0.5 and 1.5 mm in the tests of Mazlan et al., JAITA 2020.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import sqrt

import numpy as np
import numpy.typing as npt
import shapely

from shadewright.findings import Verdict
from shadewright.layers.bridging import Span, best_span
from shadewright.layers.cutting import Layers, Region
from shadewright.layers.plane import around, farthest, width
from shadewright.layers.report import Trouble
from shadewright.layers.unsupported import SEAM, SOUND_ANGLE, Piece, clusters, unsupported
from shadewright.progress import SILENT, Progress
from shadewright.solid.mesh import Floats, Mesh

DOUBTFUL_ANGLE = 60.0
ANGLE_SLACK = 0.5
"""Angles this little over a limit are drawn at the limit."""
SOUND_BRIDGE, DOUBTFUL_BRIDGE = 10.0, 25.0
SOUND_REACH, DOUBTFUL_REACH = 0.5, 1.5
SOUND_ROOF = 6.5 / sqrt(2)
"""A round hole is steeper than 45 degrees over D sin 45° of its roof [mm]; half a millimetre more for whole layers."""
DOUBTFUL_ROOF = 10.0
SMALL = 5.0
"""Clusters no wider than this are tried for bridging along two directions only [mm]."""

MOST_BELOW = 6
"""What carries a cluster is looked for in so many of the layers below its pieces, the lowest included."""

FACING = 0.1
"""A facet belongs to a patch when its middle lies within this of it in plan [mm]."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Spot:
    """One connected piece of trouble, or of what might have been trouble.

    Attributes:
        trouble: Which kind.
        verdict: How it comes out.
        low, high: First and last layer it spans.
        region: All of it, seen from below.
        lowest: Its lowest layer alone.
        measure: As in ``report.Patch``.
        reach: How far it hangs from what carries it [mm].
    """

    trouble: Trouble
    verdict: Verdict
    low: int
    high: int
    region: Region
    lowest: Region
    measure: float
    reach: float


class Undersides:
    """The faces of a part that look down more steeply than the sound angle, for looking up their angles."""

    def __init__(self, mesh: Mesh) -> None:
        vectors = mesh.face_vectors
        sizes = np.linalg.norm(vectors, axis=1)
        with np.errstate(invalid="ignore", divide="ignore"):
            down = np.where(sizes > 0, -vectors[:, 2] / sizes, -1.0)
        self.faces: npt.NDArray[np.int64] = np.flatnonzero(down > np.sin(np.radians(44.0)))
        self.angles: Floats = np.degrees(np.arcsin(np.clip(down[self.faces], -1, 1)))
        corners = mesh.corners[self.faces]
        self.z_low, self.z_high = corners[:, :, 2].min(axis=1), corners[:, :, 2].max(axis=1)
        self.middles = shapely.points(corners[:, :, :2].mean(axis=1))
        self._tree = shapely.STRtree(self.middles)

    def steepest(self, region: Region, z_low: float, z_high: float) -> float | None:
        """Steepest face over ``region`` between two heights, degrees from the vertical; None without one."""
        near = self._tree.query(region, predicate="dwithin", distance=FACING)
        near = near[(self.z_high[near] >= z_low) & (self.z_low[near] <= z_high)]
        return float(self.angles[near].max()) if len(near) else None


def hanging(layers: Layers, mesh: Mesh, line_width: float, progress: Progress = SILENT) -> list[Spot]:
    """Judge everything that hangs free; sound spots are returned too."""
    undersides = Undersides(mesh)
    spots: list[Spot] = []
    for cluster in clusters(unsupported(layers, progress)):
        if cluster[0].island:
            spots.append(_island(cluster[0], line_width))
        else:
            spots += _hanging_cluster(cluster, layers, undersides)
    return spots


def _island(piece: Piece, line_width: float) -> Spot:
    tiny = piece.band.buffer(-line_width / 2).is_empty
    return Spot(
        trouble=Trouble.ISLAND,
        verdict=Verdict.DOUBTFUL if tiny else Verdict.FAILING,
        low=piece.layer,
        high=piece.layer,
        region=piece.band,
        lowest=piece.band,
        measure=piece.band.area,
        reach=0.0,
    )


def _hanging_cluster(cluster: list[Piece], layers: Layers, undersides: Undersides) -> list[Spot]:
    bridging = [piece for piece in cluster if piece.bridges]
    leaning = [piece for piece in cluster if not piece.bridges]
    spots = [_bridge(piece) for piece in bridging]
    if leaning:
        spots.append(_overhang(cluster, leaning, layers, undersides))
    return spots


def _bridge(piece: Piece) -> Spot:
    length = piece.span.length if piece.span else 0.0
    return Spot(
        trouble=Trouble.BRIDGE,
        verdict=_graded(length, SOUND_BRIDGE, DOUBTFUL_BRIDGE),
        low=piece.layer,
        high=piece.layer,
        region=piece.band,
        lowest=piece.band,
        measure=length,
        reach=length / 2,
    )


def _overhang(cluster: list[Piece], leaning: list[Piece], layers: Layers, undersides: Undersides) -> Spot:
    low, high = leaning[0].layer, max(piece.layer for piece in leaning)
    region = _joined(leaning)
    whole, support = _whole_and_support(region if len(leaning) == len(cluster) else _joined(cluster), cluster, layers)
    roof = best_span(whole, support, axes_only=width(whole) <= SMALL)
    gentle = all(piece.angle <= SOUND_ANGLE + ANGLE_SLACK for piece in leaning)
    steep = [piece for piece in leaning if piece.angle > DOUBTFUL_ANGLE + ANGLE_SLACK]
    reach = roof.length / 2 if roof.holds else farthest(region, support)
    steep_region = region if len(steep) == len(leaning) else _joined(steep)
    steep_reach = min(reach, farthest(steep_region, support)) if steep else 0.0
    z_low, z_high = float(layers.bottoms[low]), float(layers.bottoms[high] + layers.thickness[high])
    facet = undersides.steepest(region, z_low - float(layers.thickness[low]), z_high)
    return Spot(
        trouble=Trouble.OVERHANG,
        verdict=Verdict.SOUND if gentle else _overhang_verdict(roof, reach, steep_reach),
        low=low,
        high=high,
        region=region,
        lowest=_joined([piece for piece in leaning if piece.layer == low]),
        measure=max(piece.angle for piece in leaning) if facet is None else facet,
        reach=reach,
    )


def _overhang_verdict(roof: Span, reach: float, steep_reach: float) -> Verdict:
    if reach <= SOUND_REACH or (roof.holds and roof.length <= SOUND_ROOF):
        return Verdict.SOUND
    if steep_reach <= DOUBTFUL_REACH or (roof.holds and roof.length <= DOUBTFUL_ROOF):
        return Verdict.DOUBTFUL
    return Verdict.FAILING


def _whole_and_support(whole: Region, cluster: list[Piece], layers: Layers) -> tuple[Region, Region]:
    """All of a cluster in plan, and what carries it: the layers its pieces lie on, where it does not cover them."""
    whole = whole.buffer(SEAM, quad_segs=2)
    lie_on = sorted({piece.layer - 1 for piece in cluster})
    asked = {lie_on[int(at)] for at in np.linspace(0, len(lie_on) - 1, MOST_BELOW)}
    below = [around(layers.regions[i], whole.bounds, 1.0) for i in asked]
    return whole, shapely.union_all([region - whole for region in below])


def _joined(found: list[Piece]) -> Region:
    if len(found) == 1:
        return found[0].band
    return shapely.union_all([piece.band for piece in found], grid_size=1e-5)


def _graded(value: float, sound: float, doubtful: float) -> Verdict:
    if value <= sound:
        return Verdict.SOUND
    return Verdict.DOUBTFUL if value <= doubtful else Verdict.FAILING

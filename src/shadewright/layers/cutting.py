"""A part, cut into layers: the small interface that all checks stand on.

``cut`` is all they use. How a layer's contours come about (``contours``) and how they become polygons with holes can be
replaced without touching a check.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
import shapely

from shadewright.errors import ModelProblem
from shadewright.layers.contours import contours
from shadewright.progress import SILENT, Progress, stepping
from shadewright.solid.mesh import Floats, Mesh

Region = Any
"""A shapely polygon or multi-polygon [mm]."""

STRAIGHT = 0.0001
"""Points nearer than this to the line through their neighbours are dropped [mm]; far below what a printer shows."""

EMPTY: Region = shapely.MultiPolygon()


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Layers:
    """A part's layers from the bed up.

    Attributes:
        bottoms: (n,) where each layer begins [mm].
        heights: (n,) where each was cut: half-way up [mm].
        thickness: (n,) its height [mm].
        regions: n polygons with holes; where two layers do not differ, the very same object.
    """

    bottoms: Floats
    heights: Floats
    thickness: Floats
    regions: tuple[Region, ...]

    def __len__(self) -> int:
        return len(self.regions)

    def same_as_below(self, i: int) -> bool:
        """Whether layer ``i`` is the same as the one it lies on."""
        return i > 0 and self.regions[i] is self.regions[i - 1]


def cut(mesh: Mesh, first_layer: float, layer: float, progress: Progress = SILENT) -> Layers:
    """Cut a part into layers of even height, the first one apart, each at half its height.

    Args:
        mesh: Closed, standing on z = 0.
        first_layer: Height of the first layer [mm].
        layer: Height of all others [mm].
        progress: Told of every layer.

    Raises:
        ModelProblem: The mesh is not closed, or encloses nothing.
    """
    bottoms, thickness = _grid(float(mesh.vertices[:, 2].max()), first_layer, layer)
    heights = bottoms + thickness / 2
    regions: list[Region] = []
    previous: list[Floats] = []
    loops_of_layers = stepping(progress, "cutting layers", contours(mesh, heights), len(heights))
    for loops in loops_of_layers:
        if regions and _same(loops, previous):
            regions.append(regions[-1])
            continue
        previous = loops
        region = assemble(loops)
        alike = regions and shapely.equals_exact(region, regions[-1], tolerance=1e-9)
        regions.append(regions[-1] if alike else region)
    if all(region.is_empty for region in regions):
        raise ModelProblem.of("it encloses no volume", "repair the model first", mesh.name)
    return Layers(bottoms=bottoms, heights=heights, thickness=thickness, regions=tuple(regions))


def _grid(height: float, first_layer: float, layer: float) -> tuple[Floats, Floats]:
    """Bottoms and thicknesses of all layers whose middle lies in the part; one layer at least."""
    above = max(0, int(np.ceil((height - first_layer) / layer - 0.5 - 1e-9)))
    bottoms = np.concatenate([[0.0], first_layer + layer * np.arange(above)])
    thickness = np.concatenate([[min(first_layer, height)], np.full(above, layer)])
    return bottoms, thickness


def _same(loops: list[Floats], others: list[Floats]) -> bool:
    return len(loops) == len(others) and all(
        a.shape == b.shape and np.allclose(a, b, rtol=0, atol=1e-9) for a, b in zip(loops, others, strict=True)
    )


def assemble(loops: list[Floats]) -> Region:
    """Turn contours into polygons with holes: whatever they wind around more often to the left than to the right.

    Contours that neither cross nor touch are nested by containment. Any others (several bodies through one another,
    shells that touch) are broken into faces, and every face is kept whose winding number is positive.
    """
    rings = [ring for ring in loops if len(ring) > 2]
    if not rings:
        return EMPTY
    region = _nested(rings)
    if region is None or not region.is_valid:
        region = _by_winding(rings)
    simpler = shapely.simplify(region, STRAIGHT, preserve_topology=False)
    return simpler if simpler.is_valid else region


def _nested(rings: list[Floats]) -> Region | None:
    areas = np.array([signed_area(ring) for ring in rings])
    faces = [shapely.Polygon(ring) for ring in rings]
    outer, holes = np.flatnonzero(areas > 0), np.flatnonzero(areas < 0)
    if not len(outer):
        return None
    of_outer: dict[int, list[Floats]] = {int(i): [] for i in outer}
    if len(holes):
        tree = shapely.STRtree([faces[i] for i in outer])
        spots = shapely.points([rings[i][0] for i in holes])
        hole_index, outer_index = tree.query(spots, predicate="within")
        for place, hole in enumerate(holes):
            around = outer[outer_index[hole_index == place]]
            if not len(around):
                return None
            of_outer[int(around[np.argmin(areas[around])])].append(rings[hole])
    made = [shapely.Polygon(rings[i], inner) for i, inner in of_outer.items()]
    return made[0] if len(made) == 1 else shapely.MultiPolygon(made)


def _by_winding(rings: list[Floats]) -> Region:
    lines = shapely.node(shapely.MultiLineString([np.vstack([ring, ring[:1]]) for ring in rings]))
    faces = shapely.get_parts(shapely.polygonize([lines]))
    spots = shapely.get_coordinates(shapely.point_on_surface(faces))
    kept = faces[winding(rings, spots) > 0]
    return shapely.union_all(kept) if len(kept) else EMPTY


def winding(rings: list[Floats], spots: Floats) -> Floats:
    """How often ``rings`` wind counter-clockwise around each of the (k, 2) ``spots``; (k,)."""
    turns = np.zeros(len(spots))
    x, y = spots[:, :1], spots[:, 1:]
    for ring in rings:
        (ax, ay), (bx, by) = ring.T, np.roll(ring, -1, axis=0).T
        left = (bx - ax) * (y - ay) - (x - ax) * (by - ay) > 0
        up, down = (ay <= y) & (by > y) & left, (ay > y) & (by <= y) & ~left
        turns += up.sum(axis=1) - down.sum(axis=1)
    return turns


def signed_area(ring: Floats) -> float:
    """Area of a closed contour [mm²], positive when it turns left."""
    x, y = ring.T - ring[0][:, None]
    return float((x * np.roll(y, -1) - np.roll(x, -1) * y).sum() / 2)


def pieces(region: Region) -> list[Region]:
    """The polygons of a region, one by one."""
    return [part for part in shapely.get_parts(region) if part.geom_type == "Polygon" and not part.is_empty]

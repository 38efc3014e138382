"""The sections of a printed arm along its line, from its own polygons, with its walls full and its core thin.

The part is turned so that the arm's line stands upright and is cut there exactly as layers are cut; of the first cut
the piece nearest to the line is the arm, of every next one what lies over the arm so far. Walls and skins fill a band
inside its outline: as thick as the walls where the outline runs up and down on the printer, as thick as the skins where
it lies flat. What is inside carries as much less as its infill does: the fraction filled, to a power between 1
(straight struts) and 2 (bending struts; Gibson and Ashby, Cellular Solids, from memory).
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
import shapely

from shadewright.errors import ValueProblem
from shadewright.hold.section import Section, lessened, section_of
from shadewright.layers.contours import contours
from shadewright.layers.cutting import Region, assemble, pieces, signed_area
from shadewright.solid.mesh import Floats, Mesh

STEP = 1.0
"""Sections are this far apart [mm], ..."""
FEWEST, MOST = 40, 300
"""... but there are no fewer and no more than these."""
INSIDE = 1e-3
"""The end sections are cut inside the ends by this share of the length, so that they do not graze a face."""
POWERS = (1.0, 1.5, 2.0)
"""Powers of the filled fraction for which sections are worked out; others lie between."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Fill:
    """How a part is filled: thickness of walls and of skins [mm], and the fraction filled inside [-]."""

    wall: float
    skin: float
    infill: float


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Arm:
    """An arm as a row of sections.

    Attributes:
        stations: (n,) distance of every section from the root [mm].
        sections: n sections for each of ``POWERS``.
        whole: n areas of the solid outline [mm²], for its own weight.
        frame: (3, 3) rows u, v, w: the sections' x and y, and the line from root to tip, in part coordinates.
        root: (3,) where the line begins [mm].
        length: From root to tip [mm].
        layer_angle: Of the line against the layers [degrees]: 0 within them, 90 straight across.
    """

    stations: Floats
    sections: tuple[tuple[Section, ...], ...]
    whole: Floats
    frame: Floats
    root: Floats
    length: float
    layer_angle: float

    def centroids(self, power: int) -> Floats:
        """(n, 3) centres of the sections in the frame, from the root [mm]."""
        flat = np.array([section.centroid for section in self.sections[power]])
        return np.column_stack([flat - self.frame[:2] @ self.root, self.stations])


def arm_of(mesh: Mesh, root: Floats, tip: Floats, fill: Fill) -> Arm:
    """Cut an arm into sections along the line from ``root`` to ``tip``.

    Args:
        mesh: Closed, as it stands on the bed.
        root: (3,) where it is held [mm].
        tip: (3,) where it ends [mm].
        fill: How it is filled.

    Raises:
        ValueProblem: Both points are the same, or the line leaves the part.
        ModelProblem: The mesh is not closed.
    """
    length = float(np.linalg.norm(tip - root))
    if not length > 0:
        raise ValueProblem.of("the bracket's root and tip are the same point", "state two points of the arm")
    frame = _frame((tip - root) / length)
    turned = Mesh(mesh.vertices @ frame.T, mesh.faces, mesh.name)
    count = int(np.clip(np.ceil(length / STEP - 1e-6), FEWEST, MOST)) + 1
    stations = length * np.linspace(0, 1, count)
    start = frame @ root
    pairs = list(_cuts(turned, start, np.clip(stations, INSIDE * length, (1 - INSIDE) * length), _band(frame, fill)))
    solids = [section_of(_rings(outer)) for outer, _ in pairs]
    cores = [None if core.is_empty else section_of(_rings(core)) for _, core in pairs]
    return Arm(
        stations=stations,
        sections=tuple(
            tuple(lessened(whole, core, fill.infill**power) for whole, core in zip(solids, cores, strict=True))
            for power in POWERS
        ),
        whole=np.array([section.area for section in solids]),
        frame=frame,
        root=root,
        length=length,
        layer_angle=float(np.degrees(np.arcsin(min(abs(frame[2, 2]), 1.0)))),
    )


def _frame(along: Floats) -> Floats:
    """Right-handed rows u, v, w: u lies level on the bed, v as upright as it can, w along the line."""
    level = np.cross([0.0, 0.0, 1.0], along)
    if np.linalg.norm(level) < 1e-9:
        level = np.array([1.0, 0.0, 0.0])
    u = level / np.linalg.norm(level)
    return np.array([u, np.cross(along, u), along])


def _band(frame: Floats, fill: Fill) -> tuple[float, float]:
    """Thickness of the full band along u and along v [mm]."""
    rises = float(abs(frame[1, 2]))
    return fill.wall, max(fill.wall * float(np.sqrt(max(1 - rises**2, 0.0))), fill.skin * rises)


def _cuts(mesh: Mesh, start: Floats, stations: Floats, band: tuple[float, float]) -> Iterator[tuple[Region, Region]]:
    """Outline and core of the arm at every station."""
    below: Region = shapely.Point(start[0], start[1])
    for i, (station, loops) in enumerate(zip(stations, contours(mesh, start[2] + stations), strict=True)):
        found = pieces(assemble(loops))
        kept = [piece for piece in found if piece.intersects(below)] if i else sorted(found, key=below.distance)[:1]
        if not kept:
            raise ValueProblem.of(
                f"the bracket's line leaves the part {station:.1f} mm from its root", "mend root and tip"
            )
        below = kept[0] if len(kept) == 1 else shapely.MultiPolygon(kept)
        yield below, _core(below, *band)


def _core(outer: Region, along_u: float, along_v: float) -> Region:
    """What lies farther inside than the band; an elliptic brush is a round one on squeezed axes."""
    from shapely.affinity import scale

    if min(along_u, along_v) <= 0:
        return outer
    squeezed = scale(outer, 1.0, along_u / along_v, origin=(0, 0))
    return scale(squeezed.buffer(-along_u, join_style="mitre"), 1.0, along_v / along_u, origin=(0, 0))


def _rings(region: Region) -> list[Floats]:
    """Contours of a region, outer ones turning left and holes right."""
    made = []
    for piece in pieces(region):
        for ring, sign in ((piece.exterior, 1), *((inner, -1) for inner in piece.interiors)):
            points = np.asarray(ring.coords, dtype=np.float64)[:-1, :2]
            made.append(points if signed_area(points) * sign > 0 else points[::-1])
    return made

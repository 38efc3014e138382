"""Whether a part fits the printer, turned on the bed if need be."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from shadewright.printing import PrintSetup
from shadewright.solid.mesh import Mesh

TURNS_DEG = np.arange(0.0, 180.0, 1.0)
SPARE = 1e-6


@dataclass(frozen=True, slots=True, kw_only=True)
class BedFit:
    """How a part sits on the bed.

    Attributes:
        fits: Whether it does at all.
        turn_deg: By how much it must be turned about z; 0 as it stands.
        size: Extents (x, y, z) at that turn, or as it stands when none fits [mm].
    """

    fits: bool
    turn_deg: float
    size: tuple[float, float, float]


def bed_fit(mesh: Mesh, setup: PrintSetup) -> BedFit:
    """Try turns about z in whole degrees and take the smallest that fits."""
    import shapely

    height = float(mesh.size[2])
    hull = shapely.get_coordinates(shapely.convex_hull(shapely.multipoints(mesh.vertices[:, :2])))
    for turn in TURNS_DEG:
        cos, sin = np.cos(np.radians(turn)), np.sin(np.radians(turn))
        x, y = np.ptp(hull @ np.array([[cos, sin], [-sin, cos]]), axis=0)
        if x <= setup.bed_x + SPARE and y <= setup.bed_y + SPARE:
            return BedFit(fits=height <= setup.bed_z + SPARE, turn_deg=float(turn), size=(float(x), float(y), height))
    x, y = np.ptp(hull, axis=0)
    return BedFit(fits=False, turn_deg=0.0, size=(float(x), float(y), height))

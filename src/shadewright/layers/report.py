"""What cutting a part into layers yields."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

import numpy as np
import numpy.typing as npt

from shadewright.findings import Finding


class Trouble(StrEnum):
    """Kinds of trouble a patch of a layer can have."""

    OVERHANG = "overhang"
    BRIDGE = "bridge"
    ISLAND = "island"
    THIN = "thin wall"
    FOOTING = "footing"


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Patch:
    """One connected piece of trouble.

    Attributes:
        trouble: Which kind.
        doubtful_only: True when it may well print (45 to 60 degrees; a short bridge), False when it will not.
        z_low, z_high: Heights it spans [mm above the bed].
        area: Area seen from below, each spot counted once [mm²].
        measure: Overhang: steepest degrees from the vertical. Bridge: free span [mm]. Thin wall: least width [mm].
            Island: area of the first layer that starts in mid-air [mm²]. Footing: safety ratio [-].
        x, y: A point inside it [mm].
        outlines: Polygons of its lowest layer, each (k, 2) [mm], for pictures.
    """

    trouble: Trouble
    doubtful_only: bool
    z_low: float
    z_high: float
    area: float
    measure: float
    x: float
    y: float
    outlines: tuple[npt.NDArray[np.float64], ...]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class LayerReport:
    """A part, cut into layers and checked.

    Attributes:
        part: Name of the part.
        layers: Number of layers.
        height: Height as printed [mm].
        volume: Solid volume of the model [mm³].
        bed_area: Area of the first layer [mm²].
        fits_bed: Whether it fits the printer.
        plastic_mm3: Plastic laid, walls and infill [mm³].
        mass_g: Its mass.
        time_s: Likely printing time, warm-up included.
        time_low_s, time_high_s: Range of that time.
        patches: All trouble found.
        trouble_by_face: (m,) uint8 per face of the mesh: 0 none, 1 doubtful, 2 failing; for pictures.
        findings: The same as findings, worst first.
    """

    part: str
    layers: int
    height: float
    volume: float
    bed_area: float
    fits_bed: bool
    plastic_mm3: float
    mass_g: float
    time_s: float
    time_low_s: float
    time_high_s: float
    patches: tuple[Patch, ...]
    trouble_by_face: npt.NDArray[np.uint8]
    findings: tuple[Finding, ...]

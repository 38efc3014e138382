"""How much plastic a part takes, and how long it takes to lay it.

Estimates from layer areas, not from a tool path. What is assumed:

- Walls fill a band of ``walls`` lines inside every outline; what is left is skin (within ``skins`` layers of a top or
  bottom) or infill. Plastic laid is the area filled times the layer's height.
- The length laid is area over line width. Its speed is the wall speed, never above the plastic's flow limit
  (line width x layer height x speed), and half of that on the first layer (common practice, no source).
- Head motion at constant acceleration: a line from rest to rest of length L takes L/v + v/a (kinematics). The head
  stops at every corner that turns more than 30 degrees, at every seam, and at both ends of every line of skin and
  infill, whose mean length is that of a random chord, pi x area / perimeter (Crofton).
- Between outlines it travels at ``TRAVEL_MM_S`` over the mean spacing of pieces, with ``HOP_S`` for pulling the
  plastic back.
- No layer is faster than ``least_layer_s``; every layer change takes ``LAYER_CHANGE_S``.
- The range is ``QUICKER`` to ``SLOWER`` of the printing time (judged, no source): firmware corner rules, speeds of
  inner lines and of skins differ from printer to printer.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import pi, sqrt

import numpy as np
import shapely

from shadewright.layers.cutting import Layers, Region, pieces
from shadewright.layers.plane import as_array, corners, in_parallel, offset
from shadewright.printing import PrintSetup
from shadewright.solid.mesh import Floats

STOP_TURN_DEG = 30.0
TRAVEL_MM_S = 150.0  # common practice, no source
HOP_S = 0.1  # judged, no source
LAYER_CHANGE_S = 0.6  # judged, no source
QUICKER, SLOWER = 0.85, 1.35  # judged, no source


@dataclass(frozen=True, slots=True)
class Laid:
    """Plastic [mm³, g] and time [s] of one print; the time includes warm-up and stands between low and high."""

    plastic_mm3: float
    mass_g: float
    time_s: float
    time_low_s: float
    time_high_s: float


@dataclass(frozen=True, slots=True)
class _LayerShape:
    """What laying depends on, of one distinct layer: areas [mm²], lengths [mm] and counts."""

    wall_area: float
    inner: Region
    inner_area: float
    inner_round: float
    rings: int
    stops: int
    spacing: float


def lay(layers: Layers, setup: PrintSetup) -> Laid:
    """Estimate plastic and time of a part cut into ``layers``."""
    shapes = _shapes(layers, setup)
    solid: list[float] = _solid_areas(layers, shapes, setup.skins).tolist()
    plastic, seconds = 0.0, setup.warm_up_s
    for i, shape in enumerate(shapes):
        infill_area = setup.infill * (shape.inner_area - solid[i])
        plastic += (shape.wall_area + solid[i] + infill_area) * float(layers.thickness[i])
        seconds += _layer_time(shape, solid[i] + infill_area, float(layers.thickness[i]), setup, first=i == 0)
    printing = seconds - setup.warm_up_s
    return Laid(
        plastic_mm3=plastic,
        mass_g=plastic / 1000 * setup.plastic.density_g_cm3,
        time_s=seconds,
        time_low_s=setup.warm_up_s + QUICKER * printing,
        time_high_s=setup.warm_up_s + SLOWER * printing,
    )


def _shapes(layers: Layers, setup: PrintSetup) -> list[_LayerShape]:
    distinct = [i for i in range(len(layers)) if not layers.same_as_below(i)]
    inners = offset([layers.regions[i] for i in distinct], -setup.walls * setup.line_width)
    made: dict[int, _LayerShape] = {}
    for i, inner in zip(distinct, inners, strict=True):
        made[i] = _shape(layers.regions[i], inner, setup.walls)
    return [made[i] for i in np.maximum.accumulate([i if i in made else 0 for i in range(len(layers))])]


def _shape(region: Region, inner: Region, walls: int) -> _LayerShape:
    parts = pieces(region)
    rings = sum(1 + len(part.interiors) for part in parts)
    if not parts:
        return _LayerShape(0.0, inner, 0.0, 0.0, 0, 0, 0.0)
    x_low, y_low, x_high, y_high = region.bounds
    return _LayerShape(
        wall_area=region.area - inner.area,
        inner=inner,
        inner_area=inner.area,
        inner_round=inner.length,
        rings=rings * walls,
        stops=corners(region, STOP_TURN_DEG) * walls,
        spacing=sqrt((x_high - x_low) * (y_high - y_low) / len(parts)) / 2,
    )


def _solid_areas(layers: Layers, shapes: list[_LayerShape], skins: int) -> Floats:
    """(n,) area laid solid inside the walls because a top or bottom is within ``skins`` layers [mm²]."""
    count = len(layers)
    full = np.array([shape.inner_area for shape in shapes])
    bare: Floats = np.zeros(count)
    for away in (-skins, skins):
        other = np.arange(count) + away
        bare[(other < 0) | (other >= count)] = np.inf
        ask = [
            i
            for i in range(count)
            if full[i] > 0 and 0 <= other[i] < count and layers.regions[i] is not layers.regions[other[i]]
        ]
        inner = as_array([shapes[i].inner for i in ask])
        neighbour = as_array([layers.regions[other[i]] for i in ask])
        if ask:
            bare[ask] += in_parallel(_area_outside, inner, neighbour)
    solid: Floats = np.minimum(bare, full)
    return solid


def _area_outside(regions: Floats, others: Floats) -> Floats:
    return np.asarray(shapely.area(shapely.difference(regions, others)), dtype=np.float64)


def _layer_time(shape: _LayerShape, filled: float, thickness: float, setup: PrintSetup, *, first: bool) -> float:
    flow_speed = setup.plastic.flow_limit_mm3_s / (setup.line_width * thickness)
    speed = min(setup.speed_mm_s, flow_speed) * (0.5 if first else 1.0)
    per_stop = speed / setup.acceleration_mm_s2
    walls = shape.wall_area / setup.line_width
    lines = filled / setup.line_width
    chord = pi * shape.inner_area / shape.inner_round if shape.inner_round else 0.0
    turns = lines / chord if chord else 0.0
    laying = (walls + lines) / speed + (shape.stops + turns) * per_stop
    travel = shape.rings * HOP_S + shape.spacing * (shape.rings + 1) / TRAVEL_MM_S
    return max(laying + travel, setup.least_layer_s) + LAYER_CHANGE_S

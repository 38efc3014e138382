"""Raised marks that say on the print itself what it is: tally strokes and plain digits."""

from __future__ import annotations

import math
from itertools import pairwise

import numpy as np

from shadewright.errors import ValueProblem
from shadewright.solid import kernel
from shadewright.solid.mesh import Floats, Mesh

MARK_HEIGHT = 0.8
"""How far marks stand out [mm]: four layers of 0.2 mm; common practice, no source."""

PLATE = 1.2
"""Thickness of the plate under the marks [mm]."""

_STROKES: dict[str, tuple[tuple[tuple[float, float], ...], ...]] = {
    "0": (((0, 0), (1, 0), (1, 2), (0, 2), (0, 0)),),
    "1": (((0.1, 1.4), (0.6, 2), (0.6, 0)),),
    "2": (((0, 2), (1, 2), (1, 1), (0, 0), (1, 0)),),
    "3": (((0, 2), (1, 2), (1, 0), (0, 0)), ((0.3, 1), (1, 1))),
    "4": (((0.2, 2), (0, 0.7), (1, 0.7)), ((0.75, 1.5), (0.75, 0))),
    "5": (((1, 2), (0, 2), (0, 1), (1, 1), (1, 0), (0, 0)),),
    "6": (((0.8, 2), (0, 1), (0, 0), (1, 0), (1, 1), (0, 1)),),
    "7": (((0, 2), (1, 2), (0.4, 0)),),
    "8": (((0, 0), (1, 0), (1, 2), (0, 2), (0, 0)), ((0, 1), (1, 1))),
    "9": (((0.2, 0), (1, 1), (1, 2), (0, 2), (0, 1), (1, 1)),),
    "-": (((0.1, 1), (0.9, 1)),),
}
"""Each sign as strokes on a field one unit wide and two high."""


def stroke_width(nozzle: float) -> float:
    """Width of a mark's strokes [mm]: two lines of the usual nozzle, never under a line of a wide one."""
    return max(0.8, 1.25 * nozzle)


def tally(count: int, stroke: float, length: float) -> kernel.Polygons:
    """``count`` upright strokes from x = 0 to the right and y = 0 up, with a wider gap after every fifth.

    Args:
        count: How many, 1 or more.
        stroke: Width of a stroke [mm].
        length: Height of a stroke [mm].
    """
    if count < 1:
        raise ValueProblem.of(f"a tally of {count} cannot be seen", "count from 1")
    pitch = 2.25 * stroke
    left = [i * pitch + (i // 5) * pitch for i in range(count)]
    return [_upright(x, stroke, length) for x in left]


def digits(text: str, stroke: float, height: float) -> kernel.Polygons:
    """A number in plain strokes, from x = 0 to the right and y = 0 up.

    Args:
        text: Digits, perhaps after a minus sign.
        stroke: Width of a stroke [mm].
        height: Height of the signs over all [mm].

    Raises:
        ValueProblem: A sign that is neither.
    """
    half, unit = stroke / 2, (height - stroke) / 2
    figures = []
    for place, sign in enumerate(text):
        if sign not in _STROKES:
            raise ValueProblem.of(f'"{sign}" cannot be marked', "use digits and a minus sign")
        origin = np.array([half + place * (unit + 2.25 * stroke), half])
        for chain in _STROKES[sign]:
            points = np.array(chain) * unit + origin
            figures += [[_bar(a, b, stroke)] for a, b in pairwise(points)]
    return kernel.plane_union(figures)


def raised(figure: kernel.Polygons, x: float, y: float, floor: float) -> Mesh:
    """Marks standing ``MARK_HEIGHT`` above ``floor`` and sunk a hair into it, their lower left corner at (x, y)."""
    return kernel.extrude(figure, MARK_HEIGHT + 0.05).moved(x, y, floor - 0.05)


def extent(figure: kernel.Polygons) -> tuple[float, float]:
    """Greatest x and y of a figure [mm]."""
    high = np.vstack(figure).max(axis=0)
    return float(high[0]), float(high[1])


def label(number: int, clearance: float, nozzle: float) -> tuple[Mesh, float, float]:
    """A plate that carries a rung's marks: its number as a tally above its clearance in hundredths of a millimetre.

    Args:
        number: Of the rung, 1-based.
        clearance: Drawn clearance on the diameter [mm].
        nozzle: Bore of the nozzle [mm].

    Returns:
        The plate with its upper edge on y = 0 and its middle on x = 0, its width and its height [mm].
    """
    stroke = stroke_width(nozzle)
    strokes, value = tally(number, stroke, 4 * stroke), digits(f"{round(100 * clearance):d}", stroke, 5.5 * stroke)
    widths = [extent(strokes)[0], extent(value)[0]]
    width, height = max(widths) + 2 * stroke, (4 + 5.5 + 3) * stroke
    plate = kernel.box((width, height, PLATE), (0, -height / 2, PLATE / 2))
    parts = [
        plate,
        raised(strokes, -widths[0] / 2, -5 * stroke, PLATE),
        raised(value, -widths[1] / 2, -height + stroke, PLATE),
    ]
    return kernel.union(parts), width, height


def arrow(size: float) -> Mesh:
    """A flat arrowhead pointing along +x, its tip at the origin; shows where counting begins."""
    outline = np.array([[0.0, 0.0], [-size, size / 2], [-size, -size / 2]])
    return kernel.extrude([outline], PLATE)


def _upright(left: float, stroke: float, length: float) -> Floats:
    return np.array([[left, 0], [left + stroke, 0], [left + stroke, length], [left, length]])


def _bar(a: Floats, b: Floats, stroke: float) -> Floats:
    """A stroke from a to b, half its width longer at both ends."""
    along = (b - a) / math.hypot(*(b - a)) * stroke / 2
    across = np.array([-along[1], along[0]])
    return np.array([a - along - across, b + along - across, b + along + across, a - along + across])

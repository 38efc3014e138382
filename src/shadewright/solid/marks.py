"""Raised marks that say on the print itself what it is: tally strokes, plain digits and letters."""

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

_LETTERS: dict[str, tuple[tuple[tuple[float, float], ...], ...]] = {
    "A": (((0, 0), (0, 2), (1, 2), (1, 0)), ((0, 0.9), (1, 0.9))),
    "B": (((0, 0), (0, 2), (0.75, 2), (0.75, 1.1), (0, 1.1)), ((0.75, 1.1), (1, 1.1), (1, 0), (0, 0))),
    "C": (((1, 2), (0, 2), (0, 0), (1, 0)),),
    "D": (((0, 0), (0, 2), (0.5, 2), (1, 1.5), (1, 0.5), (0.5, 0), (0, 0)),),
    "E": (((1, 2), (0, 2), (0, 0), (1, 0)), ((0, 1), (0.8, 1))),
    "F": (((1, 2), (0, 2), (0, 0)), ((0, 1), (0.8, 1))),
    "G": (((1, 2), (0, 2), (0, 0), (1, 0), (1, 0.9), (0.7, 0.9)),),
    "H": (((0, 0), (0, 2)), ((1, 0), (1, 2)), ((0, 1), (1, 1))),
    "J": (((0.4, 2), (1, 2), (1, 0), (0, 0), (0, 0.5)),),
    "K": (((0, 0), (0, 2)), ((1, 2), (0, 0.9)), ((0.35, 1.2), (1, 0))),
    "L": (((0, 2), (0, 0), (1, 0)),),
    "M": (((0, 0), (0, 2), (0.5, 1), (1, 2), (1, 0)),),
    "N": (((0, 0), (0, 2), (1, 0), (1, 2)),),
    "P": (((0, 0), (0, 2), (1, 2), (1, 0.9), (0, 0.9)),),
    "R": (((0, 0), (0, 2), (1, 2), (1, 0.9), (0, 0.9)), ((0.4, 0.9), (1, 0))),
    "S": (((1, 2), (0, 2), (0, 1), (1, 1), (1, 0), (0, 0)),),
    "T": (((0, 2), (1, 2)), ((0.5, 2), (0.5, 0))),
    "U": (((0, 2), (0, 0), (1, 0), (1, 2)),),
    "V": (((0, 2), (0.5, 0), (1, 2)),),
}
"""Letters in few strokes, each one clear of the others and of the axes' names."""


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
        figures += _drawn(_STROKES[sign], origin, unit, stroke)
    return kernel.plane_union(figures)


def letter(sign: str, stroke: float, height: float) -> kernel.Polygons:
    """A capital letter in plain strokes, its middle at the origin.

    Args:
        sign: One of A to V without I, O and Q.
        stroke: Width of a stroke [mm].
        height: Height of the letter over all [mm].

    Raises:
        ValueProblem: Another sign.
    """
    if sign not in _LETTERS:
        raise ValueProblem.of(f'"{sign}" cannot be marked', f"use one of {''.join(_LETTERS)}")
    unit = (height - stroke) / 2
    return kernel.plane_union(_drawn(_LETTERS[sign], np.array([-unit / 2, -unit]), unit, stroke))


def _drawn(
    chains: tuple[tuple[tuple[float, float], ...], ...], origin: Floats, unit: float, stroke: float
) -> list[kernel.Polygons]:
    """The strokes of one sign, its field's lower left corner at ``origin``."""
    figures: list[kernel.Polygons] = []
    for chain in chains:
        figures += [[_bar(a, b, stroke)] for a, b in pairwise(np.array(chain) * unit + origin)]
    return figures


def raised(figure: kernel.Polygons, x: float, y: float, floor: float, height: float = MARK_HEIGHT) -> Mesh:
    """Marks standing ``height`` above ``floor`` and sunk a hair into it, the figure's origin at (x, y) [mm]."""
    return kernel.extrude(figure, height + 0.05).moved(x, y, floor - 0.05)


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

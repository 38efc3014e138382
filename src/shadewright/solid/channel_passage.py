"""A passage for a cord: upright with rounded mouths and a place for a bought cord grip, or level with a roof."""

from __future__ import annotations

import math
from dataclasses import dataclass
from pathlib import Path
from typing import Literal

import numpy as np

from shadewright.errors import ValueProblem, require_positive
from shadewright.solid.mesh import Floats, Mesh
from shadewright.solid.plain_brep import shape_from
from shadewright.solid.plain_features import OVERRUN, Recipe, Stacked, Turned, solid_from
from shadewright.solid.step import write_step

ARC_STEPS = 8
"""Chords of a rounding's quarter circle."""

LEVEL_STEPS = 5
"""The same of a level passage, each a body of its own: 0.04 mm from the true arc at a radius of 3 mm."""

SIDES = 32
"""Corners of a level passage's circle; its flats touch the circle, so that no cord is pinched."""


@dataclass(frozen=True, slots=True, kw_only=True)
class CordPassage:
    """A cord passage, as drawn.

    Attributes:
        hole: Diameter [mm].
        length: From mouth to mouth [mm].
        entry: Rounding of both mouths [mm].
        axis: ``up``, or ``level``: then the hole has a roof of 45 degrees.
        grip: Diameter and depth of the place for a bought cord grip at the upper mouth [mm]; upright ones only.
        wall: Plastic around the widest of it [mm].
    """

    hole: float
    length: float
    entry: float = 2.0
    axis: Literal["up", "level"] = "up"
    grip: tuple[float, float] | None = None
    wall: float = 2.0


def passage_solid(passage: CordPassage, chord: float = 0.01) -> Mesh:
    """Mesh of the passage, standing on z = 0; a level one runs along x.

    Raises:
        ValueProblem: Sizes that cannot be.
        GeometryFailure: The solid failed its own check.
    """
    return solid_from(passage_recipe(passage), chord)


def write_passage_step(path: Path, passage: CordPassage) -> Path:
    """Write the passage as STEP.

    Raises:
        ValueProblem: Sizes that cannot be.
        MissingLibrary: STEP is not installed.
        GeometryFailure: The shape failed its own check.
        FileProblem: The file cannot be written.
    """
    made = passage_recipe(passage)
    return write_step(path, shape_from(made), made.name)


def passage_recipe(passage: CordPassage) -> Recipe:
    """Turn a passage's sizes into pieces.

    Raises:
        ValueProblem: A size is not above 0, or roundings and grip leave nothing.
    """
    _check(passage)
    if passage.axis == "up":
        return Recipe(name="cord passage", bodies=(Turned(contour=_outline(passage)),))
    half, side = passage.length / 2, _half_block(passage)
    corners = np.array([[-side, 0.0], [side, 0.0], [side, 2 * side], [-side, 2 * side]])
    block = _along_x([(-half, corners), (half, corners)])
    return Recipe(name="cord passage", bodies=(block,), cutters=tuple(_level_cut(passage)))


def _check(passage: CordPassage) -> None:
    for name in ("hole", "length", "entry", "wall"):
        require_positive(f"the {name}", getattr(passage, name))
    depth = 0.0
    if passage.grip is not None:
        diameter, depth = passage.grip
        require_positive("the place for the grip", min(diameter, depth))
        if passage.axis == "level":
            raise ValueProblem.of(
                "a level passage has no place for a grip", "leave it out, or make the passage upright"
            )
        if diameter < passage.hole + 2 * passage.entry:
            raise ValueProblem.of(
                f"a grip of {diameter:g} mm does not rest on a mouth of {passage.hole + 2 * passage.entry:g} mm",
                "round the mouth less, or choose a larger grip",
            )
    if passage.length < 2 * passage.entry + depth + 0.4:
        raise ValueProblem.of(
            f"a length of {passage.length:g} mm leaves nothing between mouths rounded by {passage.entry:g} mm",
            "make it longer",
        )


def _outline(passage: CordPassage) -> Floats:
    """Radius and height of an upright passage, from the lower mouth up inside and down outside.

    The lower mouth is rounded as far as 45 degrees: what is flatter would hang over the bed.
    """
    radius, entry = passage.hole / 2, passage.entry
    grip_radius, grip_depth = (passage.grip[0] / 2, passage.grip[1]) if passage.grip else (0.0, 0.0)
    outer = max(radius + entry, grip_radius) + passage.wall
    rest = passage.length - grip_depth
    low = np.linspace(math.pi / 4, 0.0, ARC_STEPS // 2 + 1)
    high = np.linspace(0.0, math.pi / 2, ARC_STEPS + 1)
    start = entry * math.sin(math.pi / 4)
    points = [(radius + entry - entry * math.cos(a), start - entry * math.sin(a)) for a in low]
    points += [(radius + entry - entry * math.cos(a), rest - entry + entry * math.sin(a)) for a in high]
    if passage.grip is not None:
        points += [(grip_radius, rest), (grip_radius, passage.length)]
    return np.array([*points, (outer, passage.length), (outer, 0.0)])


def _half_block(passage: CordPassage) -> float:
    return math.sqrt(2) * (passage.hole / 2 + passage.entry) + passage.wall


def _level_cut(passage: CordPassage) -> list[Stacked]:
    """The roofed hole, and at both mouths one frustum for each chord of the rounding."""
    half, entry, middle = passage.length / 2, passage.entry, _half_block(passage)
    pieces = [_along_x([(x, _drop(passage.hole / 2, middle)) for x in (-half - OVERRUN, half + OVERRUN)])]
    angles = np.linspace(0.0, math.pi / 2, LEVEL_STEPS + 1)
    inward = entry - entry * np.sin(angles)
    growth = entry - entry * np.cos(angles)
    for i in range(LEVEL_STEPS):
        outlines = [_drop(passage.hole / 2 + float(growth[j]), middle) for j in (i, i + 1)]
        inner, outer = half - float(inward[i]), half - float(inward[i + 1])
        if i == LEVEL_STEPS - 1:
            outer += OVERRUN
        pieces.append(_along_x([(inner, outlines[0]), (outer, outlines[1])]))
        pieces.append(_along_x([(-outer, outlines[1]), (-inner, outlines[0])]))
    return pieces


def _drop(radius: float, middle: float) -> Floats:
    """A circle about height ``middle`` with a roof of 45 degrees: (k, 2) sideways and height, counter-clockwise."""
    corner = radius / math.cos(math.pi / SIDES)
    angles = np.radians(135.0 + 180.0 / SIDES) + np.arange(SIDES * 3 // 4) * 2 * math.pi / SIDES
    circle = corner * np.column_stack([np.cos(angles), np.sin(angles)])
    drop = np.vstack([circle, [[0.0, math.sqrt(2) * radius]]])
    return np.asarray(drop + np.array([0.0, middle]), dtype=np.float64)


def _along_x(levels: list[tuple[float, Floats]]) -> Stacked:
    """Outlines of (sideways, height) at rising x."""
    return Stacked(levels=np.array([np.column_stack([np.full(len(yz), x), yz]) for x, yz in levels]))

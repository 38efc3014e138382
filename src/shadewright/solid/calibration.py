"""The piece that shows how a bench prints: two table lamps on one foot, a finial, and a pull chain with its ring.

The lamps lie on the bed, one along X and one along Y; their stems, shades and lengths are outer widths of three sizes
both ways, and a window in each shade gives inner widths. The finial is a tower of three round pins on the foot of
both; beads and ring of the chain are the holes. Every outline is chamfered where it stands on the bed, so that the
first layer's flare stays out of the readings; only the rim of one shade is straight, and there the flare is measured.
A raised letter stands at every feature.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

import numpy as np

from shadewright.errors import ValueProblem, require_positive
from shadewright.solid import kernel
from shadewright.solid.marks import letter, raised, stroke_width
from shadewright.solid.mesh import Floats, Mesh
from shadewright.solid.thread_mesh import one_body

Kind = Literal["outer", "slot", "hole", "height", "foot"]
Point = tuple[float, float, float]

STEM, SHADE, LENGTH = 5.0, 16.0, 48.0
"""Outer widths, each along X and along Y [mm]."""

NARROW, WIDE = 5.0, 10.0
"""Inner widths of both windows [mm]."""

ROUND = (4.0, 8.0, 16.0)
"""Diameters of pins and holes [mm]; the widest pin is the foot of both lamps."""

RIM = 18.0
"""Width of the straight rim whose foot is measured [mm]."""

BODY, STEP = 2.6, 2.6
"""Height of the flat body and of each step of the tower [mm]: enough for the edge of a caliper's jaws."""

WIDEST_NOZZLE = 0.8
"""With wider ones neither the letters nor the smallest hole can be made [mm]."""

NECK, SHOULDER, RIM_START, END = 19.0, 22.2, 35.2, 40.0  # along a lamp, from the middle of the foot
WINDOW = 26.6  # where a window begins along a lamp
BEADS = (21.0, 34.2, 53.4)  # distance of the holes from the middle of the foot, along the chain
BEAD_WALL = 2.0
LINK = 5.0  # width of the chain
CHAMFER = 0.6  # at the bed: more than the first layer flares
CHORD = 0.003
LETTER = 4.0  # height of letters
LETTER_LAYERS = 2  # how far they stand out: enough to be read, and quick


@dataclass(frozen=True, slots=True, kw_only=True)
class PieceFeature:
    """One thing to measure.

    Attributes:
        letter: As raised beside it.
        kind: ``outer``, ``slot``, ``hole``, ``height`` or ``foot``.
        drawn: Size in the model [mm].
        words: What it is: ``stem along Y``.
        ends: The two points of the model that the caliper touches [mm].
        mark: Where the middle of the letter stands [mm].
    """

    letter: str
    kind: Kind
    drawn: float
    words: str
    ends: tuple[Point, Point]
    mark: tuple[float, float]


@dataclass(frozen=True, slots=True, kw_only=True)
class CalibrationPiece:
    """The piece, what is measured on it, and how."""

    mesh: Mesh
    features: tuple[PieceFeature, ...]
    how_to: tuple[str, ...]


HOW_TO = (
    "Print it as it lies, with this bench's usual settings and no brim; let it cool before it comes off.",
    "Take off strings, file nothing. Read each letter once or a few times, in mm to two digits.",
    "A to F: outside jaws from above, half way down, not in the chamfer at the bed.",
    "G to K: inside jaws from above, between the flat walls. P, R, S: the same, turned to the largest reading.",
    "L and M: the tower's pins. N: the round foot below them, between stem and chain.",
    "T: thickness, across rim and bed side, beside the letter. U: from the bed side to the tip of the tower.",
    "V: outside jaws against the bed side, so that they touch the very first layer.",
    "What cannot be reached is left out; a doubtful reading is better taken twice than trusted.",
)


def calibration_piece(nozzle: float = 0.4, layer: float = 0.2, first_layer: float = 0.2) -> CalibrationPiece:
    """Make the piece; its heights are whole layers.

    Args:
        nozzle: Bore of the nozzle [mm]; sets the strokes of the letters.
        layer: Layer height [mm].
        first_layer: Height of the first one [mm].

    Raises:
        ValueProblem: A size is not above 0, or the nozzle too wide for letters and small holes.
    """
    for name, value in (("nozzle", nozzle), ("layer", layer), ("first layer", first_layer)):
        require_positive(name, value)
    if nozzle > WIDEST_NOZZLE:
        raise ValueProblem.of(
            f"a nozzle of {nozzle:g} mm cannot make the piece's letters and its smallest hole",
            f"measure with a nozzle of {WIDEST_NOZZLE:g} mm or less",
        )
    body = first_layer + layer * round((BODY - first_layer) / layer)
    step = layer * max(1, round(STEP / layer))
    whole = kernel.difference(kernel.union(_bodies(body, step)), *_cutters(body))
    features = _features(body, step)
    stroke = stroke_width(nozzle)
    marks = [raised(letter(one.letter, stroke, LETTER), *one.mark, body, LETTER_LAYERS * layer) for one in features]
    return CalibrationPiece(
        mesh=one_body(kernel.union([whole, *marks]), "calibration piece"), features=features, how_to=HOW_TO
    )


# What is measured ----------------------------------------------------------------------------------------------------

_STRAIGHT: tuple[tuple[str, Kind, str, float, str, tuple[float, float], tuple[float, float]], ...] = (
    ("A", "outer", "stem", STEM, "X", (0.0, 16.0), (0.0, 16.0)),
    ("B", "outer", "shade", SHADE, "X", (0.0, 29.0), (-4.5, 24.1)),
    ("C", "outer", "whole lamp, foot to rim", LENGTH, "X", (16.0, 0.0), (37.6, 5.0)),
    ("D", "outer", "stem", STEM, "Y", (17.0, 0.0), (17.0, 0.0)),
    ("E", "outer", "shade", SHADE, "Y", (29.0, 0.0), (24.1, -4.0)),
    ("F", "outer", "whole lamp, foot to rim", LENGTH, "Y", (0.0, 16.0), (5.0, 37.6)),
    ("G", "slot", "window, narrow way", NARROW, "X", (29.1, 0.0), (24.1, 4.0)),
    ("H", "slot", "window, wide way", WIDE, "X", (0.0, 29.1), (0.0, 37.6)),
    ("J", "slot", "window, narrow way", NARROW, "Y", (0.0, 29.1), (4.5, 24.1)),
    ("K", "slot", "window, wide way", WIDE, "Y", (29.1, 0.0), (37.6, 0.0)),
)
"""Letter, kind, name, size, axis, middle of the feature and of its letter."""


def _features(body: float, step: float) -> tuple[PieceFeature, ...]:
    tip, slant = body + 2 * step, ROUND[2] / 2 / math.sqrt(2)
    foot = ((-slant, slant, body / 2), (slant, -slant, body / 2))
    return (
        *_straight(body / 2),
        _pin("L", ROUND[0], body + 1.5 * step, (0.0, 11.0)),
        _pin("M", ROUND[1], body + 0.5 * step, (10.0, 0.0)),
        PieceFeature(
            letter="N", kind="outer", drawn=ROUND[2], words="round foot, 16 mm", ends=foot, mark=_on_chain(10.8)
        ),
        *_holes(body / 2),
        _height("T", body, "thickness of the rim", (-5.0, 37.6), (-7.5, 37.6)),
        _height("U", tip, "tip of the tower above the bed", (13.5, 0.0), (0.0, 0.0)),
        PieceFeature(
            letter="V",
            kind="foot",
            drawn=RIM,
            words="straight rim, along Y, at the bed",
            ends=((37.6, -RIM / 2, 0.0), (37.6, RIM / 2, 0.0)),
            mark=(37.6, -5.0),
        ),
    )


def _straight(z: float) -> list[PieceFeature]:
    made = []
    for sign, kind, name, size, axis, middle, mark in _STRAIGHT:
        reach = np.array([size / 2, 0.0] if axis == "X" else [0.0, size / 2])
        (x0, y0), (x1, y1) = (np.array(middle) - reach).tolist(), (np.array(middle) + reach).tolist()
        made.append(
            PieceFeature(
                letter=sign,
                kind=kind,
                drawn=size,
                words=f"{name}, along {axis}",
                ends=((x0, y0, z), (x1, y1, z)),
                mark=mark,
            )
        )
    return made


def _pin(sign: str, size: float, z: float, mark: tuple[float, float]) -> PieceFeature:
    ends = ((-size / 2, 0.0, z), (size / 2, 0.0, z))
    return PieceFeature(letter=sign, kind="outer", drawn=size, words=f"round pin, {size:g} mm", ends=ends, mark=mark)


def _holes(z: float) -> list[PieceFeature]:
    made = []
    for sign, size, distance in zip("PRS", ROUND, BEADS, strict=True):
        x, y = _on_chain(distance)
        made.append(
            PieceFeature(
                letter=sign,
                kind="hole",
                drawn=size,
                words=f"round hole, {size:g} mm",
                ends=((x - size / 2, y, z), (x + size / 2, y, z)),
                mark=_on_chain(distance - size / 2 - BEAD_WALL - 1.6),
            )
        )
    return made


def _height(sign: str, top: float, words: str, mark: tuple[float, float], at: tuple[float, float]) -> PieceFeature:
    ends = ((*at, 0.0), (*at, top))
    return PieceFeature(letter=sign, kind="height", drawn=top, words=words, ends=ends, mark=mark)


def _on_chain(distance: float) -> tuple[float, float]:
    """A point of the chain's middle line, so far from the middle of the foot [mm]."""
    return -distance / math.sqrt(2), -distance / math.sqrt(2)


# Solids --------------------------------------------------------------------------------------------------------------


def _bodies(body: float, step: float) -> list[Mesh]:
    lamp = [_box(0.0, NECK + 2, STEM), _shade(), _box(RIM_START, END, RIM)]
    convex = [_disc(ROUND[2]), *lamp, *(_turned(outline) for outline in lamp), _link()]
    convex += [_disc(size + 2 * BEAD_WALL) + _on_chain(far) for size, far in zip(ROUND, BEADS, strict=True)]
    bodies = [_standing(outline, body) for outline in convex]
    bodies.append(kernel.extrude([_box(RIM_START, END - 1.0, RIM)], body))
    for i, size in enumerate((ROUND[1], ROUND[0])):
        pin = kernel.cylinder(step + 1, size / 2, chord=CHORD, fit="mean")
        bodies.append(pin.moved(z=body + i * step - 1))
    return bodies


def _box(start: float, end: float, width: float) -> Floats:
    """Outline across the lamp along X."""
    return np.array([[start, -width / 2], [end, -width / 2], [end, width / 2], [start, width / 2]])


def _shade() -> Floats:
    stem, wide = STEM / 2, SHADE / 2
    half = [(NECK, stem), (SHOULDER, wide), (RIM_START + 2, wide)]
    return np.array([(x, -y) for x, y in half] + half[::-1])


def _turned(outline: Floats) -> Floats:
    """The same on the lamp along Y: X and Y change places, and the outline runs on counter-clockwise."""
    return np.ascontiguousarray(outline[::-1, ::-1])


def _disc(diameter: float) -> Floats:
    return kernel.circle(diameter / 2, chord=CHORD, fit="mean")[0]


def _link() -> Floats:
    """The chain's band, from inside the foot into the wall of the last bead."""
    along, across = np.array([-1.0, -1.0]) / math.sqrt(2), np.array([1.0, -1.0]) / math.sqrt(2) * LINK / 2
    start, end = 4.0 * along, (BEADS[2] - ROUND[2] / 2 + 1) * along
    return np.array([start + across, start - across, end - across, end + across])


def _standing(outline: Floats, height: float) -> Mesh:
    """A convex outline raised from the bed, chamfered there."""
    inner = kernel.offset([outline], -CHAMFER)[0]
    levels = ((0.0, inner), (CHAMFER, outline), (height, outline))
    corners = [np.column_stack([plan, np.full(len(plan), z)]) for z, plan in levels]
    return kernel.hull([Mesh(np.vstack(corners), np.zeros((0, 3), dtype=np.int32))])


def _cutters(body: float) -> list[Mesh]:
    window = _box(WINDOW, WINDOW + NARROW, WIDE)
    holes = [_opening(outline, body) for outline in (window, _turned(window))]
    for size, far in zip(ROUND, BEADS, strict=True):
        plain = kernel.cylinder(body + 2, size / 2, chord=CHORD, fit="mean")
        mouth = kernel.cylinder(CHAMFER + 1, size / 2 + CHAMFER + 1, size / 2, chord=CHORD, fit="mean")
        holes += [solid.moved(*_on_chain(far), -1) for solid in (plain, mouth)]
    return holes


def _opening(outline: Floats, body: float) -> Mesh:
    """A window's cutter, wider at the bed by the chamfer."""
    wide = kernel.offset([outline], CHAMFER + 1)[0]
    levels = ((-1.0, wide), (CHAMFER, outline))
    corners = [np.column_stack([plan, np.full(len(plan), z)]) for z, plan in levels]
    mouth = kernel.hull([Mesh(np.vstack(corners), np.zeros((0, 3), dtype=np.int32))])
    return kernel.union([mouth, kernel.extrude([outline], body + 2).moved(z=-1)])

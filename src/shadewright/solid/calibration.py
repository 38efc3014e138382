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
Spot = tuple[float, float]

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
        badge: Where a drawing has room for the letter [mm].
        aside: How far beside the piece a drawing should put the line between ``ends`` [mm].
    """

    letter: str
    kind: Kind
    drawn: float
    words: str
    ends: tuple[Point, Point]
    mark: Spot
    badge: Spot
    aside: float = 0.0


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
    body, step = _whole_layers(layer, first_layer)
    whole = kernel.difference(kernel.union(_bodies(body, step)), *_cutters(body))
    features = _features(body, step)
    stroke = stroke_width(nozzle)
    marks = [raised(letter(one.letter, stroke, LETTER), *one.mark, body, LETTER_LAYERS * layer) for one in features]
    return CalibrationPiece(
        mesh=one_body(kernel.union([whole, *marks]), "calibration piece"), features=features, how_to=HOW_TO
    )


def piece_features(layer: float = 0.2, first_layer: float = 0.2) -> tuple[PieceFeature, ...]:
    """What is measured on the piece made with these layers [mm], in the order of the letters."""
    return _features(*_whole_layers(layer, first_layer))


def _whole_layers(layer: float, first_layer: float) -> tuple[float, float]:
    """Heights of the body and of a step [mm], the nearest that whole layers make."""
    return first_layer + layer * round((BODY - first_layer) / layer), layer * max(1, round(STEP / layer))


# What is measured ----------------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class _Straight:
    """A width along X or Y: middle of the feature, then of its letter, then of its letter on a drawing [mm]."""

    letter: str
    kind: Kind
    name: str
    size: float
    axis: str
    middle: Spot
    mark: Spot
    badge: Spot
    aside: float = 0.0


_STRAIGHT = (
    _Straight("A", "outer", "stem", STEM, "X", (0.0, 16.0), (0.0, 16.0), (-5.0, 16.0)),
    _Straight("B", "outer", "shade", SHADE, "X", (0.0, 33.4), (-4.5, 24.1), (-10.6, 33.4)),
    _Straight("C", "outer", "whole lamp", LENGTH, "X", (16.0, 0.0), (37.6, 5.0), (16.0, -14.0), -14.0),
    _Straight("D", "outer", "stem", STEM, "Y", (17.0, 0.0), (17.0, 0.0), (17.0, -5.0)),
    _Straight("E", "outer", "shade", SHADE, "Y", (33.4, 0.0), (24.1, -4.0), (33.4, -10.6)),
    _Straight("F", "outer", "whole lamp", LENGTH, "Y", (0.0, 16.0), (5.0, 37.6), (-14.0, 16.0), -14.0),
    _Straight("G", "slot", "narrow window", NARROW, "X", (29.1, -2.6), (24.1, 4.0), (29.1, -2.6)),
    _Straight("H", "slot", "wide window", WIDE, "X", (0.0, 29.1), (0.0, 37.6), (2.4, 29.1)),
    _Straight("J", "slot", "narrow window", NARROW, "Y", (-2.6, 29.1), (4.5, 24.1), (-2.6, 29.1)),
    _Straight("K", "slot", "wide window", WIDE, "Y", (29.1, 0.0), (37.6, 0.0), (29.1, 2.4)),
)


def _features(body: float, step: float) -> tuple[PieceFeature, ...]:
    tip, slant = body + 2 * step, ROUND[2] / 2 / math.sqrt(2)
    across = ((-slant, slant, body / 2), (slant, -slant, body / 2))
    small, middle = ROUND[0] / 2, ROUND[1] / 2
    high, low = body + 1.5 * step, body + 0.5 * step
    rim = ((37.6, -RIM / 2, 0.0), (37.6, RIM / 2, 0.0))
    return (
        *(_straight(one, body / 2) for one in _STRAIGHT),
        _feature("L", "outer", "round pin", ((0.0, -small, high), (0.0, small, high)), (0.0, 11.0), (0.0, -5.9)),
        _feature("M", "outer", "round pin", ((-middle, 0.0, low), (middle, 0.0, low)), (10.0, 0.0), (-5.9, 0.0)),
        _feature("N", "outer", "round foot", across, _on_chain(10.8), (slant + 1.9, -slant - 1.9)),
        *_holes(body / 2),
        _feature("T", "height", "thickness of the rim", _upright(-7.5, 37.6, body), (-5.0, 37.6), (-11.6, 37.6)),
        _feature("U", "height", "tower from bed to tip", _upright(0.0, 0.0, tip), (13.5, 0.0), (4.2, 4.2)),
        _feature("V", "foot", "rim along Y at the bed", rim, (37.6, -5.0), (37.6, 11.6)),
    )


def _feature(sign: str, kind: Kind, words: str, ends: tuple[Point, Point], *spots: Spot) -> PieceFeature:
    """A feature; ``spots`` are those of its letter on the piece and on a drawing."""
    mark, badge = spots
    drawn = round(math.dist(*ends), 9)
    return PieceFeature(letter=sign, kind=kind, drawn=drawn, words=words, ends=ends, mark=mark, badge=badge)


def _straight(row: _Straight, z: float) -> PieceFeature:
    reach = np.array([row.size / 2, 0.0] if row.axis == "X" else [0.0, row.size / 2])
    (x0, y0), (x1, y1) = (np.array(row.middle) - reach).tolist(), (np.array(row.middle) + reach).tolist()
    return PieceFeature(
        letter=row.letter,
        kind=row.kind,
        drawn=row.size,
        words=f"{row.name} along {row.axis}",
        ends=((x0, y0, z), (x1, y1, z)),
        mark=row.mark,
        badge=row.badge,
        aside=row.aside,
    )


def _holes(z: float) -> list[PieceFeature]:
    made = []
    for sign, size, distance in zip("PRS", ROUND, BEADS, strict=True):
        x, y = _on_chain(distance)
        ends = ((x - size / 2, y, z), (x + size / 2, y, z))
        mark = _on_chain(distance - size / 2 - BEAD_WALL - 1.6)
        made.append(_feature(sign, "hole", "round hole", ends, mark, (x, y) if size > 6 else (x - 6.0, y)))
    return made


def _upright(x: float, y: float, top: float) -> tuple[Point, Point]:
    return (x, y, 0.0), (x, y, top)


def _on_chain(distance: float) -> Spot:
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

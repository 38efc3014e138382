"""Drawings of the bench: the calibration piece with where to measure it, and prints before and after they were."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence

import numpy as np

from shadewright.findings import Verdict
from shadewright.fit.compared import Panel
from shadewright.fit.evidence import FeatureKind
from shadewright.paper import palette
from shadewright.paper.figures import seen_edges
from shadewright.paper.svg import Figure, Shapes, box, figure, line, path, text
from shadewright.printing import Spread
from shadewright.solid.calibration import CalibrationPiece, PieceFeature
from shadewright.solid.mesh import Floats

FONT = "sans-serif"
SCALE = 8.0  # pixels per mm of the piece
MARGIN = 70
BADGE = 11.0  # radius of a letter's disc [px]
FOOT_INK = palette.VERDICT_INK[Verdict.FAILING]
TITLES = {
    FeatureKind.OUTER: "Outer widths and pins",
    FeatureKind.SLOT: "Slots",
    FeatureKind.HOLE: "Round holes",
}
WIDE, TALL, LEFT, TOP, GAP = 236, 220, 60, 66, 26  # of panels [px]
SURE = 2.0
"""Bands span this many standard deviations to both sides: 19 of 20 prints."""

Place = Callable[[Floats], Floats]


# Where to measure ----------------------------------------------------------------------------------------------------


def measuring_drawing(piece: CalibrationPiece) -> Figure:
    """Draw the piece from above; at every feature its letter, and a line between the points the caliper touches."""
    low, high = piece.mesh.bounds[:, :2]
    width, height = ((high - low) * SCALE + 2 * MARGIN).tolist()

    def at(points: Floats) -> Floats:
        x, y = points[..., 0], points[..., 1]
        return np.stack([(x - low[0]) * SCALE + MARGIN, (high[1] - y) * SCALE + MARGIN], axis=-1)

    edges = "".join(f"M{a[0]:.1f} {a[1]:.1f}L{b[0]:.1f} {b[1]:.1f}" for a, b in at(seen_edges(piece.mesh)))
    shapes: Shapes = [_ground(width, height), path(edges, "none", palette.FADED, 0.9)]
    for feature in piece.features:
        shapes += _measured(feature, at)
    for feature in piece.features:  # above all lines
        shapes += _badge(feature.letter, at(np.array(feature.badge)), _ink(feature))
    shapes += _legend(width, height)
    says = "Where to measure: " + "; ".join(f"{one.letter} {one.words}, {one.drawn:g} mm" for one in piece.features)
    return figure(shapes, width, height, says, FONT)


def _ground(width: float, height: float) -> str:
    return f'<rect width="{width:.0f}" height="{height:.0f}" fill="{palette.PAPER}"/>'


def _measured(feature: PieceFeature, at: Place) -> Shapes:
    """Line and arrowheads of one feature; heights are seen from above as a point."""
    ends = np.array(feature.ends)[:, :2]
    badge = at(np.array(feature.badge))
    if feature.kind == "height":
        spot = at(ends[0])
        dot = f'<circle cx="{spot[0]:.1f}" cy="{spot[1]:.1f}" r="3.2" fill="{_ink(feature)}"/>'
        return [_leader(spot, badge), dot]
    across = (
        np.array([1.0, 0.0]) if abs(ends[1, 1] - ends[0, 1]) > abs(ends[1, 0] - ends[0, 0]) else np.array([0.0, 1.0])
    )
    moved = at(ends + feature.aside * across)
    shapes = [_leader(a, b) for a, b in zip(at(ends), moved, strict=True) if feature.aside]
    middle = moved.mean(axis=0)
    nearest = min((*moved, middle), key=lambda point: math.dist(point, badge))
    return [*shapes, _leader(nearest, badge), *_dimension(moved[0], moved[1], _ink(feature))]


def _ink(feature: PieceFeature) -> str:
    return {"foot": FOOT_INK, "height": palette.BRASS}.get(feature.kind, palette.SEA)


def _leader(a: Floats, b: Floats) -> str:
    return (
        f'<path d="M{a[0]:.1f} {a[1]:.1f}L{b[0]:.1f} {b[1]:.1f}" stroke="{palette.FADED}" stroke-width="0.8" '
        'stroke-dasharray="3 2.5" fill="none"/>'
    )


def _dimension(a: Floats, b: Floats, ink: str) -> Shapes:
    """A line with an arrowhead at both ends, tips on the points."""
    along = (b - a) / math.dist(a, b)
    across = np.array([-along[1], along[0]])
    heads = []
    for tip, way in ((a, along), (b, -along)):
        one, other = tip + 7 * way + 2.6 * across, tip + 7 * way - 2.6 * across
        heads.append(path(f"M{tip[0]:.1f} {tip[1]:.1f}L{one[0]:.1f} {one[1]:.1f}L{other[0]:.1f} {other[1]:.1f}z", ink))
    (x1, y1), (x2, y2) = a.tolist(), b.tolist()
    return [line(x1, y1, x2, y2, ink, width=1.6), *heads]


def _badge(letter: str, at: Floats, ink: str) -> Shapes:
    x, y = at.tolist()
    disc = f'<circle cx="{x:.1f}" cy="{y:.1f}" r="{BADGE}" fill="{palette.PAPER}" stroke="{ink}" stroke-width="1.5"/>'
    return [disc, text(x, y + 6, letter, "middle", bold=True, big=True)]


def _legend(width: float, height: float) -> Shapes:
    words = (
        (palette.SEA, "outside jaws on widths and pins, inside jaws in windows and holes"),
        (palette.BRASS, "height, from the bed side up"),
        (FOOT_INK, "V: at the bed side, over the first layer"),
    )
    left, shapes = 0.42 * width, []
    for row, (ink, what) in enumerate(words):
        y = height - 62 + 18 * row
        shapes += [line(left, y - 4, left + 18, y - 4, ink, width=3), text(left + 26, y, what, "start")]
    return shapes


# Before and after ----------------------------------------------------------------------------------------------------


def comparison_figure(panels: Sequence[Panel], title: str) -> Figure:
    """Draw what prints were expected to come out at before and after the readings, and the readings.

    Args:
        panels: As ``fit.compared.compare`` gives them, at least one.
        title: Whose prints.
    """
    reach = _reach(panels)
    width = LEFT + len(panels) * (WIDE + GAP) + 6
    height = TOP + TALL + 92
    shapes: Shapes = [_ground(width, height), text(16, 26, title, "start", bold=True, big=True)]
    shapes.append(text(16, 46, "How far prints come out from the drawing, in mm", "start"))
    for place, panel in enumerate(panels):
        shapes += _panel(panel, LEFT + place * (WIDE + GAP), reach, first=place == 0)
    shapes += _key(height - 22)
    return figure(shapes, width, height, _says(panels, title), FONT)


def _reach(panels: Sequence[Panel]) -> tuple[float, float]:
    """Least and greatest error shown [mm], in whole tenths, the same for all panels."""
    ends = [0.0]
    for panel in panels:
        ends += [one.mean + sign * SURE * one.sd for one in (*panel.before, *panel.after) for sign in (-1, 1)]
        ends += [error for _, error in panel.dots]
    return math.floor(10 * min(ends)) / 10, math.ceil(10 * max(ends)) / 10


def _panel(panel: Panel, left: float, reach: tuple[float, float], *, first: bool) -> Shapes:
    low, high = math.log(panel.drawn[0]), math.log(panel.drawn[-1])

    def x(size: float) -> float:
        return left + (math.log(size) - low) / (high - low) * WIDE

    def y(error: float) -> float:
        return TOP + (reach[1] - error) / (reach[1] - reach[0]) * TALL

    shapes = [_frame(left), text(left + WIDE / 2, TOP - 4, TITLES[panel.kind], "middle", bold=True)]
    for tick in _ticks(reach):
        shapes.append(line(left, y(tick), left + WIDE, y(tick), palette.INK if tick == 0 else palette.RULE, width=0.8))
        shapes += [text(left - 6, y(tick) + 4, f"{tick:+.1f}" if tick else "0", "end")] if first else []
    for size in sorted({drawn for drawn, _ in panel.dots}):
        shapes.append(line(x(size), TOP + TALL, x(size), TOP + TALL + 5, palette.INK))
        shapes.append(text(x(size), TOP + TALL + 18, f"{size:g}", "middle"))
    shapes.append(text(left + WIDE / 2, TOP + TALL + 36, "drawn size, mm", "middle"))
    xs = [x(size) for size in panel.drawn]
    shapes += _band(xs, panel.before, y, palette.BRASS_LIGHT, dashed=True)
    shapes += _band(xs, panel.after, y, palette.SEA_LIGHT, dashed=False)
    shapes += [_cross(x(drawn), y(error)) for drawn, error in panel.dots]
    return shapes


def _frame(left: float) -> str:
    return f'<rect x="{left}" y="{TOP + 4}" width="{WIDE}" height="{TALL - 4}" fill="{palette.WHITE}"/>'


def _ticks(reach: tuple[float, float]) -> list[float]:
    """Round errors, five to ten of them."""
    step = next(step for step in (0.1, 0.2, 0.5, 1, 2, 5, 10) if (reach[1] - reach[0]) / step <= 8)
    return [round(step * k, 6) for k in range(math.ceil(reach[0] / step), math.floor(reach[1] / step) + 1)]


def _band(xs: list[float], errors: Sequence[Spread], y: Callable[[float], float], fill: str, *, dashed: bool) -> Shapes:
    upper = [f"{x:.1f} {y(one.mean + SURE * one.sd):.1f}" for x, one in zip(xs, errors, strict=True)]
    lower = [f"{x:.1f} {y(one.mean - SURE * one.sd):.1f}" for x, one in zip(xs, errors, strict=True)]
    middle = [f"{x:.1f} {y(one.mean):.1f}" for x, one in zip(xs, errors, strict=True)]
    ink = palette.BRASS if dashed else palette.SEA
    dash = ' stroke-dasharray="6 4"' if dashed else ""
    outline = f'fill="{fill}" fill-opacity="0.55" stroke="{ink}" stroke-width="0.7"{dash}'
    area = f'<path d="M{"L".join(upper + lower[::-1])}z" {outline}/>'
    return [area, f'<path d="M{"L".join(middle)}" fill="none" stroke="{ink}" stroke-width="2"{dash}/>']


def _cross(x: float, y: float) -> str:
    return path(f"M{x - 4:.1f} {y - 4:.1f}l8 8m0 -8l-8 8", "none", palette.INK, 1.4)


def _key(y: float) -> Shapes:
    before = f'<path d="M16 {y - 4}h26" stroke="{palette.BRASS}" stroke-width="2" stroke-dasharray="6 4"/>'
    return [
        box(16, y - 11, 26, 14, palette.BRASS_LIGHT),
        before,
        text(50, y, "expected before", "start"),
        box(176, y - 11, 26, 14, palette.SEA_LIGHT),
        line(176, y - 4, 202, y - 4, palette.SEA, width=2),
        text(210, y, "expected now (bands: 19 of 20 prints)", "start"),
        _cross(466, y - 4),
        text(478, y, "reading", "start"),
    ]


def _says(panels: Sequence[Panel], title: str) -> str:
    told = []
    for panel in panels:
        at = len(panel.drawn) // 2
        before, after = (f"{one.mean:+.2f} ± {SURE * one.sd:.2f} mm" for one in (panel.before[at], panel.after[at]))
        size = f"{TITLES[panel.kind]} at {panel.drawn[at]:.0f} mm"
        told.append(f"{size}: {before} expected before, {after} now, {len(panel.dots)} readings")
    return f"{title}. {'; '.join(told)}."

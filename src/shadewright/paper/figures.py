"""Small line figures as SVG text: chances of a joint, what its allowance is spent on, trouble by height, a trial."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from shadewright.fit.joint import Feel, Share, Sizing
from shadewright.layers.report import Patch
from shadewright.paper import palette, wording
from shadewright.paper.svg import SCREEN_FIGURE, Figure, Shapes
from shadewright.paper.svg import box as _box
from shadewright.paper.svg import figure as _figure
from shadewright.paper.svg import line as _line
from shadewright.paper.svg import path as _path
from shadewright.paper.svg import text as _text
from shadewright.solid.features import TrialPiece
from shadewright.solid.mesh import Floats, Mesh
from shadewright.wording import percent

PRINT_FIGURE = "Libertinus Serif"
MOST_ROWS = 7
LEAST_SHOWN = 0.005
DRAWN_EDGES = 6000
ROOM_FOR_A_SIZE = 36


def chance_figure(sizing: Sizing, feel: str, font: str = SCREEN_FIGURE) -> Figure:
    """Draw six columns, one per feel; the wanted one is filled and named, a diamond shows what is drawn today."""
    column, base, tall = 52, 74, 52
    today = dict(sizing.chances_today or ())
    shapes: Shapes = [_line(0, base, 6 * column, base, palette.INK)]
    for place, (name, chance) in enumerate(sizing.chances):
        middle, high = place * column + column / 2, chance * tall
        wanted = name == feel
        fill = palette.SEA if wanted else palette.RULE
        shapes.append(_box(middle - 15, base - high, 30, high, fill))
        shapes.append(_text(middle, base - high - 5, percent(chance), "middle", bold=wanted))
        shapes.append(_text(middle, base + 14, name, "middle", bold=wanted))
        if wanted:
            shapes.append(_path(f"M{middle - 6} {base + 28}h12l-6 -8z", palette.SEA))
            shapes.append(_text(middle, base + 39, "wanted", "middle", bold=True))
        if name in today:
            y = base - today[name] * tall
            shapes.append(_path(f"M{middle + 21} {y:.1f}l-4.5 -4.5l-4.5 4.5l4.5 4.5z", palette.PAPER, palette.INK))
    says = f"Chance of each feel at the size to draw: {_listed(sizing.chances)}; wanted is {feel}."
    if today:
        says += f" As drawn today: {_listed(sizing.chances_today or ())}."
        where = 0 if list(Feel).index(Feel(feel)) > 2 else 4 * column
        shapes.append(_path(f"M{where + 9} {base + 35}l-4.5 -4.5l-4.5 4.5l4.5 4.5z", palette.PAPER, palette.INK))
        shapes.append(_text(where + 14, base + 39, "as drawn today", "start"))
    return _figure(shapes, 6 * column, base + 46, says, font)


def _listed(chances: Sequence[tuple[Feel, float]]) -> str:
    return ", ".join(f"{name} {percent(chance)}" for name, chance in chances)


def allowance_figure(sizing: Sizing, font: str = SCREEN_FIGURE) -> Figure:
    """Draw what the room in the joint is spent on, one step per share, and what they add up to."""
    room = sizing.allowance if sizing.draw_side == "female" else -sizing.allowance
    steps = _steps(sizing.shares, room)
    ends = np.cumsum([share.mm for share in steps])
    doubt = np.array([share.sd for share in steps])
    low = min(0.0, float((ends - doubt).min(initial=0)), room)
    high = max(0.01, float((ends + doubt).max(initial=0)), room)
    left, wide, row = 176, 118, 19
    scale = wide / (high - low)

    def x(mm: float) -> float:
        return left + (mm - low) * scale

    shapes: Shapes = [_line(x(0), 2, x(0), row * (len(steps) + 1) + 2, palette.FADED)]
    for place, (share, end) in enumerate(zip(steps, ends, strict=True)):
        y = 4 + place * row
        begin = end - share.mm
        fill = palette.BRASS_LIGHT if share.mm >= 0 else palette.SEA_LIGHT
        shapes.append(_box(x(min(begin, end)), y, max(abs(share.mm) * scale, 1), row - 7, fill))
        if share.sd > LEAST_SHOWN:
            shapes.append(_line(x(end - share.sd), y + 6, x(end + share.sd), y + 6, palette.INK, width=1.5))
        shapes.append(_text(left - 8, y + 10, share.name, "end"))
        shapes.append(_text(left + wide + 44, y + 10, wording.signed(share.mm), "end"))
    y = 4 + len(steps) * row
    shapes.append(_box(x(min(0, room)), y, max(abs(room) * scale, 1), row - 7, palette.INK))
    shapes.append(_text(left - 8, y + 10, "room against nominal", "end", bold=True))
    shapes.append(_text(left + wide + 44, y + 10, wording.signed(room), "end", bold=True))
    listed = ", ".join(f"{wording.signed(share.mm)} mm for {share.name}" for share in steps)
    says = f"Room in the joint against nominal, on the diameter: {wording.signed(room)} mm, made up of {listed}."
    return _figure(shapes, left + wide + 46, y + row + 2, says, font)


def _steps(shares: Sequence[Share], room: float) -> list[Share]:
    """Shares worth a row; the small ones and whatever is missing to ``room`` become the last row."""
    worth = [share for share in shares if abs(share.mm) >= LEAST_SHOWN][:MOST_ROWS]
    rest = room - sum(share.mm for share in worth)
    return [*worth, Share(name="the rest", mm=rest, sd=0.0)] if abs(rest) >= LEAST_SHOWN else worth


def layer_figure(patches: Sequence[Patch], height: float, ident: str, font: str = SCREEN_FIGURE) -> Figure:
    """Draw at which heights of a part which trouble sits: striped doubtful, crossed failing."""
    kinds = list(dict.fromkeys(patch.trouble for patch in patches))
    left, tall, column, top = 52, 190, 62, 12
    scale = tall / max(height, 1e-6)
    shapes: Shapes = [_patterns(ident)]
    ticks = _ticks(height)
    for tick in ticks:
        y = top + tall - tick * scale
        shapes.append(_line(left, y, left + column * len(kinds), y, palette.RULE))
        shapes.append(_text(left - 6, y + 4, f"{tick:g} mm" if tick == ticks[-1] else f"{tick:g}", "end"))
    for patch in sorted(patches, key=lambda patch: not patch.doubtful_only):
        x = left + kinds.index(patch.trouble) * column + 13
        deep = max((patch.z_high - patch.z_low) * scale, 4)
        y = min(top + tall - patch.z_high * scale, top + tall - deep)
        fill = f"url(#{ident}-{'doubtful' if patch.doubtful_only else 'failing'})"
        shapes.append(_box(x, y, column - 26, deep, fill))
    shapes.append(_line(left, top + tall, left + column * len(kinds), top + tall, palette.INK, width=1.5))
    for place, kind in enumerate(kinds):
        shapes.append(_text(left + (place + 0.5) * column, top + tall + 15, kind.value, "middle"))
    listed = "; ".join(
        f"{patch.trouble} {wording.patch_verdict(patch)} {wording.heights(patch.z_low, patch.z_high)}"
        for patch in patches[:12]
    )
    says = f"Trouble by height above the bed, part {height:.0f} mm tall: {listed}."
    return _figure(shapes, left + column * len(kinds) + 8, top + tall + 22, says, font)


def _ticks(height: float) -> list[float]:
    """Round heights from the bed up, four to nine of them."""
    step = next(s * 10.0**p for p in range(-3, 4) for s in (1, 2, 5) if height / (s * 10.0**p) <= 8)
    return [round(step * k, 6) for k in range(int(height / step) + 1)]


def _patterns(ident: str, only: str = "") -> str:
    stripe = f'<path d="M-2 2l4 -4M0 8l8 -8M6 10l4 -4" stroke="{palette.INK}" stroke-width="1.4"/>'
    cross = f'<path d="M-2 6l4 4M0 0l8 8M6 -2l4 4" stroke="{palette.INK}" stroke-width="1.4"/>'
    made = (("doubtful", palette.DOUBTFUL_RAMP[2], stripe), ("failing", palette.FAILING_RAMP[3], stripe + cross))
    return (
        "<defs>"
        + "".join(
            f'<pattern id="{ident}-{name}" width="8" height="8" patternUnits="userSpaceOnUse">'
            f'<rect width="8" height="8" fill="{fill}"/>{lines}</pattern>'
            for name, fill, lines in made
            if only in {"", name}
        )
        + "</defs>"
    )


def swatch(kind: str, ident: str) -> Figure:
    """Draw a key for pictures: a square filled as ``doubtful``, ``failing`` or ``bed`` areas are."""
    fill = palette.BED_RAMP[2] if kind == "bed" else f"url(#{ident}-{kind})"
    shapes = ["" if kind == "bed" else _patterns(ident, kind), _box(1, 1, 24, 14, fill)]
    return _figure(shapes, 26, 16, f"{kind} areas in the pictures", SCREEN_FIGURE)


def trial_figure(piece: TrialPiece, font: str = SCREEN_FIGURE) -> Figure:
    """Draw the rung piece from above with the number and size of every rung."""
    mesh = piece.pieces[0]
    low, high = mesh.bounds[:, :2]
    scale = min(300 / float(high[0] - low[0]), 220 / float(high[1] - low[1]))
    width, height = float(high[0] - low[0]) * scale + 20, float(high[1] - low[1]) * scale + 44

    def at(points: Floats) -> Floats:
        return np.stack([(points[..., 0] - low[0]) * scale + 10, (high[1] - points[..., 1]) * scale + 10], axis=-1)

    shapes: Shapes = [_path(_edges_path(at(seen_edges(mesh))), "none", palette.INK, 0.9)]
    for rung in piece.rungs:
        x, y = at(np.array([rung.x, rung.y]))
        roomy = rung.drawn * scale > ROOM_FOR_A_SIZE
        shapes.append(_text(x, y + (2 if roomy else 6), str(rung.number), "middle", bold=True, big=True))
        shapes += [_text(x, y + 15, wording.size(rung.drawn), "middle")] if roomy else []
    shapes.append(_text(10, height - 8, f"{float(high[0] - low[0]):.0f} by {float(high[1] - low[1]):.0f} mm", "start"))
    rungs = ", ".join(f"rung {rung.number} drawn {wording.size(rung.drawn)} mm" for rung in piece.rungs)
    return _figure(shapes, width, height, f"Trial piece for {piece.joint} from above: {rungs}.", font)


def seen_edges(mesh: Mesh) -> Floats:
    """Outlines of everything that faces up, (k, 2, 3) [mm]; what lies beneath something else is not taken out."""
    vectors = mesh.face_vectors
    up = vectors[:, 2] > 0.5 * np.linalg.norm(vectors, axis=1)
    faces = mesh.faces[up].astype(np.int64)
    starts, ends = faces.ravel(), np.roll(faces, -1, axis=1).ravel()
    keys = np.minimum(starts, ends) * len(mesh.vertices) + np.maximum(starts, ends)
    _, first, times = np.unique(keys, return_index=True, return_counts=True)
    once = np.sort(first[times == 1])
    edges = np.stack([mesh.vertices[starts[once]], mesh.vertices[ends[once]]], axis=1)
    if len(edges) > DRAWN_EDGES:
        length = np.linalg.norm(edges[:, 1] - edges[:, 0], axis=1)
        edges = edges[np.sort(np.argsort(-length, kind="stable")[:DRAWN_EDGES])]
    return np.asarray(edges, dtype=np.float64)


def _edges_path(edges: Floats) -> str:
    return "".join(f"M{a[0]:.1f} {a[1]:.1f}L{b[0]:.1f} {b[1]:.1f}" for a, b in edges)

"""Trial pieces of joints that move: the side that decides, several times in a row, and the mate it is tried with."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence

from shadewright.errors import ValueProblem
from shadewright.solid import kernel
from shadewright.solid.features import Rung, TrialPiece
from shadewright.solid.marks import PLATE, arrow, label
from shadewright.solid.mesh import Mesh
from shadewright.solid.thread_mesh import one_body
from shadewright.solid.trial import BAR, FEWEST, GAP, MOST, SUNK

_ARROW = 5.0


def rung_sizes(best: float, step: float, count: int, least: float = 0.05) -> tuple[float, ...]:
    """Sizes to try, rising, the best in the middle [mm]; all at least ``least``.

    Raises:
        ValueProblem: ``count`` is not 3 to 7.
    """
    if not FEWEST <= count <= MOST:
        raise ValueProblem.of(f"{count} rungs are asked for", f"use {FEWEST} to {MOST}")
    step = max(step, 0.05)
    low = max(best - (count - 1) / 2 * step, least)
    return tuple(round(low + i * step, 2) for i in range(count))


def moving_trial(
    joint: str,
    sizes: Sequence[float],
    make: Callable[[float], Mesh],
    *,
    marks: Sequence[float],
    gauges: Sequence[Mesh],
    how_to: str,
    nozzle: float = 0.4,
    bed_x: float = 200.0,
    bed_y: float = 200.0,
) -> TrialPiece:
    """Line up one solid per size, each with its strokes and digits, joined by thin bars; mates beside it.

    Args:
        joint: Name of the joint.
        sizes: What the rungs try, rising [mm]; 3 to 7 of them.
        make: The solid for one size, as printed; its foot must be a body at half its width.
        marks: What the digits on each rung say, in mm; they show hundredths.
        gauges: What the rungs are tried with; empty when it is bought.
        how_to: How to try it.
        nozzle: Bore of the nozzle [mm].
        bed_x: Room on the bed [mm].
        bed_y: The same the other way [mm].

    Raises:
        ValueProblem: Not 3 to 7 rising sizes, or they do not fit the bed.
        GeometryFailure: A solid failed its own check.
    """
    if not FEWEST <= len(sizes) <= MOST or list(sizes) != sorted(set(sizes)):
        raise ValueProblem.of(f"the rungs try {tuple(sizes)}", f"give {FEWEST} to {MOST} rising sizes")
    solids = [_centred(make(size)) for size in sizes]
    labels = [label(number, mark, nozzle) for number, mark in enumerate(marks, start=1)]
    wide = max(*(float(solid.size[0]) for solid in solids), *(width for _, width, _ in labels)) + GAP
    deep = max(float(solid.size[1]) for solid in solids)
    height = labels[0][2]
    columns = max(min(len(solids), math.floor((bed_x - _ARROW) / wide)), 0)
    rows = math.ceil(len(solids) / columns) if columns else 0
    pitch = deep + height - SUNK + GAP
    mates = sum(float(gauge.size[1]) + GAP for gauge in gauges)
    if not rows or rows * pitch + mates > bed_y:
        raise ValueProblem.of(
            f"{len(sizes)} rungs of {joint} do not fit a bed of {bed_x:g} x {bed_y:g} mm", "ask for fewer rungs"
        )
    places = [(i % columns * wide, -(i // columns) * pitch) for i in range(len(solids))]
    parts: list[Mesh] = []
    for solid, (plate, _, _), (x, y) in zip(solids, labels, places, strict=True):
        # the solid stands with its nearest edge on the label's upper edge
        parts += [solid.moved(x, y + float(solid.size[1]) / 2), plate.moved(x, y + SUNK)]
    parts += _bars(places, wide, height, pitch)
    x = places[0][0] - labels[0][1] / 2
    parts.append(arrow(_ARROW).moved(x + SUNK, places[0][1] - height / 2))
    whole = one_body(kernel.union(parts), f"{joint} trial")
    rungs = tuple(
        Rung(number=i, drawn=round(size, 3), clearance=round(mark, 3), x=x, y=y)
        for i, (size, mark, (x, y)) in enumerate(zip(sizes, marks, places, strict=True), start=1)
    )
    return TrialPiece(joint=joint, pieces=(whole, *_beside(joint, whole, gauges)), rungs=rungs, how_to=how_to)


def quarter_turned(solid: Mesh) -> Mesh:
    """The solid turned by 90 degrees seen from above, so that what pointed to -x points to -y."""
    return Mesh(solid.vertices[:, [1, 0, 2]] * [-1.0, 1.0, 1.0], solid.faces, solid.name)


def _centred(solid: Mesh) -> Mesh:
    (left, near, low), (right, far, _) = solid.bounds.tolist()
    return solid.moved(-(left + right) / 2, -(near + far) / 2, -low)


def _bars(places: Sequence[tuple[float, float]], wide: float, height: float, pitch: float) -> list[Mesh]:
    """Bars along each row of labels, and a strip left of all rungs that joins the rows."""
    rows = sorted({y for _, y in places}, reverse=True)
    strip = -wide / 2 - 1.0
    bars = []
    for y in rows:
        row = [x for x, at in places if at == y]
        left, right = (strip if len(rows) > 1 else row[0]), row[-1]
        if right > left:
            bars.append(kernel.box((right - left, BAR, PLATE), ((left + right) / 2, y - height / 2, PLATE / 2)))
    if len(rows) > 1:
        long = pitch * (len(rows) - 1) + BAR
        middle = (rows[0] + rows[-1] - height) / 2
        bars.append(kernel.box((BAR, long, PLATE), (strip, middle, PLATE / 2)))
    return bars


def _beside(joint: str, rungs: Mesh, gauges: Sequence[Mesh]) -> tuple[Mesh, ...]:
    """The mates, in a column above the rungs."""
    (left, _, _), (_, y, _) = rungs.bounds.tolist()
    placed = []
    for number, gauge in enumerate(gauges, start=1):
        solid = _centred(gauge)
        width, depth = float(solid.size[0]), float(solid.size[1])
        name = f"{joint} gauge" if len(gauges) == 1 else f"{joint} gauge {number}"
        placed.append(solid.moved(left + width / 2, y + GAP + depth / 2).named(name))
        y += GAP + depth
    return tuple(placed)

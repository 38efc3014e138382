"""The smallest print that settles a joint: the same side at several clearances, marked and held together."""

from __future__ import annotations

import math
from typing import Protocol

from shadewright.catalog.threads import Sex, Thread
from shadewright.errors import ValueProblem
from shadewright.solid import kernel
from shadewright.solid.features import Rung, TrialPiece, TrialShape
from shadewright.solid.marks import PLATE, arrow, label
from shadewright.solid.mesh import Mesh
from shadewright.solid.thread_mesh import one_body
from shadewright.solid.trial_rungs import Body, gauge_body, rung_body

LEAST_STEP = 0.05
"""Finest step between rungs [mm]: less than a printer repeats; common practice, no source."""

FEWEST, MOST = 3, 7
WIDE = 20.0  # joints wider than this are tried at fewer clearances, to stay a matter of minutes [mm]
GAP = 3.0  # between neighbours [mm]
BAR = 3.0  # width of the bars that hold rungs together [mm]; thin enough to snap
SUNK = 0.6  # how far bars and labels reach into a rung [mm]


class _Side(Protocol):
    @property
    def habits(self) -> object | None: ...


class _Asked(Protocol):
    """What a trial needs to know of a joint; ``fit.joint.JointQuestion`` is one."""

    @property
    def name(self) -> str: ...
    @property
    def kind(self) -> str: ...
    @property
    def length(self) -> float: ...
    @property
    def male(self) -> _Side: ...
    @property
    def female(self) -> _Side: ...
    @property
    def round(self) -> bool: ...
    @property
    def thread(self) -> Thread | None: ...
    @property
    def liner_wall(self) -> float | None: ...
    @property
    def nozzle(self) -> float: ...


class _Sized(Protocol):
    """What a trial needs to know of a joint's sizing; ``fit.joint.Sizing`` is one."""

    @property
    def draw_side(self) -> str: ...
    @property
    def draw(self) -> float: ...
    @property
    def clearance_drawn(self) -> float: ...
    @property
    def gap_sd(self) -> float: ...


def trial_for(
    question: _Asked,
    sizing: _Sized,
    count: int | None = None,
    bed_x: float = 200.0,
    bed_y: float = 200.0,
    *,
    clearances: tuple[float, ...] | None = None,
) -> TrialPiece:
    """Trial piece for a sized joint, its rungs about the best size and as far apart as the sizing is unsure.

    Args:
        question: The joint.
        sizing: What sizing made of it.
        count: Number of rungs; None takes 5, and 3 for joints wider than 20 mm.
        bed_x: Room on the bed [mm].
        bed_y: The same the other way [mm].
        clearances: What the rungs try, rising [mm on the diameter], when that is known better than from ``count``.

    Raises:
        ValueProblem: The rungs do not fit the bed, or there are not 3 to 7 of them.
    """
    sex = Sex(sizing.draw_side)
    mate = question.male if sex is Sex.FEMALE else question.female
    sign = -1 if sex is Sex.FEMALE else 1
    rungs = count or (FEWEST if sizing.draw > WIDE else 5)
    return trial_piece(
        TrialShape(
            joint=question.name,
            kind=str(question.kind),
            sex=sex,
            drawn=sizing.draw,
            clearance=sizing.clearance_drawn,
            clearances=clearances or rung_clearances(sizing.clearance_drawn, sizing.gap_sd, rungs),
            mate=sizing.draw + sign * sizing.clearance_drawn if mate.habits is not None else None,
            length=question.length,
            thread=question.thread,
            round=question.round,
            liner_wall=question.liner_wall,
            nozzle=question.nozzle,
            bed_x=bed_x,
            bed_y=bed_y,
        )
    )


def rung_clearances(best: float, sd: float, count: int = 5) -> tuple[float, ...]:
    """Clearances to try, rising, the best in the middle, spanning 1.5 standard deviations to both sides.

    Args:
        best: Clearance that sizing thinks best [mm on the diameter].
        sd: How unsure the true gap is [mm].
        count: 3 to 7.

    Returns:
        Clearances in whole hundredths of a millimetre, at least 0.05 mm apart.

    Raises:
        ValueProblem: ``count`` or ``sd`` out of range.
    """
    if not FEWEST <= count <= MOST:
        raise ValueProblem.of(f"{count} rungs are asked for", f"use {FEWEST} to {MOST}")
    if not 0 <= sd < math.inf or not math.isfinite(best):
        raise ValueProblem.of(f"a clearance of {best:g} +- {sd:g} mm cannot be tried", "use finite numbers")
    step = max(LEAST_STEP, math.ceil(100 * 3 * sd / (count - 1) - 1e-9) / 100)
    return tuple(round(round(best, 2) + (i - (count - 1) / 2) * step + 1e-12, 2) for i in range(count))


def trial_piece(shape: TrialShape) -> TrialPiece:
    """Make the piece: rungs in rows from the tightest, each with its label, joined by thin bars; and the gauge.

    Raises:
        ValueProblem: Not 3 to 7 rising clearances, or the rungs do not fit the bed.
        GeometryFailure: A solid failed its own check.
    """
    count = len(shape.clearances)
    if not FEWEST <= count <= MOST or list(shape.clearances) != sorted(set(shape.clearances)):
        raise ValueProblem.of(f"the rungs try {shape.clearances}", f"give {FEWEST} to {MOST} rising clearances")
    sizes = [shape.drawn_at(clearance) for clearance in shape.clearances]
    bodies = [rung_body(shape, size) for size in sizes]
    labels = [label(i, clearance, shape.nozzle) for i, clearance in enumerate(shape.clearances, start=1)]
    places = _places(shape, bodies, max(width for _, width, _ in labels), labels[0][2])
    parts = [body.mesh.moved(x, y) for body, (x, y) in zip(bodies, places, strict=True)]
    for (plate, _, _), body, (x, y) in zip(labels, bodies, places, strict=True):
        parts.append(plate.moved(x, y - body.half_y + SUNK))
    parts += _bars(bodies, places, labels[0][2])
    first, (x, y) = bodies[0], places[0]
    parts.append(arrow(5.0).moved(x - first.half_x + SUNK + 0.4, y))
    whole = one_body(kernel.union(parts), f"{shape.joint} trial")
    rungs = tuple(
        Rung(number=i, drawn=round(size, 3), clearance=clearance, x=x, y=y)
        for i, (size, clearance, (x, y)) in enumerate(zip(sizes, shape.clearances, places, strict=True), start=1)
    )
    return TrialPiece(joint=shape.joint, pieces=(whole, *_gauges(shape, whole)), rungs=rungs, how_to=_how_to(shape))


def _places(
    shape: TrialShape, bodies: list[Body], label_width: float, label_height: float
) -> list[tuple[float, float]]:
    """Where the rungs' axes stand: rows from the upper left, as many to a row as the bed takes."""
    wide = max(*(2 * body.half_x for body in bodies), label_width) + GAP
    high = max(2 * body.half_y for body in bodies) + label_height - SUNK + GAP
    room = shape.bed_x - 6.0  # the arrow's length
    columns = min(len(bodies), math.floor(room / wide))
    rows = math.ceil(len(bodies) / columns) if columns else 0
    if not columns or rows * high > shape.bed_y:
        raise ValueProblem.of(
            f"{len(bodies)} rungs of {shape.joint} do not fit a bed of {shape.bed_x:g} x {shape.bed_y:g} mm",
            "ask for fewer rungs",
        )
    return [(i % columns * wide, -(i // columns) * high) for i in range(len(bodies))]


def _bars(bodies: list[Body], places: list[tuple[float, float]], label_height: float) -> list[Mesh]:
    """Flat bars from each rung to the next: sideways in a row, down from label to rung between rows."""
    bars = []
    for i in range(1, len(bodies)):
        (x0, y0), (x1, y1) = places[i - 1], places[i]
        if y0 == y1:
            left, right = x0 + bodies[i - 1].half_x - SUNK, x1 - bodies[i].half_x + SUNK
            bars.append(kernel.box((right - left, BAR, PLATE), ((left + right) / 2, y0, PLATE / 2)))
            continue
        above = places.index((x1, max(y for x, y in places if x == x1 and y > y1)))
        high = places[above][1] - bodies[above].half_y - label_height + 2 * SUNK
        low = y1 + bodies[i].half_y - SUNK
        bars.append(kernel.box((BAR, high - low, PLATE), (x1, (high + low) / 2, PLATE / 2)))
    return bars


def _gauges(shape: TrialShape, rungs: Mesh) -> tuple[Mesh, ...]:
    """The printed mate, laid above the rungs; none when it is bought."""
    if shape.mate is None:
        return ()
    gauge = gauge_body(shape)
    (left, _, _), (_, high, _) = rungs.bounds.tolist()
    placed = gauge.mesh.moved(left + gauge.half_x, high + gauge.half_y + GAP)
    return (one_body(placed, f"{shape.joint} gauge"),)


def _how_to(shape: TrialShape) -> str:
    mate = "the gauge" if shape.mate is not None else "the bought part"
    motion = f"turn {mate} into" if shape.thread is not None else f"push {mate} into"
    if shape.sex is Sex.MALE:
        motion = f"put {mate} on"
    return (
        f"Starting at the most strokes, {motion} each rung and note how it feels: loose, free, easy, snug, tight or "
        "fixed. Strokes count the rungs from the arrow, digits are the drawn clearance in 1/100 mm; snap a rung off "
        "its bar where its neighbours are in the way."
    )

"""Trial pieces for pockets: the same pocket at several sizes in a row, marked, to try the bought thing in."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import Protocol

import numpy as np

from shadewright.errors import ValueProblem
from shadewright.solid import kernel
from shadewright.solid.features import Rung, TrialPiece
from shadewright.solid.marks import PLATE, arrow, label
from shadewright.solid.mesh import Mesh
from shadewright.solid.pocket import InsertHole, MagnetPocket, NutPocket, Pocket, pocket_block
from shadewright.solid.thread_mesh import one_body
from shadewright.solid.trial import BAR, GAP, SUNK, rung_clearances

ARROW = 5.0
"""Size of the arrowhead at the first rung [mm]."""


class _Sized(Protocol):
    """What a trial needs to know of a size and its gap; ``fit.pocket_chance.Fitted`` is one."""

    @property
    def draw(self) -> float: ...
    @property
    def gap(self) -> _GapLike: ...


class _GapLike(Protocol):
    @property
    def clearance(self) -> float: ...
    @property
    def sd(self) -> float: ...


def pocket_trial(
    joint: str, pocket: Pocket, size: _Sized, *, count: int = 5, nozzle: float = 0.4, bed_x: float = 200.0
) -> TrialPiece:
    """A row of blocks that hold the pocket at sizes about the best, as far apart as that is unsure.

    Args:
        joint: Name of the joint.
        pocket: The pocket at its best size; its mating size is what the rungs change.
        size: That size, its clearance and how unsure the gap is.
        count: Number of rungs, 3 to 7.
        nozzle: Bore of the nozzle [mm].
        bed_x: Room on the bed [mm].

    Raises:
        ValueProblem: Not 3 to 7 rungs, or they do not fit the bed.
        GeometryFailure: The solid failed its own check.
    """
    best = size.gap.clearance
    clearances = rung_clearances(best, size.gap.sd, count)
    drawn = [round(size.draw + clearance - best, 3) for clearance in clearances]
    blocks = [_free(pocket, pocket_block(_at(pocket, each), chord=0.02)) for each in drawn]
    labels = [label(i, clearance, nozzle) for i, clearance in enumerate(clearances, start=1)]
    pitch = max(*(float(block.size[0]) for block in blocks), *(width for _, width, _ in labels)) + GAP
    if (count - 1) * pitch + float(blocks[-1].size[0]) + ARROW > bed_x:
        raise ValueProblem.of(f"{count} rungs of {joint} do not fit a bed of {bed_x:g} mm", "ask for fewer rungs")
    parts = []
    for i, (block, (plate, _, _)) in enumerate(zip(blocks, labels, strict=True)):
        parts += [block.moved(x=i * pitch), plate.moved(i * pitch, float(block.bounds[0, 1]) + SUNK)]
    parts += _bars(blocks, pitch)
    parts.append(arrow(ARROW).moved(float(blocks[0].bounds[0, 0]) + SUNK + 0.4))
    whole = one_body(kernel.union(parts), f"{joint} trial")
    rungs = tuple(
        Rung(number=i, drawn=each, clearance=clearance, x=(i - 1) * pitch, y=0.0)
        for i, (each, clearance) in enumerate(zip(drawn, clearances, strict=True), start=1)
    )
    return TrialPiece(joint=joint, pieces=(whole,), rungs=rungs, how_to=_how_to(pocket))


def _at(pocket: Pocket, size: float) -> Pocket:
    """The same pocket with another mating size."""
    match pocket:
        case NutPocket():
            return replace(pocket, flats=size)
        case InsertHole():
            return replace(pocket, hole=size)
        case MagnetPocket() if pocket.closed:
            raise ValueProblem.of("a closed pocket cannot be tried", "try it open, then close it in the real part")
        case MagnetPocket():
            return replace(pocket, length=size) if pocket.width is None else replace(pocket, width=size)


def _free(pocket: Pocket, block: Mesh) -> Mesh:
    """The block, turned so that a slot opens away from neighbours and label, towards +y."""
    if not (isinstance(pocket, NutPocket) and pocket.mouth == "side"):
        return block
    return Mesh(block.vertices[:, [1, 0, 2]] * np.array([-1.0, 1.0, 1.0]), block.faces, block.name)


def _bars(blocks: Sequence[Mesh], pitch: float) -> list[Mesh]:
    """Thin bars between neighbours, along the bed, clear of what opens on it."""
    bars = []
    for i in range(1, len(blocks)):
        left = (i - 1) * pitch + float(blocks[i - 1].bounds[1, 0]) - SUNK
        right = i * pitch + float(blocks[i].bounds[0, 0]) + SUNK
        bars.append(kernel.box((right - left, BAR, PLATE), ((left + right) / 2, 0.0, PLATE / 2)))
    return bars


def _how_to(pocket: Pocket) -> str:
    doing = {
        NutPocket: "put the nut into each pocket and turn a screw in it: choose the tightest that takes it whole",
        InsertHole: "melt one insert into each hole: choose the tightest that takes it straight, without a bulge",
        MagnetPocket: "put the magnet into each pocket: choose the tightest that takes it whole and keeps it",
    }[type(pocket)]
    return (
        f"Starting at the most strokes, {doing}. Strokes count the pockets from the arrow, digits are the drawn "
        "clearance in 1/100 mm."
    )

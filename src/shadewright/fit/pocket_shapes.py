"""From a sized pocket to its solid and its trial."""

from __future__ import annotations

from dataclasses import replace
from typing import Literal

from shadewright.fit.pocket import NutPocketSizing, NutQuestion
from shadewright.fit.pocket_chance import Fitted
from shadewright.fit.pocket_insert import InsertSizing
from shadewright.fit.pocket_magnet import MagnetQuestion, MagnetSizing
from shadewright.solid.features import TrialPiece
from shadewright.solid.pocket import InsertHole, MagnetPocket, NutPocket, Pocket
from shadewright.solid.pocket_trial import pocket_trial


def nut_pocket(question: NutQuestion, fit: NutPocketSizing) -> NutPocket:
    """The nut's pocket as it is to be drawn."""
    return NutPocket(flats=fit.flats.draw, depth=fit.depth, hole=fit.hole, mouth=question.mouth, layer=question.layer)


def insert_hole(fit: InsertSizing, mouth: Literal["up", "down"]) -> InsertHole:
    """The insert's hole as it is to be drawn, in the slimmest boss."""
    return InsertHole(hole=fit.hole.draw, depth=fit.depth, boss=fit.boss, mouth=mouth)


def magnet_pocket(question: MagnetQuestion, fit: MagnetSizing) -> MagnetPocket:
    """The magnet's pocket as it is to be drawn."""
    return MagnetPocket(
        length=fit.across.draw if fit.along is None else fit.along.draw - 2 * fit.ridge,
        width=None if fit.along is None else fit.across.draw,
        depth=fit.depth,
        cap=fit.cap,
        ridge=fit.ridge,
        closed=question.hold == "inside",
    )


def trial_of_pocket(
    joint: str, pocket: Pocket, size: Fitted, count: int = 5, *, nozzle: float = 0.4, bed_x: float = 200.0
) -> TrialPiece:
    """Pockets about the size to draw; what is closed after a pause in the real part is left open to be tried.

    Raises:
        ValueProblem: ``count`` is not 3 to 7, or they do not fit the bed.
    """
    if isinstance(pocket, MagnetPocket):
        pocket = replace(pocket, closed=False)
    elif isinstance(pocket, NutPocket) and pocket.mouth == "inside":
        pocket = replace(pocket, mouth="up")
    return pocket_trial(joint, pocket, size, count=count, nozzle=nozzle, bed_x=bed_x)

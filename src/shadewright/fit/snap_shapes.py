"""From a sized snap to its solids and its trial."""

from __future__ import annotations

import math

from shadewright.fit.moving import LEAST_FELT
from shadewright.fit.snap import HookFit, HookQuestion, window_back
from shadewright.fit.snap_round import BeadFit, BeadQuestion, ClipFit, ClipQuestion, clip_stem
from shadewright.solid.features import TrialPiece
from shadewright.solid.moving_trial import rung_sizes
from shadewright.solid.snap import Bead, Catch, Clip, Groove, Hook
from shadewright.solid.snap_trial import bead_trial, clip_trial, hook_trial

_WIDE_RING = 20.0  # rings wider than this are tried at fewer sizes, to stay a matter of minutes [mm]
_RUNGS_SPAN = 2.0  # standard deviations to both sides of the best


def hook_solids(fit: HookFit) -> tuple[Hook, Catch]:
    """Hook and catch as they are to be drawn."""
    drawn = fit.drawn
    hook = Hook(
        arm=drawn.arm,
        thickness=drawn.thickness,
        width=drawn.width,
        nub=round(fit.nub, 2),
        lead_deg=drawn.lead_deg,
        return_deg=drawn.return_deg,
        taper=drawn.taper,
        standing=drawn.across_layers,
    )
    catch = Catch(hook=hook, clearance=fit.clearance, back=window_back(fit), side_clearance=fit.side_clearance)
    return hook, catch


def bead_solids(question: BeadQuestion, fit: BeadFit) -> tuple[Bead, Groove]:
    """Sleeve and ring as they are to be drawn."""
    bead = Bead(
        diameter=question.diameter,
        bead=fit.bead,
        wall=question.wall,
        lead_deg=question.lead_deg,
        return_deg=question.return_deg,
    )
    return bead, Groove(bore=fit.bore, groove=fit.groove, depth=bead.depth, return_deg=question.return_deg)


def clip_solid(question: ClipQuestion, fit: ClipFit) -> Clip:
    """The clip as it is to be drawn."""
    stem = round(clip_stem(fit.bore, fit.wall), 2)
    return Clip(bore=fit.bore, opening=fit.opening, wall=fit.wall, width=question.width, stem=stem)


def trial_of_hook(
    question: HookQuestion,
    fit: HookFit,
    count: int = 5,
    *,
    nozzle: float = 0.4,
    bed_x: float = 200.0,
    bed_y: float = 200.0,
) -> TrialPiece:
    """Hooks about the undercut to draw, as far apart as the overlap is unsure.

    Raises:
        ValueProblem: ``count`` is not 3 to 7, or they do not fit the bed.
    """
    _, catch = hook_solids(fit)
    sizes = rung_sizes(fit.drawn.undercut, _step(fit.overlap.sd, count), count, LEAST_FELT)
    return hook_trial(question.name, catch, sizes, nozzle=nozzle, bed_x=bed_x, bed_y=bed_y)


def trial_of_bead(
    question: BeadQuestion,
    fit: BeadFit,
    count: int | None = None,
    *,
    nozzle: float = 0.4,
    bed_x: float = 200.0,
    bed_y: float = 200.0,
) -> TrialPiece:
    """Sleeves about the bead to draw; 3 of them above 20 mm unless told otherwise; errors as above."""
    bead, ring = bead_solids(question, fit)
    rungs = count or (3 if question.diameter > _WIDE_RING else 5)
    sizes = rung_sizes(fit.undercut, _step(fit.overlap.sd, rungs), rungs, LEAST_FELT)
    return bead_trial(question.name, bead, ring, sizes, nozzle=nozzle, bed_x=bed_x, bed_y=bed_y)


def trial_of_clip(
    question: ClipQuestion,
    fit: ClipFit,
    count: int = 5,
    *,
    nozzle: float = 0.4,
    bed_x: float = 200.0,
    bed_y: float = 200.0,
) -> TrialPiece:
    """Clips about the opening to draw, with a rod when that is printed; errors as above."""
    clip = clip_solid(question, fit)
    rod = question.rod if question.male.habits is not None else None
    sizes = rung_sizes(fit.opening, _step(2 * fit.hold.sd, count), count, question.rod / 2)
    top = question.rod - LEAST_FELT
    step = round((top - sizes[0]) / (count - 1), 2) if sizes[-1] > top else sizes[1] - sizes[0]
    sizes = tuple(round(sizes[0] + i * step, 2) for i in range(count))
    return clip_trial(question.name, clip, sizes, rod, nozzle=nozzle, bed_x=bed_x, bed_y=bed_y)


def _step(sd: float, count: int) -> float:
    return math.ceil(100 * 2 * _RUNGS_SPAN * sd / (count - 1)) / 100

"""Trial pieces of snaps: hooks of rising undercut, sleeves of rising bead, clips of rising opening."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from shadewright.solid.features import TrialPiece
from shadewright.solid.mesh import Mesh
from shadewright.solid.moving_recipe import built_solid
from shadewright.solid.moving_trial import moving_trial, quarter_turned
from shadewright.solid.plain_features import Spigot, plain_solid
from shadewright.solid.snap import (
    Bead,
    Catch,
    Clip,
    Groove,
    bead_build,
    catch_build,
    clip_build,
    groove_build,
    hook_build,
)

CHORD = 0.02
_SHORT_CLIP = 4.0  # length of clip that is tried [mm]
_SHORT_SLEEVE = 1.5  # from shoulder to bead where that is tried [mm]
_ROD_SPARE = 5.0  # of a rod beyond the clip, to hold it by [mm]
_SAY = "; strokes count the rungs from the arrow, digits are the {what} in 1/100 mm."


def hook_trial(
    joint: str,
    catch: Catch,
    undercuts: Sequence[float],
    *,
    nozzle: float = 0.4,
    bed_x: float = 200.0,
    bed_y: float = 200.0,
) -> TrialPiece:
    """Hooks whose nubs reach over the ledge by ``undercuts`` [mm], and one plate wide enough for all of them.

    Raises:
        ValueProblem: Sizes that cannot be, or no room on the bed.
    """

    def make(undercut: float) -> Mesh:
        nub = undercut + catch.clearance
        return quarter_turned(built_solid(hook_build(replace(catch.hook, nub=nub)), CHORD))

    more = max(undercuts[-1] + catch.clearance - catch.hook.nub, 0.0)
    gauge = built_solid(catch_build(replace(catch, back=catch.back + more)), CHORD)
    how_to = (
        "Snap off each hook, press it through the plate and pull it back; keep the one that catches with a click, "
        "comes back unmarked and does the same a second time" + _SAY.format(what="undercut")
    )
    return moving_trial(
        joint, undercuts, make, marks=undercuts, gauges=(gauge,), how_to=how_to, nozzle=nozzle, bed_x=bed_x, bed_y=bed_y
    )


def bead_trial(
    joint: str,
    bead: Bead,
    ring: Groove,
    undercuts: Sequence[float],
    *,
    nozzle: float = 0.4,
    bed_x: float = 200.0,
    bed_y: float = 200.0,
) -> TrialPiece:
    """Sleeves whose beads are ``undercuts`` larger than the ring's bore [mm], and the ring.

    Raises:
        ValueProblem: Sizes that cannot be, or no room on the bed.
    """
    most = max(ring.groove, ring.bore + undercuts[-1])
    short = replace(bead, depth=_SHORT_SLEEVE)
    gauge = built_solid(groove_build(replace(ring, groove=most, depth=_SHORT_SLEEVE)), CHORD)
    how_to = (
        "Snap off each sleeve, press the ring on until it rests on the shoulder, and pull it off; keep the one that "
        "clicks and neither rattles nor cracks" + _SAY.format(what="bead's height over the bore, on the diameter,")
    )
    return moving_trial(
        joint,
        undercuts,
        lambda undercut: built_solid(bead_build(replace(short, bead=ring.bore + undercut)), CHORD),
        marks=undercuts,
        gauges=(gauge,),
        how_to=how_to,
        nozzle=nozzle,
        bed_x=bed_x,
        bed_y=bed_y,
    )


def clip_trial(
    joint: str,
    clip: Clip,
    openings: Sequence[float],
    rod: float | None,
    *,
    nozzle: float = 0.4,
    bed_x: float = 200.0,
    bed_y: float = 200.0,
) -> TrialPiece:
    """Clips of rising opening [mm], and a printed ``rod`` [mm]; None when the rod is bought.

    Raises:
        ValueProblem: Sizes that cannot be, or no room on the bed.
    """
    short = replace(clip, width=min(clip.width, _SHORT_CLIP))
    gauges = () if rod is None else (plain_solid(Spigot(diameter=rod, length=short.width + _ROD_SPARE), CHORD),)
    how_to = (
        "Press each clip onto the rod, turn it and pull it off; keep the one that clicks, turns as it should and comes "
        "off unmarked" + _SAY.format(what="opening")
    )
    return moving_trial(
        joint,
        openings,
        lambda opening: quarter_turned(built_solid(clip_build(replace(short, opening=opening)), CHORD)),
        marks=openings,
        gauges=gauges,
        how_to=how_to,
        nozzle=nozzle,
        bed_x=bed_x,
        bed_y=bed_y,
    )

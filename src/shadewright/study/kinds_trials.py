"""Trials of joints of several dimensions: from what the lamp states to the piece that is printed before the part."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from functools import partial

from shadewright.bench.store import Bench
from shadewright.errors import ValueProblem
from shadewright.fit.joint import KindSizing
from shadewright.fit.pivot import fit_pivot, trial_of_pivot
from shadewright.fit.pocket import NutQuestion, size_nut_pocket
from shadewright.fit.pocket_chance import Fitted
from shadewright.fit.pocket_insert import InsertQuestion, size_insert_hole
from shadewright.fit.pocket_magnet import size_magnet_pocket
from shadewright.fit.pocket_shapes import insert_hole, magnet_pocket, nut_pocket, trial_of_pocket
from shadewright.fit.snap import HookQuestion, fit_hook
from shadewright.fit.snap_round import BeadQuestion, fit_bead, fit_clip
from shadewright.fit.snap_shapes import trial_of_bead, trial_of_clip, trial_of_hook
from shadewright.fit.twist import fit_twist, trial_of_twist
from shadewright.lamp.fixed import PocketDetails
from shadewright.lamp.read import ReadLamp
from shadewright.printing import PrintSetup
from shadewright.solid.features import TrialPiece
from shadewright.solid.pocket import Pocket
from shadewright.study.kinds_fixed import pocket_question, size_pocket_joint
from shadewright.study.kinds_moving import (
    Told,
    pivot_question,
    size_pivot_joint,
    size_snap_joint,
    size_twist_joint,
    snap_question,
    twist_question,
)
from shadewright.study.questions import setup_of


@dataclass(frozen=True, slots=True, kw_only=True)
class KindTrial:
    """The trial of one joint, made when it is asked for.

    Attributes:
        joint: Name of the joint.
        part: Whose side is tried at several sizes.
        what: The dimension in which the rungs differ, as ``Draw.what`` names it.
        digits: What the digits on the piece are, in 1/100 mm.
        key: Key of ``lamp.toml`` that takes what felt right.
        sizing: What calculation alone says.
        setup: How ``part`` is printed; the whole piece is.
        shape: Makes it, of ``count`` rungs; without a number of as many as it usually has.
        more: By how much the drawn dimension exceeds what the rungs try [mm].
    """

    joint: str
    part: str
    what: str
    digits: str
    key: str
    sizing: KindSizing
    setup: PrintSetup
    shape: Callable[..., TrialPiece]
    more: float = 0.0

    def piece(self, count: int | None = None) -> TrialPiece:
        """The piece; ``drawn`` of its rungs is what to draw in the model.

        Raises:
            ValueProblem: ``count`` is not 3 to 7, they do not fit the bed, or a rung's size cannot be.
            GeometryFailure: A solid failed its own check.
        """
        made = self.shape() if count is None else self.shape(count=count)
        rungs = tuple(replace(rung, drawn=round(rung.drawn + self.more, 2)) for rung in made.rungs)
        return replace(made, rungs=rungs)

    @property
    def afterwards(self) -> str:
        """What to do with the rung that felt right, as a clause: its outcome is not kept on the bench."""
        stated = f"its {self.digits} in mm (the digits over 100)" if self.more else "that size"
        return (
            f"draw the {self.what} of the rung that felt right in the model of {self.part}, all else as the study "
            f"says, and write {stated} as {self.key} of joint {self.joint} in lamp.toml"
        )


def snap_trial(read: ReadLamp, name: str, bench: Bench) -> KindTrial:
    """The trial of a snap: hooks, beads or clips.

    Raises:
        ValueProblem: Its sizes are not stated, or cannot be; with the line.
        UnknownName: As when it is sized.
    """
    joint, sizing = read.lamp.joint[name], size_snap_joint(read, name, bench)
    if joint.snap is None:
        raise _not_stated(read, sizing)
    with Told(read, name, "snap"):
        question = snap_question(read, name, bench, joint.snap)
        if isinstance(question, HookQuestion):
            hook = fit_hook(question)
            part, what, digits, more = joint.male, "nub height", "undercut", hook.clearance
            shape: Callable[..., TrialPiece] = partial(trial_of_hook, question, hook)
        elif isinstance(question, BeadQuestion):
            bead = fit_bead(question)
            part, what, digits, more = joint.male, "bead diameter", "undercut", bead.bore
            shape = partial(trial_of_bead, question, bead)
        else:
            part, what, digits, more = joint.female, "opening of the clip", "opening", 0.0
            shape = partial(trial_of_clip, question, fit_clip(question))
    setup = setup_of(read, read.lamp.part[part], bench)
    return KindTrial(
        joint=name,
        part=part,
        what=what,
        digits=digits,
        key=f"snap.{digits}",
        sizing=sizing,
        setup=setup,
        shape=partial(shape, nozzle=setup.nozzle, bed_x=setup.bed_x, bed_y=setup.bed_y),
        more=more,
    )


def twist_trial(read: ReadLamp, name: str, bench: Bench) -> KindTrial:
    """The trial of a bayonet: sockets of rising detent; errors as ``snap_trial``."""
    joint, sizing = read.lamp.joint[name], size_twist_joint(read, name, bench)
    if joint.twist is None:
        raise _not_stated(read, sizing)
    with Told(read, name, "twist"):
        question = twist_question(read, name, bench, joint.twist)
        shape = partial(trial_of_twist, question, fit_twist(question))
    setup = setup_of(read, read.lamp.part[joint.female], bench)
    return KindTrial(
        joint=name,
        part=joint.female,
        what="height of the rib" if question.path == "L" else "fall back towards the mouth",
        digits="detent",
        key="twist.detent",
        sizing=sizing,
        setup=setup,
        shape=partial(shape, nozzle=setup.nozzle, bed_x=setup.bed_x, bed_y=setup.bed_y),
    )


def pivot_trial(read: ReadLamp, name: str, bench: Bench) -> KindTrial:
    """The trial of a pivot: forks of rising spacing; errors as ``snap_trial``."""
    joint, sizing = read.lamp.joint[name], size_pivot_joint(read, name, bench)
    if joint.pivot is None:
        raise _not_stated(read, sizing)
    with Told(read, name, "pivot"):
        question = pivot_question(read, name, bench, joint.pivot)
        shape = partial(trial_of_pivot, question, fit_pivot(question))
    setup = setup_of(read, read.lamp.part[joint.female], bench)
    return KindTrial(
        joint=name,
        part=joint.female,
        what="space between the cheeks",
        digits="clearance",
        key="drawn_female",
        sizing=sizing,
        setup=setup,
        shape=partial(shape, nozzle=setup.nozzle, bed_x=setup.bed_x, bed_y=setup.bed_y),
    )


def pocket_trial(read: ReadLamp, name: str, bench: Bench) -> KindTrial:
    """The trial of a pocket: a row of them; errors as sizing it."""
    joint, sizing = read.lamp.joint[name], size_pocket_joint(read, name, bench)
    pocket, size = _pocket(read, name, bench)
    setup = setup_of(read, read.lamp.part[joint.female], bench)
    return KindTrial(
        joint=name,
        part=joint.female,
        what=sizing.draws[0].what,
        digits="clearance",
        key="drawn_female",
        sizing=sizing,
        setup=setup,
        shape=partial(trial_of_pocket, name, pocket, size, nozzle=setup.nozzle, bed_x=setup.bed_x),
    )


def _pocket(read: ReadLamp, name: str, bench: Bench) -> tuple[Pocket, Fitted]:
    question = pocket_question(read, name, bench)
    if isinstance(question, NutQuestion):
        nut = size_nut_pocket(question)
        return nut_pocket(question, nut), nut.flats
    if isinstance(question, InsertQuestion):
        insert = size_insert_hole(question)
        details = read.lamp.joint[name].pocket or PocketDetails()
        return insert_hole(insert, "down" if details.mouth == "down" else "up"), insert.hole
    magnet = size_magnet_pocket(question)
    return magnet_pocket(question, magnet), magnet.across


def _not_stated(read: ReadLamp, sizing: KindSizing) -> ValueProblem:
    """The finding that nothing was sized, as a refusal: there is nothing to try."""
    (finding,) = sizing.findings
    return ValueProblem.of(finding.sentence, finding.cure, read.where("joint", sizing.joint))

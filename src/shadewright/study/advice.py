"""Which trials of a lamp to print, in which order; which joints they answer for; and when to just print the part."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace

from shadewright.bench.store import Bench
from shadewright.errors import ValueProblem
from shadewright.fit.joint import JointQuestion, Sizing
from shadewright.fit.next_trial import TrialChoice, next_trial, trial_plan
from shadewright.fit.next_trial_known import AtStake, standing_of
from shadewright.fit.next_trial_standing import Standing
from shadewright.lamp.read import ReadLamp
from shadewright.layers.costing import PrintCost, print_cost
from shadewright.printing import PrintSetup
from shadewright.progress import SILENT, Progress, stepping
from shadewright.solid.features import TrialPiece
from shadewright.solid.trial import FEWEST, MOST, trial_for
from shadewright.study.questions import setup_of
from shadewright.study.result import TrialPlan
from shadewright.wording import duration, percent

TIMED_COUNTS = (3, 5)
"""Rung counts that are built to time them; a straight line through both gives the others."""

SURE_ENOUGH = 0.995
"""A joint that serves as surely as this gets no trial, and none is timed for it."""

UNKNOWN_PART_MIN = 240.0
"""Minutes a part is taken to print when nobody has timed it; judged, no source."""

_SHARED_NAMED = 4


@dataclass(frozen=True, slots=True, kw_only=True)
class Sized:
    """A joint that was sized."""

    question: JointQuestion
    sizing: Sizing


@dataclass(frozen=True, slots=True, kw_only=True)
class TrialAdvice:
    """What is advised for one joint.

    Attributes:
        trial: Its own trial, when that is worth printing.
        answered_by: The joint whose trial tells of this one as well; empty when none does.
        part: The part to print and see where no trial pays.
        part_s: How long that part prints [s].
    """

    trial: TrialPlan | None
    answered_by: str
    part: str
    part_s: float


def advise(
    read: ReadLamp, joints: Sequence[Sized], bench: Bench, part_times: Mapping[str, float], progress: Progress = SILENT
) -> dict[str, TrialAdvice]:
    """Advice for every joint, by its name.

    Args:
        read: The lamp.
        joints: Its sized joints.
        bench: Whose habits, printers and evidence to use.
        part_times: Printing time of every part [s].
        progress: Told of every trial piece that is timed.
    """
    minutes = {one.sizing.draw_part: UNKNOWN_PART_MIN for one in joints}
    minutes |= {name: time_s / 60 for name, time_s in part_times.items() if name in minutes}
    standing = standing_of(
        [AtStake(question=one.question, sizing=one.sizing, trial_min=()) for one in joints],
        list(minutes.items()),
        bench.learned(),
    )
    unsure = {name for name, chance in next_trial(standing).serve if chance < SURE_ENOUGH}
    timed = {
        one.question.name: _trial_minutes(read, one, bench)
        for one in stepping(progress, "timing trials", joints, len(joints))
        if one.question.name in unsure
    }
    stakes = tuple(replace(stake, trial_min=timed.get(stake.joint, ())) for stake in standing.stakes)
    standing = replace(standing, stakes=stakes)
    plan = trial_plan(standing)
    serve = dict(next_trial(standing).serve)
    trials = _trials(read, joints, bench, plan, serve)
    answered = _answered(plan, standing)
    return {
        one.question.name: TrialAdvice(
            trial=trials.get(one.question.name),
            answered_by=answered.get(one.question.name, ""),
            part=one.sizing.draw_part,
            part_s=60 * minutes[one.sizing.draw_part],
        )
        for one in joints
    }


def _trial_minutes(read: ReadLamp, joint: Sized, bench: Bench) -> tuple[tuple[int, float], ...]:
    """Printing time of its trial by number of rungs [min]: two are built, the others lie on a line through them."""
    timed = {}
    for count in TIMED_COUNTS:
        made = _piece(joint, setup_of(read, read.lamp.part[joint.sizing.draw_part], bench), count=count)
        if made is not None:
            timed[count] = made[1].time_s / 60
    if len(timed) < len(TIMED_COUNTS):
        return tuple(timed.items())
    (low, first), (high, second) = timed.items()
    slope = (second - first) / (high - low)
    return tuple((count, first + (count - low) * slope) for count in range(FEWEST, MOST + 1))


def _piece(
    joint: Sized, setup: PrintSetup, *, count: int | None = None, clearances: tuple[float, ...] | None = None
) -> tuple[TrialPiece, PrintCost] | None:
    """A trial piece and its cost; None when it does not fit the bed or cannot be made."""
    try:
        piece = trial_for(
            joint.question, joint.sizing, count, bed_x=setup.bed_x, bed_y=setup.bed_y, clearances=clearances
        )
    except ValueProblem:
        return None
    return piece, print_cost(piece.pieces, setup)


def _trials(
    read: ReadLamp, joints: Iterable[Sized], bench: Bench, plan: Sequence[TrialChoice], serve: Mapping[str, float]
) -> dict[str, TrialPlan]:
    """The pieces of the planned trials; a joint planned twice gets the first, as the second depends on its outcome."""
    by_name = {joint.question.name: joint for joint in joints}
    made: dict[str, TrialPlan] = {}
    for choice in plan:
        joint = by_name[choice.joint]
        if choice.joint in made:
            continue
        setup = setup_of(read, read.lamp.part[joint.sizing.draw_part], bench)
        piece = _piece(joint, setup, clearances=choice.clearances)
        if piece is None:
            continue
        made[choice.joint] = TrialPlan(
            joint=choice.joint,
            why=_why(choice, serve[choice.joint], first=not made),
            piece=piece[0],
            files=(f"trials/{choice.joint}.3mf",),
            time_s=piece[1].time_s,
            mass_g=piece[1].mass_g,
            order=len(made) + 1,
            saves_s=60 * choice.saves_min,
            answers_for=choice.shared_with,
        )
    return made


def _why(choice: TrialChoice, serve: float, *, first: bool) -> str:
    after = min(serve + dict(choice.lifts)[choice.joint], 1.0)
    said = f"by calculation this joint does in {percent(serve)}, after the trial in about {percent(after)}"
    said += f"; on average that spares {duration(60 * choice.saves_min)} of printing parts again"
    if choice.shared_with:
        said += f"; it tells of {_listed(choice.shared_with)} as well"
    return f"print this one first: {said}" if first else said


def _answered(plan: Sequence[TrialChoice], standing: Standing) -> dict[str, str]:
    """By joint without a trial of its own, the joint whose trial tells most of it."""
    own = {choice.joint for choice in plan}
    answered = {}
    for stake in standing.stakes:
        telling = [choice for choice in plan if stake.joint in choice.shared_with]
        if telling and stake.joint not in own:
            answered[stake.joint] = max(telling, key=lambda choice: dict(choice.lifts)[stake.joint]).joint
    return answered


def _listed(names: Sequence[str]) -> str:
    if len(names) > _SHARED_NAMED:
        return f"{', '.join(names[:_SHARED_NAMED])} and {len(names) - _SHARED_NAMED} more"
    return names[0] if len(names) == 1 else f"{', '.join(names[:-1])} and {names[-1]}"

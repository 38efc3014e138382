"""Joints of several dimensions: which function sizes which kind, and which makes its trial."""

from __future__ import annotations

from collections.abc import Callable

from shadewright.bench.store import Bench
from shadewright.errors import ValueProblem
from shadewright.fit.joint import JointKind, KindSizing
from shadewright.lamp.read import ReadLamp
from shadewright.layers.costing import print_cost
from shadewright.study.kinds_fixed import size_channel_joint, size_pocket_joint, size_seat_joint
from shadewright.study.kinds_moving import size_pivot_joint, size_snap_joint, size_twist_joint
from shadewright.study.kinds_trials import KindTrial, pivot_trial, pocket_trial, snap_trial, twist_trial
from shadewright.study.result import TrialPlan

Sizer = Callable[[ReadLamp, str, Bench], KindSizing]
"""Sizes the joint of that name; raises ``UserError`` with the line in ``lamp.toml`` for what the maker can mend."""

SIZERS: dict[JointKind, Sizer] = {
    JointKind.SNAP: size_snap_joint,
    JointKind.TWIST: size_twist_joint,
    JointKind.PIVOT: size_pivot_joint,
    JointKind.POCKET: size_pocket_joint,
    JointKind.SEAT: size_seat_joint,
    JointKind.CHANNEL: size_channel_joint,
}

TRIALS: dict[JointKind, Callable[[ReadLamp, str, Bench], KindTrial]] = {
    JointKind.SNAP: snap_trial,
    JointKind.TWIST: twist_trial,
    JointKind.PIVOT: pivot_trial,
    JointKind.POCKET: pocket_trial,
}
"""Makes the trial of the joint of that name; errors as ``Sizer``, and ``ValueProblem`` where no sizes are stated."""

NO_TRIAL = {
    JointKind.SEAT: 'draw what the study says and try it dry before you glue; "shadewright make seat" writes both '
    "sides at any length",
    JointKind.CHANNEL: 'draw what the study says; "shadewright make channel" or "make passage" with a short --length '
    "writes a piece to try the cord in",
}
"""What to do instead, for the kinds that have no trial piece."""

RUNG_COUNTS = (5, 3)
TRIAL_SHARE = 0.4
"""A trial of more than the fewest rungs must stay under this share of the part's printing time; our rule."""


def trial_of_joint(read: ReadLamp, name: str, bench: Bench) -> KindTrial:
    """The trial of the joint ``name``, which is of a kind in ``SIZERS``.

    Raises:
        UserError: As the kind's sizer.
        ValueProblem: This kind has no trial piece, or the joint's sizes are not stated.
    """
    kind = read.lamp.joint[name].kind
    if kind not in TRIALS:
        raise ValueProblem.of(f"a {kind} joint has no trial piece", NO_TRIAL[kind], read.where("joint", name))
    return TRIALS[kind](read, name, bench)


def plan_kind_trial(trial: KindTrial, part_time_s: float) -> TrialPlan | None:
    """The trial with as many rungs as stay well under the part's own printing time.

    None when not even the smallest piece fits the bed.
    """
    plan = None
    for count in RUNG_COUNTS:
        try:
            piece = trial.piece(count)
        except ValueProblem:
            continue
        cost = print_cost(piece.pieces, trial.setup)
        itself = f"; {trial.part} itself prints no longer and is as good a trial" if cost.time_s >= part_time_s else ""
        plan = TrialPlan(
            joint=trial.joint,
            why=f"{trial.sizing.findings[0].sentence}; {trial.afterwards}{itself}",
            piece=piece,
            files=(f"trials/{trial.joint}.3mf",),
            time_s=cost.time_s,
            mass_g=cost.mass_g,
        )
        if cost.time_s <= TRIAL_SHARE * part_time_s:
            break
    return plan

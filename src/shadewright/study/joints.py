"""One joint: its sizing, the verdict on what is drawn today, and the trial that would settle it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from math import inf

from shadewright.bench.store import Bench
from shadewright.catalog.threads import Sex
from shadewright.errors import ValueProblem
from shadewright.findings import Finding, Verdict
from shadewright.fit.joint import Feel, JointQuestion, Sizing
from shadewright.fit.size import size_joint
from shadewright.fit.wording import feature_name
from shadewright.lamp.read import ReadLamp
from shadewright.layers.costing import print_cost
from shadewright.solid.trial import trial_for
from shadewright.study.drawn import ModelFeatures, with_models
from shadewright.study.kinds import SIZERS
from shadewright.study.questions import question_for, setup_of, thread_of
from shadewright.study.result import JointStudy, TrialPlan
from shadewright.wording import duration, percent

SURE = 0.80
"""Chance of the wanted feel from which a joint is called sound; common practice, no source."""
GOOD_SHARE = 0.85
"""Today's drawing passes when it reaches this share of the best reachable chance; common practice, no source."""
POOR_SHARE = 0.50
"""Below this share it is called failing; common practice, no source."""
RULE = (
    "as-printed model and boundaries of feel (common practice, no source); 80 % and more is sound, under half of what "
    "can be reached is failing (our rule)"
)
RUNG_COUNTS = (5, 3)
TRIAL_SHARE = 0.4
"""A trial with more rungs must stay under this share of the part's printing time; our rule."""


@dataclass(frozen=True, slots=True)
class JointAnswer:
    """A joint's study together with the findings it gives rise to."""

    study: JointStudy
    findings: tuple[Finding, ...]


def study_joint(
    read: ReadLamp,
    name: str,
    bench: Bench,
    part_times: Mapping[str, float],
    features: ModelFeatures | None = None,
) -> JointAnswer:
    """Size the joint ``name`` and judge what is drawn today.

    Args:
        read: The lamp.
        name: Its joint.
        bench: Whose habits to use.
        part_times: Printing time of every part [s]; a trial is kept well below that of the part it spares.
        features: What the parts' models hold; None to take the stated sizes at their word.
    """
    joint = read.lamp.joint[name]
    if joint.kind in SIZERS:
        made = SIZERS[joint.kind](read, name, bench)
        return JointAnswer(replace(_stated(read, name, None, None), draws=made.draws), made.findings)
    question = question_for(read, name, bench)
    drawn: tuple[Finding, ...] = ()
    if features is not None:
        question, drawn = with_models(read, question, features)
    sizing = size_joint(question)
    trial = None
    if sizing.trial_worth:
        trial = plan_trial(read, question, sizing, bench, part_times.get(sizing.draw_part, inf))
    return JointAnswer(_stated(read, name, sizing, trial), (judge(question, sizing, trial), *drawn))


def judge(question: JointQuestion, sizing: Sizing, trial: TrialPlan | None) -> Finding:
    """The verdict on one joint: what is drawn today against the best that can be drawn.

    Both chances come from the same model, so an imprecise bench cannot make a good drawing look bad: the drawing
    is judged by the share of the reachable chance it attains, and only then by the chance itself.
    """
    today = _chance(sizing.chances_today, question.feel)
    if today is not None and today < GOOD_SHARE * sizing.chance_wanted:
        return _redraw(question, sizing, today)
    chance = sizing.chance_wanted if today is None else today
    sound = chance >= SURE
    cure = "" if sound else _settle(sizing, trial)
    return Finding(
        code="fit.joint",
        subject=f"joint {question.name}",
        verdict=Verdict.SOUND if sound else Verdict.UNKNOWN if trial else Verdict.DOUBTFUL,
        sentence=_sentence(question, sizing, today, chance),
        why="" if sound else _why_unsure(sizing),
        cure=cure,
        value=round(100 * chance),
        limit=100 * SURE,
        unit="%",
        source=RULE,
    )


def _settle(sizing: Sizing, trial: TrialPlan | None) -> str:
    if trial is None:
        return "more calculation or trials would not help; print it, and rework it by hand if it must be"
    return f"print its trial first ({duration(trial.time_s)}, {trial.files[0]}): it lifts that to about " + percent(
        sizing.chance_settled
    )


def _why_unsure(sizing: Sizing) -> str:
    return f"the gap after printing is known to ±{2 * sizing.gap_sd:.2f} mm only"


def _redraw(question: JointQuestion, sizing: Sizing, today: float) -> Finding:
    failing = today < POOR_SHARE * sizing.chance_wanted
    likely = max(sizing.chances_today or (), key=lambda pair: pair[1])
    drawn = question.female.drawn if sizing.draw_side == "female" else question.male.drawn
    drawn = sizing.draw if drawn is None else drawn
    change = sizing.draw - drawn
    feature = feature_name(question, Sex(sizing.draw_side))
    direction = "larger" if change > 0 else "smaller"
    return Finding(
        code="fit.joint",
        subject=f"joint {question.name}",
        verdict=Verdict.FAILING if failing else Verdict.DOUBTFUL,
        sentence=f"as drawn it comes out {question.feel} in {percent(today)} of prints; {likely[0]} is likelier "
        f"({percent(likely[1])})",
        why=f"the models leave {sizing.clearance_today:.2f} mm on the diameter and this bench wants "
        f"{sizing.clearance_drawn:.2f} mm",
        cure=f"drawn {drawn:.2f}, should be {sizing.draw:.2f}: make the {feature} of {sizing.draw_part} "
        f"{abs(change):.2f} {direction}; {question.feel} in {percent(sizing.chance_wanted)}",
        value=round(100 * today),
        limit=round(100 * GOOD_SHARE * sizing.chance_wanted),
        unit="%",
        source=RULE,
    )


def _sentence(question: JointQuestion, sizing: Sizing, today: float | None, chance: float) -> str:
    if today is None:
        return f"{sizing.sentence.rstrip('.')}: {question.feel} in {percent(chance)} of prints"
    return f"as drawn it comes out {question.feel} in {percent(chance)} of prints"


def _chance(chances: tuple[tuple[Feel, float], ...] | None, feel: Feel) -> float | None:
    return None if chances is None else dict(chances)[feel]


def plan_trial(
    read: ReadLamp, question: JointQuestion, sizing: Sizing, bench: Bench, part_time_s: float
) -> TrialPlan | None:
    """The trial piece for a sized joint: as many rungs as stay well under the part's own printing time.

    None when not even the smallest piece fits the bed.
    """
    setup = setup_of(read, read.lamp.part[sizing.draw_part], bench)
    plan = None
    for rungs in RUNG_COUNTS:
        try:
            piece = trial_for(question, sizing, rungs, bed_x=setup.bed_x, bed_y=setup.bed_y)
        except ValueProblem:
            continue
        cost = print_cost(piece.pieces, setup)
        plan = TrialPlan(
            joint=question.name,
            why=f"by calculation {question.feel} in {percent(sizing.chance_wanted)}, after it in about "
            f"{percent(sizing.chance_settled)}",
            piece=piece,
            files=(f"trials/{question.name}.3mf",),
            time_s=cost.time_s,
            mass_g=cost.mass_g,
        )
        if cost.time_s <= TRIAL_SHARE * part_time_s:
            break
    return plan


def _stated(read: ReadLamp, name: str, sizing: Sizing | None, trial: TrialPlan | None) -> JointStudy:
    joint = read.lamp.joint[name]
    thread = thread_of(read, name)
    return JointStudy(
        name=name,
        kind=joint.kind.value,
        male=joint.male,
        female=joint.female,
        feel=joint.feel.value,
        count=joint.count,
        thread=thread.name if thread else "",
        sizing=sizing,
        trial=trial,
        note=joint.note,
        round=joint.round,
    )

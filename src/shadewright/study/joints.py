"""One joint: its sizing, the verdict on what is drawn today, and the trial that would settle it."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from math import inf

from shadewright.bench.store import Bench
from shadewright.catalog.threads import Sex
from shadewright.errors import UserError
from shadewright.findings import Finding, Verdict
from shadewright.fit.joint import Feel, JointQuestion, Sizing
from shadewright.fit.size import size_joint
from shadewright.fit.wording import feature_name
from shadewright.lamp.read import ReadLamp
from shadewright.progress import SILENT, Progress, stepping
from shadewright.study.advice import Sized, TrialAdvice, advise
from shadewright.study.drawn import ModelFeatures, with_models
from shadewright.study.kinds import SIZERS, TRIALS, plan_kind_trial
from shadewright.study.questions import question_for, thread_of
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
    """Size the joint ``name`` alone and judge what is drawn today; arguments as for ``study_joints``."""
    return study_joints(read, [name], bench, part_times, features)[0]


def study_joints(
    read: ReadLamp,
    names: Iterable[str],
    bench: Bench,
    part_times: Mapping[str, float],
    features: ModelFeatures | None = None,
    *,
    progress: Progress = SILENT,
) -> list[JointAnswer]:
    """Size joints, judge what is drawn today, and advise which trials to print: together, as they share answers.

    Args:
        read: The lamp.
        names: Its joints.
        bench: Whose habits to use.
        part_times: Printing time of every part [s]; a trial must save more of it than it takes.
        features: What the parts' models hold; None to take the stated sizes at their word.
        progress: Told of every joint, and of every trial that is timed.

    Raises:
        UserError: Every problem of the joints in one go.
    """
    wanted = list(names)
    problems: list[UserError] = []
    started: list[JointAnswer | _Started] = []
    for name in stepping(progress, "sizing joints", wanted, len(wanted)):
        try:
            started.append(_start(read, name, bench, part_times, features))
        except UserError as error:
            problems.append(error)
    if problems:
        if len(problems) == 1:
            raise problems[0]
        raise UserError(problem for error in problems for problem in error.problems)
    sized = [one.sized for one in started if isinstance(one, _Started)]
    advice = advise(read, sized, bench, part_times, progress) if sized else {}
    return [one if isinstance(one, JointAnswer) else _finish(read, one, advice) for one in started]


@dataclass(frozen=True, slots=True)
class _Started:
    """A joint that was sized and awaits its verdict; and what was found of its drawing."""

    sized: Sized
    drawn: tuple[Finding, ...]


def _start(
    read: ReadLamp, name: str, bench: Bench, part_times: Mapping[str, float], features: ModelFeatures | None
) -> JointAnswer | _Started:
    kind = read.lamp.joint[name].kind
    if kind in SIZERS:
        return _several(read, name, bench, part_times)
    question = question_for(read, name, bench)
    drawn: tuple[Finding, ...] = ()
    if features is not None:
        question, drawn = with_models(read, question, features)
    return _Started(Sized(question=question, sizing=size_joint(question)), drawn)


def _several(read: ReadLamp, name: str, bench: Bench, part_times: Mapping[str, float]) -> JointAnswer:
    """A joint of several dimensions, with its trial where that tells more than the calculation."""
    kind = read.lamp.joint[name].kind
    made, trial = SIZERS[kind](read, name, bench), None
    if made.trial_worth and kind in TRIALS:
        shape = TRIALS[kind](read, name, bench)
        trial = plan_kind_trial(shape, part_times.get(shape.part, inf))
    return JointAnswer(replace(_stated(read, name, None, trial), draws=made.draws), made.findings)


def _finish(read: ReadLamp, started: _Started, advice: Mapping[str, TrialAdvice]) -> JointAnswer:
    question, sizing = started.sized.question, started.sized.sizing
    told = advice[question.name]
    study = _stated(read, question.name, sizing, told.trial)
    return JointAnswer(study, (judge(question, sizing, told), *started.drawn))


def judge(question: JointQuestion, sizing: Sizing, advice: TrialAdvice) -> Finding:
    """The verdict on one joint: what is drawn today against the best that can be drawn.

    Both chances come from the same model, so an imprecise bench cannot make a good drawing look bad: the drawing
    is judged by the share of the reachable chance it attains, and only then by the chance itself.
    """
    today = _chance(sizing.chances_today, question.feel)
    if today is not None and today < GOOD_SHARE * sizing.chance_wanted:
        return _redraw(question, sizing, today)
    chance = sizing.chance_wanted if today is None else today
    sound = chance >= SURE
    cure = "" if sound else _settle(sizing, advice)
    return Finding(
        code="fit.joint",
        subject=f"joint {question.name}",
        verdict=Verdict.SOUND if sound else Verdict.UNKNOWN,
        sentence=_sentence(question, sizing, today, chance),
        why="" if sound else _why_unsure(sizing),
        cure=cure,
        value=round(100 * chance),
        limit=100 * SURE,
        unit="%",
        source=RULE,
    )


def _settle(sizing: Sizing, advice: TrialAdvice) -> str:
    trial = advice.trial
    if trial is not None:
        return f"print its trial first ({duration(trial.time_s)}, {trial.files[0]}): it lifts that to about " + percent(
            max(sizing.chance_settled, sizing.chance_wanted)
        )
    if advice.answered_by:
        return f"print the trial of joint {advice.answered_by} first: it tells of this joint as well"
    return (
        f"print {advice.part} itself ({duration(advice.part_s)}) and try it: a trial would take more time than it is "
        "likely to save"
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

"""One joint: its sizing, the verdict on what is drawn today, and the trial that would settle it."""

from __future__ import annotations

from dataclasses import dataclass

from shadewright.bench.store import Bench
from shadewright.findings import Finding, Verdict
from shadewright.fit.joint import Feel, JointKind, JointQuestion, Sizing
from shadewright.fit.questions import SIZED
from shadewright.fit.size import size_joint
from shadewright.lamp.read import ReadLamp
from shadewright.layers.check import PartToPrint, check_part
from shadewright.solid.features import TrialPiece
from shadewright.solid.trial import trial_for
from shadewright.study.questions import question_for, setup_of, thread_of
from shadewright.study.result import JointStudy, TrialPlan

SURE = 0.80
"""Chance of the wanted feel from which a joint is called sound; common practice, no source."""
GOOD_SHARE = 0.85
"""Today's drawing passes when it reaches this share of the best reachable chance; common practice, no source."""
POOR_SHARE = 0.50
"""Below this share it is called failing; common practice, no source."""
RULE = "chance of the wanted feel: 80 % and more is sound; half of what is reachable or less is failing (our rule)"


@dataclass(frozen=True, slots=True)
class JointAnswer:
    """A joint's study together with the findings it gives rise to."""

    study: JointStudy
    findings: tuple[Finding, ...]


def study_joint(read: ReadLamp, name: str, bench: Bench) -> JointAnswer:
    """Size the joint ``name`` and judge what is drawn today; kinds without a calculation become ``unknown``."""
    joint = read.lamp.joint[name]
    if joint.kind not in SIZED:
        return JointAnswer(_stated(read, name, None, None), (_not_sized(name, joint.kind),))
    question = question_for(read, name, bench)
    sizing = size_joint(question)
    finding = judge(question, sizing)
    trial = plan_trial(read, question, sizing, bench) if sizing.trial_worth else None
    return JointAnswer(_stated(read, name, sizing, trial), (finding,))


def judge(question: JointQuestion, sizing: Sizing) -> Finding:
    """The verdict on one joint: what is drawn today against the best that can be drawn.

    Both chances come from the same model, so an imprecise bench cannot make a good drawing look bad: the drawing
    is judged by the share of the reachable chance it attains, and only then by the chance itself.
    """
    wanted = question.feel
    today = _chance(sizing.chances_today, wanted)
    if today is not None and today < GOOD_SHARE * sizing.chance_wanted:
        return _redraw(question, sizing, today)
    chance = sizing.chance_wanted if today is None else today
    sound = chance >= SURE
    trial = f"print the trial for this joint (shadewright trial LAMP {question.name}) before the part"
    return Finding(
        code="fit.joint",
        subject=f"joint {question.name}",
        verdict=Verdict.SOUND if sound else Verdict.UNKNOWN,
        sentence=_sentence(question, sizing, today, chance),
        why="" if sound else "this bench has not been measured closely enough to be surer",
        cure="" if sound else trial,
        value=chance,
        limit=SURE,
        source=f"{sizing.source}; {RULE}",
    )


def _redraw(question: JointQuestion, sizing: Sizing, today: float) -> Finding:
    failing = today < POOR_SHARE * sizing.chance_wanted
    likely = max(sizing.chances_today or (), key=lambda pair: pair[1])
    drawn = question.female.drawn if sizing.draw_side == "female" else question.male.drawn
    change = sizing.draw - drawn if drawn is not None else 0.0
    direction = "larger" if change > 0 else "smaller"
    return Finding(
        code="fit.joint",
        subject=f"joint {question.name}",
        verdict=Verdict.FAILING if failing else Verdict.DOUBTFUL,
        sentence=f"as drawn it comes out {question.feel} in {today:.0%} of prints; {likely[0]} is likelier "
        f"({likely[1]:.0%})",
        why=f"the models leave {sizing.clearance_today:.2f} mm on the diameter and this bench wants "
        f"{sizing.clearance_drawn:.2f} mm",
        cure=f"draw {sizing.draw_part} {sizing.draw:.2f} mm, {abs(change):.2f} mm {direction} than now: "
        f"{question.feel} in {sizing.chance_wanted:.0%}",
        value=today,
        limit=GOOD_SHARE * sizing.chance_wanted,
        source=f"{sizing.source}; {RULE}",
    )


def _sentence(question: JointQuestion, sizing: Sizing, today: float | None, chance: float) -> str:
    if today is None:
        return f"{sizing.sentence.rstrip('.')}: {question.feel} in {chance:.0%} of prints"
    return f"as drawn it comes out {question.feel} in {chance:.0%} of prints"


def _chance(chances: tuple[tuple[Feel, float], ...] | None, feel: Feel) -> float | None:
    return None if chances is None else dict(chances)[feel]


def _not_sized(name: str, kind: JointKind) -> Finding:
    return Finding(
        code="fit.not_sized",
        subject=f"joint {name}",
        verdict=Verdict.UNKNOWN,
        sentence=f"{kind} joints are listed but not sized by this version",
        cure="print a short piece of both parts and try it before the whole part",
    )


def plan_trial(read: ReadLamp, question: JointQuestion, sizing: Sizing, bench: Bench) -> TrialPlan:
    """The trial piece for a sized joint, with what it costs to print on the plastic of the side that is drawn."""
    setup = setup_of(read, read.lamp.part[sizing.draw_part], bench)
    piece = trial_for(question, sizing, bed_x=setup.bed_x, bed_y=setup.bed_y)
    reports = [check_part(PartToPrint(name=mesh.name, mesh=mesh, setup=setup)) for mesh in piece.pieces]
    together = sum(report.time_s for report in reports) - setup.warm_up_s * (len(reports) - 1)
    return TrialPlan(
        joint=question.name,
        why=_why_trial(question, sizing),
        piece=piece,
        files=trial_files(question.name, piece),
        time_s=together,
        mass_g=sum(report.mass_g for report in reports),
    )


def trial_files(joint: str, piece: TrialPiece) -> tuple[str, ...]:
    """Names of the files a trial is written to, inside the output folder: one, with every piece in it."""
    del piece
    return (f"trials/{joint}.3mf",)


def _why_trial(question: JointQuestion, sizing: Sizing) -> str:
    return (
        f"by calculation {question.feel} in {sizing.chance_wanted:.0%}; the true gap is known to "
        f"±{2 * sizing.gap_sd:.2f} mm"
    )


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
    )

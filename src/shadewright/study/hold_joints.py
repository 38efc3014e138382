"""Whether threads and snaps of a lamp hold: gathers what is stated, asks the calculations, and hands on findings."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from shadewright.bench.store import Bench
from shadewright.catalog.threads import Sex
from shadewright.findings import Finding, Verdict
from shadewright.fit.gap import Gap, true_gap
from shadewright.fit.joint import JointKind, JointQuestion, Sizing
from shadewright.hold.ranges import SECOND_RETENTION, Ranged
from shadewright.hold.thread_advice import ThreadCase, judge_thread
from shadewright.hold.thread_strength import (
    BEARING,
    HOLDER_PLASTIC,
    STEEL,
    ThreadQuestion,
    ThreadSide,
    bought_side,
    printed_side,
    thread_strength,
)
from shadewright.hold.tightening import METAL_FRICTION, Head, tighten
from shadewright.lamp.read import ReadLamp
from shadewright.printing import PrintSetup
from shadewright.study.hold_inputs import HoldInputs
from shadewright.study.hold_loads import load_of
from shadewright.study.hold_snaps import study_hold_snap
from shadewright.study.questions import question_for
from shadewright.study.result import JointStudy, PartStudy

_NARROW = 16.0
_SEATS = {True: 1.5, False: 1.2}  # outside of what a thread's head or shoulder turns on, over the thread; judged
_BOUGHT_WALLS = {
    "pipe": Ranged(0.7, 1.0, 1.5),
    "holder": Ranged(1.5, 2.0, 3.0),
    "ring": Ranged(1.0, 1.5, 3.0),
    "nut": Ranged(1.5, 2.5, 4.0),
    "insert": Ranged(0.5, 0.8, 1.5),
}
_SPREAD_TO_ENDS = 6**0.5  # ends of a triangle with a given standard deviation


def study_hold_joints(
    read: ReadLamp,
    bench: Bench,
    parts: Sequence[PartStudy],
    joints: Sequence[JointStudy],
    temps_c: Mapping[str, float] | None = None,
) -> list[Finding]:
    """Findings on every thread and every stated snap that has a printed side.

    Args:
        read: The lamp.
        bench: Whose plastics.
        parts: As studied: their setups and masses are used.
        joints: As studied: what to draw where nothing is drawn yet.
        temps_c: Temperature of parts in service [°C]; the room's where nothing is known.
    """
    inputs = HoldInputs(
        read=read,
        bench=bench,
        parts={part.name: part for part in parts},
        joints={joint.name: joint for joint in joints},
        temps_c=temps_c or {},
    )
    names = [name for name, joint in read.lamp.joint.items() if joint.kind is JointKind.THREAD]
    carrying = [name for name in names if _printed(inputs, name)]
    findings = [_thread(inputs, name) for name in carrying]
    snaps = {name: judged for name in read.lamp.joint for judged in study_hold_snap(inputs, name)}
    findings += snaps.values()
    if (carrying or snaps) and read.lamp.surroundings.above_people:
        findings.append(_second_retention([*carrying, *snaps]))
    return findings


def _printed(inputs: HoldInputs, name: str) -> list[str]:
    joint = inputs.read.lamp.joint[name]
    return [side for side in (joint.male, joint.female) if side in inputs.parts]


def _second_retention(carrying: list[str]) -> Finding:
    named = ", ".join(carrying[:4]) + (" and others" if len(carrying) > 4 else "")
    return Finding(
        code="hold.retention",
        subject="lamp",
        verdict=Verdict.DOUBTFUL,
        sentence=f"printed joints alone keep it over people: {named}",
        why="a print can hold a hidden flaw that no calculation sees",
        cure=SECOND_RETENTION,
        source="our rule; larger margins are asked for besides",
    )


def _thread(inputs: HoldInputs, name: str) -> Finding:
    lamp = inputs.read.lamp
    joint = lamp.joint[name]
    question = _question(inputs, name)
    if question is None:
        return _too_short(inputs, name)
    cards = {side: inputs.card(side) for side in _printed(inputs, name)}
    softest = min(cards.values(), key=lambda card: card.limit_c - card.temp_c)
    bought = len(cards) < 2
    size = question.thread.major
    seat = softest.strength_along_mpa.by(BEARING)
    head = Head(outer=_SEATS[size < _NARROW] * size, inner=1.05 * size, bearing_mpa=seat)
    load = load_of(lamp, name, inputs.masses_g())
    warm = (
        "" if softest.bears_for_long else f"{softest.name} at {softest.temp_c:.0f} °C, limit {softest.limit_c:.0f} °C"
    )
    return judge_thread(
        ThreadCase(
            joint=name,
            question=question,
            strength=thread_strength(question),
            tightening=tighten(question, head, METAL_FRICTION if bought else softest.friction, softest),
            load=load.force,
            load_words=load.words,
            torque_nm=joint.torque_nm,
            above_people=lamp.surroundings.above_people,
            too_warm=warm,
        )
    )


def _question(inputs: HoldInputs, name: str) -> ThreadQuestion | None:
    """The thread as it will be printed; None when less than half a turn engages."""
    asked = question_for(inputs.read, name, inputs.bench)
    assert asked.thread is not None
    engagement = asked.length - asked.thread.pitch
    if engagement < asked.thread.pitch / 2:
        return None
    gap = _gap(asked, inputs.joints[name].sizing)
    ends = _SPREAD_TO_ENDS * gap.sd
    return ThreadQuestion(
        thread=asked.thread,
        engagement=engagement,
        gap=Ranged(gap.mean - ends, gap.mean, gap.mean + ends, "sizes as printed"),
        male=_side(inputs, name, Sex.MALE),
        female=_side(inputs, name, Sex.FEMALE),
    )


def _gap(asked: JointQuestion, sizing: Sizing | None) -> Gap:
    """The gap of what is drawn; a side that is not drawn yet is drawn as sizing says, the other at its basic size."""
    sizes = {}
    for sex, side in ((Sex.MALE, asked.male), (Sex.FEMALE, asked.female)):
        told = sizing.draw if sizing is not None and sizing.draw_side == sex.value else asked.nominal
        sizes[sex] = told if side.drawn is None else side.drawn
    return true_gap(asked, sizes[Sex.MALE], sizes[Sex.FEMALE])


def _side(inputs: HoldInputs, name: str, sex: Sex) -> ThreadSide:
    lamp = inputs.read.lamp
    joint = lamp.joint[name]
    who = joint.male if sex is Sex.MALE else joint.female
    if who in inputs.parts:
        return printed_side(
            who, inputs.card(who), lying=_lying(inputs, name, sex), wall=_walls(inputs.parts[who].setup)
        )
    kind = lamp.bought[who].kind
    strength = HOLDER_PLASTIC if kind in ("holder", "ring", "switch", "cord grip") else STEEL
    return bought_side(who, strength, _BOUGHT_WALLS.get(kind))


def _lying(inputs: HoldInputs, name: str, sex: Sex) -> bool:
    """Whether the joint's axis lies in the layers: stated, or read off ``up``, the axis taken to be the model's z."""
    joint = inputs.read.lamp.joint[name]
    if joint.lying is not None:
        return sex.value in joint.lying
    who = joint.male if sex is Sex.MALE else joint.female
    return not inputs.read.lamp.part[who].up.endswith("z")


def _walls(setup: PrintSetup) -> Ranged | None:
    """What carries beside a thread [mm]: one shell of lines at least, two at most; all of it when printed solid."""
    if setup.infill >= 1:
        return None
    shell = setup.walls * setup.line_width
    return Ranged(shell, 1.5 * shell, 2 * shell, "shells of walls; infill is not counted")


def _too_short(inputs: HoldInputs, name: str) -> Finding:
    asked = question_for(inputs.read, name, inputs.bench)
    assert asked.thread is not None
    pitch = asked.thread.pitch
    return Finding(
        code="hold.thread",
        subject=f"joint {name}",
        verdict=Verdict.FAILING,
        sentence=f"{asked.length:g} mm is {asked.length / pitch:.1f} turns, of which one is lost at the ends",
        cure=f"let at least {3 * pitch:.0f} mm engage: three turns",
        value=round(asked.length / pitch, 2),
        limit=1.5,
        unit="turns",
        source="common practice, no source",
    )

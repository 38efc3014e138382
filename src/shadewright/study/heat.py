"""How warm a lamp gets: gathers what is stated, asks the heat calculation, and hands on findings."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

import numpy as np

from shadewright.bench.store import Bench
from shadewright.catalog import lookup
from shadewright.catalog.cards import Range
from shadewright.errors import UnknownName, UserError
from shadewright.findings import Finding, Verdict
from shadewright.fit.joint import JointKind
from shadewright.heat.advice import (
    CORD_C,
    BulbCase,
    WallCase,
    WarmJoint,
    judge_bulb,
    judge_joint,
    judge_liner,
    judge_wall,
)
from shadewright.heat.air import Values
from shadewright.heat.bulb import FILAMENT
from shadewright.heat.cures import cures
from shadewright.heat.hot_spots import beside_collar
from shadewright.heat.softening import DOUBTS, lets_go, softens
from shadewright.heat.warm import WarmAnswer, WarmQuestion, lamp_of, warm
from shadewright.lamp.model import Joint, Lamp
from shadewright.lamp.read import ReadLamp
from shadewright.lamp.warm import Warm
from shadewright.progress import SILENT, Progress
from shadewright.study.heat_inputs import Asked, HeatInputs, ask
from shadewright.study.result import PartStudy

OFFERED = ("PETG", "ABS", "ASA", "PC")
"""Plastics that are offered instead: they print on ordinary machines and keep their shape in the warmth."""


@dataclass(frozen=True, slots=True, kw_only=True)
class HeatStudy:
    """Findings, and how warm parts are in service [°C], by name: likely values, for what they still bear."""

    findings: tuple[Finding, ...] = ()
    temps_c: Mapping[str, float] = field(default_factory=dict)


def study_heat(read: ReadLamp, bench: Bench, parts: Sequence[PartStudy], progress: Progress = SILENT) -> HeatStudy:
    """Findings on the wall around the bulb, the bulb itself, and joints in the warmth.

    A lamp that names no shade, or no bulb with its watts, is told what to state when its bulb is on the mains, and
    else left alone.
    """
    inputs = _inputs(read, bench, parts)
    if isinstance(inputs, Finding):
        return HeatStudy(findings=(inputs,))
    if inputs is None:
        return HeatStudy()
    step = progress.start("warming up", 2)
    try:
        asked = ask(inputs)
        question = asked.question
        answer = warm(question)
    except UserError as problem:
        return HeatStudy(findings=(_unknown(inputs.warm.shade, problem.problems[0].what, problem.problems[0].cure),))
    step()
    tried = cures(question, answer, [lookup.plastic(name) for name in OFFERED]) if answer.chance > DOUBTS else ()
    step()
    wall = WallCase(
        part=inputs.warm.shade,
        plastic=inputs.family(inputs.warm.shade).name,
        question=question,
        answer=answer,
        cures=tried,
        filament=inputs.warm.light in FILAMENT,
        taken=asked.taken,
    )
    findings = [judge_wall(wall), judge_bulb(_bulb_case(inputs, question, answer))]
    if answer.liner_draws is not None:
        liner = inputs.family(inputs.warm.liner)
        findings.append(judge_liner(inputs.warm.liner, liner.name, answer.liner_draws, softens(liner)))
    findings += [judge_joint(case) for case in _joints(inputs, asked, answer)]
    return HeatStudy(findings=tuple(findings), temps_c=_temps(inputs, answer))


def _inputs(read: ReadLamp, bench: Bench, parts: Sequence[PartStudy]) -> HeatInputs | Finding | None:
    lamp = read.lamp
    stated = lamp.warm or Warm()
    bulbs = {name: thing for name, thing in lamp.bought.items() if thing.kind == "bulb"}
    name = stated.bulb or next(iter(bulbs), "")
    bulb = lamp.bought.get(name)
    lacking = _lacking(lamp, stated, bulbs, name)
    if bulb is None or lacking:
        return _unknown(stated.shade, "how warm it gets is not known", lacking) if _on_mains(lamp, bulbs) else None
    try:
        card = lookup.bulb(bulb.card)
    except UnknownName:
        return _unknown(stated.shade, f"no bulb is called {bulb.card}", "name its card; see the catalog of bulbs")
    return HeatInputs(
        read=read,
        bench=bench,
        parts={part.name: part for part in parts},
        warm=stated,
        bulb_name=name,
        bulb=bulb,
        card=card,
    )


def _on_mains(lamp: Lamp, bulbs: Mapping[str, object]) -> bool:
    return any(lamp.bought[name].mains for name in bulbs)


def _lacking(lamp: Lamp, stated: Warm, bulbs: Mapping[str, object], name: str) -> str:
    """What is to be stated before anything can be calculated, as a clause."""
    wanted = []
    if not stated.shade:
        wanted.append('shade = "..." under [warm]: the printed part around the bulb')
    if not stated.bulb and len(bulbs) > 1:
        wanted.append('bulb = "..." under [warm]: which of the bulbs')
    bulb = lamp.bought.get(name)
    if bulb is not None and bulb.watts is None:
        wanted.append(f"watts = ... to {name}")
    if bulb is not None and not bulb.card:
        wanted.append(f'card = "A60" or the like to {name}')
    return f"add {'; '.join(wanted)}" if wanted else ""


def _unknown(shade: str, sentence: str, cure: str) -> Finding:
    return Finding(
        code="heat.wall",
        subject=f"part {shade}" if shade else "lamp",
        verdict=Verdict.UNKNOWN,
        sentence=sentence,
        why="printed plastics soften in the warmth of a bulb: PLA from about 55 °C",
        cure=cure,
    )


def _bulb_case(inputs: HeatInputs, question: WarmQuestion, answer: WarmAnswer) -> BulbCase:
    cords = [thing.card for thing in inputs.read.lamp.bought.values() if thing.kind == "cord" and thing.card]
    limits = [lookup.cord(card).conductor_limit_c for card in cords]
    return BulbCase(
        bulb=inputs.bulb_name,
        answer=answer,
        watts=question.ranges["watts"].likely,
        openings_mm2=sum(opening.area_mm2 for opening in question.shade.openings),
        for_closed=inputs.warm.for_closed,
        most_watts=inputs.warm.most_watts,
        cord_limit_c=min(limits, default=CORD_C),
    )


def _joints(inputs: HeatInputs, asked: Asked, answer: WarmAnswer) -> list[WarmJoint]:
    """Joints at the holder, at the shade and at the liner; all others are away from the bulb."""
    found = []
    for name, joint in inputs.read.lamp.joint.items():
        sides = (joint.male, joint.female)
        printed = [side for side in sides if side in inputs.parts]
        case = _joint_warmth(inputs, asked, answer, joint)
        if case is None or not printed:
            continue
        temps, where = case
        glue = _glue(inputs, joint)
        soft = min((inputs.family(side) for side in printed), key=lambda card: softens(card).likely)
        limit = glue[1] if glue else softens(soft)
        found.append(
            WarmJoint(
                joint=name,
                temps_c=temps,
                where=where,
                limit_c=limit,
                limit_of=glue[0] if glue else soft.name,
                glued=glue is not None,
            )
        )
    return found


def _joint_warmth(inputs: HeatInputs, asked: Asked, answer: WarmAnswer, joint: Joint) -> tuple[Values, str] | None:
    """How warm a joint is, in every draw, and what that was taken from."""
    bought, sides = inputs.read.lamp.bought, (joint.male, joint.female)
    if any(bought[side].kind in {"holder", "bulb"} for side in sides if side in bought):
        return answer.steady.holder_c, "taken as warm as the holder"
    if answer.liner_draws is not None and inputs.warm.liner in sides:
        return answer.liner_draws, "taken as the hottest spot of the liner"
    if inputs.warm.shade not in sides:
        return None
    place = {"male": joint.at_male, "female": joint.at_female}
    at = next((place[sex] for sex in place if getattr(joint, sex) == inputs.warm.shade), None)
    if at is None or inputs.warm.up != "+z":
        return answer.hottest_draws, "taken as the hottest spot, its place in the shade not being stated"
    bulb = asked.bulb
    away = np.array(at) - np.array(bulb.middle)
    along = float(np.clip(away @ np.array(bulb.cap), 0.0, bulb.collar_length))
    gap = float(np.linalg.norm(away - along * np.array(bulb.cap))) - bulb.collar_radius
    temps = beside_collar(lamp_of(asked.question), answer.steady, max(gap, 1.0))
    return temps, f"{max(gap, 1.0):.0f} mm from the bulb, by its stated place"


def _glue(inputs: HeatInputs, joint: Joint) -> tuple[str, Range] | None:
    """The glue of a seat or a glued-in magnet, and up to which temperature it holds; None where nothing is glued."""
    stated = joint.seat.glue if joint.seat else joint.pocket.glue if joint.pocket else ""
    if joint.kind is JointKind.SEAT and not stated:
        cards = [thing.card for thing in inputs.read.lamp.bought.values() if thing.kind == "glue" and thing.card]
        stated = cards[0] if cards else ""
    if not stated:
        return None
    card = lookup.glue(stated)
    limit = lets_go(card)
    return None if limit is None else (card.name, limit)


def _temps(inputs: HeatInputs, answer: WarmAnswer) -> dict[str, float]:
    """Shade and liner at their hottest, parts on the holder as warm as that."""
    temps = {name: answer.hottest.middle for name in (inputs.warm.shade, inputs.warm.liner) if name}
    bought = inputs.read.lamp.bought
    for joint in inputs.read.lamp.joint.values():
        for own, other in ((joint.male, joint.female), (joint.female, joint.male)):
            if own in inputs.parts and other in bought and bought[other].kind == "holder":
                temps[own] = max(temps.get(own, 0.0), answer.holder.middle)
    return temps

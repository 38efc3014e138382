"""What screws, wall and keyhole come to, in words."""

from __future__ import annotations

from dataclasses import dataclass

from shadewright.findings import Finding, Verdict
from shadewright.hold.ranges import SECOND_RETENTION, rounded
from shadewright.hold.wall import (
    GRAVITY_OF_WOOD,
    PLUG_SHEAR,
    SOURCE,
    WallHold,
    WallQuestion,
    allowable_withdrawal_n,
    wall_hold,
)


@dataclass(frozen=True, slots=True, kw_only=True)
class WallCase:
    """A lamp on a wall or ceiling: the question, and whether people could be under it."""

    question: WallQuestion
    above_people: bool
    too_warm: str = ""


def judge_wall(case: WallCase) -> list[Finding]:
    """Say whether it stays on the wall; over people also that one fastening is not enough."""
    found = wall_hold(case.question)
    safety = found.safeties[found.governing]
    verdict = Verdict.SOUND
    if case.too_warm or safety.low5 < 1:
        verdict = Verdict.FAILING
    elif safety.low5 < found.wanted:
        verdict = Verdict.DOUBTFUL
    findings = [
        Finding(
            code="hold.wall",
            subject="lamp",
            verdict=verdict,
            sentence=case.too_warm or _sentence(case.question, found),
            why=_why(case.question, found),
            cure=_cure(case, found) if verdict is not Verdict.SOUND else "",
            value=round(safety.low5, 2),
            limit=found.wanted,
            source=SOURCE,
        )
    ]
    if case.above_people:
        findings.append(_second_retention())
    return findings


def _second_retention() -> Finding:
    return Finding(
        code="hold.retention",
        subject="wall",
        verdict=Verdict.DOUBTFUL,
        sentence="its plate and screws alone keep it over people",
        why="a print can hold a hidden flaw, and nobody sees into a wall",
        cure=SECOND_RETENTION,
        source="our rule; larger margins are asked for besides",
    )


def _sentence(asked: WallQuestion, found: WallHold) -> str:
    safety = found.safeties[found.governing]
    where = "ceiling" if asked.overhead else "wall"
    return f"it holds on the {where} {safety.text('')}-fold; what gives first is {_named(asked, found)}"


def _named(asked: WallQuestion, found: WallHold) -> str:
    if found.governing != "screw and wall":
        return f"the {found.governing.replace(': ', ', its ', 1)}"
    return "the screw in the wood" if asked.wall in GRAVITY_OF_WOOD else f"the plug in {asked.wall}"


def _why(asked: WallQuestion, found: WallHold) -> str:
    loads = f"the worst screw is pulled with {rounded(found.tension_n.likely)} N"
    if not asked.overhead:
        loads += f" and sheared with {rounded(found.shear_n.likely)} N"
    rough = "" if asked.plug_n else ", a rough figure: the plug's maker knows better"
    if asked.wall in GRAVITY_OF_WOOD:
        gravity, screws = GRAVITY_OF_WOOD[asked.wall].likely, asked.screws
        allowed = allowable_withdrawal_n(gravity, screws.diameter, screws.length)
        rough = f", of which timber design would use {rounded(allowed)} N"
    weight = f"{rounded(asked.weight_n.likely)} N"
    if not asked.overhead:
        weight += f" act {asked.reach.likely:.0f} mm from the wall"
    return f"{weight}; {loads}; the wall bears {found.pull_n.text('N')} of pull{rough}"


def _cure(case: WallCase, found: WallHold) -> str:
    asked = case.question
    if case.too_warm:
        return "print the plate in a plastic for more heat"
    short = max(found.wanted / found.safeties[found.governing].low5, 1.0)
    if found.governing == "keyhole: lip crushed":
        return f"use a screw whose head is {asked.screws.head * short**0.5:.0f} mm wide, or a narrower slot"
    if found.governing.startswith("keyhole") and asked.keyhole:
        behind = asked.keyhole.behind
        return f"leave {behind * short:.1f} mm of plastic behind the head instead of {behind:g}"
    if asked.wall in GRAVITY_OF_WOOD:
        return (
            f"use screws with {asked.screws.length * short:.0f} mm of thread in the wood instead of "
            f"{asked.screws.length:g}, or more of them higher up"
        )
    pull = found.wanted * (found.tension_n.high95 + found.shear_n.high95 / PLUG_SHEAR.low)
    return f"use fixings that their maker rates for {rounded(pull)} N of pull each, and state plug_n"

"""What is said of a threaded joint: whether it holds its load for years, how tight is enough, and what mends it."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

from shadewright.findings import Finding, Verdict
from shadewright.hold.balance import GRAVITY
from shadewright.hold.card import long_strength
from shadewright.hold.ranges import (
    SECOND_RETENTION,
    Outcome,
    Ranged,
    Safety,
    factor_of_safety,
    rounded,
    wanted_margin,
)
from shadewright.hold.thread_strength import (
    CORE,
    FEMALE,
    FLANKS,
    MALE,
    SOURCE,
    ThreadQuestion,
    ThreadSide,
    ThreadStrength,
    failure_words,
    thread_strength,
)
from shadewright.hold.tightening import HEAD, TWIST, Tightening

TEN_YEARS_H = 87660.0
_LONGEST = 2.0  # engagement over diameter beyond which further turns hardly carry; common practice, no source
_THICKEST = 8.0  # mm of solid wall that is still proposed; judged


@dataclass(frozen=True, slots=True, kw_only=True)
class ThreadCase:
    """All that a verdict on a threaded joint needs.

    Attributes:
        joint: Its name.
        question, strength, tightening: What was asked, and what came of it.
        load: What pulls on it for years [N]; None when nobody knows.
        load_words: Where that comes from, as a clause; with no load, what to state instead.
        torque_nm: Torque that is meant to be applied; None when nothing is stated.
        above_people: Whether someone could be under it.
        too_warm: Why it bears nothing for long, as a clause; empty when it is cool enough.
    """

    joint: str
    question: ThreadQuestion
    strength: ThreadStrength
    tightening: Tightening
    load: Ranged | None
    load_words: str
    torque_nm: float | None = None
    above_people: bool = False
    too_warm: str = ""

    @property
    def wanted(self) -> float:
        """Factor of safety that is asked for."""
        return wanted_margin(above_people=self.above_people)


def lasting(force: Outcome, hours: float = TEN_YEARS_H) -> Outcome:
    """Force that is borne for so long: plastics under load give way in time."""
    share = long_strength(hours)
    return Outcome(force.low5 * share.likely, force.likely * share.likely, force.high95 * share.likely)


def judge_thread(case: ThreadCase) -> Finding:
    """The verdict: load for years first, then the torque."""
    load_verdict, load_words, load_cure = _load(case)
    torque_verdict, torque_cure = _torque(case)
    verdict = min((load_verdict, torque_verdict), key=lambda one: one.rank)
    cures = [text for text in (load_cure, torque_cure, SECOND_RETENTION if case.above_people else "") if text]
    for_years = lasting(case.strength.force_n)
    return Finding(
        code="hold.thread",
        subject=f"joint {case.joint}",
        verdict=verdict,
        sentence=f"{load_words}; {_how_tight(case.tightening)}",
        why=_why(case),
        cure="; ".join(cures),
        value=float(rounded(for_years.low5 / case.load.high if case.load else for_years.low5, 3)),
        limit=case.wanted if case.load else None,
        unit="" if case.load else "N",
        source=SOURCE,
    )


def _how_tight(tight: Tightening) -> str:
    most, fails = rounded(tight.advised_nm), tight.fails_nm.text("N·m")
    if tight.fingers_nm.high95 <= tight.advised_nm:
        return f"finger-tight is fine ({rounded(tight.fingers_nm.likely)} N·m), {most} at most: it gives way at {fails}"
    return f"tighten to {most} N·m at most: it gives way at {fails}"


def _load(case: ThreadCase) -> tuple[Verdict, str, str]:
    force = case.strength.force_n
    if case.load is None:
        most = lasting(force).low5 / case.wanted
        kilos = rounded(most / GRAVITY)
        return (
            Verdict.UNKNOWN,
            f"it bears {rounded(most)} N ({kilos} kg) for years; what pulls on it is not known",
            case.load_words,
        )
    if case.too_warm:
        return Verdict.FAILING, f"it bears nothing for years: {case.too_warm}", "print it in a plastic for more heat"
    safety = factor_of_safety(lasting(force), case.load, case.wanted)
    words = f"bears {rounded(case.load.likely)} N {rounded(safety.cautious)}-fold for years, weak prints counted"
    if safety.enough:
        return Verdict.SOUND, words, ""
    return (Verdict.FAILING if safety.cautious < 1 else Verdict.DOUBTFUL), words, cure_for(case)


def _torque(case: ThreadCase) -> tuple[Verdict, str]:
    tight = case.tightening
    stop = f"stop at {rounded(tight.advised_nm)} N·m"
    if case.torque_nm is not None and case.torque_nm > tight.advised_nm:
        verdict = Verdict.FAILING if case.torque_nm > tight.fails_nm.low5 else Verdict.DOUBTFUL
        return verdict, f"{stop} instead of {case.torque_nm:g}, or {_metal(case.question)}"
    if case.torque_nm is None and tight.fingers_can_break_it:
        reach = rounded(tight.fingers_nm.high95)
        return Verdict.DOUBTFUL, f"{stop}: fingers alone reach {reach}; or {_metal(case.question)}"
    return Verdict.SOUND, ""


def _why(case: ThreadCase) -> str:
    tight, strength = case.tightening, case.strength
    turns = case.question.engagement / case.question.thread.pitch
    clamp = f"that torque clamps with {tight.clamp_n.text('N')}, {tight.clamp_later_n.text('N')} of it after a year"
    fingers = f"fingers give {tight.fingers_nm.text('N·m')}"
    first = f"pulled, {strength.sentence} at {strength.force_n.text('N')}"
    enough = strength.turns_for_core(case.question.thread.pitch)
    core = (
        f"{turns:.1f} turns engage, {enough:.1f} would strip as late as the core tears"
        if case.question.male.printed
        else f"{turns:.1f} turns engage"
    )
    load = f"{case.load_words}; " if case.load else ""
    return f"{load}{first}; overtightened, {_overtightened(case)}; {core}; {fingers}; {clamp}"


def _overtightened(case: ThreadCase) -> str:
    """What gives way first when it is turned too far, as a clause."""
    if case.tightening.weakest == TWIST:
        return f"{case.question.male.name} is twisted off"
    if case.tightening.weakest == HEAD:
        return "the plastic under its head or shoulder is crushed"
    return failure_words(case.question, case.tightening.weakest)


def cure_for(case: ThreadCase) -> str:
    """What to change so that the factor wanted is reached, with the factor it then has."""
    weakest, question = case.strength.weakest, case.question
    if weakest in (MALE, FEMALE, FLANKS):
        return _longer(case) or _metal(question)
    thick = _thicker(case)
    if thick is None:
        return _metal(question)
    side, where = (thick.male, "under") if weakest == CORE else (thick.female, "around")
    assert side.wall is not None
    wall = f"{side.wall.likely:g} mm of solid wall {where} the thread"
    return f"give {side.name} {wall}: then {rounded(_safety(case, thick).cautious)}-fold"


def _longer(case: ThreadCase) -> str:
    """The cure of engaging more turns; empty when no sensible length is enough."""
    thread = case.question.thread
    for length in range(math.ceil(case.question.engagement), math.floor(_LONGEST * thread.major) + 1):
        safety = _safety(case, replace(case.question, engagement=float(length)))
        if safety.enough:
            turns = length / thread.pitch
            return f"let {length} mm of full thread engage ({turns:.1f} turns): then {rounded(safety.cautious)}-fold"
    return ""


def _thicker(case: ThreadCase) -> ThreadQuestion | None:
    """The question with a solid wall that reaches the factor, if that is a wall one would print."""
    question, core = case.question, case.strength.weakest == CORE
    side = question.male if core else question.female
    if side.wall is None:
        return None
    wall = math.ceil(2 * side.wall.likely) / 2
    while wall <= _THICKEST:
        grown = replace(side, wall=Ranged.exactly(wall))
        thick = replace(question, male=grown) if core else replace(question, female=grown)
        if _safety(case, thick).enough:
            return thick
        wall += 0.5
    return None


def _safety(case: ThreadCase, question: ThreadQuestion) -> Safety:
    assert case.load is not None
    force = lasting(thread_strength(question, draws=1000).force_n)
    return factor_of_safety(force, case.load, case.wanted)


def _metal(question: ThreadQuestion) -> str:
    """Which metal takes over from the weaker printed side."""
    male, female = question.male, question.female
    if male.printed and (not female.printed or _softer(male, female) is male):
        return f"use a metal screw or threaded pipe instead of the thread of {male.name}"
    return f"set a brass insert or a captive nut into {female.name}"


def _softer(male: ThreadSide, female: ThreadSide) -> ThreadSide:
    return male if male.tension_mpa.likely <= female.tension_mpa.likely else female

"""Bought things: whether their threads are what the maker says they are, and the list to buy from."""

from __future__ import annotations

from shadewright.catalog.lookup import thread as look_up_thread
from shadewright.catalog.lookup import threads
from shadewright.catalog.threads import Sex
from shadewright.errors import ValueProblem
from shadewright.findings import Finding, Verdict
from shadewright.lamp.model import Bought
from shadewright.lamp.read import ReadLamp
from shadewright.naming.identify import name_thread
from shadewright.naming.readings import ThreadReadings
from shadewright.naming.result import Naming
from shadewright.study.result import ShoppingLine
from shadewright.wording import percent

MEASURE_FIRST = "measure first"
"""Words in a row's note that mark dimensions nobody has seen in a document."""

CONTRADICTED = 0.02
"""Readings that give the stated thread less than this contradict it; our rule, no source."""


def study_bought(read: ReadLamp) -> list[Finding]:
    """Findings on every bought thing whose thread is measured or named."""
    findings = []
    for name, bought in read.lamp.bought.items():
        stated = _stated_thread(read, name)
        if bought.readings is not None and (bought.readings.outside or bought.readings.inside):
            findings.append(_measured(read, name, bought, stated))
        elif stated:
            findings += _unmeasured(read, name, stated)
    return findings


def readings_of(bought: Bought, where: str) -> ThreadReadings:
    """The caliper readings of a bought thing as naming takes them.

    Raises:
        ValueProblem: Readings that cannot be; the problem carries ``where``.
    """
    stated = bought.readings
    if stated is None:
        raise ValueProblem.of("no readings are stated", "add readings = { outside = [...] }", where)
    try:
        return ThreadReadings(
            sex=Sex.MALE if stated.outside else Sex.FEMALE,
            diameters=tuple(stated.outside or stated.inside),
            crests=stated.crests,
            length=stated.over,
        )
    except ValueProblem as error:
        raise ValueProblem.of(error.problems[0].what, error.problems[0].cure, where) from None


def _stated_thread(read: ReadLamp, name: str) -> str:
    """The thread the maker gives a bought thing, on itself or in one of its joints."""
    if read.lamp.bought[name].thread:
        return read.lamp.bought[name].thread
    joints = (joint for joint in read.lamp.joint.values() if name in (joint.male, joint.female))
    return next((joint.thread for joint in joints if joint.thread), "")


def _measured(read: ReadLamp, name: str, bought: Bought, stated: str) -> Finding:
    naming = name_thread(readings_of(bought, read.where("bought", name, "readings")), threads())
    if stated:
        return _agreement(name, naming, look_up_thread(stated, read.where("bought", name, "thread")).name)
    best = naming.candidates[0] if naming.candidates and not naming.none_leads else None
    return Finding(
        code="naming.thread",
        subject=f"bought {name}",
        verdict=naming.verdict if best else Verdict.UNKNOWN,
        sentence=f"its thread is {best.title} ({percent(best.probability)})" if best else "its thread is in no table",
        why=naming.reason,
        cure=next_step(naming),
        value=best.probability if best else naming.none_probability,
        source=naming.source,
    )


def _agreement(name: str, naming: Naming, stated: str) -> Finding:
    """Hold the readings against the thread the maker named."""
    chance = sum(member.probability for c in naming.candidates for member in c.members if member.name == stated)
    leader = naming.candidates[0] if naming.candidates and not naming.none_leads else None
    leads = leader is not None and any(member.name == stated for member in leader.members)
    verdict = naming.verdict if leads else Verdict.FAILING if chance < CONTRADICTED else Verdict.DOUBTFUL
    agrees = f"the readings speak for {stated} with {percent(chance)}"
    return Finding(
        code="naming.thread",
        subject=f"bought {name}",
        verdict=verdict,
        sentence=agrees if leads else _disagreement(stated, chance, naming),
        why=naming.reason,
        cure=next_step(naming) if verdict is not Verdict.SOUND else "",
        value=chance,
        source=naming.source,
    )


def _disagreement(stated: str, chance: float, naming: Naming) -> str:
    leader = "none of the tables' threads" if naming.none_leads else naming.candidates[0].title
    return f"the readings give {stated} only {percent(chance)}; {leader} leads"


def next_step(naming: Naming) -> str:
    """What to measure next, in words."""
    return naming.next_measurement.sentence if naming.next_measurement else "measure it again"


def _unmeasured(read: ReadLamp, name: str, stated: str) -> list[Finding]:
    """A thread named without readings is taken at its word, unless its row itself says to measure first."""
    row = look_up_thread(stated, read.where("bought", name, "thread"))
    if MEASURE_FIRST not in row.note.lower():
        return []
    return [
        Finding(
            code="naming.unmeasured",
            subject=f"bought {name}",
            verdict=Verdict.UNKNOWN,
            sentence=f"nobody measured it, and the table's sizes of {row.name} were not seen in a document",
            cure="measure it with a caliper and add readings = { outside = [...], crests = ..., over = ... }",
            source=row.source,
        )
    ]


def shopping_list(read: ReadLamp) -> tuple[ShoppingLine, ...]:
    """What to buy for all copies of the lamp, in the order of ``lamp.toml``."""
    return tuple(
        ShoppingLine(
            name=name,
            kind=bought.kind,
            description=bought.description or bought.card,
            count=bought.count * read.lamp.lamp.copies,
            thread=_stated_thread(read, name),
            note="approved part, for mains voltage" if bought.mains else "",
        )
        for name, bought in read.lamp.bought.items()
    )

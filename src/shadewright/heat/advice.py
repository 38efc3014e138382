"""What temperatures come to, in words: wall, bulb, joints."""

from __future__ import annotations

from dataclasses import dataclass

from shadewright.catalog.cards import Range
from shadewright.findings import Finding, Verdict
from shadewright.heat.air import Values
from shadewright.heat.cures import Cure
from shadewright.heat.draws import Likely
from shadewright.heat.softening import MARGIN_K, verdict_of
from shadewright.heat.warm import WarmAnswer, WarmQuestion, chance_over
from shadewright.wording import duration, percent

SOURCE = (
    "network of films: Churchill and Chu, McAdams, stack flow, radiation; ranges by 1000 draws; not yet held against a "
    f"thermometer in a closed lamp; wanted: {MARGIN_K:.0f} K below softening (our rule)"
)
BULB_AIR_C = 40.0
"""Warmest air that LED bulbs are commonly marked for [°C] (common practice, no source)."""
CLOSED_AIR_C = 55.0
"""The same for bulbs marked for closed luminaires; judged: read the mark."""
CORD_C = 70.0
"""Conductors in ordinary cords (IEC 60227 and 60245 as the tables of cords have it, from memory) [°C]."""
HARMLESS = 0.01
"""A filament in a plastic shade is refused unless its chance of passing is below this; our rule."""
MOST_CURES = 3


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class WallCase:
    """A shade with its temperatures.

    Attributes:
        part, plastic: Names.
        question, answer, cures: What was asked, what came of it, and what was tried.
        filament: Whether the light comes from a filament.
        taken: What was taken for granted, as clauses.
    """

    part: str
    plastic: str
    question: WarmQuestion
    answer: WarmAnswer
    cures: tuple[Cure, ...] = ()
    filament: bool = False
    taken: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class BulbCase:
    """A bulb with its surroundings.

    Attributes:
        bulb: Its name.
        answer: Temperatures.
        watts: Its power [W].
        openings_mm2: Free area of all openings [mm²].
        for_closed: Whether it is marked for closed luminaires.
        most_watts: Greatest power marked on the holder [W]; None when not stated.
        cord_limit_c: Of the conductors in the cord [°C].
    """

    bulb: str
    answer: WarmAnswer
    watts: float
    openings_mm2: float
    for_closed: bool = False
    most_watts: float | None = None
    cord_limit_c: float = CORD_C


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class WarmJoint:
    """A joint in the warmth.

    Attributes:
        joint: Its name.
        temps_c: (n,) its temperature [°C].
        where: What its temperature was taken from, as a clause.
        limit_c: Up to which temperature it holds [°C].
        limit_of: What lets go first: a plastic or a glue.
        glued: Whether that is a glue.
    """

    joint: str
    temps_c: Values
    where: str
    limit_c: Range
    limit_of: str
    glued: bool = False


def judge_wall(case: WallCase) -> Finding:
    """Say how warm the shade gets, how likely its plastic sags, and what would help."""
    answer, softens = case.answer, case.question.softens_c
    verdict = verdict_of(answer.chance)
    if case.filament:
        verdict = Verdict.DOUBTFUL if answer.chance < HARMLESS else Verdict.FAILING
    limit = softens.likely - case.question.margin_k
    sentence = f"its wall reaches {answer.hottest.text()} {answer.hottest_is}"
    sentence += f"; {case.plastic} sags from {softens.low:.0f} to {softens.high:.0f} °C"
    return Finding(
        code="heat.wall",
        subject=f"part {case.part}",
        verdict=verdict,
        sentence=sentence,
        why=_why(case, limit),
        cure=_cure(case, verdict),
        value=round(answer.hottest.high, 1),
        limit=round(limit, 1),
        unit="°C",
        source=SOURCE,
    )


def _why(case: WallCase, limit: float) -> str:
    answer = case.answer
    ways = {
        "wall": "through the wall",
        "openings": "with the air",
        "radiation": "as radiation",
        "holder": "by the holder",
    }
    gone = ", ".join(f"{percent(share)} {ways[name]}" for name, share in answer.shares.items() if share >= 0.005)
    text = f"chance of passing {limit:.0f} °C ({case.question.margin_k:.0f} K below): {_chance(answer.chance)}; "
    text += f"heat leaves {gone}; air inside {answer.air.text()}, collar of the bulb {answer.collar.text()}; "
    text += f"settled after about {duration(answer.settles_s)}"
    return "; ".join([text, *([f"taken: {', '.join(case.taken)}"] if case.taken else [])])


def _cure(case: WallCase, verdict: Verdict) -> str:
    if verdict is Verdict.SOUND:
        return ""
    helping = [cure for cure in case.cures if cure.helps][:MOST_CURES]
    offered = "; or ".join(
        f"{cure.words} (then {cure.hottest.middle:.0f} °C, chance {_chance(cure.chance)})" for cure in helping
    )
    refused = "use an LED bulb: a filament does not belong in a shade of plastic that softens" if case.filament else ""
    useless = [cure.words for cure in case.cures if not cure.helps]
    return "; ".join(
        [
            *filter(None, (refused, offered)),
            *([f"little helps: {', '.join(useless[:2])}"] if useless else []),
            f"measure: {how_to_measure(case)}",
        ]
    )


def how_to_measure(case: WallCase) -> str:
    """Where to put a thermometer, for how long, and when to switch off, as a clause."""
    places = {"above the bulb": "over the bulb", "all over": "half-way up", "beside the collar": "beside the collar"}
    stop = case.question.softens_c.low - case.question.margin_k / 2
    return (
        f"a thermocouple taped inside the wall {places[case.answer.hottest_is]}, two hours; "
        f"switch off at {stop:.0f} °C, a smell or a droop"
    )


def judge_bulb(case: BulbCase) -> Finding:
    """Say whether the bulb bears the air around it, and the cord the holder's warmth."""
    answer = case.answer
    limit = CLOSED_AIR_C if case.for_closed else BULB_AIR_C
    troubles, verdict = _bulb_troubles(case, limit)
    return Finding(
        code="heat.bulb",
        subject=f"bought {case.bulb}",
        verdict=verdict,
        sentence=f"the air around it reaches {answer.air.text()}, its collar {answer.collar.text()}",
        why="; ".join(troubles) or f"holder and cord reach {answer.holder.text()}",
        cure=_bulb_cure(case) if verdict is not Verdict.SOUND else "",
        value=round(answer.air.middle, 1),
        limit=limit,
        unit="°C",
        source="usual marks on LED bulbs (common practice, no source): read its own; temperatures as for the wall",
    )


def _bulb_troubles(case: BulbCase, limit: float) -> tuple[list[str], Verdict]:
    answer, troubles, verdict = case.answer, [], Verdict.SOUND
    if answer.air.middle > limit:
        troubles.append(
            f"bulbs {'' if case.for_closed else 'not '}marked for closed luminaires bear about {limit:.0f} °C"
        )
        verdict = Verdict.DOUBTFUL
    if case.openings_mm2 <= 0 and not case.for_closed:
        troubles.append("the shade is closed, and most LED bulbs are not meant for closed luminaires")
        verdict = Verdict.DOUBTFUL
    if answer.holder.high > case.cord_limit_c - MARGIN_K:
        held = f"holder and cord may reach {answer.holder.high:.0f} °C"
        troubles.append(f"{held}, the conductors bear {case.cord_limit_c:.0f} °C")
        verdict = Verdict.DOUBTFUL
    if case.most_watts is not None and case.watts > case.most_watts:
        troubles.append(f"it has {case.watts:g} W, and the holder is marked for {case.most_watts:g} W at most")
        verdict = Verdict.FAILING
    return troubles, verdict


def _bulb_cure(case: BulbCase) -> str:
    cures = []
    if case.most_watts is not None and case.watts > case.most_watts:
        cures.append(f"use a bulb of {case.most_watts:g} W at most")
    if not case.for_closed:
        cures.append("use a bulb marked for closed luminaires, fewer watts, or more openings")
    if case.answer.holder.high > case.cord_limit_c - MARGIN_K:
        cures.append("use a cord and sleeves for 90 °C or more at the holder")
    return "; ".join(cures) or "use fewer watts, or more openings"


def judge_liner(part: str, plastic: str, temps_c: Values, softens_c: Range) -> Finding:
    """Say whether a printed liner bears what it keeps from the wall; ``temps_c`` are its draws (n,) [°C]."""
    chance, likely = chance_over(temps_c, softens_c, MARGIN_K), Likely.of(temps_c)
    verdict, limit = verdict_of(chance), softens_c.likely - MARGIN_K
    return Finding(
        code="heat.wall",
        subject=f"part {part}",
        verdict=verdict,
        sentence=f"as a liner it reaches {likely.text()}; {plastic} sags from {softens_c.low:.0f} to "
        f"{softens_c.high:.0f} °C",
        why=f"chance of passing {limit:.0f} °C ({MARGIN_K:.0f} K below): {_chance(chance)}",
        cure="print it in a plastic for more heat, or use fewer watts" if verdict is not Verdict.SOUND else "",
        value=round(likely.high, 1),
        limit=round(limit, 1),
        unit="°C",
        source=SOURCE,
    )


def _chance(share: float) -> str:
    """Write a share of the draws; that none of them passed is no certainty."""
    return percent(min(max(share, 1e-6), 1 - 1e-6))


def judge_joint(case: WarmJoint) -> Finding:
    """Say whether a joint bears the warmth of its place."""
    chance = chance_over(case.temps_c, case.limit_c, MARGIN_K)
    likely, verdict = Likely.of(case.temps_c), verdict_of(chance)
    gives = "lets go" if case.glued else "sags"
    limit = case.limit_c.likely - MARGIN_K
    cure = "use a glue for more heat, or a screw" if case.glued else "print it in a plastic for more heat"
    return Finding(
        code="heat.joint",
        subject=f"joint {case.joint}",
        verdict=verdict,
        sentence=f"it reaches {likely.text()}; {case.limit_of} {gives} from {case.limit_c.low:.0f} to "
        f"{case.limit_c.high:.0f} °C",
        why=f"chance of passing {limit:.0f} °C: {_chance(chance)}; {case.where}",
        cure=f"{cure}, or move it away from the bulb" if verdict is not Verdict.SOUND else "",
        value=round(likely.high, 1),
        limit=round(limit, 1),
        unit="°C",
        source=SOURCE,
    )

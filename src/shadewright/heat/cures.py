"""What would make a lamp cooler, each cure solved anew and ranked by what it leaves of the trouble."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from math import ceil, pi

from shadewright.catalog.cards import PlasticCard, Range
from shadewright.heat.draws import Likely
from shadewright.heat.softening import DOUBTS, softens
from shadewright.heat.stack import Opening
from shadewright.heat.warm import SEED, WarmAnswer, WarmQuestion, warm
from shadewright.heat.warmth import Liner, Shade

HOLE = 8.0
"""Diameter of the holes that are proposed [mm]: it prints in an upright wall without support (common practice)."""
HOLE_COUNTS = (6, 8, 12, 16, 24, 36)
EDGE = 10.0
"""The holes' middle lies this far from the upper and lower edge of the wall [mm]."""
CLOSEST = 1.6
"""Middles of neighbouring holes are no closer than this times their diameter."""
WIDER = (10.0, 20.0, 30.0)
WATT_STEP, LEAST_WATTS = 0.5, 2.0
BRIGHT = 0.10
"""Emissivity of clean aluminium foil or sheet (any table of emissivities, from memory)."""
FOIL_COVER, FOIL_GAP = 0.85, 3.0
SEARCH_DRAWS = 200


@dataclass(frozen=True, slots=True, kw_only=True)
class Cure:
    """One change and what it leaves.

    Attributes:
        words: What to do, as a clause.
        hottest: Hottest spot of the wall afterwards [°C].
        chance: Of passing the softening less its margin [-].
        gained_k: How much cooler the hottest spot gets, by its middle [K].
        helps: Whether it is worth naming: it lessens the chance, or cools by more than half a degree.
    """

    words: str
    hottest: Likely
    chance: float
    gained_k: float
    helps: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class _Change:
    words: str
    question: WarmQuestion


def cures(
    question: WarmQuestion, answer: WarmAnswer, plastics: Sequence[PlasticCard], seed: int = SEED
) -> tuple[Cure, ...]:
    """Try every change and rank by the chance that is left, then by how much cooler it gets.

    Args:
        question: The lamp as it is.
        answer: What came of it.
        plastics: Others it could be printed in.
        seed: For the draws.

    Returns:
        All that were tried, best first; some do not help.
    """
    found = []
    for change in _changes(question, plastics, seed):
        after = warm(change.question, seed=seed)
        gained = answer.hottest.middle - after.hottest.middle
        helps = after.chance < answer.chance - 0.005 or gained > 0.5
        cure = Cure(words=change.words, hottest=after.hottest, chance=after.chance, gained_k=gained, helps=helps)
        found.append(cure)
    return tuple(sorted(found, key=lambda cure: (not cure.helps, round(cure.chance, 2), -cure.gained_k)))


def _changes(question: WarmQuestion, plastics: Sequence[PlasticCard], seed: int) -> Iterator[_Change]:
    yield from _first_that_helps(_with_holes(question), seed)
    yield from _first_that_helps(_wider(question), seed)
    yield from _first_that_helps(_weaker(question), seed)
    yield from _first_that_helps(_other_plastics(question, plastics), seed)
    if question.liner is None or question.liner.emissivity_in > BRIGHT:
        foil = Liner(cover=FOIL_COVER, gap=FOIL_GAP, emissivity_in=BRIGHT, emissivity_out=BRIGHT)
        words = f"line it with aluminium foil on card, {FOIL_GAP:g} mm off the wall and away from live parts"
        yield _Change(words=words, question=replace(question, liner=foil))
    if not question.shade.metal_ring:
        ringed = replace(question.shade, metal_ring=True)
        yield _Change(words="put a bright metal ring around the collar", question=replace(question, shade=ringed))


def _first_that_helps(tries: Iterator[_Change], seed: int) -> Iterator[_Change]:
    """The first of rising changes that leaves no doubt, else the last; none of none."""
    last = None
    for last in tries:
        if warm(last.question, draws=SEARCH_DRAWS, seed=seed).chance <= DOUBTS:
            break
    if last is not None:
        yield last


def _with_holes(question: WarmQuestion) -> Iterator[_Change]:
    shade = question.shade
    if shade.height < 2 * EDGE + HOLE:
        return
    around = shade.side_mm2 / shade.height
    for count in HOLE_COUNTS:
        if count * HOLE * CLOSEST > around:
            return
        words = f"add {count} holes of {HOLE:g} mm around it {EDGE:g} mm above its lower edge"
        words += f" and {count} more {EDGE:g} mm below its upper edge"
        yield _Change(words=words, question=replace(question, shade=with_holes(shade, count, HOLE)))


def with_holes(shade: Shade, count: int, diameter: float) -> Shade:
    """The shade with a ring of ``count`` holes [mm] near its lower edge and one near its upper edge."""
    area = count * pi / 4 * diameter**2
    rings = tuple(
        Opening(area_mm2=area, low=middle - diameter / 2, high=middle + diameter / 2)
        for middle in (EDGE, shade.height - EDGE)
    )
    return replace(shade, openings=(*shade.openings, *rings))


def _wider(question: WarmQuestion) -> Iterator[_Change]:
    for more in WIDER:
        words = f"make it {2 * more:g} mm wider, so that the collar has {question.shade.collar_gap + more:.0f} mm"
        wide = widened(question.shade, more, question.bulb.collar_diameter / 2)
        yield _Change(words=words, question=replace(question, shade=wide))


def widened(shade: Shade, more: float, collar_radius: float) -> Shade:
    """The shade with ``more`` room on every side of the bulb [mm]."""
    grows = (collar_radius + shade.collar_gap + more) / (collar_radius + shade.collar_gap)
    return replace(
        shade,
        side_mm2=shade.side_mm2 * grows,
        roof_mm2=shade.roof_mm2 * grows**2,
        floor_mm2=shade.floor_mm2 * grows**2,
        collar_gap=shade.collar_gap + more,
        heat_j_k=shade.heat_j_k * grows,
    )


def _weaker(question: WarmQuestion) -> Iterator[_Change]:
    watts = question.ranges["watts"]
    steps = ceil((watts.likely - LEAST_WATTS) / WATT_STEP)
    for step in range(1, steps + 1):
        fewer = ceil(watts.likely / WATT_STEP) * WATT_STEP - step * WATT_STEP
        if fewer < LEAST_WATTS or fewer >= watts.likely:
            continue
        ranges = {**question.ranges, "watts": _scaled(watts, fewer / watts.likely)}
        yield _Change(words=f"use a bulb of {fewer:g} W", question=replace(question, ranges=ranges))


def _scaled(known: Range, factor: float) -> Range:
    return Range(known.low * factor, known.likely * factor, known.high * factor)


def _other_plastics(question: WarmQuestion, plastics: Sequence[PlasticCard]) -> Iterator[_Change]:
    """Plastics that bear more, the least of them first."""
    better = sorted(
        (card for card in plastics if softens(card).likely > question.softens_c.likely),
        key=lambda card: softens(card).likely,
    )
    for card in better:
        ranges: Mapping[str, Range] = {**question.ranges, "conductivity": card.conductivity_w_mk}
        changed = replace(question, softens_c=softens(card), ranges=ranges)
        yield _Change(words=f"print it in {card.name}", question=changed)

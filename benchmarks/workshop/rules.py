"""The two ways without the program: the trade's rule on the real part, and bisection on trial pieces."""

from __future__ import annotations

from shop import Lamp, Shop, Work

from shadewright.fit.feel import FEELS
from shadewright.fit.joint import Feel, JointKind
from shadewright.fit.next_trial_serves import serves

RULES = {
    JointKind.SLIDE: {Feel.LOOSE: 0.5, Feel.FREE: 0.4, Feel.EASY: 0.3, Feel.SNUG: 0.2, Feel.TIGHT: 0.0},
    JointKind.PUSH: {Feel.LOOSE: 0.5, Feel.FREE: 0.4, Feel.EASY: 0.3, Feel.SNUG: 0.15, Feel.TIGHT: 0.05},
    JointKind.THREAD: {Feel.LOOSE: 0.55, Feel.FREE: 0.45, Feel.EASY: 0.35, Feel.SNUG: 0.25, Feel.TIGHT: 0.1},
}
"""Drawn clearance between two printed sides [mm on the diameter]; common practice, no source."""

LINER = 0.8
"""The same for a thin liner in a shell [mm]; common practice, no source."""

ONE_WALL_LESS = 0.1
"""What is left off where one side is bought, so that only one wall grows [mm]; common practice, no source."""

STEP = 0.1
"""By which a drawing is changed when the part does not fit [mm]; common practice, no source."""

REACH = 0.3
"""How far to both sides of the rule bisection looks [mm]."""
NARROW = 0.05
"""A bracket as narrow as this is not halved again [mm]."""
MOST_ROUNDS = 10
"""After so many prints of one lamp's parts the maker gives up."""


def rule_clearance(work: Work) -> float:
    """Clearance the trade would draw [mm]."""
    question = work.question
    rule = LINER if question.liner_wall is not None else RULES[question.kind][question.feel]
    return rule if work.mate else rule - ONE_WALL_LESS


def too_tight(work: Work, felt: Feel) -> bool:
    """Whether a joint that does not feel as wanted is on the tight side of it."""
    return FEELS.index(felt) > FEELS.index(work.question.feel)


def by_rule(shop: Shop) -> dict[str, list[Feel]]:
    """Print the real parts at the rule's clearance and change by its step until every joint serves."""
    return _real_parts(shop, {work.name: rule_clearance(work) for work in shop.lamp.works}, STEP)


def by_bisection(shop: Shop) -> dict[str, list[Feel]]:
    """Settle every joint by one-rung trials between brackets, then print the real parts."""
    return _real_parts(shop, {work.name: _bisect(shop, work) for work in shop.lamp.works}, STEP)


def _bisect(shop: Shop, work: Work) -> float:
    at = rule_clearance(work)
    low, high = at - REACH, at + REACH
    while high - low > NARROW:
        (felt,) = shop.trial(work, (work.size(at),))
        if felt is work.question.feel:
            break
        low, high = (at, high) if too_tight(work, felt) else (low, at)
        at = (low + high) / 2
    return at


def _real_parts(shop: Shop, clearances: dict[str, float], step: float) -> dict[str, list[Feel]]:
    """Print, try, change what does not serve, print those parts again; feels by joint in the order of trying."""
    felt: dict[str, list[Feel]] = {work.name: [] for work in shop.lamp.works}
    again = set(shop.lamp.part_min)
    for _ in range(MOST_ROUNDS):
        for part in sorted(again):
            shop.print_part(part, {work.name: work.size(clearances[work.name]) for work in shop.lamp.works})
        failed = try_joints(shop.lamp, shop, again, felt)
        for work in failed:
            clearances[work.name] += step if too_tight(work, felt[work.name][-1]) else -step
        again = {work.part for work in failed}
        if not again:
            break
    return felt


def try_joints(lamp: Lamp, shop: Shop, printed: set[str], felt: dict[str, list[Feel]]) -> list[Work]:
    """Try the joints of what was just printed; those that do not serve."""
    failed = []
    for work in lamp.works:
        if work.part in printed or work.mate in printed:
            felt[work.name].append(shop.feel(work))
            if not serves(work.question.kind, work.question.feel, felt[work.name][-1]):
                failed.append(work)
    return failed

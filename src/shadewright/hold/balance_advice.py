"""What a lamp's balance and its tipping come to, in words."""

from __future__ import annotations

from dataclasses import dataclass
from math import degrees

import numpy as np

from shadewright.findings import Finding, Verdict
from shadewright.hold.balance import Balance
from shadewright.hold.ranges import rounded
from shadewright.hold.tipping import (
    PORTABLE_DEG,
    SOURCE,
    STRICT_DEG,
    Tipping,
    ballast_g,
    limit_deg,
    tipping_verdict,
    widening,
)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class StandCase:
    """A standing lamp in its worst pose.

    Attributes:
        tipping: How it tips.
        balance: Where its weight lies.
        ground: Height of what it stands on [mm].
        pose: Which pose that is, as a clause; empty when nothing turns.
        ballast_at: (3,) where weight could be added: low, over the middle of the footprint [mm].
        above_people: Whether people could be under it.
    """

    tipping: Tipping
    balance: Balance
    ground: float
    pose: str
    ballast_at: tuple[float, float, float]
    above_people: bool


def compass(angle: float) -> str:
    """A level direction as the lamp's own axes have it: ``+x``, or ``+x+y`` for what lies between."""
    names = ("+x", "+x+y", "+y", "-x+y", "-x", "-x-y", "-y", "+x-y")
    return names[round(angle / 45) % 8]


def judge_balance(balance: Balance, ground: float, left_out: str) -> Finding:
    """Say what the lamp weighs and where; ``left_out`` names what was not counted, as a sentence or nothing."""
    x, y = (round(float(value)) for value in balance.centre[:2])
    up = float(balance.centre[2]) - ground
    return Finding(
        code="hold.balance",
        subject="lamp",
        verdict=Verdict.SOUND,
        sentence=f"it weighs {balance.mass_g:.0f} g; its centre of mass lies at ({x}, {y}), {up:.0f} mm up",
        why=left_out,
        value=round(balance.mass_g),
        unit="g",
        source="masses of printed parts from their layers, of bought things as stated; rigid statics",
    )


def judge_tipping(case: StandCase) -> Finding:
    """Say when it tips, which way, and what would steady it."""
    found = case.tipping
    limit = limit_deg(above_people=case.above_people)
    verdict = tipping_verdict(found.angle, limit)
    pose = f"{case.pose}, " if case.pose else ""
    if found.angle.likely < 0:
        sentence = (
            f"{pose}it falls over by itself towards {compass(found.towards)}: {_outside(found):.0f} mm beyond its feet"
        )
    else:
        sentence = (
            f"{pose}it tips over at {found.angle.text('degrees')} towards {compass(found.towards)}; "
            f"a push of {rounded(max(found.push_n.likely, 0.0))} N at its top does it"
        )
    return Finding(
        code="hold.tipping",
        subject="lamp",
        verdict=verdict,
        sentence=sentence,
        why=_why(case, limit),
        cure="" if verdict is Verdict.SOUND else _cure(case, limit),
        value=round(found.angle.likely, 1),
        limit=limit,
        unit="degrees",
        source=SOURCE,
    )


def _outside(found: Tipping) -> float:
    return -float(found.inside.min())


def _why(case: StandCase, limit: float) -> str:
    inside = float(case.tipping.inside.min())
    height = float(case.balance.centre[2]) - case.ground
    rule = "people could be under it" if limit == STRICT_DEG else "portable lamps"
    asks = f"{limit:.0f} degrees are asked for ({rule})"
    if case.tipping.angle.likely < 0:
        return f"its weight acts {height:.0f} mm up, outside its feet; {asks}"
    more = "" if limit == STRICT_DEG else f", {STRICT_DEG:.0f} where children or a garden are near"
    return f"its weight acts {height:.0f} mm up and {inside:.0f} mm inside the nearest edge of its feet; {asks}{more}"


def _cure(case: StandCase, limit: float) -> str:
    """Where every edge would have to lie, and how much weight low in the foot would do instead, with some to spare."""
    height = float(case.balance.centre[2]) - case.ground
    for aim in (STRICT_DEG, 1.5 * PORTABLE_DEG if limit == PORTABLE_DEG else STRICT_DEG):
        wider = widening(case.tipping, aim, height)
        grams = ballast_g(case.tipping, case.balance, aim, case.ground, case.ballast_at)
        if grams is not None and grams < case.balance.mass_g:
            break
    spread = f"let its feet reach {wider:.0f} mm farther out"
    weigh = f", or put {rounded(grams)} g of weight low over their middle" if grams else ""
    reached = degrees(float(np.arctan2(case.tipping.inside.min() + wider, height)))
    return f"{spread}{weigh}: {reached:.0f} degrees then"

"""How warm a lamp gets, and how likely its plastic bears it: the network solved for many draws at once."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace

import numpy as np

from shadewright.catalog.cards import Range
from shadewright.heat.air import Values
from shadewright.heat.draws import DRAWS, Likely, drawn
from shadewright.heat.hot_spots import above_bulb, beside_collar
from shadewright.heat.network import LINER, Steady, WarmLamp, steady
from shadewright.heat.softening import MARGIN_K
from shadewright.heat.warmth import Conditions, Emitter, Liner, Shade

SEED = 5
"""Draws are the same in every run, so that nothing changes but what was changed."""
POWER_TOLERANCE = 0.10
"""How far a bulb's power may be off its mark (IEC 62612 allows 10 % more, from memory)."""
DISCHARGE = Range(0.45, 0.60, 0.70)
"""Sharp holes 0.6 (textbooks of hydraulics); ends judged: rough printed rims, thick walls."""
LAYERING = Range(1.0, 1.25, 1.6)
"""Between well mixed and a steady rise from bottom to top; middle after Ishizuka's 1.3, from memory."""
COLLAR_WORKING = Range(0.50, 0.75, 1.0)
"""Judged: a collar that is twice as warm at the light as at the cap works like three quarters of its surface. The low
end was set so that the one open-air measurement at hand (67 °C on a bulb of about 6.5 W) lies inside the range."""
CONTACT_W_K = Range(0.01, 0.03, 0.08)
"""From collar to holder, through a thin shell that touches here and there; judged."""


@dataclass(frozen=True, slots=True, kw_only=True)
class WarmQuestion:
    """What is asked: a bulb in a shade, with ranges.

    Attributes:
        bulb, shade, liner: As warm bodies.
        ranges: What is drawn, by the fields of ``Conditions``; all others keep their likely value.
        softens_c: Softening of the wall's plastic [°C].
        margin_k: How far below it the wall is to stay [K].
    """

    bulb: Emitter
    shade: Shade
    ranges: Mapping[str, Range]
    softens_c: Range
    liner: Liner | None = None
    margin_k: float = MARGIN_K


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class WarmAnswer:
    """How warm it gets: 5 % point, middle and 95 % point of each place [°C].

    Attributes:
        wall, beside, above: Mean of the wall; wall beside the collar; wall above the bulb, None where it is open.
        hottest: The hottest of the three in each draw.
        hottest_is: ``beside the collar``, ``above the bulb`` or ``all over``: where it is hottest most often.
        air, collar, holder: Air inside, collar of the bulb, holder.
        chance: Share of draws in which the hottest spot passes the softening less its margin [-].
        shares: Where the heat goes, as shares: wall, openings, radiation, and the holder where it is outside [-].
        settles_s: Likely time in which it comes within 5 % of its end [s].
        imbalance: Of the heat balance [-].
        steady, hottest_draws: The draws behind it.
        liner_draws: (n,) hottest spot of the liner [°C], if there is one.
    """

    wall: Likely
    beside: Likely
    above: Likely | None
    hottest: Likely
    hottest_is: str
    air: Likely
    collar: Likely
    holder: Likely
    chance: float
    shares: Mapping[str, float]
    settles_s: float
    imbalance: float
    steady: Steady = field(repr=False)
    hottest_draws: Values = field(repr=False)
    liner_draws: Values | None = field(default=None, repr=False)


def conditions_for(watts: float, light_share: Range, collar: Range, wall: Mapping[str, Range]) -> dict[str, Range]:
    """Ranges of a bulb of ``watts`` in a wall with the given ones (conductivity, emissivity, light_kept, room_c)."""
    power = Range((1 - POWER_TOLERANCE) * watts, watts, (1 + POWER_TOLERANCE) * watts)
    own = {"watts": power, "light_share": light_share, "collar_share": collar}
    own |= {"collar_working": COLLAR_WORKING, "contact_w_k": CONTACT_W_K}
    return own | {"discharge": DISCHARGE, "layering": LAYERING} | dict(wall)


def lamp_of(question: WarmQuestion, draws: int = DRAWS, seed: int = SEED) -> WarmLamp:
    """The question's lamp with its ranges drawn."""
    base = Conditions(watts=question.ranges["watts"].likely)
    conditions = replace(base, **drawn(question.ranges, draws, seed))
    return WarmLamp(bulb=question.bulb, shade=question.shade, liner=question.liner, conditions=conditions)


def warm(question: WarmQuestion, draws: int = DRAWS, seed: int = SEED) -> WarmAnswer:
    """Solve for every draw and sum up; equal seeds give equal answers."""
    lamp = lamp_of(question, draws, seed)
    found = steady(lamp)
    beside, above = beside_collar(lamp, found), above_bulb(lamp, found)
    spots = {"all over": found.wall_c, "beside the collar": beside}
    if above is not None:
        spots["above the bulb"] = above
    table = np.vstack(list(spots.values()))
    most = np.bincount(table.argmax(axis=0), minlength=len(spots)).argmax()
    hottest = table.max(axis=0)
    return WarmAnswer(
        wall=Likely.of(found.wall_c),
        beside=Likely.of(beside),
        above=None if above is None else Likely.of(above),
        hottest=Likely.of(hottest),
        hottest_is=list(spots)[int(most)],
        air=Likely.of(found.air_c),
        collar=Likely.of(found.collar_c),
        holder=Likely.of(found.holder_c),
        chance=chance_over(hottest, question.softens_c, question.margin_k, seed),
        shares=_shares(question.shade, found),
        settles_s=3 * float(np.median(found.time_s)),
        imbalance=found.imbalance,
        steady=found,
        hottest_draws=hottest,
        liner_draws=_liner_draws(lamp, found),
    )


def _liner_draws(lamp: WarmLamp, found: Steady) -> Values | None:
    """The liner's temperature and, on top of it, as much as a bare wall would be hotter at its hottest spot."""
    if lamp.liner is None:
        return None
    bare = replace(lamp, liner=None)
    spots = [spot for spot in (beside_collar(bare, found), above_bulb(bare, found)) if spot is not None]
    return np.asarray(found.temps_c[LINER] + np.maximum.reduce(spots) - found.wall_c)


def chance_over(temps_c: Values, limit_c: Range, margin_k: float, seed: int = SEED) -> float:
    """Share of draws in which ``temps_c`` (n,) is above a drawn limit less the margin [-]."""
    limit = drawn({"limit": limit_c}, len(temps_c), seed)["limit"]
    return float((temps_c > limit - margin_k).mean())


def _shares(shade: Shade, found: Steady) -> dict[str, float]:
    parts = {"wall": found.wall_w, "openings": found.openings_w, "radiation": found.radiated_w}
    if not shade.holder_inside:
        parts["holder"] = found.holder_w
    return {name: float(np.median(watts / found.heat_w)) for name, watts in parts.items()}

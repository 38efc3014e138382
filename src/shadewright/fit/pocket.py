"""Pocket for a captive nut: what to draw so that the nut goes in, stays and cannot turn."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from typing import Literal

from shadewright.catalog.hardware import NutCard
from shadewright.catalog.threads import Limits
from shadewright.errors import ValueProblem, require_positive
from shadewright.findings import Finding, Verdict
from shadewright.fit.as_printed import hole_to_draw
from shadewright.fit.feel import built_in_bounds, chance_between
from shadewright.fit.gap import Gap
from shadewright.fit.joint import Draw, JointKind, KindSizing
from shadewright.fit.pocket_chance import SURE, Fitted, Window, fitted, judged, pocket_gap, whole_layers
from shadewright.printing import AsPrinted
from shadewright.wording import percent

Mouth = Literal["up", "down", "side", "inside"]
"""Where the nut goes in, as printed: from above, from the bed's side, through a slot in a side wall, or laid in while
the print is paused and then covered."""

SAG = 0.15
"""How far a short bridge hangs into a slot below it [mm]; common practice, no source."""

SAG_SD = 0.08
"""How well that is known [mm]; judged, no source."""

LEAST_OVER_NUT = 0.1
"""Room over the nut [mm] that lets it lie flat; common practice, no source."""

CHAMFER = 0.5
"""At mouths, so that the first layer's flare is off and the nut finds its way [mm]; common practice, no source."""

WALL_LINES = 3
"""Least wall around a pocket, in lines; common practice, no source."""


@dataclass(frozen=True, slots=True, kw_only=True)
class NutQuestion:
    """One pocket for a captive nut, its axis upright as printed.

    Attributes:
        joint: Name of the joint.
        part: Part that holds the pocket.
        nut: Which nut.
        mouth: Where the nut goes in.
        habits: How the part's bench prints.
        layer, line_width: Layer height and width of a line [mm].
        drawn: Width across flats in today's model [mm]; None when nothing is drawn.
    """

    joint: str
    part: str
    nut: NutCard
    mouth: Mouth
    habits: AsPrinted
    layer: float = 0.2
    line_width: float = 0.42
    drawn: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class NutPocketSizing:
    """What to draw for a nut.

    Attributes:
        flats: Width across the pocket's flats, with its gap and chance.
        depth: Height of the pocket [mm], whole layers.
        hole: Diameter to draw for the screw's hole [mm].
        chance: Chance that the nut goes in, stays and cannot turn [-].
        play_deg: How far the nut turns at most, either way, before its corners hold, at the loosest wanted gap.
        wall: Least wall around it [mm].
        sizing: The same as draws and findings.
    """

    flats: Fitted
    depth: float
    hole: float
    chance: float
    play_deg: float
    wall: float
    sizing: KindSizing


def size_nut_pocket(question: NutQuestion) -> NutPocketSizing:
    """Size a pocket for a captive nut.

    Across its flats the pocket is a slot with flat walls that both grow; the nut lies anywhere within its standard's
    limits. From above or below it shall go in with a press and stay (tight or snug); through a slot, or at a pause, it
    shall go in by hand (snug or easy). A slot must pass the nut's height too, under a roof that sags.

    Raises:
        ValueProblem: A number that cannot be, or a mouth that is none of the four.

    Sources:
        ISO 4032 (nuts), ISO 273 medium series (screw hole), ``feel_bounds.csv`` for slides; the rest is common
        practice and says so.
    """
    _check(question)
    nut, habits = question.nut, question.habits
    window = nut_window(question.mouth)
    gap_at = pocket_gap(nut.flats, f"{nut.name} nut", habits, round_hole=False, on_bed=False)
    flats = fitted(gap_at, window, nut.flats.high, question.drawn)
    depth = _depth(question)
    passes = _chance_of_height(question, depth)
    hole = round(hole_to_draw(nut.hole, habits), 2)
    wall = round(WALL_LINES * question.line_width, 2)
    draws = _draws(question, flats, depth, hole, wall)
    return NutPocketSizing(
        flats=flats,
        depth=depth,
        hole=hole,
        chance=flats.chance * passes,
        play_deg=turning_play(nut.flats, window.high),
        wall=wall,
        sizing=KindSizing(
            joint=question.joint,
            kind=JointKind.POCKET,
            draws=draws,
            findings=tuple(_findings(question, flats, passes, depth)),
            trial_worth=flats.trial_worth,
        ),
    )


def nut_window(mouth: Mouth) -> Window:
    """Gap across flats that is wanted of a nut [mm]: boundaries of flat slides."""
    bounds = built_in_bounds(JointKind.SLIDE)
    fixed_tight, tight_snug, snug_easy, easy_free, _ = bounds.gaps
    source = "boundaries of feel for flat slides (common practice, no source); ISO 4032"
    if mouth in ("up", "down"):
        words = "takes the nut with a press and keeps it"
        return Window(low=fixed_tight, high=snug_easy, softness=bounds.softness, words=words, source=source)
    words = "takes the nut by hand and keeps it from turning"
    return Window(low=tight_snug, high=easy_free, softness=bounds.softness, words=words, source=source)


def turning_play(flats: Limits, gap: float) -> float:
    """How far a nut turns in its pocket before its corners hold [degrees, either way].

    A hexagon of flats s turned by a spans ``s / cos 30 x cos(30 - a)`` between two parallel walls; at a width of its
    corners it spins. The smallest nut turns most.

    Args:
        flats: Limits of the nut's width across flats [mm].
        gap: Pocket less nut [mm]; 0 or less holds it still.
    """
    if gap <= 0:
        return 0.0
    span = (flats.low + gap) * math.cos(math.pi / 6) / flats.low
    return 180.0 if span >= 1 else 30.0 - math.degrees(math.acos(span))


def _check(question: NutQuestion) -> None:
    where = f"joint {question.joint}"
    if question.mouth not in ("up", "down", "side", "inside"):
        raise ValueProblem.of(f'the mouth is "{question.mouth}"', 'write "up", "down", "side" or "inside"', where)
    for name, value in (("layer", question.layer), ("line width", question.line_width)):
        require_positive(name, value, where=where)
    if question.drawn is not None:
        require_positive("drawn width across flats", question.drawn, where=where)


def _depth(question: NutQuestion) -> float:
    """Height to draw [mm]: the thickest nut, room over it, and a sagging roof where one is printed over the pocket."""
    over = LEAST_OVER_NUT if question.mouth != "side" else SAG + 2 * SAG_SD + LEAST_OVER_NUT
    return whole_layers((question.nut.height.high + over) / question.habits.scale_z.mean, question.layer)


def _chance_of_height(question: NutQuestion, depth: float) -> float:
    """Chance that the nut's height passes [-]: only a slot can refuse it, by its sagging roof."""
    if question.mouth != "side":
        return 1.0
    habits, height = question.habits, question.nut.height
    mean = depth * habits.scale_z.mean - SAG - height.middle
    sd = math.hypot(depth * habits.scale_z.sd, SAG_SD, habits.scatter)
    return chance_between(0.0, math.inf, mean, sd, height.width / 2)


def _draws(question: NutQuestion, flats: Fitted, depth: float, hole: float, wall: float) -> tuple[Draw, ...]:
    nut, part = question.nut, question.part
    draws = [
        Draw(
            what="pocket across flats",
            part=part,
            size=flats.draw,
            why=f"nut {nut.flats.low:.2f} to {nut.flats.high:.2f} mm, walls that grow, and a gap of "
            f"{flats.gap.mean:+.2f} mm",
        ),
        Draw(
            what="slot height" if question.mouth == "side" else "pocket depth",
            part=part,
            size=depth,
            why=f"nut up to {nut.height.high:.2f} mm, {depth - nut.height.high:.2f} mm over it, in whole layers",
        ),
        Draw(
            what="screw hole", part=part, size=hole, why=f"to come out {nut.hole:g} mm: clearance hole, medium series"
        ),
        Draw(what="wall around the pocket", part=part, size=wall, why=f"at least {WALL_LINES} lines"),
    ]
    if question.mouth in ("up", "down"):
        draws.append(Draw(what="chamfer at the mouth", part=part, size=CHAMFER, why="the nut finds its way in"))
    if question.mouth != "up":
        draws.append(
            Draw(
                what="steps in the roof",
                part=part,
                size=question.layer,
                why="a layer each: a strip as wide as the hole, a square, an octagon, so the roof prints as bridges",
            )
        )
    if question.mouth == "inside":
        why = "above the pocket's floor: pause the print there, lay the nut in, go on"
        draws.append(Draw(what="pause height", part=part, size=depth, why=why))
    return tuple(draws)


def _findings(question: NutQuestion, flats: Fitted, passes: float, depth: float) -> list[Finding]:
    subject = f"joint {question.joint}"
    found = [judged("fit.nut_pocket", subject, "pocket across flats", flats)]
    if question.mouth == "side":
        sound = passes >= SURE
        found.append(
            Finding(
                code="fit.nut_slot",
                subject=subject,
                verdict=Verdict.SOUND if sound else Verdict.DOUBTFUL,
                sentence=f"a slot {depth:.2f} mm high passes the nut in {percent(passes)} of prints",
                why="" if sound else f"its roof is a bridge that sags by about {SAG:g} mm",
                cure="" if sound else f"draw it a layer higher, {depth + question.layer:.2f} mm",
                value=round(100 * passes),
                limit=100 * SURE,
                unit="%",
                source="as-printed model; sag of short bridges is common practice, no source",
            )
        )
    return found


def gap_of_nut(question: NutQuestion) -> Callable[[float], Gap]:
    """True gap across flats as a function of the drawn width; for trial pieces and pictures."""
    return pocket_gap(question.nut.flats, f"{question.nut.name} nut", question.habits, round_hole=False, on_bed=False)

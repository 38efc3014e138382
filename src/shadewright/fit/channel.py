"""Cord channel and cord passage: room for the largest cord, a cover that stays, bends and edges that spare the cord."""

from __future__ import annotations

import math
from dataclasses import dataclass

from shadewright.catalog.threads import Limits
from shadewright.errors import ValueProblem, require_positive
from shadewright.findings import Finding, Verdict
from shadewright.fit.feel import built_in_bounds
from shadewright.fit.gap import true_gap
from shadewright.fit.joint import Draw, Feel, JointKind, JointQuestion, KindSizing, Side
from shadewright.fit.pocket_chance import Fitted, Window, drawn_for, fitted, judged, pocket_gap, whole_layers
from shadewright.printing import AsPrinted
from shadewright.wording import percent

BEND_WANTED, BEND_LEAST = 6.0, 4.0
"""Inner bend radius over the cord's size across the bend: sound from the first, failing below the second.

Makers of flexible cords ask for 4 to 6 diameters; common practice, no source.
"""

LEAST_ROOM = 0.1
"""Room that every print must leave the largest cord [mm]; common practice, no source."""

SURE_ROOM_Z = 2.3263478740408408
"""Standard normal quantile of 0.99: so many prints leave that room."""

ENTRY_SHARE, LEAST_ENTRY = 0.5, 2.0
"""Rounding of every edge the cord passes: half the cord's size, 2 mm at least; common practice, no source."""

COVER = 1.2
"""Least thickness of a cover [mm]; common practice, no source."""

LEDGE = 1.2
"""Width of the ledge that carries a cover on either side [mm]: three lines; common practice, no source."""

GRIP_ROOM = 0.4
"""Room around a bought cord grip [mm on the diameter]; common practice, no source."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Cord:
    """A bought cord.

    Attributes:
        name: What it is called.
        across: Its size across the channel as it lies, the long side of a flat cord [mm].
        up: Its size out of the channel's floor, the short side of a flat cord [mm].
        pull_n: Pull that its grip is tested with; None when not known.
    """

    name: str
    across: Limits
    up: Limits
    pull_n: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class ChannelQuestion:
    """One open channel with a cover, printed open side up.

    Attributes:
        joint: Name of the joint.
        part: Part that holds it.
        cord: What lies in it.
        habits: How its bench prints; the cover is printed there too.
        layer: Layer height [mm].
        cover: False for an open channel.
        bend_radius: Least radius of its middle line in today's model [mm]; None when it is straight.
        drawn: Width in today's model [mm]; None when nothing is drawn.
    """

    joint: str
    part: str
    cord: Cord
    habits: AsPrinted
    layer: float = 0.2
    cover: bool = True
    bend_radius: float | None = None
    drawn: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class PassageQuestion:
    """One round hole that a cord passes through.

    Attributes:
        joint, part, cord, habits, layer: As of a channel.
        grip: Greatest outer diameter and height of the bought cord grip that sits at its mouth [mm]; None when none
            is stated.
        drawn: Hole in today's model [mm]; None when nothing is drawn.
    """

    joint: str
    part: str
    cord: Cord
    habits: AsPrinted
    layer: float = 0.2
    grip: tuple[float, float] | None = None
    drawn: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class ChannelSizing:
    """What to draw for a channel.

    Attributes:
        width, depth: Of the channel [mm]; the depth reaches from its floor to the cover.
        passes: Chance that the largest cord has room [-].
        cover_width, cover_thickness: Of the cover [mm]; 0 for an open channel.
        rebate: Where the cover lies, with its gap and chance; None for an open channel.
        bend_radius: Least radius of the middle line that is sound [mm].
        entry: Rounding of both mouths [mm].
        sizing: The same as draws and findings.
    """

    width: float
    depth: float
    passes: float
    cover_width: float
    cover_thickness: float
    rebate: Fitted | None
    bend_radius: float
    entry: float
    sizing: KindSizing


@dataclass(frozen=True, slots=True, kw_only=True)
class PassageSizing:
    """What to draw for a passage.

    Attributes:
        hole: Its diameter [mm].
        passes: Chance that the largest cord has room [-].
        entry: Rounding of both mouths [mm].
        grip: Diameter and depth of the place for the bought cord grip [mm]; None when none is stated.
        sizing: The same as draws and findings.
    """

    hole: float
    passes: float
    entry: float
    grip: tuple[float, float] | None
    sizing: KindSizing


def size_channel(question: ChannelQuestion) -> ChannelSizing:
    """Size an open cord channel and its cover.

    Raises:
        ValueProblem: A number that cannot be.

    Sources:
        Cord sizes from the catalogue or the caliper; bends, room and roundings are common practice and say so.
    """
    cord, habits = question.cord, question.habits
    _check(question.joint, cord, question.layer, (question.bend_radius, question.drawn))
    largest = _Room(limits=Limits(cord.across.high, cord.across.high), habits=habits, round_hole=False)
    width = largest.size()
    depth = whole_layers((cord.up.high + LEAST_ROOM) / habits.scale_z.mean + question.layer, question.layer)
    entry = entry_rounding(cord)
    rebate, cover_width, thickness = None, 0.0, 0.0
    if question.cover:
        cover_width = round(width + 2 * LEDGE, 2)
        thickness = whole_layers(COVER, question.layer)
        rebate = _rebate(question, cover_width)
    bend = least_bend(cord, BEND_WANTED)
    subject = f"joint {question.joint}"
    findings = [_passes(subject, "channel", width, largest, question.drawn), *_bend(question)]
    if rebate is not None:
        findings.append(judged("fit.channel_cover", subject, "rebate for the cover", rebate))
    return ChannelSizing(
        width=width,
        depth=depth,
        passes=largest.chance(width),
        cover_width=cover_width,
        cover_thickness=thickness,
        rebate=rebate,
        bend_radius=bend,
        entry=entry,
        sizing=KindSizing(
            joint=question.joint,
            kind=JointKind.CHANNEL,
            draws=_channel_draws(question, (width, depth), rebate, (cover_width, thickness)),
            findings=tuple(findings),
            trial_worth=rebate is not None and rebate.trial_worth,
        ),
    )


def size_passage(question: PassageQuestion) -> PassageSizing:
    """Size a round passage for a cord, with a place for a bought cord grip.

    The grip itself is an approved bought part; only the room it takes is drawn.

    Raises:
        ValueProblem: A number that cannot be.
    """
    cord, habits = question.cord, question.habits
    _check(question.joint, cord, question.layer, (*(question.grip or ()), question.drawn))
    greatest = max(cord.across.high, cord.up.high)
    largest = _Room(limits=Limits(greatest, greatest), habits=habits, round_hole=True)
    hole, entry = largest.size(), entry_rounding(cord)
    part, subject = question.part, f"joint {question.joint}"
    draws = [
        Draw(
            what="hole for the cord", part=part, size=hole, why=f"cord up to {greatest:g} mm, and room in every print"
        ),
        Draw(what="rounding of both mouths", part=part, size=entry, why="no edge the cord could chafe on"),
    ]
    place = None
    if question.grip is not None:
        outside = Limits(question.grip[0], question.grip[0])
        around = pocket_gap(outside, "cord grip", habits, round_hole=True, on_bed=False)
        depth = whole_layers(question.grip[1] / habits.scale_z.mean, question.layer)
        place = (drawn_for(around, GRIP_ROOM, outside.middle), depth)
        pull = "the pull" if cord.pull_n is None else f"{cord.pull_n:g} N of pull"
        why = f"the bought grip, never the print, holds {pull}"
        draws += [
            Draw(what="place for the cord grip", part=part, size=place[0], why=why),
            Draw(what="depth of that place", part=part, size=depth, why=f"grip {question.grip[1]:g} mm high"),
        ]
    findings = (_passes(subject, "hole for the cord", hole, largest, question.drawn), *_grip(question))
    sizing = KindSizing(
        joint=question.joint, kind=JointKind.CHANNEL, draws=tuple(draws), findings=findings, trial_worth=False
    )
    return PassageSizing(hole=hole, passes=largest.chance(hole), entry=entry, grip=place, sizing=sizing)


def entry_rounding(cord: Cord) -> float:
    """Rounding of every edge that the cord passes [mm]."""
    return round(max(LEAST_ENTRY, ENTRY_SHARE * max(cord.across.high, cord.up.high)), 1)


def least_bend(cord: Cord, times: float) -> float:
    """Radius of a channel's middle line whose inner side is bent ``times`` the cord's size across it [mm]."""
    return round((times + 0.5) * cord.across.high, 1)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Room:
    """Room beside the largest cord."""

    limits: Limits
    habits: AsPrinted
    round_hole: bool

    def size(self) -> float:
        """Size to draw so that 99 of 100 prints leave the least room [mm]."""
        gap_at = pocket_gap(self.limits, "cord", self.habits, round_hole=self.round_hole, on_bed=False)
        start = self.limits.high
        room = LEAST_ROOM + SURE_ROOM_Z * gap_at(start).sd
        return math.ceil(100 * drawn_for(gap_at, room, start) - 1e-6) / 100

    def chance(self, drawn: float) -> float:
        """Chance that the room is there [-]."""
        gap = pocket_gap(self.limits, "cord", self.habits, round_hole=self.round_hole, on_bed=False)(drawn)
        return Window(low=LEAST_ROOM, high=math.inf, words="takes the largest cord").chance(gap)


def _check(joint: str, cord: Cord, layer: float, others: tuple[float | None, ...]) -> None:
    where = f"joint {joint}"
    require_positive("layer", layer, where=where)
    for limits in (cord.across, cord.up):
        if not 0 < limits.low <= limits.high < math.inf:
            raise ValueProblem.of(
                f"the cord measures {limits.low:g} to {limits.high:g} mm", "give the smaller one first, above 0", where
            )
    for value in others:
        if value is not None:
            require_positive("a size", value, where=where)


def _rebate(question: ChannelQuestion, cover_width: float) -> Fitted:
    bounds = built_in_bounds(JointKind.SLIDE)
    window = Window(
        low=bounds.gaps[0],
        high=bounds.gaps[2],
        softness=bounds.softness,
        words="takes its cover with a press and keeps it",
        source="boundaries of feel for flat slides (common practice, no source)",
    )
    asked = JointQuestion(
        name=question.joint,
        kind=JointKind.SLIDE,
        feel=Feel.SNUG,
        nominal=cover_width,
        length=10.0,
        male=Side(name="cover", habits=question.habits),
        female=Side(name=question.part, habits=question.habits),
        round=False,
    )
    return fitted(lambda drawn: true_gap(asked, cover_width, drawn), window, cover_width)


def _passes(subject: str, what: str, size: float, room: _Room, drawn: float | None) -> Finding:
    chance = room.chance(size if drawn is None else drawn)
    sound = chance >= 0.95
    head = f"drawn {size:.2f} mm, the" if drawn is None else f"as drawn, {drawn:.2f} mm, the"
    return Finding(
        code="fit.cord_room",
        subject=subject,
        verdict=Verdict.SOUND if sound else Verdict.DOUBTFUL if chance >= 0.5 else Verdict.FAILING,
        sentence=f"{head} {what} takes a cord of {room.limits.high:g} mm in {percent(min(chance, 1 - 1e-9))} of prints",
        why="" if sound else "the largest cord sold under that name, not the one at hand, is what must pass",
        cure="" if sound else f"draw it {size:.2f} mm, or measure the cord and state its diameter",
        value=round(100 * chance),
        limit=95,
        unit="%",
        source=f"as-printed model; {LEAST_ROOM:g} mm of room is common practice, no source",
    )


def _bend(question: ChannelQuestion) -> list[Finding]:
    if question.bend_radius is None:
        return []
    cord = question.cord
    inner = question.bend_radius - cord.across.high / 2
    times = inner / cord.across.high
    sound = times >= BEND_WANTED - 0.01
    return [
        Finding(
            code="fit.cord_bend",
            subject=f"joint {question.joint}",
            verdict=Verdict.SOUND if sound else Verdict.DOUBTFUL if times >= BEND_LEAST else Verdict.FAILING,
            sentence=f"the cord bends on an inner radius of {inner:.1f} mm, {times:.1f} times its size across the bend",
            why="" if sound else "a cord bent tighter than its maker allows breaks inside, unseen",
            cure=""
            if sound
            else f"draw the middle line with {least_bend(cord, BEND_WANTED):g} mm at least"
            + (", or lay the flat cord on edge" if cord.up.high < 0.8 * cord.across.high else ""),
            value=round(times, 1),
            limit=BEND_WANTED,
            source="4 to 6 times the cord's size; common practice, no source: follow the cord's own sheet",
        )
    ]


def _grip(question: PassageQuestion) -> tuple[Finding, ...]:
    if question.grip is not None:
        return ()
    pull = question.cord.pull_n
    return (
        Finding(
            code="fit.cord_grip",
            subject=f"joint {question.joint}",
            verdict=Verdict.UNKNOWN,
            sentence="nothing is stated here that holds the cord against pull and twist",
            why="a passage lets the cord slide"
            + ("" if pull is None else f", and its grip is tested with {pull:g} N (IEC 60598-1, from memory)"),
            cure="buy an approved cord grip, measure it, and state grip_diameter and grip_height; or have the holder's "
            "own grip take the pull",
            source="our rule: cord grips are bought, approved parts",
        ),
    )


def _channel_draws(
    question: ChannelQuestion, channel: tuple[float, float], rebate: Fitted | None, lid: tuple[float, float]
) -> tuple[Draw, ...]:
    width, depth = channel
    cover, thickness = lid
    cord, part = question.cord, question.part
    draws = [
        Draw(
            what="channel width",
            part=part,
            size=width,
            why=f"cord up to {cord.across.high:g} mm, and room in every print",
        ),
        Draw(what="channel depth", part=part, size=depth, why=f"cord up to {cord.up.high:g} mm high, in whole layers"),
        Draw(
            what="bend radius of the middle line, at least",
            part=part,
            size=least_bend(cord, BEND_WANTED),
            why=f"{BEND_WANTED:g} times the cord's size across the bend on its inner side",
        ),
        Draw(
            what="rounding of both mouths",
            part=part,
            size=entry_rounding(cord),
            why="no edge the cord could chafe on",
        ),
    ]
    if rebate is not None:
        gap = f"cover {cover:.2f} mm, both sides' walls growing, and a gap of {rebate.gap.mean:+.2f} mm"
        draws += [
            Draw(what="rebate width", part=part, size=rebate.draw, why=gap),
            Draw(what="cover width", part="cover", size=cover, why=f"ledges of {LEDGE:g} mm carry it"),
            Draw(what="cover thickness and rebate depth", part="cover", size=thickness, why="whole layers"),
        ]
    return tuple(draws)

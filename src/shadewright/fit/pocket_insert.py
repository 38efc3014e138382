"""Hole for a heat-set insert: what to draw so that its knurl melts in and holds."""

from __future__ import annotations

import re
from dataclasses import dataclass

from shadewright.catalog.hardware import InsertCard
from shadewright.catalog.threads import Limits
from shadewright.errors import require_positive
from shadewright.findings import Finding, Verdict
from shadewright.fit.joint import Draw, JointKind, KindSizing
from shadewright.fit.pocket_chance import Fitted, Window, fitted, judged, pocket_gap, whole_layers
from shadewright.printing import AsPrinted

ROOM_PITCHES = 2
"""Room below the insert for molten plastic and the screw's tip, in pitches; common practice, no source."""

CHAMFER = 0.5
"""At the mouth: centres the insert and takes the plastic that it drives up [mm]; common practice, no source."""

FIBRES = re.compile(r"(?i)(?<![a-z])[cg]f\d*(?![a-z])|fib(?:re|er)|filled")
"""What the name of a plastic with fibres mentions."""


@dataclass(frozen=True, slots=True, kw_only=True)
class InsertQuestion:
    """One hole for a heat-set insert, its axis upright as printed.

    Attributes:
        joint: Name of the joint.
        part: Part that holds it.
        insert: Which insert.
        plastic: What the part is printed in, by name.
        habits: How its bench prints.
        layer: Layer height [mm].
        wall: Wall around the hole in today's model [mm]; None when not stated.
        drawn: Hole in today's model [mm]; None when nothing is drawn.
    """

    joint: str
    part: str
    insert: InsertCard
    plastic: str
    habits: AsPrinted
    layer: float = 0.2
    wall: float | None = None
    drawn: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class InsertSizing:
    """What to draw for an insert.

    Attributes:
        hole: Diameter of the hole, with its gap against the finished size and chance.
        depth: Of the hole [mm], whole layers.
        boss: Least outer diameter of the boss around it [mm].
        finished: Finished holes in which this insert holds in this plastic [mm].
        sizing: The same as draws and findings.
    """

    hole: Fitted
    depth: float
    boss: float
    finished: Limits
    sizing: KindSizing


def size_insert_hole(question: InsertQuestion) -> InsertSizing:
    """Size the hole for a heat-set insert.

    Raises:
        ValueProblem: A number that cannot be.

    Sources:
        ``inserts.csv`` (recalled trade sizes; the maker's sheet goes before); depth and chamfer are common practice.
    """
    insert = question.insert
    for name, value in (("layer", question.layer), ("wall", question.wall), ("drawn hole", question.drawn)):
        if value is not None:
            require_positive(name, value, where=f"joint {question.joint}")
    finished = insert.filled_hole if has_fibres(question.plastic) else insert.hole
    # A hole has no mate here: its size itself is held against limits, as the gap around a shaft of the middle size.
    shaft = Limits(finished.middle, finished.middle)
    gap_at = pocket_gap(shaft, f"{insert.name} insert", question.habits, round_hole=True, on_bed=False)
    window = Window(
        low=finished.low - finished.middle,
        high=finished.high - finished.middle,
        words="lets the insert melt in straight and hold",
        source=f"{insert.evidence.where} ({insert.evidence.note})",
    )
    hole = fitted(gap_at, window, finished.middle, question.drawn)
    depth = whole_layers((insert.length + ROOM_PITCHES * insert.pitch) / question.habits.scale_z.mean, question.layer)
    boss = round(hole.draw + 2 * insert.least_wall, 2)
    return InsertSizing(
        hole=hole,
        depth=depth,
        boss=boss,
        finished=finished,
        sizing=KindSizing(
            joint=question.joint,
            kind=JointKind.POCKET,
            draws=_draws(question, hole, depth, boss, finished),
            findings=(
                judged("fit.insert_hole", f"joint {question.joint}", "hole", hole),
                *_wall_finding(question),
            ),
            trial_worth=hole.trial_worth,
        ),
    )


def has_fibres(plastic: str) -> bool:
    """True when the plastic's name says that it carries fibres: ``PETG-CF``, ``PA6 GF25``."""
    return FIBRES.search(plastic) is not None


def _draws(question: InsertQuestion, hole: Fitted, depth: float, boss: float, finished: Limits) -> tuple[Draw, ...]:
    insert, part = question.insert, question.part
    filled = " in a plastic with fibres" if has_fibres(question.plastic) else ""
    return (
        Draw(
            what="hole for the insert",
            part=part,
            size=hole.draw,
            why=f"to come out {finished.low:.2f} to {finished.high:.2f} mm{filled}; small holes close",
        ),
        Draw(
            what="hole depth",
            part=part,
            size=depth,
            why=f"insert {insert.length:g} mm and {ROOM_PITCHES} pitches below it, in whole layers",
        ),
        Draw(what="boss around it", part=part, size=boss, why=f"walls of {insert.least_wall:g} mm at least"),
        Draw(what="chamfer at the mouth", part=part, size=CHAMFER, why="centres the insert, takes what it drives up"),
    )


def _wall_finding(question: InsertQuestion) -> tuple[Finding, ...]:
    least = question.insert.least_wall
    if question.wall is None or question.wall >= least:
        return ()
    return (
        Finding(
            code="fit.insert_wall",
            subject=f"joint {question.joint}",
            verdict=Verdict.FAILING if question.wall < 0.6 * least else Verdict.DOUBTFUL,
            sentence=f"a wall of {question.wall:.2f} mm around the insert bulges or splits as it melts in",
            cure=f"make it {least:g} mm at least",
            value=question.wall,
            limit=least,
            unit="mm",
            source=f"{question.insert.evidence.where} ({question.insert.evidence.note})",
        ),
    )

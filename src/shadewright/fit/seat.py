"""Seat: two parts glued into one another, with the gap that the glue holds in."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, replace

from shadewright.catalog.cards import GlueCard
from shadewright.errors import ValueProblem, require_positive
from shadewright.findings import Finding, Verdict
from shadewright.fit.gap import Gap, true_gap
from shadewright.fit.joint import Draw, Feel, JointKind, JointQuestion, KindSizing, Side
from shadewright.fit.pocket_chance import Fitted, Window, fitted, judged

GROOVE = 0.6
"""Depth of the grooves that key the glue [mm], at 45 degrees both ways; common practice, no source."""

GROOVE_EVERY = 4.0
"""Distance between grooves [mm]; common practice, no source."""

SPACED = 0.05
"""Room left beside the ridges that keep a thick layer even all round [mm]; common practice, no source."""

LEAST_RIDGE = 0.15
"""Lower ridges than this drown in the printer's scatter [mm]; judged, no source."""

SQUEEZE_OUT = 0.8
"""Chamfer at the mouth that takes what is squeezed out [mm]; common practice, no source."""

LEAST_LENGTH_SHARE = 0.15
"""A seat shorter than this share of its diameter lets the parts stand askew; judged, no source."""


@dataclass(frozen=True, slots=True, kw_only=True)
class SeatQuestion:
    """One glued seat.

    Attributes:
        joint: Name of the joint.
        nominal: Diameter or width both sides share [mm].
        length: How far one reaches into the other [mm].
        male, female: Both sides; one of them at least is printed.
        draw: Which printed side takes the gap: ``male`` or ``female``.
        glue: Which glue.
        round: False for flat faces.
    """

    joint: str
    nominal: float
    length: float
    male: Side
    female: Side
    glue: GlueCard
    draw: str = "female"
    round: bool = True


@dataclass(frozen=True, slots=True, kw_only=True)
class SeatSizing:
    """What to draw for a seat.

    Attributes:
        side: ``male`` or ``female``: which one is drawn.
        size: Its diameter or width, with gap and chance.
        clearance: Female minus male as drawn [mm on the diameter].
        grooves: Number of grooves around the male side.
        ridge: Height of three ridges along the male side that keep the layer even [mm]; 0 where it is too thin.
        glue_mm3: Glue that fills gap and grooves [mm³].
        sizing: The same as draws and findings.
    """

    side: str
    size: Fitted
    clearance: float
    grooves: int
    ridge: float
    glue_mm3: float
    sizing: KindSizing


def size_seat(question: SeatQuestion) -> SeatSizing:
    """Size a glued seat so that the true gap lies in the glue's range with the greatest chance.

    The glue's layer is half the gap on the diameter. Where a wide range leaves the chance all but the same, the gap is
    drawn for the layer that the glue likes best.

    Raises:
        ValueProblem: Both sides are bought, or a number cannot be.

    Sources:
        ``glues.csv``: ranges recalled from data sheets. Grooves and squeeze-out are common practice and say so.
    """
    _check(question)
    side = drawn_side(question)
    window = glue_window(question.glue)
    size = _fitted(question, side, window)
    grooves = groove_count(question.length)
    glue = glue_volume(question, size.gap.mean, grooves)
    clearance = round(size.gap.clearance, 3)
    subject = f"joint {question.joint}"
    what = _what(question, side)
    return SeatSizing(
        side=side,
        size=size,
        clearance=clearance,
        grooves=grooves,
        ridge=ridge_height(size.gap.mean) if question.round else 0.0,
        glue_mm3=glue,
        sizing=KindSizing(
            joint=question.joint,
            kind=JointKind.SEAT,
            draws=_draws(question, side, size, grooves, glue),
            findings=(judged("fit.seat", subject, what, size), _warmth(question), *_askew(question)),
            trial_worth=size.trial_worth,
        ),
    )


def glue_window(glue: GlueCard) -> Window:
    """Gap on the diameter in which a glue holds [mm]: twice its layer."""
    return Window(
        low=2 * glue.gap.low,
        high=2 * glue.gap.high,
        likes=2 * glue.gap.likely,
        words=f"leaves a layer in which {glue.name} holds",
        source=f"layer of {glue.gap} mm: {glue.evidence.where}, from memory",
    )


def drawn_side(question: SeatQuestion) -> str:
    """Which side takes the gap: the asked one, or the printed one when the other is bought."""
    if question.male.habits is None:
        return "female"
    return "male" if question.female.habits is None else question.draw


def groove_count(length: float) -> int:
    """Grooves that have room on a seat, clear of its ends."""
    room = length - 2 * (SQUEEZE_OUT + GROOVE) - GROOVE
    return max(0, math.floor(room / GROOVE_EVERY) + 1) if room > 0 else 0


def ridge_height(gap: float) -> float:
    """Height of the ridges that keep the glue's layer even [mm]: half the gap less a little room; 0 if too low."""
    height = round(gap / 2 - SPACED, 2)
    return height if height >= LEAST_RIDGE else 0.0


def glue_volume(question: SeatQuestion, gap: float, grooves: int) -> float:
    """Glue that fills the gap and the grooves [mm³]; of a flat seat both faces, a square mm wide per mm.

    A groove is a triangle of depth g and width 2 g, turned about the axis at a third of its depth (Pappus).
    """
    if not question.round:
        return 2 * question.nominal * question.length * max(gap, 0.0) / 2
    layer = math.pi * question.nominal * question.length * max(gap, 0.0) / 2
    return layer + grooves * GROOVE**2 * math.pi * (question.nominal - 2 * GROOVE / 3)


def _check(question: SeatQuestion) -> None:
    where = f"joint {question.joint}"
    require_positive("nominal size", question.nominal, where=where)
    require_positive("length", question.length, where=where)
    if question.male.habits is None and question.female.habits is None:
        raise ValueProblem.of("both sides are bought, so nothing can be drawn", "make one side a printed part", where)
    if question.draw not in ("male", "female"):
        raise ValueProblem.of(f'side "{question.draw}" cannot take the gap', "write male or female", where)
    for side in (question.male, question.female):
        if side.drawn is not None:
            require_positive(f"the drawn size of {side.name}", side.drawn, where=where)


def _gap_at(question: SeatQuestion, side: str) -> Callable[[float], Gap]:
    """True gap as a function of the drawn size of ``side``; the other one stands as it is drawn, or is nominal."""
    asked = JointQuestion(
        name=question.joint,
        kind=JointKind.SLIDE,
        feel=Feel.SNUG,
        nominal=question.nominal,
        length=question.length,
        male=question.male,
        female=question.female,
        draw=side,
        round=question.round,
    )
    other = question.male if side == "female" else question.female
    fixed = other.drawn if other.drawn is not None else question.nominal
    if side == "female":
        return lambda drawn: true_gap(asked, fixed, drawn)
    return lambda drawn: true_gap(asked, drawn, fixed)


def _fitted(question: SeatQuestion, side: str, window: Window) -> Fitted:
    gap_at = _gap_at(question, side)
    if side == "female":
        return fitted(gap_at, window, question.nominal, question.female.drawn)
    # A growing male closes the gap: mirrored about the nominal size it behaves as a female does.
    twice, drawn = 2 * question.nominal, question.male.drawn
    mirrored = fitted(
        lambda size: gap_at(twice - size), window, question.nominal, None if drawn is None else twice - drawn
    )
    return replace(mirrored, draw=round(twice - mirrored.draw, 2), drawn=drawn)


def _what(question: SeatQuestion, side: str) -> str:
    if question.round:
        return "bore" if side == "female" else "outside"
    return "slot" if side == "female" else "tongue"


def _draws(question: SeatQuestion, side: str, size: Fitted, grooves: int, glue: float) -> tuple[Draw, ...]:
    card = question.glue
    part = question.female.name if side == "female" else question.male.name
    draws = [
        Draw(
            what=_what(question, side),
            part=part,
            size=size.draw,
            why=f"a gap of {size.gap.mean:.2f} mm after printing: {size.gap.mean / 2:.2f} mm of {card.name} all round, "
            f"which holds in {card.gap} mm",
        )
    ]
    if question.female.habits is not None:
        why = "takes what is squeezed out, and leads the other part in"
        draws.append(Draw(what="chamfer at the mouth", part=question.female.name, size=SQUEEZE_OUT, why=why))
    if grooves and question.round and question.male.habits is not None:
        why = f"{grooves} around the male side, {GROOVE_EVERY:g} mm apart, at 45 degrees: they key the glue"
        draws.append(Draw(what="depth of grooves", part=question.male.name, size=GROOVE, why=why))
    ridge = ridge_height(size.gap.mean)
    if ridge and question.round and question.male.habits is not None:
        why = "three along the male side: they keep the layer even all round"
        draws.append(Draw(what="height of ridges", part=question.male.name, size=ridge, why=why))
    why = "fills the gap and the grooves"
    draws.append(Draw(what="glue", part=question.joint, size=round(glue, 0), why=why, unit="mm³"))
    return tuple(draws)


def _warmth(question: SeatQuestion) -> Finding:
    """What the card says of heat; nothing is computed here."""
    card = question.glue
    said = []
    if card.holds_to_c is not None:
        said.append(f"holds under load up to {card.holds_to_c} °C")
    if card.softens_c is not None:
        said.append(f"softens at {card.softens_c} °C")
    known = bool(said)
    return Finding(
        code="fit.seat_warmth",
        subject=f"joint {question.joint}",
        verdict=Verdict.UNKNOWN,
        sentence=f"{card.name} {' and '.join(said)}" if known else f"how warm {card.name} may get is not known",
        why="how warm this seat gets beside the bulb is not computed here",
        cure="measure it after three hours with the bulb on, and stay well below",
        source=f"{card.evidence.where}, from memory",
    )


def _askew(question: SeatQuestion) -> tuple[Finding, ...]:
    least = LEAST_LENGTH_SHARE * question.nominal
    if not question.round or question.length >= least:
        return ()
    return (
        Finding(
            code="fit.seat_length",
            subject=f"joint {question.joint}",
            verdict=Verdict.DOUBTFUL,
            sentence=f"{question.length:g} mm deep on {question.nominal:g} mm, the parts can set askew",
            cure=f"make the seat {math.ceil(least)} mm deep, or hold it in a jig while the glue sets",
            value=question.length,
            limit=round(least, 1),
            unit="mm",
            source="a seat of 0.15 diameters or more; judged, no source",
        ),
    )

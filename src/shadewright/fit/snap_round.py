"""Round snaps: a bead that clicks into a groove, and a clip that clicks onto a rod."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import Literal

import numpy as np

from shadewright.errors import ValueProblem
from shadewright.findings import Finding
from shadewright.fit.gap import true_gap
from shadewright.fit.joint import Draw, Feel, JointKind, KindSizing, Side
from shadewright.fit.moving import (
    Bend,
    Judged,
    SnapChances,
    doubt,
    instead,
    judge_behaviour,
    only_name,
    printed_thickness,
    require_all_positive,
    same_bench,
    slide_question,
    slide_sizing,
    snap_chances,
    undrawn,
)
from shadewright.fit.snap import CAUTION, lost_nub
from shadewright.fit.snap_strain import clip_factor, ring_strain
from shadewright.printing import Spread
from shadewright.wording import percent

Softer = Literal["male", "female", "both"]

_STEP = 0.05
_STIFF_CLIP = 0.5
"""Wall over radius of a clip above which its arms are no thin bars; same theory as the strain."""


@dataclass(frozen=True, slots=True, kw_only=True)
class BeadQuestion:
    """A ring snap: a bead around a sleeve, and a groove in the ring around it.

    Attributes:
        name: Of the joint.
        male, female: Sleeve with bead, and ring with groove; both printed.
        diameter: Outside of the sleeve as drawn [mm].
        undercut: Bead over the ring's mouth as drawn, on the diameter [mm].
        wall: Of the sleeve [mm].
        softer: Which side gives; both give alike when neither is much stiffer.
        allowed: Strain the giving plastic bears once within its layers [-].
        plastic: What it is called.
        lead_deg, return_deg: Slopes of the bead against the axis.
    """

    name: str
    male: Side
    female: Side
    diameter: float
    undercut: float
    allowed: Spread
    wall: float = 1.6
    softer: Softer = "male"
    plastic: str = "PLA"
    lead_deg: float = 30.0
    return_deg: float = 45.0


@dataclass(frozen=True, slots=True, kw_only=True)
class BeadFit:
    """What sizing finds: sizes to draw [mm] and chances today and then."""

    bore: float
    bead: float
    groove: float
    undercut: float
    overlap: Spread
    strain_today: float
    strain_best: float
    today: SnapChances
    best: SnapChances


def fit_bead(question: BeadQuestion) -> BeadFit:
    """Size a ring snap: the bore slides on the sleeve, the bead is as large as is borne in 9 of 10 prints.

    Raises:
        ValueProblem: A size or slope that cannot be, or a bought side.
    """
    _check_bead(question)
    male, female = only_name(question.male), only_name(question.female)
    pair = slide_sizing(question.name, male, female, question.diameter, Feel.EASY)
    bends = {undercut: _bead_bend(question, pair.draw, undercut) for undercut in _steps(question.diameter / 12)}
    works = {size: snap_chances(bend).works for size, bend in bends.items()}
    undercut = max(size for size, chance in works.items() if chance >= min(CAUTION, max(works.values())))
    today = _bead_bend(question, pair.draw, question.undercut)
    today_chances, best_chances = snap_chances(today), snap_chances(bends[undercut])
    if today_chances.works >= CAUTION * best_chances.works:
        undercut, best_chances, best = question.undercut, today_chances, today
    else:
        best = bends[undercut]
    return BeadFit(
        bore=pair.draw,
        bead=round(pair.draw + undercut, 2),
        groove=round(pair.draw + undercut + pair.clearance_drawn, 2),
        undercut=undercut,
        overlap=today.overlap,
        strain_today=today.strain,
        strain_best=best.strain,
        today=today_chances,
        best=best_chances,
    )


def size_bead(question: BeadQuestion) -> KindSizing:
    """What to draw for a ring snap, and how likely it clicks and lives; errors as ``fit_bead``."""
    fit = fit_bead(question)
    male, female = question.male.name, question.female.name
    redraw = (
        f"draw the bead {fit.bead:.2f} mm, {fit.undercut:.2f} over the bore"
        if fit.undercut != question.undercut
        else ""
    )
    behaviour = judge_behaviour(
        Judged(
            code="fit.snap",
            subject=f"joint {question.name}",
            doing="the bead is felt to click in and no ring cracks",
            today=fit.today.works,
            best=fit.best.works,
            why=f"bead over bore is {fit.overlap.mean:.2f} ± {2 * fit.overlap.sd:.2f} mm as printed, which strains the "
            f"giving ring {100 * fit.strain_today:.2f} %; {question.plastic} bears {100 * question.allowed.mean:.1f} % "
            f"once (felt {percent(fit.today.catches)}, unbroken {percent(fit.today.survives)})",
            redraw=redraw,
            trial="print its trial: short sleeves with rising beads, one ring",
        )
    )
    draws = (
        Draw(
            what="bead diameter",
            part=male,
            size=fit.bead,
            why=f"{fit.undercut:.2f} over the bore{instead(question.undercut, fit.undercut)}",
        ),
        Draw(what="bore of the ring", part=female, size=fit.bore, why="slides easily on the sleeve"),
        Draw(what="groove diameter", part=female, size=fit.groove, why="the bead rests in it without strain"),
        Draw(what="outside of the sleeve", part=male, size=question.diameter, why="as stated"),
        Draw(what="wall of the sleeve", part=male, size=question.wall, why="as stated"),
    )
    lost = lost_nub(f"joint {question.name}", "bead", question.undercut, fit.overlap, fit.undercut)
    return KindSizing(
        joint=question.name,
        kind=JointKind.SNAP,
        draws=draws,
        findings=(behaviour, *lost),
        trial_worth=fit.best.works < CAUTION,
    )


def _check_bead(question: BeadQuestion) -> None:
    where = f"joint {question.name}"
    require_all_positive(where, diameter=question.diameter, undercut=question.undercut, wall=question.wall)
    if question.undercut > question.diameter / 10 or question.wall > question.diameter / 4:
        raise ValueProblem.of(
            f"a bead of {question.undercut:g} mm and a wall of {question.wall:g} mm are no ring snap on "
            f"{question.diameter:g} mm",
            "make the bead under a tenth and the wall under a quarter of the diameter",
            where,
        )
    if not (10 <= question.lead_deg <= 60 and 20 <= question.return_deg <= 45):
        raise ValueProblem.of(
            f"slopes of {question.lead_deg:g} and {question.return_deg:g} degrees do not go in and print upright",
            "write a lead angle of 10 to 60 and a return angle of 20 to 45 degrees",
            where,
        )


def _bead_bend(question: BeadQuestion, bore: float, undercut: float) -> Bend:
    """Overlap of bead and mouth; the wall does not matter to the strain, so it counts as 1."""
    pair = slide_question(
        question.name, undrawn(question.male), undrawn(question.female), question.diameter, Feel.TIGHT
    )
    gap = true_gap(pair, bore + undercut, bore)
    return Bend(
        overlap=Spread(-gap.mean, gap.sd),
        thickness=Spread(1.0, 0.0),
        covariance=0.0,
        strain_per_mm2=ring_strain(1.0, question.diameter, shared=question.softer == "both"),
        allowed=question.allowed,
    )


def _steps(most: float) -> list[float]:
    return [round(float(size), 2) for size in np.arange(_STEP, max(most, 2 * _STEP), _STEP)]


# Clip ----------------------------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True, kw_only=True)
class ClipQuestion:
    """A clip that clicks onto a rod and turns on it: the hinge of a flap.

    Attributes:
        name: Of the joint.
        male: The rod, printed or bought.
        female: The clip, printed with the rod's axis upright, so that it bends within its layers.
        rod: Diameter of the rod [mm].
        wall: Of the clip's arms [mm].
        opening: Between the lips as drawn [mm]; None when nothing is drawn yet.
        width: Length of the clip along the rod [mm].
        feel: How it shall turn.
        allowed: Strain the clip's plastic bears once [-].
        plastic: What it is called.
    """

    name: str
    male: Side
    female: Side
    rod: float
    allowed: Spread
    wall: float = 1.6
    opening: float | None = None
    width: float = 8.0
    feel: Feel = Feel.EASY
    plastic: str = "PLA"


@dataclass(frozen=True, slots=True, kw_only=True)
class ClipFit:
    """What sizing finds: sizes to draw [mm], chances today (None when nothing is drawn) and then.

    Attributes:
        turning: Chance that it turns with the wanted feel [-].
        hold: What each lip of the drawn opening holds the rod by, as printed [mm].
    """

    bore: float
    opening: float
    wall: float
    turning: float
    hold: Spread
    strain_today: float | None
    strain_best: float
    today: SnapChances | None
    best: SnapChances
    hold_today: Spread | None


def fit_clip(question: ClipQuestion) -> ClipFit:
    """Size a clip: the bore turns on the rod, the opening is as narrow as is borne in 9 of 10 prints.

    When no opening is borne with the stated wall, a thinner one is proposed, down to two usual lines.

    Raises:
        ValueProblem: A size that cannot be, or a bought clip.
    """
    where = f"joint {question.name}"
    require_all_positive(where, diameter_of_the_rod=question.rod, wall=question.wall, width=question.width)
    if question.opening is not None and not 0.4 * question.rod <= question.opening < 1.05 * question.rod:
        raise ValueProblem.of(
            f"an opening of {question.opening:g} mm does not clip onto a rod of {question.rod:g} mm",
            f"draw it {0.4 * question.rod:.1f} to {question.rod:g} mm",
            where,
        )
    rod, clip = undrawn(question.male), only_name(question.female)
    turn = slide_sizing(question.name, rod, clip, question.rod, question.feel)
    wall, opening = _best_clip(question, turn.draw)
    best = _clip_bend(question, turn.draw, wall, opening)
    chances = snap_chances(best)
    today, now = None, None
    if question.opening is not None:
        now = _clip_bend(question, turn.draw, question.wall, question.opening)
        today = snap_chances(now)
        if today.works >= CAUTION * chances.works:
            wall, opening, best, chances = question.wall, question.opening, now, today
    return ClipFit(
        bore=turn.draw,
        opening=opening,
        wall=wall,
        turning=turn.chance_wanted,
        hold=best.overlap,
        strain_today=now.strain if now else None,
        strain_best=best.strain,
        today=today,
        best=chances,
        hold_today=now.overlap if now else None,
    )


def size_clip(question: ClipQuestion) -> KindSizing:
    """What to draw for a clip on a rod: whether it clicks on, lives, and turns; errors as ``fit_clip``."""
    fit = fit_clip(question)
    subject, part = f"joint {question.name}", question.female.name
    strain = fit.strain_best if fit.strain_today is None else fit.strain_today
    today = fit.best if fit.today is None else fit.today
    hold = fit.hold if fit.hold_today is None else fit.hold_today
    changed = question.opening is not None and (fit.opening, fit.wall) != (question.opening, question.wall)
    thinner = f" and the wall {fit.wall:g} mm" if fit.wall != question.wall else ""
    behaviour = judge_behaviour(
        Judged(
            code="fit.snap",
            subject=subject,
            doing="the clip is felt to click on and does not break",
            today=today.works,
            best=fit.best.works,
            why=f"each lip gives {hold.mean:.2f} ± {2 * hold.sd:.2f} mm, which strains its arm {100 * strain:.1f} %; "
            f"{question.plastic} bears {100 * question.allowed.mean:.1f} % once (felt {percent(today.catches)}, "
            f"unbroken {percent(today.survives)})",
            redraw=f"draw the opening {fit.opening:.2f} mm{thinner}" if changed else "",
            trial="print its trial: clips of rising opening",
        )
    )
    draws = (
        Draw(
            what="opening of the clip",
            part=part,
            size=fit.opening,
            why=f"holds the rod by {2 * fit.hold.mean:.2f} as printed",
        ),
        Draw(what="bore of the clip", part=part, size=fit.bore, why=f"turns {question.feel} in {percent(fit.turning)}"),
        Draw(
            what="wall of the clip",
            part=part,
            size=fit.wall,
            why=f"strained {100 * fit.strain_best:.1f} % on the way{instead(question.wall, fit.wall)}",
        ),
        Draw(what="length of the clip", part=part, size=question.width, why="as stated"),
    )
    drawn = (question.rod - (question.opening or fit.opening)) / 2
    lost = lost_nub(subject, "lip", drawn, hold, fit.hold.mean)
    return KindSizing(
        joint=question.name,
        kind=JointKind.SNAP,
        draws=draws,
        findings=(behaviour, *lost, *_stiff(question, subject)),
        trial_worth=fit.best.works < CAUTION,
    )


def _best_clip(question: ClipQuestion, bore: float) -> tuple[float, float]:
    """Wall and opening: the stated wall if any opening works with it, else the thickest that does."""
    openings = [round(float(size), 2) for size in np.arange(0.5 * question.rod, question.rod, _STEP)]
    likeliest = (-1.0, question.wall, openings[-1])
    for thickness in np.arange(question.wall, 0.89, -0.1):
        wall = round(float(thickness), 2)
        works = {size: snap_chances(_clip_bend(question, bore, wall, size)).works for size in openings}
        firm = [size for size in openings if works[size] >= CAUTION]
        if firm:
            return wall, min(firm)
        best = max(openings, key=lambda size: works[size])
        likeliest = max(likeliest, (works[best], wall, best))
    return likeliest[1], likeliest[2]


def _clip_bend(question: ClipQuestion, bore: float, wall: float, opening: float) -> Bend:
    """One arm of the clip: its lip moves by half of what the rod is wider than the opening."""
    habits = only_name(question.female).habits
    assert habits is not None
    pair = slide_question(
        question.name, undrawn(question.male), undrawn(question.female), question.rod, Feel.TIGHT, round_faces=False
    )
    gap = true_gap(replace(pair, draw="female"), question.rod, opening)
    radius = bore / 2 + wall / 2
    lip = math.degrees(math.asin(min(opening / (2 * radius), 1.0)))
    shared = 2 if same_bench(question.male, question.female) else 1
    return Bend(
        overlap=Spread(-gap.mean / 2, gap.sd / 2),
        thickness=printed_thickness(wall, habits),
        covariance=2 * shared * habits.outer_growth.sd**2,
        strain_per_mm2=clip_factor(radius, lip, clip_root_deg(bore, wall)),
        allowed=question.allowed,
    )


def clip_stem(bore: float, wall: float) -> float:
    """Width of the stem behind a clip [mm]: half of its bore, two walls at least; our choice."""
    return max(bore / 2, 2 * wall)


def clip_root_deg(bore: float, wall: float) -> float:
    """Angle from the opening's middle to where the stem holds an arm."""
    return 180 - math.degrees(math.asin(min(clip_stem(bore, wall) / (bore + 2 * wall), 1.0)))


def _stiff(question: ClipQuestion, subject: str) -> list[Finding]:
    radius = (question.rod + question.wall) / 2
    if question.wall <= _STIFF_CLIP * radius:
        return []
    sentence = (
        f"a wall of {question.wall:g} mm is thick for a clip on {question.rod:g} mm, and its strain is not known well"
    )
    cure = f"draw the wall {_STIFF_CLIP * radius:.1f} mm or less"
    source, ratio = "limit of the theory of thin bars", round(question.wall / radius, 2)
    return [doubt("fit.snap_stout", subject, sentence, cure, value=ratio, limit=_STIFF_CLIP, source=source)]

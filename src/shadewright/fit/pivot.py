"""Pivot with a clamp screw: a tongue that turns between two cheeks until the screw is tightened."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

from shadewright.catalog.hardware import NutCard
from shadewright.catalog.threads import Thread
from shadewright.errors import ValueProblem
from shadewright.findings import Finding, Verdict
from shadewright.fit.feel import chance_together
from shadewright.fit.joint import Draw, Feel, JointKind, KindSizing, Side, Sizing
from shadewright.fit.moving import (
    SURE,
    Judged,
    growth_of,
    judge_behaviour,
    only_name,
    require_all_positive,
    same_bench,
    scatter_of,
    slide_sizing,
    turning_finding,
)
from shadewright.fit.snap import CAUTION
from shadewright.printing import Spread
from shadewright.solid.features import TrialPiece
from shadewright.solid.moving_trial import rung_sizes
from shadewright.solid.pivot import SEAT, Fork, Tongue, fork_build, tongue_build, tooth_depth
from shadewright.solid.pivot_trial import pivot_trial
from shadewright.wording import percent

LEAST_BITE = 0.3
"""Depth by which teeth must reach into each other to stop a turn [mm]; common practice, no source."""

WASHERS = {"M3": (7.0, 0.5), "M4": (9.0, 0.8), "M5": (10.0, 1.0), "M6": (12.0, 1.6), "M8": (16.0, 1.6)}
"""Outer diameter and thickness of plain washers [mm]; ISO 7089, from memory."""

WASHER_ROOM = 0.6
"""Seat over washer on the diameter [mm]; common practice, no source."""

FEWEST_TEETH = 8
_FLANK = math.sqrt(2)  # a face that grows by 1 along its 45 degree normal moves by this along the axis


@dataclass(frozen=True, slots=True, kw_only=True)
class PivotQuestion:
    """A pivot to be sized; sizes as drawn today.

    Attributes:
        name: Of the joint.
        male, female: Tongue and fork, both printed.
        screw: Thread of the bought screw.
        tongue: Thickness of the tongue [mm].
        ear: Diameter of the faces that are pressed together [mm].
        cheek: Thickness of each cheek [mm].
        spacing: Between the cheeks as drawn [mm]; None when nothing is drawn yet.
        teeth: Around one pair of faces; 0 for plain ones.
        nut: The captive nut in one cheek; None for none.
        washer: True for a washer's seat in the other cheek.
    """

    name: str
    male: Side
    female: Side
    screw: Thread
    tongue: float = 6.0
    ear: float = 18.0
    cheek: float = 4.5
    spacing: float | None = None
    teeth: int = 0
    nut: NutCard | None = None
    washer: bool = True


@dataclass(frozen=True, slots=True, kw_only=True)
class PivotFit:
    """What sizing finds.

    Attributes:
        bore_fork, bore_tongue: Screw holes.
        cheeks: Tongue between cheeks, teeth included.
        seat: Nut between the flats of its seat; None without one.
        teeth: How many to draw.
        bite: How deep they reach into each other when clamped, as printed [mm]; None without teeth.
        bites_today, bites: Chance that they do so far enough, as stated and as drawn [-].
        spread: How far the cheeks must be spread to turn from tooth to tooth [mm].
    """

    bore_fork: Sizing
    bore_tongue: Sizing
    cheeks: Sizing
    seat: Sizing | None
    teeth: int
    bite: Spread | None
    bites_today: float
    bites: float
    spread: float


def fit_pivot(question: PivotQuestion) -> PivotFit:
    """Size a pivot: holes free on the screw, cheeks that let the tongue turn easily, teeth that bite.

    Raises:
        ValueProblem: A size that cannot be, or a bought side.
    """
    where = f"joint {question.name}"
    male, female = only_name(question.male), only_name(question.female)
    require_all_positive(where, tongue=question.tongue, ear=question.ear, cheek=question.cheek)
    screw = Side(name=f"{question.screw.name} screw", bought=question.screw.male.major)
    holes = [slide_sizing(question.name, screw, side, question.screw.major, Feel.FREE) for side in (female, male)]
    teeth = _enough_teeth(question)
    depth = tooth_depth(question.ear, teeth)
    thickness = question.tongue + (depth + 2 * SEAT if teeth else 0.0)
    drawn = replace(female, drawn=question.spacing)
    cheeks = slide_sizing(question.name, male, drawn, thickness, Feel.EASY, round_faces=False)
    seat = None
    if question.nut is not None:
        nut = Side(name=f"{question.nut.name} nut", bought=question.nut.flats)
        middle = question.nut.flats.middle
        seat = slide_sizing(question.name, nut, female, middle, Feel.EASY, round_faces=False)
    fit = PivotFit(
        bore_fork=holes[0],
        bore_tongue=holes[1],
        cheeks=cheeks,
        seat=seat,
        teeth=teeth,
        bite=tooth_bite(question, teeth) if teeth else None,
        bites_today=_bites(question, question.teeth),
        bites=_bites(question, teeth),
        spread=max(depth - cheeks.clearance_drawn, 0.0),
    )
    tongue_build(tongue_of(question, fit))  # both refuse what cannot be
    fork_build(fork_of(question, fit))
    return fit


def tooth_bite(question: PivotQuestion, teeth: int) -> Spread:
    """How deep teeth reach into each other when clamped, as printed [mm].

    Flanks lean by 45 degrees: one that grows by g along its normal holds the faces apart by g times root two.
    """
    ours, theirs = growth_of(question.male), growth_of(question.female)
    together = ours.sd + theirs.sd
    shared = together if same_bench(question.male, question.female) else math.hypot(ours.sd, theirs.sd)
    scatter = math.hypot(scatter_of(question.male), scatter_of(question.female))
    depth = tooth_depth(question.ear, teeth)
    return Spread(depth - _FLANK * (ours.mean + theirs.mean), _FLANK * math.hypot(shared, scatter))


def size_pivot(question: PivotQuestion) -> KindSizing:
    """What to draw for a pivot, whether it turns, takes its screw, and whether teeth bite; errors as ``fit_pivot``."""
    fit = fit_pivot(question)
    subject = f"joint {question.name}"
    findings: list[Finding] = [_turns(question, fit, subject), _screw(question, fit, subject)]
    if question.teeth:
        findings.append(_teeth(question, fit, subject))
    return KindSizing(
        joint=question.name,
        kind=JointKind.PIVOT,
        draws=_draws(question, fit),
        findings=tuple(findings),
        trial_worth=fit.cheeks.trial_worth,
    )


def tongue_of(question: PivotQuestion, fit: PivotFit) -> Tongue:
    """The tongue as it is to be drawn."""
    return Tongue(thickness=question.tongue, ear=question.ear, bore=fit.bore_tongue.draw, teeth=fit.teeth)


def fork_of(question: PivotQuestion, fit: PivotFit) -> Fork:
    """The fork as it is to be drawn."""
    washer, thickness = washer_of(question) if question.washer else (0.0, 0.0)
    return Fork(
        tongue=tongue_of(question, fit),
        spacing=fit.cheeks.draw,
        cheek=question.cheek,
        bore=fit.bore_fork.draw,
        nut_flats=fit.seat.draw if fit.seat else 0.0,
        nut_depth=nut_depth(question),
        washer=washer + WASHER_ROOM if washer else 0.0,
        washer_depth=min(thickness, 0.6),
    )


def washer_of(question: PivotQuestion) -> tuple[float, float]:
    """Outer diameter and thickness of the screw's washer [mm].

    Raises:
        ValueProblem: No washer is known for it.
    """
    known = WASHERS.get(question.screw.name.split("x")[0])
    if known is None:
        raise ValueProblem.of(
            f"no washer is known for {question.screw.name}",
            f"use {', '.join(WASHERS)}, or leave the washer out",
            f"joint {question.name}",
        )
    return known


def nut_depth(question: PivotQuestion) -> float:
    """Depth of the nut's seat [mm]: the whole nut where the cheek leaves 1.6 mm behind it, else what it can."""
    if question.nut is None:
        return 0.0
    return round(max(min(question.nut.height.high, question.cheek - 1.6), 0.8), 2)


def trial_of_pivot(
    question: PivotQuestion,
    fit: PivotFit,
    count: int = 3,
    *,
    nozzle: float = 0.4,
    bed_x: float = 200.0,
    bed_y: float = 200.0,
) -> TrialPiece:
    """Forks about the spacing to draw, and the tongue.

    Raises:
        ValueProblem: ``count`` is not 3 to 7, or they do not fit the bed.
    """
    step = math.ceil(100 * 4 * fit.cheeks.gap_sd / (count - 1)) / 100
    sizes = rung_sizes(fit.cheeks.draw, step, count, question.tongue)
    fork = fork_of(question, fit)
    plain = fit.cheeks.draw - fit.cheeks.clearance_drawn
    return pivot_trial(question.name, fork, sizes, plain, nozzle=nozzle, bed_x=bed_x, bed_y=bed_y)


def _bites(question: PivotQuestion, teeth: int) -> float:
    if not teeth:
        return 1.0
    bite = tooth_bite(question, teeth)
    return chance_together(bite.mean, bite.sd, LEAST_BITE)


def _enough_teeth(question: PivotQuestion) -> int:
    """The stated number of teeth, or the greatest lower one whose teeth are deep enough to bite."""
    teeth = question.teeth
    while teeth > FEWEST_TEETH and _bites(question, teeth) < CAUTION:
        teeth -= 1
    return teeth


def _turns(question: PivotQuestion, fit: PivotFit, subject: str) -> Finding:
    cheeks = fit.cheeks
    if cheeks.chances_today is None:
        return turning_finding("fit.pivot", subject, "the tongue turns between the cheeks without rattling", cheeks)
    felt = (Feel.SNUG, Feel.EASY, Feel.FREE)
    today = sum(dict(cheeks.chances_today)[feel] for feel in felt)
    best = sum(dict(cheeks.chances)[feel] for feel in felt)
    return judge_behaviour(
        Judged(
            code="fit.pivot",
            subject=subject,
            doing="the tongue turns between the cheeks without rattling",
            today=today,
            best=best,
            why=f"the cheeks stand {cheeks.clearance_today:.2f} mm wider than what goes between them, and this bench "
            f"wants {cheeks.clearance_drawn:.2f} mm",
            redraw=f"draw the cheeks {cheeks.draw:.2f} mm apart",
            trial="print its trial: forks of rising spacing and one tongue",
            source=cheeks.source,
        )
    )


def _screw(question: PivotQuestion, fit: PivotFit, subject: str) -> Finding:
    chance = min(chance_together(hole.gap, hole.gap_sd) for hole in (fit.bore_fork, fit.bore_tongue))
    sound = chance >= SURE
    return Finding(
        code="fit.pivot_screw",
        subject=subject,
        verdict=Verdict.SOUND if sound else Verdict.DOUBTFUL,
        sentence=f"the {question.screw.name} screw goes through both holes in {percent(chance)} of prints, drawn "
        f"{fit.bore_fork.draw:.2f} mm",
        cure="" if sound else "run a drill through them",
        value=round(100 * chance),
        limit=100 * SURE,
        unit="%",
        source=fit.bore_fork.source,
    )


def _teeth(question: PivotQuestion, fit: PivotFit, subject: str) -> Finding:
    depth, bite = tooth_depth(question.ear, question.teeth), tooth_bite(question, question.teeth)
    return judge_behaviour(
        Judged(
            code="fit.pivot_teeth",
            subject=subject,
            doing=f"the {question.teeth} teeth reach {LEAST_BITE:g} mm or more into each other",
            today=fit.bites_today,
            best=fit.bites,
            why=f"at this number they are {depth:.2f} mm deep, and reach {bite.mean:.2f} ± {2 * bite.sd:.2f} mm into "
            "each other as printed",
            redraw=f"draw {fit.teeth} teeth" if fit.teeth != question.teeth else "",
            trial="make the ear larger, or use fewer teeth",
        )
    )


def _draws(question: PivotQuestion, fit: PivotFit) -> tuple[Draw, ...]:
    male, female = question.male.name, question.female.name
    depth = tooth_depth(question.ear, fit.teeth)
    between = f"a tongue of {question.tongue:g}" + (f" and teeth of {depth:.2f}" if fit.teeth else "")
    draws = [
        Draw(
            what="space between the cheeks",
            part=female,
            size=fit.cheeks.draw,
            why=f"for {between}; {fit.cheeks.clearance_drawn:.2f} more, for both walls grow into the gap",
        ),
        Draw(what="screw hole in the fork", part=female, size=fit.bore_fork.draw, why="free on the screw"),
        Draw(what="screw hole in the tongue", part=male, size=fit.bore_tongue.draw, why="free on the screw"),
        Draw(what="thickness of the tongue", part=male, size=question.tongue, why="as stated"),
    ]
    if fit.seat is not None and question.nut is not None:
        why = f"the {question.nut.name} nut goes in easily and cannot turn"
        draws.append(Draw(what="nut seat across flats", part=female, size=fit.seat.draw, why=why))
        draws.append(
            Draw(what="depth of the nut seat", part=female, size=nut_depth(question), why="of the nut's height")
        )
    if question.washer:
        size = washer_of(question)[0] + WASHER_ROOM
        draws.append(Draw(what="washer seat", part=female, size=size, why=f"{WASHER_ROOM:g} over the washer"))
    if fit.teeth:
        why = f"{depth:.2f} mm deep, {360 / fit.teeth:.1f} degrees from one to the next; spread the cheeks by "
        why += f"{fit.spread:.2f} mm to turn"
        draws.append(
            Draw(what="teeth on each face", part=f"{male} and {female}", size=fit.teeth, why=why, unit="teeth")
        )
    return tuple(draws)

"""Bayonet: lugs that enter slots, turn, and click behind a rib or fall back into a hook."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np

from shadewright.errors import ValueProblem
from shadewright.findings import Finding
from shadewright.fit.gap import true_gap
from shadewright.fit.joint import Draw, Feel, JointKind, KindSizing, Side, Sizing
from shadewright.fit.moving import (
    LEAST_FELT,
    Bend,
    Judged,
    SnapChances,
    instead,
    judge_behaviour,
    only_name,
    require_all_positive,
    slide_question,
    slide_sizing,
    snap_chances,
    turning_finding,
    undrawn,
)
from shadewright.fit.snap import CAUTION, lost_nub
from shadewright.printing import AsPrinted, Spread
from shadewright.solid.features import TrialPiece
from shadewright.solid.moving_trial import rung_sizes
from shadewright.solid.twist import Path, Plug, TwistSocket, plug_build, socket_build
from shadewright.solid.twist_trial import twist_trial
from shadewright.wording import percent

AXIAL_SURE_Z = 2.054
"""Standard normal quantile of 0.98: so surely a lug has room in its slot along the axis; our rule."""

_DETENTS = tuple(round(float(size), 2) for size in np.arange(0.1, 1.55, 0.05))
_WIDE = 20.0  # bayonets wider than this are tried at fewer sizes, to stay a matter of minutes [mm]


@dataclass(frozen=True, slots=True, kw_only=True)
class TwistQuestion:
    """A bayonet to be sized; sizes as drawn today.

    Attributes:
        name: Of the joint.
        male, female: Plug and socket, both printed upright.
        diameter: Of the plug [mm].
        lugs: 2 to 4.
        lug_height, lug_width, lug_thickness: Out from the plug, along its surface, along its axis [mm].
        turn_deg: From the way in to the lug's place.
        detent: Height of the rib (``L``), or how far the lug falls back (``J``) [mm].
        path: Shape of the slots.
        bore: Hole through the plug [mm]; 0 for none.
        wall: Of the socket around its slots [mm].
        allowed: Strain the socket's plastic bears once within its layers [-].
        plastic: What it is called.
        layer: Layer height [mm].
    """

    name: str
    male: Side
    female: Side
    diameter: float
    allowed: Spread
    lugs: int = 3
    lug_height: float = 1.6
    lug_width: float = 6.0
    lug_thickness: float = 3.0
    turn_deg: float = 30.0
    detent: float = 0.4
    path: Path = "L"
    bore: float = 0.0
    wall: float = 2.0
    plastic: str = "PLA"
    layer: float = 0.2


@dataclass(frozen=True, slots=True, kw_only=True)
class TwistFit:
    """What sizing finds: the pairs that slide, the room along the axis [mm], and how the detent does.

    Attributes:
        around: Plug in bore.
        tips: Lug tips in the slots' bottoms.
        slot: Lug in the slot's way in.
        axial_clearance: Before and behind a lug, as drawn [mm].
        detent: To draw [mm].
        overlap: What the lug rides over or falls back by today, as printed [mm].
    """

    around: Sizing
    tips: Sizing
    slot: Sizing
    axial_clearance: float
    detent: float
    overlap: Spread
    strain_today: float
    today: SnapChances
    best: SnapChances


def fit_twist(question: TwistQuestion) -> TwistFit:
    """Size a bayonet.

    Raises:
        ValueProblem: A size that cannot be, or a bought side.
    """
    where = f"joint {question.name}"
    male, female = only_name(question.male), only_name(question.female)
    require_all_positive(where, diameter=question.diameter, detent=question.detent, wall=question.wall)
    plug_build(plug_of(question))  # refuses lugs that cannot be
    around = slide_sizing(question.name, male, female, question.diameter, Feel.EASY)
    tips = slide_sizing(question.name, male, female, question.diameter + 2 * question.lug_height, Feel.EASY)
    slot = slide_sizing(question.name, male, female, question.lug_width, Feel.FREE, round_faces=False)
    today_bend = twist_bend(question, tips.draw)
    today = snap_chances(today_bend)
    detent, best = _best_detent(question, tips.draw)
    if today.works >= CAUTION * best.works:
        detent, best = question.detent, today
    fit = TwistFit(
        around=around,
        tips=tips,
        slot=slot,
        axial_clearance=_axial_clearance(question),
        detent=detent,
        overlap=today_bend.overlap,
        strain_today=today_bend.strain,
        today=today,
        best=best,
    )
    socket_build(socket_of(question, fit))  # refuses slots that run into each other
    return fit


def twist_bend(question: TwistQuestion, slot_diameter: float) -> Bend:
    """What the lug must pass, as printed.

    A rib on the slot's bottom stands out as drawn, for its own face and the bottom's grow alike; the lug's tip is half
    the true gap away. The socket widens by what overlaps: its hoop strain is at most twice that over the diameter.
    A lug that falls back along the axis strains nothing.
    """
    scatter = _habits(question.female).scatter
    if question.path == "J":
        overlap = Spread(question.detent, _axial_sd(question))
        strain = 0.0
    else:
        tip = question.diameter + 2 * question.lug_height
        pair = slide_question(question.name, undrawn(question.male), undrawn(question.female), tip, Feel.EASY)
        gap = true_gap(pair, tip, slot_diameter)
        overlap = Spread(question.detent - gap.mean / 2, math.hypot(gap.sd / 2, scatter))
        strain = 2 / slot_diameter
    return Bend(
        overlap=overlap, thickness=Spread(1.0, 0.0), covariance=0.0, strain_per_mm2=strain, allowed=question.allowed
    )


def size_twist(question: TwistQuestion) -> KindSizing:
    """What to draw for a bayonet, whether it turns, and whether its detent is felt; errors as ``fit_twist``."""
    fit = fit_twist(question)
    subject = f"joint {question.name}"
    findings: list[Finding] = [
        _click(question, fit, subject),
        turning_finding("fit.twist_turn", subject, "the plug goes in and turns without rattling", fit.around),
    ]
    findings += lost_nub(subject, "detent", question.detent, fit.overlap, fit.detent)
    return KindSizing(
        joint=question.name,
        kind=JointKind.TWIST,
        draws=_draws(question, fit),
        findings=tuple(findings),
        trial_worth=fit.best.works < CAUTION,
    )


def plug_of(question: TwistQuestion) -> Plug:
    """The plug as it is to be drawn."""
    return Plug(
        diameter=question.diameter,
        lugs=question.lugs,
        lug_height=question.lug_height,
        lug_width=question.lug_width,
        lug_thickness=question.lug_thickness,
        bore=question.bore,
    )


def socket_of(question: TwistQuestion, fit: TwistFit) -> TwistSocket:
    """The socket as it is to be drawn."""
    return TwistSocket(
        plug=plug_of(question),
        bore=fit.around.draw,
        slot_diameter=fit.tips.draw,
        slot_width=fit.slot.draw,
        axial_clearance=fit.axial_clearance,
        turn_deg=question.turn_deg,
        detent=fit.detent,
        path=question.path,
        wall=question.wall,
    )


def trial_of_twist(
    question: TwistQuestion,
    fit: TwistFit,
    count: int | None = None,
    *,
    nozzle: float = 0.4,
    bed_x: float = 200.0,
    bed_y: float = 200.0,
) -> TrialPiece:
    """Sockets about the detent to draw, and the plug; 3 of them above 20 mm unless told otherwise.

    Raises:
        ValueProblem: ``count`` is not 3 to 7, or they do not fit the bed.
    """
    rungs = count or (3 if question.diameter > _WIDE else 5)
    step = math.ceil(100 * 4 * fit.overlap.sd / (rungs - 1)) / 100
    sizes = rung_sizes(fit.detent, step, rungs, LEAST_FELT)
    return twist_trial(question.name, socket_of(question, fit), sizes, nozzle=nozzle, bed_x=bed_x, bed_y=bed_y)


def _habits(side: Side) -> AsPrinted:
    habits = only_name(side).habits
    assert habits is not None
    return habits


def _axial_sd(question: TwistQuestion) -> float:
    """Spread of a gap between two faces along the axis [mm]: scatter of both, and rounding of both to whole layers."""
    rounding = question.layer / math.sqrt(12)
    male, female = _habits(question.male).scatter, _habits(question.female).scatter
    return math.sqrt(male**2 + female**2 + 2 * rounding**2)


def _axial_clearance(question: TwistQuestion) -> float:
    """Drawn so that lug and slot meet in one print of fifty at most [mm]."""
    return math.ceil(100 * AXIAL_SURE_Z * _axial_sd(question)) / 100


def _best_detent(question: TwistQuestion, slot_diameter: float) -> tuple[float, SnapChances]:
    """The detent nearest to the stated one that is felt and borne in 9 of 10 prints, else the likeliest."""
    found = {size: snap_chances(twist_bend(replace(question, detent=size), slot_diameter)) for size in _DETENTS}
    firm = [size for size in found if found[size].works >= CAUTION]
    if firm:
        best = min(firm, key=lambda size: abs(size - question.detent))
    else:
        best = max(found, key=lambda size: found[size].works)
    return best, found[best]


def _click(question: TwistQuestion, fit: TwistFit, subject: str) -> Finding:
    if question.path == "J":
        why = f"the lug falls back {fit.overlap.mean:.2f} ± {2 * fit.overlap.sd:.2f} mm as printed"
        doing = "the lug is felt to fall into its place"
    else:
        why = (
            f"the lug rides over {fit.overlap.mean:.2f} ± {2 * fit.overlap.sd:.2f} mm as printed, which strains the "
            f"socket by at most {100 * fit.strain_today:.1f} %; {question.plastic} bears "
            f"{100 * question.allowed.mean:.1f} % once (felt {percent(fit.today.catches)}, unbroken "
            f"{percent(fit.today.survives)})"
        )
        doing = "the detent is felt and the socket does not crack"
    return judge_behaviour(
        Judged(
            code="fit.twist",
            subject=subject,
            doing=doing,
            today=fit.today.works,
            best=fit.best.works,
            why=why,
            redraw=f"draw the detent {fit.detent:.2f} mm" if fit.detent != question.detent else "",
            trial="print its trial: sockets of rising detent and one plug",
        )
    )


def _draws(question: TwistQuestion, fit: TwistFit) -> tuple[Draw, ...]:
    male, female = question.male.name, question.female.name
    tip = question.diameter + 2 * question.lug_height
    detent = "height of the rib" if question.path == "L" else "fall back towards the mouth"
    return (
        Draw(
            what="bore of the socket",
            part=female,
            size=fit.around.draw,
            why=f"turns on a plug of {question.diameter:g}",
        ),
        Draw(what="diameter across the slots", part=female, size=fit.tips.draw, why=f"for lugs across {tip:g}"),
        Draw(
            what="width of the slots",
            part=female,
            size=fit.slot.draw,
            why=f"lugs of {question.lug_width:g} go in freely",
        ),
        Draw(
            what="room before and behind the lugs",
            part=female,
            size=fit.axial_clearance,
            why="scatter and rounding to whole layers on both sides",
        ),
        Draw(
            what=detent,
            part=female,
            size=fit.detent,
            why=f"felt and borne in {percent(fit.best.works)} of prints{instead(question.detent, fit.detent)}",
        ),
        Draw(what="turn", part=female, size=question.turn_deg, why="as stated", unit="degrees"),
        Draw(
            what="height of the lugs",
            part=male,
            size=question.lug_height,
            why="as stated; 45 degrees towards the flange",
        ),
    )


def require_path(path: str, where: str = "") -> Path:
    """Read the shape of a slot.

    Raises:
        ValueProblem: It is neither L nor J.
    """
    if path not in ("L", "J"):
        raise ValueProblem.of(f'a slot cannot run like "{path}"', 'write "L" or "J"', where)
    return "L" if path == "L" else "J"

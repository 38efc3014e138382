"""Snap hook: an arm that bends, with a nub that catches behind a ledge."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

from shadewright.errors import ValueProblem
from shadewright.findings import Finding, Verdict
from shadewright.fit.joint import Draw, Feel, JointKind, KindSizing, Side
from shadewright.fit.moving import (
    LEAST_FELT,
    SOURCE,
    Bend,
    Judged,
    SnapChances,
    doubt,
    face_overlap,
    growth_of,
    judge_behaviour,
    only_name,
    printed_thickness,
    require_all_positive,
    same_bench,
    slide_sizing,
    snap_chances,
    undrawn,
)
from shadewright.fit.snap_strain import arm_factor
from shadewright.printing import Spread
from shadewright.wording import percent

UPRIGHT_LIMIT = 45.0
"""Steepest overhang that prints without doubt, in degrees from the vertical; common practice, no source."""

SLENDER = 5.0
"""Arm over thickness from which the rule for slender arms holds; same guide as the strains."""

CAUTION = 0.90
"""Chance that the strain is borne, and that the nub is felt, which a proposed drawing must reach; our rule."""

NUB_OVER_SD = 2.0
"""A nub lower than this many standard deviations of its overlap is lost; our rule."""

_THIN_STEP, _LENGTH_STEP, _NUB_STEP = 0.1, 0.5, 0.05
_LONGEST = 4.0  # a proposed arm is at most this many times the stated one


@dataclass(frozen=True, slots=True, kw_only=True)
class HookQuestion:
    """A snap hook to be sized; sizes as drawn today.

    Attributes:
        name: Of the joint.
        male: The side with the arm, printed.
        female: The side with the ledge.
        arm: From the root to the return face [mm].
        thickness, width: Of the arm at its root, in and across the direction of bending [mm].
        undercut: How far the nub reaches over the ledge [mm].
        lead_deg, return_deg: Slopes of the nub against the arm, at its tip and behind the ledge.
        taper: Thickness at the nub over that at the root, 0.5 to 1.
        across_layers: True when the arm is printed standing, so that a bend pulls its layers apart.
        allowed: Strain the plastic bears once in that direction [-].
        plastic: What it is called.
        line_width: Width of a laid line [mm]; the arm is never thinner than two.
    """

    name: str
    male: Side
    female: Side
    arm: float
    thickness: float
    width: float
    undercut: float
    allowed: Spread
    lead_deg: float = 30.0
    return_deg: float = 45.0
    taper: float = 1.0
    across_layers: bool = False
    plastic: str = "PLA"
    line_width: float = 0.45


@dataclass(frozen=True, slots=True, kw_only=True)
class HookFit:
    """What sizing finds.

    Attributes:
        drawn: The question with the sizes to draw.
        today, best: Chances as drawn today and with those sizes.
        strain_today, strain_best: Strain of the mean print [-].
        overlap: Undercut as printed today [mm].
        clearance: Between arm and ledge, as drawn [mm].
        side_clearance: Window over arm across the bending, as drawn [mm].
    """

    drawn: HookQuestion
    today: SnapChances
    best: SnapChances
    strain_today: float
    strain_best: float
    overlap: Spread
    clearance: float
    side_clearance: float

    @property
    def nub(self) -> float:
        """How far the nub stands out of the arm, as drawn [mm]."""
        return self.drawn.undercut + self.clearance


def hook_bend(question: HookQuestion) -> Bend:
    """The hook as it comes off the printer: overlap, thickness and the strain they cause."""
    habits = only_name(question.male).habits
    assert habits is not None
    shared = 2 if same_bench(question.male, question.female) else 1
    return Bend(
        overlap=face_overlap(question.undercut, question.male, question.female),
        thickness=printed_thickness(question.thickness, habits),
        covariance=2 * shared * habits.outer_growth.sd**2,
        strain_per_mm2=1 / (arm_factor(question.taper) * question.arm**2),
        allowed=question.allowed,
    )


def fit_hook(question: HookQuestion) -> HookFit:
    """Size a hook: undercut large enough to be felt, then the thickest arm that lives, then a longer one.

    Raises:
        ValueProblem: A size or slope that cannot be, or the arm's side is bought.
    """
    _check(question)
    drawn = _best(question)
    male, female = only_name(question.male), undrawn(question.female)
    if female.bought is not None:
        clearance = side_clearance = 2 * growth_of(male).mean + LEAST_FELT
    else:
        pair = [
            slide_sizing(question.name, male, female, size, Feel.EASY, round_faces=False)
            for size in (question.thickness, question.width)
        ]
        clearance, side_clearance = pair[0].clearance_drawn, pair[1].clearance_drawn
    today, best = hook_bend(question), hook_bend(drawn)
    return HookFit(
        drawn=drawn,
        today=snap_chances(today),
        best=snap_chances(best),
        strain_today=today.strain,
        strain_best=best.strain,
        overlap=today.overlap,
        clearance=round(clearance, 2),
        side_clearance=round(side_clearance, 2),
    )


def size_hook(question: HookQuestion) -> KindSizing:
    """What to draw for a snap hook, and how likely it snaps in, catches and lives; errors as ``fit_hook``."""
    fit = fit_hook(question)
    findings = [_behaviour(question, fit), *_lost(question, fit), *_printing(question)]
    return KindSizing(
        joint=question.name,
        kind=JointKind.SNAP,
        draws=_draws(question, fit),
        findings=tuple(findings),
        trial_worth=fit.best.works < CAUTION,
    )


def _check(question: HookQuestion) -> None:
    where = f"joint {question.name}"
    only_name(question.male)
    require_all_positive(
        where, arm=question.arm, thickness=question.thickness, width=question.width, undercut=question.undercut
    )
    arm_factor(question.taper)
    for name, slope, most in (("lead", question.lead_deg, 75.0), ("return", question.return_deg, 90.0)):
        if not 10 <= slope <= most:
            raise ValueProblem.of(
                f"a {name} angle of {slope:g} degrees does not snap", f"write 10 to {most:g} degrees", where
            )
    if question.arm < 2 * question.thickness:
        raise ValueProblem.of(
            f"an arm of {question.arm:g} mm cannot bend at a thickness of {question.thickness:g} mm",
            f"make it {SLENDER * question.thickness:g} mm long or more",
            where,
        )


def _best(question: HookQuestion) -> HookQuestion:
    """The stated hook if it does; otherwise the one nearest to it that does."""
    undercut = question.undercut
    while not _felt(replace(question, undercut=undercut)) and undercut < question.arm / 4:
        undercut = round(undercut + _NUB_STEP, 2)
    hook = replace(question, undercut=undercut)
    thinnest = 2 * question.line_width
    while not _lives(hook) and hook.thickness - _THIN_STEP >= thinnest - 1e-9:
        hook = replace(hook, thickness=round(hook.thickness - _THIN_STEP, 2))
    while not _lives(hook) and hook.arm < _LONGEST * question.arm:
        hook = replace(hook, arm=round(hook.arm + _LENGTH_STEP, 2))
    return hook if snap_chances(hook_bend(hook)).works > snap_chances(hook_bend(question)).works else question


def _felt(hook: HookQuestion) -> bool:
    bend = hook_bend(hook)
    return hook.undercut >= NUB_OVER_SD * bend.overlap.sd and snap_chances(bend).catches >= CAUTION


def _lives(hook: HookQuestion) -> bool:
    return snap_chances(hook_bend(hook)).survives >= CAUTION


def _draws(question: HookQuestion, fit: HookFit) -> tuple[Draw, ...]:
    hook, male, female = fit.drawn, question.male.name, question.female.name
    strain = f"strained {100 * fit.strain_best:.1f} % of {100 * hook.allowed.mean:.1f} % allowed"
    grown = growth_of(question.male).mean + growth_of(question.female).mean
    return (
        Draw(what="arm length", part=male, size=hook.arm, why=_change(question.arm, hook.arm, strain)),
        Draw(
            what="arm thickness",
            part=male,
            size=hook.thickness,
            why=_change(question.thickness, hook.thickness, strain),
        ),
        Draw(
            what="nub height",
            part=male,
            size=round(fit.nub, 2),
            why=f"{hook.undercut:.2f} over the ledge and {fit.clearance:.2f} clearance; walls growing add {grown:.2f}",
        ),
        Draw(what="arm width", part=male, size=hook.width, why="as stated"),
        Draw(
            what="window width",
            part=female,
            size=round(hook.width + fit.side_clearance, 2),
            why=f"{fit.side_clearance:.2f} over the arm: both walls grow into the gap",
        ),
        Draw(
            what="window in the direction of bending",
            part=female,
            size=round(hook.thickness + fit.clearance + window_back(fit), 2),
            why=f"arm, {fit.clearance:.2f} before it and {window_back(fit):.2f} behind it to bend into",
        ),
    )


def window_back(fit: HookFit) -> float:
    """Room behind the arm that it bends into [mm]: the nub's height and as much again as the gap before it."""
    return round(fit.nub + fit.clearance, 2)


def _change(stated: float, drawn: float, why: str) -> str:
    return f"as stated; {why}" if drawn == stated else f"instead of {stated:g}; {why}"


def _behaviour(question: HookQuestion, fit: HookFit) -> Finding:
    hook = fit.drawn
    changes = [
        f"{name} {new:g} mm instead of {old:g}"
        for name, old, new in (
            ("the undercut", question.undercut, hook.undercut),
            ("the arm's thickness", question.thickness, hook.thickness),
            ("the arm's length", question.arm, hook.arm),
        )
        if old != new
    ]
    layers = "across" if question.across_layers else "along"
    return judge_behaviour(
        Judged(
            code="fit.snap",
            subject=f"joint {question.name}",
            doing="the hook is felt to catch and does not break",
            today=fit.today.works,
            best=fit.best.works,
            why=f"bent through {fit.overlap.mean:.2f} ± {2 * fit.overlap.sd:.2f} mm it is strained "
            f"{100 * fit.strain_today:.1f} %; {question.plastic} bears {100 * question.allowed.mean:.1f} % once, "
            f"{layers} its layers (felt {percent(fit.today.catches)}, unbroken {percent(fit.today.survives)})",
            redraw=f"draw {' and '.join(changes)}" if changes else "",
            trial="print its trial: hooks of rising undercut on one bar",
        )
    )


def _lost(question: HookQuestion, fit: HookFit) -> list[Finding]:
    return lost_nub(f"joint {question.name}", "nub", question.undercut, fit.overlap, fit.drawn.undercut)


def lost_nub(subject: str, what: str, drawn: float, printed: Spread, enough: float) -> list[Finding]:
    """A finding when a nub is smaller than what the printer scatters; none otherwise.

    Args:
        subject: Of the finding.
        what: The nub in words.
        drawn: Its overlap as drawn [mm].
        printed: The same as printed [mm].
        enough: Overlap to draw instead [mm].
    """
    lost_below = NUB_OVER_SD * printed.sd
    if drawn >= lost_below:
        return []
    return [
        Finding(
            code="fit.nub",
            subject=subject,
            verdict=Verdict.FAILING,
            sentence=f"a {what} of {drawn:.2f} mm is lost in what the printer scatters, ±{lost_below:.2f} mm",
            cure=f"draw at least {max(enough, math.ceil(20 * lost_below) / 20):.2f} mm",
            value=round(drawn, 3),
            limit=round(lost_below, 3),
            unit="mm",
            source=SOURCE,
        )
    ]


def _printing(question: HookQuestion) -> list[Finding]:
    findings, subject = [], f"joint {question.name}"
    ratio = question.arm / question.thickness
    if ratio < SLENDER:
        sentence = (
            f"the arm is only {ratio:.1f} times as long as thick, and the strain of so stout an arm is not known well"
        )
        cure = f"make it {SLENDER * question.thickness:g} mm long or more"
        source = "rule for slender arms of the snap-fit design guide"
        findings.append(
            doubt("fit.snap_stout", subject, sentence, cure, value=round(ratio, 2), limit=SLENDER, source=source)
        )
    if question.across_layers and question.return_deg > UPRIGHT_LIMIT:
        sentence = f"printed standing, the nub's return face overhangs by {question.return_deg:g} degrees"
        cure = "draw a return angle of 45 degrees, or print the arm lying (then it is stronger too)"
        source = "common practice, no source"
        findings.append(
            doubt(
                "fit.snap_upright",
                subject,
                sentence,
                cure,
                value=question.return_deg,
                limit=UPRIGHT_LIMIT,
                source=source,
            )
        )
    return findings

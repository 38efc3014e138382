"""What a clamped pivot comes to, in words, and what would keep it from drooping."""

from __future__ import annotations

from dataclasses import dataclass, replace

from shadewright.findings import Finding, Verdict
from shadewright.hold.pivot import HAND_TORQUE_NM, SOURCE, Contact, PivotClamp, PivotHold, pivot_hold
from shadewright.hold.ranges import Ranged, rounded

CREEP_HOURS = 365.25 * 24
"""A clamp that nobody touches is judged after a year [h]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class PivotCase:
    """A pivot of a lamp.

    Attributes:
        joint: Its name.
        clamp: How it is clamped.
        torque_nm: How tight its screw is turned [N m].
        stated: Whether that was stated, or what fingers reach is taken.
        mass_g, arm: What it carries [g], how far off its axis in the worst pose [mm].
        wanted: Factor of safety asked for [-].
        tooth_shear_mpa: What teeth of its plastic would bear for long [MPa].
        too_warm: Why its plastic bears nothing for long; empty when it does.
    """

    joint: str
    clamp: PivotClamp
    torque_nm: Ranged
    stated: bool
    mass_g: Ranged
    arm: Ranged
    wanted: float
    tooth_shear_mpa: Ranged
    too_warm: str = ""


def judge_pivot(case: PivotCase) -> Finding:
    """Say whether a pivot holds after a year, and what to do when it does not."""
    held = pivot_hold(case.clamp, case.mass_g, case.arm, wanted=case.wanted)
    if case.too_warm:
        verdict, cure = Verdict.FAILING, "print it in a plastic for more heat"
    elif held.safety.low5 >= case.wanted:
        verdict, cure = Verdict.SOUND, ""
    else:
        verdict = Verdict.FAILING if held.safety.low5 < 1 else Verdict.DOUBTFUL
        cure = _cure(case, held)
    return Finding(
        code="hold.pivot",
        subject=f"joint {case.joint}",
        verdict=verdict,
        sentence=_sentence(case, held),
        why=_why(case, held),
        cure=cure,
        value=round(held.safety.low5, 2),
        limit=case.wanted,
        source=SOURCE,
    )


def _sentence(case: PivotCase, held: PivotHold) -> str:
    if case.too_warm:
        return f"its clamp lets go with time: {case.too_warm}"
    needs = f"{rounded(held.needed_nm.likely)} N·m"
    if held.safety.likely < 1:
        return f"it droops within a year: it then holds {held.crept_nm.text('N·m')}, its lamp needs {needs}"
    return f"after a year it holds {held.crept_nm.text('N·m')} where its lamp needs {needs}"


def _why(case: PivotCase, held: PivotHold) -> str:
    by = "as stated" if case.stated else "as fingers do"
    teeth = ", with teeth" if case.clamp.tooth_shear_mpa else ""
    return (
        f"{case.mass_g.likely:.0f} g act {case.arm.likely:.0f} mm off its axis; tightened to "
        f"{rounded(case.torque_nm.likely)} N·m {by} it clamps with "
        f"{rounded(case.clamp.force_n.likely)} N and holds {rounded(held.new_nm.likely)} N·m new{teeth}, and creep "
        f"leaves {100 * case.clamp.left.likely:.0f} % of that"
    )


def _cure(case: PivotCase, held: PivotHold) -> str:
    """The first of more torque, larger faces, teeth that does; each with its number."""
    torque = case.torque_nm.likely * held.shortfall
    ways = []
    if torque <= HAND_TORQUE_NM.high:
        ways.append(f"tighten it to {rounded(torque)} N·m, and again every year")
    wider = _wider(case)
    if wider is not None:
        ways.append(f"make what rubs {2 * wider:.0f} mm across instead of {2 * case.clamp.outer:g}")
    teeth = _with_teeth(case)
    if teeth is not None:
        ways.append(f"put teeth on its faces: the weak print then holds {rounded(teeth)} times what is needed")
    return ", or ".join(ways[:2]) or f"lighten what it carries to {case.mass_g.likely / held.shortfall:.0f} g"


def _wider(case: PivotCase) -> float | None:
    """Outer radius at which the weak print holds with the margin asked for [mm]; None beyond three times today's."""
    if case.clamp.contact is Contact.ROD:
        return None
    for tenths in range(11, 31):
        clamp = replace(case.clamp, outer=case.clamp.outer * tenths / 10)
        if pivot_hold(clamp, case.mass_g, case.arm, wanted=case.wanted).safety.low5 >= case.wanted:
            return clamp.outer
    return None


def _with_teeth(case: PivotCase) -> float | None:
    """Low end of the safety with teeth [-]; None when they would not do either, or are there."""
    if case.clamp.contact is not Contact.FACES or case.clamp.tooth_shear_mpa is not None:
        return None
    toothed = replace(case.clamp, tooth_shear_mpa=case.tooth_shear_mpa)
    found = pivot_hold(toothed, case.mass_g, case.arm, wanted=case.wanted).safety.low5
    return found if found >= case.wanted else None

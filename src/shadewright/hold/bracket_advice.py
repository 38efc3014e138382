"""What a printed arm comes to, in words, and what would make it carry."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from shadewright.findings import Finding, Place, Verdict
from shadewright.hold.bracket import MUCH_SAG, MUCH_TWIST, SOURCE, BracketHold, Load
from shadewright.hold.bracket_sections import Arm
from shadewright.hold.ranges import SECOND_RETENTION, rounded

_LYING = 45.0


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class BracketCase:
    """A printed arm of a lamp: cut up, loaded and judged.

    Attributes:
        part: Its name.
        arm, load, held: Its sections, what it carries, and how.
        plastic: What it is printed in.
        above_people: Whether people could be under it.
        too_warm: Why its plastic bears nothing for long; empty when it does.
    """

    part: str
    arm: Arm
    load: Load
    held: BracketHold
    plastic: str
    above_people: bool
    too_warm: str = ""


def judge_bracket(case: BracketCase) -> Finding:
    """Say whether an arm carries its load for years, where it would break, and how it sags."""
    held = case.held
    safety = held.safeties[held.governing]
    sags = held.sag_crept.likely > MUCH_SAG * case.arm.length
    verdict = Verdict.SOUND
    if case.too_warm or safety.low5 < 1:
        verdict = Verdict.FAILING
    elif safety.low5 < held.wanted or sags or held.twist > MUCH_TWIST:
        verdict = Verdict.DOUBTFUL
    spot = case.arm.root + held.worst_at * case.arm.frame[2]
    return Finding(
        code="hold.bracket",
        subject=f"part {case.part}",
        verdict=verdict,
        sentence=case.too_warm or _sentence(held),
        why=_why(case),
        cure=_cure(case, sags=sags) if verdict is not Verdict.SOUND else "",
        value=round(safety.low5, 2),
        limit=held.wanted,
        source=SOURCE,
        place=Place(z_low=float(spot[2]), z_high=float(spot[2]), x=float(spot[0]), y=float(spot[1])),
    )


def _sentence(held: BracketHold) -> str:
    safety = held.safeties[held.governing]
    breaks = "breaks" if safety.likely < 1 else "bears its load for ten years"
    fold = f"{safety.text('')}-fold"
    sag = f"sags {rounded(held.sag_new.likely)} mm at once and {rounded(held.sag_crept.likely)} mm in time"
    return f"its arm {breaks}, {fold} strength against {held.governing}, and {sag}"


def _why(case: BracketCase) -> str:
    held, arm = case.held, case.arm
    lie = "along" if arm.layer_angle < 1 else f"at {arm.layer_angle:.0f} degrees to"
    words = (
        f"{rounded(case.load.force_n.likely)} N put {rounded(held.stress_mpa.likely)} MPa into its section "
        f"{held.worst_at:.0f} mm from the root ({held.section.area:.0f} mm² that carry); {case.plastic} pulled "
        f"{lie} its layers bears {held.strength_mpa.text('MPa')} for that long"
    )
    return words + ("; it is twisted too, which is not computed" if held.twist > MUCH_TWIST else "")


def _cure(case: BracketCase, *, sags: bool) -> str:
    held, arm = case.held, case.arm
    if case.too_warm:
        return "print it in a plastic for more heat"
    ways = []
    if arm.layer_angle > _LYING and held.along_layers.low5 >= held.wanted:
        ways.append(f"print it lying, layers along the arm: {rounded(held.along_layers.low5)}-fold then")
    height = _height(case)
    stretch = max(held.shortfall**0.5, _stiffer(case) if sags else 1.0)
    if stretch > 1:
        ways.append(f"make it {np.ceil(height * stretch):.0f} mm deep there instead of {height:.0f}")
    if not ways:
        ways.append("bring the load over its middle line, or brace it against twisting")
    cure = ", or ".join(ways)
    return f"{cure}, {SECOND_RETENTION}" if case.above_people else cure


def _height(case: BracketCase) -> float:
    """Depth of the worst section in the direction of the load [mm]."""
    down = case.arm.frame[:2] @ (case.load.down / np.linalg.norm(case.load.down))
    if np.linalg.norm(down) < 1e-6:
        return float(np.ptp(case.held.section.fibres, axis=0).min())
    return float(np.ptp(case.held.section.fibres @ (down / np.linalg.norm(down))))


def _stiffer(case: BracketCase) -> float:
    """Stretch of its depth that brings the sag down to what is not seen [-]: the sag falls with its cube."""
    return float((case.held.sag_crept.likely / (MUCH_SAG * case.arm.length)) ** (1 / 3))

"""What is said of a clip that serves as a hinge: whether its flap stays where it is put, and what would make it."""

from __future__ import annotations

from dataclasses import dataclass, replace

from shadewright.findings import Finding, Verdict
from shadewright.hold.card import MaterialCard
from shadewright.hold.ranges import Outcome, Ranged, rounded
from shadewright.hold.snap_advice import clip_hold
from shadewright.hold.snap_rings import Clip

SOURCE = "thin curved bar (Castigliano) gripping a rod, friction and creep of the material card; inputs as ranges"
_WIDEST = 60
"""Widest clip that is proposed [mm]; judged."""


@dataclass(frozen=True, slots=True, kw_only=True)
class HingeCase:
    """A flap on a clip.

    Attributes:
        joint: Its name.
        clip: The clip.
        gap: Bore over rod as printed [mm on the diameter].
        card: Of the clip's plastic.
        mass_g: Of what one clip carries [g].
        arm: From the rod to its centre of mass [mm].
        stays: Whether it shall stay where it is put, rather than hang.
    """

    joint: str
    clip: Clip
    gap: Ranged
    card: MaterialCard
    mass_g: Ranged
    arm: Ranged
    stays: bool


def hinge_angle(case: HingeCase, width: float | None = None) -> Outcome:
    """Greatest angle from hanging at which the flap stays after a year [degrees], perhaps with a wider clip [mm]."""
    clip = case.clip if width is None else replace(case.clip, width=width)
    return clip_hold(clip, case.gap, case.card, case.mass_g, case.arm)


def judge_hinge(case: HingeCase) -> Finding:
    """The verdict: a flap that shall hang is sound anyhow; one that shall stay must stay when level."""
    angle = hinge_angle(case)
    verdict = Verdict.SOUND
    if case.stays and angle.low5 < 90:
        verdict = Verdict.DOUBTFUL if angle.likely >= 90 else Verdict.FAILING
    where = (
        "stays at any angle" if angle.low5 >= 90 else f"stays up to {angle.text('°').replace(' °', '°')} from hanging"
    )
    return Finding(
        code="hold.snap",
        subject=f"joint {case.joint}",
        verdict=verdict,
        sentence=f"its flap {where} by the grip of the clip, after a year",
        why=f"{rounded(case.mass_g.likely)} g about {rounded(case.arm.likely)} mm from the rod, bore over rod "
        f"{case.gap.likely:.2f} mm ({case.gap.low:.2f} to {case.gap.high:.2f})",
        cure="" if verdict is Verdict.SOUND else _cure(case),
        value=float(rounded(angle.low5, 3)),
        limit=90.0 if case.stays else None,
        unit="°",
        source=SOURCE,
    )


def _cure(case: HingeCase) -> str:
    """A wider clip if that is enough, else what holds without friction."""
    for width in range(round(case.clip.width) + 1, _WIDEST + 1):
        if hinge_angle(case, float(width)).low5 >= 90:
            return f"make the clip {width} mm wide instead of {case.clip.width:g}: then it stays at any angle"
    return "use a pivot with a clamp screw, or a detent: friction alone cannot hold it"

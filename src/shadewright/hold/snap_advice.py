"""What is said of a snap: whether it lives, holds its load and closes by hand, and which arm would."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np

from shadewright.findings import Finding, Verdict
from shadewright.fit.moving import LEAST_FELT, face_overlap, growth_of, printed_thickness
from shadewright.fit.snap import HookQuestion
from shadewright.fit.snap_round import BeadQuestion, ClipQuestion
from shadewright.hold.card import MaterialCard, modulus_left
from shadewright.hold.ranges import (
    DRAWS,
    SECOND_RETENTION,
    Draws,
    Outcome,
    Ranged,
    factor_of_safety,
    propagate,
    rounded,
    wanted_margin,
)
from shadewright.hold.snap_beams import Arm
from shadewright.hold.snap_rings import Clip, Ring, grip_moment, hold_angle
from shadewright.hold.snap_strength import SLIP, SOURCE, BestArm, SnapQuestion, SnapStrength, best_arm
from shadewright.hold.thread_advice import lasting
from shadewright.printing import Spread

HAND_N = 60.0
"""Push that a thumb gives without pain [N]; judged."""

_ENDS = 6**0.5  # ends of a triangle with a given standard deviation


@dataclass(frozen=True, slots=True, kw_only=True)
class SnapCase:
    """All that a verdict on a snap needs.

    Attributes:
        joint: Its name.
        question, strength: What was asked, and what came of it.
        load: What pulls on it for years [N]; None when nobody knows.
        load_words: Where that comes from, as a clause; with no load, what to state instead.
        above_people: Whether someone could be under it.
    """

    joint: str
    question: SnapQuestion
    strength: SnapStrength
    load: Ranged | None
    load_words: str
    above_people: bool = False


def triangle(spread: Spread, least: float = 0.0) -> Ranged:
    """A mean with its deviation as the triangle that has the same, its values not below ``least``."""
    ends = _ENDS * spread.sd
    low, likely, high = (max(value, least) for value in (spread.mean - ends, spread.mean, spread.mean + ends))
    return Ranged(low, likely, high, "sizes as printed")


def hook_question(asked: HookQuestion, card: MaterialCard, *, repeated: bool = True, count: int = 1) -> SnapQuestion:
    """The strength of a hook as it is sized: nub and arm as they come off the printer."""
    assert asked.male.habits is not None
    printed = printed_thickness(asked.thickness, asked.male.habits)
    return SnapQuestion(
        name=asked.name,
        shape=Arm(length=asked.arm, width=asked.width, taper=asked.taper),
        thickness=triangle(printed, 0.1),
        overlap=triangle(face_overlap(asked.undercut, asked.male, asked.female)),
        card=card,
        lead_deg=asked.lead_deg,
        return_deg=asked.return_deg,
        across_layers=asked.across_layers,
        repeated=repeated,
        count=count,
        grown=printed.mean - asked.thickness,
    )


def bead_question(asked: BeadQuestion, card: MaterialCard, *, repeated: bool = True) -> SnapQuestion:
    """The strength of a ring snap as it is sized; of two alike, each takes half of the undercut."""
    both = asked.softer == "both"
    face = face_overlap(asked.undercut / 2, asked.male, asked.female)
    share = 1.0 if both else 2.0
    growth = growth_of(asked.male if asked.softer != "female" else asked.female)
    return SnapQuestion(
        name=asked.name,
        shape=Ring(diameter=asked.diameter, wall=asked.wall, outer_gives=asked.softer == "female"),
        thickness=triangle(Spread(asked.wall + 2 * growth.mean, 2 * growth.sd), 0.1),
        overlap=triangle(Spread(share * face.mean, share * face.sd)),
        card=card,
        lead_deg=asked.lead_deg,
        return_deg=asked.return_deg,
        repeated=repeated,
    )


def judge_snap(case: SnapCase) -> Finding:
    """The verdict: strain, load, and the hand that closes it."""
    strength, often = case.strength, "often" if case.question.repeated else "once"
    wanted = _wanted_n(case)
    strain, allowed = (100 * value for value in (strength.strain.likely, strength.allowed.likely))
    verdicts = [_strain_verdict(strength), _load_verdict(case), _hand_verdict(strength)]
    verdict = min(verdicts, key=lambda one: one.rank)
    cures = [case.load_words if case.load is None else ""]
    if Verdict.UNKNOWN.rank > verdict.rank:
        cures.insert(0, _redraw(case, wanted))
    cures.append(SECOND_RETENTION if case.above_people else "")
    return Finding(
        code="hold.snap",
        subject=f"joint {case.joint}",
        verdict=verdict,
        sentence=f"it is strained {rounded(strain)} % of {rounded(allowed)} % borne {often}, "
        f"holds {strength.hold_n.text('N')} and closes with {strength.push_n.text('N')}",
        why=_why(case),
        cure="; ".join(text for text in cures if text),
        value=float(rounded(strength.margin.low5, 3)),
        limit=1.0,
        source=SOURCE,
    )


def _strain_verdict(strength: SnapStrength) -> Verdict:
    if strength.margin.likely < 1:
        return Verdict.FAILING
    return Verdict.DOUBTFUL if strength.margin.low5 < 1 else Verdict.SOUND


def _load_verdict(case: SnapCase) -> Verdict:
    if case.load is None:
        return Verdict.UNKNOWN
    wanted = wanted_margin(above_people=case.above_people)
    safety = factor_of_safety(lasting(case.strength.hold_n), case.load, wanted)
    if safety.enough:
        return Verdict.SOUND
    return Verdict.FAILING if safety.cautious < 1 else Verdict.DOUBTFUL


def _hand_verdict(strength: SnapStrength) -> Verdict:
    return Verdict.DOUBTFUL if strength.push_n.likely > HAND_N else Verdict.SOUND


def _wanted_n(case: SnapCase) -> float:
    """Hold to reach on the weak specimen [N]: the load with its margin and its years, or what it holds today."""
    if case.load is None:
        return min(case.strength.hold_n.low5, HAND_N / 2)
    share = lasting(Outcome(1.0, 1.0, 1.0)).low5
    return case.load.high * wanted_margin(above_people=case.above_people) / share


def _redraw(case: SnapCase, wanted_n: float) -> str:
    """Which arm would do, with its numbers; one that stands is laid down first."""
    question = case.question
    if isinstance(question.shape, Ring):
        return _smaller_bead(case, question.shape)
    lying = replace(question, across_layers=False)
    best = None if question.shape.return_leg else best_arm(lying, wanted_n)
    laid = "print the arm lying, so that it bends within its layers, and " if question.across_layers else ""
    if best is None or best.strength.push_n.likely > HAND_N:
        return f"{laid}use more arms, a smaller nub or a screw: no single arm of {question.card.name} does"
    return laid + _arm_words(best)


def _arm_words(best: BestArm) -> str:
    strength = best.strength
    return (
        f"draw the arm {best.thickness:g} mm thick and {best.length:g} long: strained "
        f"{rounded(100 * strength.strain.likely)} %, it holds {strength.hold_n.text('N')}"
    )


def _smaller_bead(case: SnapCase, ring: Ring) -> str:
    """A bead that the weak specimen bears, a hand closes and one still feels, else fingers instead of a ring."""
    overlap, strength = case.question.overlap, case.strength
    spare = overlap.high - overlap.likely
    borne = strength.allowed.low5 * ring.diameter - spare
    closed = overlap.likely * HAND_N / max(strength.push_n.likely, 1e-9)
    bead = min(borne, closed)
    if bead < LEAST_FELT + spare or bead >= overlap.likely:
        return "slit the giving ring, so that it bends in fingers"
    return f"let the bead stand {bead:.2f} mm over the bore instead of {overlap.likely:.2f}"


def _why(case: SnapCase) -> str:
    strength = case.strength
    how = "it slips over its slope" if strength.opens_by == SLIP else "something breaks before it slips"
    layers = "across" if case.question.across_layers else "within"
    lock = "; its slope locks, so it opens only by bending the arm" if strength.locks else ""
    load = f"; {case.load_words}" if case.load is not None else ""
    return f"it bends {layers} its layers by {case.question.overlap.likely:.2f} mm; pulled, {how}{lock}{load}"


# Clip-on hinges -------------------------------------------------------------------------------------------------------


def clip_hold(
    clip: Clip,
    gap: Ranged,
    card: MaterialCard,
    mass_g: Ranged,
    arm: Ranged,
    *,
    hours: float = 8766.0,
    draws: int = DRAWS,
    seed: int = 0,
) -> Outcome:
    """Greatest angle from hanging at which a flap stays by the grip of its clip [degrees]; 90 means anywhere.

    Args:
        clip: The clip.
        gap: Bore over rod as printed [mm on the diameter]; only below 0 does it grip.
        card: Of the clip's plastic.
        mass_g: Of the flap [g].
        arm: From the rod to its centre of mass [mm].
        hours: After which the grip is asked for: it creeps.
        draws: How many.
        seed: Equal seeds give equal answers.
    """
    inputs = {
        "gap": gap,
        "modulus": card.modulus_mpa,
        "friction": card.friction,
        "left": modulus_left(card, hours),
        "mass": mass_g,
        "arm": arm,
    }

    def angle(**drawn: Draws) -> Draws:
        spread = np.maximum(-drawn["gap"], 0.0) / 2
        grip = grip_moment(clip, spread, drawn["modulus"] * drawn["left"], drawn["friction"])
        return hold_angle(grip, drawn["mass"], drawn["arm"])

    return propagate(angle, inputs, draws, seed)


def clip_of(asked: ClipQuestion, opening: float) -> Clip:
    """The clip of a sizing question, its mouth ``opening`` mm wide."""
    half = math.degrees(math.asin(min(opening / asked.rod, 1.0)))
    return Clip(rod=asked.rod, wall=asked.wall, width=asked.width, opening_deg=2 * half)

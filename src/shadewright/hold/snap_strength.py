"""Whether a snap holds, what it takes to close and to open it, and what would break it.

Strain and stiffness come from ``snap_beams`` and ``snap_rings``; whether the nub still catches after printing is the
business of ``fit``. A secant modulus stands in for the bending of the stress line, and how far a root turns widens the
range; both only lower force and strain, so that the cautious ends stay those of the plain rules.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, replace

import numpy as np

from shadewright.errors import ValueProblem, require_positive
from shadewright.hold.card import MaterialCard
from shadewright.hold.ranges import DRAWS, Draws, Outcome, Ranged, draw, summary
from shadewright.hold.snap_beams import (
    Arm,
    force_per_mm,
    locking_slope,
    root_turning,
    strain_per_mm,
    wedge_factor,
)
from shadewright.hold.snap_rings import Ring, ring_force_per_mm

SECANT = Ranged(0.7, 0.85, 1.0, "stress lines of plastics near their allowed strain, judged")
"""Secant modulus at the strain of a closed snap, over Young's modulus [-]."""

SLIP, TEAR, NUB = "slip", "tear", "nub"
SOURCE = "snap-fit design guide of a plastics maker; constants verified by integration; material card; inputs as ranges"

_STEP, _STEPS = 0.1, 60  # of the thickness tried for a wanted hold [mm]


@dataclass(frozen=True, slots=True, kw_only=True)
class SnapQuestion:
    """A snap whose strength is asked.

    Attributes:
        name: Of the joint.
        shape: Its arm, or its ring.
        thickness: Of the arm at its root as printed [mm]; of a ring snap its wall.
        overlap: What it is bent through as printed [mm]; for a ring on the diameter.
        card: Of the plastic that gives.
        lead_deg, return_deg: Slopes of the nub at its tip and behind the ledge.
        across_layers: True when the bend pulls layers apart.
        repeated: True when it is opened often.
        count: Arms that carry together.
        grown: By how much ``thickness`` is printed over its drawing [mm].
    """

    name: str
    shape: Arm | Ring
    thickness: Ranged
    overlap: Ranged
    card: MaterialCard
    lead_deg: float = 30.0
    return_deg: float = 45.0
    across_layers: bool = False
    repeated: bool = True
    count: int = 1
    grown: float = 0.0

    def __post_init__(self) -> None:
        require_positive(f"the thickness of snap {self.name}", self.thickness.low)
        require_positive(f"the number of arms of snap {self.name}", self.count, "")
        if not 0 < self.lead_deg < 90 or not 0 < self.return_deg <= 90:
            raise ValueProblem.of(
                f"slopes of {self.lead_deg:g} and {self.return_deg:g} degrees do not snap",
                "write a lead between 0 and 90 and a return above 0, at most 90",
            )


@dataclass(frozen=True, slots=True, kw_only=True)
class SnapStrength:
    """What the snap is and bears.

    Attributes:
        strain: Greatest strain while it passes the ledge [-].
        allowed: What its plastic bears [-].
        margin: Allowed over actual strain, specimen by specimen [-].
        bend_n: Force across that bends one arm, or the ring's radial force [N].
        push_n: To close all arms [N].
        hold_n: Pull at which it opens or breaks, all arms [N].
        opens_by: ``slip`` over its slope, or breaking by ``tear`` of the arm or shear of the ``nub``.
        locks: True when the likely friction keeps it shut until something breaks.
    """

    strain: Outcome
    allowed: Outcome
    margin: Outcome
    bend_n: Outcome
    push_n: Outcome
    hold_n: Outcome
    opens_by: str
    locks: bool


def snap_strength(question: SnapQuestion, draws: int = DRAWS, seed: int = 0) -> SnapStrength:
    """Strain against what is allowed, the forces to close and to open, and what ends the hold."""
    drawn = draw(_inputs(question), draws, seed)
    strain, force = bent(question, drawn)
    push = force * wedge_factor(question.lead_deg, drawn["friction"]) * question.count
    holds = {name: values * question.count for name, values in _holds(question, drawn, force).items()}
    hold = np.min(np.stack(np.broadcast_arrays(*holds.values())), axis=0)
    return SnapStrength(
        strain=summary(strain),
        allowed=summary(drawn["allowed"]),
        margin=summary(drawn["allowed"] / np.maximum(strain, 1e-9)),
        bend_n=summary(force),
        push_n=summary(np.minimum(push, 1e6)),
        hold_n=summary(hold),
        opens_by=min(holds, key=lambda name: float(np.median(holds[name]))),
        locks=question.return_deg >= locking_slope(question.card.friction.likely),
    )


def bent(question: SnapQuestion, drawn: Mapping[str, Draws]) -> tuple[Draws, Draws]:
    """Strain [-] and force across [N] of one arm or ring while it passes, (draws,) each."""
    overlap = np.maximum(drawn["overlap"], 0.0)
    modulus = drawn["modulus"] * drawn["secant"]
    if isinstance(question.shape, Ring):
        stiff = drawn["ring"] * (drawn["thickness"] / question.thickness.likely) ** 1.5
        return overlap / question.shape.diameter, overlap * stiff * modulus
    beam = overlap / drawn["root"]
    strain = strain_per_mm(question.shape, drawn["thickness"]) * beam
    return strain, force_per_mm(question.shape, drawn["thickness"]) * beam * modulus


def _inputs(question: SnapQuestion) -> dict[str, Ranged]:
    card = question.card
    inputs = {
        "thickness": question.thickness,
        "overlap": question.overlap,
        "modulus": card.modulus_mpa,
        "secant": SECANT,
        "friction": card.friction,
        "allowed": card.strain(across_layers=question.across_layers, repeated=question.repeated),
        "pull": card.strength(across_layers=question.across_layers),
        "shear": card.shear(across_layers=question.across_layers),
    }
    if isinstance(question.shape, Ring):
        inputs["ring"] = ring_force_per_mm(question.shape, card.poisson.likely)
    else:
        inputs["root"] = root_turning(question.shape, question.thickness.likely)
    return inputs


def _holds(question: SnapQuestion, drawn: Mapping[str, Draws], force: Draws) -> dict[str, Draws]:
    """Pull at which each way of opening sets in, one arm, (draws,) each [N]."""
    shape, thickness = question.shape, drawn["thickness"]
    round_about = math.pi * shape.diameter if isinstance(shape, Ring) else shape.width
    tip = 1.0 if isinstance(shape, Ring) else shape.taper * shape.width_taper
    foot = np.maximum(drawn["overlap"], 0.0) * _foot_share(question)
    return {
        SLIP: force * wedge_factor(question.return_deg, drawn["friction"]),
        TEAR: drawn["pull"] * round_about * thickness * tip,
        NUB: drawn["shear"] * round_about * foot,
    }


def _foot_share(question: SnapQuestion) -> float:
    """Length of the nub's foot along the arm over its height [-]: both slopes laid out; a ring's height is halved."""
    slopes = 1 / math.tan(math.radians(question.lead_deg)) + 1 / math.tan(math.radians(question.return_deg))
    return slopes / (2 if isinstance(question.shape, Ring) else 1)


# What to draw for a wanted hold ---------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True, kw_only=True)
class BestArm:
    """The arm that holds as much as is wanted and bears being opened: sizes to draw [mm], and what comes of it."""

    thickness: float
    length: float
    strength: SnapStrength


def best_arm(question: SnapQuestion, wanted_n: float, *, thinnest: float = 0.9, seed: int = 0) -> BestArm | None:
    """Thinnest arm, as short as its strain allows, whose weak specimen holds ``wanted_n`` and does not break.

    At a given strain the length grows with the root of the thickness, and the force with its power of 1.5: thicker and
    longer arms hold more, so the thickness is raised until the hold is reached.

    Args:
        question: The snap; its overlap, width, slopes and plastic are kept.
        wanted_n: Pull to hold [N], all arms.
        thinnest: Least thickness that is drawn [mm]: two lines.
        seed: Equal seeds give equal answers.

    Returns:
        None when every such arm would be more than a third as thick as long.

    Raises:
        ValueProblem: The snap is no straight arm.
    """
    if isinstance(question.shape, Ring) or question.shape.return_leg:
        raise ValueProblem.of(f"snap {question.name} is no straight arm", "ask for the best straight arm only")
    for step in range(_STEPS):
        drawn = round(thinnest + step * _STEP, 2)
        thickness = drawn + question.grown
        trying = _shortest(question, thickness, seed)
        length = trying.shape.length if isinstance(trying.shape, Arm) else 0.0
        if thickness > length / 3:
            continue
        found = snap_strength(trying, seed=seed)
        if found.hold_n.low5 >= wanted_n and found.margin.low5 >= 1:
            return BestArm(thickness=drawn, length=length, strength=found)
    return None


def _shortest(question: SnapQuestion, thickness: float, seed: int) -> SnapQuestion:
    """The question with an arm of that thickness, just as long as its weak specimen needs; whole half millimetres."""
    assert isinstance(question.shape, Arm)
    spread = (question.thickness.high - question.thickness.low) / 2
    size = Ranged(max(thickness - spread, 0.1), thickness, thickness + spread)
    made = replace(question, thickness=size, shape=replace(question.shape, length=8 * thickness))
    for _ in range(3):  # strain falls with the square of the length, and a little by the root that turns
        assert isinstance(made.shape, Arm)
        margin = snap_strength(made, draws=1000, seed=seed).margin.low5
        length = made.shape.length / math.sqrt(max(margin, 1e-6))
        made = replace(made, shape=replace(made.shape, length=length))
    assert isinstance(made.shape, Arm)
    return replace(made, shape=replace(made.shape, length=math.ceil(2 * made.shape.length + 0.1) / 2))

"""From sized joints and what a bench has learned to what is at stake before a trial."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import isfinite, sqrt

import numpy as np

from shadewright.catalog.threads import Sex
from shadewright.fit.evidence import BenchEvidence
from shadewright.fit.feel import FeelBounds, built_in_bounds
from shadewright.fit.gap import true_gap
from shadewright.fit.joint import JointQuestion, Side, Sizing
from shadewright.fit.learn import Learned, learn
from shadewright.fit.learn_joint import boundaries, gap_sum, judging_variance, sides_of_question
from shadewright.fit.learn_prior import Sum
from shadewright.fit.next_trial_standing import Stake, Standing


@dataclass(frozen=True, slots=True, kw_only=True)
class AtStake:
    """One sized joint and what its prints cost.

    Attributes:
        question: The joint, with all that the bench has learned of it.
        sizing: What sizing made of it.
        trial_min: Printing time of its trial by number of rungs [min]; empty when none can be made.
    """

    question: JointQuestion
    sizing: Sizing
    trial_min: tuple[tuple[int, float], ...]


def standing_of(
    joints: Sequence[AtStake], part_min: Sequence[tuple[str, float]], learned: Learned | None = None
) -> Standing:
    """What is at stake: every joint's gap against its boundaries of feel, and how they vary together.

    Two joints vary together by the habits of the printer and plastics they share, by the bought thing they share,
    and by the hand that judges both.

    Args:
        joints: Sized joints.
        part_min: Printing time of every part [min].
        learned: What the bench has learned; None when nothing.
    """
    belief = (learned or learn(BenchEvidence(pairs=(), trials=())))._belief
    against = [_against_boundaries(joint, belief.known) for joint in joints]
    _, covariance = belief.expect(against) if against else (None, np.zeros((0, 0)))
    stakes, offsets = [], []
    for at, joint in enumerate(joints):
        stakes.append(_stake(joint, float(covariance[at, at])))
        offsets.append(joint.sizing.gap - joint.sizing.clearance_drawn)
    return Standing(
        stakes=tuple(stakes),
        offsets=tuple(offsets),
        covariance=tuple(tuple(row) for row in covariance.tolist()),
        part_min=tuple(part_min),
    )


def _against_boundaries(joint: AtStake, known) -> Sum:  # type: ignore[no-untyped-def]
    """True gap as drawn, less the middle of the boundaries on both sides of the wanted feel."""
    question = joint.question
    made = Sum()
    made.add_sum(gap_sum(question, sides_of_question(question, known), *_drawn(joint), whole=True), 1.0)
    edges = _edges(question)
    for edge in edges:
        made.add_sum(boundaries(question.kind)[edge], -1.0 / len(edges))
    return made


def _edges(question: JointQuestion) -> list[int]:
    """Which boundaries the wanted feel lies between."""
    gaps = built_in_bounds(question.kind).gaps
    return [gaps.index(edge) for edge in built_in_bounds(question.kind).band(question.feel) if isfinite(edge)]


def _drawn(joint: AtStake) -> tuple[float, float]:
    """Drawn sizes of male and female [mm]: the mate as it is, the other as sizing wants it."""
    male, female = joint.question.male.drawn, joint.question.female.drawn
    nominal = joint.question.nominal
    if joint.sizing.draw_side == Sex.MALE:
        return joint.sizing.draw, nominal if female is None else female
    return nominal if male is None else male, joint.sizing.draw


def _stake(joint: AtStake, variance: float) -> Stake:
    """The joint's own numbers; softness takes what of the whole spread is neither offset nor scatter."""
    question, sizing, settled = joint.question, joint.sizing, joint.question.settled
    known = built_in_bounds(question.kind)
    gaps, softness = (settled.gaps, settled.softness) if settled else (known.gaps, known.softness)
    gap = true_gap(question, *_drawn(joint))
    rest = gap.sd**2 - gap.settled_sd**2 + softness**2 - variance
    rung, mate = question.male, question.female
    if sizing.draw_side == Sex.FEMALE:
        rung, mate = mate, rung
    return Stake(
        joint=question.name,
        feel=question.feel,
        bounds=FeelBounds(question.kind, gaps, sqrt(max(rest, judging_variance(question.kind)))),
        clearance=sizing.clearance_drawn,
        rung_scatter=_scatter(rung),
        mate_scatter=_scatter(mate),
        part=sizing.draw_part,
        trial_min=joint.trial_min,
    )


def _scatter(side: Side) -> float:
    return side.habits.scatter if side.habits is not None else 0.0

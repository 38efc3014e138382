"""The gap of a joint, tried or still to be made, as a sum of the bench's unknown numbers."""

from __future__ import annotations

from dataclasses import dataclass

from shadewright.catalog.threads import Sex
from shadewright.errors import ValueProblem
from shadewright.fit.as_printed import FIELDS, Habit
from shadewright.fit.evidence import BenchEvidence, TriedTrial
from shadewright.fit.feel import FEELS, built_in_bounds
from shadewright.fit.gap import BUMPS, LINER, bought_flat, bought_size, kind_terms, side_effects
from shadewright.fit.joint import Feel, JointKind, JointQuestion, Side
from shadewright.fit.learn_prior import (
    PRINT_SHARE,
    PairKey,
    Start,
    Sum,
    Unknown,
    nobodys,
    pair_key,
    part_offset,
    print_offset,
    start_of,
)
from shadewright.printing import AsPrinted

SHIFT_SHARE = 0.5
"""Part of the variance of a boundary of feel that is this maker's hand, the same for all five of a kind [-]."""

OWN_SHARE = 0.2
"""Part that is this maker's, each boundary its own; the rest is one judgement, this time [-]. Both judged, no source.
The variance itself is the softness of ``feel_bounds.csv``: before any trial the chances are those of the table."""


REDRAWN = 0.02
"""A joint is still the one a trial was made for when its size was changed by no more than this share [-]; judged."""

_SAME = ("name", "kind", "thread", "round", "liner_wall")


@dataclass(frozen=True, slots=True)
class Rung:
    """One tried rung: its gap without the noise of judging, and the boundaries its feel lies between."""

    gap: Sum
    low: Sum | None
    high: Sum | None


@dataclass(frozen=True, slots=True)
class Sides:
    """Where both sides of a joint start; None for a bought one."""

    male: Start | None
    female: Start | None

    def of(self, sex: Sex) -> Start | None:
        """One side's start."""
        return self.male if sex is Sex.MALE else self.female


def boundaries(kind: JointKind) -> tuple[Sum, ...]:
    """The five boundaries of feel of a kind [mm], tightest first, in what is unknown of them.

    Raises:
        ValueProblem: The kind has none in the table.
    """
    table = built_in_bounds(kind)
    made = []
    for place, gap in enumerate(table.gaps):
        boundary = Sum(constant=gap)
        boundary.add(Unknown(("hand", kind.value), 1.0), table.softness * SHIFT_SHARE**0.5)
        boundary.add(Unknown(("hand", kind.value, place), 1.0), table.softness * OWN_SHARE**0.5)
        made.append(boundary)
    return tuple(made)


def judging_variance(kind: JointKind) -> float:
    """Variance of one judgement, in gap [mm²]."""
    return (1 - SHIFT_SHARE - OWN_SHARE) * built_in_bounds(kind).softness ** 2


def is_learned_from(kind: JointKind) -> bool:
    """Whether the table has boundaries of feel for that kind, so that trials of it tell something."""
    try:
        built_in_bounds(kind)
    except ValueProblem:
        return False
    return True


def gap_sum(question: JointQuestion, sides: Sides, male_drawn: float, female_drawn: float, *, whole: bool) -> Sum:
    """True gap without scatter, as ``gap.true_gap`` has it.

    Args:
        question: The joint.
        sides: Where its printed sides start.
        male_drawn: Drawn size [mm]; ignored for a bought side.
        female_drawn: The same of the female.
        whole: False for a trial piece, which has no openings and so no bumps at their rims.
    """
    made = Sum()
    for sex, side, drawn, sign in (
        (Sex.MALE, question.male, male_drawn, -1.0),
        (Sex.FEMALE, question.female, female_drawn, 1.0),
    ):
        start = sides.of(sex)
        if start is not None:
            made.add_sum(_printed_side(question, sex, side, start, drawn), sign)
        elif side.bought is not None:
            made.add_sum(_bought_side(question, sex, side), sign)
    for name, room in kind_terms(question):
        if name != BUMPS or whole:
            made.constant -= room.mean
            made.add(Unknown(_term_name(question, name, sides), 1.0), -room.sd)
    return made


def rungs_of(trial: TriedTrial, known: dict[PairKey, Start]) -> tuple[Rung, ...]:
    """All rungs of a trial. They share the scatter of their print, and all that is off about what they are tried with.

    Args:
        trial: The trial.
        known: Starts of the bench's pairs.
    """
    question = trial.question
    sex = Sex(trial.rung_side)
    sides = sides_of_trial(trial, known)
    start, mate = sides.of(sex), sides.of(Sex.FEMALE if sex is Sex.MALE else Sex.MALE)
    if start is None:
        return ()
    bounds = boundaries(question.kind)
    mate_drawn = trial.mate_drawn if trial.mate_drawn is not None else question.nominal
    made = []
    for rung in sorted(trial.rungs, key=lambda one: (one.drawn, one.felt)):
        male, female = (rung.drawn, mate_drawn) if sex is Sex.MALE else (mate_drawn, rung.drawn)
        gap = gap_sum(question, sides, male, female, whole=False)
        gap.add(print_offset(start, f"trial {trial.name}"), -1.0)
        gap.add_scatter(start.machine, (1 - PRINT_SHARE) * start.base)
        if mate is not None:
            gap.add(part_offset(mate, f"trial {trial.name}"), 1.0)
        gap.noise += judging_variance(question.kind)
        low, high = _band(rung.felt, bounds)
        made.append(Rung(gap, low, high))
    return tuple(made)


def sides_of_trial(trial: TriedTrial, known: dict[PairKey, Start]) -> Sides:
    """The pairs a trial was printed with; habits of nobody in particular where it does not say."""
    starts: dict[Sex, Start | None] = {}
    for sex, side in ((Sex.MALE, trial.question.male), (Sex.FEMALE, trial.question.female)):
        if side.habits is None:
            starts[sex] = None
            continue
        plastic = trial.plastic if sex.value == trial.rung_side else trial.mate_plastic
        plastic = plastic or trial.plastic
        starts[sex] = _start(side.habits, (trial.printer, trial.nozzle, plastic, plastic), known)
    return Sides(starts[Sex.MALE], starts[Sex.FEMALE])


def sides_of_question(question: JointQuestion, known: dict[PairKey, Start]) -> Sides:
    """The pairs a joint is printed with, by what its habits say."""
    made = []
    for side in (question.male, question.female):
        habits = side.habits
        made.append(None if habits is None else _start(habits, habits.pair or ("", 0.0, "", ""), known))
    return Sides(*made)


def is_of(trial: TriedTrial, question: JointQuestion) -> bool:
    """Whether a trial was made for this very joint."""
    theirs = trial.question
    same = all(getattr(theirs, name) == getattr(question, name) for name in _SAME)
    near = abs(theirs.nominal - question.nominal) <= REDRAWN * question.nominal
    return (
        same
        and near
        and all(
            (mine.habits is None) == (other.habits is None) and mine.bought == other.bought and mine.name == other.name
            for mine, other in ((question.male, theirs.male), (question.female, theirs.female))
        )
    )


def tried_clearances(question: JointQuestion, evidence: BenchEvidence) -> tuple[tuple[float, Feel], ...]:
    """Drawn clearance [mm] and feel of every rung that was tried for this joint, bumps of its openings added."""
    bumps = question.bumps.mean if question.bumps is not None else 0.0
    made = []
    for trial in evidence.trials:
        if not is_of(trial, question):
            continue
        rung_sex = Sex(trial.rung_side)
        mate_sex = Sex.FEMALE if rung_sex is Sex.MALE else Sex.MALE
        mate = question.male if mate_sex is Sex.MALE else question.female
        if mate.bought is not None:
            other = bought_size(question, mate_sex, mate.bought).mean
        else:
            other = trial.mate_drawn if trial.mate_drawn is not None else question.nominal
        sign = 1.0 if rung_sex is Sex.FEMALE else -1.0
        made += [(round(sign * (rung.drawn - other) + bumps, 6), rung.felt) for rung in trial.rungs]
    return tuple(sorted(made))


def _start(habits: AsPrinted, pair: tuple[str, float, str, str], known: dict[PairKey, Start]) -> Start:
    if not pair[0]:
        return nobodys(habits)
    return known.get(pair_key(*pair[:3])) or start_of(*pair)


def _printed_side(question: JointQuestion, sex: Sex, side: Side, start: Start, drawn: float) -> Sum:
    effects = side_effects(question, sex, side, start.habits, drawn)
    weights = {FIELDS[effect.habit]: effect.sensitivity for effect in effects if effect.shared}
    made = start.size(weights)
    habits = sum(weight * getattr(start.habits, name).mean for name, weight in weights.items())
    made.constant += drawn + sum(effect.mm for effect in effects) - habits
    facets = (effect for effect in effects if effect.habit is Habit.FACETS)
    made.noise += sum((effect.sensitivity * effect.sd) ** 2 for effect in facets)
    return made


def _bought_side(question: JointQuestion, sex: Sex, side: Side) -> Sum:
    """The size of the bought thing at hand: one unknown number for all joints and trials it takes part in."""
    if side.bought is None:
        return Sum()
    size, flat = bought_size(question, sex, side.bought), bought_flat(question, sex, side.bought)
    thread = question.thread.name if question.thread is not None else ""
    name = (side.name, sex.value, thread, side.bought.low, side.bought.high)
    made = Sum(constant=size.mean)
    if flat > 0:
        made.add(Unknown(("bought", *name), half=flat), 1.0)
    rest = size.sd**2 - flat**2 / 3
    if rest > 1e-12:
        made.add(Unknown(("flank", *name), 1.0), rest**0.5)
    return made


def _term_name(question: JointQuestion, name: str, sides: Sides) -> tuple[str | float, ...]:
    """Whose number a kind's own term is: ridges are one for two plastics, a liner's roundness each has for itself."""
    if name in (LINER, BUMPS):
        return (name, question.name, question.liner_wall or 0.0)
    return (name, *(start.key if start else "bought" for start in (sides.male, sides.female)))


def _band(felt: Feel, bounds: tuple[Sum, ...]) -> tuple[Sum | None, Sum | None]:
    """Boundaries a feel lies between; None at the open ends."""
    place = len(FEELS) - 1 - FEELS.index(felt)
    return (bounds[place - 1] if place else None), (bounds[place] if place < len(bounds) else None)

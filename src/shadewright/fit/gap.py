"""The true gap of a joint: female minus male as they come off the printer or out of the shop."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass, field, replace

from shadewright.catalog.threads import Limits, Sex, Thread
from shadewright.fit.as_printed import FIELDS, Effect, Habit, hole_effects, outer_effects, slot_effects
from shadewright.fit.flank import ridges_on_pitch_diameter
from shadewright.fit.joint import JointQuestion, Settled, Side
from shadewright.fit.liner import liner_room
from shadewright.printing import AsPrinted, Spread

RIDGES = "layer ridges on the flanks"
LINER = "the thin liner being out of round"
BUMPS = "bumps at the rims of openings"
LEARNED = "what this bench has learned from trials"

_FLANK_PER_PITCH = 0.1


@dataclass(frozen=True, slots=True)
class Cause:
    """One cause's share of the gap: ``mm`` it opens (positive) or closes the gap by, with its sd [mm]."""

    name: str
    mm: float
    sd: float


@dataclass(frozen=True, slots=True)
class Gap:
    """True gap on the diameter.

    Attributes:
        mean: Mean gap [mm].
        sd: Its standard deviation, everything included [mm].
        flat: Half width of the part that is uniform instead of normal, a bought side's tolerance [mm].
        settled_sd: What is left of the spread once a trial has shown how this bench prints and how large the
            bought thing at hand is: scatter from print to print [mm].
        causes: What moves the gap away from the drawn clearance; the means sum to ``mean - clearance``.
        clearance: Drawn clearance; a bought side counts with the middle of its limits [mm].
    """

    mean: float
    sd: float
    flat: float
    settled_sd: float
    causes: tuple[Cause, ...]
    clearance: float

    @property
    def normal_sd(self) -> float:
        """Standard deviation of the normal part alone [mm]."""
        return math.sqrt(max(self.sd**2 - self.flat**2 / 3, 0.0))


@dataclass(slots=True)
class _Ledger:
    """Sums effects; those that share an uncertain number (same bench, same habit) add before squaring."""

    means: dict[str, float] = field(default_factory=dict)
    shared: dict[AsPrinted, dict[Habit, float]] = field(default_factory=dict)
    settled: dict[str, float] = field(default_factory=dict)
    unsettled: dict[str, float] = field(default_factory=dict)
    flat: float = 0.0

    def add_side(self, sign: float, effects: Iterable[Effect], habits: AsPrinted) -> None:
        """Add one printed side's effects; ``sign`` is +1 for the female, -1 for the male."""
        weights = self.shared.setdefault(replace(habits, pair=None), {})
        for effect in effects:
            name = effect.habit.value
            self.means[name] = self.means.get(name, 0.0) + sign * effect.mm
            if effect.shared:
                weights[effect.habit] = weights.get(effect.habit, 0.0) + sign * effect.sensitivity
            else:
                known = self.settled.get(name, 0.0)
                self.settled[name] = known + (effect.sensitivity * effect.sd) ** 2

    def add_alone(self, name: str, mm: Spread) -> None:
        """Add a cause that has nothing to do with the others, and that a trial would show."""
        self.means[name] = mm.mean
        self.unsettled[name] = mm.sd**2

    def gap(self, clearance: float) -> Gap:
        """Close the ledger."""
        unsettled = dict(self.unsettled)
        for habits, weights in self.shared.items():
            for habit, weight in weights.items():
                alone = habits.variance_of({FIELDS[habit]: weight})
                unsettled[habit.value] = unsettled.get(habit.value, 0.0) + alone
        causes = tuple(
            Cause(name, mean, math.sqrt(unsettled.get(name, 0.0) + self.settled.get(name, 0.0)))
            for name, mean in self.means.items()
        )
        settled = math.fsum(self.settled.values())
        known = math.fsum(
            habits.variance_of({FIELDS[habit]: weight for habit, weight in weights.items()})
            for habits, weights in self.shared.items()
        )
        return Gap(
            mean=clearance + sum(self.means.values()),
            sd=math.sqrt(settled + known + math.fsum(self.unsettled.values())),
            flat=self.flat,
            settled_sd=math.sqrt(settled),
            causes=causes,
            clearance=clearance,
        )


def true_gap(question: JointQuestion, male_drawn: float, female_drawn: float) -> Gap:
    """Distribution of the gap for given drawn sizes.

    Args:
        question: A checked question. The drawn size of a bought side is ignored.
        male_drawn: Diameter or width as drawn, major diameter for threads [mm].
        female_drawn: The same of the female side [mm].
    """
    ledger = _Ledger()
    sizes = {Sex.MALE: male_drawn, Sex.FEMALE: female_drawn}
    for sex, side, sign in ((Sex.MALE, question.male, -1.0), (Sex.FEMALE, question.female, 1.0)):
        if side.habits is not None:
            ledger.add_side(sign, side_effects(question, sex, side, side.habits, sizes[sex]), side.habits)
        elif side.bought is not None:
            mating = bought_size(question, sex, side.bought)
            sizes[sex] = mating.mean
            ledger.add_alone(own_size(side), Spread(0.0, mating.sd))
            ledger.flat = bought_flat(question, sex, side.bought)
    for name, room in kind_terms(question):
        ledger.add_alone(name, Spread(-room.mean, room.sd))
    return _learned(ledger.gap(sizes[Sex.FEMALE] - sizes[Sex.MALE]), question.settled)


def kind_terms(question: JointQuestion) -> tuple[tuple[str, Spread], ...]:
    """What takes of the gap beside the sizes of both sides, by the name of its cause [mm on the diameter]."""
    terms = []
    if question.thread is not None:
        terms.append((RIDGES, ridges_on_pitch_diameter(question.thread, question.layer)))
    if question.liner_wall is not None:
        terms.append((LINER, liner_room(question.nominal, question.liner_wall)))
    if question.bumps is not None:
        terms.append((BUMPS, question.bumps))
    return tuple(terms)


def _learned(gap: Gap, settled: Settled | None) -> Gap:
    """The gap with what trials have told of this very joint."""
    if settled is None:
        return gap
    return replace(
        gap,
        mean=gap.mean + settled.shift,
        sd=math.sqrt(settled.sd**2 + settled.flat**2 / 3 + gap.settled_sd**2),
        flat=settled.flat,
        causes=(*gap.causes, Cause(LEARNED, settled.shift, 0.0)),
    )


def bought_size(question: JointQuestion, sex: Sex, limits: Limits) -> Spread:
    """Mean and sd of a bought mating size [mm]; for threads as the major diameter of the same full thread.

    A thread mates on its flanks. When ``limits`` are the catalogue's own, its pitch diameter lies anywhere within
    the catalogue's limits. When they were measured, the flank is taken to be off its middle by as much as the
    measured diameter is off the middle of its own limits, and known no better than ``_flank_width`` besides.
    """
    thread = question.thread
    if thread is None:
        return uniform(limits)
    own = thread.limits(sex)
    flank = uniform(own.pitch_diameter)
    if not _from_catalogue(thread, sex, limits):
        nearest = min((own.major, own.minor), key=lambda known: abs(known.middle - limits.middle))
        sd = math.hypot(limits.width, _flank_width(thread, sex)) / math.sqrt(12)
        flank = Spread(flank.mean + limits.middle - nearest.middle, sd)
    return Spread(question.nominal + flank.mean - thread.pitch_diameter, flank.sd)


def bought_flat(question: JointQuestion, sex: Sex, limits: Limits) -> float:
    """Half width of the uniform part of ``bought_size``: the wider of its tolerances [mm]."""
    thread = question.thread
    if thread is None:
        return limits.width / 2
    if _from_catalogue(thread, sex, limits):
        return thread.limits(sex).pitch_diameter.width / 2
    return max(_flank_width(thread, sex), limits.width) / 2


def own_size(side: Side) -> str:
    """Name of the cause that a bought side is not exactly nominal."""
    return f"the size of the bought {side.name}"


def uniform(limits: Limits) -> Spread:
    """Mean and standard deviation of a size that lies anywhere within its limits [mm]."""
    return Spread(limits.middle, limits.width / math.sqrt(12))


def bought_gap(female: Limits, male: Limits) -> tuple[Limits, Spread]:
    """Clearance between two bought parts [mm]: its limits, and mean with sd for sizes uniform within theirs."""
    hole, shaft = uniform(female), uniform(male)
    extremes = Limits(female.low - male.high, female.high - male.low)
    return extremes, Spread(hole.mean - shaft.mean, math.hypot(hole.sd, shaft.sd))


def side_effects(question: JointQuestion, sex: Sex, side: Side, habits: AsPrinted, drawn: float) -> tuple[Effect, ...]:
    """Effects on the mating size of a printed side; threads mate on the pitch diameter, flat faces have no facets."""
    thread = question.thread
    mating = drawn if thread is None else drawn - (thread.major - thread.pitch_diameter)
    if sex is Sex.MALE:
        return outer_effects(mating, habits, sagitta=side.sagitta if question.round else 0.0, on_bed=side.mouth_on_bed)
    if not question.round:
        return slot_effects(mating, habits, on_bed=side.mouth_on_bed)
    return hole_effects(mating, habits, sagitta=side.sagitta, on_bed=side.mouth_on_bed)


def _from_catalogue(thread: Thread, sex: Sex, limits: Limits) -> bool:
    own = thread.limits(sex)
    return limits in (own.major, own.minor)


def _flank_width(thread: Thread, sex: Sex) -> float:
    """How far flanks may lie apart on threads whose crests measure alike [mm].

    Crest and flank are cut by one tool: at most the pitch diameter's tolerance, and at most a tenth of the pitch
    where that tolerance only says that the row is a guess. Judged, no source.
    """
    return min(thread.limits(sex).pitch_diameter.width, _FLANK_PER_PITCH * thread.pitch)

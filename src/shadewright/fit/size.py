"""What to draw so that a joint most likely has the wanted feel."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass

from shadewright.catalog.threads import Sex
from shadewright.errors import ValueProblem
from shadewright.fit.feel import FeelBounds, built_in_bounds, chance_of, chances
from shadewright.fit.gap import Gap, bought_size, own_size, true_gap
from shadewright.fit.joint import JointQuestion, Share, Side, Sizing
from shadewright.fit.questions import check_question, drawing_sex
from shadewright.fit.wording import sizing_sentence

TRIAL_BELOW = 0.8
"""A joint less likely than this to feel right is worth a trial ..."""

TRIAL_GAIN = 0.05
"""... if what a trial shows would raise the chance by at least this much."""

OPEN_END = 0.9
"""Loose and fixed have no far side: the size goes just far enough for this chance, not to infinity."""

_OPEN_END_Z = 1.2815515655446004
"""Standard normal quantile of 0.9."""

TRIED_SHARE = 0.9
"""A size that was tried and felt right is drawn as it was tried, when it has this share of the best chance."""

_STEP = 0.01
"""Sizes are drawn to hundredths [mm]."""


def size_joint(question: JointQuestion, bounds: FeelBounds | None = None) -> Sizing:
    """Find the size to draw that makes the wanted feel most likely.

    The gap is normal about a mean that moves with the drawn size; the chance of a feel is a difference of two
    normal integrals (``feel.chance_of``), searched over the drawn size within bounds and rounded to 0.01 mm.
    A trial is worth its print when the chance stays below 0.8 and knowing what a trial shows (how this bench
    prints, how large the bought thing at hand is) would raise it by 0.05 or more; scatter from print to print
    is something no trial takes away.

    Args:
        question: One thread, slide or push joint with at least one printed side. When one side is bought the
            other takes the allowance, whatever ``draw`` says. Sides without ``drawn`` count as nominal.
        bounds: Boundaries between feels [mm]; None for those the bench has learned, or else the built-in ones.

    Returns:
        What to draw [mm], chances and shares.

    Raises:
        ValueProblem: Both sides are bought, the kind is not sized yet, a number cannot be, or no size near
            nominal gives the wanted feel.

    Sources:
        ``AsPrinted`` for the printed sizes, ``feel_bounds.csv`` for the feels.
    """
    check_question(question)
    known = bounds or _known_bounds(question)
    task = _Task(question, known, drawing_sex(question))
    draw = _as_tried(task, _best_draw(task))
    gap = task.gap_at(draw)
    wanted = chance_of(question.feel, gap.mean, gap.normal_sd, known, gap.flat)
    settled = _settled_chance(task, gap)
    today = task.today()
    shares = _shares(task, draw, gap)
    return Sizing(
        joint=question.name,
        draw_side=task.sex.value,
        draw_part=task.side.name,
        draw=draw,
        nominal=question.nominal,
        allowance=round(draw - question.nominal, 6),
        clearance_drawn=round(gap.clearance, 6),
        gap=gap.mean,
        gap_sd=gap.sd,
        chances=chances(gap.mean, gap.normal_sd, known, gap.flat),
        chances_today=chances(today.mean, today.normal_sd, known, today.flat) if today else None,
        clearance_today=round(today.clearance, 6) if today else None,
        chance_wanted=wanted,
        chance_settled=max(settled, wanted),
        shares=shares,
        sentence=sizing_sentence(question, task.sex, draw, shares),
        trial_worth=wanted < TRIAL_BELOW and settled - wanted >= TRIAL_GAIN,
        source=_source(question),
    )


@dataclass(frozen=True, slots=True)
class _Task:
    """A checked question with its boundaries and the side that is drawn."""

    question: JointQuestion
    bounds: FeelBounds
    sex: Sex

    @property
    def side(self) -> Side:
        return self.question.male if self.sex is Sex.MALE else self.question.female

    @property
    def other(self) -> Side:
        return self.question.female if self.sex is Sex.MALE else self.question.male

    @property
    def opens(self) -> float:
        """Change of the gap's sign with a growing drawn size: +1 for a female side, -1 for a male."""
        return 1.0 if self.sex is Sex.FEMALE else -1.0

    def gap_at(self, draw: float) -> Gap:
        """Gap when this side is drawn so and the other one as it stands."""
        other = self.other.drawn if self.other.drawn is not None else self.question.nominal
        male, female = (draw, other) if self.sex is Sex.MALE else (other, draw)
        return true_gap(self.question, male, female)

    def today(self) -> Gap | None:
        """Gap of the models as they are; None when the side that takes the allowance is not drawn yet."""
        return None if self.side.drawn is None else self.gap_at(self.side.drawn)

    def chance_at(self, draw: float) -> float:
        """Chance of the wanted feel, which sizing makes as large as it can."""
        gap = self.gap_at(draw)
        return chance_of(self.question.feel, gap.mean, gap.normal_sd, self.bounds, gap.flat)


def _best_draw(task: _Task) -> float:
    """Size with the greatest chance of the wanted feel, to 0.01 mm; for open ends the nearest that suffices."""
    from scipy.optimize import brentq, minimize_scalar

    low_edge, high_edge = task.bounds.band(task.question.feel)

    def beyond(draw: float) -> float:
        """Mean gap beyond the one aimed at [mm]; steady in ``draw``."""
        gap = task.gap_at(draw)
        margin = _OPEN_END_Z * math.hypot(gap.sd, task.bounds.softness)
        if math.isinf(high_edge):
            return gap.mean - (low_edge + margin)
        if math.isinf(low_edge):
            return gap.mean - (high_edge - margin)
        return gap.mean - (low_edge + high_edge) / 2

    low, high = _search_range(task, beyond)
    start = float(brentq(beyond, low, high, xtol=1e-9))
    if math.isinf(low_edge) or math.isinf(high_edge):
        return _away(start, math.isinf(high_edge) == (task.sex is Sex.FEMALE))
    reach = min((high_edge - low_edge) / 2, start / 2)
    best = minimize_scalar(
        lambda draw: -task.chance_at(draw),
        bounds=(start - reach, start + reach),
        method="bounded",
        options={"xatol": 1e-5},
    )
    found = start if task.chance_at(start) >= -best.fun else float(best.x)
    return round(found, 2)


def _known_bounds(question: JointQuestion) -> FeelBounds:
    settled = question.settled
    if settled is None:
        return built_in_bounds(question.kind)
    return FeelBounds(question.kind, settled.gaps, settled.softness)


def _as_tried(task: _Task, best: float) -> float:
    """The size nearest the best one within those that were tried and felt right; the best one where that costs much.

    What was held in the hand is trusted before the calculation, as long as the calculation hardly minds.
    """
    settled = task.question.settled
    right = [clearance for clearance, felt in settled.tried if felt is task.question.feel] if settled else []
    if not right:
        return best
    zero = best - task.opens * task.gap_at(best).clearance
    sizes = [zero + task.opens * clearance for clearance in right]
    tried = round(min(max(best, min(sizes)), max(sizes)), 2)
    return tried if task.chance_at(tried) >= TRIED_SHARE * task.chance_at(best) else best


def _search_range(task: _Task, beyond: Callable[[float], float]) -> tuple[float, float]:
    """Drawn sizes between which the aim must lie [mm].

    Raises:
        ValueProblem: It does not: the two sides are drawn for different sizes.
    """
    nominal = task.question.nominal
    reach = 5 + 0.05 * nominal
    low, high = max(nominal - reach, nominal / 2), nominal + reach  # below, a loss that goes with 1/size runs away
    if beyond(low) * task.opens > 0 or beyond(high) * task.opens < 0:
        raise ValueProblem.of(
            f"no size within {reach:.3g} mm of {nominal:g} mm makes joint {task.question.name} {task.question.feel}",
            f"check the size of {task.other.name} against the nominal size",
        )
    return low, high


def _away(size: float, up: bool) -> float:
    """Round to the drawing step in the given direction."""
    steps = size / _STEP
    return round((math.ceil(steps - 1e-6) if up else math.floor(steps + 1e-6)) * _STEP, 2)


def _settled_chance(task: _Task, gap: Gap) -> float:
    """Chance that the wanted feel could reach once trials have shown all they can."""
    low, high = task.bounds.band(task.question.feel)
    if math.isinf(low) or math.isinf(high):
        return OPEN_END
    return chance_of(task.question.feel, (low + high) / 2, gap.settled_sd, task.bounds)


def _shares(task: _Task, draw: float, gap: Gap) -> tuple[Share, ...]:
    """What the room opened by the drawn side is spent on; the sum is ``|allowance|`` with its sign."""
    question = task.question
    asked = {cause.name: Share(name=cause.name, mm=0.0 - cause.mm, sd=cause.sd) for cause in gap.causes}
    if task.other.bought is not None:
        other_sex = Sex.MALE if task.sex is Sex.FEMALE else Sex.FEMALE
        size, name = bought_size(question, other_sex, task.other.bought), own_size(task.other)
        asked[name] = Share(name=name, mm=task.opens * (size.mean - question.nominal), sd=size.sd)
    elif task.other.drawn is not None:
        name = f"{task.other.name} being drawn {task.other.drawn:.2f}"
        asked[name] = Share(name=name, mm=task.opens * (task.other.drawn - question.nominal), sd=0.0)
    feel = f"the gap that feels {question.feel}"
    asked[feel] = Share(name=feel, mm=gap.mean, sd=task.bounds.softness)
    felt = [share for share in asked.values() if abs(share.mm) >= 5e-4 or share.sd >= 5e-4]
    return tuple(sorted(felt, key=lambda share: (-abs(share.mm), -share.sd)))


def _source(question: JointQuestion) -> str:
    """Habits of the printed sides, and where the feels come from."""
    habits = {side.habits.source: None for side in (question.male, question.female) if side.habits is not None}
    settled = [question.settled.source] if question.settled else []
    return "; ".join([*habits, *settled, "feels: common practice, no source"])

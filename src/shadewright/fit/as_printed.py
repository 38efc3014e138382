"""What comes off the printer when a size was drawn, and what to draw for a wanted size.

The model is the one written at ``printing.AsPrinted``. All spreads are carried linearly: the variance of a printed
size is that of the sum of (sensitivity x habit), with the habits' covariance where it is known.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from enum import StrEnum

from shadewright.errors import require_positive
from shadewright.printing import AsPrinted, Spread

SAGITTA_MEAN = 2 / 3
"""Mean loss of radius around an inscribed polygon over its sagitta [-]: mean of 1 - u² for u in -1..1."""

SAGITTA_SD = math.sqrt(4 / 45)
"""Standard deviation of that loss over the sagitta [-]."""


class Habit(StrEnum):
    """A cause by which a printed size leaves the drawn one; the words follow "for" in a sentence."""

    SHRINKAGE = "the plastic shrinking"
    OUTER_GROWTH = "walls growing into the gap"
    HOLE_SHRINK = "every hole coming out small"
    HOLE_CURL = "small holes closing further"
    FACETS = "facets of the model"
    FLARE = "first-layer flare (a chamfered mouth does away with it)"
    SCATTER = "scatter from print to print"


FIELDS = {
    Habit.SHRINKAGE: "scale_xy",
    Habit.OUTER_GROWTH: "outer_growth",
    Habit.HOLE_SHRINK: "hole_shrink",
    Habit.HOLE_CURL: "hole_curl",
    Habit.FLARE: "flare",
}
"""Which field of ``AsPrinted`` a shared habit is."""


@dataclass(frozen=True, slots=True)
class Effect:
    """One habit's effect on one printed size.

    Attributes:
        habit: Which cause.
        mm: Mean change of the printed size against the drawn one [mm].
        sensitivity: Change of the printed size for each unit of the uncertain number.
        sd: Standard deviation of that number, in its own unit.
        shared: True when two sizes from the same bench share the number's error; False when each draws anew.
    """

    habit: Habit
    mm: float
    sensitivity: float
    sd: float
    shared: bool


def outer_effects(drawn: float, habits: AsPrinted, *, sagitta: float = 0.0, on_bed: bool = False) -> tuple[Effect, ...]:
    """Effects on a printed outer size (shaft, block, outside of a ring).

    Args:
        drawn: Diameter or width as drawn [mm].
        habits: How its bench prints.
        sagitta: Chord error of an inscribed polygon [mm]; it slims a shaft.
        on_bed: True when the size stands on the bed and the first layer flares.
    """
    growth = habits.outer_growth
    return (
        *_common(drawn, habits, sagitta),
        Effect(Habit.OUTER_GROWTH, 2 * growth.mean, 2.0, growth.sd, shared=True),
        *_flare(habits, 2.0, on_bed),
    )


def hole_effects(drawn: float, habits: AsPrinted, *, sagitta: float = 0.0, on_bed: bool = False) -> tuple[Effect, ...]:
    """Effects on the diameter of a printed round hole; arguments as for ``outer_effects``."""
    shrink, curl = habits.hole_shrink, habits.hole_curl
    return (
        *_common(drawn, habits, sagitta),
        Effect(Habit.HOLE_SHRINK, -shrink.mean, -1.0, shrink.sd, shared=True),
        Effect(Habit.HOLE_CURL, -curl.mean / drawn, -1.0 / drawn, curl.sd, shared=True),
        *_flare(habits, -2.0, on_bed),
    )


def slot_effects(drawn: float, habits: AsPrinted, *, on_bed: bool = False) -> tuple[Effect, ...]:
    """Effects on the width of a printed slot with flat faces: its walls grow as outer walls do."""
    growth = habits.outer_growth
    return (
        *_common(drawn, habits, 0.0),
        Effect(Habit.OUTER_GROWTH, -2 * growth.mean, -2.0, growth.sd, shared=True),
        *_flare(habits, -2.0, on_bed),
    )


def printed_outer(drawn: float, habits: AsPrinted, *, sagitta: float = 0.0, on_bed: bool = False) -> Spread:
    """Predicted outer size of the print [mm]; arguments as for ``outer_effects``.

    Raises:
        ValueProblem: ``drawn`` is not a number above 0.
    """
    require_positive("drawn size", drawn)
    return _printed(drawn, habits, outer_effects(drawn, habits, sagitta=sagitta, on_bed=on_bed))


def printed_hole(drawn: float, habits: AsPrinted, *, sagitta: float = 0.0, on_bed: bool = False) -> Spread:
    """Predicted diameter of the printed hole [mm]; arguments as for ``outer_effects``.

    Raises:
        ValueProblem: ``drawn`` is not a number above 0.
    """
    require_positive("drawn size", drawn)
    return _printed(drawn, habits, hole_effects(drawn, habits, sagitta=sagitta, on_bed=on_bed))


def printed_slot(drawn: float, habits: AsPrinted, *, on_bed: bool = False) -> Spread:
    """Predicted width of a printed slot between flat faces [mm]; arguments as for ``slot_effects``.

    Raises:
        ValueProblem: ``drawn`` is not a number above 0.
    """
    require_positive("drawn size", drawn)
    return _printed(drawn, habits, slot_effects(drawn, habits, on_bed=on_bed))


def outer_to_draw(wanted: float, habits: AsPrinted) -> float:
    """Outer size to draw so that the mean print has ``wanted`` [mm].

    Raises:
        ValueProblem: ``wanted`` is not a number above 0.
    """
    require_positive("wanted size", wanted)
    return (wanted - 2 * habits.outer_growth.mean) / habits.scale_xy.mean


def hole_to_draw(wanted: float, habits: AsPrinted) -> float:
    """Hole diameter to draw so that the mean print has ``wanted`` [mm].

    Solves ``scale x² - (wanted + shrink) x - curl = 0`` for its greater root.

    Raises:
        ValueProblem: ``wanted`` is not a number above 0.
    """
    require_positive("wanted size", wanted)
    scale, curl = habits.scale_xy.mean, habits.hole_curl.mean
    reach = wanted + habits.hole_shrink.mean
    return (reach + math.sqrt(reach * reach + 4 * scale * curl)) / (2 * scale)


def sagitta_of(diameter: float, sides: int) -> float:
    """Chord error of a regular polygon whose corners lie on the circle [mm]: ``r (1 - cos(pi / n))``.

    Raises:
        ValueProblem: ``diameter`` is not above 0, or there are fewer than three sides.
    """
    require_positive("diameter", diameter)
    require_positive("number of sides less 2", sides - 2, "")
    return diameter / 2 * (1 - math.cos(math.pi / sides))


def _common(drawn: float, habits: AsPrinted, sagitta: float) -> tuple[Effect, ...]:
    scale = habits.scale_xy
    effects = [
        Effect(Habit.SHRINKAGE, drawn * (scale.mean - 1), drawn, scale.sd, shared=True),
        Effect(Habit.SCATTER, 0.0, 1.0, habits.scatter, shared=False),
    ]
    if sagitta > 0:
        effects.append(Effect(Habit.FACETS, -2 * SAGITTA_MEAN * sagitta, 2.0, SAGITTA_SD * sagitta, shared=False))
    return tuple(effects)


def _flare(habits: AsPrinted, sides: float, on_bed: bool) -> tuple[Effect, ...]:
    if not on_bed:
        return ()
    return (Effect(Habit.FLARE, sides * habits.flare.mean, sides, habits.flare.sd, shared=True),)


def _printed(drawn: float, habits: AsPrinted, effects: tuple[Effect, ...]) -> Spread:
    """Sum of effects; each habit comes once within one size."""
    mean = drawn + sum(effect.mm for effect in effects)
    shared = habits.variance_of({FIELDS[effect.habit]: effect.sensitivity for effect in effects if effect.shared})
    alone = sum((effect.sensitivity * effect.sd) ** 2 for effect in effects if not effect.shared)
    return Spread(mean, math.sqrt(shared + alone))

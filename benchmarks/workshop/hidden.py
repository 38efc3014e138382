"""Hidden printers: how each really prints and how its maker really feels a joint. The program never sees these.

Every range is wider than what the program starts from, and one printer in ten lies outside even that. Ranges:

* outer growth, -0.045 to 0.15 mm per face: the low end is half the intercept of published outer sizes (open FDM
  assessment protocol, Kickstarter on GitHub, commit 4480bfb: 25, 20, 15, 10, 5 mm measured along X and Y; straight
  lines through them cut the axis at -0.05 and -0.09 mm); the high end lets the widest printers ask 0.5 mm between a
  snug pair and the narrowest 0.2 mm less than nothing, the spread workshops report (common practice, no source);
* loss of every hole, 0 to 0.20 mm: published holes (HenryDore/blog on GitHub, metrology.md, commit fab255f) leave
  nothing for large holes; 0.2 mm is the most that is usually reported (common practice, no source);
* loss over the diameter, 0 to 1.6 mm2: the same holes fit 1.25 mm2;
* scatter, log-uniform from 0.012 to 0.097 mm: what those two sets leave about their own best fits;
* shrinkage: ranges usually reported (PLA 0.1-0.3 %, PETG 0.2-0.4 %, TPU 0.1-0.7 %); axes off by 0.2 % besides;
* feels: all five boundaries of a kind shifted together by up to 0.06 mm, spread by 0.8 to 1.25, each moved by
  0.015 mm besides; one judgement of a hand by 0.01 to 0.04 mm. Bands of clearance that guides give for one feel are
  0.1 to 0.15 mm wide (common practice, no source).
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np

from shadewright.catalog.threads import Sex
from shadewright.fit.feel import FEELS, built_in_bounds
from shadewright.fit.gap import LINER, RIDGES, bought_flat, bought_size, true_gap
from shadewright.fit.joint import Feel, JointKind, JointQuestion, Side
from shadewright.printing import AsPrinted, Spread

SHRINKAGE = {"PLA": (0.001, 0.003), "PETG": (0.002, 0.004), "TPU": (0.001, 0.007)}
ODDITIES = ("thick walls", "thin walls", "closing holes", "restless", "heavy hand")
ODD_SHARE = 0.1
COMMON = math.sqrt(0.5)
"""Part of the scatter that all of one print shares; the other half of its variance is each size's own (judged)."""

SHORT_SD = 0.01
"""A trial's short ring does not quite feel like the whole joint: standard deviation of the difference [mm]."""

_TIGHT_FIRST = FEELS[::-1]


@dataclass(frozen=True, slots=True, kw_only=True)
class Hidden:
    """One printer with its maker.

    Attributes:
        number: Which of them.
        odd: In what it lies outside the ranges; empty for nine in ten.
        habits: Exact habits by plastic.
        boundaries: Five true boundaries of feel by kind [mm].
        hand_sd: Scatter of one judgement [mm].
        offsets: By joint: what bought things, ridges and thin liners add to the gap [mm] beyond what is expected.
        short: By joint: what the short ring of a trial adds [mm].
    """

    number: int
    odd: str
    habits: dict[str, AsPrinted]
    boundaries: dict[JointKind, tuple[float, ...]]
    hand_sd: float
    offsets: dict[str, float]
    short: dict[str, float]

    def gap(self, question: JointQuestion, plastics: dict[str, str], male: float, female: float) -> float:
        """True gap of drawn sizes before scatter [mm]."""
        exact = replace(
            question, male=self._as_it_is(question.male, plastics), female=self._as_it_is(question.female, plastics)
        )
        return true_gap(exact, male, female).mean + self.offsets[question.name]

    def felt(self, kind: JointKind, gap: float, chance: np.random.Generator) -> Feel:
        """How a gap feels in this maker's hand, this time."""
        judged = gap + self.hand_sd * chance.standard_normal()
        return _TIGHT_FIRST[int(np.searchsorted(self.boundaries[kind], judged))]

    def _as_it_is(self, side: Side, plastics: dict[str, str]) -> Side:
        return side if side.habits is None else replace(side, habits=self.habits[plastics[side.name]])


def draw_hidden(number: int, seed: int, questions: tuple[JointQuestion, ...]) -> Hidden:
    """Draw printer ``number``; the same for the same seed, whatever is compared on it."""
    rng = np.random.default_rng([seed, number])
    odd = str(rng.choice(ODDITIES)) if rng.random() < ODD_SHARE else ""
    growth, hole, curl = rng.uniform(-0.045, 0.15), rng.uniform(0.0, 0.20), rng.uniform(0.0, 1.6)
    scatter = math.exp(rng.uniform(math.log(0.012), math.log(0.097)))
    shift = 0.06
    if odd == "thick walls":
        growth = rng.uniform(0.15, 0.25)
    elif odd == "thin walls":
        growth = rng.uniform(-0.15, -0.045)
    elif odd == "closing holes":
        hole, curl = rng.uniform(0.2, 0.35), rng.uniform(1.6, 3.0)
    elif odd == "restless":
        scatter = rng.uniform(0.097, 0.15)
    elif odd == "heavy hand":
        shift = 0.15
    flare, axis = rng.uniform(0.0, 0.2), rng.normal(0.0, 0.002)
    habits = {
        plastic: AsPrinted(
            outer_growth=_exact(growth + rng.normal(0, 0.015)),
            hole_shrink=_exact(hole + rng.normal(0, 0.015)),
            hole_curl=_exact(max(0.0, curl + rng.normal(0, 0.15))),
            scale_xy=_exact(1 - rng.uniform(low, high) + axis),
            scale_z=_exact(1.0),
            flare=_exact(flare),
            scatter=scatter,
            source="hidden",
        )
        for plastic, (low, high) in SHRINKAGE.items()
    }
    boundaries = {kind: _boundaries(kind, shift, rng) for kind in (JointKind.THREAD, JointKind.SLIDE, JointKind.PUSH)}
    return Hidden(
        number=number,
        odd=odd,
        habits=habits,
        boundaries=boundaries,
        hand_sd=rng.uniform(0.01, 0.04),
        offsets=_offsets(questions, rng),
        short={question.name: rng.normal(0, SHORT_SD) for question in questions},
    )


def _exact(number: float) -> Spread:
    return Spread(float(number), 0.0)


def _boundaries(kind: JointKind, shift: float, rng: np.random.Generator) -> tuple[float, ...]:
    start = np.array(built_in_bounds(kind).gaps)
    middle = start.mean()
    moved = middle + (start - middle) * rng.uniform(0.8, 1.25) + rng.uniform(-shift, shift)
    return tuple(np.sort(moved + rng.normal(0, 0.015, 5)).tolist())


def _offsets(questions: tuple[JointQuestion, ...], rng: np.random.Generator) -> dict[str, float]:
    """What each joint has of its own; the ridges of threads are one habit of the printer, nine in ten within limits."""
    ridges, liner = rng.uniform(0.0, 2.3), rng.uniform(0.3, 1.7)
    offsets = {}
    for question in questions:
        expected = {cause.name: cause.mm for cause in true_gap(question, question.nominal, question.nominal).causes}
        own = expected.get(RIDGES, 0.0) * (ridges - 1) + expected.get(LINER, 0.0) * (liner - 1)
        for sex, side in ((Sex.MALE, question.male), (Sex.FEMALE, question.female)):
            if side.bought is not None:
                flat = bought_flat(question, sex, side.bought)
                rest = math.sqrt(max(bought_size(question, sex, side.bought).sd ** 2 - flat**2 / 3, 0.0))
                beyond = 1.5 if rng.random() < ODD_SHARE else 1.0
                own += beyond * flat * rng.uniform(-1, 1) + rest * rng.standard_normal()
        offsets[question.name] = own
    return offsets

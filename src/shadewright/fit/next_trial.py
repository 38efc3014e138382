"""Which trial to print next, at which clearances, and when to stop testing and print the parts.

The rule is in minutes. A part on which some joint does not serve is printed again; what a trial is expected to save
of that time is held against the time it takes itself:

    saves = PRINTS x sum over parts of (part's minutes) x (rise of the chance that all its joints are right)

A trial is printed when it saves more than it takes; of several, the one that leaves most. Small parts are their own
best trial: they cannot save more than their own few minutes.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from shadewright.fit.next_trial_standing import Floats, Stake, Standing, told
from shadewright.fit.next_trial_value import Outcomes, outcomes, prospect

STEPS = (0.05, 0.07, 0.10, 0.14, 0.20)
"""Steps between rungs that are weighed [mm]; finer ones than 0.05 are less than a printer repeats."""

PRINTS = 3.0
"""Prints that a part costs on which a joint does not serve: the one that failed, and about twice as much for those that
follow, which are not certain to serve either; judged by the simulated workshop, no source."""

SHARES_FROM = 0.01
"""A trial is said to answer for another joint when it lifts that one's chance by at least this."""


@dataclass(frozen=True, slots=True, kw_only=True)
class TrialChoice:
    """One trial as it should be printed.

    Attributes:
        joint: Whose trial it is.
        clearances: What its rungs try, rising [mm on the diameter].
        minutes: Printing time [min].
        saves_min: Printing time of real parts it is expected to save [min].
        all_serve: Expected chance that all joints serve after it [-].
        lifts: By joint, what it adds to the chance to serve [-].
        spread_left: Standard deviation of its joint's offset that is expected to be left [mm].
    """

    joint: str
    clearances: tuple[float, ...]
    minutes: float
    saves_min: float
    all_serve: float
    lifts: tuple[tuple[str, float], ...]
    spread_left: float

    @property
    def net_min(self) -> float:
        """What it saves beyond its own time [min]."""
        return self.saves_min - self.minutes

    @property
    def shared_with(self) -> tuple[str, ...]:
        """Other joints it answers for as well."""
        return tuple(name for name, lift in self.lifts if name != self.joint and lift >= SHARES_FROM)


@dataclass(frozen=True, slots=True, kw_only=True)
class Advice:
    """What to do next.

    Attributes:
        trial: The trial to print; None when printing the parts is the better use of the time.
        best_by_joint: The best trial of every joint that may have one, worth printing or not.
        serve: By joint, chance to serve as known today [-].
        all_serve: Chance that all do [-].
        at_stake_min: Printing time expected to be lost on parts that do not serve, as known today [min].
    """

    trial: TrialChoice | None
    best_by_joint: tuple[TrialChoice, ...]
    serve: tuple[tuple[str, float], ...]
    all_serve: float
    at_stake_min: float


def next_trial(standing: Standing) -> Advice:
    """Choose the trial that saves most printing time, or none.

    Args:
        standing: Joints, what is known of their gaps together, and what prints cost.

    Returns:
        The choice; gains are exact for a normal offset within the grid of ``next_trial_value`` and, for joints that
        share habits, for jointly normal offsets.
    """
    if not standing.stakes:
        return Advice(trial=None, best_by_joint=(), serve=(), all_serve=1.0, at_stake_min=0.0)
    worth, serve = prospect(standing, 0).now()
    parts = _parts(standing)
    at_stake = sum(PRINTS * minutes * (1 - worth[joints].prod()) for minutes, joints in parts)
    choices = [_best_of(standing, at, parts) for at, stake in enumerate(standing.stakes) if stake.trial_min]
    best = max(choices, key=lambda choice: choice.net_min, default=None)
    return Advice(
        trial=best if best is not None and best.net_min > 0 else None,
        best_by_joint=tuple(choices),
        serve=tuple((stake.joint, float(chance)) for stake, chance in zip(standing.stakes, serve, strict=True)),
        all_serve=float(serve.prod()),
        at_stake_min=float(at_stake),
    )


def trial_plan(standing: Standing, most: int = 20) -> tuple[TrialChoice, ...]:
    """Trials worth printing, in order, as if each left the spread that is expected of it.

    Joints that share an answer appear once. What the real outcomes change is seen when they are recorded.
    """
    planned: list[TrialChoice] = []
    while len(planned) < most:
        choice = next_trial(standing).trial
        if choice is None:
            break
        planned.append(choice)
        at = standing.at(choice.joint)
        standing = told(standing, at, standing.offsets[at], choice.spread_left**2)
    return tuple(planned)


def rungs_about(clearance: float, count: int, step: float) -> tuple[float, ...]:
    """``count`` clearances about one, ``step`` apart, in whole hundredths [mm]."""
    return tuple(round(round(clearance, 2) + (i - (count - 1) / 2) * step + 1e-9, 2) for i in range(count))


def _parts(standing: Standing) -> list[tuple[float, list[int]]]:
    """Minutes of every part at stake and the places of its joints."""
    return [
        (minutes, [at for at, stake in enumerate(standing.stakes) if stake.part == name])
        for name, minutes in standing.part_min
        if any(stake.part == name for stake in standing.stakes)
    ]


def _best_of(standing: Standing, at: int, parts: list[tuple[float, list[int]]]) -> TrialChoice:
    """The best trial of one joint: for every rung count the best step for itself, then the best count for the lamp."""
    stake = standing.stakes[at]
    sd = float(standing.spread[at, at]) ** 0.5
    seen = prospect(standing, at)
    worth_now, serve_now = seen.now()
    best: TrialChoice | None = None
    counts = stake.trial_min
    if _saves(seen.after(np.diag(seen.weights))[0], worth_now, seen.weights, parts) <= counts[0][1]:
        counts = counts[:1]  # not even certainty would pay for the least trial
    for count, minutes in counts:
        shown, rungs = max(
            (_try(stake, standing.offsets[at], sd, rungs_about(stake.clearance, count, step)) for step in STEPS),
            key=lambda tried: _own_worth(seen.after(tried[0].joint_weights, at)[0], tried[0].chances),
        )
        worth, serve = seen.after(shown.joint_weights)
        lifts = serve @ shown.chances - serve_now
        choice = TrialChoice(
            joint=stake.joint,
            clearances=rungs,
            minutes=minutes,
            saves_min=_saves(worth, worth_now, shown.chances, parts),
            all_serve=float(shown.chances @ serve.prod(axis=0)),
            lifts=tuple((one.joint, float(lift)) for one, lift in zip(standing.stakes, lifts, strict=True)),
            spread_left=shown.spread_left() ** 0.5,
        )
        if best is not None and choice.net_min <= best.net_min:
            break  # one more rung no longer pays, and each tells less than the one before
        best = choice
    assert best is not None
    return best


def _try(stake: Stake, offset: float, sd: float, rungs: tuple[float, ...]) -> tuple[Outcomes, tuple[float, ...]]:
    return outcomes(stake, offset, sd, rungs), rungs


def _saves(worth: Floats, worth_now: Floats, chances: Floats, parts: list[tuple[float, list[int]]]) -> float:
    """Minutes of real parts that are expected to be saved, for worths (joints, outcomes) of these chances."""
    return PRINTS * sum(
        length * float(chances @ worth[joints].prod(axis=0) - worth_now[joints].prod()) for length, joints in parts
    )


def _own_worth(worth: Floats, chances: Floats) -> float:
    return float(np.sum(worth[0] * chances))

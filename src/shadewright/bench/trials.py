"""Trials: put on record when they are made, found again when they were tried, and what their outcomes teach."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, replace
from itertools import combinations

from shadewright.bench.records import RungRecord, TrialRecord
from shadewright.bench.store import Bench
from shadewright.errors import Problem, UnknownName, ValueProblem
from shadewright.fit.joint import Feel, JointQuestion, Sizing
from shadewright.fit.size import size_joint
from shadewright.solid.features import TrialPiece

MOST_NAME = 60
"""So many characters of a lamp's and a joint's name go into a trial's."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Recorded:
    """Outcomes that were kept.

    Attributes:
        trial: As kept.
        before, after: What to draw without and with the outcomes; None when nothing is known to draw it by.
    """

    trial: TrialRecord
    before: Sizing | None
    after: Sizing | None


def keep_trial(
    bench: Bench, question: JointQuestion, sizing: Sizing, piece: TrialPiece, *, lamp: str, made_on: str
) -> TrialRecord | None:
    """Keep a trial that is about to be printed; None when the bench keeps nothing.

    A trial of the same rungs that nobody has tried yet stays the one it was.

    Args:
        bench: Where.
        question: The joint.
        sizing: What sizing made of it.
        piece: The trial.
        lamp: Name of the lamp's folder; empty for a joint of no lamp.
        made_on: Date like 2025-03-09.
    """
    if bench.path is None:
        return None
    record = _record(question, sizing, piece, lamp=lamp, made_on=made_on)
    earlier = of_joint(bench, lamp, question.name)
    for one in earlier:
        if replace(one, made_on=made_on) == replace(record, name=one.name):
            return one
    stem = "/".join(word[: MOST_NAME // 2].strip() for word in (lamp, question.name) if word)
    record = replace(record, name=f"{stem}-{_next_number(bench, stem)}")
    bench.keep(record)
    return record


def _record(question: JointQuestion, sizing: Sizing, piece: TrialPiece, *, lamp: str, made_on: str) -> TrialRecord:
    side, other = question.female, question.male
    sign = -1
    if sizing.draw_side == "male":
        side, other, sign = other, side, 1
    printer, nozzle, plastic, _ = _pair(side.habits.pair if side.habits else None, question)
    return TrialRecord(
        name="new",
        lamp=lamp,
        joint=question.name,
        kind=question.kind,
        printer=printer,
        nozzle=nozzle,
        plastic=plastic,
        made_on=made_on,
        rungs=tuple(RungRecord(number=r.number, drawn=r.drawn, clearance=r.clearance) for r in piece.rungs),
        question=replace(question, settled=None),
        rung_side=sizing.draw_side,
        mate_drawn=round(sizing.draw + sign * sizing.clearance_drawn, 3) if other.habits else None,
        mate_plastic=_pair(other.habits.pair, question)[2] if other.habits else None,
    )


def _pair(pair: tuple[str, float, str, str] | None, question: JointQuestion) -> tuple[str, float, str, str]:
    if pair is None:
        raise ValueProblem.of(f"nobody knows what {question.name} is printed with", "take its habits from a bench")
    return pair


def _next_number(bench: Bench, stem: str) -> int:
    pattern = re.compile(re.escape(stem.lower()) + r"-(\d+)")
    numbers = [int(found[1]) for one in bench.trials() if (found := pattern.fullmatch(one.name.lower()))]
    return max(numbers, default=0) + 1


# Finding again -------------------------------------------------------------------------------------------------------


def of_joint(bench: Bench, lamp: str, joint: str) -> tuple[TrialRecord, ...]:
    """Trials of a joint in the order in which they were made."""
    own = [one for one in bench.trials() if (one.lamp.lower(), one.joint.lower()) == (lamp.lower(), joint.lower())]
    return tuple(sorted(own, key=lambda one: (one.made_on, _number(one.name), one.name)))


def _number(name: str) -> int:
    found = re.search(r"-(\d+)$", name)
    return int(found[1]) if found else 0


def trial_named(bench: Bench, name: str) -> TrialRecord:
    """The trial of that name, capitals aside.

    Raises:
        UnknownName: No such trial; near names are offered.
    """
    trials = bench.trials()
    for one in trials:
        if one.name.lower() == name.lower():
            return one
    if not trials:
        raise ValueProblem.of(f'there is no trial "{name}": none was made yet', 'make one with "shadewright trial"')
    raise UnknownName.among("trial", name, [one.name for one in trials])


def trial_tried(bench: Bench, lamp: str, joint: str) -> TrialRecord:
    """The trial that outcomes of a joint speak of: the one made since the last that was tried, or else that one.

    Raises:
        ValueProblem: There is none, or several were made since.
    """
    made = of_joint(bench, lamp, joint)
    if not made:
        raise ValueProblem.of(f"no trial of {joint} was made yet", 'make one with "shadewright trial" and print it')
    tried = [place for place, one in enumerate(made) if is_tried(one)]
    since = made[tried[-1] + 1 :] if tried else made
    if len(since) > 1:
        listed = "; ".join(f"{one.name} has {_digits(one)}" for one in since)
        raise ValueProblem.of(
            f"several trials of {joint} were made ({listed})",
            'name the one whose digits stand on the piece, e.g. "shadewright trial record NAME 3=snug"',
        )
    return since[0] if since else made[-1]


def is_tried(record: TrialRecord) -> bool:
    """Whether any of its rungs has an outcome."""
    return any(rung.outcome for rung in record.rungs)


def _digits(record: TrialRecord) -> str:
    return " ".join(f"{round(100 * rung.clearance)}" for rung in record.rungs)


# Outcomes ------------------------------------------------------------------------------------------------------------


def with_outcomes(record: TrialRecord, outcomes: Mapping[int, Feel | None]) -> TrialRecord:
    """The trial with these outcomes in the place of earlier ones of the same rungs; None takes one back.

    Raises:
        ValueProblem: A rung the trial does not have.
    """
    known = {rung.number for rung in record.rungs}
    strange = sorted(outcomes.keys() - known)
    if strange:
        raise ValueProblem(
            Problem(f"trial {record.name} has no rung {number}", f"its rungs are 1 to {max(known)}")
            for number in strange
        )
    rungs = (replace(rung, outcome=outcomes.get(rung.number, rung.outcome)) for rung in record.rungs)
    return replace(record, rungs=tuple(rungs))


def contradictions(record: TrialRecord) -> tuple[Problem, ...]:
    """Pairs of rungs of which the one with less room feels looser."""
    order = list(Feel)
    felt = [(rung, rung.outcome) for rung in sorted(record.rungs, key=lambda one: one.clearance) if rung.outcome]
    return tuple(
        Problem(
            f"rung {less.number} has less room than rung {more.number} and feels looser ({one} against {other})",
            "feel them again, or keep it with --sure",
        )
        for (less, one), (more, other) in combinations(felt, 2)
        if order.index(one) < order.index(other)
    )


def keep_outcomes(bench: Bench, record: TrialRecord) -> Recorded:
    """Keep a trial's outcomes and say what is to be drawn now.

    Raises:
        FileProblem: Nothing can be kept, or the file cannot be written.
    """
    before = _sized(bench, record)
    bench.keep(record)
    return Recorded(trial=record, before=before, after=_sized(bench, record))


def _sized(bench: Bench, record: TrialRecord) -> Sizing | None:
    return size_joint(bench.as_learned(record.question)) if record.question is not None else None

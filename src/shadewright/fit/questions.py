"""Refusing questions that have no answer, in words."""

from __future__ import annotations

import math

from shadewright.catalog.threads import Sex
from shadewright.errors import Problem, ValueProblem, require_positive
from shadewright.fit.joint import JointKind, JointQuestion, Side

SIZED = (JointKind.THREAD, JointKind.SLIDE, JointKind.PUSH)
"""Kinds that can be sized so far."""


def check_question(question: JointQuestion) -> None:
    """Refuse what cannot be sized.

    Raises:
        ValueProblem: Kind not sized yet, both sides bought, a side that is neither or both, or a number that
            cannot be; all mistakes of the joint at once.
    """
    where = f"joint {question.name}"
    if question.kind not in SIZED:
        raise ValueProblem.of(
            f"a {question.kind} joint is not sized yet",
            "only thread, slide and push joints are; size it by a trial",
            where,
        )
    for name, value in (("nominal size", question.nominal), ("length", question.length), ("layer", question.layer)):
        require_positive(name, value, where=where)
    problems = [*_kind_problems(question, where)]
    for side in (question.male, question.female):
        problems += _side_problems(side, where)
    if question.male.bought is not None and question.female.bought is not None:
        problems.append(
            Problem("both sides are bought, so nothing can be drawn", "make one side a printed part", where)
        )
    if question.draw not in set(Sex):
        problems.append(Problem(f'side "{question.draw}" cannot take the allowance', "write male or female", where))
    if problems:
        raise ValueProblem(problems)


def drawing_sex(question: JointQuestion) -> Sex:
    """Which side takes the allowance: the asked one, or the printed one when the other is bought."""
    if question.male.habits is None:
        return Sex.FEMALE
    if question.female.habits is None:
        return Sex.MALE
    return Sex(question.draw)


def _kind_problems(question: JointQuestion, where: str) -> list[Problem]:
    problems = []
    if (question.thread is not None) != (question.kind is JointKind.THREAD):
        what = "no thread is named" if question.thread is None else f"a {question.kind} joint has no thread"
        problems.append(Problem(what, "name the thread of a thread joint, and of no other", where))
    if question.liner_wall is not None and question.kind is not JointKind.SLIDE:
        problems.append(
            Problem(
                f"a liner wall is given for a {question.kind} joint", "make it a slide, or leave the wall out", where
            )
        )
    if question.bumps is not None and question.kind is not JointKind.SLIDE:
        problems.append(
            Problem(f"openings are given for a {question.kind} joint", "only the walls of a slide have them", where)
        )
    if question.bumps is not None and not (0 <= question.bumps.mean < math.inf and 0 <= question.bumps.sd < math.inf):
        problems.append(
            Problem(f"bumps of {question.bumps.mean:g} mm are given", "they must be 0 or more, and finite", where)
        )
    if not question.round and question.kind is not JointKind.SLIDE:
        problems.append(Problem(f"flat faces are given for a {question.kind} joint", "only a slide can be flat", where))
    return problems


def _side_problems(side: Side, where: str) -> list[Problem]:
    problems = []
    if (side.habits is None) == (side.bought is None):
        problems.append(Problem(f"{side.name} is neither or both of printed and bought", "make it one of them", where))
    if side.drawn is not None and not 0 < side.drawn < math.inf:
        problems.append(Problem(f"{side.name} is drawn {side.drawn:g} mm", "its size must be a number above 0", where))
    if not 0 <= side.sagitta < math.inf:
        problems.append(
            Problem(f"facets of {side.name} are {side.sagitta:g} mm off", "the chord error must be 0 or more", where)
        )
    limits = side.bought
    if limits is not None and not 0 < limits.low <= limits.high < math.inf:
        problems.append(
            Problem(
                f"{side.name} has limits {limits.low:g} to {limits.high:g} mm",
                "give the smaller one first, above 0",
                where,
            )
        )
    return problems

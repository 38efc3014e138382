"""What can go wrong, told in the user's words.

``ShadewrightError``
    ``UserError``            something the user can mend; exit code 2, no traceback
        ``ValueProblem``     an impossible number or combination
        ``UnknownName``      a name no table or bench knows; offers near matches
        ``FileProblem``      a file that cannot be read or must not be written
        ``ModelProblem``     a model file whose geometry is not a printable solid
        ``MissingLibrary``   an optional library is not installed
    ``GeometryFailure``      a generated solid failed its own check; a bug of ours

Every ``UserError`` carries one or more ``Problem``: what, where, cure.
"""

from __future__ import annotations

import difflib
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Self


@dataclass(frozen=True, slots=True)
class Problem:
    """One mistake: what is wrong, where it stands, and how to mend it.

    ``what`` and ``cure`` are clauses without a final full stop; ``where`` is a file and line
    (``lamp.toml, line 12``), an option (``--over``) or empty.
    """

    what: str
    cure: str
    where: str = ""

    def __str__(self) -> str:
        head = f"{self.where}: " if self.where else ""
        return f"{head}{self.what}; {self.cure}."


class ShadewrightError(Exception):
    """Base of everything this package raises on purpose."""


class UserError(ShadewrightError):
    """One or more mistakes the user can mend."""

    def __init__(self, problems: Iterable[Problem]) -> None:
        self.problems: tuple[Problem, ...] = tuple(problems)
        super().__init__("\n".join(str(problem) for problem in self.problems))

    @classmethod
    def of(cls, what: str, cure: str, where: str = "") -> Self:
        """Build the error from a single problem."""
        return cls([Problem(what=what, cure=cure, where=where)])

    def __reduce__(self) -> tuple[object, ...]:
        return (type(self), (self.problems,))


class ValueProblem(UserError, ValueError):
    """A number, or a combination of numbers, that cannot be."""


class UnknownName(UserError, LookupError):
    """A name that no table, bench or lamp knows."""

    @classmethod
    def among(cls, kind: str, name: str, known: Sequence[str], where: str = "") -> Self:
        """Refuse ``name`` and offer the nearest of ``known``."""
        near = difflib.get_close_matches(name, known, n=3, cutoff=0.5)
        offer = " or ".join(f'"{match}"' for match in near) if near else ", ".join(f'"{k}"' for k in list(known)[:6])
        return cls.of(f'no {kind} is called "{name}"', f"use {offer}" if offer else "define it first", where)


class FileProblem(UserError, OSError):
    """A file that cannot be read, or must not be written."""


class ModelProblem(UserError):
    """A model whose geometry is not a printable solid."""


class MissingLibrary(UserError, ImportError):
    """An optional library is not installed."""


class GeometryFailure(ShadewrightError):
    """A generated solid failed its own check (volume, closedness, validity)."""


def require_positive(name: str, value: float, unit: str = "mm", where: str = "") -> None:
    """Refuse zero, negative, infinite and NaN values with one sentence.

    Raises:
        ValueProblem: ``value`` is not a finite number above 0.
    """
    if not 0 < value < float("inf"):
        raise ValueProblem.of(f"{name} is {value:g} {unit}", "it must be a number above 0", where)

"""Plain fits of ISO 286: tolerance grades and shaft deviations up to 120 mm."""

from __future__ import annotations

import re
from dataclasses import dataclass
from functools import cache
from types import MappingProxyType

from shadewright.catalog.cards import Evidence
from shadewright.catalog.tables import Row, rows
from shadewright.catalog.threads import Limits
from shadewright.errors import UnknownName, ValueProblem

GRADES = range(5, 15)
"""Grades in the table: IT5 to IT14."""
_UPPER_LETTERS = "defgh"
_LOWER_LETTERS = "kmnprs"
SHAFT_LETTERS = (*_UPPER_LETTERS, "js", *_LOWER_LETTERS)
"""Shaft positions in the table."""
_K_GRADES = range(4, 8)


@dataclass(frozen=True, slots=True, kw_only=True)
class FitStep:
    """One range of sizes.

    Attributes:
        over, up_to: Sizes above the first, up to and with the second [mm].
        grade_um: Width of each grade by its number.
        deviation_um: Deviation nearest to the nominal size by shaft letter: the upper one for d to h, the lower one
            for k to s. Empty in the table of grades, whose ranges are wider.
    """

    over: float
    up_to: float
    grade_um: MappingProxyType[int, float]
    deviation_um: MappingProxyType[str, float]
    evidence: Evidence


def _step(row: Row, grades: dict[int, float], deviations: dict[str, float]) -> FitStep:
    return FitStep(
        over=row.number("over_mm"),
        up_to=row.number("up_to_mm"),
        grade_um=MappingProxyType(grades),
        deviation_um=MappingProxyType(deviations),
        evidence=Evidence(
            source=row.text("source"), where=row.text("where"), from_memory=row.from_memory, note=row.text("note")
        ),
    )


@cache
def grade_steps() -> tuple[FitStep, ...]:
    """Tolerance grades, ISO 286-1 table 1."""
    return tuple(
        _step(row, {grade: row.number(f"it{grade}_um") for grade in GRADES}, {}) for row in rows("fits_grades")
    )


@cache
def shaft_steps() -> tuple[FitStep, ...]:
    """Fundamental deviations of shafts, ISO 286-1."""
    columns = {letter: f"{letter}_es_um" for letter in _UPPER_LETTERS}
    columns |= {letter: f"{letter}_ei_um" for letter in _LOWER_LETTERS}
    return tuple(
        _step(row, {}, {letter: row.number(column) for letter, column in columns.items()})
        for row in rows("fits_shafts")
    )


def _pick(steps: tuple[FitStep, ...], size: float) -> FitStep:
    for step in steps:
        if step.over < size <= step.up_to:
            return step
    raise ValueProblem.of(f"size {size:g} mm is outside the fit tables", f"use a size up to {steps[-1].up_to:g} mm")


def it_grade_um(size: float, grade: int) -> float:
    """Width of a tolerance grade in micrometres.

    Args:
        size: Nominal size [mm], above 0 up to 120.
        grade: 5 to 14.

    Raises:
        ValueProblem: Size or grade is outside the table.

    Source: ISO 286-1 table 1.
    """
    if grade not in GRADES:
        raise ValueProblem.of(f"tolerance grade {grade} is not in the table", "use 5 to 14")
    return _pick(grade_steps(), size).grade_um[grade]


def deviation_um(size: float, letter: str, grade: int = 7) -> tuple[float, float]:
    """Lower and upper deviation of a shaft in micrometres, for a position letter such as ``g``.

    Args:
        size: Nominal size [mm], above 0 up to 120.
        letter: One of d, e, f, g, h, js, k, m, n, p, r, s.
        grade: 5 to 14.

    Raises:
        UnknownName: Letter is not in the table.
        ValueProblem: Size or grade is outside the table.

    Source: ISO 286-1; js lies evenly, k is 0 outside grades 4 to 7.
    """
    width = it_grade_um(size, grade)
    if letter == "js":
        return -width / 2, width / 2
    if letter not in SHAFT_LETTERS:
        raise UnknownName.among("shaft position", letter, SHAFT_LETTERS)
    nearest = _pick(shaft_steps(), size).deviation_um[letter]
    if letter in _UPPER_LETTERS:
        return nearest - width, nearest
    if letter == "k" and grade not in _K_GRADES:
        nearest = 0.0
    return nearest, nearest + width


def fit_limits(size: float, position: str) -> Limits:
    """Limits of a shaft (``g6``) or of an H or JS hole (``H7``) [mm].

    Raises:
        UnknownName: The position is not a letter with a grade, or a hole other than H and JS.
        ValueProblem: Size or grade is outside the table.

    Source: ISO 286-1.
    """
    match = re.fullmatch(r"([A-Za-z]{1,2})(\d{1,2})", position.strip())
    known = [*(f"{letter}7" for letter in SHAFT_LETTERS), "H7", "JS7"]
    if match is None or (match[1].isupper() and match[1] not in ("H", "JS")):
        raise UnknownName.among("fit", position, known)
    letter, grade = match[1], int(match[2])
    width = it_grade_um(size, grade)
    low, high = (0.0, width) if letter == "H" else deviation_um(size, letter.lower(), grade)
    return Limits(size + low / 1000, size + high / 1000)

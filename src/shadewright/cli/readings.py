"""Caliper readings as they are typed: ``A=5.03 B=16.1,16.08``, or a list in a file."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from pathlib import Path
from typing import TYPE_CHECKING

from shadewright.errors import Problem, ValueProblem

if TYPE_CHECKING:
    from shadewright.printing import PrintSetup
    from shadewright.solid.calibration import CalibrationPiece

Readings = dict[str, tuple[float, ...]]
SETTINGS = ("printer", "nozzle", "layer", "plastic")
"""What a list says of the print itself."""


def stated_readings(words: Iterable[str], letters: str) -> Readings:
    """Readings by letter.

    Args:
        words: As typed, ``A=5.03`` or ``A=5.03,5.05``.
        letters: Those of the piece.

    Raises:
        ValueProblem: One problem for each word that is no reading, or whose letter is not on the piece.
    """
    read: Readings = {}
    problems: list[Problem] = []
    for word in words:
        letter, equals, text = word.partition("=")
        letter = letter.strip().upper()
        if not equals:
            problems.append(Problem(f'"{word}" is no reading', "write a letter and what was read, e.g. A=5.03"))
        elif letter not in letters or len(letter) != 1:
            problems.append(Problem(f'there is no letter "{letter}" on the piece', f"use one of {letters}"))
        elif letter in read:
            problems.append(Problem(f"{letter} is given twice", f"write {letter}=first,second", letter))
        else:
            values, problem = _numbers(letter, text)
            read[letter] = values
            problems += [problem] if problem else []
    if problems:
        raise ValueProblem(problems)
    return read


def _numbers(letter: str, text: str) -> tuple[tuple[float, ...], Problem | None]:
    if "," in text and "." not in text:
        one = text.replace(",", ".", 1)
        cure = f"write {letter}={one} for one; several are told by their points, e.g. {letter}=5.0,5.1"
        return (), Problem(f'"{text}" can be one reading or several', cure, letter)
    values = []
    for part in text.replace(",", " ").split():
        try:
            value = float(part)
        except ValueError:
            return (), Problem(f'"{part}" is not a number', f"write e.g. {letter}=5.03, without a unit", letter)
        if not 0 < value < 1000:
            return (), Problem(f"{part} mm cannot be read on the piece", "give mm, above 0", letter)
        values.append(value)
    return tuple(values), None if values else Problem("its reading is missing", f"write e.g. {letter}=5.03", letter)


def listed_readings(file: Path, letters: str) -> tuple[Readings, dict[str, str]]:
    """Readings and settings from a filled-in list; letters left empty were not measured.

    Raises:
        FileProblem: The file cannot be read.
        ValueProblem: A line is neither, each with its number.
    """
    from shadewright.files import read_text

    read: Readings = {}
    settings: dict[str, str] = {}
    problems: list[Problem] = []
    for number, line in enumerate(read_text(file).splitlines(), start=1):
        stated = line.partition("#")[0].strip()
        key, equals, value = (part.strip() for part in stated.partition("="))
        if not stated or (equals and not value):
            continue
        if equals and key.lower() in SETTINGS:
            settings[key.lower()] = value
            continue
        try:
            for letter, values in stated_readings([stated], letters).items():
                if letter in read:
                    raise ValueProblem.of(f"{letter} is given twice", "put all its readings on one line")
                read[letter] = values
        except ValueProblem as refusal:
            where = f"{file.name}, line {number}"
            problems += [Problem(one.what, one.cure, where) for one in refusal.problems]
    if problems:
        raise ValueProblem(problems)
    return read, settings


def reading_list(piece: CalibrationPiece, setup: PrintSetup, file: str) -> str:
    """The list to fill in: one line for each letter."""
    lines = [
        "# Readings of the calibration piece. Fill in what you measure, in mm, with a comma between several readings",
        "# of one letter; leave out what you cannot reach; then hand it in with:",
        f"#   shadewright bench measure --from {file}",
        "",
        *(f"# {line}" for line in piece.how_to),
        "",
        f"printer = {setup.printer}",
        f"nozzle = {setup.nozzle:g}",
        f"layer = {setup.layer:g}",
        f"plastic = {setup.plastic.name}",
        "",
    ]
    lines += [f"{one.letter} =                    # {one.words}, drawn {one.drawn:.2f}" for one in piece.features]
    return "\n".join(lines) + "\n"


def merged(stated: Readings, listed: Mapping[str, tuple[float, ...]]) -> Readings:
    """Both together; a letter in both is refused.

    Raises:
        ValueProblem: A letter stands in the list and on the command line.
    """
    both = sorted(stated.keys() & listed.keys())
    if both:
        raise ValueProblem(Problem("it stands in the list too", "give it once", letter) for letter in both)
    return {**listed, **stated}

"""Reads a lamp's folder; says everything that is wrong with its ``lamp.toml`` in one go."""

from __future__ import annotations

import difflib
import tomllib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

from shadewright.errors import FileProblem, Problem, UnknownName, ValueProblem
from shadewright.files import read_text
from shadewright.lamp.places import KeyPath, line_of, lines_of_keys

if TYPE_CHECKING:
    from shadewright.lamp.model import Lamp

FILE_NAME = "lamp.toml"


@dataclass(frozen=True, slots=True, kw_only=True)
class ReadLamp:
    """A lamp as stated, and where each statement stands.

    Attributes:
        lamp: What was stated.
        folder: The lamp's folder; model paths start here.
        file: Its ``lamp.toml``.
        line_of: Line of every key, by its path, e.g. ``("joint", "neck", "feel")``.
    """

    lamp: Lamp
    folder: Path
    file: Path
    line_of: Mapping[KeyPath, int]

    def where(self, *path: str | int) -> str:
        """File and line of a key, or of the nearest table around it: ``lamp.toml, line 12``."""
        return _where(self.file.name, path, self.line_of)


def read_lamp(place: Path) -> ReadLamp:
    """Read the lamp in a folder, or from its file.

    Raises:
        FileProblem: There is no such folder or file, it holds no lamp.toml, or it cannot be read as text.
        ValueProblem: One problem for each mistake in it, in the order of lines.
    """
    file = _lamp_file(place)
    return parse_lamp(read_text(file), file)


def parse_lamp(text: str, file: Path) -> ReadLamp:
    """Read a lamp from the ``text`` of ``file``; model files are looked for beside it.

    Raises:
        ValueProblem: One problem for each mistake, in the order of lines.
    """
    from shadewright.lamp.syntax import syntax_problem

    try:
        raw = tomllib.loads(text)
    except RecursionError:
        raise ValueProblem.of("brackets are nested too deep", "a lamp needs three levels at most", file.name) from None
    except ValueError as error:
        raise ValueProblem([syntax_problem(error, text, file.name)]) from None
    lines = lines_of_keys(text)
    lamp, found = _validated(raw, file.parent)
    if found or lamp is None:
        found.sort(key=lambda mistake: line_of(mistake[0], lines) or 0)
        raise ValueProblem(
            Problem(what=what, cure=cure, where=_where(file.name, path, lines)) for path, what, cure in found
        )
    return ReadLamp(lamp=lamp, folder=file.parent, file=file, line_of=lines)


def require_on_bench(read: ReadLamp, printers: Sequence[str], plastics: Sequence[str]) -> None:
    """Refuse printers and plastics that the bench does not know; capitals do not matter.

    Raises:
        UnknownName: One problem for each unknown name, with its line and near names.
    """
    stated: list[tuple[str, str, KeyPath, Sequence[str]]]
    stated = [("printer", read.lamp.printing.printer, ("printing", "printer"), printers)]
    stated.append(("plastic", read.lamp.printing.plastic, ("printing", "plastic"), plastics))
    stated += [
        ("plastic", part.plastic, ("part", name, "plastic"), plastics)
        for name, part in read.lamp.part.items()
        if part.plastic
    ]
    problems: list[Problem] = []
    for kind, name, path, known in stated:
        if name.lower() not in {other.lower() for other in known}:
            problems += UnknownName.among(kind, name, known, read.where(*path)).problems
    if problems:
        raise UnknownName(problems)


def _lamp_file(place: Path) -> Path:
    try:
        folder, file = place.is_dir(), place.is_file()
    except (OSError, ValueError):  # names no file system takes
        folder = file = False
    if file and place.suffix.lower() == ".toml":
        return place
    if file:
        raise FileProblem.of(f"{place.name} is not a lamp", f"name a lamp's folder, or its {FILE_NAME}", str(place))
    if not folder:
        raise FileProblem.of("there is no such folder or file", _other_folders(place), str(place))
    if not (place / FILE_NAME).is_file():
        raise FileProblem.of(
            f"there is no {FILE_NAME} in this folder", f'start one with "shadewright new {place}"', str(place)
        )
    return place / FILE_NAME


def _other_folders(place: Path) -> str:
    """Offer neighbours of a folder that is not there."""
    try:
        neighbours = [entry.name for entry in place.parent.iterdir() if entry.is_dir()]
    except (OSError, ValueError):
        neighbours = []
    near = difflib.get_close_matches(place.name, neighbours, n=2, cutoff=0.5)
    if near:
        return "use " + " or ".join(f'"{place.parent / name}"' for name in near)
    return 'check the path, or start a lamp with "shadewright new"'


def _validated(raw: Mapping[str, Any], folder: Path) -> tuple[Lamp | None, list[tuple[KeyPath, str, str]]]:
    """The lamp, and all mistakes as (path, what, cure)."""
    from pydantic import ValidationError

    from shadewright.lamp.check import mistakes
    from shadewright.lamp.model import Lamp
    from shadewright.lamp.wording import what_and_cure

    found = list(dict.fromkeys(mistakes(raw, folder)))
    try:
        return Lamp.model_validate(raw), found
    except ValidationError as invalid:
        singles = [(tuple(error["loc"]), *what_and_cure(error, raw)) for error in invalid.errors(include_url=False)]
        return None, singles + found


def _where(file_name: str, path: KeyPath, lines: Mapping[KeyPath, int]) -> str:
    line = line_of(path, lines)
    return f"{file_name}, line {line}" if line else file_name

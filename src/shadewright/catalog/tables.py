"""Reading the catalogue's own tables: rows of text, their numbers, and the sources they name."""

from __future__ import annotations

import csv
import tomllib
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from importlib.resources.abc import Traversable
from types import MappingProxyType

MM_PER_INCH = 25.4


@dataclass(frozen=True, slots=True)
class Source:
    """One source that rows point to.

    Attributes:
        key: What the rows' ``source`` column says.
        text: Title.
        kind: ``standard``, ``paper``, ``handbook``, ``maker`` or ``trade``.
        grade: How far to trust it: ``standard``, ``measured``, ``handbook``, ``maker`` or ``estimate``.
        seen: Who saw it and where; says so when nobody did.
    """

    key: str
    text: str
    kind: str
    grade: str
    seen: str


@dataclass(frozen=True, slots=True)
class Row:
    """One row of a table; empty cells read as "not given"."""

    cells: MappingProxyType[str, str]

    def text(self, column: str) -> str:
        """Cell as it stands."""
        return self.cells[column]

    def number(self, column: str) -> float:
        """Cell as a number, in the unit that the column's name carries."""
        return float(self.cells[column])

    def optional(self, column: str) -> float | None:
        """Cell as a number, None when not given."""
        return float(self.cells[column]) if self.cells[column] else None

    def words(self, column: str) -> tuple[str, ...]:
        """Cell as a list; entries are parted by semicolons."""
        return tuple(word.strip() for word in self.cells[column].split(";") if word.strip())

    @property
    def from_memory(self) -> bool:
        """True when no document was seen for the row."""
        return self.cells["from_memory"] == "yes"


def data_folder() -> Traversable:
    """Where the tables lie inside the installed package."""
    return files("shadewright.catalog") / "data"


def rows(table: str) -> tuple[Row, ...]:
    """All rows of ``data/<table>.csv``."""
    with (data_folder() / f"{table}.csv").open(encoding="utf-8") as stream:
        return tuple(Row(MappingProxyType(cells)) for cells in csv.DictReader(stream))


@cache
def sources() -> MappingProxyType[str, Source]:
    """All sources by key."""
    entries = tomllib.loads((data_folder() / "sources.toml").read_text(encoding="utf-8"))
    return MappingProxyType({key: Source(key=key, **entry) for key, entry in entries.items()})

"""Takes values out of a table read from a text file, and refuses what is wrong with them in words."""

from __future__ import annotations

import difflib
import math
from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from shadewright.errors import ValueProblem


class Table:
    """A table being read: each key is asked for once; ``finish`` refuses those nobody asked for."""

    def __init__(self, raw: Mapping[str, Any], where: str) -> None:
        self._raw = raw
        self._where = where
        self._asked: set[str] = set()

    def problem(self, what: str, cure: str) -> ValueProblem:
        """The refusal of something in this table."""
        return ValueProblem.of(what, cure, self._where)

    def has(self, key: str) -> bool:
        """Whether the key is stated."""
        return key in self._raw

    def _take(self, key: str) -> Any:
        self._asked.add(key)
        if key not in self._raw:
            raise self.problem(f"{key} is missing", f"add {key} = ...")
        return self._raw[key]

    def number(self, key: str) -> float:
        """A finite number."""
        return self._number(key, self._take(key))

    def whole(self, key: str) -> int:
        """A whole number."""
        value = self._take(key)
        if not isinstance(value, int) or isinstance(value, bool):
            raise self.problem(f"{key} is no whole number", "write one without quotes")
        return value

    def numbers(self, key: str) -> tuple[float, ...]:
        """A list of finite numbers."""
        value = self._take(key)
        if not isinstance(value, list):
            raise self.problem(f"{key} is no list", f"write {key} = [...]")
        return tuple(self._number(key, item) for item in value)

    def _number(self, key: str, value: Any) -> float:
        good = isinstance(value, int | float) and not isinstance(value, bool) and abs(value) < 1e300
        if not good or not math.isfinite(value):
            raise self.problem(f"{key} is no number", "write a number without quotes or unit")
        return float(value)

    def text(self, key: str) -> str:
        """A text."""
        value = self._take(key)
        if not isinstance(value, str):
            raise self.problem(f"{key} is no text", "write it in quotes")
        return value

    def truth(self, key: str) -> bool:
        """True or false."""
        value = self._take(key)
        if not isinstance(value, bool):
            raise self.problem(f"{key} is neither true nor false", "write one of them without quotes")
        return value

    def raw(self, key: str) -> Any:
        """A value as it stands, for readers that know its layout."""
        return self._take(key)

    def word(self, key: str, known: Sequence[str]) -> str:
        """One of the ``known`` words."""
        value = self.text(key)
        if value not in known:
            raise self.problem(f'{key} is "{value}"', f"write one of: {', '.join(known)}")
        return value

    def table(self, key: str) -> Table:
        """A table inside."""
        value = self._take(key)
        if not isinstance(value, Mapping):
            raise self.problem(f"{key} is no table", f"write {key} = {{ ... }}")
        return Table(value, f"{self._where}, {key}")

    def tables(self, key: str) -> Iterator[tuple[str, Table]]:
        """Named tables; none when the key is absent."""
        self._asked.add(key)
        group = self._raw.get(key, {})
        if not isinstance(group, Mapping) or not all(isinstance(item, Mapping) for item in group.values()):
            raise self.problem(f"{key} holds something that is no table", f"write [{key}.NAME]")
        for name, item in group.items():
            yield name, Table(item, f"{self._where}, [{key}.{name}]")

    def items(self, key: str) -> Iterator[Table]:
        """Tables in a list; none when the key is absent."""
        self._asked.add(key)
        group = self._raw.get(key, [])
        if not isinstance(group, list) or not all(isinstance(item, Mapping) for item in group):
            raise self.problem(f"{key} is no list of tables", f"write [[{key}]]")
        for place, item in enumerate(group, start=1):
            yield Table(item, f"{self._where}, {key} {place}")

    def finish(self) -> None:
        """Refuse keys that nobody asked for.

        Raises:
            ValueProblem: There is such a key.
        """
        for key in self._raw.keys() - self._asked:
            near = difflib.get_close_matches(key, sorted(self._asked), n=1, cutoff=0.6)
            cure = f'write "{near[0]}"' if near else f"known here: {', '.join(sorted(self._asked))}"
            raise self.problem(f'unknown key "{key}"', cure)

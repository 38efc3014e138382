"""Changes a value in ``lamp.toml``; comments, order and layout stay."""

from __future__ import annotations

import copy
import tomllib
from collections.abc import Mapping, MutableMapping
from pathlib import Path
from typing import Any

from shadewright.errors import FileProblem, UnknownName
from shadewright.files import read_text, write_whole
from shadewright.lamp.read import ReadLamp, parse_lamp

Value = str | float | int | bool | list[float]


def set_value(file: Path, keys: tuple[str, ...], value: Value) -> ReadLamp:
    """Set one key of a lamp file, e.g. ``("joint", "neck", "drawn_female")``; a missing last key is added.

    Raises:
        UnknownName: A table on the way does not exist.
        ValueProblem: With the new value it would be no lamp any more; the file is left as it was.
        FileProblem: The file cannot be read or written.
    """
    return set_values(file, {keys: value})


def set_values(file: Path, changes: Mapping[tuple[str, ...], Value]) -> ReadLamp:
    """Set several keys at once, all or none; see ``set_value``.

    Raises:
        UnknownName: A table on the way does not exist.
        ValueProblem: With the new values it would be no lamp any more; the file is left as it was.
        FileProblem: The file cannot be read or written.
    """
    import tomlkit

    text = read_text(file)
    parse_lamp(text, file)
    document, wanted = tomlkit.parse(text), tomllib.loads(text)
    for keys, value in changes.items():
        _put(document, keys, value, file)
        _put(wanted, keys, copy.copy(value), file)
    changed = tomlkit.dumps(document)
    read = parse_lamp(changed, file)
    if tomllib.loads(changed) != wanted:
        raise FileProblem.of(
            f"{file.name} is laid out in a way that cannot be changed safely", "change the value by hand", str(file)
        )
    write_whole(file, changed)
    return read


def _put(tables: MutableMapping[str, Any], keys: tuple[str, ...], value: Value, file: Path) -> None:
    *way, last = keys
    here: MutableMapping[str, Any] = tables
    for place, key in enumerate(way):
        inner = here.get(key)
        if not isinstance(inner, MutableMapping):
            raise UnknownName.among("table in this lamp", ".".join(keys[: place + 1]), list(here), file.name)
        here = inner
    here[last] = value

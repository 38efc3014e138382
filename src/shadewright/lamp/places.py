"""On which line of a TOML text each key stands."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from tree_sitter import Node

KeyPath = tuple[str | int, ...]
"""Keys from the top of the file down to a value; integers count the items of an array."""

_TABLES = ("table", "table_array_element")
_KEYS = ("bare_key", "quoted_key", "dotted_key")


def lines_of_keys(text: str) -> dict[KeyPath, int]:
    """Find the line, counted from 1, of every key and array item of a TOML document.

    Tables that are only implied (``part`` by ``[part.shade]``) stand where they are first named. Damaged text
    yields what can be made out.
    """
    import tree_sitter_toml
    from tree_sitter import Language, Parser

    tree = Parser(Language(tree_sitter_toml.language())).parse(text.encode())
    lines: dict[KeyPath, int] = {}
    waiting: list[tuple[Node, KeyPath]] = [(tree.root_node, ())]
    while waiting:
        node, base = waiting.pop()
        waiting.extend(reversed(_visit(node, base, lines)))
    return lines


def _visit(node: Node, base: KeyPath, lines: dict[KeyPath, int]) -> list[tuple[Node, KeyPath]]:
    """Note where ``node`` stands; answer what to look into next, and under which keys."""
    children = [child for child in node.named_children if child.type != "comment"]
    if node.type == "array":
        inside = []
        for place, child in enumerate(children):
            lines.setdefault((*base, place), child.start_point.row + 1)
            inside.append((child, (*base, place)))
        return inside
    if node.type in _TABLES or node.type == "pair":
        keys = [child for child in children if child.type in _KEYS]
        path = base if not keys else _noted(keys[0], base, lines)
        return [(child, path) for child in children if child not in keys[:1]]
    return [(child, base) for child in children]


def _noted(key: Node, base: KeyPath, lines: dict[KeyPath, int]) -> KeyPath:
    """Note the line of every step of a dotted key; answer the whole path."""
    path = base
    for name in _names(key):
        path = (*path, name)
        lines.setdefault(path, key.start_point.row + 1)
    return path


def _names(key: Node) -> list[str]:
    """The names in a key: tomllib knows the rules of quoting."""
    text = (key.text or b"").decode(errors="replace")
    try:
        table = tomllib.loads(f"{text} = 0")
    except (ValueError, RecursionError):
        return [text]
    names = []
    while isinstance(table, dict):
        ((name, table),) = table.items()
        names.append(name)
    return names


def line_of(path: KeyPath, lines: Mapping[KeyPath, int]) -> int | None:
    """The line of ``path``, or of the nearest thing around it that has one."""
    for length in range(len(path), 0, -1):
        if path[:length] in lines:
            return lines[path[:length]]
    return None

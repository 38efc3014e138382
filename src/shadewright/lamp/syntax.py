"""Says in a sentence why a text is not TOML, and how to mend the line."""

from __future__ import annotations

import re

from shadewright.errors import Problem
from shadewright.lamp.units import in_millimetres, tidy

_PLACE = re.compile(r" \((?:at line (?P<line>\d+), column (?P<column>\d+)|at end of document)\)$")
_TWICE = re.compile(r"Cannot declare \((?P<keys>.*?),?\) twice")
_AFTER_EQUALS = re.compile(r"=\s*(?P<value>[^#\"'\[{][^#]*)")
_LINES_MEANT = (
    ("Expected '='", "a key without = and a value", "write key = value, or [table] for a heading"),
    ("Invalid initial character for a key", "a line that begins with no key", "write key = value"),
    (
        "Invalid statement",
        "a line that is neither key = value nor [table]",
        "mend or delete it, or put # before a note",
    ),
    ("Invalid value", "a value that is no number, text, list or true/false", "put text in quotes"),
    ("Expected newline", "something is left behind the value", "write one key = value per line"),
    (
        "Cannot overwrite a value",
        "a key or table that stands here for the second time",
        "keep one, or rename the other",
    ),
    ("Duplicate inline table key", "a key that stands twice in one pair of braces", "keep one of them"),
    ("Cannot mutate", "a table that was already closed", "put all its keys in one place"),
    ("Cannot redefine", "a table that was already stated in another way", "put all its keys in one place"),
    ("Unterminated string", "a text whose closing quote is missing", "close the quotes"),
    ("Unclosed", "a bracket that is never closed", "close it"),
    ("Unescaped '\\'", "a backslash in a text", "write paths with / instead of \\"),
    ("Illegal character '\\n'", "a text whose closing quote is missing", "close the quotes on the same line"),
    ("at the end of a table declaration", "a heading whose bracket is not closed", "write [table]"),
    ("Illegal character", "a character that may not stand here", "delete it"),
)


def syntax_problem(error: ValueError, text: str, file_name: str) -> Problem:
    """Turn tomllib's complaint about ``text`` into a problem with line, column and cure."""
    message = str(error)
    place = _PLACE.search(message)
    lines = text.split("\n")
    line_number, where = len(lines), f"{file_name}, at its end"
    if place and place["line"]:
        line_number = int(place["line"])
        where = f"{file_name}, line {line_number}, column {place['column']}"
    line = lines[line_number - 1] if 0 < line_number <= len(lines) else ""
    complaint = _PLACE.sub("", message)
    what, cure = _clauses(complaint)
    return Problem(what=what, cure=_better_value(line, complaint) or cure, where=where)


def _clauses(complaint: str) -> tuple[str, str]:
    if twice := _TWICE.match(complaint):
        name = twice["keys"].replace("', '", ".").strip("'")
        return f"the table [{name}] stands here for the second time", "give it another name, or delete one"
    for sign, what, cure in _LINES_MEANT:
        if sign in complaint:
            return what, cure
    return f"this is not TOML ({complaint[:1].lower()}{complaint[1:]})", "mend the line"


def _better_value(line: str, complaint: str) -> str:
    """What to write for a number with a unit or a decimal comma, or for a bare word."""
    found = _AFTER_EQUALS.search(line)
    if not found or not complaint.startswith(("Expected newline", "Invalid value")):
        return ""
    value = found["value"].strip()
    return _instead_of(value) if value else "write a value behind the ="


def _instead_of(value: str) -> str:
    if value.lower() in ("yes", "no", "true", "false", "on", "off"):
        return f"write {'true' if value.lower() in ('yes', 'true', 'on') else 'false'}"
    if re.fullmatch(r"[+-]?\d+,\d+", value):
        return f"write {value.replace(',', '.')} (the decimal sign is a point)"
    millimetres = in_millimetres(value)
    if millimetres is not None:
        return f"write {tidy(millimetres)} (all lengths are mm)"
    if re.fullmatch(r"[^\W\d][\w .+-]*", value):
        return f'put text in quotes: "{value}"'
    return ""

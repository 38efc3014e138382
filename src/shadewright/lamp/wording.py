"""Says in a sentence what is wrong with one value of ``lamp.toml``, and what to write instead."""

from __future__ import annotations

import difflib
import re
from collections.abc import Callable, Mapping, Sequence
from typing import TYPE_CHECKING, Any

from pydantic import BaseModel

from shadewright.lamp.carrying import Bracket, Held, KeyholeDetails, Wall
from shadewright.lamp.fixed import ChannelDetails, PocketDetails, SeatDetails
from shadewright.lamp.model import Bought, Joint, Lamp, LampHead, Part, Printing, Readings, Surroundings
from shadewright.lamp.moving import PivotDetails, SnapDetails, TwistDetails
from shadewright.lamp.places import KeyPath
from shadewright.lamp.stack import Stack, StackMember
from shadewright.lamp.units import bare_number, in_millimetres, tidy
from shadewright.lamp.warm import Warm

if TYPE_CHECKING:
    from pydantic_core import ErrorDetails

TABLES: Mapping[tuple[str, ...], type[BaseModel]] = {
    (): Lamp,
    ("lamp",): LampHead,
    ("printing",): Printing,
    ("surroundings",): Surroundings,
    ("warm",): Warm,
    ("surroundings", "*"): Wall,
    ("surroundings", "*", "keyhole"): KeyholeDetails,
    ("bought", "*"): Bought,
    ("bought", "*", "readings"): Readings,
    ("part", "*"): Part,
    ("part", "*", "bracket"): Bracket,
    ("joint", "*"): Joint,
    ("joint", "*", "snap"): SnapDetails,
    ("joint", "*", "twist"): TwistDetails,
    ("joint", "*", "pivot"): PivotDetails,
    ("joint", "*", "pocket"): PocketDetails,
    ("joint", "*", "seat"): SeatDetails,
    ("joint", "*", "channel"): ChannelDetails,
    ("stack", "*"): Stack,
    ("stack", "*", "members", "*"): StackMember,
    ("joint", "*", "held"): Held,
}

LENGTHS = frozenset(
    (
        *("diameter", "tolerance", "nominal", "length", "drawn_male", "drawn_female", "liner_wall"),
        *("nozzle", "layer", "over", "outside", "inside", "size"),
        *("arm", "thickness", "width", "undercut", "opening", "lug_height", "lug_width", "lug_thickness", "detent"),
        *("wall", "bore", "tongue", "ear", "cheek"),
        *("boss_wall", "bend_radius", "grip_diameter", "grip_height"),
    )
)
UNITS = dict.fromkeys(LENGTHS, " mm") | {"watts": " W", "room_temp_c": " °C", "summer_c": " °C", "most_watts": " W"}
UNITS |= {"load_n": " N", "torque_nm": " N·m"}
UNITS |= dict.fromkeys(("lead_deg", "return_deg", "turn_deg"), " degrees")

MEANT = {
    "material": "plastic",
    "filament": "plastic",
    "type": "kind",
    "file": "model",
    "mesh": "model",
    "fit": "feel",
    "size": "nominal",
    "bore": "drawn_female",
    "shaft": "drawn_male",
    "quantity": "count",
    "qty": "count",
    "amount": "count",
    "number": "copies",
    "orientation": "up",
    "units": "unit",
    "od": "outside",
    "id": "inside",
    "power": "watts",
    "layer_height": "layer",
    "nozzle_diameter": "nozzle",
    "environment": "surroundings",
    "settings": "printing",
    "title": "name",
}
"""Keys people try, and what they are called here."""


def what_and_cure(error: ErrorDetails, raw: Mapping[str, Any]) -> tuple[str, str]:
    """The mistake and its cure, each a clause; ``raw`` is the whole file as read."""
    path: KeyPath = tuple(error["loc"])
    if error["type"] == "extra_forbidden":
        return _unknown(path, raw)
    for kinds, say in _SAYERS:
        if error["type"] in kinds:
            return say(path, error)
    return f"{_label(path)} is {_shown(error['input'])}", error["msg"][0].lower() + error["msg"][1:]


def table_name(path: Sequence[str | int]) -> str:
    """How a table is written in the file."""
    return "[" + ".".join(str(step) for step in path) + "]"


def keys_at(path: Sequence[str | int]) -> list[str]:
    """The keys a table may hold; none for tables whose keys are free."""
    pattern = tuple("*" if place == 1 or isinstance(step, int) else str(step) for place, step in enumerate(path))
    model = TABLES.get(pattern)
    return [field.alias or name for name, field in model.model_fields.items()] if model else []


def _label(path: KeyPath) -> str:
    *table, last = path
    if isinstance(last, int):
        return f"number {last + 1} of {_label(tuple(table))}"
    return f"{last} in {table_name(table)}" if table else str(last)


def _shown(value: Any) -> str:
    if isinstance(value, bool):
        return str(value).lower()
    if isinstance(value, str):
        return f'"{value if len(value) <= 40 else value[:37] + "..."}"'
    if isinstance(value, list | Mapping):
        return "a list" if isinstance(value, list) else "a table"
    if isinstance(value, int):
        return str(value) if abs(value) < 10**15 else "a huge number"
    return tidy(value) if isinstance(value, float) and value % 1 else str(value)


def _key(path: KeyPath) -> str:
    """The last named key on the way."""
    return next((step for step in reversed(path) if isinstance(step, str)), "")


def _unknown(path: KeyPath, raw: Mapping[str, Any]) -> tuple[str, str]:
    table, key = path[:-1], str(path[-1])
    beside: Any = raw
    for step in table:
        beside = beside[step]
    known = [name for name in keys_at(table) if name not in beside]
    near = difflib.get_close_matches(key.lower(), known, n=3, cutoff=0.6)
    meant = MEANT.get(key.lower().replace("-", "_"))
    word = meant if meant in known else min(near, key=lambda name: abs(len(name) - len(key)), default=None)
    what = f'unknown key "{key}"' + (f" in {table_name(table)}" if table else "")
    return what, f'write "{word}"' if word else f"known here: {', '.join(keys_at(table))}"


def _missing(path: KeyPath, error: ErrorDetails) -> tuple[str, str]:
    if path == ("lamp",):
        return "there is no [lamp] table", 'begin the file with [lamp] and name = "..."'
    example = {"name": '"..."', "model": '"models/..."', "kind": '"..."', "male": '"..."', "female": '"..."'}
    key = str(path[-1])
    return f"{table_name(path[:-1])} has no {key}", f"add {key} = {example.get(key, '...')}"


def _no_number(path: KeyPath, error: ErrorDetails) -> tuple[str, str]:
    value, key = error["input"], _key(path)
    what = f"{_label(path)} is {_shown(value)}"
    if isinstance(value, str):
        millimetres = in_millimetres(value) if key in LENGTHS else None
        if millimetres is not None:
            return what, f"write {tidy(millimetres)} (all lengths are mm)"
        number = None if key in LENGTHS else bare_number(value)
        if number is not None:
            return what, f"write {tidy(number)}, without quotes or unit"
    if isinstance(value, list) and len(value) == 1 and isinstance(value[0], int | float):
        return what, f"write {_shown(value[0])}, without brackets"
    if error["type"] == "int_type" and isinstance(value, float) and value.is_integer():
        return what, f"write {value:.0f}"
    kind = "a whole number" if error["type"] == "int_type" else "a number"
    return what, f"write {kind}" + (f" of{UNITS[key]}" if key in UNITS else "")


def _no_text(path: KeyPath, error: ErrorDetails) -> tuple[str, str]:
    value = error["input"]
    scalar = not isinstance(value, list | Mapping)
    return f"{_label(path)} is {_shown(value)}", (
        f'write it in quotes: "{_shown(value)}"' if scalar else "write one text in quotes"
    )


def _no_truth(path: KeyPath, error: ErrorDetails) -> tuple[str, str]:
    value = error["input"]
    yes = str(value).strip().lower() in ("yes", "true", "on", "y", "1")
    no = str(value).strip().lower() in ("no", "false", "off", "n", "0")
    wanted = "true" if yes else "false" if no else "true or false"
    return f"{_label(path)} is {_shown(value)}", f"write {wanted}, without quotes"


def _no_choice(path: KeyPath, error: ErrorDetails) -> tuple[str, str]:
    value, what = error["input"], f"{_label(path)} is {_shown(error['input'])}"
    if path == ("schema",):
        if isinstance(value, int) and not isinstance(value, bool) and value > 1:
            return what, "this file was written for a newer shadewright, so update shadewright"
        return what, "write 1"
    expected = re.findall(r"'([^']+)'", str((error.get("ctx") or {}).get("expected", "")))
    near = difflib.get_close_matches(value.lower(), expected, n=1, cutoff=0.5) if isinstance(value, str) else []
    offers = near or [word for word in expected if word.endswith(str(value)) and value] or expected
    return what, "write " + " or ".join(f'"{word}"' for word in offers)


def _out_of_bounds(path: KeyPath, error: ErrorDetails) -> tuple[str, str]:
    value, key, limits = error["input"], _key(path), error.get("ctx") or {}
    what = f"{_label(path)} is {_shown(value)}{UNITS.get(key, '')}"
    if key == "infill" and 1 < value <= 100:
        return what, f"write {tidy(value / 100)} (a fraction, not percent)"
    words = {"gt": "above", "ge": "at least", "le": "at most", "lt": "below"}
    bound, limit = next((words[name], limits[name]) for name in words if name in limits)
    return what, f"it must be {bound} {tidy(float(limit))}{UNITS.get(key, '')}"


def _not_finite(path: KeyPath, error: ErrorDetails) -> tuple[str, str]:
    return f"{_label(path)} is {_shown(error['input'])}", "write an ordinary number"


def _no_table(path: KeyPath, error: ErrorDetails) -> tuple[str, str]:
    value, free = error["input"], path[0] in ("bought", "part", "joint") and len(path) == 1
    header = table_name((*path, "NAME") if free else path)
    doubled = isinstance(value, list) and all(isinstance(item, Mapping) for item in value)
    what = f"{_label(path)} is written [[...]] or as a list" if doubled else f"{_label(path)} is {_shown(value)}"
    return what, f"write a table: {header}"


def _no_list(path: KeyPath, error: ErrorDetails) -> tuple[str, str]:
    value = error["input"]
    millimetres = in_millimetres(value) if isinstance(value, str) and _key(path) in LENGTHS else None
    item = value if millimetres is None else millimetres
    scalar = not isinstance(item, list | Mapping)
    return f"{_label(path)} is {_shown(value)}", f"write a list: [{_shown(item) if scalar else '...'}]"


def _too_short(path: KeyPath, error: ErrorDetails) -> tuple[str, str]:
    return f"{_label(path)} is empty", "write at least one character"


def _too_long(path: KeyPath, error: ErrorDetails) -> tuple[str, str]:
    most = (error.get("ctx") or {}).get("max_length")
    return f"{_label(path)} is {_shown(error['input'])}", f"write at most {most} characters"


_SAYERS: tuple[tuple[frozenset[str], Callable[[KeyPath, ErrorDetails], tuple[str, str]]], ...] = tuple(
    (frozenset(kinds.split()), say)
    for kinds, say in (
        ("missing", _missing),
        ("float_type int_type int_from_float int_parsing_size", _no_number),
        ("string_type path_type", _no_text),
        ("bool_type", _no_truth),
        ("enum literal_error", _no_choice),
        ("greater_than greater_than_equal less_than less_than_equal", _out_of_bounds),
        ("finite_number", _not_finite),
        ("model_type dict_type", _no_table),
        ("list_type", _no_list),
        ("string_too_short", _too_short),
        ("string_too_long", _too_long),
    )
)

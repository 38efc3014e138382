"""Checks of ``lamp.toml`` that look at more than one value at a time."""

from __future__ import annotations

import difflib
import os
import re
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from pathlib import Path, PurePosixPath
from typing import Any

from shadewright.errors import UnknownName
from shadewright.fit.joint import JointKind
from shadewright.lamp.places import KeyPath
from shadewright.lamp.stack import stack_mistakes
from shadewright.lamp.warm import warm_mistakes
from shadewright.printing import LAYER_PER_NOZZLE

MODEL_SUFFIXES = frozenset((".stl", ".3mf", ".obj", ".ply", ".glb", ".step", ".stp"))
"""Model files offered when a name is wrong."""

SIZED = (JointKind.SLIDE, JointKind.PUSH)
"""Joints that need a size of their own; a thread has its size from the tables."""

Table = Mapping[str, Any]
Mistake = tuple[KeyPath, str, str]
"""Where, what, cure."""


def mistakes(raw: Table, folder: Path) -> Iterator[Mistake]:
    """Everything that does not go together in the tables as read, whatever else is wrong with them."""
    names = {kind: _named_tables(raw, kind) for kind in ("part", "bought", "joint", "stack")}
    for kind, tables in names.items():
        yield from _name_mistakes(kind, tables)
    for name in names["part"].keys() & names["bought"].keys():
        yield ("part", name), f'"{name}" is both a part and a bought thing', "rename one of them"
    yield from _layer_mistakes(raw, names["part"])
    for name, part in names["part"].items():
        yield from _model_mistakes(("part", name, "model"), part.get("model"), folder)
        yield from _carried_mistakes(("part", name, "bracket"), part, names)
    for name, bought in names["bought"].items():
        yield from _bought_mistakes(("bought", name), bought)
    for name, joint in names["joint"].items():
        yield from _joint_mistakes(("joint", name), joint, names["part"], names["bought"])
        yield from _carried_mistakes(("joint", name, "held"), joint, names)
    for name, stack in names["stack"].items():
        yield from stack_mistakes(("stack", name), stack, names["part"], names["bought"])
    yield from _keyhole_mistakes(raw, names["part"])
    yield from warm_mistakes(raw, names["part"], names["bought"])


def _named_tables(raw: Table, kind: str) -> dict[str, Table]:
    group = raw.get(kind)
    if not isinstance(group, Mapping):
        return {}
    return {name: table for name, table in group.items() if isinstance(table, Mapping)}


def _name_mistakes(kind: str, names: Iterable[str]) -> Iterator[Mistake]:
    """Names become file names and headings, so they are kept plain."""
    for name in names:
        if not re.fullmatch(r"[\w][\w .+-]{0,59}", name) or name != name.strip(" ."):
            yield (
                (kind, name),
                f"{name[:60]!r} cannot be the name of a {kind}"
                if kind != "bought"
                else f"{name[:60]!r} cannot be a name",
                "use 1 to 60 letters, digits, spaces, and . + - _",
            )


def _number(table: Any, key: str) -> float | None:
    value = table.get(key) if isinstance(table, Mapping) else None
    return value if isinstance(value, int | float) and not isinstance(value, bool) else None


def _text(table: Table, key: str) -> str:
    value = table.get(key)
    return value if isinstance(value, str) else ""


def _layer_mistakes(raw: Table, parts: Mapping[str, Table]) -> Iterator[Mistake]:
    printing = raw.get("printing", {})
    nozzle = _number(printing, "nozzle") or 0.4
    for path, table in ((("printing", "layer"), printing), *((("part", n, "layer"), p) for n, p in parts.items())):
        layer = _number(table, "layer")
        if layer is not None and 0.1 <= nozzle <= 2 and LAYER_PER_NOZZLE * nozzle + 1e-9 < layer <= 1.2:
            yield (
                path,
                f"a layer of {layer:g} mm is too thick for a nozzle of {nozzle:g} mm",
                f"write at most {LAYER_PER_NOZZLE * nozzle:.4g}",
            )


def _model_mistakes(path: KeyPath, model: Any, folder: Path) -> Iterator[Mistake]:
    if not isinstance(model, str):
        return
    if not model.strip() or "\0" in model:
        yield path, "the model has no file name", 'write e.g. "models/shade.stl"'
    elif _leaves(slashed := model.replace("\\", "/"), folder):
        yield (
            path,
            f'the model "{model}" lies outside the lamp\'s folder',
            f'copy it into models/ and write "models/{PurePosixPath(slashed).name}"',
        )
    elif slashed != model:
        yield path, f'the model path "{model}" has backslashes', f'write "{slashed}"'
    elif not _is_file(folder / model):
        near = difflib.get_close_matches(model, _models_in(folder), n=3, cutoff=0.4)
        offer = " or ".join(f'"{name}"' for name in near)
        yield path, f'there is no file "{model}"', f"write {offer}" if near else "put the model there, or mend the path"


def _leaves(model: str, folder: Path) -> bool:
    if PurePosixPath(model).is_absolute() or re.match(r"[A-Za-z]:", model) or model.startswith("~"):
        return True
    try:
        return not (folder / model).resolve().is_relative_to(folder.resolve())
    except (OSError, RuntimeError, ValueError):
        return False  # not a file either, which is said elsewhere


def _is_file(path: Path) -> bool:
    try:
        return path.is_file()
    except (OSError, ValueError):  # names too long for the file system
        return False


def _models_in(folder: Path, most: int = 2000) -> list[str]:
    """Model files in the lamp's folder, relative to it, ``out`` left aside."""
    found: list[str] = []
    for here, folders, files in os.walk(folder):
        folders[:] = [name for name in folders if name != "out" and not name.startswith(".")]
        found += [
            (Path(here) / name).relative_to(folder).as_posix()
            for name in files
            if Path(name).suffix.lower() in MODEL_SUFFIXES
        ]
        if len(found) >= most:
            break
    return found


def _bought_mistakes(path: KeyPath, bought: Table) -> Iterator[Mistake]:
    if thread := _text(bought, "thread"):
        yield from _thread_mistakes((*path, "thread"), thread)
    yield from _card_mistakes((*path, "card"), _text(bought, "kind"), _text(bought, "card"))
    readings = bought.get("readings")
    if not isinstance(readings, Mapping):
        return
    if ("crests" in readings) != ("over" in readings):
        present, absent = ("crests", "over") if "crests" in readings else ("over", "crests")
        yield (
            (*path, "readings", present),
            f"{present} is stated without {absent}",
            "state both: crests counts crests, over is the length in mm they span",
        )
    if not readings.get("outside") and not readings.get("inside"):
        yield (*path, "readings"), "the readings hold no diameter", "add outside = [...] or inside = [...] in mm"


def _card_mistakes(path: KeyPath, kind: str, card: str) -> Iterator[Mistake]:
    from shadewright.catalog import hardware, lookup

    cards = {"bulb": lookup.bulb, "holder": lookup.holder, "cord": lookup.cord, "glue": lookup.glue}
    cards |= {"nut": hardware.nut, "insert": hardware.insert, "magnet": hardware.magnet}
    if card and kind in cards:
        yield from _looked_up(path, cards[kind], card)


def _thread_mistakes(path: KeyPath, name: str) -> Iterator[Mistake]:
    from shadewright.catalog.lookup import thread

    yield from _looked_up(path, thread, name)


def _looked_up(path: KeyPath, look_up: Callable[[str], object], name: str) -> Iterator[Mistake]:
    try:
        look_up(name)
    except UnknownName as unknown:
        for problem in unknown.problems:
            yield path, problem.what, problem.cure


def _joint_mistakes(
    path: KeyPath, joint: Table, parts: Mapping[str, Table], bought: Mapping[str, Table]
) -> Iterator[Mistake]:
    sides = {sex: _text(joint, sex) for sex in ("male", "female")}
    for sex, name in sides.items():
        if name and name not in parts and name not in bought:
            yield (*path, sex), f'no part or bought thing is called "{name}"', _offer(name, [*parts, *bought])
    male, female = sides["male"], sides["female"]
    if male and male == female:
        yield (*path, "female"), f'"{male}" is male and female at once', "name the two things that meet"
    elif male in bought and female in bought:
        yield (*path, "female"), f'"{male}" and "{female}" are both bought', "a joint needs one part that is printed"
    elif (drawn := _text(joint, "draw")) and sides.get(drawn, "") in bought:
        other = "female" if drawn == "male" else "male"
        yield (*path, "draw"), f'the {drawn} side "{sides[drawn]}" is bought', f'write draw = "{other}"'
    kind, things = _text(joint, "kind"), [bought[name] for name in (male, female) if name in bought]
    if kind == JointKind.THREAD:
        yield from _thread_joint_mistakes(path, joint, things)
        return
    if _text(joint, "thread"):
        yield (*path, "thread"), f'a joint of kind "{kind}" has no thread', 'write kind = "thread", or leave thread out'
    if kind in SIZED and all(name in parts or name in bought for name in (male, female)):
        yield from _size_mistakes(path, joint, [(name, bought[name]) for name in (male, female) if name in bought])


def _thread_joint_mistakes(path: KeyPath, joint: Table, things: Sequence[Table]) -> Iterator[Mistake]:
    if thread := _text(joint, "thread"):
        yield from _thread_mistakes((*path, "thread"), thread)
    elif not any(_text(thing, "thread") or isinstance(thing.get("readings"), Mapping) for thing in things):
        yield (
            path,
            "this thread joint names no thread",
            'add thread = "...", or give the bought side its thread or readings ("shadewright thread" names it)',
        )


def _size_mistakes(path: KeyPath, joint: Table, things: Sequence[tuple[str, Table]]) -> Iterator[Mistake]:
    for name, thing in things:
        measured = isinstance(thing.get("readings"), Mapping)
        if "diameter" not in thing and not measured and not _text(thing, "thread"):
            yield ("bought", name), f'"{name}" meets a part but has no size', "add diameter = ... in mm, by caliper"
    if not things and not any(key in joint for key in ("nominal", "drawn_male", "drawn_female")):
        yield path, "this joint states no size", "add nominal = ... (what both sides share, in mm)"


def _carried_mistakes(path: KeyPath, owner: Table, names: Mapping[str, Mapping[str, Table]]) -> Iterator[Mistake]:
    """Names in a ``carries`` list that nothing has."""
    table = owner.get(str(path[-1]))
    carried = table.get("carries") if isinstance(table, Mapping) else None
    known = [*names["part"], *names["bought"]]
    for place, name in enumerate(carried if isinstance(carried, list) else []):
        if isinstance(name, str) and name not in known:
            yield (*path, "carries", place), f'no part or bought thing is called "{name}"', _offer(name, known)


def _keyhole_mistakes(raw: Table, parts: Mapping[str, Table]) -> Iterator[Mistake]:
    table: Any = raw
    for key in ("surroundings", "wall", "keyhole"):
        table = table.get(key) if isinstance(table, Mapping) else None
    name = _text(table, "part") if isinstance(table, Mapping) else ""
    if name and name not in parts:
        yield ("surroundings", "wall", "keyhole", "part"), f'no part is called "{name}"', _offer(name, list(parts))


def _offer(name: str, known: Sequence[str]) -> str:
    near = difflib.get_close_matches(name, known, n=2, cutoff=0.5)
    if near:
        return "write " + " or ".join(f'"{match}"' for match in near)
    if not known:
        return f"add a table [part.{name}] or [bought.{name}]"
    return "known here: " + ", ".join(known[:8])

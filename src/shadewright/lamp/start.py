"""Starts a lamp: a folder with a file that explains itself and one small model to try it on."""

from __future__ import annotations

import json
from importlib import resources
from pathlib import Path

from shadewright.errors import FileProblem, ValueProblem
from shadewright.files import write_whole
from shadewright.lamp.read import FILE_NAME, read_lamp

NAME_IN_TEMPLATE = '"a new lamp"'
COLLAR = "collar"
COLLAR_BORE, COLLAR_LENGTH, COLLAR_WALL = 34.3, 20.0, 2.4
"""Sizes of the model every new lamp has [mm]; ``start.toml`` states the same bore and length."""


def start_lamp(folder: Path, name: str) -> tuple[Path, ...]:
    """Make ``folder`` a lamp called ``name``; answer the files written, lamp.toml first.

    Raises:
        FileProblem: The folder holds something already, or cannot be written.
        ValueProblem: Nothing can have that name.
    """
    if not name.strip() or len(name) > 80 or not name.isprintable():
        raise ValueProblem.of(f"{name!r} cannot be the name of a lamp", "use 1 to 80 printable characters", "--name")
    _require_free(folder)
    template = (resources.files("shadewright.lamp") / "start.toml").read_text(encoding="utf-8")
    text = template.replace(NAME_IN_TEMPLATE, json.dumps(name, ensure_ascii=False))
    model = _write_collar(folder / "models" / f"{COLLAR}.3mf")
    file = write_whole(folder / FILE_NAME, text)
    read_lamp(folder)
    return (file, model)


def _require_free(folder: Path) -> None:
    """Refuse a folder in which something could be overwritten; hidden files do not count."""
    try:
        if folder.exists() and not folder.is_dir():
            raise FileProblem.of("this is a file", "name a new folder", str(folder))
        taken = sorted(entry.name for entry in folder.iterdir() if entry.name[0] != ".") if folder.exists() else []
    except FileProblem:
        raise
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or str(error)
        raise FileProblem.of(f"this folder cannot be used ({reason})", "name another folder", str(folder)) from None
    if FILE_NAME in taken:
        raise FileProblem.of(
            "there is a lamp in this folder already", f'study it with "shadewright study {folder}"', str(folder)
        )
    if taken:
        raise FileProblem.of(f'this folder is not empty (it holds "{taken[0]}")', "name a new folder", str(folder))


def _write_collar(path: Path) -> Path:
    from shadewright.solid.plain_features import Socket, plain_solid
    from shadewright.solid.write import write_3mf

    collar = plain_solid(Socket(bore=COLLAR_BORE, length=COLLAR_LENGTH, wall=COLLAR_WALL))
    return write_3mf(path, [collar.named(COLLAR)], title=COLLAR)

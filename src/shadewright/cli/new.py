"""``shadewright new``: start a lamp folder."""

from __future__ import annotations

from argparse import ArgumentParser, Namespace
from pathlib import Path

from shadewright.cli.command import Answer


def add_arguments(parser: ArgumentParser) -> None:
    """Declare the folder and the lamp's name."""
    parser.add_argument("folder", type=Path, metavar="FOLDER", help="the lamp's folder; made if it is not there")
    parser.add_argument("--name", help="name of the lamp (default: that of the folder)")


def run(options: Namespace) -> Answer:
    """Write lamp.toml and models/, and say what to do next."""
    from shadewright.lamp.start import start_lamp

    folder: Path = options.folder
    name = options.name if options.name is not None else folder.resolve().name
    files = start_lamp(folder, name)
    shown = f'"{folder}"' if " " in str(folder) else str(folder)
    text = f"""Started "{name}" in {folder}.

Next:
  1. Study it as it is:         shadewright study {shown}
  2. Say what your lamp is:     {files[0]} explains itself
  3. Put your models into:      {files[1].parent} ({files[1].name} is only there to begin with)
  4. Unsure which thread the bought part has?  shadewright thread --help"""
    return Answer(data={"name": name, "folder": folder, "files": files}, text=text)

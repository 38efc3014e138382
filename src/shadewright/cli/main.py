"""The ``shadewright`` command: finds the command asked for, loads only that one, prints its answer."""

from __future__ import annotations

import argparse
import importlib
import json
import sys
from collections.abc import Sequence
from typing import cast

from shadewright import __version__
from shadewright.cli.command import USAGE, Answer, CommandModule
from shadewright.errors import UserError

COMMANDS: dict[str, tuple[str, str]] = {
    "new": ("shadewright.cli.new", "start a lamp folder with a lamp.toml that explains itself"),
    "thread": ("shadewright.cli.thread", "name a bought thread from caliper readings"),
    "size": ("shadewright.cli.size", "say what to draw so that one joint has the wanted feel"),
    "make": ("shadewright.cli.make", "write a mating solid: threaded ring or stud, socket, pin"),
    "trial": ("shadewright.cli.trial", "write the smallest print that settles a joint"),
    "part": ("shadewright.cli.part", "check one model file, layer by layer"),
    "study": ("shadewright.cli.study", "study a whole lamp; write study.html and the build sheet"),
    "bench": ("shadewright.cli.bench", "what you print with: printers, plastics, how they come out"),
    "catalog": ("shadewright.cli.catalog", "look up threads, holders, bulbs, plastics, glues, cords"),
}


def _parser(chosen: str | None) -> argparse.ArgumentParser:
    """Build the parser; only the chosen command's module is imported."""
    parser = argparse.ArgumentParser(
        prog="shadewright",
        description="Printed light fittings around bought parts: threads, joints, layers, paper.",
        epilog="Exit code: 0 all sound, 1 something is failing, 2 an input must be mended.",
    )
    parser.add_argument("--version", action="version", version=f"shadewright {__version__}")
    commands = parser.add_subparsers(dest="command", metavar="COMMAND", required=True)
    for name, (module_name, summary) in COMMANDS.items():
        command = commands.add_parser(name, help=summary, description=summary[0].upper() + summary[1:] + ".")
        if name == chosen:
            module = cast(CommandModule, importlib.import_module(module_name))
            module.add_arguments(command)
            command.add_argument("--json", action="store_true", help="print the answer as JSON")
            command.set_defaults(module=module)
    return parser


def main(arguments: Sequence[str] | None = None) -> int:
    """Run one command and return its exit code."""
    words = list(sys.argv[1:] if arguments is None else arguments)
    chosen = next((word for word in words if not word.startswith("-")), None)
    options = _parser(chosen).parse_args(words)
    module = cast(CommandModule, options.module)
    try:
        answer: Answer = module.run(options)
    except UserError as error:
        _tell(error, as_json=options.json)
        return USAGE
    if options.json:
        from shadewright.plain import to_json

        print(to_json(answer.data))
    else:
        print(answer.text)
    return answer.exit_code


def _tell(error: UserError, *, as_json: bool) -> None:
    if as_json:
        problems = [{"what": p.what, "where": p.where, "cure": p.cure} for p in error.problems]
        print(json.dumps({"problems": problems}, indent=2, ensure_ascii=False))
    else:
        print(error, file=sys.stderr)

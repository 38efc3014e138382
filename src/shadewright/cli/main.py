"""The ``shadewright`` command: finds the command asked for, loads only that one, prints its answer."""

from __future__ import annotations

import contextlib
import importlib
import json
import os
import sys
import traceback
from collections.abc import Sequence
from typing import Any, TextIO, cast

from shadewright import __version__
from shadewright.cli.command import FAULT, STOPPED, USAGE, Answer, CommandModule
from shadewright.cli.words import WordsParser
from shadewright.errors import UnknownName, UserError

COMMANDS: dict[str, tuple[str, str]] = {
    "new": ("shadewright.cli.new", "start a lamp folder with a lamp.toml that explains itself"),
    "thread": ("shadewright.cli.thread", "name a bought thread from caliper readings"),
    "size": ("shadewright.cli.size", "say what to draw so that one joint has the wanted feel"),
    "make": ("shadewright.cli.make", "write a mating solid: threaded ring or stud, socket, pin"),
    "trial": ("shadewright.cli.trial", "write the smallest print that settles a joint"),
    "trial record": ("shadewright.cli.trial_record", "keep how the rungs of a trial felt; say what to draw now"),
    "trial list": ("shadewright.cli.trial_list", "trials on the bench, and how they felt"),
    "find": ("shadewright.cli.find", "list the bores, bosses, slots and threads of a model, with their sizes"),
    "part": ("shadewright.cli.part", "check one model file, layer by layer"),
    "study": ("shadewright.cli.study", "study a whole lamp; write study.html and the build sheet"),
    "bench": ("shadewright.cli.bench", "what you print with: printers, plastics, how they come out"),
    "catalog": ("shadewright.cli.catalog", "look up threads, holders, bulbs, plastics, glues, cords"),
}

TRACE_VARIABLE = "SHADEWRIGHT_TRACE"
"""Environment variable: set to 1 to see where in the program a fault happened."""


def main(arguments: Sequence[str] | None = None) -> int:
    """Run one command and return its exit code."""
    words, as_json = _without_json(sys.argv[1:] if arguments is None else arguments)
    for stream in (sys.stdout, sys.stderr):
        _forgive_encoding(stream)
    try:
        return _run(words, as_json=as_json)
    except SystemExit as stop:  # --help and --version
        return int(stop.code or 0)
    except UserError as error:
        _tell(error, as_json=as_json)
        return USAGE
    except KeyboardInterrupt:
        _print("stopped.", sys.stderr)
        return STOPPED
    except Exception as error:
        _own_up(error, as_json=as_json)
        return FAULT


def _run(words: list[str], *, as_json: bool) -> int:
    words = _joined(words)
    chosen = next((word for word in words if not word.startswith("-")), None)
    if chosen is not None and chosen not in COMMANDS:
        raise UnknownName.among("command", chosen, list(COMMANDS))
    parser = _parser(chosen)
    if not words:
        _print(parser.format_help(), sys.stdout)
        return 0
    options = parser.parse_args(words)
    answer: Answer = cast(CommandModule, options.module).run(options)
    if as_json:
        _print_json(answer.data)
    else:
        _print(answer.text, sys.stdout)
    return answer.exit_code


def _joined(words: list[str]) -> list[str]:
    """Read a command of two words, ``trial record``, as one."""
    first = next((place for place, word in enumerate(words) if not word.startswith("-")), len(words))
    both = " ".join(words[first : first + 2])
    return [*words[:first], both, *words[first + 2 :]] if both in COMMANDS else words


def _parser(chosen: str | None) -> WordsParser:
    """Build the parser; only the chosen command's module is imported."""
    parser = WordsParser(
        prog="shadewright",
        description="Printed light fittings around bought parts: threads, joints, layers, paper.",
        epilog="Exit code: 0 all sound, 1 something is failing, 2 an input must be mended.",
    )
    parser.add_argument("--version", action="version", version=f"shadewright {__version__}")
    _add_json(parser)
    commands = parser.add_subparsers(title="commands", dest="command", metavar="COMMAND", required=True)
    for name, (module_name, summary) in COMMANDS.items():
        command = commands.add_parser(name, help=summary, description=summary[0].upper() + summary[1:] + ".")
        if name == chosen:
            module = cast(CommandModule, importlib.import_module(module_name))
            module.add_arguments(command)
            _add_json(command)
            command.set_defaults(module=module)
    return parser


def _add_json(parser: WordsParser) -> None:
    """Show ``--json`` in the help; ``main`` takes it out of the words, wherever it stands."""
    parser.add_argument("--json", action="store_true", help="print the answer, or the problems, as JSON")


def _without_json(arguments: Sequence[str]) -> tuple[list[str], bool]:
    words = list(arguments)
    end = words.index("--") if "--" in words else len(words)
    kept = [word for word in words[:end] if word != "--json"]
    return kept + words[end:], len(kept) < end


def _tell(error: UserError, *, as_json: bool) -> None:
    if as_json:
        _print_json({"problems": [{"what": p.what, "where": p.where, "cure": p.cure} for p in error.problems]})
    else:
        _print(str(error), sys.stderr)


def _own_up(error: Exception, *, as_json: bool) -> None:
    """Say that the program is at fault, and how to report it."""
    kind = type(error).__name__
    first_line = str(error).split("\n", 1)[0]
    what = f"this is a fault of shadewright, not yours ({kind}{': ' if first_line else ''}{first_line})"
    cure = f"please report it with the command you ran and what it prints with {TRACE_VARIABLE}=1 set"
    if os.environ.get(TRACE_VARIABLE) == "1":
        _print("".join(traceback.format_exception(error)), sys.stderr)
    if as_json:
        _print_json({"fault": {"what": what, "cure": cure}})
    else:
        _print(f"{what}; {cure}.", sys.stderr)


def _forgive_encoding(stream: TextIO) -> None:
    """Let a terminal that lacks a character show a question mark instead of failing."""
    with contextlib.suppress(AttributeError, ValueError, OSError):
        stream.reconfigure(errors="replace")  # type: ignore[attr-defined]


def _print_json(data: Any) -> None:
    from shadewright.plain import to_json

    text = to_json(data)
    try:
        text.encode(getattr(sys.stdout, "encoding", None) or "utf-8")
    except UnicodeEncodeError:  # escapes lose nothing, question marks would
        text = json.dumps(json.loads(text), indent=2)
    _print(text, sys.stdout)


def _print(text: str, stream: TextIO) -> None:
    """Print, and keep quiet when the reader has gone."""
    try:
        print(text.rstrip("\n"), file=stream, flush=True)
    except BrokenPipeError:
        nowhere = os.open(os.devnull, os.O_WRONLY)
        os.dup2(nowhere, stream.fileno())
        os.close(nowhere)

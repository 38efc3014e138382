"""``shadewright trial list``: trials the bench keeps, and how their rungs felt."""

from __future__ import annotations

from argparse import ArgumentParser, Namespace
from typing import TYPE_CHECKING

from shadewright.cli.command import Answer
from shadewright.cli.options import add_bench_file_option, open_bench
from shadewright.cli.trial_record import rung_lines

if TYPE_CHECKING:
    from shadewright.bench.records import TrialRecord


def add_arguments(parser: ArgumentParser) -> None:
    """Declare which trials, and what to take off the list."""
    parser.add_argument("names", nargs="*", metavar="WORD", help="only trials whose name has all of these")
    parser.add_argument("--forget", metavar="NAME", help="remove this trial and its outcomes")
    add_bench_file_option(parser)


def run(options: Namespace) -> Answer:
    """List trials, latest first; or remove one."""
    with open_bench(options) as bench:
        if options.forget:
            from shadewright.bench.trials import trial_named

            gone = trial_named(bench, options.forget)
            bench.forget_trial(gone.name)
            return Answer(data={"forgotten": gone}, text=f"Forgot trial {gone.name}.")
        trials = bench.trials()
    words = [word.lower() for word in options.names]
    shown = [one for one in reversed(trials) if all(word in one.name.lower() for word in words)]
    return Answer(data={"trials": shown}, text="\n".join(_lines(shown)))


def _lines(trials: list[TrialRecord]) -> list[str]:
    if not trials:
        return ['No trials are kept; "shadewright trial LAMP JOINT" makes one.']
    lines = []
    for one in trials:
        wanted = f", wanted {one.question.feel}" if one.question else ""
        lines.append(
            f"{one.name}: {one.kind}{wanted}, {one.printer}, nozzle {one.nozzle:g}, {one.plastic}, {one.made_on}"
        )
        lines += [f"  {line}" for line in rung_lines(one)]
    return lines

"""Options that several commands share: which bench, and how a part is printed."""

from __future__ import annotations

import sys
from argparse import ArgumentParser, ArgumentTypeError, Namespace
from pathlib import Path
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from shadewright.bench.store import Bench
    from shadewright.fit.joint import JointQuestion
    from shadewright.printing import PrintSetup


def positive(text: str) -> float:
    """Read a number above 0; commas are decimal points too."""
    try:
        value = float(text.replace(",", "."))
    except ValueError:
        raise ArgumentTypeError(f'"{text}" is not a number; write e.g. 0.4, without a unit') from None
    if not 0 < value < float("inf"):
        raise ArgumentTypeError(f"{text} is not above 0; write a number above 0")
    return value


def fraction(text: str) -> float:
    """Read a number from 0 to 1; ``15%`` is understood too."""
    try:
        value = float(text.rstrip("%").replace(",", ".")) / (100 if text.endswith("%") else 1)
    except ValueError:
        raise ArgumentTypeError(f'"{text}" is not a fraction; write e.g. 0.15 or 15%') from None
    if not 0 <= value <= 1:
        raise ArgumentTypeError(f"{text} is not a fraction from 0 to 1; write e.g. 0.15 or 15%")
    return value


def whole(text: str) -> int:
    """Read a whole number of 1 or more."""
    if not (text.isascii() and text.isdigit() and int(text) >= 1):
        raise ArgumentTypeError(f'"{text}" is not a count; write a whole number of 1 or more')
    return int(text)


def add_bench_file_option(parser: ArgumentParser, default: str | None = None) -> None:
    """Declare ``--bench`` alone; ``default`` is for parsers inside a parser that has it already."""
    parser.add_argument(
        "--bench",
        type=Path,
        default=default,
        metavar="FILE",
        help="bench file (default: $SHADEWRIGHT_BENCH, or your data folder)",
    )


def add_bench_options(parser: ArgumentParser) -> None:
    """Declare ``--bench`` and the print settings; what is not given stays None."""
    group = parser.add_argument_group("how it is printed")
    group.add_argument("--printer", metavar="NAME", help="printer on the bench (default: built-in)")
    group.add_argument("--nozzle", type=positive, metavar="MM", help="bore of the nozzle (default: the fitted one)")
    group.add_argument("--layer", type=positive, metavar="MM", help="layer height (default: half the nozzle)")
    group.add_argument("--plastic", metavar="NAME", help="plastic on the bench (default: PLA)")
    group.add_argument("--walls", type=whole, metavar="N", help="lines around every outline (default: 3)")
    group.add_argument("--infill", type=fraction, metavar="FRACTION", help="filled share inside (default: 0.15)")
    add_bench_file_option(parser)


def open_bench(options: Namespace) -> Bench:
    """Open the bench the options name; say on stderr when nothing can be kept. Close it, or use ``with``.

    Raises:
        FileProblem: The file is not a bench, or cannot be made.
    """
    from shadewright.bench.store import Bench

    bench = Bench.open(options.bench)
    if bench.note:
        print(bench.note, file=sys.stderr)
    return bench


def setup_from(options: Namespace) -> PrintSetup:
    """Build the print setup from ``add_bench_options``'s options and the bench.

    Raises:
        UnknownName: The bench knows no such printer or plastic.
        ValueProblem: The settings do not go together.
    """
    with open_bench(options) as bench:
        return bench.setup(**stated_settings(options))


def as_learned(options: Namespace, question: JointQuestion) -> JointQuestion:
    """The joint with all that the bench the options name has learned of it."""
    from shadewright.bench.store import Bench

    with Bench.open(options.bench) as bench:
        return bench.as_learned(question)


def stated_settings(options: Namespace) -> dict[str, Any]:
    """The print settings that were given on the command line, by the names ``Bench.setup`` uses."""
    names = ("printer", "nozzle", "layer", "plastic", "walls", "infill")
    return {name: getattr(options, name) for name in names if getattr(options, name) is not None}

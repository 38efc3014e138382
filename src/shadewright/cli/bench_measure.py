"""``shadewright bench measure`` and ``bench forget``: the calibration piece, its readings, and what they tell."""

from __future__ import annotations

from argparse import ArgumentParser, Namespace
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from shadewright.cli.command import Answer
from shadewright.cli.habit_text import before_and_after
from shadewright.cli.options import positive
from shadewright.cli.readings import listed_readings, merged, reading_list, stated_readings
from shadewright.errors import FileProblem, Problem, UserError, ValueProblem
from shadewright.wording import duration

if TYPE_CHECKING:
    from shadewright.bench.measuring import Measured
    from shadewright.bench.records import PrintRecord
    from shadewright.bench.store import Bench
    from shadewright.printing import PrintSetup
    from shadewright.solid.calibration import PieceFeature


@dataclass(frozen=True, slots=True, kw_only=True)
class WrittenPiece:
    """The calibration piece as written: model, reading list, drawing, and what printing it takes."""

    files: tuple[str, ...]
    features: tuple[PieceFeature, ...]
    how_to: tuple[str, ...]
    time_s: float
    mass_g: float


def add_arguments(parser: ArgumentParser) -> None:
    """Declare the piece to write, or the readings to take."""
    parser.epilog = (
        'First "shadewright bench measure --piece piece.3mf" and print it; then '
        '"shadewright bench measure A=5.04 B=16.1,16.08 ..." or "--from piece.txt", the filled-in list.'
    )
    parser.add_argument("readings", nargs="*", metavar="LETTER=MM", help="what was read, in mm: A=5.04, B=16.1,16.08")
    parser.add_argument("--piece", type=Path, metavar="FILE", help=".3mf to write, with list (.txt) and drawing (.svg)")
    parser.add_argument("--from", dest="list", type=Path, metavar="FILE", help="the reading list, filled in")
    parser.add_argument("--printer", metavar="NAME", help="printer on the bench (default: built-in)")
    parser.add_argument("--nozzle", type=positive, metavar="MM", help="bore of the nozzle (default: the fitted one)")
    parser.add_argument("--layer", type=positive, metavar="MM", help="layer height (default: half the nozzle)")
    parser.add_argument("--plastic", metavar="NAME", help="plastic on the bench (default: PLA)")
    parser.add_argument("--name", metavar="NAME", help="name of the print; one already measured is added to")
    parser.add_argument("--caliper", type=positive, metavar="MM", help="spread of one reading (default: 0.02)")
    parser.add_argument(
        "--sure", action="append", default=[], metavar="LETTERS", help="keep these readings though they look wrong"
    )
    parser.add_argument("--picture", type=Path, metavar="FILE", help=".svg to write: prints before and after")


def run_measure(bench: Bench, options: Namespace) -> Answer:
    """Write the piece, or take readings and say what they tell."""
    if options.piece is not None:
        return _write_piece(bench, options)
    return _take(bench, options)


def run_forget(bench: Bench, options: Namespace) -> Answer:
    """Remove a print's readings."""
    gone = bench.forget_print(options.name)
    count = sum(len(feature.readings) for feature in gone.features)
    return Answer(data={"forgotten": gone}, text=f"Forgot print {gone.name} and its {count} readings.")


# The piece -----------------------------------------------------------------------------------------------------------


def _write_piece(bench: Bench, options: Namespace) -> Answer:
    from shadewright.files import write_whole
    from shadewright.layers.costing import print_cost
    from shadewright.paper.bench_figure import measuring_drawing
    from shadewright.solid.calibration import calibration_piece
    from shadewright.solid.write import write_3mf

    target: Path = options.piece
    if options.readings or options.list:
        raise ValueProblem.of("--piece writes the piece and takes no readings", "give one of them", "--piece")
    if target.suffix.lower() != ".3mf":
        raise ValueProblem.of(f"{target.name} is not named .3mf", "name it e.g. piece.3mf", "--piece")
    setup = _setup(bench, options, {})
    piece = calibration_piece(setup.nozzle, setup.layer, setup.first_layer)
    cost = print_cost([piece.mesh], setup)
    sheet, drawing = target.with_suffix(".txt"), target.with_suffix(".svg")
    _refuse_filled_in(sheet, "".join(one.letter for one in piece.features))
    write_whole(sheet, reading_list(piece, setup, sheet.name))
    write_whole(drawing, measuring_drawing(piece).svg)
    write_3mf(target, [piece.mesh], title="Calibration piece")
    files = tuple(str(file) for file in (target, sheet, drawing))
    written = WrittenPiece(
        files=files, features=piece.features, how_to=piece.how_to, time_s=cost.time_s, mass_g=cost.mass_g
    )
    return Answer(data=written, text=_piece_text(written, setup))


def _refuse_filled_in(sheet: Path, letters: str) -> None:
    """Refuse to write over a list somebody has filled in, or over some other text.

    Raises:
        FileProblem: There is such a file.
    """
    if not sheet.exists():
        return
    try:
        read, settings = listed_readings(sheet, letters)
    except UserError:
        read, settings = {}, {}
    if read or not settings:
        what = "holds readings" if read else "is something else than a reading list"
        raise FileProblem.of(f"{sheet.name} {what}", "name another piece, or move that file away", str(sheet))


def _piece_text(written: WrittenPiece, setup: PrintSetup) -> str:
    model, sheet, drawing = written.files
    lines = [
        f"Calibration piece for {setup.printer}, nozzle {setup.nozzle:g}, layers of {setup.layer:g} mm, "
        f"in {setup.plastic.name}: about {duration(written.time_s)} and {written.mass_g:.1f} g.",
        "",
        *written.how_to,
        "",
        *(f"  {one.letter}  {one.words:<24} drawn {one.drawn:6.2f}" for one in written.features),
        "",
        f"Wrote {model}, {sheet} (to fill in) and {drawing} (where to measure).",
        f"Then: shadewright bench measure --from {sheet}",
    ]
    return "\n".join(lines)


def _setup(bench: Bench, options: Namespace, listed: dict[str, str]) -> PrintSetup:
    """The pair and layers that were printed with: as stated, else as listed, else the usual ones."""
    from argparse import ArgumentTypeError

    stated = {name: getattr(options, name) for name in ("printer", "nozzle", "layer", "plastic")}
    given: dict[str, object] = {name: value for name, value in stated.items() if value is not None}
    for name, text in listed.items():
        try:
            given.setdefault(name, positive(text) if name in ("nozzle", "layer") else text)
        except ArgumentTypeError as error:
            what, _, cure = str(error).partition("; ")
            raise ValueProblem.of(what, cure, f"{options.list.name}, {name}") from None
    return bench.setup(**given)  # type: ignore[arg-type]


# Readings ------------------------------------------------------------------------------------------------------------


def _take(bench: Bench, options: Namespace) -> Answer:
    from datetime import date

    from shadewright.bench.measuring import CALIPER_SD, keep_measured, known_print, print_record
    from shadewright.solid.calibration import piece_features

    letters = "".join(one.letter for one in piece_features())
    listed, settings = listed_readings(options.list, letters) if options.list else ({}, {})
    readings = merged(stated_readings(options.readings, letters), listed)
    sure = _sure(options.sure, letters)
    known = known_print(bench, options.name)
    if not readings and not (known and sure):
        raise ValueProblem.of(
            "there are no readings", 'write them as A=5.04, or start with "bench measure --piece FILE"', "bench measure"
        )
    if known is not None:
        settings = {"printer": known.printer, "nozzle": repr(known.nozzle), "plastic": known.plastic} | settings
    setup = _setup(bench, options, settings)
    record = print_record(
        bench,
        setup,
        piece_features(setup.layer, setup.first_layer),
        readings,
        name=options.name,
        measured_on=date.today().isoformat(),
        sure=sure,
        caliper_sd=options.caliper or CALIPER_SD,
    )
    _check_picture(options.picture, record)
    _ask(bench, record)
    measured = keep_measured(bench, record)
    picture = _picture(options.picture, measured)
    return Answer(data={"measured": measured, "picture": picture}, text=_text(measured, picture))


def _sure(words: list[str], letters: str) -> str:
    sure = "".join(words).upper().replace(",", "")
    for letter in sure:
        if letter not in letters:
            raise ValueProblem.of(f'there is no letter "{letter}" on the piece', f"use one of {letters}", "--sure")
    return sure


def _ask(bench: Bench, record: PrintRecord) -> None:
    """Ask about readings that look wrong, before anything is kept.

    Raises:
        ValueProblem: One problem for each of them.
    """
    from shadewright.bench.measuring import questionable

    problems = [
        Problem(
            odd.sentence, f"correct it, or keep it with --sure {odd.feature[0]}", f"{odd.feature[0]}={odd.reading:g}"
        )
        for odd in questionable(bench, record)
    ]
    if problems:
        raise ValueProblem(problems)


def _check_picture(target: Path | None, record: PrintRecord) -> None:
    """Refuse a picture that cannot be drawn, before anything is kept.

    Raises:
        ValueProblem: A name of another kind, or no width was read.
    """
    if target is None:
        return
    if target.suffix.lower() != ".svg":
        raise ValueProblem.of(f"{target.name} is not named .svg", "name it e.g. habits.svg", "--picture")
    if all(feature.kind in ("height", "foot") for feature in record.features):
        raise ValueProblem.of("the picture shows widths, and none was read", "leave it out", "--picture")


def _picture(target: Path | None, measured: Measured) -> str:
    if target is None:
        return ""
    from shadewright.files import write_whole
    from shadewright.fit.compared import compare
    from shadewright.paper.bench_figure import comparison_figure

    record = measured.record
    title = f"{record.printer}, nozzle {record.nozzle:g} mm, {record.plastic}"
    panels = compare(measured.before, measured.after, record.features)
    write_whole(target, comparison_figure(panels, title).svg)
    return str(target)


def _text(measured: Measured, picture: str) -> str:
    record = measured.record
    count = sum(len(feature.readings) for feature in record.features)
    lines = [
        f"Kept print {record.name}: {_counted(count, 'reading')} of {_counted(len(record.features), 'feature')} "
        f"({record.printer}, nozzle {record.nozzle:g}, {record.plastic}).",
        "",
        *before_and_after(measured.before, measured.after),
        "",
    ]
    for odd in measured.left_out:
        lines.append(f"Not learned from: {odd.sentence}.")
    lines.append(f'More readings of this print: add --name "{record.name}". A slip: "bench forget" removes the print.')
    lines += [f"Wrote {picture}."] if picture else []
    return "\n".join(lines)


def _counted(count: int, what: str) -> str:
    return f"{count} {what}{'' if count == 1 else 's'}"

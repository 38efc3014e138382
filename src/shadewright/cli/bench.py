"""``shadewright bench``: what you print with, and what was learned."""

from __future__ import annotations

import argparse
from argparse import ArgumentParser, Namespace
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Any

from shadewright.cli import bench_measure
from shadewright.cli.command import Answer
from shadewright.cli.habit_text import habit_lines
from shadewright.cli.options import add_bench_file_option, open_bench, positive
from shadewright.errors import UserError

if TYPE_CHECKING:
    from shadewright.bench.records import PlasticCard, PrinterCard, PrintRecord, TrialRecord
    from shadewright.bench.store import Bench


def add_arguments(parser: ArgumentParser) -> None:
    """Declare the words of ``bench``; without one it shows everything."""
    add_bench_file_option(parser)
    words = parser.add_subparsers(title="words", dest="word", metavar="WORD")
    words.add_parser("show", help="everything on the bench")
    words.add_parser("where", help="in which file the bench is kept")
    printer = words.add_parser("printer", help="add a printer, or change what is stated of one")
    printer.add_argument("name", metavar="NAME")
    printer.add_argument("--bed", nargs=3, type=positive, metavar=("X", "Y", "Z"), help="usable room in mm")
    printer.add_argument(
        "--nozzle", nargs="+", type=positive, metavar="MM", help="nozzles it has, the fitted one first"
    )
    printer.add_argument("--speed", type=positive, metavar="MM/S", help="speed while laying walls")
    printer.add_argument("--acceleration", type=positive, metavar="MM/S2", help="acceleration of the head")
    printer.add_argument("--least-layer", type=positive, metavar="S", help="least time it spends on a layer")
    printer.add_argument("--warm-up", type=positive, metavar="S", help="time before the first line is laid")
    plastic = words.add_parser("plastic", help="add a plastic, or change what is stated of one")
    plastic.add_argument("name", metavar="NAME")
    plastic.add_argument("--family", metavar="NAME", help="built-in plastic it resembles: PLA, PETG, ABS ...")
    plastic.add_argument("--density", type=positive, metavar="G/CM3")
    plastic.add_argument("--flow", type=positive, metavar="MM3/S", help="most the nozzle melts without effort")
    plastic.add_argument("--price", type=positive, metavar="MONEY", help="price of a kilogram")
    bench_measure.add_arguments(
        words.add_parser("measure", help="show how it prints: write the calibration piece, take its readings")
    )
    words.add_parser("forget", help="remove a measured print").add_argument("name", metavar="PRINT")
    for word, what in (("export", "write the bench as one text file"), ("import", "add what such a file holds")):
        words.add_parser(word, help=what).add_argument("file", type=Path, metavar="FILE")
    for inner in words.choices.values():
        add_bench_file_option(inner, default=argparse.SUPPRESS)


def run(options: Namespace) -> Answer:
    """Do what the word says."""
    words = {
        "printer": _printer,
        "plastic": _plastic,
        "measure": bench_measure.run_measure,
        "forget": bench_measure.run_forget,
        "export": _export,
        "import": _import,
        "where": _where,
    }
    with open_bench(options) as bench:
        return words.get(options.word, _show)(bench, options)


def _show(bench: Bench, options: Namespace) -> Answer:
    printers, plastics, learned = bench.printers(), bench.plastics(), bench.learned()
    pairs = learned.pairs if learned else ()
    left_out = learned.left_out if learned else ()
    lines = [f"Bench: {bench.path or 'in memory only'}", "", "Printers"]
    lines += [f"  {_printer_line(card)}" for card in printers]
    lines += ["", "Plastics"]
    lines += [f"  {_plastic_line(card)}" for card in plastics]
    lines += ["", "How they come out, as learned here (with one standard deviation)"]
    for (printer, nozzle, plastic), habits in pairs:
        lines += [f"  {printer}, nozzle {nozzle:g}, {plastic}: {habits.source}", *habit_lines(habits)]
    lines += [] if pairs else ['  nothing yet; built-in starting values are used ("bench measure" changes that)']
    lines += [f"  {card.printer}, nozzle {card.nozzle:g}, {card.plastic}: stated" for card in bench.habits()]
    lines += ["", "Measured prints", *_print_lines(bench.prints())]
    lines += [f"  not learned from: {odd.sentence}" for odd in left_out]
    lines += ["", *_trial_lines(bench.trials())]
    data = {
        "path": bench.path,
        "printers": printers,
        "plastics": plastics,
        "habits": bench.habits(),
        "learned": [{"pair": pair, "habits": habits} for pair, habits in pairs],
        "prints": bench.prints(),
        "left_out": left_out,
        "trials": bench.trials(),
    }
    return Answer(data=data, text="\n".join(lines))


def _print_lines(prints: tuple[PrintRecord, ...]) -> list[str]:
    lines = []
    for one in prints:
        readings = sum(len(feature.readings) for feature in one.features)
        lines.append(f"  {one.name}: {readings} readings, {one.printer}, nozzle {one.nozzle:g}, {one.plastic}")
    return lines or ["  none"]


def _trial_lines(trials: tuple[TrialRecord, ...]) -> list[str]:
    tried = sum(any(rung.outcome for rung in one.rungs) for one in trials)
    more = ', see "shadewright trial list"' if trials else ""
    return [f"Trials: {len(trials)}, {tried} of them with outcomes{more}"]


def _printer_line(card: PrinterCard) -> str:
    bores = ", ".join(f"{bore:g}" for bore in card.nozzles)
    return (
        f"{card.name}: bed {card.bed_x:g} x {card.bed_y:g} x {card.bed_z:g} mm, nozzle {bores} mm, "
        f"{card.speed_mm_s:g} mm/s, {card.acceleration_mm_s2:g} mm/s²"
    )


def _plastic_line(card: PlasticCard) -> str:
    family = "" if card.family == card.name else f", like {card.family}"
    price = "" if card.price_per_kg is None else f", {card.price_per_kg:.2f} per kg"
    return f"{card.name}: {card.density_g_cm3:.2f} g/cm³, up to {card.flow_limit_mm3_s:g} mm³/s{price}{family}"


def _printer(bench: Bench, options: Namespace) -> Answer:
    from shadewright.bench.records import PrinterCard

    stated: dict[str, Any] = {
        "nozzles": tuple(options.nozzle) if options.nozzle else None,
        "speed_mm_s": options.speed,
        "acceleration_mm_s2": options.acceleration,
        "least_layer_s": options.least_layer,
        "warm_up_s": options.warm_up,
    }
    if options.bed:
        stated |= dict(zip(("bed_x", "bed_y", "bed_z"), options.bed, strict=True))
    given = {key: value for key, value in stated.items() if value is not None}
    known = _known(bench.printers(), options.name)
    if known is not None:
        card = replace(known, **given, source="stated by the maker")
    elif options.bed:
        card = PrinterCard(name=options.name, **given)
    else:
        raise UserError.of(
            f'a new printer "{options.name}" needs its room stated', "add --bed X Y Z in mm", "bench printer"
        )
    bench.keep(card)
    return Answer(data=card, text=f"{'Changed' if known else 'Added'} printer {_printer_line(card)}")


def _plastic(bench: Bench, options: Namespace) -> Answer:
    known = _known(bench.plastics(), options.name)
    family = bench.plastic(options.family, "--family") if options.family else None
    start = known or family
    if start is None:
        raise UserError.of(
            f'a new plastic "{options.name}" needs a family', "add --family PLA or another plastic", "bench plastic"
        )
    stated = {
        "family": family.family if family else None,
        "density_g_cm3": options.density,
        "flow_limit_mm3_s": options.flow,
        "price_per_kg": options.price,
    }
    given = {key: value for key, value in stated.items() if value is not None}
    card = replace(start, **given, name=known.name if known else options.name, source="stated by the maker")
    bench.keep(card)
    return Answer(data=card, text=f"{'Changed' if known else 'Added'} plastic {_plastic_line(card)}")


def _known(cards: tuple[Any, ...], name: str) -> Any:
    return next((card for card in cards if card.name.lower() == name.lower()), None)


def _export(bench: Bench, options: Namespace) -> Answer:
    from shadewright.bench.text import export_text
    from shadewright.files import refuse_overwriting, write_whole

    refuse_overwriting(options.file, (bench.path,) if bench.path else ())
    write_whole(options.file, export_text(bench))
    return Answer(data={"written": options.file}, text=f"Wrote {options.file}.")


def _import(bench: Bench, options: Namespace) -> Answer:
    from shadewright.bench.text import import_file

    cards = import_file(bench, options.file)
    return Answer(data={"kept": cards}, text=f"Kept {len(cards)} entries of {options.file}.")


def _where(bench: Bench, options: Namespace) -> Answer:
    return Answer(data={"path": bench.path}, text=str(bench.path or "in memory only"))

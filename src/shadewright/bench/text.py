"""The whole bench as one readable text file, out and in."""

from __future__ import annotations

import tomllib
from pathlib import Path
from typing import Any

from shadewright.bench.records import (
    SPREADS,
    HabitCard,
    PlasticCard,
    PrinterCard,
    PrintRecord,
    RungRecord,
    TrialRecord,
)
from shadewright.bench.store import Bench, Card
from shadewright.bench.tables import Table
from shadewright.errors import ValueProblem
from shadewright.files import read_text
from shadewright.fit.evidence import FeatureKind, FeatureReading
from shadewright.fit.joint import Feel, JointKind, JointQuestion
from shadewright.printing import AsPrinted, Spread

LAYOUT = 2
"""Version of the text file's layout; earlier ones are read too. 2 adds prints and what trials asked."""

HEAD = """A shadewright bench: printers, plastics, how they come out, what was measured and what was tried.
Lengths in mm. Read it back with: shadewright bench import FILE"""

TRIAL_TEXTS = ("name", "lamp", "joint", "kind", "printer", "plastic", "made_on")
PRINT_TEXTS = ("name", "printer", "plastic", "measured_on")


def export_text(bench: Bench) -> str:
    """Everything on the bench, as TOML."""
    import tomlkit

    document = tomlkit.document()
    for line in HEAD.splitlines():
        document.add(tomlkit.comment(line))
    document["bench"] = LAYOUT
    document["printer"] = {card.name: _printer_table(card) for card in bench.printers()}
    document["plastic"] = {card.name: _plastic_table(card) for card in bench.plastics()}
    if habits := bench.habits():
        document["habit"] = [_habit_table(card) for card in habits]
    if prints := bench.prints():
        document["print"] = [_print_table(record) for record in prints]
    if trials := bench.trials():
        document["trial"] = [_trial_table(record) for record in trials]
    return tomlkit.dumps(document)


def import_file(bench: Bench, file: Path) -> tuple[Card, ...]:
    """Add everything in ``file`` to the bench, or change what has the same name: all or nothing.

    Raises:
        FileProblem: The file cannot be read, or the bench cannot be written.
        ValueProblem: The file is no bench text, or states something impossible.
        UnknownName: Habits of a printer or plastic that neither the file nor the bench has.
    """
    cards = parse_text(read_text(file), file.name)
    bench.keep(*cards)
    return cards


def parse_text(text: str, file_name: str) -> tuple[Card, ...]:
    """Read what ``export_text`` wrote, printers and plastics first.

    Raises:
        ValueProblem: It is no bench text, or states something impossible.
    """
    try:
        raw = tomllib.loads(text)
    except (ValueError, RecursionError) as error:
        raise ValueProblem.of(
            f"this is not a bench's text ({error})", 'name a file written by "shadewright bench export"', file_name
        ) from None
    top = Table(raw, file_name)
    layout = top.number("bench")
    if layout not in range(1, LAYOUT + 1):
        raise ValueProblem.of(
            f"this bench text has layout {layout:g}, and this program reads 1 to {LAYOUT}",
            "update shadewright",
            file_name,
        )
    cards: list[Card] = []
    for name, table in top.tables("printer"):
        cards.append(_printer(name, table))
        table.finish()
    for name, table in top.tables("plastic"):
        cards.append(_plastic(name, table))
        table.finish()
    for key, read in (("habit", _habit), ("print", _print), ("trial", _trial)):
        for table in top.items(key):
            cards.append(read(table))
            table.finish()
    top.finish()
    return tuple(cards)


def _printer_table(card: PrinterCard) -> dict[str, Any]:
    return {
        "bed": [card.bed_x, card.bed_y, card.bed_z],
        "nozzles": list(card.nozzles),
        "speed_mm_s": card.speed_mm_s,
        "acceleration_mm_s2": card.acceleration_mm_s2,
        "least_layer_s": card.least_layer_s,
        "warm_up_s": card.warm_up_s,
        "source": card.source,
    }


def _printer(name: str, table: Table) -> PrinterCard:
    bed = table.numbers("bed")
    if len(bed) != 3:
        raise table.problem(f"bed has {len(bed)} numbers", "give three: width, depth and height in mm")
    return PrinterCard(
        name=name,
        bed_x=bed[0],
        bed_y=bed[1],
        bed_z=bed[2],
        nozzles=table.numbers("nozzles"),
        speed_mm_s=table.number("speed_mm_s"),
        acceleration_mm_s2=table.number("acceleration_mm_s2"),
        least_layer_s=table.number("least_layer_s"),
        warm_up_s=table.number("warm_up_s"),
        source=table.text("source"),
    )


def _plastic_table(card: PlasticCard) -> dict[str, Any]:
    price = {} if card.price_per_kg is None else {"price_per_kg": card.price_per_kg}
    return {
        "family": card.family,
        "density_g_cm3": card.density_g_cm3,
        "flow_limit_mm3_s": card.flow_limit_mm3_s,
        **price,
        "source": card.source,
    }


def _plastic(name: str, table: Table) -> PlasticCard:
    return PlasticCard(
        name=name,
        family=table.text("family"),
        density_g_cm3=table.number("density_g_cm3"),
        flow_limit_mm3_s=table.number("flow_limit_mm3_s"),
        price_per_kg=table.number("price_per_kg") if table.has("price_per_kg") else None,
        source=table.text("source"),
    )


def _habit_table(card: HabitCard) -> dict[str, Any]:
    spreads = {name: getattr(card.habits, name) for name in SPREADS}
    return {
        "printer": card.printer,
        "nozzle": card.nozzle,
        "plastic": card.plastic,
        **{name: {"mean": spread.mean, "sd": spread.sd} for name, spread in spreads.items()},
        "scatter": card.habits.scatter,
        "source": card.habits.source,
    }


def _habit(table: Table) -> HabitCard:
    spreads: dict[str, Any] = {}
    for name in SPREADS:
        inner = table.table(name)
        spreads[name] = Spread(inner.number("mean"), inner.number("sd"))
        inner.finish()
    habits = AsPrinted(**spreads, scatter=table.number("scatter"), source=table.text("source"))
    return HabitCard(
        printer=table.text("printer"), nozzle=table.number("nozzle"), plastic=table.text("plastic"), habits=habits
    )


def _print_table(record: PrintRecord) -> dict[str, Any]:
    features = [
        {
            "feature": one.feature,
            "kind": one.kind.value,
            "drawn": one.drawn,
            "readings": list(one.readings),
            "caliper_sd": one.caliper_sd,
            **({"confirmed": True} if one.confirmed else {}),
        }
        for one in record.features
    ]
    texts = {name: getattr(record, name) for name in PRINT_TEXTS}
    return {**texts, "nozzle": record.nozzle, "features": features}


def _print(table: Table) -> PrintRecord:
    texts = {name: table.text(name) for name in PRINT_TEXTS}
    features = []
    for inner in table.items("features"):
        features.append(
            FeatureReading(
                feature=inner.text("feature"),
                kind=FeatureKind(inner.word("kind", list(FeatureKind))),
                drawn=inner.number("drawn"),
                readings=inner.numbers("readings"),
                print_name=texts["name"],
                caliper_sd=inner.number("caliper_sd"),
                confirmed=inner.has("confirmed") and inner.truth("confirmed"),
            )
        )
        inner.finish()
    return PrintRecord(**texts, nozzle=table.number("nozzle"), features=tuple(features))


def _trial_table(record: TrialRecord) -> dict[str, Any]:
    from shadewright.bench.asked import question_data

    texts = {name: str(getattr(record, name)) for name in TRIAL_TEXTS}
    asked: dict[str, Any] = {"mate_drawn": record.mate_drawn, "mate_plastic": record.mate_plastic}
    if record.question is not None:
        asked |= {"rung_side": record.rung_side, "question": question_data(record.question)}
    stated = {name: value for name, value in asked.items() if value is not None}
    return {**texts, "nozzle": record.nozzle, "rungs": [_rung_table(rung) for rung in record.rungs], **stated}


def _rung_table(rung: RungRecord) -> dict[str, Any]:
    outcome = {"outcome": rung.outcome.value} if rung.outcome else {}
    return {"number": rung.number, "drawn": rung.drawn, "clearance": rung.clearance, **outcome}


def _trial(table: Table) -> TrialRecord:
    rungs = []
    for inner in table.items("rungs"):
        outcome = Feel(inner.word("outcome", list(Feel))) if inner.has("outcome") else None
        rungs.append(
            RungRecord(
                number=inner.whole("number"),
                drawn=inner.number("drawn"),
                clearance=inner.number("clearance"),
                outcome=outcome,
            )
        )
        inner.finish()
    texts = {name: table.text(name) for name in TRIAL_TEXTS if name != "kind"}
    kind = JointKind(table.word("kind", list(JointKind)))
    return TrialRecord(
        **texts,
        kind=kind,
        nozzle=table.number("nozzle"),
        rungs=tuple(rungs),
        question=_question(table, texts["name"]) if table.has("question") else None,
        rung_side=table.text("rung_side") if table.has("rung_side") else "",
        mate_drawn=table.number("mate_drawn") if table.has("mate_drawn") else None,
        mate_plastic=table.text("mate_plastic") if table.has("mate_plastic") else None,
    )


def _question(table: Table, name: str) -> JointQuestion:
    from shadewright.bench.asked import question_from
    from shadewright.fit.questions import check_question

    question = question_from(table.raw("question"), f"trial {name}")
    check_question(question)
    return question

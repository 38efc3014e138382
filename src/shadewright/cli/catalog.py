"""``shadewright catalog``: look up threads, holders, bulbs, plastics, glues, cords, nuts, inserts, magnets."""

from __future__ import annotations

import textwrap
from argparse import ArgumentParser, Namespace
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from shadewright.cli.command import Answer
from shadewright.errors import UnknownName

if TYPE_CHECKING:
    from shadewright.catalog.cards import BulbCard, CordCard, GlueCard, HolderCard, PlasticCard, Range
    from shadewright.catalog.hardware import InsertCard, MagnetCard, NutCard
    from shadewright.catalog.threads import Limits, Thread

TABLES = ("threads", "plastics", "glues", "bulbs", "holders", "cords", "nuts", "inserts", "magnets")
_WIDTH = 98
_GAP = "  "
_MOST_NOTES = 14
_MEMORY_MARK = "*"


@dataclass(frozen=True, slots=True)
class _Page:
    """One table laid out: heads, cells, and what stands below it."""

    heads: tuple[str, ...]
    cells: tuple[tuple[str, ...], ...]
    notes: tuple[str, ...]
    source_keys: tuple[str, ...]


def add_arguments(parser: ArgumentParser) -> None:
    """Declare the table and the search."""
    parser.add_argument("table", nargs="?", choices=TABLES, metavar="TABLE", help=f"one of {', '.join(TABLES)}")
    parser.add_argument("--find", metavar="TEXT", help='only rows that mention TEXT, e.g. "10x1" or "lamp pipe"')


def run(options: Namespace) -> Answer:
    """List the tables, one table, or the rows that mention a text.

    Raises:
        UnknownName: Nothing mentions the text.
    """
    if options.table is None and options.find is None:
        return _overview()
    names = TABLES if options.table is None else (options.table,)
    found = {name: rows for name in names if (rows := _matching(name, options.find))}
    if not found:
        place = "the catalogue" if options.table is None else f"the {options.table} of the catalogue"
        raise UnknownName.of(
            f'nothing in {place} mentions "{options.find}"', "try fewer letters, or leave --find out", "--find"
        )
    keys: dict[str, None] = {}
    parts = []
    for name, rows in found.items():
        page = _LAYOUTS[name](rows)
        keys.update(dict.fromkeys(page.source_keys))
        head = f"{name.upper()} ({len(rows)})"
        parts.append("\n".join((head, *_aligned(page), *_notes(page))))
    parts.append(_legend(tuple(keys)))
    data = {"tables": found, "sources": _sources(tuple(keys))}
    return Answer(data=data, text="\n\n".join(parts))


def _entries(table: str) -> tuple[Any, ...]:
    from shadewright.catalog import hardware, lookup

    return {
        "threads": lookup.threads,
        "plastics": lookup.plastics,
        "glues": lookup.glues,
        "bulbs": lookup.bulbs,
        "holders": lookup.holders,
        "cords": lookup.cords,
        "nuts": hardware.nuts,
        "inserts": hardware.inserts,
        "magnets": hardware.magnets,
    }[table]()


def _overview() -> Answer:
    counts = {name: len(_entries(name)) for name in TABLES}
    lines = [f"  {name:<10}{count:>4} rows" for name, count in counts.items()]
    text = "\n".join(("Tables of the catalogue:", *lines, "", "See one: shadewright catalog threads --find 10x1"))
    return Answer(data=counts, text=text)


def _matching(table: str, text: str | None) -> tuple[Any, ...]:
    from shadewright.catalog.lookup import folded

    entries = _entries(table)
    if text is None:
        return entries
    return tuple(entry for entry in entries if any(folded(text) in folded(word) for word in _words(entry)))


def _words(entry: Any) -> Iterable[str]:
    yield entry.name
    yield from entry.aliases
    for field in ("families", "caps", "entry_threads"):
        yield from getattr(entry, field, ())
    for field in ("where_used", "shell_thread", "barrel_thread"):
        yield getattr(entry, field, "")


def _aligned(page: _Page) -> list[str]:
    rows = (page.heads, *page.cells)
    widths = [max(len(row[column]) for row in rows) for column in range(len(page.heads))]
    lines = [_GAP.join(cell.ljust(width) for cell, width in zip(row, widths, strict=True)).rstrip() for row in rows]
    return [lines[0], "-" * max(len(line) for line in lines), *lines[1:]]


def _notes(page: _Page) -> list[str]:
    if not page.notes or len(page.notes) > _MOST_NOTES:
        return []
    return ["", *(line for note in page.notes for line in textwrap.wrap(note, _WIDTH, subsequent_indent="    "))]


def _sources(keys: Sequence[str]) -> dict[str, Any]:
    from shadewright.catalog.tables import sources

    known = sources()
    return {key: known[key] for key in keys}


def _legend(keys: Sequence[str]) -> str:
    lines = [f"{_MEMORY_MARK} from memory: no document was seen for it; measure before you rely on it.", "Sources:"]
    for key, source in _sources(keys).items():
        entry = f"  {key} ({source.grade}): {source.text} [{source.seen}]"
        lines += textwrap.wrap(entry, _WIDTH, subsequent_indent="      ")
    return "\n".join(lines)


def _mark(from_memory: bool) -> str:
    return _MEMORY_MARK if from_memory else ""


def _span(limits: Limits) -> str:
    return f"{limits.low:.2f}…{limits.high:.2f}"


def _range(value: Range | None) -> str:
    if value is None:
        return "-"
    return f"{value.low:g}…{value.high:g}" if value.low != value.high else f"{value.low:g}"


def _number(value: float | None) -> str:
    return "-" if value is None else f"{value:g}"


def _join(*texts: str) -> str:
    return "; ".join(text for text in texts if text)


def _row_notes(pairs: Iterable[tuple[str, str]]) -> tuple[str, ...]:
    names: dict[str, list[str]] = {}
    for name, note in pairs:
        if note:
            names.setdefault(note, []).append(name)
    return tuple(f"{', '.join(group)}: {note}." for note, group in names.items())


def _threads(rows: Sequence[Thread]) -> _Page:
    cells = tuple(
        (
            f"{row.name}{_mark(row.from_memory)}",
            f"{row.pitch:.3f}",
            _span(row.male.major),
            _span(row.female.minor),
            row.lamp_use.value,
            row.families[0],
            row.source,
        )
        for row in rows
    )
    notes = [(row.name, _thread_note(row)) for row in rows]
    heads = ("thread", "pitch", "male outside", "female inside", "on lamps", "family", "source")
    return _Page(heads, cells, _row_notes(notes), tuple(row.source for row in rows))


def _thread_note(row: Thread) -> str:
    also = f"also written {', '.join(row.aliases)}" if row.aliases else ""
    kin = f"also {', '.join(row.families[1:])}" if len(row.families) > 1 else ""
    return _join(row.where_used, kin, also, row.where, row.note)


def _plastics(rows: Sequence[PlasticCard]) -> _Page:
    if len(rows) == 1:
        return _one_plastic(rows[0])
    shown = {
        "Tg °C": "tg_c",
        "HDT .45": "hdt_045_c",
        "HDT 1.8": "hdt_180_c",
        "E MPa": "modulus_mpa",
        "along MPa": "strength_along_mpa",
        "across MPa": "strength_across_mpa",
        "snap %": "snap_strain_percent",
        "W/mK": "conductivity_w_mk",
    }
    cells, keys = [], []
    for row in rows:
        known = [getattr(row, field) for field in shown.values()]
        cells.append(
            (row.name, *(_range(value) + _mark(bool(value) and value.evidence.from_memory) for value in known))
        )
        keys += [value.evidence.source for value in known if value]
    note = "Every value with its own source: name one plastic, e.g. shadewright catalog plastics --find PETG."
    return _Page(("plastic", *shown), tuple(cells), (note,), tuple(keys))


def _one_plastic(row: PlasticCard) -> _Page:
    from dataclasses import fields

    from shadewright.catalog.cards import Known

    known = [(field.name, getattr(row, field.name)) for field in fields(row)]
    values = [(name, value) for name, value in known if isinstance(value, Known)]
    cells = tuple(
        (f"{name}{_mark(value.evidence.from_memory)}", _range(value), f"{value.likely:g}", value.evidence.source)
        for name, value in values
    )
    notes = _row_notes(
        (name, "; ".join(text for text in (value.evidence.where, value.evidence.note) if text))
        for name, value in values
    )
    keys = tuple(value.evidence.source for _, value in values)
    return _Page((row.name, "range", "usual", "source"), cells, notes, keys)


def _glues(rows: Sequence[GlueCard]) -> _Page:
    cells = tuple(
        (
            f"{row.name}{_mark(row.evidence.from_memory)}",
            _range(row.holds_to_c),
            _range(row.softens_c),
            _range(row.gap),
            row.evidence.source,
        )
        for row in rows
    )
    return _carded(("glue", "holds to °C", "softens °C", "layer mm", "source"), cells, rows)


def _bulbs(rows: Sequence[BulbCard]) -> _Page:
    cells = tuple(
        (
            f"{row.name}{_mark(row.evidence.from_memory)}",
            f"{row.diameter:g}",
            _range(row.length),
            ", ".join(row.caps),
            _range(row.watts_w),
            _range(row.flux_lm),
            ", ".join(row.aliases),
            row.evidence.source,
        )
        for row in rows
    )
    return _carded(("bulb", "dia mm", "length mm", "caps", "W", "lm", "also", "source"), cells, rows)


def _holders(rows: Sequence[HolderCard]) -> _Page:
    cells = tuple(
        (
            f"{row.name}{_mark(row.evidence.from_memory)}",
            row.barrel_thread or "-",
            ", ".join(row.entry_threads) or "-",
            _number(row.rated_current_a),
            _number(row.rated_voltage_v),
            _range(row.collar_limit_c),
            _number(row.load_limit_kg),
            row.evidence.source,
        )
        for row in rows
    )
    heads = ("holder", "shade ring", "entry", "A", "V", "collar °C", "load kg", "source")
    return _carded(heads, cells, rows)


def _cords(rows: Sequence[CordCard]) -> _Page:
    cells = tuple(
        (
            f"{row.name}{_mark(row.evidence.from_memory)}",
            row.shape,
            _range(row.short_side),
            _range(row.long_side),
            f"{row.core_area_mm2:g}",
            f"{row.rated_current_a:g}",
            f"{row.rated_voltage_v:g}",
            f"{row.conductor_limit_c:g}",
            row.evidence.source,
        )
        for row in rows
    )
    heads = ("cord", "shape", "thick mm", "wide mm", "core mm²", "A", "V", "core °C", "source")
    return _carded(heads, cells, rows)


def _nuts(rows: Sequence[NutCard]) -> _Page:
    cells = tuple(
        (
            f"{row.name}{_mark(row.evidence.from_memory)}",
            _span(row.flats),
            _span(row.height),
            f"{row.hole:g}",
            row.evidence.source,
        )
        for row in rows
    )
    return _carded(("nut", "across flats mm", "height mm", "hole mm", "source"), cells, rows)


def _inserts(rows: Sequence[InsertCard]) -> _Page:
    cells = tuple(
        (
            f"{row.name}{_mark(row.evidence.from_memory)}",
            f"{row.outside:g}",
            f"{row.length:g}",
            _span(row.hole),
            _span(row.filled_hole),
            f"{row.least_wall:g}",
            row.evidence.source,
        )
        for row in rows
    )
    heads = ("insert", "outside mm", "length mm", "hole mm", "with fibres", "wall mm", "source")
    return _carded(heads, cells, rows)


def _magnets(rows: Sequence[MagnetCard]) -> _Page:
    cells = tuple(
        (
            f"{row.name}{_mark(row.evidence.from_memory)}",
            row.shape,
            f"±{row.tolerance:g}",
            f"{row.limit_c:g}",
            row.evidence.source,
        )
        for row in rows
    )
    return _carded(("magnet", "shape", "mm", "limit °C", "source"), cells, rows)


def _carded(heads: tuple[str, ...], cells: tuple[tuple[str, ...], ...], rows: Sequence[Any]) -> _Page:
    notes = ((row.name, _join(row.evidence.where, row.evidence.note)) for row in rows)
    return _Page(heads, cells, _row_notes(notes), tuple(row.evidence.source for row in rows))


_LAYOUTS: dict[str, Callable[[Any], _Page]] = {
    "threads": _threads,
    "plastics": _plastics,
    "glues": _glues,
    "bulbs": _bulbs,
    "holders": _holders,
    "cords": _cords,
    "nuts": _nuts,
    "inserts": _inserts,
    "magnets": _magnets,
}

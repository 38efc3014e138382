"""Readings of a calibration piece: put on record, held against all other evidence, kept."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from shadewright.bench.evidence import put_together
from shadewright.bench.records import PrintRecord
from shadewright.bench.store import Bench
from shadewright.errors import Problem, ValueProblem
from shadewright.fit.evidence import FeatureKind, FeatureReading
from shadewright.fit.learn_doubt import Suspicion, suspicious
from shadewright.printing import AsPrinted, PrintSetup
from shadewright.solid.calibration import PieceFeature

CALIPER_SD = 0.02
"""Standard deviation of one reading of an ordinary caliper [mm]; common practice, no source."""

BEYOND = 1.0
"""No feature of a print that came off whole is this far from its drawing [mm]; judged, no source."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Measured:
    """Readings that were kept, and what they taught.

    Attributes:
        record: The print as kept.
        before, after: How this printer, nozzle and plastic print, without and with the readings.
        left_out: Readings anywhere on the bench that look wrong; they were not learned from.
    """

    record: PrintRecord
    before: AsPrinted
    after: AsPrinted
    left_out: tuple[Suspicion, ...]


def known_print(bench: Bench, name: str | None) -> PrintRecord | None:
    """The measured print of that name, capitals aside; None when there is none."""
    return next((one for one in bench.prints() if name and one.name.lower() == name.lower()), None)


def print_record(
    bench: Bench,
    setup: PrintSetup,
    features: Sequence[PieceFeature],
    readings: Mapping[str, tuple[float, ...]],
    *,
    name: str | None,
    measured_on: str,
    sure: str = "",
    caliper_sd: float = CALIPER_SD,
) -> PrintRecord:
    """A print with its readings; readings of a print already known are added, a feature's own replaced.

    Args:
        bench: Where prints are known.
        setup: What the piece was printed with.
        features: Of the piece as it was printed.
        readings: By letter [mm].
        name: Of the print; None makes one from printer, plastic and date.
        measured_on: Date like 2025-03-09.
        sure: Letters whose readings the maker stands by.
        caliper_sd: Standard deviation of one reading [mm].

    Raises:
        ValueProblem: The known print of that name was printed with something else; a reading is so far from its
            drawing that no print explains it; or nothing was read.
    """
    _refuse_impossible(features, readings)
    known = known_print(bench, name)
    if known is not None and _pair(known) != (setup.printer, setup.nozzle, setup.plastic.name):
        printer, nozzle, plastic = _pair(known)
        raise ValueProblem.of(
            f"print {known.name} was made on {printer} with nozzle {nozzle:g} in {plastic}",
            "leave those options out, or give the new print another name",
            "--name",
        )
    called = known.name if known else name or _free_name(bench, f"{setup.printer} {setup.plastic.name} {measured_on}")
    read = {one.feature: one for one in known.features} if known else {}
    read |= {one.feature: one for one in _read(features, readings, called, caliper_sd)}
    stood_by = (replace(one, confirmed=one.confirmed or one.feature[0] in sure) for one in read.values())
    return PrintRecord(
        name=called,
        printer=setup.printer,
        nozzle=setup.nozzle,
        plastic=setup.plastic.name,
        measured_on=known.measured_on if known else measured_on,
        features=tuple(sorted(stood_by, key=lambda one: one.feature)),
    )


def questionable(bench: Bench, record: PrintRecord) -> tuple[Suspicion, ...]:
    """Readings of ``record`` that do not go with each other or with all else the bench knows."""
    others = [one for one in bench.prints() if one.name != record.name]
    families = {card.name: card.family for card in bench.plastics()}
    evidence = put_together([*others, record], bench.trials(), bench.habits(), families)
    return tuple(one for one in suspicious(evidence, _pair(record)) if one.print_name == record.name)


def keep_measured(bench: Bench, record: PrintRecord) -> Measured:
    """Keep the print and say what it taught.

    Raises:
        FileProblem: Nothing can be kept, or the file cannot be written.
    """
    before = bench.habits_of(*_pair(record))
    bench.keep(record)
    after = bench.habits_of(*_pair(record))
    learned = bench.learned()
    return Measured(record=record, before=before, after=after, left_out=learned.left_out if learned else ())


def _refuse_impossible(features: Sequence[PieceFeature], readings: Mapping[str, tuple[float, ...]]) -> None:
    """Refuse readings that standing by cannot make true: one of them would upset all that is learned."""
    problems = [
        Problem(
            f"{value:g} mm is {abs(value - one.drawn):.1f} mm from the {one.drawn:g} mm of {one.letter} ({one.words})",
            "check letter, decimal point and unit, or leave it out",
            f"{one.letter}={value:g}",
        )
        for one in features
        for value in readings.get(one.letter, ())
        if abs(value - one.drawn) > BEYOND
    ]
    if problems:
        raise ValueProblem(problems)


def _pair(record: PrintRecord) -> tuple[str, float, str]:
    return record.printer, record.nozzle, record.plastic


def _free_name(bench: Bench, wanted: str) -> str:
    taken = {one.name.lower() for one in bench.prints()}
    names = (wanted, *(f"{wanted}, {number}" for number in range(2, len(taken) + 3)))
    return next(name for name in names if name.lower() not in taken)


def _read(
    features: Sequence[PieceFeature], readings: Mapping[str, tuple[float, ...]], print_name: str, caliper_sd: float
) -> list[FeatureReading]:
    return [
        FeatureReading(
            feature=f"{one.letter} ({one.words})",
            kind=FeatureKind(one.kind),
            drawn=one.drawn,
            readings=readings[one.letter],
            print_name=print_name,
            caliper_sd=caliper_sd,
        )
        for one in features
        if one.letter in readings
    ]

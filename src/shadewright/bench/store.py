"""The bench: what this maker prints with, and how it comes out."""

from __future__ import annotations

import math
import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import fields, replace
from pathlib import Path
from types import TracebackType
from typing import TYPE_CHECKING, Any, Self

from shadewright.bench import rows
from shadewright.bench.opening import Opened, open_bench_file, told
from shadewright.bench.records import (
    BUILT_IN,
    SPREADS,
    HabitCard,
    PlasticCard,
    PrinterCard,
    PrintRecord,
    TrialRecord,
    require_nozzle,
)
from shadewright.errors import FileProblem, UnknownName, ValueProblem
from shadewright.printing import LAYER_PER_NOZZLE, AsPrinted, PrintSetup, Spread

if TYPE_CHECKING:
    from shadewright.fit.evidence import BenchEvidence
    from shadewright.fit.joint import JointQuestion
    from shadewright.fit.learn import Learned

LINE_WIDTH_PER_NOZZLE = 1.05
"""Width of a laid line over the nozzle's bore [-]: a line is squeezed a little wider (common practice, no source)."""

FIRST_LAYER_PER_NOZZLE = 0.5
"""Least first layer over the nozzle's bore [-]: thinner ones ask a flatter bed (common practice, no source)."""

SKIN_THICKNESS = 0.8
"""Solid thickness at top and bottom [mm]: closes over sparse infill (common practice, no source)."""

Card = PrinterCard | PlasticCard | HabitCard | PrintRecord | TrialRecord
"""Everything the bench keeps."""


class Bench:
    """Printers, plastics, habits, measured prints and trials in one file; a context manager that closes it.

    Attributes:
        path: Where the bench is kept; None when nothing can be kept.
        note: What the user should know about that; empty when all is as usual.
    """

    def __init__(self, opened: Opened) -> None:
        self._connection = opened.connection
        self.path = opened.path
        self.note = opened.note
        self._learned: tuple[Learned | None] | None = None

    @classmethod
    def open(cls, path: Path | None = None) -> Self:
        """Open ``path``, or the file ``SHADEWRIGHT_BENCH`` names, or the one in the user's data folder.

        Raises:
            FileProblem: The file is not a bench, is damaged, is newer than the program, or cannot be made.
        """
        return cls(open_bench_file(path))

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.close()

    def close(self) -> None:
        """Close the file."""
        self._connection.close()

    def printers(self) -> tuple[PrinterCard, ...]:
        """All printers, by name."""
        return tuple(rows.printer_card(row, self._rows) for row in self._rows("SELECT * FROM printer ORDER BY name"))

    def plastics(self) -> tuple[PlasticCard, ...]:
        """All plastics, by name."""
        return tuple(PlasticCard(**dict(row)) for row in self._rows("SELECT * FROM plastic ORDER BY name"))

    def habits(self) -> tuple[HabitCard, ...]:
        """All measured habits, by printer, plastic and nozzle."""
        return tuple(map(rows.habit_card, self._rows("SELECT * FROM habit ORDER BY printer, plastic, nozzle")))

    def trials(self) -> tuple[TrialRecord, ...]:
        """All recorded trials, by date and name."""
        found = self._rows("SELECT * FROM trial ORDER BY made_on, name")
        return tuple(rows.trial_record(row, self._rows) for row in found)

    def prints(self) -> tuple[PrintRecord, ...]:
        """All measured prints, by date and name."""
        found = self._rows("SELECT * FROM measured_print ORDER BY measured_on, name")
        return tuple(rows.print_record(row, self._rows) for row in found)

    def evidence(self) -> BenchEvidence:
        """Everything from which habits are learned."""
        from shadewright.bench.evidence import put_together

        families = {card.name: card.family for card in self.plastics()}
        return put_together(self.prints(), self.trials(), self.habits(), families)

    def learned(self) -> Learned | None:
        """What is learned from all evidence; None while there is none. Learned once, and anew when something is kept.

        Readings that look wrong and were not confirmed are left out of it.
        """
        if self._learned is None:
            from shadewright.fit.learn import learn

            evidence = self.evidence()
            told = evidence.trials or any(pair.features for pair in evidence.pairs)
            self._learned = (learn(evidence) if told else None,)
        return self._learned[0]

    def as_learned(self, question: JointQuestion) -> JointQuestion:
        """The joint with all that this bench has learned of it; as it is while nothing was learned."""
        learned = self.learned()
        if learned is None:
            return question
        from shadewright.fit.learn import learned_question

        return learned_question(question, learned)

    def printer(self, name: str, where: str = "") -> PrinterCard:
        """The printer of that name, capitals aside.

        Raises:
            UnknownName: No such printer; near names are offered.
        """
        for row in self._rows("SELECT * FROM printer WHERE name = ?", name):
            return rows.printer_card(row, self._rows)
        raise UnknownName.among("printer", name, self._names("printer"), where)

    def plastic(self, name: str, where: str = "") -> PlasticCard:
        """The plastic of that name, capitals aside.

        Raises:
            UnknownName: No such plastic; near names are offered.
        """
        for row in self._rows("SELECT * FROM plastic WHERE name = ?", name):
            return PlasticCard(**dict(row))
        raise UnknownName.among("plastic", name, self._names("plastic"), where)

    def habits_of(self, printer: str, nozzle: float, plastic: str) -> AsPrinted:
        """How sizes come out: learned on this bench, stated by its maker, or the built-in start for such a pair.

        A pair without evidence of its own starts from what its printer and its family of plastics do elsewhere.

        Raises:
            UnknownName: No such printer or plastic.
        """
        card, material = self.printer(printer), self.plastic(plastic)
        if (learned := self.learned()) is not None:
            return learned.habits_of(card.name, nozzle, material.name, material.family)
        return replace(
            self._stated_habits(card, nozzle, material), pair=(card.name, nozzle, material.name, material.family)
        )

    def _stated_habits(self, card: PrinterCard, nozzle: float, material: PlasticCard) -> AsPrinted:
        for row in self._rows("SELECT * FROM habit WHERE printer = ? AND plastic = ?", card.name, material.name):
            if math.isclose(row["nozzle"], nozzle, abs_tol=1e-6):
                return rows.habit_card(row).habits
        from shadewright.fit.defaults import built_in_habits

        return built_in_habits(nozzle, material.family)

    def setup(
        self,
        printer: str = BUILT_IN,
        nozzle: float | None = None,
        layer: float | None = None,
        plastic: str = "PLA",
        *,
        walls: int = 3,
        infill: float = 0.15,
    ) -> PrintSetup:
        """Everything a check needs to know of how a part is printed; lengths in mm.

        ``nozzle`` None is the one that is fitted, ``layer`` None is half of it (common practice, no source).

        Raises:
            UnknownName: No such printer or plastic.
            ValueProblem: A layer too thick for the nozzle, or numbers no print can have.
        """
        card, material = self.printer(printer), self.plastic(plastic)
        bore = card.nozzles[0] if nozzle is None else nozzle
        require_nozzle(bore)
        layer = bore / 2 if layer is None else layer
        _require_settings(bore, layer, walls, infill)
        return PrintSetup(
            printer=card.name,
            bed_x=card.bed_x,
            bed_y=card.bed_y,
            bed_z=card.bed_z,
            nozzle=bore,
            line_width=LINE_WIDTH_PER_NOZZLE * bore,
            layer=layer,
            first_layer=max(layer, FIRST_LAYER_PER_NOZZLE * bore),
            walls=walls,
            skins=max(1, math.ceil(SKIN_THICKNESS / layer - 1e-9)),
            infill=infill,
            speed_mm_s=card.speed_mm_s,
            acceleration_mm_s2=card.acceleration_mm_s2,
            least_layer_s=card.least_layer_s,
            warm_up_s=card.warm_up_s,
            plastic=material.plain_plastic(),
            habits=self.habits_of(card.name, bore, material.name),
        )

    def keep(self, *cards: Card) -> None:
        """Add ``cards``, or change those already there under the same name: all of them or none.

        Raises:
            FileProblem: Nothing can be kept, or the file cannot be written.
            UnknownName: Habits or a print of a printer or plastic that is not on the bench.
        """
        with self._writing():
            for card in cards:
                self._keep_one(card)

    def _keep_one(self, card: Card) -> None:
        match card:
            case PrinterCard():
                self._keep_printer(card)
            case PlasticCard():
                self._put("plastic", ("name",), {f.name: getattr(card, f.name) for f in fields(card)})
            case HabitCard():
                self._keep_habit(card)
            case PrintRecord():
                self._keep_print(card)
            case TrialRecord():
                self._keep_trial(card)

    def record(self, trial: TrialRecord) -> None:
        """Keep a trial and its outcomes; one already kept under the same name is replaced.

        Raises:
            FileProblem: Nothing can be kept, or the file cannot be written.
        """
        self.keep(trial)

    def forget_print(self, name: str) -> PrintRecord:
        """Remove a measured print with its readings; it is returned.

        Raises:
            FileProblem: Nothing can be kept, or the file cannot be written.
            UnknownName: No print of that name was measured.
        """
        known = next((record for record in self.prints() if record.name.lower() == name.lower()), None)
        if known is None:
            raise UnknownName.among("measured print", name, self._names("measured_print"))
        with self._writing():
            self._connection.execute("DELETE FROM measured_print WHERE name = ?", (known.name,))
        return known

    def forget_trial(self, name: str) -> None:
        """Remove the trial of that name with its outcomes, if there is one.

        Raises:
            FileProblem: Nothing can be kept, or the file cannot be written.
        """
        with self._writing():
            self._connection.execute("DELETE FROM trial WHERE name = ?", (name,))

    def _keep_printer(self, card: PrinterCard) -> None:
        values = {field.name: getattr(card, field.name) for field in fields(card) if field.name != "nozzles"}
        self._put("printer", ("name",), values)
        self._connection.execute("DELETE FROM nozzle WHERE printer = ?", (card.name,))
        for place, bore in enumerate(card.nozzles):
            self._put("nozzle", ("printer", "place"), {"printer": card.name, "place": place, "bore": bore})

    def _keep_habit(self, card: HabitCard) -> None:
        values: dict[str, Any] = {
            "printer": self.printer(card.printer).name,
            "nozzle": card.nozzle,
            "plastic": self.plastic(card.plastic).name,
            "scatter": card.habits.scatter,
            "source": card.habits.source,
        }
        for name in SPREADS:
            spread: Spread = getattr(card.habits, name)
            values |= {name: spread.mean, f"{name}_sd": spread.sd}
        self._put("habit", ("printer", "nozzle", "plastic"), values)

    def _keep_print(self, record: PrintRecord) -> None:
        self._put(
            "measured_print",
            ("name",),
            {
                "name": record.name,
                "printer": self.printer(record.printer).name,
                "nozzle": record.nozzle,
                "plastic": self.plastic(record.plastic).name,
                "measured_on": record.measured_on,
            },
        )
        self._connection.execute("DELETE FROM feature WHERE print = ?", (record.name,))
        for place, one in enumerate(record.features):
            key: dict[str, Any] = {"print": record.name, "place": place}
            stated = {"feature": one.feature, "kind": one.kind.value, "drawn": one.drawn, "caliper_sd": one.caliper_sd}
            stated["confirmed"] = int(one.confirmed)
            self._put("feature", tuple(key), key | stated)
            for turn, value in enumerate(one.readings):
                row = {"print": record.name, "feature": place, "place": turn, "mm": value}
                self._put("reading", ("print", "feature", "place"), row)

    def _keep_trial(self, trial: TrialRecord) -> None:
        from shadewright.bench.asked import question_text

        values = {field.name: getattr(trial, field.name) for field in fields(trial) if field.name != "rungs"}
        asked = {"question": question_text(trial.question)} if trial.question else {}
        self._put("trial", ("name",), values | {"kind": trial.kind.value, "rung_side": trial.rung_side or None} | asked)
        self._connection.execute("DELETE FROM rung WHERE trial = ?", (trial.name,))
        for rung in trial.rungs:
            outcome = rung.outcome.value if rung.outcome else None
            row = {"trial": trial.name, "number": rung.number, "drawn": rung.drawn, "clearance": rung.clearance}
            self._put("rung", ("trial", "number"), row | {"outcome": outcome})

    def _put(self, table: str, keys: tuple[str, ...], values: dict[str, Any]) -> None:
        names = ", ".join(values)
        marks = ", ".join("?" for _ in values)
        change = ", ".join(f"{name} = excluded.{name}" for name in values)
        self._connection.execute(
            f"INSERT INTO {table} ({names}) VALUES ({marks}) ON CONFLICT ({', '.join(keys)}) DO UPDATE SET {change}",
            tuple(values.values()),
        )

    @contextmanager
    def _writing(self) -> Iterator[None]:
        if self.path is None:
            raise FileProblem.of("nothing can be kept on this bench", "name a file you may write to with --bench")
        self._learned = None
        with told(self.path):
            self._connection.execute("BEGIN IMMEDIATE")
            try:
                yield
                self._connection.execute("COMMIT")
            except BaseException:
                self._connection.execute("ROLLBACK")
                raise

    def _rows(self, query: str, *values: Any) -> list[sqlite3.Row]:
        with told(self.path):
            return self._connection.execute(query, values).fetchall()

    def _names(self, table: str) -> list[str]:
        return [row["name"] for row in self._rows(f"SELECT name FROM {table} ORDER BY name")]


def _require_settings(nozzle: float, layer: float, walls: int, infill: float) -> None:
    thickest = LAYER_PER_NOZZLE * nozzle
    if not 0.02 <= layer <= thickest + 1e-9:
        raise ValueProblem.of(
            f"a layer of {layer:g} mm does not go with a nozzle of {nozzle:g} mm",
            f"choose a layer from 0.02 to {thickest:g} mm",
        )
    if walls < 1:
        raise ValueProblem.of(f"{walls} walls enclose nothing", "choose 1 or more")
    if not 0 <= infill <= 1:
        hint = f"write {infill / 100:g}" if 1 < infill <= 100 else "choose a fraction from 0 to 1"
        raise ValueProblem.of(f"an infill of {infill:g} is no fraction", hint)

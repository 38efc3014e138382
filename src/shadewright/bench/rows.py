"""From rows of the bench's file to records."""

from __future__ import annotations

import sqlite3
from collections.abc import Callable
from typing import Any

from shadewright.bench.records import SPREADS, HabitCard, PrinterCard, PrintRecord, RungRecord, TrialRecord
from shadewright.fit.evidence import FeatureKind, FeatureReading
from shadewright.fit.joint import Feel, JointKind
from shadewright.printing import AsPrinted, Spread

Query = Callable[..., list[sqlite3.Row]]
"""Answers an SQL text and its values."""


def printer_card(row: sqlite3.Row, query: Query) -> PrinterCard:
    """A printer with its nozzles."""
    bores = query("SELECT bore FROM nozzle WHERE printer = ? ORDER BY place", row["name"])
    return PrinterCard(**dict(row), nozzles=tuple(bore["bore"] for bore in bores))


def habit_card(row: sqlite3.Row) -> HabitCard:
    """The habits of one printer, nozzle and plastic."""
    spreads: dict[str, Any] = {name: Spread(row[name], row[f"{name}_sd"]) for name in SPREADS}
    return HabitCard(
        printer=row["printer"],
        nozzle=row["nozzle"],
        plastic=row["plastic"],
        habits=AsPrinted(**spreads, scatter=row["scatter"], source=row["source"]),
    )


def trial_record(row: sqlite3.Row, query: Query) -> TrialRecord:
    """A trial with its rungs."""
    from shadewright.bench.asked import question_from

    text = "SELECT number, drawn, clearance, outcome FROM rung WHERE trial = ? ORDER BY number"
    rungs = tuple(
        RungRecord(**{**dict(rung), "outcome": Feel(rung["outcome"]) if rung["outcome"] else None})
        for rung in query(text, row["name"])
    )
    question = question_from(row["question"], f"trial {row['name']}") if row["question"] else None
    changed = {"kind": JointKind(row["kind"]), "rung_side": row["rung_side"] or "", "question": question}
    return TrialRecord(**{**dict(row), **changed}, rungs=rungs)


def print_record(row: sqlite3.Row, query: Query) -> PrintRecord:
    """A measured print with its readings."""
    features = []
    for found in query("SELECT * FROM feature WHERE print = ? ORDER BY place", row["name"]):
        text = "SELECT mm FROM reading WHERE print = ? AND feature = ? ORDER BY place"
        features.append(
            FeatureReading(
                feature=found["feature"],
                kind=FeatureKind(found["kind"]),
                drawn=found["drawn"],
                readings=tuple(one["mm"] for one in query(text, row["name"], found["place"])),
                print_name=row["name"],
                caliper_sd=found["caliper_sd"],
                confirmed=bool(found["confirmed"]),
            )
        )
    return PrintRecord(**dict(row), features=tuple(features))

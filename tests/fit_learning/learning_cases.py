"""Invented evidence for the tests of learning: one printer's readings, and trials on it."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from shadewright.catalog.threads import Limits
from shadewright.fit.defaults import built_in_habits
from shadewright.fit.evidence import (
    BenchEvidence,
    FeatureKind,
    FeatureReading,
    PairEvidence,
    TriedRung,
    TriedTrial,
)
from shadewright.fit.joint import Feel, JointKind, JointQuestion, Side
from shadewright.printing import AsPrinted

PRINTER, NOZZLE = "garage", 0.4
K = FeatureKind
PIECE = (
    (K.OUTER, 10.0),
    (K.OUTER, 20.0),
    (K.OUTER, 40.0),
    (K.SLOT, 10.0),
    (K.SLOT, 20.0),
    (K.HOLE, 4.0),
    (K.HOLE, 8.0),
    (K.HOLE, 16.0),
    (K.HEIGHT, 5.0),
    (K.HEIGHT, 12.0),
    (K.FOOT, 20.0),
)
"""Features of a calibration piece [mm]."""

TRUTH = {"growth": 0.08, "shrink": 0.03, "curl": 1.2, "xy": 0.9965, "z": 0.9995, "flare": 0.14, "scatter": 0.03}


def reading(kind: FeatureKind, drawn: float, *values: float, **more: object) -> FeatureReading:
    facts = {"feature": f"{kind} {drawn:g}", "print_name": "piece 1"} | more
    return FeatureReading(kind=kind, drawn=drawn, readings=values, **facts)  # type: ignore[arg-type]


def true_size(kind: FeatureKind, drawn: float, truth: dict[str, float] = TRUTH) -> float:
    """What such a printer makes of a size, as ``AsPrinted`` says it, without scatter."""
    match kind:
        case K.OUTER:
            return drawn * truth["xy"] + 2 * truth["growth"]
        case K.FOOT:
            return drawn * truth["xy"] + 2 * truth["growth"] + 2 * truth["flare"]
        case K.SLOT:
            return drawn * truth["xy"] - 2 * truth["growth"]
        case K.HOLE:
            return drawn * truth["xy"] - truth["shrink"] - truth["curl"] / drawn
        case K.HEIGHT:
            return drawn * truth["z"]


def measured(
    seed: int, times: int = 2, truth: dict[str, float] = TRUTH, piece: str = "piece 1"
) -> tuple[FeatureReading, ...]:
    """A calibration piece printed by such a printer and measured."""
    random = np.random.default_rng(seed)
    made = []
    for kind, drawn in PIECE:
        size = true_size(kind, drawn, truth) + random.normal(0, truth["scatter"])
        values = (round(size + float(random.normal(0, 0.02)), 2) for _ in range(times))
        made.append(reading(kind, drawn, *values, print_name=piece))
    return tuple(made)


def pair(
    features: tuple[FeatureReading, ...] = (), plastic: str = "PLA", family: str = "PLA", **more: object
) -> PairEvidence:
    facts = {"printer": PRINTER, "nozzle": NOZZLE} | more
    return PairEvidence(plastic=plastic, family=family, features=features, **facts)  # type: ignore[arg-type]


def bench(*pairs: PairEvidence, trials: tuple[TriedTrial, ...] = ()) -> BenchEvidence:
    return BenchEvidence(pairs=pairs, trials=trials)


def habits(plastic: str = "PLA", printer: str = PRINTER) -> AsPrinted:
    """The built-in start of a pair, as the bench hands it out before anything was measured."""
    return replace(built_in_habits(NOZZLE, plastic), pair=(printer, NOZZLE, plastic, plastic))


def slide(feel: Feel = Feel.SNUG, bought: Limits | None = None, nominal: float = 40.0, **more: object) -> JointQuestion:
    """A slide whose bore is drawn; the other side is printed too, or bought."""
    male = Side(name="tube", bought=bought) if bought else Side(name="tube", habits=habits())
    facts = {"name": "neck", "kind": JointKind.SLIDE, "feel": feel, "length": 10.0, "male": male} | more
    return JointQuestion(nominal=nominal, female=Side(name="shade", habits=habits()), **facts)  # type: ignore[arg-type]


def trial(
    question: JointQuestion, *rungs: tuple[float, Feel], name: str = "neck 1", plastic: str = "PLA"
) -> TriedTrial:
    """A trial of the bore at several drawn sizes [mm]."""
    bought = question.male.bought is not None
    return TriedTrial(
        name=name,
        question=question,
        rung_side="female",
        mate_drawn=None if bought else question.nominal,
        rungs=tuple(TriedRung(drawn=drawn, felt=felt) for drawn, felt in rungs),
        printer=PRINTER,
        nozzle=NOZZLE,
        plastic=plastic,
        mate_plastic=None if bought else plastic,
    )

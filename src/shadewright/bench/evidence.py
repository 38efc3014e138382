"""What the bench keeps, put together as the evidence from which its habits are learned."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from shadewright.bench.records import HabitCard, PrintRecord, TrialRecord
from shadewright.fit.evidence import BenchEvidence, FeatureReading, PairEvidence, TriedRung, TriedTrial
from shadewright.printing import AsPrinted

Pair = tuple[str, float, str]


def put_together(
    prints: Sequence[PrintRecord],
    trials: Sequence[TrialRecord],
    stated: Sequence[HabitCard],
    families: Mapping[str, str],
) -> BenchEvidence:
    """All evidence: one pair for every printer, nozzle and plastic that was measured, tried or stated.

    Trials without outcomes, or recorded before their question was kept, tell nothing and are left out; so are
    those in a plastic that is no longer on the bench.

    Args:
        prints: Measured prints.
        trials: Recorded trials.
        stated: Habits that stand in the place of the built-in start.
        families: Catalogue family of every plastic on the bench, by its name.
    """
    known = {name.lower(): (name, family) for name, family in families.items()}
    told = [one for one in map(tried_trial, trials) if one and _plastics_of(one) <= known.keys()]
    features: dict[Pair, list[FeatureReading]] = {}
    names: dict[Pair, Pair] = {}
    for record in prints:
        features.setdefault(_pair(names, record.printer, record.nozzle, record.plastic), []).extend(record.features)
    for trial in told:
        for plastic in sorted(_plastics_of(trial)):
            features.setdefault(_pair(names, trial.printer, trial.nozzle, known[plastic][0]), [])
    starts: dict[Pair, AsPrinted] = {}
    for card in stated:
        pair = _pair(names, card.printer, card.nozzle, card.plastic)
        features.setdefault(pair, [])
        starts[pair] = card.habits
    pairs = [
        PairEvidence(
            printer=printer,
            nozzle=nozzle,
            plastic=plastic,
            family=known[plastic.lower()][1],
            features=tuple(read),
            stated=starts.get((printer, nozzle, plastic)),
        )
        for (printer, nozzle, plastic), read in features.items()
    ]
    return BenchEvidence(pairs=tuple(pairs), trials=tuple(told))


def tried_trial(record: TrialRecord) -> TriedTrial | None:
    """What a trial tells; None when it has no question or no outcome."""
    rungs = tuple(TriedRung(drawn=rung.drawn, felt=rung.outcome) for rung in record.rungs if rung.outcome is not None)
    if record.question is None or not rungs:
        return None
    return TriedTrial(
        name=record.name,
        question=record.question,
        rung_side=record.rung_side,
        mate_drawn=record.mate_drawn,
        rungs=rungs,
        printer=record.printer,
        nozzle=record.nozzle,
        plastic=record.plastic,
        mate_plastic=record.mate_plastic,
    )


def _plastics_of(trial: TriedTrial) -> set[str]:
    return {plastic.lower() for plastic in (trial.plastic, trial.mate_plastic) if plastic is not None}


def _pair(names: dict[Pair, Pair], printer: str, nozzle: float, plastic: str) -> Pair:
    """The pair under the name it was met with first: capitals and rounding of the bore do not make another."""
    return names.setdefault((printer.lower(), round(nozzle, 6), plastic.lower()), (printer, nozzle, plastic))

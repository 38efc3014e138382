"""Name a thread from readings: the one door to this package."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from shadewright.catalog.threads import Thread
from shadewright.findings import Verdict
from shadewright.naming.drawing import how_to_measure_text
from shadewright.naming.information import crests_for, entropy_bits, hypotheses_of, worth_of
from shadewright.naming.likelihood import Array, RowArrays, arrays_of
from shadewright.naming.odds import Odds, alike_groups, chances_as_read, odds_of
from shadewright.naming.readings import ThreadReadings
from shadewright.naming.result import (
    Candidate,
    Measurement,
    Member,
    Miscount,
    Naming,
    NextMeasurement,
    Weight,
    Worth,
)
from shadewright.naming.sentences import next_sentence, notes_on, reason_for

SHOWN = 1e-4
IN_TITLE = 0.05
SURE, LEANING = 0.9, 0.5
WORTH_DOING = 0.05
NEARLY_AS_GOOD = 0.8
SOURCE = (
    "Bayes' theorem over the thread tables: sizes uniform within the bought thread's limits, normal caliper error, "
    "commonness on lamps as a mild prior (2 : 1.6 : 1.3 : 1), 1 in 10 for none of these"
)


def name_thread(readings: ThreadReadings, rows: Sequence[Thread]) -> Naming:
    """Rank the names a thread may have.

    Args:
        readings: Diameters and lengths [mm], shape and taper if known.
        rows: The thread table.

    Returns:
        Candidates with probabilities, the chance of "none of these", the reason, and what to measure next.
    """
    arrays = arrays_of(rows, readings.sex)
    odds = odds_of(readings, arrays)
    as_read = chances_as_read(odds)
    candidates = _candidates(readings, rows, arrays, odds, as_read)
    none = float(as_read[-1])
    none_leads = not candidates or none > candidates[0].probability
    shown = sum(candidate.probability for candidate in candidates)
    miscounts = _miscounts(arrays, odds)
    return Naming(
        readings=readings,
        sex=readings.sex,
        verdict=_verdict(candidates, none_leads),
        candidates=candidates,
        none_probability=none,
        miscounts=miscounts,
        others_probability=max(1.0 - none - shown, 0.0),
        none_leads=none_leads,
        reason=reason_for(readings, arrays, candidates, miscounts, none_leads=none_leads),
        next_measurement=next_measurement(readings, arrays, odds),
        notes=notes_on(readings, candidates),
        how_to_measure=how_to_measure_text(readings.sex),
        source=SOURCE,
    )


def next_measurement(readings: ThreadReadings, rows: RowArrays, odds: Odds) -> NextMeasurement | None:
    """Find the measurement expected to tell most, or nearly so; None when none is worth 0.05 bit.

    Of measurements worth nearly the same (at least 8/10 of the best) the easiest is taken.
    """
    worths = []
    for measurement in Measurement:
        bits = worth_of(measurement, readings, rows, odds)
        if bits is not None:
            worths.append(Worth(measurement=measurement, bits=bits))
    most = max(worth.bits for worth in worths)
    if most < WORTH_DOING:
        return None
    best = next(worth for worth in worths if worth.bits >= NEARLY_AS_GOOD * most)
    open_bits = entropy_bits(hypotheses_of(odds).chance)
    crests = crests_for(readings, rows, odds) if best.measurement is Measurement.PITCH else None
    return NextMeasurement(
        measurement=best.measurement,
        bits=best.bits,
        open_bits=open_bits,
        sentence=next_sentence(best, open_bits, readings, crests),
        crests=crests,
        others=tuple(sorted(worths, key=lambda worth: -worth.bits)),
    )


def _verdict(candidates: tuple[Candidate, ...], none_leads: bool) -> Verdict:
    if none_leads or candidates[0].probability < LEANING:
        return Verdict.UNKNOWN
    return Verdict.SOUND if candidates[0].probability >= SURE else Verdict.DOUBTFUL


def _candidates(
    readings: ThreadReadings, rows: Sequence[Thread], arrays: RowArrays, odds: Odds, as_read: Array
) -> tuple[Candidate, ...]:
    groups = alike_groups(arrays, readings)
    candidates = []
    for group in np.unique(groups[np.flatnonzero(as_read[:-1] > SHOWN)]):
        inside = np.flatnonzero(groups == group)
        inside = inside[np.argsort(-as_read[inside], kind="stable")]
        candidates.append(_candidate(readings, rows, odds, as_read, inside))
    return tuple(sorted(candidates, key=lambda candidate: -candidate.probability))


def _candidate(
    readings: ThreadReadings, rows: Sequence[Thread], odds: Odds, as_read: Array, inside: NDArray[np.int64]
) -> Candidate:
    """One group of rows, likeliest first."""
    probability = float(as_read[inside].sum())
    members = tuple(
        Member(
            name=rows[i].name,
            probability=float(as_read[i]),
            pitch=rows[i].pitch,
            felt=rows[i].felt_diameter(readings.sex),
            form=rows[i].form,
            lamp_use=rows[i].lamp_use,
            where_used=rows[i].where_used,
            from_memory=rows[i].from_memory,
        )
        for i in inside
    )
    title = " or ".join(member.name for member in members if member.probability >= IN_TITLE * probability)
    best = int(inside[0])
    evidence = tuple(Weight(kind=kind, against_none=float(values[best] - values[-1])) for kind, values in odds.evidence)
    return Candidate(title=title, probability=probability, members=members, evidence=evidence)


def _miscounts(arrays: RowArrays, odds: Odds) -> tuple[Miscount, ...]:
    chance = odds.probability[:-1] * odds.miscounted
    likeliest = np.argsort(-chance, kind="stable")[:3]
    return tuple(Miscount(name=arrays.names[i], probability=float(chance[i])) for i in likeliest if chance[i] > 0.02)

"""The words of an answer: reason, next measurement, doubts."""

from __future__ import annotations

import numpy as np

from shadewright.catalog.threads import Sex
from shadewright.naming.likelihood import RowArrays
from shadewright.naming.readings import INCH, LARGEST, ThreadReadings
from shadewright.naming.result import Candidate, Measurement, Member, Miscount, Worth

SPLIT = 0.1


def side_of(sex: Sex) -> str:
    """``outside`` for a male, ``inside`` for a female thread."""
    return "outside" if sex is Sex.MALE else "inside"


def reason_for(
    readings: ThreadReadings,
    rows: RowArrays,
    candidates: tuple[Candidate, ...],
    miscounts: tuple[Miscount, ...],
    *,
    none_leads: bool,
) -> str:
    """Say in one sentence why the leading answer leads."""
    if none_leads:
        return _none_reason(readings, rows, miscounts)
    leader = candidates[0]
    rivals = [other for other in candidates if other.probability > SPLIT * leader.probability]
    if len(rivals) > 1 and readings.pitch is None:
        return _split_reason(readings, rivals)
    sizes = _size_clause(readings, leader)
    pitch = _pitch_clause(readings, leader.members[0])
    rest = f", so only {leader.title} fits" if len(rivals) == 1 else ""
    if len(rivals) > 1:
        rest = f"; {' or '.join(other.title for other in rivals[1:3])} cannot be ruled out"
    return f"{sizes}{pitch}{rest}."


def _size_clause(readings: ThreadReadings, leader: Candidate) -> str:
    best = leader.members[0]
    where = f"{readings.mean:.2f} mm {side_of(readings.sex)}"
    bounds = f"{best.felt.low:.2f} to {best.felt.high:.2f} mm of {best.name}"
    if best.felt.low <= readings.mean <= best.felt.high:
        return f"{where} lies within the {bounds}"
    off = max(best.felt.low - readings.mean, readings.mean - best.felt.high)
    return f"{where} lies only {off:.2f} mm outside the {bounds}"


def _pitch_clause(readings: ThreadReadings, best: Member) -> str:
    if readings.pitch is None:
        return ""
    if readings.crests is not None:
        return (
            f", and {readings.crests} crests ({readings.crests - 1} pitches) in {readings.length:.2f} mm "
            f"make a pitch of {readings.pitch:.2f} against its {best.pitch:.2f} mm"
        )
    return f", and the count makes a pitch of {readings.pitch:.2f} against its {best.pitch:.2f} mm"


def _split_reason(readings: ThreadReadings, rivals: list[Candidate]) -> str:
    names = [rival.title for rival in rivals[:4]]
    more = f" and {len(rivals) - 4} more" if len(rivals) > 4 else ""
    listed = ", ".join(names) if more else f"{', '.join(names[:-1])} and {names[-1]}"
    seen = f"{readings.mean:.2f} mm {side_of(readings.sex)}"
    return f"{seen} fits {listed}{more}; a diameter alone does not tell them apart."


def _none_reason(readings: ThreadReadings, rows: RowArrays, miscounts: tuple[Miscount, ...]) -> str:
    seen = f"{readings.mean:.2f} mm {side_of(readings.sex)}"
    if readings.pitch is not None:
        seen += f" with a pitch of {readings.pitch:.2f} mm"
    if miscounts and readings.crests is not None:
        return f"{seen} fits no row as counted, but {miscounts[0].name} would fit if the crests were miscounted by one."
    if readings.tapered:
        return f"{seen} on a taper fits no row, for all rows of the tables are straight."
    low, high = rows.crest
    off = np.maximum(np.maximum(low - readings.mean, readings.mean - high), 0.0) / readings.mean
    pitch_off = np.zeros_like(off) if readings.pitch is None else np.abs(rows.pitch / readings.pitch - 1)
    nearest = int(np.argmin(np.hypot(off, pitch_off)))
    return (
        f"{seen} fits no row; the nearest, {rows.names[nearest]}, has {low[nearest]:.2f} to {high[nearest]:.2f} mm "
        f"and a pitch of {rows.pitch[nearest]:.2f} mm."
    )


def next_sentence(best: Worth, open_bits: float, readings: ThreadReadings, crests: int | None) -> str:
    """Say what to measure next, and what it is expected to tell."""
    male = readings.sex is Sex.MALE
    do = {
        Measurement.PITCH: f"{'' if readings.pitch is None else 'count again and '}measure the length "
        f"from the first crest to crest number {crests}",
        Measurement.LOOK: "look at the ridge from the side: rounded like a wave, or sharp with straight flanks",
        Measurement.DIAMETER: f"measure the {side_of(readings.sex)} again at two other places",
        Measurement.MATE: f"measure the {'hole' if male else 'stud'} that screws "
        f"{'onto' if male else 'into'} it, over its crests, if you have it",
        Measurement.ROOT: f"measure the bottom of the grooves, {'thin' if male else 'hooked'} jaws in opposite grooves",
        Measurement.TAPER: "measure near both ends: does it narrow by more than 0.1 mm",
    }[best.measurement]
    share = best.bits / open_bits
    tells = "nearly all" if share > 0.85 else "most" if share > 0.5 else "part" if share > 0.2 else "a little"
    return f"{do}; it should tell {tells} of what is open ({best.bits:.1f} of {open_bits:.1f} bits)"


def notes_on(readings: ThreadReadings, candidates: tuple[Candidate, ...]) -> tuple[str, ...]:
    """Doubts about readings and rows, one sentence each."""
    notes = []
    spread = max(readings.diameters) - min(readings.diameters)
    if spread > 5 * readings.caliper_sd:
        notes.append(f"The diameters differ by {spread:.2f} mm: out of round, worn, tapered, or one reading slipped.")
    if candidates and candidates[0].members[0].from_memory:
        notes.append(
            f"The limits of {candidates[0].members[0].name} were entered from memory; try it before relying on it."
        )
    if readings.tapered and candidates:
        notes.append("All rows of the tables are straight; a thread that is truly tapered is none of them.")
    inches = readings.mean * INCH
    if not candidates and inches <= LARGEST:
        notes.append(f"If the diameter was meant in inches, it is {inches:.2f} mm.")
    return tuple(notes)

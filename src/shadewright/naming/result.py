"""What naming a thread yields."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from shadewright.catalog.threads import Form, LampUse, Limits, Sex
from shadewright.findings import Verdict
from shadewright.naming.readings import ThreadReadings


class Measurement(StrEnum):
    """What can be measured next, easiest first."""

    PITCH = "pitch"
    LOOK = "shape"
    DIAMETER = "diameter again"
    ROOT = "root"
    MATE = "mate"
    TAPER = "taper"


@dataclass(frozen=True, slots=True, kw_only=True)
class Member:
    """One row of the tables within a candidate.

    Attributes:
        name: The row's name.
        probability: Chance that the thread is this row, as read.
        pitch: Its pitch [mm].
        felt: Limits of the diameter that the caliper feels [mm].
        form: Shape of its ridge.
        lamp_use: How common it is on lamps.
        where_used: In words.
        from_memory: True when no document was seen for the row.
    """

    name: str
    probability: float
    pitch: float
    felt: Limits
    form: Form
    lamp_use: LampUse
    where_used: str
    from_memory: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Weight:
    """One kind of evidence: logarithm of how much better the candidate explains it than "none of these" does."""

    kind: str
    against_none: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Candidate:
    """One name, or several rows that such readings cannot tell apart.

    Attributes:
        title: ``M10x1``, or ``E27 or E26`` for rows that count as one.
        probability: Chance that it is one of the members, the readings taken as given.
        members: Its rows, likeliest first.
        evidence: What speaks for the likeliest member, prior first; natural logarithms.
    """

    title: str
    probability: float
    members: tuple[Member, ...]
    evidence: tuple[Weight, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Miscount:
    """A row that fits only if the crests were miscounted by one."""

    name: str
    probability: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Worth:
    """What one more measurement is expected to tell [bits]."""

    measurement: Measurement
    bits: float


@dataclass(frozen=True, slots=True, kw_only=True)
class NextMeasurement:
    """The measurement that would tell most.

    Attributes:
        measurement: Which.
        bits: Expected drop of the entropy over all rows and "none of these" [bits].
        open_bits: Entropy today [bits].
        sentence: What to do and what it is worth.
        crests: For the pitch: how many crests to count.
        others: Worth of every measurement considered, best first.
    """

    measurement: Measurement
    bits: float
    open_bits: float
    sentence: str
    crests: int | None
    others: tuple[Worth, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Naming:
    """Ranked names of one thread.

    Attributes:
        readings: What was read.
        sex: Male or female.
        verdict: ``sound`` when one candidate has at least 9 in 10, ``doubtful`` when one leads with at least half,
            else ``unknown``; also ``unknown`` when "none of these" leads.
        candidates: Best first, those below 1 in 10 000 left out.
        none_probability: Chance that no row fits the readings as given, miscounts included.
        miscounts: Rows that fit if the crests were miscounted by one; their chances are part of ``none_probability``.
        others_probability: Chance of all rows left out.
        none_leads: True when "none of these" is likelier than any candidate.
        reason: Why, in one sentence.
        next_measurement: What to measure next; None when nothing would tell more than 0.05 bit.
        notes: Doubts about the readings and rows, one sentence each.
        how_to_measure: Size, pitch and root in words, one line each.
        source: How it was reckoned.
    """

    readings: ThreadReadings
    sex: Sex
    verdict: Verdict
    candidates: tuple[Candidate, ...]
    none_probability: float
    miscounts: tuple[Miscount, ...]
    others_probability: float
    none_leads: bool
    reason: str
    next_measurement: NextMeasurement | None
    notes: tuple[str, ...]
    how_to_measure: tuple[str, ...]
    source: str

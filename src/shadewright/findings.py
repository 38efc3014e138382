"""A finding is one answer with its evidence, and the only thing presenters show."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum


class Verdict(StrEnum):
    """How a finding came out."""

    FAILING = "failing"
    DOUBTFUL = "doubtful"
    UNKNOWN = "unknown"
    SOUND = "sound"

    @property
    def rank(self) -> int:
        """Order of reading: 0 is worst."""
        return list(Verdict).index(self)


@dataclass(frozen=True, slots=True, kw_only=True)
class Place:
    """Where on a part a finding sits, in part coordinates as printed [mm], z up from the bed."""

    z_low: float
    z_high: float
    x: float | None = None
    y: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Finding:
    """One answer with its evidence.

    Attributes:
        code: Which check spoke, as words: ``layers.overhang``.
        subject: What it speaks of: ``part shade``, ``joint neck``, ``lamp``.
        verdict: How it came out.
        sentence: The answer in one sentence, with its number and unit.
        why: The reason, in one sentence; empty when the sentence says all.
        cure: How to mend it, or for ``unknown`` which trial or measurement would tell.
        value: The number found, in ``unit``; None where no single number says it.
        limit: What it was held against, in ``unit``.
        unit: Unit of ``value`` and ``limit``; empty for a ratio.
        source: Where rule and limit come from.
        place: Where on the part.
    """

    code: str
    subject: str
    verdict: Verdict
    sentence: str
    why: str = ""
    cure: str = ""
    value: float | None = None
    limit: float | None = None
    unit: str = ""
    source: str = ""
    place: Place | None = None


def worst(findings: tuple[Finding, ...]) -> Verdict:
    """Verdict of the whole: that of the worst finding, ``sound`` when there is none."""
    return min((finding.verdict for finding in findings), key=lambda verdict: verdict.rank, default=Verdict.SOUND)

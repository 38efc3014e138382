"""What a bench can be told about how it prints: caliper readings of features, and how trial rungs felt."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from shadewright.fit.joint import Feel, JointQuestion
from shadewright.printing import AsPrinted


class FeatureKind(StrEnum):
    """What a caliper reading was taken of."""

    OUTER = "outer"  # outside of a bar, pin or ring, across X/Y
    SLOT = "slot"  # inside between flat walls, across X/Y
    HOLE = "hole"  # diameter of a round hole
    HEIGHT = "height"  # along Z
    FOOT = "foot"  # outside at the first layer, flare included


@dataclass(frozen=True, slots=True, kw_only=True)
class FeatureReading:
    """One feature of one print, measured.

    Attributes:
        feature: Name on the piece, e.g. ``bar 20 along x``.
        kind: What was measured.
        drawn: Size in the model [mm].
        readings: Caliper readings of this one feature [mm]; they share the print's own scatter.
        print_name: Which print it was taken from; readings of one print are not independent of each other.
        caliper_sd: Standard deviation of one reading [mm].
        confirmed: True when the maker was asked about an odd reading and stands by it.
    """

    feature: str
    kind: FeatureKind
    drawn: float
    readings: tuple[float, ...]
    print_name: str
    caliper_sd: float = 0.02
    confirmed: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class TriedRung:
    """One rung of a printed trial and how it felt."""

    drawn: float
    felt: Feel


@dataclass(frozen=True, slots=True, kw_only=True)
class TriedTrial:
    """One printed trial: the joint it stands for, which side the rungs are, and the outcomes.

    Attributes:
        name: The trial's name on the bench.
        question: The joint as it was asked; the rungs replace its drawn side.
        rung_side: ``male`` or ``female``.
        mate_drawn: Drawn size of the other side [mm]; None when it was bought.
        rungs: The rungs that were tried.
        printer, nozzle, plastic: The pair the rungs were printed with, as in ``PairEvidence``.
        mate_plastic: Plastic of a printed other side, same printer and nozzle; None when it was bought.
    """

    name: str
    question: JointQuestion
    rung_side: str
    mate_drawn: float | None
    rungs: tuple[TriedRung, ...]
    printer: str = ""
    nozzle: float = 0.4
    plastic: str = ""
    mate_plastic: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class PairEvidence:
    """Everything known of one pair of printer with nozzle and plastic.

    Attributes:
        printer, nozzle, plastic: Which pair; nozzle bore in mm.
        family: The catalogue's plastic that ``plastic`` belongs to.
        features: Caliper readings.
        stated: Habits the maker states for this pair; they stand in the place of the built-in start.
    """

    printer: str
    nozzle: float
    plastic: str
    family: str
    features: tuple[FeatureReading, ...]
    stated: AsPrinted | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class BenchEvidence:
    """All evidence on a bench; pairs that share a printer or a plastic inform each other."""

    pairs: tuple[PairEvidence, ...]
    trials: tuple[TriedTrial, ...]

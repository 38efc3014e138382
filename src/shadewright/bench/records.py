"""What the bench keeps, as plain records that cannot hold an impossible value."""

from __future__ import annotations

import math
from dataclasses import dataclass

from shadewright.errors import ValueProblem, require_positive
from shadewright.fit.evidence import FeatureReading
from shadewright.fit.joint import Feel, JointKind, JointQuestion
from shadewright.printing import HABITS, AsPrinted, Plastic, Spread

BUILT_IN = "built-in"
"""Name of the printer every bench starts with."""

NOZZLE_LIMITS = (0.1, 2.0)
"""Least and greatest nozzle bore [mm]."""


SPREADS = HABITS
"""The habits that are known with a spread, by their field names."""


def require_name(kind: str, name: str) -> None:
    """Refuse names that cannot be read back from a list or a text file.

    Raises:
        ValueProblem: ``name`` is empty, longer than 80 characters, padded, or holds unprintable characters.
    """
    if not name or len(name) > 80 or name != name.strip() or not name.isprintable():
        raise ValueProblem.of(
            f"{name!r} cannot be the name of a {kind}",
            "use 1 to 80 printable characters without spaces at the ends",
        )


def require_nozzle(bore: float, where: str = "") -> None:
    """Refuse a bore outside ``NOZZLE_LIMITS``.

    Raises:
        ValueProblem: No nozzle has that bore.
    """
    low, high = NOZZLE_LIMITS
    if not low <= bore <= high:
        raise ValueProblem.of(f"no nozzle has a bore of {bore:g} mm", f"give one from {low:g} to {high:g} mm", where)


@dataclass(frozen=True, slots=True, kw_only=True)
class PrinterCard:
    """A printer: usable room [mm], nozzles [mm, the fitted one first] and how it moves."""

    name: str
    bed_x: float
    bed_y: float
    bed_z: float
    nozzles: tuple[float, ...] = (0.4,)
    speed_mm_s: float = 50.0
    acceleration_mm_s2: float = 1000.0
    least_layer_s: float = 8.0
    warm_up_s: float = 240.0
    source: str = "stated by the maker"

    def __post_init__(self) -> None:
        require_name("printer", self.name)
        for axis in ("x", "y", "z"):
            require_positive(f"bed {axis} of printer {self.name}", getattr(self, f"bed_{axis}"))
        require_positive(f"speed of printer {self.name}", self.speed_mm_s, "mm/s")
        require_positive(f"acceleration of printer {self.name}", self.acceleration_mm_s2, "mm/s²")
        for label, seconds in (("least layer time", self.least_layer_s), ("warm-up", self.warm_up_s)):
            if not 0 <= seconds < math.inf:
                raise ValueProblem.of(f"{label} of printer {self.name} is {seconds:g} s", "it must be 0 or more")
        if not self.nozzles:
            raise ValueProblem.of(f"printer {self.name} has no nozzle", "give at least one bore in mm")
        for bore in self.nozzles:
            require_nozzle(bore, f"printer {self.name}")


@dataclass(frozen=True, slots=True, kw_only=True)
class PlasticCard:
    """A plastic on the bench.

    ``family`` names the catalogue's plastic whose habits and heat limits stand in until this one was measured.
    """

    name: str
    family: str
    density_g_cm3: float
    flow_limit_mm3_s: float
    price_per_kg: float | None = None
    source: str = "stated by the maker"

    def __post_init__(self) -> None:
        require_name("plastic", self.name)
        require_name("plastic family", self.family)
        require_positive(f"density of {self.name}", self.density_g_cm3, "g/cm³")
        require_positive(f"flow limit of {self.name}", self.flow_limit_mm3_s, "mm³/s")
        if self.price_per_kg is not None:
            require_positive(f"price of {self.name}", self.price_per_kg, "per kg")

    def plain_plastic(self) -> Plastic:
        """What print planning needs of it."""
        return Plastic(
            name=self.name,
            density_g_cm3=self.density_g_cm3,
            flow_limit_mm3_s=self.flow_limit_mm3_s,
            price_per_kg=self.price_per_kg,
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class HabitCard:
    """How one printer, nozzle and plastic print, as the maker states it: the start from which this bench learns."""

    printer: str
    nozzle: float
    plastic: str
    habits: AsPrinted

    def __post_init__(self) -> None:
        require_nozzle(self.nozzle, f"habits of {self.printer} in {self.plastic}")
        for name in (*HABITS, "scatter"):
            value = getattr(self.habits, name)
            numbers = (value.mean, value.sd) if isinstance(value, Spread) else (value,)
            if not all(math.isfinite(number) for number in numbers) or numbers[-1] < 0:
                raise ValueProblem.of(
                    f"{name} of {self.printer} in {self.plastic} is {value}",
                    "give finite numbers, deviations 0 or more",
                )


@dataclass(frozen=True, slots=True, kw_only=True)
class RungRecord:
    """One rung: its drawn size and clearance [mm], and how it felt once it was tried."""

    number: int
    drawn: float
    clearance: float
    outcome: Feel | None = None

    def __post_init__(self) -> None:
        require_positive("number of a rung", self.number, "")
        require_positive(f"drawn size of rung {self.number}", self.drawn)
        if not math.isfinite(self.clearance):
            raise ValueProblem.of(f"clearance of rung {self.number} is {self.clearance}", "give a finite number of mm")


@dataclass(frozen=True, slots=True, kw_only=True)
class TrialRecord:
    """One printed trial.

    Attributes:
        name: Tells it from all others.
        lamp: Name of the lamp's folder; empty for a joint of no lamp.
        joint: Name of the joint.
        kind: Its kind.
        printer, nozzle, plastic: What the rungs were printed with.
        made_on: Date like 2025-03-09.
        rungs: What was tried.
        question: The joint as it was asked; None when only the rungs are known.
        rung_side: ``male`` or ``female``; empty when there is no question.
        mate_drawn: Drawn size of the other side [mm]; None when it was bought.
        mate_plastic: Its plastic; None when it was bought.
    """

    name: str
    lamp: str
    joint: str
    kind: JointKind
    printer: str
    nozzle: float
    plastic: str
    made_on: str
    rungs: tuple[RungRecord, ...]
    question: JointQuestion | None = None
    rung_side: str = ""
    mate_drawn: float | None = None
    mate_plastic: str | None = None

    def __post_init__(self) -> None:
        require_name("trial", self.name)
        if (self.question is None) != (self.rung_side == "") or self.rung_side not in {"", "male", "female"}:
            raise ValueProblem.of(
                f"trial {self.name} does not say which side its rungs are", "state male or female, and the joint"
            )
        if self.mate_drawn is not None:
            require_positive(f"drawn size of the mate of trial {self.name}", self.mate_drawn)
        require_nozzle(self.nozzle, f"trial {self.name}")
        numbers = [rung.number for rung in self.rungs]
        if not numbers or len(set(numbers)) != len(numbers):
            raise ValueProblem.of(
                f"trial {self.name} has no rungs, or two of one number", "number its rungs 1, 2, 3 and so on"
            )


@dataclass(frozen=True, slots=True, kw_only=True)
class PrintRecord:
    """One measured print; ``name`` tells it from all others, ``measured_on`` is a date like 2025-03-09."""

    name: str
    printer: str
    nozzle: float
    plastic: str
    measured_on: str
    features: tuple[FeatureReading, ...]

    def __post_init__(self) -> None:
        require_name("print", self.name)
        require_nozzle(self.nozzle, f"print {self.name}")
        names = [feature.feature for feature in self.features]
        if not names or len(set(names)) != len(names):
            raise ValueProblem.of(
                f"print {self.name} has no readings, or one feature twice", "give the readings of each feature once"
            )
        for feature in self.features:
            what = f"{feature.feature} of print {self.name}"
            if feature.print_name != self.name or not feature.readings:
                raise ValueProblem.of(f"{what} has no readings", "give one or more, in mm")
            require_positive(f"drawn size of {what}", feature.drawn)
            require_positive(f"spread of one reading of {what}", feature.caliper_sd)
            for reading in feature.readings:
                require_positive(f"a reading of {what}", reading)

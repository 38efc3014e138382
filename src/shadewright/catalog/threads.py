"""Screw threads: what each row of the tables says, and how to look one up.

Sizes are diameters in mm. A bought thread is never exactly one size: ``male`` and ``female`` hold the
limits within which a thread that was made to its standard lies.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum


class Form(StrEnum):
    """Shape of the thread's ridge in axial section."""

    V60 = "60 degrees"  # ISO 68-1 and Unified: flat crest P/8
    ROUND = "rounded"  # Edison shells and shade-ring barrels: two equal tangent arcs
    V55 = "55 degrees"  # Whitworth, ISO 228: rounded crests and roots
    TRAPEZOIDAL30 = "30 degrees"  # ISO 2904
    ROUND80 = "80 degrees rounded"  # DIN 40430 cable glands


class Sex(StrEnum):
    """Male: thread on the outside. Female: thread in a hole."""

    MALE = "male"
    FEMALE = "female"


class LampUse(StrEnum):
    """How often the thread is met on lamps; judged by us from the tables' where-used column, no source."""

    EVERYDAY = "everyday"
    USUAL = "usual"
    SELDOM = "seldom"
    RARE = "rare"


@dataclass(frozen=True, slots=True)
class Limits:
    """Least and greatest size [mm]."""

    low: float
    high: float

    @property
    def middle(self) -> float:
        """Mean of both limits [mm]."""
        return (self.low + self.high) / 2

    @property
    def width(self) -> float:
        """Tolerance [mm]."""
        return self.high - self.low


@dataclass(frozen=True, slots=True, kw_only=True)
class ThreadLimits:
    """Limits of one sex of a thread [mm]: crest is what a caliper feels (male major, female minor)."""

    major: Limits
    pitch_diameter: Limits
    minor: Limits


@dataclass(frozen=True, slots=True, kw_only=True)
class Thread:
    """One screw thread.

    Attributes:
        name: As the trade writes it: ``M10x1``, ``1/4-20 UNC``, ``E27``, ``E27 barrel``, ``G1/2``.
        aliases: Other writings of the same thread (``M10`` for ``M10x1.5``; ``1/8 IP``).
        families: Every series it belongs to, e.g. ("metric fine", "lamp pipe").
        form: Shape of the ridge.
        pitch: Axial distance between neighbouring crests [mm]; all rows are single-start.
        major, pitch_diameter, minor: Basic sizes [mm].
        male, female: Limits of bought threads.
        lamp_use: How common it is on lamps.
        where_used: In words.
        source: Key into ``sources.toml``.
        where: Table or clause of that source.
        from_memory: True when no document was seen for the row.
        note: Doubts and traps; empty when there are none.
    """

    name: str
    aliases: tuple[str, ...]
    families: tuple[str, ...]
    form: Form
    pitch: float
    major: float
    pitch_diameter: float
    minor: float
    male: ThreadLimits
    female: ThreadLimits
    lamp_use: LampUse
    where_used: str
    source: str
    where: str
    from_memory: bool
    note: str = ""

    @property
    def depth(self) -> float:
        """Radial height of the basic ridge [mm]."""
        return (self.major - self.minor) / 2

    @property
    def threads_per_inch(self) -> float:
        """Crests in 25.4 mm."""
        return 25.4 / self.pitch

    def limits(self, sex: Sex) -> ThreadLimits:
        """Limits of the bought thread of that sex."""
        return self.male if sex is Sex.MALE else self.female

    def felt_diameter(self, sex: Sex) -> Limits:
        """Limits of the diameter that caliper jaws touch: male major, female minor [mm]."""
        return self.male.major if sex is Sex.MALE else self.female.minor

"""What a maker can tell of a bought thread with a caliper, a pencil and a good look."""

from __future__ import annotations

from dataclasses import dataclass, field
from enum import StrEnum

from shadewright.catalog.threads import Sex
from shadewright.errors import Problem, ValueProblem

SMALLEST, LARGEST = 1.2, 200.0
"""Diameters [mm] this package takes; below, the number is almost surely in inches."""

FINEST, COARSEST = 0.18, 14.0
"""Pitches [mm] between which a screw thread's pitch can lie."""

INCH = 25.4


class Look(StrEnum):
    """How the ridge looks from the side; ``sharp`` is any ridge with straight flanks."""

    ROUNDED = "rounded"
    SHARP = "sharp"
    SIXTY = "60"
    FIFTY_FIVE = "55"
    THIRTY = "30"


class Slot(StrEnum):
    """Which field of the readings a problem speaks of; whoever asks maps it to an option's name."""

    DIAMETERS = "diameters"
    CALIPER = "caliper_sd"
    CRESTS = "crests"
    LENGTH = "length"
    LENGTH_SD = "length_sd"
    COUNT = "count"
    ROOTS = "roots"
    MATES = "mates"


@dataclass(frozen=True, slots=True, kw_only=True)
class ThreadReadings:
    """Readings of one thread.

    Attributes:
        sex: Male (outside of a stud) or female (inside of a hole).
        diameters: Crest diameter, one or several readings [mm]: outside of a male, inside of a female thread.
        caliper_sd: Standard deviation of one caliper reading [mm].
        crests: How many crests were counted, the first and the last one included.
        length: From the first to the last of those crests [mm]: ``crests - 1`` pitches.
        length_sd: Standard deviation of ``length`` [mm].
        count: Threads counted per ``count_span``; 9.5 is allowed. Instead of ``crests`` and ``length``.
        count_span: Length over which ``count`` was taken [mm]; 25.4 for threads per inch.
        look: Shape of the ridge, if known.
        tapered: Whether the thread narrows towards its end, if known.
        roots: Root diameter [mm]: bottom of the grooves of a male, of a female thread its grooves' outside.
        mates: Crest diameter of the part that screws onto or into this thread [mm].
    """

    sex: Sex
    diameters: tuple[float, ...]
    caliper_sd: float = 0.05
    crests: int | None = None
    length: float | None = None
    length_sd: float = 0.1
    count: float | None = None
    count_span: float = 10.0
    look: Look | None = None
    tapered: bool | None = None
    roots: tuple[float, ...] = field(default=())
    mates: tuple[float, ...] = field(default=())

    def __post_init__(self) -> None:
        problems = [*_diameter_problems(self), *_spread_problems(self)]
        if not problems:
            problems = [*_pitch_problems(self), *_mate_problems(self)]
        if problems:
            raise ValueProblem(problems)

    @property
    def mean(self) -> float:
        """Mean crest diameter [mm]."""
        return sum(self.diameters) / len(self.diameters)

    @property
    def pitch(self) -> float | None:
        """Pitch that length or count speak of, taken at their word [mm]; None when neither was given."""
        if self.crests is not None and self.length is not None:
            return self.length / (self.crests - 1)
        return self.count_span / self.count if self.count is not None else None


def _diameter_problems(readings: ThreadReadings) -> list[Problem]:
    if not readings.diameters:
        cure = "give at least one, measured over the crests"
        return [Problem("no diameter was given", cure, Slot.DIAMETERS)]
    problems = []
    for slot, values in (
        (Slot.DIAMETERS, readings.diameters),
        (Slot.ROOTS, readings.roots),
        (Slot.MATES, readings.mates),
    ):
        for value in values:
            if not 0 < value < float("inf"):
                problems.append(Problem(f"a diameter of {value:g} mm cannot be", "give a number above 0", slot))
            elif value < SMALLEST:
                cure = f"give millimetres; {value:g} inch would be {value * INCH:.2f} mm"
                problems.append(Problem(f"{value:g} mm is thinner than any thread known here", cure, slot))
            elif value > LARGEST:
                cure = "give millimetres, measured over the crests"
                problems.append(Problem(f"{value:g} mm is wider than any thread on a lamp", cure, slot))
    return problems


def _spread_problems(readings: ThreadReadings) -> list[Problem]:
    problems = []
    if not 0 < readings.caliper_sd <= 1:
        cure = "give the spread of one reading, such as 0.05, at most 1"
        problems.append(Problem(f"a caliper error of {readings.caliper_sd:g} mm cannot be used", cure, Slot.CALIPER))
    if not 0 < readings.length_sd <= 2:
        cure = "give the spread of the length, such as 0.1, at most 2"
        problems.append(Problem(f"a length error of {readings.length_sd:g} mm cannot be used", cure, Slot.LENGTH_SD))
    if len(readings.diameters) > 1 and not problems:
        low, high = min(readings.diameters), max(readings.diameters)
        if high - low > max(0.1 * high, 10 * readings.caliper_sd):
            cure = "one of them slipped, or they are of two different places; measure again"
            problems.append(Problem(f"readings from {low:g} to {high:g} mm cannot be one thread", cure, Slot.DIAMETERS))
    return problems


def _pitch_problems(readings: ThreadReadings) -> list[Problem]:
    crests, length, count = readings.crests, readings.length, readings.count
    if count is not None and (crests is not None or length is not None):
        return [Problem("the pitch was given twice", "give either crests with their length, or a count", Slot.COUNT)]
    if crests is not None and length is None:
        cure = "add the length from the first to the last of these crests"
        return [Problem("crests were counted but not measured", cure, Slot.LENGTH)]
    if crests is None and length is not None:
        cure = "add how many crests it spans, the first and the last included"
        return [Problem("a length was given without its crests", cure, Slot.CRESTS)]
    return _pitch_number_problems(crests, length, count) or _pitch_size_problems(readings)


def _pitch_number_problems(crests: int | None, length: float | None, count: float | None) -> list[Problem]:
    problems = []
    if crests is not None and crests < 2:
        cure = "count at least 2, the first and the last included"
        problems.append(Problem(f"{crests} crests span no length", cure, Slot.CRESTS))
    if length is not None and not 0 < length < float("inf"):
        problems.append(Problem(f"a length of {length:g} mm cannot be", "give a number above 0", Slot.LENGTH))
    if count is not None and not 0 < count < float("inf"):
        problems.append(Problem(f"{count:g} threads cannot be", "give a number above 0", Slot.COUNT))
    return problems


def _pitch_size_problems(readings: ThreadReadings) -> list[Problem]:
    pitch = readings.pitch
    if pitch is None or FINEST <= pitch <= min(COARSEST, 0.6 * min(readings.diameters)):
        return []
    slot = Slot.COUNT if readings.count is not None else Slot.LENGTH
    what = f"a pitch of {pitch:.3g} mm cannot be on a thread of {readings.mean:.4g} mm"
    return [Problem(what, "n crests span n - 1 pitches, lengths are in mm; count and measure again", slot)]


def _mate_problems(readings: ThreadReadings) -> list[Problem]:
    problems = []
    male = readings.sex is Sex.MALE
    slack = 5 * readings.caliper_sd + 0.1
    for slot, values, word in ((Slot.ROOTS, readings.roots, "root"), (Slot.MATES, readings.mates, "mate")):
        for value in values:
            inside = readings.mean + slack - value if male else value - (readings.mean - slack)
            if inside < 0 or abs(value - readings.mean) > 0.5 * max(value, readings.mean):
                side = "a little less" if male else "a little more"
                cure = f"it should be {side} than the {readings.mean:.4g} mm over the crests; measure again"
                problems.append(
                    Problem(f"a {word} diameter of {value:g} mm does not belong to this thread", cure, slot)
                )
    return problems

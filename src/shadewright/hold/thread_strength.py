"""What a screw thread bears along its axis: its core, the ridges of both sides, their flanks, and the wall around it.

Shear areas are those of FED-STD-H28/2B, a cylinder through the crests of the other side times the width that the ridge
has there, written for any form: straight flanks at half the form's angle, or the two equal tangent arcs of rounded
lamp threads. The true gap moves the cylinder outwards along the ridge, where it is thinner. Dilation and mutual
weakening are the factors of Alexander (SAE 770420, 1977; also ISO/TR 16224; from memory). Bursting and flank pressure
are equilibrium; all stresses are means over the engaged turns.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from shadewright.catalog.threads import Form, Sex, Thread
from shadewright.errors import require_positive
from shadewright.fit.flank import flank_angle
from shadewright.hold.card import MaterialCard
from shadewright.hold.ranges import DRAWS, Draws, Outcome, Ranged, draw, governing, summary

BEARING = Ranged(0.9, 1.1, 1.3, "plastics bear a little more in pressure than in tension, from memory")
"""Pressure that flanks and seats bear, over tensile strength [-]."""

NOTCH = Ranged(0.5, 0.7, 1.0, "roots of threads are notches between layers; judged")
"""Strength that is left of layers pulled apart under a thread [-]."""

STEEL = Ranged(300.0, 400.0, 500.0, "plain steel, property classes 3.6 to 5.8 (ISO 898-1, from memory)")
"""Tensile strength of bought metal threads [MPa]; brass is about as strong."""

HOLDER_PLASTIC = Ranged(30.0, 45.0, 70.0, "moulded lampholders, thermoset or PBT, from memory")
"""Tensile strength of a bought lampholder's barrel [MPa]."""

SOURCE = (
    "shear areas FED-STD-H28/2B for every form; dilation and mutual weakening after Alexander 1977, from memory; "
    "inputs as ranges"
)

CORE, MALE, FEMALE, FLANKS, BURST, BOSS = "core", "male ridges", "female ridges", "flanks", "burst", "boss"

_MOST_RS = 2.2
_LEAST_RS = 0.4
_LEAST_DILATION = 1.1


@dataclass(frozen=True, slots=True, kw_only=True)
class ThreadSide:
    """One side of a threaded joint; strengths in MPa.

    Attributes:
        name: Part or bought thing.
        printed: False for a bought one.
        shear_mpa: Of its ridges, along the axis.
        tension_mpa: Of its core or wall, along the axis.
        hoop_mpa: Of its wall, round the axis.
        bearing_mpa: Pressure its flanks bear.
        torsion_mpa: Shear strength of its core when it is twisted.
        wall: What carries beneath a male's thread or around a female's [mm]; None for a solid one.
    """

    name: str
    printed: bool
    shear_mpa: Ranged
    tension_mpa: Ranged
    hoop_mpa: Ranged
    bearing_mpa: Ranged
    torsion_mpa: Ranged
    wall: Ranged | None = None


def printed_side(name: str, card: MaterialCard, *, lying: bool, wall: Ranged | None) -> ThreadSide:
    """A printed side.

    Upright, the stripping cylinder crosses the layers, and the axial pull parts them, beginning at a root. Lying, the
    cylinder touches layers that slide on each other, and the wall can split between layers. Twisting slides layers in
    both.

    Args:
        name: Part.
        card: Of its plastic.
        lying: True when the thread's axis lies in the layers.
        wall: What carries under or around the thread [mm]; None when solid.
    """
    return ThreadSide(
        name=name,
        printed=True,
        shear_mpa=card.shear(across_layers=lying),
        tension_mpa=card.strength_along_mpa if lying else card.strength_across_mpa.by(NOTCH),
        hoop_mpa=card.strength(across_layers=lying),
        bearing_mpa=card.strength_along_mpa.by(BEARING),
        torsion_mpa=card.shear_across_mpa,
        wall=wall,
    )


def bought_side(name: str, strength_mpa: Ranged = STEEL, wall: Ranged | None = None) -> ThreadSide:
    """A bought side of even strength in all directions; shear is 0.6 of it, as Alexander has it."""
    shear = strength_mpa.times(0.6)
    return ThreadSide(
        name=name,
        printed=False,
        shear_mpa=shear,
        tension_mpa=strength_mpa,
        hoop_mpa=strength_mpa,
        bearing_mpa=strength_mpa.by(BEARING),
        torsion_mpa=shear,
        wall=wall,
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class ThreadQuestion:
    """A threaded joint whose strength is asked.

    Attributes:
        thread: Its form and basic sizes.
        engagement: Length of full ridges in each other [mm].
        gap: Female minus male pitch diameter, as printed [mm]; below 0 they are pressed into each other.
        male, female: Both sides.
    """

    thread: Thread
    engagement: float
    gap: Ranged
    male: ThreadSide
    female: ThreadSide

    def __post_init__(self) -> None:
        require_positive("the engagement of the thread", self.engagement)


@dataclass(frozen=True, slots=True, kw_only=True)
class ThreadStrength:
    """What the joint bears along its axis, at once and cold or warm as its cards say.

    Attributes:
        forces_n: Force of every way of failing [N].
        weakest: Which of them comes first.
        force_n: Least of all of them, specimen by specimen [N].
        sentence: How it fails, as a clause.
        strip_per_mm_n: Stripping force for each mm engaged [N/mm].
        engagement_for_core: Length at which stripping takes as much as the core [mm].
    """

    forces_n: Mapping[str, Outcome]
    weakest: str
    force_n: Outcome
    sentence: str
    strip_per_mm_n: Outcome
    engagement_for_core: float

    def turns_for_core(self, pitch: float) -> float:
        """The same as turns of a thread of that pitch [mm]."""
        return self.engagement_for_core / pitch


def thread_strength(question: ThreadQuestion, draws: int = DRAWS, seed: int = 0) -> ThreadStrength:
    """Every way in which the joint fails when it is pulled along its axis, and which comes first."""
    forces = forces_of(question, draw(inputs_of(question), draws, seed))
    outcomes = {name: summary(values) for name, values in forces.items()}
    weakest = governing(outcomes)
    strip = np.minimum(forces[MALE], forces[FEMALE]) / question.engagement
    core = float(np.median(forces[CORE]))
    return ThreadStrength(
        forces_n=outcomes,
        weakest=weakest,
        force_n=summary(least_of(forces)),
        sentence=failure_words(question, weakest),
        strip_per_mm_n=summary(strip),
        engagement_for_core=core / max(float(np.median(strip)), 1e-9),
    )


def failure_words(question: ThreadQuestion, mode: str) -> str:
    """How it fails, as a clause."""
    male, female = question.male.name, question.female.name
    return {
        CORE: f"{male} tears off under its thread",
        MALE: f"the thread of {male} strips",
        FEMALE: f"the thread of {female} strips",
        FLANKS: f"the flanks of {_softer(question).name} are crushed",
        BURST: f"{female} bursts around the thread",
        BOSS: f"{female} tears off around the thread",
    }[mode]


def inputs_of(question: ThreadQuestion) -> dict[str, Ranged]:
    """The ranged inputs of a joint, by the names that ``forces_of`` takes."""
    male, female = question.male, question.female
    inputs = {
        "gap": question.gap,
        "male_shear": male.shear_mpa,
        "male_tension": male.tension_mpa,
        "male_torsion": male.torsion_mpa,
        "female_shear": female.shear_mpa,
        "female_tension": female.tension_mpa,
        "female_hoop": female.hoop_mpa,
        "bearing": _softer(question).bearing_mpa,
    }
    if male.wall is not None:
        inputs["male_wall"] = male.wall
    if female.wall is not None:
        inputs["female_wall"] = female.wall
    return inputs


def forces_of(question: ThreadQuestion, drawn: Mapping[str, Draws]) -> dict[str, Draws]:
    """Force at which each way of failing sets in, (draws,) each [N]."""
    thread, length = question.thread, question.engagement
    male_area = ridge_area(question, drawn["gap"], Sex.MALE)
    female_area = ridge_area(question, drawn["gap"], Sex.FEMALE)
    male_shear, female_shear = drawn["male_shear"] * male_area, drawn["female_shear"] * female_area
    ratio = female_shear / np.maximum(male_shear, 1e-9)
    wall = drawn.get("female_wall")
    dilation = np.ones_like(ratio) if wall is None else dilation_factor(1 + 2 * wall / thread.major)
    forces = {
        CORE: drawn["male_tension"] * core_area(thread, drawn.get("male_wall")),
        MALE: male_shear * dilation * male_factor(ratio),
        FEMALE: female_shear * dilation * female_factor(ratio),
        FLANKS: drawn["bearing"] * flank_area(question, drawn["gap"]),
    }
    if wall is not None:
        steep = math.tan(math.radians(flank_angle(thread)))
        forces[BURST] = drawn["female_hoop"] * 2 * math.pi * wall * length / steep
        forces[BOSS] = drawn["female_tension"] * math.pi * (thread.major + wall) * wall
    return forces


def least_of(forces: Mapping[str, Draws]) -> Draws:
    """The first failure of every specimen, (draws,)."""
    return np.asarray(np.min(np.stack(np.broadcast_arrays(*forces.values())), axis=0), dtype=np.float64)


# Areas ----------------------------------------------------------------------------------------------------------------


def shear_area(
    diameter: Draws | float, towards_root: Draws | float, pitch: float, engagement: float, half_angle: float
) -> Draws:
    """Shear area of straight-flanked ridges [mm²].

    Args:
        diameter: Of the cylinder that cuts them: crests of the other side [mm].
        towards_root: How far it lies from their own pitch diameter towards their root [mm on the diameter]: male pitch
            diameter minus female minor, or male major minus female pitch diameter.
        pitch: Of the thread [mm].
        engagement: Length engaged [mm].
        half_angle: Between flank and the plane across the axis [degrees].

    Source: FED-STD-H28/2B, its 0.57735 being the tangent of 30 degrees.
    """
    width = pitch / 2 + np.asarray(towards_root) * math.tan(math.radians(half_angle))
    return np.asarray(math.pi * np.asarray(diameter) * engagement / pitch * np.maximum(width, 0.0))


def rounded_width(thread: Thread, towards_root: Draws | float) -> Draws:
    """Width of a rounded ridge, ``towards_root`` [mm on the diameter] from the line where its two arcs meet [mm]."""
    pitch, depth = thread.pitch, thread.depth
    radius = (pitch**2 / 16 + depth**2 / 4) / depth
    away = np.minimum(np.abs(np.asarray(towards_root)) / 2, depth / 2)
    half = np.sqrt(np.maximum(radius**2 - (away - depth / 2 + radius) ** 2, 0.0))
    return np.asarray(np.where(np.asarray(towards_root) < 0, 2 * half, pitch - 2 * half))


def crest_height(thread: Thread, sex: Sex, *, printed: bool) -> float:
    """How far crests stand from the pitch diameter [mm on the diameter]: basic if printed, mid-limits if bought."""
    if printed:
        return thread.major - thread.pitch_diameter if sex is Sex.MALE else thread.pitch_diameter - thread.minor
    limits = thread.limits(sex)
    flank = limits.pitch_diameter.middle
    return limits.major.middle - flank if sex is Sex.MALE else flank - limits.minor.middle


def ridge_area(question: ThreadQuestion, gap: Draws, sex: Sex) -> Draws:
    """Area that shears when the ridges of that sex strip, (draws,) [mm²]; 0 where the sides pass each other."""
    thread, length = question.thread, question.engagement
    gap = np.maximum(gap, 0.0)
    outer = crest_height(thread, Sex.MALE, printed=question.male.printed)
    inner = crest_height(thread, Sex.FEMALE, printed=question.female.printed)
    own = thread.pitch_diameter
    towards = (inner if sex is Sex.MALE else outer) - gap
    diameter = own - towards if sex is Sex.MALE else own + outer
    if thread.form is Form.ROUND:
        area = math.pi * diameter * length / thread.pitch * rounded_width(thread, towards)
    else:
        area = shear_area(diameter, towards, thread.pitch, length, flank_angle(thread))
    return np.asarray(np.where(outer + inner > gap, area, 0.0))


def flank_area(question: ThreadQuestion, gap: Draws) -> Draws:
    """Area by which flanks press on each other, seen along the axis, (draws,) [mm²]."""
    thread = question.thread
    outer = crest_height(thread, Sex.MALE, printed=question.male.printed)
    inner = crest_height(thread, Sex.FEMALE, printed=question.female.printed)
    greatest = thread.pitch_diameter + outer
    least = np.minimum(thread.pitch_diameter + np.maximum(gap, 0.0) - inner, greatest)
    return np.asarray(math.pi / 4 * (greatest**2 - least**2) * question.engagement / thread.pitch)


def tensile_area(pitch_diameter: float, minor: float) -> float:
    """Stress area of a solid screw [mm²], of the mean of pitch and root diameter (ISO 898-1)."""
    return math.pi / 4 * ((pitch_diameter + minor) / 2) ** 2


def core_area(thread: Thread, wall: Draws | None) -> Draws:
    """What carries under a male thread [mm²]: the stress area when solid, else a ring of that wall under the roots."""
    root = root_diameter(thread)
    if wall is None:
        return np.asarray(tensile_area(thread.pitch_diameter, root))
    bore = np.maximum(root - 2 * wall, 0.0)
    return np.asarray(math.pi / 4 * (root**2 - bore**2))


def root_diameter(thread: Thread) -> float:
    """Root of the male [mm]; 60 degree threads are rounded a sixth of their sharp height deeper (ISO 898-1)."""
    return thread.minor - (math.sqrt(3) / 12 * thread.pitch if thread.form is Form.V60 else 0.0)


# Mutual weakening -----------------------------------------------------------------------------------------------------


def dilation_factor(across_over_major: Draws | float) -> Draws:
    """Loss of stripping strength because the wall around the thread opens [-].

    Args:
        across_over_major: Outer diameter, or width across flats, over the thread's major diameter.

    The polynomial holds from 1.4; below it is carried on to 1.1, the cautious side.
    """
    s = np.clip(np.asarray(across_over_major, dtype=np.float64), _LEAST_DILATION, 1.9)
    return np.asarray(np.where(s >= 1.9, 1.0, -(s**2) + 3.8 * s - 2.61))


def male_factor(ratio: Draws | float) -> Draws:
    """Weakening of the male's ridges by bending of both [-]; ``ratio`` is female over male stripping strength."""
    r = np.clip(np.asarray(ratio, dtype=np.float64), 1.0, _MOST_RS)
    curve = 5.594 - 13.682 * r + 14.107 * r**2 - 6.057 * r**3 + 0.9353 * r**4
    return np.where(r <= 1.0, 0.897, curve)


def female_factor(ratio: Draws | float) -> Draws:
    """The same for the female's; below a ratio of 0.4 the curve was never fitted and 1 is used, as on rigid screws."""
    r = np.asarray(ratio, dtype=np.float64)
    inside = np.clip(r, _LEAST_RS, 1.0)
    curve = 0.728 + 1.769 * inside - 2.896 * inside**2 + 1.296 * inside**3
    return np.where(r < _LEAST_RS, 1.0, np.where(r >= 1.0, 0.897, curve))


def _softer(question: ThreadQuestion) -> ThreadSide:
    return min((question.male, question.female), key=lambda side: side.bearing_mpa.likely)

"""From torque to clamping force and back, how tight is enough, and what of the clamp is left later.

Torque of a screw: thread friction on the inclined flank, friction under the head and the slope of the thread (any
machine design textbook; ISO 16047 and VDI 2230 have the short form). Tension and twist of the core add as squares.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from shadewright.catalog.threads import Thread
from shadewright.errors import require_positive
from shadewright.fit.flank import flank_angle
from shadewright.hold.card import MaterialCard, modulus_left
from shadewright.hold.ranges import DRAWS, Draws, Outcome, Ranged, draw, summary
from shadewright.hold.thread_strength import (
    ThreadQuestion,
    core_area,
    forces_of,
    inputs_of,
    least_of,
    root_diameter,
    thread_strength,
)

HEAD, TWIST = "seat", "twist"
FINGER_N = Ranged(20.0, 30.0, 45.0, "pinch of thumb and finger, tangential, each side; judged")
"""Force of two fingertips on a round thing [N]; times its diameter it is their torque."""

METAL_FRICTION = Ranged(0.12, 0.20, 0.30, "dry plastic on smooth metal, from memory")
"""Friction where one of both sides is metal [-]."""

EASED = 0.4
"""Advised torque over that at which the weak specimen fails; our rule."""

HOURS_PER_YEAR = 8766.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Head:
    """What the tightened thing turns on: outer and inner diameter of its ring of contact [mm], and what that bears.

    ``bearing_mpa`` is the softer side's; None where nothing is known of the seat.
    """

    outer: float
    inner: float
    bearing_mpa: Ranged | None = None

    def __post_init__(self) -> None:
        require_positive("the inner diameter of the seat", self.inner)
        require_positive("the width of the seat", self.outer - self.inner)

    @property
    def mean_radius(self) -> float:
        """Half the mean of both diameters [mm]."""
        return (self.outer + self.inner) / 4

    @property
    def area(self) -> float:
        """Area of contact [mm²]."""
        return math.pi / 4 * (self.outer**2 - self.inner**2)


@dataclass(frozen=True, slots=True, kw_only=True)
class Tightening:
    """How tight is enough.

    Attributes:
        fails_nm: Torque at which the first thing gives way.
        weakest: Which: a way of ``thread_strength``, ``twist`` or ``seat``.
        advised_nm: Torque that even the weak specimen bears with a margin.
        clamp_n: Clamping force at that torque.
        clamp_later_n: What creep leaves of it after a year.
        fingers_nm: Torque that fingers give on the thread's own diameter.
    """

    fails_nm: Outcome
    weakest: str
    advised_nm: float
    clamp_n: Outcome
    clamp_later_n: Outcome
    fingers_nm: Outcome

    @property
    def fingers_can_break_it(self) -> bool:
        """Whether a firm pinch reaches the torque that the weak specimen bears."""
        return self.fingers_nm.high95 > self.fails_nm.low5


def torque_per_newton(
    *,
    pitch: float,
    pitch_diameter: float,
    half_angle: float,
    friction_thread: Draws | float,
    friction_head: Draws | float,
    head_mean_radius: float,
) -> Draws:
    """Torque for each newton of clamping force [mm]; divide by the thread's diameter for the nut factor.

    Args:
        pitch: Lead of the thread [mm].
        pitch_diameter: Where its flanks rub [mm].
        half_angle: Between flank and the plane across the axis [degrees].
        friction_thread: In the thread [-].
        friction_head: Under the head [-].
        head_mean_radius: Where the head rubs [mm].
    """
    return (
        thread_part(pitch, pitch_diameter, half_angle, friction_thread) + np.asarray(friction_head) * head_mean_radius
    )


def thread_part(pitch: float, pitch_diameter: float, half_angle: float, friction: Draws | float) -> Draws:
    """The part of it that twists the screw's core [mm]."""
    slope = pitch / (math.pi * pitch_diameter)
    rubbing = np.asarray(friction) / math.cos(math.radians(half_angle))
    return np.asarray(pitch_diameter / 2 * (slope + rubbing) / np.maximum(1 - slope * rubbing, 1e-6))


def twist_modulus(thread: Thread, wall: Draws | None) -> Draws:
    """Torsional section modulus of the core under the roots [mm³]."""
    root = root_diameter(thread)
    bore = np.zeros(()) if wall is None else np.maximum(root - 2 * wall, 0.0)
    return np.asarray(math.pi * (root**4 - bore**4) / (16 * root))


def tighten(
    question: ThreadQuestion,
    head: Head,
    friction: Ranged,
    relaxing: MaterialCard,
    *,
    hours: float = HOURS_PER_YEAR,
    draws: int = DRAWS,
    seed: int = 0,
) -> Tightening:
    """How much torque the joint bears, how much is enough, and what stays of the clamp.

    Args:
        question: The thread.
        head: What is turned on.
        friction: In the thread and under the head, drawn apart.
        relaxing: Card of the plastic that is clamped or that clamps.
        hours: After which the clamp is asked for.
        draws: How many.
        seed: Equal seeds give equal answers.
    """
    inputs = {**inputs_of(question), "friction_thread": friction, "friction_head": friction}
    inputs |= {"left": modulus_left(relaxing, hours), "finger": FINGER_N}
    if head.bearing_mpa is not None:
        inputs["seat"] = head.bearing_mpa
    drawn = draw(inputs, draws, seed)
    thread, angle = question.thread, flank_angle(question.thread)
    own = thread_part(thread.pitch, thread.pitch_diameter, angle, drawn["friction_thread"])
    lever = own + drawn["friction_head"] * head.mean_radius
    forces = forces_of(question, drawn)
    wall = drawn.get("male_wall")
    pulled = drawn["male_tension"] * core_area(thread, wall)
    twisted = drawn["male_torsion"] * twist_modulus(thread, wall)
    forces[TWIST] = 1 / np.hypot(1 / pulled, own / twisted)
    if head.bearing_mpa is not None:
        forces[HEAD] = drawn["seat"] * head.area
    torques = {name: force * lever / 1000 for name, force in forces.items()}
    fails = summary(least_of(torques))
    advised = EASED * fails.low5
    clamp = 1000 * advised / lever
    return Tightening(
        fails_nm=fails,
        weakest=min(torques, key=lambda name: float(np.median(torques[name]))),
        advised_nm=advised,
        clamp_n=summary(clamp),
        clamp_later_n=summary(clamp * drawn["left"]),
        fingers_nm=summary(drawn["finger"] * thread.major / 1000),
    )


def length_for(question: ThreadQuestion, force_n: float, seed: int = 0) -> float:
    """Length to engage so that the weak specimen's thread strips only at ``force_n`` [mm]."""
    per_mm = thread_strength(question, seed=seed).strip_per_mm_n.low5
    return force_n / max(per_mm, 1e-9)

"""Whether a tilt joint holds its lamp up: friction under a clamping screw, what creep leaves of it, and teeth.

Moments [N m] about the pivot's axis. A friction joint holds what its clamping force, friction and radii give:

    faces, worn in:  T = n mu F (ro + ri) / 2                          even wear, the value to design by
    faces, new:      T = n mu F (2/3) (ro^3 - ri^3) / (ro^2 - ri^2)    even pressure
    cone seat:       the same over sin(half angle)
    clamp on a rod:  T = mu F d (two lines touch) up to (4/pi) mu F d (pressure by the cosine)

Sources: plate and cone clutches (Khurmi and Gupta, Theory of Machines, ch. 10); clamps on rods by the same integral
over a cylinder. The plastic under the screw creeps, so the force left after a year is that share of the modulus.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from math import pi, radians, sin

import numpy as np

from shadewright.errors import ValueProblem, require_positive
from shadewright.hold.balance import GRAVITY
from shadewright.hold.ranges import DRAWS, Draws, Outcome, Ranged, propagate_all
from shadewright.solid.mesh import Floats

SOURCE = "Khurmi and Gupta, Theory of Machines, ch. 10 (plate and cone clutches); creep as on the material card"
HAND_FORCE_RATIO = Ranged(0.18, 0.25, 0.35, "torque = K F d with K 0.2 dry steel (textbook), more on plastic (judged)")
"""Torque over force times diameter for a screw [-], friction in thread and under the head together."""
HAND_TORQUE_NM = Ranged(0.3, 0.5, 0.8, "fingers on a 20 to 30 mm knob (common practice, no source)")
ALL_OF_IT = Ranged.exactly(1.0)
"""Nothing crept yet."""

TOOTH_SLOPE = 45.0
"""Slope of a tooth's flank out of its face [degrees]: steeper ones would not print upright without support."""


class Contact(StrEnum):
    """What rubs on what."""

    FACES = "faces"
    CONE = "cone"
    ROD = "rod"


@dataclass(frozen=True, slots=True, kw_only=True)
class PivotClamp:
    """A friction joint under a clamping screw.

    Attributes:
        contact: Faces, a cone, or a split clamp on a rod.
        outer, inner: Radii of what rubs [mm]; a rod has only ``outer``.
        faces: How many pairs of faces rub.
        half_angle: Of the cone [degrees].
        force_n: Clamping force when new [N].
        friction: Coefficient [-].
        left: Share of the force that creep leaves [-].
        tooth_shear_mpa: Shear strength of face teeth of ``TOOTH_SLOPE`` for long loads [MPa]; None for plain faces.
    """

    contact: Contact = Contact.FACES
    outer: float
    inner: float = 0.0
    faces: int = 1
    half_angle: float = 90.0
    force_n: Ranged
    friction: Ranged
    left: Ranged = ALL_OF_IT
    tooth_shear_mpa: Ranged | None = None

    def __post_init__(self) -> None:
        require_positive("the outer radius of the pivot", self.outer)
        if not 0 <= self.inner < self.outer:
            raise ValueProblem.of("the inner radius of the pivot is not below its outer one", "swap or mend them")
        if not (0 < self.half_angle <= 90 and self.faces >= 1):
            raise ValueProblem.of("a pivot needs a half angle of 0 to 90 degrees and a face", "mend its numbers")
        if self.tooth_shear_mpa is not None and self.contact is not Contact.FACES:
            raise ValueProblem.of("only faces have teeth", 'write contact = "faces", or leave teeth out')


@dataclass(frozen=True, slots=True, kw_only=True)
class PivotHold:
    """What a pivot holds and needs.

    Attributes:
        new_nm: Moment that turns it when new, faces not run in [N m].
        worn_nm: The same once run in [N m].
        crept_nm: The same after creep has taken its share of the force [N m]: what counts.
        needed_nm: Moment of the lamp about the axis in its worst pose [N m].
        safety: ``crept_nm`` over ``needed_nm``, drawn together [-].
        wanted: What its low end is held against [-].
    """

    new_nm: Outcome
    worn_nm: Outcome
    crept_nm: Outcome
    needed_nm: Outcome
    safety: Outcome
    wanted: float

    @property
    def droops(self) -> bool:
        """Whether the likely lamp turns its pivot once the clamp has relaxed."""
        return self.safety.likely < 1

    @property
    def shortfall(self) -> float:
        """Factor by which clamping must grow for the low end to reach what is wanted [-]; 1 when it does."""
        return max(self.wanted / self.safety.low5, 1.0)


def arm_new(clamp: PivotClamp) -> float:
    """Moment over friction times force when new [mm], all faces together."""
    if clamp.contact is Contact.ROD:
        return 8 / pi * clamp.outer
    ro, ri = clamp.outer, clamp.inner
    return clamp.faces * (2 / 3) * (ro**3 - ri**3) / (ro**2 - ri**2) / _wedge(clamp)


def arm_worn(clamp: PivotClamp) -> float:
    """Moment over friction times force once run in [mm], all faces together."""
    if clamp.contact is Contact.ROD:
        return 2 * clamp.outer
    return clamp.faces * (clamp.outer + clamp.inner) / 2 / _wedge(clamp)


def _wedge(clamp: PivotClamp) -> float:
    return sin(radians(clamp.half_angle)) if clamp.contact is Contact.CONE else 1.0


def force_from_torque(torque_nm: Ranged, diameter: float, ratio: Ranged = HAND_FORCE_RATIO) -> Ranged:
    """Clamping force of a screw turned in by ``torque_nm`` [N]: F = T / (K d) (textbook), the ends from both ends."""
    require_positive("the diameter of the screw", diameter)
    return Ranged(
        1000 * torque_nm.low / (ratio.high * diameter),
        1000 * torque_nm.likely / (ratio.likely * diameter),
        1000 * torque_nm.high / (ratio.low * diameter),
        ratio.source,
    )


def moment_in_pose(centre: Floats, at: Floats, axis: Floats) -> float:
    """Level arm of a weight about a pivot's axis as it stands [mm], without sign.

    Args:
        centre: (3,) centre of mass of what the pivot carries [mm].
        at: (3,) a point on the axis [mm].
        axis: (3,) direction of the axis.

    Source: moment of a force about a line (textbook), a . (r x W), over W.
    """
    direction = axis / np.linalg.norm(axis)
    return float(abs(direction @ np.cross(centre - at, np.array([0.0, 0.0, -1.0]))))


def pivot_hold(
    clamp: PivotClamp, mass_g: Ranged, arm: Ranged, *, wanted: float, draws: int = DRAWS, seed: int = 0
) -> PivotHold:
    """Hold a pivot's friction against the weight it carries.

    Args:
        clamp: The joint.
        mass_g: Mass it carries [g].
        arm: Of that mass about the axis, in the worst pose [mm].
        wanted: Factor of safety that the low end is held against [-].
        draws: How many draws.
        seed: For the draws.

    Raises:
        ValueProblem: What it carries has no mass or no arm.
    """
    if not (mass_g.low > 0 and arm.likely > 0):
        raise ValueProblem.of("the pivot carries nothing off its axis", "there is no moment to hold")
    new, worn = arm_new(clamp) / 1000, arm_worn(clamp) / 1000

    def answers(force: Draws, friction: Draws, left: Draws, mass: Draws, arm: Draws, **rest: Draws) -> dict[str, Draws]:
        needed = mass / 1000 * GRAVITY * np.maximum(arm, 1e-6) / 1000
        grip = friction * force
        end = np.full_like(force, np.inf)
        if clamp.tooth_shear_mpa is not None:
            grip = tooth_grip(friction) * force
            end = clamp.faces * teeth_shear_nm(clamp.outer, clamp.inner, 1.0) * rest["tooth"]
        held = {"new_nm": new * grip, "worn_nm": worn * grip, "crept_nm": worn * grip * left}
        held = {name: np.minimum(moment, end) for name, moment in held.items()}
        return {**held, "needed_nm": needed, "safety": held["crept_nm"] / needed}

    inputs = {"force": clamp.force_n, "friction": clamp.friction, "left": clamp.left, "mass": mass_g, "arm": arm}
    if clamp.tooth_shear_mpa is not None:
        inputs["tooth"] = clamp.tooth_shear_mpa
    found = propagate_all(answers, inputs, draws, seed)
    return PivotHold(wanted=wanted, **found)


def tooth_grip(friction: Draws, slope: float = TOOTH_SLOPE) -> Draws:
    """Tangential over clamping force at which face teeth ride up their flanks and jump [-]: tan(slope + atan mu).

    Infinite where they lock themselves, and then they shear.

    Args:
        friction: Coefficients on the flanks [-].
        slope: Of the flanks out of the face [degrees].

    Source: inclined plane (textbook).
    """
    lean = radians(slope) + np.arctan(friction)
    return np.where(lean < pi / 2, np.tan(np.minimum(lean, pi / 2 - 1e-9)), np.inf)


def teeth_shear_nm(outer: float, inner: float, shear_mpa: float) -> float:
    """Moment that shears a ring of face teeth off at half their pitch [N m]; one side fills half the ring.

    Source: shear stress times half the ring's area times its mean radius (textbook).
    """
    return shear_mpa * pi * (outer**2 - inner**2) / 2 * (outer + inner) / 2 / 1000

"""How stiff snap arms are and how they are strained: straight, tapered, U-shaped, and bars that twist.

Everything is linear in the deflection: an ``Arm`` says strain for each mm, and force for each mm and MPa. Straight arms
follow the snap-fit design guide of a plastics maker; constants come from closed integrals of the bending line. The
U-shaped arm is Castigliano's theorem on a thin bar (legs and half circle). The twisted bar is de Saint-Venant's.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from shadewright.errors import ValueProblem, require_positive
from shadewright.fit.snap_strain import arm_factor
from shadewright.hold.ranges import Draws, Ranged

ROOT_TURNS = 1.33
"""Turning of a massive root, as part of the arm's own deflection times thickness over length [-].

A cantilever on an elastic half plane turns at its root by 16.67 M / (pi E b h²) (O'Donnell, Journal of Applied
Mechanics 1960, from memory), which moves the tip by 16.67 / (4 pi) h / l of the beam's own deflection.
"""

NARROWEST = 0.2
"""Least tip over root width for which the closed form is offered."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Arm:
    """A snap arm.

    Attributes:
        length: From the root to the nub [mm]; of a U, the leg with the nub.
        width: At the root, across the bending [mm].
        taper: Thickness at the nub over that at the root, 0.5 to 1.
        width_taper: The same of the width, 0.2 to 1; not together with ``taper``.
        return_leg: Leg from the bend back to the root of a U-shaped arm [mm]; 0 for a straight one.
        bend_radius: Middle radius of its bend [mm].
    """

    length: float
    width: float
    taper: float = 1.0
    width_taper: float = 1.0
    return_leg: float = 0.0
    bend_radius: float = 0.0

    def __post_init__(self) -> None:
        require_positive("the arm's length", self.length)
        require_positive("the arm's width", self.width)
        if self.taper < 1 and self.width_taper < 1:
            raise ValueProblem.of("the arm tapers in thickness and in width", "taper it in one of them")
        if self.return_leg and self.bend_radius <= 0:
            raise ValueProblem.of("a U-shaped arm has no bend", "state the middle radius of its bend")


def width_factor(taper: float) -> float:
    """Factor C in ``y = C strain l² / h`` for an arm whose width falls linearly to ``taper`` of the root's [-].

    Raises:
        ValueProblem: ``taper`` outside 0.2 to 1.
    """
    if not NARROWEST <= taper <= 1:
        raise ValueProblem.of(
            f"a tip of {taper:g} of the root's width cannot be", f"write a ratio from {NARROWEST:g} to 1"
        )
    fall = 1 - taper
    if fall < 1e-2:  # the closed form loses its digits; its series does not
        return 2 / 3 + fall / 6
    return 2 * (1 / (2 * fall) - taper / fall**2 + taper**2 / fall**3 * -math.log(taper))


def trapezoid_factor(wide: float, narrow: float) -> float:
    """The same for an even arm of trapezoidal section, strained on its narrow side; swap both for its wide side."""
    return (wide + narrow) / (2 * wide + narrow)


def trapezoid_modulus(wide: float, narrow: float, thickness: float) -> float:
    """Section modulus of that section on its narrow side [mm³]."""
    inertia = thickness**3 / 36 * (wide**2 + 4 * wide * narrow + narrow**2) / (wide + narrow)
    edge = thickness / 3 * (2 * wide + narrow) / (wide + narrow)
    return inertia / edge


def factor_of(arm: Arm) -> float:
    """Factor C of a straight arm [-]."""
    return arm_factor(arm.taper) if arm.taper < 1 else width_factor(arm.width_taper)


def strain_per_mm(arm: Arm, thickness: Draws | float) -> Draws:
    """Greatest strain for each mm that the nub is bent aside [1/mm], the root held fast."""
    h = np.asarray(thickness, dtype=np.float64)
    if arm.return_leg:
        return np.asarray((arm.length + arm.bend_radius) * h / (2 * u_stretch(arm)))
    return np.asarray(h / (factor_of(arm) * arm.length**2))


def force_per_mm(arm: Arm, thickness: Draws | float) -> Draws:
    """Force for each mm and MPa of modulus [N/mm per MPa], the root held fast."""
    h = np.asarray(thickness, dtype=np.float64)
    if arm.return_leg:
        return np.asarray(arm.width * h**3 / 12 / u_stretch(arm))
    return np.asarray(arm.width * h**2 / 6 * strain_per_mm(arm, h) / arm.length)


def u_stretch(arm: Arm) -> float:
    """Length cubed in ``y = P S / (E I)`` of a U-shaped arm [mm³]."""
    leg, back, r = arm.length, arm.return_leg, arm.bend_radius
    bend = math.pi * r * leg**2 + 4 * r**2 * leg + math.pi * r**3 / 2
    return leg**3 / 3 + bend + (leg**3 - (leg - back) ** 3) / 3


def root_turning(arm: Arm, thickness: float) -> Ranged:
    """How many times further the nub moves at the same strain because the root turns too [-].

    Low: a root that does not give. Likely: a massive body. High: a wall, taken to give twice as much (judged).
    """
    if arm.return_leg:
        return Ranged.exactly(1.0)
    extra = ROOT_TURNS * thickness / arm.length
    return Ranged(1.0, 1 + extra, 1 + 2 * extra, "O'Donnell 1960, from memory; wall judged")


def wedge_factor(slope_deg: float, friction: Draws | float) -> Draws:
    """Pushing force over the force across [-]: (mu + tan a) / (1 - mu tan a); infinite where the nub locks itself."""
    if slope_deg >= 90:
        return np.full_like(np.asarray(friction, dtype=np.float64), np.inf)
    steep, mu = math.tan(math.radians(slope_deg)), np.asarray(friction, dtype=np.float64)
    open_share = 1 - mu * steep
    return np.where(open_share > 0, (mu + steep) / np.maximum(open_share, 1e-12), np.inf)


def locking_slope(friction: float) -> float:
    """Return slope from which a nub holds until something breaks [degrees]."""
    return 90 - math.degrees(math.atan(friction))


# Bars that twist ------------------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True, kw_only=True)
class TwistSnap:
    """A lever snap on a round bar that is held at both ends and twisted in its middle.

    Attributes:
        angle_deg: By which the lever turns.
        travel: Of the lever's end [mm].
        force_n: At the lever's end, both halves of the bar together [N].
    """

    angle_deg: float
    travel: float
    force_n: float


def twist_snap(
    *, radius: float, half_length: float, lever: float, strain: float, modulus_mpa: float, poisson: float
) -> TwistSnap:
    """The lever snap at a permissible bending strain; the shear strain allowed is (1 + nu) times as much.

    Args:
        radius: Of the bar [mm].
        half_length: From the lever to either end of the bar [mm].
        lever: From the bar's axis to the nub [mm].
        strain: Allowed in bending [-].
        modulus_mpa: Young's modulus [MPa].
        poisson: Poisson's ratio [-].
    """
    shear = (1 + poisson) * strain
    angle = shear * half_length / radius
    rigidity = modulus_mpa / (2 * (1 + poisson))
    moment = rigidity * (math.pi * radius**4 / 2) * shear / radius
    return TwistSnap(angle_deg=math.degrees(angle), travel=lever * math.sin(angle), force_n=2 * moment / lever)


def rectangle_twist(long_side: float, short_side: float) -> tuple[float, float]:
    """Torsion constant [mm⁴] and torque for each MPa of greatest shear [mm³] of a rectangular bar.

    Series of de Saint-Venant (Timoshenko, Theory of Elasticity, section on rectangular bars).

    Raises:
        ValueProblem: Sides not above 0, or the long one shorter.
    """
    require_positive("the short side of the bar", short_side)
    if long_side < short_side:
        raise ValueProblem.of("the long side of the bar is the shorter one", "swap them")
    odd = np.arange(1, 60, 2, dtype=np.float64)
    arg = odd * math.pi * long_side / (2 * short_side)
    constant = 1 / 3 * (1 - 192 / math.pi**5 * short_side / long_side * float(np.sum(np.tanh(arg) / odd**5)))
    reduced = 1 - 8 / math.pi**2 * float(np.sum(1 / (odd**2 * np.cosh(np.minimum(arg, 300.0)))))
    inertia = constant * long_side * short_side**3
    return inertia, inertia / (short_side * reduced)

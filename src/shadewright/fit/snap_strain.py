"""How much a snap is strained when it is bent through its undercut: pure geometry of beams, rings and clips.

Source of the cantilever and ring rules: "Snap-Fit Joints for Plastics, A Design Guide" of a plastics maker, constants
verified by integration; the clip is Castigliano's theorem on a thin curved bar.
"""

from __future__ import annotations

import math

from shadewright.errors import ValueProblem

LEAST_TAPER = 0.5
"""Tip over root thickness below which the arm is strained most beside its root, so that the factor fails."""


def arm_factor(taper: float = 1.0) -> float:
    """Factor C in ``y = C strain L² / h`` for an arm whose thickness falls linearly to ``taper`` of the root's [-].

    Bending line of a beam with thickness h (k + (1 - k) s), s from tip to root, integrated in closed form; 2/3 for a
    plain arm, 1.09 for one that tapers to half.

    Raises:
        ValueProblem: ``taper`` outside 0.5 to 1.
    """
    if not LEAST_TAPER <= taper <= 1:
        raise ValueProblem.of(f"a taper of {taper:g} cannot be", "write the tip's thickness over the root's, 0.5 to 1")
    fall = 1 - taper
    if fall < 1e-2:  # the closed form loses its digits; its series does not
        return 2 / 3 + fall / 2 + 0.4 * fall**2
    return 2 / fall**3 * (-math.log(taper) + 2 * taper - taper**2 / 2 - 1.5)


def arm_strain(deflection: float, arm: float, thickness: float, taper: float = 1.0) -> float:
    """Strain at the root of a snap arm [-]: ``h y / (C L²)``, that is 3 h y / (2 L²) for a plain one; sizes in mm."""
    return thickness * deflection / (arm_factor(taper) * arm**2)


def arm_thickness_for(strain: float, deflection: float, arm: float, taper: float = 1.0) -> float:
    """Thickness at the root that is strained by ``strain`` [mm]."""
    return arm_factor(taper) * strain * arm**2 / deflection


def arm_length_for(strain: float, deflection: float, thickness: float, taper: float = 1.0) -> float:
    """Length of arm that is strained by ``strain`` [mm]."""
    return math.sqrt(thickness * deflection / (arm_factor(taper) * strain))


def ring_strain(undercut: float, diameter: float, *, shared: bool = False) -> float:
    """Hoop strain of a ring snap [-].

    Args:
        undercut: Bead over bore, on the diameter [mm].
        diameter: Of the joint [mm].
        shared: True when both rings give alike, half each; False when one is stiff.
    """
    return undercut / diameter / (2 if shared else 1)


def clip_factor(radius: float, lip_deg: float, root_deg: float) -> float:
    """Outer-fibre strain of one clip arm for each mm its lip moves and mm of its thickness [1/mm²].

    Thin bar along a circle, clamped at ``root_deg`` and pushed outward across the opening at its lip: moment
    P R (cos lip - cos a), movement P R³ / (E I) times the integral of its square over the arc.

    Args:
        radius: Of the bar's middle [mm].
        lip_deg: Angle from the middle of the opening to the lip.
        root_deg: Angle from the middle of the opening to where the arm is held, at most 180.

    Raises:
        ValueProblem: The arm has no length.
    """
    if not 0 <= lip_deg < root_deg <= 180:
        raise ValueProblem.of(
            f"a clip arm from {lip_deg:.0f} to {root_deg:.0f} degrees has no length", "make its opening or stem smaller"
        )
    lip, root = math.radians(lip_deg), math.radians(root_deg)
    arc = root - lip
    integral = (
        arc * (math.cos(lip) ** 2 + 0.5)
        - 2 * math.cos(lip) * (math.sin(root) - math.sin(lip))
        + (math.sin(2 * root) - math.sin(2 * lip)) / 4
    )
    return (math.cos(lip) - math.cos(root)) / (2 * radius**2 * integral)

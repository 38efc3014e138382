"""Ring snaps and clips: the force of a bead that is squeezed through a bore, and how fast a clip grips its rod.

Ring: snap-fit design guide of a plastics maker (its geometry factors carry a square root that one copy has lost; only
with it do they scale as shell theory demands). The force of a long shell with a ring load at its end comes out about
half as large again; the answer is the band between both.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from shadewright.errors import ValueProblem, require_positive
from shadewright.fit.snap_strain import clip_factor
from shadewright.hold.balance import GRAVITY
from shadewright.hold.ranges import Draws, Ranged

REMOTE_FORCE = 3.0
"""Force of a bead far from the end over that at the end: 4 in theory, at most 3 in practice (same guide)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Ring:
    """A ring snap with one giving side.

    Attributes:
        diameter: Of the joint [mm].
        wall: Of the giving side [mm].
        outer_gives: True when the outer ring gives, False when the inner sleeve does.
        from_end: How far the bead lies from the giving side's free end [mm].
    """

    diameter: float
    wall: float
    outer_gives: bool
    from_end: float = 0.0

    def __post_init__(self) -> None:
        require_positive("the diameter of the ring snap", self.diameter)
        require_positive("the wall of the ring snap", self.wall)
        if not self.outer_gives and 2 * self.wall >= self.diameter:
            raise ValueProblem.of("the sleeve has no bore left", "make its wall thinner than its radius")


def ring_factor(ring: Ring, poisson: float) -> float:
    """Geometry factor X in ``P = y d E X`` for a bead at the end [-]."""
    ratio = (
        (ring.diameter + 2 * ring.wall) / ring.diameter
        if ring.outer_gives
        else ring.diameter / (ring.diameter - 2 * ring.wall)
    )
    thick: float = (ratio**2 + 1) / (ratio**2 - 1)
    return 0.62 * math.sqrt((ratio - 1) / (ratio + 1)) / (thick + (poisson if ring.outer_gives else -poisson))


def shell_force_per_mm(ring: Ring, poisson: float) -> float:
    """Force of a long thin shell, for each mm of undercut on the diameter and MPa [N/mm per MPa]."""
    radius = ring.diameter / 2 + (ring.wall / 2 if ring.outer_gives else -ring.wall / 2)
    decay = (3 * (1 - poisson**2)) ** 0.25 / math.sqrt(radius * ring.wall)
    return float(math.pi * ring.wall / (2 * decay * radius))


def ring_force_per_mm(ring: Ring, poisson: float) -> Ranged:
    """Radial force for each mm of undercut on the diameter and MPa, a bead far from the end taken in."""
    guide, shell = ring.diameter * ring_factor(ring, poisson), shell_force_per_mm(ring, poisson)
    low, high = min(guide, shell), max(guide, shell)
    band = Ranged(low, (low + high) / 2, high, "snap-fit design guide and shell theory")
    return band.times(remote_share(ring))


def remote_from(ring: Ring) -> float:
    """Distance from the end at which a bead counts as far from it [mm]."""
    return 1.8 * math.sqrt(ring.diameter * ring.wall)


def remote_share(ring: Ring) -> float:
    """Force over that of a bead at the end, 1 to 3, straight in between [-]."""
    return 1 + (REMOTE_FORCE - 1) * min(ring.from_end / remote_from(ring), 1.0)


# Clips on rods --------------------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True, kw_only=True)
class Clip:
    """A clip that grips a rod and turns on it as a hinge.

    Attributes:
        rod: Diameter of the rod [mm].
        wall: Thickness of the clip's arms [mm].
        width: Of the clip along the rod [mm].
        opening_deg: Whole angle of its mouth.
        root_deg: From the middle of the mouth to where each arm is held, at most 180.
    """

    rod: float
    wall: float
    width: float
    opening_deg: float
    root_deg: float = 180.0


def clip_force_per_mm(clip: Clip) -> float:
    """Force at each lip for each mm that it is spread and MPa [N/mm per MPa]; a thin curved bar.

    Raises:
        ValueProblem: The arms have no length.
    """
    radius = (clip.rod + clip.wall) / 2
    lip, root = clip.opening_deg / 2, clip.root_deg
    reach = radius * (math.cos(math.radians(lip)) - math.cos(math.radians(root)))
    return clip.width * clip.wall**2 / 6 * (clip_factor(radius, lip, root) * clip.wall) / reach


def grip_moment(clip: Clip, spread: Draws | float, modulus_mpa: Draws | float, friction: Draws | float) -> Draws:
    """Moment by which the clip resists turning on its rod [N m]; ``spread`` is how far the rod opens each lip [mm].

    Both lips press, and the back of the clip answers as much: friction acts on the sum, at the rod's radius.
    """
    lips = clip_force_per_mm(clip) * np.asarray(spread) * np.asarray(modulus_mpa)
    return np.asarray(np.asarray(friction) * 2 * lips * clip.rod / 2 / 1000)


def hold_angle(moment_nm: Draws | float, mass_g: Draws | float, arm: Draws | float) -> Draws:
    """Greatest angle from hanging straight down at which a part stays by itself [degrees]; 90 when it stays anywhere.

    Args:
        moment_nm: What the hinge resists [N m].
        mass_g: Of what hangs on it [g].
        arm: From the hinge to its centre of mass [mm].
    """
    weight_nm = np.asarray(mass_g) / 1000 * GRAVITY * np.asarray(arm) / 1000
    share = np.minimum(np.asarray(moment_nm) / np.maximum(weight_nm, 1e-12), 1.0)
    return np.asarray(np.degrees(np.arcsin(share)))

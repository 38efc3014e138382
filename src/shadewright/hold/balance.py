"""Where the weight of an assembled lamp lies: pieces put in their places, their masses and centres added up."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import cos, radians, sin

import numpy as np

from shadewright.errors import ModelProblem, ValueProblem
from shadewright.hold.ranges import DRAWS, Ranged, draw
from shadewright.solid.mesh import Floats, Mesh

GRAVITY = 9.80665
"""Standard acceleration of gravity [m/s²] (CGPM 1901): what a mass of 1 kg weighs in N."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Pose:
    """Where a piece sits in the lamp: tilted about x, then turned about z, then moved.

    Attributes:
        at: Where its origin comes to lie [mm].
        tilt, turn: Angles [degrees], counter-clockwise seen against the axis.
    """

    at: tuple[float, float, float] = (0.0, 0.0, 0.0)
    tilt: float = 0.0
    turn: float = 0.0

    @property
    def rotation(self) -> Floats:
        """(3, 3) what turns a direction of the piece into one of the lamp."""
        return rotation((0, 0, 1), self.turn) @ rotation((1, 0, 0), self.tilt)

    def placed(self, points: Floats) -> Floats:
        """(n, 3) points of the piece, where they lie in the lamp [mm]."""
        return np.asarray(points @ self.rotation.T + np.array(self.at), dtype=np.float64)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Lump:
    """One piece of a lamp as a weight.

    Attributes:
        name: What it is called.
        mass_g: Its mass [g].
        centre: (3,) its centre of mass in the lamp [mm].
        vague: How far off the centre may be, in every direction [mm]: bought things are not solid models.
    """

    name: str
    mass_g: Ranged
    centre: Floats
    vague: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Balance:
    """Mass and centre of an assembled lamp.

    Attributes:
        mass_g: Likely mass [g].
        centre: (3,) likely centre of mass [mm].
        drawn_mass_g: (draws,) masses within what is known [g].
        drawn_centres: (draws, 3) centres of mass within what is known [mm].
    """

    mass_g: float
    centre: Floats
    drawn_mass_g: Floats
    drawn_centres: Floats

    @property
    def weight_n(self) -> float:
        """What it weighs [N]."""
        return self.mass_g / 1000 * GRAVITY


def rotation(axis: Sequence[float], angle: float) -> Floats:
    """(3, 3) turn by ``angle`` [degrees] about the direction ``axis`` (Rodrigues' formula).

    Raises:
        ValueProblem: The axis has no direction.
    """
    length = float(np.linalg.norm(axis))
    if not length > 0:
        raise ValueProblem.of("an axis of no length has no direction", "write e.g. [1, 0, 0]")
    x, y, z = np.asarray(axis, dtype=np.float64) / length
    skew = np.array([[0, -z, y], [z, 0, -x], [-y, x, 0]])
    turn = radians(angle)
    return np.asarray(np.eye(3) + sin(turn) * skew + (1 - cos(turn)) * skew @ skew, dtype=np.float64)


def centroid(mesh: Mesh) -> Floats:
    """(3,) centre of the space a closed mesh encloses [mm].

    Infill thins a part evenly, walls do not; where that matters the part's mass is taken from its layers, its centre
    from here.

    Raises:
        ModelProblem: It encloses nothing.

    Source: divergence theorem over tetrahedra from a common point (textbook).
    """
    middle = mesh.vertices.mean(axis=0)
    a, b, c = (mesh.corners - middle).transpose(1, 0, 2)
    volumes = np.einsum("ij,ij->i", a, np.cross(b, c)) / 6
    whole = float(volumes.sum())
    if not whole > 0:
        raise ModelProblem.of("it encloses no volume", "repair the model first", mesh.name)
    return np.asarray(middle + (volumes[:, None] * (a + b + c)).sum(axis=0) / (4 * whole), dtype=np.float64)


def balance_of(lumps: Sequence[Lump], draws: int = DRAWS, seed: int = 0) -> Balance:
    """Add up masses and moments of ``lumps``.

    Raises:
        ValueProblem: There is nothing to weigh.
    """
    if not lumps:
        raise ValueProblem.of("nothing of the lamp has a place", "add place = { at = [x, y, z] } to its parts")
    likely = np.array([lump.mass_g.likely for lump in lumps])
    centres = np.array([lump.centre for lump in lumps])
    inputs: dict[str, Ranged] = {f"mass of {lump.name}": lump.mass_g for lump in lumps}
    for lump in lumps:
        inputs |= {f"{axis} of {lump.name}": Ranged(-lump.vague, 0.0, lump.vague) for axis in "xyz"}
    drawn = draw(inputs, draws, seed)
    masses = np.array([drawn[f"mass of {lump.name}"] for lump in lumps])
    off = np.array([[drawn[f"{axis} of {lump.name}"] for axis in "xyz"] for lump in lumps])
    moments = np.einsum("ld,lad->da", masses, centres[:, :, None] + off)
    total = masses.sum(axis=0)
    return Balance(
        mass_g=float(likely.sum()),
        centre=np.asarray(likely @ centres / likely.sum(), dtype=np.float64),
        drawn_mass_g=total,
        drawn_centres=np.asarray(moments / total[:, None], dtype=np.float64),
    )


def swung(lump: Lump, at: Floats, axis: Floats, angle: float) -> Lump:
    """The piece after turning by ``angle`` [degrees] about the line through ``at`` [mm] along ``axis``."""
    centre = at + rotation(axis.tolist(), angle) @ (lump.centre - at)
    return Lump(name=lump.name, mass_g=lump.mass_g, centre=centre, vague=lump.vague)

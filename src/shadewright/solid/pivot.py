"""Solids of a pivot with a clamp screw: a tongue between two cheeks, with teeth between their faces if wanted.

The tongue prints lying, teeth up. The fork prints standing, cheeks upright: its screw hole gets a pointed roof, its
nut seat a steep one, and the teeth's flanks lean by 45 degrees, so that nothing overhangs by more.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from shadewright.errors import ValueProblem, require_positive
from shadewright.solid.mesh import Floats
from shadewright.solid.moving_recipe import OVERRUN, Build, Piece, Raised, disc, polar, slab
from shadewright.solid.plain_features import Stacked, Turned

RIM = 0.4  # chamfer around the tongue's ear, by which it finds its way between the cheeks [mm]
ROOM = 1.0  # between the tongue's ear and the bottom of the fork, to turn in [mm]
BASE = 4.0  # below the cheeks [mm]
ARM = 14.0  # of the tongue, beyond its ear [mm]
TEETH_INSIDE = 1.0  # flat face between the screw hole and the teeth [mm]
SEAT = 0.05  # bottoms of teeth above the face they stand on [mm]
ROOF_DEG = 40.0  # slope of a screw hole's roof, from the vertical
_SUNK = 0.3  # how far teeth reach into their face [mm]


@dataclass(frozen=True, slots=True, kw_only=True)
class Tongue:
    """The ear between the cheeks [mm].

    Attributes:
        thickness: Between its faces, teeth left aside.
        ear: Diameter of the faces.
        bore: For the screw.
        teeth: Around the upper face; 0 for plain friction faces.
        arm: Length of the bar it is fastened by.
    """

    thickness: float
    ear: float
    bore: float
    teeth: int = 0
    arm: float = ARM


@dataclass(frozen=True, slots=True, kw_only=True)
class Fork:
    """Two cheeks on a base [mm].

    Attributes:
        tongue: What goes between them.
        spacing: Between the cheeks' faces, teeth left aside.
        cheek: Thickness of each.
        bore: For the screw.
        nut_flats, nut_depth: Seat of a nut in the outer face of one cheek; 0 for none.
        washer, washer_depth: Diameter and depth of a washer's seat in the other; 0 for none.
    """

    tongue: Tongue
    spacing: float
    cheek: float
    bore: float
    nut_flats: float = 0.0
    nut_depth: float = 0.0
    washer: float = 0.0
    washer_depth: float = 0.0


def tooth_depth(ear: float, teeth: int) -> float:
    """Depth of teeth at their outer end [mm], so that their flanks lean by 45 degrees; 0 without teeth."""
    return 2 * teeth_radius(ear) * math.sin(math.pi / teeth / 2) if teeth else 0.0


def teeth_radius(ear: float) -> float:
    """Where teeth end [mm from the axis]."""
    return ear / 2 - RIM - 0.15


def tongue_build(tongue: Tongue) -> Build:
    """The tongue, lying, its arm towards +y.

    Raises:
        ValueProblem: Sizes that cannot be.
    """
    _check_tongue(tongue)
    radius, face = tongue.ear / 2, tongue.thickness
    ear = disc(0.0, radius, 0.0, face, RIM)
    bar = slab((RIM - radius, radius - RIM), (0.0, radius + tongue.arm), (0.0, face))
    hole = disc(0.0, tongue.bore / 2, -OVERRUN, face + OVERRUN)
    return Build(
        name="pivot tongue",
        bodies=(ear, bar),
        cutters=(hole,),
        added=_teeth(tongue, tongue.bore, face, up=True, shift=0.0),
    )


def fork_build(fork: Fork) -> Build:
    """The fork, drawn with the screw's axis along z and its base towards -y; it prints with y up.

    Raises:
        ValueProblem: Sizes that cannot be.
    """
    _check_fork(fork)
    radius, inner = fork.tongue.ear / 2, fork.spacing / 2
    outer, floor = inner + fork.cheek, -(radius + ROOM)
    whole = slab((-radius, radius), (floor - BASE, 0.0), (-outer, outer))
    ears = disc(0.0, radius, -outer, outer)
    gap = slab((-radius - 1, radius + 1), (floor, radius + 1), (-inner, inner))
    cutters: list[Piece] = [gap, *_pointed_hole(fork.bore / 2, outer + OVERRUN)]
    if fork.nut_flats:
        outline = _nut_outline(fork.nut_flats)
        cutters.append(Raised(outline=outline, low=outer - fork.nut_depth, high=outer + OVERRUN))
    if fork.washer:
        cutters.append(_washer_seat(fork, outer))
    teeth = _teeth(fork.tongue, fork.bore, inner, up=False, shift=0.5)
    return Build(name="pivot fork", bodies=(whole, ears), cutters=tuple(cutters), added=teeth, up="y")


def _check_tongue(tongue: Tongue) -> None:
    for name in ("thickness", "ear", "bore", "arm"):
        require_positive(f"the tongue's {name}", getattr(tongue, name))
    if tongue.bore > tongue.ear - 4:
        raise ValueProblem.of(
            f"a screw hole of {tongue.bore:g} mm leaves no face on an ear of {tongue.ear:g} mm", "make the ear larger"
        )
    if tongue.thickness < 4 * RIM:
        raise ValueProblem.of(f"a tongue of {tongue.thickness:g} mm is too thin", f"make it {4 * RIM:g} mm or more")
    if not tongue.teeth:
        return
    if not 8 <= tongue.teeth <= 72:
        raise ValueProblem.of(f"{tongue.teeth} teeth cannot be printed around a pivot", "use 8 to 72, or 0 for none")
    if _inner_radius(tongue.bore) > teeth_radius(tongue.ear) - 1.5:
        raise ValueProblem.of(
            f"an ear of {tongue.ear:g} mm has no room for teeth around a screw hole of {tongue.bore:g} mm",
            "make the ear larger",
        )


def _check_fork(fork: Fork) -> None:
    _check_tongue(fork.tongue)
    for name in ("spacing", "cheek", "bore"):
        require_positive(f"the fork's {name}", getattr(fork, name))
    room = fork.tongue.ear / 2 - 0.8
    reach = max(
        _nut_outline(fork.nut_flats)[:, 1].max() if fork.nut_flats else 0.0, fork.washer / 2 + fork.washer_depth
    )
    if reach > room:
        raise ValueProblem.of(
            f"nut or washer have no room on an ear of {fork.tongue.ear:g} mm",
            f"make the ear {2 * (reach + 0.8):.1f} mm or more",
        )
    if max(fork.nut_depth, fork.washer_depth) > fork.cheek - 1.2:
        raise ValueProblem.of(
            f"a cheek of {fork.cheek:g} mm is too thin for the seat in it",
            f"make it {max(fork.nut_depth, fork.washer_depth) + 1.2:.1f} mm or more",
        )


def _pointed_hole(radius: float, reach: float) -> list[Piece]:
    """A round hole along z with a roof towards +y."""
    side = polar(radius, ROOF_DEG)
    tip = radius / math.sin(math.radians(ROOF_DEG))
    roof = np.array([(0.0, 0.0), side, (0.0, tip), (-side[0], side[1])])
    return [disc(0.0, radius, -reach, reach), Raised(outline=roof, low=-reach, high=reach)]


def _nut_outline(flats: float) -> Floats:
    """A hexagon with a corner down and flats at both sides; above, a 45 degree roof instead of its corner."""
    half, corner = flats / 2, flats / math.sqrt(3)
    shoulder = corner / 2
    return np.array(
        [
            (0.0, -corner),
            (half, -shoulder),
            (half, shoulder),
            (0.0, shoulder + half),
            (-half, shoulder),
            (-half, -shoulder),
        ]
    )


def _washer_seat(fork: Fork, outer: float) -> Turned:
    """A shallow round seat whose wall leans by 45 degrees."""
    radius, floor = fork.washer / 2, fork.washer_depth - outer
    wide = fork.washer_depth + OVERRUN
    contour = [(0.0, floor), (radius, floor), (radius + wide, floor - wide), (0.0, floor - wide)]
    return Turned(contour=np.array(contour))


def _inner_radius(bore: float) -> float:
    return bore / 2 + TEETH_INSIDE


def _teeth(tongue: Tongue, bore: float, face: float, *, up: bool, shift: float) -> tuple[Stacked, ...]:
    """Radial ridges on a face at height ``face``; their flanks all pass through one point on the axis.

    Half way up the teeth lies the plane that both sides share when they are closed. Above it a crest rises, and below
    it a valley falls, by sin(half pitch / 2) for each mm from the axis: then flanks lean by 45 degrees, and closed
    teeth touch all over.

    Args:
        tongue: Whose teeth.
        bore: Of the screw hole in that face [mm].
        face: Height of the face [mm].
        up: True for teeth that rise from it, False for teeth that hang from it.
        shift: Offset in pitches.
    """
    if not tongue.teeth:
        return ()
    half_pitch = math.pi / tongue.teeth
    rise, foot = math.sin(half_pitch / 2), math.cos(half_pitch / 2)
    sign = 1.0 if up else -1.0
    middle = SEAT + tooth_depth(tongue.ear, tongue.teeth) / 2
    teeth = []
    for i in range(tongue.teeth):
        angle = 360 * (i + shift) / tongue.teeth
        levels = []
        for end, inward in ((_inner_radius(bore), 1.0), (teeth_radius(tongue.ear), -1.0)):
            # the ends lean by 45 degrees too: from the foot the crest stands back by its height
            crest = (end + inward * (_SUNK + middle)) / (1 - inward * rise)
            half_foot = (middle + _SUNK + end * rise) / foot
            section = ((crest, 0.0, middle + crest * rise), (end, half_foot, -_SUNK), (end, -half_foot, -_SUNK))
            levels.append([_placed(x, y, face + sign * z, angle) for x, y, z in section])
        teeth.append(Stacked(levels=np.array(levels)))
    return tuple(teeth)


def _placed(x: float, y: float, z: float, angle_deg: float) -> tuple[float, float, float]:
    (ax, ay), (bx, by) = polar(x, angle_deg), polar(y, angle_deg + 90)
    return ax + bx, ay + by, z

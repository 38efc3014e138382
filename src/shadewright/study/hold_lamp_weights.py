"""What a lamp's pieces weigh and where, put together from what was studied and what is stated."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from shadewright.hold.balance import Lump, Pose, centroid
from shadewright.hold.ranges import Ranged
from shadewright.lamp.model import Lamp, Place
from shadewright.solid.mesh import Floats, Mesh
from shadewright.study.result import PartStudy

PRINTED_OFF, BOUGHT_OFF = 0.10, 0.05
"""Shares by which a calculated and a stated mass may be off; judged."""
PRINTED_VAGUE, BOUGHT_VAGUE = 2.0, 8.0
"""How far off a centre of mass may be: infill is not even, and a bought thing's middle is guessed [mm]; judged."""
SMALL_SHARE = 0.05
"""Printed parts without a place are left out when they weigh no more than this share of all; judged."""
MUST_WEIGH = frozenset(("bulb", "holder", "other"))
"""Bought things that a balance cannot do without; cords lie on the ground, hardware is light."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Weights:
    """Everything of a lamp that has a weight.

    Attributes:
        masses: By name, all copies together [g].
        lumps: Those of them that have a place, by name.
        meshes: Printed parts in their places, by name.
        poses: Those places.
        missing: What to add before the lamp can be weighed, as clauses; empty when nothing lacks.
        left_out: Names of what is light enough to be left out.
    """

    masses: Mapping[str, Ranged]
    lumps: Mapping[str, Lump]
    meshes: Mapping[str, Mesh]
    poses: Mapping[str, Pose]
    missing: tuple[str, ...]
    left_out: tuple[str, ...]

    @property
    def words(self) -> str:
        """What was left out, as a clause; empty when nothing was."""
        if not self.left_out:
            return ""
        more = " and others" if len(self.left_out) > 4 else ""
        return f"not counted, for want of a mass or a place: {', '.join(self.left_out[:4])}{more}"

    def lacking(self, names: Sequence[str]) -> list[str]:
        """Those of ``names`` that have no mass, or no place."""
        return [name for name in names if name not in self.lumps]


def pose_of(place: Place) -> Pose:
    """A stated place as the balance takes it."""
    x, y, z = place.at
    return Pose(at=(x, y, z), tilt=place.tilt, turn=place.turn)


def weigh(lamp: Lamp, parts: Sequence[PartStudy]) -> Weights:
    """Gather masses and places of ``parts`` and of what is bought."""
    masses: dict[str, Ranged] = {}
    lumps: dict[str, Lump] = {}
    meshes: dict[str, Mesh] = {}
    poses: dict[str, Pose] = {}
    for study in parts:
        place = lamp.part[study.name].place
        masses[study.name] = Ranged.within(study.report.mass_g * study.copies, PRINTED_OFF)
        if place is not None:
            pose = poses[study.name] = pose_of(place)
            middle = pose.placed(centroid(study.mesh)[None])[0]
            lumps[study.name] = _lump(study.name, masses, middle, PRINTED_VAGUE)
            meshes[study.name] = Mesh(pose.placed(study.mesh.vertices), study.mesh.faces, study.name)
    for name, bought in lamp.bought.items():
        if bought.mass_g is not None:
            masses[name] = Ranged.within(bought.mass_g * bought.count, BOUGHT_OFF)
            if bought.place is not None:
                lumps[name] = _lump(name, masses, np.array(bought.place.at), BOUGHT_VAGUE)
    missing, left_out = _missing(lamp, masses, lumps)
    return Weights(
        masses=masses,
        lumps=lumps,
        meshes=meshes,
        poses=poses,
        missing=tuple(missing),
        left_out=tuple(left_out),
    )


def _lump(name: str, masses: Mapping[str, Ranged], centre: Floats, vague: float) -> Lump:
    return Lump(name=name, mass_g=masses[name], centre=centre, vague=vague)


def _missing(lamp: Lamp, masses: Mapping[str, Ranged], lumps: Mapping[str, Lump]) -> tuple[list[str], list[str]]:
    """What must be added, and what may be left out."""
    unplaced = [name for name in lamp.part if name not in lumps]
    whole = sum(masses[name].likely for name in lamp.part)
    light = sum(masses[name].likely for name in unplaced) <= SMALL_SHARE * whole
    missing = [] if light else [f"a place to part {name}" for name in unplaced]
    left_out = unplaced if light else []
    for name, bought in lamp.bought.items():
        if name in lumps:
            continue
        if bought.kind not in MUST_WEIGH:
            left_out.append(name)
        elif bought.mass_g is None:
            missing.append(f"mass_g{'' if bought.place else ' and a place'} to {name}")
        else:
            missing.append(f"a place to {name}")
    return missing, left_out

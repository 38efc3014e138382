"""Whether a lamp stays on its wall: screws pulled out and across, plugs, and keyhole slots.

A lamp of weight W, its centre of mass at distance e from the wall, turns about the lower edge of its plate. The rows of
screws share the moment by their height above that edge, the top row pulling hardest (rigid plate, textbook statics):

    tension of the top row = W e h_top / sum(h^2) for each of its screws, shear W / n each.

Screws in wood, side grain, dry:
    pull-out, at failure: 108.25 G^2 D L [N] (Forest Products Laboratory, Wood Handbook, from memory)
    pull-out, allowable: 2850 G^2 D [lb per inch of thread] (timber design; seen in a handbook of wood engineering)
    across, allowable: C D^2 [lb, inch], C 2520 to 4800 by density (the same)
Masonry and plasterboard: what a plug holds is the plug maker's figure; the ranges here are rough ones.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from enum import StrEnum
from math import pi

import numpy as np

from shadewright.errors import ValueProblem, require_positive
from shadewright.hold.ranges import DRAWS, Draws, Outcome, Ranged, governing, propagate_all

SOURCE = "Wood Handbook (Forest Products Laboratory) and timber design rules; plugs: rough figures"

LB_N = 4.4482216
INCH = 25.4


class WallKind(StrEnum):
    """What the wall is made of."""

    SOFTWOOD = "softwood"
    HARDWOOD = "hardwood"
    MASONRY = "masonry"
    PLASTERBOARD = "plasterboard"


GRAVITY_OF_WOOD = {
    WallKind.SOFTWOOD: Ranged(0.35, 0.42, 0.51, "Wood Handbook, from memory: spruce and pine, ends from soft to dense"),
    WallKind.HARDWOOD: Ranged(0.50, 0.60, 0.70, "Wood Handbook, from memory: birch, beech and oak"),
}
"""Specific gravity of dry wood [-]."""

PLUG_PULL_N = {
    WallKind.MASONRY: Ranged(
        300, 700, 1200, "nylon plug 6 to 8 mm: 1200 N in concrete as a plug maker is quoted; judged"
    ),
    WallKind.PLASTERBOARD: Ranged(60, 120, 200, "200 N as a plug maker is quoted, lower ends judged"),
}
"""Pull that draws a plug out [N], rough: use the plug maker's figure where there is one."""

PLUG_SHEAR = Ranged(1.0, 1.4, 2.0, "judged: plugs bear more across than outward")
"""Load across over load outward that a plug holds [-]."""

_LATERAL = ((0.43, 2520.0), (0.47, 3240.0), (0.51, 3960.0), (9.9, 4800.0))


def withdrawal_n(gravity: float, diameter: float, length: float) -> float:
    """Pull at which a screw leaves the side grain of dry wood [N].

    Args:
        gravity: Specific gravity of the wood, oven dry [-].
        diameter: Of the shank [mm].
        length: Of thread in the wood [mm].

    Source: Forest Products Laboratory, Wood Handbook, from memory.
    """
    return 108.25 * gravity**2 * diameter * length


def allowable_withdrawal_n(gravity: float, diameter: float, length: float) -> float:
    """Pull that timber design allows on it [N]: 2850 G^2 D lb per inch (handbook of wood engineering, eq. 6.37)."""
    return 2850 * gravity**2 * (diameter / INCH) * LB_N / INCH * length


def allowable_lateral_n(gravity: float, diameter: float) -> float:
    """Load across a screw in side grain that timber design allows [N]: C D^2 in lb and inch (the same, eq. 6.38)."""
    coefficient = next(value for upper, value in _LATERAL if gravity <= upper)
    return coefficient * (diameter / INCH) ** 2 * LB_N


@dataclass(frozen=True, slots=True, kw_only=True)
class Screws:
    """Screws that hold a plate on a wall.

    Attributes:
        heights: Of every screw above the plate's lower edge [mm], where it presses on the wall.
        diameter: Of the shank [mm].
        length: Of thread in the wall [mm].
        head: Diameter of the head [mm].
    """

    heights: tuple[float, ...]
    diameter: float
    length: float
    head: float

    def __post_init__(self) -> None:
        if not self.heights or min(self.heights) <= 0:
            raise ValueProblem.of("a screw lies at or below the lower edge of the plate", "place it above the edge")
        for name, value in (("diameter", self.diameter), ("length", self.length), ("head", self.head)):
            require_positive(f"the {name} of the screw", value)


def top_screw(heights: Sequence[float], weight_n: float, reach: float) -> tuple[float, float]:
    """Tension of the highest screw and shear of each [N].

    Args:
        heights: Of every screw above the edge the plate turns about [mm].
        weight_n: Of the lamp [N].
        reach: Distance of its centre of mass from the wall [mm].
    """
    rows = np.asarray(heights, dtype=np.float64)
    return float(weight_n * reach * rows.max() / (rows**2).sum()), weight_n / len(rows)


@dataclass(frozen=True, slots=True, kw_only=True)
class Keyhole:
    """A slot in the plate that hangs on the screw's head.

    Attributes:
        behind: Thickness of plastic behind the head [mm]: what the head pulls on.
        slot: Width of the slot [mm].
    """

    behind: float
    slot: float

    def __post_init__(self) -> None:
        require_positive("the plastic behind the keyhole's head", self.behind)
        require_positive("the width of the keyhole's slot", self.slot)

    def rim(self, head: float) -> float:
        """Length around a head of that diameter along which the lip can shear [mm]; the slot is open on one side."""
        return pi * head - self.slot

    def lip(self, head: float) -> float:
        """Area on which the head rests [mm²]: its disc less the slot, which ends in a half circle under it."""
        return max(pi * head**2 / 4 - self.slot * head / 2 - pi * self.slot**2 / 8, 0.0)


@dataclass(frozen=True, slots=True, kw_only=True)
class WallHold:
    """What holds a lamp on its wall.

    Attributes:
        tension_n, shear_n: Load of the worst screw [N].
        pull_n, across_n: What the wall bears of each [N].
        safeties: By name of the failure: strength over load, drawn together [-].
        governing: Which of them comes first.
        wanted: What low ends are held against [-].
    """

    tension_n: Outcome
    shear_n: Outcome
    pull_n: Outcome
    across_n: Outcome
    safeties: Mapping[str, Outcome]
    governing: str
    wanted: float


@dataclass(frozen=True, slots=True, kw_only=True)
class WallQuestion:
    """A lamp on a wall.

    Attributes:
        wall: What the wall is.
        screws: What holds it.
        weight_n: Weight and whatever else pulls down [N].
        reach: Distance of that load from the wall [mm].
        tear_mpa, bearing_mpa: Shear and compressive strength of the printed plate [MPa], creep counted.
        overhead: True on a ceiling: the weight pulls the screws straight out, evenly.
        plug_n: What the plug maker states it holds outward [N]; None for the rough ranges.
        keyhole: Slot the plate hangs by; None for plain holes.
        wanted: Factor of safety that low ends are held against [-].

    Raises:
        ValueProblem: The keyhole's slot is as wide as the screw's head, which slips through.
    """

    wall: WallKind
    screws: Screws
    weight_n: Ranged
    reach: Ranged
    tear_mpa: Ranged
    bearing_mpa: Ranged
    overhead: bool = False
    plug_n: Ranged | None = None
    keyhole: Keyhole | None = None
    wanted: float = 1.5

    def __post_init__(self) -> None:
        if self.keyhole and self.keyhole.slot >= self.screws.head:
            raise ValueProblem.of("the keyhole's slot lets the screw's head through", "make the slot narrower")


def wall_hold(asked: WallQuestion, draws: int = DRAWS, seed: int = 0) -> WallHold:
    """Hold screws, wall and keyhole against the lamp's weight.

    Pull and shear on one screw use up their strengths together: their shares are added (cautious, textbook).
    """
    screws, key = asked.screws, asked.keyhole
    top, share = top_screw(screws.heights, 1.0, 1.0)

    def answers(weight: Draws, reach: Draws, **known: Draws) -> Mapping[str, Draws]:
        tension = weight * share if asked.overhead else weight * reach * top
        shear = weight * 0 if asked.overhead else weight * share
        pull, across = _strengths(asked, known)
        found = {
            "tension": tension,
            "shear": shear,
            "pull": pull,
            "across": across,
            "screw and wall": 1 / (tension / pull + shear / across),
        }
        if key:
            found["keyhole: head torn through"] = known["tear"] * key.rim(screws.head) * key.behind / tension
            found["keyhole: lip crushed"] = known["bearing"] * key.lip(screws.head) / tension
            if not asked.overhead:
                found["keyhole: slot bearing"] = known["bearing"] * screws.diameter * key.behind / shear
        return found

    found = propagate_all(answers, _inputs(asked), draws, seed)
    loads = {name: found.pop(name) for name in ("tension", "shear", "pull", "across")}
    return WallHold(
        tension_n=loads["tension"],
        shear_n=loads["shear"],
        pull_n=loads["pull"],
        across_n=loads["across"],
        safeties=found,
        governing=governing(found),
        wanted=asked.wanted,
    )


def _inputs(asked: WallQuestion) -> dict[str, Ranged]:
    inputs = {"weight": asked.weight_n, "reach": asked.reach, "tear": asked.tear_mpa, "bearing": asked.bearing_mpa}
    if asked.wall in GRAVITY_OF_WOOD:
        return inputs | {"gravity": GRAVITY_OF_WOOD[asked.wall]}
    return inputs | {"plug": asked.plug_n or PLUG_PULL_N[asked.wall], "plug_shear": PLUG_SHEAR}


def _strengths(asked: WallQuestion, known: Mapping[str, Draws]) -> tuple[Draws, Draws]:
    """What the wall bears outward and across [N]; of wood the pull at failure and the load that is allowed across."""
    if "gravity" not in known:
        return known["plug"], known["plug"] * known["plug_shear"]
    gravity, diameter = known["gravity"], asked.screws.diameter
    across: Draws = np.vectorize(allowable_lateral_n)(gravity, diameter)
    return withdrawal_n(1.0, diameter, asked.screws.length) * gravity**2, across

"""What carries a lamp: pivots that hold by friction, printed arms, and the wall it is screwed to."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field

from shadewright.lamp.stated import Coordinate, Millimetres, Stated

Spot = Annotated[list[Coordinate], Field(min_length=3, max_length=3)]
"""A point or a direction: x, y, z."""

Newtons = Annotated[float, Field(gt=0, le=5000, allow_inf_nan=False)]


class Held(Stated):
    """The ``held`` table of a joint: how a clamped pivot holds up what it carries.

    ``carries`` names the parts and bought things that turn with it; ``at`` is a point on its axis and ``axis`` the
    axis' direction, both in the assembled lamp. ``screw`` is the clamping screw's diameter; ``outer`` and ``inner`` are
    diameters of the rubbing faces (of the rod, for ``contact = "rod"``), ``faces`` how many pairs of them rub. What is
    not stated is the ``pivot`` table's: its screw, its ear, two faces, its teeth.
    ``swing`` is how far it turns from where it is placed [degrees].
    """

    carries: list[str] = Field(min_length=1)
    at: Spot
    axis: Spot = Field(default=[1.0, 0.0, 0.0])
    swing: Annotated[list[Annotated[float, Field(ge=-180, le=180)]], Field(min_length=2, max_length=2)] = Field(
        default=[-90.0, 90.0]
    )
    screw: Millimetres | None = None
    outer: Millimetres | None = None
    inner: Annotated[float, Field(ge=0, le=2000)] | None = None
    faces: Annotated[int, Field(ge=1, le=20)] | None = None
    contact: Literal["faces", "cone", "rod"] = "faces"
    half_angle: Annotated[float, Field(gt=0, le=90)] = 90.0
    friction: Annotated[float, Field(gt=0, le=2)] | None = None
    teeth: bool | None = None


class Bracket(Stated):
    """The ``bracket`` table of a part: an arm that carries, in the coordinates of the part as it stands on the bed.

    ``root`` and ``tip`` are two points on its middle line; ``carries`` names what hangs on it, ``load_n`` is a weight
    besides, which acts at the tip. ``down`` is the direction in which weight pulls; without it the part's place tells.
    """

    root: Spot
    tip: Spot
    carries: list[str] = Field(default_factory=list)
    load_n: Newtons | None = None
    down: Spot | None = None


class KeyholeDetails(Stated):
    """The ``keyhole`` table of a wall: a slot in a printed part that hangs on the screw's head."""

    part: str
    behind: Millimetres
    slot: Millimetres


class Wall(Stated):
    """The ``wall`` table of the surroundings: what the lamp is screwed to, and how.

    ``heights`` are those of all screws above the edge where the plate presses on the wall; ``diameter`` and ``length``
    are of the shank and of its thread in the wall. ``plug_n`` is what the plug's maker says it holds. ``out`` is the
    direction away from the wall, ``reach`` how far from it the weight acts, when the places do not tell.
    """

    kind: Literal["softwood", "hardwood", "masonry", "plasterboard"]
    heights: list[Millimetres] = Field(min_length=1)
    diameter: Millimetres
    length: Millimetres
    head: Millimetres
    plug_n: Newtons | None = None
    out: Literal["+x", "-x", "+y", "-y"] = "+y"
    reach: Millimetres | None = None
    load_n: Newtons | None = None
    keyhole: KeyholeDetails | None = None

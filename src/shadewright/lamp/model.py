"""What the maker states in ``lamp.toml``, checked as it comes in."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated, Literal

from pydantic import Field

from shadewright.fit.joint import Feel, JointKind
from shadewright.lamp.carrying import Bracket, Held, Wall
from shadewright.lamp.fixed import ChannelDetails, PocketDetails, SeatDetails
from shadewright.lamp.moving import PivotDetails, SnapDetails, TwistDetails
from shadewright.lamp.stack import Stack
from shadewright.lamp.stated import Coordinate, Millimetres, Stated, Written
from shadewright.lamp.warm import Warm


class LampHead(Stated):
    """The ``[lamp]`` table."""

    name: str = Field(min_length=1, max_length=80)
    copies: int = Field(default=1, ge=1, le=500)
    note: str = ""


class Printing(Stated):
    """The ``[printing]`` table: names from the bench and the settings that sizes depend on."""

    printer: str = "built-in"
    nozzle: Annotated[float, Field(ge=0.1, le=2.0)] = 0.4
    layer: Annotated[float, Field(ge=0.04, le=1.2)] = 0.2
    plastic: str = "PLA"
    walls: int = Field(default=3, ge=1, le=50)
    infill: Annotated[float, Field(ge=0.0, le=1.0)] = 0.15


class Readings(Stated):
    """Caliper readings of a bought thread."""

    outside: list[Millimetres] = Field(default_factory=list)
    inside: list[Millimetres] = Field(default_factory=list)
    crests: int | None = Field(default=None, ge=2, le=200)
    over: Millimetres | None = None


class Place(Stated):
    """Where a thing sits in the assembled lamp: first tilted about x, then turned about z, then moved.

    ``at`` is where the origin of the model as it stands on the bed comes to lie [mm]; z is up from the surface the lamp
    stands on, or from where it is fastened. Angles in degrees.
    """

    at: list[Annotated[float, Field(ge=-5000, le=5000, allow_inf_nan=False)]] = Field(min_length=3, max_length=3)
    tilt: Annotated[float, Field(ge=-180, le=180)] = 0.0
    turn: Annotated[float, Field(ge=-360, le=360)] = 0.0


class Bought(Stated):
    """One ``[bought.NAME]`` table.

    ``thread`` names its thread; ``readings`` lets the study name it. ``diameter`` with ``tolerance`` (plus or
    minus) gives a plain mating size, e.g. a tube or a pin.
    """

    kind: Literal[
        "bulb",
        "holder",
        "cord",
        "cord grip",
        "switch",
        "plug",
        "screw",
        "nut",
        "ring",
        "pipe",
        "magnet",
        "insert",
        "glue",
        "other",
    ]
    card: str = ""
    description: str = ""
    count: int = Field(default=1, ge=1, le=1000)
    thread: str = ""
    readings: Readings | None = None
    diameter: Millimetres | None = None
    tolerance: Annotated[float, Field(ge=0, le=5)] = 0.1
    watts: Annotated[float, Field(gt=0, le=200)] | None = None
    mass_g: Annotated[float, Field(gt=0, le=20_000)] | None = None
    place: Place | None = None
    mains: bool = False


class Part(Stated):
    """One ``[part.NAME]`` table: a thing to be printed."""

    model: Annotated[Path, Written]
    unit: Literal["mm", "cm", "m", "in"] | None = None
    plastic: str = ""
    copies: int = Field(default=1, ge=1, le=500)
    up: Literal["+x", "-x", "+y", "-y", "+z", "-z"] = "+z"
    layer: Annotated[float, Field(ge=0.04, le=1.2)] | None = None
    repair: bool = False
    place: Place | None = None
    bracket: Bracket | None = None
    note: str = ""


class Joint(Stated):
    """One ``[joint.NAME]`` table: where two things meet.

    ``male`` goes into ``female``; both name a part or a bought thing. ``drawn_male`` and ``drawn_female`` say what
    the models have today, ``facets_male`` and ``facets_female`` how many sides a circle has there.
    ``openings`` says that a sliding wall has openings, whose rims leave bumps.
    ``at_male`` and ``at_female`` say roughly where the feature is in the part's model, in the model's own coordinates.
    ``on_bed`` names the sides whose mouth stands on the bed, where the first layer spreads into the gap. ``count`` is
    how many such joints one lamp has. ``load_n`` pulls on one of them for years, ``torque_nm`` tightens its thread,
    ``lying`` names the sides that are printed with the joint's axis lying in the layers.
    """

    kind: Annotated[JointKind, Written]
    male: str
    female: str
    feel: Annotated[Feel, Written] = Feel.SNUG
    nominal: Millimetres | None = None
    length: Millimetres = 10.0
    thread: str = ""
    draw: Literal["male", "female"] | None = None
    drawn_male: Millimetres | None = None
    drawn_female: Millimetres | None = None
    round: bool = True
    facets_male: int | None = Field(default=None, ge=3, le=10_000)
    facets_female: int | None = Field(default=None, ge=3, le=10_000)
    at_male: Annotated[list[Coordinate], Field(min_length=3, max_length=3)] | None = None
    at_female: Annotated[list[Coordinate], Field(min_length=3, max_length=3)] | None = None
    on_bed: list[Literal["male", "female"]] = Field(default_factory=list)
    liner_wall: Annotated[float, Field(gt=0, le=20)] | None = None
    openings: bool = False
    snap: SnapDetails | None = None
    twist: TwistDetails | None = None
    pivot: PivotDetails | None = None
    held: Held | None = None
    pocket: PocketDetails | None = None
    seat: SeatDetails | None = None
    channel: ChannelDetails | None = None
    load_n: Annotated[float, Field(gt=0, le=5000, allow_inf_nan=False)] | None = None
    torque_nm: Annotated[float, Field(gt=0, le=100, allow_inf_nan=False)] | None = None
    lying: list[Literal["male", "female"]] | None = None
    count: int = Field(default=1, ge=1, le=500)
    note: str = ""


class Surroundings(Stated):
    """The ``[surroundings]`` table."""

    room: str = ""
    room_temp_c: Annotated[float, Field(ge=-20, le=50)] = 22.0
    mounted: Literal["", "table", "floor", "wall", "ceiling", "cord"] = ""
    above_people: bool = False
    enclosed: bool = False
    wall: Wall | None = None


class Lamp(Stated):
    """A whole ``lamp.toml``."""

    schema_version: Literal[1] = Field(default=1, alias="schema")
    lamp: LampHead
    printing: Printing = Field(default_factory=Printing)
    surroundings: Surroundings = Field(default_factory=Surroundings)
    warm: Warm | None = None
    bought: dict[str, Bought] = Field(default_factory=dict)
    part: dict[str, Part] = Field(default_factory=dict)
    joint: dict[str, Joint] = Field(default_factory=dict)
    stack: dict[str, Stack] = Field(default_factory=dict)

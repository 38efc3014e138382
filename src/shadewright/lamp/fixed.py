"""Details of joints that stay as they are: pocket, seat, channel."""

from __future__ import annotations

from typing import Literal

from pydantic import Field

from shadewright.lamp.stated import Millimetres, Stated


class PocketDetails(Stated):
    """The ``pocket`` table of a pocket joint; what goes in is the joint's male side, a bought nut, insert or magnet.

    ``mouth`` says where a nut or an insert goes in, as the part is printed. ``hold``, ``glue``, ``cap_layers`` and
    ``faces`` are for magnets, ``boss_wall`` for inserts.
    """

    mouth: Literal["up", "down", "side", "inside"] = "up"
    hold: Literal["press", "glue", "inside"] = "press"
    glue: str = ""
    cap_layers: int = Field(default=2, ge=1, le=50)
    faces: Literal["steel", "magnet"] = "steel"
    boss_wall: Millimetres | None = None


class SeatDetails(Stated):
    """The ``seat`` table of a seat joint: the glue by its catalogue name, or the only bought glue of the lamp."""

    glue: str = ""


class ChannelDetails(Stated):
    """The ``channel`` table of a channel joint; its male side is the bought cord.

    A ``groove`` is open and may have a cover; a ``passage`` is a round hole. ``on_edge`` lays a flat cord on its narrow
    side. ``grip_diameter`` and ``grip_height`` measure the bought cord grip that sits in a passage's mouth.
    """

    form: Literal["groove", "passage"] = "groove"
    cover: bool = True
    on_edge: bool = False
    bend_radius: Millimetres | None = None
    grip_diameter: Millimetres | None = None
    grip_height: Millimetres | None = None

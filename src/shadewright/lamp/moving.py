"""Details of joints that move or let go: snap, twist, pivot."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field

from shadewright.lamp.stated import Millimetres, Stated

Share = Annotated[float, Field(ge=0.5, le=1.0)]
"""A ratio from a half to one."""


class SnapDetails(Stated):
    """The ``snap`` table of a snap joint: sizes as the models have them today.

    A ``hook`` is an arm on the male part with a nub that catches behind the female's ledge. A ``bead`` runs around a
    male sleeve and clicks into a groove; the joint's nominal is the sleeve's outside. A ``clip`` on the female part
    clicks onto a rod, bought or printed, and turns on it; the joint's nominal is a printed rod's diameter.

    ``thickness`` is that of what bends: arm, sleeve or clip. ``undercut`` is how far the nub reaches over the ledge;
    for a bead how much larger it is than the bore, on the diameter. ``softer`` says which ring of a bead gives.
    """

    form: Literal["hook", "bead", "clip"] = "hook"
    bends: Literal["along layers", "across layers"] = "along layers"
    arm: Millimetres = 14.0
    thickness: Millimetres = 1.6
    width: Millimetres = 6.0
    undercut: Millimetres = 0.8
    lead_deg: Annotated[float, Field(ge=10, le=75)] = 30.0
    return_deg: Annotated[float, Field(ge=10, le=90)] = 45.0
    taper: Share = 1.0
    softer: Literal["male", "female", "both"] = "male"
    opening: Millimetres | None = None


class TwistDetails(Stated):
    """The ``twist`` table of a twist joint, a bayonet: sizes as the models have them today.

    The joint's nominal is the plug's diameter. Lugs stand out by ``lug_height``, are ``lug_width`` wide along the plug
    and ``lug_thickness`` along its axis. In slots shaped ``L`` the lug rides over a rib of height ``detent``, in ``J``
    it falls back by that much. ``wall`` is the socket's around the slots, ``bore`` a hole through the plug.
    """

    lugs: int = Field(default=3, ge=2, le=4)
    lug_height: Millimetres = 1.6
    lug_width: Millimetres = 6.0
    lug_thickness: Millimetres = 3.0
    turn_deg: Annotated[float, Field(gt=0, le=170)] = 30.0
    detent: Millimetres = 0.4
    path: Literal["L", "J"] = "L"
    wall: Millimetres = 2.0
    bore: Millimetres | None = None


class PivotDetails(Stated):
    """The ``pivot`` table of a pivot with a clamp screw: the male tongue turns between the female's two cheeks.

    ``screw`` names the bought screw's thread. ``ear`` is the diameter of the faces that are pressed together, ``cheek``
    the thickness of each cheek; the joint's drawn_female is the space between them. ``face_teeth`` counts teeth around
    one pair of faces, 0 for plain ones. ``nut`` and ``washer`` ask for their seats.
    """

    screw: str = "M4"
    tongue: Millimetres = 6.0
    ear: Millimetres = 18.0
    cheek: Millimetres = 4.5
    face_teeth: Annotated[int, Field(ge=0, le=72)] = 0
    nut: bool = True
    washer: bool = True

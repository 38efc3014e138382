"""What a warm lamp is made of, as its temperatures are asked for: bulb, shade, liner, and what varies.

Everything that varies is a ``Varied``: one number, or one for each of n draws. Lengths are mm and areas mm² as
everywhere; the calculation itself works in SI.
"""

from __future__ import annotations

from dataclasses import dataclass, fields, replace

import numpy as np

from shadewright.errors import ValueProblem
from shadewright.heat.air import Values
from shadewright.heat.stack import Opening

BULB_EMISSIVITY = 0.9
"""Glass, plastic and painted metal all lie near it (any table of emissivities, from memory)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Emitter:
    """A bulb as a warm body: an envelope on a collar.

    Attributes:
        envelope_diameter: Greatest diameter of the envelope [mm].
        envelope_mm2, collar_mm2: Their surfaces [mm²].
        collar_diameter: Mean diameter of the collar [mm].
        collar_length: Its length, the cap not counted [mm].
        length: From the cap's rim to the far end [mm].
        emissivity: Of its surface [-].
        heat_j_k: Heat that warms it by 1 K [J/K].
    """

    envelope_diameter: float
    envelope_mm2: float
    collar_mm2: float
    collar_diameter: float
    collar_length: float
    length: float
    emissivity: float = BULB_EMISSIVITY
    heat_j_k: float = 60.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Shade:
    """What surrounds the bulb, measured on its model or stated by hand.

    Attributes:
        side_mm2: Inner surface of its upright walls, openings not counted [mm²].
        roof_mm2, floor_mm2: Its level or flat surfaces above and below the bulb [mm²].
        height: Of its upright walls [mm].
        wall: Its thickness [mm].
        openings: Ways for air, heights above the lowest point of the shade.
        open_view: Share of the bulb's outlook that meets no wall [-].
        collar_gap: From the collar to the nearest wall [mm].
        above_gap: From the bulb's top to the wall above it [mm]; None when it is open there.
        heat_j_k: Heat that warms its walls by 1 K [J/K].
        holder_inside: Whether the holder gives its heat to the air inside.
        metal_ring: Whether a bright metal ring stands between collar and wall.
    """

    side_mm2: float
    roof_mm2: float
    floor_mm2: float
    height: float
    wall: float
    openings: tuple[Opening, ...] = ()
    open_view: float = 0.0
    collar_gap: float = 20.0
    above_gap: float | None = None
    heat_j_k: float = 100.0
    holder_inside: bool = True
    metal_ring: bool = False

    def __post_init__(self) -> None:
        for name in ("height", "wall", "collar_gap"):
            if not getattr(self, name) > 0:
                raise ValueProblem.of(f"the shade's {name.replace('_', ' ')} is 0 mm", "it must be above 0")
        if not self.wall_mm2 > 0:
            raise ValueProblem.of("the shade has no wall around the bulb", "name the part that surrounds the bulb")

    @property
    def wall_mm2(self) -> float:
        """All its inner surface [mm²]."""
        return self.side_mm2 + self.roof_mm2 + self.floor_mm2


@dataclass(frozen=True, slots=True, kw_only=True)
class Liner:
    """A sleeve between bulb and wall.

    Attributes:
        cover: Share of the wall that it covers [-].
        gap: Air between it and the wall [mm].
        emissivity_in, emissivity_out: Of its faces to the bulb and to the wall [-].
        heat_j_k: Heat that warms it by 1 K [J/K].
    """

    cover: float
    gap: float
    emissivity_in: float = 0.9
    emissivity_out: float = 0.9
    heat_j_k: float = 20.0


Varied = Values | float


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Conditions:
    """What is known only within a range: single numbers, or (n,) draws.

    Attributes:
        watts: Electrical power of the bulb [W].
        light_share: Share of it that leaves the bulb as light [-].
        collar_share: Share of the bulb's heat that is set free at its collar [-]; the envelope has the rest.
        collar_working: Share of the collar's surface that gives off heat as if all of it were at its temperature [-]:
            the end at the cap is cooler than the end at the light.
        light_kept: Share of the light on a wall that stays there as heat [-].
        conductivity: Of the wall [W/m K].
        emissivity: Of the wall's outside [-].
        inside_emissivity: Of the wall's inside [-].
        discharge: Flow through an opening over that of an ideal one [-].
        layering: How much warmer than its mean the air is under the roof: its rise over the mean rise [-].
        contact_w_k: Conduction from the collar through cap and holder's contacts [W/K].
        room_c: Air and walls of the room [°C].
    """

    watts: Varied
    light_share: Varied = 0.3
    collar_share: Varied = 0.86
    collar_working: Varied = 0.75
    light_kept: Varied = 0.35
    conductivity: Varied = 0.19
    emissivity: Varied = 0.92
    inside_emissivity: Varied = 0.92
    discharge: Varied = 0.6
    layering: Varied = 1.25
    contact_w_k: Varied = 0.03
    room_c: Varied = 25.0

    def arrays(self) -> Conditions:
        """The same with every field an array of one shape (n,)."""
        values = np.broadcast_arrays(*(np.atleast_1d(getattr(self, field.name)) for field in fields(self)))
        named = {field.name: value.astype(np.float64) for field, value in zip(fields(self), values, strict=True)}
        return replace(self, **named)

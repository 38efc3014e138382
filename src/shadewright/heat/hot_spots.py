"""Where a wall is hotter than its mean: beside the collar, and above the bulb.

Plastic spreads heat over a few millimetres only (a wall of 1.6 mm: about 5 mm), so each spot is asked for on its own:
what the air beside it, the bulb's radiation and the light bring in must pass the wall and leave outside. A spot is
never given as cooler than the mean of the wall.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from shadewright.heat import convection
from shadewright.heat.air import CP, GRAVITY_M_S2, KELVIN, Values, air_at, rayleigh
from shadewright.heat.network import NotSettled, Steady, WarmLamp, inner_film, outer_film
from shadewright.heat.radiation import conduction_film, radiation_film, view_of_sphere
from shadewright.heat.warmth import Conditions, Emitter

SPREAD = 0.12
"""Growth of a plume's radius with height [-] (Morton, Taylor and Turner 1956, from memory)."""
RING_LETS_BY = 0.35
"""What a bright metal ring around the collar lets by; judged: of radiation about a tenth, of warm air about half."""
LEAST_GAP = 0.5
"""Gaps count as no less than this [mm]: nothing is closer to a bulb that can be turned in."""
_STEPS, _STILL_K = 200, 1e-9


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Beside:
    """What a spot of wall has beside it, all (n,).

    Attributes:
        air_c: Air [°C].
        body_c: The part of the bulb that it faces [°C].
        view: Share of its outlook that this part takes [-].
        gap: How far it is away [mm].
        shielded: Share that a bright metal ring between the two lets by [-]; 1 without one.
    """

    air_c: Values
    body_c: Values
    view: Values
    gap: float
    shielded: float = 1.0


def beside_collar(lamp: WarmLamp, found: Steady, gap: float | None = None) -> Values:
    """(n,) inside of the wall beside the collar [°C]; ``gap`` [mm] for another spot than the nearest one."""
    gap = lamp.shade.collar_gap if gap is None else gap
    view = np.asarray(view_of_cylinder(lamp.bulb.collar_diameter, lamp.bulb.collar_length, gap))
    shielded = RING_LETS_BY if lamp.shade.metal_ring else 1.0
    beside = Beside(air_c=found.air_c, body_c=found.collar_c, view=view, gap=gap, shielded=shielded)
    return _spot(lamp, found, beside)


def above_bulb(lamp: WarmLamp, found: Steady) -> Values | None:
    """(n,) inside of the wall above the bulb [°C], in the air that rises from it; None when it is open there.

    Whichever end of the bulb is up, the spot counts as facing its warmer part: the cautious side.
    """
    gap = lamp.shade.above_gap
    if gap is None:
        return None
    given = lamp.conditions.arrays()
    radius = lamp.bulb.envelope_diameter / 2
    layered = found.room_c + np.asarray(given.layering) * (found.air_c - found.room_c)
    body = np.maximum(found.collar_c, found.envelope_c)
    air = np.minimum(layered + plume_rise(lamp.bulb, found.rising_w, layered, gap), body)
    view = np.asarray(view_of_sphere(radius, radius + gap))
    return _spot(lamp, found, Beside(air_c=air, body_c=body, view=view, gap=gap))


def view_of_cylinder(diameter: float, length: float, gap: float) -> float:
    """Share of a small wall's outlook that a cylinder parallel to it takes, ``gap`` away, opposite its middle.

    Exact for a thin cylinder: its radiance over its length, foreshortened at both ends; a long one gives radius over
    distance, the textbook's view of an endless cylinder.
    """
    distance = diameter / 2 + gap
    half = np.arctan(length / 2 / distance)
    return float(min(diameter / 2 / distance * 2 / np.pi * (half + np.sin(half) * np.cos(half)), 1.0))


def plume_rise(bulb: Emitter, rising_w: Values, air_c: Values, gap: float) -> Values:
    """(n,) rise of the air in the middle of the plume, ``gap`` [mm] above the bulb, over the air around [K].

    Source: the plume of a small source, 9.1 (T / (g cp² rho²))^(1/3) Q^(2/3) z^(-5/3) (Heskestad, SFPE Handbook, from
    memory), measured from a point so far below that the plume is as wide as the bulb where it leaves it.
    """
    height = gap / 1e3 + bulb.envelope_diameter / 2e3 / SPREAD
    air = air_at(air_c)
    buoyant = (air_c + KELVIN) / (GRAVITY_M_S2 * CP**2 * air.density**2)
    return np.asarray(9.1 * np.cbrt(buoyant) * np.cbrt(np.maximum(rising_w, 0.0)) ** 2 * height ** (-5 / 3))


def _spot(lamp: WarmLamp, found: Steady, beside: Beside) -> Values:
    """(n,) inside of the wall there [°C], at least its mean."""
    given = lamp.conditions.arrays()
    inside, outside = found.wall_c.copy(), found.outside_c.copy()
    wall = conduction_film(lamp.shade.wall / 1e3, given.conductivity)
    for _ in range(_STEPS):
        near = _towards_body(lamp, given, beside, inside)
        around = inner_film(lamp.shade, beside.air_c, inside)
        out = outer_film(lamp.shade, outside, found.room_c) + radiation_film(given.emissivity, outside, found.room_c)
        through = 1 / (1 / wall + 1 / out)
        brought = near * beside.body_c + around * beside.air_c + _light(lamp, given)
        new = (brought + through * found.room_c) / (near + around + through)
        moved = float(np.abs(new - inside).max())
        inside = new
        outside = found.room_c + through / out * (inside - found.room_c)
        if moved < _STILL_K:
            return np.maximum(inside, found.wall_c)
    raise NotSettled(f"a spot still moves by {moved:.2g} K after {_STEPS} steps")


def _towards_body(lamp: WarmLamp, given: Conditions, beside: Beside, wall_c: Values) -> Values:
    """Film between wall and bulb: its radiation, and still air where the gap is narrow [W/m² K]."""
    direct = np.asarray(given.inside_emissivity) * lamp.bulb.emissivity
    cover, liner = (lamp.liner.cover, lamp.liner) if lamp.liner else (0.0, None)
    lined = 1 / (1 / direct + 1 / liner.emissivity_in + 1 / liner.emissivity_out - 1) if liner else direct
    film = radiation_film((1 - cover) * direct + cover * lined, beside.body_c, wall_c)
    air = air_at((beside.body_c + wall_c) / 2)
    gap = max(beside.gap, LEAST_GAP) / 1e3
    ra = rayleigh(air, beside.body_c - wall_c, gap)
    slenderness = max(lamp.bulb.collar_length / 1e3 / gap, 1.0)
    still = air.conductivity / gap * convection.upright_gap(ra, air.prandtl, slenderness)
    return np.asarray(beside.view * film + beside.view**2 * still) * beside.shielded


def _light(lamp: WarmLamp, given: Conditions) -> Values:
    """Light that stays, spread over the wall [W/m²]."""
    kept = np.asarray(given.watts) * given.light_share * given.light_kept * (1 - lamp.shade.open_view)
    return np.asarray(kept / (lamp.shade.wall_mm2 * 1e-6))

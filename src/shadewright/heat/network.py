"""Temperatures of a lamp that has burnt for hours: a network of films between seven places.

Heat starts at the bulb's collar and envelope and, as light that stays, on the wall. It reaches the room through the
wall (films of air and radiation on both sides, conduction between them), with the air that leaves by the openings, as
radiation through them, and through the holder. Every film depends on the temperatures at its ends, so films and
temperatures are found in turn until no temperature moves; a last look at the balance is kept in the answer.

What is simplified: each place has one temperature (``hot_spots`` asks what is hotter), walls see each other at equal
warmth, the holder is a small body of ``HOLDER_MM2``, and a wall's light falls evenly on it.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from typing import cast

import numpy as np
import numpy.typing as npt

from shadewright.errors import ShadewrightError
from shadewright.heat import convection
from shadewright.heat.air import CP, Values, air_at, rayleigh
from shadewright.heat.radiation import conduction_film, enclosed_emissivity, radiation_film
from shadewright.heat.stack import Draught, draught, flow_m3_s
from shadewright.heat.warmth import Conditions, Emitter, Liner, Shade

COLLAR, ENVELOPE, AIR, WALL_IN, WALL_OUT, HOLDER, LINER = range(7)
"""Places of the network; there is no liner in the last row when there is none in the lamp."""

HOLDER_MM2 = 4500.0
"""Surface of a holder with the first of its pipe and cord [mm²]; judged from the sizes of E14 and E27 holders."""
HOLDER_J_K = 40.0
INSIDE_BULB_W_K = 0.01
"""From collar to envelope through what is in the bulb [W/K]; judged: thin plastic, and radiation off its board."""
STEPS, STILL_K = 200, 1e-10
"""Films and temperatures are found in turn at most so often, until no temperature moves by as much [K]."""

Matrix = npt.NDArray[np.float64]
Link = tuple[int, int, Values]
"""Two places, -1 being the room, and the conductance between them [W/K]."""


class NotSettled(ShadewrightError):
    """The temperatures did not settle; a fault of the calculation."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Steady:
    """The lamp after hours.

    Attributes:
        temps_c: (places, n) temperature of each place [°C].
        room_c: (n,) of the room [°C].
        heat_w: (n,) heat set free, light that stays included [W].
        wall_w, openings_w, holder_w, radiated_w: (n,) what leaves by the wall, with the air through the openings, by
            the holder, and as radiation of the bulb through openings [W].
        rising_w: (n,) what the bulb gives to the air [W].
        flow_m3_s: (n,) air that passes [m³/s].
        imbalance: Greatest difference between heat set free and heat that leaves, over the former [-].
        time_s: (n,) after which 63 % of the slowest part of the warming is done [s].
    """

    temps_c: Matrix
    room_c: Values
    heat_w: Values
    wall_w: Values
    openings_w: Values
    holder_w: Values
    radiated_w: Values
    rising_w: Values
    flow_m3_s: Values
    imbalance: float
    time_s: Values

    @property
    def collar_c(self) -> Values:
        """Collar of the bulb [°C]."""
        return cast(Values, self.temps_c[COLLAR])

    @property
    def envelope_c(self) -> Values:
        """Envelope of the bulb [°C]."""
        return cast(Values, self.temps_c[ENVELOPE])

    @property
    def air_c(self) -> Values:
        """Air inside [°C]."""
        return cast(Values, self.temps_c[AIR])

    @property
    def wall_c(self) -> Values:
        """Inside of the wall [°C]."""
        return cast(Values, self.temps_c[WALL_IN])

    @property
    def outside_c(self) -> Values:
        """Outside of the wall [°C]."""
        return cast(Values, self.temps_c[WALL_OUT])

    @property
    def holder_c(self) -> Values:
        """Holder [°C]."""
        return cast(Values, self.temps_c[HOLDER])


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class WarmLamp:
    """A lamp as a network: ``conditions`` may hold many draws, which are solved at once."""

    bulb: Emitter
    shade: Shade
    conditions: Conditions
    liner: Liner | None = None


def steady(lamp: WarmLamp) -> Steady:
    """Find the temperatures at which what is set free leaves.

    Raises:
        NotSettled: They did not come to rest.
    """
    given = lamp.conditions.arrays()
    places = 7 if lamp.liner else 6
    sources = _sources(lamp, given, places)
    found = draught(lamp.shade.openings)
    room = np.asarray(given.room_c)
    temps = room + np.linspace(45.0, 5.0, places)[:, None] * np.ones_like(room)
    for _ in range(STEPS):
        links = list(_links(lamp, given, found, temps))
        new = room + np.linalg.solve(_matrix(links, places, len(room)), sources.T[..., None])[..., 0].T
        moved = float(np.abs(new - temps).max())
        temps = new
        if moved < STILL_K:
            return _answer(lamp, given, found, temps, sources)
    raise NotSettled(f"temperatures still move by {moved:.2g} K after {STEPS} steps")


def _sources(lamp: WarmLamp, given: Conditions, places: int) -> Matrix:
    """(places, n) heat set free at each place [W]."""
    watts, light = np.asarray(given.watts), np.asarray(given.light_share)
    heat = watts * (1 - light)
    kept = watts * light * given.light_kept * (1 - lamp.shade.open_view)
    cover = lamp.liner.cover if lamp.liner else 0.0
    sources = np.zeros((places, len(watts)))
    sources[COLLAR] = heat * given.collar_share
    sources[ENVELOPE] = heat - sources[COLLAR]
    sources[WALL_IN] = kept * (1 - cover)
    if lamp.liner:
        sources[LINER] = kept * cover
    return sources


def _matrix(links: list[Link], places: int, draws: int) -> Matrix:
    matrix = np.zeros((draws, places, places))
    for one, other, conductance in links:
        matrix[:, one, one] += conductance
        if other >= 0:
            matrix[:, other, other] += conductance
            matrix[:, one, other] -= conductance
            matrix[:, other, one] -= conductance
    return matrix


def _links(lamp: WarmLamp, given: Conditions, found: Draught, temps: Matrix) -> Iterator[Link]:
    yield from _bulb_links(lamp, given, temps)
    yield from _wall_links(lamp, given, temps)
    if lamp.liner:
        yield from _liner_links(lamp, lamp.liner, given, temps)
    yield AIR, -1, _carried(given, found, temps)
    sink = AIR if lamp.shade.holder_inside else -1
    yield COLLAR, HOLDER, np.asarray(given.contact_w_k)
    around = temps[AIR] if lamp.shade.holder_inside else np.asarray(given.room_c)
    film = _film(temps[HOLDER], around, convection.vertical_plate, 50.0)
    film = film + radiation_film(lamp.bulb.emissivity, temps[HOLDER], around)
    yield HOLDER, sink, HOLDER_MM2 * 1e-6 * film


def _bulb_links(lamp: WarmLamp, given: Conditions, temps: Matrix) -> Iterator[Link]:
    """Air and radiation from collar and envelope; radiation meets liner, wall, or through openings the room."""
    bulb, shade, liner = lamp.bulb, lamp.shade, lamp.liner
    yield COLLAR, ENVELOPE, np.full_like(temps[COLLAR], INSIDE_BULB_W_K)
    slenderness = bulb.collar_length / bulb.collar_diameter
    room, closed, cover = np.asarray(given.room_c), 1 - shade.open_view, liner.cover if liner else 0.0
    for place, area_mm2, working, length, nusselt in (
        (COLLAR, bulb.collar_mm2, given.collar_working, bulb.collar_length, _upright(slenderness)),
        (ENVELOPE, bulb.envelope_mm2, 1.0, bulb.envelope_diameter, convection.sphere),
    ):
        area = area_mm2 * 1e-6 * np.asarray(working)
        yield place, AIR, area * _film(temps[place], temps[AIR], nusselt, length)
        yield place, -1, area * shade.open_view * radiation_film(bulb.emissivity, temps[place], room)
        seen = enclosed_emissivity(bulb.emissivity, area_mm2, given.inside_emissivity, shade.wall_mm2)
        yield place, WALL_IN, area * closed * (1 - cover) * radiation_film(seen, temps[place], temps[WALL_IN])
        if liner:
            seen = enclosed_emissivity(bulb.emissivity, area_mm2, liner.emissivity_in, shade.wall_mm2 * cover)
            yield place, LINER, area * closed * cover * radiation_film(seen, temps[place], temps[LINER])


def _upright(slenderness: float) -> Callable[[Values, Values], Values]:
    return lambda ra, pr: convection.vertical_cylinder(ra, pr, slenderness)


def _wall_links(lamp: WarmLamp, given: Conditions, temps: Matrix) -> Iterator[Link]:
    shade, room = lamp.shade, np.asarray(given.room_c)
    cover = lamp.liner.cover if lamp.liner else 0.0
    yield AIR, WALL_IN, (1 - cover) * inner_film(shade, temps[AIR], temps[WALL_IN]) * shade.wall_mm2 * 1e-6
    yield WALL_IN, WALL_OUT, shade.wall_mm2 * 1e-6 * conduction_film(shade.wall / 1e3, given.conductivity)
    film = outer_film(shade, temps[WALL_OUT], room) + radiation_film(given.emissivity, temps[WALL_OUT], room)
    yield WALL_OUT, -1, shade.wall_mm2 * 1e-6 * film


def _liner_links(lamp: WarmLamp, liner: Liner, given: Conditions, temps: Matrix) -> Iterator[Link]:
    shade, area = lamp.shade, lamp.shade.wall_mm2 * 1e-6 * liner.cover
    yield AIR, LINER, area * inner_film(shade, temps[AIR], temps[LINER])
    air = air_at((temps[LINER] + temps[WALL_IN]) / 2)
    ra = rayleigh(air, temps[LINER] - temps[WALL_IN], liner.gap / 1e3)
    still = air.conductivity / (liner.gap / 1e3)
    film = still * convection.upright_gap(ra, air.prandtl, shade.height / liner.gap)
    between = 1 / (1 / liner.emissivity_out + 1 / np.asarray(given.inside_emissivity) - 1)
    yield LINER, WALL_IN, area * (film + radiation_film(between, temps[LINER], temps[WALL_IN]))


def _carried(given: Conditions, found: Draught, temps: Matrix) -> Values:
    """What leaves with the air, per degree [W/K]."""
    flow = flow_m3_s(found, given.discharge, temps[AIR], np.asarray(given.room_c))
    return np.asarray(air_at(given.room_c).density * CP * flow)


def _film(warm_c: Values, cold_c: Values, nusselt: Callable[[Values, Values], Values], length: float) -> Values:
    """Film of air over ``length`` [mm] between a surface and the air beside it [W/m² K]."""
    air = air_at((warm_c + cold_c) / 2)
    ra = rayleigh(air, warm_c - cold_c, length / 1e3)
    return np.asarray(nusselt(ra, air.prandtl) * air.conductivity / (length / 1e3))


def inner_film(shade: Shade, air_c: Values, wall_c: Values) -> Values:
    """Mean film of air inside the wall [W/m² K]: sides, a roof below which warm air turns over, a floor below it."""
    level = _level_size(shade)
    return _mean(
        shade,
        _film(air_c, wall_c, convection.vertical_plate, shade.height),
        _film(air_c, wall_c, lambda ra, _: convection.plate_facing_up(ra), level),
        _film(air_c, wall_c, lambda ra, _: convection.plate_facing_down(ra), level),
    )


def outer_film(shade: Shade, wall_c: Values, room_c: Values) -> Values:
    """Mean film of air outside the wall [W/m² K]."""
    level = _level_size(shade)
    return _mean(
        shade,
        _film(wall_c, room_c, convection.vertical_plate, shade.height),
        _film(wall_c, room_c, lambda ra, _: convection.plate_facing_up(ra), level),
        _film(wall_c, room_c, lambda ra, _: convection.plate_facing_down(ra), level),
    )


def _level_size(shade: Shade) -> float:
    """Area over rim of a round roof or floor [mm]: a quarter of its diameter."""
    area = max(shade.roof_mm2, shade.floor_mm2)
    return max(float(np.sqrt(area / np.pi)) / 2, 5.0)


def _mean(shade: Shade, side: Values, roof: Values, floor: Values) -> Values:
    total = shade.side_mm2 * side + shade.roof_mm2 * roof + shade.floor_mm2 * floor
    return np.asarray(total / shade.wall_mm2)


def _answer(lamp: WarmLamp, given: Conditions, found: Draught, temps: Matrix, sources: Matrix) -> Steady:
    room = np.asarray(given.room_c)
    links = list(_links(lamp, given, found, temps))

    def leaving(place: int) -> Values:
        out = [g * (temps[one] - room) for one, other, g in links if one == place and other == -1]
        return np.asarray(sum(out, start=np.zeros_like(room)))

    to_air = [g * (temps[one] - temps[AIR]) for one, other, g in links if other == AIR and one in (COLLAR, ENVELOPE)]
    heat = sources.sum(axis=0)
    parts = [leaving(WALL_OUT), leaving(AIR), leaving(HOLDER), leaving(COLLAR) + leaving(ENVELOPE)]
    if lamp.shade.holder_inside:
        parts[2] = np.asarray(sum(g * (temps[HOLDER] - temps[AIR]) for one, other, g in links if one == HOLDER))
    gone = leaving(WALL_OUT) + leaving(AIR) + leaving(HOLDER) + parts[3]
    return Steady(
        temps_c=temps,
        room_c=room,
        heat_w=heat,
        wall_w=parts[0],
        openings_w=parts[1],
        holder_w=parts[2],
        radiated_w=parts[3],
        rising_w=np.asarray(sum(to_air)),
        flow_m3_s=flow_m3_s(found, given.discharge, temps[AIR], room),
        imbalance=float(np.abs(gone / heat - 1).max()),
        time_s=slowest(_matrix(links, len(temps), len(room)), _capacities(lamp, len(temps))),
    )


def _capacities(lamp: WarmLamp, places: int) -> Values:
    """(places,) heat that warms each place by 1 K [J/K]; the wall's is halved between its faces, air's is 1."""
    bulb, wall = lamp.bulb.heat_j_k, lamp.shade.heat_j_k
    listed = [0.8 * bulb, 0.2 * bulb, 1.0, wall / 2, wall / 2, HOLDER_J_K, lamp.liner.heat_j_k if lamp.liner else 0.0]
    return np.array(listed[:places])


def slowest(matrix: Matrix, heat_j_k: Values) -> Values:
    """(n,) longest time constant [s] of networks (n, places, places) [W/K] whose places hold ``heat_j_k`` (places,)."""
    root = 1 / np.sqrt(heat_j_k)
    return np.asarray(1 / np.linalg.eigvalsh(matrix * root[:, None] * root[None, :]).min(axis=1))

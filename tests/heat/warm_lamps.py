"""Lamps for the heat tests; invented."""

from __future__ import annotations

from dataclasses import replace
from math import pi

from hypothesis import strategies as st

from shadewright.catalog import lookup
from shadewright.catalog.cards import Range
from shadewright.heat.bulb import collar_share, emitter
from shadewright.heat.softening import softens
from shadewright.heat.stack import Opening
from shadewright.heat.warm import WarmQuestion, conditions_for
from shadewright.heat.warmth import Conditions, Liner, Shade

BULB = emitter(lookup.bulb("A60"))


def can(diameter: float = 120.0, height: float = 150.0, gap: float = 38.5, above: float | None = 30.0) -> Shade:
    """A closed can around the bulb."""
    lid = pi / 4 * diameter**2
    return Shade(
        side_mm2=pi * diameter * height,
        roof_mm2=lid,
        floor_mm2=lid,
        height=height,
        wall=1.6,
        collar_gap=gap,
        above_gap=above,
    )


def question(shade: Shade, watts: float = 7.0, plastic: str = "PLA", light: str = "LED") -> WarmQuestion:
    """A bulb of that many watts in ``shade``, in a room of 22 to 30 °C."""
    card, source = lookup.plastic(plastic), lookup.light_source(light)
    wall = {
        "conductivity": card.conductivity_w_mk,
        "emissivity": card.emissivity,
        "light_kept": Range(0.15, 0.35, 0.60),
        "room_c": Range(22.0, 26.0, 30.0),
    }
    return WarmQuestion(
        bulb=BULB,
        shade=shade,
        ranges=conditions_for(watts, source.light_fraction, collar_share(source), wall),
        softens_c=softens(card),
    )


openings = st.builds(
    lambda area, low, tall: Opening(area_mm2=area, low=low, high=low + tall),
    st.floats(20, 4000),
    st.floats(0, 120),
    st.floats(0, 30),
)
cans = st.builds(
    can, st.floats(70, 300), st.floats(60, 300), st.floats(3, 100), st.one_of(st.none(), st.floats(3, 150))
)
shades = st.builds(
    lambda shade, some, view: replace(shade, openings=tuple(some), open_view=view if some else 0.0),
    cans,
    st.lists(openings, max_size=3),
    st.floats(0, 0.4),
)
conditions = st.builds(
    Conditions,
    watts=st.floats(2, 15),
    light_share=st.floats(0.2, 0.4),
    collar_share=st.floats(0.5, 0.95),
    light_kept=st.floats(0.1, 0.9),
    conductivity=st.floats(0.12, 0.3),
    emissivity=st.floats(0.3, 0.96),
    layering=st.floats(1.0, 1.6),
    room_c=st.floats(10, 35),
)
liners = st.one_of(
    st.none(),
    st.builds(
        lambda cover, gap, e: Liner(cover=cover, gap=gap, emissivity_in=e, emissivity_out=e),
        st.floats(0.1, 0.95),
        st.floats(0.5, 10),
        st.floats(0.05, 0.95),
    ),
)

"""From a bulb's card to a warm body, and from its way of making light to where its heat is set free."""

from __future__ import annotations

from math import hypot, pi

from shadewright.catalog.cards import BulbCard, LightSourceCard, Range
from shadewright.heat.warmth import Emitter

CAP_LENGTHS = {"E27": 26.0, "E26": 26.0, "B22d": 22.0, "E14": 21.0, "B15d": 18.0, "GU10": 14.0}
"""Part of a bulb's length that the cap takes [mm] (IEC 60061-1, from memory)."""
CAP_DIAMETERS = {"E27": 26.0, "E26": 26.0, "B22d": 22.0, "E14": 14.0, "B15d": 15.0, "GU10": 20.0}
HOLDER_DIAMETERS = {"E27": 41.0, "E26": 41.0, "B22d": 32.0, "E14": 29.0, "B15d": 24.0, "GU10": 34.0}
"""Outside of common holders [mm]; judged from their barrel threads."""
_CAP_LENGTH, _CAP_DIAMETER = 12.0, 12.0  # of small bulbs whose cap is in neither table, judged
_J_PER_KG_K = 900.0  # aluminium, glass and plastic all lie near it
_G_PER_MM = 0.65  # mass of an LED bulb over its overall length, judged: an A60 of 110 mm weighs about 70 g

FILAMENT = ("incandescent", "halogen")


def emitter(card: BulbCard, mass_g: float | None = None) -> Emitter:
    """A bulb as a warm body: the outer half sphere counts as envelope, the cone from cap to it as collar."""
    cap = card.caps[0] if card.caps else ""
    length = max(card.length.likely - CAP_LENGTHS.get(cap, _CAP_LENGTH), 0.5 * card.length.likely)
    radius = min(card.diameter / 2, length / 2)
    narrow = min(CAP_DIAMETERS.get(cap, _CAP_DIAMETER), card.diameter) / 2
    collar = length - radius
    slant = hypot(collar, card.diameter / 2 - narrow)
    return Emitter(
        envelope_diameter=card.diameter,
        envelope_mm2=2 * pi * (card.diameter / 2) * radius,
        collar_mm2=pi * (card.diameter / 2 + narrow) * slant,
        collar_diameter=card.diameter / 2 + narrow,
        collar_length=collar,
        length=length,
        heat_j_k=(mass_g or _G_PER_MM * card.length.likely) / 1e3 * _J_PER_KG_K,
    )


def collar_share(source: LightSourceCard) -> Range:
    """Share of the heat that is set free at the collar [-]; judged.

    An LED bulb's board and driver sit on the collar; its envelope only takes what light is lost in it. A filament heats
    the envelope.
    """
    if source.name in FILAMENT:
        return Range(0.10, 0.20, 0.35)
    return Range(0.70, 0.86, 0.97) if source.name == "LED" else Range(0.25, 0.40, 0.60)

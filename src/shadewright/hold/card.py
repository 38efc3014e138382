"""Material card: what a printed plastic bears along and across its layers, warm or cold, at once or for years.

Room-temperature ranges come from the catalogue, each with its source. What the catalogue cannot say is a rule of this
file, and the rule's own source stands beside it.

* Warm strength: the yield stress of a glassy plastic falls about linearly with its distance to the glass point
  (observation of Kambour, from memory); semi-crystalline plastics are taken to fall linearly to their melting point.
* Warm modulus: ISO 75 loads a bar until its fibre strain grows by 0.2 %, so a plastic's modulus has fallen to about
  1.8 / 0.002 = 900 MPa at its temperature for 1.8 MPa, and to 225 MPa at that for 0.45 MPa; straight lines between.
* Creep: Findley's law, strain 1 + m t^n of the first one; constants so that 0.5 of the modulus is left after 1000 h
  and 0.35 after 10 000 h (our judgement for PLA, PETG and ABS at low stress; no factors for prints were found).
* Long loads: strength falls by a fixed share with each tenfold time (kinetic law of Zhurkov; shares judged by us).
"""

from __future__ import annotations

import itertools
import math
from dataclasses import dataclass
from enum import StrEnum

from shadewright.catalog.cards import PlasticCard
from shadewright.hold.ranges import Ranged

ROOM_C = 23.0
"""Temperature of the test bars behind the tables [°C] (ISO 291)."""

REPEATED = 0.6
"""Strain allowed often, over that allowed once; snap-fit design guide of a plastics maker, from memory."""

ACROSS_STRAIN = Ranged(0.2, 1 / 3, 0.55, "a third, cautious (common practice, no source); ends from strength ratios")
"""Strain allowed when a bend pulls layers apart, over that within a layer."""

ACROSS_STRENGTH = Ranged(0.125, 0.36, 0.765, "tensile-open-data: all 32 rows that have both directions")
"""Strength across layers over that along them, for plastics without a row of their own."""

SHEAR_ALONG = Ranged(0.5, 0.577, 0.6, "plastics makers' guides 0.5 to 0.6, from memory; von Mises 0.577")
"""Shear strength over tensile strength, within layers."""

SHEAR_ACROSS = Ranged(0.6, 0.8, 1.0, "judged: rarely measured; at most the strength across layers")
"""Shear strength between layers over the tensile strength across them."""

_GLASSY_GAP = 20.0  # a glassy plastic bears nothing for long from this far below its glass point [K], judged
_RUBBER_LIMIT_C = 60.0  # the same for rubbery plastics without a melting point in the tables, judged
_DECADES_TO_LIMIT = 4.0  # at its limit an hour counts like 10 000 h at room temperature, judged
_FINDLEY_M = Ranged(0.085, 0.156, 0.30, "judged: 0.5 of the modulus left after 1000 h, 0.35 after 10 000 h")
_FINDLEY_N = 0.2688
_LONG_PER_DECADE = Ranged(0.07, 0.095, 0.12, "judged: about 0.45 of the strength left after 10 000 h")
_FATIGUE_PER_DECADE = Ranged(0.10, 0.12, 0.14, "judged: 0.2 to 0.3 of the strength at a million swings, from memory")
_ISO75_MODULI = (900.0, 225.0)
_LEAST_SHARE = 0.01  # what is left of a plastic beyond its limit: practically nothing, but a number to divide by

_FRICTION = {
    "PLA": (0.25, 0.35, 0.45),
    "PETG": (0.25, 0.35, 0.45),
    "ABS": (0.40, 0.50, 0.65),
    "ASA": (0.40, 0.50, 0.65),
    "PC": (0.40, 0.50, 0.60),
    "PA6": (0.25, 0.35, 0.45),
    "PA12": (0.25, 0.35, 0.45),
    "TPU 95A": (0.50, 0.70, 1.00),
}
_SNAP_RUBBER = Ranged(0.10, 0.20, 0.40, "judged for rubbery plastics, far below their elongation at break")


class Treatment(StrEnum):
    """What was mixed into the plastic."""

    PLAIN = "plain"
    MATT = "matt"
    FILLED = "filled"


@dataclass(frozen=True, slots=True, kw_only=True)
class Modifier:
    """What a filler changes, as factors [-], and why."""

    modulus: Ranged
    strength_along: Ranged
    strength_across: Ranged
    strain: Ranged
    reason: str


_ONE = Ranged.exactly(1.0)
MODIFIERS = {
    Treatment.PLAIN: Modifier(modulus=_ONE, strength_along=_ONE, strength_across=_ONE, strain=_ONE, reason=""),
    Treatment.MATT: Modifier(
        modulus=Ranged(0.85, 1.0, 1.1),
        strength_along=Ranged(0.6, 0.8, 0.95),
        strength_across=Ranged(0.45, 0.7, 0.9),
        strain=Ranged(0.5, 0.7, 1.0),
        reason="matt plastics carry mineral powder that starts cracks and keeps layers from welding (judged by us)",
    ),
    Treatment.FILLED: Modifier(
        modulus=Ranged(0.7, 1.0, 1.8),
        strength_along=Ranged(0.41, 0.87, 1.0),
        strength_across=Ranged(0.3, 0.7, 0.9),
        strain=Ranged(0.3, 0.5, 0.7),
        reason="fibres and powders stiffen lines but do not cross layers (in two open data sets PLA with carbon fibre "
        "had 0.41 and 0.87 of the strength of plain PLA; strain judged)",
    ),
}
_MATT_WORDS = ("matt", "matte", "silk", "marble", "stone")
_FILLED_WORDS = ("cf", "gf", "carbon", "glass", "wood", "filled", "fibre", "fiber", "metal")


def treatment_of(name: str) -> Treatment:
    """What a spool's name says is mixed in: ``PLA matt``, ``PETG-CF``, ``PLA wood``."""
    words = name.lower().replace("-", " ").replace("_", " ").replace("+", " ").split()
    if any(word.startswith(_FILLED_WORDS) for word in words):
        return Treatment.FILLED
    return Treatment.MATT if any(word in _MATT_WORDS for word in words) else Treatment.PLAIN


@dataclass(frozen=True, slots=True, kw_only=True)
class MaterialCard:
    """What one plastic bears at one temperature; strengths and moduli in MPa, strains as ratios.

    Attributes:
        name: Of the catalogue's plastic.
        temp_c: Temperature everything here is for [°C].
        modulus_mpa: Young's modulus within a layer, short load.
        strength_along_mpa, strength_across_mpa: Tensile strength within a layer, and pulling layers apart.
        shear_along_mpa, shear_across_mpa: Shear strength within a layer, and sliding layers on each other.
        strain_once, strain_repeated: Strain allowed in a part that bends within its layers, once and often [-].
        strain_across_once, strain_across_repeated: The same where the bend pulls layers apart [-].
        poisson: Poisson's ratio [-].
        friction: On another hard plastic or on metal [-].
        limit_c: From here on it bears nothing for long [°C].
        modifier: What is mixed in, and what that changes.
        notes: What is to be said of the card, as sentences.
    """

    name: str
    temp_c: float
    modulus_mpa: Ranged
    strength_along_mpa: Ranged
    strength_across_mpa: Ranged
    shear_along_mpa: Ranged
    shear_across_mpa: Ranged
    strain_once: Ranged
    strain_repeated: Ranged
    strain_across_once: Ranged
    strain_across_repeated: Ranged
    poisson: Ranged
    friction: Ranged
    limit_c: float
    modifier: Modifier
    notes: tuple[str, ...] = ()

    @property
    def bears_for_long(self) -> bool:
        """Whether it is cool enough to carry anything for long."""
        return self.temp_c < self.limit_c

    def strength(self, *, across_layers: bool) -> Ranged:
        """Tensile strength in the direction of the pull [MPa]."""
        return self.strength_across_mpa if across_layers else self.strength_along_mpa

    def shear(self, *, across_layers: bool) -> Ranged:
        """Shear strength, layers sliding on each other or not [MPa]."""
        return self.shear_across_mpa if across_layers else self.shear_along_mpa

    def strain(self, *, across_layers: bool, repeated: bool) -> Ranged:
        """Strain allowed in a part that bends [-]."""
        if across_layers:
            return self.strain_across_repeated if repeated else self.strain_across_once
        return self.strain_repeated if repeated else self.strain_once

    def sources(self) -> str:
        """Where the figures come from, each source once."""
        fields = (self.modulus_mpa, self.strength_along_mpa, self.strength_across_mpa, self.strain_once)
        return "; ".join(dict.fromkeys(ranged.source for ranged in fields if ranged.source))


def material_card(
    plastic: PlasticCard, *, temp_c: float = ROOM_C, treatment: Treatment = Treatment.PLAIN
) -> MaterialCard:
    """What ``plastic`` bears at ``temp_c``.

    Args:
        plastic: The catalogue's card.
        temp_c: Temperature of the part [°C], from the heat calculation where there is one; cold earns no credit.
        treatment: What is mixed in.
    """
    modifier = MODIFIERS[treatment]
    warm = warm_strength(plastic, temp_c)
    along = Ranged.of(plastic.strength_along_mpa)
    across = Ranged.of(plastic.strength_across_mpa) if plastic.strength_across_mpa else along.by(ACROSS_STRENGTH)
    along = _kept(along, modifier.strength_along)
    across = _kept(across, modifier.strength_across)
    once = _kept(_strain_once(plastic), modifier.strain)
    across_once = _kept(once, ACROSS_STRAIN)
    shear_along = _kept(along, SHEAR_ALONG)
    return MaterialCard(
        name=plastic.name,
        temp_c=temp_c,
        modulus_mpa=_warmed(warm_modulus(plastic, temp_c), modifier.modulus),
        strength_along_mpa=_warmed(along, warm),
        strength_across_mpa=_warmed(across, warm),
        shear_along_mpa=_warmed(shear_along, warm),
        shear_across_mpa=_warmed(_at_most(_kept(across, SHEAR_ACROSS), shear_along), warm),
        strain_once=once,
        strain_repeated=once.times(REPEATED),
        strain_across_once=across_once,
        strain_across_repeated=across_once.times(REPEATED),
        poisson=Ranged(0.45, 0.48, 0.49) if _rubbery(plastic) else Ranged(0.33, 0.36, 0.40),
        friction=Ranged(*_FRICTION.get(plastic.name, (0.25, 0.40, 0.60)), "snap-fit design guides, from memory"),
        limit_c=limit_c(plastic),
        modifier=modifier,
        notes=_notes(plastic, temp_c, modifier),
    )


def warm_strength(plastic: PlasticCard, temp_c: float) -> Ranged:
    """Share of the room-temperature strength that is left at ``temp_c`` [-]: 1 up to room temperature."""
    end = plastic.melting_c or plastic.tg_c
    zeros = (150.0, 175.0, 200.0) if _rubbery(plastic) and not plastic.melting_c else (end.low, end.likely, end.high)
    rise = max(temp_c - ROOM_C, 0.0)
    shares = [max(1 - rise / (zero - ROOM_C), _LEAST_SHARE) for zero in zeros]
    return Ranged(shares[0], shares[1], shares[2], "falls linearly to the glass or melting point, from memory")


def warm_modulus(plastic: PlasticCard, temp_c: float) -> Ranged:
    """Young's modulus within a layer at ``temp_c`` [MPa], by the two temperatures of ISO 75 where they are known."""
    cold = Ranged.of(plastic.modulus_mpa)
    if plastic.hdt_180_c is None or plastic.hdt_045_c is None:
        warm = warm_strength(plastic, temp_c)
        return Ranged(cold.low * warm.low, cold.likely * warm.likely, cold.high * warm.high, cold.source)
    heavy, light = Ranged.of(plastic.hdt_180_c), Ranged.of(plastic.hdt_045_c)
    values = [
        _fallen(start, first, second, temp_c)
        for start, first, second in (
            (cold.low, heavy.low, light.low),
            (cold.likely, heavy.likely, light.likely),
            (cold.high, heavy.high, light.high),
        )
    ]
    return Ranged(values[0], values[1], values[2], cold.source)


def _fallen(cold: float, heavy_c: float, light_c: float, temp_c: float) -> float:
    """Modulus on straight lines from room temperature over both points of ISO 75, then down to nothing [MPa]."""
    heavy, light = (min(cold, modulus) for modulus in _ISO75_MODULI)
    steps = ((ROOM_C, cold), (heavy_c, heavy), (light_c, light), (2 * light_c - heavy_c, _LEAST_SHARE * cold))
    for (start_c, start), (end_c, end) in itertools.pairwise(steps):
        if temp_c <= end_c:
            share = max(temp_c - start_c, 0.0) / (end_c - start_c)
            return start + share * (end - start)
    return steps[-1][1]


def limit_c(plastic: PlasticCard) -> float:
    """Temperature from which the plastic bears nothing for long [°C]: near the glass point, or ISO 75 at 1.8 MPa."""
    if plastic.melting_c is not None and plastic.hdt_180_c is not None:
        return plastic.hdt_180_c.likely
    return _RUBBER_LIMIT_C if _rubbery(plastic) else plastic.tg_c.likely - _GLASSY_GAP


def modulus_left(card: MaterialCard, hours: float) -> Ranged:
    """Share of the modulus left after ``hours`` under load at the card's temperature [-]; also of a clamping force.

    Warmth counts as time: each of four equal steps from room temperature to the limit makes an hour count ten times.
    """
    if hours <= 0:
        return Ranged.exactly(1.0)
    step = (card.limit_c - ROOM_C) / _DECADES_TO_LIMIT
    aged = hours * 10 ** (max(card.temp_c - ROOM_C, 0.0) / step)
    grown = aged**_FINDLEY_N
    return Ranged(
        1 / (1 + _FINDLEY_M.high * grown),
        1 / (1 + _FINDLEY_M.likely * grown),
        1 / (1 + _FINDLEY_M.low * grown),
        _FINDLEY_M.source,
    )


def long_strength(hours: float) -> Ranged:
    """Share of the strength at the card's temperature that is left under a load that stays for ``hours`` [-]."""
    return _by_decades(_LONG_PER_DECADE, 1 + 60 * max(hours, 0.0))


def fatigue_strength(swings: float) -> Ranged:
    """Share of the strength left for a load that comes and goes ``swings`` times [-]; a hint, not a design value."""
    return _by_decades(_FATIGUE_PER_DECADE, max(swings, 1.0))


def _by_decades(per_decade: Ranged, count: float) -> Ranged:
    decades = math.log10(count)
    low, likely, high = (
        max(1 - fall * decades, _LEAST_SHARE) for fall in (per_decade.high, per_decade.likely, per_decade.low)
    )
    return Ranged(low, likely, high, per_decade.source)


def _kept(ranged: Ranged, *factors: Ranged) -> Ranged:
    """The range times factors drawn apart from it, its own source kept; ends widen as independent spreads do."""
    low, likely, high = ranged.low, ranged.likely, ranged.high
    for factor in factors:
        middle = likely * factor.likely
        below = math.hypot((likely - low) * factor.likely, likely * (factor.likely - factor.low))
        above = math.hypot((high - likely) * factor.likely, likely * (factor.high - factor.likely))
        low, likely, high = max(middle - below, low * factor.low), middle, middle + above
    return Ranged(low, likely, high, ranged.source)


def _warmed(ranged: Ranged, share: Ranged) -> Ranged:
    """The range times a share, end by end, so that more warmth lowers every one of the three values."""
    return ranged.by(share, ranged.source)


def _at_most(ranged: Ranged, cap: Ranged) -> Ranged:
    """The range, none of its three values above those of ``cap``."""
    return Ranged(min(ranged.low, cap.low), min(ranged.likely, cap.likely), min(ranged.high, cap.high), ranged.source)


def _strain_once(plastic: PlasticCard) -> Ranged:
    if plastic.snap_strain_percent is not None:
        return Ranged.of(plastic.snap_strain_percent).times(0.01)
    return _SNAP_RUBBER


def _rubbery(plastic: PlasticCard) -> bool:
    return plastic.tg_c.likely < ROOM_C


def _notes(plastic: PlasticCard, temp_c: float, modifier: Modifier) -> tuple[str, ...]:
    notes = []
    if modifier.reason:
        notes.append(modifier.reason)
    if temp_c >= limit_c(plastic):
        notes.append(
            f"{plastic.name} bears nothing for long above {limit_c(plastic):.0f} °C, and is at {temp_c:.0f} °C"
        )
    if plastic.name.startswith("PA"):
        notes.append("figures are for dry nylon; moist it is softer and tougher")
    return tuple(notes)

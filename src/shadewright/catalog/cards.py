"""Cards of bought things: plastics, glues, bulbs, holders, cords. Values are ranges, never false precision."""

from __future__ import annotations

from dataclasses import dataclass
from math import pi


@dataclass(frozen=True, slots=True)
class Range:
    """A value known only so well; the unit stands in the name of whatever holds it.

    Attributes:
        low, high: Ends within which nearly all specimens lie.
        typical: Usual value; None when the source gives only the ends.
    """

    low: float
    typical: float | None
    high: float

    @property
    def likely(self) -> float:
        """Usual value, or the middle when none is given."""
        return (self.low + self.high) / 2 if self.typical is None else self.typical

    def __str__(self) -> str:
        return f"{self.low:g}" if self.low == self.high else f"{self.low:g} to {self.high:g}"


@dataclass(frozen=True, slots=True, kw_only=True)
class Evidence:
    """Where a value or a row comes from.

    Attributes:
        source: Key into ``sources.toml``.
        where: Table, clause or page of that source.
        from_memory: True when no document was seen.
        note: Doubts and conditions; empty when there are none.
    """

    source: str
    where: str
    from_memory: bool
    note: str = ""


@dataclass(frozen=True, slots=True)
class Known(Range):
    """A range with its own evidence."""

    evidence: Evidence


@dataclass(frozen=True, slots=True, kw_only=True)
class PlasticCard:
    """One printing plastic; None where no figure is known.

    Attributes:
        name, aliases: As the trade writes it, and other writings.
        density_g_cm3: Density.
        tg_c: Glass transition temperature.
        hdt_045_c, hdt_180_c: Temperature at which a loaded bar sags, at 0.45 and 1.8 MPa (ISO 75).
        melting_c: Melting point of semi-crystalline plastics.
        modulus_mpa: Young's modulus within a layer, short load at room temperature.
        strength_along_mpa: Tensile strength within a layer.
        strength_across_mpa: Tensile strength that pulls layers apart.
        yield_strain_percent: Strain at yield within a layer.
        snap_strain_percent: Strain allowed once in a snap arm that bends within a layer.
        conductivity_w_mk: Thermal conductivity of the solid.
        heat_capacity_j_kgk: Specific heat.
        expansion_per_k: Linear thermal expansion.
        shrinkage_percent: Linear shrinkage of moulded parts; printed parts shrink about as much or less.
        flow_limit_mm3_s: Volume that a plain 0.4 mm nozzle melts per second.
        emissivity: Thermal emissivity of the surface.
        white_reflectance, white_transmittance_08_mm: Visible light sent back by a thick white wall, and let through
            by a 0.8 mm one.
    """

    name: str
    aliases: tuple[str, ...]
    density_g_cm3: Known
    tg_c: Known
    modulus_mpa: Known
    strength_along_mpa: Known
    conductivity_w_mk: Known
    expansion_per_k: Known
    flow_limit_mm3_s: Known
    emissivity: Known
    strength_across_mpa: Known | None = None
    hdt_045_c: Known | None = None
    hdt_180_c: Known | None = None
    melting_c: Known | None = None
    yield_strain_percent: Known | None = None
    snap_strain_percent: Known | None = None
    heat_capacity_j_kgk: Known | None = None
    shrinkage_percent: Known | None = None
    white_reflectance: Known | None = None
    white_transmittance_08_mm: Known | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class GlueCard:
    """One glue or tape.

    Attributes:
        softens_c: Ring-and-ball softening of glues that melt.
        holds_to_c: Greatest temperature in service under load.
        gap: Thickness of the layer in which it holds [mm].
    """

    name: str
    aliases: tuple[str, ...]
    softens_c: Range | None
    holds_to_c: Range | None
    gap: Range
    evidence: Evidence


@dataclass(frozen=True, slots=True, kw_only=True)
class BulbCard:
    """One bulb shape, as LED bulbs of that shape are sold.

    Attributes:
        diameter: Greatest diameter of the envelope [mm].
        length: Overall length with cap [mm].
        caps: Caps it is sold with; names of holder cards.
        watts_w, flux_lm: Electrical power and light.
    """

    name: str
    aliases: tuple[str, ...]
    diameter: float
    length: Range
    caps: tuple[str, ...]
    watts_w: Range
    flux_lm: Range
    evidence: Evidence


@dataclass(frozen=True, slots=True, kw_only=True)
class LightSourceCard:
    """One way of making light.

    Attributes:
        efficacy_lm_w: Light per electrical watt.
        light_fraction: Share of the electrical power that leaves as visible light [-]; the rest is heat.
    """

    name: str
    aliases: tuple[str, ...]
    efficacy_lm_w: Range
    light_fraction: Range
    evidence: Evidence


@dataclass(frozen=True, slots=True, kw_only=True)
class HolderCard:
    """One lampholder with its cap.

    Attributes:
        cap_size_mm: Cap dimensions in words.
        shell_thread: Thread of cap and shell; empty for pins and bayonets.
        barrel_thread: Thread outside the barrel for a shade ring; empty when none is standardized.
        entry_threads: Threads by which the holder is mounted.
        rated_current_a, rated_voltage_v: Ratings; None when only the mark on the holder tells.
        collar_limit_c: Rated temperature, from unmarked holders to the usual marked ones.
        load_limit_kg, bending_limit_nm: What may hang from the holder.
    """

    name: str
    aliases: tuple[str, ...]
    cap_size_mm: str
    shell_thread: str
    barrel_thread: str
    entry_threads: tuple[str, ...]
    rated_current_a: float | None
    rated_voltage_v: float | None
    collar_limit_c: Range | None
    load_limit_kg: float | None
    bending_limit_nm: float | None
    evidence: Evidence


@dataclass(frozen=True, slots=True, kw_only=True)
class CordCard:
    """One flexible cord.

    Attributes:
        shape: ``flat`` or ``round``.
        cores, core_area_mm2: Number of conductors and the section of each.
        short_side, long_side: Overall size [mm]; the same for round cords.
        rated_current_a, rated_voltage_v: Ratings.
        conductor_limit_c: Greatest conductor temperature.
    """

    name: str
    aliases: tuple[str, ...]
    shape: str
    cores: int
    core_area_mm2: float
    short_side: Range
    long_side: Range
    rated_current_a: float
    rated_voltage_v: float
    conductor_limit_c: float
    evidence: Evidence

    @property
    def total_area_mm2(self) -> float:
        """Section of all conductors together."""
        return self.cores * self.core_area_mm2

    @property
    def outline_mm2(self) -> float:
        """Greatest section that the cord fills, rounded ends taken into account."""
        short, long = self.short_side.high, self.long_side.high
        return short * (long - short) + pi / 4 * short**2


@dataclass(frozen=True, slots=True, kw_only=True)
class Anchorage:
    """Test load of a cord anchorage, by total conductor section.

    Attributes:
        area_over_mm2, area_up_to_mm2: Total section this row is for.
        pull_n, torque_nm: Test pull and torque.
    """

    area_over_mm2: float
    area_up_to_mm2: float
    pull_n: float
    torque_nm: float
    evidence: Evidence

"""From table rows to cards."""

from __future__ import annotations

from typing import Any

from shadewright.catalog.cards import (
    Anchorage,
    BulbCard,
    CordCard,
    Evidence,
    GlueCard,
    HolderCard,
    Known,
    LightSourceCard,
    PlasticCard,
    Range,
)
from shadewright.catalog.tables import Row, rows

PLASTIC_ALIASES: dict[str, tuple[str, ...]] = {
    "PLA": ("polylactide",),
    "PETG": ("PET-G",),
    "PC": ("polycarbonate",),
    "PA6": ("nylon", "nylon 6", "polyamide 6"),
    "PA12": ("nylon 12", "polyamide 12"),
    "TPU 95A": ("TPU",),
}
_ANY = "any"
_EXPANSION = "expansion_1e6_per_k"


def _evidence(row: Row) -> Evidence:
    return Evidence(
        source=row.text("source"), where=row.text("where"), from_memory=row.from_memory, note=row.text("note")
    )


def _range(row: Row, stem: str, unit: str) -> Range | None:
    low, high = row.optional(f"{stem}_low{unit}"), row.optional(f"{stem}_high{unit}")
    if low is None or high is None:
        return None
    return Range(low, row.optional(f"{stem}_typical{unit}"), high)


def _full_range(row: Row, stem: str, unit: str) -> Range:
    return Range(
        row.number(f"{stem}_low{unit}"), row.optional(f"{stem}_typical{unit}"), row.number(f"{stem}_high{unit}")
    )


def _property(row: Row) -> tuple[str, Known]:
    name = row.text("property_with_unit")
    scale, name = (1e-6, "expansion_per_k") if name == _EXPANSION else (1.0, name)
    low, typical, high = (row.number(column) * scale for column in ("low", "typical", "high"))
    return name, Known(low, typical, high, _evidence(row))


def read_plastics() -> tuple[PlasticCard, ...]:
    """All plastics; a value given for "any" plastic is on every card."""
    properties: dict[str, dict[str, Any]] = {}
    for row in rows("plastics"):
        key, known = _property(row)
        properties.setdefault(row.text("plastic"), {})[key] = known
    shared = properties.pop(_ANY)
    return tuple(
        PlasticCard(name=name, aliases=PLASTIC_ALIASES.get(name, ()), **{**shared, **values})
        for name, values in properties.items()
    )


def read_glues() -> tuple[GlueCard, ...]:
    """All glues and tapes."""
    return tuple(
        GlueCard(
            name=row.text("name"),
            aliases=row.words("aliases"),
            softens_c=_range(row, "softens", "_c"),
            holds_to_c=_range(row, "holds_to", "_c"),
            gap=_full_range(row, "gap", "_mm"),
            evidence=_evidence(row),
        )
        for row in rows("glues")
    )


def read_bulbs() -> tuple[BulbCard, ...]:
    """All bulb shapes."""
    return tuple(
        BulbCard(
            name=row.text("name"),
            aliases=row.words("aliases"),
            diameter=row.number("diameter_mm"),
            length=Range(row.number("length_min_mm"), None, row.number("length_max_mm")),
            caps=row.words("caps"),
            watts_w=_full_range(row, "watts", "_w"),
            flux_lm=_full_range(row, "flux", "_lm"),
            evidence=_evidence(row),
        )
        for row in rows("bulbs")
    )


def read_light_sources() -> tuple[LightSourceCard, ...]:
    """All ways of making light."""
    return tuple(
        LightSourceCard(
            name=row.text("name"),
            aliases=row.words("aliases"),
            efficacy_lm_w=_full_range(row, "efficacy", "_lm_w"),
            light_fraction=_full_range(row, "light_fraction", ""),
            evidence=_evidence(row),
        )
        for row in rows("light_sources")
    )


def read_holders() -> tuple[HolderCard, ...]:
    """All holders."""
    return tuple(
        HolderCard(
            name=row.text("name"),
            aliases=row.words("aliases"),
            cap_size_mm=row.text("cap_size_mm"),
            shell_thread=row.text("shell_thread"),
            barrel_thread=row.text("barrel_thread"),
            entry_threads=row.words("entry_threads"),
            rated_current_a=row.optional("rated_current_a"),
            rated_voltage_v=row.optional("rated_voltage_v"),
            collar_limit_c=_ends(row, "collar_limit_low_c", "collar_limit_high_c"),
            load_limit_kg=row.optional("load_limit_kg"),
            bending_limit_nm=row.optional("bending_limit_nm"),
            evidence=_evidence(row),
        )
        for row in rows("holders")
    )


def _ends(row: Row, low_column: str, high_column: str) -> Range | None:
    low, high = row.optional(low_column), row.optional(high_column)
    return None if low is None or high is None else Range(low, None, high)


def read_cords() -> tuple[CordCard, ...]:
    """All cords."""
    return tuple(
        CordCard(
            name=row.text("name"),
            aliases=row.words("aliases"),
            shape=row.text("shape"),
            cores=int(row.number("cores")),
            core_area_mm2=row.number("core_area_mm2"),
            short_side=_full_range(row, "short", "_mm"),
            long_side=_full_range(row, "long", "_mm"),
            rated_current_a=row.number("rated_current_a"),
            rated_voltage_v=row.number("rated_voltage_v"),
            conductor_limit_c=row.number("conductor_limit_c"),
            evidence=_evidence(row),
        )
        for row in rows("cords")
    )


def read_anchorages() -> tuple[Anchorage, ...]:
    """Cord anchorage loads, smallest section first."""
    return tuple(
        Anchorage(
            area_over_mm2=row.number("area_over_mm2"),
            area_up_to_mm2=row.number("area_up_to_mm2"),
            pull_n=row.number("pull_n"),
            torque_nm=row.number("torque_nm"),
            evidence=_evidence(row),
        )
        for row in rows("cord_anchorage")
    )

"""Bought hardware that goes into pockets: nuts, heat-set inserts, magnets."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

from shadewright.catalog.cards import Evidence
from shadewright.catalog.lookup import by_folded_name, find
from shadewright.catalog.tables import Row, rows
from shadewright.catalog.threads import Limits


@dataclass(frozen=True, slots=True, kw_only=True)
class NutCard:
    """One regular hexagon nut.

    Attributes:
        name, aliases: As the trade writes it, and other writings.
        screw: Nominal diameter of its thread [mm].
        pitch: Of its thread [mm].
        flats: Limits of the width across flats [mm].
        height: Limits of the height [mm].
        hole: Clearance hole for its screw, medium series [mm].
    """

    name: str
    aliases: tuple[str, ...]
    screw: float
    pitch: float
    flats: Limits
    height: Limits
    hole: float
    evidence: Evidence


@dataclass(frozen=True, slots=True, kw_only=True)
class InsertCard:
    """One threaded insert that is melted into a hole.

    Attributes:
        screw: Nominal diameter of its thread [mm].
        pitch: Of its thread [mm].
        outside: Greatest diameter, over the knurl [mm].
        length: Of the insert [mm].
        hole: Finished holes it holds in, in unfilled plastics [mm].
        filled_hole: The same in plastics with fibres, which give way less [mm].
        least_wall: Least wall around the hole [mm].
    """

    name: str
    aliases: tuple[str, ...]
    screw: float
    pitch: float
    outside: float
    length: float
    hole: Limits
    filled_hole: Limits
    least_wall: float
    evidence: Evidence


@dataclass(frozen=True, slots=True, kw_only=True)
class MagnetCard:
    """One magnet.

    Attributes:
        shape: ``round`` or ``bar``.
        length, width: Seen from the pole [mm]; the diameter, twice, for round ones.
        thickness: From pole to pole [mm].
        tolerance: Plus or minus, on every size [mm].
        limit_c: Temperature from which it loses strength for good.
    """

    name: str
    aliases: tuple[str, ...]
    shape: str
    length: float
    width: float
    thickness: float
    tolerance: float
    limit_c: float
    evidence: Evidence

    def limits(self, size: float) -> Limits:
        """Limits of one of its sizes [mm]."""
        return Limits(size - self.tolerance, size + self.tolerance)


def _evidence(row: Row) -> Evidence:
    return Evidence(
        source=row.text("source"), where=row.text("where"), from_memory=row.from_memory, note=row.text("note")
    )


@cache
def nuts() -> tuple[NutCard, ...]:
    """All nuts of the catalogue, smallest first."""
    return tuple(
        NutCard(
            name=row.text("name"),
            aliases=row.words("aliases"),
            screw=row.number("screw_mm"),
            pitch=row.number("pitch_mm"),
            flats=Limits(row.number("flats_min_mm"), row.number("flats_max_mm")),
            height=Limits(row.number("height_min_mm"), row.number("height_max_mm")),
            hole=row.number("hole_mm"),
            evidence=_evidence(row),
        )
        for row in rows("nuts")
    )


@cache
def inserts() -> tuple[InsertCard, ...]:
    """All heat-set inserts of the catalogue, smallest first."""
    return tuple(
        InsertCard(
            name=row.text("name"),
            aliases=row.words("aliases"),
            screw=row.number("screw_mm"),
            pitch=row.number("pitch_mm"),
            outside=row.number("outside_mm"),
            length=row.number("length_mm"),
            hole=Limits(row.number("hole_low_mm"), row.number("hole_high_mm")),
            filled_hole=Limits(row.number("filled_hole_low_mm"), row.number("filled_hole_high_mm")),
            least_wall=row.number("least_wall_mm"),
            evidence=_evidence(row),
        )
        for row in rows("inserts")
    )


@cache
def magnets() -> tuple[MagnetCard, ...]:
    """All magnets of the catalogue, round ones first."""
    return tuple(
        MagnetCard(
            name=row.text("name"),
            aliases=row.words("aliases"),
            shape=row.text("shape"),
            length=row.number("length_mm"),
            width=row.number("width_mm"),
            thickness=row.number("thickness_mm"),
            tolerance=row.number("tolerance_mm"),
            limit_c=row.number("limit_c"),
            evidence=_evidence(row),
        )
        for row in rows("magnets")
    )


def nut(name: str, where: str = "") -> NutCard:
    """Find a nut by its thread, such as ``M3``.

    Raises:
        UnknownName: No nut goes by that name.
    """
    return find("nut", name, by_folded_name(nuts()), where)


def insert(name: str, where: str = "") -> InsertCard:
    """Find a heat-set insert by its thread, such as ``M3``.

    Raises:
        UnknownName: No insert goes by that name.
    """
    return find("heat-set insert", name, by_folded_name(inserts()), where)


def magnet(name: str, where: str = "") -> MagnetCard:
    """Find a magnet by its shape and size, such as ``disc 6x2`` or ``bar 10x5x2``.

    Raises:
        UnknownName: No magnet goes by that name.
    """
    return find("magnet", name, by_folded_name(magnets()), where)

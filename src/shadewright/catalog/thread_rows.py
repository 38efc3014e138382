"""From table rows to threads, one function for each kind of table."""

from __future__ import annotations

from collections.abc import Callable
from typing import TypedDict

from shadewright.catalog import profiles
from shadewright.catalog.tables import MM_PER_INCH, Row, rows
from shadewright.catalog.threads import Form, LampUse, Limits, Thread, ThreadLimits


class _Told(TypedDict):
    name: str
    aliases: tuple[str, ...]
    families: tuple[str, ...]
    lamp_use: LampUse
    where_used: str
    source: str
    where: str
    from_memory: bool
    note: str


def _told(row: Row) -> _Told:
    return _Told(
        name=row.text("name"),
        aliases=row.words("aliases"),
        families=row.words("families"),
        lamp_use=LampUse(row.text("lamp_use")),
        where_used=row.text("where_used"),
        source=row.text("source"),
        where=row.text("where"),
        from_memory=row.from_memory,
        note=row.text("note"),
    )


def _limits(row: Row, stem: str, unit: str = "mm", scale: float = 1.0) -> Limits:
    return Limits(row.number(f"{stem}_min_{unit}") * scale, row.number(f"{stem}_max_{unit}") * scale)


def _sixty(row: Row, unit: str, scale: float, pitch: float) -> Thread:
    return Thread(
        **_told(row),
        form=Form.V60,
        pitch=pitch,
        major=row.number(f"major_{unit}") * scale,
        pitch_diameter=row.number(f"pitch_diameter_{unit}") * scale,
        minor=row.number(f"minor_{unit}") * scale,
        male=profiles.male_60(
            pitch,
            major=_limits(row, "male_major", unit, scale),
            pitch_diameter=_limits(row, "male_pitch_diameter", unit, scale),
        ),
        female=profiles.female_60(
            pitch,
            pitch_diameter=_limits(row, "female_pitch_diameter", unit, scale),
            minor=_limits(row, "female_minor", unit, scale),
        ),
    )


def metric(row: Row) -> Thread:
    """ISO metric row: limits 6g and 6H in mm."""
    return _sixty(row, "mm", 1.0, row.number("pitch_mm"))


def inch(row: Row) -> Thread:
    """Unified or straight-pipe row: limits in inches."""
    return _sixty(row, "in", MM_PER_INCH, MM_PER_INCH / row.number("threads_per_inch"))


def screw_shell(row: Row) -> Thread:
    """Edison shell or holder barrel: equal arcs at crest and root.

    Basic sizes are the greatest male. Limits take in what really comes: bulbs after assembly, which may be smaller
    or larger than the bare shell, and moulded holders, whose female minor may be larger than that of a metal shell.
    """

    def given(column: str, default: float) -> float:
        value = row.optional(column)
        return default if value is None else value

    male_major, male_minor = _limits(row, "male_major"), _limits(row, "male_minor")
    female_minor = _limits(row, "female_minor")
    major, minor = row.number("major_mm"), row.number("minor_mm")
    return Thread(
        **_told(row),
        form=Form.ROUND,
        pitch=row.number("pitch_mm"),
        major=major,
        pitch_diameter=(major + minor) / 2,
        minor=minor,
        male=profiles.rounded(
            Limits(
                given("finished_male_major_min_mm", male_major.low),
                given("finished_male_major_max_mm", male_major.high),
            ),
            Limits(male_minor.low, given("finished_male_minor_max_mm", male_minor.high)),
        ),
        female=profiles.rounded(
            _limits(row, "female_major"),
            Limits(female_minor.low, given("moulded_female_minor_max_mm", female_minor.high)),
        ),
    )


def _whitworth(
    row: Row, *, pitch: float, major: float, depth: float, tolerances: tuple[float, float, float, float]
) -> Thread:
    """Whitworth form; tolerances of male pitch diameter, male major, female pitch diameter, female minor [mm]."""
    male_pitch, male_major, female_pitch, female_minor = tolerances
    middle, minor = major - depth, major - 2 * depth
    return Thread(
        **_told(row),
        form=Form.V55,
        pitch=pitch,
        major=major,
        pitch_diameter=middle,
        minor=minor,
        male=profiles.male_whitworth(depth, Limits(major - male_major, major), Limits(middle - male_pitch, middle)),
        female=profiles.female_whitworth(
            depth, Limits(middle, middle + female_pitch), Limits(minor, minor + female_minor)
        ),
    )


def pipe_g(row: Row) -> Thread:
    """ISO 228 row: class B male, which takes in class A."""
    return _whitworth(
        row,
        pitch=row.number("pitch_mm"),
        major=row.number("major_mm"),
        depth=row.number("depth_mm"),
        tolerances=(
            row.number("male_pitch_diameter_tolerance_b_mm"),
            row.number("male_major_tolerance_mm"),
            row.number("female_pitch_diameter_tolerance_mm"),
            row.number("female_minor_tolerance_mm"),
        ),
    )


def brass(row: Row) -> Thread:
    """British brass row: sizes only; tolerances by formula."""
    diameter_in, pitch_in = row.number("major_in"), 1 / row.number("threads_per_inch")
    effective, major, minor = (
        tolerance * MM_PER_INCH for tolerance in profiles.whitworth_tolerances(diameter_in, pitch_in)
    )
    pitch = pitch_in * MM_PER_INCH
    return _whitworth(
        row,
        pitch=pitch,
        major=diameter_in * MM_PER_INCH,
        depth=profiles.DEPTH_WHITWORTH * pitch,
        tolerances=(effective, major, effective, minor),
    )


def gland(row: Row) -> Thread:
    """Old cable-gland row: one tolerance for all male and one for all female diameters."""
    major, minor = row.number("major_mm"), row.number("minor_mm")
    middle = (major + minor) / 2
    male, female = row.number("male_diameter_tolerance_mm"), row.number("female_diameter_tolerance_mm")
    return Thread(
        **_told(row),
        form=Form.ROUND80,
        pitch=MM_PER_INCH / row.number("threads_per_inch"),
        major=major,
        pitch_diameter=middle,
        minor=minor,
        male=ThreadLimits(
            major=Limits(major - male, major),
            pitch_diameter=Limits(middle - male, middle),
            minor=Limits(minor - male, minor),
        ),
        female=ThreadLimits(
            major=Limits(major, major + female),
            pitch_diameter=Limits(middle, middle + female),
            minor=Limits(minor, minor + female),
        ),
    )


def trapezoidal(row: Row) -> Thread:
    """Trapezoidal row: basic sizes and root clearances; tolerances by formula."""
    pitch, major, middle = row.number("pitch_mm"), row.number("major_mm"), row.number("pitch_diameter_mm")
    male, female = profiles.trapezoidal(
        pitch=pitch,
        major=major,
        pitch_diameter=middle,
        male_root=row.number("male_minor_max_mm"),
        female_root=row.number("female_major_min_mm"),
        female_crest=row.number("minor_mm"),
    )
    return Thread(
        **_told(row),
        form=Form.TRAPEZOIDAL30,
        pitch=pitch,
        major=major,
        pitch_diameter=middle,
        minor=row.number("minor_mm"),
        male=male,
        female=female,
    )


TABLES: tuple[tuple[str, Callable[[Row], Thread]], ...] = (
    ("threads_edison", screw_shell),
    ("threads_barrel", screw_shell),
    ("threads_metric", metric),
    ("threads_straight_pipe", inch),
    ("threads_unified", inch),
    ("threads_brass", brass),
    ("threads_gland", gland),
    ("threads_pipe_g", pipe_g),
    ("threads_trapezoidal", trapezoidal),
)
"""Every thread table and how its rows are read."""


def read_threads() -> tuple[Thread, ...]:
    """All threads, lamp threads first."""
    return tuple(read(row) for table, read in TABLES for row in rows(table))

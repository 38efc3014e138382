"""What can be found in a model: round walls, tapers, slots and threads, each with its size, place and facet error.

Places are in the model's own coordinates [mm]. A feature of a polygon mesh has two sizes: that of the circle through
its corners and the smaller one across its flats.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any

from shadewright.catalog.threads import Sex

Vector = tuple[float, float, float]


@dataclass(frozen=True, slots=True, kw_only=True)
class RoundWall:
    """A cylindrical wall: a bore when it is hollow, else a boss.

    Attributes:
        hollow: True for a bore, False for a boss.
        diameter: Of the circle through the corners; of the surface itself where the model is exact [mm].
        across_flats: Least diameter between opposite facets [mm]; equals ``diameter`` where the model is exact.
        sagitta: Greatest distance of a facet from the circle through its corners [mm]; 0 for exact models.
        sides: Facets a full turn has; None for exact models.
        middle: Point on the axis, halfway along the wall [mm].
        axis: Unit vector.
        length: Extent along the axis [mm].
        turn: Wall there is, seen along the axis [degrees]; 360 for a whole hole, 180 for half of one.
        residual: Greatest distance of a corner from the circle [mm].
    """

    hollow: bool
    diameter: float
    across_flats: float
    sagitta: float
    sides: int | None
    middle: Vector
    axis: Vector
    length: float
    turn: float
    residual: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Taper:
    """A conical wall, such as a chamfered mouth or a tapered hole.

    Attributes:
        hollow: True for a hole, False for a boss.
        small, large: Diameters at its two ends, through the corners of facets [mm].
        half_angle: Between wall and axis [degrees].
        middle: Point on the axis, halfway along the wall [mm].
        axis: Unit vector.
        length: Extent along the axis [mm].
        turn: Wall there is, seen along the axis [degrees].
    """

    hollow: bool
    small: float
    large: float
    half_angle: float
    middle: Vector
    axis: Vector
    length: float
    turn: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Slot:
    """Two parallel flat faces that overlap: with nothing between them a slot, with plastic between them a tongue.

    Attributes:
        hollow: True for a slot, False for a tongue.
        width: Distance between the faces [mm].
        middle: Point halfway between them [mm].
        normal: Unit vector across them.
        length, depth: Extents of the overlap, greater first [mm].
    """

    hollow: bool
    width: float
    middle: Vector
    normal: Vector
    length: float
    depth: float


@dataclass(frozen=True, slots=True, kw_only=True)
class FoundThread:
    """A screw thread read back from a model.

    Attributes:
        sex: Male or female.
        major, pitch_diameter, minor: As drawn [mm]; the pitch diameter is where ridge and groove are equally wide.
        pitch: Axial distance of neighbouring ridges [mm].
        lead: Advance in one turn [mm].
        starts: Ridges side by side; lead over pitch.
        right_handed: Whether it tightens clockwise.
        flanks: Angle between each flank and the plane square to the axis [degrees], the one that faces down the axis
            first; a printable shape has a steeper one below.
        rounded: True when crests and roots are arcs rather than flats.
        names: Rows of the catalogue that it may be, nearest first; empty when none is near.
        middle: Point on the axis, halfway along the thread [mm].
        axis: Unit vector.
        length: Extent along the axis [mm].
        sagitta: Greatest distance of a facet from the true curve around the axis [mm].
    """

    sex: Sex
    major: float
    pitch_diameter: float
    minor: float
    pitch: float
    lead: float
    starts: int
    right_handed: bool
    flanks: tuple[float, float]
    rounded: bool
    names: tuple[str, ...]
    middle: Vector
    axis: Vector
    length: float
    sagitta: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Features:
    """All that was found in one model, each list with the largest first.

    Attributes:
        exact: True when round walls and tapers come from exact surfaces and not from facets.
    """

    bores: tuple[RoundWall, ...]
    bosses: tuple[RoundWall, ...]
    tapers: tuple[Taper, ...]
    slots: tuple[Slot, ...]
    tongues: tuple[Slot, ...]
    threads: tuple[FoundThread, ...]
    exact: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Surface:
    """A face of an exact model that lies on a cylinder or a cone.

    Attributes:
        kind: ``cylinder`` or ``cone``.
        point: On the axis [mm]; for a cone, its apex.
        axis: Unit vector.
        radius: Of a cylinder [mm]; 0 for a cone.
        half_angle: Of a cone [degrees]; 0 for a cylinder.
        low, high: Reach of the face along the axis, from ``point`` [mm].
        start: Direction from the axis to one end of the face, a unit vector square to the axis.
        turn: How far the face reaches around the axis from there, counter-clockwise about ``axis`` [degrees].
        hollow: True when the plastic is outside of it.
    """

    kind: str
    point: Vector
    axis: Vector
    radius: float
    half_angle: float
    low: float
    high: float
    start: Vector
    turn: float
    hollow: bool

    def scaled(self, factor: float) -> Surface:
        """The same surface in another unit."""
        x, y, z = self.point
        return replace(
            self,
            point=(x * factor, y * factor, z * factor),
            radius=self.radius * factor,
            low=self.low * factor,
            high=self.high * factor,
        )


def surface_from(record: Mapping[str, Any]) -> Surface:
    """A surface as it comes out of JSON."""
    values: dict[str, Any] = {key: tuple(value) if isinstance(value, list) else value for key, value in record.items()}
    return Surface(**values)

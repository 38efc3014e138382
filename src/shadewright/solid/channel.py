"""An open cord channel with a straight run, a bend and another straight run, and the cover that closes it.

Both are one section swept along one path. The channel prints open side up, its cover with the outer face on the bed.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from shadewright.errors import ValueProblem, require_positive
from shadewright.solid import kernel
from shadewright.solid.mesh import Floats, Mesh
from shadewright.solid.plain_features import OVERRUN
from shadewright.solid.thread_mesh import one_body

LEAD_IN = 0.4
"""Chamfer that leads the cover in, and breaks the edges beside the cord [mm]."""

ARC_STEPS = 8
"""Chords of a rounding's quarter circle: 0.015 mm from the true one at a radius of 3 mm."""

COVER_SHORT = 0.2
"""How much shorter than the channel its cover is at either end [mm]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class CordChannel:
    """A channel for a cord, as drawn.

    Attributes:
        width, depth: Of the cord's room, below the cover [mm].
        run: Length of either straight run [mm].
        bend_radius: Of the middle line [mm].
        bend_deg: How far the path turns to the left; 0 for a straight channel.
        rebate_width: Where the cover lies [mm]; None for an open channel.
        cover_width: Of the cover [mm].
        cover_thickness: Of the cover, and depth of its rebate [mm].
        entry: Rounding of both mouths, sides and floor [mm].
        floor: Plastic below the cord away from the mouths [mm]; the block is thick enough for the rounding anyway.
        wall: Plastic beside the cover [mm].
        chord: Greatest distance between the bend and its facets [mm].
    """

    width: float
    depth: float
    run: float = 15.0
    bend_radius: float = 30.0
    bend_deg: float = 90.0
    rebate_width: float | None = None
    cover_width: float = 0.0
    cover_thickness: float = 1.2
    entry: float = 2.0
    floor: float = 1.6
    wall: float = 1.6
    chord: float = 0.01

    @property
    def bottom(self) -> float:
        """Height of the cord's floor above the bed [mm]."""
        return max(self.floor, self.entry + 0.8)

    @property
    def top(self) -> float:
        """Height of the whole [mm]."""
        return self.bottom + self.depth + (self.cover_thickness if self.rebate_width else 0.0)

    @property
    def half(self) -> float:
        """Half width of the whole [mm]: walls beside the cover, and enough beside the rounded mouths."""
        return max((self.rebate_width or self.width) / 2 + self.wall, self.width / 2 + self.entry + 0.8)


@dataclass(frozen=True, slots=True)
class Frame:
    """A place on the path: where it is and which way it heads [mm, rad]."""

    x: float
    y: float
    heading: float

    def placed(self, section: Floats) -> Floats:
        """Points of (k, 2) left offset and height, in space (k, 3)."""
        left = np.array([-math.sin(self.heading), math.cos(self.heading)])
        flat = np.array([self.x, self.y]) + section[:, :1] * left
        return np.column_stack([flat, section[:, 1]])


def channel_body(channel: CordChannel) -> Mesh:
    """The channel, standing on z = 0, its path starting along +x.

    Raises:
        ValueProblem: Sizes that cannot be.
        GeometryFailure: The solid failed its own check.
    """
    check_channel(channel)
    swept = sweep(channel_section(channel), frames(channel, 0.0))
    mouths = [_moved(_mouth(channel), frame) for frame in end_frames(channel, 0.0)]
    return one_body(kernel.difference(swept, *mouths), "cord channel")


def channel_cover(channel: CordChannel, *, in_place: bool = False) -> Mesh:
    """The cover, its outer face on the bed; or ``in_place`` on the ledges of ``channel_body``.

    Raises:
        ValueProblem: Sizes that cannot be, or the channel is an open one.
        GeometryFailure: The solid failed its own check.
    """
    check_channel(channel)
    if channel.rebate_width is None:
        raise ValueProblem.of("an open channel has no cover", "give the widths of rebate and cover")
    swept = sweep(cover_section(channel), frames(channel, COVER_SHORT))
    ends = [_moved(_cover_end(channel), frame) for frame in end_frames(channel, COVER_SHORT)]
    placed = one_body(kernel.difference(swept, *ends), "channel cover")
    if in_place:
        return placed
    return Mesh(placed.vertices * np.array([1.0, -1.0, -1.0]), placed.faces, placed.name).on_bed()


def check_channel(channel: CordChannel) -> None:
    """Refuse sizes that cannot be.

    Raises:
        ValueProblem: A size is not above 0, the bend is too tight, or rebate and cover leave nothing.
    """
    for name in ("width", "depth", "run", "bend_radius", "cover_thickness", "entry", "floor", "wall", "chord"):
        require_positive(f"the {name.replace('_', ' ')}", getattr(channel, name))
    if not 0 <= channel.bend_deg <= 180:
        raise ValueProblem.of(f"a bend of {channel.bend_deg:g} degrees cannot be", "use 0 to 180")
    if channel.run < channel.entry + 1:
        raise ValueProblem.of(
            f"a straight run of {channel.run:g} mm is too short for a mouth rounded by {channel.entry:g} mm",
            "make it longer",
        )
    if channel.bend_deg and channel.bend_radius < channel.half + 1:
        raise ValueProblem.of(
            f"a bend radius of {channel.bend_radius:g} mm is less than half the channel's block",
            f"use {math.ceil(channel.half + 1)} mm at least; cords want more",
        )
    rebate, cover = channel.rebate_width, channel.cover_width
    if rebate is None:
        return
    if rebate < channel.width + 4 * LEAD_IN or not channel.width + 2 * LEAD_IN < cover < rebate + 1:
        raise ValueProblem.of(
            f"a cover of {cover:g} mm in a rebate of {rebate:g} mm cannot lie over a channel of {channel.width:g} mm",
            "leave ledges of 1 mm at least on both sides",
        )
    if channel.cover_thickness < 2 * LEAD_IN:
        raise ValueProblem.of(f"a cover of {channel.cover_thickness:g} mm is too thin", "use 0.8 mm at least")


# Sections and path ---------------------------------------------------------------------------------------------------


def channel_section(channel: CordChannel) -> Floats:
    """Section of the channel: (k, 2) offset from the middle line and height [mm], counter-clockwise."""
    half, cord, low, top = channel.half, channel.width / 2, channel.bottom, channel.top
    if channel.rebate_width is None:
        right = [(half, top), (cord + LEAD_IN, top), (cord, top - LEAD_IN), (cord, low)]
    else:
        lid, ledge = channel.rebate_width / 2, low + channel.depth
        right = [(half, top), (lid + LEAD_IN, top), (lid, top - LEAD_IN), (lid, ledge), (cord + LEAD_IN, ledge)]
        right += [(cord, ledge - LEAD_IN), (cord, low)]
    left = [(-x, z) for x, z in reversed(right)]
    return np.array([(-half, 0.0), (half, 0.0), *right, *left])


def cover_section(channel: CordChannel) -> Floats:
    """Section of the cover where it lies, its lower edges chamfered."""
    half, low, top = channel.cover_width / 2, channel.bottom + channel.depth, channel.top
    lower = [(-half, low + LEAD_IN), (-half + LEAD_IN, low), (half - LEAD_IN, low), (half, low + LEAD_IN)]
    return np.array([*lower, (half, top), (-half, top)])


def frames(channel: CordChannel, short: float) -> list[Frame]:
    """Places along the path, from ``short`` behind its start to as much before its end."""
    radius, turn = channel.bend_radius, math.radians(channel.bend_deg)
    outer = radius + channel.half
    steps = max(1, math.ceil(turn / (2 * math.acos(1 - channel.chord / outer)))) if turn else 0
    angles = [turn * i / steps for i in range(steps + 1)] if steps else [0.0]
    bend = [Frame(radius * math.sin(a), radius * (1 - math.cos(a)), a) for a in angles]
    end = bend[-1]
    ahead = channel.run - short
    last = Frame(end.x + ahead * math.cos(end.heading), end.y + ahead * math.sin(end.heading), end.heading)
    return [Frame(-ahead, 0.0, 0.0), *bend, last]


def end_frames(channel: CordChannel, short: float) -> tuple[Frame, Frame]:
    """Both mouths, each heading inwards."""
    path = frames(channel, short)
    first, last = path[0], path[-1]
    return first, Frame(last.x, last.y, last.heading + math.pi)


def sweep(section: Floats, path: list[Frame]) -> Mesh:
    """One section carried along a path, closed by caps."""
    count = len(section)
    vertices = np.vstack([frame.placed(section) for frame in path])
    ring = np.arange(count)
    after = np.roll(ring, -1)
    faces: list[npt.NDArray[np.integer]] = []
    for i in range(len(path) - 1):
        low, high = i * count, (i + 1) * count
        faces.append(np.column_stack([ring + low, after + low, after + high]))
        faces.append(np.column_stack([ring + low, after + high, ring + high]))
    cap = kernel.triangulate([section])
    faces += [cap[:, ::-1], cap + (len(path) - 1) * count]
    mesh = Mesh(vertices, np.vstack(faces).astype(np.int32))
    return mesh if mesh.volume > 0 else Mesh(vertices, np.ascontiguousarray(mesh.faces[:, ::-1]))


# Mouths, as seen by a cord that goes in along +x at the origin -----------------------------------------------------


def trumpet(channel: CordChannel) -> Floats:
    """Plan of a mouth whose sides are rounded: (k, 2) inwards and left [mm], counter-clockwise."""
    cord, entry = channel.width / 2, channel.entry
    angles = np.linspace(0, math.pi / 2, ARC_STEPS + 1)
    right = np.column_stack([entry - entry * np.sin(angles), -cord - entry + entry * np.cos(angles)])
    outer = np.array([[-OVERRUN, -cord - entry], [-OVERRUN, cord + entry]])
    left = right[::-1] * [1.0, -1.0]
    return np.vstack([right, outer, left])[::-1]


def floor_lip(channel: CordChannel) -> Floats:
    """Profile of what is rounded off the floor's edge: (k, 2) inwards and height [mm], counter-clockwise."""
    entry, low = channel.entry, channel.bottom
    angles = np.linspace(0, math.pi / 2, ARC_STEPS + 1)
    arc = np.column_stack([entry - entry * np.sin(angles), low - entry + entry * np.cos(angles)])
    above = np.array([[-OVERRUN, low - entry], [-OVERRUN, low + OVERRUN], [entry, low + OVERRUN]])
    return np.vstack([arc, above])[::-1]


def cover_lip(channel: CordChannel) -> Floats:
    """Profile of what is rounded off the cover's lower edge, where it lies."""
    radius, low = channel.cover_thickness - LEAD_IN, channel.bottom + channel.depth
    angles = np.linspace(0, math.pi / 2, ARC_STEPS + 1)
    arc = np.column_stack([radius - radius * np.sin(angles), low + radius - radius * np.cos(angles)])
    below = np.array([[-OVERRUN, low + radius], [-OVERRUN, low - OVERRUN], [radius, low - OVERRUN]])
    return np.vstack([arc, below])


def _mouth(channel: CordChannel) -> Mesh:
    """The sides' rounding from the floor up; below it the same plan, down to the floor's own rounding."""
    plan = [trumpet(channel)]
    sides = kernel.extrude(plan, channel.top - channel.bottom + OVERRUN).moved(z=channel.bottom)
    deep = kernel.extrude(plan, channel.entry + OVERRUN).moved(z=channel.bottom - channel.entry)
    lip = _across(floor_lip(channel), channel.width + 2 * channel.entry + 1)
    return kernel.union([sides, kernel.intersection(deep, lip)])


def _cover_end(channel: CordChannel) -> Mesh:
    return _across(cover_lip(channel), channel.cover_width + 1)


def _across(profile: Floats, width: float) -> Mesh:
    """A profile of (inwards, height) raised across the path."""
    raised = kernel.extrude([profile], width)  # inwards, height, across
    turned = Mesh(raised.vertices[:, [0, 2, 1]] * np.array([1.0, -1.0, 1.0]), raised.faces)
    return turned.moved(y=width / 2)


def _moved(mesh: Mesh, frame: Frame) -> Mesh:
    c, s = math.cos(frame.heading), math.sin(frame.heading)
    turned = mesh.vertices @ np.array([[c, s, 0.0], [-s, c, 0.0], [0.0, 0.0, 1.0]])
    return Mesh(turned, mesh.faces, mesh.name).moved(x=frame.x, y=frame.y)

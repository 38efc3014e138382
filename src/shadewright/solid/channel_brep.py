"""Cord channel and cover as boundary representations, with true cylinders in the bend."""

from __future__ import annotations

import math
from pathlib import Path
from typing import Any

import numpy as np

from shadewright.errors import GeometryFailure, ValueProblem
from shadewright.solid import brep
from shadewright.solid.channel import (
    COVER_SHORT,
    CordChannel,
    Frame,
    channel_section,
    check_channel,
    cover_lip,
    cover_section,
    end_frames,
    floor_lip,
    frames,
    trumpet,
)
from shadewright.solid.mesh import Floats
from shadewright.solid.plain_features import OVERRUN
from shadewright.solid.step import check_shape, quiet, require_step, write_step


def write_channel_step(path: Path, channel: CordChannel, *, cover: bool = False) -> Path:
    """Write the channel, or its cover where it lies, as STEP.

    Raises:
        ValueProblem: Sizes that cannot be, or an open channel's cover is asked for.
        MissingLibrary: STEP is not installed.
        GeometryFailure: The shape failed its own check.
        FileProblem: The file cannot be written.
    """
    shape = cover_shape(channel) if cover else channel_shape(channel)
    return write_step(path, shape, "channel cover" if cover else "cord channel")


def channel_shape(channel: CordChannel) -> Any:
    """The channel as a shape of the modelling kernel, checked; errors as of ``write_channel_step``."""
    check_channel(channel)
    require_step()
    quiet()
    swept = _swept(channel_section(channel), channel, 0.0)
    for frame in end_frames(channel, 0.0):
        swept = brep.cut(swept, *(_moved(piece, frame) for piece in _mouth(channel)))
    return _checked(swept, "cord channel")


def cover_shape(channel: CordChannel) -> Any:
    """The cover where it lies, as a shape of the modelling kernel, checked; errors as of ``write_channel_step``."""
    check_channel(channel)
    if channel.rebate_width is None:
        raise ValueProblem.of("an open channel has no cover", "give the widths of rebate and cover")
    require_step()
    quiet()
    swept = _swept(cover_section(channel), channel, COVER_SHORT)
    for frame in end_frames(channel, COVER_SHORT):
        swept = brep.cut(swept, _moved(_across(cover_lip(channel), channel.cover_width + 1), frame))
    return _checked(swept, "channel cover")


def _checked(shape: Any, name: str) -> Any:
    wrong = check_shape(shape)
    if wrong:
        raise GeometryFailure(f"{name} came out wrong: {'; '.join(wrong)}")
    return shape


def _swept(section: Floats, channel: CordChannel, short: float) -> Any:
    """Straight run, bend about its centre, straight run, as one solid."""
    path = frames(channel, short)
    first, bend_in, bend_out = path[0], path[1], path[-2]
    ahead = channel.run - short
    runs = [_prism(first.placed(section), (ahead, 0.0, 0.0))]
    if channel.bend_deg:
        runs.append(_turned(bend_in.placed(section), (0.0, channel.bend_radius), channel.bend_deg))
    heading = bend_out.heading
    runs.append(_prism(bend_out.placed(section), (ahead * math.cos(heading), ahead * math.sin(heading), 0.0)))
    return _one_face_each(brep.fused(*runs))


def _mouth(channel: CordChannel) -> tuple[Any, Any]:
    plan = trumpet(channel)
    high = channel.top - channel.bottom + OVERRUN
    sides = _prism(_at(plan, channel.bottom), (0.0, 0.0, high))
    deep = _prism(_at(plan, channel.bottom - channel.entry), (0.0, 0.0, channel.entry + OVERRUN))
    lip = _across(floor_lip(channel), channel.width + 2 * channel.entry + 1)
    return sides, brep.common(deep, lip)


def _at(plan: Floats, z: float) -> Floats:
    return np.column_stack([plan, np.full(len(plan), z)])


def _across(profile: Floats, width: float) -> Any:
    points = np.column_stack([profile[:, 0], np.full(len(profile), -width / 2), profile[:, 1]])
    return _prism(points, (0.0, width, 0.0))


def _face(points: Floats) -> Any:
    from OCP.BRepBuilderAPI import BRepBuilderAPI_MakeFace, BRepBuilderAPI_MakePolygon
    from OCP.gp import gp_Pnt

    maker = BRepBuilderAPI_MakePolygon()
    for point in points:
        maker.Add(gp_Pnt(*map(float, point)))
    maker.Close()
    return BRepBuilderAPI_MakeFace(maker.Wire()).Face()


def _prism(points: Floats, along: tuple[float, float, float]) -> Any:
    from OCP.BRepPrimAPI import BRepPrimAPI_MakePrism
    from OCP.gp import gp_Vec

    return BRepPrimAPI_MakePrism(_face(points), gp_Vec(*along)).Shape()


def _turned(points: Floats, centre: tuple[float, float], angle_deg: float) -> Any:
    from OCP.BRepPrimAPI import BRepPrimAPI_MakeRevol
    from OCP.gp import gp_Ax1, gp_Dir, gp_Pnt

    axis = gp_Ax1(gp_Pnt(*centre, 0.0), gp_Dir(0, 0, 1))
    return BRepPrimAPI_MakeRevol(_face(points), axis, math.radians(angle_deg)).Shape()


def _one_face_each(shape: Any) -> Any:
    """Join faces that lie in one surface, as the runs' bottoms do."""
    from OCP.ShapeUpgrade import ShapeUpgrade_UnifySameDomain

    joiner = ShapeUpgrade_UnifySameDomain(shape, True, True, False)
    joiner.Build()
    return joiner.Shape()


def _moved(shape: Any, frame: Frame) -> Any:
    from OCP.BRepBuilderAPI import BRepBuilderAPI_Transform
    from OCP.gp import gp_Ax1, gp_Dir, gp_Pnt, gp_Trsf, gp_Vec

    turn, shift = gp_Trsf(), gp_Trsf()
    turn.SetRotation(gp_Ax1(gp_Pnt(0, 0, 0), gp_Dir(0, 0, 1)), frame.heading)
    shift.SetTranslation(gp_Vec(frame.x, frame.y, 0.0))
    return BRepBuilderAPI_Transform(shape, shift.Multiplied(turn), True).Shape()

"""Threaded studs and rings as meshes, and threads cut into or set on a part."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np

from shadewright.catalog.threads import Sex
from shadewright.errors import GeometryFailure, ValueProblem
from shadewright.solid import kernel
from shadewright.solid.features import ThreadShape
from shadewright.solid.mesh import Ints, Mesh
from shadewright.solid.profile import Profile
from shadewright.solid.thread_section import Section, expected_volume, section

OVERRUN = 0.05
"""How far cutters reach past the faces they cut [mm]; keeps faces from coinciding."""

VOLUME_TOLERANCE = 0.005


def threaded_solid(shape: ThreadShape) -> Mesh:
    """Male stud or female ring, standing on z = 0, axis along z, right-handed.

    The facets lie half outside and half inside the true surface: their volume is that of the curved solid.

    Raises:
        ValueProblem: Sizes that cannot be.
        GeometryFailure: The solid failed its own check: not closed, not one body, or 0.5 % off in volume.
    """
    made = section(shape)
    name = f"{shape.thread.name} {shape.sex.value}"
    if shape.sex is Sex.FEMALE:
        blank = kernel.cylinder(made.length, made.outside, chord=shape.chord, fit="mean")
        solid = kernel.difference(blank, _hollow(made, shape.chord))
    else:
        solid = _stud(made, shape.chord)
    one_body(solid, name)
    expected = expected_volume(made)
    if abs(solid.volume / expected - 1) > VOLUME_TOLERANCE:
        raise GeometryFailure(f"{name} came out with {solid.volume:.2f} mm³ where {expected:.2f} mm³ was meant")
    return solid.named(name)


def cut_female(mesh: Mesh, shape: ThreadShape, x: float = 0.0, y: float = 0.0, z: float = 0.0) -> Mesh:
    """Cut a female thread into a part, its axis upright through (x, y), from height ``z`` up over its length.

    ``outside`` of the shape has no meaning here. Plastic inside the thread is taken away as well.

    Raises:
        ValueProblem: The shape is male, or its sizes cannot be.
        GeometryFailure: Nothing of the part is left, or the result is not a solid.
    """
    if shape.sex is not Sex.FEMALE:
        raise ValueProblem.of("a male thread cannot be cut into a part", "set it on the part instead")
    hollow = _hollow(section(replace(shape, outside=None)), shape.chord)
    return _sound(kernel.difference(mesh, hollow.moved(x, y, z)), mesh.name)


def add_male(mesh: Mesh, shape: ThreadShape, x: float = 0.0, y: float = 0.0, z: float = 0.0) -> Mesh:
    """Set a male thread on a part, its foot at height ``z`` on the part's surface and sunk a hair into it.

    Choose ``lead_in_ends="high"`` for a stud that grows out of a face.

    Raises:
        ValueProblem: The shape is female, or its sizes cannot be.
        GeometryFailure: The result is not a solid.
    """
    if shape.sex is not Sex.MALE:
        raise ValueProblem.of("a female thread cannot be set on a part", "cut it into the part instead")
    made = section(replace(shape, length=shape.length + OVERRUN))
    stud = _stud(made, shape.chord).moved(x, y, z - OVERRUN)
    return _sound(kernel.union([mesh, stud]), mesh.name)


def one_body(solid: Mesh, name: str) -> Mesh:
    """Give a generated solid its name, once it is known to be closed and of one piece.

    Raises:
        GeometryFailure: It is neither.
    """
    count = len(kernel.bodies(_sound(solid, name)))
    if count != 1:
        raise GeometryFailure(f"{name} came out as {count} bodies")
    return solid.named(name)


def _sound(solid: Mesh, name: str) -> Mesh:
    fault = kernel.is_solid(solid)
    if fault:
        raise GeometryFailure(f"{name} came out wrong: {fault}")
    return solid


def _stud(made: Section, chord: float) -> Mesh:
    """Thread body cut to length by its chamfered envelope, bored if wanted."""
    outer = made.profile.greatest + OVERRUN
    corners = [[0.0, 0.0]]
    for at_top, slope in ((False, made.low_slope), (True, made.high_slope)):
        end = made.length if at_top else 0.0
        run = (outer - made.lead_radius) / slope if slope else 0.0
        pair = [[made.lead_radius if slope else outer, end], [outer, end - run if at_top else run]]
        corners += pair[::-1] if at_top else pair
    corners.append([0.0, made.length])
    envelope = kernel.revolve(np.array(_distinct(corners)), chord=chord, fit="mean")
    solid = kernel.intersection(_rod(made.profile, -OVERRUN, made.length + OVERRUN, chord), envelope)
    if made.bore:
        hole = kernel.cylinder(made.length + 2 * OVERRUN, made.bore, chord=chord, fit="mean").moved(z=-OVERRUN)
        solid = kernel.difference(solid, hole)
    return solid


def _hollow(made: Section, chord: float) -> Mesh:
    """The empty space of a female thread, chamfers included, reaching a hair past both ends."""
    rod = _rod(made.profile, -OVERRUN, made.length + OVERRUN, chord)
    around = kernel.cylinder(made.length + 2 * OVERRUN, made.profile.greatest + 1, segments=12, fit="outside").moved(
        z=-OVERRUN
    )
    tools = [kernel.intersection(rod, around)]
    tip = made.profile.least - OVERRUN
    for at_top, slope in ((False, made.low_slope), (True, made.high_slope)):
        if not slope:
            continue
        height = (made.lead_radius - tip) / slope
        mouth = made.lead_radius + slope * OVERRUN
        cone = np.array([[0.0, -OVERRUN], [mouth, -OVERRUN], [tip, height], [0.0, height]])
        if at_top:
            cone[:, 1] = made.length - cone[:, 1]
        tools.append(kernel.revolve(cone, chord=chord, fit="mean"))
    return kernel.union(tools)


def _distinct(points: list[list[float]]) -> list[list[float]]:
    kept = points[:1]
    for point in points[1:]:
        if point != kept[-1]:
            kept.append(point)
    return kept


def _rod(form: Profile, low: float, high: float, chord: float) -> Mesh:
    """Endless thread that covers ``low`` to ``high``, with ragged ends beyond them.

    At height z and angle t the radius is that of the profile at z - pitch * t / (2 pi): a right-handed thread. All
    points lie in half planes through the axis, so every facet has an edge with the slope of the true profile, and none
    overhangs by more than the profile does. The radius is scaled so that sections have the exact area.
    """
    columns = kernel.segments_for(form.greatest, chord)
    first, last = math.floor(low / form.pitch) - 1, math.ceil(high / form.pitch)
    per_turn = len(form.z) - 1
    rows = (last - first) * per_turn
    level = np.arange(rows + per_turn + 1)
    phase = form.z[level % per_turn] + form.pitch * (first + level // per_turn)
    radius = form.r[level % per_turn]
    angle = 2 * np.pi * np.arange(columns) / columns
    chains = []
    for column, t in enumerate(angle):
        count = rows + 1 if column else len(level)
        r, z = radius[:count], phase[:count] + form.pitch * t / (2 * np.pi)
        chains.append(np.column_stack([r * math.cos(t), r * math.sin(t), z]))
    ends = [[0, 0, first * form.pitch], [0, 0, (last + 1) * form.pitch]]
    mesh = Mesh(np.vstack([*chains, ends]), _helical_faces(rows, per_turn, columns))
    heights = low + (np.arange(4) + 0.5) / 4 * form.pitch / columns  # the mesh repeats after one column's rise
    area = float(np.mean([kernel.area(figure) for figure in kernel.sections(mesh, heights)]))
    wider = math.sqrt(np.pi * form.mean_square / area)
    return Mesh(mesh.vertices * np.array([wider, wider, 1.0]), mesh.faces)


def _helical_faces(rows: int, per_turn: int, columns: int) -> Ints:
    """Triangles between neighbouring columns, and fans over the ragged ends, whose middles are the last two points.

    The first column runs one turn higher than the others: the last one joins it a turn further up.
    """
    start = np.concatenate([[0], rows + per_turn + 1 + (rows + 1) * np.arange(columns - 1), [per_turn]])
    total = int(start[columns - 1]) + rows + 1
    i, k = np.meshgrid(np.arange(rows), np.arange(columns), indexing="ij")
    here, right = (start[k] + i).ravel(), (start[k + 1] + i).ravel()
    faces = [np.column_stack([here, right, here + 1]), np.column_stack([right, right + 1, here + 1])]
    for middle, row in ((total, 0), (total + 1, rows)):
        loop = np.concatenate([start[:-1] + row, row + np.arange(per_turn, 0, -1)])
        after = np.roll(loop, -1)
        fan = (after, loop) if row == 0 else (loop, after)
        faces.append(np.column_stack([np.full(len(loop), middle), *fan]))
    return np.vstack(faces).astype(np.int32)

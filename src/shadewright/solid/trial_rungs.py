"""The bodies of a trial piece: one joint side at one size, and the gauge that is tried in it."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from shadewright.catalog.threads import Sex, Thread
from shadewright.errors import ValueProblem
from shadewright.solid import kernel
from shadewright.solid.features import ThreadShape, TrialShape
from shadewright.solid.marks import PLATE
from shadewright.solid.mesh import Mesh
from shadewright.solid.plain_features import Key, Keyway, Socket, Spigot, plain_solid
from shadewright.solid.thread_mesh import add_male, threaded_solid
from shadewright.solid.thread_section import LEAD_MARGIN

TURNS = 1.5  # of a thread that are tried
SLIDE_HEIGHT = 4.0  # of a ring or stub that is tried [mm]: ten and more layers in full contact
FLAT_LENGTH = 8.0  # of a flat slide that is tried [mm]
LEAD = 0.5  # chamfers of plain rungs [mm]
FLAT_WALL = 2.2  # of a channel, floor included [mm]: the label stays below the floor
CHORD = 0.02
GRIP_HEIGHT = 2.4  # of a gauge's flange [mm]
GRIP = 2.0  # how far it stands out [mm]
LINER_HEIGHT = 5.0  # of a thin sleeve, which has no flange: that would keep it from bending [mm]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Body:
    """A solid on z = 0 with its axis at the origin, and how far it reaches along x and y [mm]."""

    mesh: Mesh
    half_x: float
    half_y: float


def rung_body(shape: TrialShape, drawn: float) -> Body:
    """One rung: the printed side at size ``drawn``.

    Female: a short ring or channel. Male: a short stub on a low flange.
    """
    if shape.sex is Sex.FEMALE:
        return _female(shape, drawn, _ring_wall(drawn))
    if shape.liner_wall is not None:
        return _liner(drawn, shape.liner_wall)
    return _male(shape, drawn, flange=2.0, flange_height=PLATE)


def gauge_body(shape: TrialShape) -> Body:
    """The other side at its drawn size, with something to hold it by."""
    if shape.mate is None:
        raise ValueProblem.of(f"the other side of {shape.joint} is bought", "try the bought thing itself")
    if shape.sex is Sex.FEMALE:
        if shape.liner_wall is not None:
            return _liner(shape.mate, shape.liner_wall)
        return _male(shape, shape.mate, flange=GRIP, flange_height=GRIP_HEIGHT)
    return _female(shape, shape.mate, max(2.4, _ring_wall(shape.mate)))


def thread_length(thread: Thread) -> float:
    """Length that gives a turn and a half below the chamfer where the mate enters [mm]."""
    return TURNS * thread.pitch + thread.depth + LEAD_MARGIN


def _ring_wall(diameter: float) -> float:
    """Wall that holds a short ring round under a hand [mm]: two lines, more above 45 mm; judged, no source."""
    return max(0.9, diameter / 50)


def _female(shape: TrialShape, drawn: float, wall: float) -> Body:
    if shape.thread is not None:
        thread = shape.thread
        outer = drawn / 2 + LEAD_MARGIN + wall
        ring = threaded_solid(
            ThreadShape(
                thread=thread,
                sex=Sex.FEMALE,
                length=thread_length(thread),
                allowance=drawn - thread.major,
                lead_in_ends="high",
                outside=2 * outer,
                chord=CHORD,
            )
        )
        return Body(mesh=ring, half_x=outer, half_y=outer)
    if shape.round:
        ring = plain_solid(Socket(bore=drawn, length=_height(shape), wall=wall, lead_in=LEAD))
        return Body(mesh=ring, half_x=drawn / 2 + wall, half_y=drawn / 2 + wall)
    channel = plain_solid(Keyway(width=drawn, height=3.0, length=FLAT_LENGTH, wall=FLAT_WALL, lead_in=LEAD))
    turned = Mesh(channel.vertices[:, [1, 0, 2]] * np.array([1.0, -1.0, 1.0]), channel.faces)
    return Body(mesh=turned, half_x=drawn / 2 + FLAT_WALL, half_y=FLAT_LENGTH / 2)


def _male(shape: TrialShape, drawn: float, *, flange: float, flange_height: float) -> Body:
    if not shape.round and shape.thread is None:
        return _flat_male(shape, drawn, flange, flange_height)
    bore = _bore(shape, drawn)
    reach = drawn / 2 + flange
    foot = kernel.cylinder(flange_height, reach, segments=8 if flange_height > PLATE else None, fit="mean")
    if shape.thread is not None:
        stud = ThreadShape(
            thread=shape.thread,
            sex=Sex.MALE,
            length=thread_length(shape.thread),
            allowance=drawn - shape.thread.major,
            lead_in_ends="high",
            chord=CHORD,
        )
        solid = add_male(foot, stud, z=flange_height)
        top = flange_height + stud.length
    else:
        height = _height(shape)
        stub = plain_solid(Spigot(diameter=drawn, length=height + LEAD, lead_in=LEAD)).moved(z=flange_height - LEAD)
        solid = kernel.union([foot, stub])
        top = flange_height + height
    if bore:
        solid = kernel.difference(solid, kernel.cylinder(top + 2, bore / 2, fit="mean").moved(z=-1))
    return Body(mesh=solid, half_x=reach, half_y=reach)


def _liner(drawn: float, wall: float) -> Body:
    lead = min(LEAD, wall - 0.4) if wall > 0.5 else 0.1
    tube = plain_solid(Spigot(diameter=drawn, length=LINER_HEIGHT, bore=drawn - 2 * wall, lead_in=lead))
    return Body(mesh=tube, half_x=drawn / 2, half_y=drawn / 2)


def _flat_male(shape: TrialShape, drawn: float, flange: float, flange_height: float) -> Body:
    foot_x, foot_y = drawn + 2 * flange, FLAT_LENGTH + 2 * flange
    foot = kernel.box((foot_x, foot_y, flange_height), (0, 0, flange_height / 2))
    key = plain_solid(Key(width=drawn, height=3.0 + LEAD, length=FLAT_LENGTH, lead_in=min(LEAD, drawn / 4)))
    upright = Mesh(key.vertices[:, [1, 0, 2]] * np.array([1.0, -1.0, 1.0]), key.faces)
    solid = kernel.union([foot, upright.moved(z=flange_height - LEAD)])
    return Body(mesh=solid, half_x=foot_x / 2, half_y=foot_y / 2)


def _height(shape: TrialShape) -> float:
    return max(2 * LEAD + 1.0, min(SLIDE_HEIGHT, shape.length))


def _bore(shape: TrialShape, drawn: float) -> float:
    """Hole that saves plastic in a wide stub [mm]; 0 where there is little to save."""
    core = drawn - 2 * shape.thread.depth if shape.thread is not None else drawn
    bore = core - 2 * (_ring_wall(drawn) + 0.6)
    return bore if bore > 6 else 0.0

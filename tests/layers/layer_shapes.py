"""Shapes whose answers are known in closed form."""

import numpy as np

from shadewright.solid import kernel
from shadewright.solid.mesh import Mesh


def flaring_cone(radius: float, height: float, degrees: float) -> Mesh:
    """A cone on its tip, cut off: its side leans out by ``degrees`` from the vertical."""
    return kernel.cylinder(height, radius, radius + height * np.tan(np.radians(degrees)), chord=0.002)


def ball(radius: float, steps: int = 800) -> Mesh:
    """A ball standing on the bed."""
    angle = np.linspace(-np.pi / 2, np.pi / 2, steps)
    return kernel.revolve(np.column_stack([radius * np.cos(angle), radius + radius * np.sin(angle)]), segments=256)


def portal(gap: float, depth: float = 10.0) -> Mesh:
    """Two posts and a lintel; the gap between them is ``gap`` wide and 20 mm high."""
    return kernel.difference(
        kernel.box((gap + 16, depth, 30), (0, 0, 15)), kernel.box((gap, 2 * depth, 20), (0, 0, 10))
    )


def drilled_block(diameter: float) -> Mesh:
    """A block of 40 x 10 x 40 mm with a hole along y at half its height."""
    drill = kernel.cylinder(40, diameter / 2, chord=0.005)
    lying = Mesh(drill.vertices @ np.array([[1.0, 0, 0], [0, 0, 1], [0, -1, 0]]).T, drill.faces)
    return kernel.difference(kernel.box((40, 10, 40), (0, 0, 20)), lying.moved(0, -20, 20))


def table(leg: float = 6.0, legs: float = 40.0) -> Mesh:
    """A top of 60 x 60 x 4 mm on four square legs at its corners."""
    at = 30 - leg / 2
    feet = [kernel.box((leg, leg, legs), (x, y, legs / 2)) for x in (-at, at) for y in (-at, at)]
    return kernel.union([*feet, kernel.box((60, 60, 4), (0, 0, legs + 2))])


def upside_down(mesh: Mesh) -> Mesh:
    """The same, head over heels (mirrored, which is the same for symmetric shapes)."""
    return Mesh(mesh.vertices * [1, 1, -1], np.ascontiguousarray(mesh.faces[:, ::-1]), mesh.name).on_bed()


def together(*meshes: Mesh) -> Mesh:
    """Several bodies in one mesh, not joined."""
    starts = np.cumsum([0, *(len(mesh.vertices) for mesh in meshes)])
    faces = [mesh.faces + start for mesh, start in zip(meshes, starts, strict=False)]
    return Mesh(np.concatenate([mesh.vertices for mesh in meshes]), np.concatenate(faces).astype(np.int32))


def slotted_block(web: float, webs: int = 5) -> Mesh:
    """A block with slots from above that leave upright webs, ``web`` thick and 6 mm high."""
    pitch = 2.0 + web
    block = kernel.box((webs * pitch + 12, 10, 10), (0, 0, 5))
    slots = [kernel.box((2, 20, 6), ((i - webs / 2) * pitch, 0, 7)) for i in range(webs + 1)]
    return kernel.difference(block, *slots)

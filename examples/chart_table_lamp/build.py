"""Draw the parts of the chart table lamp and write them to ``models/``.

Sizes that joints share are read from ``lamp.toml``, so that the drawing and what the lamp states cannot part.
Run it with ``python examples/chart_table_lamp/build.py`` after changing either.
"""

from __future__ import annotations

import tomllib
from math import cos, pi, sin
from pathlib import Path

import numpy as np

from shadewright.catalog.lookup import thread
from shadewright.catalog.threads import Sex
from shadewright.solid.features import ThreadShape
from shadewright.solid.kernel import box, cylinder, difference, extrude, revolve, union
from shadewright.solid.mesh import Mesh
from shadewright.solid.thread_mesh import add_male, cut_female, threaded_solid
from shadewright.solid.write import write_3mf

HERE = Path(__file__).parent
FINE = 0.05
"""Greatest distance between a curve and its facets [mm]."""

JOINTS = tomllib.loads((HERE / "lamp.toml").read_text(encoding="utf-8"))["joint"]

MAST_RADIUS = JOINTS["step"]["drawn_male"] / 2
MAST_HEIGHT = 190.0
KEY_DEPTH = 2.0
HUB_HEIGHT = 40.0


def tube(height: float, outer: float, inner: float, at_z: float = 0.0) -> Mesh:
    """A round tube standing on ``at_z``; diameters in mm."""
    profile = np.array([[inner / 2, 0], [outer / 2, 0], [outer / 2, height], [inner / 2, height]])
    return revolve(profile, chord=FINE, fit="mean").moved(z=at_z)


def bar(diameter: float, height: float, at: tuple[float, float, float] = (0.0, 0.0, 0.0)) -> Mesh:
    """A round bar standing on ``at``; also used to cut holes."""
    return cylinder(height, diameter / 2, chord=FINE, fit="mean").moved(*at)


def around(count: int, radius: float, start: float = 0.0) -> list[tuple[float, float, float]]:
    """``count`` places on a circle: x, y and the angle in degrees."""
    turns = [start + 2 * pi * k / count for k in range(count)]
    return [(radius * cos(t), radius * sin(t), t * 180 / pi) for t in turns]


def turned(mesh: Mesh, degrees: float) -> Mesh:
    """The mesh turned about z."""
    t = degrees * pi / 180
    rotation = np.array([[cos(t), -sin(t), 0], [sin(t), cos(t), 0], [0, 0, 1]])
    return Mesh(mesh.vertices @ rotation.T, mesh.faces, mesh.name)


def foot() -> Mesh:
    """Round foot with a hub that takes the mast, a keyway, three pad holes and a hole for the cord bush."""
    outline = [[0, 0], [64, 0], [65, 1], [65, 9], [62, 12], [27, 12], [24, 17], [24, HUB_HEIGHT], [0, HUB_HEIGHT]]
    body = revolve(np.array(outline, dtype=float), chord=FINE)
    socket = bar(JOINTS["step"]["drawn_female"], HUB_HEIGHT, (0, 0, 5))
    well = bar(20, 6, (0, 0, -0.5))
    keyway_width = JOINTS["key"]["drawn_female"]
    keyway = box((KEY_DEPTH + 3.4, keyway_width, HUB_HEIGHT), (MAST_RADIUS + (KEY_DEPTH + 0.4) / 2 - 1.5, 0, 25))
    pads = [bar(JOINTS["pads"]["drawn_female"], 6, (x, y, -0.5)) for x, y, _ in around(3, 52, pi / 3)]
    bush = _lying(bar(JOINTS["bush"]["drawn_female"], 40), -66, 6.1)
    return difference(body, socket, well, keyway, *pads, bush).named("foot")


def _lying(rod: Mesh, x: float, z: float) -> Mesh:
    """A standing rod laid along +x, starting at ``x``, its axis at height ``z``."""
    lying = np.column_stack([rod.vertices[:, 2], rod.vertices[:, 1], -rod.vertices[:, 0]])
    return Mesh(lying, rod.faces).moved(x=x, z=z)


def pad() -> Mesh:
    """Soft pad: a disc with a pin that is pushed into the foot."""
    pin = JOINTS["pads"]["drawn_male"] / 2
    outline = [[0, 0], [8, 0], [8, 2.4], [pin, 2.4], [pin, 6.6], [pin - 0.6, 7.4], [0, 7.4]]
    return revolve(np.array(outline), chord=FINE, fit="mean").named("pad")


def mast() -> Mesh:
    """Tall tube that stands on three narrow prongs between pointed arches, with a key and a thread at the top."""
    shaft = tube(MAST_HEIGHT, 2 * MAST_RADIUS, 20)
    arches = [turned(opening(MAST_RADIUS - 3, 20.6, -1.0, 12.0), angle) for *_, angle in around(3, 1, pi / 3)]
    key = _key(JOINTS["key"]["drawn_male"], 24.0, JOINTS["key"]["length"])
    stud = ThreadShape(
        thread=thread("M30x3.5"),
        sex=Sex.MALE,
        length=JOINTS["masthead"]["length"],
        bore=20.0,
        lead_in_ends="high",
        chord=FINE,
        allowance=JOINTS["masthead"]["drawn_male"] - 30.0,
    )
    return add_male(union([difference(shaft, *arches), key]), stud, z=MAST_HEIGHT).named("mast")


def _key(width: float, low: float, length: float) -> Mesh:
    """Rib on the mast's side; its lower end slopes at 45 degrees, so that it prints without support."""
    inner, outer = MAST_RADIUS - 2, MAST_RADIUS + KEY_DEPTH
    side = np.array([[inner, low - outer + inner], [outer, low], [outer, low + length], [inner, low + length]])
    slab = extrude([side], width).moved(z=-width / 2)
    return Mesh(np.column_stack([slab.vertices[:, 0], -slab.vertices[:, 2], slab.vertices[:, 1]]), slab.faces)


def head() -> Mesh:
    """Socket that screws onto the mast below and takes the nipple of the lampholder above."""
    outline = [[0, 0], [21, 0], [22, 1], [22, 18], [17, 30], [9, 36], [0, 36]]
    body = revolve(np.array(outline, dtype=float), chord=FINE)
    body = difference(body, cylinder(12, 15.2, 3.4, chord=FINE).moved(z=15.9), bar(7, 40, (0, 0, 0)))
    below = ThreadShape(
        thread=thread("M30x3.5"),
        sex=Sex.FEMALE,
        length=16.0,
        chord=FINE,
        allowance=JOINTS["masthead"]["drawn_female"] - 30.0,
    )
    above = ThreadShape(
        thread=thread("M10x1"),
        sex=Sex.FEMALE,
        length=JOINTS["entry"]["length"],
        chord=FINE,
        allowance=JOINTS["entry"]["drawn_female"] - 10.0,
    )
    return cut_female(cut_female(body, below), above, z=36 - above.length).named("head")


def ring() -> Mesh:
    """Shade ring: female thread of the holder's barrel, with eight grips."""
    plain = threaded_solid(
        ThreadShape(
            thread=thread("E27 barrel"),
            sex=Sex.FEMALE,
            length=JOINTS["barrel"]["length"],
            allowance=JOINTS["barrel"]["drawn_female"] - thread("E27 barrel").major,
            outside=50.0,
            chord=FINE,
        )
    )
    grips = [bar(5, 10, (x, y, 0)) for x, y, _ in around(8, 25)]
    flange = tube(2.4, 58, 46)
    return union([plain, *grips, flange]).named("ring")


def shade() -> Mesh:
    """Drum with windows that closes in a roof far too flat to print without help."""
    inside = JOINTS["liner"]["drawn_female"] / 2
    wall = 1.26
    outline = [
        [JOINTS["collar"]["drawn_female"] / 2, 0], [inside + wall, 0], [inside + wall, 82], [24.0, 91], [24.0 - 2, 91],
        [24.0 - 2, 89.6], [inside, 80], [inside, 2.0], [JOINTS["collar"]["drawn_female"] / 2, 2.0],
    ]  # fmt: skip
    drum = revolve(np.array(outline), chord=FINE, fit="mean")
    return difference(drum, *[turned(opening(inside + 1, 10.0, 22.0, 50.0), a) for *_, a in around(12, 1)]).named(
        "shade"
    )


def opening(radius: float, width: float, low: float, shoulder: float, depth: float = 8.0) -> Mesh:
    """One pointed opening cut radially at ``radius``: its head slopes at 45 degrees and prints without support."""
    half = width / 2
    pointed = np.array([[-half, low], [half, low], [half, shoulder], [0, shoulder + half], [-half, shoulder]])
    slab = extrude([pointed], depth)
    upright = np.column_stack([slab.vertices[:, 2] + radius - depth / 2, slab.vertices[:, 0], slab.vertices[:, 1]])
    return Mesh(upright, slab.faces)


def liner() -> Mesh:
    """Thin white sleeve that slides into the shade."""
    outer = JOINTS["liner"]["drawn_male"]
    wall = JOINTS["liner"]["liner_wall"]
    return tube(JOINTS["liner"]["length"], outer, outer - 2 * wall).named("liner")


PARTS = (foot, pad, mast, head, ring, shade, liner)


def main() -> None:
    """Write every part."""
    for draw in PARTS:
        mesh = draw()
        write_3mf(HERE / "models" / f"{mesh.name}.3mf", [mesh], title=mesh.name)
        print(f"{mesh.name}: {len(mesh.faces)} triangles, {mesh.volume / 1000:.1f} cm3")


if __name__ == "__main__":
    main()

"""Draw the parts of the tilting spot, as first made and as mended, and write them to ``models/``.

Sizes that joints share are read from ``lamp.toml`` and ``mended.toml``, so that the drawing and what the lamp states
cannot part. Run it with ``python examples/tilting_spot/build.py`` after changing either.
"""

from __future__ import annotations

import tomllib
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np

from shadewright.hold.balance import rotation
from shadewright.solid.kernel import box, cylinder, difference, revolve, union
from shadewright.solid.mesh import Mesh
from shadewright.solid.moving_recipe import built_solid
from shadewright.solid.pivot import Fork, Tongue, fork_build, tongue_build
from shadewright.solid.snap import Hook, hook_build
from shadewright.solid.write import write_3mf

HERE = Path(__file__).parent
FINE = 0.05
"""Greatest distance between a curve and its facets [mm]."""

FOOT_HEIGHT = 10.0
SOCKET_FLOOR = 4.0
POST_HEIGHT = 130.0
SHADE_RADIUS = 36.0
SHADE_HEIGHT = 62.0
BACK = 3.0
PLAY = 0.3


@dataclass(frozen=True, slots=True, kw_only=True)
class Version:
    """One state of the lamp: which file states it, what its models end in, and the sizes no joint has."""

    file: str
    suffix: str
    foot_radius: float
    foot_ahead: float
    reach: float

    @property
    def joints(self) -> dict[str, Any]:
        """Its joints as stated."""
        stated: dict[str, Any] = tomllib.loads((HERE / self.file).read_text(encoding="utf-8"))["joint"]
        return stated

    @property
    def hook(self) -> Hook:
        """The snap hook at the arm's end."""
        snap = self.joints["clasp"]["snap"]
        return Hook(
            arm=snap["arm"],
            thickness=snap["thickness"],
            width=snap["width"],
            nub=snap["undercut"] + PLAY,
            lead_deg=snap["lead_deg"],
        )


FIRST = Version(file="lamp.toml", suffix="", foot_radius=52.0, foot_ahead=25.0, reach=80.0)
MENDED = Version(file="mended.toml", suffix="_mended", foot_radius=74.0, foot_ahead=25.0, reach=80.0)


def rod(diameter: float, height: float, x: float = 0.0, y: float = 0.0, z: float = 0.0) -> Mesh:
    """A round bar standing on ``z``; also used to cut holes."""
    return cylinder(height, diameter / 2, chord=FINE, fit="mean").moved(x, y, z)


def foot(version: Version) -> Mesh:
    """Round foot that reaches ahead under the shade, with a hub for the post and a well for ballast below."""
    radius, ahead = version.foot_radius, version.foot_ahead
    outline = [
        [0, 0],
        [radius - 1, 0],
        [radius, 1],
        [radius, FOOT_HEIGHT - 2],
        [radius - 2, FOOT_HEIGHT],
        [0, FOOT_HEIGHT],
    ]
    disc = revolve(np.array(outline, dtype=float), chord=FINE).moved(x=ahead)
    hub = revolve(np.array([[0, 0], [21, 0], [21, FOOT_HEIGHT], [15, FOOT_HEIGHT + 6], [15, 34], [0, 34]]), chord=FINE)
    socket = rod(version.joints["step"]["drawn_female"], 40, z=SOCKET_FLOOR)
    cord = rod(8, 10, z=-1)
    return difference(union([disc, hub]), socket, cord).named("foot")


def post(version: Version) -> Mesh:
    """Tube with the fork of the pivot on top; the pivot's axis lies along y."""
    pivot, size = version.joints["tilt"]["pivot"], version.joints["step"]["drawn_male"]
    tube = difference(rod(size, POST_HEIGHT), rod(10, POST_HEIGHT - 20, z=-1))
    fork = built_solid(fork_build(fork_of(version)), chord=FINE).moved(z=POST_HEIGHT - 0.01)
    half = max(pivot["ear"] / 2, fork_of(version).spacing / 2 + pivot["cheek"])
    low = POST_HEIGHT - (half * 2**0.5 - size / 2)
    collar = cylinder(POST_HEIGHT - low, size / 2 - 0.01, half * 2**0.5, chord=FINE).moved(z=low)
    square = box((2 * half, 2 * half, 40), (0, 0, POST_HEIGHT - 20))
    trimmed = difference(collar, difference(box((200, 200, 60), (0, 0, POST_HEIGHT - 20)), square))
    return difference(union([tube, trimmed, fork]), _pointed(5.0).moved(z=POST_HEIGHT - 40)).named("post")


def _pointed(side: float) -> Mesh:
    """A square bar along -x, standing on its edge, that cuts a hole which prints without support."""
    bar = box((60, side, side), (-30, 0, 0))
    turn = rotation((1, 0, 0), 45)
    return Mesh(bar.vertices @ turn.T, bar.faces)


def fork_of(version: Version) -> Fork:
    """The fork as the lamp states it."""
    joint, pivot = version.joints["tilt"], version.joints["tilt"]["pivot"]
    return Fork(tongue=tongue_of(version), spacing=joint["drawn_female"], cheek=pivot["cheek"], bore=4.4)


def tongue_of(version: Version) -> Tongue:
    """The tongue as the lamp states it."""
    pivot = version.joints["tilt"]["pivot"]
    return Tongue(
        thickness=pivot["tongue"],
        ear=pivot["ear"],
        bore=4.4,
        teeth=pivot["face_teeth"],
        arm=version.reach - pivot["ear"] / 2,
    )


def arm(version: Version) -> Mesh:
    """The tongue, lying, its bar towards +x, with the hook that carries the shade at its end."""
    tongue = built_solid(tongue_build(tongue_of(version)), chord=FINE)
    lying = Mesh(np.column_stack([tongue.vertices[:, 1], -tongue.vertices[:, 0], tongue.vertices[:, 2]]), tongue.faces)
    hook = built_solid(hook_build(version.hook))
    return union([lying, hook.moved(x=version.reach, y=-version.hook.thickness / 2)]).named("arm")


def shade(version: Version) -> Mesh:
    """Drum on its back plate; a boss around the window takes the hook, a hole beside it the lampholder."""
    outer, inner = SHADE_RADIUS, SHADE_RADIUS - 1.8
    outline = [[0, 0], [outer, 0], [outer, SHADE_HEIGHT], [inner, SHADE_HEIGHT], [inner, BACK], [0, BACK]]
    drum = revolve(np.array(outline), chord=FINE, fit="mean")
    hook = version.hook
    deep = hook.arm - PLAY
    wide, high = hook.width + 0.6, 2 * hook.thickness + hook.nub + 2 * PLAY
    boss = box((wide + 4.8, high + 4.8, deep), (0, -22, deep / 2))
    window = box((wide, high, deep + 20), (0, -22, deep / 2))
    return difference(union([drum, boss]), window, rod(28, 20, 0, 10, -5)).named("shade")


PARTS = (foot, post, arm, shade)


def main() -> None:
    """Write every part of both versions."""
    for version in (FIRST, MENDED):
        for draw in PARTS:
            mesh = draw(version)
            write_3mf(HERE / "models" / f"{mesh.name}{version.suffix}.3mf", [mesh], title=mesh.name)
            print(f"{mesh.name}{version.suffix}: {len(mesh.faces)} triangles, {mesh.volume / 1000:.1f} cm3")


if __name__ == "__main__":
    main()

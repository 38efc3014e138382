"""Every solid of a joint that moves, cut into layers as printed: nothing overhangs, bridges or starts in mid-air."""

from __future__ import annotations

import pytest

from shadewright.findings import Verdict
from shadewright.layers.check import PartToPrint, check_part
from shadewright.layers.report import Trouble
from shadewright.printing import PrintSetup
from shadewright.solid.moving_recipe import Build, built_solid
from shadewright.solid.pivot import Fork, Tongue, fork_build, tongue_build
from shadewright.solid.snap import (
    Bead,
    Catch,
    Clip,
    Groove,
    Hook,
    bead_build,
    catch_build,
    clip_build,
    groove_build,
    hook_build,
)
from shadewright.solid.twist import Plug, TwistSocket, plug_build, socket_build

HOOK = Hook(arm=14, thickness=1.6, width=6, nub=1.3)
PLUG = Plug(diameter=24, lugs=2, lug_height=1.6, lug_width=6, lug_thickness=3, bore=18)
SOCKET = TwistSocket(
    plug=PLUG, bore=24.4, slot_diameter=27.6, slot_width=6.6, axial_clearance=0.3, turn_deg=50, detent=0.5
)
TONGUE = Tongue(thickness=6, ear=18, bore=4.5, teeth=16)
FORK = Fork(tongue=TONGUE, spacing=8, cheek=4.5, bore=4.5, nut_flats=7.2, nut_depth=2.9, washer=9.6, washer_depth=0.6)
BUILDS = (
    hook_build(HOOK),
    hook_build(Hook(arm=14, thickness=1.6, width=6, nub=1.3, standing=True)),
    catch_build(Catch(hook=HOOK, clearance=0.3, back=1.6, side_clearance=0.4)),
    bead_build(Bead(diameter=30, bead=30.8, wall=1.6)),
    groove_build(Groove(bore=30.3, groove=31.1)),
    clip_build(Clip(bore=6.3, opening=5.4, wall=1.4, width=8, stem=3.2)),
    plug_build(PLUG),
    socket_build(SOCKET),
    tongue_build(TONGUE),
    fork_build(FORK),
)


@pytest.mark.parametrize("build", BUILDS, ids=lambda build: build.name)
def test_layers_find_nothing_that_hangs(build: Build, plain_setup: PrintSetup) -> None:
    report = check_part(PartToPrint(name=build.name, mesh=built_solid(build), setup=plain_setup))
    hanging = [p for p in report.patches if p.trouble in (Trouble.OVERHANG, Trouble.BRIDGE, Trouble.ISLAND)]
    assert hanging == []
    assert all(finding.verdict is Verdict.SOUND for finding in report.findings if finding.code != "layers.footing")


def test_a_hook_that_stands_with_a_square_nub_does_hang(plain_setup: PrintSetup) -> None:
    square = hook_build(Hook(arm=14, thickness=1.6, width=6, nub=1.3, standing=True, return_deg=90))
    report = check_part(PartToPrint(name="square", mesh=built_solid(square), setup=plain_setup))
    assert any(patch.trouble in (Trouble.OVERHANG, Trouble.BRIDGE, Trouble.ISLAND) for patch in report.patches)

"""Solids of snaps: one body, upright, and mates that lock: free in place, in the way when pulled."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from moving_bench import PETG, allowed, need_step, printed, steepest_overhang, upside_down

from shadewright.errors import ValueProblem
from shadewright.fit.snap import HookQuestion, fit_hook
from shadewright.fit.snap_round import BeadQuestion, ClipQuestion, fit_bead, fit_clip
from shadewright.fit.snap_shapes import (
    bead_solids,
    clip_solid,
    hook_solids,
    trial_of_bead,
    trial_of_clip,
    trial_of_hook,
)
from shadewright.layers.costing import print_cost
from shadewright.solid import kernel
from shadewright.solid.features import TrialPiece
from shadewright.solid.mesh import Mesh
from shadewright.solid.moving_recipe import Build, built_solid, write_built_step
from shadewright.solid.moving_trial import rung_sizes
from shadewright.solid.snap import (
    FOOT,
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
    tip_x,
)

HOOK = Hook(arm=14, thickness=1.6, width=6, nub=1.3)
CATCH = Catch(hook=HOOK, clearance=0.3, back=1.6, side_clearance=0.4)
BEAD, GROOVE = Bead(diameter=40, bead=41.0, wall=1.6), Groove(bore=40.3, groove=41.3)
CLIP = Clip(bore=6.3, opening=5.4, wall=1.4, width=8, stem=3.2)
BUILDS = {
    "hook": hook_build(HOOK),
    "tapered standing hook": hook_build(replace(HOOK, taper=0.6, standing=True)),
    "square hook": hook_build(replace(HOOK, return_deg=90)),
    "catch": catch_build(CATCH),
    "bead": bead_build(BEAD),
    "groove": groove_build(GROOVE),
    "clip": clip_build(CLIP),
}
PETG_SNAP = allowed("PETG")


@pytest.mark.parametrize("build", BUILDS.values(), ids=BUILDS.keys())
def test_every_snap_is_one_closed_body_without_steep_overhang(build: Build) -> None:
    solid = built_solid(build)
    assert kernel.is_solid(solid) is None
    assert len(kernel.bodies(solid)) == 1
    assert solid.bounds[0, 2] == pytest.approx(0, abs=1e-9)
    assert steepest_overhang(solid) <= 45.5


@pytest.mark.parametrize("build", BUILDS.values(), ids=BUILDS.keys())
def test_step_bodies_are_sound_when_read_again(build: Build, tmp_path: Path) -> None:
    """Mesh and STEP body come from one recipe by two kernels; they differ by faceting alone."""
    need_step()
    from shadewright.solid.step import check_shape, read_step_shape, shape_bounds, shape_volume

    mesh = built_solid(build)
    read = read_step_shape(write_built_step(tmp_path / "snap.step", build))
    assert check_shape(read) == []
    assert shape_volume(read) == pytest.approx(mesh.volume, rel=1e-3)
    assert np.abs(shape_bounds(read) - mesh.bounds).max() < 0.03


def hook_and_catch(catch: Catch) -> tuple[Mesh, Mesh]:
    """Both in the hook's frame: the plate's entry face lies against the hook's block."""
    plate = built_solid(catch_build(catch), as_printed=False)
    depth = catch.hook.arm - catch.play
    seated = Mesh(plate.vertices[:, [2, 0, 1]] * [-1.0, 1.0, -1.0] + [depth, 0.0, catch.hook.width], plate.faces)
    return built_solid(hook_build(replace(catch.hook, standing=False)), as_printed=False), seated


def moved(mesh: Mesh, x: float = 0.0, y: float = 0.0, z: float = 0.0) -> Mesh:
    return mesh.moved(x, y, z)


def test_hook_locks_behind_its_ledge_and_lets_go_when_bent() -> None:
    hook, plate = hook_and_catch(CATCH)
    out = (
        CATCH.play + 0.3 + 0.05
    )  # the play, and the ledge's corner riding up the 45 degree return face by the clearance
    assert kernel.overlap_volume(moved(hook, x=-0.01), plate) == 0
    assert kernel.overlap_volume(moved(hook, x=-CATCH.play), plate) == 0
    assert kernel.overlap_volume(moved(hook, x=-out), plate) > 0
    undercut = HOOK.nub - CATCH.clearance
    assert kernel.overlap_volume(moved(hook, x=-4, y=-(undercut - 0.05)), plate) > 0
    assert kernel.overlap_volume(moved(hook, x=-4, y=-(undercut + 0.05)), plate) == 0


def test_hook_has_the_stated_room_around_it() -> None:
    hook, plate = hook_and_catch(replace(CATCH, play=1.0))
    at_rest = moved(hook, x=-0.5)
    assert kernel.least_gap(at_rest, plate, 2.0) == pytest.approx(
        min(CATCH.clearance, CATCH.side_clearance / 2), abs=0.01
    )


def test_hooks_lead_face_has_the_angle_asked_for() -> None:
    hook = replace(HOOK, lead_deg=30)
    solid = built_solid(hook_build(hook), as_printed=False)
    assert float(solid.bounds[1, 0]) == pytest.approx(tip_x(hook))
    normals = solid.face_vectors / np.linalg.norm(solid.face_vectors, axis=1, keepdims=True)
    assert np.isclose(normals @ [np.sin(np.radians(30)), np.cos(np.radians(30)), 0], 1).any()


def test_ring_clicks_over_the_bead_and_stays() -> None:
    sleeve = built_solid(bead_build(BEAD))
    ring = upside_down(built_solid(groove_build(GROOVE)))
    seated = ring.moved(z=FOOT - ring.bounds[0, 2])
    assert kernel.overlap_volume(sleeve, seated.moved(z=1e-4)) == 0
    away = seated.moved(z=0.005)
    assert kernel.least_gap(sleeve, away, 1.0) <= 0.15
    assert kernel.overlap_volume(sleeve, seated.moved(z=0.15)) == 0
    assert kernel.overlap_volume(sleeve, seated.moved(z=0.6)) > 0
    bore_only = built_solid(groove_build(replace(GROOVE, bore=41.02, groove=41.32)))
    free = upside_down(bore_only)
    assert kernel.overlap_volume(sleeve, free.moved(z=FOOT - free.bounds[0, 2] + 3)) == 0


def test_clip_turns_on_its_rod_and_holds_it() -> None:
    clip = built_solid(clip_build(CLIP))
    rod = kernel.cylinder(20, 3.0).moved(z=-5)
    assert kernel.overlap_volume(clip, rod) == 0
    assert kernel.least_gap(clip, rod, 1.0) == pytest.approx(0.15, abs=0.02)
    assert kernel.overlap_volume(clip, rod.moved(x=1.2)) > 0
    thin = kernel.cylinder(20, CLIP.opening / 2 - 0.02).moved(z=-5)
    assert all(kernel.overlap_volume(clip, thin.moved(x=x)) == 0 for x in (0.4, 2, 4, 6))


def side(name: str):  # type: ignore[no-untyped-def]
    return printed(name, PETG)


def trials() -> list[TrialPiece]:
    hook = HookQuestion(
        name="lid", male=side("a"), female=side("b"), arm=14, thickness=1.6, width=6, undercut=0.8, allowed=PETG_SNAP
    )
    bead = BeadQuestion(name="cap", male=side("a"), female=side("b"), diameter=24, undercut=0.4, allowed=PETG_SNAP)
    clip = ClipQuestion(name="flap", male=side("a"), female=side("b"), rod=6, opening=5.4, allowed=PETG_SNAP)
    return [
        trial_of_hook(hook, fit_hook(hook), 7, bed_x=80),
        trial_of_bead(bead, fit_bead(bead)),
        trial_of_clip(clip, fit_clip(clip)),
    ]


def test_trials_hold_together_and_rise_rung_by_rung(plain_setup) -> None:  # type: ignore[no-untyped-def]
    for trial in trials():
        whole, gauge = trial.pieces
        assert kernel.is_solid(whole) is None
        assert len(kernel.bodies(whole)) == 1
        assert len(kernel.bodies(gauge)) == 1
        assert kernel.overlap_volume(whole, gauge) == 0
        sizes = [rung.drawn for rung in trial.rungs]
        assert 3 <= len(sizes) <= 7
        assert sizes == sorted(set(sizes))
        assert np.diff(sizes).min() >= 0.05 - 1e-9
        assert steepest_overhang(whole) <= 45.5
        assert print_cost(trial.pieces, plain_setup).time_s < 45 * 60


def test_middle_hook_of_the_trial_is_the_one_to_draw() -> None:
    question = HookQuestion(
        name="lid", male=side("a"), female=side("b"), arm=14, thickness=1.6, width=6, undercut=0.8, allowed=PETG_SNAP
    )
    fit = fit_hook(question)
    assert trial_of_hook(question, fit).rungs[2].drawn == pytest.approx(fit.drawn.undercut)


def test_shapes_carry_what_sizing_says() -> None:
    question = HookQuestion(
        name="lid", male=side("a"), female=side("b"), arm=14, thickness=1.6, width=6, undercut=0.8, allowed=PETG_SNAP
    )
    fit = fit_hook(question)
    hook, catch = hook_solids(fit)
    assert hook.nub - catch.clearance == pytest.approx(fit.drawn.undercut, abs=0.006)
    male, plate = hook_and_catch(catch)
    assert kernel.overlap_volume(moved(male, x=-0.01), plate) == 0
    assert kernel.overlap_volume(moved(male, x=-2), plate) > 0
    bead = BeadQuestion(name="cap", male=side("a"), female=side("b"), diameter=24, undercut=0.4, allowed=PETG_SNAP)
    sleeve, ring = bead_solids(bead, fit_bead(bead))
    assert sleeve.bead - ring.bore == pytest.approx(fit_bead(bead).undercut, abs=0.011)
    clip = ClipQuestion(name="flap", male=side("a"), female=side("b"), rod=6, opening=5.4, allowed=PETG_SNAP)
    assert clip_solid(clip, fit_clip(clip)).opening == 5.4


def test_rungs_that_cannot_be_are_refused() -> None:
    with pytest.raises(ValueProblem, match="9 rungs are asked for; use 3 to 7"):
        rung_sizes(1.0, 0.1, 9)
    with pytest.raises(ValueProblem, match="do not fit a bed of 20 x 20 mm; ask for fewer rungs"):
        question = ClipQuestion(name="flap", male=side("a"), female=side("b"), rod=6, allowed=PETG_SNAP)
        trial_of_clip(question, fit_clip(question), bed_x=20, bed_y=20)


@pytest.mark.parametrize(
    ("make", "sentence"),
    [
        (lambda: hook_build(replace(HOOK, nub=8)), "a nub of 8 mm on an arm of 14 x 1.6 mm cannot snap"),
        (lambda: catch_build(replace(CATCH, play=12.5)), "an arm of 14 mm leaves no plate"),
        (lambda: bead_build(replace(BEAD, bead=40)), "bead over sleeve is 0 mm"),
        (lambda: clip_build(replace(CLIP, opening=6.4)), "an opening of 6.4 mm holds no rod in a bore of 6.3 mm"),
        (lambda: clip_build(replace(CLIP, wall=-1)), "the clip's wall is -1 mm"),
    ],
)
def test_impossible_solids_get_one_sentence(make, sentence: str) -> None:  # type: ignore[no-untyped-def]
    with pytest.raises(ValueProblem) as told:
        make()
    assert sentence in str(told.value)

"""Pivots with a clamp screw: sizing against random prints, solids that turn, clamp and lock tooth in tooth."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from moving_bench import PETG, PLA, need_step, printed, steepest_overhang, turned

from shadewright.catalog.hardware import nut
from shadewright.catalog.lookup import thread
from shadewright.catalog.threads import Limits
from shadewright.errors import ValueProblem
from shadewright.findings import Verdict
from shadewright.fit.joint import Feel, Side
from shadewright.fit.pivot import (
    LEAST_BITE,
    PivotQuestion,
    fit_pivot,
    fork_of,
    size_pivot,
    tongue_of,
    tooth_bite,
    trial_of_pivot,
)
from shadewright.printing import PrintSetup
from shadewright.solid import kernel
from shadewright.solid.mesh import Mesh
from shadewright.solid.moving_recipe import Build, built_solid, write_built_step
from shadewright.solid.pivot import ROOM, SEAT, Fork, Tongue, fork_build, tongue_build, tooth_depth

PLAIN = Tongue(thickness=6, ear=18, bore=4.5)
TOOTHED = replace(PLAIN, teeth=12)
DEPTH = tooth_depth(18, 12)
PLAIN_FORK = Fork(
    tongue=PLAIN, spacing=6.4, cheek=4.5, bore=4.5, nut_flats=7.2, nut_depth=2.9, washer=9.6, washer_depth=0.6
)
TOOTHED_FORK = replace(PLAIN_FORK, tongue=TOOTHED, spacing=6 + DEPTH + 2 * SEAT + 0.4)
BUILDS = {
    "tongue": tongue_build(PLAIN),
    "toothed tongue": tongue_build(TOOTHED),
    "fork": fork_build(PLAIN_FORK),
    "toothed fork": fork_build(TOOTHED_FORK),
}


@pytest.mark.parametrize("build", BUILDS.values(), ids=BUILDS.keys())
def test_every_part_is_one_closed_body_and_prints_without_support(build: Build) -> None:
    solid = built_solid(build)
    assert kernel.is_solid(solid) is None
    assert len(kernel.bodies(solid)) == 1
    assert solid.bounds[0, 2] == pytest.approx(0, abs=1e-9)
    assert steepest_overhang(solid) <= 45.5


@pytest.mark.parametrize("build", BUILDS.values(), ids=BUILDS.keys())
def test_step_bodies_are_sound_when_read_again(build: Build, tmp_path: Path) -> None:
    need_step()
    from shadewright.solid.step import check_shape, read_step_shape, shape_bounds, shape_volume

    mesh = built_solid(build)
    read = read_step_shape(write_built_step(tmp_path / "pivot.step", build))
    assert check_shape(read) == []
    assert shape_volume(read) == pytest.approx(mesh.volume, rel=1e-3)
    assert np.abs(shape_bounds(read) - mesh.bounds).max() < 0.03


def pair(fork: Fork) -> tuple[Mesh, Mesh]:
    """Tongue and fork about the screw's axis, the tongue in the middle of the room between the cheeks."""
    tongue = built_solid(tongue_build(fork.tongue))
    return tongue.moved(z=-float(tongue.bounds[1, 2]) / 2), built_solid(fork_build(fork), as_printed=False)


def test_tongue_turns_half_round_with_the_stated_room() -> None:
    tongue, fork = pair(PLAIN_FORK)
    for degrees in (-90, -45, 0, 45, 90):
        assert kernel.overlap_volume(turned(tongue, degrees), fork) == 0
    assert kernel.least_gap(tongue, fork, 1.0) == pytest.approx(0.2, abs=0.005)
    assert kernel.overlap_volume(turned(tongue, 180), fork) > 0, "the base is in the way below"
    assert kernel.overlap_volume(tongue.moved(z=0.25), fork) > 0, "a cheek is in the way"
    assert kernel.overlap_volume(tongue.moved(y=-ROOM - 0.05), fork) > 0


def test_screw_goes_through_and_nut_is_held() -> None:
    tongue, fork = pair(PLAIN_FORK)
    screw = kernel.cylinder(60, 2.2).moved(z=-30)
    assert kernel.overlap_volume(screw, fork) == 0
    assert kernel.overlap_volume(screw, tongue) == 0
    hexagon = kernel.cylinder(3.0, 7.0 / np.sqrt(3), segments=6).moved(z=float(fork.bounds[1, 2]) - 2.8)
    upright = turned(hexagon, 30)
    assert kernel.overlap_volume(upright, fork) == 0
    assert kernel.overlap_volume(turned(upright, 15), fork) > 0


def test_closed_teeth_fit_and_stop_a_turn() -> None:
    """Both share a plane half way up the teeth: closed, the faces stand the depth and both seats apart."""
    _, whole = pair(TOOTHED_FORK)
    fork = kernel.intersection(whole, kernel.box((60, 60, 60), (0, 0, 30)))  # the cheek with teeth
    top = float(TOOTHED_FORK.spacing) / 2 - DEPTH - 2 * SEAT
    closed = built_solid(tongue_build(TOOTHED)).moved(z=top - TOOTHED.thickness)
    assert kernel.overlap_volume(closed.moved(z=-0.003), fork) == pytest.approx(0, abs=1e-6)
    assert kernel.overlap_volume(closed.moved(z=0.1), fork) > 0.1
    pitch = 360 / 12
    assert kernel.overlap_volume(turned(closed, pitch).moved(z=-0.003), fork) == pytest.approx(0, abs=1e-6)
    assert kernel.overlap_volume(turned(closed, pitch / 2), fork) > 1
    assert kernel.overlap_volume(turned(closed, pitch / 2).moved(z=-DEPTH - 0.02), fork) == 0
    assert kernel.least_gap(closed.moved(z=-0.2), fork, 1.0) == pytest.approx(0.2 / np.sqrt(2), abs=0.01)


# Sizing --------------------------------------------------------------------------------------------------------------


def question(**changes: object) -> PivotQuestion:
    base = PivotQuestion(
        name="tilt", male=printed("arm"), female=printed("stand"), screw=thread("M4"), nut=nut("M4"), teeth=0
    )
    return replace(base, **changes)  # type: ignore[arg-type]


def test_chance_that_teeth_bite_is_that_of_random_prints() -> None:
    """200000 prints: a flank that leans by 45 degrees and grows by g holds the faces g times root two apart."""
    asked = question(teeth=44)
    rng = np.random.default_rng(5)
    n = 200_000
    growth = rng.normal(PLA.outer_growth.mean, PLA.outer_growth.sd, n)
    noise = rng.normal(0, PLA.scatter, (2, n)).sum(axis=0)
    bite = tooth_depth(18, 44) - (2 * growth + noise) / np.cos(np.pi / 4)
    assert fit_pivot(asked).bites_today == pytest.approx((bite > LEAST_BITE).mean(), abs=0.005)
    spread = tooth_bite(asked, 44)
    assert (spread.mean, spread.sd) == pytest.approx((bite.mean(), bite.std()), abs=0.001)


def test_two_benches_stray_apart_and_one_bench_together() -> None:
    together, apart = tooth_bite(question(), 24), tooth_bite(question(female=printed("stand", PETG)), 24)
    assert apart.mean == pytest.approx(together.mean)
    assert apart.sd < together.sd


def test_cheeks_are_opened_by_what_both_walls_grow() -> None:
    """A slot and a tongue from one bench close the gap by four growths of a wall."""
    fit = fit_pivot(question())
    four_walls = 4 * PLA.outer_growth.mean
    assert fit.cheeks.draw - 6 - four_walls == pytest.approx(fit.cheeks.gap, abs=0.02)
    assert dict(fit.cheeks.chances)[Feel.EASY] == max(chance for _, chance in fit.cheeks.chances)


def test_cheeks_drawn_without_room_are_failing_and_told_how_far_apart() -> None:
    finding = size_pivot(question(spacing=6.0)).findings[0]
    assert finding.verdict is Verdict.FAILING
    assert f"draw the cheeks {fit_pivot(question()).cheeks.draw:.2f} mm apart" in finding.cure
    assert size_pivot(question(spacing=6.36)).findings[0].verdict is Verdict.SOUND


def test_teeth_finer_than_the_printer_are_made_coarser() -> None:
    fit = fit_pivot(question(teeth=70))
    codes = {finding.code: finding for finding in size_pivot(question(teeth=70)).findings}
    assert fit.teeth < 70
    assert fit.bites >= 0.9 > fit.bites_today
    assert codes["fit.pivot_teeth"].verdict is Verdict.FAILING
    assert f"draw {fit.teeth} teeth" in codes["fit.pivot_teeth"].cure
    assert size_pivot(question(teeth=24)).findings[-1].verdict is Verdict.SOUND


def test_screw_goes_through_what_is_drawn() -> None:
    """ISO 273 gives clearance holes of 4.3 (fine) to 4.8 mm (coarse) for M4."""
    fit = fit_pivot(question())
    assert 4.3 <= fit.bore_fork.draw <= 4.8
    assert size_pivot(question()).findings[1].verdict is Verdict.SOUND


def test_sized_solids_go_together() -> None:
    asked = question(teeth=16)
    fit = fit_pivot(asked)
    tongue, fork = pair(fork_of(asked, fit))
    assert tongue_of(asked, fit).teeth == 16
    assert kernel.overlap_volume(tongue.moved(z=-0.05), fork) == 0
    closed = asked.tongue + tooth_depth(18, 16) + 2 * SEAT
    assert fit.cheeks.draw - fit.cheeks.clearance_drawn == pytest.approx(closed, abs=0.006)
    assert fit.spread == pytest.approx(tooth_depth(18, 16) - fit.cheeks.clearance_drawn)


def test_trial_is_one_piece_with_a_tongue(plain_setup: PrintSetup) -> None:
    asked = question()
    trial = trial_of_pivot(asked, fit_pivot(asked))
    whole, tongue = trial.pieces
    assert len(kernel.bodies(whole)) == 1
    assert kernel.overlap_volume(whole, tongue) == 0
    assert [rung.clearance for rung in trial.rungs] == sorted({rung.clearance for rung in trial.rungs})
    assert trial.rungs[1].drawn == pytest.approx(fit_pivot(asked).cheeks.draw)
    assert steepest_overhang(whole) <= 45.5


@pytest.mark.parametrize(
    ("changes", "sentence"),
    [
        ({"teeth": 4}, "4 teeth cannot be printed around a pivot; use 8 to 72, or 0 for none."),
        ({"ear": 6.0}, "a screw hole of"),
        ({"ear": 11.0}, "nut or washer have no room on an ear of 11 mm; make the ear"),
        ({"ear": 9.0, "teeth": 12, "nut": None, "washer": False}, "has no room for teeth"),
        ({"tongue": 1.0}, "a tongue of 1 mm is too thin"),
        ({"cheek": 1.0}, "a cheek of 1 mm is too thin for the seat in it"),
        ({"tongue": float("inf")}, "the tongue is inf mm"),
        ({"screw": thread("M10"), "ear": 30.0}, "no washer is known for M10x1.5"),
        ({"female": Side(name="stand", bought=Limits(6, 7))}, '"stand" is bought, but must be printed'),
    ],
)
def test_impossible_pivots_get_one_sentence(changes: dict[str, object], sentence: str) -> None:
    with pytest.raises(ValueProblem) as told:
        fit_pivot(question(**changes))
    assert sentence in str(told.value)
    assert len(told.value.problems) == 1

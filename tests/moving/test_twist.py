"""Bayonets: sizing against random prints, solids that go in, turn, lock and click."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from moving_bench import PETG, PLA, allowed, need_step, printed, steepest_overhang, turned, upside_down

from shadewright.catalog.threads import Limits
from shadewright.errors import ValueProblem
from shadewright.findings import Verdict
from shadewright.fit.joint import Side
from shadewright.fit.moving import LEAST_FELT
from shadewright.fit.twist import TwistQuestion, fit_twist, plug_of, size_twist, socket_of, trial_of_twist
from shadewright.printing import PrintSetup
from shadewright.solid import kernel
from shadewright.solid.mesh import Mesh
from shadewright.solid.moving_recipe import built_solid, write_built_step
from shadewright.solid.twist import FLANGE, Plug, TwistSocket, neck, plug_build, rib_deg, socket_build

PLUG = Plug(diameter=40, lugs=3, lug_height=1.6, lug_width=6, lug_thickness=3, bore=34)
L_SOCKET = TwistSocket(
    plug=PLUG, bore=40.4, slot_diameter=43.6, slot_width=6.6, axial_clearance=0.3, turn_deg=30, detent=0.5
)
J_SOCKET = replace(L_SOCKET, path="J", detent=0.8)
TWO_LUGS = replace(L_SOCKET, plug=replace(PLUG, lugs=2), turn_deg=60)
FOUR_LUGS = replace(L_SOCKET, plug=replace(PLUG, lugs=4))
SOCKETS = {"L": L_SOCKET, "J": J_SOCKET, "two lugs": TWO_LUGS, "four lugs": FOUR_LUGS}


def seated(socket: TwistSocket) -> tuple[Callable[..., Mesh], Mesh]:
    """The plug as a function of turn and pull, and the socket mouth up; at rest the flange lies on the mouth."""
    female = built_solid(socket_build(socket))
    male = upside_down(built_solid(plug_build(socket.plug, neck(socket))))
    at_rest = male.moved(z=float(female.bounds[1, 2]) + FLANGE - float(male.bounds[1, 2]))

    def placed(turn_deg: float, pull: float) -> Mesh:
        return turned(at_rest, turn_deg).moved(z=pull)

    return placed, female


@pytest.mark.parametrize("socket", SOCKETS.values(), ids=SOCKETS.keys())
def test_both_sides_are_one_closed_body_and_print_upright(socket: TwistSocket) -> None:
    for build in (plug_build(socket.plug, neck(socket)), socket_build(socket)):
        solid = built_solid(build)
        assert kernel.is_solid(solid) is None
        assert len(kernel.bodies(solid)) == 1
        assert solid.bounds[0, 2] == pytest.approx(0, abs=1e-9)
        assert steepest_overhang(solid) <= 45.5


@pytest.mark.parametrize("socket", SOCKETS.values(), ids=SOCKETS.keys())
def test_plug_goes_in_turns_and_locks(socket: TwistSocket) -> None:
    plug, female = seated(socket)
    place = socket.turn_deg
    for pull in (8.0, 4.0, 1.0, 0.01):
        assert kernel.overlap_volume(plug(0, pull), female) == 0
    assert kernel.overlap_volume(plug(place, 0.05), female) == 0
    assert kernel.overlap_volume(plug(place / 2, 4.0), female) > 0, "half way round the lugs stand behind the mouth"
    lift = socket.axial_clearance + (socket.detent if socket.path == "J" else 0.0)
    assert kernel.overlap_volume(plug(place, lift - 0.05), female) == 0
    assert kernel.overlap_volume(plug(place, lift + 0.15), female) > 0, "it cannot be pulled out"
    assert kernel.overlap_volume(plug(place + 3, 0.05), female) > 0, "the slot ends"


def test_rib_stands_in_the_way_of_turning_back() -> None:
    plug, female = seated(L_SOCKET)
    in_place = plug(30, 0.1)
    assert kernel.overlap_volume(in_place, female) == 0
    over_rib = plug(rib_deg(L_SOCKET), 0.1)
    shared = kernel.overlap_volume(over_rib, female)
    without = built_solid(socket_build(replace(L_SOCKET, detent=0.15)))
    assert shared > 0
    assert kernel.overlap_volume(over_rib, without) == 0, "a rib lower than the gap at the lug's tip is passed unfelt"


def test_lug_in_its_j_hook_cannot_turn_back_until_pushed_in() -> None:
    plug, female = seated(J_SOCKET)
    fallen = J_SOCKET.axial_clearance + J_SOCKET.detent - 0.05
    assert kernel.overlap_volume(plug(30, fallen), female) == 0
    assert kernel.overlap_volume(plug(20, fallen), female) > 0
    assert kernel.overlap_volume(plug(20, 0.1), female) == 0


def test_stated_room_is_there_all_round() -> None:
    plug, female = seated(replace(J_SOCKET, axial_clearance=0.4))
    middle = plug(30, 0.4)
    assert kernel.least_gap(middle, female, 1.0) == pytest.approx(0.2, abs=0.02)


@pytest.mark.parametrize(
    "build", [plug_build(PLUG), socket_build(L_SOCKET), socket_build(J_SOCKET)], ids=["plug", "L", "J"]
)
def test_step_bodies_are_sound_when_read_again(build, tmp_path: Path) -> None:  # type: ignore[no-untyped-def]
    need_step()
    from shadewright.solid.step import check_shape, read_step_shape, shape_bounds, shape_volume

    mesh = built_solid(build)
    read = read_step_shape(write_built_step(tmp_path / "twist.step", build))
    assert check_shape(read) == []
    assert shape_volume(read) == pytest.approx(mesh.volume, rel=1e-3)
    assert np.abs(shape_bounds(read) - mesh.bounds).max() < 0.03


# Sizing --------------------------------------------------------------------------------------------------------------


def question(**changes: object) -> TwistQuestion:
    base = TwistQuestion(
        name="cap", male=printed("cap"), female=printed("base"), diameter=40, bore=34, allowed=allowed("PLA")
    )
    return replace(base, **changes)  # type: ignore[arg-type]


def test_click_is_that_of_random_prints() -> None:
    """200000 prints of the written model: the gap at the tip, the rib's own scatter, the strain at break."""
    asked = question(detent=0.35)
    fit = fit_twist(asked)
    rng = np.random.default_rng(7)
    n = 200_000

    def habit(name: str) -> np.ndarray:
        spread = getattr(PLA, name)
        return rng.normal(spread.mean, spread.sd, n)

    scale, tip, slot = habit("scale_xy"), 43.2, fit.tips.draw
    lugs = tip * scale + 2 * habit("outer_growth") + rng.normal(0, PLA.scatter, n)
    slots = slot * scale - habit("hole_shrink") - habit("hole_curl") / slot + rng.normal(0, PLA.scatter, n)
    overlap = 0.35 - (slots - lugs) / 2 + rng.normal(0, PLA.scatter, n)
    borne = 2 * np.maximum(overlap, 0) / slot < rng.normal(asked.allowed.mean, asked.allowed.sd, n)
    assert fit.today.catches == pytest.approx((overlap > LEAST_FELT).mean(), abs=0.005)
    assert fit.today.works == pytest.approx((borne & (overlap > LEAST_FELT)).mean(), abs=0.005)


def test_room_along_the_axis_keeps_lugs_clear_in_49_of_50_prints() -> None:
    fit = fit_twist(question())
    rng = np.random.default_rng(11)
    faces = rng.normal(0, PLA.scatter, (2, 200_000)) + rng.uniform(-0.1, 0.1, (2, 200_000))
    clear = (fit.axial_clearance + faces.sum(axis=0) > 0).mean()
    assert 0.97 <= clear <= 0.995


def test_a_detent_lower_than_the_scatter_is_said_to_be_lost() -> None:
    codes = {finding.code: finding for finding in size_twist(question(detent=0.1)).findings}
    assert codes["fit.twist"].verdict is Verdict.FAILING
    assert codes["fit.nub"].verdict is Verdict.FAILING
    assert "draw the detent" in codes["fit.twist"].cure


def test_tougher_plastic_bears_the_same_click() -> None:
    tough = question(male=printed("cap", PETG), female=printed("base", PETG), allowed=allowed("PETG"), plastic="PETG")
    assert size_twist(tough).findings[0].verdict is Verdict.SOUND
    assert size_twist(question()).findings[0].verdict is not Verdict.SOUND


def test_a_j_slot_strains_nothing() -> None:
    fit = fit_twist(question(path="J", detent=0.6))
    assert fit.strain_today == 0
    assert fit.today.survives == pytest.approx(1)
    assert fit.today.works == pytest.approx(fit.today.catches)


def test_sized_solids_go_together() -> None:
    asked = question(detent=0.35)
    fit = fit_twist(asked)
    socket = socket_of(asked, fit)
    assert plug_of(asked) == socket.plug
    plug, female = seated(socket)
    assert kernel.overlap_volume(plug(0, 0.01), female) == 0
    assert kernel.overlap_volume(plug(30, 0.05), female) == 0
    assert kernel.overlap_volume(plug(30, 3), female) > 0


def test_trial_is_one_piece_and_one_plug_that_fits_every_socket(plain_setup: PrintSetup) -> None:
    small = question(diameter=16, lug_width=4, lug_height=1.2, turn_deg=40, bore=10)
    trial = trial_of_twist(small, fit_twist(small), 3)
    whole, plug = trial.pieces
    assert len(kernel.bodies(whole)) == 1
    assert kernel.overlap_volume(whole, plug) == 0
    assert [rung.drawn for rung in trial.rungs] == sorted({rung.drawn for rung in trial.rungs})
    assert steepest_overhang(whole) <= 45.5


@pytest.mark.parametrize(
    ("changes", "sentence"),
    [
        ({"lugs": 5}, "a bayonet with 5 lugs is not made; use 2 to 4."),
        ({"lug_thickness": 1.0}, "a lug 1.6 mm high must be thicker than 1 mm to print upright"),
        ({"turn_deg": 110.0}, "3 slots that turn 110 degrees run into each other"),
        ({"turn_deg": 10.0}, "after a turn of 10 degrees a lug still stands in its way in"),
        ({"bore": 39.0}, "a bore of 39 mm leaves no wall in a plug of 40 mm"),
        ({"diameter": float("nan")}, "the diameter is nan mm"),
        ({"male": Side(name="cap", bought=Limits(39, 40))}, '"cap" is bought, but must be printed'),
    ],
)
def test_impossible_bayonets_get_one_sentence(changes: dict[str, object], sentence: str) -> None:
    with pytest.raises(ValueProblem) as told:
        fit_twist(question(**changes))
    assert sentence in str(told.value)
    assert len(told.value.problems) == 1

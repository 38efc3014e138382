"""Trial pieces for pockets: rungs about the best size, each with its own pocket, one print that lies flat."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import numpy as np
import pytest

from shadewright.catalog.hardware import insert, magnet, nut
from shadewright.errors import ValueProblem
from shadewright.fit.defaults import built_in_habits
from shadewright.fit.pocket import NutQuestion, size_nut_pocket
from shadewright.fit.pocket_chance import Fitted
from shadewright.fit.pocket_insert import InsertQuestion, size_insert_hole
from shadewright.fit.pocket_magnet import MagnetQuestion, size_magnet_pocket
from shadewright.solid import kernel
from shadewright.solid.mesh import Mesh
from shadewright.solid.pocket import InsertHole, MagnetPocket, NutPocket, Pocket, hexagon
from shadewright.solid.pocket_trial import pocket_trial

HABITS = built_in_habits(0.4, "PETG")
NUT = size_nut_pocket(NutQuestion(joint="j", part="p", nut=nut("M4"), mouth="side", habits=HABITS))
HOLE = size_insert_hole(InsertQuestion(joint="j", part="p", insert=insert("M3"), plastic="PETG", habits=HABITS))
DISC = size_magnet_pocket(MagnetQuestion(joint="j", part="p", magnet=magnet("disc 8x3"), hold="press", habits=HABITS))
CASES: dict[str, tuple[Pocket, Fitted]] = {
    "nut": (NutPocket(flats=NUT.flats.draw, depth=NUT.depth, hole=NUT.hole, mouth="side"), NUT.flats),
    "nut below": (NutPocket(flats=NUT.flats.draw, depth=NUT.depth, hole=NUT.hole, mouth="down"), NUT.flats),
    "insert": (InsertHole(hole=HOLE.hole.draw, depth=HOLE.depth, boss=HOLE.boss), HOLE.hole),
    "disc": (MagnetPocket(length=DISC.across.draw, width=None, depth=DISC.depth, cap=DISC.cap, ridge=0.3), DISC.across),
}


@pytest.mark.parametrize("name", CASES)
def test_rungs_stand_about_the_best_size_and_rise(name: str) -> None:
    pocket, size = CASES[name]
    piece = pocket_trial("clamp", pocket, size)
    drawn = [rung.drawn for rung in piece.rungs]
    assert drawn == sorted(drawn) and len(drawn) == 5
    assert drawn[2] == pytest.approx(size.draw, abs=0.006)
    assert drawn[-1] - drawn[0] >= 3 * size.gap.sd - 1e-9
    assert [rung.clearance for rung in piece.rungs] == pytest.approx(
        [d - size.draw + size.gap.clearance for d in drawn]
    )
    (whole,) = piece.pieces
    assert kernel.is_solid(whole) is None and len(kernel.bodies(whole)) == 1
    assert whole.bounds[0, 2] == pytest.approx(0)


def test_every_rung_takes_a_nut_of_its_own_size_and_none_larger() -> None:
    piece = pocket_trial("clamp", *CASES["nut"])
    (whole,) = piece.pieces
    for rung in piece.rungs:
        way = [(rung.x, y) for y in (0.0, 4.0, 9.0)]  # in through the slot, which opens towards +y
        for x, y in way:
            assert kernel.overlap_volume(whole, _nut(rung.drawn - 0.02, x, y)) == pytest.approx(0, abs=1e-9)
        assert kernel.overlap_volume(whole, _nut(rung.drawn + 0.04, rung.x, 0.0)) > 0


def _nut(flats: float, x: float, y: float) -> Mesh:
    turned = hexagon(flats)[:, ::-1] * np.array([-1.0, 1.0])
    return kernel.extrude([turned], 3.0).moved(x, y, 2.1)


@pytest.mark.parametrize(
    ("make", "words"),
    [
        (lambda: pocket_trial("clamp", *CASES["nut"], bed_x=50.0), "5 rungs of clamp do not fit a bed of 50 mm"),
        (lambda: pocket_trial("clamp", *CASES["nut"], count=2), "2 rungs are asked for; use 3 to 7"),
        (
            lambda: pocket_trial("clamp", replace(CASES["disc"][0], closed=True), CASES["disc"][1]),
            "a closed pocket cannot be tried",
        ),
    ],
)
def test_what_cannot_be_tried_is_refused(make: Callable[[], object], words: str) -> None:
    with pytest.raises(ValueProblem, match=words):
        make()

"""Trial pieces: one body, rungs that can be told apart on the print, and no bigger than they need to be."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from shadewright.catalog.lookup import thread
from shadewright.catalog.threads import Sex
from shadewright.errors import ValueProblem
from shadewright.fit.joint import Feel, JointKind, JointQuestion, Side
from shadewright.fit.size import size_joint
from shadewright.printing import AsPrinted, Spread
from shadewright.solid import kernel
from shadewright.solid.features import ThreadShape, TrialPiece, TrialShape
from shadewright.solid.marks import MARK_HEIGHT, PLATE, digits, extent, stroke_width, tally
from shadewright.solid.plain_features import Spigot, plain_solid
from shadewright.solid.thread_mesh import threaded_solid
from shadewright.solid.trial import rung_clearances, trial_for, trial_piece

PLAIN = TrialShape(
    joint="neck",
    kind="slide",
    sex=Sex.FEMALE,
    drawn=20.3,
    clearance=0.3,
    clearances=rung_clearances(0.3, 0.1, 5),
    mate=20.0,
    length=10.0,
)
E27 = replace(PLAIN, kind="thread", thread=thread("E27"), drawn=26.85, clearance=0.4, mate=None, length=40.0)
CASES = {
    "slide": PLAIN,
    "slide, male": replace(PLAIN, sex=Sex.MALE, drawn=19.7),
    "thread": replace(E27, clearances=rung_clearances(0.4, 0.1, 3)),
    "thread, male": replace(E27, thread=thread("M10x1"), sex=Sex.MALE, drawn=9.7, mate=10.0, clearance=0.3),
    "push": replace(PLAIN, kind="push", drawn=4.9, clearance=-0.1, clearances=rung_clearances(-0.1, 0.1), mate=5.0),
    "flat": replace(PLAIN, drawn=6.3, round=False, mate=6.0),
    "flat, male": replace(PLAIN, sex=Sex.MALE, drawn=5.7, round=False, mate=6.0),
    "liner": replace(PLAIN, drawn=80.8, clearance=0.8, clearances=(0.5, 0.8, 1.1), mate=80.0, liner_wall=0.84),
    "liner, male": replace(PLAIN, sex=Sex.MALE, drawn=79.2, clearance=0.8, clearances=(0.5, 0.8, 1.1), liner_wall=0.84),
    "many": replace(PLAIN, drawn=10.3, mate=10.0, clearances=rung_clearances(0.3, 0.1, 7)),
}


@dataclass(frozen=True)
class Made:
    """A trial and what it was made from."""

    shape: TrialShape
    piece: TrialPiece


@pytest.fixture(scope="module", params=CASES, ids=list(CASES))
def made(request: pytest.FixtureRequest) -> Made:
    shape = CASES[request.param]
    return Made(shape, trial_piece(shape))


def strokes_at(piece: TrialPiece, nozzle: float) -> list[tuple[float, float]]:
    """Middles of all tally strokes, found on the print: a cut halfway up the marks, figures of a stroke's size."""
    width = stroke_width(nozzle)
    (figures,) = kernel.sections(piece.pieces[0], [PLATE + MARK_HEIGHT / 2])
    sizes = [(figure, np.ptp(figure, axis=0)) for figure in figures]
    strokes = [figure for figure, size in sizes if np.allclose(size, [width, 4 * width], atol=1e-3)]
    return [tuple(figure.mean(axis=0)) for figure in strokes]


def test_every_piece_is_one_closed_body_on_the_bed(made: Made) -> None:
    for mesh in made.piece.pieces:
        assert kernel.is_solid(mesh) is None
        assert len(kernel.bodies(mesh)) == 1
        assert mesh.bounds[0, 2] == pytest.approx(0, abs=1e-9)
        assert max(mesh.size[:2]) <= 200


def test_rungs_are_numbered_by_as_many_strokes(made: Made) -> None:
    """Each stroke belongs to the rung whose label is nearest below its axis."""
    rungs = made.piece.rungs
    counted = dict.fromkeys([rung.number for rung in rungs], 0)
    for x, y in strokes_at(made.piece, made.shape.nozzle):
        above = [rung for rung in rungs if rung.y > y]
        counted[min(above, key=lambda rung: abs(rung.x - x) + 0.5 * (rung.y - y)).number] += 1
    assert counted == {rung.number: rung.number for rung in rungs}


def test_rungs_rise_from_the_tightest_and_are_drawn_as_said(made: Made) -> None:
    shape, rungs = made.shape, made.piece.rungs
    assert 3 <= len(rungs) <= 7
    assert [rung.clearance for rung in rungs] == sorted({rung.clearance for rung in rungs})
    sign = 1 if shape.sex is Sex.FEMALE else -1
    for rung in rungs:
        assert rung.drawn - shape.drawn == pytest.approx(sign * (rung.clearance - shape.clearance), abs=1e-3)


def test_gauge_only_when_the_mate_is_printed(made: Made) -> None:
    assert len(made.piece.pieces) == (1 if made.shape.mate is None else 2)
    if made.shape.mate is not None:
        assert kernel.overlap_volume(*made.piece.pieces) == 0
    word = "the bought part" if made.shape.mate is None else "the gauge"
    assert word in made.piece.how_to


def test_rungs_have_the_bores_they_say() -> None:
    """Read back from the print: the widest opening around each axis, halfway up a 4 mm ring."""
    piece = trial_piece(PLAIN)
    (figures,) = kernel.sections(piece.pieces[0], [2.5])
    for rung in piece.rungs:
        radii = [np.hypot(*(figure - [rung.x, rung.y]).T) for figure in figures]
        bore = min((r for r in radii if np.ptp(r) < 0.1), key=lambda r: float(r.mean()))
        assert 2 * bore.mean() == pytest.approx(rung.drawn, abs=0.02)


def test_gauge_fits_the_loose_rungs_and_not_the_tight_ones() -> None:
    tried = replace(PLAIN, clearances=(-0.2, 0.2, 0.4))
    piece = trial_piece(tried)
    rungs, gauge = piece.pieces
    centre = gauge.bounds.mean(axis=0)
    for rung in piece.rungs:
        turned = kernel.union([gauge]).moved(rung.x - centre[0], rung.y - centre[1], 5.0)
        flipped = type(turned)(turned.vertices * [1, 1, -1] + [0, 0, 12.4], turned.faces[:, ::-1].copy())
        assert (kernel.overlap_volume(rungs, flipped) > 0.01) == (rung.clearance < 0)


def test_thread_rung_has_a_turn_and_a_half_not_the_whole_neck() -> None:
    piece = trial_piece(CASES["thread"])
    e27 = thread("E27")
    assert piece.pieces[0].size[2] == pytest.approx(1.5 * e27.pitch + e27.depth, abs=0.2)


def test_trial_takes_less_plastic_than_the_part_it_stands_for() -> None:
    """An E27 neck of 40 mm with 3 mm wall; a shell of 80 mm, 70 mm high, with 1.6 mm wall."""
    neck = threaded_solid(ThreadShape(thread=thread("E27"), sex=Sex.FEMALE, length=40, outside=33))
    assert trial_piece(CASES["thread"]).pieces[0].volume < 0.4 * neck.volume
    shell = plain_solid(Spigot(diameter=84, length=70, bore=80.8))
    assert sum(mesh.volume for mesh in trial_piece(CASES["liner"]).pieces) < 0.3 * shell.volume


def test_an_arrow_marks_the_first_rung() -> None:
    piece = trial_piece(PLAIN)
    first = piece.rungs[0]
    assert piece.pieces[0].bounds[0, 0] == pytest.approx(first.x - first.drawn / 2 - 0.9 + 0.6 + 0.4 - 5.0, abs=0.02)


def test_wide_rungs_go_in_rows() -> None:
    piece = trial_piece(CASES["liner"])
    assert len({rung.y for rung in piece.rungs}) == 2
    assert max(piece.pieces[0].size[:2]) <= 200


def test_rungs_that_do_not_fit_the_bed_are_refused() -> None:
    with pytest.raises(ValueProblem, match="5 rungs of neck do not fit a bed of 200 x 30 mm; ask for fewer rungs"):
        trial_piece(replace(PLAIN, bed_y=30.0))
    with pytest.raises(ValueProblem, match="do not fit a bed"):
        trial_piece(replace(PLAIN, bed_x=20.0))


@pytest.mark.parametrize("clearances", [(0.1, 0.2), tuple(i / 10 for i in range(8)), (0.3, 0.2, 0.1), (0.1, 0.1, 0.2)])
def test_three_to_seven_rising_clearances_are_wanted(clearances: tuple[float, ...]) -> None:
    with pytest.raises(ValueProblem, match="give 3 to 7 rising clearances"):
        trial_piece(replace(PLAIN, clearances=clearances))


@given(best=st.floats(-1, 2), sd=st.floats(0, 0.5), count=st.integers(3, 7))
def test_clearances_span_three_halves_sd_about_the_best(best: float, sd: float, count: int) -> None:
    tried = rung_clearances(best, sd, count)
    steps = np.diff(tried)
    assert len(tried) == count
    assert steps.min() >= 0.05 - 1e-9
    assert np.ptp(steps) <= 0.01 + 1e-9
    assert tried[-1] - tried[0] >= 3 * sd - 1e-6
    assert (tried[0] + tried[-1]) / 2 == pytest.approx(best, abs=0.0101)
    assert all(round(100 * value) == pytest.approx(100 * value) for value in tried)


@pytest.mark.parametrize(
    ("best", "sd", "count"), [(0.3, 0.1, 2), (0.3, 0.1, 8), (0.3, -0.1, 5), (float("nan"), 0.1, 5)]
)
def test_impossible_clearances_are_refused(best: float, sd: float, count: int) -> None:
    with pytest.raises(ValueProblem):
        rung_clearances(best, sd, count)


def habits() -> AsPrinted:
    return AsPrinted(
        outer_growth=Spread(0.05, 0.03),
        hole_shrink=Spread(0.1, 0.05),
        hole_curl=Spread(1.2, 0.2),
        scale_xy=Spread(0.998, 0.001),
        scale_z=Spread(1.0, 0.001),
        flare=Spread(0.15, 0.05),
        scatter=0.03,
        source="invented for this test",
    )


def test_trial_for_a_sized_joint_is_centred_on_what_to_draw() -> None:
    question = JointQuestion(
        name="neck",
        kind=JointKind.SLIDE,
        feel=Feel.SNUG,
        nominal=16.0,
        length=10,
        male=Side(name="stem", drawn=16.0, habits=habits()),
        female=Side(name="neck", habits=habits()),
    )
    sizing = size_joint(question)
    piece = trial_for(question, sizing)
    middle = piece.rungs[len(piece.rungs) // 2]
    assert len(piece.rungs) == 5
    assert middle.drawn == pytest.approx(sizing.draw, abs=0.006)
    assert middle.clearance == pytest.approx(sizing.clearance_drawn, abs=0.006)
    assert len(piece.pieces) == 2
    wider = trial_for(replace(question, nominal=60.0, male=replace(question.male, drawn=60.0)), sizing, count=4)
    assert len(wider.rungs) == 4


def test_marks_are_wide_enough_to_print_and_high_enough_to_read() -> None:
    """A line of the nozzle must fit inside every stroke; 0.6 mm is three layers."""
    assert MARK_HEIGHT >= 0.6
    for nozzle in (0.25, 0.4, 0.6, 0.8):
        width = stroke_width(nozzle)
        figures = [tally(7, width, 4 * width), digits("-0123456789", width, 5.5 * width)]
        for figure in figures:
            assert kernel.offset(figure, -0.98 * nozzle / 2)
        assert len(figures[0]) == 7


def test_all_digits_look_different() -> None:
    """Any two share less than 95 % of what they cover together; 0 and 8 are the most alike."""
    shown = {sign: digits(sign, 0.8, 4.4) for sign in "0123456789-"}
    for one, first in shown.items():
        for other, second in shown.items():
            if one < other:
                both = kernel.area(kernel.plane_union([first, second]))
                assert kernel.area(kernel.plane_intersection(first, second)) < 0.95 * both, (one, other)


def test_a_number_reads_from_left_to_right_in_one_line() -> None:
    width, height = extent(digits("105", 0.8, 4.4))
    assert height == pytest.approx(4.4, abs=0.25)  # slanted strokes stand over a little
    assert width == pytest.approx(3 * (1.8 + 0.8) + 2 * 1.0, abs=0.3)


def test_letters_cannot_be_marked() -> None:
    with pytest.raises(ValueProblem, match='"x" cannot be marked; use digits and a minus sign'):
        digits("1x", 0.8, 4.0)

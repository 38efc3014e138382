"""Glued seats: the glue's range reached in simulated prints, solids that leave the stated gap, refusals in words."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from step_at_hand import require_step_here

from shadewright.bench.store import Bench
from shadewright.catalog.cards import GlueCard
from shadewright.catalog.lookup import glue, glues
from shadewright.catalog.threads import Limits
from shadewright.errors import ValueProblem
from shadewright.findings import Verdict
from shadewright.fit.defaults import built_in_habits
from shadewright.fit.joint import Side
from shadewright.fit.seat import SeatQuestion, glue_volume, groove_count, ridge_height, size_seat
from shadewright.layers.check import PartToPrint, check_part
from shadewright.solid import kernel
from shadewright.solid.seat import SeatPart, SeatPlug, SeatRing, groove_heights, seat_solid

HABITS = built_in_habits(0.4, "PETG")
PRINTED = SeatQuestion(
    joint="rim",
    nominal=40.0,
    length=10.0,
    male=Side(name="ring", habits=HABITS),
    female=Side(name="shade", habits=HABITS),
    glue=glue("epoxy"),
)
BOUGHT = replace(PRINTED, male=Side(name="tube", bought=Limits(39.8, 40.1)))
PLUG, RING = SeatPlug(diameter=40.0, length=10.0, bore=30.0), SeatRing(bore=40.6, length=10.0)


def simulated_gap(question: SeatQuestion, male: float, female: float, count: int = 400_000) -> np.ndarray:
    """Gaps of printed pairs, both from one bench, by ``AsPrinted``'s own words; seed 21."""
    random = np.random.default_rng(21)
    habit = {
        name: random.normal(getattr(HABITS, name).mean, getattr(HABITS, name).sd, count)
        for name in ("outer_growth", "hole_shrink", "hole_curl", "scale_xy")
    }
    hole = female * habit["scale_xy"] - habit["hole_shrink"] - habit["hole_curl"] / female
    hole += random.normal(0, HABITS.scatter, count)
    if question.male.bought is not None:
        return hole - random.uniform(question.male.bought.low, question.male.bought.high, count)
    return hole - male * habit["scale_xy"] - 2 * habit["outer_growth"] - random.normal(0, HABITS.scatter, count)


@pytest.mark.parametrize("name", ["cyanoacrylate", "epoxy (structural)", "wood glue"])
@pytest.mark.parametrize(("question", "draw"), [(PRINTED, "female"), (PRINTED, "male"), (BOUGHT, "female")])
def test_chance_is_that_of_simulated_pairs(question: SeatQuestion, draw: str, name: str) -> None:
    made = size_seat(replace(question, glue=glue(name), draw=draw))
    male, female = (40.0, made.size.draw) if draw == "female" else (made.size.draw, 40.0)
    gap = simulated_gap(question, male, female)
    layer = glue(name).gap
    assert made.size.chance == pytest.approx(((gap / 2 > layer.low) & (gap / 2 < layer.high)).mean(), abs=0.006)
    assert made.size.gap.mean == pytest.approx(gap.mean(), abs=0.002)


@pytest.mark.parametrize("card", glues(), ids=lambda card: card.name)
@pytest.mark.parametrize("draw", ["female", "male"])
def test_no_other_size_is_more_than_a_hundredth_likelier(card: GlueCard, draw: str) -> None:
    question = replace(PRINTED, glue=card, draw=draw)
    best = size_seat(question).size
    sides = {"female": "female", "male": "male"}
    for off in np.linspace(-0.6, 0.6, 7):
        side = replace(getattr(question, sides[draw]), drawn=best.draw + off)
        other = size_seat(replace(question, **{sides[draw]: side})).size.today
        assert other is not None and other <= best.chance + 0.0101


def test_a_wide_range_leaves_the_layer_the_glue_likes_best() -> None:
    made = size_seat(replace(PRINTED, glue=glue("silicone")))
    assert made.size.gap.mean / 2 == pytest.approx(1.0, abs=0.01)
    assert made.size.chance > 0.99


def test_a_bought_side_is_not_drawn_whatever_was_asked() -> None:
    assert size_seat(replace(BOUGHT, draw="male")).side == "female"


def test_a_flat_seat_is_a_slot_whose_walls_grow() -> None:
    flat = size_seat(replace(PRINTED, round=False, nominal=20.0))
    # Both sides grow by 2 x 0.05 mm, together 0.2 mm; a layer of 0.2 to 0.25 mm on both faces adds 0.4 to 0.5 mm.
    assert 0.6 <= flat.clearance <= 0.7
    assert flat.clearance - flat.size.gap.mean == pytest.approx(0.2, abs=0.01)
    assert flat.sizing.draws[0].what == "slot"


def test_the_card_s_heat_is_stated_and_nothing_more() -> None:
    (warmth,) = [f for f in size_seat(replace(PRINTED, glue=glue("hot glue"))).sizing.findings if "warmth" in f.code]
    assert warmth.sentence == "hot glue (EVA) holds under load up to 45 to 65 °C and softens at 75 to 105 °C"
    assert warmth.verdict is Verdict.UNKNOWN and warmth.cure


@pytest.mark.parametrize(("length", "found"), [(4.0, True), (8.0, False)])
def test_a_seat_too_short_to_stand_straight(length: float, found: bool) -> None:
    codes = [finding.code for finding in size_seat(replace(PRINTED, length=length)).sizing.findings]
    assert ("fit.seat_length" in codes) == found


@pytest.mark.parametrize(("gap", "height"), [(0.3, 0.0), (0.4, 0.15), (2.0, 0.95)])
def test_ridges_fill_the_layer_but_for_a_little_room(gap: float, height: float) -> None:
    assert ridge_height(gap) == pytest.approx(height)


# Solids --------------------------------------------------------------------------------------------------------------

PARTS: list[SeatPart] = [PLUG, replace(PLUG, ridge=0.25), SeatPlug(diameter=12.0, length=8.0), RING]


@pytest.mark.parametrize("part", PARTS, ids=lambda part: type(part).__name__)
def test_each_side_is_one_body_that_prints_as_it_stands(part: SeatPart) -> None:
    solid = seat_solid(part)
    assert kernel.is_solid(solid) is None and len(kernel.bodies(solid)) == 1
    area = np.linalg.norm(solid.face_vectors, axis=1)
    raised = (solid.corners[:, :, 2].max(axis=1) > 1e-6) & (area > 1e-6)
    assert np.degrees(np.arcsin(-solid.face_vectors[raised, 2] / area[raised])).max() <= 45.01
    with Bench.open(None) as bench:
        report = check_part(PartToPrint(name="seat", mesh=solid, setup=bench.setup()))
    assert [item.sentence for item in report.findings if item.verdict is Verdict.FAILING] == []


@pytest.mark.parametrize(("bore", "gap"), [(40.6, 0.3), (40.2, 0.1), (39.9, 0.0)])
def test_ring_over_plug_leaves_half_the_clearance_all_round(bore: float, gap: float) -> None:
    plug, ring = seat_solid(PLUG), seat_solid(replace(RING, bore=bore)).moved(z=2.0 + 1e-6)
    assert (kernel.overlap_volume(plug, ring) > 1e-3) == (gap == 0.0)
    lifted = ring.moved(z=0.5)  # so that flange and mouth do not touch
    assert kernel.least_gap(plug, lifted, 1.0) == pytest.approx(gap, abs=0.012)


def test_glue_stated_is_the_room_between_the_solids() -> None:
    """The room between them, by booleans; the mouth's chamfers are left out on both sides."""
    grooves = groove_count(10.0)
    plug = seat_solid(replace(PLUG, grooves=grooves, length=20.0))
    band = kernel.difference(kernel.cylinder(10.0, 20.3, fit="mean"), kernel.cylinder(10.0, 18.0, fit="mean"))
    middle = np.mean(groove_heights(replace(PLUG, grooves=grooves, length=20.0)))
    band = band.moved(z=float(middle) - 5.0)
    room = band.volume - kernel.overlap_volume(band, plug)
    assert glue_volume(replace(PRINTED, length=10.0), 0.6, grooves) == pytest.approx(room, rel=0.01)


def test_grooves_take_the_glue_that_is_stated_for_them() -> None:
    with_two, without = (seat_solid(replace(PLUG, grooves=count)).volume for count in (2, 0))
    stated = glue_volume(PRINTED, 0.6, 2) - glue_volume(PRINTED, 0.6, 0)
    assert stated == pytest.approx(without - with_two, rel=2e-3)


@pytest.mark.parametrize(("draw", "drawn", "left"), [("female", 40.1, "-0.08"), ("male", 40.2, "-0.38")])
def test_a_seat_drawn_too_tight_is_told_what_it_leaves(draw: str, drawn: float, left: str) -> None:
    """Hole 40.1 less shrink 0.06 + 0.8/40.1, shaft 40 plus 2 x 0.05, both scaled by 0.997: -0.08 mm remain."""
    side = replace(getattr(PRINTED, draw), drawn=drawn)
    finding = size_seat(replace(PRINTED, draw=draw, **{draw: side})).sizing.findings[0]
    assert finding.verdict is Verdict.FAILING
    assert finding.why == f"that leaves {left} mm after printing, and 0.10 to 2.00 mm is wanted"
    assert ("larger than now" in finding.cure) == (draw == "female")


def test_ridges_keep_the_ring_in_the_middle() -> None:
    solid = seat_solid(replace(PLUG, ridge=0.25, grooves=0))
    (outline,) = [c for c in kernel.sections(solid, [6.0])[0] if np.hypot(*c.T).max() > 19]
    reach = np.hypot(*outline.T)
    assert reach.max() == pytest.approx(20.25, abs=1e-6)
    tips = outline[reach > 20.24]
    angles = np.sort(np.degrees(np.arctan2(tips[:, 1], tips[:, 0])) % 360)
    assert angles == pytest.approx([0, 120, 240], abs=0.1)
    assert kernel.overlap_volume(solid, seat_solid(RING).moved(z=2.0)) == pytest.approx(0, abs=1e-6)


@pytest.mark.parametrize("part", PARTS, ids=lambda part: type(part).__name__)
def test_step_holds_the_same_body(part: SeatPart, tmp_path: Path) -> None:
    require_step_here()
    from shadewright.solid.seat import write_seat_step
    from shadewright.solid.step import check_shape, read_step_shape, shape_volume

    shape = read_step_shape(write_seat_step(tmp_path / "seat.step", part))
    assert check_shape(shape) == []
    assert shape_volume(shape) == pytest.approx(seat_solid(part).volume, rel=2e-4)


@pytest.mark.parametrize(
    ("made", "sentence"),
    [
        (
            lambda: size_seat(replace(BOUGHT, female=Side(name="shell", bought=Limits(40, 41)))),
            "joint rim: both sides are bought, so nothing can be drawn; make one side a printed part.",
        ),
        (
            lambda: size_seat(replace(PRINTED, nominal=0.0)),
            "joint rim: nominal size is 0 mm; it must be a number above 0.",
        ),
        (
            lambda: size_seat(replace(PRINTED, draw="both")),
            'joint rim: side "both" cannot take the gap; write male or female.',
        ),
        (
            lambda: size_seat(replace(PRINTED, male=Side(name="ring", habits=HABITS, drawn=math.inf))),
            "joint rim: the drawn size of ring is inf mm; it must be a number above 0.",
        ),
        (
            lambda: seat_solid(replace(PLUG, bore=39.0)),
            "a bore of 39 mm leaves no wall under the grooves of 40 mm; keep 0.8 mm there at least.",
        ),
        (
            lambda: seat_solid(replace(PLUG, grooves=6)),
            "6 grooves have no room on a length of 10 mm; use fewer, or a longer seat.",
        ),
        (
            lambda: seat_solid(replace(RING, wall=1.0)),
            "chamfers of 0.8 and 0.6 mm leave nothing of a ring 10 mm long with a wall of 1 mm; make the ring longer "
            "or thicker.",
        ),
        (
            lambda: seat_solid(replace(PLUG, ridge=-1.0)),
            "ridges of -1 mm cannot be; use 0 for none, or the glue's layer.",
        ),
    ],
)
def test_what_cannot_be_is_refused_in_one_sentence(made: Callable[[], object], sentence: str) -> None:
    with pytest.raises(ValueProblem) as refusal:
        made()
    assert str(refusal.value) == sentence

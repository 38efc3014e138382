"""Ranges, softening, cures and what is said of them."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from warm_lamps import BULB, can, question

from shadewright.catalog import lookup
from shadewright.catalog.cards import Range
from shadewright.findings import Verdict
from shadewright.heat.advice import (
    BulbCase,
    WallCase,
    WarmJoint,
    judge_bulb,
    judge_joint,
    judge_liner,
    judge_wall,
)
from shadewright.heat.bulb import collar_share, emitter
from shadewright.heat.cures import cures, widened, with_holes
from shadewright.heat.draws import Likely, drawn
from shadewright.heat.hot_spots import above_bulb, beside_collar
from shadewright.heat.network import steady
from shadewright.heat.softening import MARGIN_K, lets_go, softens, verdict_of
from shadewright.heat.stack import Opening
from shadewright.heat.warm import WarmQuestion, chance_over, lamp_of, warm
from shadewright.heat.warmth import Conditions, Liner, Shade

SMALL = can(90.0, 100.0, 23.0, 12.0)
OFFERED = [lookup.plastic(name) for name in ("PETG", "ASA", "PC")]


def wall_case(asked: WarmQuestion, light: bool = False) -> WallCase:
    answer = warm(asked)
    return WallCase(part="shade", plastic="PLA", question=asked, answer=answer, filament=light)


def test_draws_are_a_triangle_and_repeat() -> None:
    """Mean (a + b + c) / 3 and median of a triangle (any textbook of statistics)."""
    known = {"one": Range(10.0, 20.0, 60.0), "sure": Range(3.0, None, 3.0)}
    found = drawn(known, 4000, seed=1)

    assert found["one"].mean() == pytest.approx(30.0, rel=2e-3)
    assert np.median(found["one"]) == pytest.approx(60 - np.sqrt(50 * 40 / 2), rel=2e-3)
    assert (found["sure"] == 3).all()
    assert (found["one"] == drawn({"one": known["one"]}, 4000, seed=1)["one"]).all()
    assert not (found["one"] == drawn(known, 4000, seed=2)["one"]).all()


def test_a_bulb_in_open_air_is_as_warm_as_someone_measured() -> None:
    """LED bulb with 23 V x 0.23 A at its emitters: its heat sink reaches 67 °C (152 °F) (jgscraft.com/ledbulb, 2011).

    Its driver's loss (10 to 25 %), its size (as an A60) and the room (20 to 26 °C) are not stated there. The low end of
    ``COLLAR_WORKING`` was set with this figure in view: it holds the ranges to it and proves no model.
    """
    lost = Range(5.29 / 0.9, 5.29 / 0.82, 5.29 / 0.75)
    room = question(replace(can(above=None, gap=1000.0), side_mm2=1e10))
    open_air = replace(room, ranges={**room.ranges, "watts": lost, "room_c": Range(20.0, 23.0, 26.0)})

    collar = warm(open_air).collar
    assert collar.low < 67 < collar.high


def test_heat_shares_cover_what_someone_measured() -> None:
    """One power LED: 82 % of 8.42 W and 69 % of 2.95 W are heat (substitution test on a torch builders' forum)."""
    light = lookup.light_source("LED").light_fraction

    assert all(1 - light.high < heat <= 1 - light.low for heat in (0.69, 0.82))


def test_the_answer_holds_together() -> None:
    asked = question(SMALL)
    answer = warm(asked)

    assert answer.imbalance < 1e-6
    assert sum(answer.shares.values()) == pytest.approx(1.0, abs=0.01)
    assert answer.wall.middle <= answer.hottest.middle <= answer.air.high
    assert answer.holder.middle < answer.collar.middle
    assert answer.above is not None
    assert answer.hottest.middle >= max(answer.beside.middle, answer.above.middle) - 1e-9
    within = np.exp(-answer.settles_s / np.median(answer.steady.time_s))
    assert within == pytest.approx(0.05, abs=0.001)  # of the way still to go
    assert warm(asked).hottest == answer.hottest
    assert abs(warm(asked, seed=99).hottest.middle - answer.hottest.middle) < 0.3


def test_one_draw_is_what_the_parts_give_by_themselves() -> None:
    asked = question(SMALL)
    sure = {name: Range(known.likely, None, known.likely) for name, known in asked.ranges.items()}
    answer = warm(replace(asked, ranges=sure), draws=1)
    lamp = lamp_of(replace(asked, ranges=sure), draws=1)
    found = steady(lamp)
    spots = (found.wall_c, beside_collar(lamp, found), above_bulb(lamp, found))

    assert answer.hottest.middle == pytest.approx(max(float(spot[0]) for spot in spots if spot is not None))
    assert lamp.conditions.watts == pytest.approx(7.0)


def test_an_open_top_has_no_plume_on_a_wall_and_a_liner_is_warmer_than_its_wall() -> None:
    assert warm(question(replace(SMALL, above_gap=None))).above is None
    lined = warm(replace(question(SMALL), liner=Liner(cover=0.8, gap=1.0)))
    assert lined.liner_draws is not None
    assert np.median(lined.liner_draws) > lined.wall.middle
    assert warm(question(SMALL)).liner_draws is None


def test_softening_is_read_from_the_cards() -> None:
    assert softens(lookup.plastic("PLA")) == Range(52, 55, 58)  # ISO 75 at 0.45 MPa lies under the glass point
    assert softens(lookup.plastic("PA6")) == lookup.plastic("PA6").hdt_180_c
    assert softens(lookup.plastic("TPU")).likely == 60
    assert lets_go(lookup.glue("hot glue")) == Range(45, 55, 65)
    assert lets_go(lookup.glue("polyamide hot melt")) == Range(90, 110, 135)
    assert (verdict_of(0.51), verdict_of(0.06), verdict_of(0.05)) == (
        Verdict.FAILING,
        Verdict.DOUBTFUL,
        Verdict.SOUND,
    )


def test_the_chance_is_that_of_two_triangles() -> None:
    """A sure 50 °C against a limit of 50, 60, 70 °C less 5 K: the triangle's share below 55 is 5² / (20 x 10)."""
    assert chance_over(np.full(4000, 50.0), Range(50.0, 60.0, 70.0), 5.0) == pytest.approx(0.125, abs=1e-3)
    assert chance_over(np.full(10, 20.0), Range(50.0, 60.0, 70.0), MARGIN_K) == 0


def test_a_bulb_is_measured_from_its_card() -> None:
    assert BULB.envelope_diameter == 60
    assert BULB.length == pytest.approx(109.5 - 26)
    whole = BULB.envelope_mm2 + BULB.collar_mm2
    assert np.pi * 60**2 < whole < np.pi * 60 * (BULB.length + 30)  # more than a ball, less than a tube with lids
    assert emitter(lookup.bulb("A60"), mass_g=100.0).heat_j_k == pytest.approx(90.0)
    assert collar_share(lookup.light_source("halogen")).high < collar_share(lookup.light_source("LED")).low
    for card in lookup.bulbs():
        assert emitter(card).collar_length > 0


def test_cures_cool_and_are_ranked_by_what_they_leave() -> None:
    asked = question(SMALL)
    answer = warm(asked)
    tried = cures(asked, answer, OFFERED)
    helping = [cure for cure in tried if cure.helps]

    words = " / ".join(cure.words for cure in tried)
    for kind in ("holes of 8 mm", "wider", "a bulb of", "print it in PETG", "aluminium foil", "metal ring"):
        assert kind in words
    assert [cure.helps for cure in tried] == sorted((cure.helps for cure in tried), reverse=True)
    assert [round(cure.chance, 2) for cure in helping] == sorted(round(cure.chance, 2) for cure in helping)
    assert all(cure.chance < answer.chance or cure.gained_k > 0.5 for cure in helping)


def test_holes_and_room_are_what_their_words_say() -> None:
    vented = with_holes(SMALL, 12, 8.0)

    assert [opening.area_mm2 for opening in vented.openings] == pytest.approx([12 * np.pi * 16] * 2)
    assert [(opening.low + opening.high) / 2 for opening in vented.openings] == pytest.approx([10.0, 90.0])
    wide = widened(SMALL, 10.0, 22.0)
    assert wide.side_mm2 / SMALL.side_mm2 == pytest.approx(55 / 45)
    assert wide.roof_mm2 / SMALL.roof_mm2 == pytest.approx((55 / 45) ** 2)
    assert wide.collar_gap == SMALL.collar_gap + 10


def test_a_wall_that_is_too_warm_is_failing_with_cures_and_how_to_measure() -> None:
    asked = question(SMALL, watts=10.0)
    case = wall_case(asked)
    found = judge_wall(replace(case, cures=cures(asked, case.answer, OFFERED), taken=("something",)))

    assert found.verdict is Verdict.FAILING
    assert "above the bulb" in found.sentence
    assert "a bulb of" in found.cure and "two hours" in found.cure and "switch off at" in found.cure
    assert "taken: something" in found.why
    assert found.value == pytest.approx(case.answer.hottest.high, abs=0.1)
    assert found.limit == 45.0
    for text in (found.sentence, found.why, found.cure):
        assert "safe" not in text.lower()


def test_few_watts_in_petg_are_sound_and_certainty_is_never_claimed() -> None:
    found = judge_wall(wall_case(question(can(), watts=3.0, plastic="PETG")))

    assert (found.verdict, found.cure) == (Verdict.SOUND, "")
    assert "< 1 %" in found.why


def test_a_filament_in_a_plastic_shade_is_refused_unless_shown_harmless() -> None:
    bright = judge_wall(wall_case(question(can(), watts=25.0, light="incandescent"), light=True))
    far = can(600.0, 600.0, 270.0, 400.0)
    dim = judge_wall(wall_case(question(far, watts=2.0, plastic="PC", light="halogen"), light=True))

    assert bright.verdict is Verdict.FAILING
    assert "use an LED bulb" in bright.cure
    assert dim.verdict is Verdict.DOUBTFUL


def bulb_case(shade: Shade, watts: float = 7.0) -> BulbCase:
    area = sum(opening.area_mm2 for opening in shade.openings)
    return BulbCase(bulb="bulb", answer=warm(question(shade, watts)), watts=watts, openings_mm2=area)


def test_a_bulb_is_asked_for_its_mark_in_a_closed_shade_and_for_the_holders() -> None:
    closed = bulb_case(can())
    airy = bulb_case(with_holes(can(300.0, 300.0, 120.0, 150.0), 24, 12.0), watts=3.0)

    assert judge_bulb(closed).verdict is Verdict.DOUBTFUL
    assert "closed" in judge_bulb(closed).why
    assert judge_bulb(closed).limit == 40.0
    assert judge_bulb(airy).verdict is Verdict.SOUND
    over = judge_bulb(replace(airy, most_watts=2.0))
    assert over.verdict is Verdict.FAILING
    assert "2 W at most" in over.cure
    cold = judge_bulb(replace(airy, cord_limit_c=40.0))
    assert "90 °C" in cold.cure
    assert judge_bulb(replace(closed, for_closed=True, cord_limit_c=120.0)).limit == 55.0


def test_joints_and_liners_are_held_against_glue_and_plastic() -> None:
    warm_seat = WarmJoint(
        joint="seat",
        temps_c=np.full(100, 44.0),
        where="there",
        limit_c=Range(45.0, 55.0, 65.0),
        limit_of="hot glue (EVA)",
        glued=True,
    )
    found = judge_joint(warm_seat)
    assert found.verdict is Verdict.DOUBTFUL
    assert "lets go" in found.sentence and "glue" in found.cure
    assert judge_joint(replace(warm_seat, temps_c=np.full(100, 70.0))).verdict is Verdict.FAILING
    assert judge_joint(replace(warm_seat, temps_c=np.full(100, 25.0))).cure == ""
    assert judge_liner("liner", "PLA", np.full(100, 60.0), Range(52, 55, 58)).verdict is Verdict.FAILING


def test_numbers_are_written_for_people() -> None:
    assert Likely(41.2, 48.4, 56.0).text() == "48 °C (41 to 56)"
    assert Likely.of(np.linspace(0, 100, 1001)) == Likely(5.0, 50.0, 95.0)
    given_ = Conditions(watts=np.array([1.0, 2.0])).arrays()
    assert np.shape(given_.room_c) == (2,)
    assert Opening(area_mm2=1.0, low=0.0, high=0.0).faces_up is False

"""Sizing: laws that must hold for every joint, and the trade's rules at the built-in bench."""

from __future__ import annotations

import dataclasses
import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as some

from shadewright.catalog.lookup import thread
from shadewright.catalog.threads import Limits
from shadewright.errors import ValueProblem
from shadewright.fit.defaults import built_in_habits
from shadewright.fit.feel import FEELS, built_in_bounds, chance_of
from shadewright.fit.gap import true_gap
from shadewright.fit.joint import Feel, JointKind, JointQuestion, Side, Sizing
from shadewright.fit.size import OPEN_END, TRIAL_BELOW, size_joint
from shadewright.printing import AsPrinted, Spread

PLA = built_in_habits(0.4, "PLA")
MALE, FEMALE = Side(name="pin", habits=PLA), Side(name="socket", habits=PLA)
INNER = (Feel.FREE, Feel.EASY, Feel.SNUG, Feel.TIGHT)


def _question(
    kind: str = "slide", nominal: float = 40.0, feel: Feel = Feel.SNUG, nozzle: float = 0.4, **more: object
) -> JointQuestion:
    habits = built_in_habits(nozzle, "PLA")
    base = JointQuestion(
        name="neck",
        kind=JointKind(kind),
        feel=feel,
        nominal=nominal,
        length=10.0,
        male=Side(name="pin", habits=habits),
        female=Side(name="socket", habits=habits),
        nozzle=nozzle,
        layer=nozzle / 2,
    )
    return dataclasses.replace(base, **more)  # type: ignore[arg-type]


def _looseness(sizing: Sizing) -> list[float]:
    """Chance to be at least as loose as each feel, from loose to tight."""
    chances = [chance for _, chance in sizing.chances]
    return [sum(chances[: end + 1]) for end in range(len(chances) - 1)]


# The trade's rules: common practice, no source.


@pytest.mark.parametrize("nominal", [10.0, 20.0, 40.0, 80.0, 120.0])
@pytest.mark.parametrize("is_round", [True, False])
def test_snug_slide_is_drawn_half_a_nozzle_apart(nominal: float, is_round: bool) -> None:
    sizing = size_joint(_question(nominal=nominal, round=is_round))
    assert sizing.clearance_drawn == pytest.approx(0.2, abs=0.06)


@pytest.mark.parametrize("nozzle", [0.25, 0.6, 0.8])
def test_half_a_nozzle_holds_for_other_nozzles(nozzle: float) -> None:
    sizing = size_joint(_question(nominal=40.0, nozzle=nozzle))
    assert sizing.clearance_drawn == pytest.approx(nozzle / 2, abs=0.1 * nozzle)


@pytest.mark.parametrize("name", ["M10", "M10x1", "M20", "E27", "E27 barrel", "M40x1.5", "Tr20x4"])
def test_printed_screw_turns_by_hand_drawn_three_or_four_tenths_apart(name: str) -> None:
    row = thread(name)
    sizing = size_joint(_question("thread", row.major, Feel.EASY, thread=row))
    assert 0.295 <= sizing.clearance_drawn <= 0.405


@pytest.mark.parametrize("nominal", [60.0, 80.0, 100.0])
@pytest.mark.parametrize("wall", [0.8, 1.0, 1.2])
def test_thin_liner_is_drawn_eight_tenths_apart(nominal: float, wall: float) -> None:
    sizing = size_joint(_question(nominal=nominal, feel=Feel.EASY, liner_wall=wall))
    assert sizing.clearance_drawn == pytest.approx(0.8, abs=0.15)


@pytest.mark.parametrize("nominal", [5.0, 6.0, 8.0, 10.0])
def test_tight_pin_is_drawn_up_to_a_tenth_under_its_hole(nominal: float) -> None:
    sizing = size_joint(_question("push", nominal, Feel.TIGHT))
    assert -0.02 <= sizing.clearance_drawn <= 0.12


@pytest.mark.parametrize(("feel", "low", "high"), [(Feel.TIGHT, -0.05, 0.05), (Feel.EASY, 0.25, 0.40)])
def test_other_bands_of_printed_pairs(feel: Feel, low: float, high: float) -> None:
    """Press -0.05 to +0.05, sliding 0.25 to 0.40 mm drawn between two prints (from memory)."""
    assert low <= size_joint(_question(nominal=40.0, feel=feel)).clearance_drawn <= high


# What must hold for any joint.

spreads = some.builds(Spread, some.floats(-0.05, 0.15), some.floats(0.0, 0.08))
benches = some.builds(
    AsPrinted,
    outer_growth=spreads,
    hole_shrink=spreads,
    hole_curl=some.builds(Spread, some.floats(0.0, 1.5), some.floats(0.0, 0.5)),
    scale_xy=some.builds(Spread, some.floats(0.99, 1.002), some.floats(0.0, 0.003)),
    scale_z=some.just(Spread(1.0, 0.002)),
    flare=some.just(Spread(0.1, 0.05)),
    scatter=some.floats(0.005, 0.08),
    source=some.just("drawn at random"),
)
questions = some.builds(
    lambda kind, feel, nominal, male, female, draw: _question(
        kind, nominal, feel, male=Side(name="pin", habits=male), female=Side(name="socket", habits=female), draw=draw
    ),
    some.sampled_from(["slide", "push"]),
    some.sampled_from(FEELS),
    some.floats(4.0, 150.0),
    benches,
    benches,
    some.sampled_from(["male", "female"]),
)


@settings(max_examples=60, deadline=None)
@given(questions)
def test_chances_sum_to_one_and_shares_to_the_allowance(question: JointQuestion) -> None:
    sizing = size_joint(question)
    assert [feel for feel, _ in sizing.chances] == list(FEELS)
    assert all(chance >= 0 for _, chance in sizing.chances)
    assert sum(chance for _, chance in sizing.chances) == pytest.approx(1, abs=1e-12)
    assert dict(sizing.chances)[question.feel] == sizing.chance_wanted
    room = sizing.allowance if sizing.draw_side == "female" else -sizing.allowance
    assert sum(share.mm for share in sizing.shares) == pytest.approx(room, abs=0.003)
    sizes = [abs(share.mm) for share in sizing.shares]
    assert sizes == sorted(sizes, reverse=True)


@settings(max_examples=60, deadline=None)
@given(questions)
def test_no_neighbouring_draw_is_likelier(question: JointQuestion) -> None:
    question = dataclasses.replace(question, feel=question.feel if question.feel in INNER else Feel.EASY)
    sizing, bounds = size_joint(question), built_in_bounds(question.kind)
    for step in (-0.3, -0.05, -0.01, 0.01, 0.05, 0.3):
        sizes = (sizing.draw + step, question.nominal)
        male, female = sizes if sizing.draw_side == "male" else sizes[::-1]
        gap = true_gap(question, male, female)
        assert chance_of(question.feel, gap.mean, gap.normal_sd, bounds, gap.flat) <= sizing.chance_wanted + 1e-9


@settings(max_examples=40, deadline=None)
@given(questions, some.floats(0.01, 1.0))
def test_more_drawn_clearance_is_looser(question: JointQuestion, more: float) -> None:
    close = dataclasses.replace(question, female=dataclasses.replace(question.female, drawn=question.nominal + 0.2))
    wide = dataclasses.replace(close, female=dataclasses.replace(close.female, drawn=question.nominal + 0.2 + more))
    gaps = [true_gap(one, question.nominal, one.female.drawn or 0.0) for one in (close, wide)]
    assert gaps[1].mean > gaps[0].mean
    today = [size_joint(dataclasses.replace(one, draw="female")).chances_today for one in (close, wide)]
    assert today[0] is not None and today[1] is not None
    for end in range(1, len(FEELS)):
        looser = [sum(chance for _, chance in chances[:end]) for chances in today]
        assert looser[1] >= looser[0] - 0.01 * more  # curl and scale change the spread a little with size


@settings(max_examples=40, deadline=None)
@given(questions)
def test_drawing_either_side_reaches_the_same_chance(question: JointQuestion) -> None:
    male, female = (size_joint(dataclasses.replace(question, draw=side)) for side in ("male", "female"))
    # Not exactly: a hole's curl goes with 1/d, so drawing the hole larger changes its own spread a little.
    assert male.chance_wanted == pytest.approx(female.chance_wanted, abs=0.03)
    assert male.gap == pytest.approx(female.gap, abs=0.02)


@settings(max_examples=40, deadline=None)
@given(questions, some.floats(1.05, 3.0))
def test_knowing_less_never_helps(question: JointQuestion, times: float) -> None:
    question = dataclasses.replace(question, feel=Feel.SNUG)
    assert question.male.habits is not None
    vaguer = dataclasses.replace(question.male.habits, scatter=question.male.habits.scatter * times)
    worse = dataclasses.replace(question, male=dataclasses.replace(question.male, habits=vaguer))
    before, after = size_joint(question), size_joint(worse)
    assert after.gap_sd > before.gap_sd
    assert after.chance_wanted <= before.chance_wanted + 1e-4


@pytest.mark.parametrize("feel", [Feel.LOOSE, Feel.FIXED])
@pytest.mark.parametrize("draw", ["male", "female"])
def test_open_ended_feels_go_just_far_enough(feel: Feel, draw: str) -> None:
    sizing = size_joint(_question(feel=feel, draw=draw))
    assert OPEN_END <= sizing.chance_wanted < OPEN_END + 0.03


def test_looser_feels_are_drawn_wider() -> None:
    clearances = [size_joint(_question(feel=feel)).clearance_drawn for feel in FEELS]
    assert clearances == sorted(clearances, reverse=True)
    assert _looseness(size_joint(_question(feel=Feel.FREE))) > _looseness(size_joint(_question(feel=Feel.TIGHT)))


# What is said about it.


def test_sentence_says_what_to_draw_and_why() -> None:
    sizing = size_joint(_question(nominal=40.0, feel=Feel.EASY))
    start = f"draw the bore of socket {sizing.draw:.2f} mm: {sizing.draw - 40:.2f} over nominal, of which "
    assert sizing.sentence.startswith(start)
    assert "0.10 for walls growing into the gap" in sizing.sentence
    male = size_joint(_question(nominal=40.0, feel=Feel.EASY, draw="male"))
    assert male.sentence.startswith(f"draw the outside of pin {male.draw:.2f} mm: {40 - male.draw:.2f} under nominal")
    assert (male.draw_side, male.draw_part, male.nominal) == ("male", "pin", 40.0)


def test_bought_side_hands_the_allowance_to_the_printed_one() -> None:
    screw = Side(name="tube", bought=Limits(19.9, 20.1))
    sizing = size_joint(_question(nominal=20.0, male=screw, draw="male"))
    assert (sizing.draw_side, sizing.draw_part) == ("female", "socket")
    name = {share.name: share for share in sizing.shares}["the size of the bought tube"]
    assert name.sd == pytest.approx(0.2 / math.sqrt(12))
    smaller = dataclasses.replace(screw, bought=Limits(19.7, 19.9))
    assert size_joint(_question(nominal=20.0, male=smaller)).draw == pytest.approx(sizing.draw - 0.2, abs=0.011)


@pytest.mark.parametrize("which", ["male", "female"])
def test_shares_of_a_bought_side_sum_to_the_allowance_too(which: str) -> None:
    sizing = size_joint(_question(nominal=20.0, **{which: Side(name="tube", bought=Limits(19.6, 19.8))}))
    room = sizing.allowance if sizing.draw_side == "female" else -sizing.allowance
    assert sum(share.mm for share in sizing.shares) == pytest.approx(room, abs=0.003)
    own = {share.name: share.mm for share in sizing.shares}["the size of the bought tube"]
    assert own == pytest.approx(-0.3 if which == "male" else 0.3)


def test_other_side_drawn_off_nominal_is_followed() -> None:
    plain = size_joint(_question())
    slim = size_joint(_question(male=dataclasses.replace(MALE, drawn=39.6)))
    assert slim.draw == pytest.approx(plain.draw - 0.4, abs=0.011)
    assert slim.clearance_drawn == pytest.approx(plain.clearance_drawn, abs=0.011)
    assert slim.chances_today is None and slim.clearance_today is None


def test_today_is_judged_as_drawn() -> None:
    male, female = dataclasses.replace(MALE, drawn=40.0), dataclasses.replace(FEMALE, drawn=40.0)
    sizing = size_joint(_question(male=male, female=female))
    assert sizing.clearance_today == 0
    assert sizing.chances_today is not None
    assert dict(sizing.chances_today)[Feel.SNUG] < sizing.chance_wanted
    assert dict(sizing.chances_today)[Feel.TIGHT] > dict(sizing.chances)[Feel.TIGHT]


def test_trial_pays_only_where_it_can_raise_the_chance() -> None:
    assert size_joint(_question()).trial_worth
    sure = {
        name: Spread(getattr(PLA, name).mean, 0.0) for name in ("outer_growth", "hole_shrink", "hole_curl", "scale_xy")
    }
    measured = dataclasses.replace(PLA, **sure)  # type: ignore[arg-type]
    sides = {"male": Side(name="pin", habits=measured), "female": Side(name="socket", habits=measured)}
    scattered = size_joint(_question(**sides))
    assert scattered.chance_wanted < TRIAL_BELOW and not scattered.trial_worth
    steady = dataclasses.replace(measured, scatter=0.015)
    sides = {"male": Side(name="pin", habits=steady), "female": Side(name="socket", habits=steady)}
    sizing = size_joint(_question(**sides))
    assert sizing.chance_wanted > 0.9 and not sizing.trial_worth


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"kind": JointKind.SNAP}, "a snap joint is not sized yet"),
        (
            {"male": Side(name="a", bought=Limits(1, 2)), "female": Side(name="b", bought=Limits(1, 2))},
            "both sides are bought",
        ),
        ({"male": Side(name="a")}, "a is neither or both of printed and bought"),
        ({"nominal": math.nan}, "nominal size is nan mm"),
        ({"kind": JointKind.THREAD}, "no thread is named"),
        ({"liner_wall": 25.0}, "a liner wall of 25 mm leaves no sleeve in a diameter of 40 mm"),
        ({"draw": "both"}, 'side "both" cannot take the allowance'),
        ({"male": Side(name="a", bought=Limits(5, 4))}, "a has limits 5 to 4 mm; give the smaller one first, above 0"),
        ({"male": Side(name="a", bought=Limits(90, 91))}, "no size within 7 mm of 40 mm makes joint neck snug"),
        ({"kind": JointKind.PUSH, "round": False}, "flat faces are given for a push joint"),
    ],
)
def test_questions_without_an_answer_are_refused(change: dict[str, object], words: str) -> None:
    with pytest.raises(ValueProblem) as refusal:
        size_joint(_question(**change))  # type: ignore[arg-type]
    assert words in str(refusal.value)

"""Learning from felt rungs: what a trial does to the sizing of its joint, of others, and to the boundaries of feel."""

from __future__ import annotations

import math
from dataclasses import replace
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as some
from learning_cases import NOZZLE, PRINTER, bench, habits, measured, pair, slide, trial

from shadewright.bench.asked import question_from, question_text
from shadewright.catalog.lookup import thread
from shadewright.catalog.threads import Limits
from shadewright.fit.defaults import built_in_habits
from shadewright.fit.evidence import TriedTrial
from shadewright.fit.feel import FEELS, built_in_bounds, chances
from shadewright.fit.gap import true_gap
from shadewright.fit.joint import Feel, JointKind, JointQuestion, Side, Sizing
from shadewright.fit.learn import Learned, learn, learned_question
from shadewright.fit.learn_joint import tried_clearances
from shadewright.fit.size import size_joint
from shadewright.printing import HABITS, Spread

TIGHT_FIRST = FEELS[::-1]
SNUG_AT_35 = ((40.15, Feel.TIGHT), (40.25, Feel.TIGHT), (40.35, Feel.SNUG), (40.45, Feel.EASY), (40.55, Feel.EASY))


def _sized(question: JointQuestion, learned: Learned) -> Sizing:
    return size_joint(learned_question(question, learned))


def _after(*trials: TriedTrial, read: int | None = None) -> Learned:
    return learn(bench(pair(measured(read) if read is not None else ()), trials=trials))


def test_without_trials_a_joint_is_sized_as_by_its_habits() -> None:
    question = slide()
    plain, learned = size_joint(question), _sized(question, _after())
    assert (learned.draw, learned.trial_worth) == (plain.draw, plain.trial_worth)
    assert learned.chance_wanted == pytest.approx(plain.chance_wanted, abs=0.005)
    assert learned.gap_sd == pytest.approx(plain.gap_sd, rel=0.005)


def test_a_settled_joint_is_drawn_as_its_rung_was_and_as_likely_as_was_promised() -> None:
    """The rung in the middle felt right: nothing to change but the certainty."""
    question = slide()
    before = size_joint(question)
    stair = [
        (round(before.draw + off, 2), felt)
        for off, felt in zip((-0.1, 0, 0.1), (Feel.TIGHT, Feel.SNUG, Feel.EASY), strict=True)
    ]
    after = _sized(question, _after(trial(question, *stair)))
    assert after.draw == before.draw
    assert before.chance_wanted + 0.6 * (before.chance_settled - before.chance_wanted) < after.chance_wanted
    assert after.chance_wanted < before.chance_settled + 0.03
    assert "1 trial of this joint" in after.source


def test_another_rung_moves_the_drawing_to_it() -> None:
    question = slide()
    before = size_joint(question)
    assert before.draw < 40.25
    after = _sized(question, _after(trial(question, *SNUG_AT_35)))
    assert after.draw == pytest.approx(40.35, abs=0.08)
    assert after.chance_wanted > before.chance_wanted
    twice = _sized(question, _after(trial(question, *SNUG_AT_35), trial(question, *SNUG_AT_35, name="neck 2")))
    assert twice.draw == 40.35
    assert twice.chance_wanted > after.chance_wanted


def test_a_rung_that_felt_right_by_a_fluke_is_not_followed() -> None:
    """Ten rungs of two trials say one thing, one rung another."""
    question = slide()
    odd = trial(question, (40.7, Feel.SNUG), name="odd")
    after = _sized(question, _after(trial(question, *SNUG_AT_35), trial(question, *SNUG_AT_35, name="neck 2"), odd))
    assert after.draw < 40.45
    lone = trial(question, (40.2, Feel.EASY), (40.3, Feel.FREE), (40.8, Feel.SNUG), name="lone")
    assert _sized(question, _after(lone)).draw < 40.3


def test_either_evidence_is_enough_and_both_are_better() -> None:
    question = slide()
    tried = trial(question, *SNUG_AT_35)
    spread = {
        name: _sized(question, learned).gap_sd
        for name, learned in {
            "none": _after(),
            "read": _after(read=4),
            "tried": _after(tried),
            "both": _after(tried, read=4),
        }.items()
    }
    assert spread["both"] < min(spread["read"], spread["tried"])
    assert max(spread["read"], spread["tried"]) < spread["none"]


def test_a_bought_thing_that_was_tried_is_known_in_its_other_joints() -> None:
    """The rungs say that the tube is at the large end of its limits; another bore on it profits."""
    tube = Limits(39.7, 40.1)
    question = slide(bought=tube)
    loose = [(40.25, Feel.FIXED), (40.35, Feel.TIGHT), (40.45, Feel.TIGHT)]
    learned = _after(trial(question, *loose), read=4)
    other = slide(bought=tube, name="foot", feel=Feel.EASY)
    asked = learned_question(other, learned)
    assert asked.settled is not None
    assert asked.settled.flat == 0.0
    assert asked.settled.shift < -0.05
    assert true_gap(asked, 0, 40.4).sd < 0.7 * true_gap(other, 0, 40.4).sd
    stranger = learned_question(slide(bought=Limits(39.7, 40.11)), learned).settled
    assert stranger is not None
    assert stranger.flat == pytest.approx(0.205)
    assert stranger.shift == pytest.approx(0.0, abs=1e-12)


def test_feels_of_one_plastic_tell_less_of_another_on_the_same_printer() -> None:
    tried = _after(trial(slide(), *((size + 0.1, felt) for size, felt in SNUG_AT_35)))
    pla, petg = tried.habits_of(PRINTER, NOZZLE, "PLA", "PLA"), tried.habits_of(PRINTER, NOZZLE, "PETG", "PETG")
    moved = pla.outer_growth.mean - built_in_habits(NOZZLE, "PLA").outer_growth.mean
    along = petg.outer_growth.mean - built_in_habits(NOZZLE, "PETG").outer_growth.mean
    assert 0.4 * moved < along < 0.9 * moved


def test_offsets_are_learned_fast_and_boundaries_slowly() -> None:
    """Two trials that feel 0.15 mm tighter than expected: the gap takes most of it, the hand a little."""
    question = slide()
    trials = [trial(question, *((size + 0.05, felt) for size, felt in SNUG_AT_35), name=f"neck {i}") for i in (1, 2)]
    learned = _after(*trials)
    asked = learned_question(question, learned)
    gap = true_gap(asked, 40.0, 40.3).mean - true_gap(question, 40.0, 40.3).mean
    bounds = learned.bounds_of(JointKind.SLIDE)
    hand = np.mean(np.array(bounds.gaps) - np.array(built_in_bounds(JointKind.SLIDE).gaps))
    assert gap < -0.07
    assert 0 < hand < 0.35 * -gap
    assert learned.bounds_of(JointKind.PUSH) == built_in_bounds(JointKind.PUSH)


def test_many_calibrated_trials_teach_the_hand() -> None:
    """With the printer measured, a maker who calls snug what others call easy is understood."""
    question = slide()
    late = tuple((size, TIGHT_FIRST[max(TIGHT_FIRST.index(felt) - 1, 0)]) for size, felt in SNUG_AT_35)
    trials = [trial(question, *late, name=f"neck {i}") for i in range(8)]
    bounds = _after(*trials, read=4).bounds_of(JointKind.SLIDE)
    assert bounds.gaps[2] > built_in_bounds(JointKind.SLIDE).gaps[2] + 0.015
    assert bounds.softness < built_in_bounds(JointKind.SLIDE).softness


@settings(max_examples=25, deadline=None)
@given(
    some.lists(some.tuples(some.floats(39.6, 41.0), some.sampled_from(FEELS)), min_size=1, max_size=7),
    some.sampled_from([None, Limits(39.8, 40.1)]),
)
def test_whatever_is_felt_boundaries_keep_their_order(rungs: list[tuple[float, Feel]], bought: Limits | None) -> None:
    question = slide(bought=bought)
    learned = learn(bench(pair(), trials=(trial(question, *rungs),)))
    gaps = learned.bounds_of(JointKind.SLIDE).gaps
    assert all(low < high for low, high in pairwise(gaps))
    for name in HABITS:
        spread = getattr(learned.pairs[0][1], name)
        assert math.isfinite(spread.mean)
        assert 0 < spread.sd < 2.5 * getattr(habits(), name).sd
    asked = learned_question(question, learned)
    assert asked.settled is not None
    assert all(low < high for low, high in pairwise(asked.settled.gaps))
    assert 0 <= asked.settled.sd < 0.3


def test_chances_after_trials_are_as_good_as_they_say() -> None:
    """Printers, hands and scatter drawn from the belief itself, each with one trial of four rungs.

    The printers draw what the program then advises; as many joints come out right as it says (binomial, 3 sigma).
    """
    random = np.random.default_rng(12)
    question = slide()
    table = built_in_bounds(JointKind.SLIDE)
    first = size_joint(question).draw
    said, right = [], 0
    for _ in range(100):
        shop = _Shop(random)
        tried = [(round(first + off, 2), shop.feel(first + off, shop.rung_offset())) for off in shop.steps]
        after = _sized(question, _after(trial(question, *tried)))
        said.append(after.chance_wanted)
        right += shop.feel(after.draw, shop.part_offset(), table.softness) is Feel.SNUG
    expected = float(np.mean(said))
    assert right / 100 == pytest.approx(expected, abs=3 * math.sqrt(expected * (1 - expected) / 100))
    assert expected > size_joint(question).chance_wanted + 0.08


class _Shop:
    """One printer with its hand, as ``learn_prior`` and ``learn_joint`` describe them."""

    steps = (-0.15, -0.05, 0.05, 0.15)

    def __init__(self, random: np.random.Generator) -> None:
        self.random, start = random, built_in_habits(NOZZLE, "PLA")
        factor = 3.0 if random.random() < 0.2 else 0.5
        drawn = {name: getattr(start, name) for name in HABITS}
        family = {"outer_growth": 0.15, "hole_shrink": 0.15, "hole_curl": 0.2, "scale_xy": 0.45}
        self.habit = {
            name: spread.mean + spread.sd * random.normal(0, math.sqrt(factor * (1 - share) + share))
            for (name, spread), share in ((pair, family.get(pair[0], 0.0)) for pair in drawn.items())
        }
        self.scatter = start.scatter * math.exp(random.normal(-0.16, 0.4))
        table = built_in_bounds(JointKind.SLIDE)
        self.once = table.softness * math.sqrt(0.3)
        shift = random.normal(0, table.softness * math.sqrt(0.5))
        self.edges = np.array(table.gaps) + shift + random.normal(0, table.softness * math.sqrt(0.2), 5)
        self.shared = random.normal(0, self.scatter * math.sqrt(0.5)) + random.normal(0, self.scatter)

    def rung_offset(self) -> float:
        return float(self.shared + self.random.normal(0, self.scatter * math.sqrt(0.5)))

    def part_offset(self) -> float:
        return float(self.random.normal(0, self.scatter * math.sqrt(2)))

    def feel(self, bore: float, offset: float, softness: float = 0.0) -> Feel:
        hole = bore * self.habit["scale_xy"] - self.habit["hole_shrink"] - self.habit["hole_curl"] / bore
        gap = hole - 40.0 * self.habit["scale_xy"] - 2 * self.habit["outer_growth"] + offset
        return TIGHT_FIRST[int(np.searchsorted(self.edges, gap + self.random.normal(0, self.once)))]


def test_a_thread_on_a_bought_stud_is_learned() -> None:
    """All terms of a thread's gap: ridges, the stud's flanks, the printed hole."""
    row = thread("M10x1")
    stud = Side(name="stud", bought=row.male.major)
    question = JointQuestion(
        name="nut",
        kind=JointKind.THREAD,
        feel=Feel.EASY,
        nominal=row.major,
        length=8.0,
        male=stud,
        female=Side(name="cap", habits=habits()),
        thread=row,
    )
    before = size_joint(question)
    stair = [
        (round(before.draw + off, 2), felt) for off, felt in ((-0.1, Feel.TIGHT), (0.1, Feel.SNUG), (0.25, Feel.EASY))
    ]
    after = _sized(question, _after(trial(question, *stair)))
    assert after.draw > before.draw + 0.08
    assert after.chance_wanted > before.chance_wanted
    assert after.gap == pytest.approx(sum(built_in_bounds(JointKind.THREAD).band(Feel.EASY)) / 2, abs=0.05)


def test_rungs_on_the_male_side_are_read_the_other_way_round() -> None:
    question = replace(slide(), draw="male")
    stair = ((39.85, Feel.SNUG), (39.75, Feel.SNUG), (39.65, Feel.EASY))
    male = TriedTrial(
        **{
            **{
                f: getattr(trial(question, *stair), f)
                for f in ("name", "question", "rungs", "printer", "nozzle", "plastic")
            },
            "rung_side": "male",
            "mate_drawn": 40.0,
            "mate_plastic": "PLA",
        }
    )
    learned = learn(bench(pair(), trials=(male,)))
    sized = _sized(question, learned)
    assert 39.75 <= sized.draw <= 39.85
    assert tried_clearances(question, learned.evidence) == ((0.15, Feel.SNUG), (0.25, Feel.SNUG), (0.35, Feel.EASY))


def test_bumps_of_openings_are_added_to_what_was_tried_without_them() -> None:
    plain = slide()
    open_wall = replace(plain, bumps=Spread(0.15, 0.08))
    learned = _after(trial(open_wall, *SNUG_AT_35), read=4)
    assert dict(tried_clearances(open_wall, learned.evidence))[0.5] is Feel.SNUG
    assert _sized(open_wall, learned).draw == pytest.approx(_sized(plain, learned).draw + 0.15, abs=0.02)


def test_a_joint_that_was_changed_much_is_not_the_one_that_was_tried() -> None:
    learned = _after(trial(slide(), *SNUG_AT_35))
    assert tried_clearances(slide(nominal=40.4), learned.evidence)
    assert not tried_clearances(slide(nominal=42.0), learned.evidence)
    assert not tried_clearances(slide(name="foot"), learned.evidence)


def test_habits_of_nobody_in_particular_are_learned_from_too() -> None:
    """A trial that does not say what it was printed with tells of the habits it was asked with."""
    asked = replace(
        slide(),
        male=Side(name="tube", habits=built_in_habits(NOZZLE, "PLA")),
        female=Side(name="shade", habits=built_in_habits(NOZZLE, "PLA")),
    )
    nobody = replace(trial(asked, *SNUG_AT_35), printer="")
    learned = learn(bench(trials=(nobody,)))
    assert learned.pairs == ()
    assert _sized(asked, learned).draw > size_joint(asked).draw + 0.05


def test_a_learned_question_survives_being_kept_as_text() -> None:
    question = learned_question(slide(), _after(trial(slide(), *SNUG_AT_35)))
    assert question_from(question_text(question)) == question
    gap = true_gap(question, 40.0, 40.3)
    assert question.settled is not None
    total = sum(chance for _, chance in chances(gap.mean, gap.normal_sd, built_in_bounds(JointKind.SLIDE)))
    assert total == pytest.approx(1.0)

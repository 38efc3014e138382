"""From lamp.toml to sizing questions and verdicts."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from lamps import SLIDE, lamp_folder

from shadewright.bench.store import Bench
from shadewright.errors import UnknownName, UserError, ValueProblem
from shadewright.findings import Verdict
from shadewright.fit.joint import Feel, JointKind
from shadewright.lamp.read import read_lamp
from shadewright.study.joints import study_joint
from shadewright.study.questions import question_for


@pytest.fixture
def bench(tmp_path: Path) -> Iterator[Bench]:
    with Bench.open(tmp_path / "bench.sqlite") as opened:
        yield opened


def question(tmp_path: Path, bench: Bench, text: str, name: str = "fit"):
    return question_for(read_lamp(lamp_folder(tmp_path / "lamp", text)), name, bench)


def test_a_slide_takes_its_habits_from_each_parts_plastic(tmp_path: Path, bench: Bench) -> None:
    text = SLIDE.replace("[joint", '[printing]\nplastic = "PETG"\n[joint')
    asked = question(tmp_path, bench, text)

    assert (asked.kind, asked.feel, asked.nominal, asked.draw) == (JointKind.SLIDE, Feel.SNUG, 20.0, "female")
    assert asked.male.habits == bench.setup(plastic="PETG", layer=0.2).habits
    assert asked.male.habits != bench.setup(plastic="PLA", layer=0.2).habits


def test_facets_become_the_distance_from_circle_to_flat(tmp_path: Path, bench: Bench) -> None:
    asked = question(tmp_path, bench, SLIDE + "drawn_female = 20.0\nfacets_female = 32\n")

    # r 10, n 32 -> sagitta 0.04815: geometry of a regular polygon, r (1 - cos(pi/n)), worked by hand.
    assert asked.female.sagitta == pytest.approx(0.04815, abs=1e-5)
    assert asked.male.sagitta == 0.0


def test_a_measured_holder_narrows_the_tables_limits(tmp_path: Path, bench: Bench) -> None:
    text = """
[bought.holder]
kind = "holder"
readings = { outside = [39.5, 39.6], crests = 5, over = 10.0 }
[joint.ring]
kind = "thread"
male = "holder"
female = "socket"
thread = "E27 barrel"
feel = "easy"
"""
    asked = question(tmp_path, bench, text, "ring")

    assert asked.male.bought is not None
    assert asked.male.bought.low < 39.55 < asked.male.bought.high
    assert asked.male.bought.width < 0.2


def test_a_thread_joint_without_a_name_is_named_by_its_readings(tmp_path: Path, bench: Bench) -> None:
    text = """
[bought.nipple]
kind = "pipe"
readings = { outside = [9.9, 9.92], crests = 10, over = 9.0 }
[joint.entry]
kind = "thread"
male = "nipple"
female = "socket"
"""
    asked = question(tmp_path, bench, text, "entry")

    # 9 pitches in 9.0 mm is a pitch of 1: M10x1, not 1/8-27, whose 9 pitches make 8.47 mm.
    assert asked.thread is not None
    assert asked.thread.name == "M10x1"


def test_readings_that_do_not_tell_ask_for_the_next_measurement(tmp_path: Path, bench: Bench) -> None:
    text = """
[bought.nipple]
kind = "pipe"
readings = { outside = [9.93] }
[joint.entry]
kind = "thread"
male = "nipple"
female = "socket"
"""
    with pytest.raises(ValueProblem, match=r"lamp.toml, line \d+: the readings of \"nipple\" do not name its thread"):
        question(tmp_path, bench, text, "entry")


def test_an_unknown_joint_offers_near_names(tmp_path: Path, bench: Bench) -> None:
    with pytest.raises(UnknownName, match='use "fit"'):
        question(tmp_path, bench, SLIDE, "fitt")


def answer(tmp_path: Path, bench: Bench, text: str):
    return study_joint(read_lamp(lamp_folder(tmp_path / "lamp", text)), "fit", bench, {})


def test_a_snug_slide_drawn_without_clearance_fails_and_says_what_to_draw(tmp_path: Path, bench: Bench) -> None:
    result = answer(tmp_path, bench, SLIDE + "drawn_male = 20.0\ndrawn_female = 20.0\n")
    (finding,) = result.findings

    assert finding.verdict is Verdict.FAILING
    assert result.study.sizing is not None
    # Common practice, no source: half a nozzle of 0.4 on the diameter.
    assert result.study.sizing.draw == pytest.approx(20.2, abs=0.06)
    assert f"drawn 20.00, should be {result.study.sizing.draw:.2f}: make the bore of socket" in finding.cure


def test_a_slide_drawn_as_told_no_longer_fails(tmp_path: Path, bench: Bench) -> None:
    first = answer(tmp_path, bench, SLIDE).study.sizing
    assert first is not None
    again = answer(tmp_path / "again", bench, SLIDE + f"drawn_male = 20.0\ndrawn_female = {first.draw}\n")

    assert again.findings[0].verdict in {Verdict.SOUND, Verdict.UNKNOWN}
    assert again.findings[0].value == pytest.approx(100 * first.chance_wanted, abs=0.51)


def test_an_unsure_joint_gets_a_trial_shorter_than_its_part(tmp_path: Path, bench: Bench) -> None:
    result = answer(tmp_path, bench, SLIDE)

    assert result.findings[0].verdict is Verdict.UNKNOWN
    assert "trials/fit.3mf" in result.findings[0].cure
    assert result.study.trial is not None
    assert 3 <= len(result.study.trial.piece.rungs) <= 7


def test_a_kind_that_is_not_sized_is_unknown_not_sound(tmp_path: Path, bench: Bench) -> None:
    result = answer(tmp_path, bench, SLIDE.replace('"slide"', '"snap"'))

    assert result.study.sizing is None
    assert result.findings[0].verdict is Verdict.UNKNOWN


def test_two_bought_sides_are_refused(tmp_path: Path, bench: Bench) -> None:
    text = SLIDE.replace('male = "post"', 'male = "a"').replace('female = "socket"', 'female = "b"')
    text += '[bought.a]\nkind = "pipe"\ndiameter = 10.0\n[bought.b]\nkind = "ring"\ndiameter = 10.0\n'
    with pytest.raises(UserError, match="bought"):
        answer(tmp_path, bench, text)

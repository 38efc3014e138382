"""Trials from the making to the feel of their rungs: at the prompt, on the bench, and what they teach."""

from __future__ import annotations

import json
import re
from dataclasses import replace
from pathlib import Path

import pytest
from evidence_samples import ATTIC, MATTE, NECK

from shadewright.bench.records import RungRecord, TrialRecord
from shadewright.bench.store import Bench
from shadewright.bench.trials import contradictions, keep_trial, trial_tried
from shadewright.cli import study
from shadewright.cli.main import main
from shadewright.errors import ValueProblem
from shadewright.fit.joint import Feel, JointQuestion, Side
from shadewright.fit.size import size_joint
from shadewright.solid.plain_features import Socket, plain_solid
from shadewright.solid.trial import trial_for
from shadewright.solid.write import write_stl

Told = pytest.CaptureFixture[str]

LAMP = """
schema = 1

[lamp]
name = "Test lamp"

[printing]
plastic = "PETG"

[part.shade]
model = "shade.stl"

[part.liner]
model = "liner.stl"
plastic = "PLA"

[joint.neck]
kind = "slide"
male = "liner"
female = "shade"
feel = "snug"
nominal = 16.0
"""


@pytest.fixture(autouse=True)
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.chdir(tmp_path)
    return tmp_path


@pytest.fixture
def lamp(folder: Path) -> str:
    (folder / "porch").mkdir()
    (folder / "porch" / "lamp.toml").write_text(LAMP, encoding="utf-8")
    for part in ("shade", "liner"):
        write_stl(folder / "porch" / f"{part}.stl", plain_solid(Socket(bore=16, length=10)))
    return "porch"


def trials() -> tuple[TrialRecord, ...]:
    with Bench.open() as bench:
        return bench.trials()


def feels(record: TrialRecord) -> list[str | None]:
    return [rung.outcome and rung.outcome.value for rung in record.rungs]


def test_a_lamps_trial_is_kept_with_all_it_asked(lamp: str, capsys: Told) -> None:
    assert main(["trial", lamp, "neck"]) == 0

    text = capsys.readouterr().out
    assert 'Kept as porch/neck-1. When it was tried: shadewright trial record "porch/neck-1" 1=tight' in text
    (record,) = trials()
    assert (record.name, record.lamp, record.joint, record.rung_side) == ("porch/neck-1", "porch", "neck", "female")
    assert (record.printer, record.nozzle, record.plastic, record.mate_plastic) == ("built-in", 0.4, "PETG", "PLA")
    assert record.question is not None
    assert (record.question.name, record.question.feel, record.question.settled) == ("neck", Feel.SNUG, None)
    assert record.mate_drawn == 16.0
    for rung in record.rungs:
        assert rung.drawn - record.mate_drawn == pytest.approx(rung.clearance, abs=1e-6)


def test_the_same_trial_made_again_stays_the_one_it_was(lamp: str) -> None:
    main(["trial", lamp, "neck"])
    main(["trial", lamp, "neck"])
    assert [one.name for one in trials()] == ["porch/neck-1"]

    main(["trial", lamp, "neck", "--rungs", "3"])
    assert [one.name for one in trials()] == ["porch/neck-1", "porch/neck-2"]


def test_feels_are_kept_and_what_to_draw_is_said(lamp: str, capsys: Told) -> None:
    main(["trial", lamp, "neck"])
    capsys.readouterr()

    assert main(["trial", "record", lamp, "neck", "1-2=fixed", "3=tight", "4=snug"]) == 0

    text = capsys.readouterr().out
    assert text.startswith("Kept trial porch/neck-1:\n  rung 1: digits ")
    assert re.search(r"rung 4: digits +\d+, drawn +16\.\d\d mm   snug\n  rung 5: .* untried\n", text)
    assert re.search(r"draw +(16\.\d\d) mm +16\.\d\d mm\n  snug in +\d\d % +\d\d %\n", text)
    (record,) = trials()
    assert feels(record) == ["fixed", "fixed", "tight", "snug", None]
    before, now = map(float, re.findall(r"(16\.\d\d) mm", text.split("draw  ")[1])[:2])
    assert now > before  # tighter than expected, so more room is drawn


def test_json_tells_before_and_after(lamp: str, capsys: Told) -> None:
    main(["trial", lamp, "neck"])
    capsys.readouterr()

    assert main(["trial", "record", lamp, "neck", "3=snug", "--json"]) == 0

    told = json.loads(capsys.readouterr().out)
    assert told["trial"]["rungs"][2]["outcome"] == "snug"
    assert told["after"]["chance_wanted"] > told["before"]["chance_wanted"]


def test_later_commands_draw_by_what_was_felt(capsys: Told) -> None:
    main(["size", "slide", "16", "--json"])
    before = json.loads(capsys.readouterr().out)["draw"]
    main(["trial", "slide", "16"])
    main(["trial", "record", "slide", "16", "1-4=fixed", "5=tight"])
    capsys.readouterr()

    for command in (["size", "slide", "16"], ["make", "socket", "16", "-o", "s.stl"]):
        main([*command, "--json"])
        told = json.loads(capsys.readouterr().out)
        assert told.get("draw", told.get("drawn")) > before + 0.05


def test_what_is_recorded_again_replaces_what_was(lamp: str) -> None:
    main(["trial", lamp, "neck"])
    main(["trial", "record", lamp, "neck", "2=tight", "3=snug"])

    assert main(["trial", "record", "Porch/Neck-1", "3=easy", "2=untried"]) == 0

    (record,) = trials()
    assert feels(record) == [None, None, "easy", None, None]


def test_outcomes_speak_of_the_trial_made_since_the_last_that_was_tried(lamp: str, capsys: Told) -> None:
    main(["trial", lamp, "neck"])
    main(["trial", "record", lamp, "neck", "all=fixed"])
    main(["trial", lamp, "neck"])
    main(["trial", "record", lamp, "neck", "3=snug"])

    assert [(one.name, feels(one)[2]) for one in trials()] == [("porch/neck-1", "fixed"), ("porch/neck-2", "snug")]
    assert all(one.question and one.question.settled is None for one in trials())  # what was asked, not what is known
    main(["trial", "record", lamp, "neck", "4=easy"])  # nothing was made since: added to the last
    assert feels(trials()[1])[2:4] == ["snug", "easy"]


def test_of_several_untried_trials_the_digits_tell(lamp: str, capsys: Told) -> None:
    main(["trial", lamp, "neck"])
    main(["trial", lamp, "neck", "--rungs", "3"])
    capsys.readouterr()

    assert main(["trial", "record", lamp, "neck", "3=snug"]) == 2

    sentence = capsys.readouterr().err
    assert re.search(
        r"several trials of neck were made \(porch/neck-1 has [\d -]+; porch/neck-2 has [\d -]+\); name", sentence
    )
    assert main(["trial", "record", "porch/neck-2", "3=snug"]) == 0


def test_a_tighter_rung_that_feels_looser_is_asked_about(lamp: str, capsys: Told) -> None:
    main(["trial", lamp, "neck"])
    capsys.readouterr()

    assert main(["trial", "record", lamp, "neck", "2=free", "3=snug", "4=easy"]) == 2

    told = capsys.readouterr()
    cure = "feel them again, or keep it with --sure."
    assert told.err.splitlines() == [
        f"rung 2 has less room than rung 3 and feels looser (free against snug); {cure}",
        f"rung 2 has less room than rung 4 and feels looser (free against easy); {cure}",
    ]
    assert feels(trials()[0]) == [None] * 5
    assert main(["trial", "record", lamp, "neck", "2=free", "3=snug", "4=easy", "--sure"]) == 0
    assert feels(trials()[0])[1] == "free"


@pytest.mark.parametrize(
    ("typed", "sentence"),
    [
        ("porch neck", "trial record: no outcome is given; add e.g. 3=snug 4=free."),
        ("3=snug", "trial record: which trial is meant is not said; name a lamp and a joint"),
        ("a b c 3=snug", "trial record: too many names are given"),
        ("porch neck 9=snug", "trial porch/neck-1 has no rung 9; its rungs are 1 to 5."),
        ("porch neck 3=snugg", '3=snugg: no feel is called "snugg"; use "snug".'),
        ("porch neck three=snug", '"three=snug" is no outcome; write e.g. 3=snug, 1-2=fixed or all=loose.'),
        ("porch neck 4-2=snug", "4-2=snug: 4-2 counts backwards; write the smaller number first."),
        ("porch neck 3=snug 2-4=free", "rung 3 is given twice; give each one feel."),
        ("porch neck none fits", "none fits can be said in two ways; write all=fixed when the mate goes into none"),
        ("porch neck none-fits", "none fits can be said in two ways"),
        ("porch collar 3=snug", 'no trial of collar was made yet; make one with "shadewright trial"'),
        ("porch/nek-1 3=snug", 'no trial is called "porch/nek-1"; use "porch/neck-1".'),
    ],
)
def test_what_makes_no_sense_is_refused_in_a_sentence(typed: str, sentence: str, capsys: Told) -> None:
    rungs = tuple(RungRecord(number=n, drawn=16 + n / 10, clearance=n / 10) for n in range(1, 6))
    with Bench.open() as bench:
        bench.keep(replace(NECK, rungs=rungs))

    assert main(["trial", "record", *typed.split()]) == 2

    told = capsys.readouterr()
    assert told.out == ""
    assert sentence in told.err
    assert len(told.err.strip().splitlines()) == 1
    assert feels(trials()[0]) == [None] * 5


def test_the_list_shows_latest_first_and_forgets(lamp: str, capsys: Told) -> None:
    assert main(["trial", "list"]) == 0
    assert capsys.readouterr().out == 'No trials are kept; "shadewright trial LAMP JOINT" makes one.\n'
    main(["trial", lamp, "neck"])
    main(["trial", "slide", "20", "--rungs", "3"])
    main(["trial", "record", lamp, "neck", "3=snug"])
    capsys.readouterr()

    assert main(["trial", "list"]) == 0
    heads = [line for line in capsys.readouterr().out.splitlines() if not line.startswith("  ")]
    assert [head.split(":")[0] for head in heads] == ["slide 20-1", "porch/neck-1"]
    assert main(["trial", "list", "porch"]) == 0
    shown = capsys.readouterr().out
    assert shown.startswith("porch/neck-1: slide, wanted snug, built-in, nozzle 0.4, PETG, ")
    assert shown.count("rung") == 5
    assert main(["trial", "list", "--forget", "SLIDE 20-1"]) == 0
    assert [one.name for one in trials()] == ["porch/neck-1"]
    assert main(["trial", "list", "--forget", "slide 20-1"]) == 2


@pytest.mark.xfail(reason="a small part is its own trial now: this needs a lamp with a larger part")
def test_a_study_keeps_the_trials_it_writes(lamp: str, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(study, "_write", lambda *given: (Path("sheet.pdf"),))  # paper has tests of its own
    assert main(["study", lamp, "--no-paper"]) in (0, 1)
    assert trials() == ()

    for _ in range(2):
        assert main(["study", lamp]) in (0, 1)

    assert [one.name for one in trials()] == ["porch/neck-1"]
    assert len(trials()[0].rungs) >= 3


def test_a_lamp_in_a_folder_called_like_a_word_is_still_a_lamp(folder: Path, lamp: str, capsys: Told) -> None:
    (folder / "porch").rename(folder / "record")

    assert main(["trial", "./record", "neck"]) == 0
    assert main(["trial", "record", "./record", "neck", "3=snug"]) == 0
    assert feels(trials()[0])[2] == "snug"


def question(**sides: object) -> JointQuestion:
    assert NECK.question is not None
    with Bench.open() as bench:
        bench.keep(ATTIC, MATTE)
        habits = bench.habits_of("attic", 0.4, "matte")
    printed = {"male": Side(name="liner", habits=habits), "female": Side(name="shade", habits=habits)}
    return replace(NECK.question, nominal=16.0, liner_wall=None, **{**printed, **sides})  # type: ignore[arg-type]


@pytest.mark.parametrize("draw", ["male", "female"])
def test_the_mate_is_kept_at_its_drawn_size(draw: str) -> None:
    asked = question(draw=draw)
    sizing = size_joint(asked)
    with Bench.open() as bench:
        record = keep_trial(bench, asked, sizing, trial_for(asked, sizing), lamp="porch", made_on="2025-05-01")

    assert record is not None
    assert record.rung_side == draw
    sign = 1 if draw == "female" else -1
    for rung in record.rungs:
        assert sign * (rung.drawn - (record.mate_drawn or 0)) == pytest.approx(rung.clearance, abs=1e-3)


def test_a_joint_of_nobodys_habits_is_not_kept() -> None:
    asked = question()
    sizing = size_joint(asked)
    assert asked.female.habits is not None
    nobodys = replace(asked, female=replace(asked.female, habits=replace(asked.female.habits, pair=None)))

    with Bench.open() as bench, pytest.raises(ValueProblem, match="nobody knows what neck is printed with"):
        keep_trial(bench, nobodys, sizing, trial_for(asked, sizing), lamp="", made_on="2025-05-01")


def test_contradictions_go_by_room_not_by_number() -> None:
    backwards = replace(NECK, rungs=tuple(replace(one, number=4 - one.number) for one in NECK.rungs))

    assert contradictions(NECK) == contradictions(backwards) == ()
    swapped = replace(NECK, rungs=(replace(NECK.rungs[0], outcome=Feel.EASY), *NECK.rungs[1:]))
    assert len(contradictions(swapped)) == 1


def test_ten_trials_are_in_order() -> None:
    with Bench.open() as bench:
        for number in range(1, 12):
            bench.keep(replace(NECK, name=f"porch/neck-{number}", made_on="2025-04-03"))

        assert trial_tried(bench, "PORCH", "Neck").name == "porch/neck-11"

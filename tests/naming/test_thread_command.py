"""``shadewright thread`` as a person meets it."""

import json
from xml.etree import ElementTree as Tree

import pytest

from shadewright.cli.main import main


def tell(capsys, *words):
    code = main(["thread", *words])
    said = capsys.readouterr()
    return code, said.out, said.err


def test_a_barrel_is_named(capsys):
    code, out, _ = tell(capsys, "--outside", "39.4", "39.5", "--crests", "5", "--over", "10.1")

    assert code == 0
    assert out.startswith("E27 barrel, with a chance of > 99 %.\n")
    assert "5 crests (4 pitches) in 10.10 mm make a pitch of 2.52 against its 2.50 mm" in " ".join(out.split())


@pytest.mark.parametrize(
    "words",
    [
        ("--outside", "9.93"),
        ("--inside", "24.95", "--per-inch", "7"),
        ("--outside", "9.93", "--crests", "10", "--over", "10"),
        ("--inside", "9.05", "--form", "sharp"),
        ("--outside", "26.3", "--per-10mm", "2.75", "--tapered", "no"),
        ("--outside", "80"),
    ],
)
def test_lines_stay_under_ninety_columns(capsys, words):
    code, out, _ = tell(capsys, *words)

    assert code == 0
    assert max(map(len, out.splitlines())) < 90


def test_an_open_question_asks_for_the_pitch_by_its_option(capsys):
    _, out, _ = tell(capsys, "--outside", "9.93")

    assert out.startswith("Not settled yet")
    assert "Give it as: --crests 11 --over MM" in out
    assert "How to measure" in out


def test_far_readings_name_nothing(capsys):
    _, out, _ = tell(capsys, "--outside", "80", "--crests", "3", "--over", "8")

    assert out.startswith("None of the threads in the tables fits")
    assert "fits no row" in out


def test_json_carries_everything(capsys):
    code, out, _ = tell(capsys, "--outside", "26.3", "--per-inch", "7", "--json")
    data = json.loads(out)

    assert code == 0
    assert {member["name"] for member in data["candidates"][0]["members"]} == {"E26", "E27"}
    total = sum(one["probability"] for one in data["candidates"]) + data["none_probability"]
    assert total + data["others_probability"] == pytest.approx(1)
    assert data["next_measurement"]["measurement"] == "root"


@pytest.mark.parametrize(
    ("words", "sentence"),
    [
        (
            (),
            "shadewright thread: no diameter was given; "
            "add --outside MM for a male thread, or --inside MM for a female one.",
        ),
        (
            ("--outside", "10", "--inside", "9"),
            "--outside, --inside: a thread is measured either outside or inside; "
            "give the one you hold; what screws onto or into it goes to --mate.",
        ),
        (
            ("--inside", "10", "--crests", "4"),
            "--over: crests were counted but not measured; add the length from the first to the last of these crests.",
        ),
        (("--outside", "-3"), "--outside: -3 is not above 0; write a number above 0."),
        (
            ("--outside", "10", "--per-inch", "20", "--per-10mm", "8"),
            "--per-10mm, --per-inch: the pitch was given twice; give one of them.",
        ),
        (
            ("--inside", "0.39"),
            "--inside: 0.39 mm is thinner than any thread known here; give millimetres; 0.39 inch would be 9.91 mm.",
        ),
        (
            ("--outside", "10", "--per-inch", "1"),
            "--per-inch: a pitch of 25.4 mm cannot be on a thread of 10 mm; "
            "n crests span n - 1 pitches, lengths are in mm; count and measure again.",
        ),
        (
            ("--outside", "10", "--caliper", "4"),
            "--caliper: a caliper error of 4 mm cannot be used; "
            "give the spread of one reading, such as 0.05, at most 1.",
        ),
        (("--outside", "10", "--drawing", "jaws.png"), '--drawing: "jaws.png" does not end in .svg; name it jaws.svg.'),
    ],
)
def test_mistakes_are_told_in_one_sentence(capsys, words, sentence):
    code, out, err = tell(capsys, *words)

    assert code == 2
    assert out == ""
    assert err.strip() == sentence


@pytest.mark.parametrize("size", ["--outside", "--inside"])
def test_the_drawing_is_written(capsys, tmp_path, size):
    target = tmp_path / "how.svg"
    code, out, _ = tell(capsys, size, "10", "--drawing", str(target))

    assert code == 0
    assert str(target) in out
    assert Tree.parse(target).getroot().tag.endswith("svg")

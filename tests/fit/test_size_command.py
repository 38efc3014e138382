"""``shadewright size`` at the prompt."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from shadewright.cli.main import main


@pytest.fixture
def bench(tmp_path: Path) -> list[str]:
    return ["--bench", str(tmp_path / "bench.sqlite")]


def test_says_what_to_draw_with_bars_and_shares(bench: list[str], capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["size", "slide", "40", "--feel", "easy", "--drawn-female", "40", *bench]) == 0
    text = capsys.readouterr().out
    assert text.startswith("Draw the bore of female side 40.")
    assert "Chances drawn so (easy is wanted)" in text
    assert "Chances as drawn today (clearance +0.00 mm)" in text
    assert "> easy" in text and "█" in text
    assert "walls growing into the gap" in text
    assert "Print a trial first" in text
    assert max(map(len, text.splitlines())) <= 90


def test_json_holds_the_sizing(bench: list[str], capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["size", "thread", "E27 barrel", "--bought", "male", "--limits", "39.5", "39.6", "--json", *bench]) == 0
    answer = json.loads(capsys.readouterr().out)
    assert answer["draw_side"] == "female"
    assert answer["draw"] == pytest.approx(answer["nominal"] + answer["allowance"])
    assert sum(chance for _, chance in answer["chances"]) == pytest.approx(1)


def test_smaller_holder_asks_for_a_smaller_ring(bench: list[str], capsys: pytest.CaptureFixture[str]) -> None:
    draws = []
    for low, high in (("39.70", "39.76"), ("39.50", "39.56")):
        main(["size", "thread", "E27 barrel", "--bought", "male", "--limits", low, high, "--json", *bench])
        draws.append(json.loads(capsys.readouterr().out)["draw"])
    assert draws[0] - draws[1] == pytest.approx(0.2, abs=0.011)


def test_facets_of_both_sides_cancel_but_one_does_not(bench: list[str], capsys: pytest.CaptureFixture[str]) -> None:
    draws = []
    for options in (
        [],
        ["--facets", "48"],
        ["--bought", "male", "--limits", "40", "40"],
        ["--bought", "male", "--limits", "40", "40", "--facets", "48"],
    ):
        main(["size", "slide", "40", *options, "--json", *bench])
        draws.append(json.loads(capsys.readouterr().out)["draw"])
    sagitta = 20 * (1 - 0.9978589232386035)  # cos(180/48 degrees)
    assert draws[1] == pytest.approx(draws[0], abs=0.011)
    assert draws[3] - draws[2] == pytest.approx(4 / 3 * sagitta, abs=0.011)


@pytest.mark.parametrize(
    ("words", "message"),
    [
        (["slide", "wide"], 'SIZE: "wide" is not a number'),
        (["slide", "40", "--limits", "39", "40"], "--limits speaks of a bought side; say which"),
        (["slide", "40", "--bought", "male"], "the bought male side has no size; add --limits LOW HIGH"),
        (["slide", "40", "--bought", "male", "--limits", "39", "40", "--drawn-male", "40"], "leave out --drawn-male"),
        (["thread", "E272"], 'no thread is called "E272"; use "E27"'),
        (["push", "6", "--flat"], "flat faces are given for a push joint"),
    ],
)
def test_mistakes_are_told_in_one_sentence(
    words: list[str], message: str, bench: list[str], capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["size", *words, *bench]) == 2
    assert message in capsys.readouterr().err

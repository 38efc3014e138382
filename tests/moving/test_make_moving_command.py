"""``shadewright make`` for hooks, beads, clips, bayonets and pivots: what it writes, says and refuses."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from moving_bench import need_step

from shadewright.cli.main import main
from shadewright.solid import kernel
from shadewright.solid.read import read_model

CASES = {
    "hook": (["hook", "14", "--thickness", "1.4"], 2),
    "bead": (["bead", "30", "--softer", "both"], 2),
    "clip": (["clip", "6", "--limits", "5.95", "6.05"], 1),
    "bayonet": (["bayonet", "24", "--bore", "18", "--lug-width", "5", "--turn", "40", "--path", "J"], 2),
    "pivot": (["pivot", "M4", "--teeth", "12"], 2),
}


@pytest.mark.parametrize(("words", "sides"), CASES.values(), ids=CASES.keys())
def test_both_sides_in_one_3mf(
    words: list[str], sides: int, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    target = tmp_path / "pair.3mf"
    assert main(["make", *words, "--plastic", "PETG", "-o", str(target)]) == 0
    said = capsys.readouterr().out
    assert "  drawn    " in said and "  expect   sound: " in said and f"wrote    {target}" in said
    assert len(kernel.bodies(read_model(target).mesh)) == sides


@pytest.mark.parametrize("kind", CASES.keys())
def test_a_trial_instead_of_the_joint(kind: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    words, _ = CASES[kind]
    target = tmp_path / "trial.3mf"
    assert main(["make", *words, "--trial", "-o", str(target), "--json"]) == 0
    data = json.loads(capsys.readouterr().out)
    assert 3 <= len(data["rungs"]) <= 7
    assert "strokes count the rungs" in data["how_to"]
    bought_mate = kind == "clip"
    assert len(kernel.bodies(read_model(target).mesh)) == (1 if bought_mate else 2)


def test_one_side_as_stl_and_step(tmp_path: Path) -> None:
    need_step()
    stl, step = tmp_path / "ring.stl", tmp_path / "ring.step"
    assert main(["make", "bead", "30", "--female", "-o", str(stl), "-o", str(step)]) == 0
    assert read_model(step).mesh.volume == pytest.approx(read_model(stl).mesh.volume, rel=2e-3)


def test_what_was_asked_for_is_mended_and_said(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["make", "hook", "14", "--thickness", "3", "-o", str(tmp_path / "h.3mf"), "--json"]) == 0
    data = json.loads(capsys.readouterr().out)
    draws = {draw["what"]: draw for draw in data["proposed"]["draws"]}
    assert draws["arm thickness"]["size"] < 3
    assert draws["arm thickness"]["why"].startswith("instead of 3")
    assert data["sizing"]["findings"][0]["verdict"] == "sound"


@pytest.mark.parametrize(
    ("words", "sentence"),
    [
        (["hook", "14", "-o", "h.stl"], "h.stl holds one solid, and a hook has two sides; add --male or --female"),
        (["hook", "14", "--trial", "-o", "h.stl"], "h.stl holds one solid, and a trial has several; name it .3mf."),
        (["hook", "14"], "no file to write is named"),
        (["hook", "wide", "-o", "h.3mf"], 'SIZE: "wide" is not a number'),
        (["hook", "14", "--lugs", "3", "-o", "h.3mf"], "--lugs says nothing about a hook; it is for bayonet."),
        (["hook", "14", "--ridges", "3", "-o", "h.3mf"], "--ridges says nothing about a hook; leave it out."),
        (["hook", "14", "--mouth", "up", "-o", "h.3mf"], "--mouth says nothing about a hook; leave it out."),
        (["hook", "14", "--length", "5", "-o", "h.3mf"], "--length says nothing about a hook"),
        (["socket", "20", "--detent", "1", "-o", "s.3mf"], "--detent says nothing about a socket; it is for bayonet."),
        (["clip", "6", "--male", "-o", "c.stl"], "the male side of a clip is the rod; make the clip: --female."),
        (["pivot", "M4444", "-o", "p.3mf"], 'SIZE: no thread is called "M4444"'),
        (["bayonet", "24", "--turn", "100", "-o", "b.3mf"], "slots that turn 100 degrees run into each other"),
        (["bead", "20", "--undercut", "9", "-o", "b.3mf"], "a bead of 9 mm and a wall of 1.6 mm are no ring snap"),
    ],
)
def test_what_cannot_be_gets_one_sentence_and_nothing_is_written(
    words: list[str],
    sentence: str,
    tmp_path: Path,
    capsys: pytest.CaptureFixture[str],
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.chdir(tmp_path)
    assert main(["make", *words]) == 2
    said = capsys.readouterr()
    assert sentence in said.err
    assert said.err.count("\n") == 1
    assert list(tmp_path.iterdir()) == []

"""``shadewright make`` and ``shadewright trial`` at the prompt: files that read back, words that say what was drawn."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from shadewright.cli.main import main
from shadewright.solid.read import read_model

LAMP = """
schema = 1

[lamp]
name = "Test lamp"

[bought.holder]
kind = "holder"
thread = "E27 barrel"
mains = true

[part.ring]
model = "ring.stl"

[joint.neck]
kind = "thread"
male = "holder"
female = "ring"
feel = "easy"
"""


@pytest.mark.parametrize("suffix", ["3mf", "stl"])
def test_makes_a_replacement_ring(suffix: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    target = tmp_path / f"ring.{suffix}"
    words = ["make", "thread", "E27", "--female", "--length", "12", "--feel", "easy", "-o", str(target)]
    assert main(words) == 0
    text = capsys.readouterr().out
    assert text.startswith("E27 female, 12 mm long")
    assert "drawn    major diameter 26." in text
    assert "E27 prints upright" in text
    assert max(map(len, text.splitlines())) <= 90 or str(target) in text
    model = read_model(target)
    assert model.bodies == 1
    assert model.mesh.size[2] == pytest.approx(12, abs=1e-3)


def test_step_is_written_beside_a_mesh(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    pytest.importorskip("OCP")
    from shadewright.solid.step import check_shape, read_step_shape, shape_volume

    body, mesh = tmp_path / "ring.step", tmp_path / "ring.stl"
    assert main(["make", "thread", "E27", "--female", "-o", str(body), "-o", str(mesh)]) == 0
    assert f"wrote    {body}" in capsys.readouterr().out
    shape = read_step_shape(body)
    assert check_shape(shape) == []
    assert shape_volume(shape) == pytest.approx(read_model(mesh).mesh.volume, rel=1e-3)


def test_several_files_at_once_hold_the_same_solid(tmp_path: Path) -> None:
    one, two = tmp_path / "pin.stl", tmp_path / "pin.3mf"
    assert main(["make", "pin", "6", "--ridges", "4", "-o", str(one), "-o", str(two)]) == 0
    assert read_model(one).mesh.volume == pytest.approx(read_model(two).mesh.volume, rel=1e-5)


def test_json_tells_drawn_size_and_allowance(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["make", "socket", "40", "-o", str(tmp_path / "s.stl"), "--json"]) == 0
    made = json.loads(capsys.readouterr().out)
    assert made["drawn"] == pytest.approx(40 + made["allowance"])
    assert made["allowance"] > 0
    assert made["sizing"]["draw_side"] == "female"
    assert made["files"] == [str(tmp_path / "s.stl")]


def test_as_drawn_leaves_the_allowance_out(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    target = tmp_path / "s.stl"
    assert main(["make", "spigot", "30", "--as-drawn", "--bore", "20", "-o", str(target)]) == 0
    assert "diameter 30.00 mm, +0.00 mm against nominal" in capsys.readouterr().out
    assert read_model(target).mesh.size[0] == pytest.approx(30, abs=0.03)


def test_bought_mate_is_measured_against_its_limits(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    drawn = []
    for low, high in (("9.9", "10.0"), ("9.4", "9.5")):
        words = ["make", "hole", "10", "--limits", low, high, "-o", str(tmp_path / "h.stl"), "--json"]
        assert main(words) == 0
        drawn.append(json.loads(capsys.readouterr().out)["drawn"])
    assert drawn[0] - drawn[1] == pytest.approx(0.5, abs=0.03)


def test_says_when_a_thread_will_not_print_upright(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    target = str(tmp_path / "m3.stl")
    assert main(["make", "thread", "M3", "--male", "-o", target]) == 1
    assert "M3x0.5 will not print upright" in capsys.readouterr().out
    assert main(["make", "thread", "M10", "--male", "--true-form", "-o", target]) == 0
    assert "made in its true form, it overhangs by 60 degrees" in capsys.readouterr().out


@pytest.mark.parametrize(
    ("words", "sentence"),
    [
        (["thread", "E27", "--female"], "no file to write is named; add -o FILE"),
        (["thread", "E27", "-o", "a.stl"], "which side of the thread to make is not said; add --male or --female."),
        (["thread", "E72", "--male", "-o", "a.stl"], 'SIZE: no thread is called "E72"'),
        (["socket", "abc", "-o", "a.stl"], 'SIZE: "abc" is not a number'),
        (["socket", "-40", "-o", "a.stl"], "SIZE: -40 is not above 0; write a number above 0."),
        (["socket", "40", "-o", "a.obj"], "a.obj is of no kind that can be written; name it .3mf, .stl or .step."),
        (["socket", "40", "--male", "-o", "a.stl"], "a socket is the female side; leave out --male."),
        (["socket", "40", "--ridges", "3", "-o", "a.stl"], "--ridges says nothing about a socket"),
        (["thread", "E27", "--female", "--bore", "5", "-o", "a.stl"], "--bore says nothing about a female thread"),
        (["socket", "40", "--as-drawn", "--feel", "easy", "-o", "a.stl"], "--as-drawn leaves the allowance out"),
        (["socket", "40", "--mate", "bought", "-o", "a.stl"], "the bought mate has no size; add --limits LOW HIGH"),
        (["socket", "40", "--mate", "printed", "--limits", "1", "2", "-o", "a.stl"], "--limits speaks of a bought"),
        (["thread", "E27", "--male", "--length", "2", "-o", "a.stl"], "too short for E27 with its chamfers"),
        (["thread", "E27", "--male", "--overhang", "95", "-o", "a.stl"], "the overhang limit is 95 degrees"),
        (["pin", "6", "--ridges", "-2", "-o", "a.stl"], "-2 ridges cannot centre a pin"),
    ],
)
def test_make_refuses_in_one_sentence(
    words: list[str],
    sentence: str,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> None:
    monkeypatch.chdir(tmp_path)
    assert main(["make", *words]) == 2
    captured = capsys.readouterr()
    assert captured.out == ""
    assert sentence in captured.err
    assert len(captured.err.strip().splitlines()) == 1
    assert list(tmp_path.iterdir()) == []


def test_trial_without_a_lamp(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.chdir(tmp_path)
    assert main(["trial", "slide", "16"]) == 0
    text = capsys.readouterr().out
    assert text.startswith("Trial for slide 16: 5 rungs, female side; mate printed too, drawn 16 mm")
    assert "  |||||  " in text
    assert "Wrote trial-slide-16.3mf." in text
    model = read_model(tmp_path / "trial-slide-16.3mf")
    assert model.bodies == 2


def test_trial_of_a_bought_thread(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    target = tmp_path / "t.3mf"
    words = ["trial", "thread", "M10x1", "--male", "--rungs", "3", "-o", str(target), "--json"]
    assert main(words) == 0
    trial = json.loads(capsys.readouterr().out)
    assert [rung["number"] for rung in trial["rungs"]] == [1, 2, 3]
    assert trial["sizing"]["draw_side"] == "male"
    assert 60 < trial["cost"]["time_s"] < 3600
    assert read_model(target).bodies == 1


def test_trial_of_a_lamps_joint(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (tmp_path / "lamp.toml").write_text(LAMP, encoding="utf-8")
    main(["make", "socket", "40", "-o", str(tmp_path / "ring.stl")])
    capsys.readouterr()
    assert main(["trial", str(tmp_path), "neck"]) == 0
    assert capsys.readouterr().out.startswith("Trial for neck: 3 rungs, female side; mate bought")
    assert (tmp_path / "out" / "trials" / "neck.3mf").exists()
    assert main(["trial", str(tmp_path), "nekc"]) == 2
    assert 'no joint is called "nekc"; use "neck"' in capsys.readouterr().err
    assert main(["trial", str(tmp_path), "neck", "--feel", "snug"]) == 2
    assert "--feel cannot be given for a lamp's joint; write it in the lamp's lamp.toml." in capsys.readouterr().err


@pytest.mark.parametrize(
    ("words", "sentence"),
    [
        (["nowhere", "neck"], "nowhere: there is no such folder or file"),
        (["slide", "16", "--rungs", "2"], "2 rungs are asked for; use 3 to 7."),
        (["slide", "190", "--rungs", "7"], "do not fit a bed"),
        (["push", "5", "--flat"], "--flat is for slides; leave it out."),
        (["slide", "16", "-o", "t.stl"], "-o: t.stl is of no kind that holds several solids; name it .3mf."),
    ],
)
def test_trial_refuses_in_one_sentence(
    words: list[str],
    sentence: str,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> None:
    monkeypatch.chdir(tmp_path)
    assert main(["trial", *words]) == 2
    captured = capsys.readouterr()
    assert captured.out == ""
    assert sentence in captured.err
    assert list(tmp_path.iterdir()) == []

"""``shadewright make`` of pockets, seats, channels and passages: what it writes, says and refuses."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from step_at_hand import require_step_here

from shadewright.cli.main import main
from shadewright.solid import kernel
from shadewright.solid.read import read_model


def make(capsys: pytest.CaptureFixture[str], *words: str) -> tuple[int, str, str]:
    code = main(["make", *words])
    told = capsys.readouterr()
    return code, told.out, told.err


WRITTEN = {
    "nut-pocket M4 --mouth down": 1,
    "nut-pocket M3 --cutter": 1,
    "nut-pocket M3 --trial": 1,
    "insert-hole M3 --mouth down": 1,
    "magnet-pocket 20x10x2": 1,
    "magnet-pocket 6x2 --hold inside": 1,
    "magnet-pocket 6x2 --hold glue --glue superglue --cap-layers 3": 1,
    "seat 40 --glue epoxy": 2,
    "seat 40 --glue epoxy --limits 39.9 40.1": 1,
    "channel SPT-1_18/2 --bend-radius 45": 2,
    "channel cord --limits 6.4 6.8 --open": 1,
    "passage cord --limits 6.4 6.8 --level": 1,
    "passage cord --limits 6.4 6.8 --grip 18 8": 1,
}


@pytest.mark.parametrize("words", WRITTEN)
def test_solids_are_written_and_read_again(words: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    target = tmp_path / "made.3mf"
    parts = [word.replace("_", " ") for word in words.split()]
    code, told, err = make(capsys, *parts, "--plastic", "PETG", "-o", str(target))
    assert (code, err) == (0, "")
    assert told.count("  solid    ") == WRITTEN[words]
    assert "  draw     " in told and f"  wrote    {target}" in told
    mesh = read_model(target).mesh
    assert len([body for body in kernel.bodies(mesh) if body.volume > 0]) == WRITTEN[words]
    assert mesh.bounds[0, 2] == pytest.approx(0 if "--cutter" not in words else mesh.bounds[0, 2])


def test_a_pair_is_written_side_by_side_and_apart(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    code, told, _ = make(capsys, "seat", "30", "--glue", "epoxy", "-o", str(tmp_path / "s.stl"))
    assert code == 0
    assert sorted(entry.name for entry in tmp_path.iterdir()) == ["s-plug.stl", "s-ring.stl"]
    assert "s-plug.stl" in told and "s-ring.stl" in told


def test_step_is_written_for_each_piece(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    require_step_here()
    code, _, _ = make(capsys, "channel", "cord", "--limits", "5", "5.4", "-o", str(tmp_path / "way.step"))
    assert code == 0
    assert sorted(entry.name for entry in tmp_path.iterdir()) == ["way-channel.step", "way-cover.step"]


def test_the_data_carries_draws_and_findings(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    code, told, _ = make(capsys, "nut-pocket", "M4", "-o", str(tmp_path / "n.stl"), "--json")
    made = json.loads(told)
    assert code == 0
    assert made["sizing"]["draws"][0]["what"] == "pocket across flats"
    assert made["sizing"]["findings"][0]["code"] == "fit.nut_pocket"


def test_a_bend_that_harms_the_cord_ends_with_one(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    words = ("channel", "cord", "--limits", "6.4", "6.8", "--bend-radius", "25", "-o", str(tmp_path / "c.stl"))
    code, told, _ = make(capsys, *words)
    assert code == 1 and "  failing  the cord bends" in told


@pytest.mark.parametrize(
    ("words", "sentence"),
    [
        ("seat 40 -o x.stl", 'no glue is named; add --glue NAME ("shadewright catalog glues" lists them).'),
        ("seat forty --glue epoxy -o x.stl", 'SIZE: "forty" is not a number; write e.g. 0.4, without a unit.'),
        ("nut-pocket M44 -o x.stl", 'SIZE: no nut is called "M44"; use "M4".'),
        ("nut-pocket M4 --feel snug -o x.stl", "--feel says nothing about the nut-pocket; leave it out."),
        ("nut-pocket M4 --male -o x.stl", "--male says nothing about the nut-pocket; leave it out."),
        ("pin 6 --mouth up -o x.stl", "--mouth says nothing about a pin; it is for nut-pocket, insert-hole."),
        ("insert-hole M3 --mouth side -o x.stl", "an insert cannot go in from side; use --mouth up or --mouth down."),
        (
            "insert-hole M3 --limits 3 4 -o x.stl",
            "--limits says nothing about the insert-hole; leave it out: the catalogue has its size.",
        ),
        ("nut-pocket M3 --trial --cutter -o x.stl", "a trial piece is no cutter; leave out --trial or --cutter."),
        (
            "magnet-pocket 6x2 --glue epoxy -o x.stl",
            'joint magnet-pocket: a glue is named, but it is held by "press"; '
            'name the glue of a magnet held by "glue", and of no other.',
        ),
        (
            "passage cord --limits 6 7 --level --grip 18 8 -o x.stl",
            "a level passage has no place for a grip; leave it out, or make the passage upright.",
        ),
    ],
)
def test_refusals_are_one_sentence_and_write_nothing(
    words: str, sentence: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.chdir(tmp_path)
    code, told, err = make(capsys, *words.split())
    assert (code, told, err.strip()) == (2, "", sentence)
    assert list(tmp_path.iterdir()) == []

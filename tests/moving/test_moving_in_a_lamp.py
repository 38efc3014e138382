"""Snaps, bayonets and pivots of a lamp: stated in lamp.toml, sized by the study, refused with their line."""

from __future__ import annotations

from pathlib import Path

import pytest

from shadewright.bench.store import Bench
from shadewright.errors import UnknownName, ValueProblem
from shadewright.findings import Finding, Verdict
from shadewright.lamp.read import read_lamp
from shadewright.solid.kernel import cylinder
from shadewright.solid.write import write_3mf
from shadewright.study.joints import JointAnswer, study_joint

HEAD = """schema = 1
[lamp]
name = "Test lamp"
[printing]
plastic = "PETG"
[bought.wire]
kind = "other"
diameter = 3.0
tolerance = 0.05
[part.cap]
model = "models/post.3mf"
[part.base]
model = "models/post.3mf"
"""
JOINT = '[joint.lock]\nkind = "{kind}"\nmale = "{male}"\nfemale = "base"\nnominal = 40.0\n{table}\n'


def lamp(folder: Path, kind: str, table: str, male: str = "cap") -> Path:
    write_3mf(folder / "models" / "post.3mf", [cylinder(20, 10)], title="post")
    (folder / "lamp.toml").write_text(HEAD + JOINT.format(kind=kind, male=male, table=table), encoding="utf-8")
    return folder


def studied(folder: Path, kind: str, table: str, male: str = "cap") -> JointAnswer:
    with Bench.open(folder / "bench.sqlite") as bench:
        return study_joint(read_lamp(lamp(folder, kind, table, male)), "lock", bench, {})


def finding(answer: JointAnswer, code: str) -> Finding:
    return next(found for found in answer.findings if found.code == code)


def test_hook(tmp_path: Path) -> None:
    stiff = studied(tmp_path, "snap", 'snap = { form = "hook", arm = 14, thickness = 3, undercut = 1.2 }')
    found = finding(stiff, "fit.snap")
    assert found.verdict is Verdict.FAILING
    assert "PETG bears 2.5 % once" in found.why
    assert [draw.part for draw in stiff.study.draws[:3]] == ["cap", "cap", "cap"]
    soft = studied(tmp_path, "snap", "snap = { arm = 14, thickness = 1.6, undercut = 0.8 }")
    assert finding(soft, "fit.snap").verdict is Verdict.SOUND


def test_a_standing_hook_bears_a_third(tmp_path: Path) -> None:
    standing = studied(tmp_path, "snap", 'snap = { bends = "across layers", arm = 14, return_deg = 60 }')
    assert "PETG bears 0.8 % once, across its layers" in finding(standing, "fit.snap").why
    assert finding(standing, "fit.snap_upright").verdict is Verdict.DOUBTFUL


def test_the_ring_that_gives_is_the_one_that_must_bear_it(tmp_path: Path) -> None:
    folder = lamp(tmp_path, "snap", 'snap = { form = "bead", undercut = 0.4, softer = "female" }')
    text = (folder / "lamp.toml").read_text(encoding="utf-8")
    text = text.replace("[part.base]\n", '[part.base]\nplastic = "PLA"\n')
    (folder / "lamp.toml").write_text(text, encoding="utf-8")
    with Bench.open(folder / "bench.sqlite") as bench:
        answer = study_joint(read_lamp(folder), "lock", bench, {})
    assert "PLA bears 1.5 % once" in finding(answer, "fit.snap").why


def test_bead_and_clip(tmp_path: Path) -> None:
    bead = studied(tmp_path, "snap", 'snap = { form = "bead", undercut = 0.4, softer = "both" }')
    assert finding(bead, "fit.snap").verdict is Verdict.SOUND
    assert bead.study.draws[0].what == "bead diameter"
    clip = studied(tmp_path, "snap", 'snap = { form = "clip", thickness = 1.2, opening = 2.97 }', male="wire")
    assert "a lip of 0.0" in finding(clip, "fit.nub").sentence


def test_bayonet_and_pivot(tmp_path: Path) -> None:
    twist = studied(tmp_path, "twist", 'twist = { detent = 0.6, path = "J", bore = 30 }')
    assert {draw.what for draw in twist.study.draws} >= {"bore of the socket", "fall back towards the mouth"}
    assert finding(twist, "fit.twist").verdict is Verdict.SOUND
    pivot = studied(tmp_path, "pivot", 'drawn_female = 6.0\npivot = { screw = "M4", face_teeth = 24 }')
    assert finding(pivot, "fit.pivot").verdict is Verdict.FAILING
    assert finding(pivot, "fit.pivot_teeth").verdict is Verdict.SOUND


@pytest.mark.parametrize("kind", ["snap", "twist", "pivot"])
def test_sizes_that_are_not_stated_are_not_guessed(tmp_path: Path, kind: str) -> None:
    answer = studied(tmp_path, kind, "")
    assert answer.study.draws == ()
    assert [found.verdict for found in answer.findings] == [Verdict.UNKNOWN]
    assert f"{kind} = {{" in answer.findings[0].cure


@pytest.mark.parametrize(
    ("kind", "table", "male", "sentence"),
    [
        ("snap", "snap = { arm = 14, thickness = 9 }", "cap", "an arm of 14 mm cannot bend at a thickness of 9 mm"),
        ("snap", "snap = { arm = 14 }", "wire", '"wire" is bought, but must be printed'),
        ("twist", "twist = { turn_deg = 8 }", "cap", "after a turn of 8 degrees a lug still stands in its way in"),
        ("pivot", "pivot = { ear = 9 }", "cap", "nut or washer have no room on an ear of 9 mm"),
    ],
)
def test_what_cannot_be_is_refused_with_its_line(
    tmp_path: Path, kind: str, table: str, male: str, sentence: str
) -> None:
    with pytest.raises(ValueProblem) as told:
        studied(tmp_path, kind, table, male)
    assert sentence in str(told.value)
    assert str(told.value).startswith("lamp.toml, line 19: ")


def test_unknown_screws_are_told_with_their_line(tmp_path: Path) -> None:
    with pytest.raises(UnknownName, match=r'lamp\.toml, line 19: no thread is called "M44444"'):
        studied(tmp_path, "pivot", 'pivot = { screw = "M44444" }')


@pytest.mark.parametrize(
    ("table", "sentence"),
    [
        ('snap = { form = "hock" }', 'form in [joint.lock.snap] is "hock"; write "hook"'),
        ("snap = { undercut = -1 }", "undercut in [joint.lock.snap] is -1 mm; it must be above 0 mm"),
        ('snap = { arm = "14 mm" }', 'arm in [joint.lock.snap] is "14 mm"; write 14 (all lengths are mm)'),
        ("snap = { taper = 0.2 }", "taper in [joint.lock.snap] is 0.2; it must be at least 0.5"),
        ("snap = { depth = 2 }", 'unknown key "depth" in [joint.lock.snap]'),
        ("snap = { return_deg = 95 }", "return_deg in [joint.lock.snap] is 95 degrees; it must be at most 90 degrees"),
        ("twist = { lugs = 7 }", "lugs in [joint.lock.twist] is 7; it must be at most 4"),
        ('pivot = { nut = "yes" }', 'nut in [joint.lock.pivot] is "yes"; write true, without quotes'),
    ],
)
def test_mistakes_in_the_tables_get_one_clear_sentence(tmp_path: Path, table: str, sentence: str) -> None:
    with pytest.raises(ValueProblem) as told:
        read_lamp(lamp(tmp_path, "snap", table))
    assert len(told.value.problems) == 1
    assert sentence in str(told.value)

"""Trials of a lamp's snaps, bayonets, pivots and pockets: in the study, from the command, and what is said after."""

from __future__ import annotations

import math
import re
from dataclasses import replace
from functools import partial
from pathlib import Path

import numpy as np
import pytest
from lamps import lamp_folder

from shadewright.bench.store import Bench
from shadewright.cli.main import main
from shadewright.lamp.read import ReadLamp, read_lamp
from shadewright.layers.costing import print_cost
from shadewright.solid import kernel
from shadewright.solid.features import TrialPiece
from shadewright.solid.mesh import Floats
from shadewright.solid.read import read_model
from shadewright.study.joints import study_joint
from shadewright.study.kinds import NO_TRIAL, SIZERS, TRIALS, plan_kind_trial, trial_of_joint
from shadewright.study.kinds_trials import KindTrial

THINGS = """
[bought.wire]
kind = "other"
diameter = 3.0
tolerance = 0.05
[bought.nut]
kind = "nut"
card = "M4"
[bought.insert]
kind = "insert"
card = "M3"
[bought.disc]
kind = "magnet"
card = "disc 6x2"
[bought.cord]
kind = "cord"
card = "H03VVH2-F 2x0.75"
[bought.glue]
kind = "glue"
card = "epoxy"
"""
JOINTS = {
    "hook": ("snap", "post", 'snap = { bends = "across layers", arm = 8, thickness = 2.5, undercut = 0.8 }'),
    "bead": ("snap", "post", 'nominal = 16\nsnap = { form = "bead", undercut = 0.4 }'),
    "clip": ("snap", "wire", 'snap = { form = "clip", thickness = 1.2 }'),
    "turn": (
        "twist",
        "post",
        "nominal = 16\ntwist = { lugs = 2, lug_height = 1.2, lug_width = 4, turn_deg = 45, detent = 0.3 }",
    ),
    "tilt": ("pivot", "post", 'pivot = { screw = "M4", tongue = 6, ear = 18, cheek = 4.5 }'),
    "teeth": ("pivot", "post", 'pivot = { screw = "M4", tongue = 6, ear = 18, cheek = 4.5, face_teeth = 24 }'),
    "nut": ("pocket", "nut", ""),
    "paused": ("pocket", "nut", 'pocket = { mouth = "inside" }'),
    "insert": ("pocket", "insert", 'pocket = { mouth = "down" }'),
    "magnet": ("pocket", "disc", ""),
    "inside": ("pocket", "disc", 'pocket = { hold = "inside" }'),
    "seat": ("seat", "post", "nominal = 20"),
    "cord": ("channel", "cord", ""),
}
TRIED = [name for name in JOINTS if JOINTS[name][0] not in ("seat", "channel")]
ONE_SOLID = ("clip", "nut", "paused", "insert", "magnet", "inside")  # what they are tried with is bought


def table(name: str) -> str:
    kind, male, more = JOINTS[name]
    return f'[joint.{name}]\nkind = "{kind}"\nmale = "{male}"\nfemale = "socket"\n{more}\n'


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    text = '[printing]\nplastic = "PLA"\n' + THINGS + "".join(table(name) for name in JOINTS)
    return lamp_folder(tmp_path_factory.mktemp("kinds") / "lamp", text)


@pytest.fixture(scope="module")
def read(folder: Path) -> ReadLamp:
    return read_lamp(folder)


def trial(read: ReadLamp, name: str) -> KindTrial:
    with Bench.open(None) as bench:
        return trial_of_joint(read, name, bench)


def test_every_kind_of_several_dimensions_has_a_trial_or_says_what_to_do_instead() -> None:
    assert SIZERS.keys() == TRIALS.keys() | NO_TRIAL.keys()
    assert not TRIALS.keys() & NO_TRIAL.keys()


@pytest.mark.parametrize("name", TRIED)
def test_its_rungs_are_single_bodies_that_rise_about_what_is_drawn(read: ReadLamp, name: str) -> None:
    shape = trial(read, name)
    piece = shape.piece(3)
    drawn = [rung.drawn for rung in piece.rungs]
    best = next(draw for draw in shape.sizing.draws if draw.what == shape.what)

    assert len(piece.pieces) == (1 if name in ONE_SOLID else 2)
    for solid in piece.pieces:
        assert kernel.is_solid(solid) is None and len(kernel.bodies(solid)) == 1
    assert drawn == sorted(set(drawn)) and [rung.number for rung in piece.rungs] == [1, 2, 3]
    assert min(abs(size - best.size) for size in drawn) <= (drawn[2] - drawn[0]) / 2
    assert shape.part == best.part and shape.part in read.lamp.part


def above(piece: TrialPiece, number: int, height: float) -> Floats:
    """Corners of one rung of three that stand higher than ``height``."""
    corners, (first, second, _) = piece.pieces[0].vertices, piece.rungs
    near = np.abs(corners[:, 0] - piece.rungs[number].x) < (second.x - first.x) / 2
    return corners[near & (corners[:, 2] > height)]


@pytest.mark.parametrize("number", range(3))
def test_what_is_said_to_be_drawn_is_on_the_piece(read: ReadLamp, number: int) -> None:
    hook, bead, fork = (trial(read, name) for name in ("hook", "bead", "tilt"))
    thickness = next(draw.size for draw in hook.sizing.draws if draw.what == "arm thickness")
    standing, sleeve, cheeks = (shape.piece(3) for shape in (hook, bead, fork))

    reach = np.ptp(above(standing, number, 10.0)[:, 0])  # the arm is above its foot there, with its nub
    assert reach - thickness == pytest.approx(standing.rungs[number].drawn, abs=0.006)
    across = np.ptp(above(sleeve, number, 4.1)[:, 0])  # above the shoulder; facets stand out by less than 0.04
    assert sleeve.rungs[number].drawn - 0.006 <= across <= sleeve.rungs[number].drawn + 0.04
    over_both = np.ptp(above(cheeks, number, 12.0)[:, 1])
    assert over_both - 2 * 2.4 == pytest.approx(cheeks.rungs[number].drawn, abs=0.006)


@pytest.mark.parametrize(("name", "width", "low"), [("paused", 6.0, 2.5), ("inside", 5.5, 1.0), ("insert", 3.9, -0.5)])
def test_what_goes_in_is_let_in_from_the_side_that_is_stated(
    read: ReadLamp, name: str, width: float, low: float
) -> None:
    """From above, also where the real part is closed after a pause; this insert goes in from the bed."""
    piece = trial(read, name).piece(3)
    high = float(piece.pieces[0].bounds[1, 2]) + 1 if low > 0 else 3.0
    for rung in piece.rungs:
        way = kernel.cylinder(high - low, width / 2).moved(rung.x, rung.y, low)
        assert kernel.overlap_volume(piece.pieces[0], way) == pytest.approx(0.0, abs=1e-6)


@pytest.mark.parametrize(("name", "more"), [("hook", True), ("bead", True), ("clip", False), ("tilt", False)])
def test_what_to_write_in_the_lamp_is_said(read: ReadLamp, name: str, more: bool) -> None:
    shape = trial(read, name)
    table, _, key = shape.key.rpartition(".")
    stated = getattr(read.lamp.joint[name], table) if table else read.lamp.joint[name]

    assert hasattr(stated, key) and f"as {shape.key} of joint {name} in lamp.toml" in shape.afterwards
    assert ("the digits over 100" in shape.afterwards) is more
    for rung in shape.piece(3).rungs:
        assert rung.drawn - shape.more == pytest.approx(rung.clearance if name != "tilt" else rung.drawn, abs=0.006)


def test_a_plan_has_fewer_rungs_for_a_small_part_and_none_where_the_bed_is_too_small(read: ReadLamp) -> None:
    shape = trial(read, "clip")
    large, small = plan_kind_trial(shape, math.inf), plan_kind_trial(shape, 60.0)
    assert large is not None and small is not None
    assert (len(large.piece.rungs), len(small.piece.rungs)) == (5, 3)
    assert large.time_s == print_cost(large.piece.pieces, shape.setup).time_s > small.time_s
    assert "socket itself prints no longer" in small.why and "itself" not in large.why

    between = plan_kind_trial(shape, large.time_s / 0.4 + 1)
    assert between is not None and len(between.piece.rungs) == 5
    crowded = replace(shape, shape=partial(shape.shape, bed_x=20.0, bed_y=20.0))
    assert plan_kind_trial(crowded, math.inf) is None


def test_a_study_plans_trials_where_they_tell_more_and_only_there(read: ReadLamp) -> None:
    with Bench.open(None) as bench:
        for name in ("clip", "insert", "magnet", "seat", "cord"):
            worth = SIZERS[read.lamp.joint[name].kind](read, name, bench).trial_worth
            plan = study_joint(read, name, bench, {"socket": 3600.0, "post": 3600.0}).study.trial
            assert (plan is not None) is (worth and name not in ("seat", "cord"))
            if plan is not None:
                assert plan.files == (f"trials/{name}.3mf",) and plan.time_s < 3600.0


# At the prompt -------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(("name", "rungs"), [("hook", 4), ("turn", 3), ("teeth", 3), ("insert", 7)])
def test_the_command_writes_it(
    folder: Path, name: str, rungs: int, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    target = tmp_path / "piece.3mf"
    assert main(["trial", str(folder), name, "--rungs", str(rungs), "-o", str(target)]) == 0
    text = " ".join(capsys.readouterr().out.split())

    assert f"Trial for {name}: {rungs} rungs" in text and "|" * rungs in text
    assert re.search(r"About \d+ min and \d+\.\d g\.", text)
    assert f"How it felt is not kept for a {JOINTS[name][0]} joint: draw the " in text
    model = read_model(target).mesh
    assert len(kernel.bodies(model)) == (1 if name in ONE_SOLID else 2)


def test_by_itself_it_goes_beside_the_lamp_s_other_trials(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["trial", str(folder), "clip"]) == 0
    assert (folder / "out" / "trials" / "clip.3mf").is_file()
    assert "Wrote" in capsys.readouterr().out
    assert main(["trial", "list"]) == 0
    assert "clip" not in capsys.readouterr().out


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["seat"], "a seat joint has no trial piece; draw what the study says and try it dry"),
        (["cord"], "a channel joint has no trial piece; draw what the study says"),
        (["nope"], 'no joint is called "nope"'),
        (["hook", "--rungs", "9"], "9 rungs are asked for; use 3 to 7"),
        (["nut", "--rungs", "2"], "use 3 to 7"),
        (["hook", "--feel", "easy"], "--feel cannot be given for a lamp's joint"),
        (["hook", "-o", "piece.stl"], "piece.stl is of no kind that holds several solids"),
    ],
)
def test_what_cannot_be_tried_is_refused(
    folder: Path, words: list[str], said: str, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["trial", str(folder), *words]) == 2
    assert said in capsys.readouterr().err


def test_without_sizes_it_says_what_to_add(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    bare = lamp_folder(tmp_path / "lamp", '[joint.lock]\nkind = "twist"\nmale = "post"\nfemale = "socket"\n')
    assert main(["trial", str(bare), "lock"]) == 2
    said = capsys.readouterr().err
    assert "does not state the sizes of this twist joint; add what the models have" in said and "line" in said


@pytest.mark.parametrize(
    ("name", "said"),
    [
        ("clip", "how the trial of a snap joint felt is not kept; draw the opening of the clip of the rung"),
        ("tilt", "how the trial of a pivot joint felt is not kept; draw the space between the cheeks"),
        ("seat", "a seat joint has no trial piece"),
        ("nope", "no trial of nope was made yet"),
    ],
)
def test_its_outcome_is_not_kept_and_that_is_said(
    folder: Path, name: str, said: str, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["trial", "record", str(folder), name, "1=snug"]) == 2
    assert said in capsys.readouterr().err


def test_a_whole_study_writes_the_pieces_it_plans(
    folder: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    main(["study", str(folder), "--out", str(tmp_path)])
    text = capsys.readouterr().out
    pieces = sorted(path.stem for path in (tmp_path / "trials").iterdir())
    assert {"bead", "clip", "insert"} <= set(pieces) and not {"magnet", "seat", "cord"} & set(pieces)
    for name in pieces:
        assert re.search(rf"{name}: [35] rungs, [^\n]*trials/{name}\.3mf", text)
    page = (tmp_path / "study.html").read_text(encoding="utf-8")
    assert page.count("trial first") == len(pieces) and ">Digits</th>" in page and ">Clearance</th>" in page

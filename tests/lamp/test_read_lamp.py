"""Reading a lamp: what is stated comes out, and every mistake gets its line and its cure."""

from __future__ import annotations

from pathlib import Path

import pytest

from shadewright.errors import FileProblem, UnknownName, UserError, ValueProblem
from shadewright.fit.joint import Feel, JointKind
from shadewright.lamp.read import ReadLamp, read_lamp, require_on_bench

GOOD = """[lamp]
name = "porch"

[printing]
nozzle = 0.4

[bought.holder]
kind = "holder"
thread = "E27 barrel"

[bought.tube]
kind = "pipe"
diameter = 12.7

[part.shade]
model = "models/shade.stl"

[part.foot]
model = "models/foot.stl"

[joint.neck]
kind = "thread"
male = "holder"
female = "shade"
feel = "easy"

[joint.stand]
kind = "slide"
male = "tube"
female = "foot"
"""


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    (tmp_path / "models").mkdir()
    for name in ("shade.stl", "foot.stl"):
        (tmp_path / "models" / name).write_bytes(b"x")
    return tmp_path


def read(folder: Path, text: str) -> ReadLamp:
    (folder / "lamp.toml").write_text(text, encoding="utf-8")
    return read_lamp(folder)


def problems(folder: Path, text: str) -> list[str]:
    with pytest.raises(UserError) as refusal:
        read(folder, text)
    return [str(problem) for problem in refusal.value.problems]


def test_what_is_stated_comes_out(folder: Path) -> None:
    got = read(folder, GOOD)

    assert got.lamp.lamp.name == "porch"
    assert got.lamp.joint["neck"].kind is JointKind.THREAD
    assert got.lamp.joint["neck"].feel is Feel.EASY
    assert got.lamp.part["shade"].model == Path("models/shade.stl")
    assert (got.folder, got.file) == (folder, folder / "lamp.toml")
    assert got.where("joint", "neck", "feel") == "lamp.toml, line 25"
    assert got.where("joint", "neck", "length") == "lamp.toml, line 21"
    assert got.where("surroundings") == "lamp.toml"


def test_the_file_may_be_named_instead_of_its_folder(folder: Path) -> None:
    read(folder, GOOD)

    assert read_lamp(folder / "lamp.toml").folder == folder


def test_a_leading_byte_order_mark_and_windows_line_ends_are_read(folder: Path) -> None:
    (folder / "lamp.toml").write_bytes(b"\xef\xbb\xbf" + GOOD.replace("\n", "\r\n").encode())

    assert read_lamp(folder).where("part", "foot", "model") == "lamp.toml, line 19"


ONE_CHANGE = [
    ("feel =", "feal =", 'line 25: unknown key "feal" in [joint.neck]; write "feel".'),
    ('"easy"', '"eassy"', 'line 25: feel in [joint.neck] is "eassy"; write "easy".'),
    ("[printing]", "[printig]", 'line 4: unknown key "printig"; write "printing".'),
    ('kind = "pipe"', 'type = "pipe"', 'line 12: unknown key "type" in [bought.tube]; write "kind".'),
    ("nozzle = 0.4", "copies = 2", 'line 5: unknown key "copies" in [printing]; known here: printer, nozzle, layer,'),
    ("12.7", '"12 mm"', 'line 13: diameter in [bought.tube] is "12 mm"; write 12 (all lengths are mm).'),
    ("12.7", '"1/2 in"', 'line 13: diameter in [bought.tube] is "1/2 in"; write 12.7 (all lengths are mm).'),
    ("12.7", '"1.5 in"', 'line 13: diameter in [bought.tube] is "1.5 in"; write 38.1 (all lengths are mm).'),
    ("12.7", '"wide"', 'line 13: diameter in [bought.tube] is "wide"; write a number of mm.'),
    ("12.7", "true", "line 13: diameter in [bought.tube] is true; write a number of mm."),
    ("12.7", "[12.7]", "line 13: diameter in [bought.tube] is a list; write 12.7, without brackets."),
    ("12.7", "-3", "line 13: diameter in [bought.tube] is -3 mm; it must be above 0 mm."),
    ("12.7", "inf", "line 13: diameter in [bought.tube] is inf; write an ordinary number."),
    ("12.7", "1979-05-27", "line 13: diameter in [bought.tube] is 1979-05-27; write a number of mm."),
    ("12.7", "1" + "0" * 400, "line 13: diameter in [bought.tube] is a huge number; write a number of mm."),
    ("nozzle = 0.4", "nozzle = 4", "line 5: nozzle in [printing] is 4 mm; it must be at most 2 mm."),
    ("nozzle = 0.4", "infill = 15", "line 5: infill in [printing] is 15; write 0.15 (a fraction, not percent)."),
    ("nozzle = 0.4", 'infill = "15%"', 'line 5: infill in [printing] is "15%"; write 0.15, without quotes or unit.'),
    ("nozzle = 0.4", "walls = 3.0", "line 5: walls in [printing] is 3.0; write 3."),
    (
        "nozzle = 0.4",
        "layer = 0.4",
        "line 5: a layer of 0.4 mm is too thick for a nozzle of 0.4 mm; write at most 0.32.",
    ),
    ('name = "porch"', "name = 3", 'line 2: name in [lamp] is 3; write it in quotes: "3".'),
    ('name = "porch"', 'name = ""', "line 2: name in [lamp] is empty; write at least one character."),
    ('name = "porch"', "", 'line 1: [lamp] has no name; add name = "...".'),
    ("[lamp]", "[lmap]", 'lamp.toml: there is no [lamp] table; begin the file with [lamp] and name = "...".'),
    ('kind = "pipe"', 'kind = "pipe"\nmains = "yes"', 'mains in [bought.tube] is "yes"; write true, without quotes.'),
    ("E27 barrel", "E27 barel", 'line 9: no thread is called "E27 barel"; use "E27 barrel"'),
    (
        'kind = "holder"',
        'kind = "holder"\ncard = "E227"',
        'line 9: no holder is called "E227"; use "E27"',
    ),
    ("models/shade.stl", "models/shad.stl", 'line 16: there is no file "models/shad.stl"; write "models/shade.stl"'),
    (
        "models/shade.stl",
        "../shade.stl",
        'outside the lamp\'s folder; copy it into models/ and write "models/shade.stl".',
    ),
    ("models/shade.stl", "/etc/passwd", 'line 16: the model "/etc/passwd" lies outside the lamp\'s folder;'),
    ("models/shade.stl", "C:/shade.stl", 'line 16: the model "C:/shade.stl" lies outside the lamp\'s folder;'),
    ("models/shade.stl", "models\\\\shade.stl", 'has backslashes; write "models/shade.stl".'),
    ("models/shade.stl", "models", 'line 16: there is no file "models";'),
    ('male = "holder"', 'male = "holdr"', 'line 23: no part or bought thing is called "holdr"; write "holder".'),
    ('female = "shade"', 'female = "tube"', 'line 24: "holder" and "tube" are both bought; a joint needs one part'),
    (
        'male = "holder"',
        'male = "shade"',
        'line 24: "shade" is male and female at once; name the two things that meet.',
    ),
    (
        'feel = "easy"',
        'draw = "male"',
        'line 25: the male side "holder" is bought; write draw = "female".',
    ),
    ('thread = "E27 barrel"', "", 'line 21: this thread joint names no thread; add thread = "..."'),
    ('kind = "thread"', 'kind = "push"\nthread = "M10"', 'line 23: a joint of kind "push" has no thread; write kind ='),
    ("diameter = 12.7", "", 'line 11: "tube" meets a part but has no size; add diameter = ... in mm, by caliper.'),
    ("[part.foot]", "[part.tube]", 'line 18: "tube" is both a part and a bought thing; rename one of them.'),
    ("[part.foot]", '[part."a/b"]', "line 18: 'a/b' cannot be the name of a part; use 1 to 60 letters"),
    (
        'thread = "E27 barrel"',
        "readings = { outside = [39.5], crests = 5 }",
        "line 9: crests is stated without over; state both",
    ),
    ('thread = "E27 barrel"', "readings = { crests = 5, over = 10 }", "line 9: the readings hold no diameter;"),
    ('thread = "E27 barrel"', "readings = { outside = 39.5 }", "is 39.5; write a list: [39.5]."),
    (
        'thread = "E27 barrel"',
        'readings = { outside = ["39.5 mm"] }',
        'number 1 of outside in [bought.holder.readings] is "39.5 mm"; write 39.5 (all lengths are mm).',
    ),
    ('feel = "easy"', 'on_bed = "female"', 'line 25: on_bed in [joint.neck] is "female"; write a list: ["female"].'),
    ('feel = "easy"', 'on_bed = ["femle"]', 'number 1 of on_bed in [joint.neck] is "femle"; write "female".'),
    ("[lamp]", "schema = 2\n[lamp]", "line 1: schema is 2; this file was written for a newer shadewright"),
    ("[part.foot]", "[[part.foot]]", "part.foot"),
]


@pytest.mark.parametrize(("old", "new", "sentence"), ONE_CHANGE)
def test_each_mistake_has_its_line_and_cure(folder: Path, old: str, new: str, sentence: str) -> None:
    assert old in GOOD

    said = problems(folder, GOOD.replace(old, new, 1))

    assert any(sentence in problem for problem in said), said
    assert all("\n" not in problem and problem.endswith(".") for problem in said)


def test_all_mistakes_are_told_in_one_go_in_the_order_of_lines(folder: Path) -> None:
    text = GOOD
    for old, new in (
        ("nozzle = 0.4", "nozzle = 4"),
        ("models/shade.stl", "models/shed.stl"),
        ('"easy"', '"esay"'),
        ('female = "foot"', 'female = "fot"'),
    ):
        text = text.replace(old, new)

    said = problems(folder, text)

    assert [problem.split(":")[0] for problem in said] == [f"lamp.toml, line {n}" for n in (5, 16, 25, 30)]


@pytest.mark.parametrize(
    ("text", "sentence"),
    [
        (
            "[lamp]\nname = porch\n",
            'line 2, column 8: a value that is no number, text, list or true/false; put text in quotes: "porch".',
        ),
        ("[lamp]\nname = True\n", "write true."),
        ("[lamp]\nname = \n", "line 2"),
        ("[printing]\nlayer = 0,2\n", "line 2, column 10: something is left behind the value; write 0.2 (the decimal"),
        ("[printing]\nlayer = 12 mm\n", "write 12 (all lengths are mm)."),
        ("[printing]\nlayer = 1/2 in\n", "write 12.7 (all lengths are mm)."),
        ("[part.a]\nmodel = 'x'\n[part.a]\n", "line 3, column 8: the table [part.a] stands here for the second time;"),
        ("[lamp]\nname = 'x'\nname = 'y'\n", "a key or table that stands here for the second time; keep one,"),
        ("[lamp\n", "line 1, column 6: a heading whose bracket is not closed;"),
        ('[lamp]\nname = "x\n', "a text whose closing quote is missing;"),
        ('[lamp]\nname = "C:\\models"\n', "a backslash in a text; write paths with / instead of \\."),
        ("porch\n", "a key without = and a value;"),
        ("a = " + "[" * 5000, "brackets are nested too deep;"),
    ],
)
def test_what_is_not_toml_is_told_by_line_and_column(folder: Path, text: str, sentence: str) -> None:
    (said,) = problems(folder, text)

    assert sentence in said


def test_a_link_that_leads_out_of_the_folder_is_refused(folder: Path, tmp_path_factory: pytest.TempPathFactory) -> None:
    outside = tmp_path_factory.mktemp("outside") / "foot.stl"
    outside.write_bytes(b"x")
    (folder / "models" / "foot.stl").unlink()
    (folder / "models" / "foot.stl").symlink_to(outside)

    assert "lies outside the lamp's folder" in problems(folder, GOOD)[0]


def test_places_without_a_lamp_are_refused_in_a_sentence(folder: Path) -> None:
    cases = {
        folder: "there is no lamp.toml in this folder; start one with",
        folder / "model": f'there is no such folder or file; use "{folder / "models"}"',
        folder / "models" / "foot.stl": "foot.stl is not a lamp; name a lamp's folder, or its lamp.toml",
        Path("a" * 5000): "there is no such folder or file",
        Path("a\0b"): "there is no such folder or file",
    }
    for place, sentence in cases.items():
        with pytest.raises(FileProblem) as refusal:
            read_lamp(place)
        assert sentence in str(refusal.value)


def test_files_that_are_no_text_are_refused_in_a_sentence(folder: Path) -> None:
    (folder / "lamp.toml").write_bytes(b'[lamp]\nname = "L\xe4mpchen"\n')
    with pytest.raises(FileProblem) as latin:
        read_lamp(folder)
    (folder / "lamp.toml").write_bytes(b"#" * 1_000_001)
    with pytest.raises(FileProblem) as huge:
        read_lamp(folder)

    assert str(latin.value) == "lamp.toml, line 2: a character is not UTF-8; save the file as UTF-8 in your editor."
    assert "lamp.toml has 1.0 MB" in str(huge.value)


def test_names_are_held_against_the_bench_with_their_lines(folder: Path) -> None:
    got = read(
        folder, GOOD.replace("nozzle = 0.4", 'printer = "atic"').replace('foot.stl"', 'foot.stl"\nplastic = "PTEG"')
    )

    with pytest.raises(UnknownName) as refusal:
        require_on_bench(got, ["attic"], ["pla", "PETG"])

    assert [str(problem) for problem in refusal.value.problems] == [
        'lamp.toml, line 5: no printer is called "atic"; use "attic".',
        'lamp.toml, line 20: no plastic is called "PTEG"; use "PETG".',
    ]
    require_on_bench(read(folder, GOOD), ["Built-In"], ["pla"])


def test_problems_of_a_lamp_are_value_problems(folder: Path) -> None:
    with pytest.raises(ValueProblem):
        read(folder, "")

"""A lamp's pockets, seats and channels: what is stated is what is sized; mistakes are told with their line."""

from __future__ import annotations

from pathlib import Path

import pytest

from shadewright.bench.store import Bench
from shadewright.errors import UserError
from shadewright.findings import Verdict
from shadewright.fit.joint import KindSizing
from shadewright.lamp.read import parse_lamp
from shadewright.study.joints import study_joint
from shadewright.study.kinds import SIZERS

HEAD = """schema = 1
[lamp]
name = "Test lamp"
[printing]
plastic = "PETG"
[part.base]
model = "base.stl"
[part.shade]
model = "shade.stl"
"""


def sized(folder: Path, text: str) -> KindSizing:
    """Size the joint ``j`` of a lamp with two parts, ``base`` and ``shade``, and the tables in ``text``."""
    for name in ("base", "shade"):
        (folder / f"{name}.stl").touch()
    read = parse_lamp(HEAD + text, folder / "lamp.toml")
    with Bench.open(None) as bench:
        return SIZERS[read.lamp.joint["j"].kind](read, "j", bench)


def joint(kind: str, male: str, more: str = "", female: str = "base") -> str:
    return f'[joint.j]\nkind = "{kind}"\nmale = "{male}"\nfemale = "{female}"\n{more}\n'


NUT = '[bought.nut]\nkind = "nut"\ncard = "M4"\n'
INSERT = '[bought.insert]\nkind = "insert"\ncard = "M3"\n'
MAGNET = '[bought.magnet]\nkind = "magnet"\ncard = "disc 6x2"\n'
CORD = '[bought.cord]\nkind = "cord"\ncard = "H03VVH2-F 2x0.75"\n'


def draws(sizing: KindSizing) -> dict[str, float]:
    return {draw.what: draw.size for draw in sizing.draws}


def test_a_nut_pocket_with_its_mouth(tmp_path: Path) -> None:
    up = sized(tmp_path, NUT + joint("pocket", "nut"))
    side = sized(tmp_path, NUT + joint("pocket", "nut", 'pocket = { mouth = "side" }'))
    assert draws(side)["pocket across flats"] > draws(up)["pocket across flats"]
    assert "slot height" in draws(side) and "pocket depth" in draws(up)
    assert {draw.part for draw in up.draws} == {"base"}


def test_a_measured_nut_beats_the_table(tmp_path: Path) -> None:
    table = draws(sized(tmp_path, NUT + joint("pocket", "nut")))["pocket across flats"]
    measured = sized(tmp_path, NUT + "diameter = 6.85\ntolerance = 0.02\n" + joint("pocket", "nut"))
    assert draws(measured)["pocket across flats"] == pytest.approx(table + 6.85 - (6.78 + 7.0) / 2, abs=0.011)


def test_what_is_drawn_today_is_judged(tmp_path: Path) -> None:
    finding = sized(tmp_path, NUT + joint("pocket", "nut", "drawn_female = 7.8")).findings[0]
    assert finding.verdict is Verdict.FAILING and finding.subject == "joint j"
    assert finding.sentence.startswith("as drawn, 7.80 mm, it takes the nut with a press")


def test_an_insert_knows_the_part_s_plastic_and_wall(tmp_path: Path) -> None:
    found = sized(tmp_path, INSERT + joint("pocket", "insert", "pocket = { boss_wall = 0.8 }"))
    assert "fit.insert_wall" in [item.code for item in found.findings]
    assert draws(found)["hole for the insert"] > 4.0


@pytest.mark.parametrize(
    ("pocket", "what"),
    [
        ('{ hold = "press", cap_layers = 3 }', "pocket diameter inside the ridges"),
        ('{ hold = "glue", glue = "epoxy" }', "pocket diameter"),
        ('{ hold = "inside" }', "pause height"),
    ],
)
def test_magnets_are_held_as_stated(tmp_path: Path, pocket: str, what: str) -> None:
    made = draws(sized(tmp_path, MAGNET + joint("pocket", "magnet", f"pocket = {pocket}")))
    assert what in made
    assert made["cap between magnet and face"] == pytest.approx(0.6 if "cap_layers" in pocket else 0.4)


def test_a_seat_takes_the_lamp_s_only_glue(tmp_path: Path) -> None:
    glue = '[bought.glue]\nkind = "glue"\ncard = "silicone"\n'
    made = sized(tmp_path, glue + joint("seat", "shade", "nominal = 40.0\nlength = 8.0"))
    assert "silicone" in made.findings[0].sentence
    named = sized(tmp_path, glue + joint("seat", "shade", 'nominal = 40.0\nseat = { glue = "epoxy" }'))
    assert "epoxy" in named.findings[0].sentence
    assert draws(named)["bore"] < draws(made)["bore"]


def test_a_flat_cord_lies_as_stated(tmp_path: Path) -> None:
    flat = draws(sized(tmp_path, CORD + joint("channel", "cord")))
    edge = draws(sized(tmp_path, CORD + joint("channel", "cord", "channel = { on_edge = true, cover = false }")))
    # EN 50525-2-11, from memory: 2 x 0.75 mm² flat is at most 3.8 x 6.3 mm.
    assert flat["channel width"] - edge["channel width"] == pytest.approx(6.3 - 3.8, abs=0.02)
    assert edge["channel depth"] - flat["channel depth"] == pytest.approx(6.3 - 3.8, abs=0.21)
    assert "cover width" in flat and "cover width" not in edge


def test_a_passage_asks_for_the_grip_and_names_its_test_pull(tmp_path: Path) -> None:
    bare = sized(tmp_path, CORD + joint("channel", "cord", 'channel = { form = "passage" }'))
    assert "60 N" in bare.findings[1].why  # IEC 60598-1 for up to 1.5 mm², from memory
    with_grip = 'channel = { form = "passage", grip_diameter = 16.0, grip_height = 9.0 }'
    assert "place for the cord grip" in draws(sized(tmp_path, CORD + joint("channel", "cord", with_grip)))


def test_a_cord_by_caliper_needs_no_card(tmp_path: Path) -> None:
    cord = '[bought.cord]\nkind = "cord"\ndiameter = 6.6\ntolerance = 0.1\n'
    assert 6.8 < draws(sized(tmp_path, cord + joint("channel", "cord")))["channel width"] < 7.3


def test_the_study_carries_draws_and_findings(tmp_path: Path) -> None:
    for name in ("base", "shade"):
        (tmp_path / f"{name}.stl").touch()
    read = parse_lamp(HEAD + NUT + joint("pocket", "nut"), tmp_path / "lamp.toml")
    with Bench.open(None) as bench:
        answer = study_joint(read, "j", bench, {})
    assert answer.study.draws and answer.study.kind == "pocket"
    assert [finding.code for finding in answer.findings] == ["fit.nut_pocket"]


@pytest.mark.parametrize(
    ("text", "line", "sentence"),
    [
        (
            joint("pocket", "shade"),
            12,
            'the male side of pocket joint "j" is not a bought nut, insert or magnet; name one, with '
            'kind = "nut" in its [bought.NAME] table.',
        ),
        (
            '[bought.nut]\nkind = "nut"\n' + joint("pocket", "nut"),
            10,
            '"nut" names no row of the catalogue; add card = "M3".',
        ),
        (
            NUT.replace("M4", "M44") + joint("pocket", "nut"),
            12,
            'no nut is called "M44"; use "M4".',
        ),
        (
            INSERT + joint("pocket", "insert", 'pocket = { mouth = "side" }'),
            17,
            'an insert cannot go in from "side"; write mouth = "up" or "down": it is melted in along its axis.',
        ),
        (
            joint("seat", "shade", "nominal = 40.0"),
            10,
            'joint "j" is glued but names no glue; add seat = { glue = "epoxy" } ("shadewright '
            'catalog glues" lists them).',
        ),
        (
            joint("seat", "shade", 'nominal = 40.0\nseat = { glue = "epoxi" }'),
            15,
            'no glue is called "epoxi"; use "epoxy (household)".',
        ),
        (
            '[bought.cord]\nkind = "cord"\n' + joint("channel", "cord"),
            10,
            'the cord "cord" has no size; add card = "H03VV-F 2x0.75" (or its own name), or diameter = ... by caliper.',
        ),
        (
            CORD + joint("channel", "cord", "channel = { grip_diameter = 16.0 }"),
            17,
            'an open channel has no mouth for a cord grip; write form = "passage", or leave the grip out.',
        ),
        (
            CORD + joint("channel", "cord", 'channel = { form = "passage", grip_diameter = 16.0 }'),
            17,
            "only one size of the cord grip is stated; state grip_diameter and grip_height, both by caliper.",
        ),
        (
            CORD + joint("channel", "cord", 'channel = { bend_radius = "4 cm" }'),
            17,
            'bend_radius in [joint.j.channel] is "4 cm"; write 40 (all lengths are mm).',
        ),
        (
            NUT + joint("pocket", "nut", 'pocket = { mouth = "left" }'),
            17,
            'mouth in [joint.j.pocket] is "left"; write "up" or "down" or "side" or "inside".',
        ),
        (
            MAGNET + joint("pocket", "magnet", "pocket = { caps = 2 }"),
            17,
            'unknown key "caps" in [joint.j.pocket]; known here: mouth, hold, glue, cap_layers, faces, boss_wall.',
        ),
    ],
)
def test_mistakes_are_told_with_their_line_and_cure(tmp_path: Path, text: str, line: int, sentence: str) -> None:
    with pytest.raises(UserError) as refusal:
        sized(tmp_path, text)
    assert str(refusal.value) == f"lamp.toml, line {line}: {sentence}"

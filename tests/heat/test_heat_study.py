"""The heat calculation in a study: what must be stated, what comes of it, and what is handed on."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from shadewright.bench.store import Bench
from shadewright.errors import UserError
from shadewright.findings import Finding, Verdict
from shadewright.lamp.read import read_lamp
from shadewright.solid.kernel import cylinder, difference, revolve
from shadewright.solid.write import write_3mf
from shadewright.study.run import run_study

HEAD = 'schema = 1\n[lamp]\nname = "Warm lamp"\n[part.shade]\nmodel = "models/shade.3mf"\n'
BULB = '[bought.bulb]\nkind = "bulb"\ncard = "A60"\nwatts = 7\nmains = true\n'


def lamp_folder(folder: Path, text: str) -> Path:
    """A lamp with a shade, closed on top, open below around the bulb; and a sleeve to line it."""
    (folder / "models").mkdir(parents=True)
    shade = difference(cylinder(130, 52, chord=0.1), cylinder(128, 50, chord=0.1).moved(z=-0.001))
    sleeve = revolve(np.array([[48.4, 0.0], [49.4, 0.0], [49.4, 90.0], [48.4, 90.0]]), chord=0.1)
    write_3mf(folder / "models" / "shade.3mf", [shade], title="shade")
    write_3mf(folder / "models" / "sleeve.3mf", [sleeve], title="sleeve")
    (folder / "lamp.toml").write_text(HEAD + text, encoding="utf-8")
    return folder


def heat(folder: Path, text: str) -> dict[str, Finding]:
    with Bench.open(folder.parent / "bench.sqlite") as bench:
        findings = run_study(read_lamp(lamp_folder(folder, text)), bench).findings
    return {finding.subject: finding for finding in findings if finding.code.startswith("heat.")}


def test_a_mains_bulb_without_a_shade_is_told_what_to_state(tmp_path: Path) -> None:
    (found,) = heat(tmp_path / "a", BULB.replace("watts = 7\n", "")).values()

    assert found.verdict is Verdict.UNKNOWN
    assert "shade =" in found.cure and "watts =" in found.cure


def test_what_has_no_mains_bulb_is_left_alone(tmp_path: Path) -> None:
    assert heat(tmp_path / "a", "") == {}
    assert heat(tmp_path / "b", BULB.replace("mains = true\n", "")) == {}


def test_two_bulbs_and_no_card_are_asked_about(tmp_path: Path) -> None:
    stated = '[warm]\nshade = "shade"\n'
    (two,) = heat(tmp_path / "a", BULB + BULB.replace("bulb]", "other]") + stated).values()
    (cardless,) = heat(tmp_path / "b", BULB.replace('card = "A60"\n', "") + stated).values()

    assert "which of the bulbs" in two.cure
    assert "card =" in cardless.cure


def test_a_closed_top_in_pla_is_warm_and_says_how_to_mend_it(tmp_path: Path) -> None:
    found = heat(tmp_path / "a", BULB + '[warm]\nshade = "shade"\n')
    wall = found["part shade"]

    assert wall.verdict in (Verdict.DOUBTFUL, Verdict.FAILING)
    assert wall.value is not None and 40 < wall.value < 70
    assert "taken: the middle of the bulb's round end" in wall.why
    assert "then" in wall.cure and "two hours" in wall.cure
    assert found["bought bulb"].code == "heat.bulb"


def test_statements_by_hand_take_the_models_place(tmp_path: Path) -> None:
    base = BULB + '[warm]\nshade = "shade"\nmiddle = [0, 0, 60]\n'

    def wall(name: str, more: str) -> float:
        value = heat(tmp_path / name, base + more)["part shade"].value
        assert value is not None
        return value

    plain = wall("plain", "")
    vented = wall("vented", "vents_low_mm2 = 1500\nvents_high_mm2 = 1500\n")
    closed = wall("closed", "vents_low_mm2 = 0\nvents_high_mm2 = 0\n")
    near = wall("near", "above = 4\n")
    cool = wall("cool", "summer_c = 23\n")
    assert vented < plain <= closed + 0.5
    assert near > plain
    assert cool < plain
    assert wall("dark", "dark = true\n") > plain
    assert wall("hung", 'cap = "up"\nup = "-z"\n') > 30


def test_places_in_the_lamp_tell_where_the_bulb_is(tmp_path: Path) -> None:
    shade = '[part.shade]\nmodel = "models/shade.3mf"\nplace = { at = [0, 0, 100] }\n'
    bulb = BULB.replace("watts", "place = { at = [0, 0, 160] }\nwatts")
    by_hand = heat(tmp_path / "a", BULB + '[warm]\nshade = "shade"\nmiddle = [0, 0, 60]\n')
    head = HEAD.split("[part.shade]", maxsplit=1)[0]
    folder = lamp_folder(tmp_path / "b", "")
    (folder / "lamp.toml").write_text(head + shade + bulb + '[warm]\nshade = "shade"\n', encoding="utf-8")
    with Bench.open(tmp_path / "bench.sqlite") as bench:
        findings = run_study(read_lamp(folder), bench).findings
    placed = next(finding for finding in findings if finding.code == "heat.wall")

    assert placed.value == pytest.approx(by_hand["part shade"].value, abs=0.11)
    assert "taken" not in placed.why


def test_a_liner_and_its_glued_seat_are_judged_too(tmp_path: Path) -> None:
    text = BULB + '[part.sleeve]\nmodel = "models/sleeve.3mf"\n[warm]\nshade = "shade"\nliner = "sleeve"\n'
    seat = (
        '[joint.rim]\nkind = "seat"\nmale = "sleeve"\nfemale = "shade"\nnominal = 100\nseat = { glue = "hot glue" }\n'
    )
    found = heat(tmp_path / "a", text + seat)

    assert "as a liner" in found["part sleeve"].sentence
    rim = found["joint rim"]
    assert "hot glue (EVA) lets go" in rim.sentence
    assert rim.verdict in (Verdict.DOUBTFUL, Verdict.FAILING)


def test_a_joint_far_from_the_bulb_is_cooler_than_one_beside_it(tmp_path: Path) -> None:
    base = BULB + '[bought.pin]\nkind = "pipe"\ndiameter = 10\n[warm]\nshade = "shade"\nmiddle = [0, 0, 60]\n'
    joint = '[joint.pin]\nkind = "push"\nmale = "pin"\nfemale = "shade"\ndrawn_female = 10\n'

    def at(name: str, place: str) -> Finding:
        return heat(tmp_path / name, base + joint + place)["joint pin"]

    near, far = at("near", "at_female = [30, 0, 40]\n"), at("far", "at_female = [50, 0, 128]\n")
    assert "by its stated place" in near.why
    assert near.value is not None and far.value is not None
    assert near.value > far.value
    assert "hottest spot" in at("somewhere", "").why


def test_more_watts_than_the_holder_is_marked_for_fail(tmp_path: Path) -> None:
    found = heat(tmp_path / "a", BULB + '[warm]\nshade = "shade"\nmost_watts = 5\nlight = "halogen"\n')

    assert found["bought bulb"].verdict is Verdict.FAILING
    assert found["part shade"].verdict is Verdict.FAILING


@pytest.mark.parametrize(
    ("stated", "complaint"),
    [
        ('shade = "shape"', 'no part is called "shape"'),
        ('shade = "shade"\nbulb = "lamp"', 'no bought thing is called "lamp"'),
        ('shade = "shade"\nliner = "shade"', "the same part"),
        ('shade = "shade"\ncap = "left"', "cap"),
        ('shade = "shade"\nvents_low_mm2 = -3', "vents_low_mm2"),
    ],
)
def test_mistakes_in_the_table_are_told_with_their_line(tmp_path: Path, stated: str, complaint: str) -> None:
    folder = lamp_folder(tmp_path / "a", BULB + f"[warm]\n{stated}\n")

    with pytest.raises(UserError, match=complaint) as caught:
        read_lamp(folder)
    assert all("lamp.toml, line" in str(problem) for problem in caught.value.problems)


def test_a_warm_shade_is_weaker(tmp_path: Path) -> None:
    """What hangs on a thread in a warm part bears less: the temperature is handed on."""
    thread = '[bought.holder]\nkind = "holder"\n[joint.neck]\nkind = "thread"\nmale = "holder"\nfemale = "shade"\n'
    thread += 'thread = "E27 barrel"\nlength = 10\nload_n = 5\n'

    def force(name: str, text: str) -> float:
        with Bench.open(tmp_path / "bench.sqlite") as bench:
            findings = run_study(read_lamp(lamp_folder(tmp_path / name, thread + text)), bench).findings
        value = next(finding.value for finding in findings if finding.code == "hold.thread")
        assert value is not None
        return value

    assert force("warm", BULB + '[warm]\nshade = "shade"\n') < force("cold", "")

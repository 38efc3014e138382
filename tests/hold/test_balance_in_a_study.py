"""What a study says of a lamp as a whole: only what its maker states, and what to add when that is not enough."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from shadewright.bench.store import Bench
from shadewright.errors import ValueProblem
from shadewright.findings import Finding, Verdict
from shadewright.lamp.read import read_lamp
from shadewright.solid.kernel import box
from shadewright.solid.write import write_stl
from shadewright.study.run import run_study

HEAD = 'schema = 1\n[lamp]\nname = "Test"\n[printing]\nnozzle = 0.8\nlayer = 0.6\nwalls = 2\ninfill = 0.5'
FOOT = '[part.foot]\nmodel = "models/foot.stl"\n'
ARM = '[part.arm]\nmodel = "models/arm.stl"\n'
PLACED_FOOT = FOOT + "place = { at = [0, 0, 0] }\n"
PLACED_ARM = ARM + "place = { at = [0, 0, 20] }\n"
BULB = '[bought.bulb]\nkind = "bulb"\nmass_g = 60\nplace = { at = [0, 0, 100] }\n'


def held(folder: Path, surroundings: str, rest: str) -> dict[str, Finding]:
    """Findings on what holds, by code and subject, of a lamp with a square foot and a bar."""
    (folder / "models").mkdir(parents=True)
    write_stl(folder / "models" / "foot.stl", box((80, 80, 20), (0, 0, 10)))
    write_stl(folder / "models" / "arm.stl", box((120, 20, 10), (60, 0, 5)))
    (folder / "lamp.toml").write_text(f"{HEAD}\n[surroundings]\n{surroundings}\n{rest}", encoding="utf-8")
    with Bench.open(folder / "bench.sqlite") as bench:
        found = run_study(read_lamp(folder), bench).findings
    return {f"{f.code} {f.subject}": f for f in found if f.code.startswith("hold.")}


def test_a_lamp_that_does_not_ask_is_left_alone(tmp_path: Path) -> None:
    assert held(tmp_path / "lamp", "", PLACED_FOOT + ARM + BULB) == {}


def test_what_is_missing_is_named_once(tmp_path: Path) -> None:
    found = held(tmp_path / "lamp", 'mounted = "table"', PLACED_FOOT + ARM + '[bought.bulb]\nkind = "bulb"\n')

    assert list(found) == ["hold.balance lamp"]
    assert found["hold.balance lamp"].verdict is Verdict.UNKNOWN
    assert found["hold.balance lamp"].cure == "add a place to part arm, mass_g and a place to bulb"


def test_a_square_stand_by_hand(tmp_path: Path) -> None:
    """A foot of 80 and a bulb over its middle: atan(40 / z) with z from the two masses."""
    found = held(tmp_path / "lamp", 'mounted = "table"', PLACED_FOOT + BULB)
    foot_g = found["hold.balance lamp"].value - 60
    z = (foot_g * 10 + 60 * 100) / (foot_g + 60)

    assert found["hold.tipping lamp"].value == pytest.approx(np.degrees(np.arctan(40 / z)), abs=0.3)
    assert found["hold.tipping lamp"].verdict is Verdict.SOUND


def test_a_pivot_is_turned_to_where_it_tips_most(tmp_path: Path) -> None:
    """The bulb 100 above a pivot at 20: swung by 90 degrees it hangs 80 out, beyond the foot's edge at 40."""
    pivot = (
        '[joint.tilt]\nkind = "pivot"\nmale = "arm"\nfemale = "foot"\n'
        'held = { carries = ["bulb"], at = [0, 0, 20], axis = [0, 1, 0], screw = 5, outer = 30, inner = 6 }\n'
    )
    still = held(tmp_path / "still", 'mounted = "table"', PLACED_FOOT + PLACED_ARM + BULB)
    swung = held(tmp_path / "swung", 'mounted = "table"', PLACED_FOOT + PLACED_ARM + BULB + pivot)

    assert swung["hold.tipping lamp"].value < still["hold.tipping lamp"].value - 5
    assert "with tilt turned by" in swung["hold.tipping lamp"].sentence
    assert swung["hold.pivot joint tilt"].why.startswith("60 g act 80 mm off its axis")


def test_a_pivot_needs_sizes_and_weights(tmp_path: Path) -> None:
    joint = (
        '[joint.tilt]\nkind = "pivot"\nmale = "arm"\nfemale = "foot"\nheld = { carries = ["%s"], at = [0, 0, 20]%s }\n'
    )
    sizes = ", screw = 5, outer = 20"

    lacking = held(tmp_path / "weight", "", FOOT + ARM + joint % ("arm", sizes))
    assert lacking["hold.pivot joint tilt"].verdict is Verdict.UNKNOWN
    assert "arm" in lacking["hold.pivot joint tilt"].cure
    with pytest.raises(ValueProblem, match=r"lamp\.toml, line \d+: it is not stated what rubs"):
        held(tmp_path / "sizes", "", PLACED_FOOT + PLACED_ARM + joint % ("arm", ""))
    with pytest.raises(ValueProblem, match='no part or bought thing is called "amr"; write "arm"'):
        held(tmp_path / "name", "", PLACED_FOOT + PLACED_ARM + joint % ("amr", sizes))
    with pytest.raises(ValueProblem, match="inner radius"):
        held(tmp_path / "inner", "", PLACED_FOOT + PLACED_ARM + joint % ("arm", sizes + ", inner = 25"))


def test_a_pivot_takes_its_sizes_from_its_pivot_table(tmp_path: Path) -> None:
    joint = (
        '[joint.tilt]\nkind = "pivot"\nmale = "arm"\nfemale = "foot"\ntorque_nm = 0.5\n'
        'pivot = { screw = "M5", ear = 22, face_teeth = %d }\nheld = { carries = ["bulb"], at = [0, 60, 100] }\n'
    )
    plain = held(tmp_path / "plain", "", PLACED_FOOT + ARM + BULB + joint % 0)["hold.pivot joint tilt"]
    teeth = held(tmp_path / "teeth", "", PLACED_FOOT + ARM + BULB + joint % 18)["hold.pivot joint tilt"]

    assert "it clamps with 400 N" in plain.why  # 0.5 N m over K 0.25 and 5 mm
    assert "with teeth" in teeth.why
    assert teeth.value > 2 * plain.value


def test_an_arm_takes_down_from_its_place(tmp_path: Path) -> None:
    bracket = "bracket = { root = [0, 0, 5], tip = [120, 0, 5], load_n = 5%s }\n"
    placed = held(tmp_path / "place", "", FOOT + PLACED_ARM + bracket % "")["hold.bracket part arm"]
    stated = held(tmp_path / "down", "", FOOT + ARM + bracket % ", down = [0, 0, -1]")["hold.bracket part arm"]
    on_edge = held(tmp_path / "edge", "", FOOT + ARM + bracket % ", down = [0, -1, 0]")["hold.bracket part arm"]
    untold = held(tmp_path / "untold", "", FOOT + ARM + bracket % "")["hold.bracket part arm"]

    assert placed.value == stated.value
    assert on_edge.value > 1.5 * stated.value  # 20 deep instead of 10
    assert (untold.verdict, untold.cure) == (
        Verdict.UNKNOWN,
        "add a place to part arm, or down = [x, y, z] to its bracket",
    )


def test_an_arm_carries_what_hangs_on_it_where_it_hangs(tmp_path: Path) -> None:
    near, far = (BULB.replace("60", "500").replace("at = [0, 0, 100]", f"at = [{x}, 0, 0]") for x in (60, 120))
    bracket = 'bracket = { root = [0, 0, 5], tip = [120, 0, 5], carries = ["bulb"] }\n'
    close = held(tmp_path / "near", "", FOOT + PLACED_ARM + bracket + near)["hold.bracket part arm"]
    out = held(tmp_path / "far", "", FOOT + PLACED_ARM + bracket + far)["hold.bracket part arm"]
    bare = held(tmp_path / "bare", "", FOOT + PLACED_ARM + bracket + '[bought.bulb]\nkind = "bulb"\n')

    assert close.value > 1.6 * out.value
    assert bare["hold.bracket part arm"].verdict is Verdict.UNKNOWN


def test_an_arm_that_leaves_its_part_is_told_with_its_line(tmp_path: Path) -> None:
    bracket = "bracket = { root = [0, 0, 5], tip = [150, 0, 5], load_n = 5 }\n"
    with pytest.raises(ValueProblem, match=r"lamp\.toml, line \d+: the bracket's line leaves the part"):
        held(tmp_path / "lamp", "", FOOT + PLACED_ARM + bracket)


WALL = 'mounted = "wall"\nwall = { kind = "%s", heights = [15, 75], diameter = 4, length = 25, head = 8%s }'


def test_a_lamp_on_a_wall(tmp_path: Path) -> None:
    untold = held(tmp_path / "untold", 'mounted = "wall"', PLACED_FOOT)
    wood = held(tmp_path / "wood", WALL % ("softwood", ""), PLACED_FOOT + BULB)
    board = held(tmp_path / "board", WALL % ("plasterboard", ", load_n = 90"), PLACED_FOOT + BULB)

    assert untold["hold.wall lamp"].verdict is Verdict.UNKNOWN
    assert wood["hold.wall lamp"].verdict is Verdict.SOUND
    assert "40 mm from the wall" in wood["hold.wall lamp"].why  # a foot of 80, centred, its back the innermost
    assert board["hold.wall lamp"].verdict is not Verdict.SOUND
    assert "rough figure" in board["hold.wall lamp"].why


def test_over_people_more_is_asked_for(tmp_path: Path) -> None:
    keyhole = ', keyhole = { part = "foot", behind = 3, slot = 4.4 }'
    above = held(tmp_path / "above", "above_people = true\n" + WALL % ("masonry", keyhole), PLACED_FOOT + BULB)
    stand = held(tmp_path / "stand", 'above_people = true\nmounted = "floor"', PLACED_FOOT + BULB)

    assert above["hold.wall lamp"].limit == 3.0
    assert above["hold.retention wall"].verdict is Verdict.DOUBTFUL
    assert stand["hold.tipping lamp"].limit == 15.0


def test_a_wall_that_cannot_be_is_told_with_its_line(tmp_path: Path) -> None:
    with pytest.raises(ValueProblem, match=r"line \d+: the keyhole's slot lets the screw's head through"):
        held(tmp_path / "slot", WALL % ("masonry", ', keyhole = { part = "foot", behind = 3, slot = 9 }'), PLACED_FOOT)
    with pytest.raises(ValueProblem, match='no part is called "plate"; '):
        held(tmp_path / "part", WALL % ("masonry", ', keyhole = { part = "plate", behind = 3, slot = 4 }'), PLACED_FOOT)


@pytest.mark.parametrize(
    ("grip", "verdict"),
    [
        ("", Verdict.UNKNOWN),
        ('[bought.grip]\nkind = "cord grip"\n', Verdict.SOUND),
        ('[bought.grip]\nkind = "cord grip"\ndiameter = 10\n[joint.g]\nkind = "push"\nmale = "grip"\nfemale = "foot"\n',
         Verdict.DOUBTFUL),
    ],
)  # fmt: skip
def test_a_pull_on_the_cord_is_for_something_bought(tmp_path: Path, grip: str, verdict: Verdict) -> None:
    cord = '[bought.cord]\nkind = "cord"\nmains = true\n'
    found = held(tmp_path / "lamp", 'mounted = "table"', PLACED_FOOT + BULB + cord + grip)

    assert found["hold.cord lamp"].verdict is verdict
    assert found["hold.cord lamp"].value == 60


def test_a_lamp_whose_feet_are_bought_says_so(tmp_path: Path) -> None:
    """A bar that stands on a line only: nothing is guessed."""
    edge = ARM + "place = { at = [0, 0, 0], tilt = 45 }\n"
    found = held(tmp_path / "lamp", 'mounted = "table"', edge)

    assert found["hold.tipping lamp"].verdict in (Verdict.FAILING, Verdict.UNKNOWN)


def test_masses_of_copies_add_up(tmp_path: Path) -> None:
    single = held(tmp_path / "one", 'mounted = "table"', PLACED_FOOT)["hold.balance lamp"]
    double = held(tmp_path / "two", 'mounted = "table"', PLACED_FOOT + "copies = 2\n")["hold.balance lamp"]

    assert double.value == pytest.approx(2 * single.value, abs=1)

"""The study of a lamp's threads and snaps: what it takes from the lamp, and what it asks for."""

from __future__ import annotations

from pathlib import Path

import pytest

from shadewright.bench.store import Bench
from shadewright.errors import ValueProblem
from shadewright.findings import Finding, Verdict
from shadewright.hold.thread_advice import ThreadCase, judge_thread
from shadewright.lamp.model import Lamp
from shadewright.lamp.read import parse_lamp
from shadewright.progress import SILENT
from shadewright.solid.kernel import box
from shadewright.solid.read import Model, read_model
from shadewright.solid.write import write_3mf
from shadewright.study import hold_joints
from shadewright.study.hold_joints import study_hold_joints
from shadewright.study.hold_loads import load_of
from shadewright.study.parts import study_part
from shadewright.study.result import JointStudy
from shadewright.study.run import run_study

HEAD = """
schema = 1
[lamp]
name = "Porch"
[printing]
plastic = "PETG"
[bought.pipe]
kind = "pipe"
thread = "M10x1"
[bought.bulb]
kind = "bulb"
{bulb}
[part.arm]
model = "block.3mf"
{arm}
[part.cap]
model = "block.3mf"
{cap}
[surroundings]
{around}
"""
ENTRY = """
[joint.entry]
kind = "thread"
male = "pipe"
female = "arm"
length = 8.0
drawn_female = 10.2
"""
STEM = """
[joint.stem]
kind = "thread"
thread = "M20x2"
male = "cap"
female = "arm"
length = 12.0
drawn_male = 20.0
drawn_female = 20.4
"""


@pytest.fixture(scope="module")
def block(tmp_path_factory: pytest.TempPathFactory) -> Model:
    """The model of both parts, read once."""
    file = tmp_path_factory.mktemp("block") / "block.3mf"
    write_3mf(file, [box((24, 24, 4), (0, 0, 2))], title="block")
    return read_model(file)


@pytest.fixture
def findings(tmp_path: Path, block: Model):  # type: ignore[no-untyped-def]
    """Findings on strength of a lamp with some ``joints``; ``temps_c`` as the heat calculation would give them."""
    write_3mf(tmp_path / "block.3mf", [block.mesh], title="block")

    def of(joints: str, temps_c: dict[str, float] | None = None, **fields: str) -> dict[str, Finding]:
        text = HEAD.format(**{"bulb": "", "arm": "", "cap": "", "around": ""} | fields) + joints
        read = parse_lamp(text, tmp_path / "lamp.toml")
        with Bench.open(tmp_path / "bench.sqlite") as bench:
            parts = [study_part(read, name, block, bench, SILENT).study for name in read.lamp.part]
            told = study_hold_joints(read, bench, parts, [_unsized(name) for name in read.lamp.joint], temps_c)
        return {f"{finding.code} {finding.subject.split()[-1]}": finding for finding in told}

    return of


def _unsized(name: str) -> JointStudy:
    """A joint whose sizes are all drawn, so that nothing of its sizing is asked for."""
    sides = {"kind": "", "male": "", "female": "", "feel": "", "thread": ""}
    return JointStudy(name=name, count=1, sizing=None, trial=None, **sides)


@pytest.fixture
def lamp_of(tmp_path: Path):  # type: ignore[no-untyped-def]
    """The same lamp as stated."""
    (tmp_path / "block.3mf").touch()

    def of(text: str, **fields: str) -> Lamp:
        whole = HEAD.format(**{"bulb": "", "arm": "", "cap": "", "around": ""} | fields) + text
        return parse_lamp(whole, tmp_path / "lamp.toml").lamp

    return of


def test_the_study_of_a_lamp_holds_these_findings(tmp_path: Path, findings) -> None:  # type: ignore[no-untyped-def]
    told = findings(ENTRY, bulb="mass_g = 60")
    text = HEAD.format(bulb="mass_g = 60", arm="", cap="", around="") + ENTRY
    with Bench.open(tmp_path / "bench.sqlite") as bench:
        study = run_study(parse_lamp(text, tmp_path / "lamp.toml"), bench)

    assert [finding for finding in study.findings if finding.code == "hold.thread"] == list(told.values())


# Loads ----------------------------------------------------------------------------------------------------------------

MASSES = {"arm": 40.0, "cap": 25.0}


def test_a_stated_load_is_taken(lamp_of) -> None:  # type: ignore[no-untyped-def]
    load = load_of(lamp_of(STEM + "load_n = 12.0\n"), "stem", MASSES)
    assert load.force is not None
    assert load.force.likely == 12.0
    assert load.words == "12 N as stated"


def test_without_masses_they_are_asked_for(lamp_of) -> None:  # type: ignore[no-untyped-def]
    load = load_of(lamp_of(STEM), "stem", MASSES)
    assert load.force is None
    assert load.words == "add mass_g = ... to bulb (kitchen scale), or load_n = ... to joint stem"


def test_the_heavier_side_may_hang_on_a_joint(lamp_of) -> None:  # type: ignore[no-untyped-def]
    # arm 40 g and pipe 30 g (small hardware nobody weighed) against the cap's 25 g; the bulb is tied to neither: 60 g
    load = load_of(lamp_of(ENTRY + STEM, bulb="mass_g = 60"), "stem", MASSES)
    assert load.force is not None
    assert load.force.likely == pytest.approx((40 + 30 + 60) / 1000 * 9.80665)


def test_on_a_hung_lamp_the_lower_side_hangs(lamp_of) -> None:  # type: ignore[no-untyped-def]
    text = ENTRY + STEM
    fields = {
        "bulb": "mass_g = 60",
        "arm": "place = { at = [0, 0, 200] }",
        "cap": "place = { at = [0, 0, 100] }",
        "around": 'mounted = "ceiling"',
    }
    load = load_of(lamp_of(text, **fields), "stem", MASSES)
    assert load.force is not None
    assert load.force.likely == pytest.approx((25 + 60) / 1000 * 9.80665)
    assert load.words == "what hangs on it weighs 85 g"


def test_several_like_joints_share_unevenly(lamp_of) -> None:  # type: ignore[no-untyped-def]
    one = load_of(lamp_of(STEM, bulb="mass_g = 60"), "stem", MASSES).force
    three = load_of(lamp_of(STEM + "count = 3\n", bulb="mass_g = 60"), "stem", MASSES).force
    assert one is not None and three is not None
    assert three.likely == pytest.approx(one.likely / 2)


def test_joints_that_are_tied_otherwise_carry_at_most_all(lamp_of) -> None:  # type: ignore[no-untyped-def]
    tied = STEM + '[joint.key]\nkind = "slide"\nmale = "cap"\nfemale = "arm"\nnominal = 4.0\n'
    load = load_of(lamp_of(tied, bulb="mass_g = 60"), "stem", MASSES)
    assert load.force is not None
    assert load.force.likely == pytest.approx((40 + 25 + 60 + 30) / 1000 * 9.80665)
    assert load.words == "all of the lamp may hang on it: 155 g"


# Threads --------------------------------------------------------------------------------------------------------------


def test_both_threads_are_judged_and_a_light_lamp_is_sound(findings) -> None:  # type: ignore[no-untyped-def]
    told = findings(ENTRY + STEM, bulb="mass_g = 60")

    assert set(told) == {"hold.thread entry", "hold.thread stem"}
    assert {finding.verdict for finding in told.values()} == {Verdict.SOUND}
    assert "finger-tight is fine" in told["hold.thread entry"].sentence


def test_unknown_loads_are_unknown(findings) -> None:  # type: ignore[no-untyped-def]
    told = findings(ENTRY)

    assert told["hold.thread entry"].verdict is Verdict.UNKNOWN
    assert "load_n" in told["hold.thread entry"].cure


def test_a_heavy_load_fails_and_people_below_ask_for_more(findings) -> None:  # type: ignore[no-untyped-def]
    told = findings(STEM + "load_n = 120\n", around="above_people = true")
    calm = findings(STEM + "load_n = 120\n")

    assert told["hold.thread stem"].limit == 3.0
    assert calm["hold.thread stem"].limit == 1.5
    assert told["hold.thread stem"].value == pytest.approx(calm["hold.thread stem"].value)
    assert told["hold.retention lamp"].verdict is Verdict.DOUBTFUL
    assert "stem" in told["hold.retention lamp"].sentence
    assert "hold.retention lamp" not in calm


def test_torque_plastic_walls_and_direction_matter(findings) -> None:  # type: ignore[no-untyped-def]
    plain = findings(STEM + "load_n = 10\n")["hold.thread stem"].value
    lying = findings(STEM + 'load_n = 10\nlying = ["male", "female"]\n')["hold.thread stem"].value
    turned = findings(STEM + "load_n = 10\n", arm='up = "+y"', cap='up = "+y"')["hold.thread stem"].value
    matt = findings(STEM + "load_n = 10\n", {"arm": 50.0, "cap": 50.0})["hold.thread stem"].value
    tight = findings(STEM + "load_n = 10\ntorque_nm = 80\n")["hold.thread stem"]

    assert lying == turned
    assert lying > plain
    assert matt < 0.8 * plain
    assert tight.verdict is Verdict.FAILING
    assert "instead of 80" in tight.cure


def test_a_hot_part_bears_nothing_for_years(findings) -> None:  # type: ignore[no-untyped-def]
    told = findings(STEM + "load_n = 1\n", {"cap": 65.0})["hold.thread stem"]

    assert told.verdict is Verdict.FAILING
    assert "65 °C, limit 60 °C" in told.sentence


def test_less_than_three_turns_is_said_first(findings) -> None:  # type: ignore[no-untyped-def]
    told = findings(STEM.replace("length = 12.0", "length = 2.8"))["hold.thread stem"]

    assert told.verdict is Verdict.FAILING
    assert "6 mm" in told.cure


# Snaps ----------------------------------------------------------------------------------------------------------------

HOOK = """
[joint.lid]
kind = "snap"
male = "cap"
female = "arm"
{more}
snap = {{ form = "hook", arm = {arm}, thickness = {thickness}, undercut = 0.8, bends = "{bends}" }}
"""


def hook(arm: float = 13.0, thickness: float = 1.6, bends: str = "along layers", more: str = "load_n = 1.0") -> str:
    return HOOK.format(arm=arm, thickness=thickness, bends=bends, more=more)


def test_a_slender_hook_is_sound_and_a_stiff_one_is_mended(findings) -> None:  # type: ignore[no-untyped-def]
    good = findings(hook())["hold.snap lid"]
    stiff = findings(hook(arm=9.0, thickness=2.6), cap='plastic = "PLA"')["hold.snap lid"]

    assert good.verdict is Verdict.SOUND
    assert stiff.verdict is Verdict.FAILING
    words = stiff.cure.split()
    cure = hook(arm=float(words[words.index("long:") - 1]), thickness=float(words[words.index("mm") - 1]))
    assert findings(cure, cap='plastic = "PLA"')["hold.snap lid"].verdict is Verdict.SOUND


def test_standing_hooks_and_hooks_for_once(findings) -> None:  # type: ignore[no-untyped-def]
    standing = findings(hook(bends="across layers"))["hold.snap lid"]
    once = findings(hook(more='load_n = 1.0\nfeel = "fixed"'))["hold.snap lid"]

    assert standing.cure.startswith("print the arm lying")
    assert "borne once" in once.sentence
    assert findings(hook(more=""))["hold.snap lid"].verdict is Verdict.UNKNOWN


def test_a_ring_snap_is_judged_on_the_side_that_gives(findings) -> None:  # type: ignore[no-untyped-def]
    text = """
[joint.lid]
kind = "snap"
male = "cap"
female = "arm"
nominal = 36.0
load_n = 2.0
snap = { form = "bead", thickness = 1.2, undercut = 0.4, softer = "female" }
"""
    told = findings(text, arm='plastic = "PLA"')["hold.snap lid"]
    other = findings(text.replace('softer = "female"', 'softer = "male"'), arm='plastic = "PLA"')["hold.snap lid"]

    assert "closes with" in told.sentence
    assert told.value < other.value  # PLA bears less strain than PETG


def test_a_clip_says_how_far_up_its_flap_stays(findings) -> None:  # type: ignore[no-untyped-def]
    text = """
[joint.flap]
kind = "snap"
male = "cap"
female = "arm"
nominal = 6.0
feel = "{feel}"
snap = {{ form = "clip", thickness = 1.6, width = 12, opening = 5.0 }}
"""
    easy = findings(text.format(feel="easy"))["hold.snap flap"]
    snug = findings(text.format(feel="snug"))["hold.snap flap"]

    assert easy.verdict is Verdict.SOUND
    assert "° (" in easy.sentence and "from hanging" in easy.sentence
    assert snug.verdict in (Verdict.FAILING, Verdict.DOUBTFUL)
    assert snug.cure
    assert snug.limit == 90.0


def test_snaps_whose_sizes_are_not_stated_are_left_to_sizing(findings) -> None:  # type: ignore[no-untyped-def]
    assert findings('[joint.lid]\nkind = "snap"\nmale = "cap"\nfemale = "arm"\n') == {}


def test_impossible_loads_are_refused_with_their_unit(lamp_of) -> None:  # type: ignore[no-untyped-def]
    with pytest.raises(ValueProblem, match="load_n"):
        lamp_of(STEM + "load_n = -3\n")
    with pytest.raises(ValueProblem, match="N·m"):
        lamp_of(STEM + 'torque_nm = "tight"\n')


def test_gap_and_walls_are_those_of_the_printed_sides(findings, monkeypatch) -> None:  # type: ignore[no-untyped-def]
    seen: list[ThreadCase] = []
    monkeypatch.setattr(hold_joints, "judge_thread", lambda case: seen.append(case) or judge_thread(case))
    findings(STEM)
    question = seen[0].question

    # three lines of 0.42 mm on one face of the wall at least, on both at most
    assert question.male.wall is not None
    assert (question.male.wall.low, question.male.wall.high) == pytest.approx((1.26, 2.52))
    assert question.male.wall.likely == pytest.approx(1.5 * 1.26)
    assert question.gap.sd == pytest.approx(0.11, abs=0.05)  # both sides' scatter and habits, of the order of 0.1 mm
    assert question.engagement == 10.0  # one turn is lost at the ends

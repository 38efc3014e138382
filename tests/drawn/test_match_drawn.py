"""Which feature a joint speaks of, and what the study says of it."""

from __future__ import annotations

from collections.abc import Iterator
from math import cos, pi
from pathlib import Path

import pytest

from shadewright.bench.store import Bench
from shadewright.findings import Finding, Verdict
from shadewright.fit.joint import JointQuestion
from shadewright.lamp.read import read_lamp
from shadewright.solid import kernel
from shadewright.solid.mesh import Mesh
from shadewright.solid.read import read_model
from shadewright.solid.write import write_3mf
from shadewright.study.drawn import ModelFeatures, with_models
from shadewright.study.joints import study_joint
from shadewright.study.questions import question_for

HEAD = 'schema = 1\n[lamp]\nname = "Test lamp"\n'
PARTS = '[part.post]\nmodel = "models/post.3mf"\n[part.socket]\nmodel = "models/socket.3mf"\n'
JOINT = '[joint.fit]\nkind = "slide"\nmale = "post"\nfemale = "socket"\nnominal = 20.0\nfeel = "snug"\n'


@pytest.fixture
def bench(tmp_path: Path) -> Iterator[Bench]:
    with Bench.open(tmp_path / "own.sqlite") as opened:
        yield opened


def socket(*bores: tuple[float, float], sides: int = 180) -> Mesh:
    """A block with upright bores, each a diameter and its x."""
    holes = [kernel.cylinder(22, d / 2, segments=sides, fit="inside").moved(x, 0, -1) for d, x in bores]
    return kernel.difference(kernel.box((120, 40, 20), (0, 0, 10)), *holes)


def asked(folder: Path, bench: Bench, text: str, female: Mesh) -> tuple[JointQuestion, tuple[Finding, ...]]:
    """The question and the draw check's findings of the joint ``fit``, male first."""
    (folder / "models").mkdir()
    write_3mf(folder / "models" / "post.3mf", [kernel.cylinder(20, 10, segments=180, fit="inside")], title="post")
    write_3mf(folder / "models" / "socket.3mf", [female], title="socket")
    (folder / "lamp.toml").write_text(HEAD + PARTS + JOINT + text, encoding="utf-8")
    read = read_lamp(folder)
    models = {name: read_model(folder / part.model) for name, part in read.lamp.part.items()}
    return with_models(read, question_for(read, "fit", bench), ModelFeatures(models))


def test_unstated_sizes_come_from_the_models(tmp_path: Path, bench: Bench) -> None:
    question, (male, female) = asked(tmp_path, bench, "", socket((20.3, 0), (30.0, 40)))

    assert (question.male.drawn, question.female.drawn) == (20.0, 20.3)
    assert question.female.sagitta == pytest.approx(20.3 / 2 * (1 - cos(pi / 180)), abs=1e-5)
    assert male.verdict is female.verdict is Verdict.SOUND
    assert female.sentence == "the model of socket has a bore of 20.30 mm, taken as drawn"


def test_a_stated_size_that_the_model_has_not_is_told(tmp_path: Path, bench: Bench) -> None:
    question, (_, female) = asked(tmp_path, bench, "drawn_female = 20.0\n", socket((20.35, 0)))

    assert female.verdict is Verdict.FAILING
    assert female.sentence == "lamp.toml says 20.00, the model of socket has a bore of 20.35 mm"
    assert "drawn_female = 20.35" in female.cure
    assert question.female.drawn == 20.35


@pytest.mark.parametrize(
    ("stated", "verdict"),
    [
        (20.0, Verdict.SOUND),  # corners
        (20 * cos(pi / 16), Verdict.SOUND),  # across flats
        (20.06, Verdict.DOUBTFUL),
        (20.2, Verdict.FAILING),
    ],
)
def test_either_way_of_measuring_facets_agrees(tmp_path: Path, bench: Bench, stated: float, verdict: Verdict) -> None:
    _, (_, female) = asked(tmp_path, bench, f"drawn_female = {stated}\n", socket((20.0, 0), sides=16))

    assert female.verdict is verdict


def test_the_same_polygon_is_sized_the_same_however_it_is_stated(tmp_path: Path, bench: Bench) -> None:
    found, _ = asked(tmp_path, bench, "", socket((20.0, 0), sides=16))
    stated, _ = asked_again(tmp_path, bench, "drawn_female = 19.95\n")

    effective = [side.drawn - 4 / 3 * side.sagitta for side in (found.female, stated.female) if side.drawn]
    assert stated.female.drawn == 19.95
    assert effective[0] == pytest.approx(effective[1], abs=1e-3)


def asked_again(folder: Path, bench: Bench, text: str) -> tuple[JointQuestion, tuple[Finding, ...]]:
    (folder / "lamp.toml").write_text(HEAD + PARTS + JOINT + text, encoding="utf-8")
    read = read_lamp(folder)
    models = {name: read_model(folder / part.model) for name, part in read.lamp.part.items()}
    return with_models(read, question_for(read, "fit", bench), ModelFeatures(models))


def test_two_bores_as_likely_are_left_open_until_a_place_tells(tmp_path: Path, bench: Bench) -> None:
    question, (_, open_choice) = asked(tmp_path, bench, "", socket((20.2, -30), (20.4, 30)))
    told, (_, female) = asked_again(tmp_path, bench, "at_female = [29, 1, 8]\n")
    by_size, (_, agreed) = asked_again(tmp_path, bench, "drawn_female = 20.4\n")

    assert open_choice.verdict is Verdict.UNKNOWN
    assert "20.20 at (-30, 0, 10); 20.40 at (30, 0, 10)" in open_choice.sentence
    assert "at_female = [-30, 0, 10]" in open_choice.cure
    assert question.female.drawn is None
    assert (female.verdict, told.female.drawn) == (Verdict.SOUND, 20.4)
    assert (agreed.verdict, by_size.female.drawn) == (Verdict.SOUND, 20.4)


def test_alike_bores_are_one_size_and_counted(tmp_path: Path, bench: Bench) -> None:
    _, (_, female) = asked(tmp_path, bench, "", socket((20.3, -30), (20.3, 30)))

    assert female.sentence == "the model of socket has a bore of 20.30 mm (2 of them), taken as drawn"


def test_a_model_without_such_a_bore_is_said_so_and_the_statement_believed(tmp_path: Path, bench: Bench) -> None:
    question, (_, female) = asked(tmp_path, bench, "drawn_female = 20.3\n", socket((30.0, 0)))

    assert female.verdict is Verdict.UNKNOWN
    assert "no bore of about 20.30 mm was found in the model of socket" in female.sentence
    assert question.female.drawn == 20.3


def test_the_study_judges_what_the_model_has_and_says_how_much_to_change(tmp_path: Path, bench: Bench) -> None:
    asked(tmp_path, bench, "", socket((20.0, 0)))
    read = read_lamp(tmp_path)
    models = {name: read_model(tmp_path / part.model) for name, part in read.lamp.part.items()}
    answer = study_joint(read, "fit", bench, {}, ModelFeatures(models))

    sizing = answer.study.sizing
    assert sizing is not None
    change = sizing.draw - 20.0
    assert answer.findings[0].cure.startswith(
        f"drawn 20.00, should be {sizing.draw:.2f}: make the bore of socket {change:.2f} larger"
    )

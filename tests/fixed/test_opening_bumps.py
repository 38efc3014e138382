"""Walls with openings get extra room: as much as stated, as unsure as stated, and only where something slides."""

from __future__ import annotations

import math
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from shadewright.bench.store import Bench
from shadewright.errors import ValueProblem
from shadewright.fit.bumps import opening_bumps
from shadewright.fit.defaults import built_in_habits
from shadewright.fit.gap import true_gap
from shadewright.fit.joint import Feel, JointKind, JointQuestion, Side
from shadewright.fit.size import size_joint
from shadewright.lamp.read import parse_lamp
from shadewright.printing import Spread
from shadewright.study.questions import question_for

HABITS = built_in_habits(0.4, "PLA")
PLAIN = JointQuestion(
    name="liner",
    kind=JointKind.SLIDE,
    feel=Feel.EASY,
    nominal=80.0,
    length=30.0,
    male=Side(name="liner", habits=HABITS),
    female=Side(name="shade", habits=HABITS),
    liner_wall=0.8,
)


def test_the_bore_is_drawn_wider_by_the_room_the_bumps_take() -> None:
    bumpy = replace(PLAIN, bumps=Spread(0.2, 0.0))
    assert size_joint(bumpy).draw - size_joint(PLAIN).draw == pytest.approx(0.2, abs=0.011)


def test_the_gap_is_that_of_a_simulated_liner() -> None:
    """Monte Carlo with seed 7: the same drawn sizes, with and without bumps drawn from their spread."""
    bumps = Spread(0.15, 0.08)
    plain, bumpy = (true_gap(question, 80.0, 80.6) for question in (PLAIN, replace(PLAIN, bumps=bumps)))
    random = np.random.default_rng(7)
    simulated = random.normal(plain.mean, plain.sd, 400_000) - random.normal(bumps.mean, bumps.sd, 400_000)
    assert bumpy.mean == pytest.approx(simulated.mean(), abs=0.002)
    assert bumpy.sd == pytest.approx(simulated.std(), rel=0.01)
    assert bumpy.settled_sd == plain.settled_sd


def test_what_bumps_cost_is_said_by_name() -> None:
    shares = {share.name: share.mm for share in size_joint(replace(PLAIN, bumps=opening_bumps(0.4))).shares}
    assert shares["bumps at the rims of openings"] == pytest.approx(0.15)


def test_a_wider_nozzle_leaves_wider_bumps() -> None:
    assert opening_bumps(0.8).mean == pytest.approx(2 * opening_bumps(0.4).mean)


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"kind": JointKind.PUSH, "liner_wall": None}, "openings are given for a push joint"),
        ({"bumps": Spread(-0.1, 0.0)}, r"bumps of -0\.1 mm are given; they must be 0 or more, and finite"),
        ({"bumps": Spread(0.1, math.inf)}, "they must be 0 or more, and finite"),
    ],
)
def test_bumps_that_cannot_be_are_refused(change: dict[str, object], words: str) -> None:
    question = replace(PLAIN, **{"bumps": opening_bumps(0.4), **change})  # type: ignore[arg-type]
    with pytest.raises(ValueProblem, match=words):
        size_joint(question)


def test_bore_of_the_nozzle_must_be_a_size() -> None:
    with pytest.raises(ValueProblem, match="nozzle is 0 mm"):
        opening_bumps(0.0)


@pytest.mark.parametrize(("line", "mean"), [("openings = true", 0.15), ("", None)])
def test_a_lamp_says_that_a_wall_has_openings(tmp_path: Path, line: str, mean: float | None) -> None:
    for name in ("a", "b"):
        (tmp_path / f"{name}.stl").touch()
    text = (
        'schema = 1\n[lamp]\nname = "x"\n[part.a]\nmodel = "a.stl"\n[part.b]\nmodel = "b.stl"\n'
        f'[joint.j]\nkind = "slide"\nmale = "a"\nfemale = "b"\nnominal = 80.0\n{line}\n'
    )
    read = parse_lamp(text, tmp_path / "lamp.toml")
    with Bench.open(None) as bench:
        bumps = question_for(read, "j", bench).bumps
    assert (bumps.mean if bumps else None) == mean

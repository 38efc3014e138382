"""The cures that are named for arms do carry."""

from __future__ import annotations

import re

import numpy as np
import pytest

from shadewright.catalog.lookup import plastic
from shadewright.findings import Finding, Verdict
from shadewright.hold.balance import rotation
from shadewright.hold.bracket import Load, bracket_hold
from shadewright.hold.bracket_advice import BracketCase, judge_bracket
from shadewright.hold.bracket_sections import Fill, arm_of
from shadewright.hold.card import material_card
from shadewright.hold.ranges import Ranged, wanted_margin
from shadewright.solid.kernel import box
from shadewright.solid.mesh import Mesh

FILL = Fill(wall=1.6, skin=1.0, infill=1.0)


def arm(height: float, force: float, *, upright: bool = False, above_people: bool = False) -> Finding:
    """A bar 150 long and 12 wide under a force at its end; lying, or printed standing with the force along x."""
    bar, down = box((150, 12, height), (75, 0, height / 2)), np.array([0.0, 0.0, -1.0])
    ends = [np.array([0.0, 0, height / 2]), np.array([150.0, 0, height / 2])]
    if upright:
        turn = rotation((0, 1, 0), -90)
        bar, down, ends = Mesh(bar.vertices @ turn.T, bar.faces), turn @ down, [turn @ end for end in ends]
    cut = arm_of(bar, ends[0], ends[1], FILL)
    load = Load(force_n=Ranged.exactly(force), at=ends[1], down=down)
    held = bracket_hold(cut, load, material_card(plastic("PETG")), wanted=wanted_margin(above_people=above_people))
    return judge_bracket(
        BracketCase(part="arm", arm=cut, load=load, held=held, plastic="PETG", above_people=above_people)
    )


def test_a_deeper_arm_as_named() -> None:
    weak = arm(5, 8)
    deeper = float(re.search(r"make it (\d+) mm deep there instead of 5", weak.cure)[1])  # type: ignore[index]

    assert weak.verdict is not Verdict.SOUND
    assert arm(deeper, 8).verdict is Verdict.SOUND
    assert arm(deeper - 2, 8).verdict is not Verdict.SOUND


def test_lying_as_named() -> None:
    standing = arm(14, 14, upright=True)
    holds = float(re.search(r"layers along the arm: ([\d.]+)-fold", standing.cure)[1])  # type: ignore[index]

    assert standing.verdict is not Verdict.SOUND
    assert "at 90 degrees to its layers" in standing.why
    assert arm(14, 14).value == pytest.approx(holds, rel=0.05)


def test_people_underneath() -> None:
    assert arm(12, 8, above_people=True).limit == 3.0
    assert "second means of retention" in arm(6, 8, above_people=True).cure


def test_the_worst_place_is_the_root() -> None:
    found = arm(12, 2)

    assert found.verdict is Verdict.SOUND
    assert found.place is not None
    assert (found.place.x, found.place.z_low) == (0.0, 6.0)
    assert not found.cure

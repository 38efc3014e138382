"""The cures that are named for stands do steady them."""

from __future__ import annotations

import re

import numpy as np
import pytest

from shadewright.findings import Verdict
from shadewright.hold.balance import Lump, balance_of
from shadewright.hold.balance_advice import StandCase, compass, judge_balance, judge_tipping
from shadewright.hold.ranges import Ranged
from shadewright.hold.tipping import tipping

FEET = np.array([[-50, -40], [50, -40], [50, 40], [-50, 40]], dtype=float)


def lump(name: str, grams: float, *centre: float) -> Lump:
    return Lump(name=name, mass_g=Ranged.exactly(grams), centre=np.array(centre))


def stand(x: float, *more: Lump, wider: float = 0.0, above_people: bool = False) -> StandCase:
    balance = balance_of([lump("lamp", 400, x, 0, 160), *more])
    feet = FEET + np.sign(FEET) * wider
    return StandCase(
        tipping=tipping(feet, balance, 0, 260),
        balance=balance,
        ground=0,
        pose="",
        ballast_at=(0, 0, 5),
        above_people=above_people,
    )


def test_wider_feet_as_named() -> None:
    found = judge_tipping(stand(40))
    wider, reached = map(float, re.search(r"reach (\d+) mm.*: (\d+) degrees", found.cure).groups())  # type: ignore[union-attr]
    mended = judge_tipping(stand(40, wider=wider))

    assert found.verdict is Verdict.FAILING
    assert mended.verdict is Verdict.SOUND
    assert mended.value == pytest.approx(reached, abs=0.3)


def test_weight_in_the_foot_as_named() -> None:
    found = judge_tipping(stand(40))
    grams = float(re.search(r"put (\d+) g", found.cure)[1])  # type: ignore[index]
    mended = judge_tipping(stand(40, lump("ballast", grams, 0, 0, 5)))

    assert mended.verdict is Verdict.SOUND
    assert mended.value == pytest.approx(float(re.search(r": (\d+) degrees", found.cure)[1]), abs=0.3)  # type: ignore[index]


def test_people_underneath_double_the_demand() -> None:
    alone, above = judge_tipping(stand(15)), judge_tipping(stand(15, above_people=True))

    assert alone.verdict is Verdict.SOUND
    assert above.verdict is Verdict.FAILING
    assert "people could be under it" in above.why


def test_what_falls_by_itself_is_said_so() -> None:
    found = judge_tipping(stand(62))

    assert "falls over by itself towards +x: 12 mm beyond its feet" in found.sentence
    assert found.verdict is Verdict.FAILING


def test_the_balance_is_said_in_whole_numbers() -> None:
    found = judge_balance(stand(-0.2).balance, 0, "")

    assert found.sentence == "it weighs 400 g; its centre of mass lies at (0, 0), 160 mm up"


@pytest.mark.parametrize(
    ("angle", "name"), [(0, "+x"), (44, "+x+y"), (90, "+y"), (180, "-x"), (-180, "-x"), (-46, "+x-y")]
)
def test_directions_have_names(angle: float, name: str) -> None:
    assert compass(angle) == name

"""Screws and plates on walls against handbook figures and hand statics."""

from __future__ import annotations

from math import pi

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shadewright.errors import ValueProblem
from shadewright.hold.ranges import Ranged
from shadewright.hold.wall import (
    LB_N,
    Keyhole,
    Screws,
    WallKind,
    WallQuestion,
    allowable_lateral_n,
    allowable_withdrawal_n,
    top_screw,
    wall_hold,
    withdrawal_n,
)

PER_INCH = 25.4 / LB_N
INCH = 25.4


def test_withdrawal_of_a_number_10_screw() -> None:
    """D 0.19 in: 135.4 lb per inch at G 0.50 (design table: 135); 109 at G 0.45 (engineering site, seen)."""
    assert allowable_withdrawal_n(0.50, 0.19 * INCH, 1) * PER_INCH == pytest.approx(135, rel=0.01)
    assert allowable_withdrawal_n(0.45, 0.19 * INCH, 1) * PER_INCH == pytest.approx(109, rel=0.01)


def test_withdrawal_of_a_number_8_screw() -> None:
    """D 0.164 in, G 0.42: 82.4 lb per inch (own arithmetic on the rule)."""
    assert allowable_withdrawal_n(0.42, 0.164 * INCH, 1) * PER_INCH == pytest.approx(82.4, rel=1e-3)


def test_withdrawal_at_failure() -> None:
    """G 0.42, D 4.2, L 25: 2005 N, which is 15 700 G^2 D L in pounds and inches (Wood Handbook, from memory)."""
    assert withdrawal_n(0.42, 4.2, 25) == pytest.approx(2005, rel=1e-3)
    in_pounds = 15_700 * 0.42**2 * (4.2 / INCH) * (25 / INCH)
    assert withdrawal_n(0.42, 4.2, 25) == pytest.approx(in_pounds * LB_N, rel=2e-3)


@pytest.mark.parametrize(("gravity", "coefficient"), [(0.41, 2520), (0.44, 3240), (0.51, 3960), (0.59, 4800)])
def test_lateral_load_by_the_groups_of_woods(gravity: float, coefficient: float) -> None:
    """Spruce 0.41 group IV, hemlock 0.44 III, Douglas fir 0.51 II, southern pine 0.59 I (handbook table 6.2, seen)."""
    assert allowable_lateral_n(gravity, 0.164 * INCH) == pytest.approx(coefficient * 0.164**2 * LB_N)


def test_two_screws() -> None:
    """20 N at 120, screws 60 apart, turning about the lower one: 40 N and 10 N (own, moments)."""
    tension, shear = top_screw((60.0, 1e-9), 20, 120)

    assert (tension, shear) == pytest.approx((40, 10))


def test_rows_share_by_their_height() -> None:
    """Rows at 20 and 80: moments balance, and tensions go with height."""
    top, _ = top_screw((20.0, 80.0), 10, 100)

    assert top * 80 + top * 20 / 80 * 20 == pytest.approx(10 * 100)


def plate(**changes: object) -> WallQuestion:
    known = {
        "wall": WallKind.SOFTWOOD,
        "screws": Screws(heights=(15.0, 75.0), diameter=4.0, length=25.0, head=8.0),
        "weight_n": Ranged.exactly(10.0),
        "reach": Ranged.exactly(120.0),
        "tear_mpa": Ranged.exactly(10.0),
        "bearing_mpa": Ranged.exactly(20.0),
    }
    return WallQuestion(**{**known, **changes})  # type: ignore[arg-type]


def test_a_light_lamp_on_wood_holds_and_a_heavy_one_on_plasterboard_does_not() -> None:
    light = wall_hold(plate())
    heavy = wall_hold(plate(wall=WallKind.PLASTERBOARD, weight_n=Ranged.exactly(60.0)))

    assert light.governing == "screw and wall"
    assert light.safeties["screw and wall"].low5 > 10
    assert heavy.safeties["screw and wall"].low5 < 1.5
    assert light.tension_n.likely == pytest.approx(10 * 120 * 75 / (15**2 + 75**2))


def test_a_stated_plug_counts() -> None:
    found = wall_hold(plate(wall=WallKind.MASONRY, plug_n=Ranged.exactly(400)))

    assert found.pull_n.likely == pytest.approx(400)
    assert found.pull_n.low5 == pytest.approx(found.pull_n.high95)


def test_pull_and_shear_add_up_on_one_screw() -> None:
    found = wall_hold(plate(wall=WallKind.MASONRY, plug_n=Ranged.exactly(400)))
    share = found.tension_n.likely / 400 + found.shear_n.likely / found.across_n.likely

    assert found.safeties["screw and wall"].likely == pytest.approx(1 / share, rel=1e-3)


def test_overhead_the_weight_pulls_straight_out() -> None:
    found = wall_hold(plate(overhead=True))

    assert found.tension_n.likely == pytest.approx(5)
    assert found.shear_n.likely == 0


def test_keyhole_by_hand() -> None:
    """Head 8, slot 4.4, 2.4 behind: rim 20.73, lip 25.07 mm2; strengths over loads by hand."""
    hang = wall_hold(plate(keyhole=Keyhole(behind=2.4, slot=4.4)))
    tension = hang.tension_n.likely

    assert hang.safeties["keyhole: head torn through"].likely == pytest.approx(10 * (8 * pi - 4.4) * 2.4 / tension)
    lip = pi * 64 / 4 - 4.4 * 4 - pi * 4.4**2 / 8
    assert hang.safeties["keyhole: lip crushed"].likely == pytest.approx(20 * lip / tension)
    assert hang.safeties["keyhole: slot bearing"].likely == pytest.approx(20 * 4.0 * 2.4 / 5)


def test_impossible_plates_are_refused() -> None:
    with pytest.raises(ValueProblem, match="below the lower edge"):
        Screws(heights=(20.0, -1.0), diameter=4, length=25, head=8)
    with pytest.raises(ValueProblem, match="lets the screw's head through"):
        wall_hold(plate(keyhole=Keyhole(behind=2, slot=8.5)))
    with pytest.raises(ValueProblem, match="above 0"):
        Keyhole(behind=0, slot=4)


@given(st.floats(0.1, 50))
def test_safety_falls_as_the_load_grows(heavier: float) -> None:
    base, found = wall_hold(plate(), draws=20), wall_hold(plate(weight_n=Ranged.exactly(10 * heavier)), draws=20)

    assert found.safeties["screw and wall"].likely == pytest.approx(base.safeties["screw and wall"].likely / heavier)


@given(st.floats(0.2, 5))
def test_doubling_rules_of_screws(times: float) -> None:
    assert withdrawal_n(0.4, 4, 20 * times) == pytest.approx(times * withdrawal_n(0.4, 4, 20))
    assert allowable_lateral_n(0.4, 4 * times) == pytest.approx(times**2 * allowable_lateral_n(0.4, 4))

"""Tipping against hand statics, over polygons of every kind."""

from __future__ import annotations

from math import atan, cos, degrees, pi, radians, sin, tan

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from shadewright.errors import ValueProblem
from shadewright.findings import Verdict
from shadewright.hold.balance import GRAVITY, Balance, Lump, balance_of, rotation
from shadewright.hold.ranges import Outcome, Ranged
from shadewright.hold.tipping import ballast_g, limit_deg, tipping, tipping_verdict, widening
from shadewright.solid.mesh import Floats


def weight(x: float, y: float, z: float, grams: float = 1000.0, vague: float = 0.0) -> Balance:
    return balance_of([Lump(name="all", mass_g=Ranged.exactly(grams), centre=np.array([x, y, z]), vague=vague)])


def disc(radius: float, sides: int = 720) -> Floats:
    t = np.arange(sides) * 2 * pi / sides
    return radius * np.column_stack([np.cos(t), np.sin(t)])


SQUARE = np.array([[-60, -60], [60, -60], [60, 60], [-60, 60]], dtype=float)


@pytest.mark.parametrize(("offset", "angle"), [(0, 18.435), (40, 8.130)])
def test_round_base(offset: float, angle: float) -> None:
    """R 70, centre of mass 210 up, centred and 40 off: 18.435 and 8.130 degrees (own, atan((e - x) / z))."""
    found = tipping(disc(70), weight(offset, 0, 210), 0, 300)

    assert found.angle.likely == pytest.approx(angle, abs=2e-3)
    if offset:
        assert found.towards == pytest.approx(0, abs=0.6)


@pytest.mark.parametrize(("x", "y", "towards"), [(30, 0, 0), (0, 30, 90), (-30, 0, 180), (0, -30, -90)])
def test_it_tips_towards_the_side_its_weight_is_on(x: float, y: float, towards: float) -> None:
    found = tipping(SQUARE, weight(x, y, 210), 0, 300)

    assert found.towards % 360 == pytest.approx(towards % 360)


def test_square_and_triangle() -> None:
    """Square 120 at 210: 15.945 over an edge; triangle of inradius 40: 10.784 degrees (own, same formula)."""
    triangle = 80 * np.column_stack([np.cos(np.arange(3) * 2 * pi / 3), np.sin(np.arange(3) * 2 * pi / 3)])

    assert tipping(SQUARE, weight(0, 0, 210), 0, 300).angle.likely == pytest.approx(15.945, abs=1e-3)
    assert tipping(triangle, weight(0, 0, 210), 0, 300).angle.likely == pytest.approx(10.784, abs=1e-3)


def test_three_masses_push() -> None:
    """R 75: 21.20 degrees, and 1.404 N at 330 mm (own worked example)."""
    lumps = [
        Lump(name=n, mass_g=Ranged.exactly(m), centre=np.array([x, 0.0, z]))
        for n, m, x, z in (("base", 450.0, 0.0, 8.0), ("stem", 120.0, 0.0, 160.0), ("head", 300.0, 60.0, 330.0))
    ]
    found = tipping(disc(75), balance_of(lumps), 0, 330)

    assert found.angle.likely == pytest.approx(21.20, abs=0.01)
    assert found.push_n.likely == pytest.approx(1.404, rel=1e-3)


def test_an_arch_between_feet_does_not_count_as_hollow() -> None:
    """Three separate feet carry on the hull around them."""
    feet = np.vstack([disc(5, 60) + 50 * np.array([cos(t), sin(t)]) for t in (0.5, 2.6, 4.7)])
    found = tipping(feet, weight(0, 0, 100), 0, 200)

    assert found.angle.likely > 10
    assert len(found.corners) > 20


def test_a_weight_outside_the_feet_falls_by_itself() -> None:
    found = tipping(SQUARE, weight(75, 0, 100), 0, 200)

    assert found.angle.likely == pytest.approx(-degrees(atan(15 / 100)))
    assert found.push_n.likely < 0
    assert tipping_verdict(found.angle, 6) is Verdict.FAILING


def test_verdicts_by_the_limits() -> None:
    assert limit_deg(above_people=False) == 6
    assert limit_deg(above_people=True) == 15
    assert tipping_verdict(Outcome(5.9, 5.9, 5.9), 6) is Verdict.FAILING
    assert tipping_verdict(Outcome(5.5, 9.0, 12), 6) is Verdict.DOUBTFUL
    assert tipping_verdict(Outcome(7.0, 9.0, 12), 6) is Verdict.DOUBTFUL
    assert tipping_verdict(Outcome(8.5, 9.0, 12), 6) is Verdict.SOUND
    assert tipping_verdict(Outcome(14.0, 16.0, 18), 15) is Verdict.DOUBTFUL


def test_widening_reaches_the_limit() -> None:
    balance = weight(50, 0, 210)
    wider = widening(tipping(SQUARE, balance, 0, 300), 15, 210)
    grown = np.sign(SQUARE) * (60 + wider)

    assert wider == pytest.approx(210 * tan(radians(15)) - 10)
    assert tipping(grown, balance, 0, 300).angle.likely == pytest.approx(15)


def test_ballast_reaches_the_limit_or_says_it_cannot() -> None:
    balance = weight(50, 0, 210)
    now = tipping(SQUARE, balance, 0, 300)
    grams = ballast_g(now, balance, 15, 0, (0, 0, 10))
    assert grams is not None
    heavier = balance_of(
        [
            Lump(name="lamp", mass_g=Ranged.exactly(1000), centre=balance.centre),
            Lump(name="ballast", mass_g=Ranged.exactly(grams), centre=np.array([0.0, 0.0, 10.0])),
        ]
    )

    assert tipping(SQUARE, heavier, 0, 300).angle.likely == pytest.approx(15)
    assert ballast_g(now, balance, 1, 0, (0, 0, 10)) == 0
    assert ballast_g(now, balance, 15, 0, (59, 0, 10)) is None
    assert ballast_g(now, balance, 15, 0, (0, 62, 10)) is None  # it would tip over another edge


def test_impossible_stands_are_refused() -> None:
    with pytest.raises(ValueProblem, match="above the ground"):
        tipping(SQUARE, weight(0, 0, -1), 0, 300)
    with pytest.raises(ValueProblem, match="one line"):
        tipping(SQUARE[:2], weight(0, 0, 100), 0, 300)


def test_an_uncertain_centre_spreads_the_angle_to_both_sides() -> None:
    found = tipping(disc(70), weight(30, 0, 210, vague=8), 0, 300)

    assert found.angle.low5 < found.angle.likely - 0.5
    assert found.angle.high95 > found.angle.likely + 0.5


@given(st.floats(-180, 180), st.floats(-300, 300), st.floats(-300, 300), st.floats(-50, 50))
def test_turning_and_moving_everything_changes_nothing(turn: float, x: float, y: float, up: float) -> None:
    spin = rotation((0, 0, 1), turn)
    centre = spin @ np.array([25.0, -10.0, 180.0]) + [x, y, up]
    foot = SQUARE @ spin[:2, :2].T + [x, y]
    found, before = tipping(foot, weight(*centre), up, 300), tipping(SQUARE, weight(25, -10, 180), 0, 300)

    assert found.angle.likely == pytest.approx(before.angle.likely, abs=1e-6)
    assert found.push_n.likely == pytest.approx(before.push_n.likely)
    assert sorted(found.inside) == pytest.approx(sorted(before.inside))


@given(st.floats(0.2, 5), st.floats(0.1, 10))
def test_size_leaves_the_angle_and_mass_scales_the_push(size: float, heavier: float) -> None:
    base = tipping(SQUARE, weight(20, 0, 150), 0, 250)
    found = tipping(SQUARE * size, weight(20 * size, 0, 150 * size, 1000 * heavier), 0, 250 * size)

    assert found.angle.likely == pytest.approx(base.angle.likely)
    assert found.push_n.likely == pytest.approx(base.push_n.likely * heavier)
    assert base.push_n.likely == pytest.approx(GRAVITY * 40 / 250)

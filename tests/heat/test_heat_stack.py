"""Flow through openings against its closed forms."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from shadewright.errors import ValueProblem
from shadewright.heat.air import CP, KELVIN, air_at
from shadewright.heat.stack import Draught, Opening, draught, flow_m3_s

openings = st.builds(
    lambda area, low, height, up: Opening(area_mm2=area, low=low, high=low + height, faces_up=up),
    st.floats(1, 5000),
    st.floats(0, 300),
    st.floats(0, 100),
    st.booleans(),
)


def level(area_cm2: float, height: float, faces_up: bool = False) -> Opening:
    return Opening(area_mm2=100 * area_cm2, low=height, high=height, faces_up=faces_up)


def warmth(found: Draught, watts: float, room_c: float = 25.0) -> float:
    """Rise of the air that carries ``watts`` away, discharge coefficient 0.6 [K]."""
    low, high = 0.0, 400.0
    room = np.asarray(room_c)
    for _ in range(60):
        rise = (low + high) / 2
        flow = flow_m3_s(found, 0.6, room + rise, room)
        carried = float(air_at(room_c).density * CP * flow * rise)
        low, high = (rise, high) if carried < watts else (low, rise)
    return low


@pytest.mark.parametrize(
    ("watts", "lower", "upper", "height", "rise"),
    [(5.0, 8.0, 8.0, 120.0, 27.67), (10.0, 15.0, 10.0, 200.0, 28.67)],
)
def test_two_openings_carry_what_the_closed_form_says(
    watts: float, lower: float, upper: float, height: float, rise: float
) -> None:
    """Q = rho cp Cd Ae sqrt(2 g h dT/Tin) dT with 1/Ae² = 1/A1² + 1/A2², solved by hand for both cases."""
    found = draught([level(lower, 0.0), level(upper, height)])

    effective = 1 / np.hypot(1e4 / lower, 1e4 / upper)
    assert found.stack == pytest.approx(effective * (height / 1e3) ** 0.5, rel=1e-6)
    assert warmth(found, watts) == pytest.approx(rise, rel=0.02)


def test_one_window_breathes_like_a_doorway() -> None:
    """V = Cd W H^1.5 sqrt(g dT/T) / 3 (Brown and Solvason, Int. J. Heat Mass Transfer 5 (1962) 859)."""
    width, height = 0.08, 0.05
    found = draught([Opening(area_mm2=1e6 * width * height, low=20.0, high=70.0)])

    flow = flow_m3_s(found, 0.6, np.asarray(60.0), np.asarray(25.0))
    expected = 0.6 * width * height**1.5 / 3 * np.sqrt(9.80665 * 35 / (60 + KELVIN))
    assert flow == pytest.approx(expected, rel=0.02)


def test_a_hole_on_top_alone_still_lets_warm_air_out_but_one_below_does_not() -> None:
    warm, room = np.asarray(60.0), np.asarray(25.0)

    above = flow_m3_s(draught([level(50, 100, faces_up=True)]), 0.6, warm, room)
    expected = 0.055 * np.sqrt(9.80665 * 35 / (60 + KELVIN)) * (4 * 50e-4 / np.pi) ** 1.25
    assert above == pytest.approx(expected, rel=1e-9)
    assert flow_m3_s(draught([level(50, 0)]), 0.6, warm, room) == pytest.approx(0.0, abs=1e-9)
    assert flow_m3_s(draught([]), 0.6, warm, room) == 0
    assert flow_m3_s(draught([level(5, 0), level(5, 100)]), 0.6, room, warm) == 0


@given(some=st.lists(openings, max_size=5), more=openings)
def test_another_opening_never_lets_less_through(some: list[Opening], more: Opening) -> None:
    before, after = draught(some), draught([*some, more])

    assert after.stack >= before.stack * (1 - 1e-9) - 1e-12
    assert after.exchange >= before.exchange


def test_an_opening_without_area_is_refused() -> None:
    with pytest.raises(ValueProblem, match="cannot be"):
        Opening(area_mm2=0.0, low=0.0, high=1.0)
    with pytest.raises(ValueProblem, match="cannot be"):
        Opening(area_mm2=1.0, low=2.0, high=1.0)


def test_wall_and_openings_share_the_heat_as_worked_by_hand() -> None:
    """6.5 W, 0.25 W/K through the wall, 8 and 8 cm² at 0.12 m, room of 25 °C: 16.57 K, 64 % still through the wall."""
    found = draught([level(8.0, 0.0), level(8.0, 120.0)])
    low, high = 0.0, 26.0
    for _ in range(60):
        rise = (low + high) / 2
        left = 6.5 - 0.25 * rise
        low, high = (low, rise) if warmth(found, left) < rise else (rise, high)

    assert low == pytest.approx(16.57, rel=0.02)
    assert 0.25 * low / 6.5 == pytest.approx(0.64, rel=0.02)

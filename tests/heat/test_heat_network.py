"""The network: balance, a worked closed shade, limits, and that nothing that cools ever heats."""

from __future__ import annotations

from dataclasses import replace
from math import pi

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from warm_lamps import BULB, can, conditions, liners, openings, shades

from shadewright.errors import ValueProblem
from shadewright.heat.hot_spots import above_bulb, beside_collar, plume_rise, view_of_cylinder
from shadewright.heat.network import COLLAR, LINER, Steady, WarmLamp, slowest, steady
from shadewright.heat.stack import Opening
from shadewright.heat.warmth import Conditions, Liner, Shade

NEVER_HOTTER_K = 1e-6
QUICK = settings(max_examples=40, deadline=None)


def lamp(shade: Shade, given_: Conditions, liner: Liner | None = None) -> WarmLamp:
    return WarmLamp(bulb=BULB, shade=shade, conditions=given_, liner=liner)


def hottest(asked: WarmLamp) -> float:
    found = steady(asked)
    spots = [found.wall_c, beside_collar(asked, found), above_bulb(asked, found)]
    return max(float(spot[0]) for spot in spots if spot is not None)


def values(found: Steady) -> list[float]:
    return [float(found.outside_c[0]), float(found.wall_c[0]), float(found.air_c[0])]


def test_a_closed_can_comes_out_as_solved_by_hand() -> None:
    """Can of 120 x 150 mm, 6 W into its air, wall 1.6 mm of 0.16 W/mK, emissivity 0.9, 25 °C.

    Solved apart from this program with the same textbook formulas: outside 32.99, inside 33.75, air 50.4 °C.
    """
    silent = replace(BULB, emissivity=1e-6)  # so that all heat crosses the air
    given_ = Conditions(watts=6.0, light_share=0.0, conductivity=0.16, emissivity=0.9, contact_w_k=1e-9)
    found = steady(WarmLamp(bulb=silent, shade=can(), conditions=given_))

    assert values(found) == pytest.approx([32.99, 33.75, 50.4], abs=0.3)


def test_a_formula_for_electronic_casings_lies_between_no_radiation_inside_and_all_of_it() -> None:
    """Q = 1.78 (top + sides + half the bottom) dT^1.25 (Ishizuka and others, from memory), the same can, 6 W."""
    area = pi * 0.12 * 0.15 + 1.5 * pi / 4 * 0.12**2
    published = (6.0 / (1.78 * area)) ** 0.8
    given_ = Conditions(watts=6.0, light_share=0.0, conductivity=0.16, emissivity=0.9)

    with_radiation = steady(lamp(can(), given_)).air_c[0] - 25
    without = steady(WarmLamp(bulb=replace(BULB, emissivity=1e-6), shade=can(), conditions=given_)).air_c[0] - 25
    assert with_radiation < published < without


@given(shades, conditions, liners, st.booleans())
@QUICK
def test_what_is_set_free_leaves(shade: Shade, given_: Conditions, liner: Liner | None, inside: bool) -> None:
    found = steady(lamp(replace(shade, holder_inside=inside), given_, liner))

    assert found.imbalance < 1e-6
    assert (found.temps_c >= found.room_c - 1e-9).all()
    assert found.temps_c.max() == found.temps_c[COLLAR].max() or float(np.asarray(given_.collar_share)) < 0.7


@given(shades, conditions, openings)
@QUICK
def test_more_vents_never_make_it_hotter(shade: Shade, given_: Conditions, more: Opening) -> None:
    vented = replace(shade, openings=(*shade.openings, more))

    assert hottest(lamp(vented, given_)) <= hottest(lamp(shade, given_)) + NEVER_HOTTER_K


@given(shades, conditions, st.floats(1.01, 3))
@QUICK
def test_a_surface_that_radiates_more_never_makes_it_hotter(shade: Shade, given_: Conditions, times: float) -> None:
    brighter = replace(given_, emissivity=min(float(given_.emissivity) * times, 1.0))

    assert hottest(lamp(shade, brighter)) <= hottest(lamp(shade, given_)) + NEVER_HOTTER_K


@given(shades, conditions, st.floats(0.1, 60))
@QUICK
def test_more_distance_never_makes_it_hotter(shade: Shade, given_: Conditions, more: float) -> None:
    above = None if shade.above_gap is None else shade.above_gap + more
    farther = replace(shade, collar_gap=shade.collar_gap + more, above_gap=above)

    assert hottest(lamp(farther, given_)) <= hottest(lamp(shade, given_)) + NEVER_HOTTER_K


@given(shades, conditions, liners, st.floats(0.1, 0.99))
@QUICK
def test_fewer_watts_never_make_it_hotter(shade: Shade, given_: Conditions, liner: Liner | None, times: float) -> None:
    weaker = replace(given_, watts=float(given_.watts) * times)

    assert hottest(lamp(shade, weaker, liner)) <= hottest(lamp(shade, given_, liner)) + NEVER_HOTTER_K


def test_many_draws_at_once_are_each_as_if_alone() -> None:
    watts = np.array([3.0, 7.0, 12.0])
    together = steady(lamp(can(), Conditions(watts=watts, room_c=np.array([20.0, 25.0, 30.0]))))

    for place, (power, room) in enumerate(zip(watts, (20.0, 25.0, 30.0), strict=True)):
        alone = steady(lamp(can(), Conditions(watts=float(power), room_c=room)))
        assert together.temps_c[:, place] == pytest.approx(alone.temps_c[:, 0], abs=1e-6)


def test_in_a_wide_room_only_the_bulb_is_warm() -> None:
    found = steady(lamp(replace(can(), side_mm2=1e10), Conditions(watts=7.0)))

    assert found.air_c[0] == pytest.approx(25.0, abs=0.02)
    assert found.wall_c[0] == pytest.approx(25.0, abs=0.01)


def test_two_bodies_in_a_row_warm_up_as_their_closed_form_says() -> None:
    """Two of 100 J/K, 0.5 W/K between them and from the second to the room: 100 / 0.5 * 2 / (3 - sqrt 5) s."""
    found = slowest(np.array([[[0.5, -0.5], [-0.5, 1.0]]]), np.array([100.0, 100.0]))

    assert found == pytest.approx([200 * 2 / (3 - 5**0.5)])


def test_light_that_stays_is_heat_and_light_that_leaves_is_not() -> None:
    """10 W, 30 % of it light, half of that kept by the wall and a fifth of the outlook open: 7 + 3 x 0.5 x 0.8 W."""
    airy = replace(can(), openings=(Opening(area_mm2=500.0, low=0.0, high=0.0),), open_view=0.2)
    found = steady(lamp(airy, Conditions(watts=10.0, light_share=0.3, light_kept=0.5)))

    assert found.heat_w == pytest.approx([8.2])


def test_a_shade_much_heavier_than_its_bulb_warms_as_one_body() -> None:
    """A slow wall of 1e6 J/K, all else long settled: its heat over what it loses per degree in the end."""
    found = steady(lamp(replace(can(), heat_j_k=1e6), Conditions(watts=7.0)))
    mean_loss = found.wall_w[0] / (found.outside_c[0] - 25)

    assert found.time_s[0] == pytest.approx(1e6 / mean_loss, rel=0.05)


def test_a_bulb_much_heavier_than_its_shade_warms_as_one_body() -> None:
    """Collar with 0.8 of 1e6 J/K, its links to all else taken as they are in the end."""
    heavy = replace(BULB, heat_j_k=1e6)
    wide = replace(can(), side_mm2=1e10, holder_inside=False)
    found = steady(WarmLamp(bulb=heavy, shade=wide, conditions=Conditions(watts=7.0, contact_w_k=1e-9)))
    given_off = 7.0 * 0.7 / (0.86 * (found.collar_c[0] - 25) + 0.14 * (found.envelope_c[0] - 25))

    assert 0.7 * 1e6 / given_off < found.time_s[0] < 1.1 * 1e6 / given_off


def test_a_heavier_shade_takes_longer() -> None:
    light, heavy = (steady(lamp(replace(can(), heat_j_k=heat), Conditions(watts=7.0))) for heat in (50.0, 500.0))

    assert heavy.time_s[0] > light.time_s[0]
    assert heavy.temps_c == pytest.approx(light.temps_c)


def test_a_bright_liner_is_warmer_behind_the_bulb_than_the_wall_it_shields() -> None:
    given_ = Conditions(watts=7.0)
    bare, lined = steady(lamp(can(), given_)), steady(lamp(can(), given_, Liner(cover=0.9, gap=3.0)))

    assert lined.temps_c[LINER, 0] > lined.wall_c[0]
    assert lined.air_c[0] > bare.air_c[0]


def test_a_metal_ring_cools_the_wall_beside_the_collar_only() -> None:
    tight = can(gap=5.0, above=60.0)
    bare, ringed = lamp(tight, Conditions(watts=7.0)), lamp(replace(tight, metal_ring=True), Conditions(watts=7.0))
    found = steady(bare)

    assert beside_collar(ringed, found)[0] < beside_collar(bare, found)[0] - 1
    assert above_bulb(ringed, found)[0] == above_bulb(bare, found)[0]  # type: ignore[index]
    assert beside_collar(bare, found, gap=500.0)[0] == pytest.approx(found.wall_c[0], abs=0.6)


def test_views_and_plumes_meet_their_closed_forms() -> None:
    assert view_of_cylinder(40.0, 1e6, 20.0) == pytest.approx(0.5, rel=1e-3)  # endless: radius over distance
    far = 0.2 * 50.0 / (pi * 200.0**2)  # far and small: what faces the wall, over pi distance²
    assert view_of_cylinder(0.2, 50.0, 199.9) == pytest.approx(far, rel=0.02)
    # Heskestad's 25 K m^5/3 kW^-2/3 at 20 °C (from memory): 1 kW, 1 m above a point
    point = replace(BULB, envelope_diameter=1e-6)
    assert plume_rise(point, np.array([1000.0]), np.array([20.0]), 1000.0)[0] == pytest.approx(25.0, rel=0.03)


@pytest.mark.parametrize(
    "change", [{"wall": 0.0}, {"height": -1.0}, {"side_mm2": 0.0, "roof_mm2": 0.0, "floor_mm2": 0.0}]
)
def test_shades_that_cannot_be_are_refused(change: dict[str, float]) -> None:
    with pytest.raises(ValueProblem):
        replace(can(), **change)

"""Bores, bosses, tapers and slots found in shapes whose sizes are known in closed form."""

from __future__ import annotations

from math import atan2, cos, degrees, pi

import numpy as np
import pytest
from found_shapes import block, rotation, turned
from hypothesis import given, settings
from hypothesis import strategies as st

from shadewright.fit.as_printed import sagitta_of
from shadewright.solid import kernel
from shadewright.solid.find import find_features


def test_bores_of_a_block_have_their_corner_circle_flats_sides_place_and_length() -> None:
    found = find_features(block(sides=32))

    wide, narrow = found.bores
    for bore, diameter in ((wide, 12.0), (narrow, 6.0)):
        assert bore.diameter == pytest.approx(diameter, abs=1e-6)
        # Regular polygon with its corners on the circle: across flats d cos(pi / n), chord error r (1 - cos(pi / n)).
        assert bore.across_flats == pytest.approx(diameter * cos(pi / 32), abs=1e-6)
        assert bore.sagitta == pytest.approx(sagitta_of(diameter, 32), abs=1e-6)
        assert (bore.sides, bore.hollow) == (32, True)
        assert bore.turn == pytest.approx(360, abs=0.1)
    assert wide.middle == pytest.approx((5, 3, 10), abs=1e-5)
    assert (wide.axis, wide.length) == ((0, 0, 1), pytest.approx(20))
    assert narrow.middle[1:] == pytest.approx((-9, 14), abs=1e-5)
    assert narrow.axis == (1, 0, 0)
    assert found.bosses == ()
    assert not found.exact


@pytest.mark.parametrize("sides", [7, 8, 12, 24, 90, 360])
def test_a_circle_is_a_circle_from_seven_sides_on(sides: int) -> None:
    found = find_features(kernel.cylinder(10, 8.0, segments=sides, fit="inside"))

    (boss,) = found.bosses
    assert boss.diameter == pytest.approx(16.0, abs=1e-5)
    assert boss.across_flats == pytest.approx(16.0 * cos(pi / sides), abs=1e-5)
    assert (boss.sides, boss.hollow, found.bores) == (sides, False, ())


@pytest.mark.parametrize(("sides", "pairs"), [(4, 2), (6, 3)])
def test_square_and_hexagonal_holes_are_slots_and_no_bores(sides: int, pairs: int) -> None:
    hole = kernel.cylinder(24, 5.0, segments=sides, fit="outside").moved(z=-2)
    found = find_features(kernel.difference(kernel.box((40, 40, 20), (0, 0, 10)), hole))

    assert found.bores == ()
    assert len(found.slots) == pairs
    for slot in found.slots:
        assert slot.width == pytest.approx(10.0, abs=1e-6)  # "outside" lets the flats touch the circle
        assert slot.middle[:2] == pytest.approx((0, 0), abs=1e-5)
        assert slot.length == pytest.approx(20.0, abs=1e-5)


def test_a_cone_is_a_taper_with_both_its_ends_and_no_bore() -> None:
    cone = kernel.revolve(np.array([[0, -1], [4.75, -1], [8, 25], [0, 25]]), chord=0.01)
    found = find_features(kernel.difference(kernel.box((30, 30, 20), (0, 0, 10)), cone))

    assert found.bores == ()
    (taper,) = found.tapers
    slope = (8 - 4.75) / 26
    assert taper.hollow
    assert (taper.small, taper.large) == (
        pytest.approx(2 * (4.75 + slope), abs=1e-3),
        pytest.approx(2 * (4.75 + 21 * slope), abs=1e-3),
    )
    assert taper.half_angle == pytest.approx(degrees(atan2(slope, 1)), abs=0.02)
    assert taper.turn == pytest.approx(360, abs=0.5)


@pytest.mark.parametrize("inside", [0.0, -3.0, 3.0])
def test_a_bore_open_to_one_side_says_how_much_of_it_there_is(inside: float) -> None:
    bore = kernel.cylinder(24, 6.0, segments=180, fit="inside").moved(15 - inside, 0, -2)
    found = find_features(kernel.difference(kernel.box((30, 30, 20), (0, 0, 10)), bore))

    (half,) = found.bores
    assert half.diameter == pytest.approx(12.0, abs=1e-5)
    # A plane at distance a from the axis leaves 2 acos(-a / r) of the circle.
    assert half.turn == pytest.approx(degrees(2 * np.arccos(-inside / 6.0)), abs=3)


def test_a_flat_on_a_shaft_is_left_out_of_its_circle() -> None:
    flat = kernel.box((10, 20, 30), (4 + 5, 0, 10))
    (boss,) = find_features(kernel.difference(kernel.cylinder(20, 5.0, segments=120, fit="inside"), flat)).bosses

    assert boss.diameter == pytest.approx(10.0, abs=1e-3)  # the cut ends two facets between their corners
    assert boss.turn == pytest.approx(360 - degrees(2 * np.arccos(4 / 5)), abs=6)  # chord at 4 from the axis
    assert boss.sides == 120


def test_stepped_and_crossed_bores_are_told_apart_and_put_together() -> None:
    steps = [kernel.cylinder(h, r, chord=0.002).moved(z=z) for r, z, h in ((10, -1, 11), (6, 9, 12))]
    window = kernel.box((40, 4, 3), (0, 0, 5))
    found = find_features(kernel.difference(kernel.cylinder(20, 14.0, chord=0.002), *steps, window))

    assert [round(bore.diameter, 2) for bore in found.bores] == [20.0, 12.0]
    assert found.bores[0].length == pytest.approx(10.0, abs=1e-6)
    assert found.bores[0].turn == pytest.approx(360, abs=1)  # above and below its two windows


def test_even_trapeziums_and_chamfered_blocks_hold_no_round_wall() -> None:
    outline = np.array([[22, 1], [22, 18], [17, 30], [0, 30], [0, 0], [21, 0]], dtype=float)
    found = find_features(kernel.revolve(outline, chord=0.02))

    assert [round(boss.diameter, 2) for boss in found.bosses] == [44.0]
    assert found.bores == ()


def test_keyway_and_key_have_their_widths() -> None:
    slot = kernel.box((6, 4.35, 30), (14, 0, 10))
    found = find_features(kernel.difference(kernel.cylinder(20, 20.0), kernel.cylinder(30, 12.0).moved(z=-5), slot))
    keyed = find_features(kernel.union([kernel.cylinder(20, 12.0), kernel.box((6, 4.0, 20), (12, 0, 10))]))

    assert found.slots[0].width == pytest.approx(4.35, abs=1e-6)
    assert found.slots[0].middle[1] == pytest.approx(0, abs=1e-6)
    assert 4.0 in [round(tongue.width, 6) for tongue in keyed.tongues]


UNIT = st.floats(-1, 1)


@settings(max_examples=12, deadline=None)
@given(
    axis=st.tuples(UNIT, UNIT, UNIT).filter(lambda v: sum(x * x for x in v) > 0.1),
    angle=st.floats(0, 360),
    shift=st.tuples(*[st.floats(-80, 80)] * 3),
)
def test_a_turned_and_shifted_copy_gives_the_same_answer(
    axis: tuple[float, float, float], angle: float, shift: tuple[float, float, float]
) -> None:
    here, there = find_features(block()), find_features(turned(block(), axis, angle, shift))

    turn = rotation(axis, angle)
    assert [round(bore.diameter, 4) for bore in there.bores] == [12.0, 6.0]
    for one, two in zip(here.bores, there.bores, strict=True):
        assert two.across_flats == pytest.approx(one.across_flats, abs=1e-4)
        assert two.length == pytest.approx(one.length, abs=1e-3)
        assert two.turn == pytest.approx(one.turn, abs=0.5)
        assert np.abs(np.array(two.middle) - (turn @ np.array(one.middle) + np.array(shift))).max() < 1e-3
        assert abs(np.dot(two.axis, turn @ np.array(one.axis))) == pytest.approx(1, abs=1e-6)
    widths = {round(tongue.width, 3) for tongue in there.tongues}  # a face may come in pieces
    assert widths == {round(tongue.width, 3) for tongue in here.tongues} == {20.0, 30.0, 40.0}

"""Footing: what stands alone until when, and the statics of holding it."""

from math import pi, sqrt

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from layer_shapes import table, together, upside_down

from shadewright.findings import Verdict
from shadewright.layers import footing
from shadewright.layers.cutting import cut
from shadewright.layers.footing import Standing, brim_reach, least_brim, safety, standing_pieces
from shadewright.layers.plane import least_section_modulus, second_moments
from shadewright.solid import kernel
from shadewright.solid.mesh import Mesh


def standing(mesh: Mesh) -> list[Standing]:
    return standing_pieces(cut(mesh.on_bed(), 0.2, 0.2), float(mesh.size[2]))


def test_four_feet_join_where_the_top_begins() -> None:
    pieces = standing(table(leg=6, legs=40))

    assert [(p.count, p.joins) for p in pieces] == [(1, True)] * 4 + [(4, False)]
    assert [p.top for p in pieces] == pytest.approx([40, 40, 40, 40, 44])
    assert [p.feet.area for p in pieces] == pytest.approx([36, 36, 36, 36, 144])


def test_feet_that_join_in_two_steps_stand_as_pairs_between() -> None:
    """Two pairs of legs, each joined by a rail at 20 mm, and a top over all at 30 mm."""
    legs = [kernel.box((4, 4, 30), (x, y, 15)) for x in (-10, 10) for y in (-10, 10)]
    rails = [kernel.box((4, 24, 2), (x, 0, 21)) for x in (-10, 10)]
    pieces = standing(kernel.union([*legs, *rails, kernel.box((24, 24, 2), (0, 0, 31))]))

    assert sorted((p.count, round(p.top, 6), p.joins) for p in pieces) == [
        (1, 20, True), (1, 20, True), (1, 20, True), (1, 20, True), (2, 30, True), (2, 30, True), (4, 32, False),
    ]  # fmt: skip


def test_parts_that_never_join_stand_alone_to_their_own_tops() -> None:
    pieces = standing(together(kernel.box((5, 5, 10), (0, 0, 5)), kernel.box((5, 5, 20), (20, 0, 10))))

    assert sorted(p.top for p in pieces) == pytest.approx([10, 20])


def test_a_table_upside_down_stands_on_its_top() -> None:
    pieces = standing(upside_down(table()))

    assert len(pieces) == 1
    assert pieces[0].feet.area == pytest.approx(3600)
    assert pieces[0].verdict is Verdict.SOUND


@pytest.mark.parametrize(
    ("footprint", "modulus"),
    [
        (shapely.Point(3, -2).buffer(5, quad_segs=128), pi * 10**3 / 32),  # disc: pi D³ / 32
        (
            shapely.Point(0, 0).buffer(5, quad_segs=128) - shapely.Point(0, 0).buffer(4, quad_segs=128),
            pi * (10**4 - 8**4) / 32 / 10,  # ring: pi (D⁴ - d⁴) / 32 D
        ),
        (shapely.box(3, 4, 13, 24), 1 / sqrt((6 / (10 * 20**2)) ** 2 + (6 / (20 * 10**2)) ** 2)),  # over a corner
        (
            # three feet of area A on a circle r: I = 3 A r² / 2 in every direction, farthest point nearly r
            shapely.union_all(
                [shapely.Point(20 * np.cos(a), 20 * np.sin(a)).buffer(0.5) for a in (0, 2.0944, 4.18879)]
            ),
            3 * pi * 0.25 * 400 / 2 / 20.5,
        ),
    ],
    ids=["disc", "ring", "rectangle", "three feet"],
)
def test_section_moduli_follow_the_handbook(footprint: shapely.Geometry, modulus: float) -> None:
    """Section moduli of plain figures: any handbook of statics (from memory)."""
    assert least_section_modulus(footprint) == pytest.approx(modulus, rel=5e-3)


def test_second_moments_of_a_rectangle_with_an_offset_hole() -> None:
    """Steiner's theorem by hand: 12 x 6 with a 2 x 2 hole at (4, 1)."""
    plate = shapely.box(-6, -3, 6, 3) - shapely.box(3, 0, 5, 2)
    area, centre, second = second_moments(plate)

    x, y = -4 * 4 / 68, -4 * 1 / 68
    assert area == pytest.approx(68)
    assert centre == pytest.approx([x, y])
    assert second[0, 0] == pytest.approx(6 * 12**3 / 12 - (2 * 2**3 / 12 + 4 * 16) - 68 * x**2)
    assert second[1, 1] == pytest.approx(12 * 6**3 / 12 - (2 * 2**3 / 12 + 4 * 1) - 68 * y**2)
    assert second[0, 1] == pytest.approx(-4 * 4 * 1 - 68 * x * y)


def test_safety_of_a_round_leg_by_hand() -> None:
    """D 6, 80 mm tall: 0.22 MPa x pi 6³/32 mm³ over 0.2 N x 80 mm = 0.2916."""
    leg = shapely.Point(0, 0).buffer(3, quad_segs=64)

    assert (footing.ADHESION_MPA, footing.DRAG_N) == (0.22, 0.2)
    assert safety(leg, 80, 0, 0.2) == pytest.approx(0.2916, rel=2e-3)


def test_a_tall_part_on_small_feet_fails_and_names_its_brim() -> None:
    feet = [p for p in standing(table(leg=7, legs=60)) if p.joins]

    assert {p.verdict for p in feet} == {Verdict.FAILING}
    for p in feet:
        assert p.brim is not None
        assert p.brim_safety >= footing.SOUND_SAFETY
        assert safety(p.feet, p.top, p.brim - 1, 0.2) < footing.SOUND_SAFETY


@settings(max_examples=40, deadline=None)
@given(st.floats(1, 30), st.floats(1, 30), st.floats(1, 200), st.floats(0, 9), st.floats(0.1, 5))
def test_safety_falls_with_height_and_grows_with_brim(
    width: float, depth: float, top: float, brim: float, more: float
) -> None:
    foot = shapely.box(0, 0, width, depth)

    assert safety(foot, top + more, brim, 0.2) < safety(foot, top, brim, 0.2)
    assert safety(foot, top, brim + more, 0.2) > safety(foot, top, brim, 0.2)


def test_a_brim_never_counts_for_more_than_it_can_carry() -> None:
    assert brim_reach(0, 0.2) == 0
    assert brim_reach(1.0, 0.2) < 1.0
    assert brim_reach(1000, 0.2) == pytest.approx(2 * 0.2 * sqrt(40 / (3 * 0.22)))


def test_a_needle_cannot_be_held_by_any_brim() -> None:
    brim, reached = least_brim(shapely.box(0, 0, 1, 1), 200, 0.2)

    assert brim is None
    assert reached < footing.SOUND_SAFETY

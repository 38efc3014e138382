"""Overhangs, bridges and islands against shapes whose answer is known in closed form."""

from collections import Counter
from math import pi, sqrt

import numpy as np
import pytest
from layer_shapes import ball, drilled_block, flaring_cone, portal, table, together, upside_down

from shadewright.findings import Verdict
from shadewright.layers.cutting import cut
from shadewright.layers.overhang import Spot, hanging
from shadewright.layers.report import Trouble
from shadewright.solid import kernel
from shadewright.solid.mesh import Mesh

LINE = 0.45


def spots_of(mesh: Mesh, layer: float = 0.2) -> list[Spot]:
    standing = mesh.on_bed()
    return hanging(cut(standing, layer, layer), standing, LINE)


def only(spots: list[Spot], trouble: Trouble) -> Spot:
    found = [spot for spot in spots if spot.trouble is trouble]
    assert len(found) == 1
    return found[0]


@pytest.mark.parametrize("degrees", [20, 40, 44, 45])
def test_cones_to_45_degrees_are_sound(degrees: float) -> None:
    assert spots_of(flaring_cone(5, 5, degrees)) == []


@pytest.mark.parametrize(
    ("degrees", "verdict"),
    [
        (46, Verdict.DOUBTFUL),
        (52, Verdict.DOUBTFUL),
        (60, Verdict.DOUBTFUL),
        (62, Verdict.FAILING),
        (75, Verdict.FAILING),
    ],
)
def test_steeper_cones_show_their_angle_and_area(degrees: float, verdict: Verdict) -> None:
    """Area between the first and the last cut: pi (R² - r²)."""
    radius, height, layer = 8.0, 6.0, 0.2
    spot = only(spots_of(flaring_cone(radius, height, degrees), layer), Trouble.OVERHANG)

    grows = np.tan(np.radians(degrees))
    first, last = radius + layer / 2 * grows, radius + (height - layer / 2) * grows
    assert spot.measure == pytest.approx(degrees, abs=0.5)
    assert spot.region.area == pytest.approx(pi * (last**2 - first**2), rel=0.01)
    assert spot.reach == pytest.approx(last - first, abs=0.05)
    assert spot.verdict is verdict


def test_a_flare_too_small_to_sag_is_sound() -> None:
    """A rim that leans out 65 degrees over 0.2 mm of height reaches 0.43 mm: below the tested 0.5 mm."""
    rim = kernel.revolve(np.array([[0.0, 0], [10, 0], [10, 5], [10.43, 5.2], [10.43, 8], [0, 8]]))

    assert all(spot.verdict is Verdict.SOUND for spot in spots_of(rim, 0.1))


def test_a_ball_hangs_below_its_45_degree_latitude() -> None:
    """Seen from below, beyond 45 degrees: radius R sin 45°, less what the first layer rests on."""
    radius, layer = 30.0, 0.1
    spot = only(spots_of(ball(radius), layer), Trouble.OVERHANG)

    resting = pi * (radius**2 - (radius - layer / 2) ** 2)
    assert spot.region.area == pytest.approx(pi * radius**2 / 2 - resting, rel=0.01)
    assert spot.verdict is Verdict.FAILING
    assert spot.low == 1
    assert layer * (spot.high + 1) == pytest.approx(radius * (1 - sqrt(0.5)), abs=2 * layer)


@pytest.mark.parametrize(
    ("gap", "verdict"),
    [(4, Verdict.SOUND), (9.5, Verdict.SOUND), (14, Verdict.DOUBTFUL), (24.5, Verdict.DOUBTFUL), (32, Verdict.FAILING)],
)
def test_a_lintel_spans_the_gap_between_its_posts(gap: float, verdict: Verdict) -> None:
    spot = only(spots_of(portal(gap)), Trouble.BRIDGE)

    assert spot.measure == pytest.approx(gap, abs=0.1)
    assert spot.region.area == pytest.approx(gap * 10, rel=0.01)
    assert spot.low == spot.high == 100
    assert spot.verdict is verdict


def test_a_lintel_turned_on_the_bed_spans_no_more() -> None:
    angle = np.radians(33)
    turn = np.array([[np.cos(angle), np.sin(angle), 0], [-np.sin(angle), np.cos(angle), 0], [0, 0, 1]])
    lintel = portal(14)

    spot = only(spots_of(Mesh(lintel.vertices @ turn, lintel.faces)), Trouble.BRIDGE)

    assert spot.measure == pytest.approx(14, abs=0.1)


def test_a_bracket_held_on_one_side_is_an_overhang_and_no_bridge() -> None:
    bracket = kernel.union([kernel.box((4, 10, 30), (0, 0, 15)), kernel.box((16, 10, 4), (6, 0, 28))])
    spot = only(spots_of(bracket), Trouble.OVERHANG)

    assert spot.measure == pytest.approx(90, abs=0.5)
    assert spot.reach == pytest.approx(12, abs=0.1)
    assert spot.region.area == pytest.approx(120, rel=0.01)
    assert spot.verdict is Verdict.FAILING


def test_a_counterbore_roof_has_no_anchor_in_its_middle() -> None:
    """A flat ring around an empty middle: strands end at the rim of the hole, over nothing."""
    plate = kernel.difference(kernel.cylinder(10, 15), kernel.cylinder(5, 8), kernel.cylinder(10, 4))

    spot = only(spots_of(plate), Trouble.OVERHANG)

    assert spot.verdict is Verdict.FAILING
    assert spot.region.area == pytest.approx(pi * (8**2 - 4**2), rel=0.01)


@pytest.mark.parametrize(
    ("diameter", "worst"), [(3, Verdict.SOUND), (6, Verdict.SOUND), (12, Verdict.DOUBTFUL), (20, Verdict.FAILING)]
)
def test_round_holes_close_by_themselves_to_6_mm(diameter: float, worst: Verdict) -> None:
    """Common practice, no source."""
    verdicts = [spot.verdict for spot in spots_of(drilled_block(diameter))]

    assert min(verdicts, key=lambda verdict: verdict.rank) is worst


@pytest.mark.parametrize("lift", [0.0, 0.03, 0.06, 0.09, 0.12, 0.15, 0.18])
def test_how_layers_fall_on_a_holes_crown_does_not_change_the_answer(lift: float) -> None:
    """A cut just below the crown leaves a slit thinner than a line; it closes as it is laid."""
    block = drilled_block(10)
    raised = Mesh(
        np.where(block.vertices[:, 2:] > 0.1, block.vertices + np.array([0, 0, lift]), block.vertices), block.faces
    )

    assert {spot.verdict for spot in spots_of(raised)} <= {Verdict.DOUBTFUL, Verdict.SOUND}
    assert sum(spot.trouble is Trouble.OVERHANG for spot in spots_of(raised)) == 1


def test_a_roof_that_closes_inward_reaches_from_its_wall_not_from_the_neck_above() -> None:
    """A cup turned over: 70 degree roof from radius 20 to a neck of radius 8: it reaches 12 mm."""
    rise = 12 / np.tan(np.radians(70))
    outer = np.array(
        [[0, 0], [22, 0], [22, 20], [10, 20 + rise], [10, 40], [8, 40], [8, 20 + rise], [20, 20], [20, 0.0]]
    )
    spot = only(spots_of(kernel.revolve(outer[1:])), Trouble.OVERHANG)

    assert spot.reach == pytest.approx(12, abs=0.5)
    assert spot.measure == pytest.approx(70, abs=0.5)
    assert spot.verdict is Verdict.FAILING


def test_a_table_hangs_under_its_top_and_has_no_islands() -> None:
    spots = spots_of(table())

    assert Counter(spot.trouble for spot in spots) == {Trouble.OVERHANG: 1}
    assert spots[0].region.area == pytest.approx(60 * 60 - 4 * 36, rel=0.01)
    assert spots[0].low == 200
    assert spots[0].verdict is Verdict.FAILING


def test_a_table_upside_down_is_sound() -> None:
    assert spots_of(upside_down(table())) == []


def test_a_floating_box_is_an_island() -> None:
    spots = spots_of(together(kernel.box((10, 10, 10), (0, 0, 5)), kernel.box((6, 5, 10), (20, 0, 15.2))))
    island = only(spots, Trouble.ISLAND)

    assert island.low == 51  # 10.2 mm
    assert island.measure == pytest.approx(30)
    assert island.verdict is Verdict.FAILING


def test_an_island_narrower_than_a_line_is_doubtful() -> None:
    spots = spots_of(together(kernel.box((10, 10, 10), (0, 0, 5)), kernel.box((0.3, 5, 10), (20, 0, 15.2))))

    assert only(spots, Trouble.ISLAND).verdict is Verdict.DOUBTFUL


def test_a_hook_that_dips_starts_in_mid_air() -> None:
    """Post, arm, and a tooth hanging from the arm: the tooth's tip is laid on nothing before the arm exists."""
    hook = kernel.union(
        [
            kernel.box((4, 6, 30), (0, 0, 15)),
            kernel.box((20, 6, 4), (8, 0, 28)),
            kernel.box((4, 6, 10), (16, 0, 21)),
        ]
    )
    island = only(spots_of(hook), Trouble.ISLAND)

    assert island.low * 0.2 == pytest.approx(16)
    assert island.measure == pytest.approx(24)

"""Walls thinner than a line."""

import numpy as np
import pytest
from layer_shapes import flaring_cone, slotted_block

from shadewright.findings import Verdict
from shadewright.layers.cutting import cut
from shadewright.layers.overhang import Spot
from shadewright.layers.thin import thin_walls
from shadewright.solid import kernel
from shadewright.solid.mesh import Mesh

LINE = 0.45


def thin_of(mesh: Mesh) -> list[Spot]:
    return thin_walls(cut(mesh.on_bed(), 0.2, 0.2), LINE)


@pytest.mark.parametrize(
    ("web", "verdict"),
    [(0.1, Verdict.FAILING), (0.2, Verdict.FAILING), (0.3, Verdict.DOUBTFUL), (0.38, Verdict.DOUBTFUL)],
)
def test_webs_between_slots_show_their_width_height_and_area(web: float, verdict: Verdict) -> None:
    spots = thin_of(slotted_block(web))

    assert len(spots) == 5
    for spot in spots:
        assert spot.measure == pytest.approx(web, abs=0.05)
        assert spot.region.area == pytest.approx(web * 10, rel=0.05)
        assert (spot.low, spot.high) == (20, 49)
        assert spot.verdict is verdict


@pytest.mark.parametrize("web", [0.42, 0.5, 0.9, 2.0])
def test_webs_of_a_line_and_more_are_sound(web: float) -> None:
    assert thin_of(slotted_block(web)) == []


@pytest.mark.parametrize("wall", [0.2, 0.35])
def test_a_faceted_tube_shows_its_wall(wall: float) -> None:
    tube = kernel.difference(kernel.cylinder(10, 20), kernel.cylinder(10, 20 - wall))
    spots = thin_of(tube)

    assert len(spots) == 1
    assert spots[0].measure == pytest.approx(wall, abs=0.05)


def test_a_wall_that_tapers_over_its_length_shows_its_thin_end() -> None:
    """From 1.0 to 0.2 mm over 40 mm; it is thinner than 0.405 mm over its last quarter."""
    wedge = kernel.extrude([np.array([[0, -0.5], [40, -0.1], [40, 0.1], [0, 0.5]])], 10)
    spots = thin_of(wedge)

    assert len(spots) == 1
    assert spots[0].measure == pytest.approx(0.2, abs=0.05)
    assert spots[0].region.bounds[0] == pytest.approx(40 * (1 - 0.405) / 0.8, abs=0.8)


@pytest.mark.parametrize(
    "shape",
    [
        kernel.box((10, 10, 10)),
        kernel.extrude([np.array([[0, 0], [20, 0], [10, 5]])], 10),  # corners of 27 degrees
        kernel.extrude([np.array([[0, 0], [20, 0], [0, 3]])], 10),  # a tip of 9 degrees
        flaring_cone(0.5, 20, 20),
        kernel.cylinder(30, 10, 0.0),
    ],
    ids=["box", "roof", "wedge", "cone on its tip", "cone"],
)
def test_corners_and_tips_are_no_walls(shape: Mesh) -> None:
    assert thin_of(shape) == []

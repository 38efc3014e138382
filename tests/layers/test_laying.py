"""Plastic and time: hand-worked lines, density, and what must always grow."""

from dataclasses import replace
from math import pi

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from layer_setup import plain_setup

from shadewright.layers.cutting import cut
from shadewright.layers.laying import LAYER_CHANGE_S, Laid, lay
from shadewright.printing import PrintSetup
from shadewright.solid import kernel
from shadewright.solid.mesh import Mesh


def laid(mesh: Mesh, setup: PrintSetup) -> Laid:
    return lay(cut(mesh.on_bed(), setup.first_layer, setup.layer), setup)


def test_a_solid_cube_weighs_its_volume(setup: PrintSetup) -> None:
    """8 cm³ of 1.24 g/cm³."""
    cube = laid(kernel.box((20, 20, 20)), replace(setup, infill=1.0))

    assert cube.plastic_mm3 == pytest.approx(8000, rel=1e-6)
    assert cube.mass_g == pytest.approx(8 * 1.24, rel=1e-6)


def test_walls_skins_and_infill_of_a_box_by_hand(setup: PrintSetup) -> None:
    """40 x 30 x 20 mm: walls 3 x 0.45 = 1.35 mm all around, 8 of 100 layers solid, 15 % in the rest.

    Corners of the inner outline stay square when shrunk, so its area is exactly (40 - 2.7)(30 - 2.7) mm².
    """
    inner = (40 - 2.7) * (30 - 2.7)
    by_hand = 20 * (1200 - inner) + 0.2 * inner * (8 + 0.15 * 92)

    assert laid(kernel.box((40, 30, 20)), setup).plastic_mm3 == pytest.approx(by_hand, rel=1e-6)


def test_a_floor_inside_a_cup_is_laid_solid(setup: PrintSetup) -> None:
    """A cup 40 x 40 x 20, walls 1.2 (all wall), floor 4 mm = 20 layers, of which 4 + 4 are solid."""
    cup = kernel.difference(kernel.box((40, 40, 20), (0, 0, 10)), kernel.box((37.6, 37.6, 20), (0, 0, 14)))
    inner = (40 - 2.7) ** 2
    solid_layers = 8
    by_hand = 0.2 * (20 * (1600 - inner) + inner * (solid_layers + 0.15 * (20 - solid_layers))) + 16 * (1600 - 37.6**2)

    assert laid(cup, setup).plastic_mm3 == pytest.approx(by_hand, rel=2e-3)


def test_time_of_one_wall_line_by_hand(setup: PrintSetup) -> None:
    """A tube 0.45 mm thick: one line of 2 pi 20 mm a layer; no corner but the seam of each outline.

    L/v + v/a per seam (kinematics), half speed on the first layer, plus hops as the module states.
    """
    tube = kernel.difference(kernel.cylinder(10, 20.225), kernel.cylinder(10, 19.775))
    slow = replace(setup, walls=1, least_layer_s=0, warm_up_s=0, speed_mm_s=10)
    length = 2 * pi * 20

    laying = 49 * (length / 10 + 2 * 10 / 1500) + length / 5 + 2 * 5 / 1500
    hops = 50 * (2 * 0.1 + 3 * 20.225 / 150 + LAYER_CHANGE_S)
    assert laid(tube, slow).time_s == pytest.approx(laying + hops, rel=5e-3)


def test_no_layer_is_faster_than_the_least(setup: PrintSetup) -> None:
    pin = laid(kernel.box((2, 2, 10)), setup)

    assert pin.time_s == pytest.approx(240 + 50 * (8 + LAYER_CHANGE_S))


def test_the_flow_limit_slows_a_fast_printer(setup: PrintSetup) -> None:
    box = kernel.box((60, 60, 4))
    thick = replace(setup, speed_mm_s=300, acceleration_mm_s2=1e6, layer=0.3, least_layer_s=0)
    starved = replace(thick, plastic=replace(setup.plastic, flow_limit_mm3_s=5.0))

    assert laid(box, starved).time_s - 240 > 1.8 * (laid(box, thick).time_s - 240)


@settings(max_examples=25, deadline=None)
@given(
    st.floats(5, 40),
    st.floats(5, 40),
    st.floats(2, 20),
    st.floats(0.1, 10),
    st.sampled_from(["wider", "taller", "fuller"]),
)
def test_more_part_takes_more_plastic_and_more_time(
    width: float, depth: float, height: float, more: float, way: str
) -> None:
    setup = plain_setup()
    small = laid(kernel.box((width, depth, height)), setup)
    if way == "wider":
        large = laid(kernel.box((width + more, depth, height)), setup)
    elif way == "taller":
        large = laid(kernel.box((width, depth, height + max(more, setup.layer))), setup)
    else:
        large = laid(kernel.box((width, depth, height)), replace(setup, infill=0.5))

    assert large.plastic_mm3 >= small.plastic_mm3 - 1e-9
    assert large.time_s >= small.time_s - 1e-9
    assert small.time_low_s < small.time_s < small.time_high_s

"""Layers against closed forms, against shapely's own unions, and against the mesh kernel's sections."""

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from layer_shapes import ball, flaring_cone, together

from shadewright.errors import ModelProblem, ValueProblem
from shadewright.layers.cutting import assemble, cut, pieces, winding
from shadewright.layers.standing import stand
from shadewright.solid import kernel
from shadewright.solid.mesh import Mesh


def test_layers_lie_at_their_middle_and_the_first_one_is_apart() -> None:
    layers = cut(kernel.box((10, 10, 2), (0, 0, 1)), first_layer=0.3, layer=0.2)

    assert layers.heights[:3] == pytest.approx([0.15, 0.4, 0.6])
    assert layers.bottoms[:3] == pytest.approx([0.0, 0.3, 0.5])
    assert len(layers) == 9  # the tenth would have its middle at 2.0, on the top face
    assert all(region.area == pytest.approx(100) for region in layers.regions)


def test_layers_that_do_not_differ_are_the_same_object() -> None:
    layers = cut(kernel.box((10, 10, 2), (0, 0, 1)), 0.2, 0.2)

    assert all(layers.same_as_below(i) for i in range(1, len(layers)))


def test_a_part_one_layer_thick_and_one_thinner_still_have_a_layer() -> None:
    assert len(cut(kernel.box((10, 10, 0.2), (0, 0, 0.1)), 0.2, 0.2)) == 1
    assert len(cut(kernel.box((10, 10, 0.05), (0, 0, 0.025)), 0.2, 0.2)) == 1


def test_areas_of_a_ball_follow_the_closed_form() -> None:
    """Circles of pi (R² - (R - z)²) at every height; 256 sides take 0.01 % off."""
    radius = 20.0
    layers = cut(ball(radius), 0.2, 0.2)

    exact = np.pi * (radius**2 - (radius - layers.heights) ** 2)
    areas = np.array([region.area for region in layers.regions])
    middle = (layers.heights > 1) & (layers.heights < 39)
    assert areas[middle] == pytest.approx(exact[middle], rel=1e-3)


def test_layer_volumes_add_up_to_the_cone() -> None:
    cone = flaring_cone(5, 20, 30)
    layers = cut(cone, 0.2, 0.2)

    total = sum(region.area * thick for region, thick in zip(layers.regions, layers.thickness, strict=True))
    assert total == pytest.approx(cone.volume, rel=1e-4)


def test_planes_through_vertices_and_flat_faces_make_no_trouble() -> None:
    """Steps with faces exactly at cutting heights (quarters are exact): the cut is the material just below each."""
    steps = kernel.union([kernel.box((20 - 4 * i, 10, 0.25), (0, 0, 0.25 * i + 0.125)) for i in range(4)])
    layers = cut(steps.moved(z=0.125), 0.25, 0.25)

    assert layers.heights.tolist() == [0.125, 0.375, 0.625, 0.875]
    assert [region.area for region in layers.regions] == pytest.approx([0, 200, 160, 120])


def test_hollows_and_shells_within_shells_become_holes_and_islands() -> None:
    onion = kernel.difference(kernel.box((30, 30, 30)), kernel.box((20, 20, 20)))
    nested = together(onion, kernel.box((10, 10, 10))).on_bed()
    middle = cut(nested, 0.2, 0.2).regions[75]

    assert middle.area == pytest.approx(900 - 400 + 100)
    assert sorted(len(part.interiors) for part in pieces(middle)) == [0, 1]


def test_bodies_through_one_another_count_once() -> None:
    crossed = together(kernel.box((30, 10, 10)), kernel.box((10, 30, 10))).on_bed()

    assert cut(crossed, 0.2, 0.2).regions[5].area == pytest.approx(300 + 300 - 100)


def test_shells_that_touch_along_an_edge_are_both_kept() -> None:
    touching = together(kernel.box((10, 10, 10), (5, 5, 5)), kernel.box((10, 10, 10), (-5, -5, 5)))

    assert cut(touching, 0.2, 0.2).regions[5].area == pytest.approx(200)


BOXES = st.lists(st.tuples(*[st.integers(-10, 10)] * 3, *[st.integers(1, 12)] * 3), min_size=1, max_size=6, unique=True)


@settings(max_examples=60, deadline=None)
@given(BOXES)
def test_random_heaps_of_boxes_have_the_sections_shapely_gives_them(boxes: list[tuple[int, ...]]) -> None:
    """Boxes overlap, touch and nest at will; the section is the union of their rectangles (shapely)."""
    lowest = min(z for _, _, z, *_ in boxes)
    meshes = [kernel.box((w, d, h), (x + w / 2, y + d / 2, z + h / 2)) for x, y, z, w, d, h in boxes]
    layers = cut(together(*meshes).on_bed(), 0.5, 0.5)

    for height, region in zip(layers.heights, layers.regions, strict=True):
        there = [shapely.box(x, y, x + w, y + d) for x, y, z, w, d, h in boxes if z - lowest <= height < z - lowest + h]
        assert region.area == pytest.approx(shapely.union_all(there).area if there else 0.0, abs=1e-6)
        assert region.is_valid


def test_a_drilled_shade_agrees_with_the_kernels_sections() -> None:
    shade = kernel.difference(kernel.cylinder(30, 30, 20), kernel.cylinder(30, 28, 18))
    for turn in range(6):
        angle = np.pi * turn / 6
        drill = kernel.box((80, 4, 4)).vertices @ np.array(
            [[np.cos(angle), np.sin(angle), 0], [-np.sin(angle), np.cos(angle), 0], [0, 0, 1]]
        )
        shade = kernel.difference(shade, Mesh(drill + np.array([0, 0, 15]), kernel.box((80, 4, 4)).faces))
    layers = cut(shade, 0.2, 0.2)

    for region, section in zip(layers.regions, kernel.sections(shade, layers.heights), strict=True):
        assert region.area == pytest.approx(kernel.area(section), rel=1e-3)


def test_an_open_mesh_is_refused() -> None:
    box = kernel.box((10, 10, 10)).on_bed()

    with pytest.raises(ModelProblem, match="its surface is not closed"):
        cut(Mesh(box.vertices, box.faces[1:]), 0.2, 0.2)


def test_winding_counts_turns() -> None:
    ring = np.array([[0.0, 0], [4, 0], [4, 4], [0, 4]])

    assert winding([ring, ring], np.array([[1.0, 2], [5, 2]])) == pytest.approx([2, 0])
    assert winding([ring[::-1]], np.array([[1.0, 2]])) == pytest.approx([-1])
    assert assemble([ring[::-1]]).is_empty


@pytest.mark.parametrize(
    ("up", "size", "low_corner"),
    [
        ("+z", (1, 2, 3), (0, 0, 0)),
        ("-z", (1, 2, 3), (0, 0, 3)),
        ("+x", (3, 2, 1), (0, 0, 0)),
        ("-x", (3, 2, 1), (0, 0, 1)),
        ("+y", (1, 3, 2), (0, 0, 0)),
        ("-y", (1, 3, 2), (0, 0, 2)),
    ],
)
def test_standing_puts_the_named_axis_up_without_mirroring(
    up: str, size: tuple[float, ...], low_corner: tuple[float, ...]
) -> None:
    box = kernel.box((1, 2, 3), (0.5, 1, 1.5))
    stood = stand(box, up)
    corner = int(np.argmin(np.linalg.norm(box.vertices, axis=1)))  # the one at (0, 0, 0)

    assert stood.size == pytest.approx(size)
    assert stood.volume == pytest.approx(6)
    assert stood.bounds[0][2] == 0
    assert stood.vertices[corner][2] == pytest.approx(low_corner[2])


def test_standing_refuses_other_directions() -> None:
    with pytest.raises(ValueProblem, match='"up" is no direction; write one of'):
        stand(kernel.box((1, 1, 1)), "up")

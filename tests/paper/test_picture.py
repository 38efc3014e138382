"""Pictures of parts: what is visible where, to scale, and the same bytes every time."""

import io

import numpy as np
import pytest
from PIL import Image
from sample_study import arm, shade, trouble_by_slope
from test_raster import box, sphere

from shadewright.paper import palette
from shadewright.paper.picture import FROM_ABOVE, FROM_BELOW, Picture, bar_length, part_camera, render_part, spread
from shadewright.paper.raster import View
from shadewright.paper.shading import corner_normals
from shadewright.solid import kernel
from shadewright.solid.mesh import Mesh

SMALL = {"width": 240, "height": 180}


def pixels(picture: Picture) -> np.ndarray:
    return np.asarray(Image.open(io.BytesIO(picture.png)).convert("RGB")).astype(int)


def test_the_same_part_gives_the_same_bytes() -> None:
    mesh = arm().on_bed()
    assert (
        render_part(mesh, trouble_by_slope(mesh), **SMALL).png == render_part(mesh, trouble_by_slope(mesh), **SMALL).png
    )


def test_overhangs_underneath_are_seen_from_below_and_not_from_above() -> None:
    mesh = arm().on_bed()
    trouble = trouble_by_slope(mesh)
    assert "failing" in render_part(mesh, trouble, view=FROM_BELOW, **SMALL).kinds
    assert "failing" not in render_part(mesh, trouble, view=FROM_ABOVE, **SMALL).kinds


def test_trouble_changes_colour_and_is_hatched() -> None:
    """Failing: redder than the plain part and crossed by dark lines; doubtful: stripes of one direction."""
    mesh = box(40, 40, 40)
    front = View(azimuth=-90, elevation=0)
    shown = [pixels(render_part(mesh, np.full(12, k, np.uint8), view=front, width=240, height=240)) for k in (0, 1, 2)]
    plain, doubtful, failing = (image[100:140, 100:140] for image in shown)
    assert plain.std(axis=(0, 1)).max() < 3
    assert doubtful.std(axis=(0, 1)).max() > 15
    assert failing.std(axis=(0, 1)).max() > 15
    redness = [float((image[..., 0] - image[..., 1]).mean()) for image in (plain, doubtful, failing)]
    assert redness[2] > redness[0] + 30
    # One direction: along the stripe (down-left) neighbours agree, across they do not. Crossed: neither.
    along = np.abs(doubtful[1:, :-1] - doubtful[:-1, 1:]).mean()
    across = np.abs(doubtful[1:, 1:] - doubtful[:-1, :-1]).mean()
    assert along < 0.2 * across
    assert np.abs(failing[1:, :-1] - failing[:-1, 1:]).mean() > 5


def test_the_picture_is_to_its_stated_scale() -> None:
    """The upper half of a sphere of 20 mm covers pi r² scale² / 2 pixels; its contour adds a pixel around."""
    picture = render_part(sphere(20.0, 40), view=FROM_BELOW, width=400, height=400)
    part = (np.abs(pixels(picture) - 255).sum(axis=2) > 60)[:200]
    radius = 20.0 * picture.scale
    assert np.pi * radius**2 / 2 < part.sum() + 100
    assert part.sum() < np.pi * (radius + 1.5) ** 2 / 2


@pytest.mark.parametrize(
    ("scale", "width", "expected"), [(10.0, 1200, 20), (1.0, 1200, 200), (4.0, 1000, 50), (90.0, 400, 0.5)]
)
def test_the_scale_bar_is_a_round_length_of_at_most_a_fifth(scale: float, width: int, expected: float) -> None:
    assert bar_length(scale, width) == pytest.approx(expected)


def test_the_drawn_bar_is_as_long_as_it_says() -> None:
    picture = render_part(box(40, 40, 40), width=400, height=300)
    image = pixels(picture)
    ink = (image.sum(axis=2) < 200)[300 - 9 :, :120]
    row = ink[ink.sum(axis=1).argmax()]
    assert row.sum() == pytest.approx(picture.bar_mm * picture.scale, abs=2.5)


def test_pins_mark_what_can_be_seen_and_leave_out_what_is_hidden() -> None:
    mesh = box(40, 40, 40)
    spots = [("front", 20.0, 0.0, 20.0), ("behind", 20.0, 40.0, 20.0)]
    picture = render_part(mesh, view=View(azimuth=-90, elevation=0), spots=spots, **SMALL)
    assert [pin.label for pin in picture.pins] == ["front"]
    assert (picture.pins[0].x, picture.pins[0].y) == (pytest.approx(0.5), pytest.approx(0.5))


def test_normals_are_soft_across_facets_and_sharp_at_creases() -> None:
    ball = sphere(10.0, 40)
    soft = corner_normals(ball)
    assert np.einsum("ijk,ijk->ij", soft, ball.corners / 10.0).min() > 0.9995
    cube = box(10, 10, 10)
    flat = cube.face_vectors / np.linalg.norm(cube.face_vectors, axis=1)[:, None]
    assert corner_normals(cube) == pytest.approx(np.repeat(flat[:, None], 3, axis=1), abs=1e-12)


def test_a_mesh_with_a_collapsed_triangle_is_still_drawn() -> None:
    mesh = box(10, 10, 10)
    faces = np.vstack([mesh.faces, [[0, 0, 1]]]).astype(np.int32)
    picture = render_part(Mesh(mesh.vertices, faces, "odd"), np.zeros(13, np.uint8), **SMALL)
    assert (pixels(picture).sum(axis=2) < 700).sum() > 3000


def test_ramps_rise_in_lightness_so_that_light_reads_as_light() -> None:
    for ramp in (palette.PART_RAMP, palette.DOUBTFUL_RAMP, palette.FAILING_RAMP, palette.BED_RAMP):
        steps = [palette.luminance(colour) for colour in ramp]
        assert steps == sorted(steps)


def test_the_shade_shows_doubtful_and_failing_rings_from_below() -> None:
    mesh = shade().on_bed()
    picture = render_part(mesh, trouble_by_slope(mesh), view=FROM_BELOW, **SMALL)
    assert set(picture.kinds) == {"doubtful", "failing", "bed"}


def test_a_spot_seen_through_a_hole_is_not_mistaken_for_what_lies_behind() -> None:
    """The middle of an empty ring's near wall is not there: only air, and the far wall well behind it."""
    ring = kernel.difference(kernel.cylinder(30, 30), kernel.cylinder(32, 28).moved(z=-1))
    view = View(azimuth=-90, elevation=50)
    spots = [("air", 0.0, 0.0, 15.0), ("wall", 0.0, -30.0, 15.0)]
    assert [pin.label for pin in render_part(ring, view=view, spots=spots, **SMALL).pins] == ["wall"]


def test_labels_are_moved_apart_and_lonely_ones_stay() -> None:
    apart = spread(np.array([[10.0, 10], [10, 10], [12, 10], [200, 90]]), 20)
    distances = np.linalg.norm(apart[:, None] - apart[None], axis=2) + np.eye(4) * 99
    assert distances.min() > 19
    assert apart[3] == pytest.approx([200, 90])
    assert spread(np.zeros((0, 2)), 20).shape == (0, 2)


def test_both_views_of_a_part_can_share_a_scale() -> None:
    mesh = shade().on_bed()
    scale = min(part_camera(mesh, view, 240, 180).scale for view in (FROM_ABOVE, FROM_BELOW))
    pictures = [render_part(mesh, view=view, largest_scale=scale, **SMALL) for view in (FROM_ABOVE, FROM_BELOW)]
    assert [picture.scale for picture in pictures] == [scale, scale]


def test_where_areas_are_painted_a_spot_on_plain_surface_is_not_pinned() -> None:
    """A spot just under a thin plate's upper face lies on its painted underside, and shows only from below."""
    plate = box(40, 40, 0.6).moved(z=20)
    trouble = np.where(plate.face_vectors[:, 2] < 0, 2, 0).astype(np.uint8)
    spots = [("under", 20.0, 20.0, 20.0)]
    seen = [render_part(plate, trouble, view=view, spots=spots, **SMALL).pins for view in (FROM_ABOVE, FROM_BELOW)]
    assert [len(pins) for pins in seen] == [0, 1]


def test_the_ground_keeps_its_exact_colour() -> None:
    """From below nothing is drawn behind the part, and the page counts on pure white there."""
    image = pixels(render_part(arm().on_bed(), view=FROM_BELOW, **SMALL))
    assert (image[0, :] == 255).all()
    assert (image[-1, 120:] == 255).all()

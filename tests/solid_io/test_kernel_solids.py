"""Solids and plane figures against closed forms."""

from math import cos, pi, radians, sin, sqrt, tan

import numpy as np
import pytest

from shadewright.errors import GeometryFailure, ModelProblem, ValueProblem
from shadewright.solid import kernel
from shadewright.solid.census import census, weld
from shadewright.solid.mesh import Mesh


def flipped(mesh: Mesh) -> Mesh:
    return Mesh(mesh.vertices, np.ascontiguousarray(mesh.faces[:, ::-1]), mesh.name)


def beside(*meshes: Mesh) -> Mesh:
    starts = np.cumsum([0, *(len(m.vertices) for m in meshes)])
    faces = [m.faces + s for m, s in zip(meshes, starts, strict=False)]
    return Mesh(np.concatenate([m.vertices for m in meshes]), np.concatenate(faces).astype(np.int32))


def test_box_has_the_volume_and_bounds_of_its_sides():
    box = kernel.box((10, 20, 30), (1, 2, 3))
    assert box.volume == pytest.approx(6000)
    assert box.bounds == pytest.approx(np.array([[-4, -8, -12], [6, 12, 18]]))
    assert box.area == pytest.approx(2 * (200 + 300 + 600))


@pytest.mark.parametrize("segments", [12, 32, 100])
def test_facets_lie_where_the_fit_says(segments):
    # PHYSICS of a regular polygon: area (n/2) R² sin(2 pi/n), flats at R cos(pi/n).
    inside = kernel.cylinder(1, 10, segments=segments, fit="inside")
    mean = kernel.cylinder(1, 10, segments=segments, fit="mean")
    outside = kernel.cylinder(1, 10, segments=segments, fit="outside")
    assert inside.volume == pytest.approx(segments / 2 * 100 * sin(2 * pi / segments))
    assert mean.volume == pytest.approx(pi * 100)
    assert outside.volume == pytest.approx(segments * 100 * tan(pi / segments))
    assert np.hypot(*inside.vertices[:, :2].T).max() == pytest.approx(10)


def test_a_hole_cut_by_an_outside_cutter_passes_a_round_pin_of_its_size():
    block = kernel.difference(kernel.box((30, 30, 10)), kernel.cylinder(20, 8, segments=24, fit="outside").moved(z=-10))
    pin = kernel.cylinder(20, 8, segments=480, fit="inside").moved(z=-10)
    tight = kernel.difference(kernel.box((30, 30, 10)), kernel.cylinder(20, 8, segments=24, fit="inside").moved(z=-10))
    assert kernel.overlap_volume(block, pin) < 1e-6
    assert kernel.overlap_volume(tight, pin) > 1


@pytest.mark.parametrize(("radius", "chord", "least"), [(10, 0.01, 71), (2, 0.01, 32)])
def test_segments_keep_the_chord(radius, chord, least):
    # Sagitta e = r (1 - cos(pi/n)): 70.24 and 31.40 sides by hand.
    sides = kernel.segments_for(radius, chord)
    assert sides >= least
    assert sides % 4 == 0
    assert radius * (1 - cos(pi / sides)) <= chord


def test_cone_and_turned_ring_have_their_volumes():
    assert kernel.cylinder(9, 5, 0, fit="mean").volume == pytest.approx(pi * 25 * 9 / 3)
    square = np.array([[9.0, 0], [11, 0], [11, 2], [9, 2]])
    # Pappus: 2 pi R A.
    assert kernel.revolve(square, fit="mean").volume == pytest.approx(2 * pi * 10 * 4)
    assert kernel.revolve(square[::-1], fit="mean").volume == pytest.approx(2 * pi * 10 * 4)


def test_raised_figures_taper_and_twist():
    frustum = kernel.extrude(kernel.rectangle(10, 10), 6, scale_top=0.5)
    assert frustum.volume == pytest.approx(6 / 3 * (100 + 25 + sqrt(100 * 25)))
    twisted = kernel.extrude(kernel.circle(5, segments=64), 10, twist_deg=360 / 64 * 5, divisions=5)
    top = twisted.vertices[twisted.vertices[:, 2] == 10]
    turned = np.array([5 * cos(radians(28.125)), 5 * sin(radians(28.125))])
    assert np.hypot(*(top[:, :2] - turned).T).min() < 1e-6


def test_booleans_keep_the_sum_of_volumes():
    a, b = kernel.box((20, 20, 20)), kernel.box((10, 10, 40), (5, 3, 0))
    shared = kernel.intersection(a, b).volume
    assert shared == pytest.approx(10 * 10 * 20)
    assert kernel.overlap_volume(a, b) == pytest.approx(shared)
    assert kernel.union([a, b]).volume == pytest.approx(a.volume + b.volume - shared)
    assert kernel.difference(a, b).volume == pytest.approx(a.volume - shared)


def test_gap_between_boxes_is_their_distance():
    a = kernel.box((10, 10, 10))
    assert kernel.least_gap(a, a.moved(x=12.5), 5) == pytest.approx(2.5)
    assert kernel.least_gap(a, a.moved(x=50), 5) == 5
    assert kernel.least_gap(a, a.moved(x=5), 5) == 0
    assert kernel.overlap_volume(a, a.moved(x=50)) == 0


def test_sections_of_a_cone_are_circles_of_the_right_area():
    cone = kernel.cylinder(10, 10, 0, fit="mean", segments=360)
    areas = [kernel.area(figure) for figure in kernel.sections(cone, [0, 2.5, 5, 9, 11])]
    assert areas == pytest.approx([pi * 100, pi * 7.5**2, pi * 25, pi, 0], rel=1e-6)


def test_plane_figures_grow_by_steiners_formula():
    square = kernel.rectangle(10, 10, 3, -2)
    grown = kernel.area(kernel.offset(square, 1, chord=0.001))
    assert grown == pytest.approx(100 + 40 * 1 + pi, rel=1e-4)  # A + P d + pi d²
    assert kernel.area(kernel.offset(square, -1)) == pytest.approx(64)
    assert kernel.area(kernel.offset(square, -6)) == 0
    assert kernel.plane_difference(kernel.rectangle(1, 1), square, kernel.rectangle(2, 2)) == []
    both = kernel.plane_union([square, kernel.rectangle(10, 10, 8, -2)])
    assert kernel.area(both) == pytest.approx(150)
    assert kernel.area(kernel.plane_intersection(square, kernel.rectangle(10, 10, 8, -2))) == pytest.approx(50)
    ring = kernel.plane_difference(square, kernel.rectangle(4, 4, 3, -2))
    assert kernel.area(ring) == pytest.approx(84)
    assert len(kernel.triangulate(ring)) == 8  # a square with one square hole: n + 2 holes - 2


def test_hull_of_two_boxes_is_the_box_around_them():
    assert kernel.hull([kernel.box((2, 2, 2)), kernel.box((2, 2, 2), (8, 0, 0))]).volume == pytest.approx(10 * 2 * 2)


def test_hollows_belong_to_the_body_around_them():
    shell = beside(kernel.box((20, 20, 20)), flipped(kernel.box((10, 10, 10))), kernel.box((5, 5, 5)))
    assert [part.volume for part in kernel.bodies(shell)] == pytest.approx([8000, 125, -1000])
    solids, astray = kernel.hollowed(kernel.bodies(shell))
    assert sorted(solid.volume for solid in solids) == pytest.approx([125, 7000])
    assert astray == []


def test_a_solid_is_told_from_what_is_not():
    box = kernel.box((10, 10, 10))
    one_turned = box.faces.copy()
    one_turned[0] = one_turned[0, ::-1]
    nan = box.vertices.copy()
    nan[0, 0] = np.nan
    assert kernel.is_solid(box) is None
    assert kernel.is_solid(Mesh(box.vertices, box.faces[1:])) == "it is not closed (3 open edges)"
    assert "opposite ways (at 3 edges)" in str(kernel.is_solid(Mesh(box.vertices, one_turned)))
    assert "inside out" in str(kernel.is_solid(flipped(box)))
    assert "not numbers" in str(kernel.is_solid(Mesh(nan, box.faces)))
    assert "do not exist" in str(kernel.is_solid(Mesh(box.vertices[:-1], box.faces)))
    assert "no triangles" in str(kernel.is_solid(Mesh(box.vertices, box.faces[:0])))
    assert "no volume" in str(kernel.is_solid(beside(box, flipped(box))))


def test_edges_are_counted():
    box = kernel.box((1, 1, 1))
    one_turned = box.faces.copy()
    one_turned[0] = one_turned[0, ::-1]
    assert census(box.faces).unbalanced == 0
    assert census(box.faces[1:]).open == 3
    assert census(one_turned).clashing == 3
    assert census(np.concatenate([box.faces, box.faces])).crowded == 18


def test_misuse_is_told_apart_from_our_own_failures():
    box = kernel.box((10, 10, 10)).named("shade")
    with pytest.raises(ModelProblem, match="shade: it is not closed"):
        kernel.union([Mesh(box.vertices, box.faces[1:], "shade")])
    with pytest.raises(GeometryFailure, match="leaves nothing"):
        kernel.difference(box, kernel.box((20, 20, 20)))
    with pytest.raises(GeometryFailure, match="leaves nothing"):
        kernel.union([])
    with pytest.raises(ValueProblem):
        kernel.cylinder(10, 0)
    with pytest.raises(ValueProblem):
        kernel.box((1, 1, 0))
    assert kernel.difference(box, kernel.box((2, 2, 20))).name == "shade"


def test_loose_triangles_are_welded_where_they_are_equal():
    ball = kernel.revolve(np.array([[0.0, -3], [4, 0], [0, 3]]), segments=16)
    loose = ball.corners[np.random.default_rng(11).permutation(len(ball.faces))]
    loose[loose == 0] = -0.0
    welded = weld(np.concatenate([loose, loose[:1, [0, 0, 1]]]), "ball")
    assert len(welded.vertices) == len(np.unique(ball.vertices, axis=0))
    assert (welded.corners == loose + 0.0).all()
    assert welded.faces[0].tolist() == [0, 1, 2]
    assert kernel.is_solid(welded) is None
    fault, surfaces = kernel.examined(welded)
    assert fault is None
    assert [surface.volume for surface in surfaces] == pytest.approx([ball.volume])
    assert kernel.examined(Mesh(welded.vertices, welded.faces[1:])) == ("it is not closed (3 open edges)", ())

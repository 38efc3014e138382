"""Repair does what has one answer, says what it did, and refuses to guess."""

from math import pi

import numpy as np
import pytest

from shadewright.errors import ModelProblem, UserError
from shadewright.solid import kernel
from shadewright.solid.mesh import Mesh
from shadewright.solid.read import read_model, side_by_side
from shadewright.solid.repair import repaired
from shadewright.solid.write import write_stl

BOX = kernel.box((10, 10, 10), (5, 5, 5))
BALL = kernel.revolve(
    np.array([[10 * np.cos(a), 10 * np.sin(a)] for a in np.linspace(-pi / 2, pi / 2, 61)]).clip([0, -10], [10, 10]),
    segments=100,
)


def flipped(mesh):
    return Mesh(mesh.vertices, np.ascontiguousarray(mesh.faces[:, ::-1]), mesh.name)


def test_a_sound_mesh_is_left_alone():
    assert repaired(BALL) == (BALL, ())


def test_inside_out_is_refused_then_turned(tmp_path):
    path = write_stl(tmp_path / "box.stl", flipped(BOX))
    with pytest.raises(UserError, match="inside out"):
        read_model(path, unit="mm")
    model = read_model(path, unit="mm", repair=True)
    assert model.mesh.volume == pytest.approx(1000)
    assert model.notes == (
        "Repaired: turned the whole right side out; before: volume -1000 mm³; after: volume 1000 mm³.",
    )


def test_single_triangles_are_turned_back():
    faces = BALL.faces.copy()
    faces[[5, 700, 4000]] = faces[[5, 700, 4000]][:, ::-1]
    mended, notes = repaired(Mesh(BALL.vertices, faces))
    assert mended.volume == pytest.approx(BALL.volume, rel=1e-12)
    assert "turned 3 triangles" in notes[0]


def test_repeated_and_collapsed_triangles_go():
    extra = np.concatenate([BOX.faces, BOX.faces[:2], [[0, 0, 1]], BOX.faces[3:4], BOX.faces[3:4, ::-1]])
    mended, notes = repaired(Mesh(BOX.vertices, extra.astype(np.int32)))
    assert mended.volume == pytest.approx(1000)
    assert len(mended.faces) == 12
    assert "dropped 1 collapsed triangle, dropped 4 repeated triangles" in notes[0]


def test_a_small_hole_is_closed():
    gone = np.flatnonzero((BALL.faces == BALL.faces[3000, 0]).any(axis=1))
    torn = Mesh(BALL.vertices, np.delete(BALL.faces, gone, axis=0))
    assert kernel.is_solid(torn) == f"it is not closed ({len(gone)} open edges)"
    mended, notes = repaired(torn)
    assert mended.volume == pytest.approx(BALL.volume, rel=1e-4)
    assert "closed 1 hole" in notes[0]
    assert "no volume, as it is not closed" in notes[0]


def test_a_seam_with_a_hairline_gap_is_drawn_together():
    upper = BALL.corners[BALL.corners[:, :, 2].mean(axis=1) > 1e-9]
    lower = BALL.corners[BALL.corners[:, :, 2].mean(axis=1) <= 1e-9]
    corners = np.concatenate([upper + np.array([0, 0, 0.0005]), lower])
    torn = Mesh(corners.reshape(-1, 3), np.arange(3 * len(corners), dtype=np.int32).reshape(-1, 3))
    assert "not closed" in str(kernel.is_solid(torn))
    mended, notes = repaired(torn)
    assert mended.volume == pytest.approx(BALL.volume, rel=1e-4)
    assert "joined 100 points" in notes[0]


@pytest.mark.parametrize("gone", [[0, 1], [0]])
def test_a_box_without_a_side_or_half_of_one_is_a_guess(gone):
    with pytest.raises(ModelProblem, match="too much to close without guessing"):
        repaired(Mesh(BOX.vertices, np.delete(BOX.faces, gone, axis=0)))


def test_overlapping_bodies_are_joined(tmp_path):
    both = side_by_side([BOX, BOX.moved(5, 5, 5)])
    mended, notes = repaired(both)
    assert mended.volume == pytest.approx(2000 - 125)
    assert "joined overlapping bodies (125 mm³ had been counted twice)" in notes[0]


def test_one_of_two_bodies_inside_out():
    both = side_by_side([BALL, flipped(BOX.moved(x=50))])
    mended, notes = repaired(both)
    assert mended.volume == pytest.approx(BALL.volume + 1000)
    assert "turned 1 body right side out" in notes[0]


def test_hollows_are_kept():
    shell = side_by_side([BALL, flipped(BOX.moved(-5, -5, -5))])
    assert repaired(shell) == (shell, ())


def test_a_one_sided_strip_is_refused():
    turns, count = np.linspace(0, 2 * pi, 41)[:-1], 40
    across = [np.array([np.cos(t) * np.cos(t / 2), np.sin(t) * np.cos(t / 2), np.sin(t / 2)]) for t in turns]
    rim = [np.array([10 * np.cos(t), 10 * np.sin(t), 0]) for t in turns]
    points = np.array([p + side * a for p, a in zip(rim, across, strict=True) for side in (-2, 2)])
    faces = []
    for i in range(count):
        a, b = 2 * i, 2 * i + 1
        c, d = (2 * i + 2, 2 * i + 3) if i + 1 < count else (1, 0)
        faces += [[a, b, d], [a, d, c]]
    with pytest.raises(ModelProblem, match="only one side"):
        repaired(Mesh(points, np.array(faces, dtype=np.int32)))


def test_loose_triangles_are_refused():
    corners = np.random.default_rng(7).uniform(0, 10, (50, 3, 3))
    with pytest.raises(ModelProblem):
        repaired(Mesh(corners.reshape(-1, 3), np.arange(150, dtype=np.int32).reshape(-1, 3)))

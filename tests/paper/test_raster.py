"""The depth buffer against areas and depths known in closed form."""

import numpy as np
import pytest

from shadewright.paper.raster import Camera, View, fill, fit_camera
from shadewright.solid.mesh import Mesh

FRONT = View(azimuth=-90, elevation=0)


def box(x: float, y: float, z: float) -> Mesh:
    corners = np.array([[i, j, k] for i in (0, x) for j in (0, y) for k in (0, z)], dtype=float)
    quads = [(0, 1, 3, 2), (4, 6, 7, 5), (0, 4, 5, 1), (2, 3, 7, 6), (0, 2, 6, 4), (1, 5, 7, 3)]
    faces = [triangle for a, b, c, d in quads for triangle in ((a, b, c), (a, c, d))]
    return Mesh(corners, np.array(faces, dtype=np.int32), "box")


def sphere(radius: float, steps: int) -> Mesh:
    polar = np.linspace(0, np.pi, steps + 1)[1:-1]
    around = np.linspace(0, 2 * np.pi, 2 * steps, endpoint=False)
    rings = np.array([[np.sin(p) * np.cos(a), np.sin(p) * np.sin(a), np.cos(p)] for p in polar for a in around])
    vertices = np.vstack([rings, [[0, 0, 1], [0, 0, -1]]]) * radius
    n, north, south = 2 * steps, len(rings), len(rings) + 1
    faces = []
    for i in range(n):
        j = (i + 1) % n
        faces += [(north, i, j), (south, len(rings) - n + j, len(rings) - n + i)]
        for ring in range(steps - 2):
            a, b, c, d = ring * n + i, ring * n + j, (ring + 1) * n + i, (ring + 1) * n + j
            faces += [(a, c, b), (b, c, d)]
    return Mesh(vertices, np.array(faces, dtype=np.int32), "sphere")


def silhouette_mm2(mesh: Mesh, view: View, pixels: int = 900) -> float:
    camera = fit_camera(view, mesh.vertices, pixels, pixels, 20)
    seen = fill(camera.project(mesh.corners), camera.width, camera.height)
    return float((seen.face >= 0).sum() / camera.scale**2)


@pytest.mark.parametrize("view", [FRONT, View(azimuth=30, elevation=25), View(azimuth=-35, elevation=-40)])
def test_a_sphere_shows_pi_r_squared_from_everywhere(view: View) -> None:
    """Closed form: the orthographic shadow of a sphere is a disc; 60 rings cost less than 0.1 % of it."""
    assert silhouette_mm2(sphere(20.0, 60), view) == pytest.approx(np.pi * 20.0**2, rel=5e-3)


@pytest.mark.parametrize(("azimuth", "elevation"), [(-90, 0), (-55, 30), (20, -35), (0, 90)])
def test_a_box_shows_the_sum_of_its_faces_turned_towards_the_eye(azimuth: float, elevation: float) -> None:
    """Closed form: yz |dx| + xz |dy| + xy |dz| for the unit direction d of the eye."""
    x, y, z = 30.0, 18.0, 44.0
    view = View(azimuth=azimuth, elevation=elevation)
    dx, dy, dz = np.abs(view.axes[2])
    assert silhouette_mm2(box(x, y, z), view) == pytest.approx(y * z * dx + x * z * dy + x * y * dz, rel=5e-3)


def test_the_axes_of_a_view_are_orthonormal_and_right_handed() -> None:
    axes = View(azimuth=17, elevation=-48).axes
    assert axes @ axes.T == pytest.approx(np.eye(3), abs=1e-12)
    assert np.cross(axes[0], axes[1]) == pytest.approx(axes[2], abs=1e-12)


def test_the_nearest_of_two_crossing_triangles_wins_on_its_side() -> None:
    """Two planes z = x and z = 40 - x change places at x = 20."""
    rising = [[0, 0, 0], [40, 0, 40], [0, 40, 0]]
    falling = [[0, 0, 40], [40, 0, 0], [0, 40, 40]]
    seen = fill(np.array([rising, falling], dtype=float), 40, 40)
    assert set(seen.face[0, :20]) == {1}
    assert set(seen.face[0, 20:39]) == {0}


def test_depth_at_a_pixel_is_the_plane_at_its_centre() -> None:
    plane = np.array([[[0, 0, 5.0], [60, 0, 35.0], [0, 60, 11.0]]])
    seen = fill(plane, 60, 60)
    rows, columns = np.nonzero(seen.face == 0)
    assert len(rows) > 1700
    expected = 5 + 0.5 * (columns + 0.5) + 0.1 * (rows + 0.5)
    assert seen.depth[rows, columns] == pytest.approx(expected, abs=1e-6)
    assert np.isneginf(seen.depth[seen.face < 0]).all()


def test_triangles_sharing_edges_cover_every_pixel_once() -> None:
    """A fan round an awkward point: each pixel of the square belongs to exactly one triangle."""
    rim = [(0, 0), (31, 0), (64, 0), (64, 29), (64, 64), (17, 64), (0, 64), (0, 33)]
    hub = (23.37, 41.91)
    fan = [[(*hub, 1.0), (*a, 1.0), (*b, 1.0)] for a, b in zip(rim, rim[1:] + rim[:1], strict=True)]
    covered = sum((fill(np.array([triangle], dtype=float), 64, 64).face >= 0).astype(int) for triangle in fan)
    assert (covered == 1).all()


def test_of_equally_near_triangles_the_first_is_kept() -> None:
    same = np.array([[[0, 0, 3.0], [9, 0, 3.0], [0, 9, 3.0]]] * 3)
    assert set(fill(same, 9, 9).face.ravel()) == {0, -1}


def test_triangles_reaching_outside_and_slivers_do_no_harm() -> None:
    outside = [[-500, -300, 1], [900, 10, 1], [10, 900, 1]]
    sliver = [[2, 5, 9], [60, 5, 9], [30, 5, 9]]
    away = [[200, 200, 3], [220, 200, 3], [200, 220, 3]]
    seen = fill(np.array([outside, sliver, away], dtype=float), 32, 32)
    assert set(seen.face.ravel()) == {0}


def test_nothing_to_draw_gives_an_empty_buffer() -> None:
    assert (fill(np.zeros((0, 3, 3)), 8, 6).face == -1).all()


def test_portions_of_the_work_do_not_change_the_answer(monkeypatch: pytest.MonkeyPatch) -> None:
    mesh = sphere(10.0, 16)
    camera = fit_camera(View(azimuth=10, elevation=20), mesh.vertices, 120, 90, 4)
    whole = fill(camera.project(mesh.corners), 120, 90)
    monkeypatch.setattr("shadewright.paper.raster.ROWS_AT_ONCE", 50)
    monkeypatch.setattr("shadewright.paper.raster.FRAGMENTS_AT_ONCE", 70)
    pieces = fill(camera.project(mesh.corners), 120, 90)
    assert (whole.face == pieces.face).all()
    assert (whole.depth == pieces.depth).all()


def test_a_fitted_camera_fills_the_picture_up_to_its_margin() -> None:
    mesh = box(10, 20, 80)
    camera = fit_camera(FRONT, mesh.vertices, 200, 400, 25)
    pixels = camera.project(mesh.vertices)[:, :2]
    assert pixels[:, 1].min() == pytest.approx(25)
    assert pixels[:, 1].max() == pytest.approx(375)
    doubled = camera.enlarged(2).project(mesh.vertices)[:, :2]
    assert doubled == pytest.approx(2 * pixels)
    assert isinstance(camera, Camera)

"""Threads read back from generated solids: sizes, pitch, hand, starts, flanks and name."""

from __future__ import annotations

from functools import cache
from pathlib import Path

import numpy as np
import pytest
from found_shapes import found_in, rotation, turned
from hypothesis import given, settings
from hypothesis import strategies as st

from shadewright.catalog.lookup import thread
from shadewright.catalog.threads import Sex
from shadewright.solid import kernel
from shadewright.solid.features import ThreadShape
from shadewright.solid.find import find_features
from shadewright.solid.find_types import FoundThread
from shadewright.solid.mesh import Mesh
from shadewright.solid.profile import HALF_ANGLE
from shadewright.solid.thread_mesh import add_male, threaded_solid

NAMES = ("E27", "E14", "E27 barrel", "M10x1", "M30x3.5", "M3", "Tr20x4", "G1/2", "1/4-20 UNC")
ALLOWANCE = {Sex.MALE: -0.2, Sex.FEMALE: 0.3}


@cache
def made(name: str, sex: Sex, upright: float | None, chord: float = 0.02) -> Mesh:
    row = thread(name)
    shape = ThreadShape(
        thread=row,
        sex=sex,
        length=max(8.0, 4 * row.pitch),
        allowance=ALLOWANCE[sex],
        upright_limit=upright,
        chord=chord,
    )
    return threaded_solid(shape)


def only_thread(mesh: Mesh) -> FoundThread:
    (found,) = find_features(mesh).threads
    return found


@pytest.mark.parametrize("sex", Sex)
@pytest.mark.parametrize("name", NAMES)
def test_a_true_thread_reads_back_as_it_was_drawn(name: str, sex: Sex) -> None:
    row, mesh = thread(name), made(name, sex, None)
    found = only_thread(mesh)

    assert found.sex is sex
    assert found.names[0] == row.name
    assert found.pitch == pytest.approx(row.pitch, rel=5e-3)
    assert (found.starts, found.right_handed) == (1, True)
    # Corners of the facets lie outside the true curve by at most their chord error, for both have the same volume.
    slack = 2 * found.sagitta + 0.005
    for size, basic in ((found.major, row.major), (found.minor, row.minor)):
        assert size == pytest.approx(basic + ALLOWANCE[sex], abs=slack)
    # Where half of the profile lies higher; known to half a sample of the profile on a flank.
    assert found.pitch_diameter == pytest.approx(row.pitch_diameter + ALLOWANCE[sex], abs=slack + 0.01 * row.pitch)
    if row.form in HALF_ANGLE:
        assert found.flanks == pytest.approx((HALF_ANGLE[row.form],) * 2, abs=0.5)
    assert found.length == pytest.approx(max(8.0, 4 * row.pitch), abs=0.3 * row.pitch + 0.2)
    assert np.abs(np.array(found.middle) - mesh.bounds.mean(axis=0)).max() < 0.05
    assert found.axis == pytest.approx((0, 0, 1), abs=1e-3)


@pytest.mark.parametrize("sex", Sex)
@pytest.mark.parametrize("name", ["E27", "M10x1", "M30x3.5", "Tr20x4", "G1/2"])
def test_a_thread_shaped_to_print_keeps_its_name_pitch_and_groove(name: str, sex: Sex) -> None:
    row = thread(name)
    found = only_thread(made(name, sex, 45.0))

    assert found.names[0] == row.name
    assert found.pitch == pytest.approx(row.pitch, rel=5e-3)
    assert max(found.flanks) == pytest.approx(45, abs=0.5)
    groove = found.minor - row.minor if sex is Sex.MALE else found.major - row.major
    assert groove == pytest.approx(ALLOWANCE[sex], abs=2 * found.sagitta + 0.02)


def test_its_walls_hide_no_plain_wall_and_count_as_none() -> None:
    ring = find_features(made("E27", Sex.FEMALE, None))
    outside = 2 * (ring.threads[0].major / 2 + 2.4)

    assert ring.bores == ()
    assert [boss.diameter for boss in ring.bosses] == [pytest.approx(outside, rel=0.03)]


def test_a_left_handed_thread_is_told_and_not_named() -> None:
    right = made("M10x1", Sex.MALE, None)
    mirrored = Mesh(right.vertices * [-1, 1, 1], right.faces[:, ::-1])
    found = only_thread(mirrored)

    assert not found.right_handed
    assert found.pitch == pytest.approx(1.0, rel=5e-3)
    assert found.names == ()


def twin(pitch: float, starts: int, radius: float, depth: float, length: float) -> Mesh:
    """A stud whose radius is a cosine of the phase, with several starts: r = R + d/2 cos(2 pi (z / p - s t / 2 pi))."""
    columns, rows = 96, int(length / pitch * 16)
    t = 2 * np.pi * np.arange(columns) / columns
    z = np.linspace(0, length, rows + 1)
    r = radius + depth / 2 * np.cos(2 * np.pi * z[:, None] / pitch - starts * t)
    points = np.stack([r * np.cos(t), r * np.sin(t), np.broadcast_to(z[:, None], r.shape)], axis=2).reshape(-1, 3)
    i, k = np.meshgrid(np.arange(rows), np.arange(columns), indexing="ij")
    a, b = (i * columns + k).ravel(), (i * columns + (k + 1) % columns).ravel()
    sides = np.vstack([np.column_stack([a, b, b + columns]), np.column_stack([a, b + columns, a + columns])])
    ring, after = np.arange(columns), (np.arange(columns) + 1) % columns
    top = rows * columns
    low = np.column_stack([np.full(columns, len(points)), after, ring])
    high = np.column_stack([np.full(columns, len(points) + 1), top + ring, top + after])
    return Mesh(np.vstack([points, [[0, 0, 0], [0, 0, length]]]), np.vstack([sides, low, high]).astype(np.int32))


@pytest.mark.parametrize("starts", [1, 2, 3, 4])
def test_starts_are_counted(starts: int) -> None:
    mesh = twin(pitch=2.0, starts=starts, radius=10.0, depth=1.0, length=24.0)
    assert kernel.is_solid(mesh) is None
    found = only_thread(mesh)

    assert found.starts == starts
    assert found.lead == pytest.approx(2.0 * starts, rel=5e-3)
    assert found.pitch == pytest.approx(2.0, rel=5e-3)
    assert (found.major, found.minor) == (pytest.approx(21, abs=0.03), pytest.approx(19, abs=0.03))
    assert found.rounded


def test_turned_solids_and_springs_of_one_turn_are_no_threads() -> None:
    ripples = kernel.revolve(
        np.array([[0, 0], *[[10 + 0.5 * np.cos(2 * np.pi * z / 2), z] for z in np.linspace(0, 20, 161)], [0, 20]]),
        chord=0.02,
    )
    assert find_features(ripples).threads == ()
    assert find_features(kernel.cylinder(20, 10)).threads == ()
    ball = kernel.revolve(np.array([[10 * np.sin(a), -10 * np.cos(a)] for a in np.linspace(0, np.pi, 60)]), chord=0.05)
    assert find_features(ball).threads == ()


def test_a_thread_on_a_part_is_found_beside_its_plain_walls() -> None:
    base = kernel.difference(kernel.cylinder(10, 20, chord=0.01), kernel.cylinder(12, 5.5, chord=0.01).moved(z=-1))
    stud = ThreadShape(thread=thread("M30x3.5"), sex=Sex.MALE, length=14, bore=10, lead_in_ends="high", allowance=-0.3)
    found = find_features(add_male(base, stud, z=10))

    (screw,) = found.threads
    assert screw.names[0] == "M30x3.5"
    assert screw.middle == pytest.approx((0, 0, 17), abs=0.2)
    assert round(found.bosses[0].diameter, 1) == 40.0
    assert [round(bore.diameter, 1) for bore in found.bores] == [11.0, 10.0]


UNIT = st.floats(-1, 1)


@settings(max_examples=5, deadline=None)
@given(
    axis=st.tuples(UNIT, UNIT, UNIT).filter(lambda v: sum(x * x for x in v) > 0.1),
    angle=st.floats(0, 360),
    shift=st.tuples(*[st.floats(-60, 60)] * 3),
)
def test_a_turned_and_shifted_thread_reads_the_same(
    axis: tuple[float, float, float], angle: float, shift: tuple[float, float, float]
) -> None:
    mesh = made("M10x1", Sex.FEMALE, 45.0)
    here, there = only_thread(mesh), only_thread(turned(mesh, axis, angle, shift))

    assert there.names == here.names
    assert there.pitch == pytest.approx(here.pitch, rel=2e-3)
    assert (there.major, there.minor) == (pytest.approx(here.major, abs=0.02), pytest.approx(here.minor, abs=0.02))
    place = rotation(axis, angle) @ np.array(here.middle) + np.array(shift)
    assert np.abs(np.array(there.middle) - place).max() < 0.1


@pytest.mark.parametrize(("name", "sex", "upright"), [("M10x1", Sex.MALE, None), ("E27", Sex.FEMALE, 45.0)])
def test_a_thread_in_step_reads_back(tmp_path: Path, name: str, sex: Sex, upright: float | None) -> None:
    pytest.importorskip("OCP")
    from shadewright.solid.thread_brep import write_thread_step

    row = thread(name)
    shape = ThreadShape(thread=row, sex=sex, length=3 * row.pitch + 2, allowance=ALLOWANCE[sex], upright_limit=upright)
    (found,) = found_in(write_thread_step(tmp_path / "thread.step", shape)).threads

    assert (found.sex, found.names[0]) == (sex, row.name)
    assert found.pitch == pytest.approx(row.pitch, rel=5e-3)
    assert found.major == pytest.approx(row.major + ALLOWANCE[sex], abs=0.01)
    assert found.minor == pytest.approx(row.minor + ALLOWANCE[sex], abs=0.01)

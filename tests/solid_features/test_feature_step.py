"""Generated solids as STEP: sound bodies of the right volume, before and after they are read again."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from shadewright.catalog.lookup import thread
from shadewright.catalog.threads import Sex
from shadewright.errors import ValueProblem
from shadewright.solid.features import ThreadShape
from shadewright.solid.plain_brep import plain_shape, write_plain_step
from shadewright.solid.plain_features import Feature, Hole, Key, Keyway, Pin, Socket, Spigot, plain_solid
from shadewright.solid.step import check_shape, read_step_shape, shape_bounds, shape_volume
from shadewright.solid.thread_brep import threaded_shape, write_thread_step
from shadewright.solid.thread_mesh import threaded_solid

pytest.importorskip("OCP")

CASES = [
    *((name, sex, 45.0) for name in ("M10x1", "E27", "G1/2", "Tr20x4", "Pg16") for sex in Sex),
    ("E27", Sex.FEMALE, None),
    ("M10x1", Sex.MALE, None),
]


@pytest.mark.parametrize(("name", "sex", "upright"), CASES)
def test_thread_is_one_sound_solid_of_the_mesh_volume(name: str, sex: Sex, upright: float | None) -> None:
    """Mesh and STEP body are made apart from each other; they may differ by the mesh's faceting alone."""
    row = thread(name)
    wanted = ThreadShape(thread=row, sex=sex, length=5 * row.pitch, upright_limit=upright, allowance=0.2)
    shape = threaded_shape(wanted)
    mesh = threaded_solid(wanted)
    assert check_shape(shape) == []
    assert shape_volume(shape) == pytest.approx(mesh.volume, rel=1e-3)
    assert np.abs(shape_bounds(shape) - mesh.bounds).max() < 0.03


def test_step_file_is_read_again_as_the_same_solid(tmp_path: Path) -> None:
    wanted = ThreadShape(thread=thread("E27"), sex=Sex.FEMALE, length=12, bore=0.0)
    path = write_thread_step(tmp_path / "ring.step", wanted)
    shape = read_step_shape(path)
    assert check_shape(shape) == []
    assert shape_volume(shape) == pytest.approx(threaded_solid(wanted).volume, rel=1e-3)
    assert path.read_bytes().startswith(b"ISO-10303-21")
    assert [entry.name for entry in tmp_path.iterdir()] == ["ring.step"]


def test_step_major_diameter_of_a_true_thread_is_the_standard_one() -> None:
    """ISO 724: M10x1 has a major diameter of 10 mm; the STEP body has no facets to blur it."""
    wanted = ThreadShape(thread=thread("M10x1"), sex=Sex.MALE, length=5, upright_limit=None)
    low, high = shape_bounds(threaded_shape(wanted))
    assert (high - low)[:2].tolist() == pytest.approx([10.0, 10.0], abs=2e-3)


def test_bored_stud_with_one_lead_in(tmp_path: Path) -> None:
    wanted = ThreadShape(thread=thread("M10x1"), sex=Sex.MALE, length=6, bore=4.0, lead_in_ends="high")
    shape = read_step_shape(write_thread_step(tmp_path / "stud.step", wanted))
    assert check_shape(shape) == []
    assert shape_volume(shape) == pytest.approx(threaded_solid(wanted).volume, rel=1e-3)


def test_a_thread_that_takes_too_long_leaves_no_file(tmp_path: Path) -> None:
    wanted = ThreadShape(thread=thread("M10x1"), sex=Sex.MALE, length=6)
    with pytest.raises(ValueProblem, match=r"M10x1 male of 6 mm takes longer than 0\.1 s as STEP; make it shorter"):
        write_thread_step(tmp_path / "stud.step", wanted, seconds=0.1)
    assert list(tmp_path.iterdir()) == []


def test_impossible_threads_are_refused_before_anything_runs(tmp_path: Path) -> None:
    wanted = ThreadShape(thread=thread("M10x1"), sex=Sex.MALE, length=6)
    with pytest.raises(ValueProblem, match="too short"):
        write_thread_step(tmp_path / "stud.step", replace(wanted, length=0.4))


@pytest.mark.parametrize(
    "feature",
    [
        Socket(bore=40, length=12),
        Spigot(diameter=40, length=12, bore=36),
        Key(width=6, height=4, length=20),
        Keyway(width=6, height=4, length=20),
        Pin(diameter=5, length=10),
        Hole(bore=5, length=8, ridges=3, ridge=0.4),
    ],
    ids=lambda feature: type(feature).__name__,
)
def test_plain_features_are_sound_and_agree_with_their_mesh(feature: Feature, tmp_path: Path) -> None:
    shape = read_step_shape(write_plain_step(tmp_path / "feature.step", feature))
    assert check_shape(shape) == check_shape(plain_shape(feature)) == []
    assert shape_volume(shape) == pytest.approx(plain_solid(feature).volume, rel=2e-4)

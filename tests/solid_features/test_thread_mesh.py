"""Threaded solids: closed, of the exact volume, right-handed, mating, printable as promised."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest

from shadewright.catalog.lookup import thread
from shadewright.catalog.threads import Sex
from shadewright.errors import ValueProblem
from shadewright.solid import kernel
from shadewright.solid.features import ThreadShape
from shadewright.solid.mesh import Mesh
from shadewright.solid.profile import print_upright, profile
from shadewright.solid.thread_mesh import add_male, cut_female, threaded_solid

NAMES = ("M10x1", "M5", "E27", "G1/2", "Tr20x4", "Pg16")
BOTH = (Sex.MALE, Sex.FEMALE)


def shape(name: str, sex: Sex, **changes: object) -> ThreadShape:
    row = thread(name)
    return replace(ThreadShape(thread=row, sex=sex, length=max(4.3 * row.pitch, 5.0)), **changes)  # type: ignore[arg-type]


def genus(mesh: Mesh) -> int:
    """Handles of a closed surface by Euler's formula V - E + F = 2 - 2 g."""
    edges = {tuple(sorted(edge)) for face in mesh.faces.tolist() for edge in (face[:2], face[1:], face[::2])}
    return 1 - (len(np.unique(mesh.faces)) - len(edges) + len(mesh.faces)) // 2


def radii_between(mesh: Mesh, low: float, high: float) -> np.ndarray:
    heights = mesh.vertices[:, 2]
    return np.hypot(*mesh.vertices[(heights > low) & (heights < high)][:, :2].T)


@pytest.mark.parametrize("upright", [45.0, None])
@pytest.mark.parametrize("sex", BOTH)
@pytest.mark.parametrize("name", NAMES)
def test_closed_single_body_of_the_analytic_volume(name: str, sex: Sex, upright: float | None) -> None:
    """Over whole turns every height sees the whole profile: V = L pi mean(r²), whatever the form."""
    outside = thread(name).major + 6
    wanted = shape(name, sex, upright_limit=upright, lead_in=False, outside=outside)
    solid = threaded_solid(wanted)
    true = profile(wanted.thread, chord=1e-4)
    form = true if upright is None else print_upright(true, upright, sex)[0]
    z = (np.arange(20000) + 0.5) / 20000 * form.pitch
    thread_volume = wanted.length * math.pi * float((form.at(z) ** 2).mean())
    ring_volume = math.pi * outside**2 / 4 * wanted.length - thread_volume
    expected = thread_volume if sex is Sex.MALE else ring_volume
    assert kernel.is_solid(solid) is None
    assert len(kernel.bodies(solid)) == 1
    assert genus(solid) == (0 if sex is Sex.MALE else 1)
    assert solid.volume == pytest.approx(expected, rel=0.005)
    assert solid.size[2] == pytest.approx(wanted.length)


@pytest.mark.parametrize("name", NAMES)
def test_mates_with_clearance_and_collides_without(name: str) -> None:
    clearance = 0.3
    male = threaded_solid(shape(name, Sex.MALE, upright_limit=None))
    wide = threaded_solid(shape(name, Sex.FEMALE, upright_limit=None, allowance=clearance))
    exact = threaded_solid(shape(name, Sex.FEMALE, upright_limit=None))
    tight = threaded_solid(shape(name, Sex.FEMALE, upright_limit=None, allowance=-clearance))
    assert kernel.overlap_volume(male, wide) == 0
    assert kernel.least_gap(male, exact, 0.5) < 0.01
    band = math.pi * male.size[0] * male.size[2] * clearance / 2
    assert kernel.overlap_volume(male, tight) > 0.5 * band


@pytest.mark.parametrize("name", NAMES)
def test_upright_halves_mate_too(name: str) -> None:
    male = threaded_solid(shape(name, Sex.MALE, allowance=-0.1))
    female = threaded_solid(shape(name, Sex.FEMALE, allowance=0.1))
    assert kernel.overlap_volume(male, female) == 0


def test_least_gap_is_the_clearance_seen_across_the_flank() -> None:
    """A radial shift c/2 between parallel 30 degree flanks opens c/2 * sin 30 = c/4 across them."""
    clearance = 0.6
    male = threaded_solid(shape("M30x3.5", Sex.MALE, upright_limit=None, chord=0.005))
    female = threaded_solid(shape("M30x3.5", Sex.FEMALE, upright_limit=None, chord=0.005, allowance=clearance))
    assert kernel.least_gap(male, female, 1.0) == pytest.approx(clearance / 4, abs=0.01)


def test_thread_is_right_handed() -> None:
    """Seen from above, the crest moves counter-clockwise on its way up, one turn for each pitch."""
    solid = threaded_solid(shape("E27", Sex.MALE))
    low, high = kernel.sections(solid, [6.0, 6.0 + 3.629 / 4])
    angles = [math.atan2(*max(part[0], key=lambda p: math.hypot(*p))[::-1]) for part in (low, high)]
    assert math.remainder(angles[1] - angles[0] - math.pi / 2, 2 * math.pi) == pytest.approx(0, abs=0.06)


@pytest.mark.parametrize(
    ("name", "major", "minor", "source"),
    [
        ("M10x1", 10.0, 8.917, "ISO 724"),
        ("M8", 8.0, 6.647, "ISO 724"),
        ("E27", 26.45, 24.26, "IEC 60061-1 sheet 7004-21, from memory"),
        ("G1/2", 20.955, 18.631, "ISO 228-1 table 1"),
        ("Tr20x4", 20.0, 16.0, "ISO 2904: D1 = d - P"),
    ],
)
def test_diameters_read_back_from_the_mesh(name: str, major: float, minor: float, source: str) -> None:
    """Facets stray half inside, half outside, by no more than the chord on each radius."""
    wanted = shape(name, Sex.MALE, upright_limit=None, lead_in=False)
    radii = radii_between(threaded_solid(wanted), 0.2, wanted.length - 0.2)
    assert 2 * radii.max() == pytest.approx(major, abs=2 * wanted.chord), source
    assert 2 * radii.min() == pytest.approx(minor, abs=2 * wanted.chord), source


@pytest.mark.parametrize("limit", [45.0, 35.0])
@pytest.mark.parametrize("sex", BOTH)
@pytest.mark.parametrize("name", NAMES)
def test_no_facet_of_an_upright_thread_hangs_further_than_the_limit(name: str, sex: Sex, limit: float) -> None:
    """Measured on the facets' own normals; the booleans' rounding may tilt slivers under 1e-5 mm²."""
    solid = threaded_solid(shape(name, sex, upright_limit=limit))
    vectors = solid.face_vectors
    area = np.linalg.norm(vectors, axis=1)
    on_bed = solid.corners[:, :, 2].max(axis=1) < 1e-6
    worth_looking = (area > 1e-5) & ~on_bed
    downward = np.degrees(np.arcsin(-vectors[worth_looking, 2] / area[worth_looking]))
    assert downward.max() <= limit + 0.1


def test_true_form_does_hang_over() -> None:
    """The test above can fail: true metric flanks overhang by 60 degrees."""
    solid = threaded_solid(shape("M10x1", Sex.MALE, upright_limit=None))
    area = np.linalg.norm(solid.face_vectors, axis=1)
    inside = (area > 1e-5) & (solid.corners[:, :, 2].max(axis=1) > 1e-6)
    assert np.degrees(np.arcsin(-solid.face_vectors[inside, 2] / area[inside])).max() > 55


@pytest.mark.parametrize("ends", ["both", "low", "high"])
def test_lead_ins_let_a_male_start_by_hand(ends: str) -> None:
    wanted = shape("M10x1", Sex.MALE, lead_in_ends=ends)
    solid = threaded_solid(wanted)
    for which, height in (("low", 0.0), ("high", wanted.length)):
        rim = np.hypot(*solid.vertices[np.abs(solid.vertices[:, 2] - height) < 1e-6][:, :2].T).max()
        chamfered = ends in ("both", which)
        assert (2 * rim < 8.917) == chamfered


def test_lead_ins_open_a_female_beyond_its_major() -> None:
    solid = threaded_solid(shape("E27", Sex.FEMALE))
    for height in (0.0, float(solid.size[2])):
        rim = np.hypot(*solid.vertices[np.abs(solid.vertices[:, 2] - height) < 1e-6][:, :2].T).min()
        assert 2 * rim > 26.45


def test_ring_has_a_wall_of_2_4_mm_unless_told() -> None:
    usual = threaded_solid(shape("M10x1", Sex.FEMALE))
    assert usual.size[0] / 2 >= 10 / 2 + 2.4
    told = threaded_solid(shape("M10x1", Sex.FEMALE, outside=13.0))
    assert told.size[0] == pytest.approx(13.0, abs=0.04)


def test_bored_stud_is_a_tube() -> None:
    plain, bored = (threaded_solid(shape("M10x1", Sex.MALE, bore=bore)) for bore in (0.0, 5.0))
    assert genus(bored) == 1
    assert plain.volume - bored.volume == pytest.approx(math.pi * 2.5**2 * 5.0, rel=1e-3)


def test_thread_cut_into_a_block_takes_a_stud() -> None:
    block = kernel.box((20, 20, 8), (30, 40, 4), name="block")
    hole = shape("M10x1", Sex.FEMALE, length=8.0, allowance=0.3)
    cut = cut_female(block, hole, x=30, y=40)
    assert kernel.is_solid(cut) is None
    assert len(kernel.bodies(cut)) == 1
    assert cut.name == "block"
    stud = threaded_solid(shape("M10x1", Sex.MALE, length=8.0)).moved(30, 40)
    assert kernel.overlap_volume(cut, stud) == 0
    ring = threaded_solid(replace(hole, outside=16.0))
    removed = math.pi * 8.0**2 * 8 - ring.volume
    assert block.volume - cut.volume == pytest.approx(removed, rel=5e-3)


@pytest.mark.parametrize("name", ["M64", "E40"])
def test_wide_threads_are_cut_whole(name: str) -> None:
    """A polygon around the tool must not clip it."""
    ring = threaded_solid(shape(name, Sex.FEMALE, upright_limit=None, lead_in=False))
    middle = float(ring.size[2]) / 2
    assert 2 * radii_between(ring, middle - 3, middle + 3).min() == pytest.approx(thread(name).minor, abs=0.04)
    inside = [r for r in radii_between(ring, middle - 3, middle + 3) if r < thread(name).major / 2 + 1]
    assert 2 * max(inside) == pytest.approx(thread(name).major, abs=0.04)


def test_blind_thread_stops_where_it_should() -> None:
    block = kernel.box((20, 20, 12), (0, 0, 6))
    cut = cut_female(block, shape("M10x1", Sex.FEMALE, length=8.0, lead_in_ends="high"), z=4.0)
    assert len(kernel.sections(cut, [3.9])[0]) == 1
    assert len(kernel.sections(cut, [4.1])[0]) == 2


def test_stud_set_on_a_plate_is_one_body() -> None:
    plate = kernel.box((20, 20, 2), (0, 0, 1), name="plate")
    stud = shape("M10x1", Sex.MALE, length=6.0, lead_in_ends="high")
    joined = add_male(plate, stud, z=2.0)
    assert len(kernel.bodies(joined)) == 1
    assert joined.size[2] == pytest.approx(8.0)
    assert joined.volume == pytest.approx(plate.volume + threaded_solid(stud).volume, rel=1e-3)


@pytest.mark.parametrize(
    ("changes", "sex", "words"),
    [
        ({"length": 0.5}, Sex.MALE, "too short for M10x1"),
        ({"length": math.nan}, Sex.MALE, "it must be a number above 0"),
        ({"length": math.inf}, Sex.MALE, "it must be a number above 0"),
        ({"outside": 10.5}, Sex.FEMALE, "leaves no wall around M10x1"),
        ({"bore": 8.5}, Sex.MALE, "leaves no wall inside M10x1"),
        ({"bore": -1.0}, Sex.MALE, "leaves no wall inside M10x1"),
        ({"upright_limit": 95.0}, Sex.MALE, "must lie between 0 and 90"),
        ({"chord": 0.0}, Sex.MALE, "chord"),
    ],
)
def test_impossible_sizes_are_refused(changes: dict[str, float], sex: Sex, words: str) -> None:
    with pytest.raises(ValueProblem, match=words):
        threaded_solid(shape("M10x1", sex, **changes))


def test_sexes_are_not_mixed_up() -> None:
    block = kernel.box((20, 20, 8))
    with pytest.raises(ValueProblem, match="cannot be cut into a part"):
        cut_female(block, shape("M10x1", Sex.MALE))
    with pytest.raises(ValueProblem, match="cannot be set on a part"):
        add_male(block, shape("M10x1", Sex.FEMALE))

"""The whole check, and what it tells a maker."""

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from layer_shapes import drilled_block, flaring_cone, portal, slotted_block, table, together

from shadewright.errors import ModelProblem
from shadewright.findings import Finding, Verdict, worst
from shadewright.layers.check import PartToPrint, check_part
from shadewright.layers.report import LayerReport, Trouble
from shadewright.printing import PrintSetup
from shadewright.solid import kernel
from shadewright.solid.mesh import Mesh

SAMPLES = Path(__file__).resolve().parents[2].parent / "shared" / "samples"
CODES = {"layers.bed", "layers.island", "layers.overhang", "layers.bridge", "layers.thin", "layers.footing"}


def checked(mesh: Mesh, setup: PrintSetup) -> LayerReport:
    return check_part(PartToPrint(name="stand", mesh=mesh, setup=setup))


def told(report: LayerReport, code: str) -> Finding:
    found = [finding for finding in report.findings if finding.code == code]
    assert len(found) == 1
    return found[0]


def test_a_sound_box_says_what_was_looked_at(setup: PrintSetup) -> None:
    report = checked(kernel.box((20, 20, 20)), setup)

    assert worst(report.findings) is Verdict.SOUND
    assert {finding.code for finding in report.findings} == CODES
    assert report.patches == ()
    assert not report.trouble_by_face.any()
    assert (report.layers, report.height, report.bed_area) == (100, pytest.approx(20), pytest.approx(400))
    assert report.volume == pytest.approx(8000)
    assert told(report, "layers.thin").sentence == "No wall is thinner than 0.41 mm."


def test_a_table_fails_with_places_and_cures(setup: PrintSetup) -> None:
    report = checked(table(), setup)
    overhang, footing = told(report, "layers.overhang"), told(report, "layers.footing")

    assert overhang.verdict is Verdict.FAILING
    assert overhang.sentence.startswith("A flat underside at height 40.0 mm reaches")
    assert overhang.sentence.endswith("3456 mm² in all.")
    assert overhang.place is not None
    assert (overhang.place.z_low, overhang.place.z_high) == pytest.approx((40, 40.2))
    assert footing.sentence == (
        "A foot of 36 mm² stands alone up to height 40.0 mm (4 such); the bed holds 0.7 times the nozzle's drag."
    )
    assert footing.cure.startswith("print it with a 3 mm brim")
    assert [finding.verdict.rank for finding in report.findings] == sorted(f.verdict.rank for f in report.findings)


def test_faces_in_trouble_are_the_ones_that_hang(setup: PrintSetup) -> None:
    """Under the lintel, and nowhere else."""
    mesh = portal(14)
    report = checked(mesh, setup)

    normals = mesh.face_vectors
    middle = mesh.corners.mean(axis=1)
    underside = (normals[:, 2] < 0) & (np.abs(normals[:, :2]).max(axis=1) < 1e-9) & (middle[:, 2] > 1)
    assert (report.trouble_by_face[underside] == 1).all()
    assert not report.trouble_by_face[~underside].any()


def test_faces_of_a_steep_cone_fail_and_of_a_middling_one_are_doubtful(setup: PrintSetup) -> None:
    for degrees, mark in ((55, 1), (70, 2)):
        mesh = flaring_cone(8, 6, degrees)
        report = checked(mesh, setup)
        side = (
            np.abs(
                np.degrees(np.arcsin(-mesh.face_vectors[:, 2] / np.linalg.norm(mesh.face_vectors, axis=1))) - degrees
            )
            < 1
        )
        assert (report.trouble_by_face[side] == mark).all()
        assert not report.trouble_by_face[~side].any()


def test_webs_are_told_once_with_what_would_print(setup: PrintSetup) -> None:
    report = checked(slotted_block(0.2), setup)
    thin = told(report, "layers.thin")

    assert thin.sentence == (
        "The thinnest of 5 thin walls is 0.20 mm thick between heights 4.0 and 10.0 mm: "
        "no line fits, so it is left out."
    )
    assert thin.cure == "draw it 0.45 mm thick for one line, or better 0.90 mm for two"
    assert sum(patch.trouble is Trouble.THIN for patch in report.patches) == 5
    assert (report.trouble_by_face == 2).sum() >= 10  # both sides of every web, two triangles each at least


def test_a_floating_piece_is_told_with_its_height(setup: PrintSetup) -> None:
    report = checked(together(kernel.box((10, 10, 10), (0, 0, 5)), kernel.box((6, 5, 10), (20, 0, 15.2))), setup)

    assert told(report, "layers.island").sentence == (
        "One piece starts in mid-air, the largest with 30.00 mm² at height 10.2 mm."
    )


def test_small_round_holes_are_not_called_failing(setup: PrintSetup) -> None:
    assert worst(checked(drilled_block(3), setup).findings) is Verdict.SOUND


@pytest.mark.parametrize(
    ("size", "fits", "words"),
    [
        ((220, 200, 5), True, "It fits the workshop printer: 220.0 x 200.0 x 5.0 mm in 220 x 200 x 250 mm."),
        ((200, 215, 5), True, "turned by 90°: 215.0 x 200.0 x 5.0"),
        ((270, 10, 5), True, "when turned by"),
        ((300, 10, 5), False, "300.0 x 10.0 x 5.0 mm does not fit 220 x 200 x 250 mm."),
        ((20, 20, 251), False, "does not fit"),
    ],
)
def test_the_bed_is_tried_at_every_turn(size: tuple[float, ...], fits: bool, words: str, setup: PrintSetup) -> None:
    report = checked(kernel.box(size), setup)
    bed = told(report, "layers.bed")

    assert report.fits_bed is fits
    assert words in bed.sentence
    assert bed.verdict is (Verdict.SOUND if fits else Verdict.FAILING)


def test_where_the_part_stands_in_its_file_does_not_matter(setup: PrintSetup) -> None:
    here, there = checked(table(), setup), checked(table().moved(300, -40, -7), setup)

    assert there.time_s == pytest.approx(here.time_s)
    assert [f.sentence for f in there.findings] == [f.sentence for f in here.findings]


def test_an_inside_out_mesh_is_refused(setup: PrintSetup) -> None:
    box = kernel.box((10, 10, 10))

    with pytest.raises(ModelProblem, match="it encloses no volume"):
        checked(Mesh(box.vertices, np.ascontiguousarray(box.faces[:, ::-1])), setup)


def sample(name: str) -> Mesh:
    path = SAMPLES / name
    if not path.exists():
        pytest.skip(f"{name} is not there; it is one of the models other people made")
    from shadewright.solid.read import read_model

    return read_model(path).mesh


@pytest.mark.samples
def test_a_real_shade_is_sound_and_measures_as_it_should(setup: PrintSetup) -> None:
    """Wall 1.0, height 120, 26 935 mm³: measured on the file by general libraries (samples' README)."""
    shade = sample("azdle/havrsis-shade.stl")
    report = checked(shade, setup)

    assert report.height == pytest.approx(120, abs=0.01)
    assert report.volume == pytest.approx(26935, rel=1e-3)
    assert worst(report.findings) is Verdict.SOUND
    thick_line = checked(shade, replace(setup, line_width=1.2))  # 0.9 x 1.2 = 1.08 mm is more than the wall
    assert told(thick_line, "layers.thin").value == pytest.approx(1.0, abs=0.05)


@pytest.mark.samples
def test_a_real_clamp_fails_under_its_long_roof(setup: PrintSetup) -> None:
    report = checked(sample("irltoolkit/strainrelief.stl"), setup)

    roofs = [f for f in report.findings if f.code == "layers.overhang" and f.verdict is Verdict.FAILING]
    assert len(roofs) == 1


@pytest.mark.samples
def test_a_cylinder_with_a_square_hole_prints_upright_and_bridges_lying_down(setup: PrintSetup) -> None:
    """Hole measured on the file: its flat roof spans the hole's width when the cylinder lies on its side."""
    from shadewright.layers.standing import stand

    mesh = sample("build123d/cyl_w_rect_hole.stl")
    lying = checked(stand(mesh, "+x"), setup)

    assert worst(checked(mesh, setup).findings) is Verdict.SOUND
    assert told(lying, "layers.bridge").verdict is Verdict.DOUBTFUL
    assert told(lying, "layers.overhang").verdict is Verdict.FAILING  # the round side below its 45 degree line

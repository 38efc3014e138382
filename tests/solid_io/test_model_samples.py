"""Model files other people made, held against measurements by general libraries (INDEX.csv beside them)."""

import csv
from pathlib import Path

import pytest

from shadewright.errors import UserError
from shadewright.solid.read import read_model

SAMPLES = Path(__file__).parents[3] / "shared" / "samples"
pytestmark = [
    pytest.mark.samples,
    pytest.mark.skipif(not (SAMPLES / "INDEX.csv").exists(), reason="the sample models are not beside the repository"),
]
READABLE = {"stl", "3mf", "obj", "ply", "step"}
SLOW_SHARE = {
    "assimp/box_without_lineending.obj",
    "trimesh/negative_indices.obj",
    "odedstein-meshes/wingnut.obj",
    "trimesh/fixed_top.ply",
    "dhylands-parts/Wire-Clips.step",
    "schwa/drip-mount.step",
}
"""Of the formats whose libraries take a second to load, these stand for the rest."""

NOT_TO_BE_READ = {
    "3mf-samples/MUSTPASS_Chapter3.4.2_MetaData_Resources_Build.3mf": "names a texture as a property group; lib3mf too",
    "3mf-samples/MUSTPASS_Chapter4.1_ExplicitSupport.3mf": "volume listed counts the support, see its own test",
    "lib3mf/3mfbase12_holed_cube.3mf": "inches, see its own test",
    "lib3mf/HelixWithThumbnail_IncorrectRelationship.3mf": "lib3mf refuses it",
    "manifold/Generic_Twin_7863.1.t0_left.obj": "31 m from the origin",
    "manifold/Havocglass8_left.obj": "14 m from the origin",
    "manifold/Offset2.obj": "20 m from the origin",
}
ACCEPTED_MUSTFAIL = {
    "3mf-samples/MUSTFAIL_Chapter2.3.2c_UndefinedNameSpaceInXDS.3mf": "declares a namespace nobody uses",
    "3mf-samples/MUSTFAIL_Chapter3.4.1a_MissingMetadataName.3mf": (
        "differs from MUSTPASS 3.4.1c by the metadata's name alone ('Undefined', not 'MustIgnore'); harmless"
    ),
}
"""Read against the label, with the reason."""


def rows(**wanted):
    if not (SAMPLES / "INDEX.csv").exists():
        return []
    with (SAMPLES / "INDEX.csv").open(encoding="utf-8", newline="") as file:
        listed = [row | {"file": row["file"].removeprefix("shared/")} for row in csv.DictReader(file)]
    return [row for row in listed if all(row[key] in values for key, values in wanted.items())]


def sound_rows():
    invalid = {"3mf-invalid", "broken-file", "broken-topology", "units"}
    return [
        row
        for row in rows(format=READABLE, watertight={"yes"})
        if row["volume"]
        and row["category"] not in invalid
        and row["file"] not in NOT_TO_BE_READ
        and (row["format"] in {"stl", "3mf"} or row["file"] in SLOW_SHARE)
    ]


def named(row):
    return row["file"]


@pytest.mark.parametrize("row", sound_rows(), ids=named)
def test_sound_files_measure_as_listed(row):
    listed = [float(row[f"bbox_{axis}"]) for axis in "xyz"]
    declared = row["format"] in {"3mf", "step"}
    if not declared and max(listed) < 3:
        with pytest.raises(UserError, match="does not say its unit"):
            read_model(SAMPLES / row["file"])
    model = read_model(SAMPLES / row["file"], unit=None if declared else "mm")
    assert model.mesh.volume == pytest.approx(float(row["volume"]), rel=1e-3)
    assert model.mesh.size == pytest.approx(listed, rel=1e-3, abs=1e-3)
    assert model.bodies >= 1


def test_enough_of_them_were_there():
    assert len(sound_rows()) > 90


@pytest.mark.parametrize("row", [row for row in rows(category={"3mf-invalid"}) if "MUSTFAIL" in row["file"]], ids=named)
def test_packages_that_must_fail_do(row):
    if row["file"] in ACCEPTED_MUSTFAIL:
        assert read_model(SAMPLES / row["file"]).mesh.volume == pytest.approx(8000)
        return
    with pytest.raises(UserError) as caught:
        read_model(SAMPLES / row["file"])
    assert len(caught.value.problems) == 1


BROKEN = {
    "assimp/OutOfMemory.off": "in no format",
    "assimp/empty.obj": "empty",
    "assimp/malformed.obj": "damaged",
    "assimp/point_cloud.obj": "no faces",
    "assimp/malformed_property_index_oob.3mf": "breaks the 3MF standard",
    "assimp/sphereWithHole.stl": "9 open edges",
    "lib3mf/GEN-C-ADA-COMPONENT-TRANSFORM-0.3mf": "duplicate attribute",
    "lib3mf/negative_keystore_empty.3mf": "breaks the 3MF standard",
    "3mf-samples/pyramid.3mf": "places no solid with triangles",
    "manifold/Cray_right.obj": "beyond anything a printer makes",
    "manifold/boxNotManifold.obj": "4 open edges",
    "nist-peginhole/large_gear.stl": "web page",
    "nist-peginhole/medium_gear.stl": "31 open edges",
    "odedstein-meshes/cube_no_bottom.obj": "8 open edges",
    "stl-models/broken__fourVertices.ascii.stl": "three corners",
    "stl-models/broken__twoVertices.ascii.stl": "three corners",
    "stl-models/broken__missingFace.ascii.stl": "3 open edges",
    "stl-models/misc__faceless.ascii.stl": "no triangles",
    "stl-models/misc__multiWordName.bin.stl": "damaged",
    "stl-models/polytopes__triangle.ascii.stl": "3 open edges",
    "trimesh/empty.stl": "no triangles",
    "trimesh/stl_empty_ascii.stl": "no triangles",
    "trimesh/featuretype.3MF": "18 open edges",
    "trimesh/soup.stl": "300 open edges",
}


@pytest.mark.parametrize(("name", "why"), BROKEN.items())
def test_broken_files_are_refused(name, why):
    unit = None if name.lower().endswith("3mf") else "inch"
    with pytest.raises(UserError, match=why) as caught:
        read_model(SAMPLES / name, unit=unit)
    assert len(caught.value.problems) == 1


@pytest.mark.parametrize("name", ["stepcode/test_inverse_attr.p21", "stepcode/select_segfault_2.stp"])
def test_step_syntax_cases_without_geometry_are_refused(name):
    with pytest.raises(UserError):
        read_model(SAMPLES / name)


def test_a_step_body_without_exact_faces_is_left_out_and_said_so():
    model = read_model(SAMPLES / "nist-dt4sm/simple_sign.stp")
    assert model.mesh.size == pytest.approx([25.4, 50.8, 76.2], abs=1e-3)
    assert any("no exact faces and was left out" in note for note in model.notes)


def test_a_sphere_with_a_small_hole_is_mended():
    model = read_model(SAMPLES / "assimp/sphereWithHole.stl", unit="mm", repair=True)
    assert "closed 3 holes (9 open edges" in model.notes[0]
    # Diameter 3.0; a faceted sphere is a little smaller than 4/3 pi r³ = 14.14.
    assert 13.4 < model.mesh.volume < 14.14


@pytest.mark.parametrize("name", ["odedstein-meshes/cube_no_bottom.obj", "trimesh/soup.stl"])
def test_what_repair_would_have_to_guess_is_refused(name):
    with pytest.raises(UserError, match=r"guess|cannot be mended"):
        read_model(SAMPLES / name, unit="cm", repair=True)


def test_one_part_in_inches_without_and_with_saying_so():
    bare = SAMPLES / "trimesh/featuretype.STL"
    said = read_model(SAMPLES / "trimesh/featuretype.STEP")
    assert any("inch" in note for note in said.notes)
    assert said.mesh.size == pytest.approx([127.0, 63.5, 34.925], abs=1e-3)
    assert any("as inches 127 mm" in note for note in read_model(bare).notes)
    assert read_model(bare, unit="inch").mesh.volume == pytest.approx(said.mesh.volume, rel=2e-3)
    holed = read_model(SAMPLES / "lib3mf/3mfbase12_holed_cube.3mf")
    assert holed.unit == "inch"
    assert holed.mesh.size == pytest.approx([9.8491 * 25.4, 8.0053 * 25.4, 9.8491 * 25.4], rel=1e-4)


def test_one_part_in_inches_in_metres_and_in_millimetres():
    tray = "newKitTray_2Large_2Small_Centered_ZeroZmin.stl"
    assert read_model(SAMPLES / "nist-peginhole" / tray).mesh.size == pytest.approx([220, 166, 17], abs=0.01)
    inches = read_model(SAMPLES / "nist-peginhole/newKitTray_1Large_2Medium.stl", unit="inch")
    assert inches.mesh.size == pytest.approx([160, 190, 17], abs=0.01)
    metres = SAMPLES / "nist-peginhole/new_big_gear_Rotatex_Centered_ZeroZmin.stl"
    with pytest.raises(UserError, match=r"m \(100\.8 mm\)"):
        read_model(metres)
    assert read_model(metres, unit="m").mesh.size == pytest.approx([100.8, 100.8, 46], abs=0.05)


def test_step_in_a_converted_metre_agrees_with_its_stl():
    step = read_model(SAMPLES / "dhylands-parts/X-Lower.step")
    stl = read_model(SAMPLES / "dhylands-parts/OX-Cable-Chain-Mounts_-_X-Lower.stl")
    assert any("metre" in note for note in step.notes)
    assert step.mesh.size == pytest.approx(stl.mesh.size, abs=0.04)
    assert step.mesh.volume == pytest.approx(stl.mesh.volume, rel=1.2e-3)


def test_one_part_in_three_formats_agrees():
    models = [read_model(SAMPLES / f"lsg551/under-desk-mount.{kind}") for kind in ("stl", "3mf", "step")]
    assert {model.bodies for model in models} == {2}
    for other in models[1:]:
        assert other.mesh.volume == pytest.approx(models[0].mesh.volume, rel=1.2e-3)
        assert other.mesh.size == pytest.approx(models[0].mesh.size, abs=0.04)


def test_supports_in_a_package_are_left_out_and_said_so():
    model = read_model(SAMPLES / "3mf-samples/MUSTPASS_Chapter4.1_ExplicitSupport.3mf")
    assert model.bodies == 1
    assert any("left out" in note for note in model.notes)


def test_a_lamp_shade_that_was_really_printed():
    shade = read_model(SAMPLES / "azdle/havrsis-shade.stl")
    assert shade.mesh.size == pytest.approx([67.0, 67.0, 120.0], abs=0.02)
    assert shade.mesh.volume == pytest.approx(26_935, rel=1e-3)
    assert (shade.bodies, shade.notes) == (1, ())

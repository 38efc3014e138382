"""What is written is read back the same, by this package and by other libraries."""

from math import pi

import numpy as np
import pytest

from shadewright.errors import FileProblem, GeometryFailure, UserError, ValueProblem
from shadewright.solid import kernel
from shadewright.solid.mesh import Mesh
from shadewright.solid.read import read_model
from shadewright.solid.write import write_3mf, write_stl

BOX = kernel.box((10, 20, 30), (100, 50, 15), name='clip <left> & "right"')
PIN = kernel.cylinder(25, 6, fit="mean", name="Stift Ø12")


def test_stl_keeps_shape_within_single_precision(tmp_path):
    model = read_model(write_stl(tmp_path / "pin.stl", PIN))
    assert (model.format, model.bodies, model.unit, model.notes) == ("stl", 1, "mm", ())
    assert model.mesh.volume == pytest.approx(pi * 36 * 25, rel=1e-6)
    assert model.mesh.name == "pin"
    assert len(model.mesh.faces) == len(PIN.faces)


def test_stl_is_read_by_another_library(tmp_path):
    import trimesh

    with write_stl(tmp_path / "pin.stl", PIN).open("rb") as file:
        other = trimesh.load_mesh(file, file_type="stl")
    assert other.is_watertight
    assert other.volume == pytest.approx(PIN.volume, rel=1e-6)


def test_3mf_keeps_names_and_several_objects(tmp_path):
    path = write_3mf(tmp_path / "both.3mf", [BOX, PIN], title="A < B & C", metadata={"Designer": "nobody"})
    model = read_model(path)
    assert (model.format, model.bodies, model.unit) == ("3mf", 2, "mm")
    assert model.mesh.volume == pytest.approx(6000 + pi * 36 * 25, rel=1e-6)
    assert read_model(write_3mf(tmp_path / "one.3mf", [BOX])).mesh.name == BOX.name


def test_3mf_is_read_by_two_other_libraries(tmp_path):
    import lib3mf
    import trimesh

    path = write_3mf(tmp_path / "both.3mf", [BOX, PIN], title="A < B & C", metadata={"Designer": "nobody"})
    model = lib3mf.get_wrapper().CreateModel()
    reader = model.QueryReader("3mf")
    reader.SetStrictModeActive(True)
    reader.ReadFromFile(str(path))
    assert reader.GetWarningCount() == 0
    assert model.GetUnit() == lib3mf.ModelUnit.MilliMeter
    names, objects = [], model.GetMeshObjects()
    while objects.MoveNext():
        thing = objects.GetCurrentMeshObject()
        assert thing.IsManifoldAndOriented()
        names.append(thing.GetName())
    assert names == [BOX.name, PIN.name]
    group = model.GetMetaDataGroup()
    kept = {group.GetMetaData(i).GetName(): group.GetMetaData(i).GetValue() for i in range(group.GetMetaDataCount())}
    assert kept == {"Title": "A < B & C", "Designer": "nobody"}

    with path.open("rb") as file:
        scene = trimesh.load_scene(file, file_type="3mf")
    assert sum(g.volume for g in scene.geometry.values()) == pytest.approx(BOX.volume + PIN.volume, rel=1e-6)
    assert scene.units in ("mm", "millimeter", "millimeters")


def test_3mf_has_the_same_bytes_every_time(tmp_path):
    first = write_3mf(tmp_path / "a.3mf", [BOX, PIN]).read_bytes()
    assert write_3mf(tmp_path / "b.3mf", [BOX, PIN]).read_bytes() == first


def test_nothing_half_written_is_left(tmp_path):
    with pytest.raises(ValueProblem):
        write_3mf(tmp_path / "x.3mf", [])
    with pytest.raises(ValueProblem, match="Flavour"):
        write_3mf(tmp_path / "x.3mf", [BOX], metadata={"Flavour": "none"})
    with pytest.raises(GeometryFailure):
        write_stl(tmp_path / "x.stl", Mesh(np.zeros((0, 3)), np.zeros((0, 3), np.int32)))
    (tmp_path / "file").write_text("not a folder")
    with pytest.raises(FileProblem):
        write_stl(tmp_path / "file" / "x.stl", BOX)
    assert [p.name for p in tmp_path.iterdir()] == ["file"]


def text_stl(mesh: Mesh) -> str:
    facets = (
        "facet normal 0 0 0\nouter loop\n"
        + "".join("vertex {:.17g} {:.17g} {:.17g}\n".format(*corner) for corner in triangle)
        + "endloop\nendfacet\n"
        for triangle in mesh.corners
    )
    return "solid a vertex of a facet\n" + "".join(facets) + "endsolid a vertex of a facet\n"


@pytest.mark.parametrize("change", [str, str.upper, lambda s: s.replace("\n", "\r\n"), lambda s: "\n \t" + s])
def test_text_stl_in_its_spellings(tmp_path, change):
    (tmp_path / "pin.stl").write_bytes(change(text_stl(PIN)).encode())
    assert read_model(tmp_path / "pin.stl").mesh.volume == pytest.approx(PIN.volume, rel=1e-12)


def test_binary_stl_whose_header_says_solid(tmp_path):
    raw = write_stl(tmp_path / "pin.stl", PIN).read_bytes()
    (tmp_path / "pin.stl").write_bytes(b"solid facet endsolid".ljust(80) + raw[80:])
    assert read_model(tmp_path / "pin.stl").mesh.volume == pytest.approx(PIN.volume, rel=1e-6)


@pytest.mark.parametrize("kind", ["obj", "ply", "glb"])
def test_other_formats_made_by_another_library(tmp_path, kind):
    import trimesh

    scale = 0.001 if kind == "glb" else 1.0
    path = tmp_path / f"box.{kind}"
    trimesh.Trimesh(BOX.vertices * scale, BOX.faces, process=False).export(path)
    model = read_model(path)
    assert (model.format, model.bodies) == (kind, 1)
    assert model.mesh.volume == pytest.approx(6000, rel=1e-5)
    # glTF 2.0 section 3.4: metres, y up; so its y is our z and its z our -y.
    low = [95, -30, 40] if kind == "glb" else [95, 40, 0]
    assert model.mesh.bounds[0] == pytest.approx(low, abs=1e-3)
    assert model.unit == ("m" if kind == "glb" else "mm")


def test_content_not_name_decides_the_format(tmp_path):
    path = write_3mf(tmp_path / "box.3mf", [BOX]).rename(tmp_path / "box.stl")
    model = read_model(path)
    assert model.format == "3mf"
    assert model.notes == ('The file is named ".stl" but holds 3MF; it was read as 3MF.',)


@pytest.mark.parametrize(("unit", "scale"), [("inch", 25.4), ("cm", 10), ("m", 1000), ("ft", 304.8)])
def test_a_bare_file_takes_the_unit_it_is_told(tmp_path, unit, scale):
    path = write_stl(tmp_path / "box.stl", Mesh(BOX.vertices / scale, BOX.faces))
    model = read_model(path, unit=unit)
    assert model.mesh.size == pytest.approx([10, 20, 30], rel=1e-5)
    assert model.unit == unit


def test_a_part_of_doubtful_size_asks_for_its_unit(tmp_path):
    path = write_stl(tmp_path / "box.stl", Mesh(BOX.vertices / 25.4, BOX.faces))
    with pytest.raises(UserError, match=r"measures 0\.3937 × 0\.7874 × 1\.181 mm.*state the unit, such as inch"):
        read_model(path)
    small = read_model(write_stl(tmp_path / "small.stl", Mesh(BOX.vertices / 10, BOX.faces)))
    assert "as inches" in small.notes[0]
    big = write_stl(tmp_path / "big.stl", Mesh((BOX.vertices - BOX.bounds[0]) * 100, BOX.faces))
    with pytest.raises(UserError, match=r"measures 1000 × 2000 × 3000 mm.*state the unit it was drawn in, or mm if"):
        read_model(big)
    with pytest.raises(UserError, match='no unit is called "inches"; use "inch"'):
        read_model(path, unit="inches")


def test_bodies_hollows_and_overlaps_are_told(tmp_path):
    cut = kernel.difference(kernel.box((20, 20, 20)), kernel.box((10, 10, 10)))
    hollow = read_model(write_stl(tmp_path / "h.stl", cut))
    assert (hollow.bodies, hollow.notes) == (1, ("It has 1 closed hollow inside.",))
    twice = read_model(write_3mf(tmp_path / "t.3mf", [kernel.box((20, 20, 20)), kernel.box((20, 20, 20), (15, 0, 0))]))
    assert twice.bodies == 2
    assert any("overlap: 2000 mm³ of 16000 mm³" in note for note in twice.notes)

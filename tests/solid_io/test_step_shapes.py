"""STEP and boundary representations; skipped without the library unless SHADEWRIGHT_REQUIRE_STEP=1."""

import builtins
import os
import sys
from math import pi

import pytest

from shadewright.errors import MissingLibrary, UserError
from shadewright.solid import step
from shadewright.solid.read import read_model


@pytest.fixture(scope="module")
def prim():
    try:
        from OCP import BRepPrimAPI
    except ImportError:
        if os.environ.get("SHADEWRIGHT_REQUIRE_STEP") == "1":
            raise
        pytest.skip("the STEP library is not installed")
    return BRepPrimAPI


def test_box_and_cylinder_survive_step(tmp_path, prim):
    for name, shape, volume, size in (
        ("box", prim.BRepPrimAPI_MakeBox(10, 20, 30).Shape(), 6000, (10, 20, 30)),
        ("pin", prim.BRepPrimAPI_MakeCylinder(6, 25).Shape(), pi * 36 * 25, (12, 12, 25)),
    ):
        path = step.write_step(tmp_path / f"{name}.step", shape)
        again, units = step.read_step_with_units(path)
        assert units == ("millimetre",)
        assert step.check_shape(again) == []
        assert step.shape_volume(again) == pytest.approx(volume, rel=1e-6)
        low, high = step.shape_bounds(again)
        assert high - low == pytest.approx(size, abs=1e-6)
        model = read_model(path)
        assert (model.format, model.bodies, model.notes) == ("step", 1, ())
        assert model.mesh.volume == pytest.approx(volume, rel=2e-3)
        assert step.tessellate(again, chord=0.001).volume == pytest.approx(volume, rel=1e-3)


def test_a_torus_integrates_exactly(prim):
    # Pappus: 2 pi² R r².
    assert step.shape_volume(prim.BRepPrimAPI_MakeTorus(20, 3).Shape()) == pytest.approx(2 * pi**2 * 20 * 9, rel=1e-4)


def test_unsound_shapes_are_told(prim):
    from OCP.BRep import BRep_Builder
    from OCP.TopAbs import TopAbs_ShapeEnum
    from OCP.TopoDS import TopoDS_Compound

    box = prim.BRepPrimAPI_MakeBox(10, 20, 30).Shape()
    assert step.check_shape(box.Reversed()) == ["a body in it is inside out or has no volume"]
    empty = TopoDS_Compound()
    BRep_Builder().MakeCompound(empty)
    assert step.check_shape(empty) == ["it holds no solid body"]
    pair = TopoDS_Compound()
    BRep_Builder().MakeCompound(pair)
    for shape in (box, prim.BRepPrimAPI_MakeSphere(3).Shape()):
        BRep_Builder().Add(pair, shape)
    assert step.check_shape(pair) == ["it holds 2 solid bodies instead of 1"]
    assert step.check_shape(pair, bodies=2) == step.check_shape(pair, bodies=None) == []
    face = step._explored(box, TopAbs_ShapeEnum.TopAbs_FACE)[0]
    assert step.free_edges(face) == 4


def test_a_file_without_solids_is_refused(tmp_path, prim):
    from OCP.TopAbs import TopAbs_ShapeEnum

    face = step._explored(prim.BRepPrimAPI_MakeBox(10, 20, 30).Shape(), TopAbs_ShapeEnum.TopAbs_FACE)[0]
    with pytest.raises(UserError, match="no solid body"):
        read_model(step.write_step(tmp_path / "face.step", face))


def test_a_missing_library_names_its_cure(monkeypatch):
    real = builtins.__import__

    def without(name, *rest):
        if name.startswith("OCP"):
            raise ModuleNotFoundError(f"No module named {name!r}")
        return real(name, *rest)

    def without_gl(name, *rest):
        if name.startswith("OCP"):
            raise ImportError("libGL.so.1: cannot open shared object file")
        return real(name, *rest)

    for name in [n for n in sys.modules if n == "OCP" or n.startswith("OCP.")]:
        monkeypatch.delitem(sys.modules, name)
    monkeypatch.setattr(builtins, "__import__", without)
    with pytest.raises(MissingLibrary, match=r"pip install 'shadewright\[step\]'"):
        step.require_step()
    monkeypatch.setattr(builtins, "__import__", without_gl)
    with pytest.raises(MissingLibrary, match="libgl1 libx11-6"):
        step.require_step()

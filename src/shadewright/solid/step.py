"""Boundary representations: STEP out and in, what is wrong with a shape, and triangles from it.

Shapes are the modelling kernel's own objects and typed ``Any``; nothing above this package should hold one. Names of
OpenCASCADE 8 are used as its Python binding spells them.
"""

from __future__ import annotations

from pathlib import Path
from typing import Any

import numpy as np

from shadewright.errors import FileProblem, GeometryFailure, MissingLibrary
from shadewright.files import write_whole
from shadewright.solid.census import weld
from shadewright.solid.mesh import Floats, Mesh

VOLUME_EPS = 1e-5
"""Relative error of volume integration; without a bound it strays by per cents on helical faces."""


def require_step() -> None:
    """Refuse to go on when the STEP library cannot be imported, and say what to install.

    Raises:
        MissingLibrary: The package or a system library under it is missing.
    """
    try:
        import OCP.TopoDS  # noqa: F401
    except ModuleNotFoundError:
        raise MissingLibrary.of(
            "reading and writing STEP needs a library that is not installed",
            "run: pip install 'shadewright[step]'",
        ) from None
    except ImportError as error:
        raise MissingLibrary.of(
            f"the STEP library does not start ({error})",
            "install the system libraries it links, on Debian and Ubuntu: apt-get install libgl1 libx11-6",
        ) from None


def quiet() -> None:
    """Keep the STEP library from printing to the terminal."""
    from OCP.Message import Message

    Message.DefaultMessenger_s().ChangePrinters().Clear()


def write_step(path: Path, shape: Any, name: str = "") -> Path:
    """Write a shape as STEP (AP214) in millimetres.

    Raises:
        MissingLibrary: STEP is not installed.
        GeometryFailure: The shape could not be translated.
        FileProblem: The file cannot be written.
    """
    require_step()
    quiet()
    from OCP.IFSelect import IFSelect_ReturnStatus
    from OCP.Interface import Interface_Static
    from OCP.STEPControl import STEPControl_StepModelType, STEPControl_Writer

    writer = STEPControl_Writer()
    Interface_Static.SetCVal_s("write.step.unit", "MM")
    Interface_Static.SetCVal_s("write.step.schema", "AP214IS")
    Interface_Static.SetCVal_s("write.step.product.name", name or path.stem)
    if writer.Transfer(shape, STEPControl_StepModelType.STEPControl_AsIs) != IFSelect_ReturnStatus.IFSelect_RetDone:
        raise GeometryFailure(f"{name or path.stem} could not be translated to STEP")

    def fill(draft: Path) -> None:
        if writer.Write(str(draft)) != IFSelect_ReturnStatus.IFSelect_RetDone:
            raise FileProblem.of("the STEP file could not be written", "choose another folder", str(path))

    return write_whole(path, fill)


def read_step_shape(path: Path) -> Any:
    """Read a STEP file's shape, in millimetres whatever unit the file declares.

    Runs in this process; for files of unknown origin use ``shadewright.solid.read.read_model``.

    Raises:
        MissingLibrary: STEP is not installed.
        FileProblem: The file is not readable as STEP or holds no shape.
    """
    return read_step_with_units(path)[0]


def read_step_with_units(path: Path) -> tuple[Any, tuple[str, ...]]:
    """Like ``read_step_shape``, with the length units the file declares, in its own words."""
    require_step()
    quiet()
    from OCP.collections import Sequence_TCollection_AsciiString
    from OCP.IFSelect import IFSelect_ReturnStatus
    from OCP.STEPControl import STEPControl_Reader

    reader = STEPControl_Reader()
    if reader.ReadFile(str(path)) != IFSelect_ReturnStatus.IFSelect_RetDone:
        raise FileProblem.of("it is not a complete STEP file", "export it again", path.name)
    lengths, angles, solid_angles = (Sequence_TCollection_AsciiString() for _ in range(3))
    reader.FileUnits(lengths, angles, solid_angles)
    reader.TransferRoots()
    shape = reader.OneShape()
    if shape is None or shape.IsNull():
        raise FileProblem.of("the STEP file holds no shape", "export a solid body", path.name)
    return shape, tuple(lengths.Value(i).ToCString().lower() for i in range(1, lengths.Length() + 1))


def solids_of(shape: Any) -> list[Any]:
    """The solids in a shape."""
    from OCP.TopAbs import TopAbs_ShapeEnum

    return _explored(shape, TopAbs_ShapeEnum.TopAbs_SOLID)


def shape_volume(shape: Any) -> float:
    """Volume of a shape by adaptive integration [mm³]; negative when it is inside out."""
    from OCP.BRepGProp import BRepGProp
    from OCP.GProp import GProp_GProps

    properties = GProp_GProps()
    BRepGProp.VolumeProperties_s(shape, properties, VOLUME_EPS, True, False)
    return float(properties.Mass())


def shape_bounds(shape: Any) -> Floats:
    """(2, 3) least and greatest coordinates of a shape [mm]; infinite when it is void."""
    from OCP.Bnd import Bnd_Box
    from OCP.BRepBndLib import BRepBndLib

    box = Bnd_Box()
    BRepBndLib.AddOptimal_s(shape, box, False, False)
    if box.IsVoid():
        return np.array([[np.inf] * 3, [-np.inf] * 3])
    low, high = box.CornerMin(), box.CornerMax()
    return np.array([[low.X(), low.Y(), low.Z()], [high.X(), high.Y(), high.Z()]])


def check_shape(shape: Any, *, bodies: int | None = 1) -> list[str]:
    """What is wrong with a shape, as clauses; empty when it is a sound solid.

    The library's own check calls empty and inside-out shapes valid; so solids, volume and free edges are looked at too.

    Args:
        shape: What to check.
        bodies: How many solids it must hold; None for one or more.
    """
    from OCP.BRepCheck import BRepCheck_Analyzer

    if shape is None or shape.IsNull():
        return ["there is no shape"]
    found = solids_of(shape)
    problems = []
    if not found:
        problems.append("it holds no solid body")
    elif bodies is not None and len(found) != bodies:
        problems.append(f"it holds {len(found)} solid bodies instead of {bodies}")
    if not BRepCheck_Analyzer(shape).IsValid():
        problems.append("its faces and edges do not fit together (the validity check fails)")
    free = free_edges(shape)
    if free:
        problems.append(f"it is not closed ({free} free edge{'s' if free > 1 else ''})")
    elif found and not all(shape_volume(solid) > 0 for solid in found):
        problems.append("a body in it is inside out or has no volume")
    return problems


def free_edges(shape: Any) -> int:
    """Number of edges that bound fewer than two faces, seams and collapsed edges apart."""
    from OCP.BRep import BRep_Tool
    from OCP.collections import IndexedDataMap_TopoDS_Shape_List_TopoDS_Shape_TopTools_ShapeMapHasher as EdgeMap
    from OCP.TopAbs import TopAbs_ShapeEnum
    from OCP.TopExp import TopExp
    from OCP.TopoDS import TopoDS

    edges = EdgeMap()
    TopExp.MapShapesAndAncestors_s(shape, TopAbs_ShapeEnum.TopAbs_EDGE, TopAbs_ShapeEnum.TopAbs_FACE, edges)
    count = 0
    for index in range(1, edges.Extent() + 1):
        edge = TopoDS.Edge(edges.FindKey(index))
        if edges.FindFromIndex(index).Size() < 2 and not BRep_Tool.Degenerated_s(edge):
            count += 1
    return count


def tessellate(shape: Any, *, chord: float = 0.01, angle_deg: float = 10.0, name: str = "") -> Mesh:
    """Triangles of a shape.

    Args:
        shape: A solid or several.
        chord: Greatest distance between surface and triangles [mm].
        angle_deg: Greatest angle between neighbouring triangles of a curved face.
        name: Name of the mesh.

    Raises:
        GeometryFailure: The shape gave no triangles.
    """
    from OCP.BRepMesh import BRepMesh_IncrementalMesh
    from OCP.TopAbs import TopAbs_ShapeEnum
    from OCP.TopoDS import TopoDS

    BRepMesh_IncrementalMesh(shape, chord, False, float(np.radians(angle_deg)), False)
    pieces = [_face_corners(TopoDS.Face(face)) for face in _explored(shape, TopAbs_ShapeEnum.TopAbs_FACE)]
    corners = np.concatenate(pieces) if pieces else np.zeros((0, 3, 3))
    if not len(corners):
        raise GeometryFailure("the shape gave no triangles")
    return weld(corners, name)


def _face_corners(face: Any) -> Floats:
    from OCP.BRep import BRep_Tool
    from OCP.TopAbs import TopAbs_Orientation
    from OCP.TopLoc import TopLoc_Location

    location = TopLoc_Location()
    triangulation = BRep_Tool.Triangulation_s(face, location)
    if triangulation is None:
        return np.zeros((0, 3, 3))
    move = location.Transformation()
    points = [triangulation.Node(i).Transformed(move) for i in range(1, triangulation.NbNodes() + 1)]
    vertices = np.array([[p.X(), p.Y(), p.Z()] for p in points])
    faces = np.array([triangulation.Triangle(i).Get() for i in range(1, triangulation.NbTriangles() + 1)]) - 1
    turned = face.Orientation() == TopAbs_Orientation.TopAbs_REVERSED
    return np.asarray(vertices[faces[:, ::-1] if turned else faces], dtype=np.float64)


def _explored(shape: Any, kind: Any) -> list[Any]:
    from OCP.TopExp import TopExp_Explorer

    explorer = TopExp_Explorer(shape, kind)
    found = []
    while explorer.More():
        found.append(explorer.Current())
        explorer.Next()
    return found

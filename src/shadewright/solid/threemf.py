"""Reading 3MF: a gate on the package before anything is unpacked, then the strict library."""

from __future__ import annotations

import zipfile
import zlib
from collections.abc import Iterator
from pathlib import Path
from typing import Any, NoReturn
from xml.parsers import expat

import numpy as np

from shadewright.solid.gate import MOST_BYTES, MOST_TRIANGLES, Loaded, refuse
from shadewright.solid.mesh import Floats, Mesh

MOST_ENTRIES = 2000
MOST_INSTANCES = 5000
MOST_DEPTH = 32
GREATEST_RATIO = 100
"""Unpacked over packed size; coordinates as text pack 4 to 15 times (measured on 40 files of others)."""
RATIO_FROM_BYTES = 10_000_000

_EXPORT = "export it again"
_UNITS = ("um", "mm", "cm", "inch", "ft", "m")
"""Units in the order of the library's enumeration."""


def check_package(path: Path) -> int:
    """Look at a 3MF's directory before anything is unpacked.

    Returns:
        Unpacked size of the whole [bytes].

    Raises:
        ModelProblem: It is no package, damaged, a bomb, or names files outside itself.
    """
    try:
        with zipfile.ZipFile(path) as package:
            entries = package.infolist()
    except (zipfile.BadZipFile, OSError, ValueError, NotImplementedError):
        refuse("the package is damaged or cut short", "copy or export it again")
    if len(entries) > MOST_ENTRIES:
        refuse(f"the package holds {len(entries)} files, more than {MOST_ENTRIES}", _EXPORT)
    names = [entry.filename for entry in entries]
    for entry in entries:
        _check_entry(entry)
    if len({name.lower() for name in names}) != len(names):
        refuse("the package holds two files of the same name", _EXPORT)
    total, packed = sum(entry.file_size for entry in entries), path.stat().st_size
    if total > MOST_BYTES or (total > RATIO_FROM_BYTES and total > GREATEST_RATIO * packed):
        refuse(
            f"the package would unpack from {packed / 1e6:.3g} MB to {total / 1e6:.4g} MB",
            "export it again with a coarser tolerance; if it came from a stranger, delete it",
        )
    if not {"[content_types].xml", "_rels/.rels"} <= {name.lower() for name in names}:
        refuse("it is a zip package without a 3MF model in it", "unpack it and name the model file, or export it again")
    return total


def _check_entry(entry: zipfile.ZipInfo) -> None:
    name = entry.filename
    parts = name.replace("\\", "/").split("/")
    if ".." in parts or name.startswith(("/", "\\")) or ":" in parts[0]:
        refuse("the package names files outside itself", "do not use it; export the model again")
    if entry.flag_bits & 1:
        refuse("the package is encrypted", "export it without protection")
    if entry.compress_type not in (zipfile.ZIP_STORED, zipfile.ZIP_DEFLATED):
        refuse("the package uses a compression that 3MF does not allow", _EXPORT)


def check_xml(path: Path) -> None:
    """Parse every XML part for well-formedness, unbound prefixes and document types.

    Raises:
        ModelProblem: A part breaks one of these rules.
    """
    with zipfile.ZipFile(path) as package:
        for entry in package.infolist():
            try:
                _check_part(package, entry)
            except expat.ExpatError as error:
                refuse(f"its part {entry.filename} is not valid XML ({expat.errors.messages[error.code]})", _EXPORT)
            except (zipfile.BadZipFile, EOFError, OSError, zlib.error):
                refuse("the package is damaged or cut short", "copy or export it again")


def _check_part(package: zipfile.ZipFile, entry: zipfile.ZipInfo) -> None:
    def no_doctype(*_: object) -> None:
        refuse("it declares a document type, which 3MF forbids", "do not use it; export the model again")

    parser = expat.ParserCreate(namespace_separator=" ")
    parser.StartDoctypeDeclHandler = no_doctype
    with package.open(entry) as stream:
        head = stream.read(1 << 16)
        if not head.lstrip(b"\xef\xbb\xbf \t\r\n").startswith(b"<"):
            return
        parser.Parse(head, False)
        while block := stream.read(1 << 20):
            parser.Parse(block, False)
        parser.Parse(b"", True)


def read_3mf(path: Path) -> Loaded:
    """Read a 3MF package that passed ``check_package``; meant to run in a limited process.

    Returns:
        A mesh for each model object placed by the build, transformed; mirrored ones are turned right side out.

    Raises:
        ModelProblem: It breaks the standard, or holds no triangles, or too many.
    """
    import lib3mf

    check_xml(path)
    notes: list[str] = []
    try:
        model = _open_strict(path, notes)
        pieces = tuple(_pieces(model, notes))
        unit = _UNITS[int(model.GetUnit())]
    except lib3mf.ELib3MFException as error:
        _refuse_library(str(error))
    if not pieces:
        refuse("its build places no solid with triangles", "export a mesh of the solid")
    return Loaded(pieces=pieces, unit=unit, notes=tuple(notes))


def _refuse_library(message: str) -> NoReturn:
    said = message.partition(": ")[2].rstrip(". ") or message
    refuse(f"it breaks the 3MF standard ({said[:1].lower()}{said[1:]})", _EXPORT)


def _open_strict(path: Path, notes: list[str]) -> Any:
    import lib3mf

    def attempt(strict: bool) -> Any:
        model = lib3mf.get_wrapper().CreateModel()
        reader = model.QueryReader("3mf")
        reader.SetStrictModeActive(strict)
        reader.ReadFromFile(str(path))
        return model

    try:
        return attempt(True)
    except lib3mf.ELib3MFException as error:
        if "Unknown Model Metadata" not in str(error):
            raise
    notes.append("Metadata of unknown names was left aside, as the 3MF standard asks.")
    return attempt(False)


def _pieces(model: Any, notes: list[str]) -> Iterator[Mesh]:
    counts: dict[int, int] = {}
    instances: dict[int, int] = {}
    total = placed = 0
    items, aside = [], 0
    walker = model.GetBuildItems()
    while walker.MoveNext():
        item = walker.GetCurrent()
        thing = item.GetObjectResource()
        triangles, leaves = _weigh(thing, counts, instances, 0)
        total, placed = total + triangles, placed + leaves
        items.append((item, thing))
    if total > MOST_TRIANGLES or placed > MOST_INSTANCES:
        refuse(
            f"it places {placed} objects with {total} triangles in all; {MOST_INSTANCES} objects and "
            f"{MOST_TRIANGLES} triangles are taken",
            "export one part at a time, or with a coarser tolerance",
        )
    for item, thing in items:
        found = list(_expand(thing, _matrix(item.GetObjectTransform())))
        aside += not found
        yield from found
    if aside:
        notes.append(f"{aside} placed object(s) without solid triangles (supports, surfaces, lattices) were left out.")


def _weigh(thing: Any, counts: dict[int, int], instances: dict[int, int], depth: int) -> tuple[int, int]:
    key = int(thing.GetUniqueResourceID())
    if depth > MOST_DEPTH:
        refuse(f"its components are nested more than {MOST_DEPTH} deep", _EXPORT)
    if key not in counts:
        if thing.IsMeshObject():
            counts[key], instances[key] = int(thing.GetTriangleCount()), 1
        elif thing.IsComponentsObject():
            inner = [
                _weigh(thing.GetComponent(i).GetObjectResource(), counts, instances, depth + 1)
                for i in range(thing.GetComponentCount())
            ]
            counts[key], instances[key] = sum(c for c, _ in inner), sum(n for _, n in inner)
        else:
            counts[key], instances[key] = 0, 1
    return counts[key], instances[key]


def _matrix(transform: Any) -> Floats:
    """(4, 3) matrix of row vectors: points are (x, y, z, 1) @ matrix."""
    return np.array([list(row) for row in transform.Fields], dtype=np.float64)


def _chained(inner: Floats, outer: Floats) -> Floats:
    return np.vstack([inner[:3] @ outer[:3], inner[3] @ outer[:3] + outer[3]])


def _expand(thing: Any, matrix: Floats) -> Iterator[Mesh]:
    if thing.IsComponentsObject():
        for index in range(thing.GetComponentCount()):
            component = thing.GetComponent(index)
            inner = _matrix(component.GetTransform())
            yield from _expand(component.GetObjectResource(), _chained(inner, matrix))
        return
    model_type = 1
    if not thing.IsMeshObject() or int(thing.GetType()) != model_type or not thing.GetTriangleCount():
        return
    vertices = np.array([p.Coordinates[:] for p in thing.GetVertices()], dtype=np.float64)
    faces = np.array([t.Indices[:] for t in thing.GetTriangleIndices()], dtype=np.int32)
    if np.linalg.det(matrix[:3]) < 0:
        faces = np.ascontiguousarray(faces[:, ::-1])
    yield Mesh(vertices @ matrix[:3] + matrix[3], faces, thing.GetName())

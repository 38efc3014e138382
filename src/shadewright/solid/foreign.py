"""Reading OBJ, PLY, GLB and STEP: a cheap gate on the file, then a general library in a limited process."""

from __future__ import annotations

import io
import json
import re
import struct
from pathlib import Path
from typing import Any

import numpy as np

from shadewright.solid.census import weld
from shadewright.solid.gate import GREATEST_COORDINATE, MOST_TRIANGLES, Loaded, refuse
from shadewright.solid.mesh import Mesh

_EXPORT = "export it again"
_COARSER = "export it with a coarser tolerance"
_ELEMENT = re.compile(rb"^element\s+(\S+)\s+(\d+)\s*$", re.MULTILINE)
_FACE_LINE = re.compile(rb"^[ \t]*f[ \t]+(\S.*)$", re.MULTILINE)
_STEP_UNITS = {
    "millimetre": "mm",
    "millimeter": "mm",
    "mm": "mm",
    "micrometre": "um",
    "centimetre": "cm",
    "metre": "m",
    "meter": "m",
    "m": "m",
    "inch": "inch",
    "foot": "ft",
}


def check_obj(path: Path) -> tuple[bytes, tuple[str, ...]]:
    """An OBJ file as UTF-8 text, with notes on what its faces are.

    Raises:
        ModelProblem: It has no faces, too many, or is no text.
    """
    raw = path.read_bytes()
    if raw[:2] in (b"\xff\xfe", b"\xfe\xff"):
        raw = raw.decode("utf-16", "replace").encode()
    elif len(raw) > 1 and 0 in raw[:2]:
        raw = raw.decode("utf-16-le" if raw[1] == 0 else "utf-16-be", "replace").encode()
    if b"\0" in raw[:65536]:
        refuse("it is no OBJ text file", _EXPORT)
    raw = raw.replace(b"\\\r\n", b" ").replace(b"\\\n", b" ").replace(b"\r\n", b"\n").replace(b"\r", b"\n")
    corners = [len(line.split()) for line in _FACE_LINE.findall(raw)]
    if not corners:
        refuse("it holds no faces, only points or lines", "export a mesh of the solid")
    if sum(corners) - 2 * len(corners) > MOST_TRIANGLES:
        refuse(f"it holds more than {MOST_TRIANGLES} triangles", _COARSER)
    many = sum(count > 4 for count in corners)
    note = (f"{many} faces with more than four corners were cut into triangles.",) if many else ()
    return raw, note


def check_ply(path: Path, size: int) -> None:
    """Look at a PLY's header.

    Raises:
        ModelProblem: The header is broken, or promises no faces, too many, or more than the file can hold.
    """
    with path.open("rb") as file:
        head = file.read(65536)
    header, mark, _ = head.partition(b"end_header")
    counts = {name: int(number) for name, number in _ELEMENT.findall(header.replace(b"\r", b"\n"))}
    if not mark or not counts:
        refuse("its PLY header is damaged", _EXPORT)
    if counts.get(b"face", 0) == 0:
        refuse("it holds no faces, only points", "export a mesh of the solid")
    if counts[b"face"] > MOST_TRIANGLES:
        refuse(f"it promises {counts[b'face']} faces, more than the {MOST_TRIANGLES} that are taken", _COARSER)
    if 4 * sum(counts.values()) > size:
        refuse(f"it is cut short: {size} bytes cannot hold the {sum(counts.values())} elements promised", _EXPORT)


def check_glb(path: Path, size: int) -> None:
    """Look at a GLB's frame and its description.

    Raises:
        ModelProblem: It is cut short, points outside itself, or holds too many triangles.
    """
    with path.open("rb") as file:
        head = file.read(20)
        if len(head) < 20 or head[:4] != b"glTF":
            refuse("it is no GLB file", _EXPORT)
        _, version, length, first, kind = struct.unpack("<4sIIII", head)
        if version != 2:
            refuse(f"it is GLB version {version}", "export it as version 2")
        if length != size or first > size - 20 or kind != 0x4E4F534A:
            refuse(f"it is cut short or damaged: it promises {length} bytes and holds {size}", _EXPORT)
        raw = file.read(first)
    try:
        described = json.loads(raw)
        uris = [buffer.get("uri") for buffer in described.get("buffers", [])]
        counts = _glb_triangles(described)
    except (ValueError, KeyError, IndexError, TypeError, AttributeError, RecursionError):
        refuse("its description is damaged", _EXPORT)
    if any(uri is not None for uri in uris):
        refuse("it keeps its geometry in other files", "export one self-contained GLB")
    if not counts:
        refuse("it holds no triangles", "export a mesh of the solid")
    if counts > MOST_TRIANGLES:
        refuse(f"it holds more than {MOST_TRIANGLES} triangles", _COARSER)


def _glb_triangles(described: dict[str, Any]) -> int:
    accessors = described.get("accessors", [])
    meshes = []
    for mesh in described.get("meshes", []):
        indices = [p["indices"] if "indices" in p else p["attributes"]["POSITION"] for p in mesh["primitives"]]
        meshes.append(sum(int(accessors[i]["count"]) // 3 for i in indices))
    return sum(meshes[node["mesh"]] for node in described.get("nodes", []) if "mesh" in node)


def read_polygons(path: Path, kind: str) -> Loaded:
    """Read OBJ, PLY or GLB that passed its gate; meant to run in a limited process.

    glTF is in metres with y up by its standard (glTF 2.0, section 3.4); it is turned so that z is up.

    Raises:
        ModelProblem: The library found no triangles.
    """
    import trimesh

    notes: tuple[str, ...] = ()
    if kind == "obj":
        raw, notes = check_obj(path)
        stream = io.BytesIO(raw)
    else:
        stream = io.BytesIO(path.read_bytes())
    options: Any = {} if kind == "ply" else {"skip_materials": True}
    loaded = trimesh.load_scene(stream, file_type=kind, process=False, **options).to_mesh()
    vertices = np.asarray(loaded.vertices, dtype=np.float64)
    faces = np.asarray(loaded.faces, dtype=np.int64)
    if not len(faces):
        refuse("it holds no triangles", "export a mesh of the solid")
    if faces.min() < 0 or faces.max() >= len(vertices):
        refuse("its faces name points that do not exist", _EXPORT)
    if not np.isfinite(vertices).all():
        refuse("it holds coordinates that are not numbers (NaN or infinite)", _EXPORT)
    if kind == "glb":
        vertices = vertices[:, [0, 2, 1]] * [1.0, -1.0, 1.0]
        notes += ("glTF counts in metres with y up; the part was turned so that z is up.",)
    return Loaded(pieces=(weld(vertices[faces]),), unit="m" if kind == "glb" else None, notes=notes)


def check_step(path: Path) -> None:
    """Look at the ends of a STEP file.

    Raises:
        ModelProblem: It is no STEP file or cut short.
    """
    with path.open("rb") as file:
        head = file.read(4096)
        file.seek(max(0, path.stat().st_size - 65536))
        tail = file.read()
    if b"ISO-10303-21" not in head.upper():
        refuse("it is no STEP file", _EXPORT)
    if b"END-ISO-10303-21" not in tail.upper():
        refuse("the STEP file is cut short: its closing line is missing", "copy or export it again")


def read_step(path: Path, *, chord: float, strict: bool) -> Loaded:
    """Read STEP that passed its gate; meant to run in a limited process.

    Args:
        path: The file.
        chord: Greatest distance between surface and triangles [mm].
        strict: Refuse shapes that fail the validity check; otherwise note it and leave the verdict to the mesh.

    Raises:
        ModelProblem: It holds no sound solid, or its coordinates are absurd.
        MissingLibrary: STEP is not installed.
    """
    from shadewright.solid.find_exact import surfaces_of
    from shadewright.solid.step import check_shape, read_step_with_units, shape_bounds, solids_of, tessellate

    shape, units = read_step_with_units(path)
    solids = solids_of(shape)
    if not solids:
        refuse("the STEP file holds no solid body", "export a solid, not surfaces or lines")
    notes, sound = [], []
    for number, solid in enumerate(solids, start=1):
        bounds = shape_bounds(solid)
        if bounds[0, 0] > bounds[1, 0]:
            notes.append(f"Body {number} of {len(solids)} has no exact faces and was left out.")
            continue
        if not np.isfinite(bounds).all() or np.abs(bounds).max() > GREATEST_COORDINATE:
            refuse("its coordinates are absurd", "check the unit and export it again")
        problems = check_shape(solid)
        if problems and strict:
            refuse(f"body {number} of {len(solids)} is not sound: {problems[0]}", "mend it where it was modelled")
        notes += [f"Body {number}: {problem}." for problem in problems]
        sound.append(solid)
    if not sound:
        refuse("the STEP file holds no body with exact faces", "export a solid, not a mesh")
    named = {_STEP_UNITS.get(unit) for unit in units}
    if named - {"mm"}:
        notes.append(f"The file declares {' and '.join(units) or 'no unit'}; it was converted to mm.")
    meshes: list[Mesh] = [tessellate(solid, chord=chord) for solid in sound]
    surfaces = tuple(surface for solid in sound for surface in surfaces_of(solid))
    return Loaded(pieces=tuple(meshes), unit="mm", notes=tuple(notes), surfaces=surfaces)

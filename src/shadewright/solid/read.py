"""Reading a model file: a sound solid in millimetres, or one sentence why not."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from shadewright.errors import GeometryFailure, ModelProblem, Problem, UserError
from shadewright.solid import kernel
from shadewright.solid.census import join_rim, weld
from shadewright.solid.find_types import Surface
from shadewright.solid.foreign import check_glb, check_obj, check_ply, check_step
from shadewright.solid.gate import MOST_TRIANGLES, Loaded, in_mm, named_otherwise, open_checked, refuse, require_unit
from shadewright.solid.gate import sniff as sniff_format
from shadewright.solid.limited import read_limited
from shadewright.solid.mesh import Mesh
from shadewright.solid.repair import repaired
from shadewright.solid.stl import read_stl
from shadewright.solid.threemf import check_package

MOST_BODIES_COMPARED = 400
ROUNDING = 1e-6
"""Distance over the greatest coordinate within which points are one: eight times the step of single precision."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Model:
    """A model as read.

    Attributes:
        mesh: The whole, closed and right side out [mm]; named as in the file, else after it.
        bodies: Number of separate bodies; hollows inside them do not count.
        format: Key of the format it was read as: stl, 3mf, obj, ply, glb, step.
        unit: Unit its numbers were taken in.
        notes: What a user should know, as sentences.
        surfaces: Cylinders and cones of an exact model [mm]; none when it came as triangles.
    """

    mesh: Mesh
    bodies: int
    format: str
    unit: str
    notes: tuple[str, ...]
    surfaces: tuple[Surface, ...] = ()


def read_model(
    path: Path, *, unit: str | None = None, repair: bool = False, where: str = "", chord: float = 0.02
) -> Model:
    """Read STL, 3MF, OBJ, PLY, GLB or STEP.

    Args:
        path: The file; its content decides the format.
        unit: What its numbers are, a key of ``gate.MM_PER``; None to go by the file.
        repair: Mend what can be mended without guessing, and report it in the notes.
        where: Place to name in errors; the file itself when empty.
        chord: Greatest distance between curved STEP surfaces and their triangles [mm].

    Raises:
        UserError: With exactly one problem: the file cannot be read, is no sound solid, or leaves its unit in doubt.
    """
    place = where or str(path)
    try:
        require_unit(unit)
        size = open_checked(path)
        kind = sniff_format(path, size)
        loaded = in_mm(_load(path, kind, size, chord=chord, strict=not repair), unit)
        notes = named_otherwise(path, kind) + loaded.notes
        if sum(len(piece.faces) for piece in loaded.pieces) > MOST_TRIANGLES:
            refuse(f"it holds more than {MOST_TRIANGLES} triangles", "export it with a coarser tolerance")
        named = [piece.name for piece in loaded.pieces if piece.name]
        name = named[0] if len(named) == 1 == len(loaded.pieces) else path.stem
        mesh = side_by_side(loaded.pieces, name)
        if repair:
            mesh, mended = repaired(mesh)
            notes += mended
        mesh, bodies, remarks = judged(mesh)
    except UserError as error:
        raise _placed(error, place) from None
    except GeometryFailure as error:
        raise ModelProblem.of(f"its geometry defeats the mesh kernel ({error})", "export it again", place) from None
    return Model(
        mesh=mesh, bodies=bodies, format=kind, unit=loaded.unit or "mm", notes=notes + remarks, surfaces=loaded.surfaces
    )


def _placed(error: UserError, place: str) -> UserError:
    first = error.problems[0]
    return type(error)([Problem(what=first.what, cure=first.cure, where=place)])


def _load(path: Path, kind: str, size: int, *, chord: float, strict: bool) -> Loaded:
    if kind == "stl":
        return read_stl(path, size)
    options = {"chord": chord, "strict": strict} if kind == "step" else {}
    unpacked = size
    if kind == "3mf":
        unpacked = check_package(path)
    elif kind == "obj":
        check_obj(path)
    elif kind == "ply":
        check_ply(path, size)
    elif kind == "glb":
        check_glb(path, size)
    else:
        check_step(path)
    return read_limited(kind, path, unpacked, options)


def side_by_side(pieces: Sequence[Mesh], name: str = "") -> Mesh:
    """Several meshes as one, side by side, without touching their triangles."""
    starts = np.cumsum([0, *(len(piece.vertices) for piece in pieces[:-1])])
    faces = [piece.faces + start for piece, start in zip(pieces, starts, strict=True)]
    return Mesh(
        np.concatenate([piece.vertices for piece in pieces]),
        np.concatenate(faces).astype(np.int32),
        name,
    )


def judged(mesh: Mesh) -> tuple[Mesh, int, tuple[str, ...]]:
    """Hold a mesh against what a solid must be.

    Returns:
        The mesh (points equal within rounding joined where that was needed to close it), number of bodies, and remarks.

    Raises:
        ModelProblem: It is not a solid.
    """
    fault, surfaces = kernel.examined(mesh)
    rounding: tuple[str, ...] = ()
    if fault and "not closed" in fault:
        mesh, rounding = _rounding_undone(mesh)
        fault, surfaces = kernel.examined(mesh)
    if fault:
        refuse(fault, "mend it where it was modelled, or let it be repaired on reading")
    outer = [surface for surface in surfaces if surface.volume > 0]
    if len(surfaces) > MOST_BODIES_COMPARED:
        return (
            mesh,
            len(outer),
            (
                *rounding,
                f"With {len(surfaces)} surfaces it was not looked at for overlapping bodies.",
            ),
        )
    solids, astray = kernel.hollowed(surfaces)
    if astray:
        refuse(
            f"{len(astray)} of its {len(surfaces)} bodies are inside out",
            "mend it where it was modelled, or let it be repaired on reading",
        )
    return mesh, len(outer), rounding + _remarks(len(outer), len(surfaces) - len(outer), solids)


def _rounding_undone(mesh: Mesh) -> tuple[Mesh, tuple[str, ...]]:
    welded = weld(mesh.corners, mesh.name)
    within = ROUNDING * float(np.abs(welded.bounds).max())
    faces, joined = join_rim(welded, within)
    if not joined:
        return welded, ()
    note = f"{joined} points less than {within:.1g} mm apart (rounding in the file) were taken as one."
    return Mesh(welded.vertices, faces, mesh.name), (note,)


def _remarks(bodies: int, hollows: int, solids: list[Mesh]) -> tuple[str, ...]:
    remarks: tuple[str, ...] = ()
    if hollows:
        remarks += (f"It has {hollows} closed hollow{'s' if hollows > 1 else ''} inside.",)
    if bodies > 1:
        remarks += (f"It holds {bodies} separate bodies.",)
        apart = sum(solid.volume for solid in solids)
        together = kernel.union(solids).volume
        if apart - together > 1e-6 * apart:
            remarks += (
                f"Its bodies overlap: {apart - together:.4g} mm³ of {apart:.6g} mm³ are counted twice; "
                "repair joins them.",
            )
    return remarks

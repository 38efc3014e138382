"""What stands before every model reader: which format it is, how much is let in, and which unit its numbers are."""

from __future__ import annotations

from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any, NoReturn

import numpy as np

from shadewright.errors import FileProblem, ModelProblem, UnknownName
from shadewright.solid.find_types import Surface
from shadewright.solid.mesh import Mesh

MOST_TRIANGLES = 5_000_000
MOST_BYTES = 600_000_000
GREATEST_EXTENT = 2000.0
"""Largest part taken without being told its unit [mm]; also the largest that is taken at all from a bare file."""
GREATEST_COORDINATE = 10_000.0
LEAST_EXTENT = 3.0
SMALL_EXTENT = 12.0

MM_PER = {
    "mm": 1.0,
    "um": 0.001,
    "cm": 10.0,
    "m": 1000.0,
    "inch": 25.4,
    "ft": 304.8,
}
"""Millimetres per unit; the inch is exact by the international yard and pound agreement of 1959."""

FORMATS = {"stl": "STL", "3mf": "3MF", "obj": "OBJ", "ply": "PLY", "glb": "GLB", "step": "STEP"}
_SUFFIXES = {".stl": "stl", ".3mf": "3mf", ".obj": "obj", ".ply": "ply", ".glb": "glb", ".step": "step", ".stp": "step"}
_SUFFIXES |= {".p21": "step"}


@dataclass(frozen=True, slots=True, kw_only=True)
class Loaded:
    """What a reader found in a file, before it is judged.

    Attributes:
        pieces: One or more meshes in the file's own unit, in the order of the file.
        unit: Unit the file declares, a key of ``MM_PER``; None when it declares none.
        notes: What the reader left out or changed, as sentences.
        surfaces: Cylinders and cones of an exact model, in the file's own unit.
    """

    pieces: tuple[Mesh, ...]
    unit: str | None = None
    notes: tuple[str, ...] = ()
    surfaces: tuple[Surface, ...] = ()


def refuse(what: str, cure: str) -> NoReturn:
    """Raise a ``ModelProblem`` whose place is filled in later by ``read_model``."""
    raise ModelProblem.of(what, cure)


def open_checked(path: Path) -> int:
    """Size of a readable, non-empty file of bearable size [bytes].

    Raises:
        FileProblem: It is missing, a folder, unreadable, empty or too big.
    """
    try:
        if path.is_dir():
            raise FileProblem.of("this is a folder", "name a model file in it", str(path))
        size = path.stat().st_size
        with path.open("rb") as file:
            file.read(1)
    except FileNotFoundError:
        raise FileProblem.of("there is no such file", "check the name and the folder", str(path)) from None
    except OSError as error:
        if isinstance(error, FileProblem):
            raise
        reason = error.strerror or str(error)
        raise FileProblem.of(f"the file cannot be read ({reason})", "check its permissions", str(path)) from None
    if size == 0:
        raise FileProblem.of("the file is empty", "export the model again", str(path))
    if size > MOST_BYTES:
        raise FileProblem.of(
            f"the file holds {size / 1e6:.0f} MB, more than {MOST_BYTES / 1e6:.0f} MB",
            "export it with a coarser tolerance",
            str(path),
        )
    return size


def sniff(path: Path, size: int) -> str:
    """Which format a file really is, by its content first and its name last.

    Returns:
        A key of ``FORMATS``.

    Raises:
        ModelProblem: It is none of them.
    """
    with path.open("rb") as file:
        head = file.read(4096)
    text = head.lstrip(b"\xef\xbb\xbf \t\r\n").lower()
    known = _by_signature(head, text, size)
    if known:
        return known
    if text.startswith((b"<!doctype html", b"<html", b"<head", b"<script")):
        refuse("it is a web page, not a model", "download the model file itself (the raw file) again")
    named = _SUFFIXES.get(path.suffix.lower())
    if named:
        return named
    readable = ", ".join(FORMATS.values())
    refuse(f'"{path.name}" is in no format that can be read', f"export it as one of {readable}")


def _by_signature(head: bytes, text: bytes, size: int) -> str | None:
    signatures = {
        "3mf": head.startswith(b"PK"),
        "step": text.startswith(b"iso-10303-21"),
        "glb": head.startswith(b"glTF"),
        "ply": head[:4] in (b"ply\n", b"ply\r"),
        "stl": (size >= 84 and size == 84 + 50 * int.from_bytes(head[80:84], "little"))
        or (text.startswith(b"solid") and (b"facet" in text or b"endsolid" in text)),
    }
    return next((kind for kind, fits in signatures.items() if fits), None)


def named_otherwise(path: Path, kind: str) -> tuple[str, ...]:
    """A note when a file's name promises another format than its content."""
    if _SUFFIXES.get(path.suffix.lower()) == kind:
        return ()
    return (f'The file is named "{path.suffix}" but holds {FORMATS[kind]}; it was read as {FORMATS[kind]}.',)


def require_unit(unit: str | None) -> None:
    """Refuse a unit that is not known.

    Raises:
        UnknownName: ``unit`` is no key of ``MM_PER``.
    """
    if unit is not None and unit not in MM_PER:
        raise UnknownName.among("unit", unit, list(MM_PER))


def in_mm(loaded: Loaded, unit: str | None) -> Loaded:
    """Scale what was read to millimetres.

    Args:
        loaded: As the reader gave it.
        unit: What the user says the numbers are; None to go by the file, or by mm where it declares nothing.

    Returns:
        The same in mm; ``unit`` says what it was.

    Raises:
        ModelProblem: Coordinates are not finite or absurd, or the size leaves the unit in doubt.
    """
    if not loaded.pieces or not any(len(piece.faces) for piece in loaded.pieces):
        refuse("it holds no triangles", "export a solid body")
    points = np.concatenate([piece.vertices for piece in loaded.pieces])
    if not np.isfinite(points).all():
        refuse("it holds coordinates that are not numbers (NaN or infinite)", "export it again")
    stated = unit or loaded.unit or "mm"
    scale = MM_PER[stated]
    low, high = points.min(axis=0) * scale, points.max(axis=0) * scale
    extent = float((high - low).max())
    farthest = float(max(np.abs(low).max(), np.abs(high).max()))
    if farthest > GREATEST_COORDINATE:
        refuse(
            f"its coordinates reach {farthest:.4g} mm, beyond anything a printer makes",
            "state the unit it was drawn in, or move it to the origin and export it again",
        )
    note = _size_note(extent, (high - low), loaded.unit, unit)
    pieces = tuple(replace(piece, vertices=piece.vertices * scale) for piece in loaded.pieces)
    surfaces = tuple(surface.scaled(scale) for surface in loaded.surfaces)
    return Loaded(pieces=pieces, unit=stated, notes=loaded.notes + note, surfaces=surfaces)


def _size_note(extent: float, size: Any, declared: str | None, unit: str | None) -> tuple[str, ...]:
    measures = " × ".join(f"{side:.4g}" for side in size)
    if unit and declared and unit != declared:
        return (f"The file declares {declared}; its numbers were taken as {unit} because you said so.",)
    if unit:
        return ()
    if declared:
        if LEAST_EXTENT <= extent <= GREATEST_EXTENT:
            return ()
        return (f"The file declares {declared}, which makes the part {measures} mm; state its unit if that is wrong.",)
    if not LEAST_EXTENT <= extent <= GREATEST_EXTENT:
        likely = _likely_units(extent)
        offer = " or ".join(f"{name} ({extent * MM_PER[name]:.4g} mm)" for name in likely)
        refuse(
            f"taken as mm the whole part measures {measures} mm, and the file does not say its unit",
            f"state the unit{f', such as {offer},' if offer else ' it was drawn in,'} or mm if the size is right",
        )
    if extent < SMALL_EXTENT:
        return (
            f"The file does not say its unit; taken as mm the part measures {measures} mm, "
            f"as inches {extent * 25.4:.4g} mm: state the unit if mm is wrong.",
        )
    return ()


def _likely_units(extent: float) -> list[str]:
    return [name for name in ("inch", "cm", "m", "um") if 10 <= extent * MM_PER[name] <= 400]

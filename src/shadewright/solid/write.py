"""Writing meshes: binary STL, and 3MF with unit, names, several objects and the same bytes every time."""

from __future__ import annotations

import io
import re
import zipfile
from collections.abc import Mapping, Sequence
from pathlib import Path
from xml.sax.saxutils import escape, quoteattr

import numpy as np

from shadewright.errors import GeometryFailure, ValueProblem
from shadewright.files import write_whole
from shadewright.solid.mesh import Floats, Mesh

KNOWN_METADATA = (
    "Title",
    "Designer",
    "Description",
    "Copyright",
    "LicenseTerms",
    "Rating",
    "CreationDate",
    "ModificationDate",
    "Application",
)
"""Names the 3MF core specification allows without a namespace (section 4.1.1)."""

_CORE = "http://schemas.microsoft.com/3dmanufacturing/core/2015/02"
_CONTENT_TYPES = (
    '<?xml version="1.0" encoding="UTF-8"?>\n'
    '<Types xmlns="http://schemas.openxmlformats.org/package/2006/content-types">\n'
    ' <Default Extension="rels" ContentType="application/vnd.openxmlformats-package.relationships+xml"/>\n'
    ' <Default Extension="model" ContentType="application/vnd.ms-package.3dmanufacturing-3dmodel+xml"/>\n'
    "</Types>\n"
)
_RELATIONS = (
    '<?xml version="1.0" encoding="UTF-8"?>\n'
    '<Relationships xmlns="http://schemas.openxmlformats.org/package/2006/relationships">\n'
    ' <Relationship Id="rel0" Target="/3D/3dmodel.model" '
    'Type="http://schemas.microsoft.com/3dmanufacturing/2013/01/3dmodel"/>\n'
    "</Relationships>\n"
)
_FORBIDDEN_IN_XML = re.compile("[^\t\n\r\u0020-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]")
_FACET = np.dtype([("normal", "<f4", 3), ("corners", "<f4", (3, 3)), ("spare", "<u2")])


def write_stl(path: Path, mesh: Mesh) -> Path:
    """Write a mesh as binary STL; the file carries no unit, its numbers are mm.

    Raises:
        FileProblem: The file cannot be written.
        GeometryFailure: The mesh is empty or not finite.
    """
    _require_writable(mesh)
    corners: Floats = mesh.corners
    normals = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
    lengths = np.linalg.norm(normals, axis=1, keepdims=True)
    facets = np.zeros(len(corners), _FACET)
    facets["normal"] = np.divide(normals, lengths, out=np.zeros_like(normals), where=lengths > 0)
    facets["corners"] = corners
    label = f"mm {mesh.name}".encode("ascii", "replace")[:80].ljust(80)
    return write_whole(path, label + np.uint32(len(corners)).tobytes() + facets.tobytes())


def write_3mf(
    path: Path, meshes: Sequence[Mesh], *, title: str = "", metadata: Mapping[str, str] | None = None
) -> Path:
    """Write meshes as one 3MF, an object and a build item each, in millimetres.

    Args:
        path: Where the file shall stand.
        meshes: One or more; ``Mesh.name`` becomes the object's name.
        title: Title of the whole; empty for none.
        metadata: More entries, of the names in ``KNOWN_METADATA``.

    Returns:
        ``path``. The same input gives the same bytes.

    Raises:
        ValueProblem: No mesh, or a metadata name the format does not know.
        FileProblem: The file cannot be written.
        GeometryFailure: A mesh is empty or not finite.
    """
    if not meshes:
        raise ValueProblem.of("there is nothing to write", "give at least one solid", path.name)
    entries = ({"Title": title} if title else {}) | dict(metadata or {})
    for name in entries:
        if name not in KNOWN_METADATA:
            raise ValueProblem.of(f'3MF knows no metadata "{name}"', f"use one of {', '.join(KNOWN_METADATA)}")
    for mesh in meshes:
        _require_writable(mesh)
    buffer = io.BytesIO()
    with zipfile.ZipFile(buffer, "w", zipfile.ZIP_DEFLATED, compresslevel=6) as package:
        for inner, text in (
            ("[Content_Types].xml", _CONTENT_TYPES),
            ("_rels/.rels", _RELATIONS),
            ("3D/3dmodel.model", _model_xml(meshes, entries)),
        ):
            package.writestr(_dated(inner), text.encode())
    return write_whole(path, buffer.getvalue())


def _require_writable(mesh: Mesh) -> None:
    if not len(mesh.faces) or not np.isfinite(mesh.vertices).all():
        raise GeometryFailure(f"{mesh.name or 'a mesh'} is empty or not finite and was not written")


def _dated(inner: str) -> zipfile.ZipInfo:
    info = zipfile.ZipInfo(inner, date_time=(1980, 1, 1, 0, 0, 0))
    info.compress_type = zipfile.ZIP_DEFLATED
    info.external_attr = 0o644 << 16
    return info


def _clean(text: str) -> str:
    return _FORBIDDEN_IN_XML.sub("", text)


def _model_xml(meshes: Sequence[Mesh], entries: Mapping[str, str]) -> str:
    head = [f'<?xml version="1.0" encoding="UTF-8"?>\n<model unit="millimeter" xml:lang="en" xmlns="{_CORE}">\n']
    head += [f'<metadata name="{name}">{escape(_clean(value))}</metadata>\n' for name, value in entries.items()]
    objects = [_object_xml(number, mesh) for number, mesh in enumerate(meshes, start=1)]
    items = [f'<item objectid="{number}"/>\n' for number in range(1, len(meshes) + 1)]
    return "".join([*head, "<resources>\n", *objects, "</resources>\n<build>\n", *items, "</build>\n</model>\n"])


def _object_xml(number: int, mesh: Mesh) -> str:
    name = f" name={quoteattr(_clean(mesh.name))}" if mesh.name else ""
    vertices = '<vertex x="%.9g" y="%.9g" z="%.9g"/>\n' * len(mesh.vertices)
    triangles = '<triangle v1="%d" v2="%d" v3="%d"/>\n' * len(mesh.faces)
    return (
        f'<object id="{number}" type="model"{name}>\n<mesh>\n<vertices>\n'
        + vertices % tuple((mesh.vertices + 0.0).ravel().tolist())
        + "</vertices>\n<triangles>\n"
        + triangles % tuple(mesh.faces.ravel().tolist())
        + "</triangles>\n</mesh>\n</object>\n"
    )

"""All pictures and figures of a study, made once and used by page and sheet."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from shadewright.layers.report import Patch
from shadewright.paper import wording
from shadewright.paper.picture import FROM_ABOVE, FROM_BELOW, Picture, part_camera, render_part
from shadewright.paper.shading import corner_normals
from shadewright.progress import SILENT, Progress
from shadewright.study.result import PartStudy, Study

MOST_PINS = 9


@dataclass(frozen=True, slots=True, kw_only=True)
class PartDrawing:
    """Both views of one part, with the same numbered spots."""

    above: Picture
    below: Picture


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Drawings:
    """Pictures of a study, by name of the part."""

    parts: Mapping[str, PartDrawing]


def draw_study(study: Study, progress: Progress = SILENT, *, width: int = 960, height: int = 720) -> Drawings:
    """Draw every part from above and from below; takes one to five seconds a part."""
    step = progress.start("drawing parts", len(study.parts))
    parts = {}
    for part in study.parts:
        parts[part.name] = draw_part(part, width=width, height=height)
        step()
    return Drawings(parts=parts)


def draw_part(part: PartStudy, *, width: int = 960, height: int = 720) -> PartDrawing:
    """Draw one part from above and from below, both to the same scale."""
    normals = corner_normals(part.mesh)
    scale = min(part_camera(part.mesh, view, width, height).scale for view in (FROM_ABOVE, FROM_BELOW))
    above, below = (
        render_part(
            part.mesh,
            part.report.trouble_by_face,
            view=view,
            spots=[(str(number), patch.x, patch.y, patch.z_low) for number, patch in numbered(part)],
            width=width,
            height=height,
            normals=normals,
            largest_scale=scale,
        )
        for view in (FROM_ABOVE, FROM_BELOW)
    )
    return PartDrawing(above=above, below=below)


def numbered(part: PartStudy) -> list[tuple[int, Patch]]:
    """The worst patches with the numbers they carry in tables and pictures."""
    return list(enumerate(wording.worst_patches(part)[:MOST_PINS], 1))

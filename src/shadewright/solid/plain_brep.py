"""Plain mating solids as boundary representations, from the same recipes as their meshes."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from shadewright.errors import GeometryFailure
from shadewright.solid import brep
from shadewright.solid.plain_features import Feature, Recipe, Stacked, Turned, recipe
from shadewright.solid.step import check_shape, quiet, require_step, write_step


def plain_shape(feature: Feature) -> Any:
    """A plain feature as a shape of the modelling kernel, checked.

    Raises:
        ValueProblem: Sizes that cannot be.
        MissingLibrary: STEP is not installed.
        GeometryFailure: The shape failed its own check.
    """
    return shape_from(recipe(feature))


def shape_from(made: Recipe) -> Any:
    """A recipe as a shape of the modelling kernel, checked.

    Raises:
        MissingLibrary: STEP is not installed.
        GeometryFailure: The shape failed its own check.
    """
    require_step()
    quiet()
    shape = brep.fused(*map(_piece, made.bodies))
    shape = brep.fused(brep.cut(shape, *map(_piece, made.cutters)), *map(_piece, made.kept))
    wrong = check_shape(shape)
    if wrong:
        raise GeometryFailure(f"{made.name} came out wrong: {'; '.join(wrong)}")
    return shape


def write_plain_step(path: Path, feature: Feature) -> Path:
    """Write a plain feature as STEP.

    Raises:
        ValueProblem: Sizes that cannot be.
        MissingLibrary: STEP is not installed.
        GeometryFailure: The shape failed its own check.
        FileProblem: The file cannot be written.
    """
    return write_step(path, plain_shape(feature), recipe(feature).name)


def _piece(piece: Turned | Stacked) -> Any:
    return brep.turned(piece.contour) if isinstance(piece, Turned) else brep.stacked(piece.levels)

"""Shapes for the draw check's tests, and their copies elsewhere and turned; invented."""

from __future__ import annotations

from pathlib import Path

import numpy as np

from shadewright.solid import kernel
from shadewright.solid.find import find_features
from shadewright.solid.find_types import Features
from shadewright.solid.mesh import Mesh
from shadewright.solid.read import read_model


def block(sides: int = 48, fit: kernel.Fit = "inside") -> Mesh:
    """A block 40 x 30 x 20 on the bed with a bore of 12 upright through (5, 3) and one of 6 lying along x at z = 14."""
    upright = kernel.cylinder(24, 6.0, segments=sides, fit=fit).moved(5, 3, -2)
    lying = kernel.cylinder(50, 3.0, segments=sides, fit=fit)
    lying = Mesh(np.column_stack([lying.vertices[:, 2], lying.vertices[:, 1], -lying.vertices[:, 0]]), lying.faces)
    return kernel.difference(kernel.box((40, 30, 20), (0, 0, 10)), upright, lying.moved(-25, -9, 14))


def turned(mesh: Mesh, axis: tuple[float, float, float], degrees: float, shift: tuple[float, float, float]) -> Mesh:
    """The mesh turned about an axis through the origin, then shifted."""
    return Mesh(mesh.vertices @ rotation(axis, degrees).T + np.array(shift), mesh.faces, mesh.name)


def rotation(axis: tuple[float, float, float], degrees: float) -> np.ndarray:
    """(3, 3) rotation matrix by Rodrigues' formula."""
    x, y, z = np.array(axis) / np.linalg.norm(axis)
    cross = np.array([[0, -z, y], [z, 0, -x], [-y, x, 0]])
    angle = np.radians(degrees)
    return np.eye(3) + np.sin(angle) * cross + (1 - np.cos(angle)) * cross @ cross


def found_in(path: Path, unit: str | None = None) -> Features:
    """What a model file holds."""
    model = read_model(path, unit=unit)
    return find_features(model.mesh, model.surfaces)

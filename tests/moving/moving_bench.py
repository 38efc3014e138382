"""Sides, plastics and placing that the tests of moving joints share."""

from __future__ import annotations

import os

import numpy as np
import pytest

from shadewright.catalog.lookup import plastic
from shadewright.fit.defaults import built_in_habits
from shadewright.fit.joint import Side
from shadewright.fit.moving import allowed_strain
from shadewright.printing import AsPrinted, Spread
from shadewright.solid.mesh import Mesh

PLA = built_in_habits(0.4, "PLA")
PETG = built_in_habits(0.4, "PETG")


def allowed(name: str, *, across_layers: bool = False) -> Spread:
    """Strain that the catalogue's plastic bears once [-]."""
    card = plastic(name).snap_strain_percent
    assert card is not None
    return allowed_strain(card, across_layers=across_layers)


def printed(name: str, habits: AsPrinted = PLA) -> Side:
    return Side(name=name, habits=habits)


def steepest_overhang(mesh: Mesh) -> float:
    """Steepest angle from the vertical of any face that looks down and does not lie on the bed [degrees]."""
    vectors = mesh.face_vectors
    areas = np.linalg.norm(vectors, axis=1)
    real = areas > 1e-7
    down = -vectors[real, 2] / areas[real]
    on_bed = mesh.corners[real][:, :, 2].max(axis=1) < mesh.bounds[0, 2] + 1e-6
    return float(np.degrees(np.arcsin(np.clip(down[~on_bed].max(), 0.0, 1.0))))


def turned(mesh: Mesh, degrees: float) -> Mesh:
    """The mesh turned about z, counter-clockwise seen from above."""
    angle = np.radians(degrees)
    turn = np.array([[np.cos(angle), -np.sin(angle), 0], [np.sin(angle), np.cos(angle), 0], [0, 0, 1]])
    return Mesh(mesh.vertices @ turn.T, mesh.faces, mesh.name)


def upside_down(mesh: Mesh) -> Mesh:
    """The mesh turned by half a turn about x."""
    return Mesh(mesh.vertices * [1.0, -1.0, -1.0], mesh.faces, mesh.name)


def need_step() -> None:
    """Skip without the STEP library, unless it is demanded."""
    if os.environ.get("SHADEWRIGHT_REQUIRE_STEP") != "1":
        pytest.importorskip("OCP")

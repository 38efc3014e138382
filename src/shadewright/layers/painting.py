"""Which faces of a part carry trouble, for pictures."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import numpy.typing as npt
import shapely

from shadewright.findings import Verdict
from shadewright.layers.cutting import Layers, Region
from shadewright.layers.footing import Standing
from shadewright.layers.overhang import ANGLE_SLACK, DOUBTFUL_ANGLE, Spot
from shadewright.layers.report import Trouble
from shadewright.layers.unsupported import SOUND_ANGLE
from shadewright.solid.mesh import Floats, Mesh

LEVELS = {Verdict.DOUBTFUL: 1, Verdict.FAILING: 2}
BESIDE = 0.1
"""Faces this near to a patch in plan belong to it [mm]."""
FOOT_SHOWN = 3.0
"""Feet in trouble are painted where their faces begin below this height [mm]."""
SMALL_FACE = 2.0
"""Faces with no edge longer than this are tried at their middle only [mm]."""

_MIDDLE = np.array([[1, 1, 1]]) / 3
_SPOTS = np.array([[1, 1, 1], [4, 1, 1], [1, 4, 1], [1, 1, 4], [9, 9, 2], [9, 2, 9], [2, 9, 9]], dtype=np.float64)
_SPREAD = _SPOTS / _SPOTS.sum(axis=1, keepdims=True)


class _Faces:
    """Some faces of a mesh, to be found by plan region and height."""

    def __init__(self, mesh: Mesh, faces: npt.NDArray[np.int64]) -> None:
        corners = mesh.corners[faces]
        longest = np.linalg.norm(np.roll(corners, -1, axis=1) - corners, axis=2).max(axis=1)
        spots, owner = [], []
        for chosen, weights in ((longest <= SMALL_FACE, _MIDDLE), (longest > SMALL_FACE, _SPREAD)):
            spots.append(np.einsum("sj,fjk->fsk", weights, corners[chosen][:, :, :2]).reshape(-1, 2))
            owner.append(np.repeat(np.flatnonzero(chosen), len(weights)))
        self._faces, self._owner = faces, np.concatenate(owner)
        self._low, self._high = corners[:, :, 2].min(axis=1), corners[:, :, 2].max(axis=1)
        self._tree = shapely.STRtree(shapely.points(np.concatenate(spots)))

    def under(self, region: Region, z_low: float, z_high: float) -> npt.NDArray[np.int64]:
        """Faces with a spot in ``region`` that reach into the heights given."""
        own: npt.NDArray[np.int64] = np.unique(
            self._owner[self._tree.query(region, predicate="dwithin", distance=BESIDE)]
        )
        found: npt.NDArray[np.int64] = self._faces[own[(self._high[own] >= z_low) & (self._low[own] <= z_high)]]
        return found


def trouble_by_face(
    mesh: Mesh, layers: Layers, spots: Sequence[Spot], standing: Sequence[Standing]
) -> npt.NDArray[np.uint8]:
    """Mark every face: 0 no trouble, 1 doubtful, 2 failing; (m,)."""
    marks = np.zeros(len(mesh.faces), dtype=np.uint8)
    lean = _lean(mesh)
    hanging = [spot for spot in spots if spot.verdict in LEVELS and spot.trouble is not Trouble.THIN]
    thin = [spot for spot in spots if spot.verdict in LEVELS and spot.trouble is Trouble.THIN]
    loose = [piece for piece in standing if piece.verdict in LEVELS]
    if hanging:
        under = _Faces(mesh, np.flatnonzero(lean > SOUND_ANGLE - ANGLE_SLACK))
        for spot in hanging:
            below, top = _heights(spot, layers)
            found = under.under(spot.region, below, top)
            _mark(marks, found, _hanging_levels(spot, lean[found]))
    if thin or loose:
        upright = _Faces(mesh, np.flatnonzero(np.abs(lean) < 60))
        for spot in thin:
            found = upright.under(spot.region, *_heights(spot, layers))
            _mark(marks, found, np.full(len(found), LEVELS[spot.verdict]))
        for piece in loose:
            found = upright.under(piece.feet, 0.0, FOOT_SHOWN)
            _mark(marks, found, np.full(len(found), LEVELS[piece.verdict]))
    return marks


def _hanging_levels(spot: Spot, lean: Floats) -> npt.NDArray[np.int64]:
    """An overhang's gentler faces are doubtful even where its steeper ones fail."""
    levels = np.full(len(lean), LEVELS[spot.verdict])
    if spot.trouble is Trouble.OVERHANG:
        levels[lean <= DOUBTFUL_ANGLE + ANGLE_SLACK] = 1
    return levels


def _mark(marks: npt.NDArray[np.uint8], faces: npt.NDArray[np.int64], levels: npt.NDArray[np.int64]) -> None:
    marks[faces] = np.maximum(marks[faces], levels)


def _heights(spot: Spot, layers: Layers) -> tuple[float, float]:
    below = float(layers.heights[max(spot.low - 1, 0)])
    return below, float(layers.heights[spot.high])


def _lean(mesh: Mesh) -> Floats:
    """Degrees by which every face looks down: 0 upright, 90 flat underside, -90 flat top; (m,)."""
    vectors = mesh.face_vectors
    sizes = np.linalg.norm(vectors, axis=1)
    sizes[sizes == 0] = np.inf
    return np.asarray(np.degrees(np.arcsin(np.clip(-vectors[:, 2] / sizes, -1, 1))), dtype=np.float64)

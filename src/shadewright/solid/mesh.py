"""A triangle mesh: plain arrays and the few measures everyone needs."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

Floats = npt.NDArray[np.float64]
Ints = npt.NDArray[np.int32]


@dataclass(frozen=True, slots=True, eq=False)
class Mesh:
    """Triangles in mm, counter-clockwise seen from outside; z is up from the bed.

    Attributes:
        vertices: (n, 3) float64 [mm].
        faces: (m, 3) int32, rows index ``vertices``.
        name: What the part is called in files that carry names.
    """

    vertices: Floats
    faces: Ints
    name: str = ""

    @property
    def corners(self) -> Floats:
        """(m, 3, 3) corner positions of every triangle [mm]."""
        return self.vertices[self.faces]

    @property
    def bounds(self) -> Floats:
        """(2, 3) least and greatest coordinates [mm]."""
        return np.array([self.vertices.min(axis=0), self.vertices.max(axis=0)])

    @property
    def size(self) -> Floats:
        """(3,) extents of the box around it [mm]."""
        low, high = self.bounds
        return np.asarray(high - low, dtype=np.float64)

    @property
    def volume(self) -> float:
        """Signed volume by the divergence theorem [mm³]; negative when the mesh is inside out."""
        a, b, c = (self.corners - self.vertices.mean(axis=0)).transpose(1, 0, 2)
        return float(np.einsum("ij,ij->i", a, np.cross(b, c)).sum() / 6)

    @property
    def face_vectors(self) -> Floats:
        """(m, 3) outward normals whose length is the triangle's area [mm²]."""
        a, b, c = self.corners.transpose(1, 0, 2)
        return np.asarray(np.cross(b - a, c - a) / 2, dtype=np.float64)

    @property
    def area(self) -> float:
        """Surface area [mm²]."""
        return float(np.linalg.norm(self.face_vectors, axis=1).sum())

    def moved(self, x: float = 0.0, y: float = 0.0, z: float = 0.0) -> Mesh:
        """The same mesh shifted by (x, y, z) [mm]."""
        return Mesh(self.vertices + np.array([x, y, z]), self.faces, self.name)

    def on_bed(self) -> Mesh:
        """The same mesh lowered or raised so that its lowest point is at z = 0."""
        return self.moved(z=-float(self.vertices[:, 2].min()))

    def named(self, name: str) -> Mesh:
        """The same mesh under another name."""
        return Mesh(self.vertices, self.faces, name)

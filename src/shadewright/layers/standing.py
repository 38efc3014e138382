"""Which way up a part is printed."""

from __future__ import annotations

from typing import Literal, get_args

import numpy as np

from shadewright.errors import ValueProblem
from shadewright.solid.mesh import Mesh

Up = Literal["+x", "-x", "+y", "-y", "+z", "-z"]

_TURNS: dict[str, tuple[tuple[int, int, int], ...]] = {
    "+z": ((1, 0, 0), (0, 1, 0), (0, 0, 1)),
    "-z": ((1, 0, 0), (0, -1, 0), (0, 0, -1)),
    "+x": ((0, 0, -1), (0, 1, 0), (1, 0, 0)),
    "-x": ((0, 0, 1), (0, 1, 0), (-1, 0, 0)),
    "+y": ((1, 0, 0), (0, 0, -1), (0, 1, 0)),
    "-y": ((1, 0, 0), (0, 0, 1), (0, -1, 0)),
}


def stand(mesh: Mesh, up: str = "+z") -> Mesh:
    """Turn a model so that its axis ``up`` points away from the bed, and set it down at z = 0.

    The turn is by quarter or half turns about x or y, so every coordinate stays exact; x and y are not centred.

    Raises:
        ValueProblem: ``up`` is none of +x -x +y -y +z -z.
    """
    if up not in _TURNS:
        raise ValueProblem.of(f'"{up}" is no direction', f"write one of {', '.join(get_args(Up))}", "up")
    turned = mesh.vertices @ np.array(_TURNS[up], dtype=np.float64).T
    return Mesh(turned, mesh.faces, mesh.name).on_bed()

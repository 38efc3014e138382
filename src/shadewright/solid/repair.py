"""Mending meshes where there is one way to do it, and saying what was done; refusing where it would be a guess."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np

from shadewright.errors import GeometryFailure
from shadewright.solid import kernel
from shadewright.solid.census import edge_keys, join_rim, open_edges, weld
from shadewright.solid.gate import refuse
from shadewright.solid.mesh import Floats, Ints, Mesh

JOIN_WITHIN = 0.01
"""Greatest distance over which open edges are drawn together [mm]; far below what a printer resolves."""
GREATEST_HOLE = 0.05
"""Largest share of the surface that holes may take: beyond it, closing them is a guess (common practice, no source)."""
GREATEST_DOUBT = 0.02
"""Largest share of the volume that may hang on how a hole that is not flat is closed."""
LONGEST_LOOP = 2000

_BY_HAND = "mend it where it was modelled"


@dataclass(slots=True)
class _Work:
    vertices: Floats
    faces: Ints
    done: list[str] = field(default_factory=list)

    def tell(self, count: int, one: str, many: str) -> None:
        if count:
            self.done.append(one if count == 1 else many.format(count))


def repaired(mesh: Mesh) -> tuple[Mesh, tuple[str, ...]]:
    """Mend a mesh, step by step, only as far as needed.

    Joins points, drops collapsed and repeated triangles, winds neighbours alike, closes small holes, turns inside-out
    bodies, joins overlapping ones.

    Args:
        mesh: Finite, with faces that name existing points [mm].

    Returns:
        A mesh the kernel accepts, and what was done with volumes before and after; the mesh itself and no note where
        nothing was wrong.

    Raises:
        ModelProblem: It cannot be mended without guessing.
    """
    fault = kernel.is_solid(mesh)
    closed = fault is None or fault.startswith("it is inside out")
    before = f"volume {mesh.volume:.6g} mm³" if closed else f"no volume, as {fault}"
    work = _Work(mesh.vertices, mesh.faces)
    if not closed:
        welded = weld(mesh.corners)
        work.tell(len(mesh.faces) - len(welded.faces), "dropped 1 collapsed triangle", "dropped {} collapsed triangles")
        work.vertices, work.faces = welded.vertices, welded.faces
        for step in (_join_near, _drop_repeated, _wind_alike, _close_holes):
            step(work)
    mended = _settle_bodies(Mesh(work.vertices, work.faces, mesh.name), work)
    if not work.done:
        return mesh, ()
    report = f"Repaired: {', '.join(work.done)}; before: {before}; after: volume {mended.volume:.6g} mm³."
    return mended, (report,)


def _join_near(work: _Work) -> None:
    extent = float(np.ptp(work.vertices, axis=0).max())
    faces, joined = join_rim(Mesh(work.vertices, work.faces), min(JOIN_WITHIN, 1e-4 * extent))
    work.tell(joined, "joined 1 point to its neighbour", "joined {} points to their neighbours")
    work.tell(len(work.faces) - len(faces), "dropped 1 sliver", "dropped {} slivers")
    work.faces = faces


def _drop_repeated(work: _Work) -> None:
    ordered = np.sort(work.faces, axis=1)
    _, first, inverse = np.unique(ordered, axis=0, return_index=True, return_inverse=True)
    if len(first) == len(work.faces):
        return
    turns = (np.argmin(work.faces, axis=1)[:, None] + np.arange(3)) % 3
    rolled = np.take_along_axis(work.faces, turns, axis=1)
    sign = np.where(rolled[:, 1] < rolled[:, 2], 1, -1)
    inverse = inverse.ravel()
    balance = np.bincount(inverse, weights=sign)
    wanted = np.sign(balance)[inverse]
    candidates = np.flatnonzero((sign == wanted) & (wanted != 0))
    _, kept = np.unique(inverse[candidates], return_index=True)
    faces = work.faces[np.sort(candidates[kept])]
    work.tell(len(work.faces) - len(faces), "dropped 1 repeated triangle", "dropped {} repeated triangles")
    work.faces = faces


def _wind_alike(work: _Work) -> None:
    """Turn triangles so that neighbours agree, on each surface the way that turns fewest.

    Each triangle stands twice in a graph, as it is and turned; agreeing neighbours link like with like, clashing ones
    like with unlike. A surface that can be wound falls into two halves; one that cannot hangs together.
    """
    from scipy.sparse import coo_array
    from scipy.sparse.csgraph import connected_components

    keys, direction = edge_keys(work.faces)
    order = np.argsort(keys, kind="stable")
    ranked, way, owner = keys[order], direction[order], order // 3
    start = np.flatnonzero(np.concatenate([[True], ranked[1:] != ranked[:-1]]))
    pair = start[np.diff(np.append(start, len(ranked))) == 2]
    one, two, clash = owner[pair], owner[pair + 1], way[pair] == way[pair + 1]
    if not clash.any():
        return
    count = len(work.faces)
    swap = np.where(clash, count, 0)
    rows = np.concatenate([one, one + count])
    columns = np.concatenate([two + swap, two + count - swap])
    links = coo_array((np.ones(len(rows)), (rows, columns)), shape=(2 * count, 2 * count))
    halves, label = connected_components(links, directed=False)
    as_is, turned = label[:count], label[count:]
    if (as_is == turned).any():
        refuse("its surface has only one side, like a twisted strip", _BY_HAND)
    cost = np.bincount(turned, minlength=halves)
    flip = (cost[turned] < cost[as_is]) | ((cost[turned] == cost[as_is]) & (turned < as_is))
    faces = work.faces.copy()
    faces[flip] = faces[flip][:, ::-1]
    work.tell(int(flip.sum()), "turned 1 triangle", "turned {} triangles")
    work.faces = faces


def _close_holes(work: _Work) -> None:
    rim = open_edges(work.faces)
    if not len(rim):
        return
    torn = Mesh(work.vertices, work.faces)
    added, doubt, hole_area = [], 0.0, 0.0
    loops = _loops(rim)
    for loop in loops:
        patch, patch_area, patch_doubt = _patch(work.vertices[loop])
        added.append(np.asarray(loop, dtype=np.int32)[patch])
        hole_area += patch_area
        doubt += patch_doubt
    if hole_area > GREATEST_HOLE * torn.area:
        refuse(
            f"it is open over {hole_area:.4g} of {torn.area + hole_area:.4g} mm², too much to close without guessing",
            _BY_HAND,
        )
    if doubt > GREATEST_DOUBT * abs(torn.volume):
        refuse(f"how its holes are closed changes the volume by up to {doubt:.3g} mm³", _BY_HAND)
    work.faces = np.concatenate([work.faces, *added])
    what = f"({len(rim)} open edges, {hole_area:.3g} mm², volume sure within {doubt:.2g} mm³)"
    work.tell(len(loops), f"closed 1 hole {what}", f"closed {{}} holes {what}")


def _loops(rim: Ints) -> list[list[int]]:
    """Closed loops along open edges, against their direction; refused where there is more than one way to walk."""
    follow: dict[int, list[int]] = {}
    for start, end in rim.tolist():
        follow.setdefault(end, []).append(start)
    loops: list[list[int]] = []
    while follow:
        path = [next(iter(follow))]
        seen = {path[0]: 0}
        while path[-1] in follow:
            point = follow[path[-1]].pop()
            if not follow[path[-1]]:
                del follow[path[-1]]
            if point in seen:
                loop = path[seen[point] :]
                loops.append(loop)
                for left in loop[1:]:
                    del seen[left]
                path = path[: seen[point] + 1]
            else:
                seen[point] = len(path)
                path.append(point)
        if len(path) > 1:
            refuse("its open edges do not run in closed loops", _BY_HAND)
    _require_one_way(loops)
    return loops


def _require_one_way(loops: list[list[int]]) -> None:
    longest = max(len(loop) for loop in loops)
    if longest > LONGEST_LOOP:
        refuse(f"it has a hole with {longest} edges, too long to close without guessing", _BY_HAND)
    users: dict[int, list[int]] = {}
    for number, loop in enumerate(loops):
        for point in loop:
            users.setdefault(point, []).append(number)
    meetings = [tuple(sorted(numbers)) for numbers in users.values() if len(numbers) > 1]
    if len(set(meetings)) != len(meetings) or any(len(numbers) > 2 for numbers in meetings):
        refuse("its holes meet in several points, so how to close them would be a guess", _BY_HAND)
    if min(len(loop) for loop in loops) < 3:
        refuse("it has a hole with two edges, which no triangle closes", _BY_HAND)


def _patch(points: Floats) -> tuple[Ints, float, float]:
    """Triangles over a loop, their area [mm²], and the volume between all ways of laying them [mm³]."""
    middle = points - points.mean(axis=0)
    normal = np.cross(middle, np.roll(middle, -1, axis=0)).sum(axis=0)
    length = float(np.linalg.norm(normal))
    if length == 0:
        refuse("it has a hole that folds back on itself", _BY_HAND)
    normal = normal / length
    across = np.cross(normal, np.eye(3)[np.argmin(np.abs(normal))])
    across /= np.linalg.norm(across)
    plane = np.stack([middle @ across, middle @ np.cross(normal, across)], axis=1)
    try:
        patch = kernel.triangulate([np.ascontiguousarray(plane)])
    except GeometryFailure:
        refuse("it has a hole whose rim crosses itself", _BY_HAND)
    laid = Mesh(points, patch)
    try:
        doubt = abs(kernel.hull([laid]).volume)
    except GeometryFailure:
        doubt = 0.0
    return patch, laid.area, doubt


def _settle_bodies(mesh: Mesh, work: _Work) -> Mesh:
    turned = Mesh(mesh.vertices, np.ascontiguousarray(mesh.faces[:, ::-1]), mesh.name)
    fault = kernel.is_solid(mesh)
    if fault and fault.startswith("it is inside out"):
        work.done.append("turned the whole right side out")
        mesh, fault = turned, kernel.is_solid(turned)
    if fault:
        refuse(f"it cannot be mended without guessing: {fault}", _BY_HAND)
    solids, astray = kernel.hollowed(kernel.bodies(mesh))
    work.tell(len(astray), "turned 1 body right side out", "turned {} bodies right side out")
    solids += [Mesh(part.vertices, np.ascontiguousarray(part.faces[:, ::-1])) for part in astray]
    together = kernel.union(solids).named(mesh.name)
    apart = sum(solid.volume for solid in solids)
    if apart - together.volume > 1e-6 * apart:
        work.done.append(f"joined overlapping bodies ({apart - together.volume:.4g} mm³ had been counted twice)")
        return together
    return together if astray else mesh

"""From what every pixel sees to how it looks: soft normals across smooth edges, light, nooks, and drawn lines."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from shadewright.paper.raster import Buffer, Camera
from shadewright.solid.mesh import Floats, Mesh

CREASE_DEGREES = 32.0
KEY_LIGHT = (-0.42, 0.60, 0.68)  # right, up, towards the eye; 1 long
Pixels = npt.NDArray[np.float32]
Mask = npt.NDArray[np.bool_]
Window = tuple[slice, slice]


def corner_normals(mesh: Mesh, crease: float = CREASE_DEGREES) -> Floats:
    """Give every corner of every triangle the normal of the smooth surface through it.

    Faces round a vertex share a normal when they meet across edges bent by less than ``crease`` degrees;
    weights are the sines of the corner angles, so that slivers do not count.

    Returns:
        (m, 3, 3) unit normals, per face and corner.
    """
    from scipy.sparse import coo_array
    from scipy.sparse.csgraph import connected_components

    corners = mesh.corners
    sides = np.roll(corners, -1, axis=1) - corners
    lengths = np.maximum(np.linalg.norm(sides, axis=2), 1e-12)
    vectors = np.cross(sides[:, 0], sides[:, 1])
    flat = vectors / np.maximum(np.linalg.norm(vectors, axis=1), 1e-12)[:, None]
    sines = np.linalg.norm(vectors, axis=1)[:, None] / (lengths * np.roll(lengths, 1, axis=1))
    one, other = _smooth_pairs(mesh, flat, crease)
    total = 3 * len(mesh.faces)
    links = coo_array((np.ones(len(one), dtype=np.int8), (one, other)), shape=(total, total))
    groups, label = connected_components(links, directed=False)
    weighted = (flat[:, None, :] * sines[:, :, None]).reshape(-1, 3)
    sums = np.stack([np.bincount(label, weighted[:, k], groups) for k in range(3)], axis=1)
    length = np.linalg.norm(sums, axis=1)
    units = sums / np.maximum(length, 1e-12)[:, None]
    soft = np.where((length > 1e-9)[label, None], units[label], np.repeat(flat, 3, axis=0))
    return np.asarray(soft.reshape(-1, 3, 3), dtype=np.float64)


def _smooth_pairs(mesh: Mesh, flat: Floats, crease: float) -> tuple[npt.NDArray[np.int64], npt.NDArray[np.int64]]:
    """Pair corners (numbered 3 * face + place) that meet at a vertex across an edge without a crease."""
    faces = mesh.faces.astype(np.int64)
    ends = np.roll(faces, -1, axis=1)
    forward = (faces * len(mesh.vertices) + ends).ravel()
    backward = (ends * len(mesh.vertices) + faces).ravel()
    order = np.argsort(backward, kind="stable")
    place = np.clip(np.searchsorted(backward, forward, sorter=order), 0, len(order) - 1)
    edge, mate = np.arange(len(forward)), order[place]
    cosine = np.einsum("ij,ij->i", flat[edge // 3], flat[mate // 3])
    smooth = (backward[mate] == forward) & (cosine > np.cos(np.radians(crease)))
    edge, mate = edge[smooth], mate[smooth]
    # The edge starts where its mate ends.
    return edge, mate // 3 * 3 + (mate + 1) % 3


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Seen:
    """The part through a camera, per pixel.

    Attributes:
        face: (h, w) row of the triangle seen, -1 for none.
        depth: (h, w) nearness to the eye [mm], -inf for none.
        normal: (h, w, 3) unit normal in picture axes: right, up, towards the eye; 0 for none.
    """

    face: npt.NDArray[np.int32]
    depth: Pixels
    normal: Pixels

    @property
    def covered(self) -> Mask:
        """(h, w) where the part is."""
        return self.face >= 0


def look(buffer: Buffer, camera: Camera, corners: Floats, normals: Floats) -> Seen:
    """Add the soft normal at every pixel: (m, 3, 3) projected ``corners`` and corner ``normals``, same rows."""
    rows, columns = np.nonzero(buffer.face >= 0)
    face = buffer.face[rows, columns]
    turned = (normals @ camera.view.axes.T).astype(np.float32)
    a, b, c = (corners[:, k, :2] for k in range(3))
    ab, ac = b - a, c - a
    area = ab[:, 0] * ac[:, 1] - ab[:, 1] * ac[:, 0]
    area = np.where(np.abs(area) > 1e-9, area, np.inf)
    plan = np.stack([ac[:, 1], -ac[:, 0], -ab[:, 1], ab[:, 0]], axis=1) / area[:, None]
    offset = np.stack([columns + 0.5, rows + 0.5], axis=1) - a[face]
    plan = plan[face]
    to_b = np.clip((plan[:, :2] * offset).sum(axis=1), 0, 1).astype(np.float32)
    to_c = np.clip((plan[:, 2:] * offset).sum(axis=1), 0, 1).astype(np.float32)
    blend = turned[face, 0] * (1 - to_b - to_c)[:, None]
    blend += turned[face, 1] * to_b[:, None]
    blend += turned[face, 2] * to_c[:, None]
    blend /= np.maximum(np.linalg.norm(blend, axis=1), 1e-9)[:, None]
    normal = np.zeros((*buffer.face.shape, 3), dtype=np.float32)
    normal[rows, columns] = blend
    return Seen(face=buffer.face, depth=buffer.depth.astype(np.float32), normal=normal)


def lightness(seen: Seen, nook_pixels: int, from_below: bool) -> Pixels:
    """Light on every pixel, (h, w), 0 dark to 1 bright: a lamp over (or under) the left shoulder, dimmer nooks.

    Seen from below, the lamp stands low, so that undersides are lit as clearly as tops are from above.
    """
    x, y, z = seen.normal[..., 0], seen.normal[..., 1], seen.normal[..., 2]
    up = -y if from_below else y
    key = np.maximum(KEY_LIGHT[0] * x + KEY_LIGHT[1] * up + KEY_LIGHT[2] * z, 0)
    light = 0.26 + 0.10 * up + 0.60 * key + 0.08 * z - nooks(seen, nook_pixels)
    return np.asarray(np.clip(light, 0, 1), dtype=np.float32)


def nooks(seen: Seen, radius: int) -> Pixels:
    """How far a pixel lies behind its surroundings on the part, (h, w), 0 to 0.22: what a bright room leaves dim.

    Worked out on every other pixel: it varies slowly.
    """
    covered, depth = seen.covered[::2, ::2], seen.depth[::2, ::2]
    if not covered.any():
        return np.zeros(seen.face.shape, dtype=np.float32)
    nearest, farthest = depth[covered].max(), depth[covered].min()
    filled = np.where(covered, depth - farthest, 0.0).astype(np.float32)
    weight = _box_blur(covered.astype(np.float32), radius // 2)
    around = _box_blur(filled, radius // 2) / np.maximum(weight, 1e-6)
    behind = np.where(covered, around - filled, 0.0) / max(0.12 * float(nearest - farthest), 1e-6)
    coarse = (0.22 * np.clip(behind, 0, 1)).astype(np.float32)
    height, width = seen.face.shape
    return coarse.repeat(2, axis=0).repeat(2, axis=1)[:height, :width]


def _box_blur(image: Pixels, radius: int, passes: int = 2) -> Pixels:
    """Average over squares of 2 * radius + 1 pixels, ``passes`` times; beyond the picture its edge repeats."""
    out = image
    for _ in range(passes):
        for axis in (0, 1):
            pad = [(0, 0), (0, 0)]
            pad[axis] = (radius + 1, radius)
            sums = np.cumsum(np.pad(out, pad, mode="edge"), axis=axis, dtype=np.float64)
            size = 2 * radius + 1
            high = np.take(sums, np.arange(size, sums.shape[axis]), axis=axis)
            low = np.take(sums, np.arange(0, sums.shape[axis] - size), axis=axis)
            out = ((high - low) / size).astype(np.float32)
    return out


def soft_mask(mask: Mask, radius: int) -> Pixels:
    """Blur a mask into a soft shadow, (h, w), 0 to 1."""
    return _box_blur(mask.astype(np.float32), radius)


def outline(covered: Mask) -> Mask:
    """Pixels on either side of the part's contour, (h, w)."""
    return _where_neighbours_differ(lambda a, b: covered[a] != covered[b], covered.shape)


def border(kind: npt.NDArray[np.uint8]) -> Mask:
    """Pixels where neighbouring pixels are of different kinds, both on the part (kind 0 is off it), (h, w)."""
    return _where_neighbours_differ(lambda a, b: (kind[a] != kind[b]) & (kind[a] > 0) & (kind[b] > 0), kind.shape)


def folds(seen: Seen, pixel_mm: float, crease: float = CREASE_DEGREES) -> Mask:
    """Pixels where the surface bends sharply, or jumps farther back than its own slope explains, (h, w)."""
    limit = np.cos(np.radians(crease))
    covered = seen.covered
    depth = np.where(covered, seen.depth, 0.0).astype(np.float32)
    spread = float(np.ptp(depth[covered])) if covered.any() else 1.0
    toward = np.maximum(seen.normal[..., 2], 0.12)
    jump = 0.006 * spread + 2.5 * pixel_mm / toward

    def differ(a: Window, b: Window) -> Mask:
        bent = np.einsum("ijk,ijk->ij", seen.normal[a], seen.normal[b]) < limit
        apart = np.abs(depth[a] - depth[b]) > np.maximum(jump[a], jump[b])
        return np.asarray((bent | apart) & covered[a] & covered[b], dtype=bool)

    return _where_neighbours_differ(differ, depth.shape)


def _where_neighbours_differ(differ: Callable[[Window, Window], Mask], shape: tuple[int, ...]) -> Mask:
    """Mark both of every two pixels side by side, or one above the other, that ``differ``."""
    mask = np.zeros(shape, dtype=bool)
    whole, head, tail = slice(None), slice(None, -1), slice(1, None)
    for a, b in (((whole, head), (whole, tail)), ((head, whole), (tail, whole))):
        found = differ(a, b)
        mask[a] |= found
        mask[b] |= found
    return mask

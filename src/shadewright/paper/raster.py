"""Triangles to pixels: an orthographic camera and a depth buffer in plain arrays; the same pixels on every machine.

A pixel belongs to a triangle when its centre lies inside. Edges are always evaluated from their upper end to
their lower one, so two triangles that share an edge cover every pixel along it exactly once.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from shadewright.solid.mesh import Floats

ROWS_AT_ONCE = 400_000
FRAGMENTS_AT_ONCE = 1_500_000
DEPTH_STEPS = 2**31 - 1
FACE_BITS = np.int64(0xFFFFFFFF)


@dataclass(frozen=True, slots=True, kw_only=True)
class View:
    """Where the eye stands, far away: degrees round the part from +x, and degrees above the bed."""

    azimuth: float
    elevation: float

    @property
    def axes(self) -> Floats:
        """(3, 3) rows: picture right, picture up, towards the eye; orthonormal."""
        around, above = np.radians([self.azimuth, self.elevation])
        toward = np.array([np.cos(above) * np.cos(around), np.cos(above) * np.sin(around), np.sin(above)])
        right = np.array([-np.sin(around), np.cos(around), 0.0])
        return np.array([right, np.cross(toward, right), toward])


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Camera:
    """A view fitted to a picture.

    Attributes:
        view: Where the eye stands.
        width, height: Pixels.
        scale: Pixels per mm.
        centre: (2,) point of the picture plane [mm] in the middle of the picture.
    """

    view: View
    width: int
    height: int
    scale: float
    centre: Floats

    def project(self, points: Floats) -> Floats:
        """Turn (..., 3) points [mm] into (..., 3): pixel x, pixel y (down), nearness to the eye [mm]."""
        seen = points @ self.view.axes.T
        x = (seen[..., 0] - self.centre[0]) * self.scale + self.width / 2
        y = self.height / 2 - (seen[..., 1] - self.centre[1]) * self.scale
        return np.stack([x, y, seen[..., 2]], axis=-1)

    def enlarged(self, factor: int) -> Camera:
        """The same picture with ``factor`` times as many pixels each way."""
        return Camera(
            view=self.view,
            width=self.width * factor,
            height=self.height * factor,
            scale=self.scale * factor,
            centre=self.centre,
        )


def fit_camera(view: View, points: Floats, width: int, height: int, margin: float) -> Camera:
    """Choose the scale so that (n, 3) ``points`` fill the picture, leaving ``margin`` pixels on every side."""
    seen = points @ view.axes[:2].T
    low, high = seen.min(axis=0), seen.max(axis=0)
    room = np.array([width - 2 * margin, height - 2 * margin])
    scale = float((room / np.maximum(high - low, 1e-6)).min())
    return Camera(view=view, width=width, height=height, scale=scale, centre=(low + high) / 2)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Buffer:
    """What every pixel sees.

    Attributes:
        face: (height, width) int32, row of the nearest triangle, -1 where there is none.
        depth: (height, width) float64, its nearness to the eye at the pixel's centre; -inf where there is none.
    """

    face: npt.NDArray[np.int32]
    depth: Floats


def fill(corners: Floats, width: int, height: int) -> Buffer:
    """Find the nearest triangle at every pixel.

    Args:
        corners: (m, 3, 3) projected triangles: pixel x, pixel y (down), nearness; both windings are drawn.
        width: Pixels of the picture across; triangles may reach outside it.
        height: Pixels of the picture down.

    Returns:
        The buffer; of triangles equally near, the one with the lower row is kept.
    """
    keys = np.full(width * height, -1, dtype=np.int64)
    near = float(corners[..., 2].min()) if len(corners) else 0.0
    reach = max(float(np.ptp(corners[..., 2])), 1e-9) if len(corners) else 1.0
    scaled = corners.copy()
    scaled[..., 2] = (corners[..., 2] - near) * (DEPTH_STEPS / reach)
    scaled = np.take_along_axis(scaled, np.argsort(scaled[..., 1], axis=1, kind="stable")[..., None], axis=1)
    first = np.clip(np.ceil(scaled[:, 0, 1] - 0.5), 0, height).astype(np.int64)
    count = np.clip(np.ceil(scaled[:, 2, 1] - 0.5), 0, height).astype(np.int64) - first
    for start, stop in _portions(count, ROWS_AT_ONCE):
        rows = _rows(scaled, first, count, range(start, stop), width)
        for begin, end in _portions(rows.length, FRAGMENTS_AT_ONCE):
            rows.draw(keys, begin, end)
    hit = keys >= 0
    face = np.where(hit, FACE_BITS - (keys & FACE_BITS), -1).astype(np.int32)
    depth = np.where(hit, (keys >> 32) * (reach / DEPTH_STEPS) + near, -np.inf)
    return Buffer(face=face.reshape(height, width), depth=depth.reshape(height, width))


def _portions(sizes: npt.NDArray[np.int64], most: int) -> Iterator[tuple[int, int]]:
    """Split a list of sizes into runs whose sums stay near ``most``, at least one item each."""
    ends = np.cumsum(sizes)
    start, done = 0, 0
    while start < len(sizes):
        stop = max(int(np.searchsorted(ends, done + most, side="right")), start + 1)
        yield start, stop
        start, done = stop, int(ends[stop - 1])


@dataclass(frozen=True, slots=True, eq=False)
class _Rows:
    """Runs of pixels, one per triangle and picture row: first pixel, length, depth there and its step, whose."""

    pixel: npt.NDArray[np.int64]
    length: npt.NDArray[np.int64]
    depth: Floats
    step: Floats
    mark: npt.NDArray[np.int64]

    def draw(self, keys: npt.NDArray[np.int64], begin: int, end: int) -> None:
        """Unfold runs into fragments and keep the nearest at every pixel."""
        length = self.length[begin:end]
        owner = np.repeat(np.arange(begin, end), length)
        along = np.arange(len(owner)) - np.repeat(np.cumsum(length) - length, length)
        key = (self.depth[owner] + self.step[owner] * along).astype(np.int64)
        key <<= 32
        key |= self.mark[owner]
        np.maximum.at(keys, self.pixel[owner] + along, key)


def _rows(
    corners: Floats, first: npt.NDArray[np.int64], count: npt.NDArray[np.int64], portion: range, width: int
) -> _Rows:
    """Cut a portion of the triangles, corners ordered from top to bottom, into runs of pixels."""
    here = slice(portion.start, portion.stop)
    owner = np.repeat(np.arange(portion.start, portion.stop), count[here])
    before = np.cumsum(count[here]) - count[here]
    row = np.arange(len(owner)) - np.repeat(before - first[here], count[here])
    y: Floats = np.asarray(row + 0.5, dtype=np.float64)
    top, middle, low = (corners[owner, k] for k in range(3))
    upper = y < middle[:, 1]
    far = _at(top, low, y)
    near = _at(np.where(upper[:, None], top, middle), np.where(upper[:, None], middle, low), y)
    left = np.where(far[:, 0] <= near[:, 0], far.T, near.T)
    right = np.where(far[:, 0] <= near[:, 0], near.T, far.T)
    begin = np.clip(np.ceil(left[0] - 0.5), 0, width)
    length = np.clip(np.ceil(right[0] - 0.5), 0, width) - begin
    slope = (right[1] - left[1]) / np.maximum(right[0] - left[0], 1e-9)
    from_depth = np.clip(left[1] + slope * (begin + 0.5 - left[0]), 0, DEPTH_STEPS)
    to_depth = np.clip(left[1] + slope * (begin + length - 0.5 - left[0]), 0, DEPTH_STEPS)
    keep = length > 0
    return _Rows(
        pixel=(row * width + begin.astype(np.int64))[keep],
        length=length.astype(np.int64)[keep],
        depth=from_depth[keep],
        step=((to_depth - from_depth) / np.maximum(length - 1, 1))[keep],
        mark=(FACE_BITS - owner)[keep],
    )


def _at(upper: Floats, lower: Floats, y: Floats) -> Floats:
    """Give x and depth, (n, 2), where edges from ``upper`` to ``lower`` cross the heights ``y``."""
    run = lower[:, 1] - upper[:, 1]
    share = (y - upper[:, 1]) / np.where(run > 0, run, 1.0)
    return np.stack([upper[:, k] + (lower[:, k] - upper[:, k]) * share for k in (0, 2)], axis=-1)

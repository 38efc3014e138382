"""Pictures of parts: a calm drawing of the part with its troubled areas found by colour and by hatching."""

from __future__ import annotations

import io
from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from typing import TYPE_CHECKING

import numpy as np
import numpy.typing as npt

from shadewright.paper import palette
from shadewright.paper.raster import Camera, View, fill, fit_camera
from shadewright.paper.shading import (
    Pixels,
    Seen,
    border,
    corner_normals,
    folds,
    lightness,
    look,
    outline,
    soft_mask,
)
from shadewright.solid.mesh import Floats, Mesh

if TYPE_CHECKING:
    from PIL import Image

FROM_ABOVE = View(azimuth=-58, elevation=28)
FROM_BELOW = View(azimuth=-58, elevation=-34)
SUPERSAMPLING = 2
PIN_SPACE = 0.085
SHADOW_SLANT = np.array([0.20, 0.14])  # mm along x and y per mm of height: where a ceiling lamp puts the shadow
OFF, PART, DOUBTFUL, FAILING, BED = range(5)
RAMPS = {
    PART: palette.PART_RAMP,
    DOUBTFUL: palette.DOUBTFUL_RAMP,
    FAILING: palette.FAILING_RAMP,
    BED: palette.BED_RAMP,
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Pin:
    """Where a labelled spot of the part appears: shares of the picture's width and height, from the upper left."""

    label: str
    x: float
    y: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Picture:
    """One drawn view.

    Attributes:
        png: The file.
        width, height: Pixels.
        scale: Pixels per mm across the picture; the view is orthographic, so it holds everywhere.
        bar_mm: Length the drawn scale bar stands for [mm].
        kinds: Which kinds of area can be seen: ``doubtful``, ``failing``, ``bed``.
        pins: Spots that were asked for and are not hidden behind the part.
    """

    png: bytes
    width: int
    height: int
    scale: float
    bar_mm: float
    kinds: tuple[str, ...]
    pins: tuple[Pin, ...]


def render_part(
    mesh: Mesh,
    trouble_by_face: npt.NDArray[np.uint8] | None = None,
    *,
    view: View = FROM_ABOVE,
    spots: Sequence[tuple[str, float, float, float]] = (),
    width: int = 1200,
    height: int = 900,
    background: str = palette.WHITE,
    normals: Floats | None = None,
    largest_scale: float | None = None,
) -> Picture:
    """Draw one view of a part standing on the bed.

    Args:
        mesh: The part, z up from the bed [mm].
        trouble_by_face: (m,) 0 none, 1 doubtful, 2 failing; None draws a part without trouble.
        view: Where the eye stands.
        spots: Label and x, y, z [mm] of spots whose place in the picture is wanted.
        width: Pixels across.
        height: Pixels down.
        background: Colour behind the part.
        normals: ``corner_normals`` of the mesh, when several views share them.
        largest_scale: Pixels per mm that the picture shall not exceed, so that several views are alike.

    Returns:
        The picture; equal inputs give equal bytes.
    """
    normals = corner_normals(mesh) if normals is None else normals
    camera = part_camera(mesh, view, width, height)
    if largest_scale is not None:
        camera = replace(camera, scale=min(camera.scale, largest_scale))
    fine = camera.enlarged(SUPERSAMPLING)
    facing = mesh.face_vectors @ view.axes[2] > 0
    rows = np.flatnonzero(facing)
    corners = fine.project(mesh.corners[rows])
    seen = look(fill(corners, fine.width, fine.height), fine, corners, normals[rows])
    kind = _kinds(mesh, trouble_by_face, rows, seen)
    colour = _colour(seen, kind, fine)
    alpha = seen.covered.astype(np.float32)
    _ink_lines(colour, alpha, seen, kind, fine)
    ground = _ground(mesh, camera, background)
    image = _reduce(colour * alpha[..., None]) + ground * (1 - _reduce(alpha[..., None]))
    png, bar_mm = _finish(image, camera, background)
    return Picture(
        png=png,
        width=width,
        height=height,
        scale=camera.scale,
        bar_mm=bar_mm,
        kinds=tuple(
            name for name, k in (("doubtful", DOUBTFUL), ("failing", FAILING), ("bed", BED)) if (kind == k).any()
        ),
        pins=_pins(spots, fine, seen, kind, trouble_by_face is not None and bool(trouble_by_face.any())),
    )


def part_camera(mesh: Mesh, view: View, width: int, height: int) -> Camera:
    """Fit a view to a part, and from above to the frame on the bed around it."""
    around = mesh.vertices if view.elevation <= 0 else np.vstack([mesh.vertices, _footprint(mesh)])
    return fit_camera(view, around, width, height, 0.05 * min(width, height))


def _kinds(
    mesh: Mesh, trouble_by_face: npt.NDArray[np.uint8] | None, rows: npt.NDArray[np.int64], seen: Seen
) -> npt.NDArray[np.uint8]:
    """Tell, per pixel, what kind of area it shows."""
    by_face = np.full(len(rows), PART, dtype=np.uint8)
    corners = mesh.corners[rows]
    downward = mesh.face_vectors[rows, 2] < 0
    by_face[downward & (corners[..., 2].max(axis=1) < mesh.vertices[:, 2].min() + 0.02)] = BED
    if trouble_by_face is not None:
        trouble = trouble_by_face[rows]
        by_face[trouble == 1] = DOUBTFUL
        by_face[trouble == 2] = FAILING
    kind = np.zeros(seen.face.shape, dtype=np.uint8)
    kind[seen.covered] = by_face[seen.face[seen.covered]]
    return kind


@lru_cache(maxsize=8)
def _ramp(colours: tuple[str, ...]) -> Pixels:
    """(256, 3) colours from dark to light, 0 to 1."""
    stops = np.array([palette.rgb(colour) for colour in colours]) / 255
    at = np.linspace(0, 1, len(stops))
    levels = np.linspace(0, 1, 256)
    return np.array([np.interp(levels, at, stops[:, k]) for k in range(3)], dtype=np.float32).T


def _colour(seen: Seen, kind: npt.NDArray[np.uint8], camera: Camera) -> Pixels:
    """Light times tone of the area, with stripes on doubtful and crossed stripes on failing areas."""
    light = lightness(seen, max(camera.height // 60, 2), camera.view.elevation <= 0)
    step = (light * 255).astype(np.uint8)
    colour = np.zeros((*kind.shape, 3), dtype=np.float32)
    for which, colours in RAMPS.items():
        here = kind == which
        colour[here] = _ramp(colours)[step[here]]
    rows, columns = np.nonzero((kind == DOUBTFUL) | (kind == FAILING))
    period = max(round(camera.height / 64), 6)
    rising = (rows + columns) % period < period * 0.32
    falling = (rows - columns) % period < period * 0.32
    striped = rising | (falling & (kind[rows, columns] == FAILING))
    colour[rows[striped], columns[striped]] *= 0.5
    return colour


def _ink_lines(colour: Pixels, alpha: Pixels, seen: Seen, kind: npt.NDArray[np.uint8], camera: Camera) -> None:
    """Draw contour, folds and the borders of troubled areas, in place."""
    ink = np.array(palette.rgb(palette.INK), dtype=np.float32) / 255
    pixel_mm = 1 / camera.scale
    for mask, strength in ((folds(seen, pixel_mm), 0.55), (border(kind), 0.8), (outline(seen.covered), 0.95)):
        colour[mask] = colour[mask] * (1 - strength) + ink * strength
        alpha[mask] = np.maximum(alpha[mask], strength)


def _ground(mesh: Mesh, camera: Camera, background: str) -> Pixels:
    """Draw what lies behind the part: from above its soft shadow on the bed and a frame round its footprint."""
    from PIL import Image, ImageDraw

    image = Image.new("RGB", (camera.width, camera.height), background)
    if camera.view.elevation <= 0:
        return _shares(image)
    frame = [(float(x), float(y)) for x, y in camera.project(_footprint(mesh))[:, :2]]
    ImageDraw.Draw(image).polygon(frame, outline=palette.RULE)
    above = mesh.corners[mesh.face_vectors @ np.array([*-SHADOW_SLANT, 1.0]) > 0]
    cast = above.copy()
    bed = mesh.vertices[:, 2].min()
    cast[..., :2] += (above[..., 2:] - bed) * SHADOW_SLANT
    cast[..., 2] = bed
    shadow = fill(camera.project(cast), camera.width, camera.height).face >= 0
    dim = 0.16 * soft_mask(shadow, max(camera.height // 36, 1))[..., None]
    tone = np.array(palette.rgb(palette.INK), dtype=np.float32) / 255
    return np.asarray(_shares(image) * (1 - dim) + tone * dim, dtype=np.float32)


def _shares(image: Image.Image) -> Pixels:
    return np.asarray(np.asarray(image, dtype=np.float32) / 255, dtype=np.float32)


def _footprint(mesh: Mesh) -> Floats:
    """(4, 3) corners of a frame on the bed, a little wider than what stands on it [mm]."""
    standing = mesh.vertices[mesh.vertices[:, 2] < mesh.vertices[:, 2].min() + 0.5]
    low, high = standing.min(axis=0), standing.max(axis=0)
    gap = 0.06 * float(mesh.size.max())
    x0, y0, x1, y1 = low[0] - gap, low[1] - gap, high[0] + gap, high[1] + gap
    return np.array([[x0, y0, low[2]], [x1, y0, low[2]], [x1, y1, low[2]], [x0, y1, low[2]]])


def _reduce(image: Pixels) -> Pixels:
    """Average squares of supersampled pixels."""
    height, width, channels = image.shape
    n = SUPERSAMPLING
    return np.asarray(image.reshape(height // n, n, width // n, n, channels).mean(axis=(1, 3)), dtype=np.float32)


def bar_length(scale: float, width: int) -> float:
    """Longest of 1, 2, 5 x 10^k mm that takes at most a fifth of the picture's width."""
    room = 0.2 * width / scale
    power = 10.0 ** np.floor(np.log10(room))
    return float(max(step * power for step in (1, 2, 5) if step * power <= room))


def _finish(image: Pixels, camera: Camera, background: str) -> tuple[bytes, float]:
    """Add the scale bar and pack the PNG."""
    from PIL import Image, ImageDraw, ImageFont

    picture = Image.fromarray(np.round(np.clip(image, 0, 1) * 255).astype(np.uint8))
    draw = ImageDraw.Draw(picture)
    bar_mm = bar_length(camera.scale, camera.width)
    size = max(round(camera.height / 36), 9)
    left, base, tick = size, camera.height - size, size // 3
    right = left + round(bar_mm * camera.scale)
    thick = max(size // 9, 1)
    draw.line([(left, base), (right, base)], fill=palette.INK, width=thick)
    for x in (left, right):
        draw.line([(x, base - tick), (x, base + tick)], fill=palette.INK, width=thick)
    font = ImageFont.load_default(size=size)
    draw.text((left, base - tick - size // 4), f"{bar_mm:g} mm", fill=palette.INK, font=font, anchor="ls")
    indexed = picture.quantize(colors=256, method=Image.Quantize.MEDIANCUT, dither=Image.Dither.NONE)
    colours = indexed.getpalette() or []
    corner = indexed.getpixel((camera.width - 1, camera.height - 1))
    if isinstance(corner, int) and picture.getpixel((camera.width - 1, camera.height - 1)) == palette.rgb(background):
        colours[3 * corner : 3 * corner + 3] = palette.rgb(background)
        indexed.putpalette(colours)
    packed = io.BytesIO()
    indexed.save(packed, "PNG", optimize=True)
    return packed.getvalue(), bar_mm


def _pins(
    spots: Sequence[tuple[str, float, float, float]],
    camera: Camera,
    seen: Seen,
    kind: npt.NDArray[np.uint8],
    only_painted: bool,
) -> tuple[Pin, ...]:
    """Keep the spots at whose place and depth something is seen, a painted area if there are any on the part.

    Labels that would cover each other are moved apart.
    """
    labels, places = [], []
    reach = max(camera.height // 100, 2)
    for label, *point in spots:
        column, row, near = camera.project(np.array(point))
        top, left = max(int(row) - reach, 0), max(int(column) - reach, 0)
        window = seen.depth[top : int(row) + reach + 1, left : int(column) + reach + 1]
        painted = kind[top : int(row) + reach + 1, left : int(column) + reach + 1] > PART
        seen_there = np.abs(window - near) <= 2 * reach / camera.scale
        if (seen_there & (painted | (not only_painted))).any():
            labels.append(label)
            places.append((float(column), float(row)))
    apart = spread(np.array(places).reshape(-1, 2), PIN_SPACE * camera.height)
    return tuple(
        Pin(label=label, x=float(x) / camera.width, y=float(y) / camera.height)
        for label, (x, y) in zip(labels, apart, strict=True)
    )


def spread(points: Floats, space: float) -> Floats:
    """Push (n, 2) points apart until none lie nearer than ``space``, or nearly so; few points, few rounds."""
    places = points.copy()
    for _ in range(60):
        for one in range(len(places)):
            for other in range(one + 1, len(places)):
                way = places[other] - places[one]
                distance = float(np.hypot(*way))
                if distance < space:
                    toward = way / distance if distance > 1e-9 else np.array([1.0, 0.0])
                    places[one] -= toward * (space - distance) / 2
                    places[other] += toward * (space - distance) / 2
    return places

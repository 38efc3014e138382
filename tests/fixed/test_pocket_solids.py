"""Pockets as solids: closed forms, the real nut in them, what hangs, and the same body as STEP."""

from __future__ import annotations

import math
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from step_at_hand import require_step_here

from shadewright.bench.store import Bench
from shadewright.catalog.hardware import nut
from shadewright.errors import ValueProblem
from shadewright.findings import Verdict
from shadewright.layers.check import PartToPrint, check_part
from shadewright.solid import kernel
from shadewright.solid.mesh import Mesh
from shadewright.solid.pocket import InsertHole, MagnetPocket, NutPocket, Pocket, hexagon, pocket_block, pocket_cutter

NUTS = [NutPocket(flats=7.1, depth=3.6, hole=4.7, mouth=mouth) for mouth in ("up", "down", "side", "inside")]
ALL: list[Pocket] = [
    *NUTS,
    InsertHole(hole=4.26, depth=7.0, boss=7.5),
    InsertHole(hole=4.26, depth=7.0, boss=7.5, mouth="down"),
    MagnetPocket(length=6.0, width=None, depth=2.4, cap=0.4, ridge=0.3),
    MagnetPocket(length=10.2, width=None, depth=2.4, cap=0.4),
    MagnetPocket(length=20.3, width=9.9, depth=2.4, cap=0.4, ridge=0.3),
    MagnetPocket(length=6.2, width=None, depth=2.4, cap=0.6, closed=True),
]


def label(pocket: Pocket) -> str:
    return f"{type(pocket).__name__}-{getattr(pocket, 'mouth', getattr(pocket, 'closed', ''))}"


def hex_prism(flats: float, height: float, z: float, x: float = 0.0) -> Mesh:
    return kernel.extrude([hexagon(flats)], height).moved(x=x, z=z)


def hexagon_area(flats: float) -> float:
    """Closed form: sqrt(3) / 2 s²."""
    return math.sqrt(3) / 2 * flats**2


@pytest.mark.parametrize("pocket", ALL, ids=label)
def test_block_and_cutter_are_closed_bodies_that_fit_each_other(pocket: Pocket) -> None:
    block, cutter = pocket_block(pocket), pocket_cutter(pocket)
    assert kernel.is_solid(block) is None and kernel.is_solid(cutter) is None
    outer = [body for body in kernel.bodies(block) if body.volume > 0]
    assert len(outer) == 1 and len(kernel.bodies(cutter)) == 1
    assert len(kernel.bodies(block)) == (2 if getattr(pocket, "closed", False) else 1)
    assert block.bounds[0, 2] == pytest.approx(0)
    assert kernel.overlap_volume(block, cutter) == pytest.approx(0, abs=1e-3)
    filled = kernel.union([block, cutter])  # nothing is left between them
    assert [body.volume > 0 for body in kernel.bodies(filled) if abs(body.volume) > 1e-9] == [True]


def test_nut_pocket_volume_in_closed_form() -> None:
    """A box less a hexagonal prism, the frustum of its chamfer, and a cylinder."""
    x, y = 2 * 7.1 / math.sqrt(3) + 4.8, 7.1 + 4.8
    plain, wide = hexagon_area(7.1), hexagon_area(8.1)
    chamfer = 0.5 / 3 * (plain + wide + math.sqrt(plain * wide))
    expected = x * y * 5.6 - plain * 3.1 - chamfer - math.pi * 4.7**2 / 4 * 2.0
    assert pocket_block(NUTS[0]).volume == pytest.approx(expected, rel=1e-5)


def test_insert_hole_volume_in_closed_form() -> None:
    mouth = math.pi / 3 * 0.5 * (2.13**2 + 2.13 * 2.63 + 2.63**2)
    expected = math.pi * 3.75**2 * 8.2 - math.pi * 2.13**2 * 6.5 - mouth
    assert pocket_block(InsertHole(hole=4.26, depth=7.0, boss=7.5)).volume == pytest.approx(expected, rel=1e-4)


@pytest.mark.parametrize("clearance", [0.1, 0.3])
@pytest.mark.parametrize("pocket", NUTS, ids=label)
def test_the_largest_nut_lies_in_its_pocket_with_the_clearance_stated(pocket: NutPocket, clearance: float) -> None:
    """ISO 4032, from memory: an M4 nut is at most 7 mm across flats and 3.2 mm high."""
    largest = nut("M4")
    assert (largest.flats.high, largest.height.high) == (7.0, 3.2)
    block = pocket_block(replace(pocket, flats=7.0 + clearance))
    floor = 0.2 if pocket.mouth == "down" else pocket.floor + 0.2
    inside = hex_prism(7.0, 3.2, floor)
    assert kernel.overlap_volume(block, inside) == 0
    assert kernel.least_gap(block, inside, 1.0) == pytest.approx(clearance / 2, abs=1e-6)
    assert kernel.overlap_volume(block, hex_prism(7.0 + clearance + 0.02, 3.2, floor)) > 0


@pytest.mark.parametrize("x", [0.0, 3.0, 6.0, 10.0])
def test_the_nut_slides_in_from_the_side(x: float) -> None:
    assert kernel.overlap_volume(pocket_block(NUTS[2]), hex_prism(7.0, 3.4, 2.1, x)) == 0


def test_the_nut_cannot_turn() -> None:
    angles = np.radians(np.arange(6) * 60 + 12)
    turned = kernel.extrude([7.0 / math.sqrt(3) * np.column_stack([np.cos(angles), np.sin(angles)])], 3).moved(z=2.2)
    for pocket in (NUTS[0], NUTS[2], NUTS[3]):
        assert kernel.overlap_volume(pocket_block(pocket), turned) > 0


@pytest.mark.parametrize("pocket", NUTS[1:], ids=label)
def test_a_roof_with_a_hole_opens_in_steps_of_one_layer(pocket: NutPocket) -> None:
    """Strip from wall to wall, square, octagon, circle, each as wide as the screw's hole."""
    roof = pocket.depth + (0.0 if pocket.mouth == "down" else pocket.floor)
    widths, areas = [], []
    for figure in kernel.sections(pocket_block(pocket), [roof + 0.1, roof + 0.3, roof + 0.5, roof + 0.7]):
        (hole,) = [contour for contour in figure if _signed(contour) < 0]
        widths.append(np.ptp(hole, axis=0))
        areas.append(-_signed(hole))
    assert [width[0] for width in widths] == pytest.approx([4.7] * 4, abs=0.13)
    assert widths[0][1] == pytest.approx(7.1, abs=0.05)
    assert [width[1] for width in widths[1:]] == pytest.approx([4.7] * 3, abs=0.09)
    octagon = 2 * (math.sqrt(2) - 1) * 4.74**2  # closed form, by its width; each step is 0.04 mm wider than the next
    assert areas[1:] == pytest.approx([4.78**2, octagon, math.pi / 4 * 4.7**2], rel=1e-3)


def _signed(contour: np.ndarray) -> float:
    x, y = contour.T
    return float((x * np.roll(y, -1) - np.roll(x, -1) * y).sum() / 2)


@pytest.mark.parametrize("pocket", ALL, ids=label)
def test_it_prints_as_it_stands(pocket: Pocket) -> None:
    """Nothing leans out by more than 45 degrees; what is flat spans no more than the pocket, from wall to wall."""
    block = pocket_block(pocket)
    area = np.linalg.norm(block.face_vectors, axis=1)
    raised = (block.corners[:, :, 2].min(axis=1) > 1e-6) & (area > 1e-6)
    steep = np.degrees(np.arcsin(np.clip(-block.face_vectors[raised, 2] / area[raised], -1, 1)))
    assert not ((steep > 45.01) & (steep < 89.9)).any()
    flat = (isinstance(pocket, NutPocket) and pocket.mouth != "up") or getattr(pocket, "closed", False)
    assert (steep > 89.9).any() == flat
    with Bench.open(None) as bench:
        report = check_part(PartToPrint(name="block", mesh=block, setup=bench.setup()))
    assert [item.sentence for item in report.findings if item.verdict is not Verdict.SOUND] == []


def test_ridges_touch_where_drawn_and_only_there() -> None:
    pocket = MagnetPocket(length=6.0, width=None, depth=2.4, cap=0.4, ridge=0.3)
    block = pocket_block(pocket)
    magnet = kernel.cylinder(2.0, 3.0 - 0.01, fit="mean").moved(z=0.41)
    assert kernel.overlap_volume(block, magnet) == 0
    pressed = kernel.intersection(block, kernel.cylinder(1.2, 3.0 + 0.15, fit="mean").moved(z=0.5))
    assert len(kernel.bodies(pressed)) == 4
    (figure,) = kernel.sections(block, [1.0])
    inner = np.vstack([contour for contour in figure if _signed(contour) < 0])
    assert np.hypot(*inner.T).max() == pytest.approx(3.3, abs=0.01)


def test_a_bar_is_held_across_and_free_along() -> None:
    block = pocket_block(MagnetPocket(length=20.3, width=9.9, depth=2.4, cap=0.4, ridge=0.3))
    (figure,) = kernel.sections(block, [1.0])
    inner = np.vstack([contour for contour in figure if _signed(contour) < 0])
    assert np.ptp(inner[:, 0]) == pytest.approx(20.3 + 0.6)
    middle = np.abs(inner[np.abs(inner[:, 0]) < 10, 1])
    assert middle.min() == pytest.approx(9.9 / 2)
    assert middle.max() == pytest.approx(9.9 / 2 + 0.3)


@pytest.mark.parametrize("pocket", ALL, ids=label)
def test_step_holds_the_same_body(pocket: Pocket, tmp_path: Path) -> None:
    require_step_here()
    from shadewright.solid.pocket import write_pocket_step
    from shadewright.solid.step import check_shape, read_step_shape, shape_bounds, shape_volume

    for cutter, mesh in ((False, pocket_block(pocket)), (True, pocket_cutter(pocket))):
        shape = read_step_shape(write_pocket_step(tmp_path / "pocket.step", pocket, cutter=cutter))
        assert check_shape(shape) == []
        assert shape_volume(shape) == pytest.approx(mesh.volume, rel=1e-3)
        assert np.abs(shape_bounds(shape) - mesh.bounds).max() < 0.02


@pytest.mark.parametrize(
    ("pocket", "sentence"),
    [
        (replace(NUTS[0], flats=-1.0), "the flats is -1 mm; it must be a number above 0."),
        (replace(NUTS[0], hole=7.0), "a hole of 7 mm leaves the nut nothing to rest on; make it smaller than the nut."),
        (replace(NUTS[0], wall=0.5), "a wall of 0.5 mm is too thin for the chamfer; make it thicker."),
        (replace(NUTS[0], depth=0.6), "a depth of 0.6 mm is too shallow for its chamfer; make it deeper."),
        (
            InsertHole(hole=4.0, depth=6, boss=5.0),
            "a boss of 5 mm leaves no wall around a hole of 4 mm; make it wider.",
        ),
        (
            MagnetPocket(length=6, width=None, depth=2, cap=0.4, ridge=2.0),
            "ridges of 2 mm have no room in a pocket of 6 mm; make them lower, or 0 for none.",
        ),
        (
            MagnetPocket(length=2, width=None, depth=2, cap=0.4, ridge=0.2),
            "a pocket of 2 mm is too small for ridges; glue the magnet instead.",
        ),
        (MagnetPocket(length=6, width=None, depth=2, cap=math.nan), "the cap is nan mm; it must be a number above 0."),
    ],
    ids=lambda value: value[:24] if isinstance(value, str) else label(value),
)
def test_impossible_pockets_are_refused_in_one_sentence(pocket: Pocket, sentence: str) -> None:
    with pytest.raises(ValueProblem) as refusal:
        pocket_block(pocket)
    assert str(refusal.value) == sentence

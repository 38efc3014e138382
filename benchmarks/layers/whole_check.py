"""How long the whole check takes, on shapes like those makers print.

Run: ``python benchmarks/layers/whole_check.py``. Prints triangles, layers, seconds for cutting and for the whole check.
"""

from __future__ import annotations

import time

import numpy as np

from shadewright.layers.check import PartToPrint, check_part
from shadewright.layers.cutting import cut
from shadewright.printing import AsPrinted, Plastic, PrintSetup, Spread
from shadewright.solid import kernel
from shadewright.solid.mesh import Mesh

EXACT = Spread(0.0, 0.0)
SETUP = PrintSetup(
    printer="benchmark",
    bed_x=250,
    bed_y=250,
    bed_z=250,
    nozzle=0.4,
    line_width=0.45,
    layer=0.2,
    first_layer=0.2,
    walls=3,
    skins=4,
    infill=0.15,
    speed_mm_s=80,
    acceleration_mm_s2=1500,
    least_layer_s=8,
    warm_up_s=240,
    plastic=Plastic(name="PLA", density_g_cm3=1.24, flow_limit_mm3_s=11),
    habits=AsPrinted(
        outer_growth=EXACT,
        hole_shrink=EXACT,
        hole_curl=EXACT,
        scale_xy=Spread(1.0, 0.0),
        scale_z=Spread(1.0, 0.0),
        flare=EXACT,
        scatter=0.0,
        source="benchmark",
    ),
)


def bumpy_globe(around: int = 400, up: int = 250) -> Mesh:
    """A ball of 50 mm with bumps, open nowhere; 2 x ``around`` x (``up`` - 1) triangles."""
    angle = np.linspace(0, 2 * np.pi, around, endpoint=False)
    latitude = np.linspace(-np.pi / 2, np.pi / 2, up + 1)[1:-1]
    lat, lon = np.meshgrid(latitude, angle, indexing="ij")
    radius = 50 + 1.5 * np.sin(12 * lon) * np.cos(9 * lat) * np.cos(lat)
    rim = np.stack([radius * np.cos(lat) * np.cos(lon), radius * np.cos(lat) * np.sin(lon), radius * np.sin(lat)], -1)
    vertices = np.vstack([rim.reshape(-1, 3), [[0, 0, -50.0]], [[0, 0, 50.0]]])
    here = np.arange(len(latitude) * around).reshape(-1, around)
    beside = np.roll(here, -1, axis=1)
    low, low_b, high, high_b = here[:-1].ravel(), beside[:-1].ravel(), here[1:].ravel(), beside[1:].ravel()
    south, north = len(vertices) - 2, len(vertices) - 1
    faces = np.concatenate(
        [
            np.column_stack([low, low_b, high_b]),
            np.column_stack([low, high_b, high]),
            np.column_stack([np.full(around, south), beside[0], here[0]]),
            np.column_stack([np.full(around, north), here[-1], beside[-1]]),
        ]
    )
    return Mesh(vertices, faces.astype(np.int32), "bumpy globe").on_bed()


def perforated_shade(rows: int = 12, columns: int = 16) -> Mesh:
    """A tapered shade, 100 mm tall, 2 mm thick, with round holes of 6 mm."""
    shade = kernel.difference(kernel.cylinder(100, 50, 35), kernel.cylinder(100, 48, 33))
    drill = kernel.cylinder(60, 3.0, segments=24)
    lying = drill.vertices @ np.array([[0.0, 0, 1], [0, 1, 0], [-1, 0, 0]]).T
    drills = []
    for row in range(rows):
        for column in range(columns):
            angle = 2 * np.pi * (column + row % 2 / 2) / columns
            turn = np.array([[np.cos(angle), np.sin(angle), 0], [-np.sin(angle), np.cos(angle), 0], [0, 0, 1]])
            drills.append(Mesh(lying @ turn + np.array([0, 0, 8 + row * 7.5]), drill.faces))
    return kernel.difference(shade, *drills).named("perforated shade")


def main() -> None:
    print(f"{'part':<18}{'triangles':>10}{'layers':>8}{'cut s':>8}{'whole s':>9}{'patches':>9}")
    for mesh in (perforated_shade(), bumpy_globe(100, 100), bumpy_globe()):
        start = time.perf_counter()
        layers = cut(mesh, SETUP.first_layer, SETUP.layer)
        cutting = time.perf_counter() - start
        start = time.perf_counter()
        report = check_part(PartToPrint(name=mesh.name, mesh=mesh, setup=SETUP))
        whole = time.perf_counter() - start
        print(
            f"{mesh.name:<18}{len(mesh.faces):>10}{len(layers):>8}{cutting:>8.2f}{whole:>9.2f}{len(report.patches):>9}"
        )


if __name__ == "__main__":
    main()

"""What a small print costs: time and plastic alone, without looking for trouble."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from shadewright.layers.cutting import cut
from shadewright.layers.laying import lay
from shadewright.printing import PrintSetup
from shadewright.solid.mesh import Mesh


@dataclass(frozen=True, slots=True)
class PrintCost:
    """Time [s], mass [g] and model volume [mm³] of meshes printed together on one bed."""

    time_s: float
    mass_g: float
    volume_mm3: float


def print_cost(meshes: Sequence[Mesh], setup: PrintSetup) -> PrintCost:
    """Likely cost of printing ``meshes`` together: the bed is warmed up once.

    Each mesh is reckoned layer by layer as if alone, so least layer times are counted for each; that errs on the
    long side for several small pieces.
    """
    laid = [lay(cut(mesh.on_bed(), setup.first_layer, setup.layer), setup) for mesh in meshes]
    return PrintCost(
        time_s=sum(one.time_s for one in laid) - setup.warm_up_s * (len(laid) - 1),
        mass_g=sum(one.mass_g for one in laid),
        volume_mm3=sum(mesh.volume for mesh in meshes),
    )

"""The whole check of one part before it is printed."""

from __future__ import annotations

from dataclasses import dataclass

from shadewright.errors import ModelProblem
from shadewright.findings import Verdict
from shadewright.layers.bed import bed_fit
from shadewright.layers.cutting import Layers, cut
from shadewright.layers.footing import Standing, standing_pieces
from shadewright.layers.laying import lay
from shadewright.layers.overhang import Spot, hanging
from shadewright.layers.painting import trouble_by_face
from shadewright.layers.plane import outlines, spot_in
from shadewright.layers.report import LayerReport, Patch, Trouble
from shadewright.layers.thin import thin_walls
from shadewright.layers.wording import Checked, findings, heights
from shadewright.printing import PrintSetup
from shadewright.progress import SILENT, Progress
from shadewright.solid.mesh import Mesh


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class PartToPrint:
    """One part as it is to be printed.

    Attributes:
        name: What the findings call it.
        mesh: A closed solid, the way up it is printed.
        setup: Printer, plastic and settings.
    """

    name: str
    mesh: Mesh
    setup: PrintSetup


def check_part(part: PartToPrint, progress: Progress = SILENT) -> LayerReport:
    """Cut a part into layers and say what the printer will get wrong.

    Args:
        part: The part, its way up and its settings.
        progress: Told of every layer.

    Returns:
        Measures, patches of trouble and findings, worst first; a check that found nothing says so in a sound finding.

    Raises:
        ModelProblem: The mesh is not closed, or encloses nothing.

    Sources:
        Rules of thumb stand in ``overhang``, ``thin``, ``footing`` and ``laying``, each with where it comes from.
    """
    mesh = part.mesh.on_bed()
    volume = mesh.volume
    if not volume > 0:
        raise ModelProblem.of("it encloses no volume", "repair the model first", part.name)
    setup = part.setup
    layers = cut(mesh, setup.first_layer, setup.layer, progress)
    spots = [
        *hanging(layers, mesh, setup.line_width, progress),
        *thin_walls(layers, setup.line_width, progress),
    ]
    standing = standing_pieces(layers, float(mesh.size[2]))
    laid = lay(layers, setup)
    bed = bed_fit(mesh, setup)
    checked = Checked(subject=f"part {part.name}", layers=layers, setup=setup, bed=bed, spots=spots, standing=standing)
    return LayerReport(
        part=part.name,
        layers=len(layers),
        height=float(mesh.size[2]),
        volume=volume,
        bed_area=float(layers.regions[0].area),
        fits_bed=bed.fits,
        plastic_mm3=laid.plastic_mm3,
        mass_g=laid.mass_g,
        time_s=laid.time_s,
        time_low_s=laid.time_low_s,
        time_high_s=laid.time_high_s,
        patches=_patches(layers, spots, standing),
        trouble_by_face=trouble_by_face(mesh, layers, spots, standing),
        findings=findings(checked),
    )


def _patches(layers: Layers, spots: list[Spot], standing: list[Standing]) -> tuple[Patch, ...]:
    made = [_patch(spot, layers) for spot in spots if spot.verdict is not Verdict.SOUND]
    made += [_foot_patch(piece) for piece in standing if piece.verdict is not Verdict.SOUND]
    return tuple(sorted(made, key=lambda patch: (patch.doubtful_only, -patch.area)))


def _patch(spot: Spot, layers: Layers) -> Patch:
    x, y = spot_in(spot.region)
    z_low, z_high = heights(spot, layers)
    return Patch(
        trouble=spot.trouble,
        doubtful_only=spot.verdict is not Verdict.FAILING,
        z_low=z_low,
        z_high=z_high,
        area=float(spot.region.area),
        measure=spot.measure,
        x=x,
        y=y,
        outlines=outlines(spot.lowest),
    )


def _foot_patch(piece: Standing) -> Patch:
    x, y = spot_in(piece.feet)
    return Patch(
        trouble=Trouble.FOOTING,
        doubtful_only=piece.verdict is not Verdict.FAILING,
        z_low=0.0,
        z_high=piece.top,
        area=float(piece.feet.area),
        measure=piece.safety,
        x=x,
        y=y,
        outlines=outlines(piece.feet),
    )

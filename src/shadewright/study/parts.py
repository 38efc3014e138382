"""One part: its model read, stood on the bed and cut into layers."""

from __future__ import annotations

from dataclasses import dataclass

from shadewright.bench.store import Bench
from shadewright.findings import Finding, Verdict
from shadewright.lamp.read import ReadLamp
from shadewright.layers.check import PartToPrint, check_part
from shadewright.layers.standing import stand
from shadewright.progress import Progress
from shadewright.solid.read import Model, read_model
from shadewright.study.questions import setup_of
from shadewright.study.result import PartStudy


@dataclass(frozen=True, slots=True)
class PartAnswer:
    """A part's study together with the findings it gives rise to."""

    study: PartStudy
    findings: tuple[Finding, ...]


def read_part(read: ReadLamp, name: str) -> Model:
    """Read the model of the part ``name``; errors name the line in ``lamp.toml`` that asked for it."""
    part = read.lamp.part[name]
    return read_model(
        read.folder / part.model, unit=part.unit, repair=part.repair, where=read.where("part", name, "model")
    )


def study_part(read: ReadLamp, name: str, model: Model, bench: Bench, progress: Progress) -> PartAnswer:
    """Cut the part ``name`` into layers and gather what the model and the layers have to say."""
    part = read.lamp.part[name]
    setup = setup_of(read, part, bench)
    mesh = stand(model.mesh, part.up).named(name)
    report = check_part(PartToPrint(name=name, mesh=mesh, setup=setup), progress)
    study = PartStudy(
        name=name,
        model_file=str(part.model),
        model_notes=model.notes,
        plastic=setup.plastic.name,
        copies=part.copies,
        mesh=mesh,
        setup=setup,
        report=report,
    )
    return PartAnswer(study, (*_model_findings(name, model), *report.findings))


def _model_findings(name: str, model: Model) -> tuple[Finding, ...]:
    return tuple(
        Finding(
            code="model.note",
            subject=f"part {name}",
            verdict=Verdict.DOUBTFUL,
            sentence=note,
            cure="look at the model, and export it again if this is not what was meant",
        )
        for note in model.notes
    )

"""The study: every calculation run on one lamp and one bench."""

from __future__ import annotations

from shadewright import __version__
from shadewright.bench.store import Bench
from shadewright.errors import UserError
from shadewright.findings import Finding, worst
from shadewright.lamp.read import ReadLamp, require_on_bench
from shadewright.progress import SILENT, Progress, stepping
from shadewright.solid.read import Model
from shadewright.study.bought import shopping_list, study_bought
from shadewright.study.cautions import cautions_for
from shadewright.study.drawn import ModelFeatures
from shadewright.study.heat import study_heat
from shadewright.study.hold_joints import study_hold_joints
from shadewright.study.hold_lamp import study_hold_lamp
from shadewright.study.joints import study_joints
from shadewright.study.parts import read_part, study_part
from shadewright.study.result import Study
from shadewright.study.stacks import study_stacks


def run_study(read: ReadLamp, bench: Bench, progress: Progress = SILENT) -> Study:
    """Study a whole lamp.

    Args:
        read: The lamp as read from its folder.
        bench: Whose printers, plastics and habits to use.
        progress: Told of every part and joint.

    Returns:
        All findings, worst first; within one verdict in the order parts, joints, bought things.

    Raises:
        UserError: Names the bench does not know; else every problem of models, then of joints, in one go.
    """
    require_on_bench(read, [card.name for card in bench.printers()], [card.name for card in bench.plastics()])
    models = _models(read, progress)
    parts = [study_part(read, name, model, bench, progress) for name, model in models.items()]
    times = {part.study.name: part.study.report.time_s for part in parts}
    joints = study_joints(read, read.lamp.joint, bench, times, ModelFeatures(models), progress=progress)
    findings = [finding for part in parts for finding in part.findings]
    findings += [finding for joint in joints for finding in joint.findings]
    findings += study_stacks(read, bench)
    findings += study_bought(read)
    part_studies, joint_studies = [part.study for part in parts], [joint.study for joint in joints]
    heat = study_heat(read, bench, part_studies, progress)
    findings += heat.findings
    findings += study_hold_joints(read, bench, part_studies, joint_studies, heat.temps_c)
    findings += study_hold_lamp(read, bench, part_studies, joint_studies, heat.temps_c)
    ordered = tuple(sorted(findings, key=lambda finding: finding.verdict.rank))
    lamp = read.lamp
    made = [(part.study, part.study.copies * lamp.lamp.copies) for part in parts]
    return Study(
        lamp=lamp.lamp.name,
        copies=lamp.lamp.copies,
        folder=read.folder.resolve().name,
        program=f"shadewright {__version__}",
        note=lamp.lamp.note,
        verdict=worst(ordered),
        findings=ordered,
        parts=tuple(part.study for part in parts),
        joints=tuple(joint.study for joint in joints),
        shopping=shopping_list(read),
        cautions=cautions_for(lamp),
        total_time_s=sum(part.report.time_s * count for part, count in made),
        total_mass_g=sum(part.report.mass_g * count for part, count in made),
    )


def _models(read: ReadLamp, progress: Progress) -> dict[str, Model]:
    problems: list[UserError] = []
    models = {}
    for name in stepping(progress, "reading models", read.lamp.part, len(read.lamp.part)):
        try:
            models[name] = read_part(read, name)
        except UserError as error:
            problems.append(error)
    _raise_all(problems)
    return models


def _raise_all(problems: list[UserError]) -> None:
    if problems:
        raise UserError(problem for error in problems for problem in error.problems)


def failing(findings: tuple[Finding, ...]) -> bool:
    """Whether anything is failing, which decides the exit code."""
    return any(finding.verdict.rank == 0 for finding in findings)

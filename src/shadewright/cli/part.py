"""``shadewright part``: one model file, layer by layer."""

from __future__ import annotations

import textwrap
from argparse import ArgumentParser, Namespace
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from shadewright.cli.command import FINDINGS, SOUND, Answer
from shadewright.cli.options import add_bench_options, setup_from

if TYPE_CHECKING:
    from shadewright.findings import Finding
    from shadewright.layers.report import LayerReport
    from shadewright.printing import PrintSetup

_UNITS = ("mm", "um", "cm", "m", "inch", "ft")
_WAYS_UP = ("+x", "-x", "+y", "-y", "+z", "-z")
_WIDTH = 90


@dataclass(frozen=True, slots=True)
class _Read:
    """What was read, and which way up it is printed."""

    file: str
    format: str
    unit: str
    bodies: int
    notes: tuple[str, ...]
    size: tuple[float, ...]
    up: str


def add_arguments(parser: ArgumentParser) -> None:
    """Declare the model, its unit, its way up and the bench's options."""
    parser.epilog = (
        'Examples: "shadewright part shade.stl"; "shadewright part bracket.step --up -z --plastic PETG"; '
        '"shadewright part old.stl --unit inch --repair". Exit code 1 when something is failing.'
    )
    parser.add_argument("model", type=Path, metavar="FILE", help="STL, 3MF, OBJ, PLY, GLB or STEP")
    parser.add_argument("--unit", choices=_UNITS, help="what the file's numbers are (default: as the file says, or mm)")
    parser.add_argument(
        "--up", choices=_WAYS_UP, default="+z", help="axis of the model that points up from the bed; write --up=-z"
    )
    parser.add_argument("--repair", action="store_true", help="mend what can be mended without guessing, and say so")
    add_bench_options(parser)


def run(options: Namespace) -> Answer:
    """Read the model, stand it up, cut it into layers and sum up."""
    from shadewright.cli.bars import bars
    from shadewright.findings import Verdict, worst
    from shadewright.layers.check import PartToPrint, check_part
    from shadewright.layers.standing import stand
    from shadewright.plain import plain
    from shadewright.solid.read import read_model

    setup = setup_from(options)
    with bars() as progress:
        read_it = progress.start(f"reading {options.model.name}", 1)
        model = read_model(options.model, unit=options.unit, repair=options.repair)
        read_it()
        mesh = stand(model.mesh, options.up)
        report = check_part(PartToPrint(name=options.model.stem, mesh=mesh, setup=setup), progress)
    size = tuple(float(extent) for extent in mesh.size)
    read = _Read(str(options.model), model.format, model.unit, model.bodies, model.notes, size, options.up)
    verdict = worst(report.findings)
    return Answer(
        data={"verdict": verdict, "model": read, "setup": setup, "report": plain(report, leave_out=_BULKY)},
        text=_summary(read, report, setup),
        exit_code=FINDINGS if verdict is Verdict.FAILING else SOUND,
    )


_BULKY = frozenset({"trouble_by_face", "outlines"})


def _summary(read: _Read, report: LayerReport, setup: PrintSetup) -> str:
    from shadewright.findings import Verdict, worst
    from shadewright.paper import wording

    verdict = worst(report.findings)
    head = f"{report.part}: {wording.MARKS[verdict]} {verdict} ({wording.tally_text(report.findings)})"
    blocks = [[head, *_facts(read, report, setup)]]
    for level in Verdict:
        these = [finding for finding in report.findings if finding.verdict is level]
        if these:
            lines = [line for finding in these for line in _told(finding)]
            blocks.append([f"{wording.MARKS[level]} {level}", *lines])
    return "\n\n".join("\n".join(block) for block in blocks)


def _facts(read: _Read, report: LayerReport, setup: PrintSetup) -> list[str]:
    from shadewright.paper import wording
    from shadewright.wording import duration

    size = " x ".join(f"{extent:.2f}" for extent in read.size)
    bodies = "" if read.bodies == 1 else f", {read.bodies} bodies"
    span = wording.duration_range(report.time_low_s, report.time_high_s)
    facts = [
        f"{size} mm, {report.volume / 1000:.4g} cm³{bodies}; {wording.count_of(report.layers, 'layer')} of "
        f"{setup.layer:g} mm, {setup.plastic.name}, on {setup.printer}",
        f"about {duration(report.time_s)} ({span}), {wording.mass(report.mass_g)} of plastic; "
        f"stands on {report.bed_area:.0f} mm²",
        *(f"note: {note}" for note in read.notes),
    ]
    return [line for fact in facts for line in _wrapped(fact, "  ")]


def _told(finding: Finding) -> list[str]:
    cure = _wrapped(f"→ {finding.cure}", "    ") if finding.cure else []
    return [*_wrapped(finding.sentence, "  "), *cure]


def _wrapped(text: str, indent: str) -> list[str]:
    return textwrap.wrap(text, _WIDTH, initial_indent=indent, subsequent_indent=indent + "  ", break_on_hyphens=False)

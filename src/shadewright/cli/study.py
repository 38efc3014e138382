"""``shadewright study``: everything that can be said of one lamp, on screen and on paper."""

from __future__ import annotations

from argparse import ArgumentParser, Namespace
from pathlib import Path
from typing import TYPE_CHECKING, Literal

from shadewright.cli.command import FINDINGS, SOUND, Answer
from shadewright.cli.options import add_bench_file_option, open_bench
from shadewright.cli.stated_joint import lamp_name

if TYPE_CHECKING:
    from shadewright.bench.store import Bench
    from shadewright.lamp.read import ReadLamp
    from shadewright.progress import Progress
    from shadewright.study.result import Study


def add_arguments(parser: ArgumentParser) -> None:
    """Declare the lamp, where paper goes, and what to leave out."""
    parser.add_argument("lamp", type=Path, metavar="LAMP", help="a lamp folder, or its lamp.toml")
    parser.add_argument("--out", type=Path, metavar="FOLDER", help="where paper and trials go (default: LAMP/out)")
    parser.add_argument("--paper", choices=("a4", "letter"), default="a4", help="size of the build sheet")
    parser.add_argument("--no-paper", action="store_true", help="only say what was found; write nothing")
    add_bench_file_option(parser)


def run(options: Namespace) -> Answer:
    """Study the lamp, write study.html, sheet.pdf and the trial pieces, and sum up."""
    from shadewright.cli.bars import bars
    from shadewright.lamp.read import read_lamp
    from shadewright.paper.terminal import summary
    from shadewright.study.result import as_data
    from shadewright.study.run import failing, run_study

    read = read_lamp(options.lamp)
    out = options.out or read.folder / "out"
    with bars() as progress, open_bench(options) as bench:
        study = run_study(read, bench, progress)
        written = () if options.no_paper else _write(study, out, options.paper, progress)
        if written:
            _keep_trials(read, study, bench)
    return Answer(
        data={**as_data(study), "written": [str(path) for path in written]},
        text=summary(study, tuple(_short(path) for path in written)),
        exit_code=FINDINGS if failing(study.findings) else SOUND,
    )


def _write(study: Study, out: Path, paper: str, progress: Progress) -> tuple[Path, ...]:
    from shadewright.paper.drawings import draw_study
    from shadewright.paper.page import write_html
    from shadewright.paper.sheet import write_pdf
    from shadewright.solid.write import write_3mf

    drawings = draw_study(study, progress)
    trials = [joint.trial for joint in study.joints if joint.trial]
    step = progress.start("writing paper and trials", 2 + len(trials))
    written = []
    for trial in trials:
        written.append(write_3mf(out / trial.files[0], trial.piece.pieces, title=f"trial {trial.joint}"))
        step()
    written.append(write_html(study, out / "study.html", drawings))
    step()
    size: Literal["a4", "us-letter"] = "us-letter" if paper == "letter" else "a4"
    written.append(write_pdf(study, out / "sheet.pdf", paper=size, drawings=drawings))
    step()
    return tuple(written)


def _keep_trials(read: ReadLamp, study: Study, bench: Bench) -> None:
    """Put the trials that were written on the bench, so that their outcomes can be recorded."""
    from datetime import date

    from shadewright.bench.trials import keep_trial
    from shadewright.study.questions import question_for

    today = date.today().isoformat()
    for joint in study.joints:
        if joint.trial is not None and joint.sizing is not None:
            question = question_for(read, joint.name, bench)
            keep_trial(bench, question, joint.sizing, joint.trial.piece, lamp=lamp_name(read.folder), made_on=today)


def _short(path: Path) -> str:
    """The path as a reader would type it from where the command was run."""
    try:
        return str(path.resolve().relative_to(Path.cwd()))
    except ValueError:
        return str(path)

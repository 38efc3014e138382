"""``shadewright trial``: the smallest print that settles a joint, as one 3MF, kept on the bench until it was tried."""

from __future__ import annotations

from argparse import ArgumentParser, Namespace
from dataclasses import dataclass
from pathlib import Path
from textwrap import wrap
from typing import TYPE_CHECKING

from shadewright.cli.command import Answer
from shadewright.cli.options import open_bench, stated_settings, whole
from shadewright.cli.stated_joint import add_joint_options, file_stem, lamp_name, mate_in_words, stated_question
from shadewright.cli.trial_kinds import several_dimensions, write_kind_trial
from shadewright.errors import ValueProblem
from shadewright.wording import percent

if TYPE_CHECKING:
    from shadewright.bench.store import Bench
    from shadewright.fit.joint import JointQuestion, Sizing
    from shadewright.lamp.read import ReadLamp
    from shadewright.layers.costing import PrintCost
    from shadewright.printing import PrintSetup
    from shadewright.solid.features import Rung

KINDS = ("thread", "slide", "push")
_WIDTH = 88


@dataclass(frozen=True, slots=True, kw_only=True)
class Trial:
    """The trial as written.

    Attributes:
        joint: Which joint.
        sizing: What calculation alone says.
        mate: What the rungs are tried with.
        rungs: What each tries.
        how_to: How to try it.
        cost: Time and plastic.
        file: Where it was written.
        name: Under which the bench keeps it; empty when it keeps nothing.
    """

    joint: str
    sizing: Sizing
    mate: str
    rungs: tuple[Rung, ...]
    how_to: str
    cost: PrintCost
    file: str
    name: str


def add_arguments(parser: ArgumentParser) -> None:
    """Declare the joint, in a lamp or stated here, and the number of rungs."""
    parser.epilog = (
        'Examples: "shadewright trial my-lamp neck" for a joint of a lamp; '
        '"shadewright trial thread E27 --female" or "shadewright trial slide 40" without one. '
        'When it was tried: "shadewright trial record my-lamp neck 3=snug 4=free". '
        'A lamp in a folder called "slide" is written ./slide. Side, feel, mate and settings of a lamp\'s joint '
        "stand in its lamp.toml."
    )
    parser.add_argument("what", metavar="LAMP|KIND", help="a lamp's folder; or thread, slide, push")
    parser.add_argument("joint", metavar="JOINT|SIZE", help="name of the joint; or nominal size in mm, or a thread")
    parser.add_argument(
        "-o", "--output", type=Path, metavar="FILE", help=".3mf to write (default: in the lamp's out/trials, or here)"
    )
    parser.add_argument(
        "--rungs", type=whole, metavar="N", help="how many clearances, 3 to 7 (default: 5; above 20 mm 3)"
    )
    parser.add_argument("--flat", action="store_true", help="flat faces: a tongue in a slot")
    add_joint_options(parser)


def run(options: Namespace) -> Answer:
    """Size the joint, make the piece, write it, keep it, and say what each rung is."""
    with open_bench(options) as bench:
        return _made(bench, options)


def _made(bench: Bench, options: Namespace) -> Answer:
    from datetime import date

    from shadewright.bench.trials import keep_trial
    from shadewright.fit.size import size_joint
    from shadewright.layers.costing import print_cost
    from shadewright.solid.trial import trial_for
    from shadewright.solid.write import write_3mf

    if options.output is not None and options.output.suffix.lower() != ".3mf":
        raise ValueProblem.of(f"{options.output.name} is of no kind that holds several solids", "name it .3mf", "-o")
    if options.what in KINDS:
        question, setup, place, lamp = _stated(bench, options)
    else:
        read, place = _read(options)
        if several_dimensions(read, options.joint):
            return write_kind_trial(read, options.joint, bench, options.output or place, options.rungs)
        question, setup, lamp = _from_lamp(read, options.joint, bench)
    sizing = size_joint(question)
    target = options.output or place
    piece = trial_for(question, sizing, options.rungs, bed_x=setup.bed_x, bed_y=setup.bed_y)
    cost = print_cost(piece.pieces, setup)
    write_3mf(target, piece.pieces, title=f"Trial for {question.name}")
    kept = keep_trial(bench, question, sizing, piece, lamp=lamp, made_on=date.today().isoformat())
    trial = Trial(
        joint=question.name,
        sizing=sizing,
        mate=mate_in_words(question),
        rungs=piece.rungs,
        how_to=piece.how_to,
        cost=cost,
        file=str(target),
        name=kept.name if kept else "",
    )
    return Answer(data=trial, text=_text(trial, question))


def _stated(bench: Bench, options: Namespace) -> tuple[JointQuestion, PrintSetup, Path, str]:
    from shadewright.catalog.threads import Sex

    if options.what != "slide" and options.flat:
        raise ValueProblem.of("--flat is for slides", "leave it out")
    setup = bench.setup(**stated_settings(options))
    sex = Sex(options.sex or "female")
    question = stated_question(
        options.what, options.joint, sex, options, setup, what="the part", round_faces=not options.flat
    )
    place = Path(f"{file_stem('trial', options.what, options.joint)}.3mf")
    return bench.as_learned(question), setup, place, ""


def _read(options: Namespace) -> tuple[ReadLamp, Path]:
    """The lamp, and where the trial of its joint goes."""
    from shadewright.lamp.read import read_lamp

    stray = [name for name in ("sex", "feel", "mate", "limits", "liner_wall", "flat") if getattr(options, name)]
    if stray:
        option = f"--{options.sex if stray[0] == 'sex' else stray[0].replace('_', '-')}"
        raise ValueProblem.of(f"{option} cannot be given for a lamp's joint", "write it in the lamp's lamp.toml")
    read = read_lamp(Path(options.what))
    return read, read.folder / "out" / "trials" / f"{file_stem(options.joint)}.3mf"


def _from_lamp(read: ReadLamp, name: str, bench: Bench) -> tuple[JointQuestion, PrintSetup, str]:
    """A joint of one dimension as the lamp states it."""
    from shadewright.fit.questions import drawing_sex
    from shadewright.study.questions import question_for, setup_of

    question = question_for(read, name, bench)
    side = question.male if drawing_sex(question) == "male" else question.female
    return question, setup_of(read, read.lamp.part[side.name], bench), lamp_name(read.folder)


def _text(trial: Trial, question: JointQuestion) -> str:
    from shadewright.catalog.threads import Sex

    side = Sex(trial.sizing.draw_side)
    size = "major" if question.thread is not None else "width" if not question.round else "diameter"
    cost, chance = trial.cost, percent(trial.sizing.chance_wanted)
    lines = [
        f"Trial for {trial.joint}: {len(trial.rungs)} rungs, {side} side; mate {trial.mate}",
        *wrap(f"By calculation {question.feel} in {chance}: {trial.sizing.sentence}.", _WIDTH),
        "",
        f"  strokes  digits   {size + ' drawn':<15}  clearance drawn",
    ]
    for rung in trial.rungs:
        hundredths = f"{round(100 * rung.clearance):d}"
        lines.append(
            f"  {'|' * rung.number:<7}  {hundredths:>6}   {rung.drawn:>10.2f} mm     {rung.clearance:>+8.2f} mm"
        )
    lines += ["", *wrap(trial.how_to, _WIDTH), ""]
    lines.append(f"About {cost.time_s / 60:.0f} min and {cost.mass_g:.1f} g. Wrote {trial.file}.")
    if trial.name:
        how = f'shadewright trial record "{trial.name}" 1=tight 2=snug ...'
        lines += [f"Kept as {trial.name}. When it was tried: {how}"]
    return "\n".join(lines)

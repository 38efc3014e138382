"""``shadewright size``: what to draw so that one joint has the wanted feel."""

from __future__ import annotations

from argparse import ArgumentParser, ArgumentTypeError, Namespace
from typing import TYPE_CHECKING

from shadewright.cli.command import Answer
from shadewright.cli.options import add_bench_options, as_learned, positive, setup_from
from shadewright.errors import ValueProblem
from shadewright.wording import percent

if TYPE_CHECKING:
    from shadewright.catalog.threads import Thread
    from shadewright.fit.joint import Feel, JointQuestion, Share, Side, Sizing
    from shadewright.printing import AsPrinted

_BAR = 40
_LENGTH = 10.0  # engagement [mm]; sizing does not depend on it
_NAME = 56
_FEELS = ("loose", "free", "easy", "snug", "tight", "fixed")


def add_arguments(parser: ArgumentParser) -> None:
    """Declare the joint's facts and the bench's options."""
    parser.epilog = (
        'Examples: "shadewright size slide 40 --feel easy" for two printed parts; '
        '"shadewright size thread M10x1 --bought male" for a printed nut on a bought screw; '
        '"shadewright size push 6 --bought male --limits 5.95 6.02" for a bought pin in a printed hole. '
        "Sizes are diameters in mm (widths with --flat)."
    )
    parser.add_argument("kind", choices=("thread", "slide", "push"), help="kind of joint")
    parser.add_argument("size", metavar="SIZE", help="nominal size in mm; for a thread its name")
    parser.add_argument("--feel", choices=_FEELS, help="wanted feel (default: thread easy, slide snug, push tight)")
    parser.add_argument("--draw", choices=("male", "female"), default="female", help="which side takes the allowance")
    parser.add_argument("--drawn-male", type=positive, metavar="MM", help="what the male model has today")
    parser.add_argument("--drawn-female", type=positive, metavar="MM", help="what the female model has today")
    parser.add_argument("--bought", choices=("male", "female"), help="this side is bought")
    parser.add_argument(
        "--limits",
        type=positive,
        nargs=2,
        metavar=("LOW", "HIGH"),
        help="size of the bought side: male outside, female inside (threads: default from the catalogue)",
    )
    parser.add_argument("--flat", action="store_true", help="flat faces: a tongue in a slot")
    parser.add_argument("--liner-wall", type=positive, metavar="MM", help="wall of a thin sleeve that bends in a shell")
    parser.add_argument(
        "--facets", type=_sides, metavar="N", help="printed circles are modelled with N straight sides (default: exact)"
    )
    parser.add_argument(
        "--mouth-on-bed", action="store_true", help="printed mouths stand on the bed, where layers flare"
    )
    add_bench_options(parser)


def run(options: Namespace) -> Answer:
    """Size the joint."""
    from shadewright.fit.size import size_joint

    question = as_learned(options, _question(options))
    sizing = size_joint(question)
    return Answer(data=sizing, text=_text(question, sizing))


def _question(options: Namespace) -> JointQuestion:
    from shadewright.catalog.lookup import thread as look_up
    from shadewright.fit.joint import Feel, JointKind, JointQuestion

    thread = look_up(options.size, "SIZE") if options.kind == "thread" else None
    nominal = thread.major if thread is not None else _nominal(options.size)
    if options.limits and not options.bought:
        raise ValueProblem.of("--limits speaks of a bought side", "say which with --bought male or --bought female")
    setup = setup_from(options)
    usual = {"thread": "easy", "slide": "snug", "push": "tight"}[options.kind]
    return JointQuestion(
        name=f"{options.kind} {options.size}",
        kind=JointKind(options.kind),
        feel=Feel(options.feel or usual),
        nominal=nominal,
        length=_LENGTH,
        male=_side(options, "male", thread, nominal, setup.habits),
        female=_side(options, "female", thread, nominal, setup.habits),
        draw=options.draw,
        round=not options.flat,
        thread=thread,
        liner_wall=options.liner_wall,
        nozzle=setup.nozzle,
        layer=setup.layer,
    )


def _side(options: Namespace, which: str, thread: Thread | None, nominal: float, habits: AsPrinted) -> Side:
    from shadewright.catalog.threads import Limits, Sex
    from shadewright.fit.as_printed import sagitta_of
    from shadewright.fit.joint import Side

    name = f"{which} side"
    drawn = getattr(options, f"drawn_{which}")
    if options.bought != which:
        sagitta = sagitta_of(nominal, options.facets) if options.facets else 0.0
        return Side(name=name, drawn=drawn, habits=habits, sagitta=sagitta, mouth_on_bed=options.mouth_on_bed)
    if drawn is not None:
        raise ValueProblem.of(
            f"the {which} side is bought, so nothing of it is drawn", f"leave out --drawn-{which}, or use --limits"
        )
    if options.limits:
        return Side(name=name, bought=Limits(*options.limits))
    if thread is None:
        raise ValueProblem.of(
            f"the bought {which} side has no size", "add --limits LOW HIGH, e.g. caliper readings minus and plus 0.03"
        )
    return Side(name=name, bought=thread.felt_diameter(Sex(which)))


def _nominal(text: str) -> float:
    try:
        return positive(text)
    except ArgumentTypeError as error:
        what, cure = str(error).split("; ", 1)
        raise ValueProblem.of(what, cure, "SIZE") from None


def _sides(text: str) -> int:
    if not (text.isascii() and text.isdigit() and int(text) >= 3):
        raise ArgumentTypeError(f'"{text}" is no number of sides; write a whole number of 3 or more')
    return int(text)


def _text(question: JointQuestion, sizing: Sizing) -> str:
    from textwrap import wrap

    head = wrap(sizing.sentence[0].upper() + sizing.sentence[1:] + ".", 88, break_on_hyphens=False)
    gap = f"{sizing.gap:+.2f}".replace("-0.00", "+0.00")
    drawn = f"drawn clearance {sizing.clearance_drawn:+.2f} mm, true gap {gap} ± {2 * sizing.gap_sd:.2f} mm (2 sd)"
    lines = [*head, "", f"On the diameter: {drawn}." if question.round else f"On the width: {drawn}.", ""]
    lines += _chance_lines(f"Chances drawn so ({question.feel} is wanted)", question.feel, sizing.chances)
    if sizing.chances_today is not None and sizing.clearance_today is not None:
        title = f"Chances as drawn today (clearance {sizing.clearance_today:+.2f} mm)"
        lines += ["", *_chance_lines(title, question.feel, sizing.chances_today)]
    lines += ["", f"{'Room it takes':<{_NAME}}  mm     ±sd", *_share_lines(sizing.shares), ""]
    lines += wrap(_advice(question, sizing), 88, break_on_hyphens=False)
    lines += ["", *wrap(f"From: {sizing.source}.", 88, break_on_hyphens=False)]
    return "\n".join(lines)


def _chance_lines(title: str, wanted: Feel, chances: tuple[tuple[Feel, float], ...]) -> list[str]:
    rows = []
    for feel, chance in chances:
        bar = "█" * round(_BAR * chance)
        rows.append(f"  {'>' if feel is wanted else ' '} {feel:<6} {chance:5.0%}  {bar}".rstrip())
    return [title, *rows]


def _share_lines(shares: tuple[Share, ...]) -> list[str]:
    """One row for each share that shows in hundredths."""
    rows = [(share.name, f"{share.mm:+.2f}".replace("-0.00", "+0.00"), f"{share.sd:.2f}") for share in shares]
    return [f"{name:<{_NAME}} {mm:>6}  {sd:>5}" for name, mm, sd in rows if (mm, sd) != ("+0.00", "0.00")]


def _advice(question: JointQuestion, sizing: Sizing) -> str:
    if sizing.trial_worth:
        return (
            f"Print a trial first: as it stands {question.feel} comes out in only {percent(sizing.chance_wanted)} of "
            "prints, and what a trial shows would raise that."
        )
    if sizing.chance_wanted >= 0.8:
        return f"No trial needed: {question.feel} in {percent(sizing.chance_wanted)} of prints."
    return (
        f"A trial would not help much: {question.feel} in {percent(sizing.chance_wanted)} of prints, and the rest is "
        "scatter from print to print. Ask for a wider feel, or file to fit."
    )

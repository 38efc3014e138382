"""A joint stated on the command line, of which one side is printed: shared by ``make`` and ``trial``."""

from __future__ import annotations

from argparse import ArgumentParser, ArgumentTypeError, Namespace
from typing import TYPE_CHECKING

from shadewright.cli.options import add_bench_options, positive
from shadewright.errors import ValueProblem

if TYPE_CHECKING:
    from pathlib import Path

    from shadewright.catalog.threads import Sex, Thread
    from shadewright.fit.joint import JointQuestion, Side
    from shadewright.printing import AsPrinted, PrintSetup

FEELS = ("loose", "free", "easy", "snug", "tight", "fixed")
USUAL_FEEL = {"thread": "easy", "slide": "snug", "push": "tight"}


def add_joint_options(parser: ArgumentParser) -> None:
    """Declare which side is printed, how it shall feel, and what it meets."""
    side = parser.add_mutually_exclusive_group()
    side.add_argument("--male", dest="sex", action="store_const", const="male", help="the male side is printed")
    side.add_argument("--female", dest="sex", action="store_const", const="female", help="the female side is printed")
    parser.add_argument("--feel", choices=FEELS, help="wanted feel (default: thread easy, slide snug, push tight)")
    parser.add_argument("--length", type=positive, default=10.0, metavar="MM", help="length of the joint (default: 10)")
    parser.add_argument(
        "--mate",
        choices=("bought", "printed"),
        help="what it meets (default: threads bought; others printed, unless --limits is given)",
    )
    parser.add_argument(
        "--limits",
        type=positive,
        nargs=2,
        metavar=("LOW", "HIGH"),
        help="least and greatest size of the bought mate (threads: default from the catalogue)",
    )
    parser.add_argument("--liner-wall", type=positive, metavar="MM", help="wall of a thin sleeve that bends in a shell")
    add_bench_options(parser)


def stated_question(
    kind: str, size: str, sex: Sex, options: Namespace, setup: PrintSetup, *, what: str, round_faces: bool = True
) -> JointQuestion:
    """The sizing question of a joint whose ``sex`` side is printed with ``setup``.

    Args:
        kind: thread, slide or push.
        size: Nominal size in mm, or a thread's name.
        sex: The printed side.
        options: As ``add_joint_options`` declares them.
        setup: How it is printed.
        what: What the printed side is called.
        round_faces: False for flat ones.

    Raises:
        UnknownName: No such thread.
        ValueProblem: A size that is no number, or options that contradict each other.
    """
    from shadewright.fit.joint import Feel, JointKind, JointQuestion, Side

    thread = stated_thread(kind, size)
    mate = "male" if sex == "female" else "female"
    sides = {sex.value: Side(name=what, habits=setup.habits), mate: _mate(options, mate, thread, setup.habits)}
    return JointQuestion(
        name=f"{kind} {size}",
        kind=JointKind(kind),
        feel=Feel(options.feel or USUAL_FEEL[kind]),
        nominal=thread.major if thread is not None else millimetres(size),
        length=options.length,
        male=sides["male"],
        female=sides["female"],
        draw=sex.value,
        round=round_faces,
        thread=thread,
        liner_wall=options.liner_wall,
        nozzle=setup.nozzle,
        layer=setup.layer,
    )


def stated_thread(kind: str, size: str) -> Thread | None:
    """The thread that ``size`` names; None for other kinds."""
    from shadewright.catalog.lookup import thread as look_up

    return look_up(size, "SIZE") if kind == "thread" else None


def millimetres(size: str) -> float:
    """Read SIZE as a number above 0.

    Raises:
        ValueProblem: It is none.
    """
    try:
        return positive(size)
    except ArgumentTypeError as error:
        what, _, cure = str(error).partition("; ")
        raise ValueProblem.of(what, cure, "SIZE") from None


def mate_in_words(question: JointQuestion) -> str:
    """What the printed side meets, and of which size."""
    mate = question.male if question.draw == "female" else question.female
    if mate.bought is None:
        return f"printed too, drawn {mate.drawn or question.nominal:g} mm"
    felt = "" if question.thread is None else " outside" if question.draw == "female" else " inside"
    return f"bought, {mate.bought.low:.2f} to {mate.bought.high:.2f} mm{felt}"


def lamp_name(folder: Path) -> str:
    """What the bench calls a lamp: the name of its folder."""
    return folder.resolve().name


def file_stem(*words: str) -> str:
    """A file name's stem from words: letters, digits and hyphens only."""
    kept = "".join(letter if letter.isalnum() or letter in ".-" else "-" for letter in "-".join(words))
    return "-".join(part for part in kept.split("-") if part)


def _mate(options: Namespace, which: str, thread: Thread | None, habits: AsPrinted) -> Side:
    from shadewright.catalog.threads import Limits, Sex
    from shadewright.fit.joint import Side

    name = "mate"
    bought = options.mate or ("bought" if thread is not None or options.limits else "printed")
    if bought == "printed":
        if options.limits:
            raise ValueProblem.of("--limits speaks of a bought mate", "leave out --mate printed, or --limits")
        return Side(name=name, habits=habits)
    if options.limits:
        return Side(name=name, bought=Limits(*options.limits))
    if thread is None:
        raise ValueProblem.of("the bought mate has no size", "add --limits LOW HIGH, its least and greatest size")
    return Side(name=name, bought=thread.felt_diameter(Sex(which)))

"""``shadewright thread``: name a bought thread from caliper readings."""

from __future__ import annotations

from argparse import ArgumentParser, Namespace
from pathlib import Path
from typing import TYPE_CHECKING

from shadewright.cli.command import Answer
from shadewright.cli.options import positive, whole
from shadewright.errors import Problem, ValueProblem
from shadewright.wording import percent

if TYPE_CHECKING:
    from shadewright.naming.readings import ThreadReadings
    from shadewright.naming.result import Candidate, Naming

_WIDTH = 88
_BAR = 14
_LINES = 6

_OPTIONS = {
    "caliper_sd": "--caliper",
    "crests": "--crests",
    "length": "--over",
    "length_sd": "--over-error",
    "roots": "--root",
    "mates": "--mate",
}


def add_arguments(parser: ArgumentParser) -> None:
    """Declare the readings."""
    parser.epilog = (
        'Examples: "shadewright thread --outside 39.4 39.5 --crests 5 --over 10.1" for a holder\'s barrel; '
        '"shadewright thread --inside 9.05" for a hole, to be told what to measure next. All lengths in mm. '
        "--crests N --over MM: from the first crest to crest number N, so N - 1 pitches."
    )
    size = parser.add_argument_group("size: one of both, several readings are welcome")
    size.add_argument("--outside", type=positive, nargs="+", metavar="MM", help="male thread: over the crests")
    size.add_argument("--inside", type=positive, nargs="+", metavar="MM", help="female thread: inside the crests")
    pitch = parser.add_argument_group("pitch: one of three")
    pitch.add_argument("--crests", type=whole, metavar="N", help="crests counted, first and last included; with --over")
    pitch.add_argument("--over", type=positive, metavar="MM", help="length from the first to the last of these crests")
    pitch.add_argument("--per-10mm", type=positive, metavar="N", help="threads in 10 mm, halves allowed")
    pitch.add_argument("--per-inch", type=positive, metavar="N", help="threads in 25.4 mm")
    more = parser.add_argument_group("more, if known")
    looks = ("rounded", "sharp", "60", "55", "30")
    more.add_argument("--form", choices=looks, help="shape of the ridge; sharp: straight flanks of any angle")
    more.add_argument("--tapered", choices=("yes", "no"), help="does it narrow towards its end")
    more.add_argument("--root", type=positive, nargs="+", metavar="MM", help="diameter at the bottom of the grooves")
    more.add_argument("--mate", type=positive, nargs="+", metavar="MM", help="over the crests of what screws on or in")
    more.add_argument(
        "--caliper", type=positive, default=0.05, metavar="MM", help="error of one reading (default: 0.05)"
    )
    more.add_argument("--over-error", type=positive, default=0.1, metavar="MM", help="error of --over (default: 0.1)")
    parser.add_argument("--drawing", type=Path, metavar="FILE.svg", help="write a drawing of how to measure")


def run(options: Namespace) -> Answer:
    """Name the thread."""
    from shadewright.catalog.lookup import threads
    from shadewright.naming.identify import name_thread

    readings = _readings(options)
    naming = name_thread(readings, threads())
    text = _text(naming)
    if options.drawing is not None:
        text += f"\n\nDrawing: {_draw(options.drawing, readings)}"
    return Answer(data=naming, text=text)


def _readings(options: Namespace) -> ThreadReadings:
    from shadewright.catalog.threads import Sex
    from shadewright.naming.readings import INCH, Look, ThreadReadings

    if options.outside and options.inside:
        cure = "give the one you hold; what screws onto or into it goes to --mate"
        raise ValueProblem.of("a thread is measured either outside or inside", cure, "--outside, --inside")
    if not (options.outside or options.inside):
        cure = "add --outside MM for a male thread, or --inside MM for a female one"
        raise ValueProblem.of("no diameter was given", cure, "shadewright thread")
    if options.per_10mm is not None and options.per_inch is not None:
        raise ValueProblem.of("the pitch was given twice", "give one of them", "--per-10mm, --per-inch")
    by_inch = options.per_inch is not None
    try:
        return ThreadReadings(
            sex=Sex.MALE if options.outside else Sex.FEMALE,
            diameters=tuple(options.outside or options.inside),
            caliper_sd=options.caliper,
            crests=options.crests,
            length=options.over,
            length_sd=options.over_error,
            count=options.per_inch if by_inch else options.per_10mm,
            count_span=INCH if by_inch else 10.0,
            look=Look(options.form) if options.form else None,
            tapered={"yes": True, "no": False, None: None}[options.tapered],
            roots=tuple(options.root or ()),
            mates=tuple(options.mate or ()),
        )
    except ValueProblem as problem:
        names = _OPTIONS | {
            "diameters": "--outside" if options.outside else "--inside",
            "count": "--per-inch" if by_inch else "--per-10mm",
        }
        named = [Problem(what=one.what, cure=one.cure, where=names[one.where]) for one in problem.problems]
        raise ValueProblem(named) from None


def _draw(path: Path, readings: ThreadReadings) -> Path:
    from shadewright.files import write_whole
    from shadewright.naming.drawing import how_to_measure_svg

    if path.suffix.lower() != ".svg":
        cure = f"name it {path.stem or 'measuring'}.svg"
        raise ValueProblem.of(f'"{path.name}" does not end in .svg', cure, "--drawing")
    return write_whole(path, how_to_measure_svg(readings.sex))


def _text(naming: Naming) -> str:
    lines = [*_wrapped(_headline(naming)), "", *_table(naming), "", *_wrapped(naming.reason)]
    if naming.next_measurement is not None:
        lines += ["", *_wrapped(f"Next: {naming.next_measurement.sentence}."), *_wrapped(_option_for(naming), 6)]
    for note in naming.notes:
        lines += ["", *_wrapped(f"Note: {note}")]
    if naming.none_leads or naming.next_measurement is not None:
        lines += ["", "How to measure (--drawing FILE.svg draws it)"]
        lines += [part for line in naming.how_to_measure for part in _wrapped(line, 2)]
    lines += ["", *_wrapped(f"From: {naming.source}.")]
    return "\n".join(lines)


def _option_for(naming: Naming) -> str:
    """Which option takes the measurement that comes next."""
    advice = naming.next_measurement
    if advice is None:
        return ""
    again = "--outside" if naming.readings.sex == "male" else "--inside"
    return {
        "pitch": f"Give it as: --crests {advice.crests} --over MM",
        "shape": "Give it as: --form rounded or --form sharp",
        "diameter again": f"Give all readings behind {again}",
        "mate": "Give it as: --mate MM",
        "root": "Give it as: --root MM",
        "taper": "Give it as: --tapered yes or --tapered no",
    }[advice.measurement.value]


def _headline(naming: Naming) -> str:
    from shadewright.findings import Verdict

    if naming.none_leads:
        return "None of the threads in the tables fits these readings."
    leader = naming.candidates[0]
    if naming.verdict is Verdict.SOUND:
        return f"{leader.title}, with a chance of {percent(leader.probability)}."
    if naming.verdict is Verdict.DOUBTFUL:
        return f"Perhaps {leader.title} ({percent(leader.probability)}); measure on before relying on it."
    return "Not settled yet: several threads fit these readings."


def _table(naming: Naming) -> list[str]:
    """Ranked names with bars, "none of these" in its place, and one line for the rest."""
    shown = [(one.probability, one.title, _sizes(one)) for one in naming.candidates[:_LINES]]
    miscounted = ", ".join(f"{one.name} {percent(one.probability)}" for one in naming.miscounts)
    shown.append((naming.none_probability, "none of these", f"miscounted: {miscounted}" if miscounted else ""))
    shown.sort(key=lambda line: -line[0])
    left = naming.others_probability + sum(one.probability for one in naming.candidates[_LINES:])
    if left >= 0.001:
        shown.append((left, "all others", ""))
    return [
        f"{percent(chance):>7}  {_bar(chance):<{_BAR}}  {name:<20}  {sizes}".rstrip() for chance, name, sizes in shown
    ]


def _sizes(candidate: Candidate) -> str:
    members = [one for one in candidate.members if one.probability >= 0.05 * candidate.probability]
    if len(members) > 1:
        return ", ".join(f"{one.name} {percent(one.probability)}" for one in members)
    one = members[0]
    return f"{one.felt.low:.2f} to {one.felt.high:.2f}, pitch {one.pitch:.3g}"


def _bar(chance: float) -> str:
    return "█" * round(_BAR * chance) or "·"


def _wrapped(text: str, indent: int = 0) -> list[str]:
    from textwrap import wrap

    return wrap(text, _WIDTH, initial_indent=" " * indent, subsequent_indent=" " * indent, break_on_hyphens=False)

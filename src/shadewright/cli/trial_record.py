"""``shadewright trial record``: how each rung of a printed trial felt, and what is to be drawn now."""

from __future__ import annotations

import re
from argparse import ArgumentParser, Namespace
from pathlib import Path
from textwrap import wrap
from typing import TYPE_CHECKING

from shadewright.cli.command import Answer
from shadewright.cli.options import add_bench_file_option, open_bench
from shadewright.cli.stated_joint import FEELS, lamp_name
from shadewright.cli.trial_kinds import several_dimensions
from shadewright.errors import Problem, UnknownName, UserError, ValueProblem
from shadewright.wording import percent

if TYPE_CHECKING:
    from shadewright.bench.records import TrialRecord
    from shadewright.bench.store import Bench
    from shadewright.bench.trials import Recorded
    from shadewright.fit.joint import Feel

KINDS = ("thread", "slide", "push")
UNTRIED = "untried"
_RUNGS = re.compile(r"(?P<first>\d+)(?:-(?P<last>\d+))?|all")
_NONE = ({"none"}, {"none", "fits"}, {"none-fits"})


def add_arguments(parser: ArgumentParser) -> None:
    """Declare the trial and its outcomes."""
    parser.epilog = (
        'Examples: "shadewright trial record my-lamp neck 3=snug 4=free"; '
        '"shadewright trial record slide 40 1-2=fixed 3=tight"; "shadewright trial record my-lamp/neck-2 all=fixed" '
        "when the mate goes into none, all=loose when it rattles in all. "
        f"Feels: {', '.join(FEELS)}; {UNTRIED} takes one back. What is recorded again replaces what was."
    )
    parser.add_argument(
        "words", nargs="+", metavar="LAMP JOINT|NAME RUNG=FEEL", help="which trial, then how its rungs felt"
    )
    parser.add_argument("--sure", action="store_true", help="keep outcomes though they contradict each other")
    add_bench_file_option(parser)


def run(options: Namespace) -> Answer:
    """Keep the outcomes and say what is to be drawn now."""
    from shadewright.bench.trials import contradictions, keep_outcomes, with_outcomes

    names, felt = _parted(options.words)
    with open_bench(options) as bench:
        record = _trial(bench, names)
        outcomes = _outcomes(felt, len(record.rungs))
        record = with_outcomes(record, outcomes)
        if (odd := contradictions(record)) and not options.sure:
            raise ValueProblem(odd)
        recorded = keep_outcomes(bench, record)
    return Answer(data=recorded, text=_text(recorded))


def _parted(words: list[str]) -> tuple[list[str], list[str]]:
    """Names before the first outcome, and outcomes."""
    first = next((place for place, word in enumerate(words) if "=" in word or word.lower() == "none-fits"), None)
    if first is None and len(words) > 1 and {word.lower() for word in words[-2:]} in _NONE:
        first = len(words) - 2
    names, felt = words[:first], [] if first is None else words[first:]
    if {word.lower() for word in felt} in _NONE:
        raise ValueProblem.of(
            "none fits can be said in two ways",
            "write all=fixed when the mate goes into none of them, or all=loose when it rattles in all",
        )
    if not felt:
        raise ValueProblem.of("no outcome is given", "add e.g. 3=snug 4=free", "trial record")
    if len(names) not in (1, 2):
        raise ValueProblem.of(
            "which trial is meant is not said" if not names else "too many names are given",
            "name a lamp and a joint, a kind and a size, or a trial",
            "trial record",
        )
    return names, felt


def _trial(bench: Bench, names: list[str]) -> TrialRecord:
    from shadewright.bench.trials import of_joint, trial_named, trial_tried

    if len(names) == 1:
        return trial_named(bench, names[0])
    what, joint = names
    if what in KINDS:
        return trial_tried(bench, "", f"{what} {joint}")
    folder = Path(what)
    if folder.suffix.lower() == ".toml":
        folder = folder.parent
    if not of_joint(bench, lamp_name(folder), joint):
        _refuse_unkept(bench, Path(what), joint)
    return trial_tried(bench, lamp_name(folder), joint)


def _refuse_unkept(bench: Bench, lamp: Path, joint: str) -> None:
    """Say what to do with the trial of a joint whose outcomes are not kept, where the lamp is at hand and has one.

    Raises:
        ValueProblem: It has; or the joint has no trial at all.
    """
    from shadewright.lamp.read import read_lamp
    from shadewright.study.kinds import trial_of_joint

    if not lamp.exists():
        return
    read = read_lamp(lamp)
    if several_dimensions(read, joint):
        kind = read.lamp.joint[joint].kind
        raise ValueProblem.of(
            f"how the trial of a {kind} joint felt is not kept",
            trial_of_joint(read, joint, bench).afterwards,
            read.where("joint", joint),
        )


def _outcomes(words: list[str], count: int) -> dict[int, Feel | None]:
    """Feels by rung.

    Raises:
        UserError: One problem for each word that says nothing.
    """
    felt: dict[int, Feel | None] = {}
    problems: list[Problem] = []
    for word in words:
        try:
            rungs, feel = _outcome(word, count)
        except UserError as refusal:
            problems += refusal.problems
            continue
        twice = [rung for rung in rungs if rung in felt]
        problems += [Problem(f"rung {rung} is given twice", "give each one feel") for rung in twice]
        felt |= dict.fromkeys(rungs, feel)
    if problems:
        raise ValueProblem(problems)
    return felt


def _outcome(word: str, count: int) -> tuple[range, Feel | None]:
    from shadewright.fit.joint import Feel

    rungs, equals, feel = (part.strip().lower() for part in word.partition("="))
    found = _RUNGS.fullmatch(rungs)
    if not equals or found is None:
        raise ValueProblem.of(f'"{word}" is no outcome', "write e.g. 3=snug, 1-2=fixed or all=loose")
    if feel not in (*FEELS, UNTRIED):
        raise UnknownName.among("feel", feel, (*FEELS, UNTRIED), word)
    if found["first"] is None:
        numbers = range(1, count + 1)
    else:
        numbers = range(int(found["first"]), int(found["last"] or found["first"]) + 1)
    if not numbers:
        raise ValueProblem.of(f"{rungs} counts backwards", "write the smaller number first", word)
    return numbers, None if feel == UNTRIED else Feel(feel)


def _text(recorded: Recorded) -> str:
    trial, before, after = recorded.trial, recorded.before, recorded.after
    lines = [f"Kept trial {trial.name}:"]
    lines += [f"  {line}" for line in rung_lines(trial)]
    if before is None or after is None or trial.question is None:
        return "\n".join([*lines, "What it asked was not kept, so nothing is learned from it."])
    feel = trial.question.feel
    lines += [
        "",
        f"  {'':<12}{'before':>12}{'now':>12}",
        f"  {'draw':<12}{before.draw:>9.2f} mm{after.draw:>9.2f} mm",
        f"  {feel + ' in':<12}{percent(before.chance_wanted):>12}{percent(after.chance_wanted):>12}",
        "",
        *wrap(after.sentence[0].upper() + after.sentence[1:].rstrip(".") + ".", 88, break_on_hyphens=False),
    ]
    return "\n".join([*lines, _advice(after.trial_worth)])


def _advice(trial_worth: bool) -> str:
    if trial_worth:
        return (
            'Another trial would still help: make one with "shadewright trial", its rungs are set by what is known now.'
        )
    return "No further trial is needed: draw it so and print the part."


def rung_lines(trial: TrialRecord) -> list[str]:
    """Every rung with its digits, drawn size and feel."""
    lines = []
    for rung in trial.rungs:
        sizes = f"digits {round(100 * rung.clearance):>4}, drawn {rung.drawn:7.2f} mm"
        lines.append(f"rung {rung.number}: {sizes}   {rung.outcome or UNTRIED}")
    return lines

"""The study in a few lines for a terminal, worst first."""

from __future__ import annotations

import textwrap
from collections.abc import Sequence

from shadewright.findings import Finding, Verdict
from shadewright.paper import wording
from shadewright.study.result import Study
from shadewright.wording import duration

WIDTH = 90
MOST_SHOWN = 12


def summary(study: Study, written: Sequence[str] = ()) -> str:
    """Sum up a study.

    Args:
        study: What was found.
        written: Files that were written, as the reader would type them.

    Returns:
        Plain text of at most 90 columns: verdict, what is not sound, joints, trials, prints, files.
    """
    blocks = [
        _head(study),
        _findings(study.findings),
        _joints(study),
        _trials(study),
        _prints(study),
        _block("written", [_item(name) for name in written]),
        _cautions(study),
    ]
    return "\n\n".join(block for block in blocks if block)


def _head(study: Study) -> str:
    mark = wording.MARKS[study.verdict]
    made = wording.count_of(study.copies, "lamp")
    return "\n".join(
        [
            *_wrapped(f"{study.lamp}, {made}: {mark} {study.verdict} ({wording.tally_text(study.findings)})", ""),
            *_wrapped(wording.HEADLINES[study.verdict], ""),
        ]
    )


def _findings(findings: Sequence[Finding]) -> str:
    """What is not sound, by verdict; sound answers are only counted, on the page they stand in full."""
    blocks = []
    for verdict in (Verdict.FAILING, Verdict.DOUBTFUL, Verdict.UNKNOWN):
        lines: list[str] = []
        these = [finding for finding in findings if finding.verdict is verdict]
        for finding in these[:MOST_SHOWN]:
            lines += _wrapped(f"{finding.subject}: {finding.sentence}", "  ")
            lines += _wrapped(f"→ {finding.cure}", "    ") if finding.cure else []
        if len(these) > MOST_SHOWN:
            lines.append(f"  and {len(these) - MOST_SHOWN} more on the page")
        blocks.append(_block(f"{wording.MARKS[verdict]} {verdict}", lines))
    return "\n\n".join(block for block in blocks if block)


def _joints(study: Study) -> str:
    lines: list[str] = []
    for joint in study.joints:
        said = wording.what_to_draw(joint) or f"{joint.kind} joint, not sized: see the findings"
        lines += _wrapped(f"{joint.name}: {said}", "  ")
    return _block("joints", lines)


def _trials(study: Study) -> str:
    lines: list[str] = []
    trials = [joint.trial for joint in study.joints if joint.trial]
    ordered = sum(trial.order > 0 for trial in trials)  # those of joints of several dimensions have no order
    for trial in sorted(trials, key=lambda one: one.order or len(trials) + 1):
        cost = f"{duration(trial.time_s)}, {wording.mass(trial.mass_g)}"
        rungs = wording.count_of(len(trial.piece.rungs), "rung")
        shared = f"; tells of {', '.join(trial.answers_for)} too" if trial.answers_for else ""
        lines += _wrapped(f"{trial.joint}: {rungs}, {cost}, {', '.join(trial.files)}{shared}", "  ")
    return _block("trials to print first, in this order" if ordered > 1 else "trials to print first", lines)


def _prints(study: Study) -> str:
    lines: list[str] = []
    for part in study.parts:
        each = f"{duration(part.report.time_s)}, {wording.mass(part.report.mass_g)} each"
        lines += _wrapped(f"{part.name}: {wording.pieces(study, part)} in {part.plastic}, {each}", "  ")
    total = f"{duration(study.total_time_s)}, {wording.mass(study.total_mass_g)}"
    return _block(f"prints, {total} in all", lines)


def _cautions(study: Study) -> str:
    if not study.cautions:
        return ""
    rest = len(study.cautions) - 1
    more = f" ({wording.count_of(rest, 'more caution')} on page and sheet.)" if rest else ""
    return "\n".join(_wrapped(f"Caution: {wording.sentence(study.cautions[0])}{more}", ""))


def _block(title: str, lines: list[str]) -> str:
    return "\n".join([title, *lines]) if lines else ""


def _item(text: str) -> str:
    return f"  {text}"


def _wrapped(text: str, indent: str) -> list[str]:
    return textwrap.wrap(
        wording.clean(text), WIDTH, initial_indent=indent, subsequent_indent=indent + "  ", break_on_hyphens=False
    )

"""The part of ``shadewright trial`` for a lamp's joints of several dimensions: snap, twist, pivot, pocket."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from textwrap import wrap
from typing import TYPE_CHECKING

from shadewright.cli.command import Answer

if TYPE_CHECKING:
    from shadewright.bench.store import Bench
    from shadewright.findings import Finding
    from shadewright.lamp.read import ReadLamp
    from shadewright.layers.costing import PrintCost
    from shadewright.solid.features import Rung
    from shadewright.study.kinds_trials import KindTrial

_WIDTH = 88


@dataclass(frozen=True, slots=True, kw_only=True)
class SeveralTrial:
    """The trial as written.

    Attributes:
        joint: Which joint.
        part: Whose side is tried at several sizes.
        what: The dimension in which the rungs differ.
        finding: What calculation alone says.
        rungs: What each tries.
        how_to: How to try it.
        afterwards: What to do with the rung that felt right.
        cost: Time and plastic.
        file: Where it was written.
    """

    joint: str
    part: str
    what: str
    finding: Finding
    rungs: tuple[Rung, ...]
    how_to: str
    afterwards: str
    cost: PrintCost
    file: str


def several_dimensions(read: ReadLamp, name: str) -> bool:
    """Whether the lamp has such a joint, of a kind of several dimensions."""
    from shadewright.study.kinds import SIZERS

    return name in read.lamp.joint and read.lamp.joint[name].kind in SIZERS


def write_kind_trial(read: ReadLamp, name: str, bench: Bench, target: Path, count: int | None) -> Answer:
    """Make the trial of such a joint, write it, and say what each rung is.

    Raises:
        ValueProblem: The kind has no trial piece, its sizes are not stated, or the rungs do not fit.
    """
    from shadewright.layers.costing import print_cost
    from shadewright.solid.write import write_3mf
    from shadewright.study.kinds import trial_of_joint

    shape = trial_of_joint(read, name, bench)
    piece = shape.piece(count)
    cost = print_cost(piece.pieces, shape.setup)
    write_3mf(target, piece.pieces, title=f"Trial for {name}")
    trial = SeveralTrial(
        joint=name,
        part=shape.part,
        what=shape.what,
        finding=shape.sizing.findings[0],
        rungs=piece.rungs,
        how_to=piece.how_to,
        afterwards=shape.afterwards,
        cost=cost,
        file=str(target),
    )
    return Answer(data=trial, text=_text(trial, shape))


def _text(trial: SeveralTrial, shape: KindTrial) -> str:
    lines = [
        f"Trial for {trial.joint}: {len(trial.rungs)} rungs of {trial.part}, rising {shape.digits}",
        *_wrapped(f"By calculation, {trial.finding.sentence}."),
        "",
        f"  strokes  digits   {trial.what} drawn",
    ]
    for rung in trial.rungs:
        lines.append(f"  {'|' * rung.number:<7}  {round(100 * rung.clearance):>6d}   {rung.drawn:>10.2f} mm")
    cost = trial.cost
    lines += ["", *_wrapped(trial.how_to), ""]
    lines.append(f"About {cost.time_s / 60:.0f} min and {cost.mass_g:.1f} g. Wrote {trial.file}.")
    lines += _wrapped(f"How it felt is not kept for a {shape.sizing.kind} joint: {trial.afterwards}.")
    return "\n".join(lines)


def _wrapped(text: str) -> list[str]:
    return wrap(text, _WIDTH, break_on_hyphens=False)

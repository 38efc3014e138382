"""What came of it: one record for each joint and lamp, sums of them, and the table and figure of the documentation."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from statistics import mean, median

BINS = (0.0, 0.5, 0.6, 0.7, 0.75, 0.8, 0.85, 0.95, 1.0001)
"""Edges of the classes of stated chance; the one from 0.85 to 0.95 is what is called 90 % likely."""


@dataclass(frozen=True, slots=True, kw_only=True)
class JointMade:
    """One joint of one lamp made one way; ``stated`` only where something was stated."""

    joint: str
    trials: int
    part_prints: int
    first_serves: bool
    first_wanted: bool
    last_serves: bool
    last_wanted: bool
    stated_serves: float | None = None
    stated_wanted: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class LampMade:
    """One lamp made one way.

    Attributes:
        printer: Number of the hidden printer.
        odd: In what it lies outside the ranges; empty for most.
        trial_min: Minutes of trial prints.
        again_min: Minutes of real parts printed again, beyond one print of each.
        joints: Its joints.
    """

    printer: int
    odd: str
    trial_min: float
    again_min: float
    joints: tuple[JointMade, ...]

    @property
    def extra_min(self) -> float:
        """Everything printed beyond one print of each part [min]."""
        return self.trial_min + self.again_min


@dataclass(frozen=True, slots=True)
class Reliable:
    """One class of stated chance."""

    low: float
    high: float
    count: int
    stated: float
    came_out: float


def reliability(lamps: Sequence[LampMade], *, wanted: bool) -> list[Reliable]:
    """Stated chance against what came out at the first print of the real part, by class."""
    pairs = [
        (joint.stated_wanted, joint.first_wanted) if wanted else (joint.stated_serves, joint.first_serves)
        for lamp in lamps
        for joint in lamp.joints
    ]
    made = []
    for low, high in pairwise(BINS):
        inside = [(stated, came) for stated, came in pairs if stated is not None and low <= stated < high]
        if inside:
            stated, came = mean(one for one, _ in inside), mean(float(one) for _, one in inside)
            made.append(Reliable(low, min(high, 1.0), len(inside), stated, came))
    return made


def table(ways: dict[str, Sequence[LampMade]]) -> str:
    """The comparison as a Markdown table."""
    base, second = (mean(lamp.extra_min for lamp in lamps) for lamps in list(ways.values())[:2])
    rows = ["| | " + " | ".join(ways) + " |", "| --- |" + " --- |" * len(ways)]

    def row(name: str, cells: list[str]) -> None:
        rows.append(f"| {name} | " + " | ".join(cells) + " |")

    every = [[joint for lamp in lamps for joint in lamp.joints] for lamps in ways.values()]
    row("trials for one joint, median", [f"{median(j.trials for j in joints):.0f}" for joints in every])
    row("trials for one joint, mean", [f"{mean(j.trials for j in joints):.2f}" for joints in every])
    row("minutes of trials for a lamp", [f"{mean(x.trial_min for x in lamps):.0f}" for lamps in ways.values()])
    row("minutes of parts printed again", [f"{mean(x.again_min for x in lamps):.0f}" for lamps in ways.values()])
    extras = [mean(x.extra_min for x in lamps) for lamps in ways.values()]
    row("both: minutes spent on finding out", [f"{extra:.0f}" for extra in extras])
    row("the same, half of the printers below", [f"{median(x.extra_min for x in v):.0f}" for v in ways.values()])
    row("of those of the rule", [f"{100 * extra / base:.0f} %" for extra in extras])
    row("of those of bisection", [f"{100 * extra / second:.0f} %" for extra in extras])
    row("first real part serves", [_share(j.first_serves for j in joints) for joints in every])
    row("first real part feels as wanted", [_share(j.first_wanted for j in joints) for joints in every])
    row("serves in the end", [_share(j.last_serves for j in joints) for joints in every])
    row("feels as wanted in the end", [_share(j.last_wanted for j in joints) for joints in every])
    return "\n".join(rows)


def reliability_table(lamps: Sequence[LampMade]) -> str:
    """Stated against what came out, as a Markdown table."""
    rows = ["| said to serve | joints | said, mean | served |", "| --- | --- | --- | --- |"]
    for one in reliability(lamps, wanted=False):
        rows.append(
            f"| {100 * one.low:.0f} to {100 * one.high:.0f} % | {one.count} | {100 * one.stated:.0f} % | "
            f"{100 * one.came_out:.0f} % |"
        )
    return "\n".join(rows)


def figure(lamps: Sequence[LampMade]) -> str:
    """The reliability diagram as SVG: stated chance across, what came out upwards; the diagonal is perfect."""
    size, edge = 260, 40

    def at(across: float, up: float) -> tuple[float, float]:
        return edge + across * size, edge / 2 + (1 - up) * size

    marks = []
    for wanted, ink in ((False, "#1f6f5c"), (True, "#9a6b1f")):
        for one in reliability(lamps, wanted=wanted):
            x, y = at(one.stated, one.came_out)
            radius = 2 + 6 * (one.count / max(1, sum(len(lamp.joints) for lamp in lamps))) ** 0.5
            fill = "none" if wanted else ink
            marks.append(f'<circle cx="{x:.1f}" cy="{y:.1f}" r="{radius:.1f}" fill="{fill}" stroke="{ink}"/>')
    (x0, y0), (x1, y1) = at(0, 0), at(1, 1)
    ticks = []
    for tenth in range(0, 11, 2):
        x, y = at(tenth / 10, tenth / 10)
        ticks.append(f'<text x="{x:.0f}" y="{y0 + 14:.0f}" text-anchor="middle">{10 * tenth}</text>')
        ticks.append(f'<text x="{x0 - 6:.0f}" y="{y + 4:.0f}" text-anchor="end">{10 * tenth}</text>')
    return "\n".join(
        [
            f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {size + 1.5 * edge:.0f} {size + 1.6 * edge:.0f}" '
            'font-family="sans-serif" font-size="10" fill="#2b2a27">',
            "<title>Chance stated for a joint against what came out</title>",
            f'<rect x="{x0}" y="{y1}" width="{size}" height="{size}" fill="#fffdf8" stroke="#8d887c"/>',
            f'<path d="M{x0} {y0}L{x1} {y1}" stroke="#8d887c" stroke-dasharray="4 3"/>',
            *ticks,
            *marks,
            f'<text x="{(x0 + x1) / 2}" y="{y0 + 30:.0f}" text-anchor="middle">stated, % '
            "(filled: serves, open: feels as wanted)</text>",
            f'<text x="12" y="{(y0 + y1) / 2}" text-anchor="middle" '
            f'transform="rotate(-90 12 {(y0 + y1) / 2})">came out, %</text>',
            "</svg>\n",
        ]
    )


def _share(values: object) -> str:
    return f"{100 * mean(float(value) for value in values):.1f} %"  # type: ignore[attr-defined]

"""What is believed of a printer before and between measurements: unknown numbers, and sums of them.

Every pair of printer with nozzle and plastic has six habits. Before anything was measured they lie about the
built-in start, and what they are off by has three causes: the printer with its nozzle, which all its plastics
share; the family of the plastic, which it takes from printer to printer; and the pair itself. So a new plastic on a
measured printer starts from what that printer does.

Everything that can be measured or felt is a sum of such unknown numbers, each normal before the evidence (a bought
thing's size is uniform within its limits), plus scatter. Scatter is one number for each printer with its nozzle: a
ratio to the built-in one.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, field

from shadewright.fit.defaults import built_in_habits, family_of
from shadewright.fit.evidence import BenchEvidence, FeatureKind
from shadewright.printing import HABITS, AsPrinted

PRINTER_SHARE = {
    "outer_growth": 0.60,
    "hole_shrink": 0.60,
    "hole_curl": 0.60,
    "scale_xy": 0.30,
    "scale_z": 0.50,
    "flare": 0.80,
}
"""Part of a habit's variance that all plastics on one printer and nozzle share [-]; judged, no source."""

FAMILY_SHARE = {
    "outer_growth": 0.15,
    "hole_shrink": 0.15,
    "hole_curl": 0.20,
    "scale_xy": 0.45,
    "scale_z": 0.25,
    "flare": 0.05,
}
"""Part that one family of plastics shares on all printers [-]; the rest is the pair's own; judged, no source."""

PRINT_SHARE = 0.5
"""Part of the scatter's variance that all walls of one print share: on that day it laid a little more or less
plastic. It widens outsides and narrows insides alike; heights share one of their own. The rest each size has for
itself [-]; judged, no source."""

SCATTER_LOG_SD = 0.4
"""Standard deviation of the logarithm of the scatter over the built-in one: 95 % within a factor of 2.2 [-]; judged,
no source. Its mean is set so that the mean square is the built-in one."""

UNUSUAL = ((0.8, 0.5), (0.2, 3.0))
"""Printers are of two sorts: how many are of each [-], and what its habits' variances are multiplied by [-]. Most are
closer to the built-in start than its spreads say and some much further off, as published measurements show (outer
sizes of the open FDM assessment protocol by Kickstarter on GitHub leave walls 0.02 to 0.05 mm thinner than drawn);
together they have the built-in variance. Judged, no source."""

PairKey = tuple[str, float, str]
"""Printer, nozzle [mm] and plastic; names without regard to capitals."""


@dataclass(frozen=True, slots=True)
class Unknown:
    """One unknown number.

    Attributes:
        name: What tells it from others.
        variance: Of the normal it has before evidence, apart from ``scaled``.
        scaled: Variance over the squared scatter ratio of ``machine``.
        machine: Whose scatter.
        half: Half width of the uniform it has instead [mm]; None for normal ones.
        sort: The machine whose sort multiplies ``variance``; empty for none.
    """

    name: tuple[str | float, ...]
    variance: float = 0.0
    scaled: float = 0.0
    machine: str = ""
    half: float | None = None
    sort: str = ""

    def variance_at(self, ratio_square: Mapping[str, float], sort: Mapping[str, float]) -> float:
        """Variance before evidence, for mean squares of scatter ratios and of the sorts' factors by machine."""
        if self.half is not None:
            return self.half**2 / 3
        scaled = self.scaled * ratio_square.get(self.machine, 1.0) if self.scaled else 0.0
        return self.variance * sort.get(self.sort, 1.0) + scaled


@dataclass(slots=True)
class Sum:
    """A weighted sum of unknown numbers with a constant, and independent noise.

    Attributes:
        constant: What does not depend on anything unknown [mm].
        weights: By unknown number.
        noise: Variance of independent noise [mm²].
        scaled: The same over the squared scatter ratio, by machine [mm²].
    """

    constant: float = 0.0
    weights: dict[Unknown, float] = field(default_factory=dict)
    noise: float = 0.0
    scaled: dict[str, float] = field(default_factory=dict)

    def add(self, unknown: Unknown, weight: float) -> None:
        """Add one unknown number."""
        self.weights[unknown] = self.weights.get(unknown, 0.0) + weight

    def add_scatter(self, machine: str, variance: float) -> None:
        """Add noise that goes with the scatter of a machine."""
        self.scaled[machine] = self.scaled.get(machine, 0.0) + variance

    def add_sum(self, other: Sum, factor: float) -> None:
        """Add another sum, its noise included."""
        self.constant += factor * other.constant
        for unknown, weight in other.weights.items():
            self.add(unknown, factor * weight)
        self.noise += factor * factor * other.noise
        for machine, variance in other.scaled.items():
            self.add_scatter(machine, factor * factor * variance)


@dataclass(frozen=True, slots=True)
class Start:
    """Where one pair starts: its habits before evidence, and with whom it shares what they are off by.

    Attributes:
        key: Name of the pair in unknown numbers.
        habits: The start.
        machine: Name of printer and nozzle.
        family: Family of the plastic; empty when the pair shares with nobody.
    """

    key: str
    habits: AsPrinted
    machine: str
    family: str

    @property
    def base(self) -> float:
        """Variance of the scatter at ratio 1 [mm²]."""
        return self.habits.scatter**2

    def habit(self, name: str) -> Sum:
        """One habit as a sum of unknown numbers."""
        return self.size({name: 1.0})

    def size(self, sensitivities: dict[str, float]) -> Sum:
        """Sum of habits, each with its sensitivity; no scatter."""
        made = Sum()
        for name, sensitivity in sensitivities.items():
            spread = getattr(self.habits, name)
            made.constant += sensitivity * spread.mean
            if not self.family:
                self._add_own(made, name, sensitivity)
                continue
            printer, family = PRINTER_SHARE[name], FAMILY_SHARE[name]
            own = 1 - printer - family
            step = sensitivity * spread.sd
            made.add(Unknown(("machine", self.machine, name), 1.0, sort=self.machine), step * math.sqrt(printer))
            made.add(Unknown(("family", self.family, name), 1.0), step * math.sqrt(family))
            made.add(Unknown(("own", self.key, name), 1.0, sort=self.machine), step * math.sqrt(own))
        return made

    def _add_own(self, made: Sum, name: str, sensitivity: float) -> None:
        """A pair of its own: by the lower triangular root of its covariance."""
        for place, weight in enumerate(_roots(self.habits)[HABITS.index(name)]):
            if weight:
                made.add(Unknown(("own", self.key, place), 1.0), sensitivity * weight)


def pair_key(printer: str, nozzle: float, plastic: str) -> PairKey:
    """The pair without regard to capitals and rounding."""
    return printer.casefold(), round(nozzle, 6), plastic.casefold()


def start_of(printer: str, nozzle: float, plastic: str, family: str, stated: AsPrinted | None = None) -> Start:
    """Where a pair of the bench starts.

    Stated habits take the place of the built-in start with their own spreads; such a pair shares scatter with its
    printer but no habits, because what others are off by is counted from the built-in start.
    """
    key = pair_key(printer, nozzle, plastic)
    return Start(
        key=f"{key[0]} / {key[1]:g} / {key[2]}",
        habits=stated or built_in_habits(nozzle, family),
        machine=f"{key[0]} / {key[1]:g}",
        family="" if stated else family_of(family),
    )


def nobodys(habits: AsPrinted) -> Start:
    """Where habits start that belong to no pair of the bench: equal ones are taken for the same bench."""
    key = f"nobody's {hash_free(habits)}"
    return Start(key=key, habits=habits, machine=key, family="")


def hash_free(habits: AsPrinted) -> str:
    """Text that is equal for equal habits, in every run."""
    numbers = [f"{getattr(habits, name).mean:.12g}~{getattr(habits, name).sd:.12g}" for name in HABITS]
    return " ".join([*numbers, f"{habits.scatter:.12g}", habits.source, str(habits.covariance)])


def starts(evidence: BenchEvidence) -> dict[PairKey, Start]:
    """Starts of all pairs with evidence, in an order that does not depend on the order of the evidence."""
    found = {}
    for pair in evidence.pairs:
        key = pair_key(pair.printer, pair.nozzle, pair.plastic)
        found[key] = start_of(pair.printer, pair.nozzle, pair.plastic, pair.family, pair.stated)
    return dict(sorted(found.items()))


def feature_sum(start: Start, kind: FeatureKind, drawn: float, print_name: str) -> Sum:
    """Printed size of a feature, as ``AsPrinted`` says, with the print's share of the scatter and its own.

    Args:
        start: The pair.
        kind: What is measured.
        drawn: Its size in the model [mm].
        print_name: Which print.
    """
    made = start.size(_SENSITIVITIES[kind](drawn))
    outside = kind in (FeatureKind.OUTER, FeatureKind.FOOT)
    axis = "z" if kind is FeatureKind.HEIGHT else "xy"
    made.add(print_offset(start, print_name, axis), 1.0 if outside or axis == "z" else -1.0)
    made.add_scatter(start.machine, (1 - PRINT_SHARE) * start.base)
    return made


def print_offset(start: Start, print_name: str, axis: str = "xy") -> Unknown:
    """What all outsides of one print have in common beyond the habits [mm]."""
    return Unknown(("print", start.key, print_name, axis), 0.0, PRINT_SHARE * start.base, start.machine)


def part_offset(start: Start, name: str) -> Unknown:
    """The whole scatter of one size of one part that several rungs are tried with [mm]."""
    return Unknown(("part", start.key, name), 0.0, start.base, start.machine)


_SENSITIVITIES = {
    FeatureKind.OUTER: lambda drawn: {"scale_xy": drawn, "outer_growth": 2.0},
    FeatureKind.FOOT: lambda drawn: {"scale_xy": drawn, "outer_growth": 2.0, "flare": 2.0},
    FeatureKind.SLOT: lambda drawn: {"scale_xy": drawn, "outer_growth": -2.0},
    FeatureKind.HOLE: lambda drawn: {"scale_xy": drawn, "hole_shrink": -1.0, "hole_curl": -1.0 / drawn},
    FeatureKind.HEIGHT: lambda drawn: {"scale_z": drawn},
}


def _roots(habits: AsPrinted) -> list[list[float]]:
    """Lower triangular root of the habits' covariance; a part without variance is left 0."""
    size = len(HABITS)
    cover = habits.covariance or tuple(
        tuple(getattr(habits, name).sd ** 2 if i == j else 0.0 for j in range(size)) for i, name in enumerate(HABITS)
    )
    root = [[0.0] * size for _ in range(size)]
    for i in range(size):
        for j in range(i + 1):
            rest = cover[i][j] - sum(root[i][k] * root[j][k] for k in range(j))
            if i == j:
                root[i][i] = math.sqrt(max(rest, 0.0))
            elif root[j][j] > 0:
                root[i][j] = rest / root[j][j]
    return root

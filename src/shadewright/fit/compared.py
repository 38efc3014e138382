"""How far prints are expected to stray from their drawing, before and after they were measured: lines for a picture."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from shadewright.fit.as_printed import printed_hole, printed_outer, printed_slot
from shadewright.fit.evidence import FeatureKind, FeatureReading
from shadewright.printing import AsPrinted, Spread

POINTS = 40
"""Sizes along each line."""

_PRINTED = {
    FeatureKind.OUTER: printed_outer,
    FeatureKind.SLOT: printed_slot,
    FeatureKind.HOLE: printed_hole,
}
"""Kinds whose error depends on their size; the others are told by their numbers alone."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Panel:
    """One kind of feature.

    Attributes:
        kind: Which.
        drawn: Drawn sizes along the lines [mm].
        before, after: Printed minus drawn size expected at each [mm].
        dots: Drawn size of every reading and printed minus drawn size [mm].
    """

    kind: FeatureKind
    drawn: tuple[float, ...]
    before: tuple[Spread, ...]
    after: tuple[Spread, ...]
    dots: tuple[tuple[float, float], ...]


def compare(before: AsPrinted, after: AsPrinted, readings: Sequence[FeatureReading]) -> tuple[Panel, ...]:
    """Lay what is expected before and after beside the readings, one panel for each kind of width that was read.

    Args:
        before: Habits as known without the readings.
        after: Habits as known with them.
        readings: What was measured.
    """
    panels = []
    for kind in _PRINTED:
        own = [one for one in readings if one.kind is kind]
        if not own:
            continue
        low, high = 0.8 * min(one.drawn for one in own), 1.1 * max(one.drawn for one in own)
        drawn = tuple(low * (high / low) ** (i / (POINTS - 1)) for i in range(POINTS))
        panels.append(
            Panel(
                kind=kind,
                drawn=drawn,
                before=tuple(_error(kind, size, before) for size in drawn),
                after=tuple(_error(kind, size, after) for size in drawn),
                dots=tuple((one.drawn, value - one.drawn) for one in own for value in one.readings),
            )
        )
    return tuple(panels)


def _error(kind: FeatureKind, drawn: float, habits: AsPrinted) -> Spread:
    """Printed minus drawn size of one print [mm], with what is not known of the habits and with scatter."""
    printed = _PRINTED[kind](drawn, habits)
    return Spread(printed.mean - drawn, printed.sd)

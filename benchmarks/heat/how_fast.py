"""How long the heat calculation takes: one steady solve, a whole answer of 1000 draws, all cures.

Run: ``python benchmarks/heat/how_fast.py``. Prints the median of several runs in milliseconds, for a shade with two
rings of openings, with and without a liner.
"""

from __future__ import annotations

import time
from collections.abc import Callable
from dataclasses import replace
from math import pi
from statistics import median

from shadewright.catalog import lookup
from shadewright.catalog.cards import Range
from shadewright.heat.bulb import collar_share, emitter
from shadewright.heat.cures import cures, with_holes
from shadewright.heat.network import WarmLamp, steady
from shadewright.heat.softening import softens
from shadewright.heat.warm import WarmQuestion, conditions_for, warm
from shadewright.heat.warmth import Conditions, Liner, Shade


def question() -> WarmQuestion:
    """An A60 of 7 W in a vented can of PLA."""
    plastic, source = lookup.plastic("PLA"), lookup.light_source("LED")
    lid = pi / 4 * 100**2
    can = Shade(side_mm2=pi * 100 * 110, roof_mm2=lid, floor_mm2=lid, height=110, wall=1.6, collar_gap=28, above_gap=15)
    wall = {
        "conductivity": plastic.conductivity_w_mk,
        "emissivity": plastic.emissivity,
        "light_kept": Range(0.15, 0.35, 0.60),
        "room_c": Range(22.0, 26.0, 30.0),
    }
    return WarmQuestion(
        bulb=emitter(lookup.bulb("A60")),
        shade=with_holes(can, 8, 8.0),
        ranges=conditions_for(7.0, source.light_fraction, collar_share(source), wall),
        softens_c=softens(plastic),
    )


def milliseconds(work: Callable[[], object], runs: int) -> float:
    taken = []
    for _ in range(runs):
        start = time.perf_counter()
        work()
        taken.append(1e3 * (time.perf_counter() - start))
    return median(taken)


def main() -> None:
    asked = question()
    plastics = [lookup.plastic(name) for name in ("PETG", "ABS", "ASA", "PC")]
    for words, one in (("bare", asked), ("lined", replace(asked, liner=Liner(cover=0.8, gap=1.0)))):
        lamp = WarmLamp(bulb=one.bulb, shade=one.shade, conditions=Conditions(watts=7.0), liner=one.liner)
        answer = warm(one)
        print(f"{words}: steady solve {milliseconds(lambda lamp=lamp: steady(lamp), 21):.1f} ms")
        print(f"{words}: answer of 1000 draws {milliseconds(lambda one=one: warm(one), 7):.0f} ms")
        print(f"{words}: all cures {milliseconds(lambda one=one, a=answer: cures(one, a, plastics), 3):.0f} ms")


if __name__ == "__main__":
    main()

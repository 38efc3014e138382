"""From which temperature a printed wall or a glued seat gives way, with what margin, and how that is judged."""

from __future__ import annotations

from shadewright.catalog.cards import GlueCard, PlasticCard, Range
from shadewright.findings import Verdict

MARGIN_K = 10.0
"""How far a wall is to stay below its softening; our rule: it holds its shape for years, not for a test of minutes."""
FAILS, DOUBTS = 0.50, 0.05
"""Chance of passing the softening less its margin above which a wall is failing, and doubtful; our rule."""
_ROOM_C = 23.0
_RUBBER = Range(50.0, 60.0, 70.0)  # rubbery plastics creep long before they melt, judged


def softens(plastic: PlasticCard) -> Range:
    """Temperature from which a wall of ``plastic`` sags [°C].

    Plastics that only soften: the lower of glass point and ISO 75 at 0.45 MPa. Plastics that melt: ISO 75 at 1.8 MPa.
    """
    if plastic.tg_c.likely < _ROOM_C:
        return _RUBBER
    if plastic.melting_c is not None and plastic.hdt_180_c is not None:
        return plastic.hdt_180_c
    light, glass = plastic.hdt_045_c or plastic.tg_c, plastic.tg_c
    return Range(min(light.low, glass.low), min(light.likely, glass.likely), min(light.high, glass.high))


def lets_go(glue: GlueCard) -> Range | None:
    """Temperature up to which a glue holds in service [°C]; for glues that only have a softening, 30 K below it."""
    if glue.holds_to_c is not None:
        return glue.holds_to_c
    if glue.softens_c is None:
        return None
    return Range(glue.softens_c.low - 30, glue.softens_c.likely - 30, glue.softens_c.high - 30)


def verdict_of(chance: float) -> Verdict:
    """Judge the chance of passing the limit less its margin."""
    if chance > FAILS:
        return Verdict.FAILING
    return Verdict.DOUBTFUL if chance > DOUBTS else Verdict.SOUND

"""What counts as fitting: the wanted feel, or the one beside it on the side that does no harm.

A joint wanted snug that comes out easy still guides and still comes apart; one that comes out tight may not go
together at all, or crack what it is pushed over. Sliding and turning joints are therefore served by the next looser
feel, a free one (which would begin to rattle) by the next tighter. A pushed joint must hold: where it would fall out
sooner than burst, the next tighter feel serves. Loose and fixed serve only where they are wanted. Common practice,
no source.
"""

from __future__ import annotations

from shadewright.fit.feel import FeelBounds, chance_of
from shadewright.fit.joint import Feel, JointKind

SERVED_WORTH = 0.9
"""What a joint is worth that serves without feeling as wanted; one that feels as wanted is worth 1. Judged, no source.

In the simulated workshop (``benchmarks/workshop``) this leaves about as many joints as wanted as sizing by the wanted
feel alone does, and cuts the parts that must be printed again by half.
"""

_BESIDE = {
    Feel.LOOSE: Feel.FREE,
    Feel.FREE: Feel.EASY,
    Feel.EASY: Feel.FREE,
    Feel.SNUG: Feel.EASY,
    Feel.TIGHT: Feel.SNUG,
    Feel.FIXED: Feel.TIGHT,
}
_BESIDE_PUSHED = {Feel.EASY: Feel.SNUG, Feel.SNUG: Feel.TIGHT}


def harmless_neighbour(kind: JointKind, feel: Feel) -> Feel:
    """The other feel that serves where ``feel`` is wanted."""
    if kind is JointKind.PUSH and feel in _BESIDE_PUSHED:
        return _BESIDE_PUSHED[feel]
    return _BESIDE[feel]


def serves(kind: JointKind, wanted: Feel, felt: Feel) -> bool:
    """Whether a joint that feels ``felt`` does where ``wanted`` was asked for."""
    return felt in (wanted, harmless_neighbour(kind, wanted))


def served_band(bounds: FeelBounds, feel: Feel) -> tuple[float, float]:
    """Gaps between which a joint serves [mm]; infinite at an open end."""
    low, high = bounds.band(feel)
    other_low, other_high = bounds.band(harmless_neighbour(bounds.kind, feel))
    return min(low, other_low), max(high, other_high)


def chance_served(feel: Feel, gap: float, gap_sd: float, bounds: FeelBounds, flat: float = 0.0) -> float:
    """Chance that a joint serves [-]; arguments as for ``feel.chance_of``."""
    beside = harmless_neighbour(bounds.kind, feel)
    return chance_of(feel, gap, gap_sd, bounds, flat) + chance_of(beside, gap, gap_sd, bounds, flat)


def worth(feel: Feel, gap: float, gap_sd: float, bounds: FeelBounds, flat: float = 0.0) -> float:
    """Expected worth of a joint, 0 to 1; arguments as for ``feel.chance_of``."""
    beside = harmless_neighbour(bounds.kind, feel)
    return chance_of(feel, gap, gap_sd, bounds, flat) + SERVED_WORTH * chance_of(beside, gap, gap_sd, bounds, flat)

"""How numbers are written in sentences, the same in every room."""

from __future__ import annotations


def percent(share: float) -> str:
    """Write a chance as ``84 %``; what is not certain is never written as 0 or 100."""
    whole = round(100 * share)
    if whole == 0 and share > 0:
        return "< 1 %"
    return "> 99 %" if whole == 100 and share < 1 else f"{whole} %"


def duration(seconds: float) -> str:
    """Write a time as ``45 s``, ``21 min`` or ``1 h 25 min``."""
    if seconds < 59.5:
        return f"{seconds:.0f} s"
    hours, minutes = divmod(round(seconds / 60), 60)
    if not hours:
        return f"{minutes} min"
    return f"{hours} h {minutes} min" if minutes else f"{hours} h"

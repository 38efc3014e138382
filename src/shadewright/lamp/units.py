"""What people write for a number, and what the file wants instead."""

from __future__ import annotations

import re

MILLIMETRES_IN = {
    "": 1.0,
    "mm": 1.0,
    "cm": 10.0,
    "m": 1000.0,
    "um": 0.001,
    "µm": 0.001,
    "in": 25.4,
    "inch": 25.4,
    "inches": 25.4,
    '"': 25.4,
    "″": 25.4,
    "''": 25.4,
    "ft": 304.8,
    "'": 304.8,
    "′": 304.8,
    "thou": 0.0254,
    "mil": 0.0254,
}
"""Length units people write, in mm; the inch is 25.4 mm exactly (international yard and pound agreement, 1959)."""

_NUMBER = re.compile(r"\s*(?P<sign>[+-]?)\s*(?P<number>\d{1,12}(?:[.,]\d{1,12})?)\s*(?P<unit>[^\d\s]*)\s*")
_FRACTION = re.compile(
    r"\s*(?:(?P<whole>\d{1,6})[\s-]+)?(?P<over>\d{1,6})\s*/\s*(?P<under>\d{1,6})\s*(?P<unit>[^\d\s]*)\s*"
)


def in_millimetres(text: str) -> float | None:
    """Read ``12 mm``, ``1.5 in``, ``1 1/2"`` or ``0,4``; None when it is no length."""
    if found := _FRACTION.fullmatch(text):
        factor = MILLIMETRES_IN.get(found["unit"].lower())
        if factor is None or int(found["under"]) == 0:
            return None
        return (int(found["whole"] or 0) + int(found["over"]) / int(found["under"])) * factor
    if found := _NUMBER.fullmatch(text):
        factor = MILLIMETRES_IN.get(found["unit"].lower())
        return None if factor is None else _signed(found) * factor
    return None


def bare_number(text: str) -> float | None:
    """Read ``7 W`` as 7 and ``15 %`` as 0.15; None when no number leads the text."""
    found = _NUMBER.fullmatch(text)
    if not found:
        return None
    return _signed(found) / (100 if found["unit"] == "%" else 1)


def _signed(found: re.Match[str]) -> float:
    value = float(found["number"].replace(",", "."))
    return -value if found["sign"] == "-" else value


def tidy(value: float) -> str:
    """Write a number as a person would: no tail of zeros, no exponent for ordinary sizes."""
    return f"{round(value, 4):.10g}"

"""The ``[warm]`` table: which part surrounds the bulb, and what its model cannot tell."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import Annotated, Any, Literal

from pydantic import Field

from shadewright.lamp.stated import Coordinate, Millimetres, Stated

SquareMillimetres = Annotated[float, Field(ge=0, le=1_000_000, allow_inf_nan=False)]


class Warm(Stated):
    """The ``[warm]`` table.

    ``shade`` names the printed part around the bulb, ``bulb`` the bought bulb (if there are several), ``liner`` a
    printed sleeve between them. ``up`` says which direction of the shade, as it stands on the printer, is up in the
    lamp; ``middle`` where the middle of the bulb's round end is in the shade, turned that way and standing on z = 0;
    ``cap`` which way the bulb's cap points. ``gap`` (collar to the nearest wall), ``above`` (bulb to the wall above
    it), ``vents_low_mm2`` and ``vents_high_mm2`` take the place of what the model says. ``summer_c`` is the warmest
    room it will burn in, ``most_watts`` the greatest power marked on the holder.
    """

    shade: str = ""
    bulb: str = ""
    liner: str = ""
    light: Literal["LED", "incandescent", "halogen", "compact fluorescent"] = "LED"
    cap: Literal["down", "up", "side"] = "down"
    up: Literal["+x", "-x", "+y", "-y", "+z", "-z"] = "+z"
    middle: Annotated[list[Coordinate], Field(min_length=3, max_length=3)] | None = None
    gap: Millimetres | None = None
    above: Millimetres | None = None
    vents_low_mm2: SquareMillimetres | None = None
    vents_high_mm2: SquareMillimetres | None = None
    summer_c: Annotated[float, Field(ge=0, le=55)] = 30.0
    dark: bool = False
    holder_inside: bool = True
    for_closed: bool = False
    most_watts: Annotated[float, Field(gt=0, le=2000)] | None = None


def warm_mistakes(
    raw: Mapping[str, Any], parts: Mapping[str, Any], bought: Mapping[str, Any]
) -> Iterator[tuple[tuple[str, ...], str, str]]:
    """Names in ``[warm]`` that nothing has: where, what, cure."""
    table = raw.get("warm")
    if not isinstance(table, Mapping):
        return
    wanted: Sequence[tuple[str, Mapping[str, Any], str]] = (
        ("shade", parts, "part"),
        ("liner", parts, "part"),
        ("bulb", bought, "bought thing"),
    )
    for key, known, kind in wanted:
        name = table.get(key)
        if isinstance(name, str) and name and name not in known:
            listed = ", ".join(list(known)[:8]) or "none so far"
            yield ("warm", key), f'no {kind} is called "{name}"', f"known: {listed}"
    if table.get("shade") and table.get("shade") == table.get("liner"):
        yield ("warm", "liner"), "shade and liner are the same part", "name the sleeve between bulb and shade, or none"

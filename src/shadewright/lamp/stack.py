"""The ``[stack.NAME]`` tables: chains of dimensions across parts, and mistakes in them."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Annotated, Any, Literal

from pydantic import Field

from shadewright.fit.stack import Along
from shadewright.lamp.stated import Coordinate, Millimetres, Stated, Written


class StackMember(Stated):
    """One dimension of a chain: of a printed ``part``, or of a ``bought`` thing with its ``tolerance``."""

    what: str = Field(min_length=1, max_length=80)
    part: str = ""
    bought: str = ""
    size: Millimetres
    sign: Literal["+", "-"]
    axis: Annotated[Along, Written] = Along.Z
    tolerance: Annotated[float, Field(ge=0, le=20)] | None = None


class Stack(Stated):
    """One ``[stack.NAME]`` table: its members, and least and greatest gap wanted."""

    members: list[StackMember] = Field(min_length=1, max_length=50)
    gap: Annotated[list[Coordinate], Field(min_length=2, max_length=2)]
    note: str = ""


def stack_mistakes(
    path: tuple[str, ...], stack: Mapping[str, Any], parts: Mapping[str, Any], bought: Mapping[str, Any]
) -> Iterator[tuple[tuple[str | int, ...], str, str]]:
    """What does not go together in one stack as read: where, what, cure."""
    gap = stack.get("gap")
    if (
        isinstance(gap, list)
        and len(gap) == 2
        and all(isinstance(end, int | float) for end in gap)
        and gap[0] >= gap[1]
    ):
        yield (*path, "gap"), f"the gap runs from {gap[0]:g} to {gap[1]:g}", "write the smaller one first"
    members = stack.get("members")
    for index, member in enumerate(members if isinstance(members, list) else []):
        if isinstance(member, Mapping):
            yield from _member_mistakes((*path, "members", index), member, parts, bought)


def _member_mistakes(
    path: tuple[str | int, ...], member: Mapping[str, Any], parts: Mapping[str, Any], bought: Mapping[str, Any]
) -> Iterator[tuple[tuple[str | int, ...], str, str]]:
    what = member.get("what", "a member")
    printed, shop = member.get("part"), member.get("bought")
    if bool(printed) == bool(shop):
        yield path, f'"{what}" is of neither or both of a part and a bought thing', "name one: part = or bought ="
        return
    for key, name, known in (("part", printed, parts), ("bought", shop, bought)):
        if isinstance(name, str) and name and name not in known:
            listed = ", ".join(list(known)[:8]) or "none so far"
            yield (
                (*path, key),
                f'no {"part" if key == "part" else "bought thing"} is called "{name}"',
                f"known: {listed}",
            )
    if shop and "tolerance" not in member:
        yield path, f'"{what}" is bought and has no tolerance', "add tolerance = ... (plus or minus, in mm)"
    if printed and "tolerance" in member:
        yield (*path, "tolerance"), f'"{what}" is printed, so the bench tells its spread', "leave tolerance out"

"""What hangs on a joint: stated, or the weight of what would fall if the joint let go."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from shadewright.hold.balance import GRAVITY
from shadewright.hold.ranges import Ranged
from shadewright.lamp.model import Lamp
from shadewright.study.hold_lamp_weights import MUST_WEIGH

UNSURE = 0.15
"""Share by which a weight that was summed up may be off; printed parts are weighed by calculation."""

_LIGHT_G = 30.0
"""Mass that is counted for small hardware nobody weighed [g]; judged."""

_UNEVEN = 1.5
"""Most that one of several like joints carries, over its even share; judged."""

_LIES = ("cord", "plug", "glue")
_HUNG = ("ceiling", "cord")


@dataclass(frozen=True, slots=True, kw_only=True)
class JointLoad:
    """What pulls on a joint for years.

    Attributes:
        force: Range [N]; None when it is not known.
        words: Where it comes from, as a clause; when it is not known, what to state.
    """

    force: Ranged | None
    words: str


def load_of(lamp: Lamp, name: str, part_mass_g: Mapping[str, float]) -> JointLoad:
    """What pulls on the joint ``name``.

    Taken off, the joint leaves the lamp in two; things that no joint ties to either, such as the bulb, count on both.
    On a hung lamp whose pieces have places, the side away from the highest piece hangs on it; otherwise the heavier
    side is taken, as it would hang there when the lamp is lifted by the other.

    Args:
        lamp: The lamp.
        name: Its joint.
        part_mass_g: Mass of one of each printed part [g].
    """
    joint = lamp.joint[name]
    if joint.load_n is not None:
        return JointLoad(force=Ranged.within(joint.load_n, 0.05), words=f"{joint.load_n:g} N as stated")
    sides = _sides(lamp, name)
    hanging = _hanging(lamp, sides)
    unweighed = sorted({thing for side in hanging for thing in side if _mass_g(lamp, thing, part_mass_g) is None})
    if unweighed:
        return JointLoad(force=None, words=_ask(name, unweighed))
    grams = max(sum(_mass_g(lamp, thing, part_mass_g) or 0.0 for thing in side) for side in hanging)
    grams *= min(_UNEVEN / joint.count, 1.0)
    force = Ranged.within(max(grams, 1.0) / 1000 * GRAVITY, UNSURE, "masses of printed parts and of what is stated")
    kept = "the heavier side of the lamp may hang on it:" if len(hanging) > 1 else "what hangs on it weighs"
    kept = "all of the lamp may hang on it:" if len(sides) == 1 else kept
    each = f" at most {grams:.0f} g on each of {joint.count}" if joint.count > 1 else f" {grams:.0f} g"
    return JointLoad(force=force, words=kept + each)


def _ask(name: str, unweighed: list[str]) -> str:
    named = ", ".join(unweighed[:4]) + (" and others" if len(unweighed) > 4 else "")
    return f"add mass_g = ... to {named} (kitchen scale), or load_n = ... to joint {name}"


def _sides(lamp: Lamp, name: str) -> tuple[frozenset[str], ...]:
    """Names on either side of the joint once it lets go; one set when other joints still tie both together."""
    joint = lamp.joint[name]
    ties: dict[str, set[str]] = {}
    for other, tie in lamp.joint.items():
        if other != name:
            ties.setdefault(tie.male, set()).add(tie.female)
            ties.setdefault(tie.female, set()).add(tie.male)
    male, female = _reached(joint.male, ties), _reached(joint.female, ties)
    untied = frozenset((*lamp.part, *lamp.bought)) - male - female
    return (male | untied,) if male == female else (male | untied, female | untied)


def _reached(start: str, ties: Mapping[str, set[str]]) -> frozenset[str]:
    reached, waiting = {start}, [start]
    while waiting:
        fresh = ties.get(waiting.pop(), set()) - reached
        reached |= fresh
        waiting += fresh
    return frozenset(reached)


def _hanging(lamp: Lamp, sides: tuple[frozenset[str], ...]) -> tuple[frozenset[str], ...]:
    """The side that hangs on the joint, or all that might."""
    heights = {thing: part.place.at[2] for thing, part in lamp.part.items() if part.place is not None}
    heights |= {thing: bought.place.at[2] for thing, bought in lamp.bought.items() if bought.place is not None}
    if lamp.surroundings.mounted not in _HUNG or not heights:
        return sides
    top = max(heights, key=lambda thing: heights[thing])
    below = tuple(side for side in sides if top not in side)
    return below if len(below) == 1 else sides


def _mass_g(lamp: Lamp, thing: str, part_mass_g: Mapping[str, float]) -> float | None:
    """Mass of all of that thing in one lamp [g]; None when a bought one that is heavy was not weighed."""
    if thing in lamp.part:
        return part_mass_g.get(thing, 0.0) * lamp.part[thing].copies
    bought = lamp.bought[thing]
    if bought.mass_g is not None:
        return bought.mass_g * bought.count
    if bought.kind in MUST_WEIGH:
        return None
    return 0.0 if bought.kind in _LIES else _LIGHT_G * bought.count

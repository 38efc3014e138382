"""Which feature of a model is the one that a joint speaks of, and at what size it is drawn.

A feature fits a joint when its kind is right (bore or slot, boss or tongue, thread of that pitch) and its size lies
near the one both sides share. The nearest size wins; a rough place, where the maker states one, decides first.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from shadewright.catalog.threads import Sex, Thread
from shadewright.fit.as_printed import SAGITTA_MEAN
from shadewright.fit.joint import JointQuestion
from shadewright.solid.find_types import Features, FoundThread, RoundWall, Slot, Vector

AGREES = 0.02
"""A stated size agrees with the model within this, facets apart [mm]; drawings give hundredths."""
REACH, REACH_SHARE = 1.0, 0.02
"""How far the size drawn may be from the one both sides share [mm, and share of it]; common practice, no source."""
AS_LIKELY = 0.3
"""Sizes whose distances from the shared one differ by less leave the choice open [mm]; our rule."""
LEAST_TURN = 120.0
"""Less of a wall holds nothing in place [degrees]."""
NEAR_PITCH = 0.02
SAME_FLANKS = 3.0
"""Flanks that differ by more have been shaped to print upright [degrees]."""
ROUGH = 5.0
"""How far a rough place may be off a feature's middle line [mm], or a quarter of its size if that is more."""


@dataclass(frozen=True, slots=True, kw_only=True)
class FoundSize:
    """A feature that a joint may speak of.

    Attributes:
        what: ``bore``, ``boss``, ``slot``, ``tongue`` or ``male thread``, ``female thread``.
        size: Diameter through corners, width, or major diameter of the full thread [mm].
        low: Least size that the same drawing may be called by: across flats, or by the thread's own crests [mm].
        high: Greatest such size [mm].
        sagitta: Chord error of the facets [mm].
        middle: Where it is, in the model's own coordinates [mm].
        alike: How many such features of that size the model has.
        thread: Names and pitch of a thread, in words; empty for others.
    """

    what: str
    size: float
    low: float
    high: float
    sagitta: float
    middle: Vector
    alike: int = 1
    thread: str = ""

    @property
    def effective(self) -> float:
        """Size of the circle with about the same mean radius [mm]."""
        return self.size - 2 * SAGITTA_MEAN * self.sagitta

    def agrees(self, stated: float) -> bool:
        """Whether a stated size [mm] describes this feature, one way of measuring facets or another."""
        return self.low - AGREES <= stated <= self.high + AGREES


@dataclass(frozen=True, slots=True, kw_only=True)
class Match:
    """What was found for one side of a joint.

    Attributes:
        found: The feature; None when there is none, or when several are as likely.
        candidates: All that might be meant, likeliest first.
    """

    found: FoundSize | None
    candidates: tuple[FoundSize, ...]


def match(
    question: JointQuestion, sex: Sex, features: Features, near: Vector | None = None, stated: float | None = None
) -> Match:
    """Find one side of a joint in a part's model.

    Args:
        question: The joint; kind, shared size, thread and roundness are used.
        sex: Which side.
        features: What the part's model holds.
        near: Roughly where the feature is, in the model's own coordinates [mm].
        stated: What the maker says it is drawn at [mm]; a feature that agrees settles the choice.
    """
    every = _sizes(question, sex, features)
    if near is not None:
        every = tuple(each for each in every if _close(each[1], near, each[0].size))
    target = stated if stated is not None else question.nominal
    reach = REACH + REACH_SHARE * question.nominal
    likely = [size for size, _ in every if abs(size.effective - question.nominal) <= reach or _agrees(size, stated)]
    likely.sort(key=lambda size: abs(size.effective - target))
    candidates = _grouped(likely)
    agreeing = [size for size in candidates if _agrees(size, stated)]
    if agreeing:
        return Match(found=agreeing[0], candidates=candidates)
    if not candidates:
        return Match(found=None, candidates=())
    distance = [abs(size.effective - target) for size in candidates]
    open_choice = near is None and len(candidates) > 1 and distance[1] - distance[0] < AS_LIKELY
    return Match(found=None if open_choice else candidates[0], candidates=candidates)


def _agrees(size: FoundSize, stated: float | None) -> bool:
    return stated is not None and size.agrees(stated)


def _sizes(
    question: JointQuestion, sex: Sex, features: Features
) -> tuple[tuple[FoundSize, RoundWall | Slot | FoundThread], ...]:
    """All features of the right kind, each with what it is."""
    if question.thread is not None:
        thread = question.thread
        return tuple(
            (_thread_size(found, thread), found)
            for found in features.threads
            if found.sex is sex and abs(found.pitch / thread.pitch - 1) < NEAR_PITCH
        )
    female = sex is Sex.FEMALE
    if not question.round:
        return tuple((_slot_size(slot), slot) for slot in (features.slots if female else features.tongues))
    walls = features.bores if female else features.bosses
    return tuple((_wall_size(wall), wall) for wall in walls if wall.turn >= LEAST_TURN)


def _wall_size(wall: RoundWall) -> FoundSize:
    return FoundSize(
        what="bore" if wall.hollow else "boss",
        size=wall.diameter,
        low=wall.across_flats,
        high=wall.diameter,
        sagitta=wall.sagitta,
        middle=wall.middle,
    )


def _slot_size(slot: Slot) -> FoundSize:
    return FoundSize(
        what="slot" if slot.hollow else "tongue",
        size=slot.width,
        low=slot.width,
        high=slot.width,
        sagitta=0.0,
        middle=slot.middle,
    )


def _thread_size(found: FoundThread, thread: Thread) -> FoundSize:
    """The major diameter that a full thread of this drawing has.

    Threads mate on their flanks, so it follows from the pitch diameter. A thread shaped to print upright has lost
    plastic from its ridges, so there it follows from the bottom of the grooves, which such shaping leaves alone.
    """
    by_flanks = thread.major + found.pitch_diameter - thread.pitch_diameter
    by_roots = found.major if found.sex is Sex.FEMALE else thread.major + found.minor - thread.minor
    shaped = abs(found.flanks[0] - found.flanks[1]) > SAME_FLANKS
    size = by_roots if shaped else by_flanks
    callable_by = (size, found.major, by_roots)
    return FoundSize(
        what=f"{found.sex.value} thread",
        size=size,
        low=min(callable_by) - 2 * found.sagitta,
        high=max(callable_by),
        sagitta=found.sagitta,
        middle=found.middle,
        thread=f"{' or '.join(found.names) or 'no thread of the tables'}, pitch {found.pitch:.2f}",
    )


def _close(feature: RoundWall | Slot | FoundThread, near: Vector, size: float) -> bool:
    """Whether a rough place is near the middle line of a feature."""
    apart = [a - b for a, b in zip(near, feature.middle, strict=True)]
    if isinstance(feature, Slot):
        reach = feature.length / 2 + ROUGH
        return math.hypot(*apart) <= reach
    along = sum(a * b for a, b in zip(apart, feature.axis, strict=True))
    beyond = max(0.0, abs(along) - feature.length / 2)
    beside = math.sqrt(max(math.hypot(*apart) ** 2 - along**2, 0.0))
    return math.hypot(beside, beyond) <= max(ROUGH, size / 4)


def _grouped(sizes: Sequence[FoundSize]) -> tuple[FoundSize, ...]:
    """Features of one size as one, counted."""
    groups: list[list[FoundSize]] = []
    for size in sizes:
        group = next((known for known in groups if abs(known[0].size - size.size) < AGREES), None)
        if group is None:
            groups.append([size])
        else:
            group.append(size)
    return tuple(
        FoundSize(
            what=group[0].what,
            size=group[0].size,
            low=min(one.low for one in group),
            high=max(one.high for one in group),
            sagitta=max(one.sagitta for one in group),
            middle=group[0].middle,
            alike=len(group),
            thread=group[0].thread,
        )
        for group in groups
    )

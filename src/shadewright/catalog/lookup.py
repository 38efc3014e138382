"""Looking things up by the names people write."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from difflib import SequenceMatcher
from functools import cache
from itertools import takewhile
from types import MappingProxyType
from typing import Protocol, TypeVar

from shadewright.catalog import card_rows
from shadewright.catalog.cards import (
    Anchorage,
    BulbCard,
    CordCard,
    GlueCard,
    HolderCard,
    LightSourceCard,
    PlasticCard,
)
from shadewright.catalog.fits import FitStep, grade_steps, shaft_steps
from shadewright.catalog.thread_rows import read_threads
from shadewright.catalog.threads import Thread
from shadewright.errors import UnknownName, ValueProblem


class Named(Protocol):
    """Anything that goes by a name and perhaps by others."""

    @property
    def name(self) -> str:
        """As the trade writes it."""
        ...

    @property
    def aliases(self) -> tuple[str, ...]:
        """Other writings."""
        ...


Entry = TypeVar("Entry", bound=Named)

_LEAST_LIKENESS = 0.6

_DROPPED = re.compile(r"[\s_\"'”″]|\bno\.\s*|#|ø|⌀")
_HYPHEN_AT_LETTER = re.compile(r"(?<=[a-z])-|-(?=[a-z])")
_INCH_BY = re.compile(r"(?<=\d/\d)x|(?<=\d/\d\d)x|(?<=\d/\d)inx")
_METRIC_HYPHEN = re.compile(r"^(m[\d.]+)-(?=[\d.]+)")
_CLASS = re.compile(r"^(m[\d.]+(?:x[\d.]+?)?|tr[\d.]+x[\d.]+?|.+un(?:c|f|ef|s)|g[\d/-]+)-?(?:\d[a-h]|[ab])$")
_DECIMAL = re.compile(r"\d*\.\d+")


def folded(name: str) -> str:
    """Reduce a name to what matters: ``M 10 × 1.0`` and ``m10x1`` are the same thread."""
    text = name.strip().lower().replace("×", "x").replace("*", "x").replace(",", ".")
    text = re.sub(r"[‐-―−]", "-", text)
    text = _INCH_BY.sub("-", _DROPPED.sub("", text))
    text = _HYPHEN_AT_LETTER.sub("", text)
    return _DECIMAL.sub(lambda match: f"{float(match[0]):g}", text)


def _thread_folded(name: str) -> str:
    """Fold a thread's name, leaving out a tolerance class (6g, 2A, A) and reading ``M10-1`` as ``M10x1``."""
    text = _METRIC_HYPHEN.sub(r"\1x", folded(name))
    return _CLASS.sub(r"\1", text)


def by_folded_name(entries: Iterable[Entry]) -> Mapping[str, Entry]:
    """Index entries by their folded names and aliases; a proper name wins over another's alias."""
    known = tuple(entries)
    index = {folded(alias): entry for entry in known for alias in entry.aliases}
    index.update({folded(entry.name): entry for entry in known})
    return MappingProxyType(index)


def find(kind: str, name: str, index: Mapping[str, Entry], where: str = "") -> Entry:
    """Find one entry.

    Raises:
        UnknownName: Nothing goes by that name; the message offers the nearest names.
    """
    entry = index.get(folded(name))
    if entry is None:
        near = " or ".join(f'"{match}"' for match in _near(folded(name), index))
        cure = f"use {near}" if near else 'look for it with "shadewright catalog"'
        raise UnknownName.of(f'no {kind} is called "{name.strip()}"', cure, where)
    return entry


def _near(wanted: str, index: Mapping[str, Entry]) -> list[str]:
    """Names most like the wanted one, among equals those that begin alike; at most three."""

    def likeness(key: str) -> tuple[float, int]:
        alike = takewhile(lambda pair: pair[0] == pair[1], zip(wanted, key, strict=False))
        return SequenceMatcher(None, wanted, key).ratio(), len(tuple(alike))

    likely = [(likeness(key), entry.name) for key, entry in index.items()]
    ranked = sorted((item for item in likely if item[0][0] >= _LEAST_LIKENESS), key=lambda item: item[0], reverse=True)
    return list(dict.fromkeys(name for _, name in ranked))[:3]


@cache
def threads() -> tuple[Thread, ...]:
    """All threads of the catalogue, lamp threads first."""
    return read_threads()


@cache
def _thread_index() -> Mapping[str, Thread]:
    return by_folded_name(threads())


def thread(name: str, where: str = "") -> Thread:
    """Find a thread by the name someone wrote; ``M10`` is the coarse one.

    Args:
        name: Case, spaces, the kind of multiplication sign and trailing zeros do not matter.
        where: File and line or option to name in the error.

    Raises:
        UnknownName: No thread goes by that name.
    """
    index = _thread_index()
    entry = index.get(_thread_folded(name))
    return entry if entry is not None else find("thread", name, index, where)


@cache
def plastics() -> tuple[PlasticCard, ...]:
    """All plastics of the catalogue."""
    return card_rows.read_plastics()


def plastic(name: str, where: str = "") -> PlasticCard:
    """Find a plastic; case and spaces do not matter.

    Raises:
        UnknownName: No plastic goes by that name.
    """
    return find("plastic", name, by_folded_name(plastics()), where)


@cache
def glues() -> tuple[GlueCard, ...]:
    """All glues and tapes of the catalogue."""
    return card_rows.read_glues()


def glue(name: str, where: str = "") -> GlueCard:
    """Find a glue.

    Raises:
        UnknownName: No glue goes by that name.
    """
    return find("glue", name, by_folded_name(glues()), where)


@cache
def bulbs() -> tuple[BulbCard, ...]:
    """All bulb shapes of the catalogue."""
    return card_rows.read_bulbs()


def bulb(name: str, where: str = "") -> BulbCard:
    """Find a bulb shape.

    Raises:
        UnknownName: No bulb goes by that name.
    """
    return find("bulb", name, by_folded_name(bulbs()), where)


@cache
def light_sources() -> tuple[LightSourceCard, ...]:
    """All ways of making light."""
    return card_rows.read_light_sources()


def light_source(name: str, where: str = "") -> LightSourceCard:
    """Find a way of making light, such as ``LED``.

    Raises:
        UnknownName: No light source goes by that name.
    """
    return find("light source", name, by_folded_name(light_sources()), where)


@cache
def holders() -> tuple[HolderCard, ...]:
    """All holders with their caps."""
    return card_rows.read_holders()


def holder(name: str, where: str = "") -> HolderCard:
    """Find a holder by its cap.

    Raises:
        UnknownName: No holder goes by that name.
    """
    return find("holder", name, by_folded_name(holders()), where)


@cache
def cords() -> tuple[CordCard, ...]:
    """All cords of the catalogue."""
    return card_rows.read_cords()


def cord(name: str, where: str = "") -> CordCard:
    """Find a cord.

    Raises:
        UnknownName: No cord goes by that name.
    """
    return find("cord", name, by_folded_name(cords()), where)


@cache
def anchorages() -> tuple[Anchorage, ...]:
    """Test loads of cord anchorages."""
    return card_rows.read_anchorages()


def anchorage(total_area_mm2: float) -> Anchorage:
    """Find the test load for a cord's total conductor section.

    Raises:
        ValueProblem: The section is outside the table.

    Source: IEC 60598-1, 5.2.10.3.
    """
    for row in anchorages():
        if row.area_over_mm2 < total_area_mm2 <= row.area_up_to_mm2:
            return row
    greatest = anchorages()[-1].area_up_to_mm2
    raise ValueProblem.of(
        f"a conductor section of {total_area_mm2:g} mm² is outside the anchorage table",
        f"it must be above 0 and at most {greatest:g} mm²",
    )


def fits() -> tuple[FitStep, ...]:
    """All rows of the fit tables: grades first, then shaft deviations."""
    return (*grade_steps(), *shaft_steps())

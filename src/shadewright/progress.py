"""How long work tells that it is moving, without knowing who listens."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from typing import Protocol, TypeVar

Item = TypeVar("Item")


class Progress(Protocol):
    """Whoever shows progress; calculations only call it."""

    def start(self, label: str, total: int) -> Callable[[], None]:
        """Announce ``total`` steps under ``label``; the answer is called once after each step."""
        ...


class Silent:
    """Shows nothing."""

    def start(self, label: str, total: int) -> Callable[[], None]:
        """Ignore the announcement."""
        return lambda: None


SILENT = Silent()


def stepping(progress: Progress, label: str, items: Iterable[Item], total: int) -> Iterator[Item]:
    """Yield ``items`` and tell ``progress`` after each."""
    step = progress.start(label, total)
    for item in items:
        yield item
        step()

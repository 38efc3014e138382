"""Progress bars on stderr, for people: only at a terminal, and only when the work lasts."""

from __future__ import annotations

import sys
import threading
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from typing import TYPE_CHECKING

from shadewright.progress import SILENT, Progress

if TYPE_CHECKING:
    from rich.progress import Progress as RichProgress

PATIENCE_S = 0.5
"""Work shorter than this shows nothing."""


@contextmanager
def bars(patience_s: float = PATIENCE_S) -> Iterator[Progress]:
    """Yield a ``Progress`` that draws bars on stderr once the work has lasted ``patience_s``."""
    if not sys.stderr.isatty():
        yield SILENT
        return
    shown = _Bars()
    timer = threading.Timer(patience_s, shown.show)
    timer.daemon = True
    timer.start()
    try:
        yield shown
    finally:
        timer.cancel()
        shown.close()
        timer.join()


class _Bars:
    """Counts steps from the start, and draws them when told to."""

    def __init__(self) -> None:
        self._lock = threading.Lock()
        self._tasks: list[tuple[str, int]] = []
        self._done: list[int] = []
        self._drawn: RichProgress | None = None
        self._closed = False

    def start(self, label: str, total: int) -> Callable[[], None]:
        """Announce ``total`` steps under ``label``."""
        with self._lock:
            place = len(self._tasks)
            self._tasks.append((label, total))
            self._done.append(0)
            if self._drawn is not None:
                self._drawn.add_task(label, total=total)
        return lambda: self._step(place)

    def _step(self, place: int) -> None:
        with self._lock:
            self._done[place] += 1
            if self._drawn is not None:
                self._drawn.advance(self._drawn.task_ids[place])

    def show(self) -> None:
        """Draw all bars from now on."""
        from rich.console import Console
        from rich.progress import BarColumn, MofNCompleteColumn, TextColumn, TimeElapsedColumn
        from rich.progress import Progress as RichProgress

        columns = (TextColumn("{task.description}"), BarColumn(), MofNCompleteColumn(), TimeElapsedColumn())
        with self._lock:
            if self._closed:
                return
            self._drawn = RichProgress(*columns, console=Console(stderr=True), transient=True)
            for (label, total), done in zip(self._tasks, self._done, strict=True):
                self._drawn.add_task(label, total=total, completed=done)
            self._drawn.start()

    def close(self) -> None:
        """Take the bars away."""
        with self._lock:
            self._closed = True
            if self._drawn is not None:
                self._drawn.stop()

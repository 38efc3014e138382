"""Bars are for people at a terminal, and only for work that lasts."""

from __future__ import annotations

import io
import sys
import threading

import pytest

from shadewright.cli.bars import bars
from shadewright.progress import SILENT, stepping


class Terminal(io.StringIO):
    """A stream that says it is a terminal, and tells when something is written."""

    def __init__(self) -> None:
        super().__init__()
        self.written = threading.Event()

    def isatty(self) -> bool:
        return True

    def write(self, text: str) -> int:
        if "slicing" in text:
            self.written.set()
        return super().write(text)


def test_nothing_is_drawn_where_nobody_looks(monkeypatch: pytest.MonkeyPatch) -> None:
    stream = io.StringIO()
    monkeypatch.setattr(sys, "stderr", stream)

    with bars(patience_s=0) as progress:
        assert progress is SILENT
        assert list(stepping(progress, "slicing", [1, 2], 2)) == [1, 2]

    assert stream.getvalue() == ""


def test_short_work_draws_nothing_at_a_terminal(monkeypatch: pytest.MonkeyPatch) -> None:
    stream = Terminal()
    monkeypatch.setattr(sys, "stderr", stream)

    with bars(patience_s=3600) as progress:
        list(stepping(progress, "slicing", range(100), 100))

    assert stream.getvalue() == ""


def test_lasting_work_shows_its_label_and_count_then_clears_away(monkeypatch: pytest.MonkeyPatch) -> None:
    stream = Terminal()
    monkeypatch.setenv("TERM", "xterm")
    monkeypatch.setattr(sys, "stderr", stream)

    with bars(patience_s=0) as progress:
        step = progress.start("slicing", 4)
        step()
        assert stream.written.wait(30)
        step()
        progress.start("weighing", 2)()

    shown = stream.getvalue()
    assert "slicing" in shown
    assert "weighing" in shown
    assert "2/4" in shown


def test_an_error_in_the_work_comes_through(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(sys, "stderr", Terminal())

    with pytest.raises(ZeroDivisionError), bars(patience_s=0):
        raise ZeroDivisionError

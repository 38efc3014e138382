"""A plain printer for the trials of moving joints."""

from __future__ import annotations

from pathlib import Path

import pytest

from shadewright.bench.store import Bench
from shadewright.printing import PrintSetup


@pytest.fixture
def plain_setup(tmp_path: Path) -> PrintSetup:
    with Bench.open(tmp_path / "bench.sqlite") as bench:
        return bench.setup()

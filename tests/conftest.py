"""What every test gets: a bench of its own, and the model files other people made where they are at hand."""

from __future__ import annotations

from pathlib import Path

import pytest

SAMPLES = Path(__file__).resolve().parents[2] / "shared" / "samples"


@pytest.fixture(autouse=True)
def own_bench(tmp_path_factory: pytest.TempPathFactory, monkeypatch: pytest.MonkeyPatch) -> None:
    """Keep the user's bench out of the tests' reach."""
    monkeypatch.setenv("SHADEWRIGHT_BENCH", str(tmp_path_factory.mktemp("bench") / "bench.sqlite"))


@pytest.fixture
def samples() -> Path:
    """The folder of model files that other people made; the test is skipped where it is absent."""
    if not SAMPLES.is_dir():
        pytest.skip("the model files other people made are not at hand (../shared/samples)")
    return SAMPLES

"""Whether STEP can be tested here: skipped without its library, unless SHADEWRIGHT_REQUIRE_STEP=1 says it must be."""

from __future__ import annotations

import os

import pytest


def require_step_here() -> None:
    """Skip the calling test without the STEP library, or fail where it is demanded."""
    if os.environ.get("SHADEWRIGHT_REQUIRE_STEP") == "1":
        __import__("OCP.TopoDS")
    else:
        pytest.importorskip("OCP")

"""Joints of several dimensions: which function sizes which kind."""

from __future__ import annotations

from collections.abc import Callable

from shadewright.bench.store import Bench
from shadewright.fit.joint import JointKind, KindSizing
from shadewright.lamp.read import ReadLamp

Sizer = Callable[[ReadLamp, str, Bench], KindSizing]
"""Sizes the joint of that name; raises ``UserError`` with the line in ``lamp.toml`` for what the maker can mend."""

SIZERS: dict[JointKind, Sizer] = {}

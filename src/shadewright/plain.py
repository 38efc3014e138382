"""Results as plain data for JSON: dataclasses, enums, paths and arrays unfolded."""

from __future__ import annotations

import dataclasses
import json
import math
from collections.abc import Mapping
from enum import Enum
from pathlib import PurePath
from typing import Any


def plain(value: Any, leave_out: frozenset[str] = frozenset()) -> Any:
    """Unfold ``value`` into dicts, lists, strings, numbers, booleans and None.

    Numbers that JSON cannot carry (NaN, infinities) become None; dataclass fields named in ``leave_out`` are skipped.
    """
    if isinstance(value, Enum):
        return plain(value.value)
    if value is None or isinstance(value, bool | int | str):
        return value
    if isinstance(value, float):
        return value if math.isfinite(value) else None
    return _plain_compound(value, leave_out)


def _plain_compound(value: Any, leave_out: frozenset[str]) -> Any:
    if dataclasses.is_dataclass(value) and not isinstance(value, type):
        names = [field.name for field in dataclasses.fields(value) if field.name not in leave_out]
        return {name: plain(getattr(value, name), leave_out) for name in names}
    if isinstance(value, Mapping):
        return {str(key): plain(item, leave_out) for key, item in value.items()}
    if isinstance(value, PurePath):
        return str(value)
    if hasattr(value, "tolist"):  # numpy arrays and scalars
        return plain(value.tolist())
    if hasattr(value, "model_dump"):  # pydantic models
        return plain(value.model_dump())
    return [plain(item, leave_out) for item in value]


def to_json(value: Any) -> str:
    """Render ``value`` as indented JSON text."""
    return json.dumps(plain(value), indent=2, ensure_ascii=False)

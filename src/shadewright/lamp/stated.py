"""What everything stated in ``lamp.toml`` has in common."""

from __future__ import annotations

from typing import Annotated

from pydantic import BaseModel, ConfigDict, Field

Millimetres = Annotated[float, Field(gt=0, le=2000, allow_inf_nan=False)]
"""A length in a home-made lamp: above 0, at most 2 m."""

Coordinate = Annotated[float, Field(ge=-10_000, le=10_000, allow_inf_nan=False)]
"""A coordinate in a model [mm]."""


Written = Field(strict=False)
"""Marks values that are text in the file and something narrower here: a path, a word from a list."""


class Stated(BaseModel):
    """Base of everything in ``lamp.toml``: unknown keys are refused, values never change."""

    model_config = ConfigDict(extra="forbid", frozen=True, strict=True)

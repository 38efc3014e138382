"""Results as JSON."""

import json
from dataclasses import dataclass
from enum import StrEnum
from pathlib import Path

import numpy as np

from shadewright.plain import plain, to_json


class Colour(StrEnum):
    RED = "red"


@dataclass(frozen=True)
class Inner:
    mesh: object
    size: float


@dataclass(frozen=True)
class Outer:
    inner: tuple[Inner, ...]
    colour: Colour
    where: Path


def test_dataclasses_enums_paths_and_arrays_become_json() -> None:
    value = Outer((Inner(np.arange(3), np.float64(1.5)),), Colour.RED, Path("a/b"))

    assert json.loads(to_json(value)) == {
        "inner": [{"mesh": [0, 1, 2], "size": 1.5}],
        "colour": "red",
        "where": "a/b",
    }


def test_numbers_json_cannot_carry_become_null() -> None:
    assert json.loads(to_json({"a": float("nan"), "b": [float("inf")], "c": np.array([np.nan])})) == {
        "a": None,
        "b": [None],
        "c": [None],
    }


def test_bulky_fields_are_left_out_at_every_depth() -> None:
    assert plain(Outer((Inner(1, 2.0),), Colour.RED, Path("x")), frozenset({"mesh"}))["inner"] == [{"size": 2.0}]

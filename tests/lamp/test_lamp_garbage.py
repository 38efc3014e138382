"""Whatever stands in lamp.toml, the answer is a lamp or sentences, never another exception."""

from __future__ import annotations

import tempfile
from collections.abc import Iterator
from importlib import resources
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from shadewright.errors import UserError
from shadewright.lamp.model import Lamp
from shadewright.lamp.read import read_lamp
from shadewright.lamp.wording import TABLES

START = (resources.files("shadewright.lamp") / "start.toml").read_bytes()
LINES = START.splitlines(keepends=True)
KEYS = sorted({field for model in TABLES.values() for field in model.model_fields} | {"", "x y", "ä", "schema"})

SCALARS = st.one_of(
    st.booleans().map(lambda value: str(value).lower()),
    st.integers().map(str),
    st.integers(-(10**400), 10**400).map(str),
    st.floats().map(repr),
    st.text(max_size=12).map(
        lambda text: '"' + "".join(f"\\U{ord(c):08x}" for c in text if not 0xD800 <= ord(c) < 0xE000) + '"'
    ),
    st.sampled_from(['"12 mm"', '"1/2 in"', '"PLA"', '"holder"', '"collar"', '"thread"', "1979-05-27", "07:32:00"]),
)
VALUES = st.recursive(
    SCALARS,
    lambda inner: (
        st.lists(inner, max_size=3).map(lambda items: f"[{', '.join(items)}]")
        | st.dictionaries(st.sampled_from(["outside", "over", "a", "model"]), inner, max_size=2).map(
            lambda table: "{" + ", ".join(f"{key} = {value}" for key, value in table.items()) + "}"
        )
    ),
    max_leaves=5,
)


@pytest.fixture(scope="module")
def folder() -> Iterator[Path]:
    with tempfile.TemporaryDirectory() as made:
        (Path(made) / "models").mkdir()
        (Path(made) / "models" / "collar.3mf").touch()
        yield Path(made)


def answer(folder: Path, content: bytes) -> None:
    (folder / "lamp.toml").write_bytes(content)
    try:
        assert isinstance(read_lamp(folder).lamp, Lamp)
    except UserError as refusal:
        assert refusal.problems
        assert all(problem.what and problem.cure for problem in refusal.problems)


@settings(max_examples=150, deadline=None)
@given(st.binary(max_size=200))
def test_bytes(folder: Path, content: bytes) -> None:
    answer(folder, content)


@settings(max_examples=200, deadline=None)
@given(st.integers(0, len(START)), st.integers(0, 40), st.text(max_size=20))
def test_a_good_file_with_a_piece_replaced(folder: Path, place: int, length: int, piece: str) -> None:
    answer(folder, START[:place] + piece.encode("utf-8", "surrogatepass") + START[place + length :])


@settings(max_examples=100, deadline=None)
@given(st.permutations(range(len(LINES))), st.integers(0, len(LINES)))
def test_a_good_file_with_its_lines_shuffled(folder: Path, order: list[int], most: int) -> None:
    answer(folder, b"".join(LINES[place] for place in order[:most]))


@settings(max_examples=300, deadline=None)
@given(
    st.dictionaries(
        st.sampled_from(
            ["lamp", "printing", "bought.a", "part.a", "part.collar", "joint.a", "joint", "x.y", "surroundings"]
        ),
        st.dictionaries(st.sampled_from(KEYS), VALUES, max_size=5),
        max_size=5,
    )
)
def test_any_value_at_any_key(folder: Path, tables: dict[str, dict[str, str]]) -> None:
    text = "".join(
        f"[{name}]\n" + "".join(f'"{key}" = {value}\n' for key, value in table.items())
        for name, table in tables.items()
    )
    answer(folder, text.encode())

"""A new lamp explains itself and reads without a word of complaint."""

from __future__ import annotations

import re
from importlib import resources
from pathlib import Path

import pytest

from shadewright.errors import FileProblem, ValueProblem
from shadewright.lamp import start
from shadewright.lamp.read import read_lamp
from shadewright.lamp.start import start_lamp
from shadewright.lamp.wording import TABLES
from shadewright.solid.read import read_model

TEMPLATE = (resources.files("shadewright.lamp") / "start.toml").read_text(encoding="utf-8")


def test_a_fresh_lamp_reads_and_its_model_is_what_it_states(tmp_path: Path) -> None:
    file, model = start_lamp(tmp_path / "porch", 'The "porch", № 1\\2')

    read = read_lamp(tmp_path / "porch")
    assert read.lamp.lamp.name == 'The "porch", № 1\\2'
    assert (file, model) == (read.file, read.folder / read.lamp.part["collar"].model)
    assert read.lamp.joint["grip"].drawn_female == start.COLLAR_BORE
    assert read.lamp.joint["grip"].length == start.COLLAR_LENGTH
    outside = start.COLLAR_BORE + 2 * start.COLLAR_WALL
    size = read_model(model).mesh.size
    assert size == pytest.approx([outside, outside, start.COLLAR_LENGTH], abs=0.05)


def test_every_key_is_explained_by_example_under_its_table() -> None:
    sections = TEMPLATE.split("\n# ---- ")
    for path, model in TABLES.items():
        for key in model.model_fields if path else ():
            section = next(text for text in sections if f"\n[{path[0]}" in text)
            assert re.search(rf"\b{key} = ", section), f"{key} of {path} is not in the template"


def test_examples_behind_the_hash_are_valid_too(tmp_path: Path) -> None:
    start_lamp(tmp_path / "porch", "porch")
    woken = re.sub(r'(?m)^# (?!thread = "M10x1")(\w+ = )', r"\1", TEMPLATE)
    (tmp_path / "porch" / "lamp.toml").write_text(woken, encoding="utf-8")

    lamp = read_lamp(tmp_path / "porch").lamp

    assert lamp.part["collar"].plastic == "PETG"
    assert lamp.bought["holder"].readings is not None
    assert lamp.joint["grip"].liner_wall == 0.8
    assert (lamp.joint["grip"].count, lamp.joint["grip"].round) == (2, False)


def test_folders_that_hold_something_are_refused_and_left_alone(tmp_path: Path) -> None:
    (tmp_path / "notes.txt").write_text("mine")
    (tmp_path / "file").touch()

    with pytest.raises(FileProblem, match="this folder is not empty"):
        start_lamp(tmp_path, "porch")
    with pytest.raises(FileProblem, match="this is a file"):
        start_lamp(tmp_path / "file", "porch")
    start_lamp(tmp_path / "porch", "porch")
    before = (tmp_path / "porch" / "lamp.toml").read_bytes()
    with pytest.raises(FileProblem, match="there is a lamp in this folder already"):
        start_lamp(tmp_path / "porch", "other")

    assert (tmp_path / "porch" / "lamp.toml").read_bytes() == before
    assert sorted(entry.name for entry in tmp_path.iterdir()) == ["file", "notes.txt", "porch"]


def test_hidden_files_do_not_count(tmp_path: Path) -> None:
    (tmp_path / ".git").mkdir()

    start_lamp(tmp_path, "porch")

    assert read_lamp(tmp_path).lamp.lamp.name == "porch"


@pytest.mark.parametrize("name", ["", " ", "a\nb", "x" * 81])
def test_names_nothing_can_have_are_refused_before_anything_is_made(tmp_path: Path, name: str) -> None:
    with pytest.raises(ValueProblem, match="cannot be the name of a lamp"):
        start_lamp(tmp_path / "porch", name)

    assert not (tmp_path / "porch").exists()

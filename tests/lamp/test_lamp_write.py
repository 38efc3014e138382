"""Values change; everything around them stays."""

from __future__ import annotations

from pathlib import Path

import pytest

from shadewright.errors import UnknownName, ValueProblem
from shadewright.lamp.read import read_lamp
from shadewright.lamp.write import set_value, set_values

TEXT = """# my lamp

[lamp]
name   =  "porch"     # the one by the door

[bought.tube]
kind = "pipe"
diameter = 12.7

[joint.stand]   # shaky
kind = "slide"
male = "tube"
female = "foot"
drawn_female = 12.9   # as of today
# the end

[part]
foot = { model = "foot.stl", copies = 2 }
"""


@pytest.fixture
def file(tmp_path: Path) -> Path:
    (tmp_path / "foot.stl").write_bytes(b"x")
    path = tmp_path / "lamp.toml"
    path.write_text(TEXT)
    return path


def test_only_the_value_changes(file: Path) -> None:
    read = set_value(file, ("joint", "stand", "drawn_female"), 13.02)

    assert file.read_text() == TEXT.replace("12.9 ", "13.02 ")
    assert read.lamp.joint["stand"].drawn_female == 13.02


def test_a_key_that_is_not_there_is_added_to_its_table(file: Path) -> None:
    set_values(file, {("joint", "stand", "nominal"): 12.7, ("part", "foot", "note"): "felt below"})

    lamp = read_lamp(file).lamp
    assert lamp.joint["stand"].nominal == 12.7
    assert (lamp.part["foot"].note, lamp.part["foot"].copies) == ("felt below", 2)
    assert "# the end" in file.read_text()
    assert "# the one by the door" in file.read_text()


def test_windows_line_ends_stay(file: Path) -> None:
    file.write_bytes(TEXT.replace("\n", "\r\n").encode())

    set_value(file, ("joint", "stand", "drawn_female"), 13.02)

    assert file.read_bytes() == TEXT.replace("12.9 ", "13.02 ").replace("\n", "\r\n").encode()


def test_a_value_that_spoils_the_lamp_is_refused_and_nothing_is_written(file: Path) -> None:
    with pytest.raises(ValueProblem, match=r"drawn_female in \[joint\.stand\] is -1 mm; it must be above 0 mm"):
        set_value(file, ("joint", "stand", "drawn_female"), -1)

    assert file.read_text() == TEXT


def test_a_table_that_is_not_there_is_refused_with_near_names(file: Path) -> None:
    with pytest.raises(UnknownName, match=r'no table in this lamp is called "joint\.stnd"; use "stand"'):
        set_value(file, ("joint", "stnd", "drawn_female"), 13)
    with pytest.raises(UnknownName):
        set_value(file, ("lamp", "name", "x"), 13)

    assert file.read_text() == TEXT


def test_tables_that_are_torn_apart_change_right_or_not_at_all(file: Path) -> None:
    torn = TEXT + '\n[joint.other]\nkind = "seat"\nmale = "foot"\nfemale = "tube"\n'
    file.write_text(torn)

    set_value(file, ("joint", "other", "count"), 3)

    assert read_lamp(file).lamp.joint["other"].count == 3
    assert file.read_text().startswith(TEXT)

"""The catalogue at the terminal."""

import json

import pytest

from shadewright.cli.catalog import TABLES
from shadewright.cli.main import main


@pytest.mark.parametrize("table", TABLES)
def test_tables_fit_a_narrow_terminal_and_tell_their_sources(table, capsys):
    assert main(["catalog", table]) == 0
    text = capsys.readouterr().out
    assert max(len(line) for line in text.splitlines()) < 100
    assert "Sources:" in text and "* from memory" in text


def test_without_a_table_it_lists_them(capsys):
    assert main(["catalog"]) == 0
    text = capsys.readouterr().out
    assert all(table in text for table in TABLES)


def test_find_a_lamp_pipe(capsys):
    assert main(["catalog", "threads", "--find", "10x1"]) == 0
    text = capsys.readouterr().out
    (line,) = [line for line in text.splitlines() if line.startswith("M10x1* ")]
    assert "9.79…9.97" in line and "iso-965" in line  # ISO 965-2 6g, memory: 9.794 to 9.974
    assert "M8x1" not in text


def test_rows_that_were_seen_carry_no_mark(capsys):
    main(["catalog", "threads", "--find", "M4x0.7"])
    assert any(line.startswith("M4x0.7 ") for line in capsys.readouterr().out.splitlines())


def test_find_everywhere(capsys):
    assert main(["catalog", "--find", "b22d"]) == 0
    text = capsys.readouterr().out
    assert "BULBS" in text and "HOLDERS (1)" in text and "CORDS" not in text


def test_one_plastic_shows_the_source_of_every_value(capsys):
    assert main(["catalog", "plastics", "--find", "petg"]) == 0
    lines = capsys.readouterr().out.splitlines()
    assert any(line.startswith("strength_across_mpa ") and line.endswith("tensile-open-data") for line in lines)
    assert any(line.startswith("hdt_045_c*") and line.endswith("data-sheets") for line in lines)


def test_json_carries_rows_and_sources(capsys):
    assert main(["catalog", "threads", "--find", "E27", "--json"]) == 0
    data = json.loads(capsys.readouterr().out)
    rows = {row["name"]: row for row in data["tables"]["threads"]}
    assert rows["E27"]["male"]["major"] == {"low": 26.05, "high": 26.45}  # IEC 60061-1 finished lamp, memory
    assert set(data["sources"]) == {row["source"] for row in rows.values()}


def test_nothing_found_is_one_sentence(capsys):
    assert main(["catalog", "threads", "--find", "zzz"]) == 2
    refusal = capsys.readouterr().err
    assert refusal.count("\n") == 1 and 'mentions "zzz"' in refusal

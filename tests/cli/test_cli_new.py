"""``shadewright new`` as a newcomer meets it."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from shadewright.cli.main import main
from shadewright.lamp.read import read_lamp

Told = pytest.CaptureFixture[str]


def test_it_starts_a_lamp_and_says_what_to_do_next(tmp_path: Path, capsys: Told) -> None:
    folder = tmp_path / "porch lamp"

    assert main(["new", str(folder)]) == 0

    told = capsys.readouterr().out
    assert 'Started "porch lamp"' in told
    assert f'shadewright study "{folder}"' in told
    assert read_lamp(folder).lamp.lamp.name == "porch lamp"


def test_the_name_may_be_given(tmp_path: Path, capsys: Told) -> None:
    assert main(["new", str(tmp_path / "a"), "--name", "Lights for the jetty", "--json"]) == 0

    assert json.loads(capsys.readouterr().out)["name"] == "Lights for the jetty"
    assert read_lamp(tmp_path / "a").lamp.lamp.name == "Lights for the jetty"


def test_a_folder_in_use_is_refused(tmp_path: Path, capsys: Told) -> None:
    (tmp_path / "thesis.txt").touch()

    assert main(["new", str(tmp_path)]) == 2

    assert capsys.readouterr().err.endswith('this folder is not empty (it holds "thesis.txt"); name a new folder.\n')
    assert [entry.name for entry in tmp_path.iterdir()] == ["thesis.txt"]

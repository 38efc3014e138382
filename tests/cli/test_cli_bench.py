"""``shadewright bench`` and the options that open it."""

from __future__ import annotations

import json
from argparse import ArgumentParser
from pathlib import Path

import pytest

from shadewright.bench.store import Bench
from shadewright.cli.main import main
from shadewright.cli.options import add_bench_options, open_bench, setup_from

Told = pytest.CaptureFixture[str]


@pytest.fixture(autouse=True)
def file(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    path = tmp_path / "bench.sqlite"
    monkeypatch.setenv("SHADEWRIGHT_BENCH", str(path))
    return path


def test_it_shows_what_is_there_and_where(file: Path, capsys: Told) -> None:
    assert main(["bench"]) == 0
    shown = capsys.readouterr().out
    assert main(["bench", "where"]) == 0

    assert f"Bench: {file}" in shown
    assert "built-in: bed 220 x 220 x 250 mm, nozzle 0.4 mm" in shown
    assert "PETG: 1.27 g/cm³" in shown
    assert capsys.readouterr().out == f"{file}\n"


def test_the_file_may_be_named_before_or_behind_the_word(tmp_path: Path, capsys: Told) -> None:
    other = tmp_path / "other.sqlite"

    main(["bench", "--bench", str(other), "where"])
    main(["bench", "where", "--bench", str(other)])

    assert capsys.readouterr().out == f"{other}\n{other}\n"


def test_a_printer_is_added_then_changed(file: Path, capsys: Told) -> None:
    assert (
        main(["bench", "printer", "attic", "--bed", "180", "170", "160", "--nozzle", "0.6", "0.4", "--speed", "80"])
        == 0
    )
    assert main(["bench", "printer", "ATTIC", "--warm-up", "300"]) == 0

    told = capsys.readouterr().out
    assert told.startswith("Added printer attic: bed 180 x 170 x 160 mm, nozzle 0.6, 0.4 mm, 80 mm/s")
    assert "Changed printer attic" in told
    with Bench.open(file) as bench:
        card = bench.printer("attic")
        assert (card.nozzles, card.speed_mm_s, card.warm_up_s) == ((0.6, 0.4), 80, 300)


def test_a_plastic_starts_from_its_family(file: Path, capsys: Told) -> None:
    assert main(["bench", "plastic", "matte", "--family", "petg", "--price", "22"]) == 0
    assert main(["bench", "plastic", "matte", "--density", "1.3"]) == 0

    with Bench.open(file) as bench:
        card = bench.plastic("matte")
        assert (card.family, card.density_g_cm3, card.flow_limit_mm3_s, card.price_per_kg) == ("PETG", 1.3, 8, 22)


@pytest.mark.parametrize(
    ("words", "sentence"),
    [
        ("printer attic", 'a new printer "attic" needs its room stated; add --bed X Y Z in mm.'),
        ("plastic matte", 'a new plastic "matte" needs a family; add --family PLA or another plastic.'),
        ("plastic matte --family PTEG", '--family: no plastic is called "PTEG"; use "PETG"'),
        ("printer built-in --nozzle 4", "no nozzle has a bore of 4 mm; give one from 0.1 to 2 mm."),
        ("shw", '"shw" is not one of its words; use "show".'),
        ("import nowhere.toml", "nowhere.toml cannot be read (No such file or directory)"),
        ("printer attic --bed 1 2", "--bed: expected 3 arguments"),
    ],
)
def test_what_cannot_be_is_refused_in_a_sentence(words: str, sentence: str, capsys: Told) -> None:
    assert main(["bench", *words.split()]) == 2

    told = capsys.readouterr()
    assert sentence in told.err
    assert told.out == ""


def test_it_goes_out_to_a_text_file_and_into_another_bench(tmp_path: Path, capsys: Told) -> None:
    text, other = tmp_path / "bench.toml", tmp_path / "other.sqlite"
    main(["bench", "printer", "attic", "--bed", "180", "170", "160"])

    assert main(["bench", "export", str(text)]) == 0
    assert main(["bench", "import", str(text), "--bench", str(other)]) == 0

    with Bench.open(other) as bench:
        assert bench.printer("attic").bed_y == 170


def test_the_bench_is_never_written_over_by_its_own_export(file: Path, capsys: Told) -> None:
    main(["bench"])
    before = file.read_bytes()

    assert main(["bench", "export", str(file)]) == 2
    assert file.read_bytes() == before


def test_json_shows_cards(capsys: Told) -> None:
    main(["bench", "show", "--json"])

    data = json.loads(capsys.readouterr().out)
    assert data["printers"][0]["name"] == "built-in"
    assert {card["name"] for card in data["plastics"]} >= {"PLA", "PETG"}


def test_options_become_a_setup(capsys: Told) -> None:
    parser = ArgumentParser()
    add_bench_options(parser)

    plain = setup_from(parser.parse_args([]))
    words = ["--nozzle", "0.6", "--layer", "0.3", "--plastic", "petg", "--walls", "2", "--infill", "20%"]
    stated = setup_from(parser.parse_args(words))

    assert (plain.printer, plain.nozzle, plain.layer, plain.walls) == ("built-in", 0.4, 0.2, 3)
    assert (stated.nozzle, stated.layer, stated.plastic.name, stated.walls) == (0.6, 0.3, "PETG", 2)
    assert stated.infill == pytest.approx(0.2)


def test_a_bench_that_keeps_nothing_is_said_on_stderr(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: Told
) -> None:
    (tmp_path / "taken").touch()
    monkeypatch.delenv("SHADEWRIGHT_BENCH")
    monkeypatch.setattr("platformdirs.user_data_path", lambda *names, **options: tmp_path / "taken")
    parser = ArgumentParser()
    add_bench_options(parser)

    with open_bench(parser.parse_args([])) as bench:
        assert bench.path is None

    told = capsys.readouterr()
    assert told.out == ""
    assert told.err.endswith("using built-in values\n")

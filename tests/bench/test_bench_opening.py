"""A bench file is recognised, brought up to date, and never harmed."""

from __future__ import annotations

import os
import sqlite3
from concurrent.futures import ThreadPoolExecutor
from contextlib import closing
from pathlib import Path

import pytest

from shadewright.bench import opening
from shadewright.bench.records import PrinterCard
from shadewright.bench.store import Bench
from shadewright.errors import FileProblem

ATTIC = PrinterCard(name="attic", bed_x=180, bed_y=170, bed_z=160)


def one_sentence(error: FileProblem) -> str:
    (problem,) = error.problems
    assert "\n" not in str(problem)
    return str(problem)


def test_the_file_is_made_with_its_folders_in_wal_mode(tmp_path: Path) -> None:
    file = tmp_path / "deep" / "bench.sqlite"

    with Bench.open(file) as bench:
        assert (bench.path, bench.note) == (file, "")

    with closing(sqlite3.connect(file)) as raw:
        assert raw.execute("PRAGMA journal_mode").fetchone() == ("wal",)
        assert raw.execute("PRAGMA user_version").fetchone() == (len(opening.migrations()),)
        assert raw.execute("PRAGMA application_id").fetchone() == (opening.APPLICATION_ID,)


def test_the_variable_names_the_file_and_the_option_beats_it(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv(opening.VARIABLE, str(tmp_path / "variable.sqlite"))

    with Bench.open() as bench:
        assert bench.path == tmp_path / "variable.sqlite"
    with Bench.open(tmp_path / "option.sqlite") as bench:
        assert bench.path == tmp_path / "option.sqlite"


def test_without_either_it_lives_in_the_users_data_folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.delenv(opening.VARIABLE, raising=False)
    monkeypatch.setattr("platformdirs.user_data_path", lambda *names, **options: tmp_path / "data")

    with Bench.open() as bench:
        assert bench.path == tmp_path / "data" / "bench.sqlite"


def test_a_data_folder_that_cannot_be_made_still_lets_one_study(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    (tmp_path / "file").touch()
    monkeypatch.delenv(opening.VARIABLE, raising=False)
    monkeypatch.setattr("platformdirs.user_data_path", lambda *names, **options: tmp_path / "file" / "data")

    with Bench.open() as bench:
        assert bench.path is None
        assert bench.note.endswith("using built-in values")
        assert bench.setup().printer == "built-in"
        with pytest.raises(FileProblem) as refusal:
            bench.keep(ATTIC)
    assert "nothing can be kept on this bench" in one_sentence(refusal.value)


def test_a_named_place_that_cannot_be_used_is_refused(tmp_path: Path) -> None:
    (tmp_path / "file").touch()

    with pytest.raises(FileProblem) as refusal:
        Bench.open(tmp_path / "file" / "bench.sqlite")
    with pytest.raises(FileProblem) as folder:
        Bench.open(tmp_path)

    assert "no bench can be made there" in one_sentence(refusal.value)
    assert "this is a folder, and a bench is a file" in one_sentence(folder.value)


def test_a_bench_that_may_only_be_read_is_worked_with_in_memory(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    file = tmp_path / "bench.sqlite"
    with Bench.open(file) as bench:
        bench.keep(ATTIC)
    before = file.read_bytes()
    access = os.access
    monkeypatch.setattr(os, "access", lambda path, mode: mode != os.W_OK and access(path, mode))

    with Bench.open(file) as bench:
        assert bench.printer("attic") == ATTIC
        assert "cannot be written" in bench.note
        with pytest.raises(FileProblem):
            bench.keep(PrinterCard(name="other", bed_x=1, bed_y=1, bed_z=1))
    assert file.read_bytes() == before


def foreign(file: Path) -> None:
    with closing(sqlite3.connect(file)) as raw:
        raw.execute("CREATE TABLE songs (title TEXT)")


def newer(file: Path) -> None:
    Bench.open(file).close()
    with closing(sqlite3.connect(file)) as raw:
        raw.execute("PRAGMA user_version = 9000")


def damaged(file: Path) -> None:
    Bench.open(file).close()
    content = bytearray(file.read_bytes())
    content[4096 : 3 * 4096] = b"\xa5" * (2 * 4096)
    file.write_bytes(content)


def cut_short(file: Path) -> None:
    Bench.open(file).close()
    file.write_bytes(file.read_bytes()[:5000])


@pytest.mark.parametrize(
    ("spoil", "says"),
    [
        (foreign, "this database belongs to another program"),
        (lambda file: file.write_text("bench = 1\n" * 99), "this is not a bench, or it is damaged"),
        (newer, "this bench is of version 9000, written by a newer shadewright"),
        (damaged, "this is not a bench, or it is damaged"),
        (cut_short, "this is not a bench, or it is damaged"),
    ],
    ids=["foreign", "text", "newer", "damaged", "cut short"],
)
def test_what_is_no_sound_bench_is_refused_and_left_as_it_is(tmp_path: Path, spoil: object, says: str) -> None:
    file = tmp_path / "bench.sqlite"
    spoil(file)  # type: ignore[operator]
    before = file.read_bytes()

    with pytest.raises(FileProblem) as refusal:
        Bench.open(file)

    assert says in one_sentence(refusal.value)
    assert file.read_bytes() == before


def test_a_migration_that_fails_changes_nothing_and_can_be_repeated(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    file = tmp_path / "bench.sqlite"
    with Bench.open(file) as bench:
        bench.keep(ATTIC)
    first = opening.migrations()
    broken = "CREATE TABLE extra (a INTEGER) STRICT;\nDELETE FROM printer;\nINSERT INTO nowhere VALUES (1);\n"

    monkeypatch.setattr(opening, "migrations", lambda: (*first, broken))
    with pytest.raises(FileProblem):
        Bench.open(file)
    monkeypatch.setattr(
        opening, "migrations", lambda: (*first, broken.replace("INSERT", "-- INSERT").replace("DELETE", "-- "))
    )
    with Bench.open(file) as bench:
        assert bench.printer("attic") == ATTIC

    with closing(sqlite3.connect(file)) as raw:
        assert raw.execute("PRAGMA user_version").fetchone() == (len(first) + 1,)
        assert raw.execute("SELECT count(*) FROM extra").fetchone() == (0,)


def test_a_bench_someone_else_is_writing_to_is_said_to_be_busy(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(opening, "PATIENCE_S", 0.01)
    file = tmp_path / "bench.sqlite"
    Bench.open(file).close()

    with closing(sqlite3.connect(file, isolation_level=None)) as other, Bench.open(file) as bench:
        other.execute("BEGIN IMMEDIATE")
        with pytest.raises(FileProblem) as refusal:
            bench.keep(ATTIC)

    assert "another run is writing to the bench" in one_sentence(refusal.value)


def test_runs_that_start_a_bench_at_the_same_moment_all_get_it(tmp_path: Path) -> None:
    def names(file: Path) -> list[str]:
        with Bench.open(file) as bench:
            return [card.name for card in bench.printers()]

    with ThreadPoolExecutor(8) as pool:
        for round_number in range(5):
            answers = list(pool.map(names, [tmp_path / f"{round_number}.sqlite"] * 8))
            assert answers == [["built-in"]] * 8

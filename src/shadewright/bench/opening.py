"""Opens the bench's file: recognises it, brings it up to date, and never harms what it does not know."""

from __future__ import annotations

import os
import sqlite3
from collections.abc import Iterator
from contextlib import closing, contextmanager
from dataclasses import dataclass
from importlib import resources
from pathlib import Path
from urllib.parse import quote

from shadewright.errors import FileProblem

VARIABLE = "SHADEWRIGHT_BENCH"
"""Environment variable that names the bench file."""

APPLICATION_ID = 0x5368_4462
"""Marks an SQLite file as a bench (the letters ShDb)."""

PATIENCE_S = 5.0
"""How long to wait for another run that is writing."""


@dataclass(frozen=True, slots=True)
class Opened:
    """An open bench: its connection, where it is kept (None: nowhere) and what the user should know."""

    connection: sqlite3.Connection
    path: Path | None
    note: str


def usual_path() -> Path:
    """Where the bench is kept when nobody says otherwise."""
    from platformdirs import user_data_path

    return user_data_path("shadewright", appauthor=False) / "bench.sqlite"


def open_bench_file(path: Path | None) -> Opened:
    """Open the bench at ``path``, at ``SHADEWRIGHT_BENCH``, or at the usual place, in this order.

    A file that cannot be written is read and worked with in memory. When the usual place cannot be used at all,
    a bench with the built-in values is made in memory; the note says so.

    Raises:
        FileProblem: The file is something else, damaged, from a newer program, or a named place cannot be used.
    """
    named = path or (Path(os.environ[VARIABLE]) if os.environ.get(VARIABLE) else None)
    target = named or usual_path()
    if target.exists():
        return _open_existing(target)
    try:
        target.parent.mkdir(parents=True, exist_ok=True)
        connection = _connect(target)
    except (OSError, sqlite3.Error) as error:
        if named:
            raise FileProblem.of(
                f"no bench can be made there ({_reason(error)})", "name a file in a folder you may write to", str(named)
            ) from None
        return _built_in(f"note: no bench can be kept in {target.parent}; using built-in values")
    return _brought_up(connection, target, "")


def _open_existing(target: Path) -> Opened:
    if target.is_dir():
        raise FileProblem.of("this is a folder, and a bench is a file", "name a file, e.g. bench.sqlite", str(target))
    if not os.access(target, os.R_OK):
        raise FileProblem.of("the bench may not be read", "change its permissions or name another file", str(target))
    if os.access(target, os.W_OK) and os.access(target.parent, os.W_OK):
        with told(target):
            connection = _connect(target)
        return _brought_up(connection, target, "")
    memory = sqlite3.connect(":memory:", isolation_level=None)
    with (
        told(target),
        closing(sqlite3.connect(f"file:{quote(str(target))}?mode=ro&immutable=1", uri=True)) as file,
    ):
        file.backup(memory)
    opened = _brought_up(memory, target, f"note: {target} cannot be written; nothing learned now is kept")
    return Opened(opened.connection, None, opened.note)


def _built_in(note: str) -> Opened:
    connection = sqlite3.connect(":memory:", isolation_level=None)
    _prepare(connection)
    _migrate(connection, Path())
    return Opened(connection, None, note)


def _brought_up(connection: sqlite3.Connection, target: Path, note: str) -> Opened:
    try:
        with told(target):
            _recognise(connection, target)
            connection.execute("PRAGMA journal_mode = WAL")
            _prepare(connection)
            _migrate(connection, target)
    except BaseException:
        connection.close()
        raise
    return Opened(connection, target, note)


def _connect(target: Path) -> sqlite3.Connection:
    connection = sqlite3.connect(target, timeout=PATIENCE_S, isolation_level=None)
    try:
        connection.execute("PRAGMA schema_version")
    except sqlite3.Error:
        connection.close()
        raise
    return connection


def _prepare(connection: sqlite3.Connection) -> None:
    connection.row_factory = sqlite3.Row
    connection.execute("PRAGMA foreign_keys = ON")


def _recognise(connection: sqlite3.Connection, target: Path) -> None:
    """Refuse what is not a sound bench of a known version, before anything is written to it."""
    connection.execute("BEGIN")  # one moment for both, as another run may be making the file just now
    (tables,) = connection.execute("SELECT count(*) FROM sqlite_master").fetchone()
    (identity,) = connection.execute("PRAGMA application_id").fetchone()
    connection.execute("COMMIT")
    if identity != APPLICATION_ID and (identity or tables):
        raise FileProblem.of("this database belongs to another program", "name another file", str(target))
    version = _version(connection)
    newest = len(migrations())
    if version > newest:
        raise FileProblem.of(
            f"this bench is of version {version}, written by a newer shadewright that knows more than version {newest}",
            "update shadewright, or name another file",
            str(target),
        )
    if connection.execute("PRAGMA quick_check(1)").fetchone()[0] != "ok":
        raise _damaged(target)


def migrations() -> tuple[str, ...]:
    """The SQL of all migrations in order; number ``i`` brings version ``i`` to ``i + 1``."""
    folder = resources.files("shadewright.bench") / "migrations"
    files = sorted((item for item in folder.iterdir() if item.name.endswith(".sql")), key=lambda item: item.name)
    return tuple(item.read_text(encoding="utf-8") for item in files)


def _migrate(connection: sqlite3.Connection, target: Path) -> None:
    """Apply what is missing, each migration whole or not at all."""
    for number, sql in enumerate(migrations(), start=1):
        if _version(connection) >= number:
            continue
        connection.execute("BEGIN IMMEDIATE")
        try:
            if _version(connection) < number:  # another run may have been faster
                for statement in _statements(sql):
                    connection.execute(statement)
                connection.execute(f"PRAGMA application_id = {APPLICATION_ID}")
                connection.execute(f"PRAGMA user_version = {number}")
            connection.execute("COMMIT")
        except BaseException:
            connection.execute("ROLLBACK")
            raise


def _version(connection: sqlite3.Connection) -> int:
    return int(connection.execute("PRAGMA user_version").fetchone()[0])


def _statements(sql: str) -> Iterator[str]:
    statement = ""
    for line in sql.splitlines(keepends=True):
        statement += line
        if sqlite3.complete_statement(statement):
            yield statement
            statement = ""


@contextmanager
def told(target: Path | None) -> Iterator[None]:
    """Turn SQLite's errors into one clear sentence about ``target``.

    Raises:
        FileProblem: What SQLite found, in words.
    """
    try:
        yield
    except sqlite3.Error as error:
        raise _bench_problem(error, target) from None


def _bench_problem(error: sqlite3.Error, target: Path | None) -> FileProblem:
    """Say in a sentence what SQLite found."""
    where = str(target) if target else "bench"
    text = str(error)
    if "locked" in text or "busy" in text:
        return FileProblem.of("another run is writing to the bench", "wait for it to end and try again", where)
    if "not a database" in text or "malformed" in text or "disk image" in text:
        return _damaged(where)
    if "full" in text:
        return FileProblem.of("the disk is full", "free some room and try again", where)
    return FileProblem.of(f"the bench cannot be used ({text})", "name another file with --bench", where)


def _damaged(target: Path | str) -> FileProblem:
    return FileProblem.of(
        "this is not a bench, or it is damaged; it was left as it is",
        "name another file, or start a new bench and import your last export",
        str(target),
    )


def _reason(error: Exception) -> str:
    return getattr(error, "strerror", None) or str(error)

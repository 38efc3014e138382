"""Files are written whole or not at all, and never over an input."""

from __future__ import annotations

import tempfile
from collections.abc import Callable
from pathlib import Path

from shadewright.errors import FileProblem

LARGEST_TEXT_BYTES = 1_000_000
"""Text files here are written by hand or read by people; anything larger is something else."""


def read_text(file: Path) -> str:
    """Read a small UTF-8 text file, a leading byte-order mark left out.

    Raises:
        FileProblem: The file cannot be read, is too large, or is not UTF-8.
    """
    try:
        size = file.stat().st_size
        content = file.read_bytes() if size <= LARGEST_TEXT_BYTES else b""
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or str(error)
        raise FileProblem.of(
            f"{file.name} cannot be read ({reason})", "check its name and its permissions", str(file)
        ) from None
    if size > LARGEST_TEXT_BYTES:
        raise FileProblem.of(
            f"{file.name} has {size / 1e6:.1f} MB, and a text file of this program never has more than 1",
            "name the file that was meant",
            str(file),
        )
    try:
        return content.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = content[: error.start].count(b"\n") + 1
        raise FileProblem.of(
            "a character is not UTF-8", "save the file as UTF-8 in your editor", f"{file.name}, line {line}"
        ) from None


def write_whole(path: Path, fill: Callable[[Path], None] | bytes | str) -> Path:
    """Write ``path`` through a temporary neighbour and move it into place when it is complete.

    Args:
        path: Where the file shall stand; missing folders are made.
        fill: The content, or a function that writes it to the path it is given (same suffix as ``path``).

    Returns:
        ``path``.

    Raises:
        FileProblem: The folder cannot be made or written to; whatever stood at ``path`` is untouched.
    """
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        with tempfile.TemporaryDirectory(prefix=".part-", dir=path.parent) as folder:
            draft = Path(folder) / path.name
            if callable(fill):
                fill(draft)
            else:
                draft.write_bytes(fill.encode() if isinstance(fill, str) else fill)
            draft.replace(path)
    except OSError as error:
        if isinstance(error, FileProblem):
            raise
        reason = error.strerror or str(error)
        raise FileProblem.of(
            f"cannot write {path.name} ({reason})", "choose a folder you may write to", str(path)
        ) from None
    return path


def refuse_overwriting(target: Path, inputs: tuple[Path, ...]) -> None:
    """Refuse a target that is one of the inputs.

    Raises:
        FileProblem: ``target`` and one of ``inputs`` are the same file.
    """
    for source in inputs:
        if target.exists() and source.exists() and target.samefile(source):
            raise FileProblem.of(
                f"{target.name} is an input of this run", "choose another name for the output", str(target)
            )

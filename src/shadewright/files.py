"""Files are written whole or not at all, and never over an input."""

from __future__ import annotations

import tempfile
from collections.abc import Callable
from pathlib import Path

from shadewright.errors import FileProblem


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

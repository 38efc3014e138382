"""Readers that may crash or swell run in a process of their own, with bounds on memory and time."""

from __future__ import annotations

import json
import signal
import subprocess
import sys
import tempfile
from pathlib import Path
from typing import Any

import numpy as np

from shadewright import errors
from shadewright.errors import Problem, UserError
from shadewright.solid.find_types import surface_from
from shadewright.solid.gate import FORMATS, Loaded, refuse
from shadewright.solid.mesh import Mesh

BASE_MEMORY_MB = 1500
MEMORY_PER_BYTE = 12
MOST_MEMORY_MB = 8000
BASE_SECONDS = 20
SECONDS_PER_MB = 5.0
WAITING = 3
"""Wall-clock time allowed per second of processor time, for busy machines."""


def read_limited(kind: str, path: Path, unpacked: int, options: dict[str, Any]) -> Loaded:
    """Read a file in a process with bounded memory and processor time.

    Args:
        kind: A key of ``FORMATS``.
        path: The file, past its gate.
        unpacked: What the bounds grow with: its size, unpacked [bytes].
        options: For the reader of ``kind``.

    Returns:
        What the reader found.

    Raises:
        UserError: What the reader refused, or that it ran out of memory or time, or crashed.
    """
    memory_mb = min(MOST_MEMORY_MB, BASE_MEMORY_MB + int(MEMORY_PER_BYTE * unpacked / 1e6))
    seconds = int(BASE_SECONDS + SECONDS_PER_MB * unpacked / 1e6)
    with tempfile.TemporaryDirectory(prefix="read-") as folder:
        job = {"kind": kind, "path": str(path.resolve()), "folder": folder, "memory_mb": memory_mb, "seconds": seconds}
        command = [sys.executable, "-P", "-m", "shadewright.solid.worker", json.dumps(job | {"options": options})]
        try:
            run = subprocess.run(command, capture_output=True, timeout=seconds * WAITING, check=False)
        except subprocess.TimeoutExpired:
            refuse(f"reading it takes longer than {seconds * WAITING} s", "export it with a coarser tolerance")
        answer = Path(folder) / "answer.json"
        if run.returncode or not answer.exists():
            _refuse_crash(kind, run.returncode, seconds)
        return _loaded(json.loads(answer.read_text(encoding="utf-8")), Path(folder))


def _refuse_crash(kind: str, code: int, seconds: int) -> None:
    if code == -getattr(signal, "SIGXCPU", 0):
        refuse(f"reading it takes more than {seconds} s of processor time", "export it with a coarser tolerance")
    refuse(f"the {FORMATS[kind]} reader broke off (code {code}); the file is damaged", "export it again")


def _loaded(answer: dict[str, Any], folder: Path) -> Loaded:
    if "problems" in answer:
        kind: type[UserError] = getattr(errors, answer["error"])
        raise kind([Problem(**problem) for problem in answer["problems"]])
    with np.load(folder / "pieces.npz") as arrays:
        pieces = tuple(
            Mesh(arrays[f"vertices{i}"], arrays[f"faces{i}"], name) for i, name in enumerate(answer["names"])
        )
    surfaces = tuple(surface_from(record) for record in answer["surfaces"])
    return Loaded(pieces=pieces, unit=answer["unit"], notes=tuple(answer["notes"]), surfaces=surfaces)

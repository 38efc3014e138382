"""The process in which a reader runs: ``python -m shadewright.solid.worker JOB``; see ``limited``."""

from __future__ import annotations

import json
import os
import sys
from dataclasses import asdict
from pathlib import Path
from typing import Any


def bound(memory_mb: int, seconds: int) -> None:
    """Bound this process's address space and processor time, where the system can."""
    try:
        import resource
    except ImportError:
        return
    for kind, most in ((resource.RLIMIT_AS, memory_mb * 1_000_000), (resource.RLIMIT_CPU, seconds)):
        hard = resource.getrlimit(kind)[1]
        limit = most if hard == resource.RLIM_INFINITY else min(most, hard)
        try:
            resource.setrlimit(kind, (limit, hard))
        except (ValueError, OSError):
            continue


def read(kind: str, path: Path, options: dict[str, Any]) -> Any:
    """Hand the file to its reader."""
    if kind == "3mf":
        from shadewright.solid.threemf import read_3mf

        return read_3mf(path)
    from shadewright.solid.foreign import read_polygons, read_step

    return read_step(path, **options) if kind == "step" else read_polygons(path, kind)


def answer(job: dict[str, Any]) -> dict[str, Any]:
    """Run a job; meshes go to ``pieces.npz`` in its folder, all else into the answer."""
    import numpy as np

    from shadewright.errors import ModelProblem, Problem, UserError
    from shadewright.solid.gate import FORMATS

    name = FORMATS[job["kind"]]
    try:
        loaded = read(job["kind"], Path(job["path"]), job["options"])
    except UserError as error:
        problems = error.problems
        kind = type(error).__name__
    except MemoryError:
        problems = (Problem("reading it takes too much memory", "export it with a coarser tolerance"),)
        kind = ModelProblem.__name__
    except Exception as error:  # whatever a general library throws at a damaged file
        problems = (Problem(f"it is damaged or not valid {name} ({type(error).__name__})", "export it again"),)
        kind = ModelProblem.__name__
    else:
        arrays: dict[str, Any] = {f"vertices{i}": piece.vertices for i, piece in enumerate(loaded.pieces)}
        arrays |= {f"faces{i}": piece.faces for i, piece in enumerate(loaded.pieces)}
        np.savez(Path(job["folder"]) / "pieces.npz", **arrays)
        return {
            "names": [p.name for p in loaded.pieces],
            "unit": loaded.unit,
            "notes": list(loaded.notes),
            "surfaces": [asdict(surface) for surface in loaded.surfaces],
        }
    return {"error": kind, "problems": [{"what": p.what, "cure": p.cure} for p in problems]}


def main() -> None:
    """Read the job from the command line and leave the answer in its folder."""
    job = json.loads(sys.argv[1])
    os.environ["OPENBLAS_NUM_THREADS"] = "1"
    bound(job["memory_mb"], job["seconds"])
    text = json.dumps(answer(job))
    (Path(job["folder"]) / "answer.json").write_text(text, encoding="utf-8")


if __name__ == "__main__":
    main()

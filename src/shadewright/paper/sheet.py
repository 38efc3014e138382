"""The build sheet as PDF, for the wall beside the printer: black on white, numbered figures, every caution."""

from __future__ import annotations

import json
import tempfile
from importlib.resources import files
from pathlib import Path
from typing import Any, Literal

from shadewright.errors import ValueProblem
from shadewright.files import write_whole
from shadewright.paper import palette
from shadewright.paper.drawings import Drawings, draw_study
from shadewright.paper.figures import PRINT_FIGURE, trial_figure
from shadewright.paper.picture import Picture
from shadewright.paper.story import tell
from shadewright.progress import SILENT, Progress
from shadewright.study.result import Study

Paper = Literal["a4", "us-letter"]
PAPERS: tuple[Paper, ...] = ("a4", "us-letter")


def write_pdf(
    study: Study, path: Path, paper: Paper = "a4", drawings: Drawings | None = None, progress: Progress = SILENT
) -> Path:
    """Write the build sheet, whole or not at all.

    Args:
        study: What was found.
        path: The file to write.
        paper: ``a4`` or ``us-letter``.
        drawings: Pictures made before; None draws them now.
        progress: Told of every part drawn.

    Returns:
        ``path``.

    Raises:
        FileProblem: The file cannot be written.
        ValueProblem: There is no such paper.
    """
    if paper not in PAPERS:
        raise ValueProblem.of(f'the sheet cannot be set on "{paper}"', f"use {' or '.join(PAPERS)}")
    return write_whole(path, pdf(study, drawings or draw_study(study, progress), paper))


def pdf(study: Study, drawings: Drawings, paper: Paper = "a4") -> bytes:
    """Set the build sheet; text reaches the typesetter as data, so that no name can be taken for markup."""
    import typst

    with tempfile.TemporaryDirectory(prefix="sheet-") as name:
        folder = Path(name)
        template = files("shadewright.paper") / "templates" / "sheet.typ"
        (folder / "sheet.typ").write_text(template.read_text(encoding="utf-8"), encoding="utf-8")
        data = {
            "story": tell(study),
            "paper": paper,
            "brass": palette.BRASS,
            "pictures": [_pictures(folder, index, part.name, drawings) for index, part in enumerate(study.parts)],
            "trials": _trials(folder, study),
        }
        (folder / "data.json").write_text(json.dumps(data, ensure_ascii=False), encoding="utf-8")
        made = typst.compile(folder / "sheet.typ", root=folder, ignore_system_fonts=True, format="pdf")
    assert isinstance(made, bytes)
    return made


def _pictures(folder: Path, index: int, name: str, drawings: Drawings) -> list[dict[str, Any]]:
    drawn = drawings.parts[name]
    views: tuple[tuple[Picture, str], ...] = (
        (drawn.above, "from above and in front"),
        (drawn.below, "from below"),
    )
    told = []
    for number, (picture, place) in enumerate(views):
        file = f"part-{index}-{number}.png"
        (folder / file).write_bytes(picture.png)
        pins = [{"label": pin.label, "x": pin.x, "y": pin.y} for pin in picture.pins]
        told.append({"file": file, "alt": f"{name} seen {place}", "place": place, "pins": pins})
    return told


def _trials(folder: Path, study: Study) -> list[dict[str, str]]:
    told = []
    trials = [joint.trial for joint in study.joints if joint.trial]
    for index, trial in enumerate(trials):
        figure = trial_figure(trial.piece, font=PRINT_FIGURE)
        file = f"trial-{index}.svg"
        (folder / file).write_text(figure.svg, encoding="utf-8")
        told.append({"file": file, "says": figure.says})
    return told

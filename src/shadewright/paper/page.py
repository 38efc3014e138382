"""The study as one HTML file: read from top to bottom, no script, nothing fetched."""

from __future__ import annotations

import base64
from importlib.resources import files
from pathlib import Path
from typing import TYPE_CHECKING, Any

from shadewright.files import write_whole
from shadewright.paper import palette
from shadewright.paper.drawings import Drawings, draw_study
from shadewright.paper.figures import allowance_figure, chance_figure, layer_figure, swatch, trial_figure
from shadewright.paper.picture import Picture
from shadewright.paper.story import tell
from shadewright.progress import SILENT, Progress
from shadewright.study.result import PartStudy, Study

if TYPE_CHECKING:
    from jinja2 import Environment

LEAVES = (
    ("findings", "Findings"),
    ("joints", "Joints"),
    ("parts", "Parts"),
    ("trials", "Trials to print"),
    ("prints", "Prints"),
    ("shopping", "To buy"),
    ("computed", "How this was computed"),
)


def write_html(study: Study, path: Path, drawings: Drawings | None = None, progress: Progress = SILENT) -> Path:
    """Write the study page, whole or not at all.

    Args:
        study: What was found.
        path: The file to write.
        drawings: Pictures made before; None draws them now.
        progress: Told of every part drawn.

    Returns:
        ``path``.

    Raises:
        FileProblem: The file cannot be written.
    """
    return write_whole(path, html(study, drawings or draw_study(study, progress)))


def html(study: Study, drawings: Drawings) -> str:
    """Set the study page."""
    environment = _environment()
    inks = {verdict.value: ink for verdict, ink in palette.VERDICT_INK.items()}
    sized = [joint for joint in study.joints if joint.sizing]
    return environment.get_template("study.html.j2").render(
        story=tell(study),
        leaves=LEAVES,
        css=environment.get_template("study.css").render(palette=palette, inks=inks),
        joint_figures=[
            {"chances": chance_figure(joint.sizing, joint.feel), "shares": allowance_figure(joint.sizing)}
            for joint in sized
            if joint.sizing
        ],
        drawings=[_part(index, part, drawings) for index, part in enumerate(study.parts, 1)],
        trial_figures=[trial_figure(joint.trial.piece) for joint in study.joints if joint.trial],
        keys={kind: swatch(kind, "key") for kind in ("failing", "doubtful", "bed")},
    )


def _environment() -> Environment:
    from jinja2 import Environment, FunctionLoader, StrictUndefined

    folder = files("shadewright.paper") / "templates"
    return Environment(
        loader=FunctionLoader(lambda name: (folder / name).read_text(encoding="utf-8")),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )


def _part(index: int, part: PartStudy, drawings: Drawings) -> dict[str, Any]:
    drawn = drawings.parts[part.name]
    patches = part.report.patches
    return {
        "views": [
            _view(part.name, drawn.above, f"Figure {index}a", "from above and in front"),
            _view(part.name, drawn.below, f"Figure {index}b", "from below"),
        ],
        "layers": layer_figure(patches, part.report.height, f"part{index}") if patches else None,
    }


def _view(name: str, picture: Picture, number: str, where: str) -> dict[str, Any]:
    areas = {"doubtful": "doubtful areas striped", "failing": "failing areas crossed", "bed": "footing plain green"}
    shown = ", ".join(areas[kind] for kind in picture.kinds)
    return {
        "uri": "data:image/png;base64," + base64.b64encode(picture.png).decode("ascii"),
        "width": picture.width,
        "height": picture.height,
        "alt": f"{name} seen {where}{'; ' + shown if shown else ''}",
        "caption": f"{number}. {name} {where}.",
        "pins": picture.pins,
    }

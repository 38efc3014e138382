"""All answers on one lamp: what presenters show."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, cast

from shadewright.findings import Finding, Verdict
from shadewright.fit.joint import Draw, Sizing
from shadewright.layers.report import LayerReport
from shadewright.plain import plain
from shadewright.printing import PrintSetup
from shadewright.solid.features import TrialPiece
from shadewright.solid.mesh import Mesh


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class PartStudy:
    """One part: model as it stands on the bed, how it is printed, and what the layers say."""

    name: str
    model_file: str
    model_notes: tuple[str, ...]
    plastic: str
    copies: int
    mesh: Mesh
    setup: PrintSetup
    report: LayerReport


@dataclass(frozen=True, slots=True, kw_only=True)
class TrialPlan:
    """One trial worth printing: the piece and what it costs.

    ``order`` says which of the lamp's trials to print first, 1 and upwards; ``saves_s`` how much printing of real parts
    it is expected to spare, more than its own ``time_s``; ``answers_for`` which other joints it tells of as well.
    """

    joint: str
    why: str
    piece: TrialPiece
    files: tuple[str, ...]
    time_s: float
    mass_g: float
    order: int = 0
    saves_s: float = 0.0
    answers_for: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class JointStudy:
    """One joint: what the maker stated, and what comes of it.

    ``sizing`` answers thread, slide and push joints; ``draws`` lists what to draw for the kinds of several dimensions.
    """

    name: str
    kind: str
    male: str
    female: str
    feel: str
    count: int
    thread: str
    sizing: Sizing | None
    trial: TrialPlan | None
    note: str = ""
    round: bool = True
    draws: tuple[Draw, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class ShoppingLine:
    """One thing to buy, for all copies of the lamp."""

    name: str
    kind: str
    description: str
    count: int
    thread: str
    note: str


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Study:
    """Everything found on one lamp.

    Attributes:
        lamp: Its name.
        copies: How many lamps are made.
        folder: Name of the lamp's folder, not its path.
        program: Name and version of the program.
        verdict: Worst verdict of all findings.
        findings: All findings, worst first.
        parts, joints: As stated, each with its results.
        shopping: What to buy.
        cautions: Sentences that stand on every study and sheet.
        total_time_s, total_mass_g: Printing for all copies, trials not included.
    """

    lamp: str
    copies: int
    folder: str
    program: str
    note: str
    verdict: Verdict
    findings: tuple[Finding, ...]
    parts: tuple[PartStudy, ...]
    joints: tuple[JointStudy, ...]
    shopping: tuple[ShoppingLine, ...]
    cautions: tuple[str, ...]
    total_time_s: float
    total_mass_g: float


BULKY = frozenset({"mesh", "pieces", "outlines", "trouble_by_face"})
"""Fields that other programs read from model files, not from the study."""


def as_data(study: Study) -> dict[str, Any]:
    """The study as plain data for other programs: everything but triangles and outlines."""
    return cast(dict[str, Any], plain(study, leave_out=BULKY))

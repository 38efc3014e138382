"""Pocket for a magnet: pressed in past ridges that give way, glued, or laid in while the print is paused."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

import numpy as np

from shadewright.catalog.cards import GlueCard
from shadewright.catalog.hardware import MagnetCard
from shadewright.errors import ValueProblem, require_positive
from shadewright.findings import Finding, Verdict
from shadewright.fit.feel import chance_between
from shadewright.fit.joint import Draw, JointKind, KindSizing
from shadewright.fit.pocket_chance import Fitted, Window, fitted, judged, pocket_gap, whole_layers
from shadewright.printing import AsPrinted

Hold = Literal["press", "glue", "inside"]

RIDGE = 0.3
"""How far ridges stand out of the wall [mm]: more than they are ever crushed; common practice, no source."""

CRUSH = Window(
    low=-0.5,
    high=-0.1,
    words="takes the magnet with a press and keeps it",
    source="ridges crushed by 0.05 to 0.25 mm each (common practice, no source)",
)
"""Gap between magnet and ridge tips that holds it [mm on the diameter]."""

LAID_IN = Window(
    low=0.05, high=0.5, words="takes the magnet by hand", source="room to lay it in (common practice, no source)"
)
"""Gap around a magnet that is laid in while the print is paused, and lengthwise beside ridges [mm]."""

SUNK = 0.1
"""The magnet stands this much below the face at least [mm], so that it never holds two faces apart."""

_NODES = 24


@dataclass(frozen=True, slots=True, kw_only=True)
class MagnetQuestion:
    """One pocket for a magnet, printed with its cap on the bed and its mouth up.

    Attributes:
        joint: Name of the joint.
        part: Part that holds it.
        magnet: Which magnet.
        hold: ``press``: ridges; ``glue``: a plain pocket; ``inside``: laid in at a pause and covered.
        habits: How the part's bench prints.
        glue: Which glue, where it is glued.
        cap_layers: Layers between magnet and face.
        layer, first_layer: Layer heights [mm].
        faces: What it holds on to: ``steel``, where poles do not matter, or another ``magnet``.
        drawn: Pocket in today's model, inside the ridges [mm]; None when nothing is drawn.
    """

    joint: str
    part: str
    magnet: MagnetCard
    hold: Hold
    habits: AsPrinted
    glue: GlueCard | None = None
    cap_layers: int = 2
    layer: float = 0.2
    first_layer: float = 0.2
    faces: Literal["steel", "magnet"] = "steel"
    drawn: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class MagnetSizing:
    """What to draw for a magnet.

    Attributes:
        across: Diameter of a round pocket, or width of a bar's; inside the ridges where there are some.
        along: Length of a bar's pocket; None for round ones.
        ridge: Height of the ridges [mm]; 0 for none.
        depth: From cap to mouth [mm], whole layers.
        cap: Thickness between magnet and face [mm], whole layers.
        chance: Chance that the magnet goes in and stays [-].
        sizing: The same as draws and findings.
    """

    across: Fitted
    along: Fitted | None
    ridge: float
    depth: float
    cap: float
    chance: float
    sizing: KindSizing


def size_magnet_pocket(question: MagnetQuestion) -> MagnetSizing:
    """Size a pocket for a magnet.

    Raises:
        ValueProblem: A number that cannot be, or glue stated for a magnet that is not glued.

    Sources:
        ``magnets.csv`` (recalled trade sizes), ``glues.csv`` (gaps); the rest is common practice and says so.
    """
    _check(question)
    magnet = question.magnet
    window = magnet_window(question)
    is_round = magnet.shape == "round"
    across = _fitted(question, magnet.width, window, round_hole=is_round, drawn=question.drawn)
    along = None
    if not is_round:
        beside = LAID_IN if question.hold == "press" else window
        along = _fitted(question, magnet.length, beside, round_hole=False, drawn=None)
    chance = across.chance if along is None else chance_of_both(question, across, along)
    today = None
    if across.today is not None:
        today = across.today * (chance / across.chance if across.chance else 1.0)
    cap = round(question.first_layer + (question.cap_layers - 1) * question.layer, 3)
    depth = whole_layers((magnet.thickness + magnet.tolerance + SUNK) / question.habits.scale_z.mean, question.layer)
    ridge = RIDGE if question.hold == "press" else 0.0
    what = "pocket" if not ridge else "circle inside the ridges" if is_round else "width between the ridges"
    found = judged("fit.magnet_pocket", f"joint {question.joint}", what, across, chance=chance, today=today)
    return MagnetSizing(
        across=across,
        along=along,
        ridge=ridge,
        depth=depth,
        cap=cap,
        chance=chance,
        sizing=KindSizing(
            joint=question.joint,
            kind=JointKind.POCKET,
            draws=_draws(question, across, along, depth, cap),
            findings=(found, *_poles(question)),
            trial_worth=across.trial_worth,
        ),
    )


def magnet_window(question: MagnetQuestion) -> Window:
    """The gap that is wanted across the magnet [mm]."""
    if question.hold == "press":
        return CRUSH
    if question.hold == "inside" or question.glue is None:
        return LAID_IN
    gap, name = question.glue.gap, question.glue.name
    return Window(
        low=2 * gap.low,
        high=2 * gap.high,
        likes=2 * gap.likely,
        words=f"takes the magnet with room for {name}",
        source=f"gap of {name}: {question.glue.evidence.where}, from memory",
    )


def chance_of_both(question: MagnetQuestion, across: Fitted, along: Fitted) -> float:
    """Chance that a bar fits both ways [-].

    Walls of one print grow alike, so the two gaps are not independent: given the growth they are, and the product of
    their chances is averaged over it by Gauss-Hermite quadrature. The scale of the plastic moves both gaps of so small
    a thing by less than the hundredths that are drawn, and counts as the gaps' own.
    """
    shared = 2 * question.habits.outer_growth.sd
    nodes, weights = np.polynomial.hermite_e.hermegauss(_NODES)
    total = 0.0
    for node, weight in zip(nodes, weights, strict=True):
        shift = shared * float(node)
        total += float(weight) * _given(across, shift, shared) * _given(along, shift, shared)
    return total / math.sqrt(2 * math.pi)


def _given(fit: Fitted, shift: float, shared: float) -> float:
    gap, window = fit.gap, fit.window
    own = math.sqrt(max(gap.normal_sd**2 - shared**2, 0.0))
    return chance_between(window.low, window.high, gap.mean - shift, math.hypot(own, window.softness), gap.flat)


def _check(question: MagnetQuestion) -> None:
    where = f"joint {question.joint}"
    for name, value in (("layer", question.layer), ("first layer", question.first_layer), ("pocket", question.drawn)):
        if value is not None:
            require_positive(name, value, where=where)
    if question.cap_layers < 1:
        raise ValueProblem.of(
            f"a cap of {question.cap_layers} layers lets the magnet through",
            "use 1 layer at least, 2 to be tight",
            where,
        )
    if question.hold not in ("press", "glue", "inside"):
        raise ValueProblem.of(f'the magnet is held by "{question.hold}"', 'write "press", "glue" or "inside"', where)
    if (question.hold == "glue") != (question.glue is not None):
        what = "no glue is named" if question.glue is None else f'a glue is named, but it is held by "{question.hold}"'
        raise ValueProblem.of(what, 'name the glue of a magnet held by "glue", and of no other', where)


def _fitted(question: MagnetQuestion, size: float, window: Window, *, round_hole: bool, drawn: float | None) -> Fitted:
    limits = question.magnet.limits(size)
    gap_at = pocket_gap(limits, "magnet", question.habits, round_hole=round_hole, on_bed=False)
    return fitted(gap_at, window, size, drawn)


def _draws(
    question: MagnetQuestion, across: Fitted, along: Fitted | None, depth: float, cap: float
) -> tuple[Draw, ...]:
    magnet, part, press = question.magnet, question.part, question.hold == "press"
    inside = " inside the ridges" if press else ""
    what = "pocket diameter" if along is None else "pocket width"
    size = f"magnet {magnet.width:g} ± {magnet.tolerance:g} mm and a gap of {across.gap.mean:+.2f} mm"
    draws = [Draw(what=what + inside, part=part, size=across.draw, why=size)]
    if along is not None:
        why = f"magnet {magnet.length:g} ± {magnet.tolerance:g} mm and a gap of {along.gap.mean:+.2f} mm"
        draws.append(Draw(what="pocket length", part=part, size=along.draw, why=why))
    draws.append(
        Draw(
            what="pocket depth",
            part=part,
            size=depth,
            why=f"magnet {magnet.thickness:g} ± {magnet.tolerance:g} mm, {SUNK:g} mm below the face, in whole layers",
        )
    )
    if press:
        draws.append(Draw(what="ridges on the wall", part=part, size=RIDGE, why="high enough that only they touch"))
    caps = f"{question.cap_layers} whole layer{'s' if question.cap_layers > 1 else ''}: each weakens the pull"
    draws.append(Draw(what="cap between magnet and face", part=part, size=cap, why=caps))
    if question.hold == "inside":
        why = "pause the print there, glue the magnet in so that it does not jump to the nozzle, go on"
        draws.append(Draw(what="pause height", part=part, size=round(cap + depth, 3), why=why))
    return tuple(draws)


def _poles(question: MagnetQuestion) -> tuple[Finding, ...]:
    if question.faces != "magnet":
        return ()
    return (
        Finding(
            code="fit.magnet_poles",
            subject=f"joint {question.joint}",
            verdict=Verdict.UNKNOWN,
            sentence="two magnets meet here, and which pole faces out is not known before they lie in the hand",
            cure="let the two pull together, mark both outer faces, and put them in with the marks apart",
            source="like poles repel",
        ),
    )

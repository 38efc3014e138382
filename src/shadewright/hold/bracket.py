"""Whether a printed arm carries its load: bending at its worst section, by the way its layers lie, and how it sags.

The arm is a bar held at its root (Euler and Bernoulli): at every section the load's moment about the section's own
centre bends it about whatever axis it must, unsymmetrical sections included; pull or push along the arm adds to it, and
shear is taken as 1.5 times its mean and borne by the bond between layers. Twist is not computed. The sag is that of the
point where the load acts, by the principle of virtual work.

Strength in a direction at angle b to the layers (Azzi and Tsai, after Hill; textbook):

    1 / s^2 = cos^4 b / X^2 + (1 / S^2 - 1 / X^2) sin^2 b cos^2 b + sin^4 b / Z^2
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from math import cos, radians, sin

import numpy as np

from shadewright.errors import ValueProblem
from shadewright.hold.bracket_sections import POWERS, Arm
from shadewright.hold.card import MaterialCard, long_strength, modulus_left
from shadewright.hold.ranges import DRAWS, Draws, Outcome, Ranged, governing, propagate_all
from shadewright.hold.section import Section
from shadewright.solid.mesh import Floats

SOURCE = (
    "beam theory on the part's own sections; strength by direction after Azzi and Tsai; "
    "creep and long loads as on the material card"
)
SHEAR_PEAK = 1.5
"""Greatest over mean shear stress of a rectangle (textbook); of a ring up to 2."""
SOFTER_ACROSS = Ranged(0.6, 0.8, 1.0, "judged: few measured")
"""Modulus across layers over that along them [-]."""
YEARS_HOURS = 10 * 365.25 * 24
"""A load that stays is counted for ten years [h]."""
MUCH_SAG = 0.02
"""A sag beyond this share of the length is seen; judged, no source."""
MUCH_TWIST = 0.25
"""Twist beyond this share of the bending moment is worth a word; judged."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Load:
    """What an arm carries.

    Attributes:
        force_n: Weight at ``at`` [N].
        at: (3,) where it acts, in part coordinates [mm].
        down: (3,) direction of gravity in part coordinates.
        own_n_mm3: Weight of the arm per volume of its outline [N/mm³].
    """

    force_n: Ranged
    at: Floats
    down: Floats
    own_n_mm3: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Strain:
    """What one load does to an arm, for each of ``POWERS``; divide by nothing: stresses in MPa, sag times E.

    Attributes:
        tension: (3, n) greatest pull at every section [MPa].
        shear: (3, n) greatest shear at every section [MPa].
        sag_e: (3,) sag of the loaded point times Young's modulus [mm MPa].
        twist: Greatest twisting over greatest bending moment [-].
    """

    tension: Floats
    shear: Floats
    sag_e: Floats
    twist: float


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class BracketHold:
    """How an arm carries its load.

    Attributes:
        worst_at: Distance of the worst section from the root [mm].
        section: That section, infill at its likely power.
        stress_mpa: Greatest pull there under the likely load.
        strength_mpa: What the plastic bears in that direction for ten years.
        safeties: By name of the failure: strength over stress, drawn together [-].
        governing: Which comes first.
        wanted: What low ends are held against [-].
        sag_new, sag_crept: Of the loaded point at once and after ten years [mm].
        along_layers: Safety in bending if the arm were printed lying, layers along it [-].
        twist: Greatest twisting over greatest bending moment [-]; not computed further.
    """

    worst_at: float
    section: Section
    stress_mpa: Outcome
    strength_mpa: Outcome
    safeties: Mapping[str, Outcome]
    governing: str
    wanted: float
    sag_new: Outcome
    sag_crept: Outcome
    along_layers: Outcome
    twist: float

    @property
    def shortfall(self) -> float:
        """Factor by which the section modulus must grow for the low end to reach what is wanted [-]."""
        return max(self.wanted / self.safeties[self.governing].low5, 1.0)


def directional_strength(along: Draws, across: Draws, shear: Draws, angle: float) -> Draws:
    """Tensile strength at ``angle`` to the layers [MPa] (Azzi and Tsai, after Hill).

    Args:
        along: Within layers [MPa].
        across: Pulling layers apart [MPa].
        shear: Sliding layers on each other [MPa].
        angle: 0 within the layers, 90 straight across [degrees].
    """
    c, s = cos(radians(angle)) ** 2, sin(radians(angle)) ** 2
    inverse = c * c / along**2 + (1 / shear**2 - 1 / along**2) * s * c + s * s / across**2
    return np.asarray(1 / np.sqrt(inverse), dtype=np.float64)


def strain_of(arm: Arm, force: Floats, at: Floats, own_n_mm3: float, down: Floats) -> Strain:
    """What a force and the arm's own weight do to it.

    Args:
        arm: Its sections.
        force: (3,) [N] in part coordinates.
        at: (3,) where it acts [mm].
        own_n_mm3: Weight of the arm per volume [N/mm³].
        down: (3,) where the sag is measured, and where weight pulls.
    """
    turned, unit = arm.frame @ force, arm.frame @ (down / np.linalg.norm(down))
    spot = arm.frame @ (at - arm.root)
    tension, shear, sag, twist = [], [], [], 0.0
    for power in range(len(POWERS)):
        centres = arm.centroids(power)
        own, carried = _own_weight(arm, centres, own_n_mm3)
        moments = np.cross(spot - centres, turned) + np.cross(own, unit)
        forces = turned + carried[:, None] * unit
        virtual = np.cross(spot - centres, unit)
        pulls, slides, bends = [], [], []
        for i, section in enumerate(arm.sections[power]):
            bent = section.stresses(_pull(moments[i])) + forces[i, 2] / section.area
            pulls.append(float(bent.max()))
            slides.append(SHEAR_PEAK * float(np.hypot(*forces[i, :2])) / section.area)
            bends.append(float(_pull(virtual[i]) @ section.curvature(_pull(moments[i]))))
        tension.append(pulls)
        shear.append(slides)
        sag.append(float(np.trapezoid(bends, arm.stations)))
        bending = float(np.hypot(moments[:, 0], moments[:, 1]).max())
        twist = max(twist, float(np.abs(moments[:, 2]).max()) / bending if bending > 0 else 0.0)
    return Strain(tension=np.array(tension), shear=np.array(shear), sag_e=np.array(sag), twist=twist)


def _pull(moment: Floats) -> Floats:
    """A moment vector (3,) about a section's centre as the pull it makes towards x and y."""
    return np.array([-moment[1], moment[0]])


def _own_weight(arm: Arm, centres: Floats, own_n_mm3: float) -> tuple[Floats, Floats]:
    """First moment [N mm], (n, 3), and weight [N], (n,), of what lies beyond every section."""
    step = np.diff(arm.stations)
    line = arm.whole * own_n_mm3
    slices = (line[:-1] + line[1:]) / 2 * step
    middles = (centres[:-1] + centres[1:]) / 2
    beyond = np.append(np.cumsum(slices[::-1])[::-1], 0.0)
    firsts = np.vstack([np.cumsum((slices[:, None] * middles)[::-1], axis=0)[::-1], np.zeros(3)])
    return firsts - beyond[:, None] * centres, beyond


def bracket_hold(
    arm: Arm, load: Load, card: MaterialCard, *, wanted: float, draws: int = DRAWS, seed: int = 0
) -> BracketHold:
    """Hold an arm against what it carries.

    Args:
        arm: Its sections.
        load: What it carries.
        card: Its plastic, at the temperature it works at.
        wanted: Factor of safety that low ends are held against [-].
        draws: How many draws.
        seed: For the draws.

    Raises:
        ValueProblem: The load pulls nowhere.
    """
    if not (np.linalg.norm(load.down) > 0 and load.force_n.likely + load.own_n_mm3 > 0):
        raise ValueProblem.of("the bracket carries nothing", "state load_n, or carries")
    down = load.down / np.linalg.norm(load.down)
    unit = strain_of(arm, down, load.at, 0.0, down)
    own = strain_of(arm, 0 * down, load.at, load.own_n_mm3, down)
    likely = unit.tension[1] * load.force_n.likely + own.tension[1]
    worst = int(likely.argmax())
    slide = int((unit.shear[1] * load.force_n.likely + own.shear[1]).argmax())

    def answers(force: Draws, power: Draws, years: Draws, left: Draws, **card_draws: Draws) -> Mapping[str, Draws]:
        along, across, between = card_draws["along"], card_draws["across"], card_draws["between"]
        pull = force * _at(power, unit.tension[:, worst]) + _at(power, own.tension[:, worst])
        cut = force * _at(power, unit.shear[:, slide]) + _at(power, own.shear[:, slide])
        strength = years * directional_strength(along, across, between, arm.layer_angle)
        soft = 1 - (1 - card_draws["softer"]) * sin(radians(arm.layer_angle)) ** 2
        sag = (force * _at(power, unit.sag_e) + _at(power, own.sag_e)) / (card_draws["modulus"] * soft)
        return {
            "stress": pull,
            "strength": strength,
            "bending": strength / np.maximum(pull, 1e-9),
            "shear": years * between / np.maximum(cut, 1e-9),
            "sag": sag,
            "crept": sag / left,
            "lying": years * along / np.maximum(pull, 1e-9),
        }

    found = propagate_all(answers, _inputs(load, card), draws, seed)
    safeties = {name: found[name] for name in ("bending", "shear")}
    return BracketHold(
        worst_at=float(arm.stations[worst]),
        section=arm.sections[1][worst],
        stress_mpa=found["stress"],
        strength_mpa=found["strength"],
        safeties=safeties,
        governing=governing(safeties),
        wanted=wanted,
        sag_new=found["sag"],
        sag_crept=found["crept"],
        along_layers=found["lying"],
        twist=max(unit.twist, own.twist if load.force_n.likely == 0 else 0.0),
    )


def _inputs(load: Load, card: MaterialCard) -> dict[str, Ranged]:
    return {
        "force": load.force_n,
        "power": Ranged(POWERS[0], POWERS[1], POWERS[2], "Gibson and Ashby, Cellular Solids, from memory"),
        "years": long_strength(YEARS_HOURS),
        "left": modulus_left(card, YEARS_HOURS),
        "modulus": card.modulus_mpa,
        "softer": SOFTER_ACROSS,
        "along": card.strength_along_mpa,
        "across": card.strength_across_mpa,
        "between": card.shear_across_mpa,
    }


def _at(power: Draws, values: Floats) -> Draws:
    """Values known at ``POWERS``, between them."""
    return np.asarray(np.interp(power, POWERS, values), dtype=np.float64)

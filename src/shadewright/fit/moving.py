"""What joints that bend and let go have in common: whether they catch, whether they live, and how that is said."""

from __future__ import annotations

import math
from dataclasses import dataclass
from statistics import NormalDist

import numpy as np

from shadewright.catalog.cards import Range
from shadewright.errors import ValueProblem, require_positive
from shadewright.findings import Finding, Verdict
from shadewright.fit.joint import Feel, JointKind, JointQuestion, Side, Sizing
from shadewright.fit.size import size_joint
from shadewright.printing import AsPrinted, Spread
from shadewright.wording import percent

SURE = 0.80
"""Chance from which a joint is called sound; common practice, no source."""

POOR_SHARE = 0.50
"""Below this share of what can be reached a drawing is failing; common practice, no source."""

GOOD_SHARE = 0.85
"""From this share of what can be reached a drawing is left as it is; common practice, no source."""

ACROSS_LAYERS = 1 / 3
"""Strain allowed when a bend pulls layers apart, over that within a layer; cautious, common practice, no source."""

LEAST_FELT = 0.15
"""Overlap that a hand feels as a catch [mm]; common practice, no source."""

SOURCE = "as-printed model; allowed strain from the plastic's card; least felt overlap: common practice, no source"

_SD_PER_RANGE = 4.0
_LEAST_RELATIVE_SD = 0.05
_TAIL_SD = 8.0
_STEPS = 401
_NODES, _WEIGHTS = np.polynomial.hermite_e.hermegauss(15)


@dataclass(frozen=True, slots=True, kw_only=True)
class Bend:
    """A snap as it comes off the printer.

    Attributes:
        overlap: What it must be bent through [mm].
        thickness: Of what bends [mm].
        covariance: Between both [mm²]: growing walls raise overlap and thickness alike.
        strain_per_mm2: Outer-fibre strain for each mm of overlap and mm of thickness [1/mm²].
        allowed: Strain it bears once [-].
    """

    overlap: Spread
    thickness: Spread
    covariance: float
    strain_per_mm2: float
    allowed: Spread

    @property
    def strain(self) -> float:
        """Strain of the mean print [-]."""
        return self.strain_per_mm2 * max(self.overlap.mean, 0.0) * self.thickness.mean


@dataclass(frozen=True, slots=True, kw_only=True)
class SnapChances:
    """Chances of one print [-]: that enough overlap is left, that the strain is borne, and both together."""

    catches: float
    survives: float
    works: float


def allowed_strain(card_percent: Range, *, across_layers: bool) -> Spread:
    """Strain a snap of this plastic bears once [-]; the range's ends are taken as two standard deviations.

    Args:
        card_percent: The card's range for bending within a layer [%].
        across_layers: True when the bend pulls layers apart.
    """
    share = (ACROSS_LAYERS if across_layers else 1.0) / 100
    mean = card_percent.likely
    sd = max((card_percent.high - card_percent.low) / _SD_PER_RANGE, _LEAST_RELATIVE_SD * mean)
    return Spread(share * mean, share * sd)


def snap_chances(bend: Bend, least: float = LEAST_FELT) -> SnapChances:
    """Chance that a print catches, that it survives, and that it does both.

    Overlap and thickness are jointly normal, the allowed strain is normal and independent. The integral runs over
    the overlap by the trapezoid rule, split at ``least``, and over thickness given overlap by Gauss and Hermite.

    Args:
        bend: The snap.
        least: Least overlap that is felt [mm].
    """
    overlap = bend.overlap
    sd = max(overlap.sd, 1e-9)
    low, high = overlap.mean - _TAIL_SD * sd, overlap.mean + _TAIL_SD * sd
    cut = min(max(least, low), high)
    below, above = _survival(bend, low, cut), _survival(bend, cut, high)
    catches = NormalDist().cdf((overlap.mean - least) / sd)
    return SnapChances(catches=catches, survives=min(below + above, 1.0), works=min(above, catches))


def _survival(bend: Bend, low: float, high: float) -> float:
    """Chance that the overlap lies between ``low`` and ``high`` and the strain is borne."""
    if high <= low:
        return 0.0
    sd = max(bend.overlap.sd, 1e-9)
    y = np.linspace(low, high, _STEPS)[:, None]
    slope = bend.covariance / sd**2
    rest = math.sqrt(max(bend.thickness.sd**2 - slope * bend.covariance, 0.0))
    thickness = bend.thickness.mean + slope * (y - bend.overlap.mean) + rest * _NODES[None, :]
    strain = bend.strain_per_mm2 * np.maximum(y, 0.0) * np.maximum(thickness, 0.0)
    borne = _normal_below((bend.allowed.mean - strain) / bend.allowed.sd) @ (_WEIGHTS / _WEIGHTS.sum())
    density = np.exp(-(((y[:, 0] - bend.overlap.mean) / sd) ** 2) / 2) / (sd * math.sqrt(2 * math.pi))
    return float(np.trapezoid(borne * density, y[:, 0]))


_erfc = np.vectorize(math.erfc, otypes=[np.float64])


def _normal_below(
    z: np.ndarray[tuple[int, ...], np.dtype[np.float64]],
) -> np.ndarray[tuple[int, ...], np.dtype[np.float64]]:
    return np.asarray(0.5 * _erfc(-z / math.sqrt(2)), dtype=np.float64)


# Sizes as printed ----------------------------------------------------------------------------------------------------


def growth_of(side: Side) -> Spread:
    """How far one face of a side comes out proud of its drawing [mm]; a bought side's does not."""
    return side.habits.outer_growth if side.habits is not None else Spread(0.0, 0.0)


def scatter_of(side: Side) -> float:
    """How one dimension of a side strays from piece to piece [mm]."""
    if side.habits is not None:
        return side.habits.scatter
    return side.bought.width / math.sqrt(12) if side.bought is not None else 0.0


def same_bench(male: Side, female: Side) -> bool:
    """Whether one error in what is known of the bench moves both sides."""
    return male.habits is not None and male.habits == female.habits


def printed_thickness(drawn: float, habits: AsPrinted) -> Spread:
    """Thickness of an arm or wall as printed, both faces grown [mm]."""
    growth = habits.outer_growth
    return Spread(drawn * habits.scale_xy.mean + 2 * growth.mean, math.hypot(2 * growth.sd, habits.scatter))


def face_overlap(drawn: float, male: Side, female: Side) -> Spread:
    """Overlap of a nub over a ledge as printed [mm]: each of the two faces grows towards the other."""
    ours, theirs = growth_of(male), growth_of(female)
    shared = ours.sd + theirs.sd if same_bench(male, female) else math.hypot(ours.sd, theirs.sd)
    sd = math.sqrt(shared**2 + scatter_of(male) ** 2 + scatter_of(female) ** 2)
    return Spread(drawn + ours.mean + theirs.mean, sd)


def slide_question(
    name: str, male: Side, female: Side, nominal: float, feel: Feel, *, round_faces: bool = True, draw: str = "female"
) -> JointQuestion:
    """The plain sliding pair inside a joint of several dimensions."""
    return JointQuestion(
        name=name,
        kind=JointKind.SLIDE,
        feel=feel,
        nominal=nominal,
        length=10.0,
        male=male,
        female=female,
        draw=draw,
        round=round_faces,
    )


def slide_sizing(
    name: str, male: Side, female: Side, nominal: float, feel: Feel, *, round_faces: bool = True, draw: str = "female"
) -> Sizing:
    """What to draw for it; with ``draw`` at ``female`` the male side counts as drawn at ``nominal``."""
    return size_joint(slide_question(name, male, female, nominal, feel, round_faces=round_faces, draw=draw))


def undrawn(side: Side) -> Side:
    """The same side with nothing drawn yet; its feature here is another than the joint's."""
    return Side(name=side.name, habits=side.habits, bought=side.bought)


def only_name(side: Side) -> Side:
    """The same side as a printed one that is drawn afresh.

    Raises:
        ValueProblem: It is bought.
    """
    if side.habits is None:
        raise ValueProblem.of(f'"{side.name}" is bought, but must be printed', "name a printed part for this side")
    return Side(name=side.name, habits=side.habits)


def require_all_positive(where: str, **sizes: float) -> None:
    """Refuse sizes that are not above 0, by name [mm]."""
    for name, value in sizes.items():
        require_positive(f"the {name.replace('_', ' ')}", value, where=where)


def instead(stated: float | None, drawn: float) -> str:
    """Say what was stated, where something else is to be drawn [mm]."""
    return "" if stated is None or stated == drawn else f" instead of {stated:g}"


# Saying it -----------------------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True, kw_only=True)
class Judged:
    """One behaviour, as drawn today and as it could be.

    Attributes:
        code, subject: Of the finding.
        doing: What shall happen, as a clause: ``it snaps in, catches and survives``.
        today: Its chance as drawn [-].
        best: Its chance with the drawing that is proposed [-].
        why: Reason, with numbers.
        redraw: What to draw instead, a clause; empty when there is nothing better.
        trial: What to try when even that is unsure.
        source: Where the rules come from.
    """

    code: str
    subject: str
    doing: str
    today: float
    best: float
    why: str
    redraw: str
    trial: str
    source: str = SOURCE


def doubt(code: str, subject: str, sentence: str, cure: str, *, value: float, limit: float, source: str) -> Finding:
    """A doubtful finding about a plain ratio or angle."""
    return Finding(
        code=code,
        subject=subject,
        verdict=Verdict.DOUBTFUL,
        sentence=sentence,
        cure=cure,
        value=value,
        limit=limit,
        source=source,
    )


def judge_behaviour(asked: Judged) -> Finding:
    """Verdict on one behaviour: against what can be reached, then against ``SURE``."""
    better = asked.redraw != "" and asked.today < asked.best
    redraw = better and (asked.today < GOOD_SHARE * asked.best or asked.today < SURE)
    if redraw:
        verdict = Verdict.FAILING if asked.today < POOR_SHARE * asked.best else Verdict.DOUBTFUL
        cure = f"{asked.redraw}: then in {percent(asked.best)} of prints"
    elif asked.today >= SURE:
        verdict, cure = Verdict.SOUND, ""
    else:
        verdict, cure = Verdict.UNKNOWN, asked.trial
    return Finding(
        code=asked.code,
        subject=asked.subject,
        verdict=verdict,
        sentence=f"as drawn {asked.doing} in {percent(asked.today)} of prints",
        why=asked.why,
        cure=cure,
        value=round(100 * asked.today),
        limit=100 * SURE,
        unit="%",
        source=asked.source,
    )


def turning_finding(code: str, subject: str, doing: str, pair: Sizing) -> Finding:
    """Whether a sized pair turns by hand and does not rattle: that it comes out snug, easy or free."""
    chance = sum(dict(pair.chances)[feel] for feel in (Feel.SNUG, Feel.EASY, Feel.FREE))
    sound = chance >= SURE
    return Finding(
        code=code,
        subject=subject,
        verdict=Verdict.SOUND if sound else Verdict.UNKNOWN,
        sentence=f"{doing} in {percent(chance)} of prints, drawn {pair.draw:.2f} mm",
        why="" if sound else f"the gap after printing is known to ±{2 * pair.gap_sd:.2f} mm only",
        cure="" if sound else "print a trial of this pair first",
        value=round(100 * chance),
        limit=100 * SURE,
        unit="%",
        source=pair.source,
    )

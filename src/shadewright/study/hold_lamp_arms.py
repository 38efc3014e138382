"""Clamped pivots and printed arms of a lamp: gathers what is stated, asks the calculations, hands on findings."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from shadewright.catalog.lookup import thread as look_up_thread
from shadewright.errors import ValueProblem
from shadewright.findings import Finding, Verdict
from shadewright.hold.balance import GRAVITY, Lump, balance_of, swung
from shadewright.hold.bracket import Load, bracket_hold
from shadewright.hold.bracket_advice import BracketCase, judge_bracket
from shadewright.hold.bracket_sections import Fill, arm_of
from shadewright.hold.card import MaterialCard, long_strength, modulus_left
from shadewright.hold.pivot import HAND_TORQUE_NM, Contact, PivotClamp, force_from_torque, moment_in_pose
from shadewright.hold.pivot_advice import CREEP_HOURS, PivotCase, judge_pivot
from shadewright.hold.ranges import Ranged, wanted_margin
from shadewright.lamp.carrying import Bracket, Held
from shadewright.lamp.moving import PivotDetails
from shadewright.solid.mesh import Floats
from shadewright.study.hold_inputs import HoldInputs
from shadewright.study.hold_lamp_weights import Weights, pose_of
from shadewright.study.result import PartStudy

TORQUE_OFF = 0.25
"""Share by which a stated torque is missed by hand; judged."""
ARM_OFF = 5.0
"""How far off a pivot's arm may be [mm]; judged."""
BORE_OVER_SCREW = 1.1
"""Hole over screw where only the screw is stated [-]; common practice, no source."""
SWING_STEP = 2.0
"""Poses are tried this far apart [degrees]."""


def study_pivots(inputs: HoldInputs, weights: Weights) -> list[Finding]:
    """Findings on every joint that states how it is held."""
    held = {name: joint.held for name, joint in inputs.read.lamp.joint.items() if joint.held is not None}
    return [_pivot(inputs, weights, name, stated) for name, stated in held.items()]


def study_brackets(inputs: HoldInputs, weights: Weights) -> list[Finding]:
    """Findings on every part that is stated to be an arm."""
    arms = {name: part.bracket for name, part in inputs.read.lamp.part.items() if part.bracket is not None}
    return [_bracket(inputs, weights, name, stated) for name, stated in arms.items()]


def _lacks(code: str, subject: str, lacking: Sequence[str]) -> Finding:
    return Finding(
        code=code,
        subject=subject,
        verdict=Verdict.UNKNOWN,
        sentence=f"the weight of {', '.join(lacking[:4])} is not known, or where it acts",
        cure=f"add a place, and to bought things mass_g as well: {', '.join(lacking[:4])}",
    )


def _too_warm(card: MaterialCard) -> str:
    return "" if card.bears_for_long else f"{card.name} at {card.temp_c:.0f} °C, limit {card.limit_c:.0f} °C"


def _pivot(inputs: HoldInputs, weights: Weights, name: str, held: Held) -> Finding:
    lamp = inputs.read.lamp
    joint = lamp.joint[name]
    if lacking := weights.lacking(held.carries):
        return _lacks("hold.pivot", f"joint {name}", lacking)
    cards = [inputs.card(side) for side in (joint.male, joint.female) if side in inputs.parts]
    softest = min(cards, key=lambda card: card.limit_c - card.temp_c)
    stated = joint.torque_nm is not None
    torque = Ranged.within(joint.torque_nm, TORQUE_OFF) if joint.torque_nm is not None else HAND_TORQUE_NM
    carried = [weights.lumps[thing] for thing in held.carries]
    arm = _worst_arm(held, carried)
    if arm < 1.0:
        return _balanced(name, arm)
    sizes = _sizes(inputs, name, held)
    tooth = softest.shear_across_mpa.by(long_strength(CREEP_HOURS))
    try:
        clamp = PivotClamp(
            contact=Contact(held.contact),
            outer=sizes.outer / 2,
            inner=sizes.inner / 2,
            faces=sizes.faces,
            half_angle=held.half_angle,
            force_n=force_from_torque(torque, sizes.screw),
            friction=softest.friction if held.friction is None else Ranged.within(held.friction, 0.2),
            left=modulus_left(softest, CREEP_HOURS),
            tooth_shear_mpa=tooth if sizes.teeth else None,
        )
    except ValueProblem as error:
        first = error.problems[0]
        raise ValueProblem.of(first.what, first.cure, inputs.read.where("joint", name, "held")) from None
    masses = [lump.mass_g for lump in carried]
    return judge_pivot(
        PivotCase(
            joint=name,
            clamp=clamp,
            torque_nm=torque,
            stated=stated,
            mass_g=Ranged(sum(m.low for m in masses), sum(m.likely for m in masses), sum(m.high for m in masses)),
            arm=Ranged(max(arm - ARM_OFF, 0.1), arm, arm + ARM_OFF),
            wanted=wanted_margin(above_people=lamp.surroundings.above_people),
            tooth_shear_mpa=tooth,
            too_warm=_too_warm(softest),
        )
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class _Sizes:
    """What rubs in a pivot: diameters [mm], pairs of faces, and whether they have teeth."""

    screw: float
    outer: float
    inner: float
    faces: int
    teeth: bool


def _sizes(inputs: HoldInputs, name: str, held: Held) -> _Sizes:
    """Sizes as stated, the rest from the joint's ``pivot`` table; its teeth stand on one pair of faces only."""
    pivot = inputs.read.lamp.joint[name].pivot
    if pivot is None and (held.screw is None or held.outer is None):
        raise ValueProblem.of(
            "it is not stated what rubs in this pivot",
            "add screw and outer to held, or a pivot table to the joint",
            inputs.read.where("joint", name, "held"),
        )
    drawn = pivot or PivotDetails()
    screw = held.screw or look_up_thread(drawn.screw, inputs.read.where("joint", name, "pivot")).major
    teeth = drawn.face_teeth > 0 if held.teeth is None and pivot is not None else bool(held.teeth)
    return _Sizes(
        screw=screw,
        outer=held.outer or drawn.ear,
        inner=BORE_OVER_SCREW * screw if held.inner is None else held.inner,
        faces=held.faces or (1 if teeth else 2),
        teeth=teeth,
    )


def _balanced(name: str, arm: float) -> Finding:
    return Finding(
        code="hold.pivot",
        subject=f"joint {name}",
        verdict=Verdict.SOUND,
        sentence="what it carries is balanced on its axis, so nothing turns it",
        value=round(arm, 1),
        unit="mm",
        source="rigid statics",
    )


def _worst_arm(held: Held, carried: Sequence[Lump]) -> float:
    """Greatest level arm of what is carried, over all poses it swings through [mm]."""
    at, axis = np.array(held.at), np.array(held.axis)
    whole = Lump(name="carried", mass_g=Ranged.exactly(1.0), centre=np.array(balance_of(list(carried), draws=2).centre))
    low, high = min(held.swing), max(held.swing)
    angles = np.linspace(low, high, max(int((high - low) / SWING_STEP), 1) + 1)
    return max(moment_in_pose(swung(whole, at, axis, float(angle)).centre, at, axis) for angle in angles)


def _bracket(inputs: HoldInputs, weights: Weights, name: str, stated: Bracket) -> Finding:
    study = inputs.parts[name]
    place = inputs.read.lamp.part[name].place
    if stated.down is None and place is None:
        return Finding(
            code="hold.bracket",
            subject=f"part {name}",
            verdict=Verdict.UNKNOWN,
            sentence="which way weight pulls on its arm is not known",
            cure=f"add a place to part {name}, or down = [x, y, z] to its bracket",
        )
    if lacking := [thing for thing in stated.carries if thing not in weights.masses]:
        return _lacks("hold.bracket", f"part {name}", lacking)
    card = inputs.card(name)
    above_people = inputs.read.lamp.surroundings.above_people
    try:
        load = _load(weights, stated, study, down=_down(inputs, name, stated))
        arm = arm_of(study.mesh, np.array(stated.root), np.array(stated.tip), _fill(study))
        held = bracket_hold(arm, load, card, wanted=wanted_margin(above_people=above_people))
    except ValueProblem as error:
        first = error.problems[0]
        raise ValueProblem.of(first.what, first.cure, inputs.read.where("part", name, "bracket")) from None
    warm = _too_warm(card)
    return judge_bracket(
        BracketCase(
            part=name,
            arm=arm,
            load=load,
            held=held,
            plastic=study.plastic,
            above_people=above_people,
            too_warm=f"its arm bears nothing for long: {warm}" if warm else "",
        )
    )


def _down(inputs: HoldInputs, name: str, stated: Bracket) -> Floats:
    """(3,) direction of gravity in the part's own coordinates."""
    place = inputs.read.lamp.part[name].place
    if stated.down is not None or place is None:
        return np.array(stated.down, dtype=np.float64)
    return np.asarray(pose_of(place).rotation.T @ np.array([0.0, 0.0, -1.0]), dtype=np.float64)


def _fill(study: PartStudy) -> Fill:
    setup = study.setup
    return Fill(wall=setup.walls * setup.line_width, skin=setup.skins * setup.layer, infill=setup.infill)


def _load(weights: Weights, stated: Bracket, study: PartStudy, down: Floats) -> Load:
    """What the arm carries, as one force where it acts, in the part's own coordinates."""
    tip = np.array(stated.tip)
    extra = stated.load_n or 0.0
    own = study.report.mass_g / study.report.volume / 1000 * GRAVITY
    low, likely, high = 0.95 * extra, extra, 1.05 * extra
    moment = extra * tip
    for name in stated.carries:
        newtons = weights.masses[name].times(GRAVITY / 1000)
        low, likely, high = low + newtons.low, likely + newtons.likely, high + newtons.high
        moment = moment + newtons.likely * _acts_at(weights, study.name, name, tip)
    at = moment / likely if likely > 0 else tip
    return Load(force_n=Ranged(low, likely, high), at=at, down=down, own_n_mm3=own)


def _acts_at(weights: Weights, part: str, name: str, tip: Floats) -> Floats:
    """(3,) where the weight of a thing acts, in the coordinates of the part: at the tip when places do not tell."""
    pose = weights.poses.get(part)
    if pose is None or name not in weights.lumps:
        return tip
    return np.asarray(pose.rotation.T @ (weights.lumps[name].centre - np.array(pose.at)), dtype=np.float64)

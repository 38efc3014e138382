"""Whether a lamp's snaps hold: from what is stated and sized to the questions of strength."""

from __future__ import annotations

from shadewright.findings import Finding
from shadewright.fit.joint import Feel, JointKind
from shadewright.fit.moving import only_name, slide_sizing, undrawn
from shadewright.fit.snap import HookQuestion
from shadewright.fit.snap_round import BeadQuestion, ClipQuestion, fit_clip
from shadewright.hold.hinge_advice import HingeCase, judge_hinge
from shadewright.hold.ranges import Ranged
from shadewright.hold.snap_advice import SnapCase, bead_question, clip_of, hook_question, judge_snap
from shadewright.hold.snap_strength import SnapQuestion, snap_strength
from shadewright.lamp.model import Joint
from shadewright.study.hold_inputs import HoldInputs
from shadewright.study.hold_loads import load_of
from shadewright.study.kinds_moving import snap_question

_ARM_SHARE = Ranged(0.25, 0.5, 0.8, "share of the flap's greatest size, judged")
"""From a hinge to the flap's centre of mass, over the flap's greatest size; judged."""


def study_hold_snap(inputs: HoldInputs, name: str) -> tuple[Finding, ...]:
    """What is to be said of the joint ``name``; nothing when it is no snap or its sizes are not stated."""
    joint = inputs.read.lamp.joint[name]
    if joint.kind is not JointKind.SNAP or joint.snap is None:
        return ()
    asked = snap_question(inputs.read, name, inputs.bench, joint.snap)
    often = joint.feel is not Feel.FIXED
    match asked:
        case HookQuestion():
            return (_judged(inputs, name, hook_question(asked, inputs.card(joint.male), repeated=often)),)
        case BeadQuestion():
            gives = joint.female if asked.softer == "female" else joint.male
            return (_judged(inputs, name, bead_question(asked, inputs.card(gives), repeated=often)),)
        case _:
            return (_hinge(inputs, joint, asked),)


def _judged(inputs: HoldInputs, name: str, question: SnapQuestion) -> Finding:
    lamp = inputs.read.lamp
    load = load_of(lamp, name, inputs.masses_g())
    return judge_snap(
        SnapCase(
            joint=name,
            question=question,
            strength=snap_strength(question),
            load=load.force,
            load_words=load.words,
            above_people=lamp.surroundings.above_people,
        )
    )


def _hinge(inputs: HoldInputs, joint: Joint, asked: ClipQuestion) -> Finding:
    """A clip turns on its rod: how far up its flap stays by itself."""
    sizing = slide_sizing(asked.name, undrawn(asked.male), only_name(asked.female), asked.rod, asked.feel)
    flap = inputs.parts[joint.female]
    ends = 6**0.5 * sizing.gap_sd
    reach = float(max(flap.mesh.size))
    return judge_hinge(
        HingeCase(
            joint=asked.name,
            clip=clip_of(asked, asked.opening or fit_clip(asked).opening),
            gap=Ranged(sizing.gap - ends, sizing.gap, sizing.gap + ends, "sizes as printed"),
            card=inputs.card(joint.female),
            mass_g=Ranged.within(flap.report.mass_g / joint.count, 0.15),
            arm=_ARM_SHARE.times(reach),
            stays=asked.feel in (Feel.SNUG, Feel.TIGHT, Feel.FIXED),
        )
    )

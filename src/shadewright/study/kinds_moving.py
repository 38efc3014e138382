"""Sizers of the joints that move or let go: from what the lamp states to the questions of snap, twist and pivot."""

from __future__ import annotations

from shadewright.bench.store import Bench
from shadewright.catalog import hardware, lookup
from shadewright.catalog.threads import Limits
from shadewright.errors import Problem, UserError, ValueProblem
from shadewright.findings import Finding, Verdict
from shadewright.fit.joint import JointKind, KindSizing, Side
from shadewright.fit.moving import allowed_strain
from shadewright.fit.pivot import PivotQuestion, size_pivot
from shadewright.fit.snap import HookQuestion, size_hook
from shadewright.fit.snap_round import BeadQuestion, ClipQuestion, size_bead, size_clip
from shadewright.fit.twist import TwistQuestion, size_twist
from shadewright.lamp.model import Joint
from shadewright.lamp.moving import PivotDetails, SnapDetails, TwistDetails
from shadewright.lamp.read import ReadLamp
from shadewright.printing import PrintSetup, Spread
from shadewright.study.questions import setup_of


def size_snap_joint(read: ReadLamp, name: str, bench: Bench) -> KindSizing:
    """Size a snap: hook, bead or clip.

    Raises:
        ValueProblem: A size is missing or cannot be, or the plastic's allowed strain is not known; with the line.
    """
    joint = read.lamp.joint[name]
    details = joint.snap
    if details is None:
        return _not_stated(name, JointKind.SNAP, 'snap = { form = "hook", arm = 14, thickness = 1.6, undercut = 0.8 }')
    with Told(read, name, "snap"):
        match snap_question(read, name, bench, details):
            case HookQuestion() as hook:
                return size_hook(hook)
            case BeadQuestion() as bead:
                return size_bead(bead)
            case clip:
                return size_clip(clip)


def snap_question(
    read: ReadLamp, name: str, bench: Bench, details: SnapDetails
) -> HookQuestion | BeadQuestion | ClipQuestion:
    """What is asked about the snap joint ``name``, by its form; errors as ``size_snap_joint`` but without the line."""
    joint, asked = read.lamp.joint[name], _Stated(read, name, bench)
    match details.form:
        case "hook":
            return _hook(asked, joint, details)
        case "bead":
            return _bead(asked, joint, details)
        case _:
            return _clip(asked, joint, details)


def size_twist_joint(read: ReadLamp, name: str, bench: Bench) -> KindSizing:
    """Size a bayonet; errors as ``size_snap_joint``."""
    details = read.lamp.joint[name].twist
    if details is None:
        return _not_stated(name, JointKind.TWIST, "twist = { lugs = 3, lug_height = 1.6, turn_deg = 30, detent = 0.4 }")
    with Told(read, name, "twist"):
        return size_twist(twist_question(read, name, bench, details))


def twist_question(read: ReadLamp, name: str, bench: Bench, details: TwistDetails) -> TwistQuestion:
    """What is asked about the bayonet ``name``; errors as ``size_snap_joint`` but without the line."""
    joint, asked = read.lamp.joint[name], _Stated(read, name, bench)
    setup = asked.setup(joint.female)
    return TwistQuestion(
        name=name,
        male=asked.side(joint.male),
        female=asked.side(joint.female),
        diameter=asked.size("the plug's diameter"),
        allowed=asked.allowed(joint.female),
        lugs=details.lugs,
        lug_height=details.lug_height,
        lug_width=details.lug_width,
        lug_thickness=details.lug_thickness,
        turn_deg=details.turn_deg,
        detent=details.detent,
        path=details.path,
        bore=details.bore or 0.0,
        wall=details.wall,
        plastic=setup.plastic.name,
        layer=max(setup.layer, asked.setup(joint.male).layer),
    )


def size_pivot_joint(read: ReadLamp, name: str, bench: Bench) -> KindSizing:
    """Size a pivot with a clamp screw.

    Raises:
        ValueProblem: A size cannot be; with the line.
        UnknownName: No such thread or nut.
    """
    details = read.lamp.joint[name].pivot
    if details is None:
        return _not_stated(name, JointKind.PIVOT, 'pivot = { screw = "M4", tongue = 6, ear = 18, cheek = 4.5 }')
    with Told(read, name, "pivot"):
        return size_pivot(pivot_question(read, name, bench, details))


def pivot_question(read: ReadLamp, name: str, bench: Bench, details: PivotDetails) -> PivotQuestion:
    """What is asked about the pivot ``name``; errors as ``size_pivot_joint`` but without the line."""
    joint, asked = read.lamp.joint[name], _Stated(read, name, bench)
    return PivotQuestion(
        name=name,
        male=asked.side(joint.male),
        female=asked.side(joint.female),
        screw=lookup.thread(details.screw),
        tongue=details.tongue,
        ear=details.ear,
        cheek=details.cheek,
        spacing=joint.drawn_female,
        teeth=details.face_teeth,
        nut=hardware.nut(details.screw) if details.nut else None,
        washer=details.washer,
    )


def borne_strain(bench: Bench, plastic: str, *, across: bool = False) -> Spread:
    """Strain that a snap of a bench's plastic bears once [-], along its layers or across.

    Raises:
        UnknownName: The bench knows no such plastic.
        ValueProblem: The catalogue does not know it.
    """
    card = lookup.plastic(bench.plastic(plastic).family)
    if card.snap_strain_percent is None:
        raise ValueProblem.of(
            f"how far {plastic} bends before it breaks is not known",
            "print what snaps in another plastic: PETG, ASA and PC are known",
        )
    return allowed_strain(card.snap_strain_percent, across_layers=across)


def _not_stated(name: str, kind: JointKind, example: str) -> KindSizing:
    """What is said of a joint whose sizes the lamp does not state: nothing is guessed."""
    finding = Finding(
        code="fit.not_sized",
        subject=f"joint {name}",
        verdict=Verdict.UNKNOWN,
        sentence=f"the lamp does not state the sizes of this {kind} joint",
        cure=f"add what the models have, e.g. {example}",
    )
    return KindSizing(joint=name, kind=kind, draws=(), findings=(finding,), trial_worth=False)


def _hook(asked: _Stated, joint: Joint, details: SnapDetails) -> HookQuestion:
    across = details.bends == "across layers"
    setup = asked.setup(joint.male)
    return HookQuestion(
        name=asked.name,
        male=asked.side(joint.male),
        female=asked.side(joint.female),
        arm=details.arm,
        thickness=details.thickness,
        width=details.width,
        undercut=details.undercut,
        allowed=asked.allowed(joint.male, across=across),
        lead_deg=details.lead_deg,
        return_deg=details.return_deg,
        taper=details.taper,
        across_layers=across,
        plastic=setup.plastic.name,
        line_width=setup.line_width,
    )


def _bead(asked: _Stated, joint: Joint, details: SnapDetails) -> BeadQuestion:
    gives = joint.female if details.softer == "female" else joint.male
    return BeadQuestion(
        name=asked.name,
        male=asked.side(joint.male),
        female=asked.side(joint.female),
        diameter=asked.size("the sleeve's diameter"),
        undercut=details.undercut,
        allowed=asked.allowed(gives),
        wall=details.thickness,
        softer=details.softer,
        plastic=asked.setup(gives).plastic.name,
        lead_deg=details.lead_deg,
        return_deg=details.return_deg,
    )


def _clip(asked: _Stated, joint: Joint, details: SnapDetails) -> ClipQuestion:
    return ClipQuestion(
        name=asked.name,
        male=asked.side(joint.male),
        female=asked.side(joint.female),
        rod=asked.size("the rod's diameter"),
        allowed=asked.allowed(joint.female),
        wall=details.thickness,
        opening=details.opening,
        width=details.width,
        feel=joint.feel,
        plastic=asked.setup(joint.female).plastic.name,
    )


class _Stated:
    """One joint of a lamp, with what its sides are looked up in."""

    def __init__(self, read: ReadLamp, name: str, bench: Bench) -> None:
        self.read, self.name, self.bench = read, name, bench

    def setup(self, who: str) -> PrintSetup:
        """How a printed side is printed.

        Raises:
            ValueProblem: It is bought.
        """
        part = self.read.lamp.part.get(who)
        if part is None:
            raise ValueProblem.of(f'"{who}" is bought, but must be printed', "name a printed part for this side")
        return setup_of(self.read, part, self.bench)

    def side(self, who: str) -> Side:
        """A side with its bench's habits, or with the limits of what is bought."""
        if who in self.read.lamp.part:
            return Side(name=who, habits=self.setup(who).habits)
        bought = self.read.lamp.bought[who]
        if bought.diameter is None:
            raise ValueProblem.of(
                f'"{who}" has no size for joint "{self.name}"', "add diameter = ... in mm, by caliper, to its table"
            )
        return Side(name=who, bought=Limits(bought.diameter - bought.tolerance, bought.diameter + bought.tolerance))

    def size(self, what: str) -> float:
        """Nominal size of the joint [mm]: of its bought male side, or stated."""
        joint = self.read.lamp.joint[self.name]
        bought = self.read.lamp.bought.get(joint.male)
        size = bought.diameter if bought is not None else joint.nominal or joint.drawn_male
        if size is None:
            raise ValueProblem.of(f'joint "{self.name}" states no size', f"add nominal = ... ({what}, in mm)")
        return size

    def allowed(self, who: str, *, across: bool = False) -> Spread:
        """Strain that a printed side bears once [-].

        Raises:
            ValueProblem: The catalogue does not know it.
        """
        return borne_strain(self.bench, self.setup(who).plastic.name, across=across)


class Told:
    """Adds the line of the joint's details, or of the joint, to whatever is refused inside."""

    def __init__(self, read: ReadLamp, name: str, table: str) -> None:
        stated = getattr(read.lamp.joint[name], table) is not None
        self.where = read.where("joint", name, table) if stated else read.where("joint", name)

    def __enter__(self) -> None:
        return None

    def __exit__(self, kind: object, error: BaseException | None, trace: object) -> None:
        if isinstance(error, UserError):
            told = [Problem(what=problem.what, cure=problem.cure, where=self.where) for problem in error.problems]
            raise type(error)(told) from None

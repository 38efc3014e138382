"""From what the maker states to the plain question that sizing answers."""

from __future__ import annotations

from dataclasses import dataclass

from shadewright.bench.store import Bench
from shadewright.catalog.lookup import thread as look_up_thread
from shadewright.catalog.lookup import threads
from shadewright.catalog.threads import Limits, Sex, Thread
from shadewright.errors import UnknownName, ValueProblem
from shadewright.findings import Verdict
from shadewright.fit.as_printed import sagitta_of
from shadewright.fit.bumps import opening_bumps
from shadewright.fit.joint import JointKind, JointQuestion, Side
from shadewright.lamp.model import Bought, Joint, Part
from shadewright.lamp.read import ReadLamp
from shadewright.naming.identify import name_thread
from shadewright.printing import PrintSetup
from shadewright.study.bought import next_step, readings_of

CALIPER_BAND = 0.06
"""Half width [mm] of the band a caliper reading leaves open; common practice, no source."""


def setup_of(read: ReadLamp, part: Part, bench: Bench) -> PrintSetup:
    """How ``part`` is printed: the lamp's settings, with the part's own plastic and layer height."""
    printing = read.lamp.printing
    return bench.setup(
        printer=printing.printer,
        nozzle=printing.nozzle,
        layer=part.layer or printing.layer,
        plastic=part.plastic or printing.plastic,
        walls=printing.walls,
        infill=printing.infill,
    )


def question_for(read: ReadLamp, name: str, bench: Bench) -> JointQuestion:
    """The sizing question of the joint ``name``, with all that the bench has learned of it.

    Raises:
        UnknownName: The lamp has no such joint, or its thread is in no table.
        ValueProblem: A bought side has neither thread, readings nor diameter; or no nominal size is stated.
    """
    joint = read.lamp.joint.get(name)
    if joint is None:
        raise UnknownName.among("joint", name, list(read.lamp.joint), read.where("joint"))
    asked = _Asked(read=read, name=name, joint=joint, thread=thread_of(read, name), bench=bench)
    male, female = asked.side(Sex.MALE), asked.side(Sex.FEMALE)
    question = JointQuestion(
        name=name,
        kind=joint.kind,
        feel=joint.feel,
        nominal=asked.nominal(male, female),
        length=joint.length,
        male=male,
        female=female,
        draw=joint.draw or ("female" if female.habits else "male"),
        round=joint.round,
        thread=asked.thread,
        liner_wall=joint.liner_wall,
        nozzle=read.lamp.printing.nozzle,
        layer=asked.layer(),
        bumps=opening_bumps(read.lamp.printing.nozzle) if joint.openings else None,
    )
    return bench.as_learned(question)


def thread_of(read: ReadLamp, name: str) -> Thread | None:
    """The thread of a thread joint: its own, or that of its bought side; None for other kinds."""
    joint = read.lamp.joint[name]
    if joint.kind is not JointKind.THREAD:
        return None
    bought = [read.lamp.bought[side] for side in (joint.male, joint.female) if side in read.lamp.bought]
    stated = joint.thread or next((thing.thread for thing in bought if thing.thread), "")
    measured = next((who for who in (joint.male, joint.female) if _measured(read, who)), "")
    if not stated and measured:
        stated = _named_by_readings(read, measured)
    if not stated:
        raise ValueProblem.of(
            f'joint "{name}" is a thread but names none',
            'add thread = "..." (the command "shadewright thread" names it from caliper readings)',
            read.where("joint", name),
        )
    return look_up_thread(stated, read.where("joint", name))


def _measured(read: ReadLamp, who: str) -> bool:
    return who in read.lamp.bought and read.lamp.bought[who].readings is not None


def _named_by_readings(read: ReadLamp, who: str) -> str:
    """Name of a bought thread by its readings alone.

    Raises:
        ValueProblem: The readings do not tell; says what to measure next.
    """
    where = read.where("bought", who, "readings")
    naming = name_thread(readings_of(read.lamp.bought[who], where), threads())
    if naming.none_leads or naming.verdict is Verdict.UNKNOWN:
        raise ValueProblem.of(f'the readings of "{who}" do not name its thread', next_step(naming), where)
    return naming.candidates[0].members[0].name


@dataclass(frozen=True, slots=True, kw_only=True)
class _Asked:
    """One joint of a lamp, with what its sides are looked up in."""

    read: ReadLamp
    name: str
    joint: Joint
    thread: Thread | None
    bench: Bench

    def side(self, sex: Sex) -> Side:
        """One side, printed or bought."""
        joint = self.joint
        who, drawn, facets = (
            (joint.male, joint.drawn_male, joint.facets_male)
            if sex is Sex.MALE
            else (joint.female, joint.drawn_female, joint.facets_female)
        )
        if who in self.read.lamp.part:
            habits = setup_of(self.read, self.read.lamp.part[who], self.bench).habits
            return Side(
                name=who,
                drawn=drawn,
                habits=habits,
                sagitta=sagitta_of(drawn, facets) if drawn and facets else 0.0,
                mouth_on_bed=sex.value in joint.on_bed,
            )
        return Side(name=who, bought=self._bought_size(who, sex))

    def nominal(self, male: Side, female: Side) -> float:
        """Size both sides share [mm]: stated, the thread's, the bought side's, or what is drawn."""
        if self.thread is not None:
            return self.thread.major
        stated = self.joint.nominal or next((s.bought.middle for s in (male, female) if s.bought), None)
        size = stated or male.drawn or female.drawn
        if size is None:
            raise ValueProblem.of(
                f'joint "{self.name}" states no size',
                "add nominal = ... (the diameter or width both sides share, in mm)",
                self.read.where("joint", self.name),
            )
        return size

    def layer(self) -> float:
        """Coarser layer height of its printed sides [mm]."""
        lamp = self.read.lamp
        parts = [lamp.part[who] for who in (self.joint.male, self.joint.female) if who in lamp.part]
        return max((part.layer or lamp.printing.layer for part in parts), default=lamp.printing.layer)

    def _bought_size(self, who: str, sex: Sex) -> Limits:
        """Limits of the mating diameter [mm]: caliper readings beat tables."""
        bought = self.read.lamp.bought[who]
        if self.thread is not None:
            return _bought_major(bought, sex, self.thread)
        if bought.diameter is not None:
            return Limits(bought.diameter - bought.tolerance, bought.diameter + bought.tolerance)
        if bought.readings is not None and bought.readings.outside and sex is Sex.MALE:
            centre = sum(bought.readings.outside) / len(bought.readings.outside)
            return Limits(centre - CALIPER_BAND, centre + CALIPER_BAND)
        if bought.thread:
            return look_up_thread(bought.thread, self.read.where("bought", who)).felt_diameter(sex)
        raise ValueProblem.of(
            f'"{who}" has no size for joint "{self.name}"',
            "add diameter = ... in mm (caliper), and tolerance = ... if it varies",
            self.read.where("bought", who),
        )


def _bought_major(bought: Bought, sex: Sex, thread: Thread) -> Limits:
    """Limits of the bought thread's major diameter [mm], narrowed by what was measured.

    A male's major is measured directly. A female's minor is; its major then lies where the basic profile puts it.
    """
    limits = thread.limits(sex).major
    measured = (bought.readings.outside if sex is Sex.MALE else bought.readings.inside) if bought.readings else []
    if not measured:
        return limits
    centre = limits.middle + sum(measured) / len(measured) - thread.felt_diameter(sex).middle
    return Limits(centre - CALIPER_BAND, centre + CALIPER_BAND)

"""The lamp everybody makes, and the shop they make it in: prints with scatter, feels, and a clock."""

from __future__ import annotations

from dataclasses import dataclass, field
from pathlib import Path

import numpy as np
from hidden import COMMON, Hidden

from shadewright.bench.store import Bench
from shadewright.catalog.threads import Sex
from shadewright.errors import ValueProblem
from shadewright.fit.gap import true_gap
from shadewright.fit.joint import Feel, JointQuestion
from shadewright.fit.questions import drawing_sex
from shadewright.fit.size import size_joint
from shadewright.lamp.read import ReadLamp, read_lamp
from shadewright.layers.check import PartToPrint, check_part
from shadewright.layers.costing import print_cost
from shadewright.layers.standing import stand
from shadewright.solid.trial import trial_for
from shadewright.study.parts import read_part
from shadewright.study.questions import question_for, setup_of

DEMO = Path(__file__).resolve().parents[2] / "examples" / "chart_table_lamp"
COUNTS = (3, 4, 5, 7)
"""Rung counts that are built and timed; a straight line through them gives the rest."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Work:
    """One joint of the lamp as work.

    Attributes:
        question: As the program asks it; nothing drawn yet on the side that takes the allowance.
        sex: The side that takes the allowance.
        part: Whose print that is.
        mate: The other side's part; empty when it is bought.
        mate_drawn: Drawn size of the mate, or mean size of a bought one [mm].
        fixed_min, rung_min: A trial of n rungs takes ``fixed_min + n * rung_min`` [min].
        most_rungs: As many as the bed takes.
    """

    question: JointQuestion
    sex: Sex
    part: str
    mate: str
    mate_drawn: float
    fixed_min: float
    rung_min: float
    most_rungs: int

    @property
    def name(self) -> str:
        """Name of the joint."""
        return self.question.name

    def trial_min(self, rungs: int) -> float:
        """Printing time of a trial [min]."""
        return self.fixed_min + rungs * self.rung_min

    def size(self, clearance: float) -> float:
        """Size to draw for a drawn clearance [mm]."""
        return self.mate_drawn + (clearance if self.sex is Sex.FEMALE else -clearance)

    def clearance(self, size: float) -> float:
        """Drawn clearance of a drawn size [mm]."""
        return (size - self.mate_drawn) * (1 if self.sex is Sex.FEMALE else -1)


@dataclass(frozen=True, slots=True, kw_only=True)
class Lamp:
    """The demo: its joints, its parts' printing times [min], and the plastic of every part."""

    works: tuple[Work, ...]
    part_min: dict[str, float]
    plastics: dict[str, str]

    @property
    def questions(self) -> tuple[JointQuestion, ...]:
        """The joints as the program asks them."""
        return tuple(work.question for work in self.works)


def read_demo(bench_file: Path) -> Lamp:
    """Read the demo through the program's own code, time its parts and its trials."""
    read = read_lamp(DEMO)
    with Bench.open(bench_file) as bench:
        times = {name: _part_minutes(read, name, bench) for name in read.lamp.part}
        works = tuple(_work(read, name, bench) for name in read.lamp.joint)
        plastics = {name: setup_of(read, part, bench).plastic.name for name, part in read.lamp.part.items()}
    return Lamp(works=works, part_min=times, plastics=plastics)


def _part_minutes(read: ReadLamp, name: str, bench: Bench) -> float:
    part = read.lamp.part[name]
    setup = setup_of(read, part, bench)
    mesh = stand(read_part(read, name).mesh, part.up).named(name)
    return check_part(PartToPrint(name=name, mesh=mesh, setup=setup)).time_s / 60


def _work(read: ReadLamp, name: str, bench: Bench) -> Work:
    question = question_for(read, name, bench)
    sex, sizing = drawing_sex(question), size_joint(question)
    setup = setup_of(read, read.lamp.part[sizing.draw_part], bench)
    other = question.female if sex is Sex.MALE else question.male
    timed = {}
    for count in COUNTS:
        try:
            piece = trial_for(question, sizing, count, bed_x=setup.bed_x, bed_y=setup.bed_y)
        except ValueProblem:
            continue
        timed[count] = print_cost(piece.pieces, setup).time_s / 60
    slope, start = np.polyfit(list(timed), list(timed.values()), 1)
    mate_drawn = other.drawn if other.drawn is not None else question.nominal
    if other.bought is not None:  # count the drawn clearance from the middle of what was bought
        gap = true_gap(question, question.nominal, question.nominal)
        mate_drawn = question.nominal - gap.clearance if sex is Sex.FEMALE else question.nominal + gap.clearance
    return Work(
        question=question,
        sex=sex,
        part=sizing.draw_part,
        mate="" if other.bought is not None else other.name,
        mate_drawn=mate_drawn,
        fixed_min=float(start),
        rung_min=float(slope),
        most_rungs=max(timed),
    )


@dataclass(frozen=True, slots=True)
class _Printed:
    """One print of a part: the error all its sizes share, and each joint's own, in standard deviations."""

    common: float
    own: dict[str, float]
    sizes: dict[str, float]


@dataclass(slots=True)
class Shop:
    """One maker at one hidden printer with one way of working; counts prints and minutes.

    Attributes:
        lamp, hidden: What is made, and on what.
        chance: Where scatter and judgement come from.
        minutes: Spent on printing so far.
        trials: Trial prints so far, by joint.
        part_prints: Prints of real parts so far, by part.
    """

    lamp: Lamp
    hidden: Hidden
    chance: np.random.Generator
    minutes: float = 0.0
    trial_minutes: float = 0.0
    trials: dict[str, int] = field(default_factory=dict)
    part_prints: dict[str, int] = field(default_factory=dict)
    _parts: dict[str, _Printed] = field(default_factory=dict)

    def print_part(self, part: str, sizes: dict[str, float]) -> None:
        """Print a real part; ``sizes`` by joint [mm] for the sides that take the allowance."""
        drawn = {}
        for work in self.lamp.works:
            if work.part == part:
                drawn[work.name] = sizes[work.name]
            elif work.mate == part:
                drawn[work.name] = work.mate_drawn
        own = {name: float(self.chance.standard_normal()) for name in drawn}
        self._parts[part] = _Printed(float(self.chance.standard_normal()), own, drawn)
        self.minutes += self.lamp.part_min[part]
        self.part_prints[part] = self.part_prints.get(part, 0) + 1

    def feel(self, work: Work) -> Feel:
        """Try the real joint."""
        part = self._parts[work.part]
        gap = self._gap(work, part.sizes[work.name])
        gap += self._error(work, work.part, work.sex, part.common, part.own[work.name])
        if work.mate:
            mate = self._parts[work.mate]
            gap += self._error(work, work.mate, _other(work.sex), mate.common, mate.own[work.name])
        return self.hidden.felt(work.question.kind, gap, self.chance)

    def trial(self, work: Work, sizes: tuple[float, ...]) -> tuple[Feel, ...]:
        """Print a trial with rungs of these sizes [mm] and try them all."""
        spent = work.trial_min(len(sizes))
        self.minutes += spent
        self.trial_minutes += spent
        self.trials[work.name] = self.trials.get(work.name, 0) + 1
        common, gauge = (float(value) for value in self.chance.standard_normal(2))
        felt = []
        for size in sizes:
            gap = self._gap(work, size) + self.hidden.short[work.name]
            gap += self._error(work, work.part, work.sex, common, float(self.chance.standard_normal()))
            if work.mate:
                gap += self._error(work, work.mate, _other(work.sex), common, gauge)
            felt.append(self.hidden.felt(work.question.kind, gap, self.chance))
        return tuple(felt)

    def _gap(self, work: Work, size: float) -> float:
        male, female = (size, work.mate_drawn) if work.sex is Sex.MALE else (work.mate_drawn, size)
        return self.hidden.gap(work.question, self.lamp.plastics, male, female)

    def _error(self, work: Work, part: str, sex: Sex, common: float, own: float) -> float:
        """What scatter adds to the gap [mm]: a print laid too wide grows its pins and closes its holes."""
        scatter = self.hidden.habits[self.lamp.plastics[part]].scatter
        outwards = own if sex is Sex.FEMALE else -own
        return scatter * COMMON * (outwards - common)


def _other(sex: Sex) -> Sex:
    return Sex.FEMALE if sex is Sex.MALE else Sex.MALE

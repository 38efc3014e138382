"""The third way: the program's own sizing, learning and choice of trials, from trial to the last print."""

from __future__ import annotations

from dataclasses import dataclass, field, replace

from rules import MOST_ROUNDS, try_joints
from shop import Lamp, Shop, Work

from shadewright.fit.evidence import BenchEvidence, PairEvidence, TriedRung, TriedTrial
from shadewright.fit.joint import Feel, JointQuestion, Side, Sizing
from shadewright.fit.learn import Learned, learn, learned_question
from shadewright.fit.next_trial import Advice, next_trial
from shadewright.fit.next_trial_known import AtStake, standing_of
from shadewright.fit.next_trial_serves import harmless_neighbour
from shadewright.fit.size import size_joint

PRINTER, NOZZLE = "mine", 0.4


@dataclass(frozen=True, slots=True)
class Called:
    """What was said of a joint before its real part was first printed, and how it came out."""

    joint: str
    chance_wanted: float
    chance_served: float
    felt: Feel


@dataclass(slots=True)
class Maker:
    """Somebody who does as the program says, on a bench that knows nothing yet."""

    shop: Shop
    trials: list[TriedTrial] = field(default_factory=list)
    felt: dict[str, list[Feel]] = field(default_factory=dict)
    called: list[Called] = field(default_factory=list)

    @property
    def lamp(self) -> Lamp:
        """What is made."""
        return self.shop.lamp

    def make(self) -> None:
        """Trials while they pay, then the parts; parts on which a joint does not serve again, with what they told."""
        self.felt = {work.name: [] for work in self.lamp.works}
        again = set(self.lamp.part_min)
        for attempt in range(MOST_ROUNDS):
            asked = self._try_while_it_pays(again)
            sizes = {joint.question.name: joint.sizing.draw for joint in asked}
            for part in sorted(again):
                self.shop.print_part(part, sizes)
            failed = try_joints(self.lamp, self.shop, again, self.felt)
            if attempt == 0:
                self.called = [_called(joint, self.felt[joint.question.name][0]) for joint in asked]
            for work, joint in zip(self.lamp.works, asked, strict=True):
                if work.part in again:
                    self._record(work, f"part {attempt}", (joint.sizing.draw,), (self.felt[work.name][-1],))
            again = {work.part for work in failed}
            if not again:
                break

    def _try_while_it_pays(self, again: set[str]) -> list[AtStake]:
        """Print the trials the program asks for, until it says to print the parts."""
        while True:
            learned = learn(BenchEvidence(pairs=_pairs(self.lamp), trials=tuple(self.trials)))
            asked = [self._ask(work, learned) for work in self.lamp.works]
            trial = self._advice(asked, learned, again).trial
            if trial is None:
                return asked
            work = next(work for work in self.lamp.works if work.name == trial.joint)
            sizes = tuple(work.size(clearance) for clearance in trial.clearances)
            self._record(work, "trial", sizes, self.shop.trial(work, sizes))

    def _advice(self, asked: list[AtStake], learned: Learned, again: set[str]) -> Advice:
        costs = [(part, minutes if part in again else 0.0) for part, minutes in self.lamp.part_min.items()]
        return next_trial(standing_of(asked, costs, learned))

    def _ask(self, work: Work, learned: Learned) -> AtStake:
        question = of_bench(work.question, self.lamp.plastics)
        if self.trials:  # a bench that was told nothing sizes by the trade's boundaries alone, as the program's does
            question = learned_question(question, learned)
        times = tuple((count, work.trial_min(count)) for count in range(3, work.most_rungs + 1))
        return AtStake(question=question, sizing=size_joint(question), trial_min=times)

    def _record(self, work: Work, what: str, sizes: tuple[float, ...], felt: tuple[Feel, ...]) -> None:
        plastics = self.lamp.plastics
        self.trials.append(
            TriedTrial(
                name=f"{len(self.trials):02d} {what} {work.name}",
                question=of_bench(work.question, plastics),
                rung_side=work.sex.value,
                mate_drawn=work.mate_drawn if work.mate else None,
                rungs=tuple(TriedRung(drawn=size, felt=feel) for size, feel in zip(sizes, felt, strict=True)),
                printer=PRINTER,
                nozzle=NOZZLE,
                plastic=plastics[work.part],
                mate_plastic=plastics[work.mate] if work.mate else None,
            )
        )


def of_bench(question: JointQuestion, plastics: dict[str, str]) -> JointQuestion:
    """The question with its printed sides' habits marked as those of this maker's bench."""

    def side(one: Side) -> Side:
        if one.habits is None:
            return one
        plastic = plastics[one.name]
        return replace(one, habits=replace(one.habits, pair=(PRINTER, NOZZLE, plastic, plastic)))

    return replace(question, male=side(question.male), female=side(question.female))


def _pairs(lamp: Lamp) -> tuple[PairEvidence, ...]:
    return tuple(
        PairEvidence(printer=PRINTER, nozzle=NOZZLE, plastic=plastic, family=plastic, features=())
        for plastic in sorted(set(lamp.plastics.values()))
    )


def _called(joint: AtStake, felt: Feel) -> Called:
    sizing, question = joint.sizing, joint.question
    return Called(question.name, sizing.chance_wanted, served(sizing, question), felt)


def served(sizing: Sizing, question: JointQuestion) -> float:
    """Chance to serve at the drawn size, as the program states it."""
    chances = dict(sizing.chances)
    return chances[question.feel] + chances[harmless_neighbour(question.kind, question.feel)]

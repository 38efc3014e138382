"""The bench that learns: from caliper readings and felt rungs to how every pair of printer and plastic prints.

All pairs are learned together, so that what one plastic shows of a printer helps the next; and readings and feels
together, so that either is enough. ``learn_prior`` says what is believed beforehand, ``learn_joint`` what a rung's
feel has to do with it, ``learn_pass`` and ``learn_scatter`` put it together.
"""

from __future__ import annotations

from dataclasses import dataclass, field, replace

import numpy as np

from shadewright.fit.evidence import BenchEvidence
from shadewright.fit.feel import FeelBounds, built_in_bounds
from shadewright.fit.gap import true_gap
from shadewright.fit.joint import JointKind, JointQuestion, Settled, Side
from shadewright.fit.learn_doubt import Suspicion, sound_rows
from shadewright.fit.learn_joint import (
    boundaries,
    gap_sum,
    is_learned_from,
    is_of,
    judging_variance,
    sides_of_question,
    tried_clearances,
)
from shadewright.fit.learn_model import Array, build
from shadewright.fit.learn_prior import PairKey, Start, Sum, Unknown, pair_key, start_of, starts
from shadewright.fit.learn_scatter import believe_whole
from shadewright.printing import HABITS, AsPrinted, Spread

LEAST_STEP = 0.02
"""Boundaries of feel are kept at least this far apart [mm]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Learned:
    """What a bench has learned.

    Attributes:
        evidence: What it was learned from.
        pairs: Habits of every pair with evidence, by printer, nozzle and plastic as in the evidence.
        bounds: Boundaries of feel of every kind that was tried.
        left_out: Readings that look wrong and that nobody has confirmed; they were not learned from.
    """

    evidence: BenchEvidence
    pairs: tuple[tuple[tuple[str, float, str], AsPrinted], ...]
    bounds: tuple[FeelBounds, ...]
    left_out: tuple[Suspicion, ...]
    _belief: _Belief = field(repr=False, compare=False)

    def habits_of(self, printer: str, nozzle: float, plastic: str, family: str) -> AsPrinted:
        """Habits of any pair: one without evidence of its own starts from what its printer and its family do.

        Args:
            printer: Name on the bench.
            nozzle: Bore [mm].
            plastic: Name on the bench.
            family: The catalogue's plastic it belongs to.
        """
        key = pair_key(printer, nozzle, plastic)
        start = self._belief.known.get(key) or start_of(printer, nozzle, plastic, family)
        habits = _habits(self._belief, start, _source(self.evidence, key, start, self._belief.touches(start)))
        return replace(habits, pair=(printer, nozzle, plastic, family))

    def bounds_of(self, kind: JointKind) -> FeelBounds:
        """Boundaries of feel of a kind; the built-in ones where no trial of it was made."""
        return next((one for one in self.bounds if one.kind is kind), built_in_bounds(kind))


@dataclass(frozen=True, slots=True, eq=False)
class _Belief:
    """Normal belief over everything unknown; what nobody has evidence of is as it was before."""

    place: dict[Unknown, int]
    mean: Array
    cover: Array
    ratio_square: dict[str, float]
    sort: dict[str, float]
    known: dict[PairKey, Start]

    def touches(self, start: Start) -> bool:
        """Whether any evidence has to do with a pair's habits."""
        return any(unknown in self.place for name in HABITS for unknown in start.habit(name).weights)

    def expect(self, sums: list[Sum]) -> tuple[Array, Array]:
        """Means (n,) and covariance (n, n) of sums of unknown numbers, without their noise."""
        fresh = list(dict.fromkeys(u for one in sums for u in one.weights if u not in self.place))
        at = {unknown: place for place, unknown in enumerate(fresh)}
        old, new = np.zeros((len(sums), len(self.mean))), np.zeros((len(sums), len(fresh)))
        for row, one in enumerate(sums):
            for unknown, weight in one.weights.items():
                if unknown in at:
                    new[row, at[unknown]] = weight
                else:
                    old[row, self.place[unknown]] = weight
        variance = np.array([unknown.variance_at(self.ratio_square, self.sort) for unknown in fresh])
        mean = np.array([one.constant for one in sums]) + old @ self.mean
        return mean, old @ self.cover @ old.T + (new * variance) @ new.T


def learn(evidence: BenchEvidence) -> Learned:
    """Learn from all evidence of a bench.

    Readings that look wrong (``suspicious``) are left out unless the maker has confirmed them. Trials of kinds whose
    feels the table does not know tell nothing. The order of pairs, readings, trials and rungs does not matter.

    Args:
        evidence: Readings and trials.
    """
    rows, left_out = sound_rows(evidence)
    model = build(evidence, rows)
    whole = believe_whole(model)
    belief = _Belief(
        place=dict(model.place),
        mean=whole.mean,
        cover=whole.cover,
        ratio_square=dict(zip(model.machines, whole.ratio_square.tolist(), strict=True)),
        sort=dict(zip(model.machines, whole.sort.tolist(), strict=True)),
        known=starts(evidence),
    )
    pairs = []
    for pair in evidence.pairs:
        name = (pair.printer, pair.nozzle, pair.plastic)
        start = belief.known[pair_key(*name)]
        habits = _habits(belief, start, _source(evidence, pair_key(*name), start, belief.touches(start)))
        pairs.append((name, replace(habits, pair=(*name, pair.family))))
    kinds = sorted({trial.question.kind for trial in evidence.trials if is_learned_from(trial.question.kind)})
    return Learned(
        evidence=evidence,
        pairs=tuple(sorted(pairs, key=lambda pair: pair[0])),
        bounds=tuple(_bounds(belief, kind) for kind in kinds),
        left_out=left_out,
        _belief=belief,
    )


def learned_question(question: JointQuestion, learned: Learned) -> JointQuestion:
    """The joint with all that the bench has learned of it: habits of its sides, its gap, its boundaries of feel.

    Sides that belong to a pair of the bench (``AsPrinted.pair``) get that pair's habits. What is known of both sides,
    of the bought thing at hand and of the boundaries is taken in together, as trials tell of their sum only.
    Kinds without boundaries of feel only get their habits.
    """
    asked = replace(
        question,
        male=_learned_side(question.male, learned),
        female=_learned_side(question.female, learned),
        settled=None,
    )
    if not is_learned_from(question.kind):
        return asked
    return replace(asked, settled=_settled(asked, learned))


def _learned_side(side: Side, learned: Learned) -> Side:
    if side.habits is None or side.habits.pair is None:
        return side
    return replace(side, habits=learned.habits_of(*side.habits.pair))


def _settled(question: JointQuestion, learned: Learned) -> Settled:
    belief = learned._belief
    sides = sides_of_question(question, belief.known)
    gap = gap_sum(question, sides, *_drawn(question), whole=True)
    flats = [u for u in gap.weights if u.half is not None and u not in belief.place]
    flat = max((u.half or 0.0 for u in flats), default=0.0)
    bounds = boundaries(question.kind)
    mean, cover = belief.expect([gap, *bounds])
    plain = true_gap(question, *_drawn(question)).mean
    bands = learned.bounds_of(question.kind).band(question.feel)
    gaps = _in_order(mean[1:])
    near = [at for at, edge in enumerate(learned.bounds_of(question.kind).gaps, start=1) if edge in bands]
    extra = float(np.mean([cover[at, at] - 2 * cover[0, at] for at in near]))
    judging = judging_variance(question.kind)
    alone = float(cover[0, 0]) - flat**2 / 3
    trials = sum(is_of(trial, question) for trial in learned.evidence.trials)
    return Settled(
        shift=float(mean[0]) - plain,
        sd=float(np.sqrt(max(alone + min(extra, 0.0), 0.0))),
        flat=flat,
        gaps=gaps,
        softness=float(np.sqrt(judging + max(extra, 0.0))),
        tried=tried_clearances(question, learned.evidence),
        source=_trials_in_words(trials),
    )


def _drawn(question: JointQuestion) -> tuple[float, float]:
    """Sizes about which the spread of the gap is taken: as drawn, else nominal [mm]."""
    male, female = question.male.drawn, question.female.drawn
    return question.nominal if male is None else male, question.nominal if female is None else female


def _habits(belief: _Belief, start: Start, source: str) -> AsPrinted:
    mean, cover = belief.expect([start.habit(name) for name in HABITS])
    cover = (cover + cover.T) / 2
    spreads = {name: Spread(float(mean[at]), float(np.sqrt(max(cover[at, at], 0.0)))) for at, name in enumerate(HABITS)}
    return AsPrinted(
        outer_growth=spreads["outer_growth"],
        hole_shrink=spreads["hole_shrink"],
        hole_curl=spreads["hole_curl"],
        scale_xy=spreads["scale_xy"],
        scale_z=spreads["scale_z"],
        flare=spreads["flare"],
        scatter=start.habits.scatter * belief.ratio_square.get(start.machine, 1.0) ** 0.5,
        source=source,
        covariance=tuple(tuple(line) for line in cover.tolist()),
    )


def _bounds(belief: _Belief, kind: JointKind) -> FeelBounds:
    """Boundaries learned for a kind; one softness for all, as ``FeelBounds`` asks: that of their mean variance."""
    mean, cover = belief.expect(list(boundaries(kind)))
    softness = float(np.sqrt(judging_variance(kind) + np.mean(np.diag(cover))))
    return FeelBounds(kind, _in_order(mean), softness)


def _in_order(gaps: Array) -> tuple[float, ...]:
    """The nearest gaps (least squares) that rise by ``LEAST_STEP`` or more: boundaries never change places."""
    blocks: list[list[float]] = []
    for value in (gaps - LEAST_STEP * np.arange(len(gaps))).tolist():
        blocks.append([value])
        while len(blocks) > 1 and np.mean(blocks[-2]) > np.mean(blocks[-1]):
            blocks[-2:] = [blocks[-2] + blocks[-1]]
    level = [float(np.mean(block)) for block in blocks for _ in block]
    return tuple(value + LEAST_STEP * at for at, value in enumerate(level))


def _source(evidence: BenchEvidence, key: PairKey, start: Start, touched: bool) -> str:
    """What a pair's habits come from, in words."""
    readings = sum(
        len(feature.readings)
        for pair in evidence.pairs
        if pair_key(pair.printer, pair.nozzle, pair.plastic) == key
        for feature in pair.features
    )
    trials = sum(
        key in (pair_key(t.printer, t.nozzle, t.plastic), pair_key(t.printer, t.nozzle, t.mate_plastic or t.plastic))
        for t in evidence.trials
    )
    if not readings and not trials:
        moved = "; moved by what this bench learned of its printer and its family" if touched else ""
        return f"{start.habits.source}{moved}"
    told = [
        f"{count} {word}{'' if count == 1 else 's'}"
        for count, word in ((readings, "reading"), (trials, "trial"))
        if count
    ]
    return f"measured on this bench: {', '.join(told)}"


def _trials_in_words(trials: int) -> str:
    if not trials:
        return "what this bench learned from other joints"
    return f"{trials} trial{'' if trials == 1 else 's'} of this joint"

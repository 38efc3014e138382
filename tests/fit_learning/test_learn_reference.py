"""What is learned, against a reference sampler (emcee) of the same model, written down here a second time.

Means must agree within 2 % of the value, or of the standard deviation it had before the evidence if that is more;
standard deviations within 5 %. The sampler's own error is about 1 % of a standard deviation.
"""

from __future__ import annotations

import math

import emcee
import numpy as np
import numpy.typing as npt
import pytest
from learning_cases import K, bench, habits, measured, pair, slide, trial
from scipy.special import ndtr

from shadewright.catalog.threads import Limits
from shadewright.fit.evidence import BenchEvidence, FeatureKind, TriedTrial
from shadewright.fit.feel import FEELS, built_in_bounds
from shadewright.fit.gap import true_gap
from shadewright.fit.joint import Feel, JointKind, JointQuestion
from shadewright.fit.learn import Learned, learn, learned_question
from shadewright.printing import HABITS

Array = npt.NDArray[np.float64]
START = habits()
BOUNDS = built_in_bounds(JointKind.SLIDE)
HALF = 0.5  # of the scatter's variance is shared by a print, as ``learn_prior`` says
SHIFT, OWN, ONCE = 0.5, 0.2, 0.3  # parts of a boundary's variance, as ``learn_joint`` says
LOG_SD = 0.4
WRONG = 0.02  # share of rungs noted wrong, as any of the six feels
SORTS = ((0.8, 0.5), (0.2, 3.0))  # share of printers, and what multiplies their variances
FAMILY = {"outer_growth": 0.15, "hole_shrink": 0.15, "hole_curl": 0.2, "scale_xy": 0.45, "scale_z": 0.25, "flare": 0.05}
"""Part of a habit's variance that is the plastic's and not the printer's; sorts of printers do not touch it."""


def _row(kind: FeatureKind, drawn: float) -> tuple[float, ...]:
    """What a printed size hangs on, in the order of ``HABITS``, as the text at ``AsPrinted`` says."""
    if kind is K.HEIGHT:
        return (0.0, 0.0, 0.0, 0.0, drawn, 0.0)
    if kind is K.HOLE:
        return (0.0, -1.0, -1.0 / drawn, drawn, 0.0, 0.0)
    return (-2.0 if kind is K.SLOT else 2.0, 0.0, 0.0, drawn, 0.0, 2.0 if kind is K.FOOT else 0.0)


class Reference:
    """Log density over standard normal numbers: habits, log scatter, prints, mates, boundaries; and bought sizes.

    Numbers that no evidence of the case has to do with are left out; learning them is held to their start elsewhere.
    """

    def __init__(self, evidence: BenchEvidence) -> None:
        self.features = [feature for one in evidence.pairs for feature in one.features]
        self.trials = evidence.trials
        self.habits = list(HABITS if self.features else HABITS[:4])
        self.middle = np.array([getattr(START, name).mean for name in self.habits])
        self.spread = np.array([getattr(START, name).sd for name in self.habits])
        self.rows = np.array([_row(one.kind, one.drawn)[: len(self.habits)] for one in self.features])
        self.upright = np.array([one.kind is K.HEIGHT for one in self.features])
        self.inward = np.array([one.kind in (K.SLOT, K.HOLE) for one in self.features])
        self.read = np.array([np.mean(one.readings) for one in self.features])
        self.caliper = np.array([one.caliper_sd**2 / len(one.readings) for one in self.features])
        self.names = [*self.habits, "ratio"]
        self.names += ["xy", "z"] if self.features else []
        self.names += ["hand", *(f"edge {i}" for i in range(5))] if self.trials else []
        for one in self.trials:
            self.names += [f"print {one.name}", f"mate {one.name}"]

    def value(self, at: Array, name: str) -> Array:
        return at[:, self.names.index(name)]

    def all_habits(self, at: Array) -> Array:
        return self.middle + self.spread * at[:, : len(self.habits)]

    def scatter(self, at: Array) -> Array:
        return START.scatter * np.exp(-(LOG_SD**2) + LOG_SD * self.value(at, "ratio"))

    def edges(self, at: Array) -> Array:
        if not self.trials:
            return np.tile(BOUNDS.gaps, (len(at), 1))
        own = np.stack([self.value(at, f"edge {i}") for i in range(5)], axis=1)
        hand = self.value(at, "hand")[:, None]
        moved = BOUNDS.softness * (math.sqrt(SHIFT) * hand + math.sqrt(OWN) * own)
        return np.array(BOUNDS.gaps) + moved

    def size(self, at: Array, kind: FeatureKind, *drawn: float) -> Array:
        """Sizes without scatter [mm]: (n, number of drawn sizes)."""
        rows = np.array([_row(kind, one)[: len(self.habits)] for one in drawn])
        return self.all_habits(at) @ rows.T

    def log_density(self, at: Array) -> Array:
        total = self._habits_before(at)
        for place, name in enumerate(self.names[len(self.habits) :], start=len(self.habits)):
            if self._is_bought(name):
                total += np.where(np.abs(at[:, place]) < 1, 0.0, -np.inf)
            else:
                total += -(at[:, place] ** 2) / 2
        scatter = self.scatter(at)
        if self.features:
            total += self._measured(at, scatter)
        for one in self.trials:
            total += self._felt(at, one, scatter)
        return np.where(np.isfinite(total), total, -np.inf)

    def _measured(self, at: Array, scatter: Array) -> Array:
        offset = np.where(self.upright, self.value(at, "z")[:, None], self.value(at, "xy")[:, None])
        offset = math.sqrt(HALF) * scatter[:, None] * np.where(self.inward, -offset, offset)
        left = self.read - self.all_habits(at) @ self.rows.T - offset
        variance = HALF * scatter[:, None] ** 2 + self.caliper
        density: Array = (-(left**2) / variance / 2 - np.log(variance) / 2).sum(axis=1)
        return density

    def _habits_before(self, at: Array) -> Array:
        squares = at[:, : len(self.habits)] ** 2
        sorts = []
        for chance, factor in SORTS:
            variance = np.array([factor * (1 - FAMILY[name]) + FAMILY[name] for name in self.habits])
            sorts.append(math.log(chance) - (squares / variance + np.log(variance)).sum(axis=1) / 2)
        both: Array = np.logaddexp(*sorts)
        return both

    def _is_bought(self, name: str) -> bool:
        return name.startswith("mate") and any(
            name == f"mate {one.name}" and one.mate_drawn is None for one in self.trials
        )

    def _felt(self, at: Array, tried: TriedTrial, scatter: Array) -> Array:
        mate = self.value(at, f"mate {tried.name}")
        limits = tried.question.male.bought
        if limits is not None:
            male = limits.middle + limits.width / 2 * mate
        else:
            male = self.size(at, K.OUTER, tried.mate_drawn or 0.0)[:, 0] - scatter * mate
        shared = math.sqrt(HALF) * scatter * self.value(at, f"print {tried.name}")
        gap = self.size(at, K.HOLE, *(rung.drawn for rung in tried.rungs)) - (shared + male)[:, None]
        ends = np.full((len(at), 1), np.inf)
        edges = np.concatenate([-ends, self.edges(at), ends], axis=1)
        places = np.array([len(FEELS) - 1 - FEELS.index(rung.felt) for rung in tried.rungs])
        noise = np.sqrt(ONCE * BOUNDS.softness**2 + HALF * scatter**2)[:, None]
        chance = ndtr((edges[:, places + 1] - gap) / noise) - ndtr((edges[:, places] - gap) / noise)
        density: Array = np.log((1 - WRONG) * np.maximum(chance, 0) + WRONG / 6).sum(axis=1)
        return density

    def sample(self, seed: int) -> Array:
        """Draws (n, d): 400 walkers of 5000 steps; one is independent of another after 110 to 200."""
        walkers, steps = 400, 5000
        sampler = emcee.EnsembleSampler(walkers, len(self.names), self.log_density, vectorize=True)
        begin = np.random.default_rng(seed).uniform(-0.9, 0.9, (walkers, len(self.names)))
        sampler.random_state = np.random.RandomState(seed).get_state()
        sampler.run_mcmc(begin, steps)
        drawn: Array = sampler.get_chain(discard=800, flat=True)
        return drawn


STAIR = ((40.15, Feel.TIGHT), (40.25, Feel.SNUG), (40.35, Feel.SNUG), (40.45, Feel.EASY))
BOUGHT = Limits(39.8, 40.1)
TRIALS = (
    trial(slide(), *STAIR),
    trial(slide(bought=BOUGHT, name="cap"), (40.1, Feel.TIGHT), (40.3, Feel.EASY), (40.6, Feel.LOOSE), name="cap 1"),
)
CASES = {
    "readings alone": bench(pair(measured(1))),
    "feels alone": bench(pair(), trials=TRIALS),
    "both": bench(pair(measured(1)), trials=TRIALS),
}


@pytest.mark.parametrize("case", CASES)
def test_belief_is_that_of_the_sampler(case: str) -> None:
    evidence = CASES[case]
    reference = Reference(evidence)
    at = reference.sample(seed=11)
    learned = learn(evidence)
    found = learned.pairs[0][1]
    for name, drawn in zip(reference.habits, reference.all_habits(at).T, strict=True):
        _agree(getattr(found, name).mean, getattr(found, name).sd, drawn, getattr(START, name).sd)
    assert found.scatter == pytest.approx(math.sqrt(np.mean(reference.scatter(at) ** 2)), rel=0.02)
    if evidence.trials:
        hole = reference.size(at, K.HOLE, 40.3)[:, 0]
        printed = hole - reference.size(at, K.OUTER, 40.0)[:, 0]
        _gap_agrees(slide(), learned, printed, reference.edges(at))
        _edges_agree(learned, reference.edges(at))
        bought = BOUGHT.middle + BOUGHT.width / 2 * reference.value(at, "mate cap 1")
        _gap_agrees(slide(bought=BOUGHT, name="cap"), learned, hole - bought, reference.edges(at))


def _agree(mean: float, sd: float, drawn: Array, before: float) -> None:
    assert mean == pytest.approx(drawn.mean(), abs=0.02 * max(abs(drawn.mean()), before))
    assert sd == pytest.approx(drawn.std(), rel=0.05)


def _edges_agree(learned: Learned, edges: Array) -> None:
    bounds = learned.bounds_of(JointKind.SLIDE)
    before = BOUNDS.softness * math.sqrt(SHIFT + OWN)
    for at, gap in enumerate(bounds.gaps):
        _agree(gap, edges[:, at].std(), edges[:, at], before)
    once = ONCE * BOUNDS.softness**2
    assert bounds.softness == pytest.approx(math.sqrt(edges.var(axis=0).mean() + once), rel=0.05)


def _gap_agrees(question: JointQuestion, learned: Learned, gaps: Array, edges: Array) -> None:
    """The gap, and its distance from the two boundaries of the wanted feel, which is what a chance hangs on."""
    asked = learned_question(question, learned)
    settled = asked.settled
    assert settled is not None
    gap, before = true_gap(asked, 40.0, 40.3), true_gap(question, 40.0, 40.3)
    assert gap.mean == pytest.approx(gaps.mean(), abs=0.02 * before.sd)
    apart = gaps[:, None] - edges[:, 1:3]
    once = ONCE * BOUNDS.softness**2
    whole = math.sqrt(apart.var(axis=0).mean() + once)
    assert math.hypot(settled.sd, settled.softness, settled.flat / math.sqrt(3)) == pytest.approx(whole, rel=0.05)
    assert settled.gaps[1:3] == pytest.approx(edges[:, 1:3].mean(axis=0), abs=0.02 * 0.1)

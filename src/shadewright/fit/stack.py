"""Chains of dimensions across parts: where the closing gap ends up, how often, and what matters most.

The gap is the signed sum of the members as they come off the printer or out of the shop. Printed members follow
``AsPrinted``; members of one bench and plastic share its habits, so their errors add before they are squared. Bought
members lie anywhere within their tolerance. Heights come in whole layers: a height that is no multiple of the layer
may be off by up to half of one either way.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from enum import StrEnum

import numpy as np
import numpy.typing as npt

from shadewright.errors import Problem, ValueProblem
from shadewright.printing import HABITS, AsPrinted

WORST_SPREADS = 3.0
"""A printed size is taken to lie within so many standard deviations in a worst case; common practice, no source."""

Floats = npt.NDArray[np.float64]


class Along(StrEnum):
    """How a printed dimension lies in the printer, which decides the habits it follows."""

    Z = "z"  # a height
    OUTER = "outer"  # an outer width or diameter, flat on the bed
    HOLE = "hole"  # the diameter of a round hole
    SLOT = "slot"  # the width between inner faces


@dataclass(frozen=True, slots=True, kw_only=True)
class Member:
    """One dimension of a chain.

    Attributes:
        what: In words: ``liner length``.
        size: As drawn, or as bought [mm].
        sign: +1 when a larger size opens the gap, -1 when it closes it.
        part: Part or bought thing it belongs to.
        habits: How its bench prints, for a printed one.
        along: How it lies in the printer.
        layer: Layer height [mm]; for heights.
        tolerance: Plus or minus [mm], for a bought one.
    """

    what: str
    size: float
    sign: float
    part: str = ""
    habits: AsPrinted | None = None
    along: Along = Along.Z
    layer: float = 0.2
    tolerance: float = 0.0

    @property
    def weights(self) -> Mapping[str, float]:
        """Change of the printed size for each unit of a habit."""
        if self.habits is None:
            return {}
        if self.along is Along.Z:
            return {"scale_z": self.size}
        if self.along is Along.HOLE:
            return {"scale_xy": self.size, "hole_shrink": -1.0, "hole_curl": -1.0 / self.size}
        return {"scale_xy": self.size, "outer_growth": 2.0 if self.along is Along.OUTER else -2.0}

    @property
    def mean(self) -> float:
        """Size to expect [mm]."""
        if self.habits is None:
            return self.size
        return math.fsum(weight * getattr(self.habits, name).mean for name, weight in self.weights.items())

    @property
    def flat(self) -> float:
        """Half width of its uniform part [mm]: a bought one's tolerance, or half a layer."""
        if self.habits is None:
            return self.tolerance
        steps = self.size / self.layer
        whole = self.along is not Along.Z or abs(steps - round(steps)) < 1e-6
        return 0.0 if whole else self.layer / 2

    @property
    def scatter(self) -> float:
        """Standard deviation from print to print [mm]."""
        return 0.0 if self.habits is None else self.habits.scatter

    def growth(self) -> float:
        """Change of the size to expect for each mm drawn more [-]."""
        if self.habits is None:
            return 1.0
        scale = self.habits.scale_z if self.along is Along.Z else self.habits.scale_xy
        curl = self.habits.hole_curl.mean / self.size**2 if self.along is Along.HOLE else 0.0
        return scale.mean + curl


@dataclass(frozen=True, slots=True, kw_only=True)
class Chain:
    """A closed chain of dimensions and what its gap should be.

    Attributes:
        name: As in lamp.toml.
        members: At least one.
        low, high: Wanted limits of the gap [mm]; either may be infinite.
    """

    name: str
    members: tuple[Member, ...]
    low: float
    high: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Contribution:
    """What one member adds to the uncertainty.

    Attributes:
        what: The member.
        part: Whose it is.
        share: Its covariance with the gap over the gap's variance [-]; all shares sum to 1. Negative where it
            cancels others' errors.
        sd: Its own standard deviation [mm].
        cause: What its uncertainty mostly comes from, in words.
    """

    what: str
    part: str
    share: float
    sd: float
    cause: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Centring:
    """A drawn size that would put the gap in the middle of its limits: ``size`` instead of ``drawn`` [mm]."""

    what: str
    part: str
    drawn: float
    size: float


@dataclass(frozen=True, slots=True, kw_only=True)
class StackResult:
    """Where the gap of a chain ends up.

    Attributes:
        nominal: Gap if every size came out as drawn [mm].
        mean, sd: Of the gap [mm].
        worst_low, worst_high: Its extremes when everything errs the same way [mm]: tolerances in full, printed sizes
            to three standard deviations.
        rss: Root of the summed squares of the same deviations [mm]; the gap is ``mean`` plus or minus that.
        chance: Of a gap within the limits, from random draws [-].
        chance_centred: The same with the gap moved to the middle of the limits; equal to ``chance`` where a limit is
            infinite [-].
        contributions: The one that matters most first.
        centrings: For every printed member, the size that would centre the gap; empty where a limit is infinite.
        draws: Number of random draws.
    """

    nominal: float
    mean: float
    sd: float
    worst_low: float
    worst_high: float
    rss: float
    chance: float
    chance_centred: float
    contributions: tuple[Contribution, ...]
    centrings: tuple[Centring, ...]
    draws: int


def stack_up(chain: Chain, seed: int, draws: int = 50_000) -> StackResult:
    """Where the closing gap ends up.

    Args:
        chain: The chain.
        seed: For the random draws.
        draws: How many.

    Raises:
        ValueProblem: The chain is empty, its limits are crossed, or a size or tolerance cannot be.
    """
    _check(chain)
    members = chain.members
    covariance = covariances(members)
    variance = float(covariance.sum())
    deviations = _deviations(members)
    worst = math.fsum(deviations)
    mean = math.fsum(member.sign * member.mean for member in members)
    gaps = drawn_gaps(members, np.random.default_rng(seed), draws)
    bounded = math.isfinite(chain.low) and math.isfinite(chain.high)
    shift = (chain.low + chain.high) / 2 - mean if bounded else 0.0
    return StackResult(
        nominal=math.fsum(member.sign * member.size for member in members),
        mean=mean,
        sd=math.sqrt(variance),
        worst_low=mean - worst,
        worst_high=mean + worst,
        rss=math.sqrt(math.fsum(deviation**2 for deviation in deviations)),
        chance=_within(gaps, chain),
        chance_centred=_within(gaps + shift, chain),
        contributions=_contributions(members, covariance),
        centrings=_centrings(members, shift) if bounded else (),
        draws=draws,
    )


def covariances(members: Sequence[Member]) -> Floats:
    """(n, n) covariance of the signed members [mm²]; exact, for sizes are linear in the habits."""
    count = len(members)
    result = np.zeros((count, count))
    for i, one in enumerate(members):
        result[i, i] = one.scatter**2 + one.flat**2 / 3
        for j, two in enumerate(members):
            if one.habits is not None and one.habits == two.habits:
                row, column = _row(one), _row(two)
                result[i, j] += one.sign * two.sign * float(row @ _habit_covariance(one.habits) @ column)
    return result


def _row(member: Member) -> Floats:
    return np.array([member.weights.get(name, 0.0) for name in HABITS])


def _habit_covariance(habits: AsPrinted) -> Floats:
    if habits.covariance is not None:
        return np.array(habits.covariance, dtype=np.float64)
    return np.diag([getattr(habits, name).sd ** 2 for name in HABITS])


def _benches(members: Sequence[Member]) -> list[AsPrinted]:
    return list(dict.fromkeys(member.habits for member in members if member.habits is not None))


def _deviations(members: Sequence[Member]) -> list[float]:
    """Half ranges of all independent causes [mm]: habits shared by a bench's members, scatter, tolerances, layers."""
    found = []
    for habits in _benches(members):
        total = sum(
            (member.sign * _row(member) for member in members if member.habits == habits), np.zeros(len(HABITS))
        )
        found += [WORST_SPREADS * abs(w) * getattr(habits, name).sd for w, name in zip(total, HABITS, strict=True)]
    for member in members:
        found += [WORST_SPREADS * member.scatter, member.flat]
    return found


def drawn_gaps(members: Sequence[Member], random: np.random.Generator, draws: int) -> Floats:
    """(draws,) gaps of chains printed and bought at random, each on a bench whose habits are drawn once [mm]."""
    gaps = np.zeros(draws)
    for habits in _benches(members):
        mean = np.array([getattr(habits, name).mean for name in HABITS])
        known = random.multivariate_normal(mean, _habit_covariance(habits), draws, method="eigh")
        for member in members:
            if member.habits == habits:
                gaps += member.sign * (known @ _row(member) + random.normal(0.0, member.scatter, draws))
    for member in members:
        if member.habits is None:
            gaps += member.sign * member.size
        if member.flat:
            gaps += random.uniform(-member.flat, member.flat, draws)
    return gaps


def _within(gaps: Floats, chain: Chain) -> float:
    return float(((gaps >= chain.low) & (gaps <= chain.high)).mean())


def _contributions(members: Sequence[Member], covariance: Floats) -> tuple[Contribution, ...]:
    total = float(covariance.sum())
    shares = covariance.sum(axis=1) / total if total > 0 else np.zeros(len(members))
    found = [
        Contribution(
            what=member.what,
            part=member.part,
            share=float(share),
            sd=math.sqrt(float(own)),
            cause=_cause(member),
        )
        for member, share, own in zip(members, shares, np.diag(covariance), strict=True)
    ]
    return tuple(sorted(found, key=lambda contribution: -contribution.share))


_CAUSES = {
    "scale_z": "how tall this bench prints",
    "scale_xy": "how much the plastic shrinks",
    "outer_growth": "how far outer walls grow",
    "hole_shrink": "how much holes lose",
    "hole_curl": "how much small holes lose",
}


def _cause(member: Member) -> str:
    """The greatest of a member's own causes, in words."""
    if member.habits is None:
        return "its tolerance"
    causes = {_CAUSES[name]: abs(w) * getattr(member.habits, name).sd for name, w in member.weights.items()}
    causes["scatter from print to print"] = member.scatter
    causes["heights coming in whole layers"] = member.flat / math.sqrt(3)
    return max(causes, key=lambda name: causes[name])


def _centrings(members: Sequence[Member], shift: float) -> tuple[Centring, ...]:
    return tuple(
        Centring(
            what=member.what,
            part=member.part,
            drawn=member.size,
            size=round(member.size + member.sign * shift / member.growth(), 2),
        )
        for member in members
        if member.habits is not None
    )


def _check(chain: Chain) -> None:
    where = f"stack {chain.name}"
    problems = []
    if not chain.members:
        problems.append(Problem("the chain has no members", "name the dimensions it is made of", where))
    if not chain.low < chain.high:
        problems.append(
            Problem(f"its limits run from {chain.low:g} to {chain.high:g} mm", "give the smaller one first", where)
        )
    for member in chain.members:
        if not 0 < member.size < math.inf:
            problems.append(
                Problem(
                    f"{member.what} is {member.size:g} mm",
                    "it must be a number above 0; the sign says which way",
                    where,
                )
            )
        if not 0 <= member.tolerance < math.inf:
            problems.append(
                Problem(f"the tolerance of {member.what} is {member.tolerance:g} mm", "it must be 0 or more", where)
            )
    if problems:
        raise ValueProblem(problems)

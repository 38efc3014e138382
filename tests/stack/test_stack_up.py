"""Chains of dimensions against a textbook, closed forms and random draws."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest

from shadewright.errors import ValueProblem
from shadewright.fit.defaults import built_in_habits
from shadewright.fit.stack import Along, Chain, Member, covariances, drawn_gaps, stack_up
from shadewright.printing import HABITS

PLA, PETG = built_in_habits(0.4, "PLA"), built_in_habits(0.4, "PETG")


def bought(what: str, size: float, sign: float, tolerance: float) -> Member:
    return Member(what=what, size=size, sign=sign, tolerance=tolerance)


def printed(what: str, size: float, sign: float, **more: object) -> Member:
    return replace(Member(what=what, size=size, sign=sign, part=what, habits=PLA, layer=0.2), **more)  # type: ignore[arg-type]


def test_shouldered_screw_of_a_textbook() -> None:
    """Shigley's Mechanical Engineering Design, 9th edition, example 1-3 (in inches; seen).

    w = a - b - c - d = 0.005, worst case 0.005 +- 0.010; d = 0.867 puts the least gap at 0.003. The root of squares
    is not in the example: sqrt(3² + 1² + 5² + 1²) = 6 thousandths.
    """
    sizes = (("a", 1.750, 1, 0.003), ("b", 0.750, -1, 0.001), ("c", 0.120, -1, 0.005), ("d", 0.875, -1, 0.001))
    chain = Chain(name="w", members=tuple(bought(*one) for one in sizes), low=0.003, high=math.inf)
    result = stack_up(chain, seed=1)

    assert result.nominal == result.mean == pytest.approx(0.005)
    assert (result.worst_low, result.worst_high) == (pytest.approx(-0.005), pytest.approx(0.015))
    assert result.rss == pytest.approx(0.006)
    assert result.contributions[0].what == "c"
    assert result.contributions[0].share == pytest.approx(25 / 36)
    longer = Chain(name="w", members=(*chain.members[:3], bought("d", 0.867, -1, 0.001)), low=0.003, high=math.inf)
    assert stack_up(longer, seed=1).worst_low == pytest.approx(0.003)
    assert stack_up(longer, seed=1).chance == 1.0


def test_shaft_in_a_housing_of_a_handbook_chapter() -> None:
    """K. Chase, Basic Tools for Tolerance Analysis of Mechanical Assemblies, shaft and housing (inches, from memory).

    Mean gap 0.020; worst case 0.0245, root of squares 0.0111.
    """
    sizes = (
        *(("ring", 0.0505, -1, 0.0015), ("shaft", 8.0, 1, 0.008), ("bearing", 0.5093, -1, 0.0025)),
        *(("housing 1", 0.4, 1, 0.002), ("housing 2", 7.711, -1, 0.006), ("housing 3", 0.4, 1, 0.002)),
        ("bearing 2", 0.5093, -1, 0.0025),
    )
    result = stack_up(Chain(name="gap", members=tuple(bought(*one) for one in sizes), low=0.0, high=0.1), seed=3)

    assert result.mean == pytest.approx(0.0199, abs=2e-4)
    assert result.worst_high - result.mean == pytest.approx(0.0245)
    assert result.rss == pytest.approx(0.01108, abs=1e-5)


def test_two_uniform_members_have_the_trapezium_s_chance() -> None:
    """The sum of two uniforms of equal half width t is a triangle on ±2t: P(|g| < t) = 3/4."""
    chain = Chain(name="g", members=(bought("a", 10, 1, 0.1), bought("b", 10, -1, 0.1)), low=-0.1, high=0.1)

    assert stack_up(chain, seed=7, draws=400_000).chance == pytest.approx(0.75, abs=0.003)


def test_printed_heights_follow_the_bench() -> None:
    """Variance (N sd)² of the height scale and scatter²; a height that is no whole layers adds (layer / 2)² / 3."""
    whole, odd = printed("a", 50.0, 1.0), printed("a", 50.1, 1.0)
    for member, layers in ((whole, 0.0), (odd, 0.1**2 / 3)):
        result = stack_up(Chain(name="h", members=(member,), low=0, high=100), seed=1)
        expected = (member.size * PLA.scale_z.sd) ** 2 + PLA.scatter**2 + layers
        assert result.mean == pytest.approx(member.size * PLA.scale_z.mean)
        assert result.sd == pytest.approx(math.sqrt(expected))


def test_equal_heights_of_one_plastic_cancel_what_the_bench_does_not_know() -> None:
    """Same habits, opposite signs: only scatter is left, sqrt(2) times; of two benches both scales remain."""
    pair = (printed("a", 80.0, 1.0), printed("b", 80.0, -1.0))
    apart = (pair[0], replace(pair[1], habits=PETG))
    same = stack_up(Chain(name="s", members=pair, low=-1, high=1), seed=1)
    two = stack_up(Chain(name="t", members=apart, low=-1, high=1), seed=1)

    assert same.sd == pytest.approx(math.sqrt(2) * PLA.scatter)
    assert two.sd == pytest.approx(
        math.sqrt(PLA.scatter**2 + PETG.scatter**2 + 80**2 * (PLA.scale_z.sd**2 + PETG.scale_z.sd**2))
    )


MIXED = (
    printed("shade", 90.0, 1.0, along=Along.HOLE),
    printed("ring", 40.0, -1.0, along=Along.OUTER),
    printed("plug", 30.3, -1.0),
    printed("slot", 8.0, 1.0, along=Along.SLOT),
    replace(printed("cap", 12.0, -1.0), habits=PETG),
    Member(what="washer", size=14.0, sign=-1.0, tolerance=0.2),
)


@pytest.mark.parametrize("known_together", [False, True])
def test_random_draws_agree_with_the_exact_covariance(known_together: bool) -> None:
    members = MIXED
    if known_together:
        root = np.tril(np.random.default_rng(5).normal(size=(6, 6))) * 0.3 + np.eye(6)
        sd = np.array([getattr(PLA, name).sd for name in HABITS])
        square = root @ root.T
        square /= np.sqrt(np.outer(np.diag(square), np.diag(square)))
        habits = replace(PLA, covariance=tuple(map(tuple, (square * np.outer(sd, sd)).tolist())))
        members = tuple(replace(m, habits=habits) if m.habits is PLA else m for m in MIXED)
    gaps = drawn_gaps(members, np.random.default_rng(11), 400_000)

    assert gaps.mean() == pytest.approx(sum(m.sign * m.mean for m in members), abs=3e-3)
    assert gaps.std() == pytest.approx(math.sqrt(covariances(members).sum()), rel=0.005)


def test_shares_sum_to_one_and_centring_centres() -> None:
    chain = Chain(name="m", members=MIXED, low=5.2, high=6.6)
    result = stack_up(chain, seed=2)
    assert sum(one.share for one in result.contributions) == pytest.approx(1)
    assert [one.share for one in result.contributions] == sorted((o.share for o in result.contributions), reverse=True)

    for centring in result.centrings:
        members = tuple(replace(m, size=centring.size) if m.what == centring.what else m for m in MIXED)
        moved = stack_up(replace(chain, members=members), seed=2)
        assert moved.mean == pytest.approx(5.9, abs=0.02)
        assert moved.chance == pytest.approx(result.chance_centred, abs=0.03)
    assert {one.what for one in result.centrings} == {"shade", "ring", "plug", "slot", "cap"}


def test_what_cannot_be_is_refused() -> None:
    with pytest.raises(ValueProblem, match="no members"):
        stack_up(Chain(name="x", members=(), low=0, high=1), seed=1)
    with pytest.raises(ValueProblem, match="limits run from 1 to 0"):
        stack_up(Chain(name="x", members=(bought("a", 1, 1, 0),), low=1, high=0), seed=1)
    with pytest.raises(ValueProblem, match="a is -1 mm"):
        stack_up(Chain(name="x", members=(bought("a", -1, 1, 0),), low=0, high=1), seed=1)

"""What one felt rung or one bought thing's limits make of a normal belief, against plain numerical integration."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as some
from scipy.special import ndtr
from scipy.stats import norm, truncnorm

from shadewright.fit.learn_moments import above_zero, between, within

MEANS = some.floats(-0.6, 0.6)
SPREADS = some.floats(0.02, 0.3)


@settings(max_examples=60, deadline=None)
@given(MEANS, SPREADS, some.floats(0.01, 0.1))
def test_above_a_boundary(mean: float, sd: float, noise: float) -> None:
    x = np.linspace(mean - 9 * sd, mean + 9 * sd, 20_001)
    weight = norm.pdf(x, mean, sd) * ndtr(x / noise)
    total = np.trapezoid(weight, x)
    if total < 1e-12:
        return
    middle = np.trapezoid(weight * x, x) / total
    found = above_zero(np.array([[mean]]), np.array([[[sd**2]]]), np.array([noise**2]))
    assert found.log_chance[0] == pytest.approx(np.log(total), abs=1e-5)
    assert found.mean[0, 0] == pytest.approx(middle, abs=1e-6)
    assert found.cover[0, 0, 0] == pytest.approx(np.trapezoid(weight * (x - middle) ** 2, x) / total, rel=1e-4)


@settings(max_examples=40, deadline=None)
@given(
    some.tuples(MEANS, SPREADS, some.floats(0.015, 0.08)),
    some.tuples(some.floats(0.1, 0.25), some.floats(0.003, 0.02), some.floats(-0.8, 0.8)),
)
def test_between_two_boundaries(gap: tuple[float, ...], band: tuple[float, ...]) -> None:
    mean, sd, noise = gap
    width, width_sd, correlation = band
    cover = np.array([[sd**2, correlation * sd * width_sd], [correlation * sd * width_sd, width_sd**2]])
    x = np.linspace(mean - 8 * sd, mean + 8 * sd, 1201)[:, None]
    w = np.linspace(width - 6 * width_sd, width + 6 * width_sd, 241)[None, :]
    u, v = (x - mean) / sd, (w - width) / width_sd
    density = np.exp(-(u**2 - 2 * correlation * u * v + v**2) / 2 / (1 - correlation**2))
    weight = density * np.maximum(ndtr((w - x) / noise) - ndtr(-x / noise), 0)
    chance = weight.sum() / density.sum()
    if chance < 1e-6:
        return
    found = between(np.array([[mean, width]]), cover[None], np.array([noise**2]))
    middle = [float((weight * part).sum() / weight.sum()) for part in (x, w)]
    assert np.exp(found.log_chance[0]) == pytest.approx(chance, rel=2e-3)
    assert found.mean[0] == pytest.approx(middle, abs=2e-3 * sd)
    off = (x - middle[0], w - middle[1])
    for i, j in ((0, 0), (0, 1), (1, 1)):
        value = float((weight * off[i] * off[j]).sum() / weight.sum())
        assert found.cover[0, i, j] == pytest.approx(value, abs=0.02 * np.sqrt(cover[i, i] * cover[j, j]))


@pytest.mark.parametrize(("mean", "sd"), [(0.0, 0.3), (0.7, 0.5), (2.5, 0.8), (0.0, 5.0)])
def test_within_limits(mean: float, sd: float) -> None:
    """Reference: scipy's truncated normal."""
    found = within(np.array([1 / sd**2]), np.array([mean / sd**2]))
    known = truncnorm((-1 - mean) / sd, (1 - mean) / sd, mean, sd)
    assert found.mean[0, 0] == pytest.approx(known.mean(), abs=1e-6)
    assert found.cover[0, 0, 0] == pytest.approx(known.var(), rel=1e-5)


def test_within_limits_without_any_belief_is_uniform() -> None:
    found = within(np.array([0.0]), np.array([0.0]))
    assert found.mean[0, 0] == pytest.approx(0.0, abs=1e-12)
    assert found.cover[0, 0, 0] == pytest.approx(1 / 3)
    assert np.exp(found.log_chance[0]) == pytest.approx(2.0)


def test_what_cannot_be_gives_finite_answers() -> None:
    """A feel forty standard deviations away from what is believed."""
    far = between(np.array([[8.0, 0.15]]), np.array([[[0.04, 0.0], [0.0, 1e-4]]]), np.array([1e-4]))
    assert np.all(np.isfinite(far.mean))
    assert 0 <= far.mean[0, 0] <= 0.4
    low = above_zero(np.array([[-8.0]]), np.array([[[0.04]]]), np.array([1e-4]))
    assert -0.2 < low.mean[0, 0] < 0.2
    assert 0 <= low.cover[0, 0, 0] < 0.01

"""Strains of snaps, against a plastics maker's snap-fit design guide, beam theory and numerical integration."""

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy.integrate import quad

from shadewright.errors import ValueProblem
from shadewright.fit.snap_strain import (
    arm_factor,
    arm_length_for,
    arm_strain,
    arm_thickness_for,
    clip_factor,
    ring_strain,
)


def test_tapered_arm_of_the_design_guide() -> None:
    """Guide, example I: l 19, y 2.4, taper to half, 2 % used: h = 3.28 mm."""
    assert arm_thickness_for(0.02, 2.4, 19, taper=0.5) == pytest.approx(3.28, abs=0.005)


@pytest.mark.parametrize(("arm", "percent"), [(15, 4.167), (18, 2.894)])
def test_plain_beam_of_a_published_example(arm: float, percent: float) -> None:
    """Published worked example of a plain arm, y 2.5, h 2.5: 4.16 % at 15 mm and 2.8 to 2.9 % at 18 mm."""
    assert 100 * arm_strain(2.5, arm, 2.5) == pytest.approx(percent, abs=0.001)


def test_strain_of_a_small_printed_arm() -> None:
    """Beam theory, strain = 3 h y / (2 L²): l 14, h 1.8, y 1.2 gives 1.6531 %."""
    assert 100 * arm_strain(1.2, 14, 1.8) == pytest.approx(1.6531, abs=1e-4)
    assert arm_strain(1.2, 14, 1.8) == pytest.approx(3 * 1.8 * 1.2 / (2 * 14**2), rel=1e-12)


@pytest.mark.parametrize("taper", [0.5, 0.6, 0.7, 0.8, 0.9, 0.985, 0.995, 1.0])
def test_taper_against_integrating_the_bending_line(taper: float) -> None:
    """Euler and Bernoulli: y = integral of M s / (E I) with h(s) linear; root strain = M h / (2 E I)."""
    integral, _ = quad(lambda s: s**2 / (taper + (1 - taper) * s) ** 3, 0, 1)
    assert arm_factor(taper) == pytest.approx(2 * integral, rel=1e-6)


@pytest.mark.parametrize(("taper", "factor"), [(0.5, 1.09), (1.0, 0.67)])
def test_factors_printed_in_the_design_guide(taper: float, factor: float) -> None:
    assert arm_factor(taper) == pytest.approx(factor, abs=0.005)


def test_length_and_thickness_undo_the_strain() -> None:
    strain = arm_strain(1.1, 16, 1.5, 0.7)
    assert arm_thickness_for(strain, 1.1, 16, 0.7) == pytest.approx(1.5)
    assert arm_length_for(strain, 1.1, 1.5, 0.7) == pytest.approx(16)


@pytest.mark.parametrize(("diameter", "undercut", "percent"), [(60, 0.9, 1.5), (40, 0.5, 1.25)])
def test_ring_of_the_design_guide(diameter: float, undercut: float, percent: float) -> None:
    """Guide, annular snaps: strain = y / d with one part rigid, half each when both are equally soft."""
    assert 100 * ring_strain(undercut, diameter) == pytest.approx(percent)
    assert 100 * ring_strain(undercut, diameter, shared=True) == pytest.approx(percent / 2)


@pytest.mark.parametrize(("lip", "root"), [(35, 160), (60, 180), (20, 150)])
def test_clip_against_a_chain_of_straight_bars(lip: float, root: float) -> None:
    """The arm as 20000 short straight pieces that bend one after the other: small rotations add up at the lip."""
    radius, thickness, modulus = 4.0, 1.2, 1700.0
    angle = np.radians(np.linspace(lip, root, 20001))
    middle, step = (angle[1:] + angle[:-1]) / 2, np.diff(angle)[0]
    second_moment = thickness**3 / 12  # for 1 mm of width
    lever = radius * (math.cos(angle[0]) - np.cos(middle))  # of a unit force across the opening at the lip
    rotations = lever * radius * step / (modulus * second_moment)
    movement = float((rotations * lever).sum())
    root_lever = radius * (math.cos(angle[0]) - math.cos(angle[-1]))
    strain = root_lever * thickness / (2 * modulus * second_moment)
    assert clip_factor(radius, lip, root) * thickness == pytest.approx(strain / movement, rel=1e-4)


def test_half_ring_in_closed_form() -> None:
    """Thin half ring, lip at 90 degrees, root at 180: movement P R³ pi / (4 E I), from any table of curved bars."""
    assert clip_factor(5.0, 90, 180) == pytest.approx(1 / (2 * 25 * math.pi / 4), rel=1e-12)


def test_impossible_numbers_are_refused_in_a_sentence() -> None:
    with pytest.raises(ValueProblem, match=r"a taper of 0\.3 cannot be"):
        arm_factor(0.3)
    with pytest.raises(ValueProblem, match="a clip arm from 170 to 160 degrees has no length"):
        clip_factor(4, 170, 160)

"""As-printed sizes against measured holes, exact polygons and the volume of a squeezed line.

Sources:
    Holes: 3 to 10 mm, printed with a 0.4 mm line, measured minus nominal, read off the chart of an open note on
    printed metrology (github.com/HenryDore/blog, posts/metrology.md), resolution 0.01 mm.
"""

from __future__ import annotations

import dataclasses
import math

import numpy as np
import pytest

from shadewright.errors import ValueProblem
from shadewright.fit.as_printed import (
    SAGITTA_MEAN,
    SAGITTA_SD,
    hole_to_draw,
    outer_to_draw,
    printed_hole,
    printed_outer,
    sagitta_of,
)
from shadewright.fit.defaults import built_in_habits
from shadewright.printing import AsPrinted, Spread

NOMINAL = np.arange(3.0, 11.0)
MEASURED_MINUS_NOMINAL = np.array([-0.40, -0.31, -0.23, -0.17, -0.16, -0.14, -0.13, -0.12])
NONE = Spread(0.0, 0.0)


def _exact(shrink: float = 0.0, curl: float = 0.0, scale: float = 1.0, growth: float = 0.0) -> AsPrinted:
    return AsPrinted(
        outer_growth=Spread(growth, 0.0),
        hole_shrink=Spread(shrink, 0.0),
        hole_curl=Spread(curl, 0.0),
        scale_xy=Spread(scale, 0.0),
        scale_z=Spread(1.0, 0.0),
        flare=NONE,
        scatter=0.0,
        source="test",
    )


def _fitted() -> AsPrinted:
    """Least squares of ``a + b / d`` on the measured holes."""
    columns = np.column_stack([np.ones_like(NOMINAL), 1 / NOMINAL])
    (a, b), *_ = np.linalg.lstsq(columns, MEASURED_MINUS_NOMINAL, rcond=None)
    return _exact(shrink=-float(a), curl=-float(b))


def test_hole_model_has_the_shape_of_measured_holes() -> None:
    """Two numbers leave 0.0121 mm, the caliper's resolution; a constant alone leaves 0.1000 (both least squares)."""
    habits = _fitted()
    predicted = np.array([printed_hole(d, habits).mean - d for d in NOMINAL])
    residual = math.sqrt(np.sum((predicted - MEASURED_MINUS_NOMINAL) ** 2) / (len(NOMINAL) - 2))

    assert habits.hole_shrink.mean == pytest.approx(-0.0150, abs=1e-4)
    assert habits.hole_curl.mean == pytest.approx(1.2456, abs=1e-4)
    assert residual == pytest.approx(0.0121, abs=1e-4)
    assert np.std(MEASURED_MINUS_NOMINAL, ddof=1) == pytest.approx(0.1000, abs=1e-4)


@pytest.mark.parametrize(("finished", "draw"), [(3.2, 3.537), (5.0, 5.223), (8.4, 8.531)])
def test_hole_to_draw_solves_the_quadratic(finished: float, draw: float) -> None:
    """Larger root of x² + (a - t) x + b = 0 with a 0.0150, b -1.2456, computed by hand."""
    assert hole_to_draw(finished, _fitted()) == pytest.approx(draw, abs=1e-3)


def test_built_in_habits_cover_the_measured_holes() -> None:
    """Each measured hole lies within two standard deviations of what the unmeasured bench predicts."""
    habits = built_in_habits(0.4, "PLA")
    for d, deviation in zip(NOMINAL, MEASURED_MINUS_NOMINAL, strict=True):
        predicted = printed_hole(float(d), habits)
        assert abs(d + deviation - predicted.mean) < 2 * predicted.sd


def test_built_in_habits_cover_measured_outer_sizes() -> None:
    """Blocks of 5 to 25 mm along X of one printer: FDM-protocol README, github.com/Kickstarter, commit 4480bfb."""
    habits = built_in_habits(0.4, "PLA")
    for target, measured in zip((25, 20, 15, 10, 5), (24.82, 19.93, 14.99, 10.01, 4.84), strict=True):
        predicted = printed_outer(target, habits)
        assert abs(measured - predicted.mean) < 3.5 * predicted.sd


@pytest.mark.parametrize("wanted", [2.0, 12.5, 40.0, 120.0])
def test_drawing_then_printing_gives_the_wanted_size(wanted: float) -> None:
    habits = built_in_habits(0.6, "ABS")
    assert printed_hole(hole_to_draw(wanted, habits), habits).mean == pytest.approx(wanted, abs=1e-9)
    assert printed_outer(outer_to_draw(wanted, habits), habits).mean == pytest.approx(wanted, abs=1e-9)


def test_sagitta_and_mean_loss_of_a_32_sided_circle() -> None:
    """Radius 10, 32 sides: sagitta 0.04815; equal-area radius 9.96788 = r sqrt(n sin(2 pi/n) / (2 pi)) is the mean."""
    sagitta = sagitta_of(20.0, 32)
    assert sagitta == pytest.approx(0.04815, abs=5e-6)
    plain = _exact()
    assert printed_hole(20.0, plain, sagitta=sagitta).mean / 2 == pytest.approx(9.96788, abs=5e-5)
    assert printed_outer(20.0, plain, sagitta=sagitta).mean / 2 == pytest.approx(9.96788, abs=5e-5)


def test_mean_and_spread_of_a_polygons_radius() -> None:
    """Distance from the centre to a 48-gon's edge, all around, against the two constants."""
    angle = np.linspace(-math.pi / 48, math.pi / 48, 20001)
    loss = 1 - math.cos(math.pi / 48) / np.cos(angle)
    sagitta = 1 - math.cos(math.pi / 48)
    assert loss.mean() / sagitta == pytest.approx(SAGITTA_MEAN, rel=2e-3)
    assert loss.std() / sagitta == pytest.approx(SAGITTA_SD, rel=2e-3)


def test_flare_widens_outsides_and_narrows_holes() -> None:
    habits = dataclasses.replace(_exact(), flare=Spread(0.1, 0.05))
    assert printed_outer(10.0, habits, on_bed=True) == Spread(pytest.approx(10.2), pytest.approx(0.1))
    assert printed_hole(10.0, habits, on_bed=True) == Spread(pytest.approx(9.8), pytest.approx(0.1))
    assert printed_hole(10.0, habits).mean == pytest.approx(10.0)


def test_built_in_flare_is_what_a_squeezed_line_gives() -> None:
    """A 0.42 x 0.20 line (stadium) pressed to 0.12 keeps its volume: 0.1171 mm per side, half of it at 0.05."""
    width, height, pressed = 0.42, 0.20, 0.12
    area = (width - height) * height + math.pi * height**2 / 4
    flare = (area / pressed + pressed * (1 - math.pi / 4) - width) / 2
    assert flare == pytest.approx(0.1171, abs=1e-4)
    built_in = built_in_habits(0.4, "PLA").flare
    assert abs(flare - built_in.mean) < built_in.sd


def test_habits_scale_with_the_nozzle_and_name_the_plastic() -> None:
    fine, usual, wide = (built_in_habits(nozzle, "PETG") for nozzle in (0.2, 0.4, 0.8))
    assert fine.outer_growth.mean < usual.outer_growth.mean < wide.outer_growth.mean
    assert fine.scatter < usual.scatter < wide.scatter
    assert 0.04 <= usual.scatter <= 0.05
    assert built_in_habits(0.4, "pla+ silk").scale_xy == built_in_habits(0.4, "PLA").scale_xy
    assert built_in_habits(0.4, "PCTG").scale_xy.sd > built_in_habits(0.4, "PLA").scale_xy.sd
    assert built_in_habits(0.4, "ABS").scale_xy.mean < usual.scale_xy.mean < built_in_habits(0.4, "PLA").scale_xy.mean


def test_impossible_sizes_are_refused_in_words() -> None:
    with pytest.raises(ValueProblem, match=r"nozzle is 0 mm; it must be a number above 0\."):
        built_in_habits(0, "PLA")
    with pytest.raises(ValueProblem, match="wanted size is nan mm"):
        hole_to_draw(math.nan, _exact())
    with pytest.raises(ValueProblem, match="number of sides less 2"):
        sagitta_of(20.0, 2)

"""The gap and its chances in closed form, against drawing the same model at random, and against ISO 286."""

from __future__ import annotations

import dataclasses
import math

import numpy as np
import pytest

from shadewright.catalog.lookup import thread
from shadewright.catalog.threads import Form, Limits, Sex
from shadewright.errors import ValueProblem
from shadewright.fit.defaults import built_in_habits
from shadewright.fit.feel import FEELS, FeelBounds, built_in_bounds, chance_together, chances
from shadewright.fit.flank import flank_angle, on_pitch_diameter, ridge_height, ridges_on_pitch_diameter
from shadewright.fit.gap import Gap, bought_gap, bought_size, true_gap
from shadewright.fit.joint import Feel, JointKind, JointQuestion, Side
from shadewright.printing import AsPrinted

PLA = built_in_habits(0.4, "PLA")
ABS = built_in_habits(0.6, "ABS")
DRAWS = 400_000


def _slide(male: Side, female: Side, nominal: float = 40.0, **more: object) -> JointQuestion:
    facts = {"name": "j", "kind": JointKind.SLIDE, "feel": Feel.SNUG, "nominal": nominal, "length": 10.0}
    return JointQuestion(**(facts | {"male": male, "female": female} | more))  # type: ignore[arg-type]


def _printed_pair(male: AsPrinted = PLA, female: AsPrinted = PLA) -> tuple[Side, Side]:
    return Side(name="liner", habits=male), Side(name="shade", habits=female)


class _Workshop:
    """Prints sizes at random, as the text at ``AsPrinted`` says; one draw of the habits for each bench."""

    def __init__(self, seed: int) -> None:
        self.random = np.random.default_rng(seed)
        self.benches: dict[AsPrinted, dict[str, np.ndarray]] = {}

    def habit(self, habits: AsPrinted, name: str) -> np.ndarray:
        drawn = self.benches.setdefault(habits, {})
        if name not in drawn:
            spread = getattr(habits, name)
            drawn[name] = self.random.normal(spread.mean, spread.sd, DRAWS)
        return drawn[name]

    def outer(self, size: float, habits: AsPrinted) -> np.ndarray:
        error = self.random.normal(0, habits.scatter, DRAWS)
        return size * self.habit(habits, "scale_xy") + 2 * self.habit(habits, "outer_growth") + error

    def hole(self, size: float, habits: AsPrinted) -> np.ndarray:
        error = self.random.normal(0, habits.scatter, DRAWS)
        loss = self.habit(habits, "hole_shrink") + self.habit(habits, "hole_curl") / size
        return size * self.habit(habits, "scale_xy") - loss + error

    def slot(self, size: float, habits: AsPrinted) -> np.ndarray:
        error = self.random.normal(0, habits.scatter, DRAWS)
        return size * self.habit(habits, "scale_xy") - 2 * self.habit(habits, "outer_growth") + error

    def felt(self, gap: np.ndarray, bounds: FeelBounds) -> np.ndarray:
        """Share of each feel in the order of ``Feel``; all boundaries of one joint move together."""
        shifted = gap + self.random.normal(0, bounds.softness, DRAWS)
        counts = np.bincount(np.searchsorted(bounds.gaps, shifted), minlength=len(FEELS))
        return counts[::-1] / DRAWS


def _agree(gap: Gap, drawn: np.ndarray, workshop: _Workshop) -> None:
    bounds = built_in_bounds(JointKind.SLIDE)
    assert gap.mean == pytest.approx(drawn.mean(), abs=4 * drawn.std() / math.sqrt(DRAWS))
    assert gap.sd == pytest.approx(drawn.std(), rel=0.006)
    shares = workshop.felt(drawn, bounds)
    answers = [chance for _, chance in chances(gap.mean, gap.normal_sd, bounds, gap.flat)]
    assert answers == pytest.approx(shares, abs=0.004)


def test_two_round_parts_from_one_bench() -> None:
    workshop = _Workshop(1)
    gap = true_gap(_slide(*_printed_pair(), nominal=12.0), 12.0, 12.3)
    _agree(gap, workshop.hole(12.3, PLA) - workshop.outer(12.0, PLA), workshop)


def test_two_large_parts_from_two_benches() -> None:
    """Shrinkage does not cancel between plastics: at 180 mm it weighs more than everything else."""
    workshop = _Workshop(2)
    gap = true_gap(_slide(*_printed_pair(PLA, ABS), nominal=180.0), 180.0, 181.0)
    _agree(gap, workshop.hole(181.0, ABS) - workshop.outer(180.0, PLA), workshop)


def test_flat_faces_of_one_bench_grow_together() -> None:
    """Growth is one number for tongue and slot, so it adds four times before squaring, not twice twice."""
    workshop = _Workshop(3)
    gap = true_gap(_slide(*_printed_pair(), nominal=20.0, round=False), 20.0, 20.3)
    _agree(gap, workshop.slot(20.3, PLA) - workshop.outer(20.0, PLA), workshop)
    apart = true_gap(_slide(*_printed_pair(PLA, ABS), nominal=20.0, round=False), 20.0, 20.3)
    grown = {cause.name: cause.sd for cause in apart.causes}["walls growing into the gap"]
    assert grown == pytest.approx(math.hypot(2 * 0.03, 2 * 0.045))


@pytest.mark.parametrize("limits", [Limits(39.3, 40.0), Limits(39.98, 40.0), Limits(40.0, 40.0)])
def test_bought_side_is_uniform_within_its_limits(limits: Limits) -> None:
    workshop = _Workshop(4)
    question = _slide(Side(name="tube", bought=limits), Side(name="shade", habits=PLA))
    gap = true_gap(question, math.nan, 40.2)
    male = workshop.random.uniform(limits.low, limits.high, DRAWS)
    _agree(gap, workshop.hole(40.2, PLA) - male, workshop)


def test_causes_sum_to_what_the_gap_loses() -> None:
    question = _slide(*_printed_pair(PLA, ABS), nominal=80.0, liner_wall=1.0)
    gap = true_gap(question, 79.8, 81.0)
    assert gap.mean == pytest.approx(gap.clearance + sum(cause.mm for cause in gap.causes), abs=1e-12)
    assert gap.sd == pytest.approx(math.sqrt(sum(cause.sd**2 for cause in gap.causes)), abs=1e-12)
    assert gap.settled_sd == pytest.approx(math.hypot(PLA.scatter, ABS.scatter))


def test_facets_and_flare_close_the_mouth() -> None:
    plain = _slide(*_printed_pair())
    faceted = dataclasses.replace(plain, female=dataclasses.replace(plain.female, sagitta=0.06))
    flared = dataclasses.replace(plain, female=dataclasses.replace(plain.female, mouth_on_bed=True))
    base = true_gap(plain, 40.0, 40.2)
    assert true_gap(faceted, 40.0, 40.2).mean - base.mean == pytest.approx(-0.08)
    assert true_gap(flared, 40.0, 40.2).mean - base.mean == pytest.approx(-2 * PLA.flare.mean)


def test_chance_that_parts_go_together() -> None:
    """Phi(0.25 / 0.08) = 0.99911 and Phi(0.15 / 0.08) = 0.96960 (normal table)."""
    assert chance_together(0.25, 0.08) == pytest.approx(0.99911, abs=5e-6)
    assert chance_together(0.15, 0.08) == pytest.approx(0.96960, abs=5e-6)
    assert chance_together(0.25, 0.08, least=0.25) == pytest.approx(0.5)


@pytest.mark.parametrize(
    ("hole", "shaft", "clearance"),
    [
        ((0, 25), (-25, -9), (9, 50)),  # 50 H7/g6, ISO 286-2
        ((0, 25), (26, 42), (-42, -1)),  # 50 H7/p6, ISO 286-2
        ((0, 21), (-33, -20), (20, 54)),  # 25 H7/f6, ISO 286-2
    ],
)
def test_bought_fits_of_iso_286(hole: tuple[int, int], shaft: tuple[int, int], clearance: tuple[int, int]) -> None:
    """Deviations in micrometres from the tables of ISO 286-2."""
    female, male = (Limits(50 + low / 1000, 50 + high / 1000) for low, high in (hole, shaft))
    extremes, gap = bought_gap(female, male)
    assert extremes.low * 1000 == pytest.approx(clearance[0], abs=1e-6)
    assert extremes.high * 1000 == pytest.approx(clearance[1], abs=1e-6)
    random = np.random.default_rng(5)
    drawn = random.uniform(female.low, female.high, DRAWS) - random.uniform(male.low, male.high, DRAWS)
    assert gap.mean == pytest.approx(drawn.mean(), abs=1e-4)
    assert gap.sd == pytest.approx(drawn.std(), rel=0.005)


def test_plating_rule_of_sixty_degree_threads() -> None:
    """A layer on the flanks of a 60 degree thread changes the pitch diameter by four times its thickness (trade)."""
    assert on_pitch_diameter(0.01, 30.0) == pytest.approx(0.04)
    assert flank_angle(thread("M10")) == 30.0
    assert thread("G1/2").form is Form.V55 and flank_angle(thread("G1/2")) == 27.5


def test_flank_of_an_edison_thread() -> None:
    """E27: pitch 3.629, depth 1.095, arcs of 1.025 (IEC 60061 sheet values): the arcs meet at asin(P / 4r)."""
    steepest = 90 - math.degrees(math.asin(3.629 / (4 * 1.025)))
    assert flank_angle(thread("E27")) == pytest.approx(steepest, abs=0.1)


@pytest.mark.parametrize("angle", [30.0, 45.0, 60.0])
def test_ridges_of_lines_with_round_ends(angle: float) -> None:
    """Three stacked lines ending in half circles that touch the flank's stair, their highest point by brute force."""
    layer = 0.2
    across, along = math.sin(math.radians(angle)), math.cos(math.radians(angle))
    around = np.linspace(-math.pi / 2, math.pi / 2, 100_001)
    highest = []
    for level in (-1, 0, 1):
        end = -level * layer * along / across  # where the flank crosses the middle of the layer
        x = end - layer / 2 + layer / 2 * np.cos(around)
        z = level * layer + layer / 2 * np.sin(around)
        highest.append((x * across + z * along).max())
    assert highest == pytest.approx([ridge_height(layer, angle)] * 3, abs=1e-9)


def test_finer_layers_leave_lower_ridges() -> None:
    coarse, fine = (ridges_on_pitch_diameter(thread("M10"), layer) for layer in (0.3, 0.1))
    assert coarse.mean == pytest.approx(3 * fine.mean)
    assert 0 < fine.mean < coarse.mean < 0.3


def test_bought_thread_mates_on_its_flanks() -> None:
    """M10 6g: pitch diameter 8.862 to 8.994, basic 9.026 (ISO 965-1), so the middle is 0.098 under basic."""
    m10 = thread("M10")
    question = dataclasses.replace(
        _slide(Side(name="screw", bought=m10.male.major), Side(name="nut", habits=PLA), nominal=10.0),
        kind=JointKind.THREAD,
        thread=m10,
    )
    size = bought_size(question, Sex.MALE, m10.male.major)
    assert size.mean == pytest.approx(10 - 0.098, abs=1e-3)
    assert size.sd == pytest.approx(0.132 / math.sqrt(12), abs=1e-3)
    middle = m10.male.major.middle
    measured = bought_size(question, Sex.MALE, Limits(middle - 0.05, middle - 0.01))
    assert measured.mean == pytest.approx(size.mean - 0.03)


def test_boundaries_must_rise() -> None:
    with pytest.raises(ValueProblem, match="five rising gaps"):
        FeelBounds(JointKind.PUSH, (0.0, 0.1, 0.1, 0.2, 0.3), 0.03)
    with pytest.raises(ValueProblem, match="a snap joint is not sized yet"):
        built_in_bounds(JointKind.SNAP)
    for kind in (JointKind.THREAD, JointKind.SLIDE, JointKind.PUSH):
        assert len(built_in_bounds(kind).gaps) == len(FEELS) - 1

"""Sizing of snaps: chances against random prints of the same model, and what is proposed."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from moving_bench import PETG, PLA, allowed, printed

from shadewright.catalog.threads import Limits
from shadewright.errors import ValueProblem
from shadewright.findings import Verdict
from shadewright.fit.joint import Side
from shadewright.fit.moving import ACROSS_LAYERS, LEAST_FELT, allowed_strain, snap_chances
from shadewright.fit.snap import HookQuestion, fit_hook, hook_bend, size_hook
from shadewright.fit.snap_round import BeadQuestion, ClipQuestion, fit_bead, fit_clip, size_bead, size_clip
from shadewright.printing import AsPrinted

SEED = 20240611
PRINTS = 200_000


def hook(**changes: object) -> HookQuestion:
    base = HookQuestion(
        name="lid",
        male=printed("lid"),
        female=printed("box"),
        arm=14,
        thickness=1.8,
        width=6,
        undercut=1.0,
        allowed=allowed("PLA"),
    )
    return replace(base, **changes)  # type: ignore[arg-type]


def drawn_habit(rng: np.random.Generator, habits: AsPrinted, name: str) -> np.ndarray:
    spread = getattr(habits, name)
    return rng.normal(spread.mean, spread.sd, PRINTS)


@pytest.mark.parametrize("one_bench", [True, False])
@pytest.mark.parametrize(("undercut", "thickness"), [(1.0, 1.8), (0.2, 1.8), (1.0, 1.4)])
def test_hook_chances_are_those_of_random_prints(undercut: float, thickness: float, one_bench: bool) -> None:
    """200000 prints of the written model, each its own growth, scatter and strain at break."""
    question = hook(undercut=undercut, thickness=thickness, female=printed("box", PLA if one_bench else PETG))
    rng = np.random.default_rng(SEED)
    ours = drawn_habit(rng, PLA, "outer_growth")
    theirs = ours if one_bench else drawn_habit(rng, PETG, "outer_growth")
    scatter = rng.normal(0, 1, (3, PRINTS)) * [
        [PLA.scatter],
        [PLA.scatter if one_bench else PETG.scatter],
        [PLA.scatter],
    ]
    overlap = undercut + ours + theirs + scatter[0] + scatter[1]
    thick = thickness * drawn_habit(rng, PLA, "scale_xy") + 2 * ours + scatter[2]
    strain = 3 * thick * np.maximum(overlap, 0) / (2 * question.arm**2)
    borne = strain < rng.normal(question.allowed.mean, question.allowed.sd, PRINTS)
    caught = overlap > LEAST_FELT
    chances = snap_chances(hook_bend(question))
    assert chances.catches == pytest.approx(caught.mean(), abs=0.005)
    assert chances.survives == pytest.approx(borne.mean(), abs=0.005)
    assert chances.works == pytest.approx((caught & borne).mean(), abs=0.005)


def test_clip_chances_are_those_of_random_prints() -> None:
    question = ClipQuestion(
        name="flap", male=printed("rod"), female=printed("flap"), rod=6, opening=5.5, allowed=allowed("PLA"), wall=1.6
    )
    fit = fit_clip(replace(question, allowed=allowed("PETG")))
    today = fit.today
    assert today is not None and fit.hold_today is not None and fit.strain_today is not None
    rng = np.random.default_rng(SEED)
    growth, scale = drawn_habit(rng, PLA, "outer_growth"), drawn_habit(rng, PLA, "scale_xy")
    noise = rng.normal(0, PLA.scatter, (3, PRINTS))
    hold = (6 * scale + 2 * growth + noise[0] - (5.5 * scale - 2 * growth + noise[1])) / 2
    thick = 1.6 * scale + 2 * growth + noise[2]
    factor = fit.strain_today / (fit.hold_today.mean * (1.6 * PLA.scale_xy.mean + 2 * PLA.outer_growth.mean))
    limit = allowed("PETG")
    works = (hold > LEAST_FELT) & (factor * np.maximum(hold, 0) * thick < rng.normal(limit.mean, limit.sd, PRINTS))
    assert today.works == pytest.approx(works.mean(), abs=0.01)


def test_bead_chances_are_those_of_random_prints() -> None:
    question = BeadQuestion(
        name="cap", male=printed("cap"), female=printed("body"), diameter=40, undercut=0.5, allowed=allowed("PLA")
    )
    fit = fit_bead(question)
    rng = np.random.default_rng(SEED)
    bead, bore = fit.bore + question.undercut, fit.bore
    scale, growth = drawn_habit(rng, PLA, "scale_xy"), drawn_habit(rng, PLA, "outer_growth")
    shrink, curl = drawn_habit(rng, PLA, "hole_shrink"), drawn_habit(rng, PLA, "hole_curl")
    noise = rng.normal(0, PLA.scatter, (2, PRINTS))
    overlap = bead * scale + 2 * growth + noise[0] - (bore * scale - shrink - curl / bore + noise[1])
    borne = np.maximum(overlap, 0) / 40 < rng.normal(question.allowed.mean, question.allowed.sd, PRINTS)
    assert fit.today.catches == pytest.approx((overlap > LEAST_FELT).mean(), abs=0.005)
    assert fit.today.works == pytest.approx((borne & (overlap > LEAST_FELT)).mean(), abs=0.005)


def test_a_hook_too_stiff_is_told_how_thin_to_be() -> None:
    sizing = size_hook(hook())
    draws = {draw.what: draw.size for draw in sizing.draws}
    finding = sizing.findings[0]
    assert finding.verdict is Verdict.FAILING
    assert "draw the arm's thickness" in finding.cure and "instead of 1.8" in finding.cure
    assert draws["arm thickness"] < 1.8
    assert size_hook(hook(thickness=draws["arm thickness"])).findings[0].verdict is Verdict.SOUND


def test_a_hook_that_cannot_be_thin_enough_is_made_longer() -> None:
    fit = fit_hook(hook(arm=8, thickness=1.2, undercut=1.2))
    assert fit.drawn.arm > 8
    assert fit.drawn.thickness == pytest.approx(0.9, abs=0.05)
    assert fit.best.survives >= 0.9 > fit.today.survives


def test_softer_plastic_bears_the_same_hook() -> None:
    stiff, soft = size_hook(hook()), size_hook(hook(allowed=allowed("PETG"), plastic="PETG"))
    assert stiff.findings[0].verdict is Verdict.FAILING
    assert soft.findings[0].verdict is Verdict.SOUND
    assert "as stated" in soft.draws[1].why


def test_standing_arms_bear_a_third_and_their_steep_nubs_are_told_of() -> None:
    lying, standing = allowed("PETG"), allowed("PETG", across_layers=True)
    assert (standing.mean, standing.sd) == pytest.approx((lying.mean / 3, lying.sd / 3))
    assert pytest.approx(1 / 3) == ACROSS_LAYERS
    sizing = size_hook(hook(across_layers=True, return_deg=80, allowed=standing))
    assert {finding.code for finding in sizing.findings} >= {"fit.snap", "fit.snap_upright"}
    assert "across its layers" in sizing.findings[0].why


def test_a_nub_smaller_than_the_scatter_is_said_to_be_lost() -> None:
    """Both sides strayed together: two growths of ±0.03 from one bench and two scatters of ±0.045."""
    codes = {finding.code: finding for finding in size_hook(hook(undercut=0.1)).findings}
    lost = codes["fit.nub"]
    sd = np.sqrt((2 * PLA.outer_growth.sd) ** 2 + 2 * PLA.scatter**2)
    assert lost.verdict is Verdict.FAILING
    assert lost.limit == pytest.approx(2 * sd, abs=1e-3)
    assert "is lost in what the printer scatters" in lost.sentence
    assert "fit.nub" not in {finding.code for finding in size_hook(hook(undercut=0.4)).findings}


def test_strain_of_the_mean_print_follows_the_beam() -> None:
    """3 h y / (2 L²) with the thickness and overlap that come off the printer."""
    fit = fit_hook(hook())
    thick = 1.8 * PLA.scale_xy.mean + 2 * PLA.outer_growth.mean
    overlap = 1.0 + 2 * PLA.outer_growth.mean
    assert fit.strain_today == pytest.approx(3 * thick * overlap / (2 * 14**2))


def test_stout_arms_are_doubted() -> None:
    assert "fit.snap_stout" in {f.code for f in size_hook(hook(arm=8)).findings}
    assert "fit.snap_stout" not in {f.code for f in size_hook(hook(arm=9.5)).findings}


def test_bead_is_as_large_as_is_borne() -> None:
    question = BeadQuestion(
        name="cap", male=printed("cap"), female=printed("body"), diameter=60, undercut=1.4, allowed=allowed("PLA")
    )
    fit, sizing = fit_bead(question), size_bead(question)
    assert fit.best.works >= 0.9
    assert fit.undercut < 1.4
    assert sizing.findings[0].verdict is Verdict.FAILING
    assert f"draw the bead {fit.bead:.2f} mm" in sizing.findings[0].cure
    larger = fit_bead(replace(question, undercut=round(fit.undercut + 0.1, 2)))
    assert larger.today.works < 0.9
    assert fit.bead - fit.bore == pytest.approx(fit.undercut)
    assert fit.groove - fit.bead == pytest.approx(fit.bore - 60, abs=0.011)


def test_soft_both_sides_bear_twice_the_bead() -> None:
    one = BeadQuestion(
        name="c", male=printed("c"), female=printed("b"), diameter=60, undercut=0.9, allowed=allowed("PLA")
    )
    assert fit_bead(replace(one, softer="both")).strain_today == pytest.approx(fit_bead(one).strain_today / 2)


def test_clip_on_a_bought_rod() -> None:
    question = ClipQuestion(
        name="flap",
        male=Side(name="rod", bought=Limits(5.95, 6.05)),
        female=printed("flap", PETG),
        rod=6,
        allowed=allowed("PETG"),
    )
    fit, sizing = fit_clip(question), size_clip(question)
    assert fit.opening < 6 < fit.bore
    assert fit.best.works >= 0.9
    assert fit.today is None
    assert [draw.what for draw in sizing.draws][:2] == ["opening of the clip", "bore of the clip"]
    narrower = fit_clip(replace(question, opening=round(fit.opening - 0.1, 2))).today
    assert narrower is not None and narrower.works < 0.9, "the opening is as narrow as is borne"
    lips = size_clip(replace(question, opening=5.94))
    assert "a lip of 0.03 mm is lost" in " ".join(f.sentence for f in lips.findings)


@pytest.mark.parametrize(
    ("changes", "sentence"),
    [
        ({"undercut": 0.0}, "the undercut is 0 mm; it must be a number above 0."),
        ({"arm": float("nan")}, "the arm is nan mm; it must be a number above 0."),
        ({"arm": 3.0}, "an arm of 3 mm cannot bend at a thickness of 1.8 mm; make it 9 mm long or more."),
        ({"lead_deg": 89.0}, "a lead angle of 89 degrees does not snap; write 10 to 75 degrees."),
        ({"taper": 0.2}, "a taper of 0.2 cannot be"),
        ({"male": Side(name="lid", bought=Limits(1, 2))}, '"lid" is bought, but must be printed'),
    ],
)
def test_impossible_hooks_get_one_sentence(changes: dict[str, object], sentence: str) -> None:
    with pytest.raises(ValueProblem) as told:
        fit_hook(hook(**changes))
    assert sentence in str(told.value)
    assert len(told.value.problems) == 1


def test_cards_range_is_two_standard_deviations_to_both_sides() -> None:
    from shadewright.catalog.cards import Range

    spread = allowed_strain(Range(1.2, 1.5, 2.0), across_layers=False)
    assert (spread.mean, spread.sd) == pytest.approx((0.015, 0.002))

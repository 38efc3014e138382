"""Odd readings are asked about and not learned from; sound ones are left in peace."""

from __future__ import annotations

from dataclasses import replace

import pytest
from learning_cases import NOZZLE, PRINTER, TRUTH, K, bench, measured, pair, reading, true_size

from shadewright.fit.evidence import FeatureKind, FeatureReading
from shadewright.fit.learn import learn
from shadewright.fit.learn_doubt import Suspicion, suspicious

PAIR = (PRINTER, NOZZLE, "PLA")
Features = tuple[FeatureReading, ...]


def _with(features: Features, name: str, *values: float, **more: object) -> Features:
    """One feature's readings replaced."""
    changed = tuple(
        replace(one, readings=values, **more) if one.feature == name else one  # type: ignore[arg-type]
        for one in features
    )
    assert changed != features
    return changed


def _found(features: Features) -> tuple[Suspicion, ...]:
    return suspicious(bench(pair(features)), PAIR)


SLIPS = {
    "centimetres": ("outer 40", (40.01, 4.0), 4.0, "centimetres"),
    "inches": ("hole 16", (15.82, 0.62), 0.62, "inches"),
    "digits changed places": ("outer 20", (20.09, 20.91), 20.91, "digits"),
    "wrong feature": ("outer 10", (20.08, 10.12), 20.08, "outer 20"),
    "inside for outside": ("outer 40", (40.02, 38.4), 38.4, "taken outside"),
    "outside for inside": ("hole 16", (15.88, 18.2), 18.2, "taken inside"),
    "half a millimetre": ("slot 10", (9.8, 10.35), 10.35, "measure it again"),
    "a height read a millimetre short": ("height 12", (11.0, 12.0), 11.0, "measure it again"),
}


@pytest.mark.parametrize("slip", SLIPS)
@pytest.mark.parametrize("seed", [1, 2, 3])
def test_a_slip_is_asked_about(slip: str, seed: int) -> None:
    name, values, odd, word = SLIPS[slip]
    (one,) = _found(_with(measured(seed), name, *values))
    assert (one.feature, one.reading, one.print_name) == (name, odd, "piece 1")
    assert one.chance > 0.5
    true = true_size(one.kind, one.drawn)
    assert one.expected.mean == pytest.approx(true, abs=3 * one.expected.sd + 0.1)
    assert f"{one.expected.mean:.2f} mm" in one.sentence
    assert f"{odd:.2f} mm" in one.sentence
    assert word in one.sentence


def test_a_feature_wholly_in_centimetres_is_asked_about() -> None:
    """The readings of one feature agree with each other, and with nothing else."""
    found = _found(_with(measured(1), "outer 40", 4.01, 4.0, 4.0))
    assert [(one.feature, one.reading) for one in found] == [("outer 40", 4.0), ("outer 40", 4.0), ("outer 40", 4.01)]


def test_the_wrong_feature_measured_twice_is_asked_about() -> None:
    found = _found(_with(measured(2), "outer 10", 10.79, 10.8))
    assert {one.feature for one in found} == {"outer 10"}
    assert len(found) == 2


def test_several_slips_do_not_hide_each_other() -> None:
    features = _with(_with(measured(3), "outer 40", 4.0, 40.01), "hole 4", 3.7, 5.3)
    assert {(one.feature, one.reading) for one in _found(features)} == {("outer 40", 4.0), ("hole 4", 5.3)}


def test_sound_readings_are_left_in_peace() -> None:
    """Of 60 pieces with 22 readings each, at most one reading in 500 is asked about."""
    asked = sum(len(_found(measured(seed))) for seed in range(60))
    assert asked <= 60 * 22 / 500


@pytest.mark.parametrize(
    "more", [{"growth": 0.15}, {"growth": -0.04}, {"scatter": 0.08}, {"curl": 1.7, "shrink": 0.15}]
)
def test_a_printer_far_from_usual_is_not_taken_for_slips(more: dict[str, float]) -> None:
    asked = sum(len(_found(measured(seed, truth=TRUTH | more))) for seed in range(8))
    assert asked <= 1


def test_slips_are_not_learned_from() -> None:
    sound = measured(1)
    slipped = _with(sound, "outer 40", *next(one for one in sound if one.feature == "outer 40").readings, 4.0)
    plain, guarded = learn(bench(pair(sound))), learn(bench(pair(slipped)))
    assert plain.left_out == ()
    assert [one.reading for one in guarded.left_out] == [4.0]
    assert guarded.pairs[0][1].outer_growth == plain.pairs[0][1].outer_growth
    assert guarded.pairs[0][1].covariance == plain.pairs[0][1].covariance


def test_what_the_maker_confirms_is_learned_from() -> None:
    odd = _with(measured(1), "slot 10", 10.35, 10.36)
    confirmed = _with(odd, "slot 10", 10.35, 10.36, confirmed=True)
    assert {one.feature for one in _found(odd)} == {"slot 10"}
    assert not [one for one in _found(confirmed) if one.feature == "slot 10"]
    learned = learn(bench(pair(confirmed)))
    without = learn(bench(pair(odd)))
    assert learned.pairs[0][1].outer_growth.mean < without.pairs[0][1].outer_growth.mean


def test_other_pairs_readings_are_not_blamed() -> None:
    odd = _with(measured(1, piece="piece 2"), "outer 40", 4.0, 40.0)
    evidence = bench(pair(measured(2)), pair(odd, "PETG", "PETG"))
    assert suspicious(evidence, PAIR) == ()
    (one,) = suspicious(evidence, (PRINTER.upper(), NOZZLE, "petg"))
    assert one.pair == (PRINTER, NOZZLE, "PETG")


def test_a_single_first_reading_can_be_a_slip() -> None:
    (one,) = _found((reading(K.OUTER, 20.0, 2.0),))
    assert one.kind is FeatureKind.OUTER
    assert _found((reading(K.OUTER, 20.0, 20.25),)) == ()
    assert _found(()) == ()

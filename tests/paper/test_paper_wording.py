"""How numbers and verdicts are written."""

import dataclasses

import pytest
from sample_study import FINDINGS, patch, sample_study

from shadewright.findings import Verdict
from shadewright.layers.report import Trouble
from shadewright.paper import wording
from shadewright.wording import duration, percent


@pytest.mark.parametrize(
    ("seconds", "text"),
    [
        (0, "0 s"),
        (59.4, "59 s"),
        (59.6, "1 min"),
        (1260, "21 min"),
        (3599, "1 h"),
        (5100, "1 h 25 min"),
        (100_000, "27 h 47 min"),
    ],
)
def test_durations(seconds: float, text: str) -> None:
    assert duration(seconds) == text


def test_a_range_of_times_that_reads_the_same_is_one_time() -> None:
    assert wording.duration_range(1500, 3900) == "25 min to 1 h 5 min"
    assert wording.duration_range(1500, 1510) == "25 min"


@pytest.mark.parametrize(
    ("grams", "text"), [(0.04, "0.0 g"), (9.4, "9.4 g"), (9.96, "10 g"), (412.6, "413 g"), (1240, "1.24 kg")]
)
def test_masses(grams: float, text: str) -> None:
    assert wording.mass(grams) == text


@pytest.mark.parametrize(
    ("mm", "text"), [(0.42, "+0.42"), (-0.8, "−0.80"), (0.001, "0.00"), (-0.001, "0.00"), (0.0, "0.00")]
)
def test_changes_of_size_carry_a_sign_only_when_there_is_one(mm: float, text: str) -> None:
    assert wording.signed(mm) == text


@pytest.mark.parametrize(
    ("share", "text"), [(0.84, "84 %"), (0.0, "0 %"), (1.0, "100 %"), (0.001, "< 1 %"), (0.999, "> 99 %")]
)
def test_what_is_not_certain_is_not_written_as_certain(share: float, text: str) -> None:
    assert percent(share) == text


def test_heights() -> None:
    assert wording.heights(60, 70) == "60.0 to 70.0 mm"
    assert wording.heights(70.51, 70.54) == "at 70.5 mm"


def test_counts() -> None:
    assert wording.count_of(1, "lamp") == "1 lamp"
    assert wording.count_of(4, "lamp") == "4 lamps"
    assert wording.count_of(0, "piece") == "0 pieces"


def test_a_clause_becomes_a_sentence_once() -> None:
    assert wording.sentence("lower the flare") == "Lower the flare."
    assert wording.sentence("It holds.") == "It holds."
    assert wording.sentence("  ") == ""


def test_findings_are_counted_worst_first() -> None:
    assert wording.tally_text(FINDINGS) == "2 failing, 2 doubtful, 2 unknown, 2 sound"
    assert wording.tally_text(()) == "nothing was checked"


def test_every_verdict_has_a_shape_and_a_headline_of_its_own() -> None:
    assert len({wording.MARKS[verdict] for verdict in Verdict}) == len(Verdict)
    assert len({wording.HEADLINES[verdict] for verdict in Verdict}) == len(Verdict)


def test_what_to_draw_names_feature_part_number_and_chance() -> None:
    neck, pivot, liner, clip = sample_study().joints
    assert wording.what_to_draw(neck) == "draw the female thread of shade major diameter 40.42 (+0.42), 84 % snug"
    assert wording.what_to_draw(pivot) == "draw the bore of arm 16.32 (+0.32), 61 % snug"
    assert wording.what_to_draw(liner) == "draw the outside of liner 43.20 (−0.80), 91 % snug"
    assert wording.what_to_draw(clip) == ""
    assert wording.feature(dataclasses.replace(pivot, round=False)) == "slot"
    assert wording.feature(dataclasses.replace(pivot, kind="push")) == "hole"


def test_evidence_holds_the_number_against_its_limit() -> None:
    assert wording.evidence(FINDINGS[0]) == "found 67.4°, held against 60°"
    assert wording.evidence(FINDINGS[3]) == "found 52 mm, held against 10 mm"
    assert wording.evidence(FINDINGS[5]) == ""


def test_each_kind_of_trouble_has_its_own_measure() -> None:
    said = {kind: wording.measure(patch(kind, True, 1, 2, 30, 12.5, 0)) for kind in Trouble}
    assert said[Trouble.BRIDGE] == "free span 12.5 mm"
    assert len(set(said.values())) == len(Trouble)


def test_failing_trouble_comes_before_larger_doubtful_trouble() -> None:
    arm = sample_study().parts[1]
    assert [found.trouble for found in wording.worst_patches(arm)] == [Trouble.ISLAND, Trouble.BRIDGE]


def test_pieces_are_counted_for_all_lamps() -> None:
    study = sample_study()
    assert [wording.pieces(study, part) for part in study.parts] == [4, 8]


@pytest.mark.parametrize(("value", "text"), [(0.46236, "0.462"), (5639.2, "5640"), (3, "3"), (1.2e7, "12000000")])
def test_numbers_have_three_digits_and_no_exponent(value: float, text: str) -> None:
    assert wording.number(value) == text

"""Readings that cannot be are refused in one sentence that names the field."""

import pytest

from shadewright.catalog.threads import Sex
from shadewright.errors import ValueProblem
from shadewright.naming.readings import ThreadReadings


def refusal(**fields):
    with pytest.raises(ValueProblem) as caught:
        ThreadReadings(**{"sex": Sex.MALE, "diameters": (10.0,), **fields})
    return str(caught.value)


@pytest.mark.parametrize(
    ("fields", "sentence"),
    [
        ({"diameters": ()}, "diameters: no diameter was given; give at least one, measured over the crests."),
        ({"diameters": (float("nan"),)}, "diameters: a diameter of nan mm cannot be; give a number above 0."),
        (
            {"diameters": (0.394,)},
            "diameters: 0.394 mm is thinner than any thread known here; "
            "give millimetres; 0.394 inch would be 10.01 mm.",
        ),
        (
            {"diameters": (250.0,)},
            "diameters: 250 mm is wider than any thread on a lamp; give millimetres, measured over the crests.",
        ),
        (
            {"diameters": (39.4, 3.95)},
            "diameters: readings from 3.95 to 39.4 mm cannot be one thread; "
            "one of them slipped, or they are of two different places; measure again.",
        ),
        (
            {"crests": 5},
            "length: crests were counted but not measured; add the length from the first to the last of these crests.",
        ),
        (
            {"length": 5.0},
            "crests: a length was given without its crests; "
            "add how many crests it spans, the first and the last included.",
        ),
        (
            {"crests": 1, "length": 5.0},
            "crests: 1 crests span no length; count at least 2, the first and the last included.",
        ),
        ({"crests": 3, "length": -2.0}, "length: a length of -2 mm cannot be; give a number above 0."),
        (
            {"crests": 3, "length": 2.0, "count": 9.0},
            "count: the pitch was given twice; give either crests with their length, or a count.",
        ),
        (
            {"crests": 2, "length": 9.0},
            "length: a pitch of 9 mm cannot be on a thread of 10 mm; "
            "n crests span n - 1 pitches, lengths are in mm; count and measure again.",
        ),
        ({"count": 0.0}, "count: 0 threads cannot be; give a number above 0."),
        (
            {"caliper_sd": 0.0},
            "caliper_sd: a caliper error of 0 mm cannot be used; "
            "give the spread of one reading, such as 0.05, at most 1.",
        ),
        (
            {"length_sd": 3.0},
            "length_sd: a length error of 3 mm cannot be used; give the spread of the length, such as 0.1, at most 2.",
        ),
        (
            {"roots": (11.0,)},
            "roots: a root diameter of 11 mm does not belong to this thread; "
            "it should be a little less than the 10 mm over the crests; measure again.",
        ),
        (
            {"sex": Sex.FEMALE, "mates": (8.0,)},
            "mates: a mate diameter of 8 mm does not belong to this thread; "
            "it should be a little more than the 10 mm over the crests; measure again.",
        ),
    ],
)
def test_refusals(fields, sentence):
    assert refusal(**fields) == sentence


def test_all_mistakes_are_told_in_one_go():
    told = refusal(diameters=(-1.0, 300.0), caliper_sd=5.0)

    assert len(told.splitlines()) == 3


def test_pitch_is_taken_at_its_word():
    assert ThreadReadings(sex=Sex.MALE, diameters=(10.0,), crests=11, length=10.0).pitch == pytest.approx(1.0)
    assert ThreadReadings(sex=Sex.MALE, diameters=(10.0,), count=27, count_span=25.4).pitch == pytest.approx(
        0.9407, abs=1e-4
    )
    assert ThreadReadings(sex=Sex.MALE, diameters=(10.0,)).pitch is None

"""Worth of a measurement: closed forms, simulation, and laws that any information obeys."""

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from hypothesis.extra.numpy import arrays as array_of
from scipy.special import xlogy
from scipy.stats import norm

from shadewright.catalog.lookup import threads
from shadewright.catalog.threads import Sex
from shadewright.naming import likelihood as model
from shadewright.naming.identify import name_thread, next_measurement
from shadewright.naming.information import entropy_bits, hypotheses_of, information_bits, worth_of
from shadewright.naming.odds import odds_of
from shadewright.naming.readings import ThreadReadings
from shadewright.naming.result import Measurement

ROWS = threads()
MALE = model.arrays_of(ROWS, Sex.MALE)


def test_a_yes_or_no_that_errs_is_worth_the_closed_form():
    """Binary symmetric channel: 1 - H(e) bits (Shannon 1948; any textbook)."""
    error = 0.11
    noise = -(error * math.log2(error) + (1 - error) * math.log2(1 - error))
    table = np.array([[1 - error, error], [error, 1 - error]])

    assert information_bits(np.array([0.5, 0.5]), table, np.ones(2)) == pytest.approx(1 - noise, abs=1e-12)


def test_overlapping_uniform_bands_are_worth_the_part_not_shared():
    """Two bands of width 2 overlapping by 1, equally likely: outside the overlap 1 bit, inside none: 1/2 bit."""
    y = np.linspace(0, 3, 3001)
    density = np.array([(y < 2) * 0.5, (y >= 1) * 0.5])

    assert information_bits(np.array([0.5, 0.5]), density, np.gradient(y)) == pytest.approx(0.5, abs=1e-3)


def test_entropy_of_equal_chances_is_their_logarithm():
    assert entropy_bits(np.full(8, 1 / 8)) == pytest.approx(3)
    assert entropy_bits(np.array([1.0, 0.0])) == 0


def more(readings, measurement, random):
    """Draw one outcome of the measurement from the model's own belief, and add it to the readings."""
    odds = odds_of(readings, MALE)
    chance = odds.probability[:-1] / odds.probability[:-1].sum()
    row = random.choice(len(ROWS), p=chance)
    if measurement is Measurement.PITCH:
        spans = 10 + random.choice([0, 1, -1], p=[0.96, 0.03, 0.01])
        length = spans * MALE.pitch[row] * (1 + random.normal(0, model.PITCH_ERROR)) + random.normal(0, 0.1)
        return {"crests": 11, "length": length}
    limits = MALE.root[:, row] if measurement is Measurement.ROOT else MALE.mate[:, row]
    low, high = limits
    reach = min(1.5 * (high - low), 0.025 * high)
    part = random.choice(3, p=[0.05, 0.90, 0.05])
    size = random.uniform(*[(low - reach, low), (low, high), (high, high + reach)][part])
    if measurement is Measurement.ROOT:
        return {"roots": (size + random.normal(0, model.root_sd(0.05, 1)),)}
    return {"mates": (size + random.normal(0, model.mean_sd(0.05, 1)),)}


@pytest.mark.parametrize("measurement", [Measurement.PITCH, Measurement.ROOT, Measurement.MATE])
def test_worth_equals_the_mean_drop_of_entropy_in_simulation(measurement):
    """1500 simulated outcomes each, weighed by the posterior itself; readings where none of these is below 3 %."""
    seen = {"sex": Sex.MALE, "diameters": (9.93,)}
    readings, random = ThreadReadings(**seen), np.random.default_rng(7)
    before = odds_of(readings, MALE)
    drops = [
        entropy_bits(before.probability)
        - entropy_bits(odds_of(ThreadReadings(**seen, **more(readings, measurement, random)), MALE).probability)
        for _ in range(1500)
    ]

    worth = worth_of(measurement, readings, MALE, before)

    assert before.probability[-1] < 0.03
    assert worth == pytest.approx(np.mean(drops), abs=4 * np.std(drops) / math.sqrt(len(drops)) + 0.05)


def test_one_more_diameter_is_worth_what_simulation_says():
    """Two rows whose limits meet (M2x0.25 and M2.2x0.25), read once between them; 3000 further readings."""
    pair = [row for row in ROWS if row.name in ("M2x0.25", "M2.2x0.25")]
    rows, random = model.arrays_of(pair, Sex.MALE), np.random.default_rng(8)
    readings = ThreadReadings(sex=Sex.MALE, diameters=(2.05,), crests=41, length=10.0)
    before = odds_of(readings, rows)
    assert before.probability[-1] < 0.001
    sizes = np.linspace(1.8, 2.3, 2001)
    one, zero = math.hypot(0.05, model.OUT_OF_ROUND), model.ZERO
    drops = []
    for _ in range(3000):
        row = random.choice(2, p=before.probability[:2] / before.probability[:2].sum())
        low, high = rows.crest[:, row]
        reach = min(1.5 * (high - low), 0.025 * high)
        inside = (sizes >= low) & (sizes <= high)
        near = ~inside & (sizes >= low - reach) & (sizes <= high + reach)
        belief = inside * 0.90 / (high - low) + near * 0.05 / reach
        belief = belief * np.exp(-0.5 * ((2.05 - sizes) / math.hypot(one, zero)) ** 2)
        size = random.choice(sizes, p=belief / belief.sum())
        shared = (2.05 - size) * zero**2 / (one**2 + zero**2) + random.normal(0, zero * one / math.hypot(one, zero))
        again = ThreadReadings(
            sex=Sex.MALE, diameters=(2.05, size + shared + random.normal(0, one)), crests=41, length=10.0
        )
        drops.append(entropy_bits(before.probability) - entropy_bits(odds_of(again, rows).probability))

    worth = worth_of(Measurement.DIAMETER, readings, rows, before)

    assert worth == pytest.approx(np.mean(drops), abs=4 * np.std(drops) / math.sqrt(len(drops)) + 0.01)


def test_worth_of_a_length_on_an_even_grid_when_much_speaks_for_none():
    """The same integral on an even grid with densities written out, at a diameter where none of these has a third."""
    readings = ThreadReadings(sex=Sex.MALE, diameters=(64.11,))
    odds = odds_of(readings, MALE)
    hypotheses = hypotheses_of(odds)
    assert 0.1 < hypotheses.chance[-1] < 0.9
    worth = next_measurement(readings, MALE, odds)
    assert worth is not None
    assert worth.crests is not None
    spans = worth.crests - 1
    y = np.arange(0.18 * spans, 14 * spans, 0.002)
    density = []
    for pitch in MALE.pitch[hypotheses.rows]:
        parts = [(0.96, spans), (0.03, spans + 1), (0.01, spans - 1)]
        density.append(sum(share * norm.pdf(y, n * pitch, math.hypot(0.1, 0.002 * n * pitch)) for share, n in parts))
    density = np.array([*density, 1 / y])
    density /= density.sum(axis=1, keepdims=True)
    mean = hypotheses.chance @ density
    expected = hypotheses.chance @ np.sum(xlogy(density, density / mean), axis=1) / math.log(2)

    assert worth_of(Measurement.PITCH, readings, MALE, odds) == pytest.approx(expected, abs=2e-3)


tables = array_of(np.float64, (3, 6), elements=st.floats(0.01, 1))


@given(tables, array_of(np.float64, 3, elements=st.floats(0.05, 1)))
@settings(max_examples=60, deadline=None, derandomize=True)
def test_blurring_a_measurement_never_makes_it_worth_more(table, chance):
    """Data processing: joining outcomes in pairs can only lose information; entropy bounds it."""
    chance = chance / chance.sum()
    fine = information_bits(chance, table, np.ones(6))
    mass = table / table.sum(axis=1, keepdims=True)
    coarse = information_bits(chance, mass.reshape(3, 3, 2).sum(axis=2), np.ones(3))

    assert -1e-12 <= coarse <= fine + 1e-9
    assert fine <= entropy_bits(chance) + 1e-9


@given(tables, tables, array_of(np.float64, 3, elements=st.floats(0.05, 1)))
@settings(max_examples=60, deadline=None, derandomize=True)
def test_a_second_reading_never_takes_information_away(first, second, chance):
    """Both readings together are worth at least as much as either."""
    chance = chance / chance.sum()
    one, two = (table / table.sum(axis=1, keepdims=True) for table in (first, second))
    both = (one[:, :, None] * two[:, None, :]).reshape(3, -1)

    together = information_bits(chance, both, np.ones(36))

    assert together >= information_bits(chance, one, np.ones(6)) - 1e-9
    assert together >= information_bits(chance, two, np.ones(6)) - 1e-9


@given(st.floats(5, 45))
@settings(max_examples=25, deadline=None, derandomize=True)
def test_worths_lie_between_nothing_and_all_that_is_open(diameter):
    readings = ThreadReadings(sex=Sex.FEMALE, diameters=(diameter,))
    rows = model.arrays_of(ROWS, Sex.FEMALE)
    odds = odds_of(readings, rows)
    open_bits = entropy_bits(hypotheses_of(odds).chance)

    for measurement in Measurement:
        worth = worth_of(measurement, readings, rows, odds)
        assert worth is not None
        assert 0 <= worth <= open_bits + 1e-6


@given(st.floats(6, 45), st.floats(0.03, 0.1))
@settings(max_examples=20, deadline=None, derandomize=True)
def test_a_finer_length_tells_at_least_as_much(diameter, sd):
    coarse = ThreadReadings(sex=Sex.MALE, diameters=(diameter,), length_sd=3 * sd)
    fine = ThreadReadings(sex=Sex.MALE, diameters=(diameter,), length_sd=sd)
    odds = odds_of(fine, MALE)

    gain = [worth_of(Measurement.PITCH, readings, MALE, odds) for readings in (coarse, fine)]

    assert gain[0] <= gain[1] + 1e-3


def test_what_was_measured_is_not_asked_again():
    readings = ThreadReadings(sex=Sex.MALE, diameters=(26.3,), roots=(24.2,), tapered=False)
    odds = odds_of(readings, MALE)

    assert worth_of(Measurement.ROOT, readings, MALE, odds) is None
    assert worth_of(Measurement.TAPER, readings, MALE, odds) is None


def test_nothing_more_is_asked_once_it_is_settled():
    naming = name_thread(ThreadReadings(sex=Sex.MALE, diameters=(39.4, 39.5), crests=5, length=10.1), ROWS)

    assert naming.candidates[0].title == "E27 barrel"
    assert naming.next_measurement is None


def test_the_advice_names_the_measurement_worth_most():
    readings = ThreadReadings(sex=Sex.MALE, diameters=(26.3,), crests=4, length=10.88)
    odds = odds_of(readings, MALE)
    advice = next_measurement(readings, MALE, odds)

    assert advice is not None
    assert advice.bits >= 0.8 * max(worth.bits for worth in advice.others)
    assert advice.others[0].bits == max(worth.bits for worth in advice.others)
    assert f"{advice.bits:.1f} of {advice.open_bits:.1f} bits" in advice.sentence

"""Posterior odds against brute force, stated chances against how often they come true, and known traps."""

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from shadewright.catalog.lookup import thread, threads
from shadewright.catalog.threads import Form, LampUse, Sex
from shadewright.findings import Verdict
from shadewright.naming import likelihood as model
from shadewright.naming.identify import name_thread
from shadewright.naming.odds import alike_groups, odds_of, told_apart
from shadewright.naming.readings import COARSEST, FINEST, LARGEST, SMALLEST, Look, ThreadReadings

ROWS = threads()


def normal(x, mean, sd):
    return np.exp(-0.5 * ((x - mean) / sd) ** 2) / (sd * math.sqrt(2 * math.pi))


def brute_size(readings, prior_density, low, high):
    """Integral over true size d and the caliper's zero z of prior(d) N(z) prod N(y; d + z)."""
    one = math.hypot(0.05, model.OUT_OF_ROUND)
    d = np.linspace(low, high, 4001)[:, None]
    z = np.linspace(-6, 6, 241)[None, :] * model.ZERO
    likelihood = normal(z, 0, model.ZERO)
    for reading in readings:
        likelihood = likelihood * normal(reading, d + z, one)
    return np.trapezoid(np.trapezoid(prior_density(d) * likelihood, z[0], axis=1), d[:, 0])


def brute_row_prior(limits):
    """Sizes of a bought thread, built up from the stated weights as a step function."""
    low, high = limits.low, limits.high
    reach = min(1.5 * (high - low), 0.025 * high)

    def density(d):
        inside = (d >= low) & (d <= high)
        near = ((d >= low - reach) & (d < low)) | ((d > high) & (d <= high + reach))
        return inside * 0.90 / (high - low) + near * 0.05 / reach

    return density, low - reach, high + reach


@pytest.mark.parametrize(
    ("diameters", "crests", "length"),
    [((9.93,), None, None), ((9.93, 9.97, 9.90), None, None), ((9.80, 9.86), 11, 9.93), ((9.93,), 10, 9.97)],
)
def test_posterior_equals_brute_force_quadrature(diameters, crests, length):
    """Independent: a two-dimensional integral in place of the closed form, miscounts written out."""
    names = ("M10x1", "1/8-27 NPSM", "M10x1.5", "G1/8")
    rows = [thread(name) for name in names]
    weights = [{"everyday": 2.0, "usual": 1.6, "seldom": 1.3, "rare": 1.0}[row.lamp_use.value] for row in rows]
    expected = []
    for row, weight in zip(rows, weights, strict=True):
        density, low, high = brute_row_prior(row.male.major)
        evidence = 0.9 * weight / sum(weights) * brute_size(diameters, density, low, high)
        if crests is not None:
            spans = {crests - 1: 0.96, crests: 0.03, crests - 2: 0.01}
            evidence *= sum(
                share * normal(length, n * row.pitch, math.hypot(0.1, 0.002 * n * row.pitch))
                for n, share in spans.items()
            )
        expected.append(evidence)
    log_uniform = 1 / math.log(LARGEST / SMALLEST)
    none = 0.1 * brute_size(diameters, lambda d: log_uniform / d, 9.0, 11.0)
    if crests is not None:
        none /= length * math.log(COARSEST / FINEST)
    expected = np.array([*expected, none])

    readings = ThreadReadings(sex=Sex.MALE, diameters=diameters, crests=crests, length=length)
    probability = odds_of(readings, model.arrays_of(rows, Sex.MALE)).probability

    assert probability == pytest.approx(expected / expected.sum(), abs=2e-3)


def test_many_readings_never_outdo_the_caliper_itself():
    """Scatter falls with the root of the number of readings; the caliper's own zero does not."""
    assert model.mean_sd(0.05, 1) == pytest.approx(math.sqrt(0.05**2 + 0.02**2 + 0.015**2))
    assert model.mean_sd(0.05, 1_000_000) == pytest.approx(0.015, abs=1e-4)


@pytest.mark.parametrize("name", ["M2x0.4", "M10x1", "E27"])
def test_size_density_is_whole_and_ends_at_its_reach(name):
    """Integrates to 1; a nearly errorless reading beyond 2.5 % or 1.5 tolerances outside the limits has no density."""
    felt = thread(name).male.major
    limits, reach = np.array([[felt.low], [felt.high]]), min(1.5 * felt.width, 0.025 * felt.high)
    x = np.linspace(felt.low - 2, felt.high + 2, 40_001)

    assert np.trapezoid(model.size_density(limits, x[:, None], 0.05)[:, 0], x) == pytest.approx(1, abs=1e-6)
    for edge in (felt.low - reach, felt.high + reach):
        at = [model.size_density(limits, edge + off, 1e-4)[0] for off in (-0.01, 0.01)]
        assert max(at) == pytest.approx(0.05 / reach, rel=1e-6)
        assert min(at) < 1e-100


def test_an_exact_length_is_as_uncertain_as_the_pitch():
    """Pitches of bought threads scatter by 0.2 %: 20 mm of crests by 0.04 mm."""
    x = np.linspace(19, 21, 20_001)
    density, miscounted = model.length_density(np.array([1.0]), 21, x[:, None], 1e-4)
    right = (density * (1 - miscounted))[:, 0]
    mean = np.trapezoid(x * right, x) / np.trapezoid(right, x)

    assert mean == pytest.approx(20, abs=1e-3)
    spread = np.trapezoid((x - mean) ** 2 * right, x) / np.trapezoid(right, x)
    assert math.sqrt(spread) == pytest.approx(0.04, rel=1e-3)


@pytest.mark.parametrize("sex", list(Sex))
def test_stated_chances_come_true(sex):
    """Threads drawn from the model itself: what is said to be 80 % likely is so in 80 % of cases (12 000 draws)."""
    arrays, random, draws, crests = model.arrays_of(ROWS, sex), np.random.default_rng(5), 12_000, 8
    truth = random.choice(len(ROWS) + 1, size=draws, p=np.exp(arrays.log_prior))
    row = np.minimum(truth, len(ROWS) - 1)
    low, high = arrays.crest[:, row]
    reach = np.minimum(1.5 * (high - low), 0.025 * high)
    where = random.choice(3, size=draws, p=[0.05, 0.90, 0.05])
    start = np.choose(where, [low - reach, low, high])
    size = start + random.uniform(0, 1, draws) * np.where(where == 1, high - low, reach)
    spans = crests - 1 + random.choice([0, 1, -1], size=draws, p=[0.96, 0.03, 0.01])
    pitch = arrays.pitch[row] * (1 + random.normal(0, model.PITCH_ERROR, draws))
    none = truth == len(ROWS)
    size = np.where(none, np.exp(random.uniform(math.log(SMALLEST), math.log(LARGEST), draws)), size)
    pitch = np.where(none, np.exp(random.uniform(math.log(FINEST), math.log(COARSEST), draws)), pitch)
    spans = np.where(none, crests - 1, spans)
    sd = math.sqrt(0.05**2 + model.OUT_OF_ROUND**2 + model.ZERO**2)
    seen, length = size + random.normal(0, sd, draws), spans * pitch + random.normal(0, 0.1, draws)

    densities = model.size_density(arrays.crest, seen[:, None], model.mean_sd(0.05, 1))
    lengths, _ = model.length_density(arrays.pitch, crests, np.maximum(length, 0.01)[:, None], 0.1)
    none_density = model.none_size_density(np.maximum(seen, 0.01)) * model.none_length_density(np.maximum(length, 0.01))
    weights = np.column_stack([densities * lengths, none_density]) * np.exp(arrays.log_prior)
    chance = weights / weights.sum(axis=1, keepdims=True)
    leader, stated = chance.argmax(axis=1), chance.max(axis=1)

    for from_, to in [(0.4, 0.6), (0.6, 0.8), (0.8, 0.95), (0.95, 1.01)]:
        band = (stated >= from_) & (stated < to)
        share, sd = np.mean(leader[band] == truth[band]), math.sqrt(0.25 / band.sum())
        assert band.sum() > 100
        assert share == pytest.approx(stated[band].mean(), abs=3 * sd)


@pytest.mark.parametrize(("sex", "pair"), [(Sex.MALE, ("M4x0.7", "#8-36 UNF")), (Sex.FEMALE, ("M5x0.8", "#10-32 UNF"))])
def test_share_told_apart_equals_simulation(sex, pair):
    """The ideal judge's quadrature against 200 000 simulated readings of two rows."""
    rows = [thread(name) for name in pair]
    arrays, random, draws = model.arrays_of(rows, sex), np.random.default_rng(6), 200_000
    spans = min(round(10 / row.pitch) for row in rows)
    right = []
    for i in (0, 1):
        size = random.uniform(*arrays.crest[:, i], draws) + random.normal(0, 0.05, draws)
        length = spans * arrays.pitch[i] + random.normal(0, 0.1, draws)
        score = []
        for low, high, pitch in zip(*arrays.crest, arrays.pitch, strict=True):
            steps = np.linspace(low, high, 60)[:, None]
            density = np.mean([normal(size, step, 0.05) for step in steps[:, 0]], axis=0)
            score.append(density * normal(length, spans * pitch, 0.1))
        right.append(np.mean(np.argmax(score, axis=0) == i))

    assert told_apart(arrays, arrays.crest, 0.05, by_pitch=True)[0, 1] == pytest.approx(min(right), abs=0.004)


def titles(naming):
    return [candidate.title for candidate in naming.candidates]


def test_e26_and_e27_cannot_be_told_from_outside():
    """check_values 30: 26.3 mm outside with a pitch near 3.6 mm is E27 or E26; the minor decides."""
    seen = {"sex": Sex.MALE, "diameters": (26.3,), "crests": 4, "length": 10.88}
    naming = name_thread(ThreadReadings(**seen), ROWS)

    leader = naming.candidates[0]
    assert {member.name for member in leader.members} == {"E26", "E27"}
    assert leader.probability > 0.99
    assert min(member.probability for member in leader.members) > 0.2
    assert naming.next_measurement is not None
    assert naming.next_measurement.measurement.value == "root"
    assert titles(name_thread(ThreadReadings(**seen, roots=(24.1,)), ROWS))[0] == "E27"
    assert titles(name_thread(ThreadReadings(**seen, roots=(24.6,)), ROWS))[0] == "E26"
    assert titles(name_thread(ThreadReadings(**seen, mates=(24.5,)), ROWS))[0] == "E27"


def test_m10_and_eighth_pipe_need_the_pitch():
    """check_values 31: 9.93 mm outside fits M10x1 and 1/8-27 NPSM; ten pitches in 10.00 or 9.41 mm decide."""
    open_ = name_thread(ThreadReadings(sex=Sex.MALE, diameters=(9.93,)), ROWS)
    metric = name_thread(ThreadReadings(sex=Sex.MALE, diameters=(9.93,), crests=11, length=10.00), ROWS)
    pipe = name_thread(ThreadReadings(sex=Sex.MALE, diameters=(9.93,), crests=11, length=9.41), ROWS)

    assert set(titles(open_)[:2]) == {"M10x1", "1/8-27 NPSM"}
    assert open_.candidates[0].probability < 0.5
    assert open_.verdict is Verdict.UNKNOWN
    assert open_.next_measurement is not None
    assert (open_.next_measurement.measurement.value, open_.next_measurement.crests) == ("pitch", 11)
    assert titles(metric)[0] == "M10x1"
    assert titles(pipe)[0] == "1/8-27 NPSM"
    assert metric.verdict is pipe.verdict is Verdict.SOUND


def test_a_miscount_is_named_but_never_leads():
    """Ten pitches of M10x1 counted as ten crests: not 1.11 mm, and not silently M10x1 either."""
    naming = name_thread(ThreadReadings(sex=Sex.MALE, diameters=(9.9,), crests=10, length=10.0), ROWS)

    assert naming.none_leads
    assert naming.miscounts[0].name == "M10x1"
    assert "M10x1 would fit if the crests were miscounted by one" in naming.reason


def test_finished_lamps_below_the_shell_limits_are_still_named():
    """GOST 31999-2012 table DA.2 lets a finished E14 lamp be 13.60 mm, 0.10 mm below the shell's least."""
    naming = name_thread(ThreadReadings(sex=Sex.MALE, diameters=(13.60,), crests=4, length=8.47), ROWS)

    assert titles(naming)[0] == "E14"
    assert naming.verdict is Verdict.SOUND


def test_counts_speak_like_lengths():
    """27 per inch is 1/8-27, 28 per inch is not; whole counts are rounded to the nearest."""
    pipe = name_thread(ThreadReadings(sex=Sex.MALE, diameters=(9.98,), count=27, count_span=25.4), ROWS)
    metric = name_thread(ThreadReadings(sex=Sex.MALE, diameters=(9.88,), count=10), ROWS)

    assert titles(pipe)[0] == "1/8-27 NPSM"
    assert titles(metric)[0] == "M10x1"


def test_shape_parts_what_size_and_pitch_cannot():
    """24.95 mm inside at 7 per inch: E26, E27 and 1-1/8-7 UNC; sharp flanks leave the last, rounded ones the others."""
    seen = {"sex": Sex.FEMALE, "diameters": (24.95,), "count": 7, "count_span": 25.4}
    sharp = name_thread(ThreadReadings(**seen, look=Look.SHARP), ROWS)
    rounded = name_thread(ThreadReadings(**seen, look=Look.ROUNDED), ROWS)

    assert titles(sharp)[0] == "1-1/8-7 UNC"
    assert {member.name for member in rounded.candidates[0].members} == {"E26", "E27"}


def test_a_taper_takes_certainty_away():
    """All rows are straight, so a thread found tapered is never named for sure."""
    straight = name_thread(ThreadReadings(sex=Sex.MALE, diameters=(9.98,), count=27, count_span=25.4), ROWS)
    tapered = name_thread(
        ThreadReadings(sex=Sex.MALE, diameters=(9.98,), count=27, count_span=25.4, tapered=True), ROWS
    )

    assert straight.verdict is Verdict.SOUND
    assert tapered.verdict is not Verdict.SOUND
    assert tapered.none_probability > 20 * straight.none_probability


@pytest.mark.parametrize("form", [*Form, None])
def test_chances_of_looks_sum_to_one(form):
    whole = sum(model.look_chance(form, look) for look in (Look.ROUNDED, Look.SIXTY, Look.FIFTY_FIVE, Look.THIRTY))

    assert whole == pytest.approx(1)
    assert model.look_chance(form, Look.ROUNDED) + model.look_chance(form, Look.SHARP) == pytest.approx(1)


def test_prior_is_mild_and_whole():
    weights = list(model.USE_WEIGHT.values())

    assert set(model.USE_WEIGHT) == set(LampUse)
    assert max(weights) <= 2 * min(weights)
    assert np.exp(model.arrays_of(ROWS, Sex.MALE).log_prior).sum() == pytest.approx(1)


diameters_of_threads = st.lists(st.floats(-0.06, 0.06), min_size=1, max_size=5)


@st.composite
def some_readings(draw):
    row, sex = draw(st.sampled_from(ROWS)), draw(st.sampled_from(list(Sex)))
    felt = row.felt_diameter(sex)
    centre = draw(st.floats(felt.low, felt.high)) + draw(st.sampled_from([0.0, 0.0, 0.15 * felt.low]))
    diameters = tuple(centre + off for off in draw(diameters_of_threads))
    crests = max(3, 1 + round(10 / row.pitch))
    length = draw(st.sampled_from([None, row.pitch * (crests - 1), row.pitch * crests]))
    look = draw(st.sampled_from([None, *Look]))
    return ThreadReadings(sex=sex, diameters=diameters, crests=crests if length else None, length=length, look=look)


@given(some_readings())
@settings(max_examples=40, deadline=None, derandomize=True)
def test_probabilities_sum_to_one(readings):
    naming = name_thread(readings, ROWS)

    shown = sum(candidate.probability for candidate in naming.candidates)
    assert shown + naming.none_probability + naming.others_probability == pytest.approx(1, abs=1e-9)
    assert naming.none_leads == (naming.none_probability > max([c.probability for c in naming.candidates], default=0))
    for candidate in naming.candidates:
        assert sum(member.probability for member in candidate.members) == pytest.approx(candidate.probability)
    ranked = [candidate.probability for candidate in naming.candidates]
    assert ranked == sorted(ranked, reverse=True)


@given(some_readings(), st.randoms(use_true_random=False))
@settings(max_examples=25, deadline=None, derandomize=True)
def test_order_of_readings_does_not_matter(readings, random):
    arrays = model.arrays_of(ROWS, readings.sex)
    shuffled = list(readings.diameters)
    random.shuffle(shuffled)
    other = ThreadReadings(
        sex=readings.sex,
        diameters=tuple(shuffled),
        crests=readings.crests,
        length=readings.length,
        look=readings.look,
    )

    assert odds_of(other, arrays).probability == pytest.approx(odds_of(readings, arrays).probability, abs=1e-9)


@given(some_readings())
@settings(max_examples=25, deadline=None, derandomize=True)
def test_evidence_adds_up_to_the_odds(readings):
    """The shares of evidence of the leading row sum to its log odds against "none of these"."""
    odds = odds_of(readings, model.arrays_of(ROWS, readings.sex))
    best = int(np.argmax(odds.probability[:-1]))
    total = sum(values[best] - values[-1] for _, values in odds.evidence)

    assert total == pytest.approx(math.log(odds.probability[best] / odds.probability[-1]), abs=1e-6)


def test_groups_need_no_readings_to_be_found():
    """E10 and its American sister lie within each other; M10x1 stands alone."""
    arrays = model.arrays_of(ROWS, Sex.MALE)
    groups = dict(zip(arrays.names, alike_groups(arrays), strict=True))

    assert groups["E10"] == groups["E10 US"]
    assert list(groups.values()).count(groups["M10x1"]) == 1

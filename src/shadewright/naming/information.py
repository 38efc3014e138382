"""Which measurement next would tell most: expected drop of entropy, by quadrature.

For hypotheses h with chances p and a measurement y with densities f_h(y), the expected drop is the mutual
information sum_h p_h integral f_h log2(f_h / m) dy, with m = sum_h p_h f_h. Source: Shannon 1948; MacKay,
Information Theory, Inference, and Learning Algorithms, chapter 8 (from memory).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from shadewright.catalog.threads import Form, Sex
from shadewright.naming import likelihood as model
from shadewright.naming.likelihood import Array, RowArrays
from shadewright.naming.odds import Odds
from shadewright.naming.readings import COARSEST, FINEST, Look, ThreadReadings
from shadewright.naming.result import Measurement

LEAST_CHANCE = 1e-4
POINTS = 3001
FIRST_LENGTH, AGAIN_LENGTH = 10.0, 20.0
DOUBTED_COUNT = 0.1


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Hypotheses:
    """Rows still worth a thought and, last, "none of these".

    Attributes:
        chance: Their chances, summing to 1, shape (kept + 1,).
        rows: Their indices in the table, shape (kept,).
    """

    chance: Array
    rows: NDArray[np.int64]


def hypotheses_of(odds: Odds) -> Hypotheses:
    """Keep the rows above 1 in 10 000, and "none of these"."""
    kept = np.flatnonzero(odds.probability[:-1] > LEAST_CHANCE)
    chance = np.append(odds.probability[kept], max(odds.probability[-1], 1e-12))
    return Hypotheses(chance=chance / chance.sum(), rows=kept)


def entropy_bits(chance: Array) -> float:
    """Entropy of chances that sum to 1 [bits]."""
    some = chance[chance > 0]
    return float(-(some * np.log2(some)).sum())


def information_bits(chance: Array, density: Array, step: Array) -> float:
    """Mutual information of hypotheses and a measurement [bits].

    Args:
        chance: Chances of the hypotheses, shape (h,).
        density: Density of each outcome under each hypothesis, shape (h, outcomes); normalised here.
        step: Width that each outcome stands for, shape (outcomes,); 1 for outcomes that are words.
    """
    mass = density * step
    mass = mass / mass.sum(axis=1, keepdims=True)
    mean = chance @ mass
    with np.errstate(divide="ignore", invalid="ignore"):
        terms = np.where(mass > 0, mass * np.log2(mass / mean), 0.0)
    return max(float(chance @ terms.sum(axis=1)), 0.0)


def crests_for(readings: ThreadReadings, rows: RowArrays, odds: Odds) -> int:
    """How many crests to count: over about 10 mm, or over 20 mm when 10 mm were measured and counted well."""
    pitch = readings.pitch or float(rows.pitch[int(np.argmax(odds.probability[:-1]))])
    doubted = float(odds.probability[:-1] @ odds.miscounted) > DOUBTED_COUNT
    target = FIRST_LENGTH if readings.length is None or doubted else AGAIN_LENGTH
    return 1 + max(round(target / pitch), 2)


def worth_of(measurement: Measurement, readings: ThreadReadings, rows: RowArrays, odds: Odds) -> float | None:
    """Expected drop of entropy from one more measurement [bits]; None when it was made already."""
    hypotheses = hypotheses_of(odds)
    if measurement is Measurement.PITCH:
        return _pitch_worth(readings, rows, hypotheses, crests_for(readings, rows, odds))
    if measurement is Measurement.DIAMETER:
        return _diameter_worth(readings, rows, hypotheses)
    taken = {
        Measurement.LOOK: readings.look is not None,
        Measurement.TAPER: readings.tapered is not None,
        Measurement.ROOT: bool(readings.roots),
        Measurement.MATE: bool(readings.mates),
    }
    if taken[measurement]:
        return None
    if measurement in (Measurement.LOOK, Measurement.TAPER):
        return _seen_worth(measurement, rows, hypotheses)
    return _depth_worth(measurement, readings, rows, hypotheses)


def _seen_worth(measurement: Measurement, rows: RowArrays, hypotheses: Hypotheses) -> float:
    """A look at the ridge (rounded or sharp), or at the taper (yes or no)."""
    forms: list[Form | None] = [*(rows.forms[i] for i in hypotheses.rows), None]
    if measurement is Measurement.LOOK:
        table = [[model.look_chance(form, look) for look in (Look.ROUNDED, Look.SHARP)] for form in forms]
    else:
        table = [[model.taper_chance(seen, straight=form is not None) for seen in (True, False)] for form in forms]
    return information_bits(hypotheses.chance, np.array(table), np.ones(2))


def _pitch_worth(readings: ThreadReadings, rows: RowArrays, hypotheses: Hypotheses, crests: int) -> float:
    """A length over ``crests`` crests; lengths on a logarithmic grid."""
    y = np.geomspace(FINEST * (crests - 1), COARSEST * (crests - 1), 2 * POINTS)
    of_rows, _ = model.length_density(rows.pitch[hypotheses.rows], crests, y[:, None], readings.length_sd)
    of_none = model.none_length_density(y)
    if readings.pitch is not None:
        spans = readings.crests - 1 if readings.crests is not None else readings.count_span / readings.pitch
        spread = np.hypot(readings.length_sd, readings.length_sd * (crests - 1) / spans)
        of_none = np.exp(-0.5 * ((y - readings.pitch * (crests - 1)) / spread) ** 2) / spread
    return information_bits(hypotheses.chance, np.vstack([of_rows.T, of_none]), np.gradient(y))


def _diameter_worth(readings: ThreadReadings, rows: RowArrays, hypotheses: Hypotheses) -> float:
    """One more reading of the same diameter, beside those already there."""
    count = len(readings.diameters)
    one = np.hypot(readings.caliper_sd, model.OUT_OF_ROUND)
    reach = 8 * np.hypot(one, model.mean_sd(readings.caliper_sd, count))
    y = np.linspace(readings.mean - reach, readings.mean + reach, POINTS)
    scatter = np.exp(-0.5 * count / (count + 1) * ((y - readings.mean) / one) ** 2)
    mean = (readings.mean * count + y) / (count + 1)
    sd = model.mean_sd(readings.caliper_sd, count + 1)
    of_rows = model.size_density(rows.crest[:, hypotheses.rows], mean[:, None], sd).T
    density = np.vstack([of_rows, model.none_size_density(mean)]) * scatter
    return information_bits(hypotheses.chance, density, np.gradient(y))


def _depth_worth(measurement: Measurement, readings: ThreadReadings, rows: RowArrays, hypotheses: Hypotheses) -> float:
    """A first reading of the root, or of the mate."""
    root = measurement is Measurement.ROOT
    limits = (rows.root if root else rows.mate)[:, hypotheses.rows]
    sd = model.root_sd(readings.caliper_sd, 1) if root else model.mean_sd(readings.caliper_sd, 1)
    crest = readings.mean
    ends = (0.7 * crest, crest) if readings.sex is Sex.MALE else (crest, 1.3 * crest)
    low = min(ends[0], float(limits.min(initial=np.inf))) - 8 * sd
    high = max(ends[1], float(limits.max(initial=0.0))) + 8 * sd
    y = np.linspace(low, high, POINTS)
    of_none = np.where((y > ends[0] - 2 * sd) & (y < ends[1] + 2 * sd), 1.0, 0.0)
    density = np.vstack([model.size_density(limits, y[:, None], sd).T, of_none])
    return information_bits(hypotheses.chance, density, np.gradient(y))

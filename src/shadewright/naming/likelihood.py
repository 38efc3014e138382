r"""How likely each reading is, should the thread be this row of the table, or none of them.

Model, for every row at once:

* The true crest diameter of a bought thread lies within its limits, each size alike (weight 0.90). Worn, plated
  or carelessly made ones lie a little outside (0.05 on each side, each size alike over ``reach``). A caliper
  adds a normal error, so the density of a reading is a difference of two normal distribution functions.
* Several readings share the true size. Their mean is as good as all of them, with variance
  ``(caliper² + OUT_OF_ROUND²) / k + ZERO²``; how they scatter about it says nothing of the row.
* The pitch is exact but for ``PITCH_ERROR``. Length over n crests is n - 1 pitches, or one more or one fewer
  when the maker miscounted.
* None of these: diameter and pitch are log-uniform over all that can be.

The weights and small errors are judged by us, common practice, no source; their effect is tested, not their value.
Source of the method: Bayes' theorem and the normal distribution; see e.g. JCGM 106:2012, clause 6 (from memory).
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from shadewright.catalog.threads import Form, LampUse, Limits, Sex, Thread
from shadewright.naming.readings import COARSEST, FINEST, LARGEST, SMALLEST, Look

Array = NDArray[np.float64]

NONE_PRIOR = 0.1
USE_WEIGHT = {LampUse.EVERYDAY: 2.0, LampUse.USUAL: 1.6, LampUse.SELDOM: 1.3, LampUse.RARE: 1.0}

WITHIN_LIMITS = 0.90
OUT_OF_ROUND, ZERO = 0.02, 0.015
PITCH_ERROR = 0.002
MISCOUNT_ONE_SHORT, MISCOUNT_ONE_OVER = 0.03, 0.01
COUNT_ERROR = 0.3
ROOT_ERROR = 0.1
FLOOR = 1e-300

TAPER_SEEN_ON_STRAIGHT, TAPER_SEEN_ON_NONE = 0.001, 0.25

_SEEN: dict[Form | None, dict[Look, float]] = {
    Form.V60: {Look.ROUNDED: 0.03, Look.SIXTY: 0.82, Look.FIFTY_FIVE: 0.12, Look.THIRTY: 0.03},
    Form.V55: {Look.ROUNDED: 0.15, Look.SIXTY: 0.25, Look.FIFTY_FIVE: 0.55, Look.THIRTY: 0.05},
    Form.ROUND: {Look.ROUNDED: 0.95, Look.SIXTY: 0.02, Look.FIFTY_FIVE: 0.02, Look.THIRTY: 0.01},
    Form.ROUND80: {Look.ROUNDED: 0.40, Look.SIXTY: 0.20, Look.FIFTY_FIVE: 0.30, Look.THIRTY: 0.10},
    Form.TRAPEZOIDAL30: {Look.ROUNDED: 0.02, Look.SIXTY: 0.05, Look.FIFTY_FIVE: 0.03, Look.THIRTY: 0.90},
    None: {Look.ROUNDED: 0.30, Look.SIXTY: 0.40, Look.FIFTY_FIVE: 0.20, Look.THIRTY: 0.10},
}


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class RowArrays:
    """The table as arrays, one entry per row, for one sex.

    Attributes:
        names: Row names.
        pitch: Pitches [mm].
        crest, root, mate: Least and greatest size [mm], shape (2, rows).
        forms: Shape of each row's ridge.
        log_prior: Logarithm of the prior of each row and, last, of "none of these"; shape (rows + 1,).
    """

    names: tuple[str, ...]
    pitch: Array
    crest: Array
    root: Array
    mate: Array
    forms: tuple[Form, ...]
    log_prior: Array


def arrays_of(rows: Sequence[Thread], sex: Sex) -> RowArrays:
    """Lay the table out in arrays for one sex."""
    other = Sex.FEMALE if sex is Sex.MALE else Sex.MALE
    weight = np.array([USE_WEIGHT[row.lamp_use] for row in rows])
    prior = np.append(weight / weight.sum() * (1 - NONE_PRIOR), NONE_PRIOR)
    own = [row.limits(sex) for row in rows]
    return RowArrays(
        names=tuple(row.name for row in rows),
        pitch=np.array([row.pitch for row in rows]),
        crest=_pair([row.felt_diameter(sex) for row in rows]),
        root=_pair([one.minor if sex is Sex.MALE else one.major for one in own]),
        mate=_pair([row.felt_diameter(other) for row in rows]),
        forms=tuple(row.form for row in rows),
        log_prior=np.log(prior),
    )


def _pair(limits: list[Limits]) -> Array:
    return np.array([[one.low for one in limits], [one.high for one in limits]])


def mean_sd(caliper_sd: float, readings: int) -> float:
    """Standard deviation of the mean of several caliper readings about the true size [mm]."""
    return math.sqrt((caliper_sd**2 + OUT_OF_ROUND**2) / readings + ZERO**2)


def root_sd(caliper_sd: float, readings: int) -> float:
    """The same for a root, where the jaws' edges do not quite reach the bottom [mm]."""
    return math.hypot(mean_sd(caliper_sd, readings), ROOT_ERROR)


def size_density(limits: Array, mean: Array | float, sd: float) -> Array:
    """Density of the mean reading, should the thread be each of the rows.

    Args:
        limits: Least and greatest size [mm], shape (2, rows).
        mean: Mean of the readings [mm]; any shape that broadcasts against (rows,), such as (readings, 1).
        sd: Standard deviation of that mean [mm].

    Returns:
        Density [1/mm], broadcast shape, never 0.
    """
    low, high = limits
    width = np.maximum(high - low, 0.02)
    reach = np.minimum(1.5 * width, 0.025 * high)
    edges = [below((edge - mean) / sd) for edge in (low - reach, low, low + width, low + width + reach)]
    outside = (1 - WITHIN_LIMITS) / 2 / reach
    under, inside, over = (edges[i + 1] - edges[i] for i in range(3))
    density: Array = outside * (under + over) + WITHIN_LIMITS / width * inside
    return np.maximum(density, FLOOR)


def below(z: Array | float) -> Array:
    """Standard normal distribution function."""
    from scipy.special import ndtr

    return np.asarray(ndtr(z), dtype=np.float64)


def length_density(pitch: Array, crests: int, length: Array | float, sd: float) -> tuple[Array, Array]:
    """Density of a length over counted crests, should the pitch be each of the rows'.

    Args:
        pitch: Pitches [mm], shape (rows,).
        crests: Crests counted, first and last included.
        length: From the first to the last crest [mm], broadcasting against (rows,).
        sd: Standard deviation of the length [mm].

    Returns:
        Density [1/mm], never 0, and the part of it (0 to 1) that comes from a miscount by one.
    """
    counted = crests - 1
    one_over = MISCOUNT_ONE_OVER if counted > 1 else 0.0
    right = (1 - MISCOUNT_ONE_SHORT - one_over) * _normal(pitch * counted, length, sd)
    wrong = MISCOUNT_ONE_SHORT * _normal(pitch * (counted + 1), length, sd)
    wrong = wrong + one_over * _normal(pitch * max(counted - 1, 1), length, sd)
    density = np.maximum(right + wrong, FLOOR)
    return density, wrong / density


def _normal(expected: Array, seen: Array | float, sd: float) -> Array:
    spread = np.hypot(sd, PITCH_ERROR * expected)
    density: Array = np.exp(-0.5 * ((seen - expected) / spread) ** 2) / (spread * math.sqrt(2 * math.pi))
    return density


def count_step(count: float) -> float:
    """Half of what a count was rounded to: 0.5 for whole threads, 0.25 for halves, else 0.05."""
    if count == round(count):
        return 0.5
    return 0.25 if 2 * count == round(2 * count) else 0.05


def count_chance(pitch: Array, count: float, span: float) -> Array:
    """Chance of this count over ``span`` [mm], should the pitch be each of the rows'; never 0."""
    step = count_step(count)
    expected = span / pitch
    chance = below((count + step - expected) / COUNT_ERROR) - below((count - step - expected) / COUNT_ERROR)
    return np.maximum(chance, FLOOR)


def look_chance(form: Form | None, look: Look) -> float:
    """Chance that a maker calls a ridge of this form so; None stands for none of these rows."""
    seen = _SEEN[form]
    return 1 - seen[Look.ROUNDED] if look is Look.SHARP else seen[look]


def taper_chance(tapered: bool, *, straight: bool) -> float:
    """Chance that a maker finds the thread tapered (or not), should it be straight, or none of these rows."""
    seen = TAPER_SEEN_ON_STRAIGHT if straight else TAPER_SEEN_ON_NONE
    return seen if tapered else 1 - seen


def none_size_density(mean: Array | float) -> Array:
    """Density of a diameter [1/mm] when the thread is none of the rows: log-uniform."""
    return 1 / (np.asarray(mean, dtype=np.float64) * math.log(LARGEST / SMALLEST))


def none_length_density(length: Array | float) -> Array:
    """Density of a length over any counted crests [1/mm] when the thread is none of the rows: log-uniform."""
    return 1 / (np.asarray(length, dtype=np.float64) * math.log(COARSEST / FINEST))


def none_count_chance(count: float) -> float:
    """Chance of a count when the thread is none of the rows: log-uniform."""
    return 2 * count_step(count) / (count * math.log(COARSEST / FINEST))


def none_depth_density(crest: float, sd: float) -> float:
    """Density of a root or mate diameter [1/mm] when the thread is none of the rows: up to 3/10 of the crest away."""
    return 1 / (0.3 * crest + 4 * sd)

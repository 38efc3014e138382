"""Limits that thread tables leave open, derived from the profile.

Tables give what is gauged: male major, both pitch diameters, female minor. Root diameters (male minor,
female major) follow from the pitch diameter and the least and greatest depth of the root:

* 60 degrees: roots lie between the flat of the basic profile (P/4 in the male, P/8 in the female) at maximum
  material, and the sharpest root allowed at minimum material. Male: an arc of radius 0.125 P, which lies
  that same radius above the sharp corner (ISO 965-1). Female: a flat of P/24 (ASME B1.13M reference; from memory).
* Whitworth: roots are as deep as crests are high, 0.640327 P, measured from the pitch diameter.
* Trapezoidal: ISO 2903 takes its tolerances from the metric formulas (from memory).
"""

from __future__ import annotations

from math import sqrt

from shadewright.catalog.threads import Limits, ThreadLimits

SHARP_HEIGHT_60 = sqrt(3) / 2
"""Height of the sharp 60 degree triangle, in pitches (ISO 68-1)."""
DEPTH_WHITWORTH = 0.640327
"""Depth of the rounded 55 degree ridge, in pitches (BS 84, ISO 228-1)."""

_ROOT_ARC = 0.125
_STEP_60_MALE = SHARP_HEIGHT_60 / 2
_STEP_60_MALE_DEEPEST = SHARP_HEIGHT_60 - 2 * _ROOT_ARC
_STEP_60_FEMALE = 3 / 4 * SHARP_HEIGHT_60
_STEP_60_FEMALE_DEEPEST = 11 / 12 * SHARP_HEIGHT_60


def male_60(pitch: float, major: Limits, pitch_diameter: Limits) -> ThreadLimits:
    """Complete the limits of a 60 degree male thread [mm].

    Source: profile of ISO 68-1 with the root rule of ISO 965-1.
    """
    minor = Limits(pitch_diameter.low - _STEP_60_MALE_DEEPEST * pitch, pitch_diameter.high - _STEP_60_MALE * pitch)
    return ThreadLimits(major=major, pitch_diameter=pitch_diameter, minor=minor)


def female_60(pitch: float, pitch_diameter: Limits, minor: Limits) -> ThreadLimits:
    """Complete the limits of a 60 degree female thread [mm].

    Source: profile of ISO 68-1; greatest root from memory of ASME B1.13M.
    """
    major = Limits(pitch_diameter.low + _STEP_60_FEMALE * pitch, pitch_diameter.high + _STEP_60_FEMALE_DEEPEST * pitch)
    return ThreadLimits(major=major, pitch_diameter=pitch_diameter, minor=minor)


def rounded(major: Limits, minor: Limits) -> ThreadLimits:
    """Complete the limits of a rounded thread; crest and root arcs are equal, so they meet midway."""
    middle = Limits((major.low + minor.low) / 2, (major.high + minor.high) / 2)
    return ThreadLimits(major=major, pitch_diameter=middle, minor=minor)


def male_whitworth(depth: float, major: Limits, pitch_diameter: Limits) -> ThreadLimits:
    """Complete the limits of a Whitworth-form male thread whose ridge is ``depth`` high [mm]."""
    minor = Limits(pitch_diameter.low - depth, pitch_diameter.high - depth)
    return ThreadLimits(major=major, pitch_diameter=pitch_diameter, minor=minor)


def female_whitworth(depth: float, pitch_diameter: Limits, minor: Limits) -> ThreadLimits:
    """Complete the limits of a Whitworth-form female thread whose ridge is ``depth`` high [mm]."""
    major = Limits(pitch_diameter.low + depth, pitch_diameter.high + depth)
    return ThreadLimits(major=major, pitch_diameter=pitch_diameter, minor=minor)


def whitworth_tolerances(diameter_in: float, pitch_in: float) -> tuple[float, float, float]:
    """Medium-class tolerances of Whitworth-form threads with engagement of one diameter, in inches.

    Returns:
        Tolerance of pitch diameter (both sexes), male major and female minor.

    Source: BS 84 formulas, from memory.
    """
    effective = 0.002 * diameter_in ** (1 / 3) + 0.003 * sqrt(diameter_in) + 0.005 * sqrt(pitch_in)
    return effective, effective + 0.01 * sqrt(pitch_in), 0.2 * pitch_in + 0.004


def trapezoidal(
    *, pitch: float, major: float, pitch_diameter: float, male_root: float, female_root: float, female_crest: float
) -> tuple[ThreadLimits, ThreadLimits]:
    """Limits 7e of the male and 7H of the female trapezoidal thread [mm].

    Source: ISO 2903, which uses the ISO 965-1 formulas: deviation e on the male pitch diameter only, grade 4 on
    the crests, grade 7 on the pitch diameters; from memory.
    """
    male_deviation = (50 + 11 * pitch) / 1000
    male_tolerance = 1.25 * 0.090 * pitch**0.4 * major**0.1
    female_tolerance = 1.32 * male_tolerance
    male_crest = 0.63 * (0.180 * pitch ** (2 / 3) - 0.00315 / sqrt(pitch))
    female_crest_tolerance = 0.63 * 0.230 * pitch**0.7
    male = ThreadLimits(
        major=Limits(major - male_crest, major),
        pitch_diameter=Limits(pitch_diameter - male_deviation - male_tolerance, pitch_diameter - male_deviation),
        minor=Limits(male_root - male_deviation - 1.25 * male_tolerance, male_root),
    )
    female = ThreadLimits(
        major=Limits(female_root, female_root + female_tolerance),
        pitch_diameter=Limits(pitch_diameter, pitch_diameter + female_tolerance),
        minor=Limits(female_crest, female_crest + female_crest_tolerance),
    )
    return male, female

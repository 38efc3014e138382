"""Axial section of a thread: the true form, and the nearest form that prints upright without support."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from shadewright.catalog.threads import Form, Sex, Thread
from shadewright.errors import ValueProblem, require_positive
from shadewright.findings import Verdict
from shadewright.solid.mesh import Floats
from shadewright.wording import percent

HALF_ANGLE = {Form.V60: 30.0, Form.V55: 27.5, Form.TRAPEZOIDAL30: 15.0, Form.ROUND80: 40.0}
"""Angle between a flank and the plane square to the axis [degrees]; ISO 68-1, ISO 228-1, ISO 2901, DIN 40430."""

LEAST_KEPT_DEPTH = 0.6  # of the true ridge; common practice, no source
LEAST_LAYERS_PER_PITCH = 3.0  # common practice, no source
LEAST_NOZZLES_PER_PITCH = 1.5  # common practice, no source


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Profile:
    """Radius over one pitch, a closed chain of straight pieces: root in the middle of both ends, crest between.

    For a female thread it bounds the empty space, so the same numbers serve both sexes.

    Attributes:
        pitch: Axial length of the period [mm].
        z: (n,) heights from 0 to ``pitch``, strictly rising [mm].
        r: (n,) radii there; first and last agree [mm].
    """

    pitch: float
    z: Floats
    r: Floats

    @property
    def least(self) -> float:
        """Smallest radius [mm]."""
        return float(self.r.min())

    @property
    def greatest(self) -> float:
        """Greatest radius [mm]."""
        return float(self.r.max())

    @property
    def depth(self) -> float:
        """Radial height of the ridge [mm]."""
        return self.greatest - self.least

    @property
    def mean_square(self) -> float:
        """Mean of r² over one pitch [mm²]; a thread of length L fills pi * L * mean_square, exactly."""
        a, b = self.r[:-1], self.r[1:]
        return float((np.diff(self.z) * (a * a + a * b + b * b)).sum() / (3 * self.pitch))

    @property
    def steepest_growth(self) -> float:
        """Greatest dr/dz going up [-]."""
        return float((np.diff(self.r) / np.diff(self.z)).max())

    @property
    def steepest_loss(self) -> float:
        """Greatest -dr/dz going up [-]."""
        return float((-np.diff(self.r) / np.diff(self.z)).max())

    def overhang_deg(self, sex: Sex) -> float:
        """Steepest overhang when printed axis up [degrees from the vertical]."""
        return math.degrees(math.atan(self.steepest_growth if sex is Sex.MALE else self.steepest_loss))

    def at(self, z: Floats) -> Floats:
        """Radius at any height [mm]; repeats with the pitch."""
        return np.asarray(np.interp(np.mod(z, self.pitch), self.z, self.r), dtype=np.float64)

    def ridge_width(self, sex: Sex) -> float:
        """Axial width of the plastic ridge at half its height [mm]."""
        middle = (self.least + self.greatest) / 2
        fine = self.at(np.linspace(0, self.pitch, 4001)[:-1])
        share = float((fine > middle).mean())
        return self.pitch * (share if sex is Sex.MALE else 1 - share)


@dataclass(frozen=True, slots=True, kw_only=True)
class Upright:
    """Whether a thread prints axis up without support.

    Attributes:
        verdict: Sound, doubtful or failing.
        sentence: The same in words, with its numbers.
        kept: Part of the true ridge height that is left [-].
        ridge: Axial width of the ridge at half height [mm].
        source: Where the limits come from.
    """

    verdict: Verdict
    sentence: str
    kept: float
    ridge: float
    source: str = "overhang: geometry; least depth, layers and nozzle widths per pitch: common practice, no source"


def profile(thread: Thread, allowance: float = 0.0, chord: float = 0.02) -> Profile:
    """Basic profile of ``thread``, all diameters changed by ``allowance``.

    Args:
        thread: Which thread.
        allowance: Added to every diameter [mm]: negative slims a male, positive opens a female.
        chord: Greatest distance between an arc and its straight pieces [mm].

    Raises:
        ValueProblem: Sizes that leave no thread.

    Source: ISO 68-1 (60 degrees), ISO 228-1 (55 degrees), ISO 2901 (30 degrees), DIN 40430 (80 degrees); the rounded
    form of Edison shells is two equal arcs that touch, from pitch and depth alone (IEC 60061-1 gives the same radius).
    """
    require_positive("the pitch", thread.pitch)
    require_positive("the chord tolerance", chord)
    if not 0 < thread.minor + allowance < thread.major + allowance:
        raise ValueProblem.of(
            f"an allowance of {allowance:g} mm leaves nothing of {thread.name}",
            f"stay well above -{thread.minor:g} mm",
        )
    half = _two_arcs(thread, chord) if thread.form is Form.ROUND else _flanks(thread, chord)
    z, r = half[:, 0], half[:, 1] + allowance / 2
    mirrored = thread.pitch - z[-2::-1]
    return Profile(pitch=thread.pitch, z=np.concatenate([z, mirrored]), r=np.concatenate([r, r[-2::-1]]))


def _two_arcs(thread: Thread, chord: float) -> Floats:
    """(n, 2) points z, r from the root's middle to the crest's middle for two equal arcs that touch halfway."""
    quarter, depth = thread.pitch / 4, thread.depth
    if depth >= 2 * quarter:
        raise ValueProblem.of(
            f"{thread.name} is {depth:g} mm deep", f"a rounded thread of pitch {thread.pitch:g} stays below half of it"
        )
    radius = (4 * quarter**2 + depth**2) / (4 * depth)
    sweep = math.asin(quarter / radius)
    angle = np.linspace(0, sweep, _pieces(radius, sweep, chord) + 1)
    root = np.column_stack([radius * np.sin(angle), thread.minor / 2 + radius * (1 - np.cos(angle))])
    crest = np.column_stack([2 * quarter - root[-2::-1, 0], (thread.major + thread.minor) / 2 - root[-2::-1, 1]])
    return np.vstack([root, crest])


def _flanks(thread: Thread, chord: float) -> Floats:
    """(n, 2) points z, r from root to crest for straight flanks; both ends flat, or rounded to touch the flanks."""
    alpha = math.radians(HALF_ANGLE[thread.form])
    quarter = thread.pitch / 4
    rounded = thread.form in (Form.V55, Form.ROUND80)
    below = _end(quarter, (thread.pitch_diameter - thread.minor) / 2, alpha, chord, rounded=rounded)
    above = _end(quarter, (thread.major - thread.pitch_diameter) / 2, alpha, chord, rounded=rounded)
    root = below * [1, 1] + [0, thread.minor / 2]
    crest = above[::-1] * [-1, -1] + [2 * quarter, thread.major / 2]
    return np.vstack([root, crest])


def _end(quarter: float, height: float, alpha: float, chord: float, *, rounded: bool) -> Floats:
    """(n, 2) points from the middle of a root to where its flank begins, the root's bottom at (0, 0).

    The flank crosses (``quarter``, ``height``), for there ridge and groove are equally wide.
    """
    slope = math.tan(alpha)
    flat = quarter - height * slope
    if flat < 0:
        raise ValueProblem.of("the flanks cross before they reach the crest", "check the thread's diameters and pitch")
    if not rounded:
        return np.array([[0.0, 0.0], [flat, 0.0]]) if flat > 1e-9 else np.array([[0.0, 0.0]])
    truncation = flat / slope
    radius = truncation * math.sin(alpha) / (1 - math.sin(alpha))
    sweep = math.pi / 2 - alpha
    angle = np.linspace(0, sweep, _pieces(radius, sweep, chord) + 1)
    return np.column_stack([radius * np.sin(angle), radius * (1 - np.cos(angle))])


def _pieces(radius: float, sweep: float, chord: float) -> int:
    """Straight pieces that keep within ``chord`` of an arc; never fewer than 4, so that the shape shows."""
    step = 2 * math.acos(max(0.0, 1 - chord / radius))
    return max(4, math.ceil(sweep / step))


def print_upright(true: Profile, limit: float, sex: Sex) -> tuple[Profile, float]:
    """Take away just so much plastic that nothing overhangs by more than ``limit`` when printed axis up.

    A male ridge then starts no faster than the limit allows and keeps its upper flank; a female ridge likewise.

    Args:
        true: The form wanted.
        limit: Greatest overhang from the vertical [degrees], above 0 and below 90.
        sex: Male: plastic inside the profile. Female: outside.

    Returns:
        The form that prints, and the part of the ridge height it keeps [-].

    Raises:
        ValueProblem: ``limit`` out of range.
    """
    if not 0 < limit < 90:
        raise ValueProblem.of(f"the overhang limit is {limit:g} degrees", "it must lie between 0 and 90")
    sign = 1.0 if sex is Sex.MALE else -1.0
    start = int(np.argmin(sign * true.r[:-1]))
    z = np.concatenate([true.z[start:-1], true.z[:start] + true.pitch, [true.z[start] + true.pitch]])
    r = sign * np.concatenate([true.r[start:-1], true.r[:start], [true.r[start]]])
    points = _growth_limited(z, r, math.tan(math.radians(limit)))
    shaped = _one_period(np.array(points) * [1, sign], true)
    return shaped, shaped.depth / true.depth


def _growth_limited(z: Floats, r: Floats, growth: float) -> list[tuple[float, float]]:
    """Largest chain below ``r`` that never grows faster than ``growth``; starts at a lowest point of ``r``."""
    points = [(float(z[0]), float(r[0]))]
    for index in range(len(z) - 1):
        run, rise = float(z[index + 1] - z[index]), float(r[index + 1] - r[index])
        reached = points[-1][1]
        gap = float(r[index]) - reached
        slack = growth - rise / run
        if slack >= -1e-12:
            meeting = gap / slack if slack > 1e-12 else (0.0 if gap <= 1e-12 else math.inf)
            if meeting <= run:
                if 1e-9 < meeting < run - 1e-9:
                    points.append((float(z[index]) + meeting, reached + growth * meeting))
                points.append((float(z[index + 1]), float(r[index + 1])))
                continue
        points.append((float(z[index + 1]), reached + growth * run))
    return points


def _one_period(points: Floats, true: Profile) -> Profile:
    """Bring a chain that starts anywhere back to heights 0 to pitch."""
    long = np.vstack([points[:-1] - [true.pitch, 0], points])
    ends = np.interp([0.0, true.pitch], long[:, 0], long[:, 1])
    inside = long[(long[:, 0] > 1e-9) & (long[:, 0] < true.pitch - 1e-9)]
    z = np.concatenate([[0.0], inside[:, 0], [true.pitch]])
    r = np.concatenate([[ends[0]], inside[:, 1], [ends[0]]])
    return Profile(pitch=true.pitch, z=z, r=r)


def printable_upright(
    thread: Thread, sex: Sex, limit: float = 45.0, layer: float = 0.2, nozzle: float = 0.4
) -> Upright:
    """Say whether ``thread`` prints axis up without support, and how much of its ridge is left.

    Args:
        thread: Which thread.
        sex: Male stud or female ring.
        limit: Greatest overhang from the vertical [degrees].
        layer: Layer height [mm].
        nozzle: Bore of the nozzle [mm].

    Raises:
        ValueProblem: An impossible limit, layer or nozzle.

    Source: overhang by geometry; the other limits are common practice, no source.
    """
    require_positive("the layer height", layer)
    require_positive("the nozzle", nozzle)
    shaped, kept = print_upright(profile(thread, chord=0.005), limit, sex)
    ridge = shaped.ridge_width(sex)
    failing = _upright_failures(thread, kept, layer, nozzle)
    if failing:
        text = f"{thread.name} will not print upright: {'; '.join(failing)}."
        return Upright(verdict=Verdict.FAILING, sentence=text, kept=kept, ridge=ridge)
    if ridge < nozzle:
        text = (
            f"{thread.name} may print upright: its ridge is {ridge:.2f} mm wide at half height, "
            f"less than the {nozzle:g} mm nozzle."
        )
        return Upright(verdict=Verdict.DOUBTFUL, sentence=text, kept=kept, ridge=ridge)
    text = f"{thread.name} prints upright: {percent(kept)} of its ridge is left at an overhang of {limit:g} degrees."
    return Upright(verdict=Verdict.SOUND, sentence=text, kept=kept, ridge=ridge)


def _upright_failures(thread: Thread, kept: float, layer: float, nozzle: float) -> list[str]:
    failing = []
    if kept < LEAST_KEPT_DEPTH:
        failing.append(f"only {percent(kept)} of its ridge would be left, {percent(LEAST_KEPT_DEPTH)} is the least")
    if thread.pitch < LEAST_LAYERS_PER_PITCH * layer:
        failing.append(f"its pitch of {thread.pitch:g} mm is under {LEAST_LAYERS_PER_PITCH:g} layers of {layer:g} mm")
    if thread.pitch < LEAST_NOZZLES_PER_PITCH * nozzle:
        failing.append(
            f"its pitch of {thread.pitch:g} mm is under {LEAST_NOZZLES_PER_PITCH:g} times the {nozzle:g} mm nozzle"
        )
    return failing

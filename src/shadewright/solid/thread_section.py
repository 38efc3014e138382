"""What a thread's mesh and its STEP body share: checked sizes, the section, the chamfers, the volume to expect."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from shadewright.catalog.threads import Sex
from shadewright.errors import ValueProblem, require_positive
from shadewright.solid.features import ThreadShape
from shadewright.solid.mesh import Floats
from shadewright.solid.profile import Profile, print_upright, profile

LEAST_WALL = 0.8  # two lines of a 0.4 mm nozzle; common practice, no source
USUAL_WALL = 2.4  # six lines; common practice, no source
LEAD_MARGIN = 0.1
"""How far a chamfer reaches past the ridge's foot [mm of radius], so that the ridge starts from nothing."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Section:
    """The checked numbers of one threaded solid.

    Attributes:
        profile: Radius over one pitch as it will be made.
        kept: Part of the true ridge height that it keeps [-].
        length: Threaded length [mm].
        outside: Outer radius of a female ring [mm]; 0 for a male.
        bore: Radius of the hole through a male stud [mm]; 0 for none.
        low_slope: Radial run of the chamfer per mm of height at z = 0; 0 for no chamfer there.
        high_slope: The same at z = ``length``.
    """

    profile: Profile
    kept: float
    length: float
    outside: float
    bore: float
    low_slope: float
    high_slope: float

    @property
    def lead_radius(self) -> float:
        """Radius of the chamfers at the end faces [mm]: inside the foot of a male, outside that of a female."""
        foot = self.profile.greatest if self.outside else self.profile.least
        return foot + LEAD_MARGIN if self.outside else foot - LEAD_MARGIN

    def lead_height(self, slope: float) -> float:
        """Height that a chamfer of that slope takes [mm]."""
        return (self.profile.depth + LEAD_MARGIN) / slope if slope else 0.0

    def chamfer(self, z: Floats) -> Floats:
        """Radius that the chamfers allow at each height [mm]: a ceiling for a male, a floor for a female."""
        z = np.asarray(z, dtype=np.float64)
        sign = -1.0 if self.outside else 1.0
        limit = np.full(z.shape, np.inf)
        for slope, away in ((self.low_slope, z), (self.high_slope, self.length - z)):
            if slope:
                limit = np.minimum(limit, sign * self.lead_radius + slope * away)
        return sign * limit


def section(shape: ThreadShape) -> Section:
    """Check a shape and work out its section.

    Raises:
        ValueProblem: Sizes that cannot be: too short for its chamfers, too thin a wall, too wide a bore.
    """
    require_positive("the length", shape.length)
    form = profile(shape.thread, shape.allowance, shape.chord / 4)
    kept = 1.0
    if shape.upright_limit is not None:
        form, kept = print_upright(form, shape.upright_limit, shape.sex)
    low, high = _slopes(shape)
    made = Section(
        profile=form,
        kept=kept,
        length=shape.length,
        outside=_outside(shape, form) if shape.sex is Sex.FEMALE else 0.0,
        bore=_bore(shape, form) if shape.sex is Sex.MALE else 0.0,
        low_slope=low,
        high_slope=high,
    )
    least = max(shape.thread.pitch, made.lead_height(low) + made.lead_height(high) + 0.1)
    if shape.length < least:
        raise ValueProblem.of(
            f"a length of {shape.length:g} mm is too short for {shape.thread.name} with its chamfers",
            f"make it at least {math.ceil(least * 10) / 10:g} mm",
        )
    return made


def _slopes(shape: ThreadShape) -> tuple[float, float]:
    """45 degrees, or less where the lower chamfer would overhang too much."""
    if not shape.lead_in:
        return 0.0, 0.0
    low = 1.0 if shape.upright_limit is None else min(1.0, math.tan(math.radians(shape.upright_limit)))
    return (low if shape.lead_in_ends != "high" else 0.0), (1.0 if shape.lead_in_ends != "low" else 0.0)


def _outside(shape: ThreadShape, form: Profile) -> float:
    if shape.outside is None:
        return form.greatest + max(USUAL_WALL, form.greatest / 5)
    least = 2 * (form.greatest + LEAD_MARGIN + LEAST_WALL)
    if not least <= shape.outside < math.inf:
        raise ValueProblem.of(
            f"an outside of {shape.outside:g} mm leaves no wall around {shape.thread.name}",
            f"make it at least {math.ceil(least * 10) / 10:g} mm",
        )
    return shape.outside / 2


def _bore(shape: ThreadShape, form: Profile) -> float:
    most = 2 * (form.least - LEAD_MARGIN - LEAST_WALL)
    if not 0 <= shape.bore <= max(most, 0.0):
        raise ValueProblem.of(
            f"a bore of {shape.bore:g} mm leaves no wall inside {shape.thread.name}",
            f"keep it between 0 and {math.floor(max(most, 0) * 10) / 10:g} mm",
        )
    return shape.bore / 2


def expected_volume(made: Section) -> float:
    """Volume of the solid [mm³] by integration over height and turn, chamfers included.

    Over a full turn every height sees the whole profile, so the volume of plain thread is pi * length * mean(r²).
    """
    phase = (np.arange(2000) + 0.5) / 2000 * made.profile.pitch
    radius = made.profile.at(phase)
    low, high = made.lead_height(made.low_slope), made.lead_height(made.high_slope)
    total = np.pi * made.profile.mean_square * (made.length - low - high)
    for start, height in ((0.0, low), (made.length - high, high)):
        if height:
            z = start + (np.arange(400) + 0.5) / 400 * height
            cut = np.maximum if made.outside else np.minimum
            total += np.pi * height * float((cut(radius[None, :], made.chamfer(z)[:, None]) ** 2).mean())
    if made.outside:
        return float(np.pi * made.outside**2 * made.length - total)
    return float(total - np.pi * made.bore**2 * made.length)

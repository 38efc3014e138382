"""From a screw motion to the thread: its profile over one lead, its sizes, starts, flanks and name."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from math import cos, pi

import numpy as np

from shadewright.catalog.threads import Sex, Thread
from shadewright.solid.find_flats import Flats, Index, frame, upright
from shadewright.solid.find_round import vector
from shadewright.solid.find_thread import Helix, Triangles
from shadewright.solid.find_types import FoundThread
from shadewright.solid.mesh import Floats

BINS = 360
"""Places over one lead at which the profile is read."""
MOST_STARTS = 8
LEAST_LENGTH = 0.75
"""A thread is at least so many leads long [-]."""
LEAST_DEPTH = 0.08
"""And at least so deep, in pitches [-]."""
LEAST_AROUND = 0.7
"""Its surface is seen from at least this share of all sides [-]."""
MOST_SCATTER = 0.12
"""How far radii of one phase may scatter, in depths [-]; more is no thread."""
MOST_POINTS, FEW_POINTS = 1600, 700
WAVES = 6
SEARCH = 0.4
"""How far the true lead may be from the first estimate, which facets and chamfers pull towards none [-]."""
BEYOND = 0.6
"""How far beyond the flanks found crests and roots may lie, in depths of these flanks [-]."""
SHIFTS = 2
"""How often the axis is put right."""
NEAR_PITCH = 0.012
"""How far a pitch may be off a row of the tables to be named after it [-]."""
NEAR_SIZE, NEAR_SIZE_SHARE = 0.9, 0.02
"""How far diameters may be off, for an allowance [mm, and share of the diameter]."""
AS_NEAR = 0.06
"""Rows whose sizes are so much alike are named together [mm]."""
GOLDEN = (0.7548776662466927, 0.5698402909980532)
"""Steps that fill a square evenly, powers of the inverse of the plastic number 1.3247... (R2 sequence)."""
SAMPLES = 24


def _shares() -> Floats:
    """(SAMPLES + 3, 3) points of a triangle at which it is sampled, as shares of its corners, corners included."""
    a, b = np.mod(np.arange(1, SAMPLES + 1)[:, None] * np.array(GOLDEN), 1.0).T
    a, b = np.where(a + b > 1, 1 - a, a), np.where(a + b > 1, 1 - b, b)
    return np.vstack([np.stack([a, b, 1 - a - b], axis=1), np.eye(3)])


SHARES = _shares()


@dataclass(frozen=True, slots=True, eq=False)
class Zone:
    """Triangles of one thread in its own coordinates.

    Attributes:
        faces: Which triangles.
        radius, height, angle: (k, 3) of their corners [mm, mm, radians]; angles of one triangle do not jump.
        slope_r, slope_z: (k,) parts of their normals away from the axis and along it.
        area: (k,) [mm²].
        low, high: Reach along the axis [mm], from the axis point.
    """

    faces: Index
    radius: Floats
    height: Floats
    angle: Floats
    slope_r: Floats
    slope_z: Floats
    area: Floats
    low: float
    high: float

    def some(self, kept: Index | np.ndarray) -> Zone:
        """The zone with some of its triangles only."""
        arrays = ("faces", "radius", "height", "angle", "slope_r", "slope_z", "area")
        return replace(self, **{name: getattr(self, name)[kept] for name in arrays})


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class ThreadZone:
    """A thread and the flats of the model that it takes up."""

    thread: FoundThread
    flats: Index


def read_thread(flats: Flats, triangles: Triangles, helix: Helix, rows: Sequence[Thread]) -> ThreadZone | None:
    """The thread that follows ``helix``; None when it has not the length, depth or regularity of one.

    Args:
        flats: The model.
        triangles: Its triangles.
        helix: Motion of its flanks.
        rows: Threads it may be named after.
    """
    zone = zone_of(flats, triangles, helix)
    length = zone.high - zone.low
    if len(zone.faces) < 12 or length < LEAST_LENGTH * abs(helix.lead) or _around(zone) < LEAST_AROUND:
        return None
    lead, reach = helix.lead, SEARCH
    for _ in range(SHIFTS):
        lead, off = refined(_without_ends(zone, abs(lead)), lead, reach)
        helix, reach = _shifted(helix, off), 0.02
        zone = zone_of(flats, triangles, helix)
    plain = _without_ends(zone, abs(lead))
    lead, _ = refined(plain, lead, 0.02)
    curve, scatter = _profile(plain, lead)
    longer, _ = refined(_along(zone, curve, lead, 0.06), lead, 0.01)  # the whole length, chamfers left out
    if _rest(plain, longer) < _rest(plain, lead):
        lead = longer
        curve, scatter = _profile(plain, lead)
    starts = _starts(curve)
    pitch = abs(lead) / starts
    least, greatest = float(curve.min()), float(curve.max())
    depth = greatest - least
    if depth < LEAST_DEPTH * pitch or scatter > MOST_SCATTER * depth:
        return None
    sex = Sex.MALE if float((zone.slope_r * zone.area).sum()) > 0 else Sex.FEMALE
    flanks, rounded = _flanks(_along(plain, curve, lead, 0.1), least, greatest)
    major, minor = 2 * greatest, 2 * least
    thread = FoundThread(
        sex=sex,
        major=major,
        pitch_diameter=2 * float(np.median(curve)),
        minor=minor,
        pitch=pitch,
        lead=abs(lead),
        starts=starts,
        right_handed=lead > 0,
        flanks=flanks,
        rounded=rounded,
        names=names_for(rows, sex, major, minor, pitch) if starts == 1 and lead > 0 else (),
        middle=vector(helix.point + helix.axis * (zone.low + zone.high) / 2),
        axis=vector(helix.axis),
        length=length,
        sagitta=_sagitta(zone, greatest),
    )
    return ThreadZone(thread=thread, flats=np.unique(flats.face_flat[zone.faces]))


def zone_of(flats: Flats, triangles: Triangles, helix: Helix) -> Zone:
    """All of the surface within the flanks' reach, both along the axis and away from it, end faces left out."""
    corner = flats.points[flats.faces] - helix.point
    height = corner @ helix.axis
    spoke = corner - height[..., None] * helix.axis
    radius = np.linalg.norm(spoke, axis=2)
    low, high = float(height[helix.faces].min()), float(height[helix.faces].max())
    inner, outer = float(radius[helix.faces].min()), float(radius[helix.faces].max())
    slack = 0.02 * (outer - inner) + 1e-3
    kept = (height >= low - slack).all(axis=1) & (height <= high + slack).all(axis=1)
    kept &= np.abs(triangles.normal @ helix.axis) < 0.999
    reach = BEYOND * (outer - inner)
    kept &= (radius >= inner - reach).all(axis=1) & (radius <= outer + reach).all(axis=1)
    outward = (triangles.normal * spoke.mean(axis=1)).sum(axis=1)
    side = np.sign((outward * triangles.area)[helix.faces].sum())
    kept &= (outward * side > 0) | ((radius >= inner - slack).all(axis=1) & (radius <= outer + slack).all(axis=1))
    faces = np.flatnonzero(kept)
    one, two = frame(helix.axis)
    angle = np.arctan2(spoke[faces] @ two, spoke[faces] @ one)
    angle = angle[:, :1] + np.mod(angle - angle[:, :1] + pi, 2 * pi) - pi
    middle = spoke[faces].mean(axis=1)
    outward = middle / np.linalg.norm(middle, axis=1)[:, None]
    return Zone(
        faces=faces,
        radius=radius[faces],
        height=height[faces],
        angle=angle,
        slope_r=(triangles.normal[faces] * outward).sum(axis=1),
        slope_z=triangles.normal[faces] @ helix.axis,
        area=triangles.area[faces],
        low=low,
        high=high,
    )


def _shifted(helix: Helix, off: Floats) -> Helix:
    """The same motion about a corrected axis; see ``refined``."""
    one, two = frame(helix.axis)
    axis = upright(helix.axis + off[2] * one + off[3] * two)
    return replace(helix, axis=axis, point=helix.point + off[0] * one + off[1] * two)


def _around(zone: Zone) -> float:
    """Share of all sides from which the surface is seen [-]."""
    seen = np.zeros(36, bool)
    seen[(np.mod(zone.angle, 2 * pi) / (2 * pi) * 36).astype(np.int64).ravel() % 36] = True
    return float(seen.mean())


def _without_ends(zone: Zone, lead: float) -> Zone:
    """The zone without what chamfers may have cut off, as far as a lead of it is left."""
    depth = float(zone.radius.max() - zone.radius.min())
    spare = max(0.0, min(1.3 * depth + 0.1, (zone.high - zone.low - 1.05 * lead) / 2))
    middle = zone.height.mean(axis=1)
    kept = (middle > zone.low + spare) & (middle < zone.high - spare)
    return zone.some(kept) if kept.sum() >= 12 else zone


def refined(zone: Zone, lead: float, reach: float) -> tuple[float, Floats]:
    """The lead [mm], and how far the axis lies off [mm], for which the radius depends on the phase alone.

    At the true lead the radius is a periodic function of phase, here a sum of waves. Waves of the angle and of angle
    times height take up what an axis slightly off its place adds.

    Returns:
        The lead, and (4,) shift of the axis along both directions of its frame at height 0, and their change per mm.
    """
    corners = [array.ravel() for array in (zone.radius, zone.height, zone.angle)]
    turns = (zone.high - zone.low) / abs(lead)
    steps = int(np.clip(12 * reach * turns, 21, 241))
    best = lead
    for round_number in range(5):
        most = FEW_POINTS if round_number == 0 else MOST_POINTS
        radius, height, angle = (array[:: max(1, array.size // most)] for array in corners)
        tried = best + lead * np.linspace(-reach, reach, steps)
        best = float(tried[int(np.argmin([wave_fit(radius, height, angle, float(each))[0] for each in tried]))])
        reach *= 2.4 / steps
        steps = 9
    return best, wave_fit(radius, height, angle, best)[1]


def _rest(zone: Zone, lead: float) -> float:
    """Mean squared rest of the zone's radii at one lead [mm²]; see ``wave_fit``."""
    return wave_fit(zone.radius.ravel(), zone.height.ravel(), zone.angle.ravel(), lead)[0]


def wave_fit(radius: Floats, height: Floats, angle: Floats, lead: float) -> tuple[float, Floats]:
    """Mean squared rest [mm²] and (4,) shift of the axis, of radii taken as waves of the phase for one lead."""
    aside = np.stack([np.cos(angle), np.sin(angle)], axis=1)
    turn = 2 * pi / abs(lead) * (height - lead * angle / (2 * pi))
    waves = turn[:, None] * np.arange(1, WAVES + 1)
    columns = np.hstack([np.ones((len(turn), 1)), np.cos(waves), np.sin(waves), aside, aside * height[:, None]])
    found = np.linalg.lstsq(columns.T @ columns, columns.T @ radius, rcond=1e-12)[0]
    return float(((radius - columns @ found) ** 2).mean()), np.asarray(found[-4:], dtype=np.float64)


def _phase(zone: Zone, lead: float) -> Floats:
    """(k, points) phase of points spread over the triangles, over one lead [-]."""
    return np.asarray((zone.height - lead * zone.angle / (2 * pi)) @ SHARES.T / abs(lead), dtype=np.float64)


def _profile(zone: Zone, lead: float) -> tuple[Floats, float]:
    """(BINS,) radius over one lead [mm], and how far radii of one phase scatter about it [mm].

    Radii of points between corners are taken along the straight line between the corners' radii, which follows the
    true surface, and not along the chord around the axis. Each bin takes the median by area.
    """
    place = np.mod(_phase(zone, lead), 1.0).ravel()
    radius = (zone.radius @ SHARES.T).ravel()
    weight = np.repeat(zone.area, len(SHARES))
    cell = np.minimum((place * BINS).astype(np.int64), BINS - 1)
    order = np.lexsort((radius, cell))
    cell, radius, weight = cell[order], radius[order], weight[order]
    reach = np.cumsum(weight)
    bounds = np.searchsorted(cell, np.arange(BINS + 1))
    before = np.concatenate([[0.0], reach])[bounds]
    filled = bounds[1:] > bounds[:-1]
    at = np.searchsorted(reach, (before[:-1] + before[1:]) / 2)
    centre = np.arange(BINS) + 0.5
    curve = np.interp(centre, centre[filled], radius[np.minimum(at, len(radius) - 1)][filled], period=BINS)
    return curve, float(np.average(np.abs(radius - curve[cell]), weights=weight))


def _starts(curve: Floats) -> int:
    """Ridges within one lead: the greatest number that every strong harmonic of the profile is a multiple of."""
    power = np.abs(np.fft.rfft(curve - curve.mean())) ** 2
    total = float(power[1:].sum())
    fitting = [count for count in range(1, MOST_STARTS + 1) if power[count::count].sum() > 0.97 * total]
    return max(fitting, default=1)


def _along(zone: Zone, curve: Floats, lead: float, share: float) -> Zone:
    """Triangles that lie on the profile within a ``share`` of its depth, all over."""
    place = np.mod(_phase(zone, lead), 1.0) * BINS
    expected = np.interp(place, np.arange(BINS) + 0.5, curve, period=BINS)
    on = (np.abs(zone.radius @ SHARES.T - expected) < share * float(np.ptp(curve))).all(axis=1)
    return zone.some(on) if on.sum() >= 12 else zone


def _flanks(zone: Zone, least: float, greatest: float) -> tuple[tuple[float, float], bool]:
    """Angles of the flanks against the plane square to the axis [degrees], and whether they are arcs throughout."""
    depth = greatest - least
    middle = zone.radius.mean(axis=1)
    half = (middle > least + 0.25 * depth) & (middle < least + 0.75 * depth)
    angle = np.degrees(np.arctan2(np.abs(zone.slope_r), np.abs(zone.slope_z)))
    sides = []
    for down in (True, False):
        side = half & ((zone.slope_z < 0) == down) & (angle < 80.0)
        sides.append(_weighted_median(angle[side], zone.area[side]) if side.any() else 90.0)
    between = (angle > 3.0) & (angle < 80.0)
    usual = np.where(zone.slope_z < 0, sides[0], sides[1])
    straight = between & (np.abs(angle - usual) < 3.0)
    share = float(zone.area[straight].sum() / max(float(zone.area[between].sum()), 1e-12))
    return (round(sides[0], 2), round(sides[1], 2)), share < 0.8


def _weighted_median(values: Floats, weights: Floats) -> float:
    order = np.argsort(values)
    reach = np.cumsum(weights[order])
    return float(values[order][int(np.searchsorted(reach, reach[-1] / 2))])


def _sagitta(zone: Zone, greatest: float) -> float:
    """Chord error around the axis, from the usual angle that a triangle spans [mm]."""
    step = float(np.median(zone.angle.max(axis=1) - zone.angle.min(axis=1)))
    return greatest * (1 - cos(step / 2))


def names_for(rows: Sequence[Thread], sex: Sex, major: float, minor: float, pitch: float) -> tuple[str, ...]:
    """Rows whose pitch agrees and whose diameters lie nearest, an allowance on both taken into account.

    Shapes that print upright lose some of the ridge's height, never of the groove's depth; so a male is held by its
    minor diameter and a female by its major, the ridge may be up to half a depth lower.
    """
    ranked = []
    for row in rows:
        full = row.major - row.minor
        allowance = minor - row.minor if sex is Sex.MALE else major - row.major
        if abs(pitch / row.pitch - 1) > NEAR_PITCH or abs(allowance) > NEAR_SIZE + NEAR_SIZE_SHARE * row.major:
            continue
        lost = full - (major - minor)
        if not -0.35 * full < lost < 0.5 * full:
            continue
        wrong = max(0.0, allowance if sex is Sex.MALE else -allowance)  # allowances slim studs and open holes
        distance = abs(allowance) + wrong + max(-lost, 0.25 * lost) + 10 * abs(pitch - row.pitch)
        ranked.append((distance, row.name))
    ranked.sort()
    return tuple(name for distance, name in ranked if distance < ranked[0][0] + AS_NEAR)

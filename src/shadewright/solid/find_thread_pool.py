"""Threads whose flanks come in pieces too small to tell a lead: the axis from a band, the lead from all of it."""

from __future__ import annotations

from dataclasses import replace
from math import pi

import numpy as np

from shadewright.solid.find_flats import Flats, clusters
from shadewright.solid.find_thread import Helix, Triangles
from shadewright.solid.find_thread_form import FEW_POINTS, Zone, wave_fit, zone_of
from shadewright.solid.mesh import Floats

JOINED = np.radians(80.0)
"""Greatest turn between a crest and a flank [radians]; 75 for trapezoidal threads."""
LEANING = (0.1, 0.97)
"""Part of a flank's normal along the axis [-]."""
END_FACE = 0.999
LEAST_LEANING = 24
LEAST_LEAD, MOST_LEAD = 0.3, 8.0
MOST_LEAD_OF_LENGTH = 0.8
STEPS_PER_TURN = 12.0
MOST_STEPS = 600


def pooled(flats: Flats, triangles: Triangles, band: Helix) -> Helix | None:
    """All flanks that hang together with a ``band`` about its axis, with the lead they follow; None without any."""
    lean = np.abs(triangles.normal @ band.axis)
    able = np.zeros(len(flats.normal), bool)
    able[flats.face_flat[lean < END_FACE]] = True
    near = (np.abs(flats.turn) < JOINED) & able[flats.pair].all(axis=1)
    label = clusters(len(flats.normal), flats.pair[near])[flats.face_flat]
    most = int(np.bincount(label[band.faces]).argmax())
    leaning = np.flatnonzero((label == most) & (lean > LEANING[0]) & (lean < LEANING[1]))
    if len(leaning) < LEAST_LEANING:
        return None
    helix = replace(band, faces=leaning)
    zone = zone_of(flats, triangles, helix)
    lead = _lead(zone)
    return None if lead is None else replace(helix, lead=lead)


def _lead(zone: Zone) -> float | None:
    """The lead, of either hand, at which radii are most nearly a function of the phase [mm]."""
    length = zone.high - zone.low
    high = min(MOST_LEAD, MOST_LEAD_OF_LENGTH * length)
    if high <= LEAST_LEAD or not len(zone.faces):
        return None
    steps = int(np.clip(STEPS_PER_TURN * length * (1 / LEAST_LEAD - 1 / high), 21, MOST_STEPS))
    leads = 1 / np.linspace(1 / high, 1 / LEAST_LEAD, steps)
    radius, height, angle = (
        array.ravel()[:: max(1, array.size // FEW_POINTS)] for array in (zone.radius, zone.height, zone.angle)
    )
    tried: Floats = np.concatenate([leads, -leads])
    rests = [wave_fit(radius, height, np.mod(angle, 2 * pi), float(lead))[0] for lead in tried]
    return float(tried[int(np.argmin(rests))])

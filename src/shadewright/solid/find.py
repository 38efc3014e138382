"""What a model holds: bores, bosses, tapers, slots, tongues and threads, with sizes, places and facet errors."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from shadewright.catalog.lookup import threads
from shadewright.solid.find_flats import Flats, directions, flats_of, upright
from shadewright.solid.find_round import LEAST_TURN, Patch, joined, patches_along, surface_patch, wall
from shadewright.solid.find_slots import slots_of
from shadewright.solid.find_taper import joined_tapers, surface_taper, tapers_along
from shadewright.solid.find_thread import Helix, helices, triangles_of
from shadewright.solid.find_thread_form import ThreadZone, read_thread
from shadewright.solid.find_thread_pool import pooled
from shadewright.solid.find_types import Features, FoundThread, RoundWall, Slot, Surface, Taper
from shadewright.solid.mesh import Mesh

MOST_AXES = 6
"""Directions along which tapers are looked for."""
MOST_HELICES = 24
LEAST_TOLD = 0.25
"""Leads below this come from bands on a cylinder, which tell an axis but no lead [mm]."""
MOST_BANDS = 3
"""Bands whose own lead came to nothing that are tried once more with all that hangs together with them."""
BESIDE = 0.15
"""How far walls that belong to a thread may reach beyond its diameters and ends, as a share of its pitch."""


def find_features(mesh: Mesh, surfaces: Sequence[Surface] = ()) -> Features:
    """Find what others may fit into or onto in a model.

    Args:
        mesh: The model, closed and right side out, in its own coordinates [mm].
        surfaces: Its exact cylinders and cones, where it has them (``Model.surfaces``); sizes then come from these.

    Returns:
        Each kind with the largest first. Arcs of less than 60 degrees are roundings of edges and left out; polygons
        of six sides and fewer are slots, one for each pair of sides.
    """
    flats = flats_of(mesh)
    zones = _threads(flats)
    found = tuple(zone.thread for zone in zones)
    threaded = np.unique(np.concatenate([np.zeros(0, np.int64), *(zone.flats for zone in zones)]))
    plain = flats.without(threaded)
    axes = directions(plain)
    patches = joined(patch for axis in axes for patch in patches_along(plain, axis))
    used = np.unique(np.concatenate([threaded, *(patch.flats for patch in patches)]))
    slots, tongues = slots_of(flats, used)
    exact = bool(surfaces)
    if exact:
        cylinders = (surface for surface in surfaces if surface.kind == "cylinder")
        patches = joined(surface_patch(face, upright(np.array(face.axis))) for face in cylinders)
        tapers = [surface_taper(surface) for surface in surfaces if surface.kind == "cone"]
    else:
        leading = _leading_axes(patches, axes)
        tapers = [taper for axis in leading for taper in tapers_along(plain, axis)]
    walls = [round_wall for round_wall in map(wall, patches) if round_wall.turn >= LEAST_TURN]
    walls = sorted((w for w in walls if not _within_any(w, found)), key=lambda w: (-w.diameter, -w.length, w.middle))
    whole = [taper for taper in joined_tapers(tapers) if not _taper_within(taper, found)]
    return Features(
        bores=tuple(w for w in walls if w.hollow),
        bosses=tuple(w for w in walls if not w.hollow),
        tapers=tuple(sorted(whole, key=lambda taper: (-taper.large, taper.middle))),
        slots=_by_size(slots),
        tongues=_by_size(tongues),
        threads=found,
        exact=exact,
    )


def _leading_axes(patches: Sequence[Patch], axes: Sequence[np.ndarray]) -> list[np.ndarray]:
    """Axes of the walls found, the most covered first, then the likeliest directions."""
    ranked = sorted(patches, key=lambda patch: -patch.radius * (patch.high - patch.low) * len(patch.arcs))
    leading: list[np.ndarray] = []
    for axis in [*(patch.axis for patch in ranked), *axes]:
        if len(leading) < MOST_AXES and not any(np.linalg.norm(np.cross(axis, known)) < 1e-3 for known in leading):
            leading.append(axis)
    return leading


def _threads(flats: Flats) -> list[ThreadZone]:
    """Threads of the model, the largest first."""
    triangles = triangles_of(flats)
    rows = threads()
    found: list[ThreadZone] = []
    unread: list[Helix] = []
    for helix in helices(flats, triangles)[:MOST_HELICES]:
        if _within_thread(flats, helix, found):
            continue
        zone = read_thread(flats, triangles, helix, rows) if abs(helix.lead) >= LEAST_TOLD else None
        if zone is None:
            unread.append(helix)
        else:
            found.append(zone)
    unread.sort(key=lambda helix: -float(triangles.area[helix.faces].sum()))
    for band in unread[:MOST_BANDS]:
        whole = None if _within_thread(flats, band, found) else pooled(flats, triangles, band)
        zone = None if whole is None else read_thread(flats, triangles, whole, rows)
        if zone is not None:
            found.append(zone)
    return sorted(found, key=lambda zone: (-zone.thread.major, zone.thread.middle))


def _within_thread(flats: Flats, helix: Helix, found: Sequence[ThreadZone]) -> bool:
    """Whether a helix's triangles lie, on the mean, in a thread that was found already."""
    corners = flats.points[flats.faces[helix.faces]].reshape(-1, 3)
    for zone in found:
        thread = zone.thread
        apart, axis = corners - np.array(thread.middle), np.array(thread.axis)
        along = apart @ axis
        beside = float(np.linalg.norm(apart - along[:, None] * axis, axis=1).mean())
        between = thread.minor / 2 - thread.pitch < beside < thread.major / 2 + thread.pitch
        if between and abs(float(along.mean())) < thread.length / 2 + thread.pitch:
            return True
    return False


def _within_any(round_wall: RoundWall, found: Sequence[FoundThread]) -> bool:
    """Whether a wall is a crest or root of a thread rather than a wall of its own."""
    size = round_wall.diameter
    return any(
        _coaxial(round_wall.middle, thread)
        and round_wall.hollow == (thread.sex == "female")
        and thread.minor - BESIDE * thread.pitch <= size <= thread.major + BESIDE * thread.pitch
        and round_wall.length <= thread.length + 2 * BESIDE * thread.pitch
        for thread in found
    )


def _taper_within(taper: Taper, found: Sequence[FoundThread]) -> bool:
    """Whether a taper is the flank or the chamfer of a thread."""
    return any(
        _coaxial(taper.middle, thread, beyond=thread.pitch)
        and taper.large <= thread.major + 2 * thread.pitch
        and taper.small >= thread.minor - thread.pitch
        and taper.length <= 2 * thread.pitch
        for thread in found
    )


def _coaxial(point: tuple[float, float, float], thread: FoundThread, beyond: float = 0.0) -> bool:
    apart = np.array(point) - np.array(thread.middle)
    along = float(apart @ np.array(thread.axis))
    beside = float(np.linalg.norm(apart - along * np.array(thread.axis)))
    return beside < 0.05 * thread.major and abs(along) <= thread.length / 2 + beyond


def _by_size(slots: Sequence[Slot]) -> tuple[Slot, ...]:
    return tuple(sorted(slots, key=lambda slot: (-slot.length * slot.depth, slot.middle)))

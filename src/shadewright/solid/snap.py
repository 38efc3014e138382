"""Solids of snaps: hook and catch, sleeve with bead and grooved ring, clip on a rod."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from shadewright.errors import ValueProblem, require_positive
from shadewright.solid.mesh import Floats
from shadewright.solid.moving_recipe import OVERRUN, Build, Raised, disc, slab, stacked
from shadewright.solid.plain_features import Turned

BLOCK = 4.0  # length of the block that an arm grows from [mm]
SHOULDER = 2.5  # how far that block stands out beside the arm [mm]
LAND = 0.5  # flat on top of a nub or bead [mm]
WALL = 2.4  # around a window [mm]
FOOT = 2.5  # height of the shoulder under a sleeve [mm]
_ROOT_FLATS = 4  # facets that round the root


@dataclass(frozen=True, slots=True, kw_only=True)
class Hook:
    """A snap arm with its nub, drawn along x, bending in y.

    Attributes:
        arm: From the root to the foot of the return face [mm].
        thickness, width: At the root [mm].
        nub: How far the nub stands out of the arm [mm].
        lead_deg, return_deg: Its slopes against the arm.
        taper: Thickness at the nub over that at the root [-].
        standing: True prints it tip up; False lying, so that it bends within its layers.
    """

    arm: float
    thickness: float
    width: float
    nub: float
    lead_deg: float = 30.0
    return_deg: float = 45.0
    taper: float = 1.0
    standing: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Catch:
    """The plate with the window that a hook snaps through; it prints lying, the entry up.

    Attributes:
        hook: Which hook.
        clearance: Between arm and ledge [mm].
        back: Room behind the arm to bend into [mm].
        side_clearance: Window over arm across the bending [mm].
        play: How much thinner the plate is than the arm is long [mm].
    """

    hook: Hook
    clearance: float
    back: float
    side_clearance: float
    play: float = 0.3


@dataclass(frozen=True, slots=True, kw_only=True)
class Bead:
    """A sleeve with a bead around it, on a shoulder, printed tip up [mm, degrees]."""

    diameter: float
    bead: float
    wall: float
    depth: float = 5.0
    lead_deg: float = 30.0
    return_deg: float = 45.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Groove:
    """The ring that takes a bead, printed mouth up; ``depth`` from the mouth to the groove is the bead's [mm]."""

    bore: float
    groove: float
    depth: float = 5.0
    wall: float = 2.4
    return_deg: float = 45.0
    lead_in: float = 0.8
    play: float = 0.2


@dataclass(frozen=True, slots=True, kw_only=True)
class Clip:
    """A C that clips onto a rod, with a stem to fasten it by; printed with the rod's axis upright [mm]."""

    bore: float
    opening: float
    wall: float
    width: float
    stem: float
    stem_length: float = 6.0


def root_radius(hook: Hook) -> float:
    """Rounding at the root of an arm [mm]: half the thickness, 1 mm at most; common practice, no source."""
    return min(hook.thickness / 2, 1.0)


def hook_build(hook: Hook) -> Build:
    """The hook on a block to fasten it by.

    Raises:
        ValueProblem: Sizes that cannot be.
    """
    for name in ("arm", "thickness", "width", "nub"):
        require_positive(f"the hook's {name}", getattr(hook, name))
    if hook.arm < 2 * hook.thickness or hook.nub > hook.arm / 2:
        raise ValueProblem.of(
            f"a nub of {hook.nub:g} mm on an arm of {hook.arm:g} x {hook.thickness:g} mm cannot snap",
            "make the arm longer or the nub lower",
        )
    outline = np.array([*_block(hook), *_front(hook), *_back(hook)])
    body = Raised(outline=outline, low=0.0, high=hook.width)
    return Build(name="snap hook", bodies=(body,), up="x" if hook.standing else "z")


def _block(hook: Hook) -> list[tuple[float, float]]:
    """Corners of the block, counter-clockwise from below the arm."""
    low, high = -SHOULDER, hook.thickness + SHOULDER
    return [(0.0, high), (-BLOCK, high), (-BLOCK, low), (0.0, low)]


def _front(hook: Hook) -> list[tuple[float, float]]:
    """From the root behind the arm along its back to the tip: the arm gets thinner on this side."""
    radius = root_radius(hook)
    rounding = _rounding(radius, -radius, radius, start_deg=180.0, turn_deg=-90.0)
    fall = (1 - hook.taper) * hook.thickness
    flat = [(hook.arm, fall)] if fall else []
    return [*rounding, *flat, (tip_x(hook), fall)]


def _back(hook: Hook) -> list[tuple[float, float]]:
    """From the tip over the nub along the front to the root."""
    top, radius = hook.thickness, root_radius(hook)
    crest = hook.arm + hook.nub / math.tan(math.radians(hook.return_deg))
    points = [(tip_x(hook), top - _tip_drop(hook)), (crest + LAND, top + hook.nub), (crest, top + hook.nub)]
    return [*points, (hook.arm, top), *_rounding(radius, top + radius, radius, start_deg=-90.0, turn_deg=-90.0)]


def _tip_drop(hook: Hook) -> float:
    return 0.3 * hook.taper * hook.thickness


def tip_x(hook: Hook) -> float:
    """Where the tip ends [mm from the root]."""
    crest = hook.arm + hook.nub / math.tan(math.radians(hook.return_deg))
    return crest + LAND + (hook.nub + _tip_drop(hook)) / math.tan(math.radians(hook.lead_deg))


def _rounding(x: float, y: float, radius: float, *, start_deg: float, turn_deg: float) -> list[tuple[float, float]]:
    """Corners of an arc about (x, y), both ends included."""
    angles = np.radians(start_deg + np.linspace(0.0, turn_deg, _ROOT_FLATS + 1))
    return [(x + radius * math.cos(a), y + radius * math.sin(a)) for a in angles]


def catch_build(catch: Catch) -> Build:
    """The plate: x is the direction of bending as the hook's y, y its width, z against its way in.

    The window's corner at the ledge stands where the hook's arm has its front plus the clearance.
    """
    hook = catch.hook
    chamfer = root_radius(hook) + 0.2
    plate = hook.arm - catch.play
    if plate < chamfer + 0.8:
        raise ValueProblem.of(f"an arm of {hook.arm:g} mm leaves no plate to catch behind", "make it longer")
    x = (-catch.back, hook.thickness + catch.clearance)
    y = (-catch.side_clearance / 2, hook.width + catch.side_clearance / 2)
    body = slab((x[0] - WALL, x[1] + WALL), (y[0] - WALL, y[1] + WALL), (0.0, plate))
    over = plate + OVERRUN
    window = slab(x, y, (-OVERRUN, over))
    wide = chamfer + OVERRUN
    mouth = stacked(
        (plate - chamfer, _rectangle(x, y)), (over, _rectangle((x[0] - wide, x[1] + wide), (y[0] - wide, y[1] + wide)))
    )
    return Build(name="catch", bodies=(body,), cutters=(window, mouth))


def _rectangle(x: tuple[float, float], y: tuple[float, float]) -> Floats:
    return np.array([[x[0], y[0]], [x[1], y[0]], [x[1], y[1]], [x[0], y[1]]])


def bead_build(bead: Bead) -> Build:
    """The sleeve: shoulder below, bead at ``depth`` above it."""
    radius, top = bead.diameter / 2, bead.bead / 2
    proud = top - radius
    require_positive("bead over sleeve", proud)
    inner = radius - bead.wall
    require_positive("the hole in the sleeve", inner)
    crest = FOOT + bead.depth + proud / math.tan(math.radians(bead.return_deg))
    tip = min(0.3, bead.wall / 3)
    end = crest + LAND + (proud + tip) / math.tan(math.radians(bead.lead_deg))
    contour = [
        (inner, 0.0),
        (radius + SHOULDER, 0.0),
        (radius + SHOULDER, FOOT),
        (radius, FOOT),
        (radius, FOOT + bead.depth),
        (top, crest),
        (top, crest + LAND),
        (radius - tip, end),
        (inner, end),
    ]
    return Build(name="sleeve with bead", bodies=(Turned(contour=np.array(contour)),))


def groove_build(ring: Groove) -> Build:
    """The ring: its mouth rests on the sleeve's shoulder when the bead lies in the groove.

    Printed mouth up; heights below are depths from the mouth. The groove's slope towards the mouth runs as the
    bead's return face does, ``play`` behind it.
    """
    bore, groove = ring.bore / 2, ring.groove / 2
    deep = groove - bore
    require_positive("groove over bore", deep)
    run = deep / math.tan(math.radians(ring.return_deg))
    first = ring.depth - ring.play
    floor = first + run + 2 * LAND + 3 * ring.play + 2 * deep
    height = floor + deep + 1.2
    outer = groove + ring.wall
    depths = [
        (outer, height),
        (outer, 0.0),
        (bore + ring.lead_in, 0.0),
        (bore, ring.lead_in),
        (bore, first),
        (groove, first + run),
        (groove, floor),
        (bore, floor + deep),
        (bore, height),
    ]
    contour = np.array([(r, height - depth) for r, depth in depths])
    return Build(name="grooved ring", bodies=(Turned(contour=contour),))


def clip_build(clip: Clip) -> Build:
    """The clip, its opening towards +x, flared at 45 degrees so that the rod finds it."""
    for name in ("bore", "opening", "wall", "width", "stem", "stem_length"):
        require_positive(f"the clip's {name.replace('_', ' ')}", getattr(clip, name))
    inner, outer, half = clip.bore / 2, clip.bore / 2 + clip.wall, clip.opening / 2
    if half >= inner:
        raise ValueProblem.of(
            f"an opening of {clip.opening:g} mm holds no rod in a bore of {clip.bore:g} mm", "narrow it"
        )
    narrow = math.sqrt((inner + 0.35 * clip.wall) ** 2 - half**2)
    end = outer + 1.0
    flare = half + end - narrow
    cut = np.array([(0, -half), (narrow, -half), (end, -flare), (end, flare), (narrow, half), (0, half)])
    ring = disc(inner, outer, 0.0, clip.width)
    stem = slab((-outer - clip.stem_length, 0.0), (-clip.stem / 2, clip.stem / 2), (0.0, clip.width))
    through = Raised(outline=cut, low=-OVERRUN, high=clip.width + OVERRUN)
    return Build(name="clip", bodies=(ring, stem), cutters=(through, disc(0.0, inner, -OVERRUN, clip.width + OVERRUN)))

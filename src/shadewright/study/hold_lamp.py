"""Whether the lamp as a whole holds: it stands, hangs on its wall, and its pivots and arms carry what is on them.

Only what the maker states is asked about: how the lamp is mounted, which joint is held by a clamp, which part is an
arm. A lamp that states none of it is left alone.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from shadewright.bench.store import Bench
from shadewright.errors import ValueProblem
from shadewright.findings import Finding, Verdict
from shadewright.hold.balance import Balance, Lump, balance_of, swung
from shadewright.hold.balance_advice import StandCase, judge_balance, judge_tipping
from shadewright.hold.bracket import YEARS_HOURS
from shadewright.hold.card import MaterialCard, long_strength
from shadewright.hold.ranges import Ranged, wanted_margin
from shadewright.hold.section import section_of
from shadewright.hold.tipping import Tipping, tipping
from shadewright.hold.wall import Keyhole, Screws, WallKind, WallQuestion
from shadewright.hold.wall_advice import WallCase, judge_wall
from shadewright.lamp.carrying import Held, Wall
from shadewright.lamp.read import ReadLamp
from shadewright.layers.contours import contours
from shadewright.solid.mesh import Floats
from shadewright.study.hold_inputs import HoldInputs
from shadewright.study.hold_lamp_arms import study_brackets, study_pivots
from shadewright.study.hold_lamp_weights import Weights, weigh
from shadewright.study.result import JointStudy, PartStudy

TOUCH = 0.1
"""What lies within this of the lowest point touches the ground [mm]: half a first layer."""
SWING_STEP = 5.0
"""Poses of a pivot are tried this far apart [degrees]."""
PULL_N = 60.0
"""Pull that a cord grip has to bear, 25 times, on cords up to 3 mm² of copper (IEC 60598-1 clause 5.2.10.3, from
memory)."""

_STANDING = ("table", "floor")
_FASTENED = ("wall", "ceiling")


def study_hold_lamp(
    read: ReadLamp,
    bench: Bench,
    parts: Sequence[PartStudy],
    joints: Sequence[JointStudy],
    temps_c: Mapping[str, float] | None = None,
) -> list[Finding]:
    """Findings on balance, tipping, wall, pivots, arms and the pull on the cord.

    Args:
        read: The lamp.
        bench: Whose plastics.
        parts: As studied: meshes, masses and settings.
        joints: As studied.
        temps_c: Temperature of parts in service [°C]; the room's where nothing is known.

    Raises:
        ValueProblem: Numbers that cannot go together, with their line in ``lamp.toml``.
    """
    inputs = HoldInputs(
        read=read,
        bench=bench,
        parts={part.name: part for part in parts},
        joints={joint.name: joint for joint in joints},
        temps_c=temps_c or {},
    )
    weights = weigh(read.lamp, parts)
    mounted = read.lamp.surroundings.mounted
    findings: list[Finding] = []
    if mounted in _STANDING:
        findings += _standing(read, weights)
    elif mounted in _FASTENED:
        findings += _fastened(inputs, weights)
    findings += study_pivots(inputs, weights)
    findings += study_brackets(inputs, weights)
    if mounted:
        findings += _cord(read)
    return findings


def _unweighed(weights: Weights) -> Finding:
    listed = list(weights.missing[:5]) + (["and so on"] if len(weights.missing) > 5 else [])
    return Finding(
        code="hold.balance",
        subject="lamp",
        verdict=Verdict.UNKNOWN,
        sentence="where its weight lies is not known",
        cure=f"add {', '.join(listed)}",
    )


# Standing ------------------------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Pose:
    """The lamp with its pivots turned: its pieces, and which pose that is."""

    lumps: tuple[Lump, ...]
    words: str


def _standing(read: ReadLamp, weights: Weights) -> list[Finding]:
    if weights.missing:
        return [_unweighed(weights)]
    ground = min(float(mesh.vertices[:, 2].min()) for mesh in weights.meshes.values())
    top = max(float(mesh.vertices[:, 2].max()) for mesh in weights.meshes.values())
    balance = balance_of(list(weights.lumps.values()))
    footprint = _footprint(weights, ground)
    if len(footprint) < 3:
        return [_no_footing(read, "nothing of it touches the ground")]
    try:
        pose = _worst_pose(read, weights, footprint, ground, top)
        worst = balance_of(pose.lumps)
        found = tipping(footprint, worst, ground, top - ground)
    except ValueProblem as problem:
        return [_no_footing(read, problem.problems[0].what)]
    case = StandCase(
        tipping=found,
        balance=worst,
        ground=ground,
        pose=pose.words,
        ballast_at=_low_in_the_middle(found, ground),
        above_people=read.lamp.surroundings.above_people,
    )
    return [judge_balance(balance, ground, weights.words), judge_tipping(case)]


def _no_footing(read: ReadLamp, what: str) -> Finding:
    return Finding(
        code="hold.tipping",
        subject="lamp",
        verdict=Verdict.UNKNOWN,
        sentence=f"what it stands on cannot be made out: {what}",
        cure="check the places of its parts: z is up from the surface the lamp stands on",
    )


def _footprint(weights: Weights, ground: float) -> Floats:
    """(n, 2) outline points of everything printed that touches the ground [mm]."""
    touching = [mesh for mesh in weights.meshes.values() if mesh.vertices[:, 2].min() < ground + TOUCH]
    rings = [ring for mesh in touching for loops in contours(mesh, np.array([ground + TOUCH])) for ring in loops]
    return np.vstack(rings) if rings else np.empty((0, 2))


def _low_in_the_middle(found: Tipping, ground: float) -> tuple[float, float, float]:
    x, y = section_of([found.corners]).centroid
    return float(x), float(y), ground + 5.0


def _worst_pose(read: ReadLamp, weights: Weights, footprint: Floats, ground: float, top: float) -> _Pose:
    """Turn every pivot, one after the other, to where the lamp tips most easily."""
    lumps = dict(weights.lumps)
    turned: list[str] = []
    for name, joint in read.lamp.joint.items():
        if joint.held is None or weights.lacking(joint.held.carries):
            continue
        poses = list(_poses(joint.held, lumps))
        angles = [_tips_at(pose, footprint, ground, top) for _, pose in poses]
        angle, worst = poses[int(np.argmin(angles))]
        if min(angles) < _tips_at(lumps, footprint, ground, top) - 0.05:
            lumps = worst
            turned.append(f"{name} turned by {angle:.0f} degrees")
    return _Pose(lumps=tuple(lumps.values()), words=f"with {' and '.join(turned)}" if turned else "")


def _poses(held: Held, lumps: Mapping[str, Lump]) -> Iterator[tuple[float, dict[str, Lump]]]:
    low, high = min(held.swing), max(held.swing)
    at, axis = np.array(held.at), np.array(held.axis)
    for angle in np.linspace(low, high, max(int((high - low) / SWING_STEP), 1) + 1):
        moved = {name: swung(lumps[name], at, axis, float(angle)) for name in held.carries}
        yield float(angle), {**lumps, **moved}


def _tips_at(lumps: Mapping[str, Lump], footprint: Floats, ground: float, top: float) -> float:
    likely: Balance = balance_of(list(lumps.values()), draws=2)
    return tipping(footprint, likely, ground, top - ground).angle.likely


# Fastened ------------------------------------------------------------------------------------------------------------


def _fastened(inputs: HoldInputs, weights: Weights) -> list[Finding]:
    surroundings = inputs.read.lamp.surroundings
    wall = surroundings.wall
    if wall is None:
        return [
            Finding(
                code="hold.wall",
                subject="lamp",
                verdict=Verdict.UNKNOWN,
                sentence=f"what holds it on the {surroundings.mounted} is not stated",
                cure="add wall = { kind, heights, diameter, length, head } to [surroundings]: wall and screws",
            )
        ]
    overhead = surroundings.mounted == "ceiling"
    if weights.missing:
        return [_unweighed(weights)]
    balance = balance_of(list(weights.lumps.values()))
    card = inputs.card(wall.keyhole.part) if wall.keyhole else None
    question = _question(inputs, wall, balance, weights, card, overhead=overhead)
    warm = "" if card is None or card.bears_for_long else _too_warm(card)
    case = WallCase(question=question, above_people=surroundings.above_people, too_warm=warm)
    return [judge_balance(balance, 0.0, weights.words), *judge_wall(case)]


def _too_warm(card: MaterialCard) -> str:
    return f"its plate bears nothing for long: {card.name} at {card.temp_c:.0f} °C, limit {card.limit_c:.0f} °C"


def _question(
    inputs: HoldInputs,
    wall: Wall,
    balance: Balance,
    weights: Weights,
    card: MaterialCard | None,
    *,
    overhead: bool,
) -> WallQuestion:
    years = long_strength(YEARS_HOURS)
    weight = balance.weight_n + (wall.load_n or 0.0)
    try:
        return WallQuestion(
            wall=WallKind(wall.kind),
            screws=Screws(heights=tuple(wall.heights), diameter=wall.diameter, length=wall.length, head=wall.head),
            weight_n=Ranged.within(weight, 0.1),
            reach=Ranged.within(wall.reach or _reach(wall, balance, weights), 0.1),
            tear_mpa=card.shear_across_mpa.by(years) if card else Ranged.exactly(1.0),
            bearing_mpa=card.strength_along_mpa.by(years) if card else Ranged.exactly(1.0),
            overhead=overhead,
            plug_n=None if wall.plug_n is None else Ranged.within(wall.plug_n, 0.1, "the plug's maker"),
            keyhole=Keyhole(behind=wall.keyhole.behind, slot=wall.keyhole.slot) if wall.keyhole else None,
            wanted=wanted_margin(above_people=inputs.read.lamp.surroundings.above_people),
        )
    except ValueProblem as error:
        first = error.problems[0]
        raise ValueProblem.of(first.what, first.cure, inputs.read.where("surroundings", "wall")) from None


def _reach(wall: Wall, balance: Balance, weights: Weights) -> float:
    """How far the weight acts from the wall [mm]: from the innermost point of the lamp, 1 at least."""
    axis, sign = "xy".index(wall.out[1]), 1.0 if wall.out[0] == "+" else -1.0
    back = min(float((sign * mesh.vertices[:, axis]).min()) for mesh in weights.meshes.values())
    return max(sign * float(balance.centre[axis]) - back, 1.0)


# Cord ----------------------------------------------------------------------------------------------------------------


def _cord(read: ReadLamp) -> list[Finding]:
    """Whether something bought takes a pull on the mains cord; a printed part never does alone."""
    bought = read.lamp.bought
    if not any(thing.kind == "cord" and thing.mains for thing in bought.values()):
        return []
    grips = [name for name, thing in bought.items() if thing.kind == "cord grip"]
    built_in = [name for name, thing in bought.items() if "cord grip" in f"{thing.description} {thing.card}".lower()]
    pressed = [
        f"{name}" for name, joint in read.lamp.joint.items() if joint.male in grips and joint.kind in ("push", "slide")
    ]
    source = "IEC 60598-1 clause 5.2.10.3, from memory"
    if not grips and not built_in:
        verdict, sentence = Verdict.UNKNOWN, "what takes a pull on the mains cord off its wires is not stated"
        cure = 'add the cord grip you buy as [bought.NAME] with kind = "cord grip"; never rely on a printed one'
    elif pressed and not built_in:
        verdict = Verdict.DOUBTFUL
        sentence = f"a pull of {PULL_N:.0f} N on the cord ends in the printed fit of joint {pressed[0]}"
        cure = (
            "let a nut or shoulder of the bought grip bear from inside, so that plastic is pressed and not pulled out"
        )
    else:
        verdict, cure = Verdict.SOUND, ""
        sentence = f"{(grips + built_in)[0]}, bought, is to take a pull of {PULL_N:.0f} N on the cord; try it by hand"
    return [
        Finding(
            code="hold.cord",
            subject="lamp",
            verdict=verdict,
            sentence=sentence,
            cure=cure,
            value=PULL_N,
            unit="N",
            source=source,
        )
    ]

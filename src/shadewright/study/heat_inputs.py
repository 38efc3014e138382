"""From what a lamp states to the questions of the heat calculation: bulb, shade, liner, ranges."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from shadewright.bench.store import Bench
from shadewright.catalog import lookup
from shadewright.catalog.cards import BulbCard, PlasticCard, Range
from shadewright.errors import UnknownName
from shadewright.heat.bulb import HOLDER_DIAMETERS, collar_share, emitter
from shadewright.heat.softening import softens
from shadewright.heat.stack import Opening
from shadewright.heat.warm import WarmQuestion, conditions_for
from shadewright.heat.warmth import Emitter, Liner, Shade
from shadewright.hold.balance import Pose
from shadewright.lamp.model import Bought, Lamp, Place
from shadewright.lamp.read import ReadLamp
from shadewright.lamp.warm import Warm
from shadewright.layers.standing import stand
from shadewright.solid.mesh import Floats, Mesh
from shadewright.study.heat_shape import BulbPlace, ShadeShape, shade_shape
from shadewright.study.hold_lamp_weights import pose_of
from shadewright.study.result import PartStudy

IN_HOLE = 5.0
"""Where nothing is stated, the bulb's cap ends this far inside the shade's end [mm]."""
KEPT_LIGHT, KEPT_DARK = Range(0.15, 0.35, 0.60), Range(0.60, 0.80, 0.95)
"""Share of the light on a wall that stays as heat [-]; judged: white plastic sends most of it back or through."""
VENTS_OFF = 5.0
"""Stated openings count as lying so far from the lower and the upper edge [mm]."""
HEAT_J_KGK = 1500.0
"""Specific heat of printing plastics [J/kg K]; the catalogue's PLA, others lie near."""
LINER_GAP = 0.5
"""Air between a sleeve that slides in and the wall [mm]; a usual clearance on the radius, air films included."""
_CAPS = {"down": (0.0, 0.0, -1.0), "up": (0.0, 0.0, 1.0), "side": (-1.0, 0.0, 0.0)}
_HOLDER_RADIUS = 20.0


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class HeatInputs:
    """What is known of a lamp's warmth.

    Attributes:
        read, bench, parts: The lamp, whose plastics, and its parts by name.
        warm: Its ``[warm]`` table.
        bulb_name, bulb: The bulb and what is stated of it.
        card: Its card.
    """

    read: ReadLamp
    bench: Bench
    parts: Mapping[str, PartStudy]
    warm: Warm
    bulb_name: str
    bulb: Bought
    card: BulbCard

    def family(self, part: str) -> PlasticCard:
        """Catalogue card of a part's plastic; of unknown family it counts as PLA, which softens first."""
        try:
            return lookup.plastic(self.bench.plastic(self.parts[part].setup.plastic.name).family)
        except UnknownName:
            return lookup.plastic("PLA")


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Asked:
    """The question, where the bulb is in the shade, and what was taken for granted, as clauses."""

    question: WarmQuestion
    bulb: BulbPlace
    taken: tuple[str, ...]


def _place_of_bulb(inputs: HeatInputs, body: Emitter) -> tuple[Mesh, BulbPlace, tuple[str, ...]]:
    """The shade standing on z = 0 as it is in the lamp, the bulb in it, and what was taken for granted."""
    lamp, warm = inputs.read.lamp, inputs.warm
    mesh = stand(inputs.parts[warm.shade].mesh, warm.up)
    cap = _CAPS[warm.cap]
    taken: tuple[str, ...] = ()
    placed = None if warm.middle is not None else _placed(lamp, inputs, body)
    if placed is not None:
        mesh, middle, cap = placed
    elif warm.middle is not None:
        middle = _spot(np.array(warm.middle))
    else:
        middle = _usual(mesh, cap, body)
        at = ", ".join(f"{value:.0f}" for value in middle)
        taken = (f"the middle of the bulb's round end at {at} in the shade",)
    bulb = BulbPlace(
        middle=middle,
        cap=cap,
        radius=body.envelope_diameter / 2,
        collar_length=body.collar_length,
        collar_radius=body.collar_diameter / 2,
        holder_radius=HOLDER_DIAMETERS.get(inputs.card.caps[0], 2 * _HOLDER_RADIUS) / 2,
    )
    return mesh, bulb, taken


Spot = tuple[float, float, float]


def _placed(lamp: Lamp, inputs: HeatInputs, body: Emitter) -> tuple[Mesh, Spot, Spot] | None:
    """Shade and bulb by the places stated in the lamp: the bulb's own, or that of its holder's mouth."""
    home = lamp.part[inputs.warm.shade].place
    holder = next((thing.place for thing in lamp.bought.values() if thing.kind == "holder"), None)
    place: Place | None = inputs.bulb.place or holder
    if home is None or place is None:
        return None
    pose, shade = pose_of(place), pose_of(home)
    mesh = inputs.parts[inputs.warm.shade].mesh
    vertices = shade.placed(mesh.vertices)
    low = float(vertices[:, 2].min())
    cap = Pose(tilt=pose.tilt, turn=pose.turn).placed(np.array([[0.0, 0.0, -1.0]]))[0]
    middle = np.array(pose.at) - (0.0 if inputs.bulb.place else body.collar_length) * cap - np.array([0, 0, low])
    standing = Mesh(vertices, mesh.faces, mesh.name).moved(z=-low)
    return standing, _spot(middle), _spot(cap)


def _spot(point: Floats) -> Spot:
    x, y, z = (float(value) for value in point)
    return x, y, z


def _usual(mesh: Mesh, cap: Spot, body: Emitter) -> Spot:
    """In the axis of the shade, its cap just inside the shade's end."""
    low, high = mesh.bounds
    x, y = ((low + high) / 2)[:2]
    z = (low[2] + high[2]) / 2
    if cap[2] < 0:
        z = low[2] + IN_HOLE + body.collar_length
    elif cap[2] > 0:
        z = high[2] - IN_HOLE - body.collar_length
    return float(x), float(y), float(z)


def ask(inputs: HeatInputs) -> Asked:
    """Put the whole question.

    Raises:
        ValueProblem: The shade has no wall around the bulb.
    """
    warm, lamp = inputs.warm, inputs.read.lamp
    body = emitter(inputs.card, inputs.bulb.mass_g)
    mesh, bulb, taken = _place_of_bulb(inputs, body)
    liner = stand(inputs.parts[warm.liner].mesh, warm.up) if warm.liner else None
    if liner is not None:
        taken = (*taken, "the liner stands on the lower end of the shade and shuts what it covers")
    shape = shade_shape(mesh, bulb, None if liner is None else _centred(liner, mesh))
    source, plastic = lookup.light_source(warm.light), inputs.family(warm.shade)
    room = lamp.surroundings.room_temp_c
    warmest = max(warm.summer_c, room)
    wall = {
        "conductivity": plastic.conductivity_w_mk,
        "emissivity": plastic.emissivity,
        "light_kept": KEPT_DARK if warm.dark else KEPT_LIGHT,
        "room_c": Range(room, (room + warmest) / 2, warmest),
    }
    watts = inputs.bulb.watts or inputs.card.watts_w.likely
    question = WarmQuestion(
        bulb=body,
        shade=_shade(inputs, shape),
        ranges=conditions_for(watts, source.light_fraction, collar_share(source), wall),
        softens_c=softens(plastic),
        liner=_liner(inputs),
    )
    if shape.collar_gap is None and warm.gap is None:
        taken = (*taken, "no wall beside the collar")
    return Asked(question=question, bulb=bulb, taken=taken)


def _centred(liner: Mesh, shade: Mesh) -> Mesh:
    """The liner with its middle over that of the shade."""
    x, y, _ = shade.bounds.mean(axis=0) - liner.bounds.mean(axis=0)
    return liner.moved(x=float(x), y=float(y))


def _shade(inputs: HeatInputs, shape: ShadeShape) -> Shade:
    warm = inputs.warm
    openings = list(shape.openings)
    if warm.vents_low_mm2 is not None or warm.vents_high_mm2 is not None:
        stated = ((warm.vents_low_mm2, VENTS_OFF), (warm.vents_high_mm2, max(shape.height - VENTS_OFF, VENTS_OFF)))
        openings = [Opening(area_mm2=area, low=at, high=at) for area, at in stated if area]
    return Shade(
        side_mm2=shape.side_mm2,
        roof_mm2=shape.roof_mm2,
        floor_mm2=shape.floor_mm2,
        height=shape.height,
        wall=shape.wall,
        openings=tuple(openings),
        open_view=shape.open_view if shape.openings and openings else 0.0,
        collar_gap=warm.gap or shape.collar_gap or 200.0,
        above_gap=warm.above or shape.above_gap,
        heat_j_k=inputs.parts[warm.shade].report.mass_g / 1e3 * HEAT_J_KGK,
        holder_inside=warm.holder_inside,
    )


def _liner(inputs: HeatInputs) -> Liner | None:
    """A printed sleeve, held against the shade by its heights and widths."""
    name, warm = inputs.warm.liner, inputs.warm
    if not name:
        return None
    liner, shade = inputs.parts[name], inputs.parts[warm.shade]
    plastic = inputs.family(name)
    cover = min(float(liner.mesh.size[2] / shade.mesh.size[2]), 0.95)
    cover *= min(liner.mesh.area / max(shade.mesh.area * cover, 1.0), 1.0)
    return Liner(
        cover=max(cover, 0.05),
        gap=LINER_GAP,
        emissivity_in=plastic.emissivity.likely,
        emissivity_out=plastic.emissivity.likely,
        heat_j_k=liner.report.mass_g / 1e3 * HEAT_J_KGK,
    )

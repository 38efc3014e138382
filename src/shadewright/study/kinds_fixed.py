"""Sizers of the joints that stay: from what the lamp states to the questions of pocket, seat and channel."""

from __future__ import annotations

from dataclasses import replace

from shadewright.bench.store import Bench
from shadewright.catalog import hardware, lookup
from shadewright.catalog.cards import GlueCard, Range
from shadewright.catalog.threads import Limits
from shadewright.errors import ValueProblem
from shadewright.fit.channel import ChannelQuestion, Cord, PassageQuestion, size_channel, size_passage
from shadewright.fit.joint import KindSizing
from shadewright.fit.pocket import NutQuestion, size_nut_pocket
from shadewright.fit.pocket_insert import InsertQuestion, size_insert_hole
from shadewright.fit.pocket_magnet import MagnetQuestion, size_magnet_pocket
from shadewright.fit.seat import SeatQuestion, size_seat
from shadewright.lamp.fixed import ChannelDetails, PocketDetails, SeatDetails
from shadewright.lamp.model import Bought, Joint
from shadewright.lamp.read import ReadLamp
from shadewright.printing import PrintSetup
from shadewright.study.questions import question_for, setup_of


def size_pocket_joint(read: ReadLamp, name: str, bench: Bench) -> KindSizing:
    """Size the pocket for a bought nut, insert or magnet in a printed part; errors as ``pocket_question``."""
    match pocket_question(read, name, bench):
        case NutQuestion() as nut:
            return size_nut_pocket(nut).sizing
        case InsertQuestion() as insert:
            return size_insert_hole(insert).sizing
        case magnet:
            return size_magnet_pocket(magnet).sizing


def pocket_question(read: ReadLamp, name: str, bench: Bench) -> NutQuestion | InsertQuestion | MagnetQuestion:
    """What is asked about the pocket joint ``name``, by what goes into it.

    Raises:
        ValueProblem: The sides are not such a pair, or what is stated does not go together; with the line.
        UnknownName: No such nut, insert, magnet or glue.
    """
    joint = read.lamp.joint[name]
    thing = _bought_male(read, name, ("nut", "insert", "magnet"))
    setup = _part_setup(read, name, bench)
    details = joint.pocket or PocketDetails()
    match thing.kind:
        case "nut":
            return _nut(read, name, thing, details, setup)
        case "insert":
            return _insert(read, name, thing, details, setup)
        case _:
            return _magnet(read, name, thing, details, setup)


def size_seat_joint(read: ReadLamp, name: str, bench: Bench) -> KindSizing:
    """Size a glued seat.

    Raises:
        ValueProblem: No glue or no size is stated, or a number cannot be; with the line.
        UnknownName: No such glue.
    """
    asked = question_for(read, name, bench)
    details = read.lamp.joint[name].seat or SeatDetails()
    question = SeatQuestion(
        joint=name,
        nominal=asked.nominal,
        length=asked.length,
        male=asked.male,
        female=asked.female,
        glue=_glue(read, name, details.glue, "seat"),
        draw=asked.draw,
        round=asked.round,
    )
    return size_seat(question).sizing


def size_channel_joint(read: ReadLamp, name: str, bench: Bench) -> KindSizing:
    """Size a cord's channel or passage.

    Raises:
        ValueProblem: The sides are not a bought cord and a part, or the cord has no size; with the line.
        UnknownName: No such cord.
    """
    joint = read.lamp.joint[name]
    details = joint.channel or ChannelDetails()
    cord = _cord(read, name, _bought_male(read, name, ("cord",)), on_edge=details.on_edge)
    setup = _part_setup(read, name, bench)
    if details.form == "groove":
        _refuse_grip(read, name, details)
        question = ChannelQuestion(
            joint=name,
            part=joint.female,
            cord=cord,
            habits=setup.habits,
            layer=setup.layer,
            cover=details.cover,
            bend_radius=details.bend_radius,
            drawn=joint.drawn_female,
        )
        return size_channel(question).sizing
    passage = PassageQuestion(
        joint=name,
        part=joint.female,
        cord=cord,
        habits=setup.habits,
        layer=setup.layer,
        grip=_grip(read, name, details),
        drawn=joint.drawn_female,
    )
    return size_passage(passage).sizing


def _bought_male(read: ReadLamp, name: str, kinds: tuple[str, ...]) -> Bought:
    joint = read.lamp.joint[name]
    thing = read.lamp.bought.get(joint.male)
    if thing is None or thing.kind not in kinds:
        wanted = " or ".join([", ".join(kinds[:-1]), kinds[-1]]) if len(kinds) > 1 else kinds[0]
        raise ValueProblem.of(
            f'the male side of {joint.kind} joint "{name}" is not a bought {wanted}',
            f'name one, with kind = "{kinds[0]}" in its [bought.NAME] table',
            read.where("joint", name, "male"),
        )
    return thing


def _part_setup(read: ReadLamp, name: str, bench: Bench) -> PrintSetup:
    joint = read.lamp.joint[name]
    part = read.lamp.part.get(joint.female)
    if part is None:
        raise ValueProblem.of(
            f'the female side of {joint.kind} joint "{name}" is not printed',
            "name the part that holds it",
            read.where("joint", name, "female"),
        )
    return setup_of(read, part, bench)


def _card_name(read: ReadLamp, joint: Joint, thing: Bought, example: str) -> str:
    if not thing.card:
        raise ValueProblem.of(
            f'"{joint.male}" names no row of the catalogue',
            f'add card = "{example}"',
            read.where("bought", joint.male),
        )
    return thing.card


def _measured(thing: Bought) -> Limits | None:
    """Limits by caliper [mm]; they beat the table's."""
    if thing.diameter is None:
        return None
    return Limits(thing.diameter - thing.tolerance, thing.diameter + thing.tolerance)


def _nut(read: ReadLamp, name: str, thing: Bought, details: PocketDetails, setup: PrintSetup) -> NutQuestion:
    joint = read.lamp.joint[name]
    card = hardware.nut(_card_name(read, joint, thing, "M3"), read.where("bought", joint.male, "card"))
    measured = _measured(thing)
    return NutQuestion(
        joint=name,
        part=joint.female,
        nut=card if measured is None else replace(card, flats=measured),
        mouth=details.mouth,
        habits=setup.habits,
        layer=setup.layer,
        line_width=setup.line_width,
        drawn=joint.drawn_female,
    )


def _insert(read: ReadLamp, name: str, thing: Bought, details: PocketDetails, setup: PrintSetup) -> InsertQuestion:
    joint = read.lamp.joint[name]
    if details.mouth not in ("up", "down"):
        raise ValueProblem.of(
            f'an insert cannot go in from "{details.mouth}"',
            'write mouth = "up" or "down": it is melted in along its axis',
            read.where("joint", name, "pocket"),
        )
    return InsertQuestion(
        joint=name,
        part=joint.female,
        insert=hardware.insert(_card_name(read, joint, thing, "M3"), read.where("bought", joint.male, "card")),
        plastic=setup.plastic.name,
        habits=setup.habits,
        layer=setup.layer,
        wall=details.boss_wall,
        drawn=joint.drawn_female,
    )


def _magnet(read: ReadLamp, name: str, thing: Bought, details: PocketDetails, setup: PrintSetup) -> MagnetQuestion:
    joint = read.lamp.joint[name]
    card = hardware.magnet(_card_name(read, joint, thing, "disc 6x2"), read.where("bought", joint.male, "card"))
    if thing.diameter is not None and card.shape == "round":
        card = replace(card, length=thing.diameter, width=thing.diameter, tolerance=thing.tolerance)
    return MagnetQuestion(
        joint=name,
        part=joint.female,
        magnet=card,
        hold=details.hold,
        habits=setup.habits,
        glue=_glue(read, name, details.glue, "pocket") if details.hold == "glue" else None,
        cap_layers=details.cap_layers,
        layer=setup.layer,
        first_layer=setup.first_layer,
        faces=details.faces,
        drawn=joint.drawn_female,
    )


def _glue(read: ReadLamp, name: str, stated: str, table: str) -> GlueCard:
    """The glue that is stated, or the lamp's only bought one."""
    if stated:
        return lookup.glue(stated, read.where("joint", name, table))
    bought = [thing.card for thing in read.lamp.bought.values() if thing.kind == "glue" and thing.card]
    if len(bought) != 1:
        raise ValueProblem.of(
            f'joint "{name}" is glued but names no glue',
            f'add {table} = {{ glue = "epoxy" }} ("shadewright catalog glues" lists them)',
            read.where("joint", name),
        )
    return lookup.glue(bought[0])


def _cord(read: ReadLamp, name: str, thing: Bought, *, on_edge: bool) -> Cord:
    who = read.lamp.joint[name].male
    pull = None
    card = lookup.cord(thing.card, read.where("bought", who, "card")) if thing.card else None
    if card is not None:
        pull = lookup.anchorage(card.total_area_mm2).pull_n
    measured = _measured(thing)
    if measured is not None:
        return Cord(name=who, across=measured, up=measured, pull_n=pull)
    if card is None:
        raise ValueProblem.of(
            f'the cord "{who}" has no size',
            'add card = "H03VV-F 2x0.75" (or its own name), or diameter = ... by caliper',
            read.where("bought", who),
        )
    long, short = _limits(card.long_side), _limits(card.short_side)
    across, up = (short, long) if on_edge else (long, short)
    return Cord(name=card.name, across=across, up=up, pull_n=pull)


def _limits(known: Range) -> Limits:
    return Limits(known.low, known.high)


def _grip(read: ReadLamp, name: str, details: ChannelDetails) -> tuple[float, float] | None:
    if details.grip_diameter is None and details.grip_height is None:
        return None
    if details.grip_diameter is None or details.grip_height is None:
        raise ValueProblem.of(
            "only one size of the cord grip is stated",
            "state grip_diameter and grip_height, both by caliper",
            read.where("joint", name, "channel"),
        )
    return details.grip_diameter, details.grip_height


def _refuse_grip(read: ReadLamp, name: str, details: ChannelDetails) -> None:
    if details.grip_diameter is not None or details.grip_height is not None:
        raise ValueProblem.of(
            "an open channel has no mouth for a cord grip",
            'write form = "passage", or leave the grip out',
            read.where("joint", name, "channel"),
        )

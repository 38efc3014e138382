"""The part of ``shadewright make`` that makes joints that stay: pockets, glued seats, cord channels and passages."""

from __future__ import annotations

from argparse import ArgumentParser, Namespace
from dataclasses import dataclass
from pathlib import Path
from textwrap import wrap
from typing import TYPE_CHECKING, Any

from shadewright.cli.command import FINDINGS, SOUND, Answer
from shadewright.cli.options import positive, setup_from, whole
from shadewright.errors import ValueProblem

if TYPE_CHECKING:
    from collections.abc import Callable

    from shadewright.fit.channel import Cord
    from shadewright.fit.joint import KindSizing
    from shadewright.fit.pocket_chance import Fitted
    from shadewright.printing import PrintSetup
    from shadewright.solid.mesh import Mesh
    from shadewright.solid.pocket import Pocket

POCKETS = ("nut-pocket", "insert-hole", "magnet-pocket")
KINDS = (*POCKETS, "seat", "channel", "passage")
"""What this module makes."""

ONLY_FOR: dict[str, tuple[str, ...]] = {
    "mouth": ("nut-pocket", "insert-hole"),
    "hold": ("magnet-pocket",),
    "cap_layers": ("magnet-pocket",),
    "glue": ("magnet-pocket", "seat"),
    "cutter": POCKETS,
    "trial": POCKETS,
    "bend_radius": ("channel",),
    "open": ("channel",),
    "on_edge": ("channel",),
    "level": ("passage",),
    "grip": ("passage",),
}
"""Options of this module, and what they speak of."""

_STRAY = ("sex", "feel", "mate", "liner_wall", "as_drawn")
_WIDTH = 88


@dataclass(frozen=True, slots=True, kw_only=True)
class MadeFixed:
    """What was made.

    Attributes:
        what: In words.
        sizing: What to draw, and what is to be said of it.
        solids: Name, extents [mm] and volume [mm³] of every solid.
        how_to: How to try it, for a trial piece.
        files: What was written.
    """

    what: str
    sizing: KindSizing
    solids: tuple[tuple[str, tuple[float, ...], float], ...]
    how_to: str
    files: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class _Piece:
    """One solid, and how it is written as STEP; None for a trial piece, which is only printed."""

    mesh: Mesh
    step: Callable[[Path], object] | None


def add_arguments(parser: ArgumentParser) -> None:
    """Declare the options of pockets, seats, channels and passages."""
    group = parser.add_argument_group("pockets, seats and cords")
    group.add_argument("--mouth", choices=("up", "down", "side", "inside"), help="where the nut goes in (default: up)")
    group.add_argument("--hold", choices=("press", "glue", "inside"), help="how a magnet is held (default: press)")
    group.add_argument("--cap-layers", type=whole, metavar="N", help="layers between magnet and face (default: 2)")
    group.add_argument("--glue", metavar="NAME", help="glue of a seat or a glued magnet")
    group.add_argument("--cutter", action="store_true", help="write the pocket as a body to subtract from a model")
    group.add_argument("--trial", action="store_true", help="write a row of pockets at several sizes, to be tried")
    group.add_argument("--bend-radius", type=positive, metavar="MM", help="of a channel; straight if left out")
    group.add_argument("--open", action="store_true", help="a channel without a cover")
    group.add_argument("--on-edge", action="store_true", help="a flat cord stands on its narrow side")
    group.add_argument("--level", action="store_true", help="a passage that lies level, with a roof that prints")
    group.add_argument(
        "--grip", type=positive, nargs=2, metavar=("DIAMETER", "HEIGHT"), help="of the bought cord grip in its mouth"
    )


def run(options: Namespace, files: list[Path]) -> Answer:
    """Size it, make it, write it, and say what was drawn."""
    from shadewright.findings import Verdict, worst

    _refuse_stray(options)
    if options.trial and any(path.suffix.lower() in (".step", ".stp") for path in files):
        raise ValueProblem.of("a trial piece is made to be printed", "name it .3mf or .stl", "-o")
    setup = setup_from(options)
    make = {"seat": _seat, "channel": _channel, "passage": _passage}.get(options.what, _pocket)
    what, sizing, pieces, how_to = make(options, setup)
    written = _write(files, pieces)
    made = MadeFixed(
        what=what,
        sizing=sizing,
        solids=tuple(
            (piece.mesh.name, tuple(round(float(extent), 3) for extent in piece.mesh.size), piece.mesh.volume)
            for piece in pieces
        ),
        how_to=how_to,
        files=tuple(map(str, written)),
    )
    failing = worst(sizing.findings) is Verdict.FAILING
    return Answer(data=made, text=_text(made), exit_code=FINDINGS if failing else SOUND)


_Made = tuple[str, "KindSizing", list[_Piece], str]


def _refuse_stray(options: Namespace) -> None:
    for name in _STRAY:
        if getattr(options, name):
            option = f"--{options.sex}" if name == "sex" else f"--{name.replace('_', '-')}"
            raise ValueProblem.of(f"{option} says nothing about the {options.what}", "leave it out")
    if options.limits and options.what in ("insert-hole", "magnet-pocket"):
        raise ValueProblem.of(
            f"--limits says nothing about the {options.what}", "leave it out: the catalogue has its size"
        )
    if options.trial and options.cutter:
        raise ValueProblem.of("a trial piece is no cutter", "leave out --trial or --cutter")


# Pockets -------------------------------------------------------------------------------------------------------------


def _pocket(options: Namespace, setup: PrintSetup) -> _Made:
    from shadewright.solid.pocket import pocket_block, pocket_cutter, write_pocket_step
    from shadewright.solid.pocket_trial import pocket_trial

    what, sizing, pocket, size = {
        "nut-pocket": _nut_pocket,
        "insert-hole": _insert_hole,
        "magnet-pocket": _magnet_pocket,
    }[options.what](options, setup)
    if options.trial:
        piece = pocket_trial(options.what, pocket, size, nozzle=setup.nozzle, bed_x=setup.bed_x)
        rungs = ", ".join(f"{rung.number}: {rung.drawn:.2f}" for rung in piece.rungs)
        return f"trial of a {what}", sizing, [_Piece(piece.pieces[0], None)], f"{piece.how_to} Drawn {rungs} mm."
    mesh = pocket_cutter(pocket) if options.cutter else pocket_block(pocket)
    step = _Piece(mesh, lambda path: write_pocket_step(path, pocket, cutter=options.cutter))
    return what, sizing, [step], ""


_Sized = tuple[str, "KindSizing", "Pocket", "Fitted"]


def _nut_pocket(options: Namespace, setup: PrintSetup) -> _Sized:
    from dataclasses import replace

    from shadewright.catalog.hardware import nut
    from shadewright.catalog.threads import Limits
    from shadewright.fit.pocket import NutQuestion, size_nut_pocket
    from shadewright.fit.pocket_shapes import nut_pocket

    card = nut(options.size, "SIZE")
    if options.limits:
        card = replace(card, flats=Limits(*sorted(options.limits)))
    mouth: Any = options.mouth or "up"
    question = NutQuestion(
        joint=options.what,
        part="block",
        nut=card,
        mouth=mouth,
        habits=setup.habits,
        layer=setup.layer,
        line_width=setup.line_width,
    )
    made = size_nut_pocket(question)
    return f"nut pocket for {card.name}, mouth {mouth}", made.sizing, nut_pocket(question, made), made.flats


def _insert_hole(options: Namespace, setup: PrintSetup) -> _Sized:
    from shadewright.catalog.hardware import insert
    from shadewright.fit.pocket_insert import InsertQuestion, size_insert_hole
    from shadewright.fit.pocket_shapes import insert_hole

    mouth: Any = options.mouth or "up"
    if mouth not in ("up", "down"):
        raise ValueProblem.of(f"an insert cannot go in from {mouth}", "use --mouth up or --mouth down")
    card = insert(options.size, "SIZE")
    question = InsertQuestion(
        joint=options.what,
        part="boss",
        insert=card,
        plastic=setup.plastic.name,
        habits=setup.habits,
        layer=setup.layer,
    )
    made = size_insert_hole(question)
    title = f"hole for a heat-set insert {card.name}, mouth {mouth}"
    return title, made.sizing, insert_hole(made, mouth), made.hole


def _magnet_pocket(options: Namespace, setup: PrintSetup) -> _Sized:
    from shadewright.catalog.hardware import magnet
    from shadewright.catalog.lookup import glue
    from shadewright.fit.pocket_magnet import MagnetQuestion, size_magnet_pocket
    from shadewright.fit.pocket_shapes import magnet_pocket

    card = magnet(options.size, "SIZE")
    hold: Any = options.hold or "press"
    question = MagnetQuestion(
        joint=options.what,
        part="block",
        magnet=card,
        hold=hold,
        habits=setup.habits,
        glue=glue(options.glue, "--glue") if options.glue else None,
        cap_layers=options.cap_layers or 2,
        layer=setup.layer,
        first_layer=setup.first_layer,
    )
    made = size_magnet_pocket(question)
    pocket = magnet_pocket(question, made)
    return f"pocket for a {card.name} magnet, held by {hold}", made.sizing, pocket, made.across


# Seat, channel, passage ----------------------------------------------------------------------------------------------


def _seat(options: Namespace, setup: PrintSetup) -> _Made:
    from shadewright.catalog.lookup import glue
    from shadewright.catalog.threads import Limits
    from shadewright.cli.stated_joint import millimetres
    from shadewright.fit.joint import Side
    from shadewright.fit.seat import SeatQuestion, size_seat
    from shadewright.solid.seat import SeatPlug, SeatRing, seat_solid, write_seat_step

    if not options.glue:
        raise ValueProblem.of("no glue is named", 'add --glue NAME ("shadewright catalog glues" lists them)')
    nominal = millimetres(options.size)
    bought = Limits(*sorted(options.limits)) if options.limits else None
    male = Side(name="tube", bought=bought) if bought else Side(name="plug", habits=setup.habits)
    question = SeatQuestion(
        joint=options.what,
        nominal=nominal,
        length=options.length,
        male=male,
        female=Side(name="ring", habits=setup.habits),
        glue=glue(options.glue, "--glue"),
    )
    made = size_seat(question)
    ring = SeatRing(bore=made.size.draw, length=options.length)
    pieces = [_Piece(seat_solid(ring), lambda path: write_seat_step(path, ring))]
    if bought is None:
        plug = SeatPlug(diameter=nominal, length=options.length, grooves=made.grooves, ridge=made.ridge)
        pieces.append(_Piece(seat_solid(plug), lambda path: write_seat_step(path, plug)))
    return f"glued seat of {nominal:g} mm, {options.length:g} mm deep", made.sizing, pieces, ""


def _cord(options: Namespace) -> Cord:
    from shadewright.catalog.lookup import anchorage, cord
    from shadewright.catalog.threads import Limits
    from shadewright.fit.channel import Cord

    if options.limits:
        size = Limits(*sorted(options.limits))
        return Cord(name=options.size, across=size, up=size)
    card = cord(options.size, "SIZE")
    long, short = (Limits(side.low, side.high) for side in (card.long_side, card.short_side))
    across, up = (short, long) if options.on_edge else (long, short)
    return Cord(name=card.name, across=across, up=up, pull_n=anchorage(card.total_area_mm2).pull_n)


def _channel(options: Namespace, setup: PrintSetup) -> _Made:
    from shadewright.fit.channel import ChannelQuestion, size_channel
    from shadewright.solid.channel import CordChannel, channel_body, channel_cover
    from shadewright.solid.channel_brep import write_channel_step

    cord = _cord(options)
    question = ChannelQuestion(
        joint=options.what,
        part="channel",
        cord=cord,
        habits=setup.habits,
        layer=setup.layer,
        cover=not options.open,
        bend_radius=options.bend_radius,
    )
    made = size_channel(question)
    channel = CordChannel(
        width=made.width,
        depth=made.depth,
        run=max(options.length, made.entry + 1),
        bend_radius=options.bend_radius or 100.0,
        bend_deg=90.0 if options.bend_radius else 0.0,
        rebate_width=made.rebate.draw if made.rebate else None,
        cover_width=made.cover_width,
        cover_thickness=made.cover_thickness or 1.0,
        entry=made.entry,
    )
    pieces = [_Piece(channel_body(channel), lambda path: write_channel_step(path, channel))]
    if made.rebate:
        cover = channel_cover(channel)
        pieces.append(_Piece(cover, lambda path: write_channel_step(path, channel, cover=True)))
    return f"channel for {cord.name}", made.sizing, pieces, ""


def _passage(options: Namespace, setup: PrintSetup) -> _Made:
    from shadewright.fit.channel import PassageQuestion, size_passage
    from shadewright.solid.channel_passage import CordPassage, passage_solid, write_passage_step

    cord = _cord(options)
    question = PassageQuestion(
        joint=options.what,
        part="block",
        cord=cord,
        habits=setup.habits,
        layer=setup.layer,
        grip=tuple(options.grip) if options.grip else None,
    )
    made = size_passage(question)
    passage = CordPassage(
        hole=made.hole,
        length=max(options.length, 2 * made.entry + 1 + (made.grip[1] if made.grip else 0.0)),
        entry=made.entry,
        axis="level" if options.level else "up",
        grip=made.grip,
    )
    piece = _Piece(passage_solid(passage), lambda path: write_passage_step(path, passage))
    return f"passage for {cord.name}, {passage.length:g} mm long", made.sizing, [piece], ""


# Files and words -----------------------------------------------------------------------------------------------------


def _write(files: list[Path], pieces: list[_Piece]) -> list[Path]:
    """Write all pieces into each 3MF; into STL and STEP one file for each piece."""
    from shadewright.solid.write import write_3mf, write_stl

    written = []
    for path in files:
        if path.suffix.lower() == ".3mf":
            write_3mf(path, _beside([piece.mesh for piece in pieces]), title=pieces[0].mesh.name)
            written.append(path)
            continue
        for piece in pieces:
            stem = path.stem if len(pieces) == 1 else f"{path.stem}-{piece.mesh.name.split()[-1]}"
            own = path.with_name(stem + path.suffix)
            if path.suffix.lower() == ".stl":
                write_stl(own, piece.mesh)
            elif piece.step is not None:
                piece.step(own)
            written.append(own)
    return written


def _beside(meshes: list[Mesh], gap: float = 5.0) -> list[Mesh]:
    """The meshes in a row along x, so that they can be printed as they lie."""
    placed, right = [], 0.0
    for mesh in meshes:
        placed.append(mesh.moved(x=right - float(mesh.bounds[0, 0])))
        right = float(placed[-1].bounds[1, 0]) + gap
    return placed


def _text(made: MadeFixed) -> str:
    lines = [made.what[0].upper() + made.what[1:]]
    for draw in made.sizing.draws:
        size = f"{draw.size:.2f}" if draw.unit == "mm" else f"{draw.size:g}"
        lines += _block("draw", f"{draw.what} {size} {draw.unit}: {draw.why}")
    for finding in made.sizing.findings:
        parts = [finding.sentence, finding.why, finding.cure]
        lines += _block(finding.verdict.value, "; ".join(part for part in parts if part))
    if made.how_to:
        lines += _block("try", made.how_to)
    for name, extents, volume in made.solids:
        across = " x ".join(f"{extent:.1f}" for extent in extents)
        lines.append(f"  solid    {name}: {across} mm, {volume / 1000:.2f} cm³")
    lines += [f"  wrote    {name}" for name in made.files]
    return "\n".join(lines)


def _block(title: str, text: str) -> list[str]:
    return wrap(text, _WIDTH, initial_indent=f"  {title:<9}", subsequent_indent=" " * 11, break_on_hyphens=False)

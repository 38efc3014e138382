"""``shadewright make``: a mating solid as file, sized for this bench."""

from __future__ import annotations

from argparse import ArgumentParser, Namespace
from dataclasses import dataclass
from pathlib import Path
from textwrap import wrap
from typing import TYPE_CHECKING, Any

from shadewright.cli import make_fixed
from shadewright.cli.command import FINDINGS, SOUND, Answer
from shadewright.cli.make_moving import MOVING, add_moving_arguments, refuse_moving_options, run_moving
from shadewright.cli.options import as_learned, positive, setup_from
from shadewright.cli.stated_joint import (
    USUAL_FEEL,
    add_joint_options,
    mate_in_words,
    millimetres,
    stated_question,
    stated_thread,
)
from shadewright.errors import ValueProblem
from shadewright.wording import percent

if TYPE_CHECKING:
    from shadewright.catalog.threads import Sex, Thread
    from shadewright.fit.joint import Sizing
    from shadewright.solid.features import ThreadShape
    from shadewright.solid.mesh import Mesh
    from shadewright.solid.plain_features import Feature
    from shadewright.solid.profile import Upright

KINDS = {
    "thread": ("thread", ""),
    "socket": ("slide", "female"),
    "spigot": ("slide", "male"),
    "key": ("slide", "male"),
    "keyway": ("slide", "female"),
    "pin": ("push", "male"),
    "hole": ("push", "female"),
}
SUFFIXES = (".3mf", ".stl", ".step", ".stp")
USUAL_OVERHANG = 45.0  # degrees; common practice, no source
_WIDTH = 88


@dataclass(frozen=True, slots=True, kw_only=True)
class Made:
    """What was made.

    Attributes:
        what: In words.
        drawn: Size of the mating side as drawn [mm].
        allowance: ``drawn`` minus the nominal size [mm].
        mate: What it meets, in words; empty when the size was to be taken as it is.
        sizing: Where the allowance comes from; None when the size was to be taken as it is.
        upright: Whether the thread prints axis up; None for plain solids and true forms.
        overhang_deg: Steepest overhang of a thread made in its true form; None for all others.
        size: Extents [mm].
        volume_mm3: Volume of the solid.
        triangles: Of the mesh.
        files: What was written.
    """

    what: str
    drawn: float
    allowance: float
    mate: str
    sizing: Sizing | None
    upright: Upright | None
    overhang_deg: float | None
    size: tuple[float, ...]
    volume_mm3: float
    triangles: int
    files: tuple[str, ...]


def add_arguments(parser: ArgumentParser) -> None:
    """Declare what to make, what it meets, and where to write it."""
    parser.epilog = (
        'Examples: "shadewright make thread E27 --female --length 12 --feel easy -o ring.3mf"; '
        '"shadewright make socket 40 --wall 2 -o socket.step -o socket.stl"; '
        '"shadewright make pin 6 --ridges 4 --limits 6.0 6.1 -o pin.3mf"; '
        '"shadewright make nut-pocket M4 --mouth side --cutter -o pocket.step"; '
        '"shadewright make hook 14 --undercut 0.8 -o hook.3mf". '
        "Exit code 1 when a thread will not print upright."
    )
    parser.add_argument("what", choices=(*KINDS, *make_fixed.KINDS, *MOVING), help="kind of solid")
    parser.add_argument("size", metavar="SIZE", help="nominal size in mm; for bought things the name")
    parser.add_argument(
        "-o", "--output", action="append", type=Path, metavar="FILE", help=".3mf, .stl or .step; may be given again"
    )
    parser.add_argument("--as-drawn", action="store_true", help="take SIZE as it is, without the bench's allowance")
    parser.add_argument("--bore", type=positive, metavar="MM", help="plain hole through a male thread or a spigot")
    parser.add_argument("--outside", type=positive, metavar="MM", help="outer diameter of a female thread's ring")
    parser.add_argument("--wall", type=positive, metavar="MM", help="wall of socket, keyway and hole (default: 2.4)")
    parser.add_argument("--height", type=positive, metavar="MM", help="height of key and keyway (default: 4)")
    parser.add_argument("--lead-in", type=positive, metavar="MM", help="chamfer of plain solids (default: 0.6)")
    parser.add_argument("--ridges", type=int, metavar="N", help="ridges that give way on pin or hole (default: none)")
    form = parser.add_mutually_exclusive_group()
    form.add_argument("--overhang", type=positive, metavar="DEG", help="steepest overhang of a thread (default: 45)")
    form.add_argument("--true-form", action="store_true", help="keep the thread's true form, overhanging or not")
    make_fixed.add_arguments(parser)
    add_moving_arguments(parser)
    add_joint_options(parser)


def run(options: Namespace) -> Answer:
    """Size it, make it, write it, and say what was drawn."""
    from shadewright.findings import Verdict
    from shadewright.fit.size import size_joint
    from shadewright.solid.profile import printable_upright, profile

    files = _targets(options)
    if options.what in MOVING:
        return run_moving(options, files)
    refuse_moving_options(options)
    _refuse_stray_options(options)
    if options.what in make_fixed.KINDS:
        return make_fixed.run(options, files)
    sex = _sex(options)
    kind = KINDS[options.what][0]
    setup = setup_from(options)
    thread = stated_thread(kind, options.size)
    nominal = thread.major if thread is not None else millimetres(options.size)
    sizing, mate = None, ""
    if not options.as_drawn:
        flat = options.what in ("key", "keyway")
        name = options.what if thread is None else "ring" if sex == "female" else "stud"
        stated = stated_question(kind, options.size, sex, options, setup, what=name, round_faces=not flat)
        question = as_learned(options, stated)
        sizing, mate = size_joint(question), mate_in_words(question)
    drawn = sizing.draw if sizing else nominal
    upright, overhang = None, None
    if thread is not None:
        solid = _write_thread(files, _thread_shape(options, thread, sex, drawn))
        if options.true_form:
            overhang = profile(thread).overhang_deg(sex)
        else:
            upright = printable_upright(thread, sex, options.overhang or USUAL_OVERHANG, setup.layer, setup.nozzle)
    else:
        solid = _write_plain(files, _feature(options, drawn))
    made = Made(
        what=f"{solid.name}, {options.length:g} mm long",
        drawn=drawn,
        allowance=round(drawn - nominal, 3),
        mate=mate,
        sizing=sizing,
        upright=upright,
        overhang_deg=overhang,
        size=tuple(round(float(extent), 3) for extent in solid.size),
        volume_mm3=solid.volume,
        triangles=len(solid.faces),
        files=tuple(map(str, files)),
    )
    failing = upright is not None and upright.verdict is Verdict.FAILING
    return Answer(data=made, text=_text(made, options), exit_code=FINDINGS if failing else SOUND)


def _targets(options: Namespace) -> list[Path]:
    if not options.output:
        raise ValueProblem.of("no file to write is named", "add -o FILE with .3mf, .stl or .step")
    for path in options.output:
        if path.suffix.lower() not in SUFFIXES:
            raise ValueProblem.of(f"{path.name} is of no kind that can be written", "name it .3mf, .stl or .step", "-o")
    if any(path.suffix.lower() in (".step", ".stp") for path in options.output):
        from shadewright.solid.step import require_step

        require_step()
    return list(options.output)


_ONLY_FOR = {
    "bore": ("thread", "spigot"),
    "outside": ("thread",),
    "wall": ("socket", "keyway", "hole"),
    "height": ("key", "keyway"),
    "lead_in": ("socket", "spigot", "key", "keyway", "pin", "hole"),
    "ridges": ("pin", "hole"),
    "overhang": ("thread",),
    "true_form": ("thread",),
    "liner_wall": ("socket", "spigot"),
    **make_fixed.ONLY_FOR,
}


def _refuse_stray_options(options: Namespace) -> None:
    """Refuse options that would change nothing."""
    for name, kinds in _ONLY_FOR.items():
        if getattr(options, name) not in (None, False) and options.what not in kinds:
            option = f"--{name.replace('_', '-')}"
            raise ValueProblem.of(f"{option} says nothing about a {options.what}", f"it is for {', '.join(kinds)}")
    if options.as_drawn and (options.feel or options.mate or options.limits or options.liner_wall):
        raise ValueProblem.of(
            "--as-drawn leaves the allowance out, so feel and mate say nothing", "leave out one or the other"
        )


def _sex(options: Namespace) -> Sex:
    from shadewright.catalog.threads import Sex

    own = KINDS[options.what][1]
    if own and options.sex not in (None, own):
        raise ValueProblem.of(f"a {options.what} is the {own} side", f"leave out --{options.sex}")
    if not own and options.sex is None:
        raise ValueProblem.of("which side of the thread to make is not said", "add --male or --female")
    sex = Sex(own or options.sex)
    for name, wrong in (("bore", Sex.FEMALE), ("outside", Sex.MALE)):
        if options.what == "thread" and sex is wrong and getattr(options, name) is not None:
            raise ValueProblem.of(f"--{name} says nothing about a {sex} thread", f"leave out --{name}")
    return sex


def _thread_shape(options: Namespace, thread: Thread, sex: Sex, drawn: float) -> ThreadShape:
    from shadewright.solid.features import ThreadShape

    return ThreadShape(
        thread=thread,
        sex=sex,
        length=options.length,
        allowance=drawn - thread.major,
        upright_limit=None if options.true_form else options.overhang or USUAL_OVERHANG,
        bore=options.bore or 0.0,
        outside=options.outside,
    )


def _write_thread(files: list[Path], shape: ThreadShape) -> Mesh:
    from shadewright.cli.bars import bars
    from shadewright.progress import stepping
    from shadewright.solid.thread_brep import write_thread_step
    from shadewright.solid.thread_mesh import threaded_solid

    solid = threaded_solid(shape)
    with bars() as progress:
        for path in stepping(progress, "writing files", files, len(files)):
            if not _write_mesh(path, solid):
                write_thread_step(path, shape)
    return solid


def _write_plain(files: list[Path], feature: Feature) -> Mesh:
    from shadewright.cli.bars import bars
    from shadewright.progress import stepping
    from shadewright.solid.plain_brep import write_plain_step
    from shadewright.solid.plain_features import plain_solid

    solid = plain_solid(feature)
    with bars() as progress:
        for path in stepping(progress, "writing files", files, len(files)):
            if not _write_mesh(path, solid):
                write_plain_step(path, feature)
    return solid


def _write_mesh(path: Path, solid: Mesh) -> bool:
    from shadewright.solid.write import write_3mf, write_stl

    match path.suffix.lower():
        case ".3mf":
            write_3mf(path, [solid], title=solid.name)
        case ".stl":
            write_stl(path, solid)
        case _:
            return False
    return True


def _feature(options: Namespace, drawn: float) -> Feature:
    from shadewright.solid.plain_features import Hole, Key, Keyway, Pin, Socket, Spigot

    length, height = options.length, options.height or 4.0
    common: dict[str, Any] = {"length": length, "lead_in": options.lead_in or 0.6}
    ridges, wall = options.ridges or 0, options.wall or 2.4
    match options.what:
        case "socket":
            return Socket(bore=drawn, wall=wall, **common)
        case "spigot":
            return Spigot(diameter=drawn, bore=options.bore or 0.0, **common)
        case "key":
            return Key(width=drawn, height=height, **common)
        case "keyway":
            return Keyway(width=drawn, height=height, wall=wall, **common)
        case "pin":
            return Pin(diameter=drawn, ridges=ridges, **common)
        case _:
            return Hole(bore=drawn, wall=wall, ridges=ridges, **common)


_DIMENSION = {
    "thread": "major diameter",
    "socket": "bore",
    "spigot": "diameter",
    "key": "width",
    "keyway": "width",
    "pin": "diameter",
    "hole": "bore",
}


def _text(made: Made, options: Namespace) -> str:
    across = " x ".join(f"{extent:.1f}" for extent in made.size)
    lines = [
        made.what[0].upper() + made.what[1:],
        f"  drawn    {_DIMENSION[options.what]} {made.drawn:.2f} mm, {made.allowance:+.2f} mm against nominal",
    ]
    if made.sizing is not None:
        lines += _block("mate", made.mate)
        lines += _block("why", f"{made.sizing.sentence}.")
        lines += _block("chance", _chance(made.sizing, options))
    if made.upright is not None:
        lines += _block("upright", made.upright.sentence)
    if made.overhang_deg is not None:
        lines += _block("upright", f"made in its true form, it overhangs by {made.overhang_deg:.0f} degrees")
    lines.append(f"  solid    {across} mm, {made.volume_mm3 / 1000:.2f} cm³, {made.triangles} triangles")
    lines += [f"  wrote    {name}" for name in made.files]
    return "\n".join(lines)


def _chance(sizing: Sizing, options: Namespace) -> str:
    wanted = options.feel or USUAL_FEEL[KINDS[options.what][0]]
    trial = "; a trial print would tell more" if sizing.trial_worth else ""
    return f"{wanted} in {percent(sizing.chance_wanted)} of prints{trial}"


def _block(title: str, text: str) -> list[str]:
    indent = " " * 11
    return wrap(text, _WIDTH, initial_indent=f"  {title:<9}", subsequent_indent=indent, break_on_hyphens=False)

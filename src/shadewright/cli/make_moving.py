"""``shadewright make`` for joints that move or let go: hook, bead, clip, bayonet, pivot."""

from __future__ import annotations

from argparse import ArgumentParser, Namespace
from dataclasses import dataclass
from pathlib import Path
from textwrap import wrap
from typing import TYPE_CHECKING

from shadewright.cli import make_fixed
from shadewright.cli.command import Answer
from shadewright.cli.options import positive, whole
from shadewright.errors import ValueProblem

if TYPE_CHECKING:
    from shadewright.cli.moving_kinds import Moving
    from shadewright.fit.joint import KindSizing
    from shadewright.solid.features import TrialPiece
    from shadewright.solid.mesh import Mesh

MOVING = ("hook", "bead", "clip", "bayonet", "pivot")
SIZES = "for a hook the arm's length, a bead the sleeve's diameter, a clip the rod's, a bayonet the plug's; a pivot M4"

_ONLY_FOR = {
    "thickness": ("hook", "bead", "clip"),
    "width": ("hook", "clip"),
    "undercut": ("hook", "bead"),
    "taper": ("hook",),
    "standing": ("hook",),
    "return_angle": ("hook", "bead"),
    "softer": ("bead",),
    "opening": ("clip",),
    "lugs": ("bayonet",),
    "lug_height": ("bayonet",),
    "lug_width": ("bayonet",),
    "lug_thickness": ("bayonet",),
    "turn": ("bayonet",),
    "detent": ("bayonet",),
    "path": ("bayonet",),
    "tongue": ("pivot",),
    "ear": ("pivot",),
    "cheek": ("pivot",),
    "teeth": ("pivot",),
    "no_nut": ("pivot",),
    "no_washer": ("pivot",),
}
_SHARED = {"bore": ("bayonet",), "wall": ("bayonet",), "feel": ("clip",), "limits": ("clip",)}
_NEVER = ("outside", "height", "lead_in", "ridges", "overhang", "true_form", "liner_wall", "as_drawn", "mate")
_USUAL_LENGTH = 10.0  # the default of --length, which says nothing here
_WIDTH = 88


@dataclass(frozen=True, slots=True, kw_only=True)
class Solid:
    """One side as written: extents [mm] and volume [mm³]."""

    name: str
    size: tuple[float, ...]
    volume_mm3: float
    triangles: int


@dataclass(frozen=True, slots=True, kw_only=True)
class MadeMoving:
    """What was made.

    Attributes:
        what: Kind of joint.
        proposed: What was drawn, and why it differs from what was asked for.
        sizing: What to expect of what was drawn.
        solids: Both sides, or the one that was asked for.
        files: What was written.
        rungs: What the rungs of a trial try [mm]; none when the joint itself was written.
        how_to: How to try them.
    """

    what: str
    proposed: KindSizing
    sizing: KindSizing
    solids: tuple[Solid, ...]
    files: tuple[str, ...]
    rungs: tuple[float, ...]
    how_to: str


def add_moving_arguments(parser: ArgumentParser) -> None:
    """Declare the sizes of joints that move; what is not given stays None."""
    group = parser.add_argument_group("joints that move or let go", f"SIZE is {SIZES}.")
    for option, text in (
        ("--thickness", "of what bends: arm, sleeve or clip (default: 1.6)"),
        ("--width", "of a hook's arm (default: 6), length of a clip (default: 8)"),
        (
            "--undercut",
            "how far a hook's nub reaches over its ledge (default: 0.8), a bead over its bore (default: 0.4)",
        ),
        ("--opening", "between a clip's lips (default: as narrow as is borne)"),
        ("--lug-height", "of a bayonet (default: 1.6)"),
        ("--lug-width", "of a bayonet (default: 6)"),
        ("--lug-thickness", "of a bayonet, along its axis (default: 3)"),
        ("--detent", "of a bayonet (default: 0.4)"),
        ("--tongue", "thickness of a pivot's tongue (default: 6)"),
        ("--ear", "diameter of a pivot's faces (default: 18)"),
        ("--cheek", "thickness of a pivot's cheeks (default: 4.5)"),
    ):
        group.add_argument(option, type=positive, metavar="MM", help=text)
    group.add_argument("--taper", type=positive, metavar="SHARE", help="a hook's thickness at the nub over its root's")
    group.add_argument("--return-angle", type=positive, metavar="DEG", help="of hook or bead (default: 45)")
    group.add_argument("--standing", action="store_true", help="the hook prints tip up and bends across its layers")
    group.add_argument(
        "--softer", choices=("male", "female", "both"), help="which ring of a bead gives (default: male)"
    )
    group.add_argument("--lugs", type=whole, metavar="N", help="of a bayonet, 2 to 4 (default: 3)")
    group.add_argument("--turn", type=positive, metavar="DEG", help="of a bayonet (default: 30)")
    group.add_argument("--path", choices=("L", "J"), help="L: a rib to ride over; J: a place to fall back into")
    group.add_argument("--teeth", type=whole, metavar="N", help="on a pivot's faces (default: none)")
    group.add_argument("--no-nut", action="store_true", help="a pivot without a nut's seat")
    group.add_argument("--no-washer", action="store_true", help="a pivot without a washer's seat")


def refuse_moving_options(options: Namespace) -> None:
    """Refuse, for other kinds of solid, options that would change nothing."""
    for name, kinds in _ONLY_FOR.items():
        _refuse(options, name, kinds)


def run_moving(options: Namespace, files: list[Path]) -> Answer:
    """Size the joint, make its sides and its trial, write them, and say what was drawn and what to expect.

    Args:
        options: As parsed.
        files: What to write, suffixes checked.

    Raises:
        ValueProblem: Sizes that cannot be, or options that contradict each other.
    """
    from shadewright.cli.moving_kinds import moving_joint

    _refuse_strays(options, files)
    joint = moving_joint(options)
    trial = joint.trial() if options.trial else None
    solids = _write_trial(options, files, trial) if trial else _write(options, files, joint)
    made = MadeMoving(
        what=options.what,
        proposed=joint.proposed,
        sizing=joint.sizing,
        solids=tuple(_solid(mesh) for mesh in solids),
        files=tuple(map(str, files)),
        rungs=tuple(rung.drawn for rung in trial.rungs) if trial else (),
        how_to=trial.how_to if trial else "",
    )
    return Answer(data=made, text=_text(made))


def _refuse_strays(options: Namespace, files: list[Path]) -> None:
    for name, kinds in (_ONLY_FOR | _SHARED).items():
        _refuse(options, name, kinds)
    for name in (*_NEVER, *(name for name in make_fixed.ONLY_FOR if name != "trial")):
        _refuse(options, name, ())
    if options.length != _USUAL_LENGTH:
        raise ValueProblem.of(f"--length says nothing about a {options.what}", "leave it out; SIZE is " + SIZES)
    single = next((path for path in files if path.suffix.lower() != ".3mf"), None)
    if single is not None and options.trial:
        raise ValueProblem.of(f"{single.name} holds one solid, and a trial has several", "name it .3mf", "-o")
    if single is not None and options.sex is None:
        raise ValueProblem.of(
            f"{single.name} holds one solid, and a {options.what} has two sides", "add --male or --female, or write 3MF"
        )


def _refuse(options: Namespace, name: str, kinds: tuple[str, ...]) -> None:
    if getattr(options, name) in (None, False) or options.what in kinds:
        return
    cure = f"it is for {', '.join(kinds)}" if kinds else "leave it out"
    raise ValueProblem.of(f"--{name.replace('_', '-')} says nothing about a {options.what}", cure)


def _write(options: Namespace, files: list[Path], joint: Moving) -> list[Mesh]:
    """Write what was asked for, and give the sides that were made."""
    from shadewright.solid.moving_recipe import built_solid, write_built_step
    from shadewright.solid.write import write_3mf, write_stl

    builds = {"male": joint.male, "female": joint.female}
    chosen = [builds[options.sex]] if options.sex else list(builds.values())
    if options.sex and None in chosen:
        raise ValueProblem.of("the male side of a clip is the rod", "make the clip: --female")
    made = [build for build in chosen if build is not None]
    solids = [built_solid(build) for build in made]
    for path in files:
        match path.suffix.lower():
            case ".3mf":
                write_3mf(path, _side_by_side(solids), title=options.what)
            case ".stl":
                write_stl(path, solids[0])
            case _:
                write_built_step(path, made[0])
    return solids


def _write_trial(options: Namespace, files: list[Path], trial: TrialPiece) -> list[Mesh]:
    from shadewright.solid.write import write_3mf

    for path in files:
        write_3mf(path, trial.pieces, title=f"Trial for a {options.what}")
    return list(trial.pieces)


def _side_by_side(solids: list[Mesh]) -> list[Mesh]:
    placed, x = [], 0.0
    for solid in solids:
        low = solid.bounds[0]
        placed.append(solid.moved(x - float(low[0]), -float(low[1])))
        x += float(solid.size[0]) + 5.0
    return placed


def _solid(mesh: Mesh) -> Solid:
    extents = tuple(round(float(extent), 3) for extent in mesh.size)
    return Solid(name=mesh.name, size=extents, volume_mm3=mesh.volume, triangles=len(mesh.faces))


def _text(made: MadeMoving) -> str:
    lines = [f"{made.what[0].upper() + made.what[1:]}: {' and '.join(solid.name for solid in made.solids)}"]
    for draw in made.proposed.draws:
        size = f"{draw.size:.2f}" if draw.unit == "mm" else f"{draw.size:g}"
        part = "" if draw.part in draw.what else f" ({draw.part})"
        lines += _block("drawn", f"{draw.what} {size} {draw.unit}{part}: {draw.why}")
    for finding in made.sizing.findings:
        lines += _block("expect", f"{finding.verdict}: {finding.sentence}{f'; {finding.cure}' if finding.cure else ''}")
    for solid in made.solids:
        across = " x ".join(f"{extent:.1f}" for extent in solid.size)
        lines.append(f"  solid    {solid.name}, {across} mm, {solid.volume_mm3 / 1000:.2f} cm³")
    if made.rungs:
        lines += _block("rungs", f"{', '.join(f'{size:.2f}' for size in made.rungs)} mm. {made.how_to}")
    lines += [f"  wrote    {name}" for name in made.files]
    return "\n".join(lines)


def _block(title: str, text: str) -> list[str]:
    return wrap(text, _WIDTH, initial_indent=f"  {title:<9}", subsequent_indent=" " * 11, break_on_hyphens=False)

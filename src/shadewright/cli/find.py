"""``shadewright find``: bores, bosses, slots, tapers and threads in a model file."""

from __future__ import annotations

from argparse import ArgumentParser, Namespace
from collections.abc import Iterable
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from shadewright.cli.command import Answer

if TYPE_CHECKING:
    from shadewright.solid.find_types import Features, FoundThread, RoundWall, Slot, Taper, Vector

_UNITS = ("mm", "um", "cm", "m", "inch", "ft")
_MOST = 12


@dataclass(frozen=True, slots=True)
class _Listed:
    """What was read and what was found in it."""

    file: str
    format: str
    unit: str
    notes: tuple[str, ...]
    features: Features


def add_arguments(parser: ArgumentParser) -> None:
    """Declare the model and how it is read."""
    parser.epilog = (
        'Examples: "shadewright find ring.stl"; "shadewright find foot.step --all". Places are x, y, z in the '
        "model's own coordinates, halfway along each feature; lamp.toml takes them as at_male and at_female."
    )
    parser.add_argument("model", type=Path, metavar="FILE", help="STL, 3MF, OBJ, PLY, GLB or STEP")
    parser.add_argument("--unit", choices=_UNITS, help="what the file's numbers are (default: as the file says, or mm)")
    parser.add_argument("--repair", action="store_true", help="mend what can be mended without guessing, and say so")
    parser.add_argument("--all", action="store_true", help=f"list everything, not only the {_MOST} largest of a kind")


def run(options: Namespace) -> Answer:
    """Read the model and list what others may fit into or onto."""
    from shadewright.cli.bars import bars
    from shadewright.solid.find import find_features
    from shadewright.solid.read import read_model

    with bars() as progress:
        step = progress.start(f"reading {options.model.name}", 2)
        model = read_model(options.model, unit=options.unit, repair=options.repair)
        step()
        features = find_features(model.mesh, model.surfaces)
        step()
    listed = _Listed(str(options.model), model.format, model.unit, model.notes, features)
    return Answer(data=listed, text=_text(options.model.name, listed, len(model.mesh.faces) if options.all else _MOST))


def _text(name: str, listed: _Listed, most: int) -> str:
    found = listed.features
    how = "exact, from its surfaces" if found.exact else "from its facets: through their corners, and across flats"
    blocks = [[f"{name}: round sizes are {how}", *(f"note: {note}" for note in listed.notes)]]
    kinds: tuple[tuple[str, Iterable[str]], ...] = (
        ("threads", map(_thread, found.threads)),
        ("bores", map(_wall, found.bores)),
        ("bosses", map(_wall, found.bosses)),
        ("tapers", map(_taper, found.tapers)),
        ("slots", map(_slot, found.slots)),
        ("tongues", map(_slot, found.tongues)),
    )
    for kind, lines in kinds:
        every = list(lines)
        if every:
            more = [f"... and {len(every) - most} more (--all)"] if len(every) > most else []
            blocks.append([kind, *(f"  {line}" for line in [*every[:most], *more])])
    if len(blocks) == 1:
        blocks.append(["no bore, boss, slot or thread was found"])
    return "\n\n".join("\n".join(block) for block in blocks)


def _at(place: Vector) -> str:
    return "at " + ", ".join(f"{round(value, 2) + 0.0:g}" for value in place)


def _wall(wall: RoundWall) -> str:
    facets = f" ({wall.across_flats:.2f} across flats, {wall.sides} sides)" if wall.sides else ""
    part = "" if wall.turn > 359.5 else f", {wall.turn:.0f}° of it"
    return f"{wall.diameter:.3f}{facets}, {wall.length:.2f} long{part}, {_at(wall.middle)}"


def _taper(taper: Taper) -> str:
    kind = "hole" if taper.hollow else "cone"
    return (
        f"{kind} {taper.small:.2f} to {taper.large:.2f} over {taper.length:.2f}, {taper.half_angle:.1f}° to its axis, "
        f"{_at(taper.middle)}"
    )


def _slot(slot: Slot) -> str:
    return f"{slot.width:.3f} wide, {slot.length:.2f} x {slot.depth:.2f}, {_at(slot.middle)}"


def _thread(thread: FoundThread) -> str:
    hand = "" if thread.right_handed else ", left-handed"
    starts = f", {thread.starts} starts, lead {thread.lead:.3f}" if thread.starts > 1 else ""
    name = " or ".join(thread.names) or "none of the tables"
    low, high = thread.flanks
    return (
        f"{thread.sex.value} {name}: major {thread.major:.2f}, minor {thread.minor:.2f}, pitch {thread.pitch:.3f}"
        f"{starts}{hand}, flanks {low:.0f}° and {high:.0f}°, {thread.length:.2f} long, {_at(thread.middle)}"
    )

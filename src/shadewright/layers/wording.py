"""What the layers have to say, as findings.

One for each kind of trouble and verdict, with the count and the worst, and one for each check that found nothing.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from shadewright.findings import Finding, Place, Verdict
from shadewright.layers.bed import BedFit
from shadewright.layers.cutting import Layers
from shadewright.layers.footing import FAILING_SAFETY, SOUND_SAFETY, WIDEST_BRIM, Standing
from shadewright.layers.overhang import DOUBTFUL_ANGLE, DOUBTFUL_BRIDGE, SOUND_BRIDGE, SOUND_REACH, Spot
from shadewright.layers.plane import spot_in
from shadewright.layers.report import Trouble
from shadewright.layers.thin import HOPELESS_WALL, LEAST_WALL
from shadewright.layers.unsupported import SOUND_ANGLE
from shadewright.printing import PrintSetup

PRACTICE = "common practice, no source"
FLAT = 88.0
"""An overhang steeper than this is spoken of as a flat underside."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Checked:
    """Everything the checks found, to be put into words.

    Attributes:
        subject: ``part NAME``.
        layers: The part's layers.
        setup: How it is printed.
        bed: How it sits on the bed.
        spots: What hangs free or is thin, sound spots included.
        standing: What stands alone on the bed.
    """

    subject: str
    layers: Layers
    setup: PrintSetup
    bed: BedFit
    spots: Sequence[Spot]
    standing: Sequence[Standing]


@dataclass(frozen=True, slots=True, kw_only=True)
class _Words:
    sentence: str
    why: str
    cure: str
    value: float
    limit: float
    unit: str


def findings(checked: Checked) -> tuple[Finding, ...]:
    """Put everything into findings, worst first."""
    said = [_bed(checked)]
    for trouble, words in _KINDS.items():
        said += _of_kind(checked, trouble, words)
    said += _footing(checked)
    return tuple(sorted(said, key=lambda finding: finding.verdict.rank))


def _of_kind(checked: Checked, trouble: Trouble, words: Callable[[Checked, list[Spot]], _Words]) -> list[Finding]:
    code = f"layers.{trouble.value.split()[0]}"
    mine = [spot for spot in checked.spots if spot.trouble is trouble]
    said = []
    for verdict in (Verdict.FAILING, Verdict.DOUBTFUL):
        group = [spot for spot in mine if spot.verdict is verdict]
        if group:
            told = words(checked, group)
            worst = _worst(trouble, group)
            x, y = spot_in(worst.region)
            z_low, z_high = heights(worst, checked.layers)
            said.append(
                Finding(
                    code=code,
                    subject=checked.subject,
                    verdict=verdict,
                    sentence=told.sentence,
                    why=told.why,
                    cure=told.cure,
                    value=told.value,
                    limit=told.limit,
                    unit=told.unit,
                    source=PRACTICE,
                    place=Place(z_low=z_low, z_high=z_high, x=x, y=y),
                )
            )
    return said or [_sound(checked, trouble, code, mine)]


def _sound(checked: Checked, trouble: Trouble, code: str, mine: list[Spot]) -> Finding:
    longest = max((spot.measure for spot in mine), default=0.0)
    if trouble is Trouble.BRIDGE and mine:
        sentence = f"the longest of {count(len(mine), 'bridge')} spans {longest:.1f} mm"
    elif trouble is Trouble.OVERHANG and mine:
        sentence = f"{count(len(mine), 'place')} steeper than {SOUND_ANGLE:.0f}°, all too small to sag"
    else:
        sentence = {
            Trouble.OVERHANG: f"nothing leans further than {SOUND_ANGLE:.0f}° from the vertical",
            Trouble.BRIDGE: "nothing has to be bridged",
            Trouble.ISLAND: "no layer starts in mid-air",
            Trouble.THIN: f"no wall is thinner than {LEAST_WALL * checked.setup.line_width:.2f} mm",
        }[trouble]
    return Finding(
        code=code, subject=checked.subject, verdict=Verdict.SOUND, sentence=_sentence(sentence), source=PRACTICE
    )


def _overhang(checked: Checked, group: list[Spot]) -> _Words:
    worst = _worst(Trouble.OVERHANG, group)
    area = sum(spot.region.area for spot in group)
    kind = (
        "a flat underside" if worst.measure > FLAT else f"an overhang of up to {worst.measure:.0f}° from the vertical"
    )
    z = heights(worst, checked.layers)[0]
    head = kind if len(group) == 1 else f"{len(group)} overhangs, the worst {kind}"
    return _Words(
        sentence=_sentence(
            f"{head} at height {z:.1f} mm reaches {worst.reach:.1f} mm over nothing; {area:.0f} mm² in all"
        ),
        why=(
            f"Beyond {SOUND_ANGLE:.0f}° too little of a line lies on the one below; beyond {DOUBTFUL_ANGLE:.0f}° it "
            f"sags or curls, unless it reaches less than {SOUND_REACH} mm."
        ),
        cure=f"turn the part another way up, chamfer the underside to {SOUND_ANGLE:.0f}°, or print support under it",
        value=worst.measure,
        limit=SOUND_ANGLE,
        unit="°",
    )


def _bridge(checked: Checked, group: list[Spot]) -> _Words:
    worst = _worst(Trouble.BRIDGE, group)
    z = heights(worst, checked.layers)[0]
    head = "a bridge" if len(group) == 1 else f"the longest of {len(group)} bridges"
    return _Words(
        sentence=_sentence(f"{head} at height {z:.1f} mm hangs free over {worst.measure:.1f} mm"),
        why=f"Strands hold by themselves to about {SOUND_BRIDGE:.0f} mm and sag beyond {DOUBTFUL_BRIDGE:.0f} mm.",
        cure="make the gap narrower, give it an arched or 45° roof, turn the part, or print support under it",
        value=worst.measure,
        limit=SOUND_BRIDGE,
        unit="mm",
    )


def _island(checked: Checked, group: list[Spot]) -> _Words:
    worst = _worst(Trouble.ISLAND, group)
    z = heights(worst, checked.layers)[0]
    head = "one piece starts" if len(group) == 1 else f"{len(group)} pieces start"
    return _Words(
        sentence=_sentence(f"{head} in mid-air, the largest with {worst.measure:.2f} mm² at height {z:.1f} mm"),
        why="Nothing lies below to lay the first line on.",
        cure="turn the part so that it grows from the bed, join the piece to what stands beside it, or print support",
        value=worst.measure,
        limit=0.0,
        unit="mm²",
    )


def _thin(checked: Checked, group: list[Spot]) -> _Words:
    worst = _worst(Trouble.THIN, group)
    line = checked.setup.line_width
    z_low, z_high = heights(worst, checked.layers)
    head = "a wall" if len(group) == 1 else f"the thinnest of {len(group)} thin walls"
    printed = (
        "no line fits, so it is left out"
        if worst.measure < HOPELESS_WALL * line
        else f"it comes out one line of {line:.2f} mm wide, or not at all"
    )
    return _Words(
        sentence=_sentence(
            f"{head} is {worst.measure:.2f} mm thick between heights {z_low:.1f} and {z_high:.1f} mm: {printed}"
        ),
        why=f"One laid line is {line:.2f} mm wide, and less than {LEAST_WALL} of that is no line.",
        cure=f"draw it {line:.2f} mm thick for one line, or better {2 * line:.2f} mm for two",
        value=worst.measure,
        limit=LEAST_WALL * line,
        unit="mm",
    )


_KINDS: dict[Trouble, Callable[[Checked, list[Spot]], _Words]] = {
    Trouble.ISLAND: _island,
    Trouble.OVERHANG: _overhang,
    Trouble.BRIDGE: _bridge,
    Trouble.THIN: _thin,
}


def _footing(checked: Checked) -> list[Finding]:
    said: list[Finding] = []
    for verdict in (Verdict.FAILING, Verdict.DOUBTFUL, Verdict.SOUND):
        group = [piece for piece in checked.standing if piece.verdict is verdict]
        if group and not (verdict is Verdict.SOUND and said):
            said.append(_footing_finding(checked, group, verdict))
    return said


def _footing_finding(checked: Checked, group: list[Standing], verdict: Verdict) -> Finding:
    worst = min(group, key=lambda piece: piece.safety)
    x, y = spot_in(worst.feet)
    what = "a foot" if worst.count == 1 else f"{worst.count} feet together"
    head = f"{what} of {worst.feet.area:.0f} mm²"
    stands = "stands" if worst.count == 1 else "stand"
    alone = "alone up to height" if worst.joins else "up to the top at"
    many = f" ({len(group)} such)" if len(group) > 1 else ""
    return Finding(
        code="layers.footing",
        subject=checked.subject,
        verdict=verdict,
        sentence=_sentence(
            f"{head} {stands} {alone} {worst.top:.1f} mm{many}; the bed holds {_times(worst.safety)} the nozzle's drag"
        ),
        why=""
        if verdict is Verdict.SOUND
        else f"Below {FAILING_SAFETY:g} it comes loose at middling adhesion, and adhesion varies by more than "
        f"{SOUND_SAFETY:g} times.",
        cure="" if verdict is Verdict.SOUND else _brim(worst),
        value=worst.safety,
        limit=SOUND_SAFETY,
        unit="",
        source=f"statics of peeling; drag and adhesion from memory, limits by {PRACTICE}",
        place=Place(z_low=0.0, z_high=worst.top, x=x, y=y),
    )


def _brim(worst: Standing) -> str:
    others = (
        "join the feet lower down or widen them"
        if worst.joins
        else "widen what stands on the bed, or lay the part down"
    )
    if worst.brim is None:
        return f"{others}; a {WIDEST_BRIM:.0f} mm brim alone reaches {worst.brim_safety:.2g} times"
    return f"print it with a {worst.brim:.0f} mm brim ({worst.brim_safety:.2g} times), or {others}"


def _times(ratio: float) -> str:
    return f"{ratio:.2g} times" if ratio < 20 else "more than 20 times"


def _bed(checked: Checked) -> Finding:
    bed, setup = checked.bed, checked.setup
    x, y, z = bed.size
    room = f"{setup.bed_x:.0f} x {setup.bed_y:.0f} x {setup.bed_z:.0f} mm"
    size = f"{x:.1f} x {y:.1f} x {z:.1f} mm"
    turned = f" when turned by {bed.turn_deg:.0f}°" if bed.turn_deg else ""
    sentence = f"it fits {setup.printer}{turned}: {size} in {room}" if bed.fits else f"{size} does not fit {room}"
    return Finding(
        code="layers.bed",
        subject=checked.subject,
        verdict=Verdict.SOUND if bed.fits else Verdict.FAILING,
        sentence=_sentence(sentence),
        cure="" if bed.fits else "turn it another way up, make it of two pieces, or take a larger printer",
        source="size of the model and of the bed",
    )


def heights(spot: Spot, layers: Layers) -> tuple[float, float]:
    """Where a spot begins and ends [mm above the bed]."""
    return float(layers.bottoms[spot.low]), float(layers.bottoms[spot.high] + layers.thickness[spot.high])


def _worst(trouble: Trouble, group: list[Spot]) -> Spot:
    if trouble is Trouble.THIN:
        return min(group, key=lambda spot: spot.measure)
    if trouble is Trouble.OVERHANG:
        return max(group, key=lambda spot: spot.reach)
    return max(group, key=lambda spot: spot.measure)


def count(number: int, noun: str) -> str:
    """``1 bridge``, ``3 bridges``."""
    return f"{number} {noun}{'' if number == 1 else 's'}"


def _sentence(clause: str) -> str:
    return clause[0].upper() + clause[1:] + "."

"""How numbers and verdicts are written, the same on screen, page and sheet."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable

from shadewright.findings import Finding, Verdict
from shadewright.fit.joint import Draw
from shadewright.layers.report import Patch, Trouble
from shadewright.study.result import JointStudy, PartStudy, Study
from shadewright.wording import duration, percent

MARKS = {Verdict.FAILING: "■", Verdict.DOUBTFUL: "▲", Verdict.UNKNOWN: "◇", Verdict.SOUND: "●"}
"""A shape of its own for every verdict; it never stands without the word."""

HEADLINES = {
    Verdict.FAILING: "Not ready: something here will not come out as it is drawn.",
    Verdict.DOUBTFUL: "Nearly ready: nothing failed, but something may not come out as it is drawn.",
    Verdict.UNKNOWN: "Open questions: nothing failed, but something cannot be told without a trial or a measurement.",
    Verdict.SOUND: "Ready to print, as far as this study looked.",
}
ROUND_FEATURES = {
    ("slide", "male"): "outside",
    ("slide", "female"): "bore",
    ("push", "male"): "pin",
    ("push", "female"): "hole",
}
MOST_DRAWS = 3
"""How many dimensions of one joint are named in a line of text."""
FLAT_FEATURES = {"male": "tongue", "female": "slot"}


def duration_range(low_s: float, high_s: float) -> str:
    """Write a range of times as ``25 min to 1 h 5 min``, or one time when both read the same."""
    low, high = duration(low_s), duration(high_s)
    return low if low == high else f"{low} to {high}"


def mass(grams: float) -> str:
    """Write a mass as ``9.4 g``, ``413 g`` or ``1.24 kg``."""
    if grams < 9.95:
        return f"{grams:.1f} g"
    return f"{grams:.0f} g" if grams < 999.5 else f"{grams / 1000:.2f} kg"


def size(millimetres: float) -> str:
    """Write a size to be drawn, without its unit: ``40.42``."""
    return f"{millimetres:.2f}"


def signed(millimetres: float) -> str:
    """Write a change of size, without its unit: ``+0.42``, ``−0.80``, ``0.00``."""
    text = f"{millimetres:+.2f}".replace("-", "−")
    return "0.00" if text in {"+0.00", "−0.00"} else text


def heights(low: float, high: float) -> str:
    """Write where on the part something is: ``60.0 to 70.0 mm``, or ``at 70.5 mm``."""
    return f"at {low:.1f} mm" if f"{low:.1f}" == f"{high:.1f}" else f"{low:.1f} to {high:.1f} mm"


def count_of(number: int, one: str, several: str | None = None) -> str:
    """Write ``1 lamp`` or ``4 lamps``."""
    return f"{number} {one if number == 1 else several or one + 's'}"


def clean(text: str) -> str:
    """Put one space for every run of white space and control characters, which neither screens nor SVG can show."""
    return " ".join("".join(letter if letter.isprintable() else " " for letter in text).split())


def sentence(clause: str) -> str:
    """Write a clause as a sentence: a capital first, a full stop last; names in quotes keep their letters."""
    text = clause.strip()
    if not text:
        return ""
    return text[0].upper() + text[1:] + ("" if text[-1] in ".!?" else ".")


def tally(findings: Iterable[Finding]) -> tuple[tuple[Verdict, int], ...]:
    """Count findings by verdict, worst first; verdicts that nothing got are left out."""
    counts = Counter(finding.verdict for finding in findings)
    return tuple((verdict, counts[verdict]) for verdict in Verdict if counts[verdict])


def tally_text(findings: Iterable[Finding]) -> str:
    """Write the count of findings as ``2 failing, 1 unknown, 7 sound``."""
    return ", ".join(f"{number} {verdict}" for verdict, number in tally(findings)) or "nothing was checked"


def number(value: float) -> str:
    """Write a number with three significant digits and no exponent: ``0.462``, ``5640``."""
    return f"{float(f'{value:.3g}'):.15g}"


def evidence(finding: Finding) -> str:
    """Write what was found and what it was held against: ``found 67.4°, held against 60°``; empty without numbers."""
    unit = f" {finding.unit}" if finding.unit not in {"", "°"} else finding.unit
    if finding.value is None:
        return ""
    found = f"found {number(finding.value)}{unit}"
    return found if finding.limit is None else f"{found}, held against {number(finding.limit)}{unit}"


def feature(joint: JointStudy) -> str:
    """Name what the drawn size belongs to: ``bore``, ``pin``, ``slot``, ``female thread``."""
    side = joint.sizing.draw_side if joint.sizing else "female"
    if joint.thread:
        return f"{side} thread"
    return ROUND_FEATURES[joint.kind, side] if joint.round else FLAT_FEATURES[side]


def what_to_draw(joint: JointStudy) -> str:
    """Say what to draw in a few words: ``draw the bore of neck 40.42 (+0.42), 84 % snug``.

    Joints of several dimensions give the first three of them; empty when nothing could be sized.
    """
    if joint.sizing is None:
        more = len(joint.draws) - MOST_DRAWS
        listed = ", ".join(f"{draw.what} {drawn(draw)}" for draw in joint.draws[:MOST_DRAWS])
        return f"{listed}, and {more} more" if more > 0 else listed
    sizing = joint.sizing
    major = "major diameter " if joint.thread else ""
    return (
        f"draw the {feature(joint)} of {sizing.draw_part} {major}{size(sizing.draw)} ({signed(sizing.allowance)}), "
        f"{percent(sizing.chance_wanted)} {joint.feel}"
    )


def drawn(draw: Draw) -> str:
    """Write a dimension to draw with its unit; mm go without."""
    if draw.unit == "mm":
        return size(draw.size)
    return f"{number(draw.size)}{'' if draw.unit == '°' else ' '}{draw.unit}".strip()


def measure(patch: Patch) -> str:
    """Write the number that makes a patch of trouble bad, with its unit."""
    return {
        Trouble.OVERHANG: f"{patch.measure:.0f}° from the vertical",
        Trouble.BRIDGE: f"free span {patch.measure:.1f} mm",
        Trouble.ISLAND: f"{patch.measure:.3g} mm² begin in mid-air",
        Trouble.THIN: f"{patch.measure:.2f} mm wide",
        Trouble.FOOTING: f"the bed holds {patch.measure:.2g} times the drag",
    }[patch.trouble]


def patch_verdict(patch: Patch) -> Verdict:
    """Verdict of one patch of trouble."""
    return Verdict.DOUBTFUL if patch.doubtful_only else Verdict.FAILING


def worst_patches(part: PartStudy) -> tuple[Patch, ...]:
    """All trouble of a part: failing first, then by area."""
    return tuple(sorted(part.report.patches, key=lambda patch: (patch.doubtful_only, -patch.area, patch.z_low)))


def pieces(study: Study, part: PartStudy) -> int:
    """How many of a part are printed for all lamps."""
    return study.copies * part.copies

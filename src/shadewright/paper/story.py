"""What page and sheet say, as plain text in plain data: one source for both, no markup in it."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from shadewright.findings import Finding, Verdict
from shadewright.paper import wording
from shadewright.paper.drawings import numbered
from shadewright.printing import PrintSetup, Spread
from shadewright.study.result import JointStudy, PartStudy, Study
from shadewright.wording import duration, percent

Plain = dict[str, Any]

ASSEMBLY = (
    "Unplug, and keep it unplugged, whenever the fitting is open.",
    "Take off the edges of the first layer and every string before you try a joint; they take up the gap.",
    "Try every joint dry before anything is glued or wired.",
    "Wiring is for someone licensed or competent to do it, with approved parts, to the codes that hold where it hangs.",
    "Tighten screws into plastic by feel, and stop when they begin to bite; do not force a thread that binds.",
)
"""Trade practice, no source."""
RECORD = (
    "Plastic nearest the bulb after three hours, °C",
    "Softening, smell or droop",
    "Earth and insulation tested by",
    "Date",
)
"""What the sheet leaves room for: the measurements that no calculation here replaces."""


def tell(study: Study) -> Plain:
    """Everything that is said of a study, in reading order; rules are numbered, findings name the number."""
    sources = _sources(study)
    return {
        "lamp": study.lamp,
        "folder": study.folder,
        "program": study.program,
        "note": study.note,
        "verdict": _verdict(study.verdict),
        "headline": wording.HEADLINES[study.verdict],
        "tally": [{**_verdict(verdict), "number": number} for verdict, number in wording.tally(study.findings)],
        "facts": _facts(study),
        "cautions": [wording.sentence(caution) for caution in study.cautions],
        "assembly": list(ASSEMBLY),
        "record": list(RECORD),
        "findings": [_finding(finding, sources) for finding in study.findings if finding.verdict is not Verdict.SOUND],
        "sound": _sound(study.findings),
        "joints": [_joint(joint, sources) for joint in study.joints],
        "parts": [_part(study, part) for part in study.parts],
        "trials": [_trial(joint) for joint in study.joints if joint.trial],
        "prints": _prints(study),
        "shopping": [
            {
                "name": x.name,
                "kind": x.kind,
                "what": x.description,
                "count": x.count,
                "thread": x.thread,
                "note": x.note,
            }
            for x in study.shopping
        ],
        "sources": sources,
        "setups": _setups(study),
    }


def _verdict(verdict: Verdict) -> Plain:
    return {"word": verdict.value, "mark": wording.MARKS[verdict]}


def _facts(study: Study) -> list[str]:
    trials = [joint.trial for joint in study.joints if joint.trial]
    facts = [
        wording.count_of(study.copies, "lamp"),
        f"{wording.count_of(sum(wording.pieces(study, part) for part in study.parts), 'piece')} to print",
        f"{duration(study.total_time_s)} of printing",
        f"{wording.mass(study.total_mass_g)} of plastic",
    ]
    if trials:
        took = duration(sum(trial.time_s for trial in trials))
        facts.append(f"{wording.count_of(len(trials), 'trial')} first, {took}")
    return facts


def _finding(finding: Finding, sources: list[str]) -> Plain:
    place = finding.place
    return {
        **_verdict(finding.verdict),
        "subject": finding.subject,
        "sentence": wording.sentence(finding.sentence),
        "why": wording.sentence(finding.why),
        "cure": wording.sentence(finding.cure),
        "evidence": wording.evidence(finding),
        "place": wording.heights(place.z_low, place.z_high) if place else "",
        "rule": sources.index(finding.source) + 1 if finding.source else 0,
    }


def _sound(findings: Iterable[Finding]) -> list[Plain]:
    """Sound answers, gathered by what they speak of."""
    gathered: dict[str, list[str]] = {}
    for finding in findings:
        if finding.verdict is Verdict.SOUND:
            gathered.setdefault(finding.subject, []).append(wording.sentence(finding.sentence))
    return [{**_verdict(Verdict.SOUND), "subject": name, "sentences": said} for name, said in gathered.items()]


def _joint(joint: JointStudy, sources: list[str]) -> Plain:
    sizing = joint.sizing
    told: Plain = {
        "name": joint.name,
        "kind": joint.kind,
        "male": joint.male,
        "female": joint.female,
        "feel": joint.feel,
        "thread": joint.thread,
        "count": joint.count,
        "note": joint.note,
        "trial": joint.trial is not None,
        "sized": sizing is not None,
        "draws": [
            {"what": draw.what, "part": draw.part, "size": wording.drawn(draw), "why": draw.why} for draw in joint.draws
        ],
    }
    if sizing is None:
        return told
    today = dict(sizing.chances_today or ())
    drawn_today = next((percent(chance) for feel, chance in today.items() if feel == joint.feel), "")
    return told | {
        "draw": wording.size(sizing.draw),
        "feature": wording.feature(joint) + (", major diameter" if joint.thread else ""),
        "owner": sizing.draw_part,
        "allowance": wording.signed(sizing.allowance),
        "chance": percent(sizing.chance_wanted),
        "today": drawn_today,
        "gap": f"{wording.signed(sizing.gap)} ± {2 * sizing.gap_sd:.2f}",
        "sentence": wording.sentence(sizing.sentence),
        "rule": sources.index(sizing.source) + 1 if sizing.source else 0,
    }


def _part(study: Study, part: PartStudy) -> Plain:
    report, size = part.report, part.mesh.size
    rows = [
        {
            **_verdict(wording.patch_verdict(patch)),
            "number": number,
            "what": patch.trouble.value,
            "measure": wording.measure(patch),
            "heights": wording.heights(patch.z_low, patch.z_high),
            "area": f"{patch.area:.0f} mm²",
        }
        for number, patch in numbered(part)
    ]
    return {
        "name": part.name,
        "file": part.model_file,
        "plastic": part.plastic,
        "notes": [wording.sentence(note) for note in part.model_notes],
        "size": f"{size[0]:.0f} × {size[1]:.0f} × {size[2]:.0f} mm",
        "layers": report.layers,
        "time": duration(report.time_s),
        "mass": wording.mass(report.mass_g),
        "pieces": wording.count_of(wording.pieces(study, part), "piece"),
        "bed": f"stands on {report.bed_area:.0f} mm²{'' if report.fits_bed else '; it does not fit the bed'}",
        "patches": rows,
        "more": len(report.patches) - len(rows),
        "findings": [
            {**_verdict(finding.verdict), "sentence": wording.sentence(finding.sentence)}
            for finding in report.findings
            if finding.verdict is not Verdict.SOUND
        ],
        "sound": wording.count_of(sum(f.verdict is Verdict.SOUND for f in report.findings), "check") + " found sound",
    }


def _trial(joint: JointStudy) -> Plain:
    trial = joint.trial
    assert trial is not None
    cleared = joint.kind not in ("snap", "twist")  # what catches is tried by how far it reaches, not by its room
    return {
        "joint": joint.name,
        "why": wording.sentence(trial.why),
        "how": wording.sentence(trial.piece.how_to),
        "time": duration(trial.time_s),
        "mass": wording.mass(trial.mass_g),
        "files": list(trial.files),
        "third": "Clearance" if cleared else "Digits",
        "rungs": [
            {
                "number": rung.number,
                "drawn": wording.size(rung.drawn),
                "third": wording.signed(rung.clearance) if cleared else f"{100 * rung.clearance:.0f}",
            }
            for rung in trial.piece.rungs
        ],
    }


def _prints(study: Study) -> Plain:
    rows = [
        {
            "part": part.name,
            "plastic": part.plastic,
            "pieces": wording.pieces(study, part),
            "time": duration(part.report.time_s),
            "range": wording.duration_range(part.report.time_low_s, part.report.time_high_s),
            "mass": wording.mass(part.report.mass_g),
            "verdict": _verdict(min((f.verdict for f in part.report.findings), key=_rank, default=Verdict.SOUND)),
        }
        for part in study.parts
    ]
    total = {"time": duration(study.total_time_s), "mass": wording.mass(study.total_mass_g)}
    return {"rows": rows, "total": total}


def _rank(verdict: Verdict) -> int:
    return verdict.rank


def _sources(study: Study) -> list[str]:
    """Every rule once, in the order in which findings and joints call on them."""
    called = [finding.source for finding in study.findings]
    called += [joint.sizing.source for joint in study.joints if joint.sizing]
    return list(dict.fromkeys(source for source in called if source))


def _setups(study: Study) -> list[Plain]:
    """Each way of printing once, with the parts printed so."""
    setups: dict[PrintSetup, list[str]] = {}
    for part in study.parts:
        setups.setdefault(part.setup, []).append(part.name)
    return [{"parts": names, "rows": _setup_rows(setup)} for setup, names in setups.items()]


def _setup_rows(setup: PrintSetup) -> list[tuple[str, str]]:
    habits = setup.habits
    return [
        ("printer", f"{setup.printer}, {setup.bed_x:g} × {setup.bed_y:g} × {setup.bed_z:g} mm"),
        ("nozzle", f"{setup.nozzle:g} mm, lines {setup.line_width:g} mm wide"),
        ("layers", f"{setup.layer:g} mm, the first {setup.first_layer:g} mm"),
        ("inside", f"{setup.walls} walls, {setup.skins} skins, {percent(setup.infill)} filled"),
        ("plastic", setup.plastic.name),
        ("an outer wall grows", f"{_spread(habits.outer_growth)} mm"),
        ("a hole shrinks", f"{_spread(habits.hole_shrink)} mm, and {_spread(habits.hole_curl)} mm² over its diameter"),
        ("lengths come out", f"{_spread(habits.scale_xy, 4)} of what is drawn"),
        ("first layer spreads", f"{_spread(habits.flare)} mm a side"),
        ("print to print", f"± {habits.scatter:.2f} mm (one standard deviation)"),
        ("from", habits.source),
    ]


def _spread(spread: Spread, digits: int = 2) -> str:
    return f"{spread.mean:.{digits}f} ± {spread.sd:.{digits}f}"

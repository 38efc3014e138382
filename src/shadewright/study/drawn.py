"""What the models really have where joints meet: found sizes checked against, or taken instead of, stated ones."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace

from shadewright.catalog.threads import Sex
from shadewright.findings import Finding, Verdict
from shadewright.fit.as_printed import SAGITTA_MEAN
from shadewright.fit.drawn import FoundSize, Match, match
from shadewright.fit.joint import JointQuestion, Side
from shadewright.lamp.model import Joint
from shadewright.lamp.read import ReadLamp
from shadewright.solid.find import find_features
from shadewright.solid.find_types import Features
from shadewright.solid.read import Model

GRAVE = 0.1
"""A stated size further off the model than this is failing [mm]; about what a change of feel takes; our rule."""
SOURCE = "measured on the model's own surfaces or facets"
MOST_NAMED = 4


@dataclass(slots=True)
class ModelFeatures:
    """Features of the parts' models, found when first asked for and kept for one run.

    Attributes:
        models: Every part's model, in its own coordinates.
        found: What was found so far.
    """

    models: Mapping[str, Model]
    found: dict[str, Features] = field(default_factory=dict)

    def of(self, part: str) -> Features | None:
        """What the model of ``part`` holds; None when it has no model."""
        model = self.models.get(part)
        if model is None:
            return None
        if part not in self.found:
            self.found[part] = find_features(model.mesh, model.surfaces)
        return self.found[part]


def with_models(
    read: ReadLamp, question: JointQuestion, features: ModelFeatures
) -> tuple[JointQuestion, tuple[Finding, ...]]:
    """The question with both sides as their models have them, and what is to be said of that.

    Args:
        read: The lamp.
        question: A thread, slide or push joint as stated in ``lamp.toml``.
        features: What the models hold.
    """
    joint = read.lamp.joint[question.name]
    sides: dict[Sex, Side] = {Sex.MALE: question.male, Sex.FEMALE: question.female}
    findings: list[Finding] = []
    for sex, side in sides.items():
        held = features.of(side.name) if side.habits is not None else None
        if held is None:
            continue
        near = joint.at_male if sex is Sex.MALE else joint.at_female
        place = None if near is None else (near[0], near[1], near[2])
        matched = match(question, sex, held, place, side.drawn)
        if matched.found is None:
            findings.append(_not_told(question, sex, side, matched))
        else:
            findings.append(_told(question, sex, side, matched.found))
            sides[sex] = _as_found(side, matched.found, facets_stated=_facets_stated(joint, sex))
    return replace(question, male=sides[Sex.MALE], female=sides[Sex.FEMALE]), tuple(findings)


def _facets_stated(joint: Joint, sex: Sex) -> bool:
    return (joint.facets_male if sex is Sex.MALE else joint.facets_female) is not None


def _as_found(side: Side, found: FoundSize, *, facets_stated: bool) -> Side:
    """The side as the model has it.

    A size stated by another way of measuring facets is kept, with the chord error that makes it the same polygon.
    """
    if side.drawn is None or not found.agrees(side.drawn):
        return replace(side, drawn=round(found.size, 3), sagitta=found.sagitta)
    if facets_stated:
        return side
    return replace(side, sagitta=max(0.0, (side.drawn - found.effective) / (2 * SAGITTA_MEAN)))


def _told(question: JointQuestion, sex: Sex, side: Side, found: FoundSize) -> Finding:
    named = _named(found)
    if side.drawn is None:
        verdict, sentence, cure = Verdict.SOUND, f"the model of {side.name} has {named}, taken as drawn", ""
    elif found.agrees(side.drawn):
        verdict, cure = Verdict.SOUND, ""
        sentence = f"the model of {side.name} has {named}, as lamp.toml says ({side.drawn:.2f})"
    else:
        off = min(abs(side.drawn - found.low), abs(side.drawn - found.high))
        verdict = Verdict.FAILING if off > GRAVE else Verdict.DOUBTFUL
        sentence = f"lamp.toml says {side.drawn:.2f}, the model of {side.name} has {named}"
        cure = f"write drawn_{sex.value} = {found.size:.2f} or leave it out, or mend the model: the model was believed"
    return Finding(
        code="drawn.size",
        subject=f"joint {question.name}",
        verdict=verdict,
        sentence=sentence,
        why=f"it lies at ({_place(found)}) in the model's own coordinates",
        cure=cure,
        value=round(found.size, 3),
        limit=side.drawn,
        unit="mm",
        source=SOURCE,
    )


def _not_told(question: JointQuestion, sex: Sex, side: Side, matched: Match) -> Finding:
    what = _wanted(question, sex)
    about = side.drawn if side.drawn is not None else question.nominal
    if matched.candidates:
        named = "; ".join(_placed(one) for one in matched.candidates[:MOST_NAMED])
        sentence = f"the model of {side.name} has several that may be the {what} of about {about:.2f} mm: {named}"
        cure = f"say which by a rough place, e.g. at_{sex.value} = [{_place(matched.candidates[0])}]"
    else:
        sentence = f"no {what} of about {about:.2f} mm was found in the model of {side.name}"
        cure = (
            f"check the size stated, or say roughly where it is: at_{sex.value} = [x, y, z] in the model's coordinates"
        )
    if side.drawn is not None:
        sentence += f"; drawn_{sex.value} = {side.drawn:.2f} is taken at its word"
    return Finding(
        code="drawn.size",
        subject=f"joint {question.name}",
        verdict=Verdict.UNKNOWN,
        sentence=sentence,
        cure=cure,
        limit=side.drawn,
        unit="mm",
        source=SOURCE,
    )


def _named(found: FoundSize) -> str:
    """The feature with its sizes: ``a bore of 40.43 mm (40.39 across its flats)``."""
    many = f"{found.alike} of them, " if found.alike > 1 else ""
    if found.thread:
        return f"a {found.what} with a major diameter of {found.size:.2f} mm ({many}{found.thread})"
    across = found.size - 2 * found.sagitta
    facets = f"{across:.2f} across its flats" if found.size - across >= 0.01 else ""
    remark = ", ".join(part for part in (many.rstrip(", "), facets) if part)
    return f"a {found.what} of {found.size:.2f} mm" + (f" ({remark})" if remark else "")


def _placed(found: FoundSize) -> str:
    many = f", {found.alike} of them, one" if found.alike > 1 else ""
    return f"{found.size:.2f}{many} at ({_place(found)})"


def _place(found: FoundSize) -> str:
    """Where it is, in hundredths."""
    return ", ".join(f"{round(value, 2) + 0.0:g}" for value in found.middle)


def _wanted(question: JointQuestion, sex: Sex) -> str:
    if question.thread is not None:
        return f"{sex.value} {question.thread.name} thread"
    if question.round:
        return "bore" if sex is Sex.FEMALE else "boss"
    return "slot" if sex is Sex.FEMALE else "tongue"

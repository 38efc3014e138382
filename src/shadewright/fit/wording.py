"""A sizing in one sentence."""

from __future__ import annotations

from shadewright.catalog.threads import Sex
from shadewright.fit.joint import JointKind, JointQuestion, Share

_NAMED_SHARES = 3
_LEAST_NAMED = 0.005

_NOUNS = {
    (JointKind.SLIDE, Sex.MALE): "outside",
    (JointKind.SLIDE, Sex.FEMALE): "bore",
    (JointKind.PUSH, Sex.MALE): "pin",
    (JointKind.PUSH, Sex.FEMALE): "hole",
}
_FLAT_NOUNS = {Sex.MALE: "tongue", Sex.FEMALE: "slot"}


def feature_name(question: JointQuestion, sex: Sex) -> str:
    """What the drawn size belongs to: bore, pin, slot, male thread ..."""
    if question.thread is not None:
        return f"{sex} {question.thread.name} thread"
    return _NOUNS[question.kind, sex] if question.round else _FLAT_NOUNS[sex]


def sizing_sentence(question: JointQuestion, sex: Sex, draw: float, shares: tuple[Share, ...]) -> str:
    """Say what to draw and what the difference from nominal is spent on.

    Args:
        question: The joint.
        sex: Which side is drawn.
        draw: The size to draw [mm].
        shares: What the room is spent on [mm], largest first.
    """
    part = question.male.name if sex is Sex.MALE else question.female.name
    major = "with a major diameter of " if question.thread is not None else ""
    head = f"draw the {feature_name(question, sex)} of {part} {major}{draw:.2f} mm"
    allowance = draw - question.nominal
    if abs(allowance) < _LEAST_NAMED:
        return f"{head}: nominal as it is"
    side = "over" if allowance > 0 else "under"
    return f"{head}: {abs(allowance):.2f} {side} nominal{_spent(allowance, sex, shares)}"


def _spent(allowance: float, sex: Sex, shares: tuple[Share, ...]) -> str:
    """Say what the allowance is spent on, signed where the shares pull both ways."""
    sign = 1.0 if sex is Sex.FEMALE else -1.0
    named = [(sign * share.mm, share.name) for share in shares if abs(share.mm) >= _LEAST_NAMED][:_NAMED_SHARES]
    if not named:
        return ""
    if all(mm * allowance > 0 for mm, _ in named):
        return ", of which " + ", ".join(f"{abs(mm):.2f} for {name}" for mm, name in named)
    rest = allowance - sum(mm for mm, _ in named)
    parts = [f"{_signed(mm)} for {name}" for mm, name in named]
    if abs(rest) >= _LEAST_NAMED:
        parts.append(f"{_signed(rest)} for the rest")
    return ", made up of " + ", ".join(parts)


def _signed(mm: float) -> str:
    return f"{mm:+.2f}".replace("-", "−")

"""The joint a trial asked about, as plain data and back: a trial outlives the lamp it was made for."""

from __future__ import annotations

import json
from functools import cache
from typing import TYPE_CHECKING, Any

from shadewright.errors import ValueProblem
from shadewright.fit.joint import JointQuestion

if TYPE_CHECKING:
    from pydantic import TypeAdapter


def question_data(question: JointQuestion) -> dict[str, Any]:
    """The question as nested tables; what is not stated is left out."""
    data: dict[str, Any] = _adapter().dump_python(question, mode="json", exclude_none=True)
    return data


def question_text(question: JointQuestion) -> str:
    """The question as one line of JSON; numbers keep every digit."""
    return json.dumps(question_data(question), ensure_ascii=False)


def question_from(data: Any, where: str = "") -> JointQuestion:
    """The question that ``question_data`` or ``question_text`` was made of.

    Args:
        data: Nested tables, or JSON text.
        where: Where it stands, for the refusal.

    Raises:
        ValueProblem: It is no such question; the first thing wrong with it is named.
    """
    from pydantic import ValidationError

    try:
        text = data if isinstance(data, str) else json.dumps(data, default=str, allow_nan=False)
        return _adapter().validate_json(text)
    except ValidationError as invalid:
        first = invalid.errors(include_url=False)[0]
        what = f"{'.'.join(map(str, first['loc'])) or 'question'}: {first['msg'].lower()}"
    except (ValueError, RecursionError):
        what = "a number in it is not finite, or it is nested too deep"
    raise ValueProblem.of(
        f"the joint this trial asked about is wrong ({what})",
        'restore what "shadewright bench export" wrote, or leave this trial out',
        where,
    )


@cache
def _adapter() -> TypeAdapter[JointQuestion]:
    from pydantic import TypeAdapter

    return TypeAdapter(JointQuestion)

"""Chains stated in a lamp: what is refused, and what the study says of them."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from shadewright.bench.store import Bench
from shadewright.errors import ValueProblem
from shadewright.findings import Verdict
from shadewright.lamp.read import parse_lamp, read_lamp
from shadewright.lamp.start import start_lamp
from shadewright.study.stacks import study_stacks

HEAD = 'schema = 1\n[lamp]\nname = "Test"\n[bought.washer]\nkind = "other"\n'


@pytest.fixture
def bench(tmp_path: Path) -> Iterator[Bench]:
    with Bench.open(tmp_path / "own.sqlite") as opened:
        yield opened


def lamp(folder: Path, gap: str, collar: float) -> Path:
    start_lamp(folder, "porch")
    file = folder / "lamp.toml"
    text = file.read_text(encoding="utf-8")
    text = text.replace("gap = [0.0, 1.2]", f"gap = {gap}").replace("size = 20, sign", f"size = {collar}, sign")
    file.write_text(text, encoding="utf-8")
    return folder


@pytest.mark.parametrize(
    ("gap", "collar", "verdict"),
    [
        ("[0.0, 1.2]", 20.0, Verdict.SOUND),
        ("[0.4, 0.8]", 19.8, Verdict.FAILING),
        ("[0.3, 0.9]", 19.8, Verdict.DOUBTFUL),
    ],
)
def test_the_study_says_how_often_and_what_to_draw(
    tmp_path: Path, bench: Bench, gap: str, collar: float, verdict: Verdict
) -> None:
    (finding,) = study_stacks(read_lamp(lamp(tmp_path / "porch", gap, collar)), bench)

    assert (finding.subject, finding.verdict) == ("stack rim", verdict)
    assert finding.why.startswith("skirt of holder matters most")
    if verdict is not Verdict.SOUND:
        # The gap's middle 0.6 asks for a collar of 19.4 + 0.6 mm over the height scale of PLA, 0.999.
        assert finding.cure.startswith("draw height of collar 20.02, 0.22 more than now")


def test_mistakes_name_line_and_cure(tmp_path: Path) -> None:
    text = (
        HEAD + "[stack.rim]\ngap = [1.0, 0.0]\nmembers = [\n"
        '  { what = "a", part = "lid", size = 5, sign = "+" },\n'
        '  { what = "b", bought = "washer", size = 3.0, sign = "-" },\n'
        '  { what = "c", size = 3.0, sign = "-" },\n'
        '  { what = "d", bought = "washer", size = 3.0, sign = "-", tolerance = 0.1, axes = "z" },\n]\n'
    )
    with pytest.raises(ValueProblem) as caught:
        parse_lamp(text, tmp_path / "lamp.toml")

    told = [str(problem) for problem in caught.value.problems]
    assert told[0] == "lamp.toml, line 7: the gap runs from 1 to 0; write the smaller one first."
    assert told[1] == 'lamp.toml, line 9: no part is called "lid"; known: none so far.'
    assert told[2].startswith('lamp.toml, line 10: "b" is bought and has no tolerance; add tolerance')
    assert told[3].startswith('lamp.toml, line 11: "c" is of neither or both')
    assert told[4] == 'lamp.toml, line 12: unknown key "axes" in [stack.rim.members.3]; write "axis".'

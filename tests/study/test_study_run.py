"""The whole study on small lamps."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from lamps import SLIDE, lamp_folder

from shadewright.bench.store import Bench
from shadewright.cli.main import main
from shadewright.errors import UserError
from shadewright.findings import Verdict
from shadewright.lamp.read import read_lamp
from shadewright.study.cautions import HANGING, MAINS, cautions_for
from shadewright.study.run import run_study


def study(folder: Path, tmp_path: Path):
    with Bench.open(tmp_path / "bench.sqlite") as bench:
        return run_study(read_lamp(folder), bench)


def test_findings_come_worst_first_and_decide_the_verdict(tmp_path: Path) -> None:
    result = study(lamp_folder(tmp_path / "lamp", SLIDE + "drawn_male = 20.0\ndrawn_female = 20.0\n"), tmp_path)

    ranks = [finding.verdict.rank for finding in result.findings]
    assert ranks == sorted(ranks)
    assert result.verdict is Verdict.FAILING
    assert {part.name for part in result.parts} == {"post", "socket"}


def test_copies_multiply_time_mass_and_shopping(tmp_path: Path) -> None:
    bought = '[bought.bulb]\nkind = "bulb"\ncount = 2\nmains = true\n'
    one = study(lamp_folder(tmp_path / "one", bought), tmp_path)
    folder = lamp_folder(tmp_path / "four", bought)
    text = (folder / "lamp.toml").read_text(encoding="utf-8").replace('lamp"\n', 'lamp"\ncopies = 4\n', 1)
    (folder / "lamp.toml").write_text(text, encoding="utf-8")
    four = study(folder, tmp_path)

    assert four.total_mass_g == pytest.approx(4 * one.total_mass_g)
    assert four.total_time_s == pytest.approx(4 * one.total_time_s)
    assert (one.shopping[0].count, four.shopping[0].count) == (2, 8)


def test_all_broken_models_are_told_in_one_go(tmp_path: Path) -> None:
    folder = lamp_folder(tmp_path / "lamp", "")
    for name in ("post", "socket"):
        (folder / "models" / f"{name}.3mf").write_bytes(b"not a model")

    with pytest.raises(UserError) as caught:
        study(folder, tmp_path)

    assert len(caught.value.problems) == 2
    assert all("lamp.toml, line" in str(problem) for problem in caught.value.problems)


def test_mains_cautions_stand_unless_the_lamp_plainly_has_no_mains_part(tmp_path: Path) -> None:
    def cautions(name: str, text: str) -> tuple[str, ...]:
        return cautions_for(read_lamp(lamp_folder(tmp_path / name, text)).lamp)

    assert set(MAINS) <= set(cautions("nothing stated", ""))
    assert set(MAINS) <= set(cautions("mains", '[bought.bulb]\nkind = "bulb"\nmains = true\n'))
    assert not set(MAINS) & set(cautions("low", '[bought.bulb]\nkind = "bulb"\n'))
    assert set(HANGING) <= set(cautions("hung", "[surroundings]\nabove_people = true\n"))


def test_readings_that_contradict_the_stated_thread_fail(tmp_path: Path) -> None:
    text = """
[bought.nipple]
kind = "pipe"
thread = "M10x1"
readings = { outside = [13.25], crests = 8, over = 9.9 }
"""
    result = study(lamp_folder(tmp_path / "lamp", text), tmp_path)
    (finding,) = [finding for finding in result.findings if finding.code == "naming.thread"]

    assert finding.verdict is Verdict.FAILING
    assert "M10x1" in finding.sentence


def test_a_thread_nobody_measured_and_no_document_confirms_is_unknown(tmp_path: Path) -> None:
    text = '[bought.holder]\nkind = "holder"\nthread = "E27 barrel"\n'
    result = study(lamp_folder(tmp_path / "lamp", text), tmp_path)

    assert any(finding.code == "naming.unmeasured" for finding in result.findings)


def test_the_command_writes_paper_and_tells_failing_by_its_exit_code(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    flawed = lamp_folder(tmp_path / "lamp", SLIDE + "drawn_male = 20.0\ndrawn_female = 20.0\n")
    bench = str(tmp_path / "bench.sqlite")

    assert main(["study", str(flawed), "--bench", bench, "--json"]) == 1

    data = json.loads(capsys.readouterr().out)
    assert data["verdict"] == "failing"
    assert {Path(path).name for path in data["written"]} >= {"study.html", "sheet.pdf"}
    assert all(Path(path).stat().st_size > 1000 for path in data["written"])
    (flawed / "lamp.toml").write_text(
        (flawed / "lamp.toml").read_text().replace("drawn_female = 20.0", "drawn_female = 20.2")
    )
    assert main(["study", str(flawed), "--bench", bench, "--no-paper"]) == 0

"""The examples do what their pages say."""

from __future__ import annotations

import re
import runpy
import shlex
import shutil
from pathlib import Path

import numpy as np
import pytest

from shadewright.bench.store import Bench
from shadewright.cli.main import main
from shadewright.findings import Finding, Verdict
from shadewright.lamp.read import read_lamp
from shadewright.solid.mesh import Mesh
from shadewright.solid.read import read_model
from shadewright.study.run import run_study

ROOT = Path(__file__).resolve().parents[1]
CHART = ROOT / "examples" / "chart_table_lamp"
RING = ROOT / "examples" / "broken_shade_ring"


@pytest.fixture(scope="module")
def findings(tmp_path_factory: pytest.TempPathFactory) -> tuple[Finding, ...]:
    with Bench.open(tmp_path_factory.mktemp("bench") / "bench.sqlite") as bench:
        return run_study(read_lamp(CHART), bench).findings


def test_the_chart_table_lamp_is_as_rich_as_promised() -> None:
    lamp = read_lamp(CHART).lamp

    assert len(lamp.part) >= 6
    assert len(lamp.joint) >= 7
    assert {str(joint.kind) for joint in lamp.joint.values()} >= {"thread", "slide", "push"}


def test_its_three_mistakes_are_found_and_nothing_else_fails(findings: tuple[Finding, ...]) -> None:
    failing = {(finding.subject, finding.code) for finding in findings if finding.verdict is Verdict.FAILING}

    assert failing == {
        ("part shade", "layers.overhang"),  # a roof far too flat
        ("part mast", "layers.footing"),  # tall, on three small prongs
        ("joint step", "fit.joint"),  # snug, drawn with no clearance
    }


def test_its_models_are_what_its_script_draws() -> None:
    drawn = runpy.run_path(str(CHART / "build.py"))
    for draw in drawn["PARTS"]:
        mesh: Mesh = draw()
        kept = read_model(CHART / "models" / f"{mesh.name}.3mf").mesh

        assert kept.volume == pytest.approx(mesh.volume, rel=1e-4)
        assert np.allclose(kept.size, mesh.size, atol=1e-3)


def commands(page: Path) -> list[list[str]]:
    """The shadewright commands shown on a page."""
    shown = re.findall(r"(?m)^\s*\$ shadewright (.+)$", page.read_text(encoding="utf-8"))
    return [shlex.split(words) for words in shown]


def test_the_broken_ring_is_named_and_made_as_its_page_says(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    (tmp_path / "examples").mkdir()
    shutil.copytree(RING, tmp_path / "examples" / "broken_shade_ring", ignore=shutil.ignore_patterns("out"))
    monkeypatch.chdir(tmp_path)
    name, make, study = commands(RING / "README.md")

    assert main(name) == 0
    assert "E27 barrel" in capsys.readouterr().out
    assert main(make) == 0
    made, kept = read_model(tmp_path / "ring.3mf").mesh, read_model(RING / "models" / "ring.3mf").mesh
    assert made.volume == pytest.approx(kept.volume, rel=1e-4)
    assert main(study) == 0
    assert (tmp_path / "examples" / "broken_shade_ring" / "out" / "sheet.pdf").is_file()


def test_commands_in_the_docs_exist(capsys: pytest.CaptureFixture[str]) -> None:
    pages = [ROOT / "README.md", *sorted((ROOT / "docs").glob("*.md"))]
    named = {word for page in pages for word in re.findall(r"`shadewright ([a-z]+)", page.read_text(encoding="utf-8"))}

    assert named
    for word in sorted(named):
        assert main([word, "--help"]) == 0
    capsys.readouterr()


def test_links_between_pages_resolve() -> None:
    for page in [ROOT / "README.md", ROOT / "CONTRIBUTING.md", *(ROOT / "docs").glob("*.md")]:
        for target in re.findall(r"\]\(([^)#:]+)\)", page.read_text(encoding="utf-8")):
            assert (page.parent / target).exists(), f"{page.name} links to {target}"

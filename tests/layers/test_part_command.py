"""``shadewright part`` as a maker meets it."""

import json
from pathlib import Path

import pytest
from layer_shapes import table

from shadewright.cli.main import main
from shadewright.solid import kernel
from shadewright.solid.mesh import Mesh
from shadewright.solid.write import write_stl


@pytest.fixture(autouse=True)
def own_bench(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("SHADEWRIGHT_BENCH", str(tmp_path / "bench.sqlite"))


def written(mesh: Mesh, tmp_path: Path, name: str) -> str:
    path = tmp_path / name
    write_stl(path, mesh)
    return str(path)


def test_a_sound_part_ends_with_0(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["part", written(kernel.box((20, 20, 10)), tmp_path, "block.stl")]) == 0
    said = capsys.readouterr().out

    assert said.startswith("block: ● sound (6 sound)\n")
    assert "20.00 x 20.00 x 10.00 mm" in said
    assert "■" not in said


def test_a_failing_part_ends_with_1_and_says_the_worst_first(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["part", written(table(), tmp_path, "table.stl")]) == 1
    said = capsys.readouterr().out

    assert said.index("■ failing\n") < said.index("● sound\n")
    assert "A flat underside at height 40.0 mm" in said
    assert "brim" in said
    assert all(len(line) <= 90 for line in said.splitlines())


def test_turned_over_it_is_sound(tmp_path: Path) -> None:
    assert main(["part", written(table(), tmp_path, "table.stl"), "--up=-z"]) == 0


def test_json_carries_findings_and_no_triangles(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["part", written(table(), tmp_path, "table.stl"), "--json", "--layer", "0.25"]) == 1
    answer = json.loads(capsys.readouterr().out)

    assert answer["verdict"] == "failing"
    assert answer["setup"]["layer"] == 0.25
    assert answer["report"]["layers"] == 176
    assert answer["report"]["findings"][0]["verdict"] == "failing"
    assert "trouble_by_face" not in answer["report"]


def test_a_missing_file_is_one_sentence(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["part", str(tmp_path / "nowhere.stl")]) == 2

    assert len(capsys.readouterr().err.strip().splitlines()) == 1

"""The build sheet: complete, set in embedded fonts, and deaf to hostile names."""

import dataclasses
import re
import shutil
import subprocess
from pathlib import Path

import pytest
from sample_study import FINDINGS, sample_study

from shadewright.errors import ValueProblem
from shadewright.findings import Verdict
from shadewright.paper.drawings import Drawings, draw_study
from shadewright.paper.sheet import pdf, write_pdf
from shadewright.study.result import Study

needs_poppler = pytest.mark.skipif(shutil.which("pdftotext") is None, reason="no pdftotext on this machine")
HOSTILE = '#panic("no") $x^2$ *b* _i_ @ref <label> \\ #import "@preview/x:1.0.0" // /* = head'


def words(made: bytes, folder: Path) -> str:
    (folder / "sheet.pdf").write_bytes(made)
    run = subprocess.run(["pdftotext", "-layout", "sheet.pdf", "-"], cwd=folder, capture_output=True, check=True)
    return " ".join(run.stdout.decode().split())


def facts(made: bytes, folder: Path, tool: str) -> str:
    (folder / "sheet.pdf").write_bytes(made)
    return subprocess.run([tool, "sheet.pdf"], cwd=folder, capture_output=True, check=True).stdout.decode()


@pytest.fixture(scope="module")
def sheet(study: Study, drawings: Drawings) -> bytes:
    return pdf(study, drawings)


@needs_poppler
def test_the_sheet_says_what_to_draw_buy_print_and_beware_of(study: Study, sheet: bytes, tmp_path: Path) -> None:
    text = words(sheet, tmp_path)
    for joint in study.joints:
        assert joint.name in text
        assert joint.sizing is None or f"{joint.sizing.draw:.2f}" in text
    for said in ("E27 holder with shade ring", "14 h 14 min", "16.55", "Trials to print first", "Putting it together"):
        assert said in text
    for caution in study.cautions:
        assert caution[:60] in text
    for finding in FINDINGS:
        assert finding.sentence[1:45] in text
    for verdict in Verdict:
        assert verdict.value in text


@needs_poppler
def test_pages_and_figures_are_numbered(sheet: bytes, tmp_path: Path) -> None:
    text = words(sheet, tmp_path)
    pages = int(re.findall(r"Pages:\s+(\d+)", facts(sheet, tmp_path, "pdfinfo"))[0])
    assert pages >= 2
    assert [f"page {n} / {pages}" in text for n in range(1, pages + 1)] == [True] * pages
    assert [f"Figure {n}:" in text for n in range(1, 6)] == [True] * 5


@needs_poppler
def test_every_font_is_embedded(sheet: bytes, tmp_path: Path) -> None:
    rows = facts(sheet, tmp_path, "pdffonts").splitlines()[2:]
    assert rows
    assert all(row.split()[-5] == "yes" for row in rows)


@needs_poppler
@pytest.mark.parametrize(("paper", "size"), [("a4", (595, 842)), ("us-letter", (612, 792))])
def test_the_sheet_has_the_size_asked_for(study: Study, drawings: Drawings, tmp_path: Path, paper, size) -> None:
    """ISO 216 A4 is 210 x 297 mm, ANSI Letter 8.5 x 11 in; points of 1/72 in."""
    found = re.findall(r"Page size:\s+([\d.]+) x ([\d.]+)", facts(pdf(study, drawings, paper), tmp_path, "pdfinfo"))[0]
    assert tuple(round(float(side)) for side in found) == size


@needs_poppler
def test_hostile_names_are_literal_text(tmp_path: Path) -> None:
    study = sample_study(lamp=HOSTILE, part_name=HOSTILE, note=HOSTILE)
    finding = dataclasses.replace(FINDINGS[0], subject=HOSTILE, sentence=HOSTILE, cure=HOSTILE, source=HOSTILE)
    study = dataclasses.replace(study, findings=(finding,), cautions=(HOSTILE,))
    text = words(pdf(study, draw_study(study, width=80, height=60)), tmp_path)
    assert text.count('#panic("no") $x^2$ *b* _i_ @ref <label> \\ #import "@preview/x:1.0.0" // /*') >= 3


def test_control_characters_and_foreign_letters_do_not_stop_the_sheet() -> None:
    study = sample_study(lamp="a\x00\x1b\nb", part_name="海図 🎈 \x07", note="é ß Ω ﬁ")
    trial = study.joints[1].trial
    assert trial is not None
    named = dataclasses.replace(trial, piece=dataclasses.replace(trial.piece, joint="\x00<&>\x1b"))
    joints = (dataclasses.replace(study.joints[1], name="\x00<&>\x1b", trial=named),)
    assert pdf(dataclasses.replace(study, joints=joints), draw_study(study, width=80, height=60)).startswith(b"%PDF-")


def test_an_almost_empty_lamp_still_makes_a_sheet() -> None:
    bare = dataclasses.replace(
        sample_study(), findings=(), joints=(), parts=(), shopping=(), cautions=(), note="", verdict=Verdict.SOUND
    )
    assert pdf(bare, Drawings(parts={})).startswith(b"%PDF-")


def test_the_same_study_gives_the_same_sheet(study: Study, drawings: Drawings, sheet: bytes) -> None:
    assert pdf(study, drawings) == sheet


def test_an_unknown_paper_is_refused_in_words(study: Study, drawings: Drawings, tmp_path: Path) -> None:
    with pytest.raises(ValueProblem, match=r'the sheet cannot be set on "a3"; use a4 or us-letter\.'):
        write_pdf(study, tmp_path / "sheet.pdf", "a3", drawings)  # type: ignore[arg-type]


def test_the_sheet_is_written_whole(study: Study, drawings: Drawings, tmp_path: Path) -> None:
    path = write_pdf(study, tmp_path / "out" / "sheet.pdf", "a4", drawings)
    assert path.read_bytes().rstrip().endswith(b"%%EOF")
    assert [entry.name for entry in path.parent.iterdir()] == ["sheet.pdf"]

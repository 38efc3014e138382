"""The study page: well formed, self-contained, complete, readable, and deaf to hostile names."""

import base64
import dataclasses
import itertools
import json
import re
import shutil
import subprocess
from collections import Counter
from html.parser import HTMLParser
from pathlib import Path

import pytest
from sample_study import FINDINGS, sample_study

from shadewright.findings import Verdict
from shadewright.paper import palette
from shadewright.paper.drawings import Drawings, draw_study
from shadewright.paper.page import html, write_html
from shadewright.study.result import Study

VOID = {"meta", "link", "img", "br", "path", "rect"}
HOSTILE = "<script>alert(1)</script>\"'&"


class Outline(HTMLParser):
    """Tags as a stack, attributes and text of a page."""

    def __init__(self, page: str) -> None:
        super().__init__()
        self.stack: list[str] = []
        self.tags: list[tuple[str, dict[str, str | None]]] = []
        self.words: list[str] = []
        self.feed(page)
        self.close()

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append((tag, dict(attrs)))
        if tag not in VOID:
            self.stack.append(tag)

    def handle_startendtag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append((tag, dict(attrs)))

    def handle_endtag(self, tag: str) -> None:
        assert self.stack.pop() == tag

    def handle_data(self, data: str) -> None:
        if self.stack and self.stack[-1] != "style":
            self.words.append(data)

    @property
    def text(self) -> str:
        return " ".join(" ".join(self.words).split())


@pytest.fixture(scope="module")
def page(study: Study, drawings: Drawings) -> str:
    return html(study, drawings)


@pytest.fixture(scope="module")
def outline(page: str) -> Outline:
    return Outline(page)


def test_tags_are_closed_in_order(outline: Outline) -> None:
    assert outline.stack == []


def test_ids_are_unique_and_links_lead_somewhere(outline: Outline) -> None:
    ids = Counter(attributes["id"] for _, attributes in outline.tags if "id" in attributes)
    links = [attributes["href"] for tag, attributes in outline.tags if tag == "a"]
    assert {name: times for name, times in ids.items() if times > 1} == {}
    assert {str(link) for link in links} <= {f"#{name}" for name in ids}
    assert len(links) >= 8


def test_nothing_is_fetched_and_nothing_runs(page: str, outline: Outline) -> None:
    loaded = [v for _, a in outline.tags for k, v in a.items() if k in {"src", "href", "srcset", "data", "xlink:href"}]
    assert all(str(value).startswith(("data:", "#")) for value in loaded)
    used = re.findall(r"url\(([^)]*)\)|@import ([^;]*)", page)
    assert all(name.startswith("#") for name, _ in used)
    assert set(re.findall(r"https?://[^\s\"'<]+", page)) <= {"http://www.w3.org/2000/svg"}
    assert not any(tag in {"script", "iframe", "object", "embed", "form"} for tag, _ in outline.tags)
    assert not any(name.startswith("on") for _, attributes in outline.tags for name in attributes)


def test_every_finding_is_shown_with_its_verdict_in_words(outline: Outline) -> None:
    text = outline.text
    for finding in FINDINGS:
        for said in (finding.sentence, finding.why, finding.cure):
            assert said[1:] in text
    for verdict in Verdict:
        assert text.count(verdict.value) >= 2


def test_the_worst_findings_stand_first(outline: Outline) -> None:
    places = [outline.text.index(finding.sentence[1:]) for finding in FINDINGS]
    assert places == sorted(places)


def test_joints_trials_parts_shopping_and_cautions_are_all_there(study: Study, outline: Outline) -> None:
    text = outline.text
    for joint in study.joints:
        assert joint.name in text
        assert joint.sizing is None or f"{joint.sizing.draw:.2f}" in text
    for line in study.shopping:
        assert line.description in text
    for caution in study.cautions:
        assert caution in text
    for said in ("16.55", "14 h 14 min", "413 g", "0.15 ± 0.06 mm", "built-in start"):
        assert said in text


def test_both_views_of_every_part_are_embedded_with_words_for_them(study: Study, outline: Outline) -> None:
    images = [attributes for tag, attributes in outline.tags if tag == "img"]
    assert len(images) == 2 * len(study.parts)
    for image in images:
        assert base64.b64decode(str(image["src"]).split(",")[1]).startswith(b"\x89PNG\r\n")
        assert "seen from" in str(image["alt"])
    drawings = [attributes for tag, attributes in outline.tags if tag == "svg" and "role" in attributes]
    assert all(len(str(attributes["aria-label"])) > 10 for attributes in drawings)


def test_headings_step_down_one_at_a_time_and_tables_name_their_rows_and_columns(outline: Outline) -> None:
    levels = [int(tag[1]) for tag, _ in outline.tags if re.fullmatch("h[1-6]", tag)]
    assert levels[0] == 1
    assert levels.count(1) == 1
    assert all(later - earlier <= 1 for earlier, later in itertools.pairwise(levels))
    assert all("scope" in attributes for tag, attributes in outline.tags if tag == "th")
    tables = sum(tag == "table" for tag, _ in outline.tags)
    assert tables == sum(tag == "caption" for tag, _ in outline.tags) > 4
    assert ("html", {"lang": "en"}) in outline.tags


def test_hostile_names_stay_text() -> None:
    study = sample_study(lamp=HOSTILE, part_name=HOSTILE, note=HOSTILE)
    finding = dataclasses.replace(FINDINGS[0], subject=HOSTILE, sentence=HOSTILE, cure=HOSTILE, source=HOSTILE)
    study = dataclasses.replace(study, findings=(finding,), cautions=(HOSTILE,), program=HOSTILE)
    outline = Outline(html(study, draw_study(study, width=80, height=60)))
    assert "script" not in {tag for tag, _ in outline.tags}
    assert outline.stack == []
    assert outline.text.count(HOSTILE) >= 8


def test_an_almost_empty_lamp_still_makes_a_page() -> None:
    bare = dataclasses.replace(
        sample_study(), findings=(), joints=(), parts=(), shopping=(), cautions=(), note="", verdict=Verdict.SOUND
    )
    outline = Outline(html(bare, Drawings(parts={})))
    assert outline.stack == []
    for said in ("states no joints", "states no parts", "Nothing is bought", "Nothing is failing"):
        assert said in outline.text


def test_the_same_study_gives_the_same_page(study: Study, drawings: Drawings, page: str) -> None:
    assert html(study, drawings) == page


def test_the_page_is_written_whole(study: Study, drawings: Drawings, tmp_path: Path) -> None:
    path = write_html(study, tmp_path / "out" / "study.html", drawings)
    assert path.read_text(encoding="utf-8").rstrip().endswith("</html>")
    assert [entry.name for entry in path.parent.iterdir()] == ["study.html"]


TEXT_INKS = [palette.INK, palette.FADED, palette.BRASS, palette.SEA, *palette.VERDICT_INK.values()]


@pytest.mark.parametrize("ground", [palette.PAPER, palette.LEAF, palette.WHITE])
@pytest.mark.parametrize("ink", TEXT_INKS)
def test_text_can_be_read_on_every_ground(ink: str, ground: str) -> None:
    """WCAG 2.1, success criterion 1.4.3: 4.5 to 1 for text of ordinary size."""
    assert palette.contrast(ink, ground) >= 4.5


def test_contrast_of_black_on_white_is_21() -> None:
    """WCAG 2.1: ratios run from 1 to 21; #777777 on white is 4.48, the well-known near miss (from memory)."""
    assert palette.contrast("#000000", "#ffffff") == pytest.approx(21)
    assert palette.contrast("#777777", "#ffffff") == pytest.approx(4.48, abs=0.005)


CHROMIUM = shutil.which("chromium") or shutil.which("chromium-browser") or shutil.which("google-chrome")
FLAGS = """--headless --no-sandbox --disable-gpu --disable-quic --no-first-run --disable-background-networking
--disable-component-update --disable-sync --allow-file-access-from-files --hide-scrollbars"""
PROBE = """<body style="margin:0">
<iframe id="f" src="study.html" style="border:0;height:2000px" width="{width}"></iframe>
<pre id="answer"></pre><script>
document.getElementById("f").onload = function () {{
  var doc = this.contentDocument, wide = doc.documentElement.scrollWidth, over = [];
  doc.querySelectorAll("body *").forEach(function (e) {{
    var box = e.getBoundingClientRect();
    if (!e.closest("svg, .skip") && box.right > {width} + 0.5) over.push(e.tagName + "." + e.className);
  }});
  document.getElementById("answer").textContent = "ANSWER" + JSON.stringify({{wide: wide, over: over}}) + "END";
}};</script>"""


@pytest.mark.browser
@pytest.mark.skipif(CHROMIUM is None, reason="no headless Chromium on this machine")
@pytest.mark.parametrize("width", [390, 1280])
@pytest.mark.parametrize("long_name", [False, True])
def test_the_page_needs_no_sideways_scrolling(width: int, long_name: bool, tmp_path: Path) -> None:
    name = "shade-with-a-very-long-name-" * 4 + "without_any_break" if long_name else "shade"
    study = sample_study(lamp="x" * 80 if long_name else "Tide table lamp", part_name=name)
    write_html(study, tmp_path / "study.html", draw_study(study, width=240, height=180))
    (tmp_path / "probe.html").write_text(PROBE.format(width=width))
    command = [str(CHROMIUM), *FLAGS.split(), f"--user-data-dir={tmp_path / 'profile'}"]
    command += ["--window-size=1400,2000", "--virtual-time-budget=4000", "--dump-dom"]
    command += [(tmp_path / "probe.html").as_uri()]
    dom = subprocess.run(command, capture_output=True, text=True, timeout=60, check=True).stdout
    found = re.search("ANSWER(.*?)END", dom)
    assert found, "the probe did not run"
    answer = json.loads(found.group(1).replace("&gt;", ">"))
    assert answer == {"wide": width, "over": []}

"""Names as people write them."""

import subprocess
import sys

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shadewright.catalog import lookup
from shadewright.errors import UnknownName, ValueProblem


@pytest.mark.parametrize(
    ("written", "meant"),
    [
        ("M10", "M10x1.5"),
        ("m 10 × 1.0", "M10x1"),
        ("M10-1", "M10x1"),
        ("M8X1,25", "M8x1.25"),
        ("M3x.5", "M3x0.5"),
        ("M10x1.5-6H", "M10x1.5"),
        ("M16x1 6g", "M16x1"),
        ("1/4-20", "1/4-20 UNC"),
        ("1/4–20 unc", "1/4-20 UNC"),
        ('1/4" x 20', "1/4-20 UNC"),
        ("1/4-20 UNC-2A", "1/4-20 UNC"),
        ("8-32", "#8-32 UNC"),
        ("No. 8-32 UNC", "#8-32 UNC"),
        ("1-1/8-12", "1-1/8-12 UNF"),
        ("1/8 IP", "1/8-27 NPSM"),
        ("1/4-27 UNS", "1/4-27 UNS"),
        ("e27", "E27"),
        (" E 27 ", "E27"),
        ("SES", "E14"),
        ("E26 US", "E26"),
        ("E10 us", "E10 US"),
        ("E10", "E10"),
        ("E27-Barrel", "E27 barrel"),
        ("28x2", "E14 barrel"),
        ('G 1/2"', "G1/2"),
        ("1/2 BSP", "G1/2"),
        ("G1/2 A", "G1/2"),
        ("tr 20 x 4", "Tr20x4"),
        ("PG 13.5", "Pg13.5"),
        ("1/2 in x 26", "1/2x26 brass"),
    ],
)
def test_threads_are_found_however_they_are_written(written, meant):
    assert lookup.thread(written).name == meant


def test_every_name_and_every_alias_leads_to_its_own_row():
    for table in (
        (lookup.threads(), lookup.thread),
        (lookup.plastics(), lookup.plastic),
        (lookup.glues(), lookup.glue),
        (lookup.bulbs(), lookup.bulb),
        (lookup.holders(), lookup.holder),
        (lookup.cords(), lookup.cord),
        (lookup.light_sources(), lookup.light_source),
    ):
        entries, find = table
        for entry in entries:
            for writing in (entry.name, *entry.aliases):
                assert find(writing) is entry, writing


@given(st.sampled_from(lookup.threads()), st.data())
def test_case_and_spaces_do_not_matter(row, data):
    letters = [data.draw(st.sampled_from((letter.lower(), letter.upper()))) for letter in row.name]
    spaces = data.draw(st.lists(st.sampled_from(("", " ")), min_size=len(letters), max_size=len(letters)))
    assert lookup.thread("".join(letter + space for letter, space in zip(letters, spaces, strict=True))) is row


@given(st.text(max_size=30))
def test_any_other_text_is_refused_in_one_sentence(text):
    try:
        found = lookup.thread(text)
    except UnknownName as error:
        (problem,) = error.problems
        assert "no thread is called" in problem.what and problem.cure
    else:
        assert lookup.folded(found.name)  # a real row was meant


@pytest.mark.parametrize(
    ("wrong", "offered"), [("M10x7", "M10x1"), ("E28", "E27"), ("1/4-21", "1/4-20 UNC"), ("m10 X 1.1", "M10x1")]
)
def test_a_wrong_name_offers_near_ones(wrong, offered):
    with pytest.raises(UnknownName) as refusal:
        lookup.thread(wrong, where="lamp.toml, line 7")
    (problem,) = refusal.value.problems
    assert offered in problem.cure and problem.where == "lamp.toml, line 7"


@pytest.mark.parametrize(
    ("find", "kind"),
    [(lookup.plastic, "plastic"), (lookup.glue, "glue"), (lookup.bulb, "bulb"), (lookup.holder, "holder")],
)
def test_cards_refuse_unknown_names_too(find, kind):
    with pytest.raises(UnknownName, match=f"no {kind} is called"):
        find("wood chips of unknown kind")


def test_anchorage_by_total_section():
    # IEC 60598-1, memory: 60 N and 0.15 Nm to 1.5 mm²; 60 N and 0.25 Nm to 3 mm²
    flat = lookup.anchorage(lookup.cord("H03VVH2-F 2x0.75").total_area_mm2)
    earthed = lookup.anchorage(lookup.cord("H05VV-F 3G0.75").total_area_mm2)
    assert (flat.pull_n, flat.torque_nm) == (60, 0.15)
    assert (earthed.pull_n, earthed.torque_nm) == (60, 0.25)
    with pytest.raises(ValueProblem, match="anchorage"):
        lookup.anchorage(12)


CHILD = """
import sys
from shadewright.catalog.lookup import threads
count = len(threads())
heavy = sorted({name.partition(".")[0] for name in sys.modules} & {"numpy", "scipy", "pydantic", "rich", "trimesh"})
print(count, *heavy)
"""


def test_loading_threads_pulls_in_nothing_heavy():
    run = subprocess.run([sys.executable, "-c", CHILD], capture_output=True, text=True, check=True, timeout=60)
    count, *heavy = run.stdout.split()
    assert int(count) == len(lookup.threads())
    assert heavy == []

"""The small figures: valid drawings that say the same in words."""

import dataclasses
import xml.etree.ElementTree as ET

import numpy as np
import pytest
from sample_study import patch, sample_study, trial_piece

from shadewright.fit.joint import Share
from shadewright.layers.report import Trouble
from shadewright.paper.figures import (
    DRAWN_EDGES,
    allowance_figure,
    chance_figure,
    layer_figure,
    seen_edges,
    swatch,
    trial_figure,
)

SVG = "{http://www.w3.org/2000/svg}"
NECK, PIVOT, LINER = (joint.sizing for joint in sample_study().joints[:3])
assert NECK and PIVOT and LINER


def boxes(svg: str) -> list[dict[str, str]]:
    return [box.attrib for box in ET.fromstring(svg).findall(f"{SVG}rect")]


def texts(svg: str) -> list[str]:
    return [str(text.text) for text in ET.fromstring(svg).iter(f"{SVG}text")]


def test_columns_are_as_high_as_the_chances() -> None:
    heights = [float(box["height"]) for box in boxes(chance_figure(NECK, "snug").svg)]
    chances = np.array([chance for _, chance in NECK.chances])
    assert np.array(heights) / sum(heights) == pytest.approx(chances, abs=4e-3)  # heights have one decimal


def test_the_wanted_feel_is_named_and_filled_and_todays_is_told() -> None:
    figure = chance_figure(NECK, "snug")
    assert "wanted" in texts(figure.svg)
    assert len({box["fill"] for box in boxes(figure.svg)}) == 2
    assert "snug 84 %" in figure.says
    assert "As drawn today" in figure.says
    assert "As drawn today" not in chance_figure(PIVOT, "snug").says


def test_steps_of_the_allowance_add_up_to_the_room() -> None:
    figure = allowance_figure(NECK)
    assert texts(figure.svg)[-1] == "+0.42"
    assert "the rest" not in texts(figure.svg)
    values = [float(text.replace("−", "-")) for text in texts(allowance_figure(PIVOT).svg)[1::2]]
    assert sum(values[:-1]) == pytest.approx(values[-1], abs=0.02)


def test_a_slimmer_male_side_gives_room() -> None:
    assert texts(allowance_figure(LINER).svg)[-1] == "+0.80"


def test_many_shares_become_a_few_rows() -> None:
    many = tuple(Share(name=f"share {n}", mm=0.02, sd=0.01) for n in range(20))
    rows = texts(allowance_figure(dataclasses.replace(NECK, shares=many)).svg)
    assert rows.count("+0.02") == 7
    assert "the rest" in rows


def test_trouble_sits_at_its_height() -> None:
    figure = layer_figure([patch(Trouble.OVERHANG, False, 50, 100, 10, 70, 0)], 100.0, "p1")
    box = boxes(figure.svg)[0]
    axis = {text.text: float(text.attrib["y"]) for text in ET.fromstring(figure.svg).iter(f"{SVG}text")}
    assert float(box["height"]) == pytest.approx((axis["0"] - axis["100 mm"]) / 2, abs=0.2)
    assert "overhang failing 50.0 to 100.0 mm" in figure.says
    assert 'fill="url(#p1-failing)"' in figure.svg


@pytest.mark.parametrize("height", [0.3, 1.0, 7.9, 8.0, 81, 640])
def test_heights_have_a_handful_of_round_ticks(height: float) -> None:
    figure = layer_figure([patch(Trouble.THIN, True, 0, height, 1, 0.3, 0)], height, "p")
    assert 4 <= len(texts(figure.svg)) <= 10
    for box in boxes(figure.svg):
        top = float(box["y"])
        assert 0 < top < top + float(box["height"]) < 206


def test_the_trial_shows_every_rung_with_number_and_size() -> None:
    trial = sample_study().joints[1].trial
    assert trial is not None
    said = texts(trial_figure(trial.piece).svg)
    for rung in trial.piece.rungs:
        assert str(rung.number) in said
        assert f"{rung.drawn:.2f}" in said


def test_outlines_from_above_are_rims_and_not_the_triangles_inside_a_face() -> None:
    """A plate of four pierced rings: the length of all outlines follows from its sizes."""
    edges = seen_edges(trial_piece())
    length = np.linalg.norm((edges[:, 1] - edges[:, 0])[:, :2], axis=1).sum()
    rims = 2 * (96 + 26) + 4 * 2 * np.pi * 11 + sum(np.pi * d for d in (16.1, 16.25, 16.4, 16.55))
    # The rings' outer circle is drawn twice, as rim of the ring and as edge of the plate around it; marks add a little.
    assert rims < length < rims + 4 * 2 * np.pi * 11 + 10 * 2 * (1 + 3) * 2
    assert len(edges) <= DRAWN_EDGES


def test_names_in_figures_are_escaped() -> None:
    share = Share(name='<b>&"\x1b', mm=0.4, sd=0.0)
    figure = allowance_figure(dataclasses.replace(NECK, shares=(share,)))
    assert '<b>&"' in texts(figure.svg)


def test_swatches_tell_the_kinds_apart_by_pattern() -> None:
    drawn = {kind: swatch(kind, "k").svg for kind in ("failing", "doubtful", "bed")}
    assert "url(#k-failing)" in drawn["failing"]
    assert "url(#k-doubtful)" in drawn["doubtful"]
    assert "url(" not in drawn["bed"]

"""The drawing of where to measure, and the picture of prints before and after they were."""

from __future__ import annotations

import math
import re
from dataclasses import replace
from itertools import combinations
from xml.etree import ElementTree

import pytest
from evidence_samples import HABITS, PIECE

from shadewright.fit.compared import compare
from shadewright.fit.evidence import FeatureKind, FeatureReading
from shadewright.paper import palette
from shadewright.paper.bench_figure import BADGE, FOOT_INK, comparison_figure, measuring_drawing
from shadewright.printing import Spread
from shadewright.solid.calibration import calibration_piece

SVG = "{http://www.w3.org/2000/svg}"
AFTER = replace(
    HABITS,
    outer_growth=Spread(0.09, 0.004),
    hole_shrink=Spread(0.1, 0.005),
    hole_curl=Spread(0.5, 0.05),
    scale_xy=Spread(0.9965, 0.0004),
    scatter=0.02,
)


def reading(kind: FeatureKind, drawn: float, *values: float) -> FeatureReading:
    return FeatureReading(feature=f"{kind} {drawn}", kind=kind, drawn=drawn, readings=values, print_name="p")


READINGS = (
    reading(FeatureKind.OUTER, 5.0, 5.17, 5.15),
    reading(FeatureKind.OUTER, 48.0, 48.02),
    reading(FeatureKind.SLOT, 10.0, 9.78),
    reading(FeatureKind.HOLE, 4.0, 3.76),
    reading(FeatureKind.HEIGHT, 2.6, 2.61),
)


def test_every_letter_has_a_badge_of_its_own_inside_the_drawing() -> None:
    piece = calibration_piece()

    drawing = measuring_drawing(piece)

    root = ElementTree.fromstring(drawing.svg)
    width, height = float(root.get("width", 0)), float(root.get("height", 0))
    badges = [ring for ring in root.iter(f"{SVG}circle") if float(ring.get("r", 0)) == BADGE]
    places = [(float(ring.get("cx", 0)), float(ring.get("cy", 0))) for ring in badges]
    letters = [word.text for word in root.iter(f"{SVG}text") if word.get("font-size") == "17"]
    assert letters == [one.letter for one in piece.features]
    assert all(BADGE < x < width - BADGE and BADGE < y < height - BADGE for x, y in places)
    assert min(math.dist(one, other) for one, other in combinations(places, 2)) > 2 * BADGE + 2
    for one in piece.features:
        assert f"{one.letter} {one.words}, {one.drawn:g} mm" in drawing.says


def test_arrowheads_stand_on_the_points_the_caliper_touches() -> None:
    """Two for each width, as far apart as it is drawn, at the drawing's scale of 8 to a mm."""
    piece = calibration_piece()
    shapes = ElementTree.fromstring(measuring_drawing(piece).svg).iter(f"{SVG}path")
    tips = [
        tuple(map(float, found.groups()))
        for shape in shapes
        if (found := re.fullmatch(r"M(\S+) (\S+)L.*z", shape.get("d", "")))
    ]

    widths = [one for one in piece.features if one.kind != "height"]
    assert len(tips) == 2 * len(widths)
    for one, tip, other in zip(widths, tips[::2], tips[1::2], strict=True):
        assert math.dist(tip, other) == pytest.approx(8 * one.drawn, abs=0.15), one.letter


def test_lines_of_the_picture_are_those_of_the_as_printed_model() -> None:
    """Closed form written at ``AsPrinted``: N (s - 1) + 2 g, minus 2 g for slots, - a - b / d for holes."""
    outer, slot, hole = compare(HABITS, AFTER, READINGS)

    for panel in (outer, slot, hole):
        for habits, line in ((HABITS, panel.before), (AFTER, panel.after)):
            for size, error in zip(panel.drawn, line, strict=True):
                scale, growth = habits.scale_xy, habits.outer_growth
                parts = {
                    FeatureKind.OUTER: (2 * growth.mean, 2 * growth.sd, 0.0),
                    FeatureKind.SLOT: (-2 * growth.mean, 2 * growth.sd, 0.0),
                    FeatureKind.HOLE: (
                        -habits.hole_shrink.mean - habits.hole_curl.mean / size,
                        habits.hole_shrink.sd,
                        habits.hole_curl.sd / size,
                    ),
                }[panel.kind]
                assert error.mean == pytest.approx(size * (scale.mean - 1) + parts[0])
                assert error.sd == pytest.approx(math.hypot(size * scale.sd, *parts[1:], habits.scatter))
    assert [drawn for drawn, _ in outer.dots] == [5.0, 5.0, 48.0]
    assert [error for _, error in outer.dots] == pytest.approx([0.17, 0.15, 0.02])
    assert (outer.drawn[0], outer.drawn[-1]) == pytest.approx((4.0, 52.8))


def test_only_what_was_read_has_a_panel() -> None:
    assert [panel.kind for panel in compare(HABITS, AFTER, PIECE.features)] == [FeatureKind.OUTER, FeatureKind.HOLE]
    assert compare(HABITS, AFTER, READINGS[-1:]) == ()


def test_the_picture_shows_both_and_every_reading() -> None:
    picture = comparison_figure(compare(HABITS, AFTER, READINGS), "attic, nozzle 0.4 mm, <matte>")

    root = ElementTree.fromstring(picture.svg)
    words = [word.text for word in root.iter(f"{SVG}text")]
    for shown in (
        "Outer widths and pins",
        "Slots",
        "Round holes",
        "attic, nozzle 0.4 mm, <matte>",
        "5",
        "48",
        "4",
        "0",
    ):
        assert shown in words
    assert picture.svg.count("l8 8m0 -8l-8 8") == 5 + 1
    assert len([path for path in root.iter(f"{SVG}path") if path.get("fill-opacity")]) == 6
    assert "at 15 mm: +0.07 ± " in picture.says
    assert "3 readings" in picture.says


def test_nothing_of_the_picture_is_cut_off() -> None:
    far = (*READINGS, reading(FeatureKind.HOLE, 8.0, 7.0))
    picture = comparison_figure(compare(HABITS, AFTER, far), "p")

    height = float(ElementTree.fromstring(picture.svg).get("height", 0))
    heights = [float(y) for y in re.findall(r"M[\d.]+ ([\d.]+)l8 8m0", picture.svg)]
    assert len(heights) == 7
    assert all(62 <= y <= height - 92 for y in sorted(heights)[:-1])


@pytest.mark.parametrize("ink", [palette.SEA, palette.BRASS, FOOT_INK, palette.FADED])
def test_inks_can_be_read_on_the_ground(ink: str) -> None:
    assert palette.contrast(ink, palette.PAPER) >= 4.5

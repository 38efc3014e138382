"""The drawing is a whole SVG, stays inside its frame, and shows crests where it counts them."""

import math
from xml.etree import ElementTree as Tree

import pytest

from shadewright.catalog.threads import Sex
from shadewright.naming.drawing import CRESTS, HEIGHT, WIDTH, how_to_measure_svg, how_to_measure_text, ridge

SVG = "{http://www.w3.org/2000/svg}"


@pytest.mark.parametrize("sex", list(Sex))
def test_everything_lies_inside_the_frame(sex):
    root = Tree.fromstring(how_to_measure_svg(sex))

    points = [
        tuple(map(float, pair.split(","))) for one in root.iter(f"{SVG}polygon") for pair in one.get("points").split()
    ]
    points += [
        (float(line.get(x)), float(line.get(y)))
        for line in root.iter(f"{SVG}line")
        for x, y in (("x1", "y1"), ("x2", "y2"))
    ]
    for rect in root.iter(f"{SVG}rect"):
        x, y = float(rect.get("x", 0)), float(rect.get("y", 0))
        points += [(x, y), (x + float(rect.get("width")), y + float(rect.get("height")))]
    assert all(0 <= x <= WIDTH and 0 <= y <= HEIGHT for x, y in points)
    for text in root.iter(f"{SVG}text"):
        wide = 0.6 * float(text.get("font-size")) * len(text.text)  # generous mean width of a letter
        assert float(text.get("x")) + (wide / 2 if text.get("text-anchor") == "middle" else wide) <= WIDTH


@pytest.mark.parametrize("sex", list(Sex))
def test_the_counted_crests_are_where_the_ridge_is_highest(sex):
    """Numbers 1 to n stand over (male) or under (female) points of the ridge nearest to them."""
    root = Tree.fromstring(how_to_measure_svg(sex))
    numbers = [text for text in root.iter(f"{SVG}text") if text.text.isdigit()]
    body = next(iter(root.iter(f"{SVG}polygon"))).get("points").split()
    outline = [tuple(map(float, pair.split(","))) for pair in body]
    upper = [point for point in outline if point[1] < 300]

    assert [number.text for number in numbers] == [str(i + 1) for i in range(CRESTS)]
    for number in numbers:
        x = float(number.get("x"))
        near = [y for px, y in upper if abs(px - x) < 20]
        at = next(y for px, y in upper if math.isclose(px, x, abs_tol=0.06))
        assert at == (min(near) if sex is Sex.MALE else max(near))


def test_ridge_has_crests_one_pitch_apart():
    points = dict(ridge(100, 50, 4, 10, pitch=20))

    assert [points[x] for x in (100, 120, 140)] == pytest.approx([50, 50, 50])
    assert [points[x] for x in (110, 130, 150)] == pytest.approx([60, 60, 60])


def test_words_differ_where_the_caliper_does():
    male, female = how_to_measure_text(Sex.MALE), how_to_measure_text(Sex.FEMALE)

    assert "over the crests" in male[0]
    assert "inside jaws" in female[0]
    assert "N - 1 pitches" in male[1]
    assert male[1] == female[1]

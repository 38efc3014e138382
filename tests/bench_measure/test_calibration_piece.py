"""The calibration piece: what its list says is drawn is what the mesh has, and a caliper gets at it."""

from __future__ import annotations

from functools import cache
from itertools import combinations

import numpy as np
import pytest
import shapely

from shadewright.bench.store import Bench
from shadewright.errors import ValueProblem
from shadewright.findings import Verdict
from shadewright.layers.check import PartToPrint, check_part
from shadewright.layers.costing import print_cost
from shadewright.solid import kernel
from shadewright.solid.calibration import CHAMFER, CalibrationPiece, PieceFeature, calibration_piece, piece_features
from shadewright.solid.marks import letter
from shadewright.solid.mesh import Mesh

FEATURES = piece_features()
ACROSS = [one for one in FEATURES if one.kind != "height"]


@cache
def piece() -> CalibrationPiece:
    return calibration_piece()


@cache
def region(z: float) -> shapely.Geometry:
    """The piece cut at a height."""
    (figure,) = kernel.sections(piece().mesh, [z])
    whole: shapely.Geometry = shapely.Polygon()
    for contour in figure:  # holes run the other way; what is inside an odd number of contours is filled
        whole = whole.symmetric_difference(shapely.Polygon(contour))
    return whole


def measured(feature: PieceFeature, z: float) -> float:
    """What the cut has between the points that the caliper touches [mm]."""
    one, other = np.array(feature.ends)[:, :2]
    middle, along = (one + other) / 2, (other - one) / np.linalg.norm(other - one)
    if feature.kind in ("slot", "hole"):
        line = shapely.LineString([middle - 0.75 * feature.drawn * along, middle + 0.75 * feature.drawn * along])
        free = [
            part
            for part in shapely.get_parts(line.difference(region(z)))
            if part.distance(shapely.Point(middle)) < 1e-6
        ]
        (gap,) = free
        return float(gap.length)
    line = shapely.LineString([middle - 60 * along, middle + 60 * along])
    reach = [float(np.dot(point - middle, along)) for point in shapely.get_coordinates(line.intersection(region(z)))]
    return max(reach) - min(reach)


@pytest.mark.parametrize("feature", ACROSS, ids=lambda one: one.letter)
def test_every_width_is_drawn_as_the_list_says(feature: PieceFeature) -> None:
    """Facets stray 0.003 mm at most, and circles have the drawn size in the mean."""
    assert measured(feature, feature.ends[0][2] or 0.05) == pytest.approx(feature.drawn, abs=0.007)
    assert np.linalg.norm(np.subtract(*feature.ends)) == pytest.approx(feature.drawn)


@pytest.mark.parametrize("feature", [one for one in ACROSS if one.kind == "hole"], ids=lambda one: one.letter)
def test_holes_have_the_area_of_the_true_circle(feature: PieceFeature) -> None:
    x, y = np.mean(np.array(feature.ends), axis=0)[:2]
    rings = [shapely.Polygon(ring) for part in shapely.get_parts(region(1.3)) for ring in part.interiors]
    (hole,) = [ring for ring in rings if ring.contains(shapely.Point(x, y))]

    assert hole.area == pytest.approx(np.pi * feature.drawn**2 / 4, rel=1e-6)


@pytest.mark.parametrize("sign", "LM")
def test_pins_have_the_area_of_the_true_circle(sign: str) -> None:
    pin = next(one for one in FEATURES if one.letter == sign)

    assert region(pin.ends[0][2]).area == pytest.approx(np.pi * pin.drawn**2 / 4, rel=1e-6)


def test_the_foot_is_round_where_nothing_joins_it() -> None:
    for turn in (*range(120, 200, 7), *range(-70, -30, 7)):
        ray = 12 * np.array([np.cos(np.radians(turn)), np.sin(np.radians(turn))])
        assert shapely.LineString([(0, 0), ray]).intersection(region(1.3)).length == pytest.approx(8, abs=0.003)


def test_heights_are_those_of_the_list() -> None:
    body, tower = (one for one in FEATURES if one.kind == "height")
    spot = shapely.Point(body.ends[1][:2])

    assert region(body.drawn - 1e-3).contains(spot)
    assert not region(body.drawn + 1e-3).contains(spot)
    assert piece().mesh.bounds[:, 2] == pytest.approx([0, tower.drawn])


@pytest.mark.parametrize("feature", [one for one in ACROSS if one.letter not in "LM"], ids=lambda one: one.letter)
def test_the_first_layer_flares_into_no_reading_but_the_foots(feature: PieceFeature) -> None:
    """At the bed outer sizes stand back and holes are wider by nearly the chamfer, on both sides."""
    change = measured(feature, 0.05) - feature.drawn

    if feature.kind == "foot":
        assert change == pytest.approx(0, abs=1e-6)
    else:
        back = 2 * (CHAMFER - 0.05)
        assert change == pytest.approx(-back if feature.kind == "outer" else back, abs=0.02)


def jaws(feature: PieceFeature) -> list[Mesh]:
    """Ends of a caliper's jaws at a feature, 40 mm long: 3 mm wide and 5 deep outside, 0.4 wide and 1.2 deep inside."""
    one, other = np.array(feature.ends)[:, :2]
    along = (other - one) / np.linalg.norm(other - one)
    inside = feature.kind in ("slot", "hole")
    wide, deep, z = (0.4, 1.2, 0.8) if inside else (3.0, 5.0, feature.ends[0][2])
    turn = np.degrees(np.arctan2(along[1], along[0]))
    made = []
    for end, way in ((one, -along), (other, along)):
        middle = end + way * (deep / 2 + 0.02) * (-1 if inside else 1)
        block = kernel.box((deep, wide, 40.0))
        angle = np.radians(turn)
        about = np.array([[np.cos(angle), np.sin(angle), 0], [-np.sin(angle), np.cos(angle), 0], [0, 0, 1]])
        base = z if feature.kind != "foot" else -39.7  # the foot is read with the piece turned over
        made.append(Mesh(block.vertices @ about, block.faces).moved(*middle, base + 20))
    return made


@pytest.mark.parametrize("feature", ACROSS, ids=lambda one: one.letter)
def test_jaws_reach_every_width_and_touch_nothing_else(feature: PieceFeature) -> None:
    assert sum(kernel.overlap_volume(piece().mesh, jaw) for jaw in jaws(feature)) == pytest.approx(0, abs=0.05)


def test_it_is_one_closed_body_printed_without_a_failing_finding_in_under_25_minutes() -> None:
    mesh = piece().mesh
    with Bench.open() as bench:
        setup = bench.setup()

    assert kernel.is_solid(mesh) is None
    assert len(kernel.bodies(mesh)) == 1
    assert print_cost([mesh], setup).time_s < 25 * 60
    report = check_part(PartToPrint(name="piece", mesh=mesh, setup=setup))
    assert {finding.verdict for finding in report.findings} == {Verdict.SOUND}


def test_a_letter_stands_at_every_feature_on_the_flat_of_the_body() -> None:
    """The cut through the marks, moved to each letter's place, is that letter."""
    assert [one.letter for one in FEATURES] == list("ABCDEFGHJKLMNPRSTUV")
    top = next(one.drawn for one in FEATURES if one.letter == "T")
    for one in FEATURES:
        drawn = shapely.union_all(
            [shapely.Polygon(ring) for ring in letter(one.letter, 0.8, 4.0) if shapely.Polygon(ring).exterior.is_ccw]
        )
        outline = shapely.affinity.translate(drawn, *one.mark)
        found = region(top + 0.2).intersection(outline.envelope)
        assert found.area == pytest.approx(kernel.area(letter(one.letter, 0.8, 4.0)), rel=0.01), one.letter
        assert region(top - 0.1).contains(outline), one.letter


def test_all_letters_look_different() -> None:
    figures = {one.letter: letter(one.letter, 0.8, 4.0) for one in FEATURES}

    for (one, figure), (other, another) in combinations(figures.items(), 2):
        apart = kernel.area(kernel.plane_difference(figure, another)) + kernel.area(
            kernel.plane_difference(another, figure)
        )
        assert apart > 0.8, (one, other)


def test_heights_are_whole_layers() -> None:
    coarse = {one.letter: one.drawn for one in piece_features(0.3, 0.4)}

    assert (coarse["T"] - 0.4) / 0.3 == pytest.approx(7)
    assert coarse["U"] - coarse["T"] == pytest.approx(2 * 9 * 0.3)
    tall = calibration_piece(0.6, 0.3, 0.4).mesh
    assert tall.bounds[1, 2] == pytest.approx(coarse["U"])


@pytest.mark.parametrize(
    ("sizes", "sentence"),
    [
        ({"nozzle": 1.0}, "a nozzle of 1 mm cannot make the piece's letters"),
        ({"layer": 0.0}, "layer is 0 mm"),
        ({"first_layer": float("nan")}, "first layer is nan mm"),
    ],
)
def test_what_cannot_be_printed_is_refused(sizes: dict[str, float], sentence: str) -> None:
    with pytest.raises(ValueProblem, match=sentence):
        calibration_piece(**sizes)


def test_an_unknown_letter_is_refused() -> None:
    with pytest.raises(ValueProblem, match='"Q" cannot be marked; use one of ABCDEFGHJKLMNPRSTUV'):
        letter("Q", 0.8, 4.0)

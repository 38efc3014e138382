"""What must hold for every row of a thread family, computed from the standards' formulas, which stand here again."""

from itertools import pairwise
from math import sqrt

import pytest

from shadewright.catalog.lookup import threads
from shadewright.catalog.tables import rows
from shadewright.catalog.threads import Form, Sex

UM = 0.001
METRIC = [row for row in threads() if row.families[0].startswith("metric")]
UNIFIED = [row for row in threads() if row.families[0].startswith("Unified")]
STEPS = (0.99, 1.4, 2.8, 5.6, 11.2, 22.4, 45, 90)  # ISO 965-1 ranges of diameter


def test_the_catalogue_holds_what_it_should():
    count = {"metric": len(METRIC), "unified": len(UNIFIED)}
    assert count == {"metric": 151, "unified": 60}
    coarse = {row.aliases[0] for row in METRIC if "metric coarse" in row.families}
    # ISO 261 coarse series from M2 to M64
    sizes = "2 2.2 2.5 3 3.5 4 4.5 5 6 7 8 9 10 11 12 14 16 18 20 22 24 27 30 33 36 39 42 45 48 52 56 60 64"
    assert coarse == {f"M{size}" for size in sizes.split()}
    shells = {
        "Edison": {"E5", "E10", "E14", "E16", "E18", "E27", "E33", "E40"},
        "Edison US": {"E10 US", "E11", "E12", "E17", "E26", "E39"},
    }
    for family, expected in shells.items():
        assert {row.name for row in threads() if row.families == (family,)} == expected
    pipe = {row.name for row in threads() if "lamp pipe" in row.families}
    assert {"M8x1", "M10x1", "M13x1", "M16x1", "1/8-27 NPSM", "1/4-18 NPSM", "1/2x26 brass"} <= pipe


def test_no_name_stands_for_two_threads():
    assert len({row.name for row in threads()}) == len(threads())


@pytest.mark.parametrize("row", threads(), ids=lambda row: row.name)
def test_diameters_are_in_order_and_mates_go_together(row):
    male, female = row.male, row.female
    for limits in (male.major, male.pitch_diameter, male.minor, female.major, female.pitch_diameter, female.minor):
        assert 0 < limits.low <= limits.high
    for sex in Sex:
        side = row.limits(sex)
        assert side.minor.middle < side.pitch_diameter.middle < side.major.middle
    assert row.minor < row.pitch_diameter < row.major
    assert 0.19 * row.pitch < row.depth < 0.7 * row.pitch  # E39 is the shallowest, 0.2 P
    if "holder barrel" in row.families:
        return  # their limits are as wide as what is not known of them
    assert male.minor.high < male.pitch_diameter.low and male.pitch_diameter.high < male.major.low
    assert male.major.high <= female.major.low + 1e-9
    assert male.pitch_diameter.high <= female.pitch_diameter.low + 1e-9
    assert male.minor.high <= female.minor.low + 1e-9


@pytest.mark.parametrize("row", [row for row in threads() if row.form is Form.V60], ids=lambda row: row.name)
def test_basic_profile_of_60_degrees(row):
    # ISO 68-1: H = P sqrt(3)/2, d2 = d - 3/4 H, d1 = d - 5/4 H; tables round to 0.001 mm or 0.0001 in
    height = sqrt(3) / 2 * row.pitch
    tolerance = 0.0011 if row in METRIC else 0.003
    assert row.pitch_diameter == pytest.approx(row.major - 0.75 * height, abs=tolerance)
    assert row.minor == pytest.approx(row.major - 1.25 * height, abs=tolerance)


def mean_diameter(diameter: float) -> float:
    low, high = next((low, high) for low, high in pairwise(STEPS) if low < diameter <= high)
    return sqrt(low * high)


@pytest.mark.parametrize("row", METRIC, ids=lambda row: row.name)
def test_iso_965_1_limits_from_the_formulas(row):
    # ISO 965-1 (µm, mm): es = 15 + 11 P; Td = 180 P^(2/3) - 3.15/sqrt(P); Td2 = 90 P^0.4 d^0.1; TD2 = 1.32 Td2;
    # TD1 = 433 P - 190 P^1.22 below 1 mm, 230 P^0.7 from 1 mm. Printed tables round to preferred numbers (steps of
    # 6 %) and remain within one step of the formulas, or within 5 µm where widths are small.
    pitch, diameter = row.pitch, row.major
    deviation = (15 + 11 * pitch) * UM
    male_crest = (180 * pitch ** (2 / 3) - 3.15 / sqrt(pitch)) * UM
    male_middle = 90 * pitch**0.4 * mean_diameter(diameter) ** 0.1 * UM
    female_crest = (433 * pitch - 190 * pitch**1.22 if pitch < 1 else 230 * pitch**0.7) * UM
    assert diameter - row.male.major.high == pytest.approx(deviation, abs=0.0021)
    assert row.pitch_diameter - row.male.pitch_diameter.high == pytest.approx(deviation, abs=0.0026)
    assert row.male.major.width == pytest.approx(male_crest, rel=0.06, abs=5 * UM)
    assert row.male.pitch_diameter.width == pytest.approx(male_middle, rel=0.06, abs=5 * UM)
    assert row.female.pitch_diameter.width == pytest.approx(1.32 * male_middle, rel=0.06, abs=5 * UM)
    assert row.female.minor.width == pytest.approx(female_crest, rel=0.06, abs=5 * UM)
    assert row.female.pitch_diameter.low == pytest.approx(row.pitch_diameter, abs=0.0011)  # H: no deviation
    assert row.female.minor.low == pytest.approx(row.minor, abs=0.0011)


@pytest.mark.parametrize("row", UNIFIED, ids=lambda row: row.name)
def test_asme_b1_1_limits_from_the_formulas(row):
    # ASME B1.1 class 2A and 2B (in), from memory: Td2 = 0.0015 D^(1/3) + 0.0015 sqrt(LE) + 0.015 P^(2/3), LE = D for
    # UNC and UNF, 9 P for the others; allowance 0.3 Td2; crest 0.060 P^(2/3); TD2 = 1.3 Td2.
    diameter, pitch = row.major / 25.4, row.pitch / 25.4
    engaged = diameter if row.families[0] in ("Unified coarse", "Unified fine") else 9 * pitch
    middle = 0.0015 * diameter ** (1 / 3) + 0.0015 * sqrt(engaged) + 0.015 * pitch ** (2 / 3)
    assert (row.major - row.male.major.high) / 25.4 == pytest.approx(0.3 * middle, abs=1.1e-4)
    assert row.male.major.width / 25.4 == pytest.approx(0.060 * pitch ** (2 / 3), abs=1.1e-4)
    assert row.male.pitch_diameter.width / 25.4 == pytest.approx(middle, abs=1.1e-4)
    assert row.female.pitch_diameter.width / 25.4 == pytest.approx(1.3 * middle, abs=1.1e-4)
    if diameter >= 0.25:  # minor tolerance 0.25 P - 0.4 P^2, limits rounded to 0.001 in
        assert row.female.minor.width / 25.4 == pytest.approx(0.25 * pitch - 0.4 * pitch**2, abs=1.1e-3)


def test_straight_pipe_crests_follow_from_the_pitch_diameter():
    # crest = pitch diameter + 0.6495 P to 0.001 in: full basic crest, geometry
    for row in threads():
        if row.families[0] == "straight pipe NPSM":
            crest = row.male.pitch_diameter.high + 0.75 * sqrt(3) / 2 * row.pitch
            assert row.male.major.high == pytest.approx(crest, abs=0.001 * 25.4), row.name


def test_pipe_rows_agree_with_themselves():
    # ISO 228-1: H = 0.960491 P, h = 0.640327 P, r = 0.137329 P, d2 = d - h, d1 = d - 2 h
    for row in rows("threads_pipe_g"):
        name, depth, pitch = row.text("name"), row.number("depth_mm"), row.number("pitch_mm")
        assert depth == pytest.approx(0.640327 * pitch, abs=0.0006), name
        assert row.number("arc_radius_mm") == pytest.approx(0.137329 * pitch, abs=0.0006), name
        assert row.number("pitch_diameter_mm") == pytest.approx(row.number("major_mm") - depth, abs=0.0006), name
        assert row.number("minor_mm") == pytest.approx(row.number("major_mm") - 2 * depth, abs=0.0011), name


def test_printed_arc_radii_follow_from_the_sizes_in_the_same_row():
    # equal tangent arcs: r = P^2 / (16 h) + h / 4; American radii are rounded to 0.0001 in
    for row in rows("threads_edison"):
        printed = row.optional("arc_radius_mm")
        for sex in ("male", "female"):
            depth = (row.number(f"{sex}_major_min_mm") - row.number(f"{sex}_minor_min_mm")) / 2
            if printed is not None:
                radius = row.number("pitch_mm") ** 2 / (16 * depth) + depth / 4
                assert radius == pytest.approx(printed, abs=0.0035), (row.text("name"), sex)


def test_trapezoidal_basic_sizes():
    # ISO 2904: d2 = d - P/2, D1 = d - P, d3 = d - P - 2 ac, D4 = d + 2 ac; ac 0.15, 0.25, 0.5 by pitch
    for row in threads():
        if row.form is Form.TRAPEZOIDAL30:
            clearance = 0.15 if row.pitch <= 1.5 else 0.25 if row.pitch <= 5 else 0.5
            assert row.pitch_diameter == row.major - row.pitch / 2
            assert row.minor == row.major - row.pitch
            assert row.male.minor.high == row.major - row.pitch - 2 * clearance
            assert row.female.major.low == row.major + 2 * clearance


def test_names_of_metric_and_inch_rows_spell_their_sizes():
    for row in METRIC:
        assert row.name == f"M{row.major:g}x{row.pitch:g}"
    for row in UNIFIED:
        assert round(row.threads_per_inch, 6) == int(row.name.split(" ")[0].rsplit("-", 1)[1])
    for row in threads():
        if row.form is Form.TRAPEZOIDAL30:
            assert row.name == f"Tr{row.major:g}x{row.pitch:g}"


def test_common_lamp_threads_are_marked_as_common():
    everyday = {row.name for row in threads() if row.lamp_use.value == "everyday"}
    assert {"E27", "E14", "E26", "M10x1", "1/8-27 NPSM", "E27 barrel", "E14 barrel"} <= everyday

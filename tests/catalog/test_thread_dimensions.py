"""Thread sizes against standards: values typed here from the named sources, not read from the tables."""

from math import sqrt

import pytest

from shadewright.catalog.lookup import thread
from shadewright.catalog.threads import Limits

UM = 0.001


def near(limits: Limits, low: float, high: float, tolerance: float = 0.0006) -> bool:
    return limits.low == pytest.approx(low, abs=tolerance) and limits.high == pytest.approx(high, abs=tolerance)


# ASME B1.13M, 6g limits; second-hand reproduction, seen: major low, high, pitch diameter low, high
METRIC_6G = {
    "M3": (2.874, 2.980, 2.580, 2.655),
    "M4": (3.838, 3.978, 3.433, 3.523),
    "M5": (4.826, 4.976, 4.361, 4.456),
}


@pytest.mark.parametrize("name", METRIC_6G)
def test_metric_6g(name):
    major_low, major_high, pitch_low, pitch_high = METRIC_6G[name]
    male = thread(name).male
    assert near(male.major, major_low, major_high)
    assert near(male.pitch_diameter, pitch_low, pitch_high)


def test_greatest_root_of_m4_from_the_profile():
    # ASME B1.13M, M4x0.7 6g: maximum minor diameter 3.220 (seen); our limit is derived, not in the table
    assert thread("M4").male.minor.high == pytest.approx(3.220, abs=0.0006)


def test_m6_as_far_as_seen_and_from_memory():
    m6 = thread("M6")
    assert near(m6.male.major, 5.794, 5.974)  # ASME B1.13M, seen
    assert m6.male.pitch_diameter.high == pytest.approx(5.324, abs=0.0006)  # seen
    assert near(m6.female.pitch_diameter, 5.350, 5.500)  # ISO 965-2, memory
    assert near(m6.female.minor, 4.917, 5.153)  # ISO 965-2, memory


@pytest.mark.parametrize(("name", "tolerance_um"), [("M3", 100), ("M4", 118), ("M5", 125)])
def test_metric_6h_pitch_diameter_tolerance(name, tolerance_um):
    # tap maker's catalogue of 2021, p. 656, seen
    assert thread(name).female.pitch_diameter.width == pytest.approx(tolerance_um * UM, abs=0.0006)


def test_m10x1_the_european_lamp_pipe():
    # ISO 965-2, memory
    pipe = thread("M10x1")
    assert near(pipe.male.major, 9.794, 9.974)
    assert near(pipe.male.pitch_diameter, 9.212, 9.324)
    assert near(pipe.female.pitch_diameter, 9.350, 9.500)
    assert near(pipe.female.minor, 8.917, 9.153)


def test_basic_sizes_of_m20():
    # ISO 724, memory and formula
    m20 = thread("M20")
    assert (m20.pitch, m20.major) == (2.5, 20)
    assert m20.pitch_diameter == pytest.approx(18.376, abs=0.0006)
    assert m20.minor == pytest.approx(17.294, abs=0.0006)


def inches(limits: Limits) -> tuple[float, float]:
    return limits.low / 25.4, limits.high / 25.4


def test_quarter_twenty():
    # ASME B1.1 table, memory
    tripod = thread("1/4-20 UNC")
    assert inches(tripod.male.major) == pytest.approx((0.2408, 0.2489), abs=1e-4)
    assert inches(tripod.male.pitch_diameter) == pytest.approx((0.2127, 0.2164), abs=1e-4)
    assert inches(tripod.female.minor) == pytest.approx((0.196, 0.207), abs=1e-4)
    assert inches(tripod.female.pitch_diameter) == pytest.approx((0.2175, 0.2224), abs=1e-4)


def test_five_eighths_eleven():
    # ASME B1.1 limits on public pages, seen (some digits damaged there)
    coarse = thread("5/8-11")
    assert inches(coarse.male.major) == pytest.approx((0.6113, 0.6234), abs=1e-4)
    assert inches(coarse.male.pitch_diameter) == pytest.approx((0.5589, 0.5644), abs=1e-4)
    assert inches(coarse.female.minor) == pytest.approx((0.527, 0.546), abs=1e-4)
    assert inches(coarse.female.pitch_diameter)[1] == pytest.approx(0.5732, abs=1e-4)


def test_tripod_threads_are_those_iso_1222_names():
    # ISO 1222: 1/4-20 and 3/8-16; size and form seen on several pages
    small, large = thread("tripod 1/4"), thread("tripod 3/8")
    assert (small.major, small.threads_per_inch) == pytest.approx((6.35, 20))
    assert (large.major, large.threads_per_inch) == pytest.approx((9.525, 16))
    assert "tripod" in small.families and "tripod" in large.families


def test_edison_screws_from_the_gauge_table():
    # GOST 25578-83, seen: pitch, least female major, least and greatest female minor
    seen = {
        "E14": (2.822, 13.97, 12.37, 12.80),
        "E27": (3.629, 26.55, 24.36, 25.00),
        "E33": (4.233, 33.15, 30.55, 31.40),
    }
    for name, (pitch, major, minor, greatest_minor_moulded) in seen.items():
        row = thread(name)
        assert row.pitch == pitch
        assert row.female.major.low == major
        assert (row.female.minor.low, row.female.minor.high) == (minor, greatest_minor_moulded)
    assert thread("E40").female.major.low == 39.60


def test_finished_bulbs_are_taken_in():
    # IEC 60061-3 not-go gauge for E10 (DSTU copy, seen); GOST 31999-2012 for E14, seen; IEC 60061-1 for others, memory
    assert thread("E10").male.major.low == 9.36
    assert thread("E14").male.major.low == 13.60
    assert (thread("E27").male.major.low, thread("E27").male.major.high) == (26.05, 26.45)
    assert (thread("E12").male.major.low, thread("E12").male.major.high) == (11.56, 11.89)
    assert thread("E17").male.major.high == 16.64
    assert thread("E26").male.major.high == pytest.approx(26.34, abs=0.005)
    assert thread("E39").male.major.high == pytest.approx(39.50, abs=0.005)


def test_american_and_european_screws_are_told_apart():
    # 1 in = 25.4 mm; American sizes in inches from the handbook table, memory
    assert thread("E10 US").male.major.high == pytest.approx(0.375 * 25.4, abs=0.001)
    assert thread("E26").threads_per_inch == pytest.approx(7, abs=0.001)
    assert thread("E26").minor - thread("E27").minor == pytest.approx(0.4, abs=0.02)
    assert thread("E10 US").families != thread("E10").families


def arcs(pitch: float, depth: float) -> float:
    """Radius of equal arcs, tangent to each other, of which crest and root of an Edison thread are made."""
    return pitch**2 / (16 * depth) + depth / 4


@pytest.mark.parametrize(
    ("name", "radius"),
    [
        ("E5", 0.293),
        ("E10", 0.531),
        ("E14", 0.822),
        ("E16", 0.708),
        ("E18", 0.875),
        ("E27", 1.025),
        ("E33", 1.187),
        ("E40", 1.850),
    ],
)
def test_arc_radius_of_metric_edison_screws(name, radius):
    # GOST 25578-83 gauge table, seen
    row = thread(name)
    assert arcs(row.pitch, row.depth) == pytest.approx(radius, abs=0.001)


@pytest.mark.parametrize(
    ("name", "radius_in"), [("E10 US", 0.0210), ("E12", 0.03125), ("E17", 0.0353), ("E26", 0.0470), ("E39", 0.0906)]
)
def test_arc_radius_of_american_screws(name, radius_in):
    # handbook table, memory; 0.0001 in of rounding
    row = thread(name)
    assert arcs(row.pitch, row.depth) / 25.4 == pytest.approx(radius_in, abs=1.5e-4)


def test_the_gauge_table_row_that_contradicts_itself_is_left_out():
    # GOST 25578-83 prints E21 with P 2.000, depth 0.75, r 0.480; equal arcs would need 0.521
    assert arcs(2.000, 0.75) == pytest.approx(0.5208, abs=1e-4)
    with pytest.raises(LookupError):
        thread("E21")


@pytest.mark.parametrize(
    ("name", "pitch", "depth", "major", "minor"),
    [
        ("G1/8", 25.4 / 28, 0.581, 9.728, 8.566),
        ("G1/4", 25.4 / 19, 0.856, 13.157, 11.445),
        ("G3/8", 25.4 / 19, 0.856, 16.662, 14.950),
        ("G3/4", 25.4 / 14, 1.162, 26.441, 24.117),
        ("G2", 25.4 / 11, 1.479, 59.614, 56.656),
        ("G1/2", 25.4 / 14, 1.162, 20.955, 18.631),
        ("G1", 25.4 / 11, 1.479, 33.249, 30.291),
    ],
)
def test_pipe_threads(name, pitch, depth, major, minor):
    # ISO 228-1; pitch and depth seen in GOST 6357-81 table 1, diameters memory
    row = thread(name)
    assert row.pitch == pytest.approx(pitch, abs=0.0006)
    assert row.depth == pytest.approx(depth, abs=0.0006)
    assert (row.major, row.minor) == pytest.approx((major, minor), abs=0.0011)
    assert depth == pytest.approx(0.640327 * pitch, abs=0.0006)


def test_pipe_thread_profile_of_14_per_inch():
    # GOST 6357-81 table 1, seen: h 1.161553, r 0.249115 for P 1.814
    assert thread("G1/2").depth == pytest.approx(1.161553, abs=0.0005)


def test_trapezoidal_limits():
    # ISO 2904 basic sizes and ISO 2903 limits 7e, 7H of Tr20x4, memory: es 95, Td 300, Td2 265, TD1 375, TD2 355 µm.
    # ISO rounds its formulas to preferred numbers, steps of 6 %.
    row = thread("Tr20x4")
    assert (row.pitch_diameter, row.minor) == (18, 16)
    assert (row.male.minor.high, row.female.major.low) == (15.5, 20.5)
    assert 18 - row.male.pitch_diameter.high == pytest.approx(0.095, rel=0.06)
    assert row.male.major.width == pytest.approx(0.300, rel=0.06)
    assert row.male.pitch_diameter.width == pytest.approx(0.265, rel=0.06)
    assert row.female.minor.width == pytest.approx(0.375, rel=0.06)
    assert row.female.pitch_diameter.width == pytest.approx(0.355, rel=0.06)


def test_british_brass():
    # Whitworth form at 26 per inch, closed form: h = 0.640327 P
    row = thread("1/2 in x 26")
    pitch = 25.4 / 26
    assert (row.major, row.pitch) == pytest.approx((12.7, pitch))
    assert row.minor == pytest.approx(12.7 - 2 * 0.640327 * pitch)
    # BS 84 medium class, memory, in inches: T = 0.002 D^(1/3) + 0.003 L^(1/2) + 0.005 P^(1/2), here 0.0047
    assert row.male.pitch_diameter.width / 25.4 == pytest.approx(0.0047, abs=0.0001)


def test_pg_and_straight_pipe():
    pg = thread("Pg7")  # DIN 40430, memory
    assert (pg.major, pg.minor, pg.threads_per_inch) == pytest.approx((12.5, 11.28, 20))
    pipe = thread("1/8 IP")  # ASME B1.20.1, memory; outside about 3/8 in, 9.6 to 10.1 mm, on a trade page, seen
    assert pipe.male.major.low >= 9.6 and pipe.male.major.high <= 10.1
    assert pipe.threads_per_inch == pytest.approx(27)


def test_lamp_pipe_of_both_worlds_overlaps_in_diameter_only():
    # derived: M10x1 6g 9.794 to 9.974 and 1/8-27 9.906 to 10.084; ten pitches 10.00 and 9.41
    europe, america = thread("M10x1"), thread("1/8-27 NPSM")
    assert america.male.major.low < europe.male.major.high
    assert 10 * europe.pitch == 10 and 10 * america.pitch == pytest.approx(9.41, abs=0.005)


def test_barrel_threads_carry_their_trade_size_and_wide_limits():
    # trade designations 28x2 and 40x2.5, memory; sizes 27.5 to 28.5 and 39.3 to 40.0
    small, large = thread("28x2"), thread("40x2.5")
    assert (small.name, small.pitch, small.major) == ("E14 barrel", 2, 28)
    assert (large.name, large.pitch, large.major) == ("E27 barrel", 2.5, 40)
    assert near(small.male.major, 27.5, 28.5) and near(large.male.major, 39.3, 40.0)


def test_root_of_a_60_degree_male_by_construction():
    # An arc of radius 0.125 P that touches both flanks lies R above the sharp corner, because its centre is
    # R / sin 30 degrees = 2 R above it; the sharp corner lies H/2 below the pitch line.
    row = thread("M10x1.5")
    sharp = row.male.pitch_diameter.low - sqrt(3) / 2 * 1.5
    assert row.male.minor.low == pytest.approx(sharp + 2 * 0.125 * 1.5)

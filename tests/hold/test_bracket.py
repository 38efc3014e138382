"""Arms against beam formulas, cut out of real solids."""

from __future__ import annotations

from math import pi

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from shadewright.catalog.lookup import plastic
from shadewright.errors import ValueProblem
from shadewright.hold.balance import rotation
from shadewright.hold.bracket import BracketHold, Load, bracket_hold, directional_strength, strain_of
from shadewright.hold.bracket_sections import Arm, Fill, arm_of
from shadewright.hold.card import material_card
from shadewright.hold.ranges import Ranged
from shadewright.solid.kernel import box, cylinder, difference, union
from shadewright.solid.mesh import Floats, Mesh

SOLID = Fill(wall=1.2, skin=0.8, infill=1.0)
X, Y, Z = np.eye(3)
E = 2700.0


def beam(length: float = 120, width: float = 20, height: float = 10) -> Mesh:
    return box((length, width, height), (length / 2, 0, height / 2))


def along_x(mesh: Mesh, length: float = 120, z: float = 5, fill: Fill = SOLID) -> Arm:
    return arm_of(mesh, np.array([0.0, 0.0, z]), np.array([length, 0.0, z]), fill)


def test_cantilever_with_a_weight_at_its_end() -> None:
    """F 15, L 120, b 20, h 10, E 2700: 1.920 mm, 5.40 MPa (F L^3 / 3 E I and F L h / 2 I, any beam handbook)."""
    found = strain_of(along_x(beam()), -15 * Z, np.array([120.0, 0, 5]), 0.0, -Z)

    assert found.sag_e[0] / E == pytest.approx(1.920, rel=2e-3)
    assert found.tension[0].max() == pytest.approx(5.40, rel=2e-3)
    assert found.tension[0].argmax() == 0
    assert found.shear[0].max() == pytest.approx(1.5 * 15 / 200, rel=1e-6)
    assert found.twist == pytest.approx(0, abs=1e-9)


def test_upright_tube_with_a_push_at_its_top() -> None:
    """Tube 16 / 10, F 3 at 300, E 2700: 3.668 mm, 2.641 MPa (own worked example, I 2726.12)."""
    tube = difference(cylinder(300, 8, chord=0.002), cylinder(302, 5, chord=0.002).moved(z=-1))
    arm = arm_of(tube, np.zeros(3), 300 * Z, SOLID)
    found = strain_of(arm, 3 * X, 300 * Z, 0.0, X)

    assert found.sag_e[0] / E == pytest.approx(3.668, rel=3e-3)
    assert found.tension[0].max() == pytest.approx(2.641, rel=3e-3)
    assert arm.layer_angle == pytest.approx(90)


def test_off_centre_head_leans_the_stem() -> None:
    """Head 0.3 kg, 60 mm off: end moment 176.5 N mm, top shift M L^2 / 2 E I = 1.079 mm (own worked example)."""
    tube = difference(cylinder(300, 8, chord=0.002), cylinder(302, 5, chord=0.002).moved(z=-1))
    arm = arm_of(tube, np.zeros(3), 300 * Z, SOLID)
    at = np.array([60.0, 0, 300])
    weight = strain_of(arm, -0.3 * 9.80665 * Z, at, 0.0, -Z)
    moment = 0.3 * 9.80665 * 60

    bending = weight.tension[0] + 0.3 * 9.80665 / arm.sections[0][0].area
    assert bending == pytest.approx(moment * 8 / 2726.12, rel=3e-3)
    # the sag of the head itself, 60 mm out on a stem leaning by M L / E I
    assert weight.sag_e[0] / E == pytest.approx(60 * moment * 300 / (E * 2726.12), rel=5e-3)


def test_own_weight() -> None:
    """Even load q: q L^2 / 2 at the root, q L^4 / 8 E I at the tip (any beam handbook)."""
    q = 1e-5 * 200
    found = strain_of(along_x(beam()), 0 * Z, np.array([120.0, 0, 5]), 1e-5, -Z)

    assert found.tension[0].max() == pytest.approx(q * 120**2 / 2 * 5 / (20 * 10**3 / 12), rel=5e-3)
    assert found.sag_e[0] == pytest.approx(q * 120**4 / 8 / (20 * 10**3 / 12), rel=5e-3)


def test_wedge_of_even_thickness_bends_into_a_circle() -> None:
    """Width falling to nothing: F L^3 / 2 E I0, the same stress everywhere (leaf spring, any beam handbook)."""
    wedge = Mesh(*_wedge(120, 20, 10))
    found = strain_of(along_x(wedge, 119), -5 * Z, np.array([120.0, 0, 5]), 0.0, -Z)

    assert found.sag_e[0] == pytest.approx(5 * 120**3 / 2 / (20 * 10**3 / 12), rel=0.01)
    assert found.tension[0][:-2] == pytest.approx(5 * 120 * 6 / (20 * 100), rel=0.01)


def _wedge(length: float, width: float, height: float) -> tuple[Floats, np.ndarray]:  # type: ignore[type-arg]
    corners = [[0, -width / 2, 0], [length, 0, 0], [0, width / 2, 0]]
    vertices = np.array(corners + [[x, y, height] for x, y, _ in corners], dtype=float)
    faces = [[0, 2, 1], [3, 4, 5], [0, 1, 4], [0, 4, 3], [1, 2, 5], [1, 5, 4], [2, 0, 3], [2, 3, 5]]
    return vertices, np.array(faces, dtype=np.int32)


def test_a_bar_pulled_along_itself() -> None:
    found = strain_of(along_x(beam()), 100 * X, np.array([120.0, 0, 5]), 0.0, X)

    assert found.tension[0] == pytest.approx(100 / 200)


def test_the_weakest_section_is_found_where_the_hole_is() -> None:
    """A 14 mm hole through a 20 wide arm leaves 6: F (L - x) 6 / (6 h^2), more than at the root."""
    drilled = difference(beam(), cylinder(20, 7, chord=0.01).moved(30, 0, -5))
    found = strain_of(along_x(drilled), -15 * Z, np.array([120.0, 0, 5]), 0.0, -Z)
    worst = int(found.tension[0].argmax())

    assert along_x(drilled).stations[worst] == pytest.approx(29.5, abs=1)
    assert found.tension[0].max() == pytest.approx(15 * 90 * 6 / (6 * 100), rel=0.01)


def test_another_arm_beside_it_does_not_help() -> None:
    pair = union([beam(), box((10, 60, 10), (-5, 20, 5)), box((120, 20, 10), (60, 40, 5))])
    found = strain_of(along_x(pair), -15 * Z, np.array([120.0, 0, 5]), 0.0, -Z)

    assert found.tension[0].max() == pytest.approx(5.40, rel=2e-3)


def test_strength_between_along_and_across() -> None:
    """X 49.30, Z 20.46, S 20: 44.75, 35.98, 28.60, 23.83 MPa at 15, 30, 45, 60 degrees (own arithmetic)."""
    known = [np.array([value]) for value in (49.30, 20.46, 20.0)]

    for angle, expected in ((0, 49.30), (15, 44.75), (30, 35.98), (45, 28.60), (60, 23.83), (90, 20.46)):
        assert directional_strength(*known, angle)[0] == pytest.approx(expected, abs=0.01)


def held(arm: Arm, at: Floats, force: float = 15.0) -> BracketHold:
    load = Load(force_n=Ranged.exactly(force), at=at, down=-Z)
    return bracket_hold(arm, load, material_card(plastic("PLA")), wanted=1.5, draws=2000)


def test_margins_by_print_direction() -> None:
    """The same bar lying and standing: bending strength falls as across over along; stress does not change."""
    lying = held(along_x(beam()), np.array([120.0, 0, 5]))
    upright = Mesh(beam().vertices @ rotation((0, 1, 0), -90).T, beam().faces)
    low = upright.vertices[:, 2].min()
    arm = arm_of(upright, np.array([-5.0, 0, low]), np.array([-5.0, 0, low + 120]), SOLID)
    load = Load(force_n=Ranged.exactly(15.0), at=np.array([-5.0, 0, low + 120]), down=X)
    standing = bracket_hold(arm, load, material_card(plastic("PLA")), wanted=1.5, draws=2000)

    assert standing.stress_mpa.likely == pytest.approx(lying.stress_mpa.likely, rel=1e-3)
    assert standing.strength_mpa.likely < 0.85 * lying.strength_mpa.likely
    assert standing.along_layers.likely == pytest.approx(lying.safeties["bending"].likely, rel=0.02)
    assert lying.along_layers.likely == pytest.approx(lying.safeties["bending"].likely)
    assert standing.sag_new.likely > lying.sag_new.likely


def test_creep_multiplies_the_sag() -> None:
    """Ten years leave about 0.23 of the modulus by the card's law, so the sag grows about four times."""
    found = held(along_x(beam()), np.array([120.0, 0, 5]))

    assert found.sag_crept.likely / found.sag_new.likely == pytest.approx(1 + 0.156 * 87660**0.2688, rel=0.1)


def test_a_hollow_arm_is_weaker_but_not_by_its_fill() -> None:
    """15 % infill, walls 1.2, skins 0.8: between a plain box of that wall and the solid bar."""
    hollow = along_x(beam(), fill=Fill(wall=1.2, skin=0.8, infill=0.15))
    box_only = (20 * 10**3 - 17.6 * 8.4**3) / 12
    core = 17.6 * 8.4**3 / 12

    for power, exponent in enumerate((1.0, 1.5, 2.0)):
        assert hollow.sections[power][40].ixx == pytest.approx(box_only + 0.15**exponent * core, rel=1e-3)


def test_upright_arms_have_walls_all_round() -> None:
    arm = arm_of(box((20, 10, 100), (0, 0, 50)), np.zeros(3), 100 * Z, Fill(wall=2, skin=0.4, infill=0.0001))

    assert arm.sections[2][5].area == pytest.approx(200 - 16 * 6, rel=1e-3)


def test_twist_is_told_apart() -> None:
    found = strain_of(along_x(beam()), -15 * Z, np.array([120.0, 60, 5]), 0.0, -Z)

    assert found.twist == pytest.approx(60 / 120, rel=2e-3)


def test_impossible_brackets_are_refused() -> None:
    with pytest.raises(ValueProblem, match="same point"):
        arm_of(beam(), np.zeros(3), np.zeros(3), SOLID)
    with pytest.raises(ValueProblem, match="leaves the part"):
        along_x(beam(), 150)
    with pytest.raises(ValueProblem, match="carries nothing"):
        held(along_x(beam()), np.array([120.0, 0, 5]), 0.0)


@settings(max_examples=8, deadline=None)
@given(st.floats(-180, 180), st.floats(-180, 180), st.floats(-200, 200))
def test_turning_and_moving_everything_changes_nothing(about_z: float, about_x: float, shift: float) -> None:
    turn = rotation((0, 0, 1), about_z) @ rotation((1, 0, 0), about_x)
    skew = difference(beam(), box((60, 6, 6), (80.4, 7, 7)))
    moved = Mesh(skew.vertices @ turn.T + shift, skew.faces)
    ends = [np.array([0.0, 0, 5]) @ turn.T + shift, np.array([120.0, 0, 5]) @ turn.T + shift]
    down = turn @ -Z
    before = strain_of(along_x(skew), -15 * Z, np.array([120.0, 0, 5]), 1e-5, -Z)
    after = strain_of(arm_of(moved, *ends, SOLID), 15 * down, ends[1], 1e-5, down)

    assert after.tension[0] == pytest.approx(before.tension[0], rel=1e-4)
    assert after.sag_e[0] == pytest.approx(before.sag_e[0], rel=1e-4)


@settings(max_examples=8, deadline=None)
@given(st.floats(0.5, 3))
def test_sag_goes_with_length_cubed_and_thickness_cubed(times: float) -> None:
    base = strain_of(along_x(beam()), -Z, np.array([120.0, 0, 5]), 0.0, -Z)
    longer = strain_of(along_x(beam(120 * times), 120 * times), -Z, np.array([120.0 * times, 0, 5]), 0.0, -Z)
    thicker = strain_of(along_x(beam(height=10 * times), z=5 * times), -Z, np.array([120.0, 0, 5 * times]), 0.0, -Z)

    assert longer.sag_e[0] == pytest.approx(base.sag_e[0] * times**3, rel=1e-3)
    assert thicker.sag_e[0] == pytest.approx(base.sag_e[0] / times**3, rel=1e-3)
    assert thicker.tension[0].max() == pytest.approx(base.tension[0].max() / times**2, rel=1e-3)


def test_round_bar_against_its_formula() -> None:
    """32 F L / pi d^3 for a round bar of 12 (any machine design handbook)."""
    bar = cylinder(100, 6, chord=0.0005)
    found = strain_of(arm_of(bar, np.zeros(3), 100 * Z, SOLID), 10 * Y, 100 * Z, 0.0, Y)

    assert found.tension[0].max() == pytest.approx(32 * 10 * 100 / (pi * 12**3), rel=3e-3)

"""Cord channels and passages: the largest cord passes, bends and edges spare it, covers stay, everything prints."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import replace
from itertools import pairwise
from pathlib import Path

import numpy as np
import pytest
from step_at_hand import require_step_here

from shadewright.bench.store import Bench
from shadewright.catalog.threads import Limits
from shadewright.errors import ValueProblem
from shadewright.findings import Verdict
from shadewright.fit.channel import ChannelQuestion, Cord, PassageQuestion, least_bend, size_channel, size_passage
from shadewright.fit.defaults import built_in_habits
from shadewright.layers.check import PartToPrint, check_part
from shadewright.solid import kernel
from shadewright.solid.channel import COVER_SHORT, CordChannel, channel_body, channel_cover, frames
from shadewright.solid.channel_passage import CordPassage, passage_solid
from shadewright.solid.mesh import Mesh

HABITS = built_in_habits(0.4, "PETG")
ROUND = Cord(name="round", across=Limits(5.7, 7.2), up=Limits(5.7, 7.2), pull_n=60)
FLAT = Cord(name="flat", across=Limits(5.2, 6.3), up=Limits(3.2, 3.8))
CHANNEL = ChannelQuestion(joint="way", part="base", cord=ROUND, habits=HABITS)
PASSAGE = PassageQuestion(joint="way", part="base", cord=ROUND, habits=HABITS)
PRINTS = 400_000


def test_ninety_nine_of_a_hundred_simulated_channels_leave_the_largest_cord_room() -> None:
    made = size_channel(CHANNEL)
    random = np.random.default_rng(31)
    growth = random.normal(HABITS.outer_growth.mean, HABITS.outer_growth.sd, PRINTS)
    scale = random.normal(HABITS.scale_xy.mean, HABITS.scale_xy.sd, PRINTS)
    printed = made.width * scale - 2 * growth + random.normal(0, HABITS.scatter, PRINTS)
    roomy = (printed - 7.2 > 0.1).mean()
    assert made.passes == pytest.approx(roomy, abs=0.002)
    assert 0.99 <= roomy < 0.995


def test_ninety_nine_of_a_hundred_simulated_passages_do_too() -> None:
    made = size_passage(PASSAGE)
    random = np.random.default_rng(32)
    scale, shrink, curl = (
        random.normal(habit.mean, habit.sd, PRINTS) for habit in (HABITS.scale_xy, HABITS.hole_shrink, HABITS.hole_curl)
    )
    printed = made.hole * scale - shrink - curl / made.hole + random.normal(0, HABITS.scatter, PRINTS)
    assert made.passes == pytest.approx((printed - 7.2 > 0.1).mean(), abs=0.002)
    assert made.passes >= 0.99


def test_chance_of_the_cover_is_that_of_simulated_pairs() -> None:
    made = size_channel(CHANNEL)
    assert made.rebate is not None
    random = np.random.default_rng(33)
    growth = random.normal(HABITS.outer_growth.mean, HABITS.outer_growth.sd, PRINTS)
    scale = random.normal(HABITS.scale_xy.mean, HABITS.scale_xy.sd, PRINTS)
    noise = random.normal(0, math.sqrt(2) * HABITS.scatter, PRINTS)
    gap = (made.rebate.draw - made.cover_width) * scale - 4 * growth + noise + random.normal(0, 0.03, PRINTS)
    assert made.rebate.chance == pytest.approx(((gap > -0.22) & (gap < 0.08)).mean(), abs=0.006)  # feel_bounds.csv


@pytest.mark.parametrize(
    ("radius", "verdict"), [(46.8, Verdict.SOUND), (40.0, Verdict.DOUBTFUL), (32.0, Verdict.FAILING)]
)
def test_bends_by_times_the_cord(radius: float, verdict: Verdict) -> None:
    """Inner side of a 7.2 mm cord: 46.8 - 3.6 = 6 x 7.2; 40 gives 5.1 times; 32 gives 3.9 times."""
    found = [item for item in size_channel(replace(CHANNEL, bend_radius=radius)).sizing.findings if "bend" in item.code]
    assert [item.verdict for item in found] == [verdict]
    assert found[0].value == pytest.approx((radius - 3.6) / 7.2, abs=0.051)
    assert least_bend(ROUND, 6.0) == pytest.approx(46.8)


def test_a_flat_cord_is_told_that_it_bends_better_on_edge() -> None:
    flat = size_channel(replace(CHANNEL, cord=FLAT, bend_radius=20.0)).sizing.findings
    assert any("lay the flat cord on edge" in item.cure for item in flat)
    on_edge = replace(FLAT, across=FLAT.up, up=FLAT.across)
    turned = size_channel(replace(CHANNEL, cord=on_edge, bend_radius=25.0)).sizing.findings
    assert [item.verdict for item in turned if "bend" in item.code] == [Verdict.SOUND]


@pytest.mark.parametrize("layer", [0.12, 0.2, 0.3])
def test_depth_holds_the_cord_under_its_cover_in_whole_layers(layer: float) -> None:
    made = size_channel(replace(CHANNEL, layer=layer))
    assert made.depth / layer == pytest.approx(round(made.depth / layer))
    assert made.cover_thickness / layer == pytest.approx(round(made.cover_thickness / layer))
    assert 7.3 <= made.depth <= 7.3 / HABITS.scale_z.mean + 2 * layer
    assert made.cover_thickness >= 1.2


def test_todays_hole_is_judged_by_the_largest_cord() -> None:
    verdicts = [size_passage(replace(PASSAGE, drawn=drawn)).sizing.findings[0].verdict for drawn in (8.0, 7.55, 7.2)]
    assert verdicts == [Verdict.SOUND, Verdict.DOUBTFUL, Verdict.FAILING]


def test_a_grip_is_asked_for_and_given_room_but_never_drawn() -> None:
    without = size_passage(PASSAGE)
    (asked,) = [item for item in without.sizing.findings if item.code == "fit.cord_grip"]
    assert (
        asked.verdict is Verdict.UNKNOWN and "60 N" in asked.why and asked.cure.startswith("buy an approved cord grip")
    )
    made = size_passage(replace(PASSAGE, grip=(16.0, 9.5)))
    assert made.grip is not None and len(made.sizing.findings) == 1
    assert 16.4 < made.grip[0] < 16.8 and made.grip[1] == pytest.approx(9.6)
    assert any("the bought grip, never the print, holds 60 N" in draw.why for draw in made.sizing.draws)


def test_roundings_go_with_the_cord() -> None:
    assert size_channel(CHANNEL).entry == pytest.approx(3.6)
    thin = Cord(name="thin", across=Limits(2, 2.2), up=Limits(2, 2.2))
    assert size_passage(replace(PASSAGE, cord=thin)).entry == 2.0


# Solids --------------------------------------------------------------------------------------------------------------

COVERED = CordChannel(width=7.6, depth=7.6, rebate_width=10.3, cover_width=10.0, entry=3.6, bend_radius=46.8, run=12.0)
OPEN = CordChannel(width=7.6, depth=7.6, entry=3.6, bend_deg=0.0, run=12.0)


def along(channel: CordChannel, height: float, step: float = 1.5) -> list[tuple[float, float, float]]:
    """Points of the middle line, from before the first mouth to behind the last; worked out apart from the solid."""
    radius, turn = channel.bend_radius, math.radians(channel.bend_deg)
    points = [(-channel.run - 2 + s, 0.0, height) for s in np.arange(0, channel.run + 2, step)]
    points += [(radius * math.sin(a), radius * (1 - math.cos(a)), height) for a in np.arange(0, turn, step / radius)]
    end = (radius * math.sin(turn), radius * (1 - math.cos(turn)))
    for s in np.arange(0, channel.run + 2, step):
        points.append((end[0] + s * math.cos(turn), end[1] + s * math.sin(turn), height))
    return points


def ball(radius: float, place: tuple[float, float, float]) -> Mesh:
    angles = np.linspace(-math.pi / 2, math.pi / 2, 25)
    profile = radius * np.column_stack([np.cos(angles), np.sin(angles)])
    profile[[0, -1], 0] = 0.0
    return kernel.revolve(profile, segments=48).moved(*place)


def cord_in(channel: CordChannel, diameter: float) -> Mesh:
    """A cord's way: balls of its diameter along the middle line, each hulled with the next."""
    beads = [ball(diameter / 2, place) for place in along(channel, channel.bottom + channel.depth / 2)]
    return kernel.union([kernel.hull([a, b]) for a, b in pairwise(beads)])


@pytest.mark.parametrize("channel", [COVERED, OPEN], ids=["covered", "open"])
def test_the_cord_passes_with_room_and_a_thicker_one_does_not(channel: CordChannel) -> None:
    body = channel_body(channel)
    cord = cord_in(channel, 7.2)
    assert kernel.overlap_volume(body, cord) == 0
    assert kernel.least_gap(body, cord, 1.0) == pytest.approx(0.2, abs=0.012)
    assert kernel.overlap_volume(body, cord_in(channel, 7.8)) > 1.0


def test_body_and_cover_leave_the_cord_alone_and_the_clearance_drawn() -> None:
    body, cover = channel_body(COVERED), channel_cover(COVERED, in_place=True)
    assert kernel.overlap_volume(cover, cord_in(COVERED, 7.2)) == 0
    lifted = cover.moved(z=0.1)
    assert kernel.overlap_volume(body, lifted) == 0
    assert kernel.least_gap(body, lifted, 1.0) == pytest.approx(0.1, abs=1e-3)
    wide = channel_cover(replace(COVERED, cover_width=10.3 + 0.1), in_place=True).moved(z=0.05)
    assert kernel.overlap_volume(body, wide) > 0.1
    assert cover.bounds[1, 2] == pytest.approx(body.bounds[1, 2])  # flush with the block


def test_the_bend_has_the_radius_asked_for() -> None:
    """Points on both walls of the bend lie on circles about its centre, (0, radius)."""
    (figure,) = kernel.sections(channel_body(COVERED), [COVERED.bottom + 3.0])
    points = np.vstack(figure)
    bend = points[(points[:, 0] > 0.5) & (points[:, 1] < COVERED.bend_radius - 0.5)]
    reach = np.hypot(bend[:, 0], bend[:, 1] - COVERED.bend_radius)
    for wall in (46.8 - 3.8, 46.8 + 3.8):
        near = np.abs(reach - wall) < 0.5
        assert near.sum() > 20 and np.abs(reach[near] - wall).max() < 0.011


def test_volume_of_a_straight_open_channel_in_closed_form() -> None:
    """Block less channel, chamfers and the rounded mouths; a rounding leaves 1 - pi/4 of its square."""
    plain = replace(OPEN, entry=2.0)
    body = channel_body(plain)
    area = 2 * plain.half * plain.top - 7.6 * 7.6 - 0.4**2
    long = 2 * plain.run
    corner = 2.0**2 * (1 - math.pi / 4)
    sides = 2 * 2 * corner * plain.depth  # two mouths, two sides
    lips = 2 * corner * plain.width
    missing = area * long - body.volume
    # The floor's lip is as wide as the rounded sides let it be: on either side, the integral over the rounding's depth
    # of (1 - sqrt(1 - t²))², which is 5/3 - pi/2 times the cube of its radius.
    shared = 2 * 2 * 2.0**3 * (5 / 3 - math.pi / 2)
    assert missing == pytest.approx(sides + lips + shared, rel=0.02)


SOLIDS: dict[str, Callable[[], Mesh]] = {
    "covered": lambda: channel_body(COVERED),
    "cover": lambda: channel_cover(COVERED),
    "open": lambda: channel_body(OPEN),
    "passage": lambda: passage_solid(CordPassage(hole=8.0, length=20.0, entry=3.6)),
    "with grip": lambda: passage_solid(CordPassage(hole=8.0, length=20.0, entry=3.6, grip=(18.0, 6.0))),
    "level": lambda: passage_solid(CordPassage(hole=8.0, length=20.0, entry=3.6, axis="level")),
}


@pytest.mark.parametrize("name", SOLIDS)
def test_one_body_that_prints_as_it_stands(name: str) -> None:
    solid = SOLIDS[name]()
    assert kernel.is_solid(solid) is None and len(kernel.bodies(solid)) == 1
    assert solid.bounds[0, 2] == pytest.approx(0, abs=1e-9)
    area = np.linalg.norm(solid.face_vectors, axis=1)
    raised = (solid.corners[:, :, 2].max(axis=1) > 1e-6) & (area > 1e-6)
    assert np.degrees(np.arcsin(-solid.face_vectors[raised, 2] / area[raised])).max() <= 45.01
    with Bench.open(None) as bench:
        report = check_part(PartToPrint(name=name, mesh=solid, setup=bench.setup()))
    assert [item.sentence for item in report.findings if item.verdict is Verdict.FAILING] == []


@pytest.mark.parametrize("name", ["covered", "open", "passage", "level"])
def test_no_edge_beside_the_cord_is_sharp(name: str) -> None:
    """Wherever a ball as wide as the cord can touch, faces meet at no more than 45 degrees."""
    import trimesh

    solid = SOLIDS[name]()
    mesh = trimesh.Trimesh(solid.vertices, solid.faces, process=False)
    angles = np.degrees(mesh.face_adjacency_angles)
    convex = mesh.face_adjacency_convex
    middles = solid.vertices[mesh.face_adjacency_edges].mean(axis=1)
    sizes = np.linalg.norm(solid.face_vectors, axis=1)[mesh.face_adjacency].min(axis=1)
    if name in ("covered", "open"):
        channel = COVERED if name == "covered" else OPEN
        low, high = channel.bottom, channel.bottom + channel.depth - 1.0
        line = np.array(along(channel, 0.0, step=0.2))[:, :2]
        near = np.array([np.hypot(*(line - p[:2]).T).min() for p in middles]) < channel.width / 2 + 0.5
        beside = near & (middles[:, 2] > low - 0.5) & (middles[:, 2] < high)
    elif name == "level":
        height = float(solid.bounds[1, 2]) / 2
        beside = np.hypot(middles[:, 1], middles[:, 2] - height) < 4.5
    else:
        beside = np.hypot(*middles[:, :2].T) < 4.5
    sharp = beside & convex & (sizes > 1e-3)  # slivers have no direction
    assert sharp.sum() > 10
    assert angles[sharp].max() <= 45.5


def test_lower_mouths_are_rounded_only_as_far_as_prints() -> None:
    """Rounded down to 45 degrees, the mouth on the bed is wider than the hole by 2 r (1 - cos 45)."""
    (figure,) = kernel.sections(passage_solid(CordPassage(hole=8.0, length=20.0, entry=3.0)), [1e-4])
    radius = min(np.hypot(*contour.T).max() for contour in figure)
    assert radius == pytest.approx(4.0 + 3.0 * (1 - math.sqrt(0.5)), abs=0.01)


def test_a_cord_passes_the_level_passage() -> None:
    solid = passage_solid(CordPassage(hole=8.0, length=20.0, entry=3.0, axis="level"))
    height = float(solid.bounds[1, 2]) / 2
    cord = kernel.cylinder(30, 3.9, fit="inside")
    lying = Mesh(cord.vertices[:, [2, 0, 1]], cord.faces).moved(x=-15, z=height)
    assert kernel.overlap_volume(solid, lying) == 0
    assert kernel.least_gap(solid, lying, 1.0) == pytest.approx(0.1, abs=0.02)


def test_cover_is_shorter_at_both_ends() -> None:
    whole, short = frames(COVERED, 0.0), frames(COVERED, COVER_SHORT)
    for i in (0, -1):
        assert math.dist((whole[i].x, whole[i].y), (short[i].x, short[i].y)) == pytest.approx(COVER_SHORT)


def test_step_holds_the_same_channel_and_cover(tmp_path: Path) -> None:
    require_step_here()
    from shadewright.solid.channel_brep import write_channel_step
    from shadewright.solid.step import check_shape, read_step_shape, shape_bounds, shape_volume

    for cover, mesh in ((False, channel_body(COVERED)), (True, channel_cover(COVERED, in_place=True))):
        shape = read_step_shape(write_channel_step(tmp_path / "channel.step", COVERED, cover=cover))
        assert check_shape(shape) == []
        assert shape_volume(shape) == pytest.approx(mesh.volume, rel=1e-3)
        assert np.abs(shape_bounds(shape) - mesh.bounds).max() < 0.02


@pytest.mark.parametrize("grip", [None, (18.0, 6.0)])
def test_step_holds_the_same_passage(grip: tuple[float, float] | None, tmp_path: Path) -> None:
    require_step_here()
    from shadewright.solid.channel_passage import write_passage_step
    from shadewright.solid.step import check_shape, read_step_shape, shape_volume

    passage = CordPassage(hole=8.0, length=20.0, entry=3.0, grip=grip)
    shape = read_step_shape(write_passage_step(tmp_path / "passage.step", passage))
    assert check_shape(shape) == []
    assert shape_volume(shape) == pytest.approx(passage_solid(passage).volume, rel=1e-3)


def test_step_holds_the_level_passage(tmp_path: Path) -> None:
    require_step_here()
    from shadewright.solid.channel_passage import write_passage_step
    from shadewright.solid.step import check_shape, read_step_shape, shape_volume

    passage = CordPassage(hole=8.0, length=20.0, entry=3.0, axis="level")
    shape = read_step_shape(write_passage_step(tmp_path / "passage.step", passage))
    assert check_shape(shape) == []
    assert shape_volume(shape) == pytest.approx(passage_solid(passage).volume, rel=1e-3)


@pytest.mark.parametrize(
    ("made", "sentence"),
    [
        (
            lambda: size_channel(replace(CHANNEL, cord=replace(ROUND, up=Limits(7, 6)))),
            "joint way: the cord measures 7 to 6 mm; give the smaller one first, above 0.",
        ),
        (
            lambda: size_channel(replace(CHANNEL, bend_radius=-5.0)),
            "joint way: a size is -5 mm; it must be a number above 0.",
        ),
        (
            lambda: size_passage(replace(PASSAGE, layer=math.nan)),
            "joint way: layer is nan mm; it must be a number above 0.",
        ),
        (
            lambda: channel_body(replace(COVERED, bend_radius=6.0)),
            "a bend radius of 6 mm is less than half the channel's block; use 10 mm at least; cords want more.",
        ),
        (
            lambda: channel_body(replace(COVERED, run=3.0)),
            "a straight run of 3 mm is too short for a mouth rounded by 3.6 mm; make it longer.",
        ),
        (lambda: channel_body(replace(COVERED, bend_deg=270.0)), "a bend of 270 degrees cannot be; use 0 to 180."),
        (
            lambda: channel_body(replace(COVERED, cover_width=7.0)),
            "a cover of 7 mm in a rebate of 10.3 mm cannot lie over a channel of 7.6 mm; leave ledges of 1 mm at least "
            "on both sides.",
        ),
        (lambda: channel_cover(OPEN), "an open channel has no cover; give the widths of rebate and cover."),
        (
            lambda: passage_solid(CordPassage(hole=8, length=5, entry=3)),
            "a length of 5 mm leaves nothing between mouths rounded by 3 mm; make it longer.",
        ),
        (
            lambda: passage_solid(CordPassage(hole=8, length=20, entry=3, grip=(10, 5))),
            "a grip of 10 mm does not rest on a mouth of 14 mm; round the mouth less, or choose a larger grip.",
        ),
        (
            lambda: passage_solid(CordPassage(hole=8, length=20, entry=3, axis="level", grip=(18, 5))),
            "a level passage has no place for a grip; leave it out, or make the passage upright.",
        ),
    ],
)
def test_what_cannot_be_is_refused_in_one_sentence(made: Callable[[], object], sentence: str) -> None:
    with pytest.raises(ValueProblem) as refusal:
        made()
    assert str(refusal.value) == sentence

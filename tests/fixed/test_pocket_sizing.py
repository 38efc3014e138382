"""Pockets: chances against simulated prints, depths in whole layers, verdicts on today's drawing, refusals in words."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import replace

import numpy as np
import pytest
from shapely import affinity
from shapely.geometry import Polygon

from shadewright.catalog.hardware import insert, magnet, nut
from shadewright.catalog.lookup import glue
from shadewright.catalog.threads import Limits
from shadewright.errors import ValueProblem
from shadewright.findings import Verdict
from shadewright.fit.defaults import built_in_habits
from shadewright.fit.pocket import Mouth, NutQuestion, nut_window, size_nut_pocket, turning_play
from shadewright.fit.pocket_chance import whole_layers
from shadewright.fit.pocket_insert import InsertQuestion, has_fibres, size_insert_hole
from shadewright.fit.pocket_magnet import CRUSH, LAID_IN, Hold, MagnetQuestion, size_magnet_pocket
from shadewright.printing import AsPrinted, Spread

HABITS = built_in_habits(0.4, "PETG")
PRINTS = 400_000
NUT = NutQuestion(joint="clamp", part="base", nut=nut("M4"), mouth="up", habits=HABITS)
INSERT = InsertQuestion(joint="foot", part="base", insert=insert("M3"), plastic="PETG", habits=HABITS)
DISC = MagnetQuestion(joint="flap", part="rim", magnet=magnet("disc 6x2"), hold="press", habits=HABITS)
BAR = replace(DISC, magnet=magnet("bar 20x10x2"))


class Workshop:
    """Prints drawn from a bench's habits as ``AsPrinted`` words them; written apart from the program's own sums."""

    def __init__(self, habits: AsPrinted, seed: int) -> None:
        self.random = np.random.default_rng(seed)
        self.habits = habits
        self.growth, self.shrink, self.curl, self.scale = (
            self._of(spread) for spread in (habits.outer_growth, habits.hole_shrink, habits.hole_curl, habits.scale_xy)
        )

    def _of(self, spread: Spread) -> np.ndarray:
        return self.random.normal(spread.mean, spread.sd, PRINTS)

    def noise(self, sd: float) -> np.ndarray:
        return self.random.normal(0, sd, PRINTS)

    def slot(self, drawn: float) -> np.ndarray:
        return drawn * self.scale - 2 * self.growth + self.noise(self.habits.scatter)

    def hole(self, drawn: float) -> np.ndarray:
        return drawn * self.scale - self.shrink - self.curl / drawn + self.noise(self.habits.scatter)

    def bought(self, limits: Limits) -> np.ndarray:
        return self.random.uniform(limits.low, limits.high, PRINTS)


@pytest.mark.parametrize("mouth", ["up", "down", "side", "inside"])
def test_chance_of_a_nut_is_that_of_simulated_prints(mouth: Mouth) -> None:
    question = replace(NUT, mouth=mouth)
    made = size_nut_pocket(question)
    shop, window = Workshop(HABITS, 11), nut_window(mouth)
    gap = shop.slot(made.flats.draw) - shop.bought(question.nut.flats) + shop.noise(window.softness)
    good = (gap > window.low) & (gap < window.high)
    if mouth == "side":
        height = made.depth * shop._of(HABITS.scale_z) - shop._of(Spread(0.15, 0.08)) + shop.noise(HABITS.scatter)
        good &= height > shop.bought(question.nut.height)
    assert made.chance == pytest.approx(good.mean(), abs=0.006)


def test_no_other_width_does_better() -> None:
    best = size_nut_pocket(NUT).flats
    for off in (-0.05, -0.02, 0.02, 0.05):
        other = size_nut_pocket(replace(NUT, drawn=best.draw + off)).flats.today
        assert other is not None and other < best.chance


def test_a_nut_pressed_in_is_drawn_tighter_than_one_that_slides_in() -> None:
    """Between the windows' middles lie 0.15 mm: (-0.22 + 0.08) / 2 against (-0.08 + 0.24) / 2, feel_bounds.csv."""
    widths = {mouth: size_nut_pocket(replace(NUT, mouth=mouth)).flats.draw for mouth in ("up", "down", "side")}
    assert widths["side"] - widths["up"] == pytest.approx(0.15, abs=0.012)
    assert widths["down"] == widths["up"]


@pytest.mark.parametrize("layer", [0.12, 0.2, 0.28])
@pytest.mark.parametrize("mouth", ["up", "side", "inside"])
def test_depth_takes_the_thickest_nut_in_whole_layers(mouth: Mouth, layer: float) -> None:
    made = size_nut_pocket(replace(NUT, mouth=mouth, layer=layer))
    assert made.depth / layer == pytest.approx(round(made.depth / layer))
    least = 3.2 + (0.1 if mouth != "side" else 0.1 + 0.15 + 2 * 0.08)  # ISO 4032: an M4 nut is up to 3.2 mm high
    assert least <= made.depth <= least / HABITS.scale_z.mean + layer
    assert ("pause height" in [draw.what for draw in made.sizing.draws]) == (mouth == "inside")


@pytest.mark.parametrize(("flats", "gap"), [(7.0, 0.1), (7.0, 0.5), (5.5, 0.24), (10.0, 0.9)])
def test_turning_play_is_where_a_turned_hexagon_touches(flats: float, gap: float) -> None:
    """Turns a hexagon inside a larger one until it sticks out."""

    def hexagon(across: float) -> Polygon:
        angles = np.radians(np.arange(6) * 60)
        return Polygon(across / math.sqrt(3) * np.column_stack([np.cos(angles), np.sin(angles)]))

    pocket, turned = hexagon(flats + gap).buffer(1e-9), hexagon(flats)
    angles = np.arange(0, 30, 0.02)
    held = [angle for angle in angles if not pocket.contains(affinity.rotate(turned, angle, origin=(0, 0)))]
    assert turning_play(Limits(flats, flats), gap) == pytest.approx(held[0], abs=0.03)


def test_a_nut_spins_where_the_pocket_is_as_wide_as_its_corners() -> None:
    assert turning_play(Limits(7.0, 7.0), 7.0 * (2 / math.sqrt(3) - 1) + 1e-9) == 180.0
    assert turning_play(Limits(7.0, 7.0), -0.1) == 0.0


@pytest.mark.parametrize("name", ["M2", "M3", "M6"])
def test_chance_of_an_insert_is_that_of_simulated_holes(name: str) -> None:
    made = size_insert_hole(replace(INSERT, insert=insert(name)))
    hole = Workshop(HABITS, 12).hole(made.hole.draw)
    finished = insert(name).hole
    assert made.hole.chance == pytest.approx(((hole > finished.low) & (hole < finished.high)).mean(), abs=0.006)


def test_insert_holes_are_deeper_by_two_pitches_and_their_boss_is_thick_enough() -> None:
    made = size_insert_hole(INSERT)
    least = 5.8 + 2 * 0.5  # insert M3 of 5.8 mm, pitch 0.5
    assert least <= made.depth <= least / HABITS.scale_z.mean + 0.2
    assert made.boss == pytest.approx(made.hole.draw + 2 * 1.6)


def test_plastics_with_fibres_get_a_wider_hole() -> None:
    plain, filled = (size_insert_hole(replace(INSERT, plastic=plastic)) for plastic in ("PETG", "PETG-CF"))
    assert filled.hole.draw - plain.hole.draw == pytest.approx(0.1, abs=0.011)


@pytest.mark.parametrize(
    ("plastic", "fibres"),
    [
        ("PETG-CF", True),
        ("PA6 GF25", True),
        ("pla cf", True),
        ("glass fibre PP", True),
        ("PETG", False),
        ("CPE", False),
    ],
)
def test_fibres_are_read_off_the_name(plastic: str, fibres: bool) -> None:
    assert has_fibres(plastic) == fibres


@pytest.mark.parametrize(("wall", "verdict"), [(0.8, Verdict.FAILING), (1.2, Verdict.DOUBTFUL), (1.6, None)])
def test_a_thin_wall_around_an_insert_is_spoken_of(wall: float, verdict: Verdict | None) -> None:
    found = [item for item in size_insert_hole(replace(INSERT, wall=wall)).sizing.findings if "wall" in item.code]
    assert [item.verdict for item in found] == ([verdict] if verdict else [])


@pytest.mark.parametrize("hold", ["press", "glue", "inside"])
def test_chance_of_a_disc_is_that_of_simulated_pockets(hold: Hold) -> None:
    stuck = glue("epoxy") if hold == "glue" else None
    made = size_magnet_pocket(replace(DISC, hold=hold, glue=stuck))
    shop = Workshop(HABITS, 13)
    gap = shop.hole(made.across.draw) - shop.bought(Limits(5.9, 6.1))
    low, high = {"press": (-0.5, -0.1), "glue": (0.1, 2.0), "inside": (0.05, 0.5)}[hold]  # epoxy: 0.05 to 1 mm a side
    assert made.chance == pytest.approx(((gap > low) & (gap < high)).mean(), abs=0.006)
    assert made.ridge == (0.3 if hold == "press" else 0.0)


@pytest.mark.parametrize("growth_sd", [0.03, 0.08])
def test_chance_of_a_bar_knows_that_its_walls_grow_alike(growth_sd: float) -> None:
    habits = replace(HABITS, outer_growth=Spread(0.05, growth_sd))
    made = size_magnet_pocket(replace(BAR, habits=habits))
    assert made.along is not None
    shop = Workshop(habits, 14)
    across = shop.slot(made.across.draw) - shop.bought(Limits(9.9, 10.1))
    along = shop.slot(made.along.draw) - shop.bought(Limits(19.9, 20.1))
    good = (across > CRUSH.low) & (across < CRUSH.high) & (along > LAID_IN.low) & (along < LAID_IN.high)
    assert made.chance == pytest.approx(good.mean(), abs=0.01)
    if growth_sd == 0.08:  # independent gaps would be told too low
        assert made.chance > made.across.chance * made.along.chance + 0.01


def test_the_cap_is_made_of_whole_layers_and_the_first_may_differ() -> None:
    made = size_magnet_pocket(replace(DISC, cap_layers=3, layer=0.2, first_layer=0.28))
    assert made.cap == pytest.approx(0.28 + 2 * 0.2)
    assert made.depth >= 2 + 0.1 + 0.1


@pytest.mark.parametrize(("layer", "depth"), [(0.1, 3.3), (0.08, 3.28)])
def test_a_magnet_never_stands_proud(layer: float, depth: float) -> None:
    """3 mm, at most 3.1 mm, and 0.1 mm below the face: 3.2 / 0.9985 in whole layers."""
    made = size_magnet_pocket(replace(DISC, magnet=magnet("disc 6x3"), layer=layer))
    assert made.depth == pytest.approx(depth)


def test_a_glued_magnet_gets_the_layer_its_glue_likes_where_that_is_safe() -> None:
    thick = size_magnet_pocket(replace(DISC, hold="glue", glue=glue("silicone")))
    assert thick.across.gap.mean == pytest.approx(2 * 1.0, abs=0.01)  # silicone: 1 mm is usual, 0.3 to 3 mm hold
    thin = size_magnet_pocket(replace(DISC, hold="glue", glue=glue("superglue")))
    assert thin.across.gap.mean == pytest.approx(2 * (0.02 + 0.15) / 2, abs=0.02)


def test_poles_are_asked_about_where_magnets_meet() -> None:
    codes = [item.code for item in size_magnet_pocket(replace(DISC, faces="magnet")).sizing.findings]
    assert codes == ["fit.magnet_pocket", "fit.magnet_poles"]
    assert len(size_magnet_pocket(DISC).sizing.findings) == 1


def test_todays_drawing_is_judged_against_what_can_be_reached() -> None:
    best = size_nut_pocket(NUT).flats.draw
    verdicts = [
        size_nut_pocket(replace(NUT, drawn=drawn)).sizing.findings[0].verdict for drawn in (best, best + 0.12, 7.6)
    ]
    assert verdicts == [Verdict.SOUND, Verdict.DOUBTFUL, Verdict.FAILING]
    finding = size_nut_pocket(replace(NUT, drawn=7.6)).sizing.findings[0]
    assert finding.cure.startswith(f"draw the pocket across flats {best:.2f} mm, {7.6 - best:.2f} mm smaller than now")


def test_a_well_known_bench_needs_no_trial() -> None:
    exact = replace(
        HABITS, hole_shrink=Spread(0.06, 0.005), hole_curl=Spread(0.8, 0.02), scale_xy=Spread(0.997, 1e-4), scatter=0.02
    )
    unsure, sure = size_insert_hole(INSERT), size_insert_hole(replace(INSERT, habits=exact))
    assert (unsure.sizing.trial_worth, sure.sizing.trial_worth) == (True, False)
    assert (
        unsure.sizing.findings[0].verdict is Verdict.UNKNOWN
        and "print one short piece" in unsure.sizing.findings[0].cure
    )
    assert sure.sizing.findings[0].verdict is Verdict.SOUND


@pytest.mark.parametrize(
    ("need", "layer", "height"), [(2.0, 0.2, 2.0), (2.01, 0.2, 2.2), (0.6, 0.2, 0.6), (1.0, 0.3, 1.2)]
)
def test_whole_layers(need: float, layer: float, height: float) -> None:
    assert whole_layers(need, layer) == pytest.approx(height)


@pytest.mark.parametrize(
    ("made", "sentence"),
    [
        (
            lambda: size_nut_pocket(replace(NUT, mouth="left")),
            'joint clamp: the mouth is "left"; write "up", "down", "side" or "inside".',
        ),
        (
            lambda: size_nut_pocket(replace(NUT, layer=0.0)),
            "joint clamp: layer is 0 mm; it must be a number above 0.",
        ),
        (
            lambda: size_nut_pocket(replace(NUT, drawn=math.nan)),
            "joint clamp: drawn width across flats is nan mm; it must be a number above 0.",
        ),
        (
            lambda: size_insert_hole(replace(INSERT, wall=-1.0)),
            "joint foot: wall is -1 mm; it must be a number above 0.",
        ),
        (
            lambda: size_magnet_pocket(replace(DISC, cap_layers=0)),
            "joint flap: a cap of 0 layers lets the magnet through; use 1 layer at least, 2 to be tight.",
        ),
        (
            lambda: size_magnet_pocket(replace(DISC, hold="glue")),
            'joint flap: no glue is named; name the glue of a magnet held by "glue", and of no other.',
        ),
        (
            lambda: size_magnet_pocket(replace(DISC, hold="prayer")),
            'joint flap: the magnet is held by "prayer"; write "press", "glue" or "inside".',
        ),
    ],
)
def test_what_cannot_be_is_refused_in_one_sentence(made: Callable[[], object], sentence: str) -> None:
    with pytest.raises(ValueProblem) as refusal:
        made()
    assert str(refusal.value) == sentence

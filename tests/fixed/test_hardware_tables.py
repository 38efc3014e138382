"""Nuts, inserts and magnets against values typed independently, and against relations that must hold."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from shadewright.catalog.hardware import insert, inserts, magnet, magnets, nut, nuts
from shadewright.catalog.lookup import glues, thread
from shadewright.errors import UnknownName

# ISO 4032, product grade A: largest flats s, largest and least height m; typed from memory, a second time.
ISO_4032 = {
    "M2": (4.0, 1.6, 1.35),
    "M2.5": (5.0, 2.0, 1.75),
    "M3": (5.5, 2.4, 2.15),
    "M3.5": (6.0, 2.8, 2.55),
    "M4": (7.0, 3.2, 2.9),
    "M5": (8.0, 4.7, 4.4),
    "M6": (10.0, 5.2, 4.9),
    "M8": (13.0, 6.8, 6.44),
    "M10": (16.0, 8.4, 8.04),
}


# ISO 286-1, grades IT13 and IT14 up to that size [mm]; typed from memory, in micrometres.
GRADES = ((3, 140, 250), (6, 180, 300), (10, 220, 360), (18, 270, 430))


@pytest.mark.parametrize("name", ISO_4032)
def test_nuts_are_those_of_iso_4032(name: str) -> None:
    card = nut(name)
    assert (card.flats.high, card.height.high, card.height.low) == ISO_4032[name]


def test_tolerances_of_nuts_are_the_grades_the_standard_names() -> None:
    """ISO 4759-1, grade A: width across flats h13, height h14 (from memory)."""
    for card in nuts():
        it13 = next(grade for up_to, grade, _ in GRADES if card.flats.high <= up_to)
        it14 = next(grade for up_to, _, grade in GRADES if card.height.high <= up_to)
        assert 1000 * card.flats.width == pytest.approx(it13)
        assert 1000 * card.height.width == pytest.approx(it14)


def test_nuts_and_inserts_carry_the_coarse_thread_of_their_name() -> None:
    for card in (*nuts(), *inserts()):
        own = thread(card.name)
        assert (own.major, own.pitch) == (card.screw, card.pitch)
        assert card.evidence.from_memory


def test_clearance_holes_pass_the_screw_and_stay_under_the_nut() -> None:
    # ISO 273, medium series, from memory.
    assert {card.name: card.hole for card in nuts() if card.name in ("M3", "M4", "M5", "M6")} == {
        "M3": 3.4,
        "M4": 4.5,
        "M5": 5.5,
        "M6": 6.6,
    }
    assert all(card.screw < card.hole < card.flats.low for card in nuts())


def test_inserts_are_wider_than_their_holes_and_say_whose_sheet_goes_first() -> None:
    for card in inserts():
        assert card.screw < card.hole.low < card.hole.high < card.outside
        assert card.filled_hole.low > card.hole.low and card.filled_hole.high < card.outside
        assert card.length >= 1.4 * card.screw
        assert card.evidence.note == "LOW: follow the maker's sheet"


def test_magnets_are_as_large_as_they_are_called() -> None:
    for card in magnets():
        sizes = [float(number) for number in card.name.split()[1].split("x")]
        assert [card.length, card.width, card.thickness] == (sizes if card.shape == "bar" else [sizes[0], *sizes])
        assert (card.shape == "round") == card.name.startswith("disc")
        assert card.limits(card.length).width == pytest.approx(2 * card.tolerance)


@pytest.mark.parametrize(("written", "found"), [("m3 nut", "M3"), ("M 2,5", "M2.5")])
def test_nuts_are_found_as_people_write_them(written: str, found: str) -> None:
    assert nut(written).name == found


def test_magnets_are_found_by_their_size_alone() -> None:
    assert magnet("6 x 2").name == "disc 6x2"
    assert magnet("20x10x2 magnet").name == "bar 20x10x2"


@pytest.mark.parametrize(
    ("look_up", "name", "words"),
    [
        (nut, "M33", "no nut is called"),
        (insert, "M3.7", "no heat-set insert is called"),
        (magnet, "disc 6x9", "no magnet is called"),
    ],
)
def test_unknown_names_offer_near_ones(look_up: Callable[[str], object], name: str, words: str) -> None:
    with pytest.raises(UnknownName, match=words + f' "{name}"; use "'):
        look_up(name)


def test_every_glue_says_in_which_gap_it_holds() -> None:
    for card in glues():
        assert 0 < card.gap.low < card.gap.likely < card.gap.high

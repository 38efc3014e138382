"""Material cards: sources, order of strengths, warmth, time and fillers."""

from __future__ import annotations

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from shadewright.catalog.lookup import plastic, plastics
from shadewright.fit.moving import ACROSS_LAYERS
from shadewright.hold.card import (
    ACROSS_STRAIN,
    MaterialCard,
    Treatment,
    fatigue_strength,
    long_strength,
    material_card,
    modulus_left,
    treatment_of,
)
from shadewright.hold.ranges import Ranged

NAMES = st.sampled_from([card.name for card in plastics()])


def card_of(name: str, temp_c: float = 23.0, treatment: Treatment = Treatment.PLAIN) -> MaterialCard:
    return material_card(plastic(name), temp_c=temp_c, treatment=treatment)


def ends(ranged: Ranged) -> tuple[float, float, float]:
    return ranged.low, ranged.likely, ranged.high


def test_at_room_temperature_a_card_says_what_the_catalogue_says() -> None:
    card = card_of("PLA")

    # open tensile data, 7 rows of PLA: means 49.30 along and 20.46 MPa across the layers
    assert card.strength_along_mpa.likely == pytest.approx(49.3, rel=0.002)
    assert card.strength_across_mpa.likely == pytest.approx(20.46, rel=0.003)
    assert ends(card.modulus_mpa) == (3000, 3400, 4000)
    assert "tensile-open-data" in card.sources()
    assert card.strain_once.likely == pytest.approx(0.015)  # start value for PLA in plane: 1.0 to 1.5 %
    assert card.strain_repeated.likely == pytest.approx(0.6 * 0.015)  # design guide: 60 % when opened often


@given(NAMES)
def test_across_layers_it_is_weaker_and_often_is_less_than_once(name: str) -> None:
    card = card_of(name)

    assert card.strength(across_layers=True).likely < card.strength(across_layers=False).likely
    assert card.shear(across_layers=True).likely <= card.shear(across_layers=False).likely
    for across in (True, False):
        assert card.shear(across_layers=across).likely < card.strength(across_layers=across).likely
        assert (
            card.strain(across_layers=across, repeated=True).likely
            < card.strain(across_layers=across, repeated=False).likely
        )
    assert card.strain(across_layers=True, repeated=True).high < card.strain(across_layers=False, repeated=True).high


def test_sizing_and_strength_allow_the_same_strain_across_layers() -> None:
    assert ACROSS_STRAIN.likely == pytest.approx(ACROSS_LAYERS)


@given(NAMES, st.sampled_from(list(Treatment)), st.floats(-10, 150), st.floats(0, 60))
@example("PLA", Treatment.PLAIN, 55.0, 2.0)
def test_hotter_is_never_stronger_nor_stiffer(name: str, mixed: Treatment, temp_c: float, warmer: float) -> None:
    cool, warm = card_of(name, temp_c, mixed), card_of(name, temp_c + warmer, mixed)

    for field in ("modulus_mpa", "strength_along_mpa", "strength_across_mpa", "shear_along_mpa", "shear_across_mpa"):
        for colder, hotter in zip(ends(getattr(cool, field)), ends(getattr(warm, field)), strict=True):
            assert 0 < hotter <= colder * (1 + 1e-12)
    assert modulus_left(warm, 1000).likely <= modulus_left(cool, 1000).likely


@pytest.mark.parametrize("name", ["PLA", "PETG", "ABS", "ASA", "PC"])
def test_the_modulus_falls_to_what_iso_75_implies(name: str) -> None:
    # ISO 75 ends when 1.8 or 0.45 MPa of fibre stress make 0.2 % of fibre strain: 900 and 225 MPa
    stated = plastic(name)
    assert stated.hdt_180_c and stated.hdt_045_c
    assert card_of(name, stated.hdt_180_c.likely).modulus_mpa.likely == pytest.approx(900, rel=1e-9)
    assert card_of(name, stated.hdt_045_c.likely).modulus_mpa.likely == pytest.approx(225, rel=1e-9)


def test_a_plastic_near_its_glass_point_bears_nothing_for_long() -> None:
    assert card_of("PLA", 35).bears_for_long
    hot = card_of("PLA", 45)
    assert not hot.bears_for_long
    assert any("40 °C" in note for note in hot.notes)  # glass point 60, less 20
    assert card_of("PC", 90).bears_for_long


def test_creep_leaves_half_after_a_thousand_hours_and_a_third_after_ten_thousand() -> None:
    # design factors: 0.5 and 0.35 of the modulus (judgement for PLA, PETG, ABS); at once nothing is lost
    card = card_of("PETG")
    assert modulus_left(card, 1000).likely == pytest.approx(0.5, rel=0.01)
    assert modulus_left(card, 10_000).likely == pytest.approx(0.35, rel=0.01)
    assert modulus_left(card, 0).low == 1.0


def test_findleys_law_of_the_worked_example_lies_within_the_range() -> None:
    # own example, strain 0.5 + 0.06 t^0.25: moduli 0.597 after 1000 h, 0.455 after 10 000 h
    for hours, ratio in ((1000, 0.5 / 0.83740), (10_000, 0.5 / 1.1)):
        left = modulus_left(card_of("PETG"), hours)
        assert left.low < ratio < left.high


@given(st.floats(0, 1e6), st.floats(0, 1e6))
def test_time_and_swings_only_take(first: float, second: float) -> None:
    short, long = sorted((first, second))
    assert 0 < long_strength(long).likely <= long_strength(short).likely <= 1
    assert 0 < fatigue_strength(long).low <= fatigue_strength(short).low <= 1
    assert modulus_left(card_of("PLA"), long).likely <= modulus_left(card_of("PLA"), short).likely


def test_long_load_and_fatigue_shares() -> None:
    # rules of thumb, from memory: about half after years; 0.2 to 0.3 at a million swings
    assert long_strength(10_000).likely == pytest.approx(0.45, abs=0.01)
    assert 0.2 <= fatigue_strength(1e6).likely <= 0.3


@pytest.mark.parametrize(
    ("name", "treatment"),
    [
        ("PLA", Treatment.PLAIN),
        ("PLA matt black", Treatment.MATT),
        ("PLA Silk", Treatment.MATT),
        ("PETG-CF", Treatment.FILLED),
        ("PA12 GF15", Treatment.FILLED),
        ("PLA wood", Treatment.FILLED),
        ("ASA white", Treatment.PLAIN),
    ],
)
def test_spool_names_tell_what_is_mixed_in(name: str, treatment: Treatment) -> None:
    assert treatment_of(name) is treatment


def test_fillers_weaken_and_say_why() -> None:
    plain = card_of("PLA")
    for treatment in (Treatment.MATT, Treatment.FILLED):
        mixed = card_of("PLA", treatment=treatment)
        assert mixed.strength_across_mpa.likely < plain.strength_across_mpa.likely
        assert mixed.strain_once.likely < plain.strain_once.likely
        assert mixed.modifier.reason in mixed.notes
        assert "layers" in mixed.modifier.reason
    # open data: PLA with carbon fibre 42.84 against 49.30 MPa
    assert card_of("PLA", treatment=Treatment.FILLED).strength_along_mpa.likely == pytest.approx(42.84, rel=0.01)

"""Cards: what a range says, and what the cards must agree on among themselves and with sources."""

import pytest

from shadewright.catalog import lookup
from shadewright.catalog.cards import Known, Range


def test_a_range_knows_its_likely_value():
    assert Range(1, 2, 4).likely == 2
    assert Range(1, None, 4).likely == 2.5
    assert (str(Range(1, None, 4)), str(Range(3, 3, 3))) == ("1 to 4", "3")


def test_every_plastic_value_has_its_own_evidence():
    for card in lookup.plastics():
        for field in ("density_g_cm3", "tg_c", "modulus_mpa", "strength_along_mpa", "conductivity_w_mk", "emissivity"):
            value = getattr(card, field)
            assert isinstance(value, Known) and value.evidence.source and value.evidence.where


def test_printed_plastics_of_the_table_are_there():
    assert [card.name for card in lookup.plastics()] == ["PLA", "PETG", "ABS", "ASA", "PC", "PA6", "PA12", "TPU 95A"]


def test_expansion_is_per_kelvin():
    # closed form: 68e-6 per K, 100 mm, 30 K make 0.204 mm; value for PLA from memory of data sheets
    assert lookup.plastic("PLA").expansion_per_k.likely * 100 * 30 == pytest.approx(0.204, abs=0.001)


def test_pulling_layers_apart_is_weaker_than_pulling_along():
    # open tensile data: mean ratio of unfilled PLA 0.421, PETG 0.393
    for card in lookup.plastics():
        if card.strength_across_mpa is not None:
            assert card.strength_across_mpa.likely < card.strength_along_mpa.likely
    ratio = {
        name: lookup.plastic(name).strength_across_mpa.likely / lookup.plastic(name).strength_along_mpa.likely
        for name in ("PLA", "PETG")
    }
    assert ratio == pytest.approx({"PLA": 0.42, "PETG": 0.39}, abs=0.01)


def test_means_of_the_open_tensile_data():
    # the seven plain PLA rows (along, across) of the open data, MPa, typed here from the file
    along = (65.13, 59.34, 56.36, 56.13, 40.06, 34.78, 33.30)
    across = (20.72, 24.41, 22.27, 23.39, 30.64, 12.34, 9.45)
    pla = lookup.plastic("PLA")
    for values, known in ((along, pla.strength_along_mpa), (across, pla.strength_across_mpa)):
        assert known.likely == pytest.approx(sum(values) / 7, abs=0.1)
        assert (known.low, known.high) == pytest.approx((min(values), max(values)), abs=0.05)


def test_a_bar_sags_earlier_under_the_greater_load():
    for card in lookup.plastics():
        if card.hdt_045_c and card.hdt_180_c:
            assert card.hdt_180_c.likely < card.hdt_045_c.likely


def test_amorphous_plastics_sag_below_their_glass_point():
    for name in ("PLA", "PETG", "ABS", "ASA", "PC"):
        card = lookup.plastic(name)
        assert card.hdt_045_c.likely < card.tg_c.likely


def test_hot_glue_lets_go_below_its_softening_point():
    # that heat resistance under load lies below ring and ball was seen
    glue = lookup.glue("hot glue")
    assert glue.holds_to_c.high < glue.softens_c.low


def test_holders_name_threads_that_exist_and_bulbs_name_holders_that_exist():
    for holder in lookup.holders():
        for name in (holder.shell_thread, holder.barrel_thread, *holder.entry_threads):
            assert not name or lookup.thread(name).name == name
    for bulb in lookup.bulbs():
        for cap in bulb.caps:
            assert lookup.holder(cap).name == cap


def test_shape_codes_give_the_diameter():
    # number in the code = diameter in mm, or in eighths of an inch for the American codes (rule seen on several pages)
    for name in ("A60", "P45", "C35", "G95", "G125", "ST64", "R50", "R63"):
        assert lookup.bulb(name).diameter == float(name.lstrip("ACGPRST"))
    for name, eighths in (("PAR16", 16), ("MR16", 16), ("PAR38", 38)):
        assert lookup.bulb(name).diameter == pytest.approx(eighths * 25.4 / 8, abs=0.5)
    assert lookup.bulb("A19").name == "A60"  # 19/8 in = 60.3 mm


def test_bulbs_give_as_much_light_per_watt_as_the_market_does():
    # household LED lamps 60 to 150 lm/W, seen
    for bulb in lookup.bulbs():
        assert 60 <= bulb.flux_lm.likely / bulb.watts_w.likely <= 150, bulb.name
    led = lookup.light_source("LED")
    assert (led.efficacy_lm_w.low, led.efficacy_lm_w.high) == (60, 150)


def test_light_share_and_efficacy_fit_together():
    # visible light carries 280 to 350 lm per watt of light (white LED), less for filaments, whose share counts some red
    for source in lookup.light_sources():
        assert 100 <= source.efficacy_lm_w.likely / source.light_fraction.likely <= 350, source.name


def test_current_ratings_that_were_seen():
    # BS 6776 scope: 2 A for E14, 4 A for E27; cord currents 3, 6, 10 A for 0.5, 0.75, 1.0 mm² (HD 21)
    assert (lookup.holder("E14").rated_current_a, lookup.holder("E27").rated_current_a) == (2, 4)
    for cord in lookup.cords():
        if cord.name.startswith("H0") and cord.core_area_mm2 <= 1:
            assert cord.rated_current_a == {0.5: 3, 0.75: 6, 1.0: 10}[cord.core_area_mm2]


def test_flat_cords_are_flat():
    for cord in lookup.cords():
        assert (cord.short_side == cord.long_side) == (cord.shape == "round")


def test_room_for_a_cord():
    # round cord 6.3: a circle; flat cord 3.8 by 6.3: a circle of 3.8 and a rectangle between its halves
    assert lookup.cord("H03VV-F 2x0.75").outline_mm2 == pytest.approx(31.17, abs=0.01)
    assert lookup.cord("H03VVH2-F 2x0.75").outline_mm2 == pytest.approx(3.8 * 2.5 + 11.34, abs=0.01)

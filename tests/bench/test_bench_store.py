"""The bench keeps what it is given, and makes print setups of it."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import pytest

from shadewright.bench.records import HabitCard, PlasticCard, PrinterCard, RungRecord, TrialRecord
from shadewright.bench.store import Bench
from shadewright.errors import UnknownName, UserError, ValueProblem
from shadewright.fit.defaults import built_in_habits
from shadewright.fit.joint import Feel, JointKind
from shadewright.printing import AsPrinted, Spread


@pytest.fixture
def bench(tmp_path: Path) -> Iterator[Bench]:
    with Bench.open(tmp_path / "bench.sqlite") as opened:
        yield opened


def habits(growth: float = 0.03) -> AsPrinted:
    return AsPrinted(
        outer_growth=Spread(growth, 0.01),
        hole_shrink=Spread(0.1, 0.02),
        hole_curl=Spread(1.2, 0.1),
        scale_xy=Spread(0.998, 0.001),
        scale_z=Spread(1.0, 0.001),
        flare=Spread(0.1, 0.03),
        scatter=0.02,
        source="ladder of nine bores",
    )


ATTIC = PrinterCard(name="attic", bed_x=180, bed_y=170, bed_z=160, nozzles=(0.6, 0.4))
TRIAL = TrialRecord(
    name="neck, first",
    lamp="porch",
    joint="neck",
    kind=JointKind.SLIDE,
    printer="built-in",
    nozzle=0.4,
    plastic="PLA",
    made_on="2025-03-09",
    rungs=(
        RungRecord(number=1, drawn=40.2, clearance=0.2, outcome=Feel.TIGHT),
        RungRecord(number=2, drawn=40.4, clearance=0.4),
    ),
)


def test_a_first_run_needs_nothing(bench: Bench) -> None:
    setup = bench.setup()

    assert (setup.printer, setup.bed_x, setup.bed_y, setup.bed_z) == ("built-in", 220, 220, 250)
    assert (setup.nozzle, setup.layer, setup.plastic.name) == (0.4, 0.2, "PLA")
    assert setup.habits == replace(built_in_habits(0.4, "PLA"), pair=("built-in", 0.4, "PLA", "PLA"))
    assert {card.name for card in bench.plastics()} == {"PLA", "PETG", "ABS", "ASA", "PC", "PA12", "TPU"}


def test_line_first_layer_and_skins_follow_the_named_rules(bench: Bench) -> None:
    """Line 1.05 nozzles wide, first layer half a nozzle at least, skins 0.8 mm thick (common practice, no source)."""
    fine = bench.setup(nozzle=0.4, layer=0.12)
    coarse = bench.setup(nozzle=0.6, layer=0.4)

    assert fine.line_width == pytest.approx(0.42)
    assert (fine.first_layer, fine.skins) == (0.2, 7)
    assert coarse.line_width == pytest.approx(0.63)
    assert (coarse.first_layer, coarse.skins) == (0.4, 2)


def test_the_fitted_nozzle_and_half_of_it_are_the_start(bench: Bench) -> None:
    bench.keep(ATTIC)

    setup = bench.setup("ATTIC")

    assert (setup.printer, setup.nozzle, setup.layer) == ("attic", 0.6, 0.3)


def test_own_habits_beat_the_built_in_ones_for_their_nozzle_only(bench: Bench) -> None:
    bench.keep(HabitCard(printer="built-in", nozzle=0.4, plastic="petg", habits=habits()))

    assert bench.setup(plastic="PETG").habits == replace(habits(), pair=("built-in", 0.4, "PETG", "PETG"))
    for setup in (bench.setup(plastic="PETG", nozzle=0.6), bench.setup(plastic="PLA")):
        assert replace(setup.habits, pair=None) == built_in_habits(setup.nozzle, setup.plastic.name)


def test_an_own_plastic_borrows_the_habits_of_its_family(bench: Bench) -> None:
    bench.keep(PlasticCard(name="matte white", family="PETG", density_g_cm3=1.3, flow_limit_mm3_s=7))

    setup = bench.setup(plastic="matte white")

    assert setup.habits == replace(built_in_habits(0.4, "PETG"), pair=("built-in", 0.4, "matte white", "PETG"))
    assert setup.plastic.density_g_cm3 == 1.3


def test_what_is_kept_is_found_again_in_the_file(tmp_path: Path) -> None:
    file = tmp_path / "bench.sqlite"
    with Bench.open(file) as bench:
        bench.keep(ATTIC, HabitCard(printer="attic", nozzle=0.6, plastic="PLA", habits=habits()))
        bench.record(TRIAL)

    with Bench.open(file) as bench:
        assert bench.printer("attic") == ATTIC
        assert [card.habits for card in bench.habits()] == [habits()]
        assert bench.trials() == (TRIAL,)


def test_recording_a_trial_again_replaces_its_rungs(bench: Bench) -> None:
    bench.record(TRIAL)
    tried = TrialRecord(
        **{name: getattr(TRIAL, name) for name in TRIAL.__slots__ if name != "rungs"},
        rungs=(RungRecord(number=2, drawn=40.4, clearance=0.4, outcome=Feel.SNUG),),
    )

    bench.record(tried)

    assert bench.trials() == (tried,)


def test_changing_a_printer_keeps_what_was_learned_on_it(bench: Bench) -> None:
    bench.keep(ATTIC, HabitCard(printer="attic", nozzle=0.6, plastic="PLA", habits=habits()))

    bench.keep(PrinterCard(name="Attic", bed_x=200, bed_y=200, bed_z=200))

    assert bench.printer("attic").bed_x == 200
    assert bench.printer("attic").nozzles == (0.4,)
    assert len(bench.habits()) == 1


def test_several_cards_are_kept_together_or_not_at_all(bench: Bench) -> None:
    with pytest.raises(UnknownName):
        bench.keep(ATTIC, HabitCard(printer="attic", nozzle=0.4, plastic="PLAA", habits=habits()))

    assert [card.name for card in bench.printers()] == ["built-in"]


def test_unknown_names_come_with_near_ones(bench: Bench) -> None:
    with pytest.raises(UnknownName) as printer:
        bench.setup("bilt-in")
    with pytest.raises(UnknownName) as plastic:
        bench.setup(plastic="PTEG")

    assert str(printer.value) == 'no printer is called "bilt-in"; use "built-in".'
    assert str(plastic.value).startswith('no plastic is called "PTEG"; use "PETG"')


@pytest.mark.parametrize(
    ("settings", "sentence"),
    [
        (
            {"nozzle": 0.4, "layer": 0.4},
            "a layer of 0.4 mm does not go with a nozzle of 0.4 mm; choose a layer from 0.02 to 0.32 mm.",
        ),
        ({"infill": 15}, "an infill of 15 is no fraction; write 0.15."),
        ({"infill": math.nan}, "an infill of nan is no fraction; choose a fraction from 0 to 1."),
        ({"walls": 0}, "0 walls enclose nothing; choose 1 or more."),
        ({"nozzle": 4.0}, "no nozzle has a bore of 4 mm; give one from 0.1 to 2 mm."),
    ],
)
def test_impossible_settings_are_refused_in_a_sentence(bench: Bench, settings: dict[str, float], sentence: str) -> None:
    with pytest.raises(ValueProblem) as refusal:
        bench.setup(**settings)  # type: ignore[arg-type]

    assert str(refusal.value) == sentence


@pytest.mark.parametrize(
    "make",
    [
        lambda: PrinterCard(name="", bed_x=1, bed_y=1, bed_z=1),
        lambda: PrinterCard(name="a\nb", bed_x=1, bed_y=1, bed_z=1),
        lambda: PrinterCard(name="a", bed_x=math.nan, bed_y=1, bed_z=1),
        lambda: PrinterCard(name="a", bed_x=1, bed_y=1, bed_z=1, nozzles=()),
        lambda: PrinterCard(name="a", bed_x=1, bed_y=1, bed_z=1, warm_up_s=-1),
        lambda: PlasticCard(name="a", family="PLA", density_g_cm3=0, flow_limit_mm3_s=1),
        lambda: PlasticCard(name="a", family="PLA", density_g_cm3=1, flow_limit_mm3_s=1, price_per_kg=-1),
        lambda: HabitCard(printer="a", nozzle=0.4, plastic="b", habits=habits(math.inf)),
        lambda: RungRecord(number=0, drawn=1, clearance=0),
        lambda: RungRecord(number=1, drawn=1, clearance=math.nan),
    ],
)
def test_no_record_can_hold_an_impossible_value(make: object) -> None:
    with pytest.raises(UserError):
        make()  # type: ignore[operator]

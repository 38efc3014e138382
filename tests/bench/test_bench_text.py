"""The bench goes out to a text file and comes back the same."""

from __future__ import annotations

import tempfile
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from shadewright.bench.records import SPREADS, HabitCard, PlasticCard, PrinterCard, RungRecord, TrialRecord
from shadewright.bench.store import Bench
from shadewright.bench.text import export_text, import_file, parse_text
from shadewright.errors import UserError
from shadewright.fit.joint import Feel, JointKind
from shadewright.printing import AsPrinted, Spread

NAMES = (
    st.text(st.characters(exclude_categories=["C", "Zl", "Zp"]), min_size=1, max_size=20)
    .map(str.strip)
    .filter(lambda name: name.isprintable() and name != "")
)
TEXTS = st.text(st.characters(exclude_categories=["Cs"], exclude_characters="\0"), max_size=30)
SIZES = st.floats(1e-3, 1e4)
BORES = st.floats(0.1, 2.0)


def unique(cards: st.SearchStrategy[object]) -> st.SearchStrategy[list[object]]:
    return st.lists(cards, max_size=3, unique_by=lambda card: card.name.lower())  # type: ignore[attr-defined]


PRINTERS = st.builds(
    PrinterCard,
    name=NAMES,
    bed_x=SIZES,
    bed_y=SIZES,
    bed_z=SIZES,
    nozzles=st.lists(BORES, min_size=1, max_size=3).map(tuple),
    speed_mm_s=SIZES,
    acceleration_mm_s2=SIZES,
    least_layer_s=st.floats(0, 99),
    warm_up_s=st.floats(0, 999),
    source=TEXTS,
)
PLASTICS = st.builds(
    PlasticCard,
    name=NAMES,
    family=NAMES,
    density_g_cm3=SIZES,
    flow_limit_mm3_s=SIZES,
    price_per_kg=st.none() | SIZES,
    source=TEXTS,
)
HABITS = st.builds(
    AsPrinted,
    **{name: st.builds(Spread, st.floats(-3, 3), st.floats(0, 1)) for name in SPREADS},
    scatter=st.floats(0, 1),
    source=TEXTS,
)
RUNGS = st.builds(
    RungRecord,
    number=st.integers(1, 9),
    drawn=SIZES,
    clearance=st.floats(-1, 1),
    outcome=st.none() | st.sampled_from(Feel),
)
TRIALS = st.builds(
    TrialRecord,
    name=NAMES,
    lamp=TEXTS,
    joint=TEXTS,
    kind=st.sampled_from(JointKind),
    printer=TEXTS,
    nozzle=BORES,
    plastic=TEXTS,
    made_on=st.dates().map(str),
    rungs=st.lists(RUNGS, min_size=1, max_size=4, unique_by=lambda rung: rung.number).map(
        lambda rungs: tuple(sorted(rungs, key=lambda rung: rung.number))
    ),
)


@settings(max_examples=20, deadline=None)
@given(unique(PRINTERS), unique(PLASTICS), HABITS, unique(TRIALS), BORES)
def test_a_bench_survives_the_way_through_its_text(
    printers: list[PrinterCard],
    plastics: list[PlasticCard],
    habits: AsPrinted,
    trials: list[TrialRecord],
    bore: float,
) -> None:
    with tempfile.TemporaryDirectory() as folder:
        file = Path(folder) / "bench.toml"
        with Bench.open(Path(folder) / "old.sqlite") as old, Bench.open(Path(folder) / "new.sqlite") as new:
            old.keep(*printers, *plastics, *trials)
            old.keep(*(HabitCard(printer=card.name, nozzle=bore, plastic="PLA", habits=habits) for card in printers))
            file.write_text(export_text(old), encoding="utf-8")

            import_file(new, file)

            assert new.printers() == old.printers()
            assert new.plastics() == old.plastics()
            assert new.habits() == old.habits()
            assert new.trials() == old.trials()


SMALL = """bench = 1
[printer.attic]
bed = [180, 170, 160]
nozzles = [0.4]
speed_mm_s = 60
acceleration_mm_s2 = 1500
least_layer_s = 8
warm_up_s = 200
source = "stated"
"""


@pytest.mark.parametrize(
    ("old", "new", "sentence"),
    [
        (
            "bench = 1",
            "bench = 3",
            "b.toml: this bench text has layout 3, and this program reads 1 to 2; update shadewright.",
        ),
        ("bench = 1\n", "", "b.toml: bench is missing; add bench = ...."),
        ("speed_mm_s", "sped_mm_s", "b.toml, [printer.attic]: speed_mm_s is missing; add speed_mm_s = ...."),
        ("[0.4]", '["0.4"]', "b.toml, [printer.attic]: nozzles is no number; write a number without quotes or unit."),
        ("170, ", "", "b.toml, [printer.attic]: bed has 2 numbers; give three: width, depth and height in mm."),
        ("170", "-170", "bed y of printer attic is -170 mm; it must be a number above 0."),
        ("170", "nan", "b.toml, [printer.attic]: bed is no number; write a number without quotes or unit."),
        ("source", 'sorce = ""\nsource', 'b.toml, [printer.attic]: unknown key "sorce"; write "source".'),
        ("[printer.attic]", "[[printer]]", "b.toml: printer holds something that is no table; write [printer.NAME]."),
    ],
)
def test_a_spoilt_text_is_refused_in_a_sentence(old: str, new: str, sentence: str) -> None:
    assert old in SMALL

    with pytest.raises(UserError) as refusal:
        parse_text(SMALL.replace(old, new, 1), "b.toml")

    assert str(refusal.value) == sentence


def test_an_import_that_fails_changes_nothing(tmp_path: Path) -> None:
    file = tmp_path / "b.toml"
    spreads = "".join(f"{name} = {{ mean = 0, sd = 0 }}\n" for name in SPREADS)
    habit = f'[[habit]]\nprinter = "cellar"\nnozzle = 0.4\nplastic = "PLA"\nscatter = 0\nsource = ""\n{spreads}'
    file.write_text(SMALL + habit)

    with Bench.open(tmp_path / "bench.sqlite") as bench:
        with pytest.raises(UserError, match='no printer is called "cellar"'):
            import_file(bench, file)
        assert [card.name for card in bench.printers()] == ["built-in"]


@settings(max_examples=200, deadline=None)
@given(st.text(max_size=60), st.integers(0, len(SMALL)))
def test_any_garbage_in_the_text_is_a_sentence_or_a_bench(garbage: str, place: int) -> None:
    try:
        parse_text(SMALL[:place] + garbage + SMALL[place:], "b.toml")
    except UserError as refusal:
        assert refusal.problems

"""Readings and trials come back as they were given, from the file and through the text, and from old benches."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from contextlib import closing
from dataclasses import replace
from pathlib import Path

import pytest
from evidence_samples import ATTIC, HABITS, MATTE, NECK, PIECE, RING

from shadewright.bench.records import HabitCard, PrintRecord, RungRecord, TrialRecord
from shadewright.bench.store import Bench
from shadewright.bench.text import export_text, import_file, parse_text
from shadewright.errors import UnknownName, UserError, ValueProblem
from shadewright.fit.evidence import BenchEvidence, PairEvidence, TriedRung, TriedTrial
from shadewright.fit.joint import Feel, JointKind


@pytest.fixture
def bench(tmp_path: Path) -> Iterator[Bench]:
    with Bench.open(tmp_path / "bench.sqlite") as opened:
        opened.keep(ATTIC, MATTE)
        yield opened


def test_prints_and_trials_come_back_as_they_were_given(bench: Bench) -> None:
    bench.keep(PIECE, NECK, RING)

    assert bench.prints() == (PIECE,)
    assert bench.trials() == (NECK, RING)


def test_a_print_of_the_same_name_is_replaced_whole(bench: Bench) -> None:
    bench.keep(PIECE)
    again = replace(PIECE, features=(replace(PIECE.features[0], readings=(10.02,)),))

    bench.keep(again)

    assert bench.prints() == (again,)


def test_evidence_is_put_together_by_pair(bench: Bench) -> None:
    bench.keep(PIECE, NECK, RING)

    assert bench.evidence() == BenchEvidence(
        pairs=(
            PairEvidence(printer="attic", nozzle=0.4, plastic="matte", family="PLA", features=PIECE.features),
            PairEvidence(printer="attic", nozzle=0.4, plastic="PETG", family="PETG", features=()),
        ),
        trials=(
            TriedTrial(
                name="porch/neck-1",
                question=NECK.question,  # type: ignore[arg-type]
                rung_side="female",
                mate_drawn=40.0,
                rungs=(TriedRung(drawn=40.2, felt=Feel.TIGHT), TriedRung(drawn=40.4, felt=Feel.SNUG)),
                printer="attic",
                nozzle=0.4,
                plastic="matte",
                mate_plastic="PETG",
            ),
            TriedTrial(
                name="porch/ring-1",
                question=RING.question,  # type: ignore[arg-type]
                rung_side="female",
                mate_drawn=None,
                rungs=(TriedRung(drawn=27.0, felt=Feel.EASY),),
                printer="ATTIC",
                nozzle=0.4,
                plastic="Matte",
            ),
        ),
    )


def test_what_tells_nothing_is_no_evidence(bench: Bench) -> None:
    untried = replace(NECK, name="untried", rungs=(RungRecord(number=1, drawn=40.2, clearance=0.2),))
    unasked = replace(NECK, name="unasked", question=None, rung_side="")
    gone = replace(NECK, name="gone", plastic="a plastic that was used up")

    bench.keep(untried, unasked, gone)

    assert bench.evidence() == BenchEvidence(pairs=(), trials=())


def test_a_forgotten_print_leaves_nothing_behind(bench: Bench, tmp_path: Path) -> None:
    bench.keep(PIECE, replace(PIECE, name="other", features=(replace(PIECE.features[0], print_name="other"),)))

    assert bench.forget_print("ATTIC Piece") == PIECE

    assert [record.name for record in bench.prints()] == ["other"]
    with closing(sqlite3.connect(tmp_path / "bench.sqlite")) as raw:
        assert raw.execute("SELECT count(*) FROM reading").fetchone() == (2,)
    with pytest.raises(UnknownName, match='no measured print is called "attic piece"'):
        bench.forget_print("attic piece")


def test_stated_habits_are_the_start_of_their_pair(bench: Bench) -> None:
    bench.keep(PIECE, HabitCard(printer="attic", nozzle=0.4, plastic="matte", habits=HABITS))

    (pair,) = bench.evidence().pairs

    assert (pair.stated, pair.features) == (HABITS, PIECE.features)


def test_everything_goes_out_as_text_and_into_another_bench(bench: Bench, tmp_path: Path) -> None:
    bench.keep(PIECE, NECK, RING, HabitCard(printer="attic", nozzle=0.4, plastic="matte", habits=HABITS))
    file = tmp_path / "bench.toml"
    file.write_text(export_text(bench), encoding="utf-8")

    with Bench.open(tmp_path / "other.sqlite") as other:
        import_file(other, file)

        assert (other.prints(), other.trials(), other.habits()) == (bench.prints(), bench.trials(), bench.habits())
        assert other.evidence() == bench.evidence()


@pytest.mark.parametrize(
    ("old", "new", "sentence"),
    [
        ('kind = "hole"', 'kind = "hull"', 'kind is "hull"; write one of: outer, slot, hole, height, foot.'),
        ("drawn = 8.0", "drawn = -8.0", "drawn size of K of print attic piece is -8 mm"),
        ("readings = [7.81]", "readings = []", "K of print attic piece has no readings"),
        ('feature = "K"', 'feature = "A"', "print attic piece has no readings, or one feature twice"),
        ("nominal = 40.0", "nominal = -40.0", "joint neck: nominal size is -40 mm"),
        ("nominal = 40.0", "nominal = inf", "trial porch/neck-1: the joint this trial asked about is wrong (a number"),
        ("nominal = 40.0", 'nominal = "wide"', "wrong (nominal: input should be a valid number"),
        ('rung_side = "female"', 'rung_side = "left"', "trial porch/neck-1 does not say which side its rungs are"),
        ("confirmed = true", "confirmed = 1", "confirmed is neither true nor false"),
    ],
)
def test_a_spoilt_text_of_evidence_is_refused_in_a_sentence(bench: Bench, old: str, new: str, sentence: str) -> None:
    bench.keep(PIECE, NECK)
    text = export_text(bench)
    assert old in text

    with pytest.raises(UserError) as refusal:
        parse_text(text.replace(old, new, 1), "b.toml")

    assert sentence in str(refusal.value)
    assert len(refusal.value.problems) == 1


@pytest.fixture
def old_bench(tmp_path: Path) -> Path:
    file = tmp_path / "old.sqlite"
    with closing(sqlite3.connect(file)) as raw:
        raw.executescript((Path(__file__).parent / "version_one.sql").read_text(encoding="utf-8"))
    return file


def test_a_bench_of_the_first_version_keeps_everything(old_bench: Path) -> None:
    with Bench.open(old_bench) as bench:
        bench.keep(replace(PIECE, plastic="PLA"))
        assert [(card.name, card.nozzles) for card in bench.printers()] == [
            ("attic", (0.6, 0.4)),
            ("built-in", (0.4,)),
        ]
        assert [(card.name, card.price_per_kg) for card in bench.plastics()] == [("matte", 22.5), ("PLA", None)]
        (habit,) = bench.habits()
        assert (habit.plastic, habit.habits.hole_curl.mean, habit.habits.source) == ("matte", 1.2, "nine bores")
        assert bench.trials() == (
            TrialRecord(
                name="neck, first",
                lamp="porch",
                joint="neck",
                kind=JointKind.SLIDE,
                printer="attic",
                nozzle=0.4,
                plastic="matte",
                made_on="2025-03-09",
                rungs=(
                    RungRecord(number=1, drawn=40.2, clearance=0.2, outcome=Feel.TIGHT),
                    RungRecord(number=2, drawn=40.4, clearance=0.4),
                ),
            ),
        )
        assert [pair.plastic for pair in bench.evidence().pairs] == ["PLA", "matte"]


def test_a_text_of_the_first_layout_is_still_read() -> None:
    text = "bench = 1\n" + "\n".join(
        [
            '[[trial]]\nname = "n"\nlamp = ""\njoint = "j"\nkind = "slide"\nprinter = "p"\nplastic = "PLA"',
            'made_on = "2025-01-01"\nnozzle = 0.4\nrungs = [{number = 1, drawn = 4.0, clearance = 0.1}]',
        ]
    )

    (record,) = parse_text(text, "b.toml")

    assert isinstance(record, TrialRecord)
    assert record.question is None


@pytest.mark.parametrize(
    "impossible",
    [
        lambda: replace(PIECE, features=()),
        lambda: replace(PIECE, name="another"),
        lambda: replace(PIECE, nozzle=4.0),
        lambda: replace(PIECE, features=(replace(PIECE.features[0], readings=(float("nan"),)),)),
        lambda: replace(PIECE, features=(replace(PIECE.features[0], caliper_sd=0.0),)),
        lambda: replace(NECK, rung_side=""),
        lambda: replace(NECK, question=None),
        lambda: replace(NECK, mate_drawn=-1.0),
    ],
)
def test_impossible_records_cannot_be_made(impossible: object) -> None:
    with pytest.raises(ValueProblem):
        impossible()  # type: ignore[operator]


def test_a_print_needs_its_printer_and_plastic_on_the_bench(bench: Bench) -> None:
    for record in (replace(PIECE, printer="cellar"), replace(PIECE, plastic="PLO")):
        assert isinstance(record, PrintRecord)
        with pytest.raises(UnknownName):
            bench.keep(record)
    assert bench.prints() == ()

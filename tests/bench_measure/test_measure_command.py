"""``shadewright bench measure`` as a newcomer meets it: the piece, the list, readings, slips, and what they taught."""

from __future__ import annotations

import json
import re
from pathlib import Path
from xml.etree import ElementTree

import pytest

from shadewright.bench.store import Bench
from shadewright.cli.main import main
from shadewright.fit.as_printed import printed_hole, printed_outer, printed_slot
from shadewright.printing import AsPrinted, Spread
from shadewright.solid.calibration import piece_features
from shadewright.solid.read import read_model

Told = pytest.CaptureFixture[str]

HIDDEN = AsPrinted(
    outer_growth=Spread(0.09, 0),
    hole_shrink=Spread(0.1, 0),
    hole_curl=Spread(0.5, 0),
    scale_xy=Spread(0.9965, 0),
    scale_z=Spread(1.0, 0),
    flare=Spread(0.16, 0),
    scatter=0.0,
    source="an invented printer that prints the same every time",
)


@pytest.fixture(autouse=True)
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.chdir(tmp_path)
    return tmp_path


def printed(letter: str) -> float:
    """What the invented printer makes of a feature, to a hundredth."""
    one = next(one for one in piece_features() if one.letter == letter)
    size = {
        "outer": lambda: printed_outer(one.drawn, HIDDEN).mean,
        "slot": lambda: printed_slot(one.drawn, HIDDEN).mean,
        "hole": lambda: printed_hole(one.drawn, HIDDEN).mean,
        "height": lambda: one.drawn,
        "foot": lambda: printed_outer(one.drawn, HIDDEN, on_bed=True).mean,
    }[one.kind]()
    return round(size, 2)


def words(letters: str = "ABCDEFGHJKLMNPRSTUV") -> list[str]:
    return [f"{letter}={printed(letter)}" for letter in letters]


def test_the_piece_comes_with_a_list_and_a_drawing(folder: Path, capsys: Told) -> None:
    assert main(["bench", "measure", "--piece", "piece.3mf"]) == 0

    text = capsys.readouterr().out
    assert text.startswith("Calibration piece for built-in, nozzle 0.4, layers of 0.2 mm, in PLA: about 24 min")
    assert text.rstrip().endswith("Then: shadewright bench measure --from piece.txt")
    assert max(map(len, text.splitlines())) <= 110
    assert sorted(file.name for file in folder.iterdir()) == ["piece.3mf", "piece.svg", "piece.txt"]
    assert read_model(folder / "piece.3mf").bodies == 1
    drawing = "".join(ElementTree.parse(folder / "piece.svg").getroot().itertext())
    for one in piece_features():
        assert one.letter in drawing
        assert re.search(
            rf"^{one.letter} = +# {one.words}, drawn {one.drawn:.2f}$", (folder / "piece.txt").read_text(), re.M
        )


def test_the_filled_in_list_is_taken_and_the_bench_learns(folder: Path, capsys: Told) -> None:
    main(["bench", "measure", "--piece", "piece.3mf"])
    sheet = folder / "piece.txt"
    filled = sheet.read_text()
    for word in words("ABCDEFGHJKLMNPRSV"):  # heights were not read
        filled = re.sub(rf"^{word[0]} = ", f"{word[0]} = {word[2:]}, {word[2:]}", filled, flags=re.MULTILINE)
    sheet.write_text(filled)
    capsys.readouterr()

    assert main(["bench", "measure", "--from", "piece.txt", "--name", "first", "--picture", "habits.svg"]) == 0

    text = capsys.readouterr().out
    assert text.startswith("Kept print first: 34 readings of 17 features (built-in, nozzle 0.4, PLA).")
    assert "outer walls grow by                     0.050 ± 0.030    0.0" in text
    assert "Wrote habits.svg." in text
    with Bench.open() as bench:
        habits = bench.setup().habits
        (record,) = bench.prints()
        assert record.measured_on.count("-") == 2
    for name in ("outer_growth", "flare"):
        learned, true = getattr(habits, name), getattr(HIDDEN, name).mean
        assert abs(learned.mean - true) < max(2 * learned.sd, 0.012), name
    assert abs(habits.scale_xy.mean - 0.9965) < 0.0012
    assert habits.hole_shrink.mean + habits.hole_curl.mean / 8 == pytest.approx(0.1 + 0.5 / 8, abs=0.02)
    crosses = (folder / "habits.svg").read_text().count("l8 8m0 -8l-8 8")
    assert crosses == 2 * 16 + 1  # both readings of every width; and the one in the key


def test_show_tells_what_was_learned(capsys: Told) -> None:
    main(["bench", "measure", "--name", "first", *words()])
    capsys.readouterr()

    assert main(["bench"]) == 0

    text = capsys.readouterr().out
    assert "built-in, nozzle 0.4, PLA: measured on this bench: 19 readings" in text
    assert re.search(r"outer walls grow by +0\.0\d+ ± 0\.0\d+ mm a side", text)
    assert "  first: 19 readings, built-in, nozzle 0.4, PLA" in text
    assert main(["bench", "show", "--json"]) == 0
    data = json.loads(capsys.readouterr().out)
    assert data["learned"][0]["pair"] == ["built-in", 0.4, "PLA"]
    assert data["prints"][0]["features"][0]["feature"] == "A (stem along X)"


def test_a_forgotten_print_takes_what_it_taught_with_it(capsys: Told) -> None:
    with Bench.open() as bench:
        before = bench.setup().habits
    main(["bench", "measure", "--name", "first", *words()])

    assert main(["bench", "forget", "First"]) == 0

    assert capsys.readouterr().out.endswith("Forgot print first and its 19 readings.\n")
    with Bench.open() as bench:
        assert bench.setup().habits == before
    assert main(["bench", "forget", "first"]) == 2
    assert 'no measured print is called "first"; define it first.' in capsys.readouterr().err


def test_an_odd_reading_is_asked_about_and_nothing_is_kept(capsys: Told) -> None:
    slip = [word if word[0] != "R" else f"R={printed('R') + 0.5:.2f}" for word in words()]

    assert main(["bench", "measure", *slip]) == 2

    told = capsys.readouterr()
    assert told.out == ""
    (sentence,) = told.err.strip().splitlines()
    assert sentence.startswith(f"R={printed('R') + 0.5:.2f}: R (round hole) of print built-in PLA ")
    assert sentence.endswith("correct it, or keep it with --sure R.")
    with Bench.open() as bench:
        assert bench.prints() == ()

    assert main(["bench", "measure", "--name", "odd", "--sure", "r", *slip]) == 0
    with Bench.open() as bench:
        (record,) = bench.prints()
        assert [one.feature[0] for one in record.features if one.confirmed] == ["R"]


def test_a_kept_reading_can_be_confirmed_later(capsys: Told) -> None:
    main(["bench", "measure", "--name", "first", *words("ABP")])

    assert main(["bench", "measure", "--name", "first", "--sure", "P"]) == 0

    with Bench.open() as bench:
        (record,) = bench.prints()
        assert [(one.feature[0], one.confirmed) for one in record.features] == [("A", False), ("B", False), ("P", True)]


def test_more_readings_of_a_print_are_added_and_a_letters_own_replaced(capsys: Told) -> None:
    main(["bench", "measure", "--name", "first", *words("AB")])

    assert main(["bench", "measure", "--name", "FIRST", "B=16.1,16.12", *words("C")]) == 0

    with Bench.open() as bench:
        (record,) = bench.prints()
        assert [(one.feature[0], one.readings) for one in record.features] == [
            ("A", (printed("A"),)),
            ("B", (16.1, 16.12)),
            ("C", (printed("C"),)),
        ]


def test_every_print_without_a_name_is_another_one(capsys: Told) -> None:
    for _ in range(3):
        assert main(["bench", "measure", *words("AB")]) == 0

    with Bench.open() as bench:
        first, second, third = (one.name for one in bench.prints())
    assert re.fullmatch(r"built-in PLA \d{4}-\d\d-\d\d", first)
    assert (second, third) == (f"{first}, 2", f"{first}, 3")


def test_a_print_knows_what_it_was_made_with(capsys: Told) -> None:
    main(["bench", "printer", "attic", "--bed", "180", "170", "160", "--nozzle", "0.6"])
    main(["bench", "measure", "--name", "first", "--printer", "attic", "--plastic", "PETG", *words("AB")])

    assert main(["bench", "measure", "--name", "first", *words("C")]) == 0
    with Bench.open() as bench:
        (record,) = bench.prints()
        assert (record.printer, record.nozzle, record.plastic, len(record.features)) == ("attic", 0.6, "PETG", 3)
    capsys.readouterr()
    assert main(["bench", "measure", "--name", "first", "--plastic", "PLA", *words("D")]) == 2
    assert "--name: print first was made on attic with nozzle 0.6 in PETG; leave" in capsys.readouterr().err


def test_heights_follow_the_layers_that_were_printed(folder: Path) -> None:
    main(["bench", "measure", "--piece", "p.3mf", "--layer", "0.3"])
    sheet = folder / "p.txt"
    sheet.write_text(sheet.read_text().replace("T = ", "T = 2.72"))

    assert main(["bench", "measure", "--from", "p.txt"]) == 0

    with Bench.open() as bench:
        (record,) = bench.prints()
        assert record.features[0].drawn == pytest.approx(2.7)


@pytest.mark.parametrize(
    ("typed", "sentence"),
    [
        ("", "bench measure: there are no readings; write them as A=5.04, or start with"),
        ("A5.04", '"A5.04" is no reading; write a letter and what was read, e.g. A=5.03.'),
        ("Q=5", 'there is no letter "Q" on the piece; use one of ABCDEFGHJKLMNPRSTUV.'),
        ("AB=5", 'there is no letter "AB" on the piece'),
        ("A=", "A: its reading is missing; write e.g. A=5.03."),
        ("A=5mm", 'A: "5mm" is not a number; write e.g. A=5.03, without a unit.'),
        ("A=-5", "A: -5 mm cannot be read on the piece; give mm, above 0."),
        ("A=nan", "A: nan mm cannot be read on the piece"),
        ("A=5,04", 'A: "5,04" can be one reading or several; write A=5.04 for one; several'),
        ("A=5.01 A=5.02", "A: A is given twice; write A=first,second."),
        (
            "A=50.4 --sure A",
            "A=50.4: 50.4 mm is 45.4 mm from the 5 mm of A (stem along X); check letter, decimal point",
        ),
        ("A=5.04 --sure Q", '--sure: there is no letter "Q" on the piece'),
        ("A=5.04 --picture p.png", "--picture: p.png is not named .svg"),
        ("T=2.61 --picture p.svg", "--picture: the picture shows widths, and none was read; leave it out."),
        ("A=5.04 --printer atic", 'no printer is called "atic"'),
        ("A=5.04 --plastic PTEG", 'no plastic is called "PTEG"; use "PETG"'),
        ("A=5.04 --piece p.3mf", "--piece: --piece writes the piece and takes no readings; give one of them."),
        ("--piece p.stl", "--piece: p.stl is not named .3mf; name it e.g. piece.3mf."),
        ("--piece p.3mf --nozzle 1.0", "a nozzle of 1 mm cannot make the piece's letters"),
        ("--from nowhere.txt", "nowhere.txt cannot be read"),
        ("--sure A", "there are no readings"),
    ],
)
def test_what_makes_no_sense_is_refused_in_a_sentence(typed: str, sentence: str, folder: Path, capsys: Told) -> None:
    assert main(["bench", "measure", *typed.split()]) == 2

    told = capsys.readouterr()
    assert told.out == ""
    assert sentence in told.err
    assert len(told.err.strip().splitlines()) == 1
    assert list(folder.iterdir()) == []
    with Bench.open() as bench:
        assert bench.prints() == ()


@pytest.mark.parametrize(
    ("lines", "sentence"),
    [
        ("A = 5.04\nB = wide", 'list.txt, line 2: "wide" is not a number'),
        ("A = 5.04\n\nA = 5.05", "list.txt, line 3: A is given twice; put all its readings on one line."),
        ("A = 5.04\nhello", 'list.txt, line 2: "hello" is no reading'),
        ("A = 5.04\nnozzle = wide", 'list.txt, nozzle: "wide" is not a number'),
    ],
)
def test_a_spoilt_list_is_refused_with_its_line(lines: str, sentence: str, folder: Path, capsys: Told) -> None:
    (folder / "list.txt").write_text(lines)

    assert main(["bench", "measure", "--from", "list.txt"]) == 2

    assert sentence in capsys.readouterr().err


def test_a_reading_stands_in_the_list_or_at_the_prompt(folder: Path, capsys: Told) -> None:
    (folder / "list.txt").write_text("A = 5.04")

    assert main(["bench", "measure", "--from", "list.txt", "A=5.04"]) == 2
    assert capsys.readouterr().err == "A: it stands in the list too; give it once.\n"
    assert main(["bench", "measure", "--from", "list.txt", "B=16.04"]) == 0


def test_a_list_somebody_filled_in_is_never_written_over(folder: Path, capsys: Told) -> None:
    for _ in range(2):  # an empty one may be
        assert main(["bench", "measure", "--piece", "piece.3mf"]) == 0
    sheet = folder / "piece.txt"
    for content in (sheet.read_text().replace("A = ", "A = 5.04"), "what to buy: cord, plug"):
        sheet.write_text(content)

        assert main(["bench", "measure", "--piece", "piece.3mf"]) == 2

        assert "name another piece, or move that file away." in capsys.readouterr().err
        assert sheet.read_text() == content


def test_json_tells_before_and_after(capsys: Told) -> None:
    assert main(["bench", "measure", "--json", *words()]) == 0

    measured = json.loads(capsys.readouterr().out)["measured"]
    assert measured["before"]["outer_growth"] == {"mean": 0.05, "sd": 0.03}
    assert measured["after"]["outer_growth"]["sd"] < 0.015
    assert len(measured["record"]["features"]) == 19

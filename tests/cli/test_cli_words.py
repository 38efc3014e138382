"""Wrong words on the command line are refused in the program's own sentences."""

from __future__ import annotations

from pathlib import Path

import pytest

from shadewright.cli.options import add_bench_options, fraction, positive, whole
from shadewright.cli.words import WordsParser
from shadewright.errors import UserError


def parser() -> WordsParser:
    made = WordsParser(prog="shadewright size")
    made.add_argument("lamp", metavar="LAMP")
    made.add_argument("--paper", choices=("a4", "letter"))
    made.add_argument("--up", choices=("+z", "-z"))
    made.add_argument("--count", type=int)
    made.add_argument("--over", nargs="+", type=float)
    add_bench_options(made)
    return made


@pytest.mark.parametrize(
    ("words", "sentence"),
    [
        ("", 'shadewright size: LAMP is missing; see "shadewright size --help".'),
        ("a --nozle 3", 'shadewright size: there is no option "--nozle" here; use "--nozzle".'),
        ("a --nozle=3", 'shadewright size: there is no option "--nozle=3" here; use "--nozzle".'),
        ("a --zzz", 'shadewright size: there is no option "--zzz" here; see "shadewright size --help".'),
        ("a --noz 3", 'shadewright size: there is no option "--noz" here; use "--nozzle".'),
        ("a b", 'shadewright size: there is no argument "b" here; see "shadewright size --help".'),
        ("a --paper", "--paper: its value is missing; write it behind the option."),
        ("a --over", "--over: its values are missing; write one or more behind the option."),
        ("a --paper a5", '--paper: "a5" is not one of its words; use "a4".'),
        ("a --paper quarto", '--paper: "quarto" is not one of its words; use "a4" or "letter".'),
        ("a --count x", "--count: 'x' is not a whole number; see \"shadewright size --help\"."),
        ("a --nozzle 0.4mm", '--nozzle: "0.4mm" is not a number; write e.g. 0.4, without a unit.'),
        ("a --nozzle 0", "--nozzle: 0 is not above 0; write a number above 0."),
        ("a --nozzle nan", "--nozzle: nan is not above 0; write a number above 0."),
        ("a --infill 15", "--infill: 15 is not a fraction from 0 to 1; write e.g. 0.15 or 15%."),
        ("a --infill much", '--infill: "much" is not a fraction; write e.g. 0.15 or 15%.'),
        ("a --walls 2.5", '--walls: "2.5" is not a count; write a whole number of 1 or more.'),
    ],
)
def test_the_refusal_is_one_sentence(words: str, sentence: str) -> None:
    with pytest.raises(UserError) as refusal:
        parser().parse_args(words.split())

    assert str(refusal.value) == sentence


def test_a_choice_may_begin_with_a_dash() -> None:
    assert parser().parse_args(["a", "--up", "-z", "--paper", "a4"]).up == "-z"
    assert parser().parse_args(["a", "--up", "+z"]).up == "+z"


def test_numbers_are_read_as_people_write_them() -> None:
    assert positive("0,4") == 0.4
    assert fraction("15%") == fraction("0.15") == 0.15
    assert whole("3") == 3


def test_what_is_not_stated_stays_none() -> None:
    options = parser().parse_args(["a", "--bench", "b.sqlite"])

    assert options.bench == Path("b.sqlite")
    assert [options.printer, options.nozzle, options.layer, options.plastic, options.walls, options.infill] == [
        None
    ] * 6

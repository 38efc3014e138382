"""The words of a mistake, and files written whole or not at all."""

import pickle
from pathlib import Path

import pytest

from shadewright.errors import FileProblem, Problem, UnknownName, UserError, ValueProblem, require_positive
from shadewright.files import refuse_overwriting, write_whole


def test_a_problem_says_what_where_and_cure() -> None:
    assert str(Problem(what="layer is 0.9", cure="at most 0.32", where="lamp.toml, line 9")) == (
        "lamp.toml, line 9: layer is 0.9; at most 0.32."
    )


def test_several_problems_are_told_in_one_go_and_survive_pickling() -> None:
    error = UserError([Problem("a", "b"), Problem("c", "d")])

    copy = pickle.loads(pickle.dumps(error))

    assert str(copy) == "a; b.\nc; d."
    assert copy.problems == error.problems


def test_an_unknown_name_offers_near_ones() -> None:
    assert str(UnknownName.among("joint", "neko", ["neck", "liner"])) == 'no joint is called "neko"; use "neck".'


@pytest.mark.parametrize("value", [0.0, -1.0, float("nan"), float("inf")])
def test_sizes_must_be_finite_and_above_zero(value: float) -> None:
    with pytest.raises(ValueProblem, match="it must be a number above 0"):
        require_positive("bore", value)


def test_a_failed_write_leaves_the_old_file(tmp_path: Path) -> None:
    target = tmp_path / "sheet.pdf"
    target.write_text("old")

    def fail_half_way(draft: Path) -> None:
        draft.write_text("ne")
        raise OSError(28, "No space left on device")

    with pytest.raises(FileProblem, match="No space left"):
        write_whole(target, fail_half_way)

    assert target.read_text() == "old"
    assert list(tmp_path.iterdir()) == [target]


def test_a_file_where_a_folder_should_be_is_told(tmp_path: Path) -> None:
    (tmp_path / "out").write_text("")

    with pytest.raises(FileProblem, match="choose a folder"):
        write_whole(tmp_path / "out" / "study.html", "text")


def test_an_output_may_not_be_an_input(tmp_path: Path) -> None:
    model = tmp_path / "model.stl"
    model.write_text("x")

    with pytest.raises(FileProblem, match="is an input of this run"):
        refuse_overwriting(tmp_path / "." / "model.stl", (model,))

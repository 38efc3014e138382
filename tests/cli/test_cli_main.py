"""The frame of the command: errors are sentences, exit codes are kept, nothing heavy is loaded for help."""

from __future__ import annotations

import io
import json
import os
import subprocess
import sys
from argparse import ArgumentParser, Namespace
from collections.abc import Callable
from types import SimpleNamespace

import pytest

from shadewright.cli import main as frame
from shadewright.cli.command import Answer
from shadewright.cli.main import main
from shadewright.errors import GeometryFailure, Problem, UserError

HEAVY = {"numpy", "scipy", "pydantic", "rich", "OCP", "trimesh", "shapely", "manifold3d", "sqlite3", "tree_sitter"}
UTF8 = {**os.environ, "PYTHONIOENCODING": "utf-8"}


def shadewright(*words: str, **options: object) -> subprocess.CompletedProcess[str]:
    command = [sys.executable, "-m", "shadewright", *words]
    return subprocess.run(command, capture_output=True, check=False, encoding="utf-8", **{"env": UTF8, **options})  # type: ignore[call-overload, no-any-return]


@pytest.fixture
def pretend(monkeypatch: pytest.MonkeyPatch) -> Callable[[Callable[[Namespace], Answer]], None]:
    """Make ``new`` run the function that is given."""

    def install(run: Callable[[Namespace], Answer]) -> None:
        def add_arguments(parser: ArgumentParser) -> None:
            parser.add_argument("folder", nargs="?")

        module = SimpleNamespace(add_arguments=add_arguments, run=run)
        monkeypatch.setattr(frame.importlib, "import_module", lambda name: module)

    return install


def raising(error: BaseException) -> Callable[[Namespace], Answer]:
    def run(options: Namespace) -> Answer:
        raise error

    return run


def test_help_loads_nothing_heavy() -> None:
    told = subprocess.run(
        [sys.executable, "-X", "importtime", "-m", "shadewright", "--help"], capture_output=True, check=True, text=True
    )

    loaded = {line.rsplit("|", 1)[1].strip().split(".")[0] for line in told.stderr.splitlines() if "|" in line}
    assert "shadewright" in loaded
    assert not loaded & HEAVY
    assert all(name in told.stdout for name in frame.COMMANDS)


@pytest.mark.parametrize("command", sorted(frame.COMMANDS))
def test_every_commands_help_loads_nothing_heavy(command: str) -> None:
    code = (
        "import sys\nfrom shadewright.cli.main import main\n"
        f"code = main([{command!r}, '--help'])\n"
        f"print(sorted({HEAVY!r} & set(sys.modules)), file=sys.stderr)\nsys.exit(code)"
    )
    told = subprocess.run([sys.executable, "-c", code], capture_output=True, check=False, text=True)

    assert (told.returncode, told.stderr.strip()) == (0, "[]")
    assert "--json" in told.stdout


def test_without_words_it_shows_its_help(capsys: pytest.CaptureFixture[str]) -> None:
    assert main([]) == 0
    assert "commands:" in capsys.readouterr().out


def test_an_unknown_command_is_refused_with_the_nearest(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["studdy", "x"]) == 2

    told = capsys.readouterr()
    assert (told.out, told.err) == ("", 'no command is called "studdy"; use "study".\n')


@pytest.mark.parametrize("words", [["--json", "new"], ["new", "--json"]])
def test_json_may_stand_before_or_behind_the_command(
    words: list[str],
    pretend: Callable[[Callable[[Namespace], Answer]], None],
    capsys: pytest.CaptureFixture[str],
) -> None:
    pretend(lambda options: Answer(data={"size": 40.4, "name": "Öse"}, text="no"))

    assert main(words) == 0
    assert json.loads(capsys.readouterr().out) == {"size": 40.4, "name": "Öse"}


def test_json_behind_two_dashes_is_a_word_like_any_other(
    pretend: Callable[[Callable[[Namespace], Answer]], None], capsys: pytest.CaptureFixture[str]
) -> None:
    pretend(lambda options: Answer(data=0, text=options.folder))

    assert main(["new", "--", "--json"]) == 0
    assert capsys.readouterr().out == "--json\n"


def test_user_errors_are_sentences_on_stderr_and_exit_2(
    pretend: Callable[[Callable[[Namespace], Answer]], None], capsys: pytest.CaptureFixture[str]
) -> None:
    error = UserError([Problem("a is wrong", "write b", "lamp.toml, line 3"), Problem("c is wrong", "write d")])
    pretend(raising(error))

    assert main(["new"]) == 2
    told = capsys.readouterr()
    assert (told.out, told.err) == ("", "lamp.toml, line 3: a is wrong; write b.\nc is wrong; write d.\n")

    assert main(["new", "--json"]) == 2
    assert json.loads(capsys.readouterr().out) == {
        "problems": [
            {"what": "a is wrong", "where": "lamp.toml, line 3", "cure": "write b"},
            {"what": "c is wrong", "where": "", "cure": "write d"},
        ]
    }


def test_wrong_words_are_json_too_when_asked(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["new", "--json", "--nme", "x"]) == 2

    (problem,) = json.loads(capsys.readouterr().out)["problems"]
    assert problem["where"] == "shadewright new"


def test_the_answers_exit_code_is_the_commands(pretend: Callable[[Callable[[Namespace], Answer]], None]) -> None:
    pretend(lambda options: Answer(data=0, text="failing", exit_code=1))

    assert main(["new"]) == 1


@pytest.mark.parametrize(
    "error", [TypeError("what\nnow"), GeometryFailure("ring leaks"), RecursionError(), MemoryError()]
)
def test_a_fault_is_owned_up_to_in_one_sentence(
    error: Exception,
    pretend: Callable[[Callable[[Namespace], Answer]], None],
    capsys: pytest.CaptureFixture[str],
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.delenv(frame.TRACE_VARIABLE, raising=False)
    pretend(raising(error))

    assert main(["new"]) == 70
    told = capsys.readouterr()
    assert told.out == ""
    assert told.err.startswith(f"this is a fault of shadewright, not yours ({type(error).__name__}")
    assert told.err.count("\n") == 1
    assert "Traceback" not in told.err

    assert main(["new", "--json"]) == 70
    assert json.loads(capsys.readouterr().out)["fault"]["what"].startswith("this is a fault")


def test_the_trace_is_shown_to_who_asks(
    pretend: Callable[[Callable[[Namespace], Answer]], None],
    capsys: pytest.CaptureFixture[str],
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setenv(frame.TRACE_VARIABLE, "1")
    pretend(raising(TypeError("what")))

    assert main(["new"]) == 70
    assert "Traceback" in capsys.readouterr().err


def test_stopping_it_is_clean(
    pretend: Callable[[Callable[[Namespace], Answer]], None], capsys: pytest.CaptureFixture[str]
) -> None:
    pretend(raising(KeyboardInterrupt()))

    assert main(["new"]) == 130
    assert capsys.readouterr().err == "stopped.\n"


class AsciiTerminal(io.TextIOWrapper):
    """A terminal that knows no degree sign."""

    def __init__(self) -> None:
        super().__init__(io.BytesIO(), encoding="ascii")

    @property
    def shown(self) -> str:
        self.flush()
        return self.buffer.getvalue().decode("ascii")  # type: ignore[attr-defined, no-any-return]


def test_a_terminal_without_degree_signs_shows_the_rest(
    pretend: Callable[[Callable[[Namespace], Answer]], None], monkeypatch: pytest.MonkeyPatch
) -> None:
    pretend(lambda options: Answer(data={"angle": "45°"}, text="45° over 3 mm²"))

    with AsciiTerminal() as text, AsciiTerminal() as data:
        monkeypatch.setattr(sys, "stdout", text)
        assert main(["new"]) == 0
        monkeypatch.setattr(sys, "stdout", data)
        assert main(["new", "--json"]) == 0

        assert text.shown == "45? over 3 mm?\n"
        assert json.loads(data.shown) == {"angle": "45°"}


def test_file_names_that_are_no_text_can_be_told(
    pretend: Callable[[Callable[[Namespace], Answer]], None], monkeypatch: pytest.MonkeyPatch
) -> None:
    pretend(lambda options: Answer(data={"file": "a\udcff"}, text="a\udcff"))
    stream = io.TextIOWrapper(io.BytesIO(), encoding="utf-8")
    monkeypatch.setattr(sys, "stdout", stream)

    assert main(["new"]) == 0
    assert main(["new", "--json"]) == 0


def test_a_reader_that_leaves_early_hears_no_complaint() -> None:
    reading, writing = os.pipe()
    os.close(reading)
    with os.fdopen(writing, "wb") as gone:
        told = subprocess.run(
            [sys.executable, "-m", "shadewright", "--help"], stdout=gone, stderr=subprocess.PIPE, check=False
        )

    assert told.stderr == b""


def test_it_runs_as_a_module_and_tells_its_version() -> None:
    told = shadewright("--version")

    assert (told.returncode, told.stderr) == (0, "")
    assert told.stdout.startswith("shadewright ")

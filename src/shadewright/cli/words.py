"""A parser whose refusals are sentences like all others of this program."""

from __future__ import annotations

import argparse
import difflib
import re
import sys
from collections.abc import Sequence
from typing import Any, NoReturn

from shadewright.errors import UserError

_ARGUMENT = re.compile(r"argument (?P<where>[^:]+): (?P<rest>.*)", re.DOTALL)
_CHOICE = re.compile(
    r"invalid choice: '?(?P<given>.*?)'? \((?:choose from|maybe you meant:) (?P<known>.*)\)", re.DOTALL
)
_INVALID = re.compile(r"invalid (?P<kind>\w+) value: (?P<given>.*)", re.DOTALL)
_EXPECTED = {
    "expected one argument": ("its value is missing", "write it behind the option"),
    "expected at least one argument": ("its values are missing", "write one or more behind the option"),
}
_KINDS = {"float": "number", "int": "whole number", "Path": "path"}


class WordsParser(argparse.ArgumentParser):
    """Raises ``UserError`` where argparse would print its usage and leave."""

    def __init__(self, *args: Any, **options: Any) -> None:
        super().__init__(*args, **{"allow_abbrev": False, **options})

    def error(self, message: str) -> NoReturn:
        """Refuse with one sentence.

        Raises:
            UserError: Always.
        """
        raise self._refusal(message)

    def parse_known_args(self, args: Any = None, namespace: Any = None) -> Any:
        """Refuse leftovers here, where the options that were meant are known."""
        parsed, leftover = super().parse_known_args(self._joined(sys.argv[1:] if args is None else args), namespace)
        if leftover:
            raise self._unknown(leftover[0])
        return parsed, leftover

    def _joined(self, words: Sequence[str]) -> list[str]:
        """Let choices begin with a dash: ``--up -z`` is read as ``--up=-z``."""
        joined: list[str] = []
        for word in words:
            action = self._option_string_actions.get(joined[-1]) if joined else None
            if word.startswith("-") and action is not None and word in (action.choices or ()):
                joined[-1] += f"={word}"
            else:
                joined.append(word)
        return joined

    def _refusal(self, message: str) -> UserError:
        see = f'see "{self.prog} --help"'
        missing = "the following arguments are required: "
        if message.startswith(missing):
            return UserError.of(f"{message.removeprefix(missing)} is missing", see, self.prog)
        if found := _ARGUMENT.fullmatch(message):
            return UserError.of(*_mistake(found["rest"], see), found["where"])
        return UserError.of(message, see, self.prog)

    def _unknown(self, word: str) -> UserError:
        options = [text[2:] for action in self._actions for text in action.option_strings if text.startswith("--")]
        near = difflib.get_close_matches(word.lstrip("-").split("=", maxsplit=1)[0], options, n=2, cutoff=0.6)
        cure = f"use {_either([f'--{name}' for name in near])}" if near else f'see "{self.prog} --help"'
        kind = "option" if word.startswith("-") else "argument"
        return UserError.of(f'there is no {kind} "{word}" here', cure, self.prog)


def _mistake(text: str, see: str) -> tuple[str, str]:
    """What is wrong with one argument, and its cure."""
    if text in _EXPECTED:
        return _EXPECTED[text]
    if choice := _CHOICE.fullmatch(text):
        known = re.findall(r"[^\s,']+", choice["known"])
        near = difflib.get_close_matches(choice["given"], known, n=2, cutoff=0.5)
        return f'"{choice["given"]}" is not one of its words', f"use {_either(near or known)}"
    if invalid := _INVALID.fullmatch(text):
        return f"{invalid['given']} is not a {_KINDS.get(invalid['kind'], invalid['kind'])}", see
    what, _, cure = text.partition("; ")
    return what, cure or see


def _either(words: list[str]) -> str:
    return " or ".join(f'"{word}"' for word in words)

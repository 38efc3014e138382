"""What a command is: a name, its options, and a function from options to an answer."""

from __future__ import annotations

from argparse import ArgumentParser, Namespace
from dataclasses import dataclass
from typing import Any, Protocol

SOUND, FINDINGS, USAGE = 0, 1, 2
"""Exit codes: all sound; the work was done and something is failing; the user must mend an input."""

FAULT, STOPPED = 70, 130
"""Exit codes: the program itself is at fault; the user stopped it."""


@dataclass(frozen=True, slots=True)
class Answer:
    """What a command has to say.

    Attributes:
        data: The result itself, a dataclass or plain data; ``--json`` prints it.
        text: The same for a reader at a terminal; may use rich markup-free plain text.
        exit_code: ``SOUND``, or ``FINDINGS`` when something is failing.
    """

    data: Any
    text: str
    exit_code: int = SOUND


class CommandModule(Protocol):
    """A module in ``cli`` that holds one command. Heavy imports belong inside ``run``."""

    def add_arguments(self, parser: ArgumentParser) -> None:
        """Declare options on the command's own parser."""
        ...

    def run(self, options: Namespace) -> Answer:
        """Do the work; raise ``UserError`` for what the user can mend."""
        ...

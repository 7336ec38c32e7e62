"""What a command line asks for, by names alone: values and files are the user's."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any


def names_asked(commands: Any, arguments: Sequence[str]) -> tuple[str, ...]:
    """Return the names of the command and its options that a command line states, nothing else of it.

    Parameters
    ----------
    commands : the command that holds the others, of the library under typer
    arguments : sequence of str
        As the process was started with, its own name left out.
    """
    name = arguments[0] if arguments else ""
    command = commands.commands.get(name)
    if command is None:
        return ()
    known = {option for one in command.params for option in (*one.opts, *one.secondary_opts)}
    stated = (one.partition("=")[0] for one in arguments[1:])
    return (name, *(one for one in stated if one.startswith("-") and one in known))

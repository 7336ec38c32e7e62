"""What a command has printed of a file, printed again where all that it was printed from is as it was.

That is: every file that was read, as a digest of what it held; the options and names that were given; the width and
kind of the terminal and the encoding; variables of the environment that change how a text is laid out; the libraries;
and, as `sim.base.answers` looks after it, the code. Nothing that computes is loaded for it. What was refused, or broke
off, is worked out each time.
"""

from __future__ import annotations

import json
import os
import sys
from collections.abc import Callable, Mapping
from importlib.metadata import PackageNotFoundError
from pathlib import Path
from typing import Any, cast

from sim.base.files import ASTRAY, digest_now, files_noted
from sim.base.limits import FILES
from sim.commands.shared import answers_folder, tidied

# What reads a scenario and lays a text out, beside the libraries whose versions every answer hangs on.
LAYING_OUT = ("rich", "typer", "pydantic", "pydantic-core", "typing-extensions", "platformdirs")
MAYBE = ("cascadio",)  # libraries that are not there everywhere
# What the library that lays a text out asks of the environment; a test looks for these in its source.
ASKED = (
    "COLUMNS", "LINES", "TERM", "COLORTERM", "NO_COLOR", "FORCE_COLOR", "TTY_COMPATIBLE", "TTY_INTERACTIVE",
    "JUPYTER_COLUMNS", "JUPYTER_LINES", "DATABRICKS_RUNTIME_VERSION",
)  # fmt: skip
LARGEST = max(kind.most for kind in FILES)  # bytes


def printed_again(command: str, file: Path, options: Mapping[str, object], run: Callable[[], int]) -> int:
    """Print what a command prints of a file, and return its exit status.

    Parameters
    ----------
    command : str
    file : Path
        As it was named.
    options : mapping
    run : callable
        Prints it and returns the exit status; not called where an earlier run printed the same.
    """
    # A console of old Windows is drawn on, not written to.
    if _in_use() or (sys.platform == "win32" and sys.stdout.isatty()):
        return run()
    try:
        asked = question(command, file, options)
    except (OSError, PackageNotFoundError):
        return run()
    return kept_print(answers_folder(), (command, str(file.absolute()), repr(options)), asked, run)


def _in_use() -> bool:
    """Tell whether the code is loaded already: in a notebook or a test it may have been changed since."""
    return "sim.assessment.stages" in sys.modules


def kept_print(folder: Path, subject: tuple[str, ...], asked: str, run: Callable[[], int]) -> int:
    """Print what a subject's file in a folder holds for a question, else run and leave it there; return the status."""
    from sim.base.answers import kept_text

    ran: list[int] = []

    def made() -> tuple[str, bool]:
        with files_noted() as noted:
            own = sys.stdout
            sys.stdout = cast("Any", shown := _Noted(own))
            try:
                ran.append(run())
            finally:
                sys.stdout = own
        whole = {"status": ran[0], "files": noted, "text": "".join(shown.texts)}
        return json.dumps(whole), bool(noted) and ASTRAY not in noted.values()

    known = json.loads(kept_text(folder, *subject, asked=asked, make=made, holds=_still_holds))
    if not ran:
        tidied()
        sys.stdout.write(known["text"])
    return int(known["status"])


def question(command: str, file: Path, options: Mapping[str, object]) -> str:
    """Return all that a text is printed from, as a text, files that are read and the code apart.

    Raises
    ------
    OSError, PackageNotFoundError
        If it cannot be told.
    """
    from sim.base.answers import version

    def version_or_none(name: str) -> str:
        try:
            return version(name)
        except PackageNotFoundError:
            return ""

    libraries = [version(name) for name in LAYING_OUT] + [version_or_none(name) for name in MAYBE]
    stream = sys.stdout
    place = (stream.isatty(), stream.encoding, [_size(number) for number in range(3)])
    variables = [os.environ.get(name) for name in ASKED]
    return repr((command, str(file), str(Path.cwd()), dict(options), libraries, place, variables))


class _Noted:
    """A text stream that notes what is written to it."""

    def __init__(self, stream: Any) -> None:
        self._stream = stream
        self.texts: list[str] = []

    def write(self, text: str) -> int:
        """Write as the stream does."""
        written: int = self._stream.write(text)
        self.texts.append(text)
        return written

    def __getattr__(self, name: str) -> Any:
        return getattr(self._stream, name)


def _size(number: int) -> tuple[int, ...] | None:
    """Return columns and lines of a terminal, by the number of a stream of the process; None where it is none."""
    try:
        return tuple(os.get_terminal_size(number))
    except (OSError, ValueError):
        return None


def _still_holds(text: str) -> bool:
    """Tell whether a text that was kept is one of these, and every file that was read for it is as it was."""
    try:
        found = json.loads(text)
        files, parts = found["files"], (found["status"], found["text"])
    except (ValueError, KeyError, TypeError):
        return False
    if not files or not isinstance(parts[0], int) or not isinstance(parts[1], str):
        return False
    return all(digest_now(Path(name), LARGEST) == held for name, held in files.items())

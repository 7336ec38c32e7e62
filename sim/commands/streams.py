"""Standard output and standard error as the commands write them: any encoding, and a failure in one sentence."""

from __future__ import annotations

import codecs
import contextlib
import io
import json
import os
import sys
from collections.abc import Iterator
from typing import Any, BinaryIO, TextIO, cast

from sim.base.errors import OutputError
from sim.base.printable import json_printable, printable

IN_WORDS = "chuckscene-in-words"  # name of the way in which characters are written that an encoding has not
_WORDS = {
    "≥": ">=", "≤": "<=", "°": " deg", "²": "2", "³": "3", "µ": "u", "μ": "u", "×": "x", "·": "*", "−": "-",
    "–": "-", "—": "-", "…": "...", "→": "->", "±": "+-", "\u00a0": " ", "\u202f": " ", "’": "'", "‘": "'",
    "“": '"', "”": '"', "•": "-", "─": "-",
}  # fmt: skip


def _in_words(error: UnicodeError) -> tuple[str, int]:
    if not isinstance(error, UnicodeEncodeError):
        raise error
    lost = error.object[error.start : error.end]
    words = (_WORDS.get(c) or c.encode("ascii", "backslashreplace").decode("ascii") for c in lost)
    return "".join(words), error.end


codecs.register_error(IN_WORDS, _in_words)


class Reported(io.BufferedIOBase):
    """A binary stream whose failures are told as OutputError; the stream itself is not closed with it."""

    def __init__(self, stream: Any, name: str) -> None:
        super().__init__()
        self._stream, self._name = stream, name

    def write(self, data: Any) -> int:
        """Write as the stream does."""
        with self._told():
            return int(self._stream.write(data))

    def flush(self) -> None:
        """Flush as the stream does."""
        with self._told():
            self._stream.flush()

    def writable(self) -> bool:
        """Return that it can be written."""
        return True

    def isatty(self) -> bool:
        """Return whether it is a terminal."""
        return bool(self._stream.isatty())

    def fileno(self) -> int:
        """Return its number."""
        return int(self._stream.fileno())

    @contextlib.contextmanager
    def _told(self) -> Iterator[None]:
        try:
            yield
        except (OSError, ValueError) as error:
            why = getattr(error, "strerror", None) or error
            raise OutputError(
                f"{self._name} cannot be written ({why}); what was printed is not whole"
            ) from None


@contextlib.contextmanager
def careful_streams() -> Iterator[None]:
    """Put streams in the place of the process's own that write every character and tell their failures.

    Raises
    ------
    OutputError
        If standard output cannot take what was written; what is left of it is then dropped.
    """
    own = sys.stdout, sys.stderr
    if sys.stdout is None:  # closed by who started the process: the exit status still tells
        sys.stdout = io.StringIO()
    sys.stdout = _careful(sys.stdout, "standard output")
    sys.stderr = _careful(sys.stderr, "standard error")
    try:
        yield
        sys.stdout.flush()
    except OutputError:
        _drop(own[0])
        raise
    finally:
        for wrapped, stream in zip((sys.stdout, sys.stderr), own, strict=True):
            if wrapped is not stream and isinstance(wrapped, io.TextIOWrapper):
                with contextlib.suppress(OutputError, ValueError):
                    wrapped.detach()
        sys.stdout, sys.stderr = own


def _careful(stream: TextIO, name: str) -> TextIO:
    buffer = getattr(stream, "buffer", None)
    if buffer is None:
        return stream
    stream.flush()
    return io.TextIOWrapper(
        cast("BinaryIO", Reported(buffer, name)),
        encoding=stream.encoding,
        errors=IN_WORDS,
        line_buffering=getattr(stream, "line_buffering", False),
    )


def _drop(stream: TextIO) -> None:
    """Let nothing more be written to a stream that has failed, so that the end of the process does not fail again."""
    with contextlib.suppress(OSError, ValueError, AttributeError):
        nothing = os.open(os.devnull, os.O_WRONLY)
        os.dup2(nothing, stream.fileno())
        os.close(nothing)


def say(text: str, *, err: bool = False) -> None:
    """Print one line, whatever stands in it."""
    stream = sys.stderr if err else sys.stdout
    stream.write(printable(text) + "\n")
    stream.flush()


def say_object(content: object) -> None:
    """Print one JSON object, in plain ASCII where the output's encoding has no more."""
    wide = codecs.lookup(sys.stdout.encoding or "utf-8").name.startswith("utf")
    text = json.dumps(content, indent=2, ensure_ascii=not wide)
    sys.stdout.write(json_printable(text) + "\n")

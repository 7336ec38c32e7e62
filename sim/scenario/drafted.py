"""A text that is judged in a scenario file's place without being saved: what somebody is typing."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from pathlib import Path

_DRAFT: ContextVar[tuple[Path, bytes] | None] = ContextVar("_DRAFT", default=None)


@contextmanager
def in_place_of(path: Path, text: str | None) -> Iterator[None]:
    """Read a text wherever this file is read, inside and in this thread; None reads the file itself.

    The file need not be there; what it names is looked for from its folder as ever.
    """
    token = _DRAFT.set(None if text is None else (path, text.encode("utf-8")))
    try:
        yield
    finally:
        _DRAFT.reset(token)


def drafted(path: Path) -> bytes | None:
    """Return what is to be read in a file's place; None for the file itself."""
    found = _DRAFT.get()
    return found[1] if found is not None and found[0] == path else None

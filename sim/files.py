"""Write results whole or not at all: beside the target first, then rename."""

from __future__ import annotations

import os
import tempfile
from pathlib import Path

from sim.errors import OutputError


def require_place(path: Path, *, folder: bool) -> None:
    """Refuse, before a minute of work is spent on it, a place where no file or folder can be written.

    Raises
    ------
    OutputError
        If a file stands where a folder is wanted (or the reverse), or the nearest folder may not be written.
    """
    try:
        _require_place(path, folder=folder)
    except (OSError, ValueError) as error:
        raise OutputError(f"{path}: cannot be written ({getattr(error, 'strerror', error)})") from None


def _require_place(path: Path, *, folder: bool) -> None:
    if path.exists() and path.is_dir() != folder:
        found = "a directory" if path.is_dir() else "a file"
        raise OutputError(f"{path}: cannot be written, it is {found}")
    nearest = next(p for p in (path, *path.absolute().parents) if p.exists() and (folder or p != path))
    if not nearest.is_dir():
        raise OutputError(f"{path}: cannot be written, {nearest} is not a directory")
    if not os.access(nearest, os.W_OK | os.X_OK):
        raise OutputError(f"{path}: cannot be written, {nearest} does not allow it")


def write_whole(path: Path, content: bytes) -> Path:
    """Write a file so that a reader never sees half of it, and return its path.

    Raises
    ------
    OutputError
        If the folder cannot be made or written.
    """
    beside: Path | None = None
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        if path.is_dir():
            raise OutputError(f"{path}: cannot be written, it is a directory")
        with tempfile.NamedTemporaryFile(dir=path.parent, prefix=f".{path.name}.", delete=False) as file:
            beside = Path(file.name)
            file.write(content)
        umask = os.umask(0)
        os.umask(umask)
        beside.chmod(0o666 & ~umask)
        beside.replace(path)
    except OSError as error:
        if beside is not None:
            beside.unlink(missing_ok=True)
        raise OutputError(f"{path}: cannot be written ({error.strerror or error})") from None
    return path

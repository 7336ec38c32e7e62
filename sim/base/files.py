"""Read files that have an end, and write results whole or not at all: beside the target first, then rename."""

from __future__ import annotations

import errno
import os
import stat
from pathlib import Path

from sim.base.beside import held_file, sweep
from sim.base.errors import OutputError


def regular_bytes(path: Path, most: int) -> bytes:
    """Return what a file holds that is one: a device has no end, and a pipe is waited for.

    Parameters
    ----------
    path : Path
    most : int
        Bytes that are read at most, also of a file that grows meanwhile.

    Raises
    ------
    OSError
        If it cannot be read, is no regular file, or holds more; `strerror` says so in words.
    ValueError
        If no file can have such a name.
    """
    # Not blocking: a pipe is opened without a wait for somebody who writes into it.
    handle = os.open(path, os.O_RDONLY | getattr(os, "O_NONBLOCK", 0) | getattr(os, "O_BINARY", 0))
    with os.fdopen(handle, "rb") as file:
        if not stat.S_ISREG(os.fstat(handle).st_mode):
            raise OSError(errno.EINVAL, "a device or a pipe, not a file")
        data = file.read(most + 1) or b""  # None where nothing has come yet
    if len(data) > most:
        raise OSError(errno.EFBIG, f"more than {most} bytes")
    return data


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
    if path.exists() and not folder:
        _require_file(path)
    nearest = next(p for p in (path, *path.absolute().parents) if p.exists() and (folder or p != path))
    if not nearest.is_dir():
        raise OutputError(f"{path}: cannot be written, {nearest} is not a directory")
    if not os.access(nearest, os.W_OK | os.X_OK):
        raise OutputError(f"{path}: cannot be written, {nearest} does not allow it")


def _require_file(path: Path) -> None:
    """Refuse what must not be renamed over: who may do so would put a file in the place of the system's device."""
    if path.is_symlink() and path.parent.resolve() == Path("/dev"):
        raise OutputError(f"{path}: cannot be written, it is one of the system's own names")
    if path.exists() and not path.is_file():
        raise OutputError(f"{path}: cannot be written, it is a device or a pipe")


def write_whole(path: Path, content: bytes) -> Path:
    """Write a file so that a reader never sees half of it, and return its path.

    Raises
    ------
    OutputError
        If the folder cannot be made or written.
    """
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        if path.is_dir():
            raise OutputError(f"{path}: cannot be written, it is a directory")
        if path.exists() or path.is_symlink():
            _require_file(path)
        sweep(path.parent)
        with held_file(path) as beside:
            beside.write(content)
            umask = os.umask(0)
            os.umask(umask)
            beside.path.chmod(0o666 & ~umask)
            beside.replace(path)
    except OSError as error:
        raise OutputError(f"{path}: cannot be written ({error.strerror or error})") from None
    return path

"""Files and folders that are made beside their place and then renamed: whoever makes one holds it while he lives.

A process that is killed leaves what it was writing. Its name says that it is ours, and the system opens the lock of a
process that has ended, whatever ended it: so the next run in that folder takes away what nobody holds any more, and
never what another process is writing now. Where a file system has no locks, only what is a day old is taken away.
"""

from __future__ import annotations

import contextlib
import errno
import os
import secrets
import shutil
import stat
import sys
import tempfile
import time
from collections.abc import Iterator
from pathlib import Path

from sim.base.errors import OutputError

if sys.platform != "win32":
    import fcntl

MARK = ".chuckscene-part"  # ends the name of what is not whole yet
BEFORE = ".chuckscene-old"  # ends the name of what stands in a place until another is there
DAY = 86_400.0  # s, after which what cannot be locked at all is left over
_LONGEST = 200  # bytes of the place's name within the other one, which a file system bounds
_TRIES = 20


class Held:
    """A file or folder that is being made; `path` is its name until it is renamed.

    Parameters
    ----------
    path : Path
    handle : int
        Open file of the system whose lock says that this process lives.
    """

    def __init__(self, path: Path, handle: int) -> None:
        self.path = path
        self._handle = handle

    def write(self, content: bytes) -> None:
        """Write a file's content and have it on the disk before it takes anything's place.

        Raises
        ------
        OSError
        """
        left = memoryview(content)
        while left:
            left = left[os.write(self._handle, left) :]
        with contextlib.suppress(OSError):  # of a file system that cannot tell; a full disk has spoken before
            os.fsync(self._handle)

    def replace(self, place: Path) -> None:
        """Take a place, and whatever file stands there.

        Raises
        ------
        OSError
        """
        if sys.platform == "win32":  # renames nothing that is open
            self.let_go()
        self.path.replace(place)

    def let_go(self) -> None:
        """Open the lock."""
        if self._handle >= 0:
            os.close(self._handle)
            self._handle = -1


@contextlib.contextmanager
def held_file(place: Path) -> Iterator[Held]:
    """Make an empty file beside a place; it is taken away unless it was renamed.

    Raises
    ------
    OSError
        If none can be made.
    """
    held = _made(place, folder=False)
    try:
        yield held
    finally:
        held.path.unlink(missing_ok=True)
        held.let_go()


@contextlib.contextmanager
def held_folder(place: Path) -> Iterator[Held]:
    """Make an empty folder beside a place, for its owner alone; it is taken away unless it was renamed.

    Raises
    ------
    OSError
        If none can be made.
    """
    held = _made(place, folder=True)
    try:
        yield held
    finally:
        shutil.rmtree(held.path, ignore_errors=True)
        held.let_go()


@contextlib.contextmanager
def working_folder() -> Iterator[Path]:
    """Make a folder where this system keeps what is not kept, for its owner alone, and take it away at the end.

    Raises
    ------
    OutputError
        If there is no place for it.
    """
    with contextlib.ExitStack() as at_end:
        try:
            place = Path(tempfile.gettempdir(), "chuckscene")
            sweep(place.parent)
            held = at_end.enter_context(held_folder(place))
        except OSError as error:
            raise OutputError(
                f"no folder for what is only needed meanwhile can be made ({error.strerror or error}); name one by the "
                "environment variable TMPDIR"
            ) from None
        yield held.path


@contextlib.contextmanager
def set_aside(path: Path) -> Iterator[Path]:
    """Give what stands in a place another name; it comes back unless something else has taken the place at the end.

    Should the process be killed meanwhile, the next `sweep` does the same.

    Raises
    ------
    OSError
    """
    old = _name(path, BEFORE)
    handle = _opened(path)
    try:
        if handle is not None:
            _locked(handle)
        path.rename(old)
        try:
            yield old
        finally:
            _settled(old, path)
    finally:
        if handle is not None:
            os.close(handle)


def sweep(folder: Path) -> None:
    """Take away what dead processes have left in a folder; silent where it cannot."""
    with contextlib.suppress(OSError):
        for entry in os.scandir(folder):
            if entry.name.startswith(".") and entry.name.endswith((MARK, BEFORE)):
                with contextlib.suppress(OSError):
                    _sweep(folder / entry.name)


def _made(place: Path, *, folder: bool) -> Held:
    for _ in range(_TRIES):
        path = _name(place, MARK)
        if folder:
            path.mkdir(0o700)
            handle = _opened(path)
        else:
            flags = os.O_RDWR | os.O_CREAT | os.O_EXCL | getattr(os, "O_BINARY", 0)
            handle = os.open(path, flags, 0o600)
        if handle is None:  # a system that opens no folders
            return Held(path, -1)
        # Between its making and its lock somebody may have thought that nobody holds it.
        if _locked(handle) is not False and _is(path, handle):
            return Held(path, handle)
        os.close(handle)
    raise FileExistsError(errno.EEXIST, "names are taken again and again")


def _name(place: Path, mark: str) -> Path:
    name = place.name.encode("utf-8", "surrogateescape")[:_LONGEST].decode("utf-8", "ignore")
    return place.with_name(f".{name}.{secrets.token_hex(4)}{mark}")


def _opened(path: Path) -> int | None:
    """Open a file or folder for its lock; None where the system opens no folders. No link is followed."""
    try:
        return os.open(path, os.O_RDONLY | getattr(os, "O_NOFOLLOW", 0) | getattr(os, "O_NONBLOCK", 0))
    except PermissionError:
        if sys.platform == "win32":
            return None
        raise


def _locked(handle: int) -> bool | None:
    """Lock an open file: False where another process holds it, None where the file system has no locks."""
    if sys.platform == "win32":
        return None
    try:
        fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except BlockingIOError:
        return False
    except OSError:
        return None
    return True


def _is(path: Path, handle: int) -> bool:
    """Tell whether a name still is that of an open file."""
    try:
        return os.path.samestat(path.lstat(), os.fstat(handle))
    except OSError:
        return False


def _sweep(path: Path) -> None:
    found = path.lstat()
    if not (stat.S_ISREG(found.st_mode) or stat.S_ISDIR(found.st_mode)):
        return
    if (
        sys.platform != "win32" and found.st_uid != os.geteuid()
    ):  # of somebody else in a folder that all may write
        return
    handle = _opened(path)
    try:
        locked = None if handle is None else _locked(handle)
        old_enough = time.time() - found.st_mtime > DAY
        if (
            locked is False
            or (locked is None and not old_enough)
            or (handle is not None and not _is(path, handle))
        ):
            return
        if path.name.endswith(BEFORE):
            _settled(path, path.with_name(path.name.removesuffix(BEFORE)[1:].rpartition(".")[0]))
        elif path.is_dir():
            shutil.rmtree(path, ignore_errors=True)
        else:
            path.unlink(missing_ok=True)
    finally:
        if handle is not None:
            os.close(handle)


def _settled(old: Path, place: Path) -> None:
    """Put what was set aside back where nothing has taken its place, else take it away."""
    if place.exists() or place.is_symlink():
        shutil.rmtree(old, ignore_errors=True) if old.is_dir() else old.unlink(missing_ok=True)
    else:
        old.rename(place)

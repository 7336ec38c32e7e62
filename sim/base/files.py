"""Read files that have an end, and write results whole or not at all: beside the target first, then rename."""

from __future__ import annotations

import errno
import hashlib
import os
import re
import stat
import unicodedata
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from sim.base.beside import held_file, sweep
from sim.base.errors import OutputError
from sim.base.limits import FileKind

# All control characters but tab and line ends, the separators of lines that not every reader takes for one, and the
# characters with the property Bidi_Control (Unicode Standard Annex 9).
_UNSEEN = re.compile("[\x00-\x08\x0b\x0c\x0e-\x1f\x7f-\x9f\u061c\u200e\u200f\u2028-\u202e\u2066-\u2069]")

ASTRAY = "read twice, and not the same"  # in the place of a digest
_NOTED: list[dict[str, str]] = []


@contextmanager
def files_noted() -> Iterator[dict[str, str]]:
    """Note every file that is read meanwhile as `digest_now` does, by its absolute name.

    `ASTRAY` stands for one that was another at a second look: what came of it belongs to neither.
    """
    noted: dict[str, str] = {}
    _NOTED.append(noted)
    try:
        yield noted
    finally:
        _NOTED[:] = [one for one in _NOTED if one is not noted]


def digest_now(path: Path, most: int) -> str:
    """Return a digest of what a file holds; '' of one that cannot be read."""
    try:
        return _digest(bytes_of(path, most))
    except (OSError, ValueError):
        return ""


def _digest(data: bytes) -> str:
    return hashlib.blake2b(data, digest_size=32).hexdigest()


def _note(path: Path, found: str) -> None:
    name = str(path.absolute())
    for noted in _NOTED:
        noted[name] = found if noted.get(name, found) == found else ASTRAY


def regular_bytes(path: Path, most: int) -> bytes:
    """Return what a file of the user holds as `bytes_of` does, and note it (`files_noted`)."""
    if not _NOTED:
        return bytes_of(path, most)
    try:
        data = bytes_of(path, most)
    except (OSError, ValueError):
        _note(path, "")
        raise
    _note(path, _digest(data))
    return data


def bytes_of(path: Path, most: int) -> bytes:
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
    # Looked at before it is opened: to open a device may already do something.
    _require_regular(path.stat().st_mode)
    # Not blocking: a pipe that has taken its place since is opened without a wait for somebody who writes into it.
    handle = os.open(path, os.O_RDONLY | getattr(os, "O_NONBLOCK", 0) | getattr(os, "O_BINARY", 0))
    with os.fdopen(handle, "rb") as file:
        found = os.fstat(handle)
        _require_regular(found.st_mode)
        if found.st_size > most:
            raise OSError(errno.EFBIG, f"{found.st_size} bytes, more than {most} bytes")
        data = file.read(most + 1) or b""  # None where nothing has come yet
    if len(data) > most:
        raise OSError(errno.EFBIG, f"more than {most} bytes")
    return data


def _require_regular(mode: int) -> None:
    if stat.S_ISDIR(mode):
        raise OSError(errno.EISDIR, "a directory, not a file")
    if not stat.S_ISREG(mode):
        raise OSError(errno.EINVAL, "a device or a pipe, not a file")


def file_content(path: Path, kind: FileKind) -> bytes:
    """Return what a file of a kind holds.

    Raises
    ------
    ValueError
        What is wrong, as a clause behind the file's name.
    """
    try:
        return regular_bytes(path, kind.most)
    except (OSError, ValueError) as error:
        number, why = getattr(error, "errno", None), getattr(error, "strerror", None) or error
        if number == errno.EISDIR:
            form = kind.form.removesuffix("text").strip()
            raise ValueError(f"must be one {form} file, found a directory".replace("  ", " ")) from None
        if number == errno.EFBIG:
            found, _, _ = str(why).partition(",")
            raise ValueError(f"must be under {kind.size}, found {found}") from None
        raise ValueError(f"cannot be read ({why})") from None


def file_text(path: Path, kind: FileKind) -> str:
    """Return the text of a file of a kind, without a mark of its byte order; line ends stay as they are.

    Raises
    ------
    ValueError
        What is wrong, as a clause behind the file's name.
    """
    return text_of(file_content(path, kind), kind)


def text_of(data: bytes, kind: FileKind) -> str:
    """Return the text that a file's bytes are. Raises as `file_text`."""
    try:
        found = data.decode("utf-8").removeprefix("\ufeff")
    except UnicodeDecodeError:
        raise ValueError(f"must be {kind.form} in UTF-8, found binary data") from None
    require_plain(found, kind)
    return found


def any_text(data: bytes, kind: FileKind) -> str:
    """Return the text that a file's bytes are, in UTF-8 or else one letter a byte; blanks of its kind stay.

    What a letter beyond ASCII was meant to be is then not known, so such text is for words in ASCII.

    Raises
    ------
    ValueError
        As `file_text`.
    """
    try:
        found = data.decode("utf-8-sig")
    except UnicodeDecodeError:
        found = data.decode("latin-1")
        # Letters in the alphabets of old control panels lie where this one has further control characters.
        require_plain(found.translate(dict.fromkeys(range(0x80, 0xA0), "?")), kind)
        return found
    require_plain(found, kind)
    return found


def require_plain(words: str, kind: FileKind) -> None:
    """Refuse a text with characters that are not seen and change what is: it could be read in two ways.

    Raises
    ------
    ValueError
        The first of them with its place, as a clause behind the file's name.
    """
    if kind.blanks:
        words = words.translate(dict.fromkeys(map(ord, kind.blanks), " "))
    match = _UNSEEN.search(words)
    if match is None:
        return
    line = words.count("\n", 0, match.start()) + 1
    column = match.start() - words.rfind("\n", 0, match.start())
    raise ValueError(
        f"must hold no {_named(match[0])}, found U+{ord(match[0]):04X} in line {line}, column {column}"
    )


def unseen(words: str) -> str:
    """Return what is wrong with a value that is text, as a clause; empty if all that is in it is seen."""
    match = _UNSEEN.search(words)
    return "" if match is None else f"must hold no {_named(match[0])}, found U+{ord(match[0]):04X}"


def _named(character: str) -> str:
    if character == "\0":
        return "null character (is it binary data?)"
    if character in "\u2028\u2029":
        return "line separator but the end of a line"
    if unicodedata.category(character) == "Cc":
        return "control character"
    return "character that turns the direction of text"


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

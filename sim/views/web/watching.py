"""The files that a scenario file names, and what they hold: what a live page must look at beside the file itself.

The names are taken from the text of the file, not from a scenario that was read from it: a file with a mistake names
files, too, and one of them may be what is wrong.
"""

from __future__ import annotations

import hashlib
import tomllib
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from sim.base.files import regular_bytes

NAMING = (
    "file",
    "include",
    "shop_files",
)  # keys that name files; any other text that is the name of one counts, too
LONGEST_NAME = 1000  # letters
ALWAYS_READ = 2_000_000  # bytes up to which a file is read at every look

Stamp = tuple[int, int, int, int]


def named_files(file: Path, text: str | None = None) -> tuple[Path, ...] | None:
    """Return the files that a scenario file and what it includes name, there or not; None where it is no TOML.

    With a text they are those that it names in the file's place.
    """
    tables = _tables(file) if text is None else _parsed(text.encode("utf-8"))
    if tables is None:
        return None
    names = dict.fromkeys(_names(tables, file.parent))
    found = [file.parent / name for name in names]
    for key in ("include", "shop_files"):
        others = tables.get(key)
        for name in others if isinstance(others, list) else ():
            other = file.parent / name if isinstance(name, str) else None
            # What is included names files as the scenario does, a shop file from its own folder.
            folder = file.parent if other is None or key == "include" else other.parent
            within = None if other is None else _tables(other)
            found += [folder / name for name in _names(within or {}, folder)]
    return tuple(dict.fromkeys(found))


def fingerprint(file: Path) -> str:
    """Return a hash of what a file holds; '' where it cannot be read (an editor may be writing it).

    Of a large file it is taken again only when the file's times, size or place on the disk have changed.
    """
    try:
        found = stamp(file)
        if found is None:
            return ""
        if found[1] <= ALWAYS_READ:
            return hashlib.sha256(regular_bytes(file, ALWAYS_READ)).hexdigest()
        return " ".join(str(number) for number in found)
    except (OSError, ValueError):
        return ""


def stamp(file: Path) -> Stamp | None:
    """Return times of the content and of the entry (ns), size and number of a file; None where there is none."""
    try:
        if not file.is_file():
            return None
        found = file.stat()
    except (OSError, ValueError):  # a name that no file can have
        return None
    return found.st_mtime_ns, found.st_size, found.st_ino, found.st_ctime_ns


def _tables(file: Path) -> dict[str, Any] | None:
    found = stamp(file)
    if found is None or found[1] > ALWAYS_READ:  # a device has no end
        return None
    try:
        return _parsed(regular_bytes(file, ALWAYS_READ))
    except OSError:
        return None


def _parsed(data: bytes) -> dict[str, Any] | None:
    try:
        return tomllib.loads(data.decode("utf-8-sig"))
    except (ValueError, RecursionError):
        return None


def _names(tables: Any, folder: Path, key: str = "") -> Iterator[str]:
    """Yield every text under a key that names files, and every other text that is the name of a file that is there."""
    if isinstance(tables, dict):
        for name, value in tables.items():
            yield from _names(value, folder, name)
    elif isinstance(tables, list):
        for value in tables:
            yield from _names(value, folder, key)
    elif isinstance(tables, str) and _may_name(tables, folder, key):
        yield tables


def _may_name(text: str, folder: Path, key: str) -> bool:
    if not 0 < len(text) <= LONGEST_NAME or "\n" in text:
        return False
    return key in NAMING or stamp(folder / text) is not None

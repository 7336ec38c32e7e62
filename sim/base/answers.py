"""Answers on disk: what one process worked out of the very same values, another of the very same code reads.

A file holds the answers of one subject (a scenario's file), the last that were asked for. It is used only as a whole,
and only if it was written by the same sources of `sim` and `meshes` (all of them: whatever a function imports, however
far down, is among them), the same Python and the same libraries, and if its checksum holds. An answer is named by its
function and by all that the function was given, bit by bit, so an edit of the scenario asks anew for what the edit
reaches, and for nothing else. Answers are plain text (`sim.base.plain`); errors are not kept. This finds accidents, not
malice: who may write in the user's cache folder can also make the checksum.
"""

from __future__ import annotations

import contextlib
import functools
import hashlib
import json
import os
import secrets
import sys
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from functools import cache
from importlib.metadata import PackageNotFoundError, distribution
from importlib.util import find_spec
from pathlib import Path
from typing import Any, ParamSpec, TypeVar

from sim.base.beside import held_file, sweep
from sim.base.files import bytes_of
from sim.base.limits import KEPT

_Asked = ParamSpec("_Asked")
_Answer = TypeVar("_Answer")

PACKAGES = ("sim", "meshes")
# What the written functions compute with, directly and through each other; a test asks the import graph.
LIBRARIES = (
    "numpy",
    "scipy",
    "shapely",
    "trimesh",
    "manifold3d",
    "mapbox_earcut",
    "scikit-fem",
    "threadpoolctl",
    "highspy",
)
# Files kept, those used last: of a setup that of its check, what it printed, and each of its pages whole and in pieces.
_KEPT = 256
_SUFFIX = ".answers"


@dataclass(frozen=True, slots=True, eq=False)
class _Book:
    """Texts of answers by their names, of the file and of those asked for since it was opened; what these read as."""

    known: dict[str, str]
    asked: dict[str, str]
    read: dict[str, Any]


_OPEN: list[_Book] = []
_PAGES: list[_Book] = []


def sources() -> list[Path]:
    """Files whose content may decide an answer: every module and table of `sim` and `meshes`."""
    found: list[Path] = []
    for package in PACKAGES:
        spec = find_spec(package)
        for folder in (spec.submodule_search_locations or ()) if spec else ():
            for place, folders, names in os.walk(folder):
                folders[:] = sorted(name for name in folders if name != "__pycache__")
                found += [Path(place, name) for name in sorted(names) if name.endswith((".py", ".toml"))]
    return found


def version(name: str) -> str:
    """Return the version of an installed library; its description is not parsed, which takes several times as long."""
    text = distribution(name).read_text("METADATA") or ""
    found = next((line for line in text.splitlines() if line.startswith("Version:")), None)
    if found is None:
        raise PackageNotFoundError(name)
    return found


@cache
def maker() -> str:
    """Digest of what decides the answers; where a source or a version cannot be found it is like no other."""
    digest = hashlib.blake2b(repr((sys.version, sys.platform)).encode(), digest_size=32)
    try:
        digest.update(repr([(name, version(name)) for name in LIBRARIES]).encode())
        texts = [(str(path), path.read_bytes()) for path in sources()]
    except (OSError, PackageNotFoundError):
        return secrets.token_hex()
    if not texts:
        return secrets.token_hex()
    for name, text in texts:
        digest.update(f"source{len(name)} {len(text)} {name}".encode())
        digest.update(text)
    return digest.hexdigest()


def written(function: Callable[_Asked, _Answer]) -> Callable[_Asked, _Answer]:
    """Decorate a function of frozen values alone that returns frozen values: between `answers_in` it asks the file."""
    place = f"{function.__module__}.{function.__qualname__}"

    @functools.wraps(function)
    def answer(*args: _Asked.args, **kwargs: _Asked.kwargs) -> _Answer:
        if not _OPEN:
            return function(*args, **kwargs)
        # Loaded here: a text that is kept whole is printed by a process that has no arrays.
        from sim.base.plain import text_of, value_of
        from sim.base.threads import one_blas_thread

        book = _OPEN[-1]
        try:
            asked = text_of([place, args, sorted(kwargs.items())])
        except TypeError:  # something that has no text: worked out each time
            with one_blas_thread():
                return function(*args, **kwargs)
        name = hashlib.blake2b(asked.encode(), digest_size=32).hexdigest()
        if name in book.read:
            known: _Answer = book.read[name]
            return known
        text = book.known.get(name)
        if text is not None:
            with contextlib.suppress(Exception):  # as good as none
                known = book.read[name] = value_of(text)
                book.asked[name] = text
                return known
        with one_blas_thread():
            found = function(*args, **kwargs)
        with contextlib.suppress(TypeError):
            text = text_of(found)
            if text_of(value_of(text)) == text:
                book.asked[name], book.read[name] = text, found
        return found

    return answer


def asking() -> bool:
    """Tell whether answers are being read, so that what is worked out anew keeps BLAS to one thread by itself."""
    return bool(_OPEN)


def answers_in(folder: Path, *subject: str) -> contextlib.AbstractContextManager[None]:
    """Read the answers of a subject from a folder, and leave there those asked for; silent where it cannot."""
    return _opened(_OPEN, folder, subject)


def pieces_in(folder: Path, *subject: str) -> contextlib.AbstractContextManager[None]:
    """Read the pieces of a subject's page from a folder, and leave there those asked for; silent where it cannot."""
    return _opened(_PAGES, folder, subject)


@contextlib.contextmanager
def _opened(books: list[_Book], folder: Path, subject: tuple[str, ...]) -> Iterator[None]:
    path = _place(folder, subject)
    book = _Book(_read(path), {}, {})
    books.append(book)
    try:
        yield
    finally:
        books.remove(book)
    if book.asked != book.known:
        _write(path, book.asked)
    elif book.known:
        with contextlib.suppress(OSError):
            path.touch()


def in_pieces() -> bool:
    """Tell whether pieces of a page are being read."""
    return bool(_PAGES)


def piece(asked: str, make: Callable[[], str]) -> str:
    """Return the piece of a page that an earlier run left for a question, else one that is made and left there.

    Parameters
    ----------
    asked : str
        Names all that the piece is made of, the code of `sim` and `meshes` apart.
    make : callable
        Returns the piece as text.
    """
    if not _PAGES:
        return make()
    book = _PAGES[-1]
    text = book.asked.get(asked, book.known.get(asked))
    if not isinstance(text, str):
        text = make()
    book.asked[asked] = text
    return text


def kept_text(
    folder: Path,
    *subject: str,
    asked: str,
    make: Callable[[], tuple[str, bool]],
    holds: Callable[[str], bool] = lambda _: True,
) -> str:
    """Return the text that a subject's file holds for a question, else one that is made and, if it may be, left there.

    Parameters
    ----------
    folder : Path
    subject : str
        One file holds one text, the last that was asked for.
    asked : str
        Names all that the text is made of, the code of `sim` and `meshes` apart.
    make : callable
        Returns the text, and whether it may be kept.
    holds : callable
        Tells of a text that was kept whether it still is what would be made.
    """
    path = _place(folder, subject)
    known = _read(path).get(asked)
    if isinstance(known, str) and holds(known):
        with contextlib.suppress(OSError):
            path.touch()
        return known
    text, may_be_kept = make()
    if may_be_kept:
        _write(path, {asked: text})
    return text


def _place(folder: Path, subject: tuple[str, ...]) -> Path:
    return folder / f"{hashlib.blake2b(repr(subject).encode(), digest_size=20).hexdigest()}{_SUFFIX}"


def _sum(body: bytes) -> bytes:
    return hashlib.blake2b(maker().encode() + body, digest_size=32).hexdigest().encode()


def _read(path: Path) -> dict[str, str]:
    """Return the answers of a file; none where it is not just as this code left it."""
    try:
        head, _, body = bytes_of(path, KEPT.most).partition(b"\n")
        if head != _sum(body):
            return {}
        found = json.loads(body)
    except (OSError, ValueError):
        return {}
    return found if isinstance(found, dict) else {}


def _write(path: Path, answers: dict[str, str]) -> None:
    body = json.dumps(answers, separators=(",", ":")).encode()
    with contextlib.suppress(OSError):
        path.parent.mkdir(parents=True, exist_ok=True)
        sweep(path.parent)
        with held_file(path) as part:
            with part.path.open("r+b") as file:
                file.write(_sum(body) + b"\n" + body)
            part.replace(path)
        files = sorted(path.parent.glob(f"*{_SUFFIX}"), key=lambda one: one.stat().st_mtime, reverse=True)
        for old in files[_KEPT:]:
            old.unlink(missing_ok=True)


maker()  # asked while the code is loaded: a source that changes later is not that of this process

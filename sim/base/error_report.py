"""A report of a mistake of the program itself that a user can send: where it arose, and nothing of what was asked.

Texts and values of a scenario are in the messages of exceptions and in variables; file names tell of people and parts.
None of them is written, but for messages where the user asks for it (`DEBUG`). What is written is where the program
stood, file by file of this package and of the libraries under it, and what of them is installed.
"""

from __future__ import annotations

import contextlib
import os
import platform
import re
import sys
import sysconfig
import threading
import traceback
from collections.abc import Iterator, Sequence
from datetime import datetime
from importlib.metadata import PackageNotFoundError, version
from pathlib import Path
from types import TracebackType

from sim.base.errors import DEBUG, ChuckSceneError

VERSIONS = ("chuckscene", "numpy", "scipy")
ELSEWHERE = "a file elsewhere"
MOST_PLACES = 40  # of one exception, half of them its first: a recursion without end has a thousand
MOST_LINKED = 20  # exceptions that led to one another
MOST_NAMES = 100  # reports of one second
_OWN = ("sim", "meshes")
_MADE = re.compile(r"<[a-z_ .]+>")  # of code that no file holds, as '<frozen importlib._bootstrap>'


class WorkerFault(Exception):  # noqa: N818  (what is wrong is in another process)
    """A mistake of the program in another process; the message is that process's own, the places are in words.

    It holds texts only, so that it comes back whole whatever the exception there was made of.
    """

    def __init__(self, kind: str, message: str, places: tuple[str, ...]) -> None:
        super().__init__(kind, message, places)
        self.kind, self.message, self.places = kind, message, places

    def __str__(self) -> str:
        return f"{self.kind} in another process" + (f": {self.message}" if self.message else "")


def as_fault(error: BaseException) -> WorkerFault:
    """Return an exception as it can be sent to another process."""
    return WorkerFault(_kind(error), str(error), tuple(places(error)))


def places(error: BaseException) -> Iterator[str]:
    """Yield the lines that say where an exception and those before it arose, the first one first; no messages."""
    linked = _linked(error)
    for one in linked:
        if one is not linked[0]:
            yield "then"
        if isinstance(one, WorkerFault):
            yield f"{one.kind} in another process"
            yield from (f"  {line}" for line in one.places)
            yield "told here as"
        yield _kind(one)
        frames = list(_frames(one.__traceback__))
        half = MOST_PLACES // 2
        if len(frames) > MOST_PLACES:
            frames[half:-half] = [f"  ... {len(frames) - 2 * half} places more ..."]
        yield from frames


def report_text(error: BaseException, asked: Sequence[str]) -> str:
    """Return the content of a report.

    Parameters
    ----------
    error : BaseException
    asked : sequence of str
        Names of the command and of its options; no values.
    """
    lines = [
        "An internal error of chuckscene: a mistake of the program itself.",
        "This file holds no text, value or file name of yours and can be sent."
        if not os.environ.get(DEBUG)
        else f"{DEBUG} is set: the messages at the end may hold texts of your files. Read them before you send this.",
        "",
        f"command: {' '.join(asked) or 'not known'}",
        *(f"{name}: {_version(name)}" for name in VERSIONS),
        f"python: {platform.python_version()} ({platform.python_implementation()})",
        f"system: {platform.system()} {platform.release()} {platform.machine()}",
        "",
        *places(error),
    ]
    if os.environ.get(DEBUG):
        lines += ["", *"".join(traceback.format_exception(error)).splitlines()]
    return "\n".join(lines) + "\n"


def written_report(error: BaseException, asked: Sequence[str]) -> Path:
    """Write a report into the current folder, or where that cannot be written into the user's cache folder.

    Raises
    ------
    OSError
        If neither can be written.
    """
    content = report_text(error, asked).encode("utf-8", "backslashreplace")
    name = f"chuckscene-error-{datetime.now().astimezone():%Y%m%d-%H%M%S}"
    try:
        return _new_file(Path(), name, content)
    except OSError:
        from sim.base.user_cache import user_cache

        folder = user_cache()
        folder.mkdir(parents=True, exist_ok=True)
        return _new_file(folder, name, content)


def told(error: BaseException, asked: Sequence[str]) -> str:
    """Write a report and return the words that name it, or say why there is none; nothing is raised."""
    try:
        path = written_report(error, asked)
        if os.environ.get(DEBUG):
            return f"{path} says where; read it before you send it, with {DEBUG} it may quote your files"
        return f"{path} says where and can be sent: nothing of your files is in it"
    except Exception as failed:  # a report that fails must not hide what it reports
        why = getattr(failed, "strerror", None) or type(failed).__name__
        return f"no report of it could be written ({why})"


def _new_file(folder: Path, name: str, content: bytes) -> Path:
    """Write a file that was not there; on a full disk none is left."""
    for number in range(1, MOST_NAMES + 1):
        path = folder / (f"{name}.txt" if number == 1 else f"{name}-{number}.txt")
        try:
            file = path.open("xb")
        except FileExistsError:
            continue
        try:
            with file:
                file.write(content)
        except OSError:
            with contextlib.suppress(OSError):
                path.unlink()
            raise
        return path
    raise FileExistsError(f"{MOST_NAMES} reports of this second are there")


def _linked(error: BaseException) -> list[BaseException]:
    """Return an exception and those that led to it, the first one first."""
    found: list[BaseException] = []
    one: BaseException | None = error
    while one is not None and len(found) < MOST_LINKED and not any(one is other for other in found):
        found.append(one)
        one = one.__cause__ or (None if one.__suppress_context__ else one.__context__)
    return found[::-1]


def _kind(error: BaseException) -> str:
    kind = type(error)
    return kind.__qualname__ if kind.__module__ == "builtins" else f"{kind.__module__}.{kind.__qualname__}"


def _frames(trace: TracebackType | None) -> Iterator[str]:
    for frame, line in traceback.walk_tb(trace):
        yield f"  {_file(frame.f_code.co_filename)}, line {line}, in {_function(frame.f_code)}"


def _function(code: object) -> str:
    return str(getattr(code, "co_qualname", getattr(code, "co_name", "")))


def _file(name: str) -> str:
    """Return a file by its place in this package or in a library; of any other its name could tell of the user."""
    if _MADE.fullmatch(name):
        return name
    path = Path(name)
    root = Path(__file__).parents[2]
    if path.is_relative_to(root) and path.relative_to(root).parts[0] in _OWN:
        return path.relative_to(root).as_posix()
    # Libraries first: their folder lies within that of Python's own modules.
    for kind in ("purelib", "platlib", "stdlib"):
        folder = sysconfig.get_path(kind)
        if folder and path.is_relative_to(folder):
            return path.relative_to(folder).as_posix()
    return ELSEWHERE


def _version(name: str) -> str:
    try:
        return version(name)
    except PackageNotFoundError:
        return "not installed as a package" if name != "chuckscene" else f"from its folder, {sys.platform}"


class Reports:
    """Reports of a program that goes on after a mistake of its own: one for each place where one arises.

    Parameters
    ----------
    asked : sequence of str
        As in `report_text`.
    """

    def __init__(self, asked: Sequence[str]) -> None:
        self._asked = tuple(asked)
        self._lock = threading.Lock()
        self._told: dict[tuple[str, ...], str] = {}

    def __call__(self, error: BaseException) -> str:
        """Return the words that name the report of a mistake, see `told`; empty where what is wrong is the input."""
        if isinstance(error, ChuckSceneError):
            return ""
        with self._lock:
            where = tuple(places(error))[-1:]
            if where not in self._told:
                self._told[where] = told(error, self._asked)
            return self._told[where]

    @property
    def words(self) -> tuple[str, ...]:
        """What was told of each mistake so far."""
        return tuple(self._told.values())

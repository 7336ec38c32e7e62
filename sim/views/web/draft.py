"""What is typed into the forms of the live page: a text beside the file's, judged like it, saved when asked for.

The page sends all its changes since the file was read, each time: a text follows from what the file was then and from
them alone. Undoing sends fewer, also after saving, whose changes stay in the list. A question on another text of the
file, or on changes that another tab has gone beyond, is refused, so that nobody overwrites what he has not seen.
"""

from __future__ import annotations

import hashlib
import json
import threading
import tomllib
from pathlib import Path
from typing import Any, Protocol

from sim.base.errors import ChuckSceneError, ScenarioError
from sim.base.files import regular_bytes, write_whole
from sim.base.limits import SCENARIO
from sim.scenario.drafted import in_place_of
from sim.scenario.edits import Edit, edited, edits_of
from sim.scenario.scenario import full_tables
from sim.views.web.faults import Fault, faults


class OvertakenError(Exception):
    """A question was asked on a text that is no longer the one: the file or the changes went on meanwhile."""


class Followed(Protocol):
    """What judges a file, or waits until it can be."""

    @property
    def file(self) -> Path:
        """The scenario file."""

    def judge_typed(self, text: str | None, revision: int) -> None:
        """Hear of a text that is typed in the file's place; None: the file itself again."""

    def saved(self, revision: int) -> None:
        """Hear that the file now holds the text of this number."""


class Draft:
    """Changes of one file that are not saved; one for all pages that show it."""

    def __init__(self, watched: Followed) -> None:
        """Begin with the file as it is.

        Raises
        ------
        ScenarioError
            If it cannot be read.
        """
        self._watched, self._file = watched, watched.file
        self._lock = threading.Lock()
        # What the changes are made on, the file as it was last seen, and both with the changes.
        self._origin = self._base = self._text = _text(self._file)
        self._edits: tuple[Edit, ...] = ()
        self._saved: tuple[Edit, ...] = ()  # those with which the file was saved last
        self._sent: list[Any] = []
        self._revision = 0

    def state(self) -> dict[str, Any]:
        """Return what the forms show: values, mistakes, whether something is not saved; JSON.

        Raises
        ------
        ScenarioError
            If the file cannot be read.
        """
        with self._lock:
            self._follow()
            return self._state()

    def edit(self, asked: dict[str, Any]) -> dict[str, Any]:
        """Take over all changes of the page and return what the forms then show.

        Raises
        ------
        OvertakenError
            If the page does not know what the changes are made on.
        ScenarioError
            If a change cannot be written; nothing is taken over then.
        """
        with self._lock:
            self._follow()
            self._require_known(asked)
            sent = asked.get("edits")
            edits = edits_of(sent)
            text = edited(self._origin, edits) if edits else self._origin
            self._take(text, edits, sent if isinstance(sent, list) else [])
            return self._state()

    def save(self, asked: dict[str, Any]) -> dict[str, Any]:
        """Write the text into the file, unless that has changed since, and return what the forms show.

        Raises
        ------
        OvertakenError
            If the page shows other changes than those that would be saved, or the file has changed.
        OutputError
            If it cannot be written.
        """
        with self._lock:
            self._require_known(asked)
            if _read(self._file) != self._base:
                raise OvertakenError(f"{self._file.name} has been changed by somebody else: nothing is saved")
            if self.unsaved:
                write_whole(self._file.resolve(), self._text.encode("utf-8"))
                self._base, self._saved = self._text, self._edits
                self._watched.saved(self._revision)
            return self._state()

    def onto_file(self, asked: dict[str, Any]) -> dict[str, Any]:
        """Put the changes onto the file as it is now, or (`drop`) forget them, and return what the forms show.

        Raises
        ------
        OvertakenError
            If the page shows other changes.
        ScenarioError
            If a change has no place in the file any more; nothing is taken over then.
        """
        with self._lock:
            self._require_known(asked)
            text = _text(self._file)
            count = len(self._saved)
            if asked.get("drop") is not True and self._edits[:count] != self._saved:
                raise ScenarioError(
                    "what was saved before has been undone, and that has no place in the file as it is now: make it "
                    "again, or forget your changes"
                )
            edits, sent = ((), []) if asked.get("drop") is True else (self._edits[count:], self._sent[count:])
            new = edited(text, edits) if edits else text
            self._origin, self._base, self._saved = text, text, ()
            self._take(new, edits, sent)
            return self._state()

    @property
    def unsaved(self) -> bool:
        """Whether there is something that the file does not hold."""
        return self._text != self._base

    @property
    def outside(self) -> bool:
        """Whether somebody else has changed the file since something was typed."""
        return self.unsaved and _read(self._file) != self._base

    def _follow(self) -> None:
        """Take over the file as it is now where nothing has been changed here."""
        if not self.unsaved:
            found = _text(self._file)
            if found != self._base:
                self._origin = self._base = self._text = found
                self._edits, self._saved, self._sent = (), (), []
                self._revision += 1

    def _require_known(self, asked: dict[str, Any]) -> None:
        if asked.get("base") != _hash(self._base):
            raise OvertakenError("the file has been saved or changed since this form was filled in")
        if asked.get("revision") != self._revision:
            raise OvertakenError("another tab has changed this setup since this form was filled in")

    def _take(self, text: str, edits: tuple[Edit, ...], sent: list[Any]) -> None:
        self._text, self._edits, self._sent = text, edits, sent
        self._revision += 1
        self._watched.judge_typed(text if self.unsaved else None, self._revision)

    def _state(self) -> dict[str, Any]:
        with in_place_of(self._file, self._text):
            found = faults(self._file)
            full = self._full()
        return {
            "file": self._file.name,
            "base": _hash(self._base),
            "revision": self._revision,
            "judged_as": self._revision if self.unsaved else 0,
            "edits": self._sent,
            "saved": len(self._saved),
            "unsaved": self.unsaved,
            "outside": self.outside,
            "values": plain(tomllib.loads(self._text.removeprefix("\ufeff"))),
            "full": plain(full),
            "faults": [_as_object(one) for one in found],
        }

    def _full(self) -> dict[str, Any]:
        """Return the tables with those of the files that it names; none where these cannot be read."""
        try:
            return full_tables(self._file)
        except ChuckSceneError:
            return {}


def _as_object(fault: Fault) -> dict[str, Any]:
    return {"place": list(fault.place), "field": fault.field, "words": fault.words}


def plain(value: Any) -> Any:
    """Return parsed TOML as JSON can say it: what JSON has no word for, as text."""
    if isinstance(value, dict):
        return {key: plain(one) for key, one in value.items()}
    if isinstance(value, list):
        return [plain(one) for one in value]
    if isinstance(value, float):
        return value if json.dumps(value) not in {"NaN", "Infinity", "-Infinity"} else str(value)
    return value if isinstance(value, str | bool | int) else str(value)


def _hash(text: str) -> str:
    return hashlib.sha256(text.encode("utf-8")).hexdigest()


def _read(file: Path) -> str | None:
    """Return the text of a file; None where there is none."""
    try:
        return regular_bytes(file, SCENARIO.most).decode("utf-8")
    except (OSError, ValueError):
        return None


def _text(file: Path) -> str:
    found = _read(file)
    if found is None:
        raise ScenarioError(f"{file}: cannot be read now")
    try:
        tomllib.loads(found.removeprefix("\ufeff"))
    except (tomllib.TOMLDecodeError, RecursionError, ValueError) as error:
        raise ScenarioError(f"{file}: is not valid TOML ({error})") from None
    return found

"""What a live page is about: the last good scene of a scenario file, and what is wrong with the file now.

A thread looks at the file and judges it anew when its text has changed. Requests read one frozen `Shown`; each of them
carries the whole state that it asks for, so that nothing is shared between two pages but the scenario itself.
"""

from __future__ import annotations

import hashlib
import json
import threading
from collections.abc import Callable
from dataclasses import dataclass, replace
from pathlib import Path

from sim.assess.state import States, states
from sim.assessment import Assessment
from sim.errors import ChuckSceneError
from sim.views.web.document import live_page, scene_data

PATIENCE = 0.4  # s between two looks at the file


@dataclass(frozen=True, slots=True, eq=False)
class Shown:
    """What pages show.

    Attributes
    ----------
    version : int
        Grows with every scene.
    ready : States
        Of the last good scene.
    page, scene : bytes
        The page as HTML, and its data as JSON.
    mistake : str
        What is wrong with the file now, one sentence; empty if nothing is.
    """

    version: int
    ready: States
    page: bytes
    scene: bytes
    mistake: str


class Watched:
    """A scenario file that is looked at again and again; `shown` is replaced as a whole."""

    def __init__(self, file: Path, judge: Callable[[Path], Assessment]) -> None:
        """Judge the file once.

        Raises
        ------
        ChuckSceneError
            If there is no good scene to begin with.
        """
        self._file, self._judge = file, judge
        self._seen = _fingerprint(file)
        self._changed = threading.Condition()
        self.shown = _shown(judge(file), 1)
        self._beside = self._included()
        self._events = 0

    def look(self) -> bool:
        """Judge the file anew if its text or a file that it includes has changed; tell whether one has."""
        now, beside = _fingerprint(self._file), self._included()
        if now == self._seen and beside == self._beside:
            return False
        self._seen, self._beside = now, beside
        try:
            shown = _shown(self._judge(self._file), self.shown.version + 1)
        except ChuckSceneError as error:
            shown = replace(self.shown, mistake=" ".join(str(error).split()))
        with self._changed:
            self.shown = shown
            self._events += 1
            self._changed.notify_all()
        return True

    def _included(self) -> tuple[str, ...]:
        """Return the fingerprints of what the last good scene includes."""
        names = self.shown.ready.assessment.scenario.include
        return tuple(_fingerprint(self._file.parent / name) for name in names)

    def watch(self, stop: threading.Event) -> None:
        """Look at the file until told to stop."""
        while not stop.wait(PATIENCE):
            self.look()

    def wait(self, since: int, seconds: float) -> int:
        """Wait until more than `since` changes have been seen, or the time is over; return their number."""
        with self._changed:
            self._changed.wait_for(lambda: self._events > since, seconds)
            return self._events

    @property
    def events(self) -> int:
        """How many changes have been seen."""
        return self._events


def _shown(assessment: Assessment, version: int) -> Shown:
    ready = states(assessment)
    data = scene_data(ready)
    text = json.dumps(data, ensure_ascii=False, allow_nan=False, separators=(",", ":"))
    return Shown(version, ready, live_page(data).encode("utf-8"), text.encode("utf-8"), "")


def _fingerprint(file: Path) -> str:
    """Return a hash of the file's text; '' where it cannot be read (an editor may be writing it)."""
    try:
        return hashlib.sha256(file.read_bytes()).hexdigest()
    except OSError:
        return ""

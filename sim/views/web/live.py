"""What a live page is about: the last good scene of a scenario file, and whether it still is that of the file.

A thread looks at the file and at all that it names, and judges it anew when one of them has changed. Requests read one
frozen `Shown`; each of them carries the whole state that it asks for, so that nothing is shared between two pages but
the scenario itself.
"""

from __future__ import annotations

import hashlib
import json
import threading
from collections.abc import Callable
from dataclasses import dataclass, replace
from pathlib import Path

from sim.assessment.results import Assessment
from sim.assessment.state import States, states
from sim.base.errors import ChuckSceneError
from sim.scenario.drafted import in_place_of
from sim.views.web.document import live_page, scene_data
from sim.views.web.watching import Stamp, fingerprint, named_files, stamp

Keep = Callable[[Assessment, Callable[[], str]], str]
PATIENCE = 0.4  # s between two looks at the file
LONGEST_MISTAKE = 600  # letters


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
    judging : bool
        The file has changed and is being judged: what is shown may no longer be so.
    revision : int
        Of the typed text that this is told of, 0 for the file as it is saved.
    """

    version: int
    ready: States
    page: bytes
    scene: bytes
    mistake: str
    judging: bool = False
    revision: int = 0


@dataclass(frozen=True, slots=True)
class Typed:
    """A text that is judged in the file's place, and its number, which grows with every change of it."""

    text: str
    revision: int


@dataclass(frozen=True, slots=True, eq=False)
class First:
    """How a file is judged when it is opened, and what returns its scene as JSON from the last run or makes it."""

    judge: Callable[[Path], Assessment]
    keep: Keep


class Watched:
    """A scenario file that is looked at again and again; `shown` is replaced as a whole."""

    def __init__(
        self,
        file: Path,
        judge: Callable[[Path], Assessment],
        report: Callable[[BaseException], str] = lambda _: "",
        first: First | None = None,
    ) -> None:
        """Judge the file once.

        Parameters
        ----------
        file : Path
        judge : callable
        report : callable
            Keeps a mistake of the program itself and returns words that say where; none of a mistake of the file.
        first : First, optional
            Judges the file and keeps its scene the first time, while nobody asks anything else.

        Raises
        ------
        ChuckSceneError
            If there is no good scene to begin with.
        """
        self._file, self._judge, self._report = file, judge, report
        self._named: tuple[Path, ...] = ()
        self._typed: Typed | None = None
        self._wake = threading.Event()
        self._changed = threading.Condition()
        self._events = 0
        self._seen, stamps = self._fingerprints(), self._stamps()
        self.shown = _shown(judge(file), 1) if first is None else _shown(first.judge(file), 1, first.keep)
        self._forget_if_changed(stamps)

    def look(self) -> bool:
        """Judge the file anew if it or a file that it names has changed; tell whether one has.

        Whatever goes wrong becomes the `mistake` that is shown: the next good file must find somebody who looks.
        """
        typed = self._typed
        now = self._fingerprints(typed)
        if now == self._seen:
            return False
        self._seen, stamps = now, self._stamps()
        revision = typed.revision if typed else 0
        self._show(replace(self.shown, judging=True, revision=revision))
        try:
            with in_place_of(self._file, typed.text if typed else None):
                judged = self._judge(self._file)
            shown = replace(_shown(judged, self.shown.version + 1), revision=revision)
        except (
            Exception
        ) as error:  # also what nobody thought of: an unexpected mistake is one of the file's, too
            mistake = _sentence(self._file, error, self._report(error))
            shown = replace(self.shown, mistake=mistake, judging=False, revision=revision)
        self._show(shown)
        self._forget_if_changed(stamps)
        return True

    def watch(self, stop: threading.Event) -> None:
        """Look at the file until told to stop; should the looking itself fail, say so and go on."""
        try:
            while not stop.is_set():
                self._wake.wait(PATIENCE)
                self._wake.clear()
                if stop.is_set():
                    break
                try:
                    self.look()
                except Exception as error:
                    self._tell(
                        f"{self._file}: cannot be looked at now ({_with(_words(error), self._report(error))})"
                    )
        finally:
            if not stop.is_set():  # pragma: no cover  (something that is no Exception ended the thread)
                self._tell("the program no longer looks at the file: start it again")

    def wait(self, since: int, seconds: float) -> int:
        """Wait until more than `since` changes have been seen, or the time is over; return their number."""
        with self._changed:
            self._changed.wait_for(lambda: self._events > since, seconds)
            return self._events

    @property
    def file(self) -> Path:
        """The scenario file."""
        return self._file

    def judge_typed(self, text: str | None, revision: int) -> None:
        """Judge a text in the file's place from now on; None: the file itself again."""
        self._typed = None if text is None else Typed(text, revision)
        self._wake.set()

    def saved(self, revision: int) -> None:
        """Go on with the file, which now holds the text of this number: what was judged of it need not be again."""
        shown, typed = self.shown, self._typed
        self._typed = None
        if typed is not None and shown.revision == typed.revision == revision and not shown.judging:
            self._seen = self._fingerprints(None)
            self._show(replace(shown, revision=0))
        self._wake.set()

    @property
    def events(self) -> int:
        """How many changes have been seen."""
        return self._events

    def _fingerprints(self, typed: Typed | None = None) -> dict[Path, str]:
        """Return a hash of the file and of each file that it names; where it names none now, of those of before.

        A text that is judged in the file's place has a hash of its own: the file may then change unseen.
        """
        named = named_files(self._file, typed.text if typed else None)
        self._named = self._named if named is None else named
        found = {file: fingerprint(file) for file in self._named}
        return {self._file: _mark(typed) if typed else fingerprint(self._file), **found}

    def _stamps(self) -> dict[Path, Stamp | None]:
        return {file: stamp(file) for file in (self._file, *self._named)}

    def _forget_if_changed(self, stamps: dict[Path, Stamp | None]) -> None:
        """Look again at files that were written while they were judged: which of their texts was read, nobody knows."""
        if stamps != self._stamps():
            self._seen = {}

    def _tell(self, mistake: str) -> None:
        if (self.shown.mistake, self.shown.judging) != (mistake, False):
            self._seen = {}
            self._show(replace(self.shown, mistake=mistake, judging=False))

    def _show(self, shown: Shown) -> None:
        with self._changed:
            self.shown = shown
            self._events += 1
            self._changed.notify_all()


def _mark(typed: Typed) -> str:
    return f"typed {typed.revision} {hashlib.sha256(typed.text.encode('utf-8')).hexdigest()}"


def _shown(assessment: Assessment, version: int, keep: Keep = lambda _, make: make()) -> Shown:
    ready = states(assessment)

    def made() -> str:
        data = scene_data(ready, version)
        return json.dumps(data, ensure_ascii=False, allow_nan=False, separators=(",", ":"))

    text = keep(assessment, made)
    return Shown(version, ready, live_page(json.loads(text)).encode("utf-8"), text.encode("utf-8"), "")


def _sentence(file: Path, error: Exception, report: str) -> str:
    """Return what is wrong as one sentence: ours as it is, anybody else's with the file and the kind of error."""
    if isinstance(error, ChuckSceneError):
        return _plain(str(error))
    return f"{file}: cannot be judged as it is saved ({_with(_words(error), report)})"


def _with(words: str, report: str) -> str:
    return f"{words}; {report}" if report else words


def _words(error: Exception) -> str:
    return _plain(f"{type(error).__name__}: {error}" if str(error) else type(error).__name__)


def _plain(text: str) -> str:
    """Return a text on one line, without characters that steer a screen, and not too long."""
    line = " ".join("".join(c if c.isprintable() else " " for c in text).split())
    return line if len(line) <= LONGEST_MISTAKE else f"{line[:LONGEST_MISTAKE]} …"

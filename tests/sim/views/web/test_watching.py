"""The file is looked at with all that it names, whatever stands in it, and nothing ends the looking."""

from __future__ import annotations

import os
import threading
import time
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest
from pydantic import BaseModel

from sim.assessment.results import Assessment
from sim.base.errors import ScenarioError
from sim.scenario import Scenario
from sim.views.web import live, watching
from sim.views.web.live import First, Shown, Watched
from sim.views.web.watching import NAMING, fingerprint, named_files

TOML = """\
title = "made up"
include = ["fit.toml"]
[soft_jaw.model]
file = "models/jaw.stl"
[boring.program]
file = "programs/jaws.nc"
[[operations]]
note = "drawing.txt"
[operations.program]
file = "programs/first side.nc"
"""
OTHERS = ("fit.toml", "models/jaw.stl", "programs/jaws.nc", "programs/first side.nc", "drawing.txt")


class Judge:
    """Stands for the judging of a file: keeps what it read, raises what it is told to."""

    def __init__(self) -> None:
        self.read: list[str] = []
        self.fails: Callable[[str], None] = lambda _: None
        self.meanwhile: Callable[[], None] = lambda: None

    def __call__(self, file: Path) -> Assessment:
        text = file.read_text(encoding="utf-8")
        self.read.append(text)
        self.meanwhile()
        self.fails(text)
        made: Any = text
        return made  # type: ignore[no-any-return]


@pytest.fixture
def judge(monkeypatch: pytest.MonkeyPatch) -> Judge:
    def shown(text: Any, version: int, keep: Any = None) -> Shown:
        nothing: Any = keep
        return Shown(version, nothing, text.encode(), b"", "")

    monkeypatch.setattr(live, "_shown", shown)
    return Judge()


@pytest.fixture
def file(tmp_path: Path) -> Path:
    made = tmp_path / "setup.toml"
    made.write_text(TOML, encoding="utf-8")
    for name in OTHERS:
        other = tmp_path / name
        other.parent.mkdir(exist_ok=True)
        other.write_text(f'text = "{other.stem}"\n', encoding="utf-8")
    return made


@pytest.fixture
def running(file: Path, judge: Judge, monkeypatch: pytest.MonkeyPatch) -> Iterator[Watched]:
    """One whose thread looks quickly."""
    monkeypatch.setattr(live, "PATIENCE", 0.01)
    stop, watched = threading.Event(), Watched(file, judge)
    thread = threading.Thread(target=watched.watch, args=(stop,), daemon=True)
    thread.start()
    yield watched
    assert thread.is_alive()
    stop.set()
    thread.join(10.0)


def _until(holds: Callable[[], bool]) -> None:
    end = time.monotonic() + 20.0
    while not holds():
        assert time.monotonic() < end
        time.sleep(0.01)


@pytest.mark.parametrize("name", OTHERS)
def test_every_file_that_is_named_is_looked_at(file: Path, judge: Judge, name: str) -> None:
    watched, other = Watched(file, judge), file.parent / name
    assert not watched.look()
    other.write_text("nonsense", encoding="utf-8")
    assert watched.look()
    assert not watched.look()
    other.unlink()
    assert watched.look()
    if name != "drawing.txt":  # a text under another key counts as a name while there is such a file
        assert not watched.look()
    other.write_text("nonsense", encoding="utf-8")
    assert watched.look()


def _tables(model: type[BaseModel], seen: set[type[BaseModel]]) -> Iterator[tuple[str, Any]]:
    """Yield name and field of every table of the scenario's model."""
    if model in seen:
        return
    seen.add(model)
    for name, one in model.model_fields.items():
        yield name, one
        kinds = [one.annotation]
        while kinds:
            kind = kinds.pop()
            kinds.extend(getattr(kind, "__args__", ()))
            kinds.extend(getattr(getattr(kind, "__value__", None), "__args__", ()))
            if isinstance(kind, type) and issubclass(kind, BaseModel):
                yield from _tables(kind, seen)


def test_keys_of_the_scenario_that_name_files_are_known() -> None:
    """Whoever adds a field for a file under another key must add the key: a missing file is waited for by its key."""
    found = {
        name
        for name, one in _tables(Scenario, set())
        if "file" in name or (one.description or "").lower().split(":")[0].endswith((" file", " files"))
    }
    assert "file" in found
    assert found <= set(NAMING)


def test_files_named_by_what_is_included_are_looked_at_too(file: Path, judge: Judge) -> None:
    (file.parent / "fit.toml").write_text('[boring.program]\nfile = "programs/other.nc"\n', encoding="utf-8")
    watched = Watched(file, judge)
    (file.parent / "programs/other.nc").write_text("G0 X1.", encoding="utf-8")
    assert watched.look()


def test_a_file_that_only_the_mistaken_text_names_is_waited_for(file: Path, judge: Judge) -> None:
    def fails(text: str) -> None:
        if "new.nc" in text and not (file.parent / "new.nc").is_file():
            raise ScenarioError("no such program")

    judge.fails, watched = fails, Watched(file, judge)
    file.write_text(TOML.replace("programs/jaws.nc", "new.nc"), encoding="utf-8")
    assert watched.look()
    assert watched.shown.mistake == "no such program"
    (file.parent / "new.nc").write_text("G0 X1.", encoding="utf-8")
    assert watched.look()
    assert not watched.shown.mistake


def test_files_of_the_last_text_that_could_be_read_stay_looked_at(file: Path, judge: Judge) -> None:
    watched = Watched(file, judge)
    file.write_text(TOML + "[[", encoding="utf-8")
    assert named_files(file) is None
    assert watched.look()
    (file.parent / "programs/jaws.nc").write_text("G0 X2.", encoding="utf-8")
    assert watched.look()


def _boom(error: BaseException) -> Callable[[str], None]:
    def fails(text: str) -> None:
        if "bad" in text:
            raise error

    return fails


@pytest.mark.parametrize(
    ("error", "said"),
    [
        (ScenarioError("setup.toml: chuck.stroke must be over 0 mm"), "setup.toml: chuck.stroke must be over 0 mm"),
        (ValueError("the hole must be smaller, found 13 mm"), "(ValueError: the hole must be smaller, found 13 mm)"),
        (ZeroDivisionError("float division by zero"), "(ZeroDivisionError: float division by zero)"),
        (RecursionError(), "(RecursionError)"),
        (MemoryError(), "(MemoryError)"),
        (KeyError("thread"), "(KeyError: 'thread')"),
        (ValueError("two\nlines \x1b[31mred\u202e" + "x" * 2000), "(ValueError: two lines [31mred xxx"),
    ],
)  # fmt: skip
def test_no_mistake_ends_the_looking(
    running: Watched, judge: Judge, file: Path, error: Exception, said: str
) -> None:
    judge.fails = _boom(error)
    file.write_text(TOML.replace("made up", "bad"), encoding="utf-8")
    _until(lambda: bool(running.shown.mistake))
    mistake = running.shown.mistake
    assert said in mistake
    assert mistake.isprintable()
    assert len(mistake) < 1000
    assert not running.shown.judging
    assert (running.shown.version, running.shown.page) == (1, TOML.encode())  # the last good scene
    file.write_text(TOML, encoding="utf-8")  # the very text that was good before
    # A look may have met the file emptied, before its text stood in it.
    _until(lambda: not running.shown.mistake and not running.shown.judging and bool(running.shown.page))
    assert running.shown.version > 1
    assert running.shown.page == TOML.encode()


def test_looking_that_fails_itself_is_told_and_goes_on(
    running: Watched, file: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    assert file.is_file()
    good = watching.fingerprint

    def broken(_: Path) -> str:
        raise RuntimeError("disk on fire")

    monkeypatch.setattr(live, "fingerprint", broken)
    _until(lambda: "disk on fire" in running.shown.mistake)
    events = running.events
    time.sleep(0.1)
    assert running.events == events  # said once
    monkeypatch.setattr(live, "fingerprint", good)
    _until(lambda: not running.shown.mistake and not running.shown.judging)


def test_pages_hear_that_a_saved_file_is_being_judged(running: Watched, judge: Judge, file: Path) -> None:
    hold, at_it = threading.Event(), threading.Event()

    def meanwhile() -> None:
        at_it.set()
        hold.wait(20.0)

    judge.meanwhile = meanwhile
    file.write_text(TOML + "# edited\n", encoding="utf-8")
    assert at_it.wait(20.0)
    assert (running.shown.version, running.shown.judging) == (1, True)
    hold.set()
    _until(lambda: running.shown.version == 2)
    assert not running.shown.judging


def test_a_file_saved_while_it_is_judged_is_judged_again(file: Path, judge: Judge) -> None:
    watched = Watched(file, judge)

    def meanwhile() -> None:
        judge.meanwhile = lambda: None
        (file.parent / "programs/jaws.nc").write_text("G0 X3.", encoding="utf-8")

    judge.meanwhile = meanwhile
    file.write_text(TOML + "# edited\n", encoding="utf-8")
    assert watched.look()
    assert watched.look()
    assert not watched.look()
    assert watched.shown.version == 3


def test_a_text_that_came_and_went_while_it_was_judged_is_not_taken_for_the_file(
    file: Path, judge: Judge
) -> None:
    """What was judged may have been the text in between, though the file holds again what it held."""
    watched = Watched(file, judge)

    def meanwhile() -> None:
        judge.meanwhile = lambda: None
        text = file.read_text(encoding="utf-8")
        file.write_text("in between", encoding="utf-8")
        file.write_text(text, encoding="utf-8")
        os.utime(file, ns=(1, 1))

    judge.meanwhile = meanwhile
    file.write_text(TOML + "# edited\n", encoding="utf-8")
    assert watched.look()
    assert watched.look()
    assert not watched.look()


def test_a_file_replaced_by_another_of_the_same_size_and_time_is_seen(file: Path, judge: Judge) -> None:
    watched, before = Watched(file, judge), file.stat()
    other = file.with_suffix(".new")
    other.write_text(TOML.replace("made up", "MADE UP"), encoding="utf-8")
    os.utime(other, ns=(before.st_atime_ns, before.st_mtime_ns))
    other.replace(file)
    assert (file.stat().st_size, file.stat().st_mtime_ns) == (before.st_size, before.st_mtime_ns)
    assert watched.look()
    assert judge.read[-1] == TOML.replace("made up", "MADE UP")


def test_a_large_file_of_the_same_size_and_time_is_seen(tmp_path: Path) -> None:
    """Where hashing at every look would cost too much: the entry's own time cannot be set back."""
    large = tmp_path / "jaw.stl"
    large.write_bytes(b"0" * 3_000_000)
    before, time_ = fingerprint(large), large.stat().st_mtime_ns
    time.sleep(0.05)
    large.write_bytes(b"1" * 3_000_000)
    os.utime(large, ns=(time_, time_))
    assert fingerprint(large) != before


def test_saves_in_quick_succession_end_at_the_last(running: Watched, judge: Judge, file: Path) -> None:
    judge.fails = _boom(ValueError("no"))
    for k in range(40):
        text = TOML.replace("made up", "bad" if k % 3 == 0 else f"edit {k:02d}")
        other = file.with_suffix(".new")
        other.write_text(text, encoding="utf-8")
        other.replace(file)
        time.sleep(0.003)
    last = TOML.replace("made up", "the last").encode()
    file.write_bytes(last)
    _until(lambda: running.shown.page == last)
    time.sleep(0.1)
    assert (running.shown.page, running.shown.mistake, running.shown.judging) == (last, "", False)


def test_a_file_that_goes_and_comes_back_is_taken_up_again(running: Watched, file: Path) -> None:
    file.unlink()
    _until(lambda: bool(running.shown.mistake))
    file.write_text(TOML, encoding="utf-8")
    _until(lambda: not running.shown.mistake and not running.shown.judging)
    assert running.shown.version == 2


@pytest.mark.parametrize("name", ["", "a\x00b", "x" * 5000, "..", "/dev/zero", "/"])
def test_names_that_no_file_can_have_do_no_harm(file: Path, judge: Judge, name: str) -> None:
    file.write_text(f"include = {[name]!r}\n".replace("'", '"').replace("\\x00", "\\u0000"), encoding="utf-8")
    watched = Watched(file, judge)
    assert not watched.look()


def test_a_file_is_opened_once_by_what_the_last_run_has_left_and_edits_are_judged_anew(
    file: Path, judge: Judge
) -> None:
    """States that a page asks for meanwhile belong in no file, so only the first judging has one."""
    opened: list[Path] = []

    def judged(path: Path) -> Assessment:
        opened.append(path)
        return judge(path)

    watched = Watched(file, judge, first=First(judged, lambda _, make: make()))
    assert opened == [file]
    assert len(judge.read) == 1
    file.write_text(TOML.replace("made up", "made up anew"), encoding="utf-8")
    assert watched.look()
    assert opened == [file]
    assert len(judge.read) == 2
    assert b"made up anew" in watched.shown.page

"""What is made beside its place: held while its process lives, taken away when that has ended, whatever ended it."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
import time
from collections.abc import Callable
from pathlib import Path

import pytest

from sim.base import beside
from sim.base.beside import BEFORE, MARK, held_file, held_folder, set_aside, sweep, working_folder
from sim.base.errors import OutputError
from sim.base.files import write_whole

HOLDS = """
import sys, time
from pathlib import Path
from sim.base.beside import held_file, held_folder, set_aside
place = Path(sys.argv[2])
with {"file": held_file, "folder": held_folder, "aside": set_aside}[sys.argv[1]](place) as held:
    print("held", flush=True)
    time.sleep(120)
"""


@pytest.fixture
def holder(root: Path) -> Callable[[str, Path], subprocess.Popen[str]]:
    """Start a process that holds something beside a place."""

    def start(what: str, place: Path) -> subprocess.Popen[str]:
        environment = os.environ | {"PYTHONPATH": str(root)}
        command = [sys.executable, "-c", HOLDS, what, str(place)]
        found = subprocess.Popen(command, stdout=subprocess.PIPE, text=True, env=environment)  # noqa: S603
        assert found.stdout is not None
        assert found.stdout.readline() == "held\n"
        return found

    return start


def killed(process: subprocess.Popen[str]) -> None:
    process.send_signal(signal.SIGKILL)
    process.wait()
    assert process.stdout is not None
    process.stdout.close()


def left(folder: Path) -> list[str]:
    return sorted(path.name for path in folder.iterdir() if path.name.startswith("."))


@pytest.mark.parametrize("what", ["file", "folder"])
def test_what_a_living_process_makes_stays_and_what_a_dead_one_left_goes(
    what: str, tmp_path: Path, holder: Callable[[str, Path], subprocess.Popen[str]]
) -> None:
    process = holder(what, tmp_path / "a.pdf")
    try:
        (name,) = left(tmp_path)
        assert name.startswith(".a.pdf.")
        assert name.endswith(MARK)
        sweep(tmp_path)
        write_whole(tmp_path / "a.pdf", b"whole")  # another one writes the same meanwhile
        assert left(tmp_path) == [name]
    finally:
        killed(process)
    assert left(tmp_path) == [name]
    write_whole(tmp_path / "b.pdf", b"whole")
    assert left(tmp_path) == []
    assert sorted(path.name for path in tmp_path.iterdir()) == ["a.pdf", "b.pdf"]


@pytest.mark.parametrize("taken", [False, True], ids=["nothing took its place", "its place is taken"])
def test_what_was_set_aside_comes_back_unless_its_place_is_taken(
    taken: bool, tmp_path: Path, holder: Callable[[str, Path], subprocess.Popen[str]]
) -> None:
    """A job that is replaced was gone when the process was killed between two renames."""
    place = tmp_path / "job"
    place.mkdir()
    (place / "sheet.pdf").write_text("before")
    process = holder("aside", place)
    try:
        (name,) = left(tmp_path)
        assert name.endswith(BEFORE)
        assert not place.exists()
        sweep(tmp_path)
        assert left(tmp_path) == [name]
        if taken:
            place.mkdir()
            (place / "sheet.pdf").write_text("after")
    finally:
        killed(process)
    sweep(tmp_path)
    assert left(tmp_path) == []
    assert (place / "sheet.pdf").read_text() == ("after" if taken else "before")


def test_set_aside_puts_back_what_is_not_replaced(tmp_path: Path) -> None:
    place = tmp_path / "job"
    place.mkdir()
    with pytest.raises(OSError, match="No such file"), set_aside(place):
        (tmp_path / "not there").rename(place)
    assert place.is_dir()
    with set_aside(place) as old:
        place.mkdir()
    assert place.is_dir()
    assert not old.exists()


def test_nothing_of_anybody_else_goes(tmp_path: Path) -> None:
    """Other names, links that lead elsewhere, and in a folder that all may write what others own."""
    kept = tmp_path / "kept"
    kept.mkdir()
    (kept / "text").write_text("x")
    (tmp_path / ".a.swp").write_text("x")
    (tmp_path / f"a{MARK}").write_text("x")
    (tmp_path / f".link.0{MARK}").symlink_to(kept)
    sweep(tmp_path)
    assert (kept / "text").read_text() == "x"
    assert {".a.swp", f"a{MARK}", f".link.0{MARK}", "kept"} == {path.name for path in tmp_path.iterdir()}
    sweep(tmp_path / "not there")


@pytest.mark.skipif(not hasattr(os, "geteuid") or os.geteuid() != 0, reason="only root may give files away")
def test_what_others_own_stays(tmp_path: Path) -> None:
    other = tmp_path / f".a.0{MARK}"
    other.write_text("x")
    os.chown(other, 12345, 12345)
    sweep(tmp_path)
    assert other.exists()


def test_without_locks_only_what_is_a_day_old_goes(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(beside, "_locked", lambda _: None)
    new, old = tmp_path / f".new.0{MARK}", tmp_path / f".old.0{MARK}"
    for path in (new, old):
        path.write_text("x")
    then = time.time() - 1.01 * beside.DAY
    os.utime(old, (then, then))
    with held_file(tmp_path / "a") as held:
        sweep(tmp_path)
        assert held.path.exists()
    assert left(tmp_path) == [new.name]


def test_a_name_that_was_taken_away_before_its_lock_is_made_again(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Between its making and its lock another process thinks that nobody holds it."""
    plain = beside._locked
    calls = []

    def swept_first(handle: int) -> bool | None:
        calls.append(handle)
        if len(calls) == 1:
            for path in tmp_path.glob(f".*{MARK}"):
                path.rmdir() if path.is_dir() else path.unlink()
        return plain(handle)

    for make in (held_file, held_folder):
        calls.clear()
        monkeypatch.setattr(beside, "_locked", swept_first)
        with make(tmp_path / "a") as held:
            assert held.path.exists()
            assert len(calls) == 2
    assert left(tmp_path) == []


def test_a_long_name_can_be_written(tmp_path: Path) -> None:
    """A name that just fits its file system has no room for another ending."""
    place = tmp_path / ("é" * 120 + "x" * 15)
    assert len(os.fsencode(place.name)) == 255
    assert write_whole(place, b"whole").read_bytes() == b"whole"
    assert left(tmp_path) == []


def test_a_working_folder_is_for_its_owner_and_goes(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("tempfile.tempdir", str(tmp_path))
    with working_folder() as folder:
        assert folder.parent == tmp_path
        assert folder.stat().st_mode & 0o777 == 0o700
        (folder / "part.step").write_text("x")
    assert list(tmp_path.iterdir()) == []
    monkeypatch.setattr("tempfile.tempdir", str(tmp_path / "gone"))
    with pytest.raises(OutputError, match="TMPDIR"), working_folder():
        pass

"""A long command says that it is at work, also into a pipe, and Ctrl-C ends it within two seconds in one sentence."""

from __future__ import annotations

import os
import re
import signal
import subprocess
import sys
import time
from collections.abc import Callable
from pathlib import Path

import pytest

# A call of a library that holds the main thread for as long as it takes: LAPACK hears of no signal.
DEEP = """
import sys, numpy as np
from sim.commands.stopping import stopped_soon, say_when_stopped
with stopped_soon():
    if {words!r}: say_when_stopped({words!r})
    a = np.random.default_rng(1).random((6000, 6000))
    print("begun", flush=True)
    np.linalg.svd(a)
"""
WHOLE = "from sim.cli import main; main()"
LATE = 6.0  # s at most in a test: 2 s as promised, and what a busy computer adds


def hears() -> None:
    """Hear Ctrl-C, also where the tests run behind a shell that has switched it off for them."""
    signal.signal(signal.SIGINT, signal.SIG_DFL)


def started(root: Path, code: str, *arguments: str, **more: str) -> subprocess.Popen[str]:
    environment = os.environ | {"PYTHONPATH": str(root), "OPENBLAS_NUM_THREADS": "1"} | more
    return subprocess.Popen(  # noqa: S603
        [sys.executable, "-c", code, *arguments], env=environment, text=True, encoding="utf-8",
        stdout=subprocess.PIPE, stderr=subprocess.PIPE, start_new_session=True, preexec_fn=hears,
    )  # fmt: skip


def stopped(process: subprocess.Popen[str]) -> tuple[int, str, float]:
    """Send Ctrl-C's signal, and return exit status, complaint and seconds until the end."""
    begin = time.monotonic()
    process.send_signal(signal.SIGINT)
    try:
        _, err = process.communicate(timeout=60)
    finally:
        process.kill()
    return process.returncode, err, time.monotonic() - begin


@pytest.mark.parametrize("words", ["", "stopped; go on"])
def test_a_library_that_does_not_look_up_is_left(root: Path, words: str) -> None:
    process = started(root, DEEP.format(words=words))
    assert process.stdout is not None
    assert process.stdout.readline() == "begun\n"
    time.sleep(0.5)
    status, err, seconds = stopped(process)
    assert (status, err) == (130, f"{words or 'stopped'}\n")
    assert seconds < LATE


@pytest.mark.parametrize("wait", [0.3, 2.0, 5.0])
def test_a_check_is_stopped_wherever_it_is(
    wait: float, root: Path, scenario_file: Callable[[str], Path], tmp_path: Path
) -> None:
    """With a cold cache, so that the elastic bodies are worked out."""
    process = started(
        root, WHOLE, "check", str(scenario_file("thin_ring_distorts")), XDG_CACHE_HOME=str(tmp_path)
    )
    time.sleep(wait)
    if process.poll() is not None:
        process.communicate()
        pytest.skip("done before it was stopped")
    status, err, seconds = stopped(process)
    if status == -signal.SIGINT:  # Python itself had not begun yet
        assert wait < 1.0
        return
    assert (status, err.splitlines()[-1]) == (130, "stopped")
    assert "Traceback" not in err
    assert seconds < LATE


def test_what_is_written_is_whole_or_not_there(
    root: Path, scenario_file: Callable[[str], Path], tmp_path: Path
) -> None:
    out = tmp_path / "out"
    file = str(scenario_file("cast_hub_on_plug"))
    process = started(
        root, WHOLE, "export", file, "--quick", "--out", str(out), XDG_CACHE_HOME=str(tmp_path / "c")
    )
    time.sleep(3.0)
    running = process.poll() is None
    status, _, _ = stopped(process)
    assert status in ((130, -signal.SIGINT) if running else (0, 1, 130))
    if out.exists():
        assert (out / "manifest.json").is_file()


def test_it_says_what_it_is_at(capfd: pytest.CaptureFixture[str]) -> None:
    from sim.commands.shared import told_in_lines

    with told_in_lines(first=0.3, each=0.5) as tell:
        tell("parts\x1b[31m")
        end = time.process_time() + 1.6
        while time.process_time() < end:
            sum(range(10_000))
    out, err = capfd.readouterr()
    assert out == ""
    lines = err.splitlines()
    assert 1 <= len(lines) <= 4
    assert all(re.fullmatch(r"still at work, \d+ s: parts\\x1b\[31m", line) for line in lines)


def test_it_says_what_share_is_done(capfd: pytest.CaptureFixture[str]) -> None:
    """Until the next stage, whose share is not known yet."""
    from sim.base.share import counted, tell_share
    from sim.commands.shared import told_in_lines

    def work(seconds: float) -> None:
        end = time.process_time() + seconds
        while time.process_time() < end:
            sum(range(10_000))

    with told_in_lines(first=0.0, each=0.0) as tell:
        tell("path")
        assert [work(1.1) or item for item in counted("abcd")] == ["a", "b", "c", "d"]
        tell("contact")
        work(1.1)
        tell_share(30, 20)
        work(1.1)
    tell_share(1, 2)  # to nobody
    said = [line.split(": ")[1] for line in capfd.readouterr().err.splitlines()]
    shares = [f"path, {share}\u00a0% of it" for share in (0, 25, 50, 75)]
    assert list(dict.fromkeys(said))[-6:] == [*shares, "contact", "contact, 100\u00a0% of it"]


def test_what_is_soon_done_says_nothing(capfd: pytest.CaptureFixture[str]) -> None:
    """Nor does a command that waits: only work counts."""
    from sim.commands.shared import told_in_lines

    with told_in_lines(first=0.5, each=0.5):
        time.sleep(1.5)
    assert capfd.readouterr() == ("", "")

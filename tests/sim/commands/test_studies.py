"""`study` killed and run again, and on a cluster whose worker is killed: nothing lost, nothing double."""

from __future__ import annotations

import json
import os
import re
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import psutil
import pyarrow.parquet as pq
import pytest

from sim import cli
from sim.assessment.results import CAUTIONS

COMMAND = "import sys; from sim.cli import main; sys.argv[0] = 'chuckscene'; main()"
MANY = """
scenarios = ["{scenarios}/cast_hub_on_ring.toml"]
contact = "quick"
samples = 800
block = 32

[[vary]]
key = "operations.0.gripping.pressure"
values = ["18 bar", "22 bar"]

[[vary]]
key = "chuck.guideway_friction"
distribution = { kind = "uniform", low = 0.07, high = 0.09 }
"""
COUNT, BLOCKS = 1600, 50
Start = Callable[..., subprocess.Popen[str]]


@pytest.fixture
def file(tmp_path: Path, root: Path) -> Path:
    path = tmp_path / "hub.toml"
    path.write_text(MANY.replace("{scenarios}", str(root / "scenarios")), encoding="utf-8")
    return path


@pytest.fixture
def start(root: Path) -> Iterator[Start]:
    """Start a Python process in the project; what still runs at the end is killed."""
    own: list[subprocess.Popen[str]] = []

    def started(*arguments: str) -> subprocess.Popen[str]:
        own.append(
            subprocess.Popen(  # noqa: S603
                [sys.executable, *arguments],
                cwd=root,
                env={**os.environ, "PYTHONPATH": str(root)},
                stdout=subprocess.PIPE,
                stderr=subprocess.PIPE,
                text=True,
            )
        )
        return own[-1]

    yield started
    for process in own:
        process.kill()
        process.communicate()


def until(true: Callable[[], Any], process: subprocess.Popen[str] | None = None) -> None:
    """Wait until something is true, three minutes at most, while a process runs: other work may fill the machine."""
    end = time.monotonic() + 180.0
    while not true():
        assert process is None or process.poll() is None, process.communicate()
        assert time.monotonic() < end
        time.sleep(0.01)


def parts(out: Path) -> dict[str, int]:
    """Files of finished blocks with the time of their last change."""
    return {path.name: path.stat().st_mtime_ns for path in out.glob("part-*.parquet")}


def require_whole(out: Path, summary: str) -> None:
    table = pq.read_table(out)  # the folder as any reader of Parquet takes it
    assert sorted(table["variant"].to_pylist()) == list(range(COUNT))
    assert len(parts(out)) == BLOCKS
    assert not list(out.glob(".part-*"))
    found = json.loads(summary)
    assert found["variants"] == COUNT
    assert found["cautions"] == list(CAUTIONS)
    assert found["statuses"] == {name: table["status"].to_pylist().count(name) for name in found["statuses"]}


def test_killed_then_gone_on_with_a_cluster(start: Start, file: Path, tmp_path: Path) -> None:
    """The whole command is killed, then goes on with two workers of which one is killed: each variant once."""
    out = tmp_path / "out"
    command = ("-c", COMMAND, "study", str(file), "--json", "--out", str(out))

    first = start(*command, "--processes", "2")
    until(lambda: len(parts(out)) >= 5, first)
    children = psutil.Process(first.pid).children(recursive=True)
    first.kill()
    first.wait()
    finished = parts(out)
    assert 5 <= len(finished) < BLOCKS // 2
    psutil.wait_procs(children, timeout=20.0)
    assert not [child for child in children if child.is_running() and child.status() != "zombie"]

    port = 20_000 + os.getpid() % 20_000
    address = f"tcp://127.0.0.1:{port}"
    start("-m", "dask", "scheduler", "--host", "127.0.0.1", "--port", str(port), "--no-dashboard")
    worker = ("-m", "dask", "worker", address, "--nthreads", "1", "--no-nanny", "--no-dashboard")
    one, _ = (start(*worker, "--host", "127.0.0.1", "--death-timeout", "30") for _ in range(2))
    second = start(*command, "--cluster", address)
    until(lambda: len(parts(out)) >= len(finished) + 5, second)
    one.kill()
    assert len(parts(out)) < BLOCKS
    text, error = second.communicate(timeout=60)
    # A slow machine may say meanwhile what share is done.
    said = [line for line in error.splitlines() if not re.fullmatch(r"variants \d+ of 1600 \(\d+%\)", line)]
    assert (second.returncode, said) == (0, [])
    now = parts(out)
    assert {name: now[name] for name in finished} == finished  # what was finished is not done again
    require_whole(out, text)


@pytest.mark.parametrize(
    ("arguments", "says"),
    [
        (("--cluster", "tcp://127.0.0.1:1", "--processes", "2"), "exclude each other"),
        (("--cluster", "nowhere"), "--cluster nowhere cannot be reached"),
    ],
)
def test_a_mistake_is_one_sentence(
    file: Path,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
    arguments: tuple[str, ...],
    says: str,
) -> None:
    monkeypatch.setattr("sys.argv", ["chuckscene", "study", str(file), *arguments])
    with pytest.raises(SystemExit) as left:
        cli.main()
    captured = capsys.readouterr()
    assert left.value.code == 2
    assert says in captured.err
    assert captured.err.startswith("error: ")
    assert captured.err.count("\n") == 1


def test_without_the_extra(
    file: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr("sim.commands.studies.find_spec", lambda _: None)
    monkeypatch.setattr("sys.argv", ["chuckscene", "study", str(file)])
    with pytest.raises(SystemExit) as left:
        cli.main()
    assert left.value.code == 2
    assert "pip install '.[study]'" in capsys.readouterr().err

"""Commands where the disk is full, a folder may not be written, nobody is at home, or the process is killed.

Short forms; `CHUCKSCENE_HARD=40 python -m pytest tests/sim/commands/test_hard_use.py` kills forty times as often and
starts eight processes at once.
"""

from __future__ import annotations

import json
import os
import random
import resource
import shutil
import signal
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest

from sim.assessment.results import Assessment
from sim.base.beside import MARK
from sim.report.assessment import as_object

HARD = int(os.environ.get("CHUCKSCENE_HARD", "0"))
RING = "thin_ring_distorts"
CALLED = "from sim.cli import main; main()"
NOBODY = "import pwd\ndef unknown(_): raise KeyError(_)\npwd.getpwuid = unknown\n" + CALLED


@pytest.fixture
def start(root: Path, tmp_path: Path) -> Callable[..., subprocess.Popen[str]]:
    """Start a command with a cache, a folder for what is needed meanwhile and a current folder of its own."""

    def begin(*arguments: str | Path, code: str = CALLED, **options: Any) -> subprocess.Popen[str]:
        for name in ("cache", "temporary", "here"):
            (tmp_path / name).mkdir(exist_ok=True)
        own = {
            "PYTHONPATH": str(root),
            "XDG_CACHE_HOME": str(tmp_path / "cache"),
            "TMPDIR": str(tmp_path / "temporary"),
            "MPLCONFIGDIR": str(tmp_path / "matplotlib"),
        }
        environment = {**os.environ, **own, **options.pop("environment", {})}
        return subprocess.Popen(  # noqa: S603
            [*options.pop("before", ()), sys.executable, "-c", code, *map(str, arguments)],
            env={key: value for key, value in environment.items() if value is not None},
            cwd=options.pop("cwd", tmp_path / "here"),
            stdin=subprocess.DEVNULL,
            stdout=subprocess.PIPE,
            stderr=subprocess.PIPE,
            encoding="utf-8",
            **options,
        )

    return begin


def ended(process: subprocess.Popen[str]) -> subprocess.CompletedProcess[str]:
    out, err = process.communicate(timeout=300)
    return subprocess.CompletedProcess(process.args, process.returncode, out, err)


def hidden(folder: Path) -> list[str]:
    """What a process that was killed has left anywhere below a folder."""
    return sorted(
        str(p.relative_to(folder)) for p in folder.rglob("*") if p.name.startswith(".") or MARK in p.name
    )


def one_sentence(found: subprocess.CompletedProcess[str], words: str = "") -> None:
    assert found.returncode == 2, found.stderr
    told = found.stderr.splitlines()
    while told and told[0].startswith("still at work, "):  # on a slow machine
        del told[0]
    assert len(told) == 1, found.stderr
    assert told[0].startswith("error: "), found.stderr
    assert words in told[0]


def writers(file: Path, out: Path) -> Iterator[tuple[str, ...]]:
    """Commands that write, with their least arguments."""
    given = str(file)
    yield "review", given, "--quick", "--out", str(out / "a.html")
    yield "sheet", given, "--quick", "--to", str(out / "a.pdf")
    yield "export", given, "--quick", "--out", str(out / "a")
    yield "job", "pack", given, "--quick", "--out", str(out / "a.zip")
    yield "drawing", given, "--of", "pocket", "--to", str(out / "b.pdf")


def some(file: Path, out: Path) -> list[tuple[str, ...]]:
    """Those of a short run: one that writes a file and one that writes a folder."""
    found = list(writers(file, out))
    return found if HARD else [one for one in found if one[0] in ("drawing", "export")]


def test_a_full_disk_leaves_one_sentence_and_no_half_file(
    start: Callable[..., subprocess.Popen[str]], scenario_file: Callable[[str], Path], tmp_path: Path
) -> None:
    """A file may hold 3000 bytes and no more, also one of the cache.

    Python itself writes compiled modules short on such a disk and trips over them ever after (gh-126606): none here.
    """
    no_compiled = {"PYTHONDONTWRITEBYTECODE": "1"}
    (tmp_path / "out").mkdir()

    def small() -> None:
        resource.setrlimit(resource.RLIMIT_FSIZE, (3000, 3000))

    for arguments in some(scenario_file(RING), tmp_path / "out"):
        found = ended(start(*arguments, preexec_fn=small, environment=no_compiled))
        one_sentence(found, "cannot be written")
        assert list((tmp_path / "out").iterdir()) == [], arguments
    found = ended(start("check", scenario_file(RING), "--quick", preexec_fn=small, environment=no_compiled))
    assert (found.returncode, found.stderr) == (1, "")
    assert hidden(tmp_path / "cache") == hidden(tmp_path / "temporary") == []


def without_rights() -> tuple[str, ...] | None:
    """What starts a process that must heed what a folder allows, also where root runs the tests."""
    if os.geteuid() != 0:
        return ()
    found = shutil.which("setpriv")
    return (found, "--bounding-set=-all", "--inh-caps=-all") if found else None


def test_a_folder_that_may_not_be_written_is_named_before_any_work(
    start: Callable[..., subprocess.Popen[str]], scenario_file: Callable[[str], Path], tmp_path: Path
) -> None:
    before = without_rights()
    if before is None:
        pytest.skip("root may write everywhere, and there is no setpriv")
    (tmp_path / "out").mkdir(mode=0o555)
    for name in ("cache", "temporary", "here"):
        (tmp_path / name).mkdir(mode=0o555)
    for arguments in some(scenario_file(RING), tmp_path / "out"):
        one_sentence(ended(start(*arguments, before=before)), "out does not allow it")
    found = ended(start("check", scenario_file(RING), "--quick", before=before))
    assert (found.returncode, found.stderr) == (1, "")
    assert hidden(tmp_path) == []


@pytest.fixture(scope="module")
def plain_answer(quickly_judged: Callable[[str], Assessment]) -> Any:
    """What a quiet run says, as JSON has it."""
    return json.loads(json.dumps(as_object(quickly_judged(RING), moves=False)))


@pytest.mark.parametrize(
    "environment",
    [
        {"HOME": None, "XDG_CACHE_HOME": None},
        {"HOME": "/nonexistent", "XDG_CACHE_HOME": None, "TMPDIR": "/nonexistent"},
        {"TERM": "dumb", "LC_ALL": "C", "LANG": "C", "PYTHONIOENCODING": "ascii", "COLUMNS": "20"},
        {"DISPLAY": None, "WAYLAND_DISPLAY": None, "TERM": None, "LANG": None},
    ],
    ids=["no home", "no folder", "a poor terminal", "no display"],
)
def test_wherever_it_runs_a_check_says_the_same(
    environment: dict[str, str | None],
    start: Callable[..., subprocess.Popen[str]],
    scenario_file: Callable[[str], Path],
    tmp_path: Path,
    plain_answer: Any,
) -> None:
    given = ("check", scenario_file(RING), "--quick", "--json")
    found = ended(start(*given, environment=environment, code=NOBODY))
    assert (found.returncode, found.stderr) == (1, "")
    assert json.loads(found.stdout) == plain_answer
    assert list((tmp_path / "here").iterdir()) == []
    for arguments in writers(scenario_file(RING), tmp_path / "out") if HARD else ():
        found = ended(start(*arguments, environment=environment, code=NOBODY))
        assert found.returncode in (0, 1), found.stderr
        assert "Traceback" not in found.stderr


def test_killed_at_any_moment_it_leaves_nothing_behind_the_next_run(
    start: Callable[..., subprocess.Popen[str]],
    scenario_file: Callable[[str], Path],
    tmp_path: Path,
    assessment: Callable[[str], Assessment],
) -> None:
    """Each command is killed at moments drawn anew; then it runs once to its end, with the figures of a quiet one."""
    draw = random.Random(17 if not HARD else time.time())  # noqa: S311 - drawn, not guarded
    file, out = scenario_file(RING), tmp_path / "out"
    commands = [("check", str(file), "--json"), *some(file, out)]
    quiet = json.loads(json.dumps(as_object(assessment(RING), moves=False)))
    out.mkdir()
    for arguments in commands:
        lasting = 6.0
        for _ in range(max(HARD, 1)):
            process = start(*arguments)
            time.sleep(draw.uniform(0.2, lasting))
            process.send_signal(signal.SIGKILL)
            process.communicate()
        began = time.monotonic()
        found = ended(start(*arguments, *(("--replace",) if arguments[0] == "export" else ())))
        lasting = time.monotonic() - began
        assert found.returncode == 1, found.stderr
        assert hidden(out) == hidden(tmp_path / "cache") == hidden(tmp_path / "temporary") == [], arguments
        if "--json" in arguments:
            assert json.loads(found.stdout) == quiet


def test_many_at_once_on_a_cold_cache_say_the_same(
    start: Callable[..., subprocess.Popen[str]], scenario_file: Callable[[str], Path], tmp_path: Path
) -> None:
    processes = [start("check", scenario_file(RING), "--json") for _ in range(8 if HARD else 2)]
    found = [ended(process) for process in processes]
    assert {one.stderr for one in found} == {""}
    assert {one.returncode for one in found} == {1}
    assert len({one.stdout for one in found}) == 1
    assert hidden(tmp_path / "cache") == []
    again = ended(start("check", scenario_file(RING), "--json"))
    assert again.stdout == found[0].stdout

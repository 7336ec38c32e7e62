"""Whole processes as a user starts them, beside a general-purpose peer in the same run. No time is asserted.

The peer for `check` is a Python that only imports the libraries it cannot do without, the peer for `review`
one that also draws one sphere off-screen: the floor under each command. Peak memory is that of the largest
child process so far (`getrusage`), so each command is measured in a child of its own.
"""

from __future__ import annotations

import itertools
import math
import os
import re
import shutil
import subprocess
import sys
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from pytest_benchmark.fixture import BenchmarkFixture

FLOOR_CHECK = (
    "import numpy, scipy.linalg, scipy.optimize, pydantic, shapely, trimesh, manifold3d, skfem, typer\n"
    "import rich.table"
)
# A check from its answers does without finite elements; pydantic alone imports nothing of itself. That it loads each of
# these modules, and all that they load, is asserted where they are timed. One whose text is kept loads none of them.
# What these would load at once, and it never asks, both leave out.
FLOOR_AGAIN = (
    "from sim.base.late import lighter_libraries\nlighter_libraries()\n"
    "import numpy, scipy.linalg, shapely, trimesh, manifold3d, threadpoolctl\n"
    "import platformdirs, typer, rich.console, rich.table\n"
    "from pydantic import BaseModel, Field, TypeAdapter"
)
# What trimesh loads for STEP files is left out: a command loads it late.
INSTALLED = (
    "\nimport sys\n"
    "for name, module in sorted(sys.modules.items()):\n"
    "    if name.partition('.')[0] != 'cascadio' and 'site-packages' in (getattr(module, '__file__', None) or ''):\n"
    "        print(name, file=sys.stderr)"
)
FLOOR_REVIEW = (
    FLOOR_CHECK + "\nimport matplotlib.pyplot, jinja2, pyvista"
    "\nplotter = pyvista.Plotter(off_screen=True)\nplotter.add_mesh(pyvista.Sphere())\nplotter.screenshot(None)"
)
COMMAND = "import sys; from sim.cli import main; sys.argv[0] = 'chuckscene'; main()"
OWN_MODULES = "\nimport sim.cli, sim.setup.loading, sim.assessment.stages, sim.terminal.assessment"
# Runs the rest of its arguments and prints that child's peak resident memory (kB, Linux), status, processor time (s).
MEASURE = (
    "import resource, subprocess, sys\n"
    "code = subprocess.run(sys.argv[1:], stdout=subprocess.DEVNULL).returncode\n"
    "used = resource.getrusage(resource.RUSAGE_CHILDREN)\n"
    "print(used.ru_maxrss, code, used.ru_utime + used.ru_stime)"
)


@pytest.fixture(scope="module", autouse=True)  # before what a module starts
def only_when_asked(request: pytest.FixtureRequest) -> None:
    """Whole processes take seconds each."""
    if request.config.getoption("benchmark_disable") and not request.config.getoption("benchmark_enable"):
        pytest.skip("whole processes are timed only with --benchmark-enable or --benchmark-only")


@pytest.fixture(scope="module", autouse=True)
def bytecode(tmp_path_factory: pytest.TempPathFactory) -> Iterator[None]:
    """Let the children keep and find compiled modules, as those of an installed package are, in a folder of theirs."""
    with pytest.MonkeyPatch.context() as patch:
        patch.delenv("PYTHONDONTWRITEBYTECODE", raising=False)
        patch.setenv("PYTHONPYCACHEPREFIX", str(tmp_path_factory.mktemp("bytecode")))
        yield


def measured(*arguments: str, allowed: tuple[int, ...] = (0,)) -> tuple[float, float]:
    """Run Python with arguments; return its peak memory (MB) and its processor time (s)."""
    found = subprocess.run(  # noqa: S603
        [sys.executable, "-c", MEASURE, sys.executable, *arguments],
        capture_output=True,
        text=True,
        check=True,
        env=dict(os.environ),
    )
    memory, status, processor = found.stdout.split()
    assert int(status) in allowed, found.stderr
    return int(memory) / 1024.0, float(processor)


def timed(benchmark: BenchmarkFixture, rounds: int, *arguments: str, allowed: tuple[int, ...] = (0,)) -> None:
    """Time a process and record its largest memory (MB) and its least processor time (s)."""
    peaks: list[float] = []
    spent: list[float] = []

    def run() -> None:
        memory, processor = measured(*arguments, allowed=allowed)
        peaks.append(memory)
        spent.append(processor)

    benchmark.pedantic(run, rounds=rounds, warmup_rounds=1)
    benchmark.extra_info["peak_memory_MB"] = round(max(peaks), 1)
    benchmark.extra_info["processor_s"] = round(min(spent), 2)


@pytest.mark.benchmark(group="check as a whole process")
@pytest.mark.parametrize("name", ["valve_bonnet_two_steps", "cast_hub_on_ring"])
def test_check(benchmark: BenchmarkFixture, scenario_file: Callable[[str], Path], name: str) -> None:
    timed(benchmark, 3, "-c", COMMAND, "check", str(scenario_file(name)))


@pytest.mark.benchmark(group="check as a whole process")
def test_check_floor(benchmark: BenchmarkFixture) -> None:
    timed(benchmark, 3, "-c", FLOOR_CHECK)


@pytest.mark.benchmark(group="check as a whole process")
def test_refusal(benchmark: BenchmarkFixture, tmp_path: Path) -> None:
    """How long a user waits to be told of a slip."""
    file = tmp_path / "setup.toml"
    file.write_text('title = "nothing else"\n', encoding="utf-8")
    timed(benchmark, 3, "-c", COMMAND, "check", str(file), allowed=(2,))


def installed(code: str) -> set[str]:
    """Modules of installed libraries that are loaded after some code."""
    found = subprocess.run(  # noqa: S603
        [sys.executable, "-c", code + INSTALLED],
        stdout=subprocess.DEVNULL,
        stderr=subprocess.PIPE,
        text=True,
        check=True,
        env=dict(
            os.environ
        ),  # as `measured`: readline tells the system of lines that Python has not heard of
    )
    return set(found.stderr.split())


def _whole(*arguments: str) -> str:
    """Code that runs a command and goes on."""
    return (
        "import contextlib, sys\nfrom sim.cli import main\n"
        f"sys.argv = {['chuckscene', *arguments]!r}\n"
        "with contextlib.suppress(SystemExit):\n    main()"
    )


@pytest.mark.benchmark(group="check beside its libraries")
@pytest.mark.parametrize("name", ["valve_bonnet_two_steps", "cast_hub_on_ring"])
def test_check_beside_its_libraries(
    benchmark: BenchmarkFixture,
    scenario_file: Callable[[str], Path],
    capsys: pytest.CaptureFixture[str],
    name: str,
) -> None:
    """How many times the processor time of importing the libraries a check from the cache takes, turn by turn.

    Kept: what it printed is printed again. On another terminal: that is not what is asked, the answers under it are.
    """
    command = ("-c", COMMAND, "check", str(scenario_file(name)))
    stages = {
        "libraries": FLOOR_CHECK,
        "libraries that it loads": FLOOR_AGAIN,
        "own modules, too": FLOOR_AGAIN + OWN_MODULES,
    }
    least = dict.fromkeys((*stages, "kept", "on another terminal"), math.inf)
    columns = itertools.count(100)
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("COLUMNS", "99")
        measured(*command)  # fills the cache
        assert not installed(FLOOR_AGAIN) <= installed(_whole(*command[2:])), "it was printed anew"
        patch.setenv("COLUMNS", "98")
        assert installed(FLOOR_AGAIN) <= installed(_whole(*command[2:])), "a floor of more than a check loads"

    def turn() -> None:
        for stage, code in stages.items():
            least[stage] = min(least[stage], measured("-c", code)[1])
        with pytest.MonkeyPatch.context() as patch:
            patch.setenv("COLUMNS", str(next(columns)))
            for which in ("on another terminal", "kept"):
                least[which] = min(least[which], measured(*command)[1])

    benchmark.pedantic(turn, rounds=5, warmup_rounds=1)
    times = {stage: round(spent / least["libraries"], 2) for stage, spent in least.items()}
    benchmark.extra_info["times_the_libraries"] = times
    with capsys.disabled():
        print(f"\n{name}: libraries {least['libraries']:.2f} s, times that: {times}")  # noqa: T201


def edited(file: Path, number: int) -> None:
    """Give a scenario another title and another highest speed of each operation, as a setter saves it."""
    text = re.sub(r'^title = "', f'title = "{number} ', file.read_text(encoding="utf-8"), flags=re.MULTILINE)
    slower = re.compile(r'^speed_high = "(\d+)', re.MULTILINE)
    file.write_text(slower.sub(lambda found: f'speed_high = "{int(found[1]) - 1}', text), encoding="utf-8")


@pytest.mark.benchmark(group="pages beside their libraries")
@pytest.mark.parametrize(
    ("command", "names"),
    [("review", ["valve_bonnet_two_steps"]), ("compare", ["cast_hub_on_ring", "cast_hub_on_plug"])],
)
def test_edited_and_kept_pages_beside_their_libraries(
    benchmark: BenchmarkFixture,
    scenario_file: Callable[[str], Path],
    tmp_path: Path,
    capsys: pytest.CaptureFixture[str],
    command: str,
    names: list[str],
) -> None:
    """How many times the processor time of its libraries and one picture a page takes, turn by turn.

    Of a file that has been edited since its last page, the contact in the cache, and of the same file once more.
    """
    files = [tmp_path / f"{name}.toml" for name in names]
    for name, file in zip(names, files, strict=True):
        shutil.copy(scenario_file(name), file)
    out = tmp_path / "page.html"
    ask = ("-c", COMMAND, command, *map(str, files), "--out", str(out))
    least = dict.fromkeys(("libraries", "edited", "kept"), math.inf)
    measured(*ask, allowed=(0, 1))  # fills the cache
    counted = itertools.count(1)

    def turn() -> None:
        number = next(counted)
        for file in files:
            edited(file, number)
        least["libraries"] = min(least["libraries"], measured("-c", FLOOR_REVIEW)[1])
        for which in ("edited", "kept"):
            least[which] = min(least[which], measured(*ask, allowed=(0, 1))[1])

    benchmark.pedantic(turn, rounds=3, warmup_rounds=0)
    times = {which: round(spent / least["libraries"], 2) for which, spent in least.items()}
    benchmark.extra_info["times_the_libraries"] = times
    benchmark.extra_info["page_MB"] = round(out.stat().st_size / 1e6, 2)
    with capsys.disabled():
        print(f"\n{command}: libraries {least['libraries']:.2f} s, times that: {times}")  # noqa: T201


@pytest.mark.benchmark(group="review as a whole process")
def test_review_floor(benchmark: BenchmarkFixture) -> None:
    timed(benchmark, 1, "-c", FLOOR_REVIEW)

"""Whole processes as a user starts them, beside a general-purpose peer in the same run. No time is asserted.

The peer for `check` is a Python that only imports the libraries it cannot do without, the peer for `review`
one that also draws one sphere off-screen: the floor under each command. Peak memory is that of the largest
child process so far (`getrusage`), so each command is measured in a child of its own.
"""

from __future__ import annotations

import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest
from pytest_benchmark.fixture import BenchmarkFixture

FLOOR_CHECK = (
    "import numpy, scipy.linalg, scipy.optimize, pint, pydantic, shapely, trimesh, manifold3d, skfem, typer\n"
    "import rich.table"
)
FLOOR_REVIEW = (
    FLOOR_CHECK + "\nimport matplotlib.pyplot, jinja2, pyvista"
    "\nplotter = pyvista.Plotter(off_screen=True)\nplotter.add_mesh(pyvista.Sphere())\nplotter.screenshot(None)"
)
COMMAND = "import sys; from sim.cli import main; sys.argv[0] = 'chuckscene'; main()"
# Runs the rest of its arguments and prints that child's peak resident memory (kB, Linux), status, processor time (s).
MEASURE = (
    "import resource, subprocess, sys\n"
    "code = subprocess.run(sys.argv[1:], stdout=subprocess.DEVNULL).returncode\n"
    "used = resource.getrusage(resource.RUSAGE_CHILDREN)\n"
    "print(used.ru_maxrss, code, used.ru_utime + used.ru_stime)"
)


@pytest.fixture(autouse=True)
def only_when_asked(request: pytest.FixtureRequest) -> None:
    """Whole processes take seconds each."""
    if request.config.getoption("benchmark_disable") and not request.config.getoption("benchmark_enable"):
        pytest.skip("whole processes are timed only with --benchmark-enable or --benchmark-only")


def timed(benchmark: BenchmarkFixture, rounds: int, *arguments: str, allowed: tuple[int, ...] = (0,)) -> None:
    """Time a process and record its largest memory (MB) and its least processor time (s)."""
    peaks: list[float] = []
    spent: list[float] = []

    def run() -> None:
        found = subprocess.run(  # noqa: S603
            [sys.executable, "-c", MEASURE, sys.executable, *arguments],
            capture_output=True,
            text=True,
            check=True,
        )
        memory, status, processor = found.stdout.split()
        assert int(status) in allowed, found.stderr
        peaks.append(int(memory) / 1024.0)
        spent.append(float(processor))

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


@pytest.mark.benchmark(group="review as a whole process")
def test_review(benchmark: BenchmarkFixture, scenario_file: Callable[[str], Path], tmp_path: Path) -> None:
    out = tmp_path / "review.html"
    timed(
        benchmark, 1, "-c", COMMAND, "review", str(scenario_file("valve_bonnet_two_steps")), "--out", str(out)
    )
    benchmark.extra_info["page_MB"] = round(out.stat().st_size / 1e6, 2)


@pytest.mark.benchmark(group="review as a whole process")
def test_review_floor(benchmark: BenchmarkFixture) -> None:
    timed(benchmark, 1, "-c", FLOOR_REVIEW)

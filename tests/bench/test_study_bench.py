"""Variants a minute of a study with one and two processes and on a Dask cluster, beside a loop over `assess`.

The peer does what a script without shared solutions would do: edit, read and assess each variant. Compliances lie in
the cache for both. The study's figures count everything: start of the processes, solutions, files. One study draws
enough variants that its start is a small part. What Dask costs is the difference from as many processes of its own.
"""

from __future__ import annotations

import os
import subprocess
import sys
from collections.abc import Callable, Iterator
from pathlib import Path

import numpy as np
import pytest
from pytest_benchmark.fixture import BenchmarkFixture

from sim.assessment.stages import assess
from sim.scenario import Scenario

COMMAND = "import sys; from sim.cli import main; sys.argv[0] = 'chuckscene'; main()"
VARIANTS = 100_000
STUDY = f"""
scenarios = ["{{scenarios}}/cast_hub_on_ring.toml"]
samples = {VARIANTS}

[[vary]]
key = "operations.0.gripping.pressure"
distribution = {{ kind = "uniform", low = "18 bar", high = "26 bar" }}

[[vary]]
key = "operations.0.gripping.speed_high"
distribution = {{ kind = "uniform", low = "700 rpm", high = "1500 rpm" }}

[[vary]]
key = "chuck.guideway_friction"
distribution = {{ kind = "triangular", low = 0.06, mode = 0.08, high = 0.14 }}
"""
ALONE = 8  # variants of the peer


@pytest.fixture(scope="module", autouse=True)  # before what a module starts
def only_when_asked(request: pytest.FixtureRequest) -> None:
    """Whole studies take a minute."""
    if request.config.getoption("benchmark_disable") and not request.config.getoption("benchmark_enable"):
        pytest.skip("studies are timed only with --benchmark-enable or --benchmark-only")


@pytest.fixture
def file(tmp_path: Path, root: Path) -> Path:
    path = tmp_path / "study.toml"
    path.write_text(STUDY.replace("{scenarios}", str(root / "scenarios")), encoding="utf-8")
    return path


def timed(benchmark: BenchmarkFixture, file: Path, *arguments: str) -> None:
    """Time a whole study, each time in a folder of its own."""
    number = iter(range(100))

    def run() -> None:
        out = file.parent / f"out{next(number)}"
        command = (sys.executable, "-c", COMMAND, "study", str(file), "--out", str(out), *arguments)
        subprocess.run(command, check=True, capture_output=True)  # noqa: S603

    benchmark.pedantic(run, rounds=2, warmup_rounds=0)
    benchmark.extra_info["variants_a_minute"] = round(60.0 * VARIANTS / benchmark.stats.stats.min)


@pytest.mark.benchmark(group="100 000 variants")
@pytest.mark.parametrize("processes", ["1", "2"])
def test_processes(benchmark: BenchmarkFixture, file: Path, processes: str) -> None:
    timed(benchmark, file, "--processes", processes)


@pytest.fixture
def cluster(root: Path) -> Iterator[str]:
    """Address of a scheduler with two workers on this computer."""
    address = f"tcp://127.0.0.1:{20_000 + os.getpid() % 20_000}"
    dask = (sys.executable, "-m", "dask")
    worker = (*dask, "worker", address, "--nthreads", "1", "--no-nanny", "--no-dashboard")
    commands = [
        (*dask, "scheduler", "--host", "127.0.0.1", "--port", address.split(":")[-1], "--no-dashboard"),
        (*worker, "--host", "127.0.0.1"),
        (*worker, "--host", "127.0.0.1"),
    ]
    environment = {**os.environ, "PYTHONPATH": str(root), "OPENBLAS_NUM_THREADS": "1"}
    own = [
        subprocess.Popen(command, env=environment, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)  # noqa: S603
        for command in commands
    ]
    yield address
    for process in own:
        process.kill()
        process.wait()


@pytest.mark.benchmark(group="100 000 variants")
def test_dask(benchmark: BenchmarkFixture, file: Path, cluster: str) -> None:
    timed(benchmark, file, "--cluster", cluster)


@pytest.mark.benchmark(group="variants one by one")
def test_peer(benchmark: BenchmarkFixture, varied: Callable[..., Scenario]) -> None:
    """One process; times 60 / mean for variants a minute."""
    rng = np.random.default_rng(1)
    pressures = rng.uniform(18.0, 26.0, ALONE)
    speeds = rng.uniform(700.0, 1500.0, ALONE)

    def loop() -> None:
        for pressure, speed in zip(pressures, speeds, strict=True):
            changes = {
                "operations.0.gripping.pressure": f"{pressure} bar",
                "operations.0.gripping.speed_high": f"{speed} rpm",
            }
            assess(varied("cast_hub_on_ring", changes))

    benchmark.pedantic(loop, rounds=2, warmup_rounds=1)
    benchmark.extra_info["variants_a_minute"] = round(60.0 * ALONE / benchmark.stats.stats.min)

"""Fixtures that several folders of tests share: the scenario files, read and judged once."""

from __future__ import annotations

import fcntl
import gc
import os
import pickle
import shutil
import sys
import tempfile
from collections.abc import Callable, Generator, Iterator
from contextlib import ExitStack, contextmanager
from functools import cache, wraps
from pathlib import Path
from typing import Any

import pytest
import typer.main
from hypothesis import settings
from longest_first import longest_first
from threadpoolctl import threadpool_limits

from sim.base import answers
from sim.base.kept import kept

_written = answers.written


def _written_and_kept(function: Callable[..., Any]) -> Callable[..., Any]:
    """Keep in this process what `check` keeps on disk: tests ask the same bored jaws and paths of many setups.

    As there an answer is named by all that the function was given, bit by bit. Where answers are read from a file, as
    `check` does, none is kept here, so what is tested of that is what runs there; `forget()` drops these too.
    """
    remembered = kept(64)(function)

    @wraps(function)
    def ask(*args: Any, **kwargs: Any) -> Any:
        return function(*args, **kwargs) if answers.asking() else remembered(*args, **kwargs)

    return _written(ask)


# The commands of an app never change, and to make them from their signatures takes longer than most commands here.
typer.main.get_command = cache(typer.main.get_command)

# While the modules below, and what they import, decorate functions with it.
answers.written = _written_and_kept

from sim.assessment.results import Assessment  # noqa: E402
from sim.assessment.stages import assess  # noqa: E402
from sim.layouts.window import Window, window  # noqa: E402
from sim.scenario import Scenario  # noqa: E402
from sim.scenario.scenario import checked, full_tables  # noqa: E402
from sim.setup.loading import refuse_impossible  # noqa: E402

answers.written = _written

# A busy machine is no counterexample, and what is drawn hangs on the test alone: a run that fails fails again, here and
# elsewhere. `CHUCKSCENE_DRAW=anew` draws other cases in each run; what it finds becomes an example.
settings.register_profile("alike", deadline=None, derandomize=True)
settings.register_profile("anew", deadline=None)
settings.load_profile("anew" if os.environ.get("CHUCKSCENE_DRAW") == "anew" else "alike")

ROOT = Path(__file__).parent.parent
FOLDER = ROOT / "scenarios"
NAMES = tuple(sorted(path.stem for path in FOLDER.glob("*.toml")))


OWN_CACHE = pytest.StashKey[Path]()
COLD = "not compiled yet"


def pytest_configure(config: pytest.Config) -> None:
    """Give the run, and the processes that it starts, a cache of their own: what older code left is no answer.

    Workers that run tests side by side share that of the process that started them, and keep to one thread each. What
    is loaded until all tests are known stays to the end, so nobody looks for garbage in it.
    """
    gc.disable()
    config.option.loadscopereorder = False  # pytest-xdist keeps the order of `longest_first`
    if hasattr(config, "workerinput"):
        threadpool_limits(1)
        return
    config.stash[OWN_CACHE] = Path(tempfile.mkdtemp(prefix="chuckscene-test-cache-"))
    os.environ["XDG_CACHE_HOME"] = str(config.stash[OWN_CACHE])
    if not (sys.dont_write_bytecode or (ROOT / "tests" / "sim" / "__pycache__").exists()):
        (config.stash[OWN_CACHE] / COLD).touch()


def pytest_unconfigure(config: pytest.Config) -> None:
    """Take the run's cache away."""
    if OWN_CACHE in config.stash:
        shutil.rmtree(config.stash[OWN_CACHE], ignore_errors=True)


@pytest.hookimpl(wrapper=True)
def pytest_collection(session: pytest.Session) -> Generator[None, object, object]:
    """In a fresh folder let one worker compile all tests and what they import; the others find that done."""
    cold = Path(os.environ["XDG_CACHE_HOME"]) / COLD
    if not hasattr(session.config, "workerinput"):
        return (yield)
    with ExitStack() as held:
        try:
            file = held.enter_context(cold.open("rb"))
            fcntl.flock(file, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except FileNotFoundError:
            return (yield)
        except BlockingIOError:
            fcntl.flock(file, fcntl.LOCK_SH)  # as many at a time as there are, once the first has done it
            return (yield)
        found = yield
        cold.unlink(missing_ok=True)
        return found


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Put files that take long first."""
    items[:] = longest_first(items, lambda item: item.path, ROOT / "tests")


def pytest_collection_finish() -> None:
    """Spare the collector of garbage what was loaded so far: it stays to the end. And call it less often after that."""
    gc.collect()
    gc.freeze()
    gc.set_threshold(10_000, 20, 20)
    gc.enable()


def pytest_generate_tests(metafunc: pytest.Metafunc) -> None:
    """Run a test that asks for `scenario_name` once for each file of scenarios/."""
    if "scenario_name" in metafunc.fixturenames:
        metafunc.parametrize("scenario_name", NAMES)


@pytest.fixture(scope="session", autouse=True)
def quiet_work() -> Iterator[None]:
    """Commands in this process do not say that they are still at work: with a cold cache some do take long."""
    from sim.commands import shared

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(shared, "FIRST", float("inf"))
        yield


@pytest.fixture(scope="session")
def root() -> Path:
    """Folder of the whole project."""
    return ROOT


@pytest.fixture(scope="session")
def scenario_file() -> Callable[[str], Path]:
    """Path of a scenario by its name without ending."""
    return lambda name: FOLDER / f"{name}.toml"


@pytest.fixture(scope="session")
def varied() -> Callable[..., Scenario]:
    """Read a scenario with some fields of its file replaced, as in `varied(name, {"boring.speed": "900 rpm"})`."""

    def vary(name: str, changes: dict[str, Any] | None = None) -> Scenario:
        path = FOLDER / f"{name}.toml"
        tables = full_tables(path)
        for field, value in (changes or {}).items():
            place: Any = tables
            *steps, last = field.split(".")
            for step in steps:
                place = place[int(step)] if step.isdigit() else place.setdefault(step, {})
            place[last] = value
        scenario = checked(tables, path)
        refuse_impossible(scenario)
        return scenario

    return vary


@pytest.fixture(scope="session")
def once() -> Callable[..., Any]:
    """Work something out once in a run, as in `once(function, "name", *arguments)`; workers side by side share it.

    What the first has found lies in the run's own cache, which begins empty and goes with the run: so it is an answer
    of the code as it stands. A worker that asks while another is still at it waits for it.
    """
    folder = Path(os.environ["XDG_CACHE_HOME"]) / "once"
    folder.mkdir(exist_ok=True)

    def found(function: Callable[..., Any], *arguments: str | int) -> Any:
        file = folder / "-".join(map(str, arguments))
        with _alone(file.with_suffix(".lock")):
            if not file.exists():
                own = file.with_name(f"{file.name}.{os.getpid()}")
                own.write_bytes(pickle.dumps(function(*arguments[1:]), protocol=pickle.HIGHEST_PROTOCOL))
                own.replace(file)
        return pickle.loads(file.read_bytes())  # noqa: S301 - written by this very run

    return found


@contextmanager
def _alone(lock: Path) -> Iterator[None]:
    """Let one process at a time in; the system opens the lock of a process that has ended."""
    with lock.open("w") as held:
        fcntl.flock(held, fcntl.LOCK_EX)
        yield


@pytest.fixture(scope="session")
def assessment(varied: Callable[..., Scenario], once: Callable[..., Any]) -> Callable[[str], Assessment]:
    """Judge a scenario file, each only once in a run."""
    return cache(lambda name: once(lambda n: assess(varied(n)), "elastic", name))


@pytest.fixture(scope="session")
def quickly_judged(varied: Callable[..., Scenario], once: Callable[..., Any]) -> Callable[[str], Assessment]:
    """Judge a scenario file with columns for the contact, each only once in a run; results are frozen."""
    return cache(lambda name: once(lambda n: assess(varied(n), contact_model="foundation"), "columns", name))


@pytest.fixture(scope="session")
def quick_window(
    quickly_judged: Callable[[str], Assessment], once: Callable[..., Any]
) -> Callable[[str, int], Window]:
    """Window of an operation of a scenario file, with columns for the contact, each only once in a run."""
    return cache(
        lambda name, operation: once(lambda n, k: window(quickly_judged(n), k), "window", name, operation)
    )


@pytest.fixture
def coarse(monkeypatch: pytest.MonkeyPatch) -> None:
    """Solve the contact of a window at its least, its most and the stated pressure, and below the cuts' speeds at one.

    For tests of what the grip alone decides, which has every pressure of the grid anyhow, and of what becomes of the
    criteria once they are there.
    """
    monkeypatch.setattr("sim.layouts.criteria.NODES", 2)
    monkeypatch.setattr("sim.layouts.criteria.SLOW_NODES", 1)

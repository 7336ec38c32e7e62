"""A slider of the live page in a real browser, without a graphics card, beside a picture that pyvista renders anew.

One round is one move: the slider's event, the answer of the program, the picture with the figures of that state. The
peer is the floor under any page whose picture comes from the program: the same bodies rendered once by pyvista at the
same size, without sending it anywhere. No time is asserted; that a move takes less of the processor than one picture
of the peer is, with all processes of the browser counted.
"""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from itertools import count
from pathlib import Path
from typing import Any

import pytest
from pytest_benchmark.fixture import BenchmarkFixture

from sim.assessment.results import Assessment

NAME = "valve_bonnet_two_steps"
MOVES = 50
# As Chromium draws without a graphics card: scenes by a driver that the processor runs, the rest by itself.
SOFTWARE = ["--disable-gpu", "--enable-unsafe-swiftshader", "--no-sandbox"]
MOST = 0.8  # pictures of the peer, by the processor, that one move may take at the smaller size


@pytest.fixture(scope="module", autouse=True)  # before what a module starts
def only_when_asked(request: pytest.FixtureRequest) -> None:
    """A browser takes seconds to start."""
    if request.config.getoption("benchmark_disable") and not request.config.getoption("benchmark_enable"):
        pytest.skip("the page is timed only with --benchmark-enable or --benchmark-only")


@pytest.fixture(scope="module")
def address(scenario_file: Callable[[str], Path]) -> Iterator[str]:
    """The command as a user starts it, in a process of its own."""
    arguments = ["open", str(scenario_file(NAME)), "--no-browser"]
    running = subprocess.Popen(  # noqa: S603
        [sys.executable, "-c", "import sys; from sim.cli import main; main()", *arguments],
        stdout=subprocess.PIPE,
        text=True,
    )
    assert running.stdout is not None
    yield running.stdout.readline().strip()
    running.terminate()
    running.communicate(timeout=20.0)


@pytest.fixture(scope="module")
def browser() -> Iterator[Any]:
    playwright = pytest.importorskip("playwright.sync_api", reason="playwright is not installed")
    chromium = shutil.which("chromium") or shutil.which("google-chrome")
    if chromium is None:
        pytest.skip("no Chromium on this computer")
    with playwright.sync_playwright() as running:
        made = running.chromium.launch(executable_path=chromium, args=SOFTWARE)
        yield made
        made.close()


def _mover(browser: Any, address: str, slider: str, size: tuple[int, int]) -> Callable[[], None]:
    """Open the page; return what moves one of its sliders by a step and waits for the picture."""
    values = {"speed_rpm": (100.0, 20.0), "travel_mm": (2.0, 0.02), "position_mm": (100.0, 5.0)}[slider]
    page = browser.new_page(viewport={"width": size[0], "height": size[1]}, reduced_motion="reduce")
    page.goto(f"{address}#plain")
    page.evaluate("chuckscene.settled(false)")
    if slider == "position_mm":
        page.evaluate("chuckscene.setStage('boring')")
        page.evaluate("chuckscene.settled(false)")
    number = count()

    def move() -> None:
        value = values[0] + values[1] * (next(number) % MOVES)
        page.evaluate(f"chuckscene.change('{slider}', {value}), chuckscene.settled(false)")

    return move


@pytest.mark.parametrize("size", [(1280, 720), (1920, 1080)], ids=["720", "1080"])
@pytest.mark.parametrize("slider", ["speed_rpm", "travel_mm", "position_mm"])
def test_a_slider_move(
    benchmark: BenchmarkFixture, browser: Any, address: str, slider: str, size: tuple[int, int]
) -> None:
    benchmark.pedantic(_mover(browser, address, slider, size), rounds=MOVES, warmup_rounds=12)


def _spent() -> float:
    """Processor time in seconds of this process and of all that it has started, theirs included (Linux alone tells)."""
    parents, own = {}, {}
    for one in Path("/proc").glob("[0-9]*/stat"):
        try:
            said = one.read_text(encoding="utf-8").rpartition(")")[2].split()
        except OSError:  # it has ended meanwhile
            continue
        parents[int(one.parent.name)] = int(said[1])
        own[int(one.parent.name)] = int(said[11]) + int(said[12])
    under = {os.getpid()}
    while more := {one for one, parent in parents.items() if parent in under} - under:
        under |= more
    return sum(own[one] for one in under) / os.sysconf("SC_CLK_TCK")


@pytest.mark.skipif(
    not Path("/proc/self/stat").exists(), reason="this system does not tell what its processes take"
)
@pytest.mark.parametrize("slider", ["speed_rpm", "travel_mm", "position_mm"])
def test_what_a_move_takes_beside_the_peer(
    browser: Any,
    address: str,
    slider: str,
    peer: Callable[[], None],
    record_property: Callable[[str, float], None],
) -> None:
    """Processor time of all processes: browser, program, and what they run in."""
    taken = {}
    for name, once in {"move": _mover(browser, address, slider, (1280, 720)), "picture": peer}.items():
        for _ in range(12):
            once()
        before = _spent()
        for _ in range(MOVES):
            once()
        taken[name] = (_spent() - before) / MOVES
        record_property(f"{name}_ms", 1000.0 * taken[name])
    print({name: f"{1000.0 * seconds:.0f} ms" for name, seconds in taken.items()}, time.ctime())  # noqa: T201
    assert taken["move"] < MOST * taken["picture"]


@pytest.fixture(scope="module")
def peer(assessment: Callable[[str], Assessment]) -> Iterator[Callable[[], None]]:
    """What renders the same bodies once, at another travel each time."""
    import pyvista

    from sim.views.actors import enter, place
    from sim.views.render import require_rendering

    require_rendering()
    plotter = pyvista.Plotter(off_screen=True, window_size=(870, 436))
    actors = enter(plotter, assessment(NAME), "0")
    plotter.show(auto_close=False, interactive=False)
    number = count()

    def move() -> None:
        place(actors, 0.02 * (next(number) % MOVES))
        plotter.render()
        plotter.screenshot(return_img=True)

    yield move
    plotter.close()


def test_the_peer_renders_once(benchmark: BenchmarkFixture, peer: Callable[[], None]) -> None:
    benchmark.pedantic(peer, rounds=MOVES, warmup_rounds=5)

"""A slider of the live page in a real browser, without a graphics card, beside a picture that pyvista renders anew.

One round is one move: the slider's event, the answer of the program, the picture with the figures of that state. The
peer is the floor under any page whose picture comes from the program: the same bodies rendered once by pyvista at the
same size, without sending it anywhere. No time is asserted.
"""

from __future__ import annotations

import shutil
import subprocess
import sys
from collections.abc import Callable, Iterator
from itertools import count
from pathlib import Path

import pytest
from pytest_benchmark.fixture import BenchmarkFixture

from sim.assessment.results import Assessment

NAME = "valve_bonnet_two_steps"
MOVES = 50
SOFTWARE = [
    "--use-angle=swiftshader",
    "--enable-unsafe-swiftshader",
    "--ignore-gpu-blocklist",
    "--no-sandbox",
]


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


@pytest.mark.parametrize("size", [(1280, 720), (1920, 1080)], ids=["720", "1080"])
@pytest.mark.parametrize("slider", ["speed_rpm", "travel_mm", "position_mm"])
def test_a_slider_move(benchmark: BenchmarkFixture, address: str, slider: str, size: tuple[int, int]) -> None:
    playwright = pytest.importorskip("playwright.sync_api", reason="playwright is not installed")
    chromium = shutil.which("chromium") or shutil.which("google-chrome")
    if chromium is None:
        pytest.skip("no Chromium on this computer")
    values = {"speed_rpm": (100.0, 20.0), "travel_mm": (2.0, 0.02), "position_mm": (100.0, 5.0)}[slider]
    with playwright.sync_playwright() as running:
        browser = running.chromium.launch(executable_path=chromium, args=SOFTWARE)
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

        benchmark.pedantic(move, rounds=MOVES, warmup_rounds=5)
        browser.close()


def test_the_peer_renders_once(benchmark: BenchmarkFixture, assessment: Callable[[str], Assessment]) -> None:
    import pyvista

    from sim.views.actors import enter, place
    from sim.views.render import require_rendering

    require_rendering()
    plotter = pyvista.Plotter(off_screen=True, window_size=(870, 436))
    actors = enter(plotter, assessment(NAME), "0", ("workpiece",))
    plotter.show(auto_close=False, interactive=False)
    number = count()

    def move() -> None:
        place(actors, 0.02 * (next(number) % MOVES))
        plotter.render()
        plotter.screenshot(return_img=True)

    benchmark.pedantic(move, rounds=MOVES, warmup_rounds=5)
    plotter.close()

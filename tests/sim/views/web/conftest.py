"""A browser and a live page for the tests in this folder; skipped with a reason where either is missing."""

from __future__ import annotations

import shutil
import threading
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import pytest

from sim.assessment.results import Assessment
from sim.assessment.stages import assess
from sim.setup.loading import load
from sim.views.web.live import Watched
from sim.views.web.server import LiveServer

# Drawn by the processor, as on a machine without a graphics card.
SOFTWARE = ["--use-angle=swiftshader", "--enable-unsafe-swiftshader", "--ignore-gpu-blocklist"]
NAMES = ("chromium", "chromium-browser", "google-chrome", "google-chrome-stable")


@pytest.fixture(scope="session")
def chromium() -> str:
    pytest.importorskip("playwright.sync_api", reason="playwright is not installed (pip install playwright)")
    found = next((path for name in NAMES if (path := shutil.which(name))), None)
    if found is None:
        pytest.skip("no Chromium on this computer (Debian: apt-get install chromium)")
    return found


@pytest.fixture(scope="session")
def browser(chromium: str) -> Iterator[Any]:
    from playwright.sync_api import sync_playwright

    with sync_playwright() as playwright:
        made = playwright.chromium.launch(executable_path=chromium, args=["--no-sandbox", *SOFTWARE])
        yield made
        made.close()


@dataclass
class Tab:
    """A page with what it said and what it asked for."""

    page: Any
    said: list[str] = field(default_factory=list)
    asked: list[str] = field(default_factory=list)

    def settle(self, *, fully: bool = False) -> None:
        """Wait until the figures of the last change are shown; `fully`: the refined picture and verdicts too."""
        self.page.evaluate(f"chuckscene.settled({str(fully).lower()})")

    def until(self, condition: str) -> None:
        """Wait until a JavaScript condition holds; the page's policy forbids to wait inside it."""
        for _ in range(1200):
            if self.page.evaluate(condition):
                return
            self.page.wait_for_timeout(50)
        pytest.fail(f"never became true: {condition}")

    def words(self, selector: str) -> str:
        """What is written in a part of the page, spaces that do not break as plain ones."""
        return str(self.page.locator(selector).first.text_content()).replace("\xa0", " ")

    @property
    def state(self) -> Any:
        """What the page shows."""
        return self.page.evaluate("chuckscene.state")

    def pixels(self) -> Any:
        """The picture at the size that it has in the page, (height, width, 3); a quick one may be drawn coarser."""
        import base64
        import io

        import numpy as np
        from PIL import Image

        data, *size = self.page.evaluate(
            """() => {
              const canvas = document.querySelector('canvas[data-part=canvas]');
              return [canvas.toDataURL('image/png'), canvas.clientWidth, canvas.clientHeight];
            }"""
        )
        with Image.open(io.BytesIO(base64.b64decode(data.partition(",")[2]))) as image:
            seen = image.convert("RGB").resize(tuple(size), Image.Resampling.BILINEAR)
            return np.asarray(seen).astype(int)


@pytest.fixture
def new_tab(browser: Any) -> Iterator[Callable[..., Tab]]:
    contexts = []

    def make(address: str, *, wait: bool = True, plain: bool = True, **options: Any) -> Tab:
        wanted = {"viewport": {"width": 1000, "height": 560}, "reduced_motion": "reduce", **options}
        context = browser.new_context(**wanted)
        contexts.append(context)
        tab = Tab(context.new_page())
        tab.page.on("console", lambda m: tab.said.append(f"{m.type}: {m.text}"))
        tab.page.on("pageerror", lambda e: tab.said.append(f"error: {e}"))
        tab.page.on("request", lambda r: tab.asked.append(r.url))
        context.set_default_timeout(60_000)  # a busy machine is no failure
        tab.page.goto(f"{address}#plain" if plain else address)
        if wait:
            tab.until("Boolean(window.chuckscene)")
            tab.settle()
        return tab

    yield make
    for context in contexts:
        context.close()


@dataclass
class Live:
    """A scenario file and the server that shows it."""

    file: Path
    server: LiveServer

    @property
    def address(self) -> str:
        return self.server.address


@pytest.fixture
def serve(tmp_path: Path, scenario_file: Callable[[str], Path]) -> Iterator[Callable[..., Live]]:
    running: list[tuple[LiveServer, threading.Thread]] = []

    def start(name: str, judge: Callable[[Path], Assessment] = lambda path: assess(load(path))) -> Live:
        file = tmp_path / f"{name}.toml"
        original = scenario_file(name)
        file.write_text(original.read_text(encoding="utf-8"), encoding="utf-8")
        shutil.copytree(original.parent / "programs", tmp_path / "programs", dirs_exist_ok=True)
        server = LiveServer(Watched(file, judge))
        thread = threading.Thread(target=server.run, daemon=True)
        thread.start()
        running.append((server, thread))
        return Live(file, server)

    yield start
    for server, thread in running:
        server.close()
        thread.join(10.0)

"""A browser and a live page for the tests in this folder; skipped with a reason where either is missing."""

from __future__ import annotations

import re
import shutil
import threading
from collections.abc import Callable, Iterator
from contextlib import ExitStack, contextmanager
from dataclasses import dataclass, field
from functools import cache
from pathlib import Path
from typing import Any

import pytest

from sim.assessment.bodies import ContactModel
from sim.assessment.results import Assessment
from sim.assessment.stages import assess
from sim.commands.asking import READERS, asked
from sim.commands.first_questions import questions, wrong
from sim.commands.making import makers
from sim.first_setup.writing import scenario_text
from sim.scenario.drafted import drafted
from sim.setup.loading import load
from sim.views import render, review
from sim.views.web import live
from sim.views.web.begin import Begin
from sim.views.web.live import Shown, Watched
from sim.views.web.server import LiveServer

# Drawn by the processor, as on a machine without a graphics card. What is no WebGL it draws itself: by way of the card
# that it then imitates letters and boxes take twice as long.
SOFTWARE = [
    "--use-angle=swiftshader",
    "--enable-unsafe-swiftshader",
    "--ignore-gpu-blocklist",
    "--disable-gpu-rasterization",
]
# Without a card at all: pages whose picture nobody looks at get one that draws nothing.
UNDRAWN = ["--disable-gpu", "--disable-software-rasterizer"]
# A page takes the place of the one before in the same process, which knows its scripts.
ONE_PROCESS = ["--disable-site-isolation-trials", "--renderer-process-limit=1"]
HERE = Path(__file__).parent
NAMES = ("chromium", "chromium-browser", "google-chrome", "google-chrome-stable")


@pytest.fixture(scope="session")
def chromium() -> str:
    pytest.importorskip("playwright.sync_api", reason="playwright is not installed (pip install playwright)")
    found = next((path for name in NAMES if (path := shutil.which(name))), None)
    if found is None:
        pytest.skip("no Chromium on this computer (Debian: apt-get install chromium)")
    return found


@pytest.fixture(scope="session")
def browsers(chromium: str) -> Iterator[Callable[[bool], Any]]:
    """Open a browser that draws, or one that has nothing to draw with, each once in a run."""
    from playwright.sync_api import sync_playwright

    with sync_playwright() as playwright, ExitStack() as opened:

        @cache
        def browser(drawn: bool) -> Any:
            own = SOFTWARE if drawn else UNDRAWN
            made = playwright.chromium.launch(
                executable_path=chromium, args=["--no-sandbox", *ONE_PROCESS, *own]
            )
            opened.callback(made.close)
            return made

        yield browser


@pytest.fixture
def drawn() -> bool:
    """Whether the scene is drawn, which takes more than half of a page's processor time where no card does it.

    A file of tests that look at no picture says so by a fixture of this name that tells False, and one of its tests
    that does look by its parameter.
    """
    return True


@dataclass
class Tab:
    """A page with what it said and what it asked for."""

    page: Any
    drawn: bool = True
    said: list[str] = field(default_factory=list)
    asked: list[str] = field(default_factory=list)

    def settle(self, *, fully: bool = False) -> None:
        """Wait until the figures of the last change are shown; `fully`: the refined picture and verdicts too."""
        self.page.evaluate(f"chuckscene.settled({str(fully).lower()})")

    def until(self, condition: str) -> None:
        """Wait until a JavaScript condition holds; the page's policy forbids to wait inside it."""
        for _ in range(1200):
            try:
                if self.page.evaluate(condition):
                    return
            except Exception as error:
                if "context was destroyed" not in str(error):  # it went to another address meanwhile
                    raise
            self.page.wait_for_timeout(50)
        pytest.fail(f"never became true: {condition}")

    def open_all(self) -> None:
        """Open every stage of the list of verdicts."""
        self.page.locator("[data-part=unfold]").click()

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

        assert self.drawn, "this test looks at the picture: ask for drawn"
        data, *size = self.page.evaluate(
            """() => {
              const canvas = document.querySelector('canvas[data-part=canvas]');
              return [canvas.toDataURL('image/png'), canvas.clientWidth, canvas.clientHeight];
            }"""
        )
        with Image.open(io.BytesIO(base64.b64decode(data.partition(",")[2]))) as image:
            seen = image.convert("RGB").resize(tuple(size), Image.Resampling.BILINEAR)
            return np.asarray(seen).astype(int)


@pytest.fixture(scope="session")
def left_pages() -> dict[str, list[Any]]:
    """Empty pages that earlier tests have left, by their options: a new one takes a second of processor time."""
    return {}


@pytest.fixture
def new_tab(
    browsers: Callable[[bool], Any], drawn: bool, left_pages: dict[str, list[Any]]
) -> Iterator[Callable[..., Tab]]:
    closed, left = [], []

    def opened(wanted: dict[str, Any]) -> Any:
        context = browsers(drawn).new_context(**wanted)
        if not drawn:
            context.add_init_script(path=HERE / "undrawn.js")
        context.set_default_timeout(60_000)  # a busy machine is no failure
        return context.new_page()

    def make(address: str, *, wait: bool = True, plain: bool = True, **options: Any) -> Tab:
        wanted = {"viewport": {"width": 1000, "height": 560}, "reduced_motion": "reduce", **options}
        key = repr((drawn, sorted(wanted.items())))
        # Each test has a program of its own, and the page keeps nothing: only what is told of the network stays.
        again = wait and "offline" not in options
        known = left_pages.setdefault(key, []) if again else []
        page = known.pop() if known else opened(wanted)
        tab = Tab(page, drawn)
        told = {
            "console": lambda m: tab.said.append(f"{m.type}: {m.text}"),
            "pageerror": lambda e: tab.said.append(f"error: {e}"),
            "request": lambda r: tab.asked.append(r.url),
        }
        for event, listener in told.items():
            page.on(event, listener)
        if again:
            left.append((key, page, told))
        else:
            closed.append(page)
        tab.page.goto(f"{address}#plain" if plain else address)
        if wait:
            tab.until("Boolean(window.chuckscene)")
            tab.settle()
        return tab

    yield make
    for page in closed:
        page.context.close()
    for key, page, told in left:
        for event, listener in told.items():
            page.remove_listener(event, listener)
        page.unroute_all(behavior="ignoreErrors")
        page.mouse.move(0, 0)
        page.goto("about:blank")
        left_pages[key].append(page)


@pytest.fixture(scope="session")
def written_review(
    once: Callable[..., Any],
    assessment: Callable[[str], Assessment],
    tmp_path_factory: pytest.TempPathFactory,
) -> Callable[[str], Path]:
    """Write the file that is handed round, each only once in a run, without its rendered pictures."""

    def page(name: str) -> bytes:
        with pytest.MonkeyPatch.context() as patch:
            patch.setattr(render, "_trial", lambda: "left out in this test")
            return review.write_review(assessment(name), folder / f"{name}.html").read_bytes()

    folder = tmp_path_factory.mktemp("review")

    def written(name: str) -> Path:
        file = folder / f"{name}.html"
        file.write_bytes(once(page, "review", name))
        return file

    return cache(written)


@dataclass
class Live:
    """A scenario file and the server that shows it."""

    file: Path
    server: LiveServer

    @property
    def address(self) -> str:
        return self.server.address


@pytest.fixture(scope="session")
def first_shown() -> Callable[[Assessment, int], Shown]:
    """What a page shows of a file as it is found, made once for each assessment: it is frozen."""
    kept: dict[int, tuple[Assessment, Shown]] = {}
    make = live._shown

    def made(assessment: Assessment, version: int) -> Shown:
        if version > 1:
            return make(assessment, version)
        if id(assessment) not in kept:
            kept[id(assessment)] = assessment, make(assessment, version)
        return kept[id(assessment)][1]

    return made


@pytest.fixture
def judge_copy(
    scenario_file: Callable[[str], Path],
    assessment: Callable[[str], Assessment],
    quickly_judged: Callable[[str], Assessment],
) -> Callable[[Path], Assessment]:
    """Judge a copy of a scenario file; while it and its programs are as they were, the tests share the answer."""

    def judge(path: Path, model: ContactModel = "elastic") -> Assessment:
        original = scenario_file(path.stem)
        programs = re.findall(r"programs/[^\"]+", original.read_text(encoding="utf-8"))
        pairs = [(path, original), *((path.parent / one, original.parent / one) for one in programs)]
        typed = drafted(path)  # what stands in the place of the copy
        if typed is not None and typed != original.read_bytes():
            return assess(load(path), contact_model=model)
        if any(not copy.exists() or copy.read_bytes() != one.read_bytes() for copy, one in pairs):
            return assess(load(path), contact_model=model)
        return (assessment if model == "elastic" else quickly_judged)(path.stem)

    return judge


@pytest.fixture
def copied(tmp_path: Path, scenario_file: Callable[[str], Path]) -> Callable[[str], Path]:
    """Copy a scenario file, by its name, into the test's own folder."""

    def copy(name: str) -> Path:
        file = tmp_path / f"{name}.toml"
        file.write_text(scenario_file(name).read_text(encoding="utf-8"), encoding="utf-8")
        return file

    return copy


@contextmanager
def _at_work() -> Iterator[Callable[[LiveServer], LiveServer]]:
    running: list[tuple[LiveServer, threading.Thread]] = []

    def start(server: LiveServer) -> LiveServer:
        thread = threading.Thread(target=server.run, daemon=True)
        thread.start()
        running.append((server, thread))
        return server

    yield start
    for server, thread in running:
        server.close()
        thread.join(10.0)


@pytest.fixture
def at_work() -> Iterator[Callable[[LiveServer], LiveServer]]:
    """Let servers answer, each in a thread of its own, until the test is over."""
    with _at_work() as start:
        yield start


@pytest.fixture(scope="module")
def shown_of(
    scenario_file: Callable[[str], Path], assessment: Callable[[str], Assessment]
) -> Iterator[Callable[[str], LiveServer]]:
    """Serve the page of a shipped scenario, which stays as it is, to a module's tests."""
    with _at_work() as start:
        yield lambda name: start(LiveServer(Watched(scenario_file(name), lambda _: assessment(name))))


@pytest.fixture
def serve_nothing(
    tmp_path: Path, at_work: Callable[[LiveServer], LiveServer]
) -> Callable[[float, float], LiveServer]:
    """Serve a page without a file: it proposes as the command does, but at pressures that are given (bar; gripping and
    boring) and not searched for, and judges by columns.
    """

    def start(gripping: float, boring: float) -> LiveServer:
        def proposed(answers: Any) -> str:
            known = asked({option: answers.get(option.removeprefix("--")) for option in READERS}, asks=False)
            return scenario_text(known, gripping=gripping, boring=boring)

        def quickly(file: Path) -> Watched:
            return Watched(file, lambda path: assess(load(path), contact_model="foundation"))

        begin = Begin(tmp_path, questions(), wrong, proposed, quickly)
        return at_work(LiveServer(begin, makers=makers(quick=True)))

    return start


@pytest.fixture
def serve(
    tmp_path: Path,
    scenario_file: Callable[[str], Path],
    copied: Callable[[str], Path],
    judge_copy: Callable[[Path], Assessment],
    first_shown: Callable[[Assessment, int], Shown],
    monkeypatch: pytest.MonkeyPatch,
    at_work: Callable[[LiveServer], LiveServer],
) -> Callable[..., Live]:
    """Serve a copy of a scenario file, judged by finite elements if nothing else is said."""
    monkeypatch.setattr(live, "_shown", first_shown)

    def start(name: str, judge: Callable[[Path], Assessment] = judge_copy) -> Live:
        file = copied(name)
        shutil.copytree(scenario_file(name).parent / "programs", tmp_path / "programs", dirs_exist_ok=True)
        return Live(file, at_work(LiveServer(Watched(file, judge))))

    return start

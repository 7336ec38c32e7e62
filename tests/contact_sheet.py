"""Screenshots of page and review in every state and size that matters, and the pages of setup sheets, for looking at.

    python tests/contact_sheet.py --out FOLDER [--widths 390,1440] [--states ring,thin] [--quick]

No test itself: nothing is compared by pixels. Look at each as somebody who sees it for the first time in a meeting: in
five seconds, what is held where, how strongly, what fails? And would a practitioner name one existing program on
seeing it?
"""

from __future__ import annotations

import argparse
import shutil
import subprocess
import sys
import tempfile
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from PIL import Image, ImageDraw

ROOT = Path(__file__).resolve().parent.parent
SIZES = {390: 844, 820: 1180, 1280: 720, 1440: 900, 1920: 1080, 2560: 1440}  # width and height, pixels
SOFTWARE = [
    "--no-sandbox",
    "--use-angle=swiftshader",
    "--enable-unsafe-swiftshader",
    "--ignore-gpu-blocklist",
]
TILE, GAP, WORDS = 480, 16, 22  # pixels: width of a picture on the sheet, room between, height of its words


@dataclass(frozen=True)
class State:
    """A state of the page: scenario, and what is done on the page before the picture is taken."""

    scenario: str
    steps: tuple[str, ...] = ()
    review: bool = False


# Setup sheets: scenario, and how it is written. Their pages are taken in the size of the paper, whatever the widths.
PAPERS = {
    "paper": ("cast_hub_on_plug", ()),
    "paper failing": ("thin_ring_distorts", ("--paper", "Letter", "--units", "inch")),
    "paper two steps": (
        "valve_bonnet_two_steps",
        ("--language", "de", "--units", "inch", "--paper", "Letter"),
    ),
}
PAPER_SCALE = 100 / 72  # pixels for each point
_FIRST = "chuckscene.setStage(chuckscene.stages()[1])"
STATES = {
    "pass": State("cast_hub_by_program"),
    "ring": State("cast_hub_ring_blocks"),
    "thin": State("thin_ring_distorts"),
    "inside": State("housing_gripped_inside"),
    "steps": State("valve_bonnet_two_steps"),
    "changed": State("cast_hub_by_program", ("chuckscene.change('speed_rpm', 1100)",)),
    "not held": State(
        "cast_hub_by_program", ("chuckscene.change('speed_rpm', chuckscene.stage().ranges.speed_rpm[1])",)
    ),
    "open jaws": State("cast_hub_by_program", (_FIRST, "chuckscene.moment(0)")),
    "at rest": State("cast_hub_by_program", (_FIRST, "chuckscene.moment(2)")),
    "cutting": State("cast_hub_by_program", (_FIRST, "chuckscene.moment(3.6)")),
    "boring": State("cast_hub_by_program", ("chuckscene.setStage(chuckscene.stages()[0])",)),
    "across": State(
        "cast_hub_on_ring", ("chuckscene.cut({ plane: 'across', at: 40 }); chuckscene.fitView('tailstock')",)
    ),
    "review": State("thin_ring_distorts", review=True),
}


@contextmanager
def opened_browser() -> Iterator[Any]:
    """Start the Chromium that is installed, drawing by software; without one leave with status 1."""
    from playwright.sync_api import sync_playwright

    program = next(filter(None, map(shutil.which, ("chromium", "chromium-browser", "google-chrome"))), None)
    if program is None:
        sys.exit("no Chromium is installed")
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=program, args=SOFTWARE)
        yield browser
        browser.close()


@contextmanager
def served(file: Path) -> Iterator[str]:
    from sim.assessment.stages import assess
    from sim.setup.loading import load
    from sim.views.web.live import Watched
    from sim.views.web.server import LiveServer

    server = LiveServer(Watched(file, lambda path: assess(load(path))))
    thread = threading.Thread(target=server.run, daemon=True)
    thread.start()
    try:
        yield server.address
    finally:
        server.close()
        thread.join(10.0)


def taken(page: Any, state: State, file: Path) -> None:
    """Wait for the page, do what the state asks for and take its picture as it then stands."""
    for _ in range(1200):
        if page.evaluate("Boolean(window.chuckscene)"):
            break
        time.sleep(0.1)
    page.evaluate("chuckscene.settled(true)")
    for step in state.steps:
        page.evaluate(step)
        page.evaluate("chuckscene.settled(true)")
    page.screenshot(path=file)


def _pictures(name: str, widths: list[int], folder: Path, browser: Any, quick: str) -> Iterator[Path]:
    """Yield the pictures of a state at each width, light and dark."""
    from sim.assessment.stages import assess
    from sim.setup.loading import load
    from sim.views.review import write_review

    state = STATES[name]
    scenario = ROOT / "scenarios" / f"{state.scenario}.toml"
    with tempfile.TemporaryDirectory() as beside:
        if state.review:
            written = write_review(assess(load(scenario)), Path(beside) / "review.html").as_uri()
            yield from _of_address(name, state, written + quick, widths, folder, browser)
            return
        with served(scenario) as address:
            yield from _of_address(name, state, address + quick, widths, folder, browser)


def _papers(name: str, folder: Path) -> Iterator[Path]:
    """Yield the pages of a setup sheet as pictures."""
    import pypdfium2

    scenario, how = PAPERS[name]
    with tempfile.TemporaryDirectory() as beside:
        written = Path(beside) / "sheet.pdf"
        command = [
            sys.executable,
            "-c",
            "from sim.cli import main; main()",
            "sheet",
            f"scenarios/{scenario}.toml",
        ]
        subprocess.run([*command, *how, "--to", str(written)], cwd=ROOT, check=False)  # noqa: S603  (1: it fails)
        for number, page in enumerate(pypdfium2.PdfDocument(written.read_bytes()), 1):
            file = folder / f"{name.replace(' ', '_')}_page_{number}.png"
            page.render(scale=PAPER_SCALE).to_pil().save(file)
            print(file, flush=True)  # noqa: T201
            yield file


def _of_address(
    name: str, state: State, address: str, widths: list[int], folder: Path, browser: Any
) -> Iterator[Path]:
    for width in widths:
        for light in ("light", "dark"):
            options = {"viewport": {"width": width, "height": SIZES[width]}, "color_scheme": light}
            context = browser.new_context(reduced_motion="reduce", **options)
            context.set_default_timeout(240_000)
            page = context.new_page()
            page.goto(address)
            file = folder / f"{name.replace(' ', '_')}_{width}_{light}.png"
            taken(page, state, file)
            context.close()
            print(file, flush=True)  # noqa: T201  (a command of its own)
            yield file


def sheet(files: list[Path]) -> Image.Image:
    """Return the pictures side by side, a row a state, each over its name."""
    rows: dict[str, list[Path]] = {}
    for file in files:
        rows.setdefault(file.stem.rsplit("_", 2)[0], []).append(file)
    tiles = {file: _tile(file) for file in files}
    wide = max(len(row) for row in rows.values()) * (TILE + GAP) + GAP
    tall = sum(max(tiles[f].height for f in row) + WORDS + GAP for row in rows.values()) + GAP
    made = Image.new("RGB", (wide, tall), "white")
    pen, top = ImageDraw.Draw(made), GAP
    for row in rows.values():
        for k, file in enumerate(row):
            left = GAP + k * (TILE + GAP)
            pen.text((left, top), file.stem.replace("_", " "), fill="black")
            made.paste(tiles[file], (left, top + WORDS))
        top += max(tiles[f].height for f in row) + WORDS + GAP
    return made


def _tile(file: Path) -> Image.Image:
    with Image.open(file) as image:
        image.thumbnail((TILE, 2 * TILE))
        return image.convert("RGB")


def main() -> int:
    """Take the pictures and put them on one sheet."""
    asked = argparse.ArgumentParser(description=(__doc__ or "").splitlines()[0])
    asked.add_argument("--out", type=Path, required=True)
    asked.add_argument("--widths", default=",".join(map(str, SIZES)))
    asked.add_argument("--states", default=",".join((*STATES, *PAPERS)))
    asked.add_argument(
        "--quick",
        action="store_true",
        help="leave the refined picture out: what is laid out, in a tenth of the time",
    )
    said = asked.parse_args()
    widths, names = [int(w) for w in said.widths.split(",")], said.states.split(",")
    wrong = [str(w) for w in widths if w not in SIZES] + [n for n in names if n not in {*STATES, *PAPERS}]
    if wrong:
        asked.error(
            f"not known: {', '.join(wrong)}; widths are {', '.join(map(str, SIZES))}, "
            f"states {', '.join((*STATES, *PAPERS))}"
        )
    said.out.mkdir(parents=True, exist_ok=True)
    with opened_browser() as browser:
        files = [
            f
            for n in names
            if n in STATES
            for f in _pictures(n, widths, said.out, browser, "#plain" if said.quick else "")
        ]
    files += [file for name in names if name in PAPERS for file in _papers(name, said.out)]
    sheet(files).save(said.out / "contact_sheet.png")
    print(said.out / "contact_sheet.png")  # noqa: T201
    return 0


if __name__ == "__main__":
    sys.exit(main())

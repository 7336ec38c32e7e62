"""Draws the pictures of the manual's page on a first part: `python tests/sim/manual/first_part.py`, a minute.

Clicks the cap together in a browser as `tests/sim/views/web/test_browser_forms.py` does, with the full contact model.
"""

from __future__ import annotations

import io
import shutil
import tempfile
import threading
from pathlib import Path
from typing import Any

from PIL import Image
from playwright.sync_api import sync_playwright

from sim.assessment.stages import assess
from sim.commands.first_questions import proposed, questions, wrong
from sim.commands.making import makers
from sim.setup.loading import load
from sim.views.web.begin import Begin
from sim.views.web.live import Watched
from sim.views.web.server import LiveServer

PLACE = Path(__file__).parents[3] / "sim" / "manual"
WIDE = {"width": 1280, "height": 800}
QUALITY = 62
SOFTWARE = [
    "--no-sandbox",
    "--use-angle=swiftshader",
    "--enable-unsafe-swiftshader",
    "--ignore-gpu-blocklist",
]
CAP = {
    "chuck": "210", "smallest": "89.9 mm", "largest": "90 mm", "length": "36 mm", "beyond": "88 mm",
    "material": "cast iron GJL-250", "surface": "turned", "cut": "facing", "cut-diameter": "80 mm",
    "depth-of-cut": "1.5 mm", "feed": "0.25 mm/rev", "cutting-speed": "160 m/min", "file": "bearing cap.toml",
}  # fmt: skip


def kept(shown: Any, name: str) -> None:
    """Write what the window, or a part of it, shows."""
    with Image.open(io.BytesIO(shown.screenshot())) as image:
        image.convert("RGB").save(PLACE / f"{name}.webp", quality=QUALITY, method=6)


def until(page: Any, condition: str) -> None:
    while not page.evaluate(condition):
        page.wait_for_timeout(50)


def draw(page: Any, address: str) -> None:
    page.goto(address)
    until(page, "Boolean(window.begun)")
    for key, text in CAP.items():
        field = page.locator(f"#begin-{key}")
        if field.evaluate("field => field.tagName") == "SELECT":
            field.select_option(text)
        else:
            field.fill(text)
    # Where it is made differs from computer to computer.
    page.locator("#begin-file-help").evaluate(
        "(one) => { one.textContent = one.textContent.replace(/\\S+jobs/, 'jobs'); }"
    )
    kept(page.locator("#begin"), "first_asked")
    page.get_by_role("button", name="make the setup").click()
    page.locator("[data-group=part]").wait_for(timeout=300_000)
    until(page, "Boolean(window.editing && editing.draft.stated)")
    box = page.locator("[data-place='operations[0].workpiece.outline']")
    for number in (0, 1):  # a bore, typed as a diameter
        rows = box.locator("tbody tr")
        (rows.first if number == 0 else rows.last).locator("input").first.fill("30 mm")
    box.get_by_role("button", name="choose corner 6").click()
    box.locator("input[id$=-size]").fill("2 mm")
    box.get_by_role("button", name="chamfer").click()
    page.evaluate("editing.settled()")
    until(page, "chuckscene.state.held.verdicts === 'current' && editing.draft.idle")
    page.evaluate("chuckscene.settled(true)")
    box.scroll_into_view_if_needed()
    kept(page, "first_stated")
    page.get_by_role("button", name="Save", exact=True).click()
    until(page, "editing.draft.stated.unsaved === false && editing.draft.idle")
    until(page, "chuckscene.state.held.verdicts === 'current'")
    page.locator("[data-group=part] > summary").click()
    page.locator("[data-group=make] > summary").click()
    page.locator("[data-group=make]").scroll_into_view_if_needed()
    page.get_by_role("button", name="make the setup sheet").click()
    page.locator(".made", has_text="Written beside the file").wait_for(timeout=300_000)
    page.evaluate("chuckscene.settled(true)")
    kept(page, "first_written")


def main() -> None:
    chromium = shutil.which("chromium") or shutil.which("google-chrome")
    with tempfile.TemporaryDirectory() as parent, sync_playwright() as playwright:
        folder = Path(parent) / "jobs"
        folder.mkdir()
        begin = Begin(
            folder, questions(), wrong, proposed, lambda file: Watched(file, lambda one: assess(load(one)))
        )
        server = LiveServer(begin, makers=makers(quick=False))
        threading.Thread(target=server.run, daemon=True).start()
        browser = playwright.chromium.launch(executable_path=chromium, args=SOFTWARE)
        page = browser.new_context(viewport=WIDE, color_scheme="light", reduced_motion="reduce").new_page()
        page.set_default_timeout(120_000)
        draw(page, server.address)
        browser.close()
        server.close()


if __name__ == "__main__":
    main()

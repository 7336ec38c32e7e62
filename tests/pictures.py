"""Draws the pictures of README and manual that show a page or a setup anew: `python tests/pictures.py`, some minutes.

Look at each afterwards: they are what is seen first. Those of a first part: `tests/sim/manual/first_part.py`.
"""

from __future__ import annotations

import io
import shutil
import tempfile
from pathlib import Path
from typing import Any

from contact_sheet import ROOT, State, opened_browser, served, taken
from PIL import Image

PLACE = ROOT / "scenarios" / "pictures"
WIDE = {"width": 1440, "height": 810}
QUALITY = 62
PAGES = {
    "page_section": State("cast_hub_on_plug"),
    "page_touch": State("cast_hub_ring_blocks"),
    "page_pressure": State(
        "valve_bonnet_two_steps", ("chuckscene.choose({ key: 'marking', stage: 'second side' })",)
    ),
}
# Kept picture: scenario, and the file that `chuckscene picture` writes of it.
SOLIDS = {
    "assembly": ("valve_bonnet_two_steps", "assembly-1-first-side.png"),
    "pressure": ("valve_bonnet_two_steps", "pressure-2-second-side.png"),
    "section": ("cast_hub_ring_blocks", "section.png"),
}


def pages(browser: Any) -> None:
    """Take the pages as they open."""
    for name, state in PAGES.items():
        with served(ROOT / "scenarios" / f"{state.scenario}.toml") as address:
            page = browser.new_context(
                viewport=WIDE, color_scheme="light", reduced_motion="reduce"
            ).new_page()
            page.set_default_timeout(240_000)
            page.goto(address)
            with tempfile.NamedTemporaryFile(suffix=".png") as file:
                taken(page, state, Path(file.name))
                data = Path(file.name).read_bytes()
            with Image.open(io.BytesIO(data)) as image:
                image.convert("RGB").save(PLACE / f"{name}.webp", quality=QUALITY, method=6)
            page.context.close()


def solids() -> None:
    """Draw what the command writes."""
    from sim.assessment.stages import assess
    from sim.setup.loading import load
    from sim.views.picture import write_pictures

    with tempfile.TemporaryDirectory() as beside:
        for scenario in sorted({scenario for scenario, _ in SOLIDS.values()}):
            write_pictures(assess(load(ROOT / "scenarios" / f"{scenario}.toml")), Path(beside) / scenario)
        for name, (scenario, file) in SOLIDS.items():
            shutil.copy(Path(beside) / scenario / file, PLACE / f"{name}.png")


def main() -> None:
    """Draw all of them."""
    solids()
    with opened_browser() as browser:
        pages(browser)


if __name__ == "__main__":
    main()

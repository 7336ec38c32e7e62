"""A first setup of a tube on the tailstock's centre in a real browser, and all that the page writes of it.

Clicks and typing only; no file is edited by hand. Four more kinds of parts are typed in a terminal
(`tests/sim/commands/test_first_setups.py`), a cap in `test_browser_forms.py`.
"""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from sim.assessment.stages import assess
from sim.scenario import read
from sim.setup.loading import load
from sim.uncertainty import typical
from sim.views.web.server import LiveServer

WIDE = {"width": 1440, "height": 900}
TUBE = {
    "chuck": "210", "smallest": "59.95 mm", "largest": "60 mm", "length": "180 mm", "bore": "44 mm",
    "material": "steel C45", "surface": "turned", "cut": "turning", "depth-of-cut": "1 mm", "feed": "0.2 mm/rev",
    "cutting-speed": "150 m/min", "file": "tube.toml",
}  # fmt: skip
CENTRE = {
    "force_low": "3 kN", "force_high": "5 kN", "height": "180 mm", "hole_diameter": "46 mm", "cone_diameter": "60 mm",
    "body_diameter": "70 mm", "body_length": "80 mm", "quill_diameter": "90 mm",
}  # fmt: skip
PLACE = "field-operations-0-tailstock"


@pytest.fixture
def drawn() -> bool:
    """Words and figures are looked at, and what the scripts draw over the picture: not the picture."""
    return False


@pytest.fixture
def nothing(serve_nothing: Callable[[float, float], LiveServer]) -> LiveServer:
    """A page without a file."""
    return serve_nothing(20.0, 4.5)


def judged(tab: Any) -> str:
    """Wait until what is typed has been judged; return what the badge says."""
    tab.page.evaluate("editing.settled()")
    tab.until("chuckscene.state.held.verdicts === 'current' && editing.draft.idle")
    return str(tab.words("[data-part=state]"))


def refusals(tab: Any) -> int:
    """How many mistakes stand at fields now."""
    return int(tab.page.evaluate("editing.draft.stated.faults.length"))


def test_a_tube_on_a_centre_is_stated_judged_saved_and_written_out_from_nothing(
    nothing: LiveServer, new_tab: Callable[..., Any], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """No try is refused; saved, it holds on the centre alone, and says so."""
    tab = new_tab(nothing.address, wait=False, viewport=WIDE)
    tab.until("Boolean(window.begun)")
    for key, text in TUBE.items():
        field = tab.page.locator(f"#begin-{key}")
        if field.evaluate("field => field.tagName") == "SELECT":
            field.select_option(text)
        else:
            field.fill(text)
    tab.page.get_by_role("button", name="make the setup").click()
    tab.page.locator("[data-group=part]").wait_for()  # the page loads itself anew
    file = tmp_path / "tube.toml"
    first = file.read_text(encoding="utf-8")
    assert "fail" in judged(tab)
    alone = next(
        v for v in assess(load(file), contact_model="foundation").verdicts if v.key == "holding_factor"
    )
    assert alone.status == "fail"  # without the centre

    tab.page.locator("[data-group=cuts] > summary").click()
    tab.page.locator("[data-group=cuts] details.more > summary").last.click()
    tab.page.get_by_role("button", name="state tailstock").click()
    tab.page.evaluate("editing.settled()")
    for key, text in CENTRE.items():
        tab.page.locator(f"#{PLACE}-{key}").fill(text)
    said = judged(tab)  # of all that was typed: what was typed first alone is refused
    assert refusals(tab) == 0
    assert "typed, not saved" in said
    assert file.read_text(encoding="utf-8") == first
    tab.page.get_by_role("button", name="Save", exact=True).click()
    tab.until("editing.draft.stated.unsaved === false")
    said = judged(tab)
    found = assess(load(file), contact_model="foundation")
    counts = [sum(v.status == status for v in found.verdicts) for status in ("fail", "warn", "pass")]
    assert "{} fail, {} warn, {} pass".format(*counts) in said
    assert counts[0] == 0
    held = next(v for v in found.verdicts if v.key == "holding_factor")
    assert held.margin > alone.margin
    assert read(file).operations[0].tailstock is not None

    # What was saved can be undone, and made again.
    saved = file.read_text(encoding="utf-8")
    undo = tab.page.get_by_role("button", name="Undo", exact=True)
    undo.click()
    tab.page.evaluate("editing.settled()")
    assert "changes undone, not saved" in tab.words(".editbar .pill")
    tab.page.get_by_role("button", name="Redo", exact=True).click()
    tab.page.evaluate("editing.settled()")
    tab.until("editing.draft.stated.unsaved === false && editing.draft.idle")
    assert file.read_text(encoding="utf-8") == saved
    judged(tab)

    # What hangs on values that nobody has read off; here of two, which are enough to see.
    monkeypatch.setattr(
        typical, "ranges", lambda: {"chuck.efficiency": (0.9, 1.05), "chuck.stroke": (0.9, 1.1)}
    )
    tab.page.locator("[data-group=weigh] > summary").click()
    tab.page.get_by_role("button", name="weigh what was not read off").click()
    tab.page.locator(".weighed tbody tr").nth(1).wait_for(timeout=120_000)
    told = {one.inner_text() for one in tab.page.locator(".weighed tbody th").all()}
    assert told == {"chuck.efficiency", "chuck.stroke"}
    assert "As it stands: " in tab.words("[data-group=weigh] .drawn")
    tab.page.locator(".weighed th button", has_text="chuck.stroke").click()
    assert tab.page.evaluate("document.activeElement.id") == "field-chuck-stroke"

    tab.page.locator("[data-group=make] > summary").click()
    for words, name, begins in (
        ("setup sheet", "tube-sheet.pdf", b"%PDF"),
        ("drawing of the pockets", "tube-pocket.pdf", b"%PDF"),
        ("drawing of the jaw set", "tube-jaws.pdf", b"%PDF"),
        ("drawing of the assembly", "tube-assembly.pdf", b"%PDF"),
    ):
        tab.page.get_by_role("button", name=f"make the {words}").click()
        tab.page.locator(".made", has_text=f"Written beside the file: {name}").wait_for(timeout=120_000)
        assert (tmp_path / name).read_bytes().startswith(begins)
    button = tab.page.get_by_role("button", name="make the boring program")
    assert button.is_disabled()  # the control is not guessed
    tab.page.get_by_label("code system of the control").select_option(index=1)
    button.click()
    tab.page.locator(".made", has_text="Written beside the file: tube.nc").wait_for(timeout=120_000)
    assert "%" in (tmp_path / "tube.nc").read_text(encoding="utf-8")[:20]

    # A change makes the table of what was weighed another's.
    tab.page.locator("#field-title").fill("of another part")
    tab.page.evaluate("editing.settled()")
    assert tab.page.locator(".weighed tbody tr").count() == 0
    assert "another since it was weighed" in tab.words("[data-group=weigh] .drawn")

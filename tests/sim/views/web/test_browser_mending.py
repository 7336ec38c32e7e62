"""A file with mistakes opened in a real browser: the forms alone, mistakes at their fields, then the setup."""

from __future__ import annotations

import threading
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest

from sim.assessment.stages import assess
from sim.base.errors import ScenarioError
from sim.setup.loading import load
from sim.views.web.live import Watched
from sim.views.web.mending import Mending, mendable
from sim.views.web.server import LiveServer

NAME = "thin_ring_distorts"
WIDE = {"width": 1440, "height": 900}


@pytest.fixture
def drawn() -> bool:
    """Words and figures are looked at, and what the scripts draw over the picture: not the picture."""
    return False


def quickly(file: Path) -> Watched:
    return Watched(file, lambda path: assess(load(path), contact_model="foundation"))


@pytest.fixture
def broken(tmp_path: Path, scenario_file: Callable[[str], Path]) -> Path:
    """Two mistakes that a setter makes: a bare number, and a key that is not one."""
    text = scenario_file(NAME).read_text(encoding="utf-8")
    file = tmp_path / "ring.toml"
    wrong = text.replace("[machine]\n", '[machine]\nswing = "400 mm"\n')
    stroke = next(line for line in text.splitlines() if line.startswith("stroke"))
    file.write_text("# of my own\n" + wrong.replace(stroke, 'stroke = "6"'), encoding="utf-8")
    return file


@pytest.fixture
def server(broken: Path) -> Iterator[LiveServer]:
    assert mendable(broken)
    with pytest.raises(ScenarioError):
        load(broken)
    made = LiveServer(Mending(broken, quickly))
    thread = threading.Thread(target=made.run, daemon=True)
    thread.start()
    yield made
    made.close()
    thread.join(10.0)


def test_a_file_with_mistakes_is_mended_in_the_forms_and_then_shown(
    server: LiveServer, broken: Path, new_tab: Callable[..., Any]
) -> None:
    before = broken.read_bytes()
    tab = new_tab(server.address, wait=False, viewport=WIDE)
    tab.until("Boolean(window.editing && editing.draft.stated)")
    faults = tab.page.evaluate("editing.draft.stated.faults.map((one) => one.field)")
    assert "chuck.stroke" in faults
    assert "machine.swing" in faults
    assert "nothing is judged before" in tab.words(".mend h2")
    assert tab.page.locator("canvas").count() == 0  # no scene of anything else
    tab.page.locator(".mend button", has_text="chuck.stroke").click()
    assert tab.page.evaluate("document.activeElement.id") == "field-chuck-stroke"
    assert "found '6'" in tab.words("#field-chuck-stroke-fault")
    tab.page.get_by_role("button", name="6 mm", exact=True).click()
    tab.page.evaluate("editing.settled()")
    tab.page.get_by_role("button", name="leave it out").first.click()
    tab.page.evaluate("editing.settled()")
    assert broken.read_bytes() == before
    tab.until("document.querySelector('[data-part=told]').textContent.startsWith('Nothing is left to mend')")
    tab.page.get_by_role("button", name="Save", exact=True).click()
    tab.until(
        "Boolean(window.chuckscene && chuckscene.state.held.verdicts === 'current')"
    )  # the page loads anew
    tab.until("Boolean(window.editing && editing.draft.stated)")
    assert broken.read_text(encoding="utf-8").startswith("# of my own\n")
    assert load(broken).chuck.stroke == 6.0
    assert tab.page.evaluate("editing.draft.stated.faults.length") == 0


def test_what_forms_cannot_show_is_not_opened_in_them(tmp_path: Path) -> None:
    file = tmp_path / "a.toml"
    file.write_text("[chuck\n", encoding="utf-8")
    assert not mendable(file)
    file.write_text('shop_files = ["none.toml"]\n', encoding="utf-8")
    assert not mendable(file)
    file.write_text("nonsense = 1\n", encoding="utf-8")
    assert mendable(file)

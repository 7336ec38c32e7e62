"""Accessibility of both pages by axe-core, in light and dark."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest


@pytest.fixture
def drawn() -> bool:
    """Words and figures are looked at, and what the scripts draw over the picture: not the picture."""
    return False


def _violations(page: Any) -> list[str]:
    axe = pytest.importorskip(
        "axe_playwright_python.sync_playwright",
        reason="axe-core is not installed (pip install axe-playwright-python)",
    )
    found = axe.Axe().run(page).response["violations"]
    return [
        f"{v['id']} ({v['impact']}): {v['help']}: {[n['target'] for n in v['nodes']][:3]} "
        f"{[n.get('failureSummary', '')[:160] for n in v['nodes']][:1]}"
        for v in found
    ]


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_the_live_page(serve: Callable[[str], Any], new_tab: Callable[..., Any], scheme: str) -> None:
    tab = new_tab(serve("cast_hub_ring_blocks").address, color_scheme=scheme)
    tab.open_all()
    tab.page.locator(".verdictlist .verdict button").first.click()
    tab.page.locator("summary", has_text="bodies").click()
    tab.page.locator("[data-part=measure]").click()
    tab.settle()
    assert not (found := _violations(tab.page)), "\n".join(found)


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_the_file_that_is_handed_round(
    written_review: Callable[[str], Path], new_tab: Callable[..., Any], scheme: str
) -> None:
    tab = new_tab(written_review("cast_hub_ring_blocks").as_uri(), color_scheme=scheme)
    assert not (found := _violations(tab.page)), "\n".join(found)


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_the_forms(
    serve: Callable[..., Any], judge_copy: Callable[..., Any], new_tab: Callable[..., Any], scheme: str
) -> None:
    """All groups open, one field wrong."""
    address = serve("valve_bonnet_two_steps", lambda file: judge_copy(file, "foundation")).address
    tab = new_tab(address, color_scheme=scheme, viewport={"width": 1440, "height": 900})
    tab.page.locator(".editbutton").click()
    tab.until("Boolean(editing.draft.stated)")
    tab.page.evaluate("document.querySelectorAll('.edit .group').forEach((group) => { group.open = true; })")
    tab.until("Boolean(document.getElementById('field-boring-travel'))")
    tab.page.locator("#field-boring-travel").fill("3")
    tab.page.evaluate("editing.settled()")
    assert not (found := _violations(tab.page)), "\n".join(found)


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_the_page_before_there_is_a_setup(tmp_path: Path, new_tab: Callable[..., Any], scheme: str) -> None:
    from sim.commands.first_questions import questions, wrong
    from sim.views.web.begin import Begin

    page = Begin(tmp_path, questions(), wrong, str, lambda _: None).page  # type: ignore[arg-type, return-value]
    file = tmp_path / "begin.html"
    file.write_bytes(page)
    tab = new_tab(file.as_uri(), wait=False, color_scheme=scheme)
    tab.until("Boolean(window.begun)")
    assert not (found := _violations(tab.page)), "\n".join(found)


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_the_forms_of_a_file_with_mistakes(
    tmp_path: Path, scenario_file: Callable[[str], Path], new_tab: Callable[..., Any], scheme: str
) -> None:
    """No scene stands behind them: the page alone is looked at, nothing is judged."""
    import threading

    from sim.views.web.mending import Mending
    from sim.views.web.server import LiveServer

    text = scenario_file("thin_ring_distorts").read_text(encoding="utf-8")
    file = tmp_path / "ring.toml"
    file.write_text(text.replace('stroke = "6 mm"', 'stroke = "6"'), encoding="utf-8")

    def never(_: Path) -> Any:
        pytest.fail("judged a file with a mistake")

    server = LiveServer(Mending(file, never))
    thread = threading.Thread(target=server.run, daemon=True)
    thread.start()
    tab = new_tab(server.address, wait=False, color_scheme=scheme)
    tab.until("Boolean(window.editing && editing.draft.stated)")
    tab.page.locator(".mend button").first.click()
    found = _violations(tab.page)
    server.close()
    thread.join(10.0)
    assert not found, "\n".join(found)

"""The manual's file in a browser: on a phone, on paper, in light and dark; nothing asked for, nothing over the edge."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from sim.views.manual import write_manual


@pytest.fixture
def drawn() -> bool:
    """Words and figures are looked at, and what the scripts draw over the picture: not the picture."""
    return False


@pytest.fixture(scope="module")
def address(tmp_path_factory: pytest.TempPathFactory) -> str:
    return write_manual(tmp_path_factory.mktemp("manual") / "manual.html").as_uri()


WIDEST = 1300
# Of all that is shown when it is asked first.
COLOURS = """() => {
  window.shown ??= [...document.querySelectorAll("body *")].filter((one) => one.checkVisibility());
  return window.shown.map((one) => {
    const { color, backgroundColor, opacity } = getComputedStyle(one);
    return [one.checkVisibility(), color, backgroundColor, opacity].join();
  });
}"""


@pytest.mark.parametrize("width", [360, 800, WIDEST])
@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_it_is_readable_by_everybody(
    address: str, new_tab: Callable[..., Any], width: int, scheme: str
) -> None:
    axe = pytest.importorskip("axe_playwright_python.sync_playwright", reason="axe-core is not installed")
    tab = new_tab(
        address, wait=False, plain=False, color_scheme=scheme, viewport={"width": width, "height": 800}
    )
    assert tab.page.evaluate("document.documentElement.scrollWidth") == width
    # Contrast takes three quarters of the time: it is asked at the widest, where all is shown; others have its colours.
    rules = {} if width == WIDEST else {"color-contrast": {"enabled": False}}
    found = axe.Axe().run(tab.page, options={"resultTypes": ["violations"], "rules": rules}).response
    assert not found["violations"], [
        (one["id"], [node["target"] for node in one["nodes"]][:3]) for one in found["violations"]
    ]
    colours = tab.page.evaluate(COLOURS)
    tab.page.set_viewport_size({"width": WIDEST, "height": 800})
    assert tab.page.evaluate(COLOURS) == colours
    assert tab.asked == [address]
    assert not tab.said


def test_a_link_leads_to_its_page_without_scripts(address: str, new_tab: Callable[..., Any]) -> None:
    tab = new_tab(address, wait=False, plain=False, java_script_enabled=False)
    tab.page.locator(".contents a", has_text="Window").click()
    assert tab.page.url.endswith("#window")
    box = tab.page.locator("h2#window").bounding_box()
    assert 0.0 <= box["y"] < 100.0


def test_paper_has_every_page_and_no_navigation(
    address: str, new_tab: Callable[..., Any], tmp_path: Path
) -> None:
    tab = new_tab(address, wait=False, plain=False)
    tab.page.emulate_media(media="print")
    assert not tab.page.locator("nav.side").is_visible()
    assert not tab.page.locator(".back").first.is_visible()
    assert tab.page.locator("article").count() == tab.page.locator(".contents li").count()
    paper = tmp_path / "manual.pdf"
    tab.page.pdf(path=str(paper))
    assert paper.stat().st_size > 50_000

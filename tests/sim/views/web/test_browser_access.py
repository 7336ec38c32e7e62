"""Accessibility of both pages by axe-core, in light and dark."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest


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
    tab.page.locator(".verdictlist button").first.click()
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

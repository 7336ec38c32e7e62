"""On a phone and a tablet: the answer and the picture first, controls in a sheet; a list of what each colour is."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest

from sim.assessment.results import CAUTIONS, SHORT_CAUTIONS
from sim.views.colours import body_colour

NAME = "cast_hub_on_ring"
PHONE = {"width": 390, "height": 844}
TABLET = {"width": 820, "height": 1180}


@pytest.fixture
def drawn() -> bool:
    """Words and figures are looked at, and what the scripts draw over the picture: not the picture."""
    return False


@pytest.fixture
def live(serve: Callable[..., Any], judge_copy: Callable[..., Any]) -> Any:
    """Judged with columns for the contact: no figure is in question."""
    return serve(NAME, lambda file: judge_copy(file, "foundation"))


@pytest.fixture
def phone(live: Any, new_tab: Callable[..., Any]) -> Any:
    return new_tab(live.address, viewport=PHONE)


@pytest.fixture(params=[PHONE, TABLET], ids=["phone", "tablet"])
def hand_held(request: pytest.FixtureRequest, live: Any, new_tab: Callable[..., Any]) -> Any:
    return new_tab(live.address, viewport=request.param, has_touch=True)


def _seen(tab: Any, part: str) -> bool:
    return bool(tab.page.locator(part).first.is_visible())


def test_it_begins_with_its_answer_and_its_picture(hand_held: Any) -> None:
    assert not _seen(hand_held, ".dock")
    assert not _seen(hand_held, "[data-part=section]")
    size = hand_held.page.viewport_size
    picture = hand_held.page.locator("[data-part=view]").bounding_box()
    assert picture["y"] < 0.45 * size["height"]
    assert picture["y"] + picture["height"] < size["height"]
    # The page scrolls down, never sideways, and the cautions stay.
    assert hand_held.page.evaluate("document.documentElement.scrollWidth") <= size["width"]
    hand_held.page.evaluate("window.scrollTo(0, document.documentElement.scrollHeight)")
    assert hand_held.page.evaluate("window.scrollY") > 0
    assert _seen(hand_held, ".cautionbar")


def test_the_sheet_is_opened_and_closed_by_keys_alone(hand_held: Any) -> None:
    button = hand_held.page.locator(".sheetbutton")
    assert button.get_attribute("aria-expanded") == "false"
    assert hand_held.page.locator(f"#{button.get_attribute('aria-controls')}").count() == 1
    # Nothing in the closed sheet takes the focus.
    for _ in range(12):
        hand_held.page.keyboard.press("Tab")
        assert hand_held.page.evaluate("!document.activeElement.closest('.dock')")
    button.focus()
    hand_held.page.keyboard.press("Enter")
    assert hand_held.page.locator(".dock").get_attribute("aria-label") == "Controls"
    hand_held.until(
        "document.activeElement.textContent === 'close' && Boolean(document.activeElement.closest('.dock'))"
    )
    assert _seen(hand_held, "[data-part=section]")
    picture = hand_held.page.locator("[data-part=view]").bounding_box()
    sheet = hand_held.page.locator(".dock").bounding_box()
    cautions = hand_held.page.locator(".cautionbar").bounding_box()
    # More than half of the picture stays in sight above the sheet, and the cautions below it.
    assert picture["y"] >= -1
    assert sheet["y"] - picture["y"] > 0.5 * picture["height"]
    assert sheet["y"] + sheet["height"] <= cautions["y"] + 1
    hand_held.page.keyboard.press("Escape")
    hand_held.until("document.activeElement.className === 'sheetbutton'")
    assert not _seen(hand_held, ".dock")


def test_a_slider_in_the_sheet_moves_the_setup(hand_held: Any) -> None:
    hand_held.page.evaluate("chuckscene.setStage('0')")
    hand_held.settle()
    hand_held.page.locator(".sheetbutton").click()
    hand_held.page.locator("#slider-speed_rpm").focus()
    before = hand_held.state["values"]["speed_rpm"]
    hand_held.page.keyboard.press("ArrowRight")
    hand_held.settle()
    assert hand_held.state["values"]["speed_rpm"] > before


def test_cautions_are_short_and_whole_once_they_are_touched(hand_held: Any) -> None:
    bar, size = hand_held.page.locator(".cautionbar"), hand_held.page.viewport_size
    short = bar.bounding_box()
    # Each of them is said, and none of their words is cut off.
    assert [_seen(hand_held, ".cautionbar .short"), bar.locator(".short").text_content()] == [
        True,
        f"{' '.join(SHORT_CAUTIONS)} …",
    ]
    assert len(SHORT_CAUTIONS) == len(CAUTIONS)
    assert hand_held.page.evaluate(
        "(b => b.scrollHeight <= b.clientHeight)(document.querySelector('.cautionbar'))"
    )
    assert short["height"] < 0.09 * size["height"]
    assert short["y"] + short["height"] == pytest.approx(size["height"], abs=1)
    bar.tap()
    assert not _seen(hand_held, ".cautionbar .short")
    whole = bar.bounding_box()
    assert whole["height"] >= short["height"]
    assert all(caution in bar.inner_text() for caution in CAUTIONS)
    hand_held.page.locator("[data-part=state]").tap()
    hand_held.until("getComputedStyle(document.querySelector('.cautionbar .short')).display !== 'none'")


def test_what_a_finger_touches_is_wide_enough(hand_held: Any) -> None:
    hand_held.page.locator(".sheetbutton").tap()
    for what in (".views button", ".moments button", ".dock button.tool", ".stages label", ".cube"):
        for one in hand_held.page.locator(what).all():
            if one.is_visible():
                box = one.bounding_box()
                assert box["height"] >= 40, what
                assert box["width"] >= 40, what


def test_a_wide_page_has_its_controls_where_they_were(phone: Any) -> None:
    phone.page.set_viewport_size({"width": 1280, "height": 800})
    phone.until("!document.querySelector('.dock').contains(document.querySelector('.tools'))")
    assert _seen(phone, ".dock")
    assert not _seen(phone, ".sheetbutton")
    assert _seen(phone, "[data-part=section]")
    assert phone.page.locator(".sheethead").count() == 0


def test_the_list_of_materials_names_each_colour_once(live: Any, new_tab: Callable[..., Any]) -> None:
    tab = new_tab(live.address, viewport={"width": 1440, "height": 1200}, color_scheme="light")
    tab.page.evaluate("chuckscene.setStage('boring')")
    tab.settle()
    if not _seen(tab, ".materials li"):
        tab.page.locator("[data-part=materials] summary").click()
    scenario = live.server.watched.shown.ready.assessment.scenario
    rows = tab.page.locator(".materials li").all()
    said = [row.text_content().strip() for row in rows]
    assert any(row == f"boring ring: {scenario.boring.fixture.material}" for row in said)
    assert any(row == f"soft jaws: {scenario.soft_jaw.material}" for row in said)
    assert any(row.endswith("hardened steel") and "master jaws" in row for row in said)
    colours = [row.locator("i").evaluate("one => getComputedStyle(one).backgroundColor") for row in rows]
    ring = next(k for k, row in enumerate(said) if row.startswith("boring ring"))
    r, g, b = (int(body_colour("boring ring")[k : k + 2], 16) for k in (1, 3, 5))
    assert colours[ring] == f"rgb({r}, {g}, {b})"
    # Another step of the work has other bodies.
    tab.page.evaluate("chuckscene.setStage('0')")
    tab.settle()
    # The list is written with the picture, which a busy computer draws later.
    tab.until("!document.querySelector('.materials').textContent.includes('boring ring')")
    tab.until("document.querySelector('.materials').textContent.includes('coloured by grip')")
    said = tab.page.locator(".materials li").all_text_contents()
    part = scenario.operations[0].workpiece.material
    assert any(row.strip() == f"workpiece: {part}" for row in said)
    assert any("coloured by grip" in row for row in said if "soft jaws" in row)


def test_a_moment_of_the_cut_moves_the_tool(new_tab: Callable[..., Any], serve: Callable[..., Any]) -> None:
    """Scrubbed along the moments, the tool stands where its path has it, and its grip is that at speed."""
    server = serve("cast_hub_by_program")
    tab = new_tab(server.address, viewport={"width": 1440, "height": 900})
    tab.page.evaluate("chuckscene.setStage('0')")
    tab.settle()
    bar = tab.page.locator(".moments input").first
    seen = []
    for place in (3.2, 3.5, 3.8):
        bar.evaluate(
            f"(one) => {{ one.value = {place}; one.dispatchEvent(new Event('input', {{ bubbles: true }})); }}"
        )
        tab.settle()
        seen.append(tab.state)
    length = tab.page.evaluate("chuckscene.stage().track.length_mm")
    assert [one["values"]["position_mm"] for one in seen] == pytest.approx(
        [0.2 * length, 0.5 * length, 0.8 * length], abs=0.01
    )
    tips = [one["figures"]["path"]["tip_mm"] for one in seen]
    assert len({tuple(tip) for tip in tips}) == 3
    speed = server.server.watched.shown.ready.assessment.operations[0].operation.gripping.speed_high
    assert {one["values"]["speed_rpm"] for one in seen} == {speed}

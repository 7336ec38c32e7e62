"""Forms in a real browser: an own part stated from nothing, mistakes at their fields, nothing lost, nothing stale."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from sim.assessment.stages import assess
from sim.scenario import read
from sim.setup.loading import load
from sim.views.web.server import LiveServer

NAME = "valve_bonnet_two_steps"
HIGH = "#field-operations-0-workpiece-gripped_diameter_high"
WIDE = {"width": 1440, "height": 900}
CAP = {
    "chuck": "210", "smallest": "89.9 mm", "largest": "90", "length": "36 mm", "beyond": "88 mm",
    "material": "cast iron GJL-250", "surface": "turned", "cut": "facing", "depth-of-cut": "1.5 mm",
    "feed": "0.25 mm/rev", "cutting-speed": "160 m/min", "cut-diameter": "80 mm", "file": "bearing cap.toml",
}  # fmt: skip


@pytest.fixture
def drawn() -> bool:
    """Words and figures are looked at, and what the scripts draw over the picture: not the picture."""
    return False


@pytest.fixture
def nothing(serve_nothing: Callable[[float, float], LiveServer]) -> LiveServer:
    """A page without a file."""
    return serve_nothing(16.0, 5.0)


def answer(page: Any, key: str, text: str) -> None:
    field = page.locator(f"#begin-{key}")
    if field.evaluate("field => field.tagName") == "SELECT":
        field.select_option(text)
    else:
        field.fill(text)


def judged(tab: Any) -> str:
    """Wait until what is typed has been judged; return what the badge says."""
    tab.page.evaluate("editing.settled()")
    tab.until("chuckscene.state.held.verdicts === 'current' && editing.draft.idle")
    return tab.words("[data-part=state]")


def test_a_part_of_ones_own_is_stated_judged_saved_and_handed_round_from_nothing(
    nothing: LiveServer, new_tab: Callable[..., Any], tmp_path: Path
) -> None:
    """No file edited by hand; one refused try, of an answer without its unit."""
    tab = new_tab(nothing.address, wait=False, viewport=WIDE)
    tab.until("Boolean(window.begun)")
    for key, text in CAP.items():
        answer(tab.page, key, text)
    tab.page.get_by_role("button", name="make the setup").click()
    tab.page.locator("#begin-largest-fault p").wait_for()
    assert "found '90'" in tab.words("#begin-largest-fault")
    assert list(tmp_path.iterdir()) == []
    answer(tab.page, "largest", "90 mm")
    tab.page.get_by_role("button", name="make the setup").click()
    tab.page.locator("[data-group=part]").wait_for()  # the page loads itself anew
    file = tmp_path / CAP["file"]
    first, typical = file.read_bytes(), read(file).typical
    assert judged(tab)

    box = tab.page.locator("[data-place='operations[0].workpiece.outline']")
    corners = box.locator("tbody tr").count()
    box.get_by_role("button", name=f"choose corner {corners - 1}").click()
    box.locator("input[id$=-size]").fill("2 mm")
    box.get_by_role("button", name="chamfer").click()
    said = judged(tab)
    assert "typed, not saved" in said
    assert tab.words("[data-part=changed]") == "as typed"
    assert tab.page.title().startswith("Not saved: ")
    assert box.locator("tbody tr").count() == corners
    assert f"{corners} corners" in (box.locator("svg").get_attribute("aria-label") or "")
    assert file.read_bytes() == first
    box.locator("tbody tr").first.locator("input").first.fill("20 mm")  # a bore, typed as a diameter
    last = box.locator("tbody tr").last.locator("input").first
    last.fill("20 mm")
    judged(tab)

    tab.page.locator("[data-group=chuck] > summary").click()
    tab.page.get_by_role("button", name="machine: I have read this off").click()
    judged(tab)

    tab.page.get_by_role("button", name="Save", exact=True).click()
    tab.until("editing.draft.stated.unsaved === false")
    said = judged(tab)
    assert read(file).typical == tuple(one for one in typical if one != "machine")
    assert "not saved" not in said
    outline = read(file).operations[0].workpiece.outline
    assert (outline[0][0], outline[-1][0]) == (10.0, 10.0)
    assert len(outline) == corners + 1
    text = file.read_text(encoding="utf-8")
    assert "# as told" in text
    assert "# proposed" in text
    found = assess(load(file), contact_model="foundation")
    counts = [sum(v.status == status for v in found.verdicts) for status in ("fail", "warn", "pass")]
    assert "{} fail, {} warn, {} pass".format(*counts) in said

    tab.page.locator("[data-group=make] > summary").click()
    tab.page.get_by_role("button", name="make the review page").click()
    tab.page.locator(".made", has_text="Written beside the file: bearing cap.html").wait_for(timeout=300_000)
    assert b"<!doctype html>" in (tmp_path / "bearing cap.html").read_bytes()
    assert {one.name for one in tmp_path.iterdir()} == {"bearing cap.toml", "bearing cap.html"}


@pytest.fixture
def live(serve: Callable[..., Any], judge_copy: Callable[..., Any]) -> Any:
    return serve(NAME, lambda file: judge_copy(file, "foundation"))


@pytest.fixture
def tab(live: Any, new_tab: Callable[..., Any]) -> Any:
    found = new_tab(live.address, viewport=WIDE)
    opened(found)
    return found


def opened(tab: Any) -> None:
    tab.page.locator(".editbutton").click()
    tab.until("Boolean(editing.draft.stated)")


def test_a_mistake_stands_at_its_field_and_nothing_passes_meanwhile(tab: Any, live: Any) -> None:
    before = live.file.read_bytes()
    field = tab.page.locator(HIGH)
    field.fill("150")
    assert not tab.words("[data-part=state]").startswith("✓")
    tab.page.evaluate("editing.settled()")
    tab.until("document.querySelector('[data-part=state]').textContent.includes('a mistake')")
    assert tab.words("[data-part=state]").startswith("? Out of date: what is typed has a mistake")
    assert field.get_attribute("aria-invalid") == "true"
    described = (field.get_attribute("aria-describedby") or "").split()
    assert any("found '150'" in tab.words(f"#{one}") for one in described)
    assert field.input_value() == "150"  # what cannot be read is not dropped
    tab.page.locator(".mend button").first.click()
    assert tab.page.evaluate("document.activeElement.id") == HIGH[1:]
    tab.page.get_by_role("button", name="150 mm", exact=True).click()  # the unit is chosen, not guessed
    tab.page.evaluate("editing.settled()")
    assert field.get_attribute("aria-invalid") == "false"
    field.press("Control+z")
    field.press("Control+z")
    assert "As the file states" in tab.words("[data-part=judged]") or judged(tab)
    tab.until("editing.draft.stated.unsaved === false && editing.draft.idle")
    assert field.input_value() == "150.4 mm"
    assert live.file.read_bytes() == before


def test_what_one_types_stays_under_the_hand(tab: Any) -> None:
    """A number that is written shorter in the file must not lose its point while somebody types on."""
    tab.page.locator("[data-group=cuts] > summary").click()
    folded = tab.page.locator("[data-place='operations[0].gripping'] details.more > summary").first
    folded.click()
    field = tab.page.locator("#field-operations-0-gripping-grip_loss_share")
    field.press_sequentially("0.")
    tab.page.evaluate("editing.settled()")
    assert field.input_value() == "0."
    field.press_sequentially("50")
    tab.page.evaluate("editing.settled()")
    assert field.input_value() == "0.50"
    assert tab.page.evaluate("document.activeElement.id") == "field-operations-0-gripping-grip_loss_share"
    assert tab.page.evaluate("editing.draft.stated.values.operations[0].gripping.grip_loss_share") == 0.5
    assert tab.page.evaluate("editing.draft.steps") == 1


def test_two_tabs_show_the_same_changes_and_an_outside_change_is_not_written_over(
    tab: Any, live: Any, new_tab: Callable[..., Any]
) -> None:
    other = new_tab(live.address, viewport=WIDE)
    opened(other)
    tab.page.locator("#field-title").fill("of the first tab")
    tab.page.evaluate("editing.settled()")
    other.until("editing.draft.stated.values.title === 'of the first tab'")
    assert other.page.locator("#field-title").input_value() == "of the first tab"
    assert "1 change, not saved" in other.words(".editbar .pill")
    outside = live.file.read_text(encoding="utf-8") + "# by somebody else\n"
    live.file.write_text(outside, encoding="utf-8")
    tab.until("editing.draft.stated.outside")
    assert tab.page.get_by_role("button", name="Save", exact=True).is_disabled()
    tab.page.get_by_role("button", name="put my changes onto the file as it is now").click()
    tab.until("!editing.draft.stated.outside && editing.draft.idle")
    tab.page.get_by_role("button", name="Save", exact=True).click()
    tab.until("editing.draft.stated.unsaved === false")
    text = live.file.read_text(encoding="utf-8")
    assert text.endswith("# by somebody else\n")
    assert 'title = "of the first tab"' in text


def test_another_fixture_asks_for_its_own_fields(tab: Any) -> None:
    tab.page.locator("[data-group=boring] > summary").click()
    tab.page.locator("#field-boring-fixture").select_option("ring")
    tab.page.evaluate("editing.settled()")
    assert tab.page.locator("#field-boring-fixture-outer_diameter").get_attribute("aria-invalid") == "true"
    assert tab.page.locator("#field-boring-fixture-thickness").input_value() == "12 mm"
    assert tab.page.locator("#field-boring-fixture-height").count() == 0
    tab.page.locator("#field-boring-fixture").select_option("none")
    tab.page.evaluate("editing.settled()")
    assert tab.page.locator("[id^=field-boring-fixture-]:is(input, select)").count() == 0
    assert tab.page.evaluate("editing.draft.stated.values.boring.fixture") == {"kind": "none"}
    tab.page.get_by_role("button", name="Undo", exact=True).click()
    tab.page.get_by_role("button", name="Undo", exact=True).click()
    tab.page.evaluate("editing.settled()")
    assert tab.page.locator("#field-boring-fixture-height").input_value() == "8 mm"


def test_an_arc_is_one_row_with_its_radius_and_stays_one(tab: Any, live: Any) -> None:
    """Chosen, its radius asked for and not guessed, drawn as an arc, undone and saved with the file's comments."""
    before = live.file.read_text(encoding="utf-8")
    box = tab.page.locator("[data-place='operations[0].workpiece.outline']")
    rows = box.locator("tbody tr")
    count = rows.count()
    row = rows.nth(4)
    row.locator("select").select_option(label="convex arc to it")
    tab.page.evaluate("editing.settled()")
    size = row.locator("input.size")
    assert size.get_attribute("aria-invalid") == "true"
    assert "Corner 5: must be a length" in tab.words("[data-place='operations[0].workpiece.outline'] .faults")
    assert " A " not in (box.locator("path.outline").get_attribute("d") or "")
    size.fill("40 mm")
    tab.page.evaluate("editing.settled()")
    assert size.get_attribute("aria-invalid") == "false"
    assert " A " in (box.locator("path.outline").get_attribute("d") or "")
    row.locator("input").first.fill("107 mm")  # its place is typed on as that of any other
    judged(tab)
    assert rows.count() == count
    tab.page.get_by_role("button", name="Undo", exact=True).click()
    tab.page.evaluate("editing.settled()")
    assert row.locator("input").first.input_value() == "106 mm"
    tab.page.get_by_role("button", name="Save", exact=True).click()
    tab.until("editing.draft.stated.unsaved === false")
    text = live.file.read_text(encoding="utf-8")
    comments = [line.partition("#")[2] for line in before.splitlines() if "#" in line]
    assert [line.partition("#")[2] for line in text.splitlines() if "#" in line] == comments
    found = read(live.file).operations[0].workpiece.outline
    assert len(found.stated) == count  # type: ignore[attr-defined]
    assert tab.page.evaluate("editing.draft.stated.values.operations[0].workpiece.outline[4]") == {
        "at": ["53 mm", "36 mm"],
        "arc": "40 mm",
        "curve": "convex",
    }
    row.locator("select").select_option(label="sharp")
    judged(tab)
    assert tab.page.evaluate("editing.draft.stated.values.operations[0].workpiece.outline[4]") == [
        "53 mm",
        "36 mm",
    ]


@pytest.mark.parametrize(("width", "height"), [(1280, 720), (1440, 900)])
def test_bar_band_forms_and_scene_stand_one_below_the_other(
    shown_of: Callable[[str], Any], new_tab: Callable[..., Any], width: int, height: int
) -> None:
    """With the forms open, too, the window shows all of it, and the document itself does not scroll."""
    tab = new_tab(shown_of(NAME).address, viewport={"width": width, "height": height})
    for opened in (False, True):
        if opened:
            tab.page.get_by_role("button", name="Edit").click()
            tab.page.locator("[data-group=part]").wait_for()
        box = {
            name: tab.page.locator(f".{name}").bounding_box()
            for name in ("bar", "band", "stagearea", "side", "cautionbar", *(("edit",) if opened else ()))
        }
        assert box["bar"]["y"] == 0.0
        assert box["band"]["width"] == pytest.approx(width, abs=1.0)
        for upper, lower in (
            ("bar", "band"),
            ("band", "stagearea"),
            ("band", "side"),
            ("stagearea", "cautionbar"),
        ):
            assert box[upper]["y"] + box[upper]["height"] == pytest.approx(box[lower]["y"], abs=1.0)
        assert box["cautionbar"]["y"] + box["cautionbar"]["height"] == pytest.approx(height, abs=1.0)
        if opened:
            assert box["edit"]["y"] == pytest.approx(box["stagearea"]["y"], abs=1.0)
            assert box["edit"]["width"] == pytest.approx(box["stagearea"]["x"], abs=1.0)
        assert tab.page.evaluate("document.scrollingElement.scrollHeight") == height

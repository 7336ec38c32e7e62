"""The file that is handed round, opened from disk with the network off; with and without WebGL and scripts."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from sim.assessment.results import CAUTIONS, Assessment
from sim.assessment.state import at, states

LOOKS = pytest.mark.parametrize("drawn", [True], ids=["drawn"])


@pytest.fixture
def drawn() -> bool:
    """Words and figures are looked at, and what the scripts draw over the picture: not the picture."""
    return False


@pytest.fixture(scope="module")
def judged(assessment: Callable[[str], Assessment]) -> Assessment:
    return assessment("cast_hub_ring_blocks")


@pytest.fixture(scope="module")
def file(written_review: Callable[[str], Path]) -> Path:
    """Written without the rendered pictures, which other tests look at."""
    return written_review("cast_hub_ring_blocks")


@pytest.fixture
def tab(file: Path, new_tab: Callable[..., Any]) -> Any:
    return new_tab(file.as_uri(), offline=True)


@LOOKS
def test_it_opens_from_disk_without_a_network(tab: Any, judged: Assessment, file: Path) -> None:
    assert tab.said == []
    assert all(
        address.partition("#")[0] == file.as_uri() or address.startswith("data:") for address in tab.asked
    )
    assert tab.state["webgl"]
    said = tab.page.inner_text("body")
    for caution in CAUTIONS:
        assert caution in said
    assert judged.verdicts[0].message[1:] in said
    assert "nothing is interpolated" in said


def test_what_was_not_asked_heads_the_list(tab: Any, judged: Assessment) -> None:
    """In words, not by colour; folded where something fails, and opened by a key."""
    said = tab.words(".unasked")
    for one in judged.not_judged:
        assert one.question in said
        assert one.needs in said
    first = tab.page.locator(".unasked details").first
    assert "not asked" in first.locator("summary").inner_text()
    assert f"{len(judged.unasked)} question" in first.locator("summary").inner_text()
    assert first.get_attribute("open") is None
    first.locator("summary").focus()
    tab.page.keyboard.press("Enter")
    assert first.locator("li").first.is_visible()
    assert f", {len(judged.unasked)} not asked" in tab.words("[data-part=state-words]")
    order = tab.page.evaluate(
        "document.querySelector('.unasked').compareDocumentPosition(document.querySelector('.verdictlist'))"
    )
    assert order & 4  # the list follows


def test_its_sliders_show_what_was_computed(tab: Any, judged: Assessment) -> None:
    ready = states(judged)
    tab.page.evaluate("chuckscene.setStage('0')")  # it opens on what fails, which is the boring of the jaws
    field = tab.page.locator("[data-slider=speed_rpm] input[type=number]")
    field.fill("1130")
    field.press("Enter")
    tab.settle()
    assert tab.state["values"]["speed_rpm"] == 1100.0  # the nearest step
    assert tab.state["figures"]["total_N"] == pytest.approx(at(ready, 0, speed=1100.0).total, rel=1e-6)
    tab.page.locator("#slider-travel_mm").focus()
    for _ in range(3):
        tab.page.keyboard.press("PageDown")
    tab.settle()
    figures = tab.state["figures"]
    assert not figures["gripped"]
    opened = at(ready, 0, travel=tab.state["values"]["travel_mm"])
    assert figures["gap_mm"] == pytest.approx(opened.gap, abs=1e-6)
    assert tab.page.locator("#slider-pressure_bar").is_disabled()


def test_the_path_plays_and_a_verdict_turns_to_the_touch(tab: Any, judged: Assessment) -> None:
    tab.page.locator(".verdictlist .verdict button", has_text="tool contact").click()
    tab.settle()
    first = judged.boring.clearance.first_touch
    assert first is not None
    assert tab.state["figures"]["path"]["move"] == first.move + 1
    assert tab.state["figures"]["path"]["distance_mm"] == 0.0
    assert "tool contact" in tab.words(".overlay")
    before = tab.state["values"]["position_mm"]
    tab.page.locator(".play").click()
    tab.until(f"chuckscene.state.values.position_mm > {before}")


def test_plots_answer_to_the_pointer_and_to_keys(tab: Any, judged: Assessment) -> None:
    figure = tab.page.locator("figure[data-readout]").first
    figure.scroll_into_view_if_needed()
    box = figure.locator("svg").bounding_box()
    tab.page.mouse.move(box["x"] + 0.5 * box["width"], box["y"] + 0.4 * box["height"])
    said = figure.locator("output").inner_text()
    assert "spindle speed, rev/min" in said
    speed = float(said.partition("rev/min ")[2].partition(";")[0])
    told = float(said.partition("grip left, as judged ")[2].partition(",")[0])
    curve = judged.operations[0].grip.curve
    assert told == pytest.approx(np.interp(speed, curve.speeds, curve.grip) / 1000.0, rel=0.02)
    figure.locator("svg").focus()
    tab.page.keyboard.press("ArrowRight")
    assert figure.locator("output").inner_text() != said


def test_without_scripts_it_is_read(file: Path, new_tab: Callable[..., Any], judged: Assessment) -> None:
    tab = new_tab(file.as_uri(), wait=False, java_script_enabled=False, offline=True)
    assert tab.page.locator(".app").is_hidden()
    assert tab.page.locator("table.verdicts tbody tr").count() == len(judged.verdicts)
    assert tab.page.locator("figure svg").count() >= 4


def test_on_paper_the_scene_gives_way_to_pictures(tab: Any) -> None:
    tab.page.emulate_media(media="print")
    assert tab.page.locator(".app").is_hidden()
    ground = tab.page.evaluate("getComputedStyle(document.body).backgroundColor")
    assert ground == "rgb(255, 255, 255)"
    dark = tab.page.evaluate(
        "(document.documentElement.dataset.theme = 'dark', getComputedStyle(document.body).color)"
    )
    assert dark == "rgb(0, 0, 0)"


@pytest.mark.parametrize("paper", ["A4", "Letter"])
def test_on_paper_the_summary_has_two_pages_at_most_and_every_page_its_number(
    tab: Any, paper: str, judged: Assessment
) -> None:
    pdfium = pytest.importorskip("pypdfium2")
    book = pdfium.PdfDocument(tab.page.pdf(format=paper))
    pages = [" ".join(page.get_textpage().get_text_range().split()) for page in book]
    assert judged.verdicts[0].name in pages[0]
    assert CAUTIONS[0] in pages[0]
    after = next(k for k, words in enumerate(pages) if "what passes by stage" in words)
    assert after <= 2
    for number, words in enumerate(pages, start=1):
        assert f"page {number} of {len(pages)}" in words
    assert all(
        " ".join(verdict.basis.split(";")[0][:20].split()) in " ".join(pages) for verdict in judged.verdicts
    )  # folds are open
    assert any(" values) " in words for words in pages)
    assert not any(words.endswith("values)") for words in pages)  # a head stands with its table


def test_without_webgl_figures_still_follow(browsers: Callable[[bool], Any], file: Path) -> None:
    with browsers(False).new_context() as context:
        page = context.new_page()
        page.goto(file.as_uri())
        page.evaluate("chuckscene.setStage('0')")
        page.evaluate("chuckscene.change('speed_rpm', 500)")
        for _ in range(200):  # the page's policy lets nothing wait inside it
            if page.evaluate("chuckscene.state.figures && chuckscene.state.figures.speed_rpm === 500"):
                break
            page.wait_for_timeout(100)
        assert page.evaluate("chuckscene.state.webgl") is False
        assert "WebGL 2 is missing" in page.locator(".noscene").inner_text()
        assert "grip in all" in page.locator("[data-part=figures]").inner_text()


def test_what_passes_is_a_line_a_stage_until_it_is_opened_or_sought(tab: Any, judged: Assessment) -> None:
    rows, folds = tab.page.locator(".verdictlist .verdict:visible"), tab.page.locator(".verdictlist .fold")
    bad = [v for v in judged.verdicts if v.status != "pass"]
    stages = {v.stage for v in judged.verdicts if v.status == "pass"}
    assert rows.count() == len(bad)
    assert folds.count() == len(stages)
    boring = folds.filter(has_text="boring")
    count = sum(v.status == "pass" and v.stage == "boring" for v in judged.verdicts)
    assert f"{count} pass" in boring.inner_text()
    boring.locator("button").focus()
    tab.page.keyboard.press("Enter")
    assert boring.locator("button").get_attribute("aria-expanded") == "true"
    assert rows.count() == len(bad) + count
    tab.page.locator("#find").fill("bar bend")
    assert rows.count() == sum("bar bend" in f"{v.name} {v.message}".lower() for v in judged.verdicts)
    assert folds.first.is_hidden()
    tab.page.locator("#find").fill("no such word")
    assert tab.page.locator("[data-part=found-none]").is_visible()
    tab.page.locator("#find").fill("")
    tab.open_all()
    assert rows.count() == len(judged.verdicts)


def test_bars_run_from_the_limit_by_the_margin(tab: Any, judged: Assessment) -> None:
    """Twice the margin is as far from it at every place; what fails lies on the other side of the limit."""
    tab.open_all()
    reach = {}
    for verdict in judged.verdicts:
        row = (
            tab.page.locator(".verdictlist .verdict", has_text=verdict.name)
            .filter(has_text=verdict.stage)
            .first
        )
        box, line = row.locator(".margin i").bounding_box(), row.locator(".margin b").bounding_box()
        middle = line["x"] + 0.5 * line["width"]
        right, left = box["x"] + box["width"] - middle, middle - box["x"]
        reach[verdict.key] = (right, left, verdict)
    kept = [(r, v.margin) for r, _, v in reach.values() if v.status == "pass" and 1.3 < v.margin < 19.0]
    slopes = [r / np.log(m) for r, m in kept]
    assert len(slopes) > 5
    assert max(slopes) - min(slopes) < 0.15 * max(slopes)
    assert all(r < 1.0 < left for r, left, v in reach.values() if v.status == "fail")


@pytest.mark.parametrize("width", [390, 820, 1280])
def test_the_answer_is_read_in_lines_of_words(
    written_review: Callable[[str], Path], new_tab: Callable[..., Any], width: int
) -> None:
    """What a setup is and what to change: beside each other or below, never over each other, nor a word a line."""
    tab = new_tab(written_review("thin_ring_distorts").as_uri(), viewport={"width": width, "height": 844})
    said = tab.page.locator(".answer strong").bounding_box()
    change = tab.page.locator(".answer .change").bounding_box()
    assert said["width"] > 0.6 * min(width, 700)
    assert change["width"] > 0.2 * width
    below = change["y"] >= said["y"] + said["height"] - 1.0
    assert below or change["x"] >= said["x"] + said["width"] - 1.0
    assert tab.page.evaluate("document.documentElement.scrollWidth") <= width

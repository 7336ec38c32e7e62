"""A pocket's bore and depth under the user's hand: marked previews while they move, then exact figures and verdicts."""

from __future__ import annotations

import re
import threading
from collections.abc import Callable, Iterator
from typing import Any

import pytest

from sim.assessment import bodies
from sim.assessment.results import Assessment
from sim.assessment.stages import assess
from sim.assessment.state import States
from sim.scenario import Scenario
from sim.setup.loading import load
from sim.views.web import figures

NAME = "cast_hub_on_ring"
BAR = "[data-slider=bore_mm] input[type=range]"
DEPTH = "[data-slider=depth_mm] input[type=range]"
PASSED = ".app :is(.mark.pass, .mark.warn, .mark.fail, .state.pass, .state.warn, .state.fail)"


@pytest.fixture
def drawn() -> bool:
    """Words and figures are looked at, and what the scripts draw over the picture: not the picture."""
    return False


@pytest.fixture
def live(serve: Callable[..., Any], monkeypatch: pytest.MonkeyPatch) -> Any:
    """Finite elements on a coarse grid of the faces: columns need no preview."""
    monkeypatch.setitem(bodies.GRID, "elastic", (24, 4))
    return serve(NAME, lambda file: assess(load(file)))


@pytest.fixture
def tab(live: Any, new_tab: Callable[..., Any]) -> Any:
    return new_tab(live.address)


@pytest.fixture
def free(monkeypatch: pytest.MonkeyPatch) -> Iterator[threading.Event]:
    """Hold back what is worked out until this is set, so that a preview can be looked at on a machine of any speed."""
    event, worked_out = threading.Event(), figures.bored

    def held_back(ready: States, index: int, bores: dict[int, float], depths: dict[int, float]) -> States:
        assert event.wait(60.0)
        return worked_out(ready, index, bores, depths)

    monkeypatch.setattr(figures, "bored", held_back)
    yield event
    event.set()


def _press(tab: Any, *keys: str, bar: str = BAR) -> None:
    for key in keys:
        tab.page.locator(bar).press(key)


def _drawn(tab: Any) -> None:
    tab.page.evaluate("new Promise((done) => requestAnimationFrame(() => requestAnimationFrame(done)))")


def _marks(tab: Any) -> set[str]:
    return {text.strip() for text in tab.page.locator(".verdictlist .verdict .mark").all_inner_texts()}


def _labels(tab: Any) -> list[str]:
    found = tab.page.locator(".overlay .card.grip tspan:nth-child(2)").all_text_contents()
    return [text.replace("\xa0", " ") for text in found]


def _is_preview(tab: Any) -> None:
    """Every part of the page says so by a word and a sign, and nothing looks like a verdict."""
    _drawn(tab)
    assert tab.words("[data-part=figures-head]") == "At this state≈ preview, not judged"
    assert tab.words("[data-part=state]").startswith("≈ Preview, not judged")
    assert tab.words("[data-part=judged]").startswith("Preview, not judged: pocket of ")
    assert _marks(tab) == {"≈ not judged"}
    assert tab.page.locator(PASSED).count() == 0
    assert all(re.fullmatch(r"≈ [\d.]+ kN", label) for label in _labels(tab))
    assert len(_labels(tab)) == 3
    captions = tab.page.locator(".faces figcaption").all_text_contents()
    assert all("≈ preview: " in caption for caption in captions)
    assert "largest ≈ preview " in tab.words("[data-part=scale-peak]")


def test_a_preview_is_marked_and_the_exact_figures_take_its_place_when_the_slider_rests(
    tab: Any, varied: Callable[..., Scenario], free: threading.Event
) -> None:
    """The slider moves on while what is worked out for an earlier bore is on its way."""
    stated = _marks(tab)
    tab.page.locator(BAR).focus()
    _press(tab, "ArrowRight")
    tab.settle()
    _is_preview(tab)
    first = tab.state["figures"]["peak_MPa"]
    tab.page.wait_for_timeout(600)  # it rests, and is asked for
    _is_preview(tab)  # nothing else comes, so it stays what it is
    _press(tab, "PageUp")
    tab.settle()
    _is_preview(tab)
    assert tab.state["figures"]["peak_MPa"] != first
    free.set()
    tab.settle(fully=True)
    _drawn(tab)
    held = tab.state["held"]
    assert held == {"figures": "current", "verdicts": "current"}
    assert tab.state["figures"]["preview"] is False
    bore = tab.state["values"]["bore_mm"]
    judged = assess(varied(NAME, {"pockets.0.diameter": f"{bore} mm"}))
    counts = [sum(v.status == status for v in judged.verdicts) for status in ("fail", "warn", "pass")]
    words = "{} fail, {} warn, {} pass".format(*counts)
    assert words in tab.words("[data-part=state]")
    assert tab.words("[data-part=judged]").startswith("Judged: pocket of ")
    assert "The scene draws the pockets as the file states them." in tab.words("[data-part=judged]")
    assert all(re.fullmatch(r"[\d.]+ kN", label) for label in _labels(tab))
    tab.page.locator("[data-part=restate]").click()
    tab.settle(fully=True)
    assert _marks(tab) == stated
    assert tab.words("[data-part=figures-head]") == "At this state"


def test_a_depth_is_a_preview_while_it_moves_and_is_judged_when_it_rests(
    tab: Any, varied: Callable[..., Scenario], free: threading.Event
) -> None:
    stated = tab.state["values"]
    _press(tab, "ArrowLeft", "ArrowLeft", bar=DEPTH)
    tab.settle()
    _is_preview(tab)
    depth = tab.state["values"]["depth_mm"]
    assert depth == pytest.approx(stated["depth_mm"] - 0.2)
    assert f"turned {depth:.2f}" in tab.words("[data-part=judged]").replace("\xa0", " ")
    assert tab.state["values"]["travel_mm"] == stated["travel_mm"]  # the first touch stays where it was
    free.set()
    tab.settle(fully=True)
    _drawn(tab)
    assert tab.state["held"] == {"figures": "current", "verdicts": "current"}
    assert tab.state["figures"]["preview"] is False
    judged = assess(varied(NAME, {"pockets.0.depth": f"{depth} mm"}))
    counts = [sum(v.status == status for v in judged.verdicts) for status in ("fail", "warn", "pass")]
    assert "{} fail, {} warn, {} pass".format(*counts) in tab.words("[data-part=state]")
    tab.page.locator("[data-part=restate]").click()
    tab.settle()
    assert tab.state["values"] == pytest.approx(stated)


def test_the_boring_path_is_not_shown_beside_another_bore(tab: Any) -> None:
    _press(tab, "End")
    tab.settle()
    tab.page.locator("[data-choice=stage] input").first.check(force=True)
    tab.settle()
    _drawn(tab)
    assert not tab.page.locator("[data-slider=bore_mm]").is_visible()
    assert "take the bore back" in tab.words("[data-part=figures]")
    assert tab.page.locator(PASSED).count() == 0


def test_the_slider_stops_where_it_can_be_bored_and_jaws_stay_on_the_part(tab: Any) -> None:
    stated = tab.state["values"]
    assert tab.state["figures"]["gripped"]
    for key, bore in (("Home", stated["bore_mm"] - 0.2), ("End", stated["bore_mm"] + 0.2)):
        _press(tab, key)
        tab.settle()
        assert tab.state["values"]["bore_mm"] == pytest.approx(bore)
        assert tab.state["values"]["travel_mm"] == pytest.approx(tab.state["figures"]["touch_travel_mm"])
        assert tab.state["figures"]["gripped"]
    field = tab.page.locator("[data-slider=bore_mm] input[type=number]")
    field.fill(str(stated["bore_mm"] + 0.1034))
    field.press("Enter")
    tab.settle()
    assert tab.state["values"]["bore_mm"] == pytest.approx(stated["bore_mm"] + 0.1)
    tab.page.locator("[data-part=restate]").click()
    tab.settle()
    assert tab.state["values"] == pytest.approx(stated)


def test_a_bore_that_cannot_be_worked_out_leaves_no_preview_on_the_page(
    tab: Any, monkeypatch: pytest.MonkeyPatch
) -> None:
    free = threading.Event()

    def broken(*_: object) -> States:
        assert free.wait(60.0)
        raise ValueError("this bore has no balance")

    monkeypatch.setattr(figures, "bored", broken)
    monkeypatch.setattr(figures, "judged_with_bores", broken)
    _press(tab, "ArrowLeft")
    tab.settle()
    _is_preview(tab)
    free.set()
    tab.settle(fully=True)
    _drawn(tab)
    assert tab.words("[data-part=figures-head]") == "At this state: not computed"
    assert "this bore has no balance" in tab.words("[data-part=trouble]")
    assert tab.words("[data-part=state]").startswith("? Not judged")
    assert tab.page.locator(PASSED).count() == 0
    assert all(label == "not computed" for label in _labels(tab))


@pytest.mark.usefixtures("free")
def test_on_a_phone_the_slider_is_as_wide_as_the_page(live: Any, new_tab: Callable[..., Any]) -> None:
    tab = new_tab(live.address, viewport={"width": 390, "height": 844})
    tab.page.locator(".sheetbutton").click()
    box = tab.page.locator("[data-slider=bore_mm]").bounding_box()
    assert box["x"] >= 0.0
    assert box["width"] > 300.0
    assert box["x"] + box["width"] <= 390.0
    _press(tab, "ArrowRight")
    tab.settle()
    _is_preview(tab)
    assert tab.page.evaluate("document.documentElement.scrollWidth <= innerWidth")


def test_what_a_micrometre_of_bore_does_is_told_when_the_slider_rests(
    live: Any, tab: Any, monkeypatch: pytest.MonkeyPatch
) -> None:
    ready: Assessment = live.server.watched.shown.ready.assessment
    assert ready.operations[0].clamping.band_peak_per_um > 0.0
    tab.settle(fully=True)
    first = tab.state["figures"]["peak_change_for_1_um_MPa"]
    assert first > 0.0
    assert f"± {first:.2f} MPa" in tab.words("[data-part=figures]")
    asked, event = figures.at, threading.Event()

    def held_back(*args: Any, per_um: bool, **others: Any) -> Any:
        assert not per_um or event.wait(60.0)
        return asked(*args, per_um=per_um, **others)

    monkeypatch.setattr(figures, "at", held_back)
    tab.page.locator("[data-slider=pressure_bar] input[type=range]").press("PageUp")
    tab.settle()
    for _ in range(2):  # while it moves, and while it is worked out
        assert "for 1 µm of bore radius– when the slider rests" in tab.words("[data-part=figures]")
        tab.page.wait_for_timeout(600)
    event.set()
    tab.settle(fully=True)
    change = tab.state["figures"]["peak_change_for_1_um_MPa"]
    assert change > 0.0
    assert change != first
    assert f"± {change:.2f} MPa" in tab.words("[data-part=figures]")

"""Part and jaws as they give way, enlarged on the live page: drawn of the state shown alone, and said how much."""

from __future__ import annotations

import re
from collections.abc import Callable
from typing import Any

import numpy as np
import pytest

from sim.assessment.deformed import clamped_mm, deformed
from sim.assessment.state import at

LOOKS = pytest.mark.parametrize("drawn", [True], ids=["drawn"])


@pytest.fixture
def drawn() -> bool:
    """Words and figures are looked at, and what the scripts draw over the picture: not the picture."""
    return False


@pytest.fixture(scope="module")
def live(shown_of: Callable[[str], Any]) -> Any:
    return shown_of("thin_ring_distorts")


@pytest.fixture
def tab(live: Any, new_tab: Callable[..., Any]) -> Any:
    tab = new_tab(live.address, viewport={"width": 1440, "height": 900})
    tab.page.evaluate("chuckscene.setStage('0')")
    tab.page.evaluate(
        "chuckscene.cut({ plane: '' }); chuckscene.fitView('tailstock'); chuckscene.enlarge(0, false)"
    )
    # The page opens at what fails: the state is that which is stated, of a part of middle size.
    tab.page.evaluate("""(stage => {
      chuckscene.change('gripped_diameter_mm', stage.sizes.middle);
      chuckscene.change('speed_rpm', stage.values.speed_rpm);
      chuckscene.change('travel_mm', stage.values.travel_mm);
    })(chuckscene.stage())""")
    tab.settle()
    return tab


def _enlarged(tab: Any, step: int) -> None:
    slider = tab.page.locator("[data-part=shape-by]")
    slider.evaluate(
        f"(bar) => {{ bar.value = {step}; bar.dispatchEvent(new Event('input', {{ bubbles: true }})); }}"
    )
    tab.settle()


def _trace(tab: Any, kind: str = "trace") -> Any:
    """Corners of the drawn line round the part, pixels."""
    path = tab.page.locator(f".overlay path[class='{kind}']")
    return np.array(re.findall(r"[ML](-?[\d.]+) (-?[\d.]+)", path.get_attribute("d")), dtype=float)


def _words(tab: Any) -> str:
    return str(tab.words("[data-part=shape-words]"))


def test_the_ring_is_drawn_as_many_times_as_it_says(tab: Any, live: Any) -> None:
    """Seen along the spindle, every point of the line by the pinhole's arithmetic."""
    assert tab.page.locator(".overlay .trace").count() == 0
    assert _words(tab) == "×1, true size"
    _enlarged(tab, 7)
    assert _words(tab) == "×200"
    ready = live.watched.shown.ready
    values, view = tab.state["values"], tab.state["view"]
    shape = deformed(ready, at(ready, 0, speed=values["speed_rpm"]))
    assert shape is not None
    moved = clamped_mm(shape)[-1]
    depth = view["distance"] + view["focus"][2] - (shape.ring_mm[1] + 200.0 * moved[2])
    width, height = tab.page.evaluate(
        "[document.querySelector('.view').clientWidth, document.querySelector('.view').clientHeight]"
    )
    pixel = 0.5 * height / np.tan(0.5 * view["angle"]) / depth
    c, s = np.cos(shape.angles_rad), np.sin(shape.angles_rad)
    out, around = shape.ring_mm[0] + 200.0 * moved[0], 200.0 * moved[1]
    x, y = out * c - around * s - view["focus"][0], out * s + around * c - view["focus"][1]
    expected = np.column_stack([0.5 * width - y * pixel, 0.5 * height - x * pixel])
    assert _trace(tab) == pytest.approx(expected, abs=1.5)
    words = " ".join(tab.page.locator(".overlay .card.measure").all_text_contents()).replace("\xa0", " ")
    assert f"{shape.roundness_um:.1f} µm out of round" in words
    assert "×200" in words


@pytest.mark.parametrize("width", [1440, 390])
def test_a_page_whose_part_comes_out_of_round_opens_on_that_shape(
    live: Any, new_tab: Callable[..., Any], width: int
) -> None:
    """Enlarged as it springs back, the part solid, with the very figure that fails; nothing is said of pressures."""
    tab = new_tab(live.address, viewport={"width": width, "height": 900})
    tab.settle()
    judged = live.watched.shown.ready.assessment
    failing = next(one for one in judged.verdicts if one.key == "roundness_after_release")
    assert failing.status == "fail"
    card = tab.page.locator(".overlay .card.measure")
    said = " ".join(card.all_text_contents()).replace("\xa0", " ")
    assert f"after release: {judged.operations[0].roundness:.1f} µm out of round" in said
    assert tab.state["shape"]["released"]
    assert f"drawn {tab.state['shape']['words']}" in said
    assert not tab.page.locator("[data-part=scale]").is_visible()
    assert tab.page.locator("[data-part=changed]").text_content() == "as stated"
    # In one look: whoever looks twice may hold a card that the next picture has written anew.
    view, box = tab.page.evaluate(
        "['[data-part=view]', '.overlay .card.measure'].map((one) => "
        "document.querySelector(one).getBoundingClientRect().toJSON())"
    )
    assert view["x"] <= box["x"]
    assert box["x"] + box["width"] <= view["x"] + view["width"]
    # Deviations as large as they can be seen, and no larger than the part.
    radius = 0.5 * judged.operations[0].operation.workpiece.gripped_diameter_low
    times = float(tab.state["shape"]["words"].removeprefix("×"))
    assert 0.05 * radius < times * 1e-3 * judged.operations[0].roundness < 0.35 * radius
    # Another verdict shows the part in its true size again.
    tab.page.evaluate("chuckscene.choose({ key: 'held_length', stage: chuckscene.stage().name, look: null })")
    tab.settle()
    assert tab.state["shape"]["words"] == "×1, true size"


def test_another_pressure_never_leaves_the_old_shape(tab: Any) -> None:
    _enlarged(tab, 7)
    before = np.ptp(np.linalg.norm(_trace(tab) - _trace(tab).mean(axis=0), axis=1))
    tab.page.evaluate("chuckscene.change('pressure_bar', 2 * chuckscene.state.values.pressure_bar)")
    tab.settle()
    after = np.ptp(np.linalg.norm(_trace(tab) - _trace(tab).mean(axis=0), axis=1))
    assert after > 1.5 * before
    # Open jaws press nothing: the part is drawn as it is.
    tab.page.evaluate("chuckscene.change('travel_mm', 0)")
    tab.settle()
    assert tab.page.locator(".overlay .trace").count() == 0
    assert "true size" in _words(tab)


def test_a_program_that_is_silent_leaves_no_shape(tab: Any) -> None:
    _enlarged(tab, 7)
    tab.page.route("**/state", lambda route: route.abort())
    tab.page.evaluate("chuckscene.change('pressure_bar', 1.2 * chuckscene.state.values.pressure_bar)")
    tab.until("document.querySelectorAll('.overlay .trace').length === 0")
    assert "×200" not in _words(tab)


def test_released_the_ring_is_the_mirror_of_the_clamped_one(tab: Any) -> None:
    _enlarged(tab, 7)
    clamped, round_ = _trace(tab), _trace(tab, "trace round")
    assert tab.page.locator(".overlay .card.grip", has_text="jaw").count() > 0
    tab.page.locator("[data-part=giving] label", has_text="released").click()
    tab.settle()
    released, after = _trace(tab), _trace(tab, "trace round")
    one = np.linalg.norm(clamped - round_.mean(axis=0), axis=1) - np.linalg.norm(
        round_ - round_.mean(axis=0), axis=1
    )
    other = np.linalg.norm(released - after.mean(axis=0), axis=1) - np.linalg.norm(
        after - after.mean(axis=0), axis=1
    )
    assert np.corrcoef(one, other)[0, 1] < -0.95
    assert np.ptp(other) == pytest.approx(np.ptp(one), rel=0.1)
    # No jaw grips a released part, and none is coloured as if it did.
    assert tab.page.locator(".overlay .card.grip", has_text="jaw").count() == 0


def test_nothing_is_measured_on_an_enlarged_shape(tab: Any) -> None:
    _enlarged(tab, 7)
    assert tab.page.locator("[data-part=measure]").is_disabled()
    _enlarged(tab, 0)
    assert tab.page.locator("[data-part=measure]").is_enabled()
    assert tab.page.locator(".overlay .trace").count() == 0


@LOOKS
def test_the_part_is_drawn_out_of_round(tab: Any) -> None:
    """The picture itself: the part alone, pushed in under jaw 1 and out between the jaws."""
    tab.page.evaluate(
        "['chuck body', 'soft jaws', 'master jaws', 'T-nuts', 'jaw screws'].forEach(chuckscene.probe.hide)"
    )
    tab.page.evaluate("chuckscene.probe.look('workpiece', 'solid')")
    tab.settle(fully=True)

    def reach() -> tuple[int, int]:
        """Pixels from the middle up, through jaw 1, and down, between jaws 2 and 3, to the part's rim."""
        pixels = tab.pixels()
        seen = np.abs(pixels - pixels[2, 2]).max(axis=2) > 10
        column = np.flatnonzero(seen[:, seen.shape[1] // 2])
        return seen.shape[0] // 2 - int(column.min()), int(column.max()) - seen.shape[0] // 2

    up, down = reach()
    _enlarged(tab, 7)
    tab.settle(fully=True)
    inward, outward = reach()
    assert inward < up - 4
    assert outward > down + 4


def test_an_answer_that_was_asked_for_without_the_shape_does_not_stand_over_it(tab: Any) -> None:
    """What one micrometre does is asked once the page rests; its answer comes when the shape has been asked for."""
    held: list[Any] = []

    def slow(route: Any) -> None:
        asked = route.request.post_data_json
        if asked.get("exact") and not asked.get("shape"):
            held.append(route)
        else:
            route.continue_()

    tab.page.route("**/state", slow)
    tab.page.evaluate("chuckscene.change('speed_rpm', chuckscene.stage().values.speed_rpm - 40)")
    for _ in range(100):
        tab.page.wait_for_timeout(50)
        if held:
            break
    slider = tab.page.locator("[data-part=shape-by]")
    slider.evaluate("(bar) => { bar.value = 7; bar.dispatchEvent(new Event('input', { bubbles: true })); }")
    tab.until("document.querySelector('[data-part=shape-words]').textContent === '×200'")
    (late,) = held
    with tab.page.expect_response(lambda one: one.request == late.request):
        late.continue_()
    for _ in range(20):
        tab.page.wait_for_timeout(20)
        assert _words(tab) == "×200"
    assert _trace(tab).size

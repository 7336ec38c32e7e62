"""The live page in a real browser: figures as `check` gives them, keys, edits, two tabs, nothing sent elsewhere."""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import Any
from urllib.parse import urlparse

import numpy as np
import pytest

from sim.assessment.stages import assess
from sim.assessment.state import at, on_path
from sim.report.assessment import as_object
from sim.scenario import Scenario

NAME = "valve_bonnet_two_steps"
LOOKS = pytest.mark.parametrize("drawn", [True], ids=["drawn"])


@pytest.fixture
def drawn() -> bool:
    """Words and figures are looked at, and what the scripts draw over the picture: not the picture."""
    return False


@pytest.fixture
def live(serve: Callable[..., Any], judge_copy: Callable[..., Any]) -> Any:
    """Judged with columns for the contact: what the page shows of a state hangs on no model."""
    return serve(NAME, lambda file: judge_copy(file, "foundation"))


@pytest.fixture
def tab(live: Any, new_tab: Callable[..., Any]) -> Any:
    return new_tab(live.address)


@pytest.fixture
def elastic(serve: Callable[..., Any], new_tab: Callable[..., Any]) -> Any:
    """A page as the command shows it if nothing else is said."""
    return new_tab(serve(NAME).address)


def _set(tab: Any, slider: str, value: str) -> None:
    """Type a value into the field beside a slider."""
    field = tab.page.locator(f"[data-slider={slider}] input[type=number]")
    field.fill(value)
    field.press("Enter")
    tab.settle()


@LOOKS
def test_it_loads_and_sends_nothing_elsewhere(tab: Any, live: Any) -> None:
    assessment = live.server.watched.shown.ready.assessment
    assert tab.page.title() == assessment.scenario.title
    assert tab.page.locator(".verdictlist .verdict").count() == len(assessment.verdicts)
    first = tab.page.locator(".verdictlist .verdict").first.inner_text()
    assert assessment.verdicts[0].name in first
    assert "Cautions" in tab.page.locator(".cautionbar").inner_text()
    assert tab.state["webgl"]
    assert tab.said == []
    own = urlparse(live.address)
    assert {(urlparse(u).hostname, urlparse(u).port) for u in tab.asked if not u.startswith("data:")} == {
        (own.hostname, own.port)
    }


def test_the_first_figures_are_those_of_check(elastic: Any, varied: Callable[..., Scenario]) -> None:
    """It opens on marking, the worst, with the pressure that it says; at its speed with the command's own figures."""
    tab = elastic
    checked = as_object(assess(varied(NAME)))
    worst = next(v for v in checked["verdicts"] if v["status"] != "pass")
    assert (worst["key"], worst["stage"]) == ("marking", "first side")
    assert tab.state["figures"]["peak_MPa"] == pytest.approx(worst["value"], rel=1e-6)
    _set(tab, "speed_rpm", "700")
    figures = tab.state["figures"]
    assert figures["total_N"] == pytest.approx(checked["grip"][0]["high_speed_total_N"], rel=1e-6)
    assert figures["rest_total_N"] == pytest.approx(checked["grip"][0]["rest_total_N"], rel=1e-9)
    said = tab.words("[data-part=figures]")
    assert f"{checked['grip'][0]['high_speed_total_N'] / 1000.0:.1f} kN" in said


@LOOKS
@pytest.mark.parametrize(
    ("slider", "typed", "field", "value"),
    [
        ("pressure_bar", "24", "gripping.pressure", "24 bar"),
        ("speed_rpm", "1500", "gripping.speed_high", "1500 rpm"),
    ],
)
def test_pressure_and_speed_give_what_check_gives(
    elastic: Any, varied: Callable[..., Scenario], slider: str, typed: str, field: str, value: str
) -> None:
    tab = elastic
    _set(tab, "speed_rpm", "700")  # as stated: it opens at rest, where marking is worst
    before = tab.pixels()
    _set(tab, slider, typed)
    tab.settle(fully=True)
    checked = as_object(assess(varied(NAME, {f"operations.0.{field}": value})))
    assert tab.state["figures"]["total_N"] == pytest.approx(
        checked["grip"][0]["high_speed_total_N"], rel=1e-6
    )
    assert np.abs(tab.pixels() - before).max() > 8  # the pressures' colours
    told = tab.words("[data-part=judged]")
    assert told.startswith("Judged: first side at")
    verdicts = {v["name"]: v for v in checked["verdicts"] if v["stage"] == "first side"}
    row = tab.page.locator(".verdictlist .verdict", has_text="spindle speed").filter(has_text="first side")
    assert f"{math.floor(verdicts['spindle speed']['limit'])} rev/min" in row.inner_text()


def test_what_fails_at_a_state_stands_first_and_is_counted(tab: Any, varied: Callable[..., Scenario]) -> None:
    _set(tab, "speed_rpm", "2500")
    tab.settle(fully=True)
    fast = varied(NAME, {"operations.0.gripping.speed_high": "2500 rpm"})
    checked = assess(fast, contact_model="foundation")
    failing = [v.name for v in checked.verdicts if v.status == "fail" and v.stage == "first side"]
    assert len(failing) > 1
    rows = tab.page.locator(".verdictlist .verdict")
    assert all("fails" in rows.nth(k).inner_text() for k in range(len(failing)))
    assert f"{len(failing)} fail" in tab.words("[data-part=judged]")
    _set(tab, "speed_rpm", "700")
    tab.settle(fully=True)
    assert "fails" not in rows.first.inner_text()


@LOOKS
def test_travel_opens_the_jaws(tab: Any, live: Any) -> None:
    ready = live.server.watched.shown.ready
    closed = tab.pixels()
    _set(tab, "travel_mm", "1.2")
    state = at(ready, 0, travel=1.2)
    figures = tab.state["figures"]
    assert (figures["gripped"], figures["total_N"]) == (False, 0.0)
    assert figures["gap_mm"] == pytest.approx(state.gap)
    assert f"open, {state.gap:.2f} mm" in tab.words("[data-part=figures]")
    assert tab.words(".overlay").count("open") == 3
    assert (np.abs(tab.pixels() - closed).max(axis=2) > 12).mean() > 0.01


@LOOKS
def test_the_spindle_turns_under_the_cuts_side_force(tab: Any, live: Any) -> None:
    ready = live.server.watched.shown.ready
    side = ready.assessment.operations[0].clamping.side
    tab.page.locator("[data-part=force-box]").check()
    tab.settle()
    still = tab.pixels()
    _set(tab, "spindle_angle_rad", "50")
    state = at(
        ready,
        0,
        speed=tab.state["values"]["speed_rpm"],
        spindle_angle=math.radians(50.0),
        side_force=side,
        travel=tab.state["values"]["travel_mm"],
    )
    assert tab.state["figures"]["grip_N"] == pytest.approx(state.grip.tolist(), rel=1e-9)
    assert (np.abs(tab.pixels() - still).max(axis=2) > 12).mean() > 0.03
    said = tab.words(".overlay")
    for grip in state.grip:
        assert f"{grip / 1000.0:.1f} kN" in said


@LOOKS
def test_the_tool_runs_and_the_closest_pair_is_told(tab: Any, live: Any) -> None:
    ready = live.server.watched.shown.ready
    tab.page.locator("input[name=stage][value=boring]").check(force=True)
    tab.settle()
    start = tab.pixels()
    _set(tab, "position_mm", "450")
    found = on_path(ready, "boring", 450.0)
    assert tab.state["figures"]["path"]["distance_mm"] == pytest.approx(found.distance)
    said = tab.words(".overlay")
    assert f"{found.distance:.2f} mm" in said
    assert f"{found.part} to {found.body}" in said
    assert (np.abs(tab.pixels() - start).max(axis=2) > 12).mean() > 0.002
    tab.page.locator(".play").click()
    tab.until("chuckscene.state.values.position_mm > 455")
    tab.page.locator(".play").click()


def test_a_verdict_turns_the_scene_to_what_it_is_about(tab: Any, live: Any) -> None:
    tab.open_all()
    row = tab.page.locator(".verdictlist .verdict button", has_text="tool clearance").first
    row.click()
    tab.settle()
    state = tab.state
    least = live.server.watched.shown.ready.assessment.boring.clearance
    assert state["stage"] == "boring"
    assert state["section"]["plane"] == "along"
    assert state["figures"]["path"]["distance_mm"] == pytest.approx(least.least_clearance, abs=0.05)
    assert row.get_attribute("aria-expanded") == "true"
    assert "tool clearance" in tab.words(".overlay")


def test_named_views_of_the_scenario(tab: Any, live: Any) -> None:
    views = live.server.watched.shown.ready.assessment.scenario.views
    select = tab.page.locator("select.named")
    assert select.locator("option").all_inner_texts()[1:] == [v.name for v in views]
    select.select_option(label=views[0].name)
    tab.settle()
    state = tab.state
    assert (state["stage"], state["section"]["plane"]) == ("1", views[0].section)
    assert (state["view"]["yaw"], state["view"]["pitch"]) == pytest.approx((views[0].turn, views[0].rise))
    select.select_option(label=views[1].name)
    tab.settle()
    assert (tab.state["stage"], tab.state["apart"]) == ("boring", views[1].apart)


def test_keys_alone_turn_choose_and_measure(tab: Any) -> None:
    page = tab.page
    view = page.locator("[data-part=view]")
    view.focus()
    yaw = tab.state["view"]["yaw"]
    page.keyboard.press("ArrowLeft")
    assert tab.state["view"]["yaw"] != yaw
    page.keyboard.press("z")
    tab.settle()
    assert (tab.state["view"]["yaw"], tab.state["view"]["pitch"]) == (0.0, 0.0)
    distance = tab.state["view"]["distance"]
    page.keyboard.press("+")
    assert tab.state["view"]["distance"] < distance
    page.keyboard.press("m")
    for _ in range(7):  # off the bore, until metal lies under the cross
        page.keyboard.press("Shift+ArrowDown")
    page.keyboard.press("Enter")
    page.keyboard.press("Shift+ArrowDown")
    page.keyboard.press("Enter")
    tab.settle()
    assert tab.state["measures"] == 1
    assert "mm" in page.locator("[data-part=measures]").inner_text()
    page.keyboard.press("Escape")
    page.locator("#slider-pressure_bar").focus()
    pressure = tab.state["values"]["pressure_bar"]
    page.keyboard.press("ArrowRight")
    tab.settle()
    assert tab.state["values"]["pressure_bar"] == pytest.approx(pressure + 0.1)
    page.keyboard.press("Home")
    tab.settle()
    assert tab.state["values"]["pressure_bar"] == pytest.approx(3.0)
    tab.open_all()
    page.locator(".verdictlist .verdict button").first.focus()
    page.keyboard.press("Enter")
    assert page.locator(".verdictlist .verdict button").first.get_attribute("aria-expanded") == "true"
    stage = tab.state["stage"]  # that of the verdict
    page.locator("input[name=stage]:checked").focus()
    page.keyboard.press("ArrowRight")
    assert tab.state["stage"] in {"0", "1", "boring"} - {stage}
    page.locator("[data-part=divider]").focus()
    width = page.locator("[data-part=side]").bounding_box()["width"]
    page.keyboard.press("ArrowLeft")
    assert page.locator("[data-part=side]").bounding_box()["width"] > width


def test_a_measure_is_that_of_the_drawing(tab: Any, live: Any) -> None:
    """Across the chuck body's face, seen from the tailstock: two corners of the rim lie its radius off the axis."""
    page = tab.page
    tab.settle()
    page.keyboard.press("Escape")
    points = page.evaluate(
        """() => {
          chuckscene.setStage('1');
          chuckscene.fitView('headstock');
          const view = document.querySelector('[data-part=view]').getBoundingClientRect();
          const found = [];
          for (const share of [0.02, 0.98]) {
            // from the edge inward to the first point that hits
            let x = share * view.width;
            const step = share < 0.5 ? 1 : -1;
            for (let k = 0; k < view.width; k += 1, x += step) {
              const hit = chuckscene.pick(x, view.height / 2);
              if (hit) { found.push([x, hit.point, hit.item.body.name]); break; }
            }
          }
          return found;
        }"""
    )
    body = live.server.watched.shown.ready.assessment.scenario.chuck.body_diameter
    (_, one, name), (_, two, other) = points
    assert (name, other) == ("chuck body", "chuck body")
    assert math.dist(one, two) == pytest.approx(body, rel=0.01)


@LOOKS
def test_inch_dark_apart_and_hidden_bodies(tab: Any) -> None:
    page = tab.page
    page.locator("label", has_text="inch").click()
    said = page.locator("[data-part=figures]").inner_text()
    assert "lbf" in said
    assert "kN" not in said
    assert page.locator("[data-slider=travel_mm] .unit").inner_text() == "in"
    light = tab.pixels()
    page.locator("label", has_text="dark").click()
    tab.settle()
    assert tab.pixels().mean() < light.mean() - 60
    page.locator("label", has_text="light").last.click()
    page.locator("[data-part=apart]").fill("1")
    tab.settle()
    assert (np.abs(tab.pixels() - light).max(axis=2) > 12).mean() > 0.05
    page.locator("[data-part=apart]").fill("0")
    page.locator("summary", has_text="bodies").click()
    page.locator("[data-group='soft jaws'] select").select_option("hidden")
    tab.settle()
    assert (np.abs(tab.pixels() - light).max(axis=2) > 12).mean() > 0.02


def test_an_edit_is_taken_over_and_a_mistake_stands_over_the_last_good_scene(tab: Any, live: Any) -> None:
    good = live.file.read_text(encoding="utf-8")
    title = tab.page.title()
    _set(tab, "speed_rpm", "1100")
    tab.settle(
        fully=True
    )  # a question of the file before would be refused, and the browser's console says so
    live.file.write_text(good.replace('title = "', 'title = "Edited: '), encoding="utf-8")
    tab.until("document.title.startsWith('Edited: ')")
    tab.settle()
    assert tab.state["values"]["speed_rpm"] == 1100.0  # what was set by hand stays
    live.file.write_text(good.replace('diameter = "150 mm"', 'diameter = "150"'), encoding="utf-8")
    box = tab.page.locator("[data-part=mistake]")
    box.wait_for(timeout=20_000)
    box.get_by_text("pockets[0].diameter").wait_for(timeout=20_000)  # a look may have met the file emptied
    assert "one number and one unit" in box.inner_text()
    assert tab.page.title() == f"Out of date: Edited: {title}"
    _set(tab, "speed_rpm", "900")
    assert tab.state["figures"]["speed_rpm"] == 900.0  # the last good scene still answers
    tab.settle(fully=True)
    live.file.write_text(good, encoding="utf-8")
    box.wait_for(state="hidden", timeout=20_000)
    tab.until(f"document.title === {title!r}")
    assert tab.said == []


def test_what_is_being_typed_is_left_alone(tab: Any) -> None:
    """Verdicts of the value before come in while the next is typed: the field keeps what is in it until Enter."""
    _set(tab, "pressure_bar", "12")
    field = tab.page.locator("[data-slider=speed_rpm] input[type=number]")
    before = tab.state["values"]["speed_rpm"]
    field.fill("300")
    tab.settle(fully=True)
    tab.page.wait_for_timeout(300)
    assert field.input_value() == "300"
    assert tab.state["values"]["speed_rpm"] == before
    field.press("Enter")
    tab.settle()
    assert tab.state["values"]["speed_rpm"] == 300.0
    field.fill("450")
    field.blur()  # left: a field of numbers then takes what is in it
    tab.settle()
    assert tab.state["values"]["speed_rpm"] == 450.0


def test_two_tabs_do_not_disturb_each_other(tab: Any, live: Any, new_tab: Callable[..., Any]) -> None:
    other = new_tab(live.address)
    _set(tab, "pressure_bar", "12")
    _set(other, "pressure_bar", "26")
    other.page.locator("input[name=stage][value='1']").check(force=True)
    other.settle()
    _set(tab, "speed_rpm", "300")
    ready = live.server.watched.shown.ready
    mine = at(ready, 0, pressure=1.2, speed=300.0, travel=tab.state["values"]["travel_mm"])
    assert tab.state["figures"]["total_N"] == pytest.approx(mine.total, rel=1e-9)
    assert (tab.state["stage"], other.state["stage"]) == ("0", "1")
    assert other.state["values"]["pressure_bar"] != 12.0


def test_fifty_quick_moves_end_at_the_last(tab: Any, live: Any) -> None:
    """Moves that come while one is answered are passed over; the last one is always shown."""
    lags = tab.page.evaluate(
        """async () => {
          const lags = [];
          for (let k = 0; k < 50; k += 1) {
            const start = performance.now();
            chuckscene.change('speed_rpm', 100 + 20 * k);
            if (k % 5 === 4) { await chuckscene.settled(false); lags.push(performance.now() - start); }
          }
          return lags;
        }"""
    )
    assert len(lags) == 10
    state = at(live.server.watched.shown.ready, 0, speed=1080.0, travel=tab.state["values"]["travel_mm"])
    assert tab.state["figures"]["speed_rpm"] == 1080.0
    assert tab.state["figures"]["total_N"] == pytest.approx(state.total, rel=1e-9)
    assert tab.state["answered"] == tab.state["asked"]


def test_a_program_that_has_ended_is_told(tab: Any, live: Any) -> None:
    live.server.close()
    tab.page.evaluate("chuckscene.change('speed_rpm', 400)")
    tab.page.locator("[data-part=trouble]").wait_for(timeout=20_000)
    assert tab.page.locator(".verdictlist .verdict").count() > 20

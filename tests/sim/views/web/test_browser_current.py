"""What the page says is that of the state shown, or it says that it is not: badge, list, labels and figures agree.

Every test ends in `_agree`, which reads only what stands on the page: it counts the marks of the list itself.
"""

from __future__ import annotations

import re
import subprocess
import sys
import threading
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from sim.assessment.results import Assessment
from sim.assessment.stages import assess
from sim.assessment.state import at
from sim.scenario import Scenario
from sim.views import render, review
from sim.views.web import server

NAME = "valve_bonnet_two_steps"
DOUBT = ("out of date", "judging", "not judged")


@pytest.fixture
def drawn() -> bool:
    """Words and figures are looked at, and what the scripts draw over the picture: not the picture."""
    return False


@pytest.fixture
def quickly(judge_copy: Callable[..., Assessment]) -> Callable[[Path], Assessment]:
    """Judge with columns for the contact: what the page says of a state hangs on no model."""
    return lambda file: judge_copy(file, "foundation")


@pytest.fixture
def live(serve: Callable[..., Any], quickly: Callable[[Path], Assessment]) -> Any:
    return serve(NAME, quickly)


@pytest.fixture
def tab(live: Any, new_tab: Callable[..., Any]) -> Any:
    return new_tab(live.address)


def _set(tab: Any, slider: str, value: str) -> None:
    field = tab.page.locator(f"[data-slider={slider}] input[type=number]")
    field.fill(value)
    field.press("Enter")


def _badge(tab: Any) -> str:
    return str(tab.page.locator("[data-part=state]").inner_text()).replace("\xa0", " ")


def _marks(tab: Any) -> list[str]:
    return [text.strip() for text in tab.page.locator(".verdictlist .verdict .mark").all_inner_texts()]


def _labels(tab: Any) -> list[str]:
    """What is written on the three jaws, below 'jaw n'."""
    found = tab.page.locator(".overlay .card.grip tspan:nth-child(2)").all_text_contents()
    return [text.replace("\xa0", " ") for text in found]


def _figures(tab: Any) -> str:
    return str(tab.page.locator("[data-part=figures]").inner_text()).replace("\xa0", " ")


def _agree(tab: Any) -> None:
    """Hold the parts of the page against each other, at one moment."""
    tab.page.evaluate("new Promise((done) => requestAnimationFrame(() => requestAnimationFrame(done)))")
    badge, marks, labels, figures = _badge(tab), _marks(tab), _labels(tab), _figures(tab)
    heading = tab.words("[data-part=figures-head]")
    doubtful = [mark for mark in marks if mark.endswith(DOUBT)]
    assert doubtful in ([], marks)  # one list, one worth
    if not doubtful:
        counted = {s: sum(m.endswith(f"{s}{'es' if s == 'pass' else 's'}") for m in marks) for s in STATES}
        assert sum(counted.values()) == len(marks)
        assert ", ".join(f"{counted[s]} {s}" for s in STATES) in badge
        if counted["fail"]:
            assert "All verdicts pass" not in badge
    else:
        judged = ".app :is(.mark.pass, .mark.warn, .mark.fail, .state.pass, .state.warn)"
        stood = tab.page.locator(judged).count()
        if _marks(tab) != marks:  # the judging ended between two looks
            _agree(tab)
            return
        assert "All verdicts pass" not in badge
        assert stood == 0
    if "not held" in figures:
        assert "0.0 kN" in figures
        assert badge.startswith(("✕ Not held", "? Out of date"))
        assert all("not held" in label for label in labels)
    if heading == "At this state":
        assert all(re.fullmatch(r"[\d.]+ (kN|lbf)(, too little)?|open|not held", label) for label in labels)
    if "out of date" in heading:
        assert all(label.startswith("before: ") for label in labels)
        assert "Out of date" in badge
        assert tab.page.title().startswith("Out of date: ")
    if "not computed" in heading:
        assert all(label == "not computed" for label in labels)
        assert "kN" not in figures


def _looked_at(live: Any, tab: Any) -> None:
    """Wait until files that were written one after the other are judged as they are now, and not judged again."""
    seen = -1
    while seen != live.server.watched.events or live.server.watched.shown.judging:
        seen = live.server.watched.events
        tab.page.wait_for_timeout(1000)


STATES = ("fail", "warn", "pass")


def test_a_part_that_is_not_held_never_stands_under_a_pass(tab: Any, varied: Callable[..., Scenario]) -> None:
    _agree(tab)
    stated = _marks(tab)
    _set(tab, "speed_rpm", "4000")
    tab.settle()
    assert "not held" in _figures(tab)
    assert _badge(tab).startswith(
        "✕ Not held at the state shown: being judged"
    )  # at once, not when it is judged
    assert all(mark == "… judging" for mark in _marks(tab))
    assert tab.page.locator("[data-part=verdicts]").get_attribute("aria-busy") == "true"
    _agree(tab)
    tab.settle(fully=True)
    _agree(tab)
    checked = assess(
        varied(NAME, {"operations.0.gripping.speed_high": "4000 rpm"}), contact_model="foundation"
    )
    failing = sum(v.status == "fail" for v in checked.verdicts)
    assert failing > 0
    assert f"{failing} fail" in _badge(tab)
    assert f"{failing} fail" in tab.words("[data-part=judged]")
    assert "As the file states: " in _badge(tab)
    assert tab.page.locator("[data-part=verdicts]").get_attribute("aria-busy") == "false"
    tab.page.locator("[data-part=restate]").click()
    tab.settle(fully=True)
    _agree(tab)
    assert _marks(tab) == stated
    assert "not held" not in _figures(tab)
    assert tab.page.locator("[data-part=restate]").is_hidden()


def test_all_verdicts_are_those_of_the_state_also_of_a_program(
    serve: Callable[..., Any],
    new_tab: Callable[..., Any],
    varied: Callable[..., Scenario],
    quickly: Callable[[Path], Assessment],
) -> None:
    """Those on the program's moves depend on the pressure, too: none is carried over from the file."""
    tab = new_tab(serve("cast_hub_by_program", quickly).address)
    row = tab.page.locator(".verdictlist .verdict", has_text="holding factor, each move")
    before = row.inner_text()
    _set(tab, "pressure_bar", "8")
    tab.settle(fully=True)
    _agree(tab)
    changes = {"operations.0.gripping.pressure": "8 bar"}
    checked = assess(varied("cast_hub_by_program", changes), contact_model="foundation")
    found = next(v for v in checked.verdicts if v.name == "holding factor, each move")
    assert row.inner_text() != before
    assert f"{found.value:.2f}" in row.inner_text()


def test_another_stage_and_back_leaves_the_verdicts_of_the_state(tab: Any) -> None:
    _set(tab, "speed_rpm", "4000")
    tab.settle(fully=True)
    badge, marks = _badge(tab), _marks(tab)
    assert "✕ fails" in marks
    for stage in ("boring", "1", "0"):
        tab.page.locator(f"input[name=stage][value='{stage}']").check(force=True)
        tab.settle()
        assert _marks(tab) == marks
        assert "Judged: first side at" in tab.words("[data-part=judged]")
        _agree(tab)
    assert _badge(tab) == badge
    assert tab.state["values"]["speed_rpm"] == 4000.0


def test_a_chosen_verdict_is_shown_at_the_state_it_was_judged_at(tab: Any) -> None:
    _set(tab, "pressure_bar", "5")
    tab.settle(fully=True)
    marks = _marks(tab)
    tab.open_all()
    row = tab.page.locator(".verdictlist .verdict button", has_text="grip at rest").first
    row.click()
    tab.settle()
    assert (tab.state["values"]["pressure_bar"], tab.state["values"]["speed_rpm"]) == (5.0, 0.0)
    assert _marks(tab) == marks
    said = tab.words("[data-part=judged]")
    assert "Judged: first side at 5.0 bar" in said
    assert "The scene shows 5.0 bar, 0 rev/min" in said
    _agree(tab)


def test_an_edit_under_a_moved_slider_is_judged_at_the_slider(
    tab: Any, live: Any, varied: Callable[..., Scenario]
) -> None:
    _set(tab, "pressure_bar", "9")
    tab.settle(fully=True)
    text = live.file.read_text(encoding="utf-8")
    live.file.write_text(
        text.replace('title = "', 'title = "Edited: ').replace("[limits]", "[limits]\nloading_clearance = \"9 mm\"")
        if "[limits]" in text
        else text.replace('title = "', 'title = "Edited: ') + '\n[limits]\nloading_clearance = "9 mm"\n',
        encoding="utf-8",
    )  # fmt: skip
    tab.until("document.title.startsWith('Edited: ')")
    tab.settle()
    assert all(mark == "… judging" for mark in _marks(tab))  # none of the old file, none of the old pressure
    _agree(tab)
    tab.settle(fully=True)
    changes = {"operations.0.gripping.pressure": "9 bar", "limits.loading_clearance": "9 mm"}
    checked = assess(varied(NAME, changes), contact_model="foundation")
    failing = sum(v.status == "fail" for v in checked.verdicts)
    assert tab.state["values"]["pressure_bar"] == 9.0
    assert f"{failing} fail" in _badge(tab)
    _agree(tab)


def test_a_mistake_marks_all_that_is_shown_until_the_file_is_good(
    serve: Callable[..., Any], new_tab: Callable[..., Any], quickly: Callable[[Path], Assessment]
) -> None:
    """Also one that nobody thought of."""

    def judge(file: Path) -> Assessment:
        if "# boom" in file.read_text(encoding="utf-8"):
            raise ZeroDivisionError("float division by zero")
        return quickly(file)

    live = serve(NAME, judge)
    tab, other = new_tab(live.address), new_tab(live.address)
    _set(other, "speed_rpm", "4000")
    good, badge = live.file.read_text(encoding="utf-8"), _badge(tab)
    for bad in (good + "# boom\n", good.replace('diameter = "150 mm"', 'diameter = "150"'), good + "[["):
        live.file.write_text(bad, encoding="utf-8")
        tab.page.locator("[data-part=mistake]").wait_for(timeout=30_000)
        for one in (tab, other):
            one.until("document.title.startsWith('Out of date: ')")
            one.settle()
            assert all(mark == "? out of date" for mark in _marks(one))
            assert _badge(one).startswith("? Out of date: the file has a mistake")
            assert "Before: " in _badge(one)
            assert one.page.locator("[data-part=state]").get_attribute("role") == "status"
            assert one.page.locator("[data-part=judged]").inner_text().startswith("Out of date: ")
            _agree(one)
        _set(tab, "speed_rpm", "900")  # figures follow, of a file that is out of date
        tab.settle(fully=True)
        _agree(tab)
        live.file.write_text(good, encoding="utf-8")
        for one in (tab, other):
            one.until("!document.title.startsWith('Out of date')")
        tab.page.locator("[data-part=restate]").click()
        tab.settle(fully=True)
        _agree(tab)
        assert _badge(tab) == badge
        other.settle(fully=True)
        assert "fail" in _badge(other)
        _agree(other)
    assert tab.said == []


def test_programs_turned_to_nonsense_leave_no_pass(
    serve: Callable[..., Any], new_tab: Callable[..., Any], quickly: Callable[[Path], Assessment]
) -> None:
    live = serve("cast_hub_by_program", quickly)
    tab = new_tab(live.address)
    programs = {one: one.read_bytes() for one in (live.file.parent / "programs").glob("*.nc")}
    for one in programs:
        one.write_text("nonsense", encoding="utf-8")
    tab.page.locator("[data-part=mistake]").wait_for(timeout=30_000)
    assert "NONSENSE" in tab.words("[data-part=mistake-text]")
    _agree(tab)
    for one, content in programs.items():
        one.write_bytes(content)
    _looked_at(live, tab)
    tab.until("!document.title.startsWith('Out of date')")
    tab.settle()
    _agree(tab)


def test_a_saved_file_is_marked_while_it_is_judged(
    serve: Callable[..., Any], new_tab: Callable[..., Any], quickly: Callable[[Path], Assessment]
) -> None:
    hold = threading.Event()

    def judge(file: Path) -> Assessment:
        if "Edited" in file.read_text(encoding="utf-8"):
            hold.wait(60.0)
        return quickly(file)

    live = serve(NAME, judge)
    tab = new_tab(live.address)
    text = live.file.read_text(encoding="utf-8")
    live.file.write_text(text.replace('title = "', 'title = "Edited: '), encoding="utf-8")
    tab.until("document.title.startsWith('Out of date: ')")
    assert "the file has been saved and is being judged" in _badge(tab)
    _agree(tab)
    hold.set()
    tab.until("document.title.startsWith('Edited: ')")
    tab.settle(fully=True)
    _agree(tab)


def test_a_mistake_is_not_shown_of_a_file_that_is_judged_anew(
    serve: Callable[..., Any], new_tab: Callable[..., Any], quickly: Callable[[Path], Assessment]
) -> None:
    """Mended, a program takes seconds to judge: until then the page told of the mistake that was no longer there."""
    hold = threading.Event()

    def judge(file: Path) -> Assessment:
        if "Mended" in file.read_text(encoding="utf-8"):
            hold.wait(60.0)
        return quickly(file)

    live = serve(NAME, judge)
    tab = new_tab(live.address)
    text = live.file.read_text(encoding="utf-8")
    live.file.write_text(f"nonsense = 3\n{text}", encoding="utf-8")
    box = tab.page.locator("[data-part=mistake]")
    box.wait_for(timeout=30_000)
    live.file.write_text(text.replace('title = "', 'title = "Mended: '), encoding="utf-8")
    box.wait_for(state="hidden", timeout=30_000)
    assert "the file has been saved and is being judged" in _badge(tab)
    assert "is being judged" in tab.words("[data-part=trouble]")
    assert all(mark == "? out of date" for mark in _marks(tab))
    _agree(tab)
    hold.set()
    tab.until("document.title.startsWith('Mended: ')")
    tab.settle(fully=True)
    _agree(tab)


def test_a_program_that_has_ended_leaves_marks_on_a_page_that_nobody_touches(tab: Any, live: Any) -> None:
    live.server.close()
    tab.until("document.title.startsWith('Out of date: ')")
    assert "the program behind this page cannot be reached" in _badge(tab)
    assert tab.page.locator("[data-part=trouble]").is_visible()
    assert all(mark == "? out of date" for mark in _marks(tab))
    _agree(tab)


def test_a_killed_program_leaves_no_figures_of_another_state(
    new_tab: Callable[..., Any], scenario_file: Callable[[str], Path]
) -> None:
    """The command as a user starts it, ended without a farewell."""
    arguments = ["open", str(scenario_file(NAME)), "--no-browser", "--quick"]
    running = subprocess.Popen(  # noqa: S603
        [sys.executable, "-c", "from sim.cli import main; main()", *arguments],
        stdout=subprocess.PIPE,
        text=True,
    )
    try:
        assert running.stdout is not None
        tab = new_tab(running.stdout.readline().strip())
        _agree(tab)
    finally:
        running.kill()
        running.communicate(timeout=20.0)
    tab.until("document.title.startsWith('Out of date: ')")
    _agree(tab)
    _set(tab, "speed_rpm", "2000")
    tab.until("document.querySelector('[data-part=figures-head]').textContent.includes('not computed')")
    tab.settle()
    _agree(tab)
    assert _labels(tab) == ["not computed"] * 3


def test_figures_that_do_not_come_are_taken_away(tab: Any) -> None:
    held: list[Any] = []
    holding = True
    tab.page.route("**/state", lambda route: held.append(route) if holding else route.continue_())
    tab.page.evaluate("chuckscene.change('speed_rpm', 900)")
    tab.until("document.querySelector('[data-part=figures-head]').textContent.includes('being computed')")
    tab.until("document.querySelector('[data-part=figures-head]').textContent.includes('not computed')")
    _agree(tab)
    assert _labels(tab) == ["not computed"] * 3
    assert tab.page.locator("[data-part=faces]").is_hidden()  # and the colours with them
    assert tab.page.locator("[data-part=scale]").is_hidden()
    holding = False
    for route in held:
        route.continue_()
    tab.settle(fully=True)
    _agree(tab)
    assert tab.state["figures"]["speed_rpm"] == 900.0


def test_a_late_answer_of_the_old_file_is_not_shown(tab: Any, live: Any) -> None:
    held: list[tuple[Any, Any]] = []
    holding = True

    def late(route: Any) -> None:
        if holding:
            held.append((route, route.fetch()))
        else:
            route.continue_()

    tab.page.route("**/state", late)
    tab.page.evaluate("chuckscene.change('speed_rpm', 900)")
    for _ in range(200):
        if held:
            break
        tab.page.wait_for_timeout(50)
    assert held[0][1].status == 200
    text = live.file.read_text(encoding="utf-8")
    field = re.search(r"efficiency = [\d.]+", text)
    edited = text.replace('title = "', 'title = "Edited: ')
    edited = (
        edited.replace(field[0], "efficiency = 0.5")
        if field
        else edited.replace("[chuck]", "[chuck]\nefficiency = 0.5")
    )
    live.file.write_text(edited, encoding="utf-8")
    tab.until("document.title.includes('Edited: ')")
    holding = False
    for route, response in held:
        route.fulfill(response=response)
    tab.settle(fully=True)
    _agree(tab)
    state = at(live.server.watched.shown.ready, 0, speed=900.0, travel=tab.state["values"]["travel_mm"])
    old = held[0][1].json()["total_N"]
    assert abs(state.total - old) > 0.1 * old
    assert tab.state["figures"]["total_N"] == pytest.approx(state.total, rel=1e-9)
    assert tab.state["version"] == live.server.watched.shown.version


def test_a_state_that_cannot_be_judged_has_no_verdicts(tab: Any) -> None:
    def refuse(route: Any) -> None:
        if "gripping" in route.request.post_data:
            route.fulfill(status=422, json={"mistake": "the part is not balanced between the jaws"})
        else:
            route.continue_()

    tab.page.route("**/state", refuse)
    _set(tab, "speed_rpm", "1200")
    tab.settle(fully=True)
    assert all(mark == "? not judged" for mark in _marks(tab))
    assert _badge(tab).startswith("? Not judged at the state shown")
    assert "not balanced between the jaws" in tab.words("[data-part=trouble]")
    _agree(tab)


def test_the_words_over_a_chosen_place_are_those_of_the_list(tab: Any, live: Any) -> None:
    tab.open_all()
    tab.page.locator(".verdictlist .verdict button", has_text="tool clearance").first.click()
    tab.settle()
    assert "tool clearance: passes" in tab.words(".overlay")
    live.file.write_text("[[", encoding="utf-8")
    tab.until("document.title.startsWith('Out of date: ')")
    tab.settle()
    _agree(tab)
    said = tab.words(".overlay")
    assert "tool clearance: passes" not in said
    assert "tool clearance: out of date" in said


def test_the_mark_of_the_permissible_speed_follows_the_pressure(tab: Any, live: Any) -> None:
    def permissible() -> str:
        marks = tab.page.locator("[data-slider=speed_rpm] .marks i")
        titles = [str(marks.nth(k).get_attribute("title")) for k in range(marks.count())]
        return next(t for t in titles if t.startswith("permissible")).replace("\xa0", " ")

    before = permissible()
    _set(tab, "pressure_bar", "10")
    tab.settle()
    state = at(live.server.watched.shown.ready, 0, pressure=1.0, speed=tab.state["values"]["speed_rpm"])
    assert permissible() != before
    assert permissible() == f"permissible: {state.figures.permissible.least:.0f} rev/min"


def test_the_file_that_is_handed_round_says_of_which_state_its_verdicts_are(
    quickly_judged: Callable[[str], Assessment],
    tmp_path: Path,
    new_tab: Callable[..., Any],
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr(render, "_trial", lambda: "left out in this test")
    file = review.write_review(quickly_judged("valve_bonnet_first_side"), tmp_path / "review.html")
    tab = new_tab(file.as_uri(), offline=True)
    stated, badge = _marks(tab), _badge(tab)
    assert tab.words("[data-part=judged]").startswith("As the scenario states")
    _agree(tab)
    _set(tab, "speed_rpm", "500")
    tab.settle(fully=True)
    assert _badge(tab).startswith("? Not judged at the state shown")
    assert "As stated: " in _badge(tab)
    assert all(mark == "? not judged" for mark in _marks(tab))
    _agree(tab)
    _set(tab, "speed_rpm", "9999")
    tab.settle(fully=True)
    assert "not held" in _figures(tab)
    assert _badge(tab).startswith("✕ Not held at the state shown: not judged")
    _agree(tab)
    tab.page.locator("[data-part=restate]").click()
    tab.settle(fully=True)
    assert (_marks(tab), _badge(tab)) == (stated, badge)
    _agree(tab)
    tab.page.evaluate("chuckscene.change('speed_rpm', 333)")  # between two states that were computed
    tab.settle()
    _agree(tab)
    assert _labels(tab) == ["not computed"] * 3


def test_now_stands_beside_the_worst_case_of_each_verdict_that_has_a_figure_of_the_state(tab: Any) -> None:
    """The state shown, of one size and without the cut's push, beside what is judged at the worst; both are named."""
    stage = tab.page.evaluate("chuckscene.stage().key")
    name = tab.page.evaluate("chuckscene.stage().name")
    spare = tab.page.evaluate(
        "Math.min(6 - chuckscene.state.figures.jaw_travel_mm, chuckscene.state.figures.jaw_travel_mm)"
    )
    rows = _rows_with_now(tab)
    assert rows["grip travel", name] == ("worst case", f"{spare:.2f} mm")
    least = tab.page.evaluate("Math.min(...chuckscene.state.figures.grip_N) / 1000")
    assert rows["least grip of a jaw", name] == ("worst case", f"{least:.1f} kN")
    assert {stage_ for _, stage_ in rows} == {name}  # of other stages the sliders show nothing
    _set(tab, "speed_rpm", "9999")
    tab.settle(fully=True)
    assert _rows_with_now(tab)["least grip of a jaw", name][1] == "not held"
    tab.page.evaluate("chuckscene.setStage('boring')")
    tab.settle(fully=True)
    assert {stage_ for _, stage_ in _rows_with_now(tab)} <= {"boring"}
    assert stage != "boring"


def _rows_with_now(tab: Any) -> dict[tuple[str, str], tuple[str, str]]:
    """Of each verdict with a figure of the state shown: what its own figure is called, and that of the state."""
    found = tab.page.evaluate(
        "[...document.querySelectorAll('.verdictlist .verdict')].filter((row) => !row.querySelector('.now').hidden)"
        ".map((row) => ['strong', '.where', '.worst', '.now'].map((part) => row.querySelector(part).textContent.trim())"
        ")"
    )
    return {(name, stage): (worst, now.replace("\xa0", " ")) for name, stage, worst, now in found}


def test_a_sign_of_life_leaves_the_settled_picture_alone(
    live: Any, new_tab: Callable[..., Any], monkeypatch: pytest.MonkeyPatch
) -> None:
    """The program repeats every three seconds, here more often, that all is as it was: nothing is drawn for it."""
    monkeypatch.setattr(server, "HEARTBEAT", 0.1)
    fine = new_tab(live.address, plain=False)
    fine.settle(fully=True)
    fine.page.evaluate(
        """() => {
          window.pictures = 0;
          window.signs = 0;
          const card = document.querySelector('canvas[data-part=canvas]').getContext('webgl2'), fence = card.fenceSync;
          card.fenceSync = (...given) => { pictures += 1; return fence.apply(card, given); };
          const told = chuckscene.file;
          chuckscene.file = (said) => { signs += 1; told(said); };
        }"""
    )
    fine.until("signs > 5")
    fine.page.evaluate("new Promise((done) => setTimeout(done, 300))")
    assert fine.page.evaluate("pictures") == 0
    fine.page.evaluate("chuckscene.resized()")
    fine.until("pictures > 1")


def test_verdicts_under_way_are_not_asked_for_again_and_their_coming_settles_the_page(tab: Any) -> None:
    """What takes long at rest comes while the verdicts are under way, which then come: nothing is left to wait for."""
    judged: list[Any] = []
    resting: list[Any] = []

    def hold(route: Any) -> None:
        asked = route.request.post_data_json
        kept = judged if "gripping" in asked else resting if asked.get("exact") else None
        if kept is None:
            route.continue_()
        else:
            kept.append(route)

    tab.settle(fully=True)
    tab.page.route("**/state", hold)
    tab.page.evaluate("chuckscene.change('speed_rpm', 870)")
    for _ in range(100):
        tab.page.wait_for_timeout(50)
        if judged and resting:
            break
    for routes in (resting, judged):
        (route,) = routes
        with tab.page.expect_response(lambda one, route=route: one.request == route.request):
            route.continue_()
    settled = "chuckscene.settled(true).then(() => true)"
    late = "new Promise((done) => setTimeout(() => done(false), 15000))"
    assert tab.page.evaluate(f"Promise.race([{settled}, {late}])")
    assert tab.state["held"]["verdicts"] == "current"
    assert len(judged) == 1


def test_what_says_the_same_is_not_written_again(tab: Any) -> None:
    """Nodes put anew are laid out and drawn anew, at every step of a slider."""
    tab.settle(fully=True)
    tab.page.evaluate(
        """() => {
          window.anew = [];
          const name = ({ target }) => target.className || target.nodeName;
          const told = new MutationObserver((all) => anew.push(...all.map(name)));
          const own = ["legend", "scale-ticks", "figures"].map((name) => document.querySelector(`[data-part=${name}]`));
          for (const place of [...own, ...document.querySelectorAll(".slider .marks")]) {
            told.observe(place, { subtree: true, childList: true, characterData: true });
          }
        }"""
    )
    speed = tab.state["values"]["speed_rpm"]
    tab.page.evaluate(f"chuckscene.change('speed_rpm', {speed})")
    tab.settle()
    assert set(tab.page.evaluate("anew")) <= {
        "DD"
    }  # what a micrometre of bore does waits for the slider to rest
    tab.page.evaluate(f"chuckscene.change('speed_rpm', {speed + 100.0})")
    tab.settle()
    assert tab.page.evaluate("anew").count("DD") > 2

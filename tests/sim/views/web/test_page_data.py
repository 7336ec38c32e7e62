"""The data of the page: bodies where sim.setup.pose has them, looks that exist, figures as the states have them."""

from __future__ import annotations

import base64
import json
import math
from collections.abc import Callable
from functools import cache
from typing import Any

import numpy as np
import pytest

from sim.assessment.results import CAUTIONS, Assessment
from sim.assessment.stages import assess
from sim.assessment.state import States, at, states
from sim.scenario import Scenario
from sim.setup import pose
from sim.views.bodies import metal_colour
from sim.views.web.document import as_json, filled, scene_data, script
from sim.views.web.figures import StateError, answer
from sim.views.wording import row


@pytest.fixture(scope="module")
def main_states(assessment: Callable[[str], Assessment]) -> States:
    return states(assessment("valve_bonnet_two_steps"))


@pytest.fixture(scope="module")
def main_data(data_of: Callable[[str], dict[str, Any]]) -> dict[str, Any]:
    return data_of("valve_bonnet_two_steps")


@pytest.fixture(scope="module")
def data_of(assessment: Callable[[str], Assessment]) -> Callable[[str], dict[str, Any]]:
    """Data of the page of a scenario file, made only once; tests read it."""
    return cache(lambda name: scene_data(states(assessment(name))))


def _positions(data: dict[str, Any], body: dict[str, Any]) -> np.ndarray[Any, Any]:
    raw = base64.b64decode(data["shapes"][body["shape"]]["positions"])
    return np.frombuffer(raw, "<f4").reshape(-1, 3).astype(np.float64)


@pytest.mark.parametrize("travel", [0.0, 2.5])
def test_bodies_stand_where_the_pose_has_them(
    scenario_name: str,
    assessment: Callable[[str], Assessment],
    data_of: Callable[[str], dict[str, Any]],
    travel: float,
) -> None:
    judged_ = assessment(scenario_name)
    data = data_of(scenario_name)
    solids = {s.name: s for s in pose.gripping_scene(judged_.parts, 0, travel)}
    # What is only drawn beside them, lines and teeth, has no solid that is judged.
    judged_kinds = {s.kind for s in solids.values()}
    found = [
        b
        for b in data["bodies"]
        if b["run"] is None
        and (not b["stages"] or "0" in b["stages"])
        and b["kind"] in judged_kinds
        and data["shapes"][b["shape"]]["triangles"]
    ]
    assert {b["name"] for b in found} == set(solids)
    for body in found:
        turn = 0.0 if body["jaw"] is None else body["jaw"] * 2.0 * math.pi / 3.0
        moved = _positions(data, body) + np.array(body["at"])
        moved[:, 0] += 0.0 if body["jaw"] is None else data["slide"] * travel
        c, s = math.cos(turn), math.sin(turn)
        placed = moved @ np.array([[c, s, 0.0], [-s, c, 0.0], [0.0, 0.0, 1.0]])
        expected = solids[body["name"]].mesh.bounds
        assert np.array([placed.min(axis=0), placed.max(axis=0)]) == pytest.approx(expected, abs=2e-4)
        assert body["colour"] == metal_colour(judged_, body["kind"])


def test_every_verdict_turns_to_something_that_is_there(
    scenario_name: str, assessment: Callable[[str], Assessment], data_of: Callable[[str], dict[str, Any]]
) -> None:
    judged_ = assessment(scenario_name)
    data = data_of(scenario_name)
    stages = {stage["key"]: stage for stage in data["stages"]}
    groups = {body["group"] for body in data["bodies"]}
    low, high = np.array(data["reach"])
    assert [v["name"] for v in data["verdicts"]] == [v.name for v in judged_.verdicts]
    for verdict in data["verdicts"]:
        look = verdict["look"]
        stage = stages[look["stage"]]
        assert set(look["values"]) <= set(stage["values"])
        for key, value in look["values"].items():
            if key in stage["ranges"]:
                assert stage["ranges"][key][0] - 1e-6 <= value <= stage["ranges"][key][1] + 1e-6
        if look["target"] is not None:
            assert (np.array(look["target"]) >= low - 60.0).all()
            assert (np.array(look["target"]) <= high + 60.0).all()
            assert look["span"] > 0.0 or look["into"]
        assert groups & {*look["bodies"]} or not look["bodies"]


def test_a_verdict_on_the_tool_turns_to_where_the_check_found_it(
    assessment: Callable[[str], Assessment], data_of: Callable[[str], dict[str, Any]]
) -> None:
    judged_ = assessment("cast_hub_ring_blocks")
    ready = states(judged_)
    found = {v["name"]: v["look"] for v in data_of("cast_hub_ring_blocks")["verdicts"]}
    touch = answer(ready, {"stage": "boring", **found["tool contact"]["values"]})["path"]
    first = judged_.boring.clearance.first_touch
    assert first is not None
    assert (touch["move"], touch["distance_mm"]) == (first.move + 1, 0.0)
    main = states(assessment("valve_bonnet_two_steps"))
    least = main.assessment.boring.clearance
    look = {v["name"]: v["look"] for v in data_of("valve_bonnet_two_steps")["verdicts"]}["tool clearance"]
    nearest = answer(main, {"stage": "boring", **look["values"]})["path"]
    assert nearest["distance_mm"] == pytest.approx(least.least_clearance, abs=0.05)


def test_marking_turns_to_the_size_and_speed_that_press_hardest(
    scenario_name: str, assessment: Callable[[str], Assessment], data_of: Callable[[str], dict[str, Any]]
) -> None:
    """What is then shown is the pressure that the verdict says."""
    judged_ = assessment(scenario_name)
    ready = states(judged_)
    data = data_of(scenario_name)
    values = {stage["key"]: stage["values"] for stage in data["stages"]}
    told = {f.operation.name: f.clamping.band_peak for f in judged_.operations}
    for verdict in data["verdicts"]:
        if verdict["name"] == "marking":
            look = verdict["look"]
            shown = answer(ready, {"stage": look["stage"], **values[look["stage"]], **look["values"]})
            assert shown["peak_MPa"] == pytest.approx(told[verdict["stage"]], rel=0.02)


def test_figures_are_those_of_the_state(main_states: States, main_data: dict[str, Any]) -> None:
    stage = next(s for s in main_data["stages"] if s["key"] == "1")
    asked = {"stage": "1", **stage["values"], "pressure_bar": 21.0, "speed_rpm": 900.0}
    found = answer(main_states, asked)
    state = at(main_states, 1, travel=asked["travel_mm"], pressure=2.1, speed=900.0)
    assert found["grip_N"] == pytest.approx(state.grip.tolist(), rel=1e-12)
    assert found["peak_MPa"] == pytest.approx(state.band_peak)
    bands = np.frombuffer(base64.b64decode(found["bands"]["MPa"]), "<f4")
    assert bands.max() == pytest.approx(state.band_peak, rel=1e-6)
    assert state.bands is not None
    assert (found["bands"]["rows"], found["bands"]["columns"]) == state.bands.shape[1:]
    assert "peak_change_for_1_um_MPa" not in found  # not asked while a slider moves
    rests = at(main_states, 1, travel=asked["travel_mm"], pressure=2.1, speed=900.0, per_um=True)
    exact = answer(main_states, {**asked, "exact": True})
    assert exact["peak_change_for_1_um_MPa"] == rests.band_peak_per_um > 0.0
    assert {**exact, "peak_change_for_1_um_MPa": 0.0} == {**found, "peak_change_for_1_um_MPa": 0.0}


def test_verdicts_of_a_state_are_all_of_the_setup_as_check_gives_them(
    main_states: States, main_data: dict[str, Any], varied: Callable[..., Scenario]
) -> None:
    """None is left that belongs to the scenario's own pressure and speed; two operations may be moved at once."""
    asked = {
        "0": {"pressure_bar": 12.0, "speed_rpm": 2400.0},
        "1": {"pressure_bar": 21.0, "speed_rpm": 900.0},
    }
    found = answer(main_states, {"gripping": asked})
    changes = {
        f"operations.{n}.gripping.{key}": value
        for n, pair in (("0", ("12 bar", "2400 rpm")), ("1", ("21 bar", "900 rpm")))
        for key, value in zip(("pressure", "speed_high"), pair, strict=True)
    }
    checked = assess(varied("valve_bonnet_two_steps", changes))
    assert {(v["stage"], v["name"]): (v["status"], v["value"], v["message"]) for v in found["verdicts"]} == {
        (v.stage, v.name): (v.status, row(v)["value"], row(v)["message"]) for v in checked.verdicts
    }
    order = [("fail", "warn", "pass").index(v["status"]) for v in found["verdicts"]]
    assert order == sorted(order)
    assert found["status"] == checked.status
    assert sum(found["counts"].values()) == len(checked.verdicts)
    moved = [v for v in found["verdicts"] if v["stage"] in {"first side", "second side"}]
    assert all(v["look"] for v in moved)
    known = {(v["stage"], v["name"]) for v in main_data["verdicts"]}
    assert all(v["look"] or (v["stage"], v["name"]) in known for v in found["verdicts"])


@pytest.mark.parametrize(
    ("gripping", "said"),
    [
        ([], "gripping must name"),
        ({"0": 3}, "gripping must name"),
        ({"9": {"pressure_bar": 9.0, "speed_rpm": 9.0}}, "stage must be one of 0, 1, found '9'"),
        ({"0": {"pressure_bar": 9.0}}, "speed_rpm must be a finite number"),
        ({"0": {"pressure_bar": -9.0, "speed_rpm": 9.0}}, "pressure must be finite and above 0"),
    ],
)
def test_verdicts_that_cannot_be_asked_for_are_one_sentence(
    main_states: States, gripping: Any, said: str
) -> None:
    with pytest.raises(StateError, match=said):
        answer(main_states, {"gripping": gripping})


def test_a_program_that_cuts_the_part_has_a_path_with_its_grip(
    assessment: Callable[[str], Assessment], data_of: Callable[[str], dict[str, Any]]
) -> None:
    judged_ = assessment("cast_hub_by_program")
    ready = states(judged_)
    number = next(n for n, path in enumerate(judged_.machining) if path is not None)
    path = judged_.machining[number]
    assert path is not None
    stage = next(s for s in data_of("cast_hub_by_program")["stages"] if s["key"] == str(number))
    assert stage["path"]["run"] == [path.run_of(k) for k in range(len(path.moves))]
    assert {b["run"] for b in data_of("cast_hub_by_program")["bodies"] if str(number) in b["stages"]} >= set(
        range(len(path.runs))
    )
    at_rest = answer(ready, {"stage": str(number), **stage["values"]})
    assert at_rest["path"] is None  # the tool is away until it is run from its start
    worst = int(path.grip.factor.argmin())
    middle = 0.5 * sum(stage["path"]["ends_mm"][worst - 1 : worst + 1])
    found = answer(ready, {"stage": str(number), **stage["values"], "position_mm": middle})["path"]
    assert found["move"] == worst + 1
    assert found["factor"] == pytest.approx(float(path.grip.factor[worst]))


@pytest.mark.parametrize(
    ("asked", "said"),
    [
        ({}, "stage must be one of boring, 0, 1"),
        ({"stage": "7"}, "stage must be one of boring, 0, 1, found '7'"),
        ({"stage": "boring"}, "position_mm must be a finite number"),
        ({"stage": "boring", "position_mm": True}, "position_mm must be a finite number"),
        ({"stage": "0", "pressure_bar": "9"}, "pressure_bar must be a finite number"),
        ({"stage": "0", "pressure_bar": -2.0, "speed_rpm": 1.0}, "travel_mm must be a finite number"),
    ],
)
def test_what_cannot_be_asked_is_one_sentence(main_states: States, asked: dict[str, Any], said: str) -> None:
    with pytest.raises(StateError, match=said):
        answer(main_states, asked)


def test_an_arrow_of_the_highest_grip_is_the_longest(main_states: States, main_data: dict[str, Any]) -> None:
    for stage in main_data["stages"][1:]:
        top = stage["ranges"]["pressure_bar"][1] / 10.0
        hardest = at(main_states, int(stage["key"]), pressure=top, speed=0.0)
        assert stage["grip_top_N"] == pytest.approx(hardest.figures.rest_total / 3.0)
        assert stage["safety"] == main_states.assessment.scenario.limits.holding_factor


def test_no_text_of_the_scenario_can_become_markup(main_data: dict[str, Any]) -> None:
    hostile = {**main_data, "title": "</script><script>alert(1)</script>&<!--"}
    text = as_json(hostile)
    assert "<" not in text
    assert json.loads(text)["title"] == hostile["title"]


def test_the_live_page_carries_its_cautions_and_lets_only_its_own_script_run(main_states: States) -> None:
    from sim.views.web.document import fingerprint, live_page

    page = live_page(scene_data(main_states))
    for caution in CAUTIONS:
        assert caution in page
    assert page.count("<script") == 2
    assert fingerprint(script("live.js")) in page
    assert "script-src 'unsafe" not in page
    assert "http:" not in page.replace("http://www.w3.org/2000/svg", "")
    assert "https:" not in page


def test_templates_refuse_what_they_are_not_given() -> None:
    with pytest.raises(Exception, match="undefined"):
        filled("open.html", style="", script="", sources="")

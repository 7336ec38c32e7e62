"""States written into the page that is handed round: only what was computed, and exactly that."""

from __future__ import annotations

import json
from collections.abc import Callable
from typing import Any

import numpy as np
import pytest

from sim.assessment.results import Assessment
from sim.assessment.state import States, at, on_path, states
from sim.views.web.document import as_json, scene_data
from sim.views.web.written import with_stops, words, written_states


@pytest.fixture(scope="module")
def ready(assessment: Callable[[str], Assessment]) -> States:
    return states(assessment("cast_hub_by_program"))


@pytest.fixture(scope="module")
def written(ready: States) -> dict[str, Any]:
    found: dict[str, Any] = json.loads(as_json(written_states(scene_data(ready), ready)))
    return found


@pytest.fixture(scope="module")
def scene(ready: States) -> dict[str, Any]:
    found: dict[str, Any] = json.loads(as_json(with_stops(scene_data(ready), ready)))
    return found


def test_sliders_stop_at_what_was_computed(scene: dict[str, Any], written: dict[str, Any]) -> None:
    for stage in scene["stages"]:
        grid = written[stage["key"]]
        assert "pressure_bar" not in stage["ranges"]
        moved = {**stage["ranges"], **stage["values"], **stage["stops"]}
        assert not {"bore_mm", "depth_mm"} & set(moved)
        if stage["key"] != "boring":
            assert stage["stops"]["speed_rpm"] == grid["speeds_rpm"]
            assert stage["stops"]["travel_mm"] == grid["travels_mm"]
            assert len(grid["at_speed"]) == len(grid["speeds_rpm"])
            assert stage["values"]["speed_rpm"] in grid["speeds_rpm"]
            assert stage["values"]["travel_mm"] in grid["travels_mm"]
        if "path" in grid:
            assert set(stage["stops"]["position_mm"]) - {0.0} <= set(grid["path"]["positions_mm"])
            assert len(grid["path"]["at"]) == len(grid["path"]["positions_mm"])


def test_written_figures_are_those_of_the_states(ready: States, written: dict[str, Any]) -> None:
    grid = written["0"]
    for number in (0, 5, len(grid["speeds_rpm"]) - 1):
        state = at(ready, 0, speed=grid["speeds_rpm"][number])
        assert grid["at_speed"][number]["grip_N"] == pytest.approx(state.grip.tolist())
        assert grid["at_speed"][number]["peak_MPa"] == pytest.approx(state.band_peak)
        change = grid["at_speed"][number]["peak_change_for_1_um_MPa"]
        # At the chuck's own speed nothing is held any more.
        assert (change is None) == (state.contact is None)
        assert change is None or change > 0.0
    opened = at(ready, 0, travel=grid["travels_mm"][3])
    assert grid["open"][3]["gap_mm"] == pytest.approx(opened.gap)
    position = grid["path"]["positions_mm"][40]
    found = on_path(ready, "0", position)
    assert grid["path"]["at"][40]["distance_mm"] == pytest.approx(found.distance)
    assert (grid["path"]["at"][40]["part"], grid["path"]["at"][40]["body"]) == (found.part, found.body)


def test_verdicts_turn_to_places_that_were_computed(scene: dict[str, Any], written: dict[str, Any]) -> None:
    for verdict in scene["verdicts"]:
        look = verdict["look"]
        if "position_mm" in look["values"]:
            places = np.array(written[look["stage"]]["path"]["positions_mm"])
            assert np.abs(places - look["values"]["position_mm"]).min() < 1e-3


def test_the_steps_are_told(ready: States) -> None:
    said = words(ready)
    assert "steps of 100 rev/min" in said
    assert "steps of 0.1 mm" in said
    assert f"{10.0 * ready.assessment.operations[0].operation.gripping.pressure:.1f} bar" in said
    assert "nothing is interpolated" in said

"""What the readings contradict, in sentences."""

from __future__ import annotations

import tomllib
from collections.abc import Callable
from dataclasses import replace

import numpy as np
import pytest

from sim.readings import Gauged, Readings, findings, fitted, gauged, stiffness, written
from sim.setup.loading import load
from sim.setup.parts import Parts

STIFF = 500e3  # of a gauge, N/mm


def kinds(setup: Gauged) -> dict[str, bool]:
    return {f.kind: f.serious for f in findings(fitted(setup), STIFF)}


def test_readings_of_the_stated_chuck_contradict_nothing(hub: Parts, taken: Callable[..., Gauged]) -> None:
    assert kinds(taken(hub, scale=0.95, friction=0.08, seed=1)) == {}


def test_false_alarms_are_as_rare_as_stated(hub: Parts, taken: Callable[..., Gauged]) -> None:
    """1 % by the F test: of 100 sound chucks at most 5 (binomial: 1 in 2000 runs would show more)."""
    alarms = sum(
        kinds(taken(hub, scale=0.95, friction=0.08, seed=seed)).get("chuck's data", False)
        for seed in range(100)
    )
    assert alarms <= 5


def test_weak_pull_contradicts_the_data_but_is_no_grease(hub: Parts, taken: Callable[..., Gauged]) -> None:
    found = kinds(taken(hub, scale=0.6, friction=0.08, scatter=60.0))
    assert found["chuck's data"]
    assert "grease" not in found


def test_missing_grease(hub: Parts, taken: Callable[..., Gauged]) -> None:
    found = findings(fitted(taken(hub, scale=0.95, friction=0.25, scatter=60.0)))
    grease = next(f for f in found if f.kind == "grease")
    assert grease.serious
    assert "points to missing grease" in grease.text
    vague = findings(fitted(taken(hub, scale=0.95, friction=0.17, scatter=500.0, seed=2)))
    assert not any(f.kind == "grease" and f.serious for f in vague)


def test_at_one_height_little_force_may_be_grease_or_pull(hub: Parts, taken: Callable[..., Gauged]) -> None:
    found = findings(fitted(taken(hub, scale=0.6, friction=0.1, scatter=40.0, rows=slice(4, 8))))
    (grease,) = (f for f in found if f.kind == "grease")
    assert "missing grease or to less pull than stated" in grease.text
    untold = [f.text for f in found if f.kind == "not determined"]
    assert [text.partition(":")[0] for text in untold] == [
        "efficiency",
        "loss by speed",
        "stiffness of one jaw's drive",
    ]
    assert "held at 0.95, as in the scenario" in untold[0]


def test_more_loss_than_the_jaws_can_pull(hub: Parts, taken: Callable[..., Gauged]) -> None:
    assert kinds(taken(hub, loss=1.4, scatter=30.0))["jaws"]
    assert kinds(taken(hub, loss=-0.5, scatter=30.0))["jaws"]


def test_a_single_reading_and_an_offset_are_named(hub: Parts, taken: Callable[..., Gauged]) -> None:
    setup = taken(hub, scatter=40.0)
    force = setup.readings.force.copy()
    force[5] += 900.0
    slipped = replace(setup, readings=replaced(setup.readings, force))
    (row,) = (f for f in findings(fitted(slipped)) if f.kind == "single reading")
    assert f"line {setup.readings.line[5]} lies" in row.text
    shifted = replace(setup, readings=replaced(setup.readings, setup.readings.force - 500.0))
    assert "offset" in kinds(shifted)


def replaced(readings: Readings, force: np.ndarray) -> Readings:
    return Readings(readings.pressure, readings.speed, readings.height, force, readings.line)


def test_stiffness_is_two_springs_under_one_load(hub: Parts, taken: Callable[..., Gauged]) -> None:
    """lam = k_gauge / (k_gauge + k_chuck), so a share of a half means as stiff as the gauge."""
    found = fitted(taken(hub, loss=0.5, scatter=0.0))
    chuck = stiffness(found, 400e3)
    assert chuck is not None
    assert chuck.value == pytest.approx(400e3, rel=1e-4)
    assert chuck.low <= chuck.value <= chuck.high
    assert stiffness(fitted(taken(hub, rows=slice(0, 8))), 400e3) is None


def test_what_is_written_is_taken_in_by_a_scenario(
    hub: Parts, taken: Callable[..., Gauged], tmp_path: object, scenario_file: Callable[[str], object]
) -> None:
    found = fitted(taken(hub, seed=3))
    chuck = stiffness(found, 500e3)
    text = written(found, hub.scenario.chuck, findings(found), chuck, "test")
    tables = tomllib.loads(text)
    assert set(tables) == {"chuck", "gauge_readings"}
    assert tables["gauge_readings"]["judgement"] == "accepted with findings"
    own = scenario_file("cast_hub_on_ring").read_text(encoding="utf-8")  # type: ignore[attr-defined]
    (tmp_path / "fit.toml").write_text(text, encoding="utf-8")  # type: ignore[operator]
    file = tmp_path / "hub.toml"  # type: ignore[operator]
    file.write_text('include = ["fit.toml"]\n' + own, encoding="utf-8")
    scenario = load(file)
    assert scenario.chuck.guideway_friction == pytest.approx(found.friction.value, abs=1e-4)
    assert scenario.chuck.efficiency == pytest.approx(found.scale.value, abs=1e-4)
    assert chuck is not None
    assert scenario.chuck.radial_stiffness == pytest.approx(chuck.value, rel=1e-3)


def test_no_efficiency_above_1_is_written(hub: Parts, taken: Callable[..., Gauged]) -> None:
    found = fitted(taken(hub, scale=1.3, friction=0.1, scatter=20.0))
    assert found.scale.value > 1.0
    assert any(f.kind == "efficiency" and f.serious for f in findings(found))
    text = written(found, hub.scenario.chuck, findings(found), None, "test")
    assert tomllib.loads(text)["chuck"]["efficiency"] == 1.0


def rejecting(setup: Gauged) -> set[str]:
    return {f.kind for f in findings(fitted(setup)) if f.rejects}


def scaled(setup: Gauged, factor: np.ndarray | float) -> Gauged:
    return replace(setup, readings=replaced(setup.readings, factor * setup.readings.force))


def test_readings_that_make_the_chuck_stronger_than_its_data_are_rejected(
    hub: Parts, taken: Callable[..., Gauged]
) -> None:
    """The force of all three jaws in the column of one: three times the force. Half as much again is no chuck's, too.

    A weak or dry chuck is what gauges are for: it is taken.
    """
    sound = taken(hub, scale=0.95, friction=0.08, scatter=60.0)
    assert rejecting(sound) == set()
    for factor in (3.0, 1.5, 1.1):
        assert "chuck's data" in rejecting(scaled(sound, factor)), factor
    assert "grease" in rejecting(scaled(sound, 3.0))
    for weak in (taken(hub, scale=0.6, friction=0.08), taken(hub, scale=0.95, friction=0.25)):
        assert rejecting(weak) == set()


def test_at_one_height_too_much_force_is_rejected_all_the_same(
    hub: Parts, taken: Callable[..., Gauged]
) -> None:
    """There the efficiency is held, and friction takes up the difference, down to what no grease leaves."""
    setup = taken(hub, scale=0.95, friction=0.08, scatter=40.0, rows=slice(4, 8))
    assert {"chuck's data", "grease"} <= rejecting(scaled(setup, 1.3))


def test_a_loss_that_cannot_be_is_rejected(hub: Parts, taken: Callable[..., Gauged]) -> None:
    """More force with speed gripped outside, or more loss than the jaws' whole pull."""
    assert rejecting(taken(hub, loss=-0.5, scatter=30.0)) == {"jaws"}
    assert rejecting(taken(hub, loss=1.4, scatter=30.0)) == {"jaws"}


def test_readings_that_contradict_each_other_are_rejected(hub: Parts, taken: Callable[..., Gauged]) -> None:
    """Half of them half as much again as the others: nothing that a fit finds from them means anything."""
    setup = taken(hub, scale=0.9, friction=0.1, scatter=60.0)
    uneven = 1.0 - 0.4 * (np.arange(setup.readings.count) % 2)
    assert "scatter" in rejecting(scaled(setup, uneven))


def test_hysteresis_is_said_with_its_figure(hub: Parts, taken: Callable[..., Gauged]) -> None:
    """Each height read up and down again; 15 % more on the way down are 15 % in the sentence, and serious."""
    setup = taken(hub, scale=0.85, friction=0.1, scatter=20.0, rows=slice(0, 12))
    r = setup.readings
    order = np.concatenate([np.r_[rows, rows[::-1][1:]] for rows in np.arange(12).reshape(3, 4)])
    down = np.concatenate([np.r_[np.zeros(4), np.ones(3)]] * 3)

    def again(share: float) -> Gauged:
        force = r.force[order] * (1.0 + share * down)
        rows = Readings(r.pressure[order], r.speed[order], r.height[order], force, np.arange(2, 23))
        return gauged(hub, rows)

    (told,) = (f for f in findings(fitted(again(0.15))) if f.kind == "hysteresis")
    assert told.serious
    assert (
        "with falling pressure the gauge reads 15\u00a0% more than with rising pressure (9 pairs" in told.text
    )
    assert not told.rejects
    (little,) = (f for f in findings(fitted(again(0.04))) if f.kind == "hysteresis")
    assert not little.serious
    assert all(f.kind != "hysteresis" for f in findings(fitted(again(0.0))))

"""The judge: order of verdicts, the rule at its limit, progress, what is left unchanged, what cannot be held."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import replace
from typing import Any

import numpy as np
import pytest

from sim.assessment.demand import cut_forces, cut_speed
from sim.assessment.results import Assessment
from sim.assessment.stages import assess
from sim.assessment.verdict import Verdict
from sim.assessment.verdicts.judge import in_order
from sim.assessment.verdicts.rule import Rule
from sim.base.kept import forget
from sim.scenario import Scenario
from sim.setup.drive import drive

TEXT: dict[str, Any] = {"message": "found.", "advice": "change it."}
LEAST, MOST = (
    Rule("factor", "factor", "", at_least, "a book", frozenset(), "", "is it enough?")
    for at_least in (True, False)
)


@pytest.mark.parametrize(("value", "status"), [(1.49, "fail"), (1.5, "pass"), (1.51, "pass")])
def test_at_least(value: float, status: str) -> None:
    found = LEAST.verdict("first side", value, 1.5, **TEXT)
    assert (found.status, found.advice == "") == (status, status == "pass")
    assert found.margin == pytest.approx(value / 1.5)


@pytest.mark.parametrize(("value", "status"), [(6.9, "pass"), (7.0, "pass"), (7.1, "warn")])
def test_at_most(value: float, status: str) -> None:
    found = MOST.verdict("boring", value, 7.0, **TEXT, otherwise="warn")
    assert found.status == status
    assert found.margin == pytest.approx(7.0 / value)


def test_rounding_is_no_failure() -> None:
    """0.1 + 0.2 exceeds 0.3 in binary floating point, not in a shop."""
    assert MOST.verdict("", 0.1 + 0.2, 0.3, **TEXT).status == "pass"
    assert LEAST.verdict("", 1.0 - 0.9, 0.1, **TEXT).status == "pass"


def test_nothing_known_is_no_pass() -> None:
    assert LEAST.verdict("", math.nan, 1.5, **TEXT).status == "fail"
    assert MOST.verdict("", math.nan, 1.5, **TEXT).status == "fail"


def test_worst_first() -> None:
    def made(status: str, value: float) -> Verdict:
        return Verdict("", f"{status} {value}", "", status, value, 1.0, "", "", "")  # type: ignore[arg-type]

    given = [made("pass", 2.0), made("warn", 0.9), made("fail", 0.8), made("pass", 1.1), made("fail", 0.2)]
    assert [v.name for v in in_order(given)] == ["fail 0.2", "fail 0.8", "warn 0.9", "pass 1.1", "pass 2.0"]


def test_verdicts_stand_in_order(scenario_name: str, assessment: Callable[[str], Assessment]) -> None:
    found = assessment(scenario_name)
    assert found.verdicts == in_order(found.verdicts)
    worst = {v.status for v in found.verdicts}
    warned = "warn" in worst or any(one.matters for one in found.not_judged)
    assert found.status == ("fail" if "fail" in worst else "warn" if warned else "pass")


def test_progress_tells_each_stage(varied: Callable[..., Scenario]) -> None:
    told: list[str] = []
    assess(varied("valve_bonnet_two_steps"), told.append, "foundation")
    assert told[0] == "parts"
    assert [t for t in told if "first side" in t]
    assert [t for t in told if "second side" in t]


def test_judging_twice_gives_the_same(varied: Callable[..., Scenario]) -> None:
    scenario = varied("cast_hub_on_ring")
    before = scenario.model_dump()
    first = assess(scenario)
    forget()
    second = assess(scenario)
    assert first.verdicts == second.verdicts
    assert scenario.model_dump() == before


def test_without_advice_all_else_is_the_same(varied: Callable[..., Scenario]) -> None:
    """Pressure, speed and torque at which nothing holds: what would mend it is not looked for, and nothing else."""
    changes = {"operations.0.gripping.pressure": "2 bar", "soft_jaw.screws.torque": "300 N*m"}
    scenario = varied("cast_hub_on_ring", changes)
    told, bare = (assess(scenario, contact_model="foundation", advised=advised) for advised in (True, False))
    assert [replace(v, advice="") for v in told.verdicts] == [replace(v, advice="") for v in bare.verdicts]
    advised = {v.key for v, w in zip(told.verdicts, bare.verdicts, strict=True) if v.advice != w.advice}
    assert {"holding_factor", "grip_at_rest", "least_grip_of_a_jaw", "screw_torque"} <= advised
    assert not any("bar" in v.advice for v in bare.verdicts if v.key in ("holding_factor", "grip_at_rest"))


def test_curve_passes_through_the_figures(assessment: Callable[[str], Assessment]) -> None:
    """Grip against speed starts at the grip at rest, falls as n^2 and meets the grip at the highest speed."""
    grip = assessment("cast_hub_on_ring").operations[0].grip
    speeds, left = grip.curve.speeds, grip.curve.grip
    assert left[0] == pytest.approx(grip.rest_total)
    assert (np.diff(left) <= 1e-9).all()
    held = left > 0.0
    lost = (grip.rest_total - left[held][1:]) / speeds[held][1:] ** 2
    assert lost == pytest.approx(np.full(len(lost), lost[0]), rel=1e-9)
    assert np.interp(1000.0, speeds, left) == pytest.approx(grip.high_speed_total, rel=1e-3)
    with pytest.raises(ValueError, match="read-only"):
        left[0] = 0.0


def test_pull_from_area_or_stated(varied: Callable[..., Scenario]) -> None:
    """95 % of 3 MPa on 15 000 mm2 is 42.75 kN, the same drive as that pull at the pressure limit."""
    by_area = drive(varied("cast_hub_on_ring").chuck)
    changed = varied("cast_hub_on_ring").model_dump()["chuck"]
    assert changed["piston_area"] == 15_000.0
    assert by_area.pull_per_pressure == pytest.approx(0.95 * 15_000.0)


def test_grip_points_stand_above_the_free_body(varied: Callable[..., Scenario]) -> None:
    """The chuck's own data at the stated height; the part lies lower than that, so it is gripped a little harder."""
    points = [{"pressure": "10 bar", "grip": "20 kN"}, {"pressure": "30 bar", "grip": "60 kN"}]
    found = assess(varied("cast_hub_on_ring", {"chuck.grip_points": points}), contact_model="foundation")
    grip = found.operations[0].grip
    assert grip.basis == "chuck data"
    # 19.5 bar lie between the points: 39 kN at 40 mm; held at 39 mm.
    assert 39_000.0 < grip.rest_total < 1.02 * 39_000.0


@pytest.mark.parametrize(
    ("speed", "expected"),
    [("100 rpm", 200.0), ("600 rpm", 600.0), ("5000 rpm", 1000.0)],
)
def test_a_cut_runs_within_the_operations_speeds(
    varied: Callable[..., Scenario], speed: str, expected: float
) -> None:
    operation = varied("cast_hub_on_ring", {"operations.0.cuts.0.speed": speed}).operations[0]
    assert cut_speed(operation.cuts[0], operation) == pytest.approx(expected)


def test_speed_of_a_cut_from_its_cutting_speed(varied: Callable[..., Scenario]) -> None:
    """160 m/min on 80 mm is 160 000 / (80 pi) = 636.6 rev/min; a driven tool stands on a still spindle."""
    operation = varied("cast_hub_on_ring").operations[0]
    assert cut_speed(operation.cuts[0], operation) == pytest.approx(636.62, abs=0.01)
    drill = {"kind": "drilling", "rotating_tool": True, "off_axis": "0 mm"}
    changes = {f"operations.0.cuts.0.{key}": value for key, value in drill.items()}
    still = varied("cast_hub_on_ring", changes).operations[0]
    assert cut_speed(still.cuts[0], still) == 0.0


def test_measured_forces_stand_above_kienzle(varied: Callable[..., Scenario]) -> None:
    forces = {"tangential": "1500 N", "feed": "700 N", "passive": "400 N"}
    scenario = varied("cast_hub_on_ring", {"operations.0.cuts.0.forces": forces})
    found = cut_forces(scenario.operations[0].cuts[0], "cast iron GJL-250", 600.0)
    assert (found.tangential, found.feed, found.passive) == (1500.0, 700.0, 400.0)


@pytest.mark.parametrize(
    "changes",
    [
        {"operations.0.gripping.pressure": "0.1 bar"},
        {"operations.0.gripping.speed_low": "3000 rpm", "operations.0.gripping.speed_high": "3500 rpm"},
    ],
    ids=["hardly any pressure", "far too fast"],
)
def test_a_part_thrown_at_its_lowest_speed_is_judged(
    varied: Callable[..., Scenario], changes: dict[str, str]
) -> None:
    """No grip is left at the operation's lowest speed: the setup fails, in verdicts and not in a traceback."""
    found = assess(varied("cast_hub_on_ring", changes))
    assert {"holding factor", "spindle speed"} <= {v.name for v in found.verdicts if v.status == "fail"}

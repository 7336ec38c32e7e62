"""Which of several cuts asks most of the spindle, by a chart and powers worked out by hand."""

from __future__ import annotations

import math
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest

from sim.assessment.verdict import Verdict
from sim.assessment.verdicts.spindle import (
    SpindleLoad,
    spindle_load,
    spindle_loads,
    spindle_power_and_limit,
    spindle_verdicts,
)
from sim.mechanics.cutting import CutForces
from sim.scenario import Cut

CHART = ((500.0, 10e3), (2000.0, 10e3), (4000.0, 5e3))


def cut(**changes: Any) -> Cut:
    stated = {
        "name": "rough", "kind": "turning", "diameter": "100 mm", "height": "20 mm", "depth_of_cut": "2 mm",
        "feed": "0.3 mm/rev", "feed_towards": "chuck", "cutting_speed": "150 m/min",
    }  # fmt: skip
    return Cut.model_validate(stated | changes)


def forces(tangential: float, *, impact: float = 1.0) -> CutForces[float]:
    return CutForces(tangential, 100.0, 100.0, 100.0, 20.0, "chuck", "turning", impact=impact)


def test_power_is_force_times_cutting_speed_and_no_blow_counts() -> None:
    """2 kN on 100 mm at 600 rev/min: F pi d n; an interrupted cut's force counts as that of a steady one."""
    by_hand = 2000.0 * math.pi * 0.1 * 600.0 / 60.0
    for found in (spindle_load(cut(), forces(2000.0), 600.0, 900.0),
                  spindle_load(cut(), forces(3000.0, impact=1.5), 600.0, 900.0)):  # fmt: skip
        assert found.power == pytest.approx(by_hand)
        assert (found.low, found.high) == (600.0, 600.0)


def test_only_towards_the_axis_at_a_kept_cutting_speed_does_it_turn_faster() -> None:
    facing = cut(kind="facing", feed_towards="axis")
    assert spindle_load(facing, forces(1e3), 600.0, 900.0).high == 900.0
    assert spindle_load(facing, forces(1e3), 950.0, 900.0).high == 950.0
    kept = cut(kind="facing", feed_towards="axis", cutting_speed=None, speed="600 rpm")
    assert spindle_load(kept, forces(1e3), 600.0, 900.0).high == 600.0


def test_tools_that_turn_themselves_ask_for_nothing() -> None:
    milling = cut(rotating_tool=True, forces={"tangential": "1 kN", "feed": "1 kN", "passive": "1 kN"})
    found = spindle_loads(
        (cut(), milling, cut()), [(forces(1e3), 600.0), (forces(9e3), 0.0), (forces(2e3), 600.0)], 900.0
    )
    assert [one.power for one in found] == pytest.approx([1e3 * math.pi, 2e3 * math.pi])


def judged(cuts: Any, told: Any, points: tuple[tuple[float, float], ...] = CHART) -> list[Verdict]:
    """`told` are forces and speeds of the cuts; a tenth of the power is lost."""
    operation = SimpleNamespace(name="first side", cuts=cuts, gripping=SimpleNamespace(speed_high=900.0))
    demands = tuple(SimpleNamespace(forces=f, speed=n) for f, n in told)
    chart = tuple(SimpleNamespace(speed=n, power=p) for n, p in points)
    machine = SimpleNamespace(spindle_power=chart, drive_efficiency=0.9)
    parts: Any = SimpleNamespace(scenario=SimpleNamespace(machine=machine))
    figures: Any = SimpleNamespace(operation=operation, demands=demands)
    return list(spindle_verdicts(parts, figures))


def test_the_cut_that_stalls_the_spindle_is_named_with_its_torque() -> None:
    """3.2 kN on 100 mm are 0.16 kN m, at 600 rev/min 10.05 kW of 9.0; a milling cutter's force is another's."""
    milling = cut(rotating_tool=True, forces={"tangential": "1 kN", "feed": "1 kN", "passive": "1 kN"})
    light, heavy = (forces(1e3), 600.0), (forces(3.2e3), 600.0)
    for cuts, told in (
        ((cut(), milling, cut(name="heavy")), (light, (forces(9e3), 600.0), heavy)),
        ((cut(name="heavy"), milling, cut()), (heavy, (forces(9e3), 600.0), light)),
    ):
        (found,) = judged(cuts, told)
        assert (found.status, found.value, found.limit) == ("fail", pytest.approx(10.053, abs=1e-3), 9.0)
        assert found.message.startswith("'heavy' takes 10.1 kW (0.16 kN m at 600 rev/min)")
    assert [v.status for v in judged((cut(),), (light,))] == ["pass"]
    assert judged((milling,), (light,)) == judged((cut(),), (light,), ()) == []


def test_the_cut_nearest_to_what_the_chart_gives_it_counts() -> None:
    """4 kW at 250 rev/min, where there are 5, is nearer than 6 kW of 10, and than 3 kW up to 4000 rev/min, of 5."""
    low, middle, fast = (
        SpindleLoad(4e3, 250.0, 250.0),
        SpindleLoad(6e3, 900.0, 900.0),
        SpindleLoad(3e3, 900.0, 4e3),
    )
    for order in ([low, middle, fast], [fast, low, middle], [middle, fast, low]):
        assert spindle_power_and_limit(order, CHART, 0.8) == pytest.approx((4.0, 4.0))
    assert spindle_power_and_limit([middle, fast], CHART, 0.5) in [(6.0, 5.0), (3.0, 2.5)]
    many = [SpindleLoad(np.array([4e3, 1e3]), np.array([250.0, 250.0]), np.array([250.0, 250.0])),
            SpindleLoad(np.array([6e3, 6e3]), np.array([900.0, 900.0]), np.array([900.0, 900.0]))]  # fmt: skip
    needed, given = spindle_power_and_limit(many, CHART, np.array([0.8, 0.8]))
    assert (needed.tolist(), given.tolist()) == ([4.0, 6.0], pytest.approx([4.0, 8.0]))

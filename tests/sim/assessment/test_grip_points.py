"""A chuck's own points: nothing is known beyond the last, and below the first the lower of two lines counts."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import numpy as np
import pytest

from sim.assessment.stages import assess
from sim.base.errors import ScenarioError
from sim.layouts.boring_window import boring_window
from sim.layouts.space import space
from sim.layouts.window import window
from sim.mechanics.grip import GripCurve, curve_grip, curve_pressure
from sim.scenario import Scenario, Search
from sim.uncertainty import analysed
from sim.uncertainty.distribution import uniform
from sim.uncertainty.inputs import Input
from sim.variants import judged, variants

HUB = "cast_hub_on_ring"
GRIP, BORE = "operations.0.gripping.pressure", "boring.pressure"
Varied = Callable[..., Scenario]


def points(*pairs: tuple[float, float]) -> list[dict[str, str]]:
    return [{"pressure": f"{bar} bar", "grip": f"{kn} kN"} for bar, kn in pairs]


# 5 kN a bar, from 8 bar on: nothing is left at 6 bar
SHORT = points((12.0, 20.0), (24.0, 60.0))


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        (
            {GRIP: "25 bar"},
            r"operations\[0\].gripping.pressure must be at most 24 bar, the largest of chuck.grip_points \(nothing is "
            "known beyond it\\), found 25 bar",
        ),
        ({BORE: "24.1 bar"}, "boring.pressure must be at most 24 bar, the largest of chuck.grip_points"),
        (
            {BORE: "6 bar"},
            r"boring.pressure must be over 6.00 bar, below which the line of the first two of chuck.grip_points leaves "
            "no grip, found 6 bar",
        ),
        ({GRIP: "3 bar"}, r"operations\[0\].gripping.pressure must be over 6.00 bar"),
    ],
)
def test_a_pressure_that_the_points_do_not_reach_is_refused(
    varied: Varied, changes: dict[str, Any], words: str
) -> None:
    with pytest.raises(ScenarioError, match=words):
        varied(HUB, {"chuck.grip_points": SHORT, **changes})


def test_below_the_first_point_the_lower_line_counts() -> None:
    """20 kN at 12 bar and 60 kN at 24 bar: y = 20 + 40/12 (p - 12), nothing at 6 bar; from zero it would be 10 kN."""
    late = GripCurve(((1.2, 20e3), (2.4, 60e3)), 65.0)
    assert [curve_grip(p, late) for p in (0.3, 0.6, 0.9, 1.2, 1.8)] == pytest.approx(
        [0.0, 0.0, 10e3, 20e3, 40e3]
    )
    assert curve_pressure(10e3, late) == pytest.approx(0.9)
    assert curve_pressure(0.0, late) == pytest.approx(0.6)
    # Points whose line would leave grip at zero: from zero, which is lower.
    early = GripCurve(((1.0, 30e3), (2.0, 50e3)), 65.0)
    assert curve_grip(0.5, early) == pytest.approx(15e3)
    assert curve_grip(0.5, GripCurve(((1.0, 30e3),), 65.0)) == pytest.approx(15e3)


@pytest.mark.usefixtures("few_solutions", "coarse")
def test_windows_and_batches_stay_on_the_points(varied: Varied) -> None:
    found = assess(varied(HUB, {"chuck.grip_points": SHORT, BORE: "6.5 bar"}), contact_model="foundation")
    bored = boring_window(found)
    assert bored is not None
    for shown in (window(found, 0), bored):
        assert shown.pressures[0] > 0.6
        assert shown.pressures[-1] == pytest.approx(2.4)
    drawn = judged(variants(found), {GRIP: np.array([0.3, 0.6, 0.7, 2.4, 2.41])})
    assert (drawn.refused > 0).tolist() == [True, True, False, False, True]
    spread = Input("pressure", 0, "first side", uniform(2.0, 2.6), "test")
    assert (
        0.2 < analysed(found, [spread], 256, 1).refused < 0.5
    )  # a third lies beyond 24 bar and counts as not held


@pytest.mark.parametrize(("low", "high", "end"), [("20 bar", "28 bar", "high"), ("4 bar", "20 bar", "low")])
def test_a_search_asks_for_no_unknown_pressure(varied: Varied, low: str, high: str, end: str) -> None:
    scenario = varied(HUB, {"chuck.grip_points": SHORT, BORE: "6.5 bar"})
    ranges = [{"operation": "first side", "low": low, "high": high}]
    asked = Search.model_validate({"scenario": "hub.toml", "pressures": ranges})
    with pytest.raises(ScenarioError, match=rf"pressures\[0\]\.{end} must be .* chuck.grip_points"):
        space(asked, scenario)

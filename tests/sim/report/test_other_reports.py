"""Keys of the other reports whose figures come without an assessment: each shows its attribute, in its unit.

Figures are made up and all unlike, as in `test_assessment_keys`.
"""

from __future__ import annotations

from dataclasses import fields
from typing import Any

import numpy as np
from made_up import unlike

from sim.layouts.grip_height import GripHeight
from sim.layouts.window import Point, Side
from sim.report import layouts, uncertainty
from sim.uncertainty import Estimate as Likely


def test_grip_height() -> None:
    """Pressures of the window are MPa and heights mm in both."""
    names = [field.name for field in fields(GripHeight)]
    made: dict[str, Any] = {name: 1.5 + k for k, name in enumerate(names)}
    for k, name in enumerate(("heights", "needed", "by_moment", "by_grip")):
        made[name] = np.array([10.0 * k, 10.0 * k + 1.0])
    made["ended_by"] = "why"
    shown = layouts._grip_height(GripHeight(**made))
    assert shown == {
        "heights_mm": [0.0, 1.0],
        "needed_MPa": [10.0, 11.0],
        "guideway_moment_MPa": [20.0, 21.0],
        "largest_grip_MPa": [30.0, 31.0],
        "pressure_limit_MPa": made["limit"],
        "highest_mm": made["highest"],
        "ended_by": "why",
    }


def test_a_point_of_the_window() -> None:
    named = {"low": Side("a", 1.1), "high": Side("b", 2.2), "fast": Side("c", 333.0)}
    plain = {"pressure": 1.7, "speed": 900.0, "margin": 1.2, "least": "d", "warns": ("e",), "check": None}
    rest = {field.name for field in fields(Point)} - {*named, *plain}
    shown = layouts._point(Point(**named, **plain, **dict.fromkeys(rest)))
    assert shown == {
        "pressure_MPa": 1.7,
        "speed_rpm": 900.0,
        "margin": 1.2,
        "least": "d",
        "less_pressure": {"name": "a", "at_MPa": 1.1},
        "more_pressure": {"name": "b", "at_MPa": 2.2},
        "more_speed": {"name": "c", "at_rpm": 333.0},
        "warns": ["e"],
        "check": None,
    }


def test_an_estimate_of_a_sample() -> None:
    made = unlike(Likely(0.0, 0.0, 0.0))
    assert uncertainty._estimate(made) == {"value": made.value, "low": made.low, "high": made.high}
    assert len({made.value, made.low, made.high}) == 3

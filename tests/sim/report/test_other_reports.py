"""Keys of the other reports whose figures come without an assessment: each shows its attribute, in its unit.

Figures are made up and all unlike, as in `test_assessment_keys`.
"""

from __future__ import annotations

from dataclasses import fields
from typing import Any

import numpy as np
from made_up import unlike

from sim.assessment.results import Verdict
from sim.layouts.candidate import Candidate
from sim.layouts.grip_height import GripHeight
from sim.layouts.search import Blocking, Found
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


def test_a_search() -> None:
    plain = {"name": "n", "stage": "s", "status": "pass", "unit": "mm", "basis": "b", "message": "m"}
    verdict = Verdict(**plain, value=3.0, limit=2.0)
    tried = Candidate(
        point=(),
        changes={"boring.travel": "3 mm"},
        verdicts=(verdict,),
        roundness=7.5,
        metal=12.25,
        set_ups=4,
    )
    blocking = Blocking(name="x", stage="y", count=5, value=1.25, limit=2.25, unit="kN")
    found = Found(
        space=None, fixed=frozenset({("p", "q")}), front=(tried,), nearest=tried, tried=11, refused=12,
        blocking=(blocking,), refusals=(("r", 13),), checked=14, rejected=(("w", 15),),
    )  # fmt: skip
    shown = layouts.search_object(found)
    assert (shown["tried"], shown["cannot_be_built"], shown["full_checks"]) == (11, 12, 14)
    assert shown["refusals"] == [{"reason": "r", "layouts": 13}]
    assert shown["rejected_by_check"] == [{"reason": "w", "layouts": 15}]
    assert shown["left_out_of_margins"] == [{"name": "p", "stage": "q"}]
    assert shown["blocking"] == [
        {"name": "x", "stage": "y", "layouts": 5, "value": 1.25, "limit": 2.25, "unit": "kN"}
    ]
    (one,) = shown["front"]
    assert one == shown["nearest"]
    assert (one["changes"], one["fits"], one["refusal"]) == ({"boring.travel": "3 mm"}, True, "")
    assert (one["roundness_um"], one["metal_per_jaw_cm3"], one["set_ups"]) == (7.5, 12.25, 4)
    assert (one["least_margin"], one["warnings"], one["check"]) == (1.5, 0, None)
    assert [(v["value"], v["limit"], v["unit"]) for v in one["verdicts"]] == [(3.0, 2.0, "mm")]

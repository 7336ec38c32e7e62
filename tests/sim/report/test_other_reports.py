"""Keys of the other reports whose figures come without an assessment: each shows its attribute, in its unit.

Figures are made up and all unlike, as in `test_assessment_keys`.
"""

from __future__ import annotations

import math
from dataclasses import fields
from types import SimpleNamespace
from typing import Any

import numpy as np
from made_up import unlike

from sim.assessment.results import Verdict
from sim.layouts.candidate import Candidate
from sim.layouts.grip_height import GripHeight
from sim.layouts.search import Blocking, SearchResult
from sim.layouts.window import Side, WindowPoint
from sim.readings import BadRow, Estimate, Finding
from sim.report import layouts, uncertainty
from sim.report.readings import fit_object
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
    rest = {field.name for field in fields(WindowPoint)} - {*named, *plain}
    shown = layouts._point(WindowPoint(**named, **plain, **dict.fromkeys(rest)))
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
    found = SearchResult(
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


def test_a_fit_of_readings() -> None:
    """Parameters with their bounds, in N and N/mm; two readings and a bad row."""
    readings = SimpleNamespace(
        count=9, line=np.array([2, 5]), bad=(BadRow("file", 7, "force", "x", "a number"),)
    )
    found = SimpleNamespace(
        gauged=SimpleNamespace(readings=readings, scaled="share of the chuck's grip points"),
        scale=Estimate(0.9, 0.8, 1.1),
        friction=Estimate(0.12, 0.11, 0.13, held=True),
        loss=Estimate(0.6, -math.inf, 0.7),
        scatter=21.5,
        predicted=np.array([100.0, 200.0]),
        residual=np.array([-3.0, 4.0]),
    )
    what = (Finding(kind="k", serious=True, rejects=False, text="t", basis="b"),)
    shown = fit_object(found, what, Estimate(1e5, 9e4, 2e5), "name")
    assert shown["parameters"] == {
        "share_of_the_chucks_grip_points": {"value": 0.9, "low": 0.8, "high": 1.1, "held": False},
        "friction": {"value": 0.12, "low": 0.11, "high": 0.13, "held": True},
        "loss_share": {"value": 0.6, "low": None, "high": 0.7, "held": False},
        "radial_stiffness_N_per_mm": {"value": 1e5, "low": 9e4, "high": 2e5, "held": False},
    }
    assert (shown["title"], shown["readings"], shown["confidence"]) == ("name", 9, 0.95)
    assert shown["scatter_N"] == 21.5
    assert shown["bad_rows"] == [{"line": 7, "column": "force", "found": "x", "allowed": "a number"}]
    assert shown["residual_N"] == [
        {"line": 2, "fit": 100.0, "residual": -3.0},
        {"line": 5, "fit": 200.0, "residual": 4.0},
    ]
    assert shown["findings"] == [{"kind": "k", "serious": True, "rejects": False, "text": "t", "basis": "b"}]

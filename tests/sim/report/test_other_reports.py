"""Keys of the other reports: each shows its attribute, in its unit.

Figures are made up and all unlike, as in `test_assessment_keys`.
"""

from __future__ import annotations

import math
from dataclasses import fields, replace
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest
from made_up import unlike

from sim.assessment.results import CAUTIONS
from sim.assessment.verdict import Verdict
from sim.assessment.verdicts.grip import LARGEST_GRIP
from sim.layouts.candidate import Candidate
from sim.layouts.comparison import Comparison, Decision, Row, VerdictRow
from sim.layouts.criteria import Criterion
from sim.layouts.full_check import FullCheck
from sim.layouts.grip_height import GripHeight
from sim.layouts.search import Blocking, SearchResult
from sim.layouts.shelf import ShelvedSet
from sim.layouts.window import Side, Window, WindowPoint
from sim.readings import BadRow, Estimate, Finding
from sim.report import layouts, uncertainty
from sim.report.readings import dial_object, fit_object
from sim.report.studies import summary_object
from sim.studies.confirming import Confirmed, Named
from sim.studies.summary import Best, Summary
from sim.uncertainty import Analysis, Input, VerdictFound
from sim.uncertainty import Estimate as Likely
from sim.uncertainty.analysis import NotAsked
from sim.uncertainty.distribution import Distribution


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
    plain: dict[str, Any] = {
        "key": "k",
        "name": "n",
        "stage": "s",
        "status": "pass",
        "unit": "mm",
        "basis": "b",
        "message": "m",
    }
    verdict = Verdict(**plain, value=3.0, limit=2.0)
    tried = Candidate(
        point=(),
        changes={"boring.travel": "3 mm"},
        verdicts=(verdict,),
        roundness=7.5,
        metal=12.25,
        set_ups=4,
    )
    blocking = Blocking(key="u", name="x", stage="y", count=5, value=1.25, limit=2.25, unit="kN")
    found = SearchResult(
        space=None, fixed=frozenset({(LARGEST_GRIP.key, "q")}), front=(tried,), nearest=tried, tried=11, refused=12,
        blocking=(blocking,), refusals=(("r", 13),), checked=14, rejected=(("w", 15),),
    )  # fmt: skip
    shown = layouts.search_object(found)
    assert (shown["tried"], shown["cannot_be_built"], shown["full_checks"]) == (11, 12, 14)
    assert shown["refusals"] == [{"reason": "r", "layouts": 13}]
    assert shown["rejected_by_check"] == [{"reason": "w", "layouts": 15}]
    assert shown["left_out_of_margins"] == [
        {"key": LARGEST_GRIP.key, "name": LARGEST_GRIP.name, "stage": "q"}
    ]
    assert shown["blocking"] == [
        {"key": "u", "name": "x", "stage": "y", "layouts": 5, "value": 1.25, "limit": 2.25, "unit": "kN"}
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


def test_a_fit_of_a_dials_readings() -> None:
    """Fields with their bounds, shares and mm; what was seen, and a bad row; what is not told is null or held."""
    names = ("repeat_scatter", "stiffness_scatter", "rebolted_along", "rebolted_across", "rebolted_up")
    values = {name: Estimate(k, 0.5 * k, 2.0 * k, held=k == 5.0) for k, name in enumerate(names, 1)}
    found = SimpleNamespace(
        dialled=SimpleNamespace(
            readings=SimpleNamespace(count=9, bad=(BadRow("file", 7, "TIR", "x", "a number"),)),
            rho=0.7,
            step=0.01,
        ),
        clampings=4,
        mountings=3,
        fields=values,
        repeat_shift=Estimate(0.1, 0.0, math.inf),
        remount_shift=Estimate(0.2, 0.1, 0.3),
        remount_lean=Estimate(0.4, 0.3, 0.5),
        drift=Estimate(0.6, 0.5, 0.7),
        run_out=Estimate(0.8, 0.7, 0.9),
        lean=None,
    )
    what = (Finding(kind="k", serious=False, rejects=False, text="t", basis="b"),)
    shown = dial_object(found, what, "name")  # type: ignore[arg-type]
    plain = {
        key: (shown[key]) for key in ("title", "readings", "clampings", "mountings", "rho", "dial_step_mm")
    }
    assert list(plain.values()) == ["name", 9, 4, 3, 0.7, 0.01]
    keys = (
        "repeat_scatter",
        "stiffness_scatter",
        "rebolted_along_mm",
        "rebolted_across_mm",
        "rebolted_up_mm",
    )
    assert shown["parameters"] == {
        key: {"value": k, "low": 0.5 * k, "high": 2.0 * k, "held": k == 5} for k, key in enumerate(keys, 1)
    }
    seen = shown["seen"]
    assert seen["repeat_shift_mm_per_N"] == {"value": 0.1, "low": 0.0, "high": None, "held": False}
    assert [
        seen[key]["value"] for key in ("remount_shift_mm", "remount_lean_rad", "drift_mm_per_N", "run_out_mm")
    ] == [0.2, 0.4, 0.6, 0.8]
    assert seen["lean_rad"] is None
    assert shown["bad_rows"] == [{"line": 7, "column": "TIR", "found": "x", "allowed": "a number"}]
    assert shown["findings"] == [{"kind": "k", "serious": False, "rejects": False, "text": "t", "basis": "b"}]


def verdict(key: str, status: Any, value: float, limit: float, **more: Any) -> Verdict:
    words = {"name": f"{key} name", "stage": f"{key} stage", "unit": f"{key} unit", "basis": f"{key} basis"}
    return Verdict(
        key=key, status=status, value=value, limit=limit, message=f"{key} message", **words, **more
    )


def as_shown(one: Verdict, limit_is: str) -> dict[str, Any]:
    """Return a verdict's object; on which side the limit lies is told in words."""
    names = ("key", "name", "stage", "status", "value", "limit", "unit", "basis", "message", "advice")
    return {name: getattr(one, name) for name in names} | {"limit_is": limit_is}


NEAR = verdict("near", "warn", 6.0, 5.0, advice="do this")
FAR = verdict("far", "pass", 2.0, 7.0, at_least=False)


def test_a_comparison() -> None:
    """Two layouts: one set of jaws on a ring, and two sets of which a plug needs a set-up more to be bored."""

    def made_set(title: str, kind: str) -> SimpleNamespace:
        fixture = SimpleNamespace(kind=kind)
        return SimpleNamespace(
            scenario=SimpleNamespace(
                title=title, origin=(f"{title} origin",), boring=SimpleNamespace(fixture=fixture)
            )
        )

    one, two = (
        SimpleNamespace(
            name=name, sets=sets, status=status, unasked=unasked, verdicts=(NEAR, FAR), operations=("first", "second")
        )
        for name, sets, status, unasked in (
            ("one", (made_set("a", "ring"),), "pass", 3),
            ("two", (made_set("b", "plug"), made_set("c", "none")), "warn", 4),
        )
    )  # fmt: skip
    found: Any = Comparison(
        layouts=(one, two),  # type: ignore[arg-type]
        rows=(Row(group="g", what="w", unit="mm", values=(1.5, math.inf), better="less"),),
        verdicts=(VerdictRow(key="k", name="n", stage="s", cells=(NEAR, None)),),
        decision=Decision(first="two", reasons=("r", "t")),
    )
    shown = layouts.comparison_object(found)
    first, second = (
        {"name": "one", "titles": ["a"], "origin": ["a origin"], "status": "pass"},
        {"name": "two", "titles": ["b", "c"], "origin": ["b origin", "c origin"], "status": "warn"},
    )
    # Set-ups: 1 mounted, 1 bored, 2 clamped; 2 mounted, 2 + 1 bored, 2 clamped. The margin is 6 over 5.
    closest = {"least_margin": 1.2, "closest": as_shown(NEAR, "at least")}
    assert shown == {
        "layouts": [
            {**first, "questions_that_matter_not_asked": 3, "set_ups": 4, **closest},
            {**second, "questions_that_matter_not_asked": 4, "set_ups": 7, **closest},
        ],
        "figures": [
            {"group": "g", "what": "w", "unit": "mm", "better": "less", "layouts": {"one": 1.5, "two": None}}
        ],
        "verdicts": [
            {
                "key": "k",
                "name": "n",
                "stage": "s",
                "layouts": {"one": as_shown(NEAR, "at least"), "two": None},
            }
        ],
        "decision": {"first": "two", "reasons": ["r", "t"]},
        "cautions": list(CAUTIONS),
    }


def test_a_shelf() -> None:
    """A set with a place, and one that cannot be mounted: its figures are null."""

    def jaw_set(name: str, *bored: Any) -> Any:
        return SimpleNamespace(
            name=name, file=Path(f"{name}.toml"), soft_jaw=SimpleNamespace(bored_before=bored)
        )

    pocket = SimpleNamespace(diameter=118.0, depth=23.0)
    earlier = SimpleNamespace(pockets=(pocket,), direction="outside", serration_index=2)
    judged: Any = SimpleNamespace(status="warn", verdicts=(NEAR, FAR), unasked=(1, 2, 3))
    placed = ShelvedSet(
        jaw_set("a", earlier), serration_index=-4, metal=31.5, fresh=0.75, left=6.25, assessment=judged, reason="r"
    )  # fmt: skip
    nowhere = ShelvedSet(jaw_set("b"), None, math.nan, math.nan, math.nan, None, "too low")
    assert layouts.shelf_object((placed, nowhere)) == {
        "sets": [
            {
                "name": "a",
                "file": "a.toml",
                "bored_to": "118 x 23 mm at serration 2",
                "fits": True,
                "status": "warn",
                "serration_index": -4,
                "metal_per_jaw_cm3": 31.5,
                "fresh_share": 0.75,
                "radial_metal_left_mm": 6.25,
                "against_it": "r",
                "check": {
                    "status": "warn",
                    "worst": as_shown(NEAR, "at least"),
                    "margin": 1.2,
                    "questions_that_matter_not_asked": 3,
                    "against_it": "",
                },
                "verdicts": [as_shown(NEAR, "at least"), as_shown(FAR, "at most")],
            },
            {
                "name": "b",
                "file": "b.toml",
                "bored_to": "not bored yet",
                "fits": False,
                "status": None,
                "serration_index": None,
                "metal_per_jaw_cm3": None,
                "fresh_share": None,
                "radial_metal_left_mm": None,
                "against_it": "too low",
                "check": None,
                "verdicts": [],
            },
        ],
        "cautions": list(CAUTIONS),
    }


def test_a_window() -> None:
    """Margins p / 2 and 3 / p of pressures from 1 to 4 MPa: open from 2 to 3 MPa, at the lower speed alone.

    A margin that only warns, p / 4, closes nothing. Powers of the pressure are read exactly between the pressures.
    """

    def point(pressure: float, speed: float) -> WindowPoint:
        return WindowPoint(pressure, speed, pressure + 0.5, "l", None, None, None, ())

    pressures, speeds = np.array([1.0, 2.25, 2.75, 4.0]), np.array([600.0, 900.0])
    p, n = pressures[:, None], np.array([1.0, 0.3])
    kept = (
        Criterion("enough", p / 2.0 * np.ones(2)),
        Criterion("too much", 3.0 / p * n),
        Criterion("advised", p / 4.0 * np.ones(2), soft=True),
    )
    found = Window(
        operation="first side",
        pressures=pressures,
        speeds=speeds,
        criteria=kept,
        stated=point(1.0, 600.0),
        recommended=point(2.5, 700.0),
        fastest=point(2.25, 800.0),
        dropped=("why",),
    )
    height: Any = GripHeight(
        **{
            field.name: np.array([7.0, 8.0])
            if field.name in ("heights", "needed", "by_moment", "by_grip")
            else 9.0
            for field in fields(GripHeight)
        }
    )
    shown = layouts.window_object([(found, None), (found, height)])
    assert set(shown) == {"windows", "cautions"}
    assert shown["cautions"] == list(CAUTIONS)
    plain, beside = shown["windows"]
    assert beside == plain | {"grip_height": layouts._grip_height(height)}
    assert (plain["operation"], plain["not_confirmed"]) == ("first side", ["why"])
    assert [plain[name]["pressure_MPa"] for name in ("stated", "recommended", "fastest")] == [1.0, 2.5, 2.25]
    assert [plain[name]["speed_rpm"] for name in ("stated", "recommended", "fastest")] == [
        600.0,
        700.0,
        800.0,
    ]
    assert plain["speeds_rpm"] == [600.0, 900.0]
    assert plain["least_pressure_MPa"] == [pytest.approx(2.0), None]
    assert plain["largest_pressure_MPa"] == [pytest.approx(3.0), None]
    assert [(c["name"], c["warns_only"]) for c in plain["criteria"]] == [
        ("enough", False), ("too much", False), ("advised", True),
    ]  # fmt: skip
    assert [c["margin_as_stated"] for c in plain["criteria"]] == [0.5, 3.0, 0.25]
    met = [c["just_met_at_MPa"] for c in plain["criteria"]]
    assert met[0] == [pytest.approx(2.0)] * 2
    assert met[1] == [pytest.approx(3.0), None]
    assert met[2] == [pytest.approx(4.0)] * 2
    assert set(plain) == {
        "operation", "stated", "recommended", "fastest", "not_confirmed", "speeds_rpm", "least_pressure_MPa",
        "largest_pressure_MPa", "criteria",
    }  # fmt: skip
    closed = replace(found, recommended=None, fastest=None)
    (shown,) = layouts.window_object([(closed, None)])["windows"]
    assert (shown["recommended"], shown["fastest"]) == (None, None)


def test_a_sample() -> None:
    """Pressures are drawn in MPa and shown in bar, a friction as it is; margins at 5, 50 and 95 %."""
    pressure = Input("pressure", 0, "first side", Distribution("normal", 0.5, 0.75, 1.25), "gauge")
    friction = Input("guideway_friction", -1, "", Distribution("uniform", 0.125, 0.25, 0.5), "grease")

    def likely(first: float) -> Likely:
        return Likely(first, first - 0.5, first + 0.25)

    def as_object(first: float) -> dict[str, float]:
        return {"value": first, "low": first - 0.5, "high": first + 0.25}

    found = VerdictFound(
        key="k", name="n", stage="s", holds=likely(0.75), margin=(likely(1.5), likely(2.5), likely(3.5)),
        emulated_error=0.0625, first=np.array([0.1, 0.2]), total=np.array([0.3, 0.4]),
        first_interval=np.array([[0.01, 0.02], [0.03, 0.04]]),
        total_interval=np.array([[0.05, 0.06], [0.07, 0.08]]), of_input=None,
    )  # fmt: skip
    judged: Any = SimpleNamespace(verdicts=(NEAR, FAR))
    shown = uncertainty.uncertainty_object(
        Analysis(
            assessment=judged, inputs=(pressure, friction), samples=256, seed=17, runs=1536,
            verdicts=(found, replace(found, of_input=friction)), unmoved=21,
            figures={"f mm": (likely(4.5), likely(5.5), likely(6.5))}, refused=0.03125, reasons=("low",),
            not_asked=(NotAsked(key="ak", name="an", stage="as", why="aw"),),
        )
    )  # fmt: skip
    one = {
        "key": "k",
        "name": "n",
        "stage": "s",
        "of_input": None,
        "probability": as_object(0.75),
        "margin": {"5 %": as_object(1.5), "50 %": as_object(2.5), "95 %": as_object(3.5)},
        "emulator_error_share": 0.0625,
        "indices": [
            {
                "field": pressure.field,
                "first": 0.1,
                "first_interval": [0.01, 0.02],
                "total": 0.3,
                "total_interval": [0.05, 0.06],
            },
            {
                "field": friction.field,
                "first": 0.2,
                "first_interval": [0.03, 0.04],
                "total": 0.4,
                "total_interval": [0.07, 0.08],
            },
        ],
    }
    assert pressure.field != friction.field
    assert shown.pop("methods") == uncertainty.METHODS
    drawn = shown.pop("inputs")
    assert [d.pop("what") for d in drawn] == ["pressure", "guideway friction (grease)"]
    assert drawn == [
        {
            "field": pressure.field,
            "operation": "first side",
            "unit": "bar",
            "kind": "normal",
            "low": 5.0,
            "centre": 7.5,
            "high": 12.5,
            "basis": "gauge",
        },
        {
            "field": friction.field,
            "operation": "",
            "unit": "",
            "kind": "uniform",
            "low": 0.125,
            "centre": 0.25,
            "high": 0.5,
            "basis": "grease",
        },
    ]
    assert shown == {
        "samples": 256,
        "seed": 17,
        "variants_judged": 1536,
        "share_that_cannot_be_built": 0.03125,
        "refusals": ["low"],
        "verdicts": [one, one | {"of_input": friction.field}],
        "unmoved_verdicts": 21,
        "not_asked": [{"key": "ak", "name": "an", "stage": "as", "why": "aw"}],
        "figures": {"f mm": {"5 %": as_object(4.5), "50 %": as_object(5.5), "95 %": as_object(6.5)}},
        "as_stated": [as_shown(NEAR, "at least"), as_shown(FAR, "at most")],
        "cautions": list(CAUTIONS),
    }


def test_a_study() -> None:
    """The best as the full check confirms them, in its order; an endless margin is null."""
    best = (
        Best(variant=4, scenario="hub", warns=True, margin=1.25, closest="c", values={"a_MPa": 2.0}),
        Best(variant=7, scenario="ring", warns=False, margin=math.inf, closest="d", values={"b": 3}),
        Best(variant=9, scenario="plug", warns=False, margin=1.5, closest="e", values={}),
    )
    found = Summary(
        statuses={"pass": 3, "fail": 6, "refused": 2},
        together=5,
        failing={"f": 8},
        alone={"g": 10},
        refusals={"h": 12},
        best=best,
    )
    judged = FullCheck("warn", (FAR, NEAR), unasked=13)
    named = Named(
        best=(Confirmed(best[0], judged), Confirmed(best[1], FullCheck("pass"))),
        rejected=(Confirmed(best[2], FullCheck("fail", refusal="too low")),),
    )
    shown = summary_object(found, named)
    worst = as_shown(NEAR, "at least")
    assert shown == {
        "variants": 11,
        "statuses": {"pass": 3, "fail": 6, "refused": 2},
        "together": 5,
        "failing": {"f": 8},
        "alone": {"g": 10},
        "refusals": {"h": 12},
        "best": [
            {
                "variant": 4,
                "scenario": "hub",
                "warns": True,
                "margin": 1.25,
                "closest": "c",
                "values": {"a_MPa": 2.0},
                "check": {
                    "status": "warn",
                    "worst": worst,
                    "margin": 1.2,
                    "questions_that_matter_not_asked": 13,
                },
            },
            {
                "variant": 7,
                "scenario": "ring",
                "warns": False,
                "margin": None,
                "closest": "d",
                "values": {"b": 3},
                "check": {
                    "status": "pass",
                    "worst": None,
                    "margin": None,
                    "questions_that_matter_not_asked": 0,
                },
            },
        ],
        "rejected_by_check": [{"variant": 9, "scenario": "plug", "reason": "too low"}],
        "cautions": list(CAUTIONS),
    }

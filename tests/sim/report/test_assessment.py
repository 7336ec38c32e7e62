"""The JSON object: contract keys, unit suffixes, finite numbers, the same figures as the assessment."""

from __future__ import annotations

import json
import math
import re
from collections.abc import Callable, Iterator
from dataclasses import replace
from typing import Any

import jsonschema
import pytest

from sim.assessment.results import Assessment
from sim.report.assessment import as_object
from sim.report.schema import report_schema

CONTRACT = {
    "stroke",
    "grip",
    "contact",
    "hold",
    "distortion",
    "screws",
    "fixture",
    "clearance",
    "pockets",
    "verdicts",
}
SUFFIX = re.compile(r"_(mm|N|MPa|um|rpm|Nm|deg|rad)$")
# Shares, factors and counts have no unit; a verdict's value and limit have theirs in the key `unit`.
BARE = {
    "rebores",
    "closed_fraction",
    "rho",
    "residual_relative",
    "friction",
    "factor",
    "impact_factor",
    "factor_without_shift",
    "weight_held_factor",
    "factor_without_back_face",
    "factor_by_closed_forms",
    "loss_share_by_stiffness",
    "loss_share_by_stiffness_range",
    "stress_share_of_yield",
    "utilisation",
    "moves",
    "move",
    "block",
    "line",
    "least_factor",
    "least_factor_move",
    "least_factor_by_closed_forms",
    "least_factor_by_closed_forms_move",
    "holding_factor",
    "slenderness",
    "least_move",
    "value",
    "limit",
}


SCHEMA = jsonschema.Draft202012Validator(report_schema())


def leaves(value: Any, key: str = "") -> Iterator[tuple[str, Any]]:
    """Every plain value with the key under which it stands."""
    if isinstance(value, dict):
        for name, item in value.items():
            yield from leaves(item, name)
    elif isinstance(value, list):
        for item in value:
            yield from leaves(item, key)
    else:
        yield key, value


def test_contract(scenario_name: str, assessment: Callable[[str], Assessment]) -> None:
    found = as_object(assessment(scenario_name))
    assert set(found) >= CONTRACT
    assert len(found["cautions"]) == 5
    for verdict in found["verdicts"]:
        assert set(verdict) >= {"key", "name", "status", "value", "limit", "unit", "basis", "message"}
        assert verdict["status"] in ("pass", "warn", "fail")


def test_fits_the_schema(scenario_name: str, assessment: Callable[[str], Assessment]) -> None:
    report = json.loads(json.dumps(as_object(assessment(scenario_name), moves=True)))
    assert [error.message for error in SCHEMA.iter_errors(report)] == []


@pytest.mark.parametrize(
    "spoil",
    [
        lambda report: report["grip"][0].update(rest_total_kN=1.0),
        lambda report: report["grip"][0].pop("rest_total_N"),
        lambda report: report["grip"][0].update(rest_total_N="55 kN"),
        lambda report: report["verdicts"][0].update(status="perhaps"),
        lambda report: report["verdicts"][0].update(limit_is="about"),
        lambda report: report["verdicts"][0].update(key=7),
        lambda report: report["verdicts"][0].pop("key"),
        lambda report: report["verdicts"][0].update(key=report["verdicts"][1]["key"]),
        lambda report: report["verdicts"][0].update(name="another name"),
        lambda report: report["verdicts"][0].update(unit="furlong"),
        lambda report: report["clearance"].update(moves=1.5),
        lambda report: report["clearance"]["touches"].append({}),
        lambda report: report["stroke"][0].update(keeps_reserve=1),
        lambda report: report["contact"][0]["grip_per_jaw_N"].append("1"),
        lambda report: report["contact"][0]["run_out"][0]["by_lobes"].update(lobes_3=1.0),
        lambda report: report["contact"][0]["edge_force_N"].append(1.0),
        lambda report: report["fixture"]["strength"][0].pop("state"),
        lambda report: report["fixture"]["strength"][0].update(load_N=1.0),
        lambda report: report.pop("cautions"),
        lambda report: report.update(passed=True),
    ],
)
def test_another_key_or_type_does_not_fit(
    spoil: Callable[[dict[str, Any]], Any], assessment: Callable[[str], Assessment]
) -> None:
    report = as_object(assessment("cast_hub_on_ring"))
    assert SCHEMA.is_valid(report)
    spoil(report)
    assert not SCHEMA.is_valid(report)


def properties(node: Any) -> Iterator[tuple[str, dict[str, Any]]]:
    """Every property of the schema with its key."""
    if isinstance(node, dict):
        for key, item in node.get("properties", {}).items():
            yield key, item
        for item in node.values():
            yield from properties(item)
    elif isinstance(node, list):
        for item in node:
            yield from properties(item)


def test_the_schema_says_every_unit() -> None:
    """A number whose key ends in a unit says this unit; any other says that it has none, or where it stands."""
    jsonschema.Draft202012Validator.check_schema(report_schema())
    units = {
        "mm": "mm", "um": "micrometres", "N": "N", "Nm": "N m", "MPa": "MPa", "rpm": "rev/min",
        "deg": "degrees", "rad": "rad",
    }  # fmt: skip
    found = list(properties(report_schema()))
    assert len({key for key, _ in found}) > 140
    for key, node in found:
        if set(node) == {"const"}:  # of a verdict's rule; the words stand beside
            continue
        assert node["description"], key
        suffix = SUFFIX.search(key)
        if suffix is not None:
            assert node["description"].endswith(f", in {units[suffix.group(1)]}"), key
        elif "number" in node["type"]:
            told = node["description"]
            assert told.endswith(", no unit") or "unit of the key 'unit'" in told, key


def test_numbers_are_finite_or_null_and_named_by_unit(
    scenario_name: str, assessment: Callable[[str], Assessment]
) -> None:
    for key, value in leaves(as_object(assessment(scenario_name))):
        assert value is None or type(value) in (bool, int, float, str), key
        if isinstance(value, float):
            assert math.isfinite(value), key
        if type(value) in (int, float):
            assert SUFFIX.search(key) or key in BARE, key


def test_round_trip(scenario_name: str, assessment: Callable[[str], Assessment]) -> None:
    """RFC 8259 has no NaN and no infinity; what is written is read back unchanged."""
    found = as_object(assessment(scenario_name))
    assert json.loads(json.dumps(found, allow_nan=False)) == found


def test_figures_are_those_of_the_assessment(
    scenario_name: str, assessment: Callable[[str], Assessment]
) -> None:
    judged = assessment(scenario_name)
    found = as_object(judged)
    assert found["status"] == judged.status
    assert [o["operation"] for o in found["grip"]] == [f.operation.name for f in judged.operations]
    for out, figures in zip(found["grip"], judged.operations, strict=True):
        assert out["rest_total_N"] == pytest.approx(3.0 * out["rest_per_jaw_N"])
        assert out["rest_total_N"] == figures.grip.rest_total
    for out, figures in zip(found["contact"], judged.operations, strict=True):
        # the three jaws carry what closes them (equilibrium)
        assert sum(out["grip_per_jaw_N"]) == pytest.approx(figures.grip.largest_total, rel=1e-3)


def test_not_finite_becomes_null(assessment: Callable[[str], Assessment]) -> None:
    judged = assessment("cast_hub_on_ring")
    first = judged.operations[0]
    figures = replace(first, clamping=replace(first.clamping, roundness=math.nan))
    broken = replace(judged, operations=(figures,))
    assert as_object(broken)["distortion"][0]["roundness_um"] is None


def test_touches_say_where(assessment: Callable[[str], Assessment]) -> None:
    """The blocked ring: body, move and place; moves are counted from 1 as in a program."""
    found = as_object(assessment("cast_hub_ring_blocks"))["clearance"]
    first = found["touches"][0]
    assert first["body"] == "boring ring"
    assert 1 <= first["move"] <= found["moves"]
    assert found["least_mm"] == 0.0
    # The ring's hole has radius 56 mm; it lies on the jaws at z = 50 mm and is 14 mm thick.
    assert first["radius_mm"] >= 56.0 - 1e-6
    assert 50.0 - 1e-6 <= first["z_mm"] <= 64.0 + 1e-6


def test_machining_and_moves(assessment: Callable[[str], Assessment]) -> None:
    """A program's figures stand beside those of boring; every move only where asked for."""
    judged = assessment("cast_hub_program_touches")
    found = as_object(judged)
    (machining,) = found["machining"]
    assert machining["operation"] == "first side"
    assert machining["program"] == "programs/cast_hub_first_side_too_low.nc"
    assert (machining["touches"][0]["block"], machining["touches"][0]["line"]) == (235, 27)
    assert machining["grip"]["highest_speed_rpm"] == 1000.0
    assert "move_table" not in machining
    full = as_object(judged, moves=True)
    table = full["machining"][0]["move_table"]
    assert len(table) == machining["moves"]
    assert table[machining["touches"][0]["move"] - 1]["touches"].startswith("insert contact")
    assert len(full["clearance"]["move_table"]) == full["clearance"]["moves"]
    for key, value in leaves(full["machining"]):
        assert type(value) not in (int, float) or SUFFIX.search(key) or key in BARE, key
    ring, plug = found["fixture"]["room_for_ring"], found["fixture"]["room_for_plug"]
    # The hole of 126 mm is enough (the scenario passes on it); pins of 20 mm at the outer sides of the counterbores of
    # 22 mm on radius 74 mm stand on radius 75 mm and leave 130 mm.
    assert 122.0 < ring["least_inner_diameter_mm"] <= 126.0
    assert ring["most_inner_diameter_mm"] == pytest.approx(2.0 * 75.0 - 20.0)
    assert ring["keeps_its_pressure"]
    assert ring["keeps_its_speed"]
    # The floor of the pocket lies at z = 27; the tip keeps 1.5 mm off the plug.
    assert plug["top_mm"] == pytest.approx(25.5, abs=0.05)
    assert plug["seat_depth_mm"] == pytest.approx(50.0 - 25.5 + 12.0, abs=0.05)
    assert plug["pre_bore_diameter_mm"] == plug["diameter_mm"] == pytest.approx(2.0 * (42.0 + 3.0), abs=0.05)

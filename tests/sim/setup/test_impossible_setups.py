"""Setups that a first user wrote and that must not pass: each is refused by field, or fails a verdict."""

from __future__ import annotations

import tomllib
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from sim.assessment.stages import assess
from sim.base.errors import ScenarioError
from sim.scenario import Scenario
from sim.scenario.scenario import checked

BY_PROGRAM = "cast_hub_by_program"
STOP = {"outer_diameter": "60 mm", "thickness": "10 mm", "height": "16 mm"}
TOOL = {"number": 3, "insert": "CNMG 120408"}
BAR = {"diameter": "16 mm", "reach": "80 mm", "functional_offset": "11 mm"}
CROSSING = [["0 mm", "0 mm"], ["32 mm", "0 mm"], ["10 mm", "440 mm"], ["32 mm", "440 mm"], ["0 mm", "1 mm"]]
PLUG, HUB = "cast_hub_on_plug", "cast_hub_on_ring"


@pytest.mark.parametrize(
    ("name", "changes", "field"),
    [
        (  # under a steady rest or a centre it was measured before anybody had looked at it
            "shaft_on_a_centre",
            {"operations.0.workpiece.outline": CROSSING},
            "operations[0].workpiece.outline: an outline must not cross or touch itself",
        ),
        (
            HUB,
            {"soft_jaw.screws.thread": "M16", "soft_jaw.screws.hole_diameter": "13.5 mm"},
            "soft_jaw.screws.hole_diameter must be over 16 mm",
        ),
        (
            HUB,
            {
                "soft_jaw.screws.thread": "M16",
                "soft_jaw.screws.hole_diameter": "17.5 mm",
                "soft_jaw.screws.counterbore_diameter": "20 mm",
            },
            "soft_jaw.screws.counterbore_diameter must be over 24 mm",
        ),
        (
            HUB,
            {"soft_jaw.screws.washer_diameter": "22.5 mm"},
            "soft_jaw.screws.washer_diameter must be over the hole, 15.5 mm, and at most the counterbore that it lies "
            "in, 22 mm, found 22.5 mm",
        ),
        (
            HUB,
            {"soft_jaw.screws.thread": "M8", "soft_jaw.screws.hole_diameter": "13.5 mm"},
            "soft_jaw.screws.hole_diameter must be under 12.33 mm, the diameter on which the head of an M8 screw",
        ),
        (
            HUB,
            {"soft_jaw.screws.washer_diameter": "13 mm"},
            "soft_jaw.screws.washer_diameter must be over the hole",
        ),
        (
            HUB,
            {"chuck.radial_stiffness": "1 N/mm"},
            "chuck.radial_stiffness must lie between 20 and 2500 kN/mm (whole chucks are published at 66 to 216 "
            "kN/mm), found 0.001 kN/mm",
        ),
        (HUB, {"chuck.radial_stiffness": "1e8 N/mm"}, "between 20 and 2500 kN/mm"),
        (
            HUB,
            {"chuck.tilt_stiffness": "1 kN*m/rad"},
            "chuck.tilt_stiffness must lie between 100 and 160000 kN m/rad",
        ),
        (
            HUB,
            {"chuck.tilt_stiffness": "1e9 kN*m/rad"},
            "chuck.tilt_stiffness must lie between 100 and 160000",
        ),
        (
            HUB,
            {"chuck.tangential_stiffness": "1 N/mm"},
            "chuck.tangential_stiffness must lie between 1 and 2500 kN/mm (leave it out where it is not known), found",
        ),
        (HUB, {"master_jaw.width": "52 mm"}, "chuck.slot_width must be over"),
        (HUB, {"master_jaw.height": "58 mm"}, "chuck.slot_depth must be over"),
        (HUB, {"soft_jaw.width": "18 mm"}, "master_jaw.slot_neck_width must leave serrations"),
        (PLUG, {"boring.fixture.diameter": "119 mm"}, "boring.fixture.diameter must be under 118 mm"),
        (PLUG, {"boring.fixture.height": "30 mm"}, "boring.fixture.height must be under 27 mm"),
        (HUB, {"operations.0.cuts.0.height": "400 mm"}, "cuts[0].height must lie on the part"),
        (HUB, {"operations.0.cuts.0.diameter": "300 mm"}, "cuts[0].diameter must lie on the part"),
        (
            HUB,
            {"operations.0.cuts.0.diameter": "118 mm", "operations.0.cuts.0.height": "6 mm"},
            "cuts[0].height must be over 23 mm",
        ),
        (
            BY_PROGRAM,
            {"boring.program.file": "programs/none.nc"},
            "boring.program.file must name a program file",
        ),
        (BY_PROGRAM, {"boring.program.file": "programs"}, "boring.program.file must name a program file"),
        (BY_PROGRAM, {"boring.program.x": "both"}, "boring.program.x must be 'diameter' or 'radius'"),
        (BY_PROGRAM, {"boring.program.zero": "50"}, "boring.program.zero must be a length"),
        (
            BY_PROGRAM,
            {"boring.program.tools.1.number": 1},
            "boring.program tools must have different numbers",
        ),
        (
            BY_PROGRAM,
            {"boring.program.tools.1.number": 7},
            "T0202 calls a tool that is not among those stated: 1, 7",
        ),
        (BY_PROGRAM, {"boring.program.tools.0.insert": "CCXT"}, "boring.program.tools[0]: insert 'CCXT'"),
        (
            BY_PROGRAM,
            {"boring.program.tools.0.bar.functional_offset": "2 mm"},
            "boring.program.tools[0]: boring bar: half the diameter must be less than the functional offset",
        ),
        (
            BY_PROGRAM,
            {"boring.program.tools.0.bar.reach": "9 mm"},
            "boring.program.tools[0]: boring bar: reach",
        ),
        (BY_PROGRAM, {"boring.program.home_height": "9 mm"}, "must state both home_diameter and home_height"),
        (BY_PROGRAM, {"boring.program.tools": []}, "boring must state tool, or program with its tools"),
        (
            BY_PROGRAM,
            {"operations.0.program.tools": [TOOL]},
            "exactly one of bar, holder and plate, found none",
        ),
        (
            BY_PROGRAM,
            {"operations.0.program.tools": [{**TOOL, "bar": BAR, "holder": {}}]},
            "operations[0].program.tools[0].holder.height is missing",
        ),
        (
            BY_PROGRAM,
            {"operations.0.program.tools": [{"number": 3, "bar": BAR}]},
            "must state exactly one of insert (as in 'CCMT 09T304') and cutter",
        ),
        (
            HUB,
            {"operations.0.back_stop": {**STOP, "height": "20 mm"}},
            "operations[0].back_stop.height must keep",
        ),
        (BY_PROGRAM, {"operations.0.program.tools": []}, "operations[0].program.tools"),
        (HUB, {"operations.0.back_stop": {**STOP, "outer_diameter": "90 mm"}}, "must be at most 78 mm"),
        (
            HUB,
            {"operations.0.back_stop": {**STOP, "height": "-40 mm", "outer_diameter": "76 mm"}},
            "at most 75 mm",
        ),
    ],
)
def test_refused_by_field(
    varied: Callable[..., Scenario], name: str, changes: dict[str, Any], field: str
) -> None:
    with pytest.raises(ScenarioError) as caught:
        assess(varied(name, changes))
    assert field in str(caught.value)


def test_a_plug_as_wide_as_the_pocket_leaves_no_axial_stop(varied: Callable[..., Scenario]) -> None:
    """117 mm in a pocket of 118 mm: half a millimetre of back face."""
    found = assess(varied(PLUG, {"boring.fixture.diameter": "117 mm"}), contact_model="foundation")
    land = next(v for v in found.verdicts if v.name == "back face width")
    assert land.value == pytest.approx(0.5)
    assert land.status == "fail"


def test_a_long_part_held_by_its_end_fails(varied: Callable[..., Scenario]) -> None:
    """20 mm of 200 mm are a tenth, less than half of the third that common practice asks for."""
    outline = [["20 mm", "0 mm"], ["59 mm", "0 mm"], ["59 mm", "200 mm"], ["20 mm", "200 mm"]]
    found = assess(varied(HUB, {"operations.0.workpiece.outline": outline}), contact_model="foundation")
    held = next(v for v in found.verdicts if v.name == "held length")
    assert held.value == pytest.approx(0.1)
    assert held.status == "fail"


def test_a_misspelt_key_is_named_before_what_it_leaves_missing(scenario_file: Callable[[str], Path]) -> None:
    tables = tomllib.loads(scenario_file(HUB).read_text(encoding="utf-8"))
    tables["chuck"]["strok"] = tables["chuck"].pop("stroke")
    with pytest.raises(ScenarioError, match=r"chuck\.strok is not a key"):
        checked(tables, Path("a.toml"))

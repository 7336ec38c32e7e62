"""No tool ends in the air: what stands behind a bar's reach, a shank's end and a plate's."""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import Any

import pytest
import shapely

from meshes import insert as inserts
from meshes.boring_bar import BoringBar
from meshes.tool_holder import SquareShank, ToolHolder, square_shank
from meshes.turning_tool import Cutter, TurningTool
from sim.assessment.boring import bore
from sim.assessment.verdict import Verdict
from sim.assessment.verdicts.path import path_verdicts
from sim.clearance.tool import of_turning_tool
from sim.clearance.tool_carried import CARRIER, GOES_ON
from sim.scenario import Scenario
from sim.setup import parts

KAPR = math.radians(95.0)
CNMG = inserts.parse("CNMG 120408")
CCMT = inserts.parse("CCMT 09T304")
TURRET = {
    "outline": [["-60 mm", "22 mm"], ["20 mm", "22 mm"], ["20 mm", "90 mm"], ["-60 mm", "90 mm"]],
    "thickness": "40 mm",
}


def behind(tool: TurningTool) -> tuple[float, ...]:
    """Bounds of what carries a tool, and how thick it is."""
    found = [part for part in of_turning_tool(tool).parts if part.name == CARRIER]
    bounds = shapely.union_all([shapely.Polygon(part.outline) for part in found]).bounds
    assert {(part.near, part.kind) for part in found} == {(0.0, "holder")}
    return *bounds, found[0].far


def test_a_bar_is_held_by_a_sleeve_of_twice_its_diameter() -> None:
    """Axis 11 mm from the tip, bar of 16 mm: 16 mm to either side of the axis, from the reach on."""
    found = behind(TurningTool("", CCMT, KAPR, BoringBar(16.0, 80.0, 11.0)))
    assert found == pytest.approx((-27.0, 80.0, 5.0, 80.0 + GOES_ON, 0.0))


@pytest.mark.parametrize(
    ("axis", "bounds"),
    [("radial", (-150.0 - GOES_ON, 7.0, -150.0, 32.0)), ("axial", (-32.0, 150.0, -7.0, 150.0 + GOES_ON))],
)
def test_a_shank_goes_on(axis: Any, bounds: tuple[float, ...]) -> None:
    """Width 25 mm with f = 32 mm: between 7 and 32 mm, from l1 = 150 mm on, as thick as the shank is high."""
    holder = square_shank(SquareShank(25.0, 25.0, 150.0, 32.0, 36.0, axis), CNMG, KAPR)
    assert behind(TurningTool("", CNMG, KAPR, holder)) == pytest.approx((*bounds, 25.0))


def test_a_plate_goes_on_where_it_is_longest_and_a_turret_ends_that() -> None:
    ring = ((-2.0, 3.0), (-90.0, 3.0), (-90.0, 28.0), (-2.0, 28.0))
    plate = ToolHolder(ring, 20.0)
    assert behind(TurningTool("", CNMG, KAPR, plate)) == pytest.approx(
        (-90.0 - GOES_ON, 3.0, -90.0, 28.0, 20.0)
    )
    # Of a tool that cuts inward the same turned by half a turn.
    inward = TurningTool("", CNMG, KAPR, plate, "inward")
    assert behind(inward) == pytest.approx((90.0, 3.0, 90.0 + GOES_ON, 28.0, 20.0))
    drill = Cutter(((-10.0, 0.0), (10.0, 0.0), (10.0, 60.0), (-10.0, 60.0)))
    chuck = ToolHolder(((-20.0, 60.0), (20.0, 60.0), (20.0, 120.0), (-20.0, 120.0)), 40.0)
    assert behind(TurningTool("", drill, KAPR, chuck)) == pytest.approx(
        (-20.0, 120.0, 20.0, 120.0 + GOES_ON, 40.0)
    )
    tool = of_turning_tool(TurningTool("", CNMG, KAPR, plate, "outward", ToolHolder(ring, 60.0)))
    assert all(part.name != CARRIER for part in tool.parts)


@pytest.mark.parametrize(
    ("reach", "turret", "status", "words"),
    [
        ("80 mm", None, "pass", "nothing but"),
        ("22 mm", None, "fail", "Only what carries the tool behind its stated reach"),
        ("22 mm", TURRET, "fail", "turret"),
    ],
)
def test_a_bar_too_short_for_its_bore_does_not_pass(
    reach: str, turret: dict[str, Any] | None, status: str, words: str, varied: Callable[..., Scenario]
) -> None:
    """A pocket of 23 mm under a ring of 14 mm: a bar that reaches 22 mm is stiff, slender and in the ring."""
    changes = {"boring.program.tools.1.bar.reach": reach, "boring.program.tools.1.turret": turret}
    built = parts.build(varied("cast_hub_by_program", changes))
    found: dict[str, Verdict] = {v.key: v for v in path_verdicts(built, bore(built), "boring", "pocket", "")}
    assert found["tool_contact"].status == status
    assert words in found["tool_contact"].message

"""Tools as a scenario states them, as they stand in the machine."""

from __future__ import annotations

from typing import Any

import pytest
import shapely

from sim.clearance.tool import of_turning_tool
from sim.clearance.tool_carried import CARRIER
from sim.scenario import ProgramTool
from sim.setup.tooling import turning_tool

PLATE = {
    "outline": [["2 mm", "3 mm"], ["90 mm", "3 mm"], ["90 mm", "28 mm"], ["2 mm", "28 mm"]],
    "thickness": "25 mm",
}


def stated(**keys: Any) -> ProgramTool:
    return ProgramTool.model_validate({"number": 1, "insert": "CNMG 120408", **keys})


def covers(tool: ProgramTool, kind: str) -> shapely.Geometry:
    pieces = [piece for piece in of_turning_tool(turning_tool(tool)).parts if piece.name != CARRIER]
    return shapely.union_all([shapely.Polygon(piece.outline) for piece in pieces if piece.kind == kind])


def test_a_plate_stands_as_it_is_drawn() -> None:
    """x away from the axis for both ways of cutting: no mirror image where it is drawn for an outer diameter."""
    assert covers(stated(plate=PLATE), "holder").bounds == pytest.approx((2.0, 3.0, 90.0, 28.0))
    inside = {
        **PLATE,
        "outline": [["-20 mm", "9 mm"], ["-2 mm", "9 mm"], ["-2 mm", "90 mm"], ["-20 mm", "90 mm"]],
    }
    assert covers(stated(plate=inside, cuts="outward"), "holder").bounds == pytest.approx(
        (-20.0, 9.0, -2.0, 90.0)
    )


def test_which_way_a_tool_cuts_unless_it_says_so() -> None:
    bar = {"diameter": "16 mm", "reach": "80 mm", "functional_offset": "11 mm"}
    shank = dict.fromkeys(("height", "width"), "25 mm") | {
        "length": "150 mm", "functional_offset": "32 mm", "head_length": "36 mm",
    }  # fmt: skip
    assert stated(insert="CCMT 09T304", bar=bar).direction == "outward"
    assert stated(holder=shank).direction == "inward"
    # The insert of a tool for outer diameters lies on the far side of its tip, seen from the axis.
    assert covers(stated(holder=shank), "insert").bounds[0] == pytest.approx(0.0, abs=2e-3)
    assert covers(stated(insert="CCMT 09T304", bar=bar), "insert").bounds[2] == pytest.approx(0.0, abs=2e-3)


def test_turret_goes_with_the_tool() -> None:
    turret = {"outline": [["90 mm", "-40 mm"], ["300 mm", "-40 mm"], ["300 mm", "40 mm"], ["90 mm", "40 mm"]],
              "thickness": "100 mm"}  # fmt: skip
    tool = of_turning_tool(turning_tool(stated(plate=PLATE, turret=turret, name="facing tool")))
    assert tool.name == "tool 1, facing tool"
    (piece,) = [part for part in tool.parts if part.name == "turret"]
    assert (piece.kind, piece.far) == ("holder", 100.0)
    assert shapely.Polygon(piece.outline).bounds == pytest.approx((90.0, -40.0, 300.0, 40.0))


def test_a_cutter_by_its_outline() -> None:
    blade = {
        "outline": [["0 mm", "0 mm"], ["30 mm", "0 mm"], ["30 mm", "3 mm"], ["0 mm", "3 mm"]],
        "nose_radius": "0.2 mm",
    }
    tool = of_turning_tool(turning_tool(stated(insert=None, cutter=blade, plate=PLATE)))
    assert tool.nose_radius == 0.2
    cutting = [shapely.Polygon(part.outline) for part in tool.parts if part.kind == "insert"]
    assert shapely.union_all(cutting).bounds == pytest.approx((0.0, 0.0, 30.0, 3.0))

"""Programs as read, turned into the jaws."""

from __future__ import annotations

import math

import pytest
import shapely
from program_writer import write
from shapely.geometry.base import BaseGeometry

from meshes import insert as inserts
from meshes.boring_bar import BoringBar
from sim.clearance.boring import BoringPlan, boring_path
from sim.clearance.check import clearance_of
from sim.clearance.result import Body
from sim.clearance.tool import Tool, boring_tool
from sim.programs.program import read
from sim.programs.reading import Reading


def test_compensated_contour_turns_the_wanted_shape(jaws: BaseGeometry) -> None:
    """A pocket of 120 mm with a fillet as large as the nose: nothing cut too deep, nothing left over."""
    tool = boring_tool(BoringBar(16.0, 120.0, 11.0), inserts.parse("CCMT 09T308"), math.radians(95.0))
    text = "G0 X{0} Z60\nG41 G1 X120 Z52\nZ38.8\nG3 X118.4 Z38 R.8\nG1 X50\nG40 X40 Z60"
    rough = [f"G0 X{d} Z60\nG1 Z38\nG0 X{d - 2} Z60" for d in range(64, 118, 4)]
    seat = shapely.box(0.0, 38.0, 60.0, 60.0)
    fillet = shapely.box(59.2, 38.0, 60.0, 38.8).difference(shapely.Point(59.2, 38.8).buffer(0.8, 256))
    wanted = jaws.difference(seat.difference(fillet))
    moves = read(
        "\n".join([*rough, text.format(100)]),
        Reading(start=(10.0, 80.0), nose_radius=0.8, tip_direction=(1, -1)),
    ).moves
    result = clearance_of(moves, tool, [], jaws, wanted, 0.0)
    assert not result.touches
    assert result.gouge_area == 0.0
    assert result.leftover_depth < 5e-3


def test_generated_path_written_and_read_gives_the_same_result(
    jaws: BaseGeometry, pockets: shapely.Polygon, copying_tool: Tool
) -> None:
    """The whole check, once for the path and once for its program (rounded to 1e-4 mm)."""
    wanted = jaws.difference(pockets)
    path = boring_path(jaws, wanted, copying_tool, BoringPlan("outside", 2.0, 0.3, 80.0, 300.0))
    again = read(write(path), Reading(start=path[0].start)).moves
    bodies = [Body("boring ring", shapely.box(64.0, 50.0, 110.0, 65.0), "fixture")]
    results = [clearance_of(moves, copying_tool, bodies, jaws, wanted, 1.0) for moves in (path, again)]
    assert [move.block for move in again] == [move.block for move in path]
    assert {move.speed for move in again} == {300.0}
    assert results[0].passes
    assert results[1].passes
    assert results[1].clearance == pytest.approx(results[0].clearance, abs=2e-4)
    assert results[1].removed == pytest.approx(results[0].removed, abs=0.02)
    assert results[1].leftover_area == pytest.approx(results[0].leftover_area, abs=0.02)

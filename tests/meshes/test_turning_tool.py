"""Tools with all that moves with them; elementary geometry, no source needed."""

from __future__ import annotations

import math

import numpy as np
import pytest
import shapely

from meshes import boring_bar, turning_tool
from meshes import insert as inserts
from meshes.boring_bar import BoringBar
from meshes.tool_holder import SquareShank, ToolHolder, section_polygon, square_shank
from meshes.turning_tool import Cutter, TurningTool

SHANK = SquareShank(height=25.0, width=25.0, length=150.0, functional_offset=32.0, head_length=36.0)
CNMG = inserts.parse("CNMG 120408")
KAPR = math.radians(95.0)


@pytest.mark.parametrize(("insert", "angle"), [("CNMG 120408", 95.0), ("DNMG 150608", 93.0), ("VCMT 160404", 93.0),
                                               ("RCMT 1204M0", 90.0), ("SNMG 120408", 75.0)])  # fmt: skip
@pytest.mark.parametrize("axis", ["radial", "axial"])
def test_head_stays_behind_the_edges(insert: str, angle: float, axis: str) -> None:
    """Beyond the insert nothing of the holder comes nearer to the cut than the insert's own two edges, made longer."""
    shank = SquareShank(25.0, 25.0, 150.0, 32.0, 42.0, axis)  # type: ignore[arg-type]
    stated = inserts.parse(insert)
    holder = square_shank(shank, stated, math.radians(angle))
    corners = np.array(holder.outline)
    tip = inserts.outline(stated, math.radians(angle))
    assert corners[:, 0].max() < tip[:, 0].max()
    assert corners[:, 1].min() > tip[:, 1].min() - 32.0 + 25.0 if angle >= 90.0 else True
    # Apart from the insert itself the holder does not lie before it.
    before = shapely.box(-1.0, -50.0, 10.0, 3.0)
    assert shapely.intersection(section_polygon(holder), before).area == 0.0


def test_measures_of_a_radial_shank() -> None:
    """Width 25 with f = 32: the shank lies between 7 and 32 mm from the tip, up to l1 = 150 mm away."""
    outline = section_polygon(square_shank(SHANK, CNMG, KAPR))
    rear = shapely.intersection(outline, shapely.box(-200.0, -50.0, -40.0, 50.0))
    assert rear.bounds == pytest.approx((-150.0, 7.0, -40.0, 32.0))
    axial = SquareShank(25.0, 25.0, 150.0, 32.0, 36.0, "axial")
    rear = shapely.intersection(
        section_polygon(square_shank(axial, CNMG, KAPR)), shapely.box(-50.0, 40.0, 50.0, 200.0)
    )
    assert rear.bounds == pytest.approx((-32.0, 40.0, -7.0, 150.0))


def test_inward_tool_is_the_same_turned_by_half_a_turn(assert_solid) -> None:
    bar = BoringBar(16.0, 80.0, 11.0)
    insert = inserts.parse("CCMT 09T304")
    outward = turning_tool.mesh(TurningTool("", insert, KAPR, bar))
    inward = turning_tool.mesh(TurningTool("", insert, KAPR, bar, "inward"))
    assert np.asarray(inward.vertices) == pytest.approx(np.asarray(outward.vertices) * [-1.0, -1.0, 1.0])
    assert_solid(inward, boring_bar.mesh(bar, insert, KAPR).volume, rel=1e-9)


def test_plate_cutter_and_turret_are_drawn() -> None:
    """A blade of 3 by 20 mm, a plate behind it and a turret: volumes of plates."""
    cutter = Cutter(((-1.5, 0.0), (1.5, 0.0), (1.5, 20.0), (-1.5, 20.0)), 0.2)
    plate = ToolHolder(((-12.0, 20.0), (12.0, 20.0), (12.0, 100.0), (-12.0, 100.0)), 20.0)
    turret = ToolHolder(((-80.0, 100.0), (80.0, 100.0), (80.0, 200.0), (-80.0, 200.0)), 60.0)
    solid = turning_tool.mesh(TurningTool("groove", cutter, KAPR, plate, "inward", turret))
    assert solid.volume == pytest.approx(
        3.0 * 20.0 * turning_tool.BLADE + 24.0 * 80.0 * 20.0 + 160.0 * 100.0 * 60.0
    )


def test_impossible_tools_are_refused() -> None:
    with pytest.raises(ValueError, match="head length must be less than the length"):
        SquareShank(25.0, 25.0, 30.0, 32.0, 36.0)
    with pytest.raises(ValueError, match="insert's reach must be less than the head length"):
        square_shank(SquareShank(25.0, 25.0, 150.0, 32.0, 8.0), CNMG, KAPR)
    with pytest.raises(ValueError, match="must not cross"):
        Cutter(((0.0, 0.0), (1.0, 1.0), (1.0, 0.0), (0.0, 1.0)))
    with pytest.raises(ValueError, match="nose radius must be 0 mm or more"):
        Cutter(((0.0, 0.0), (1.0, 0.0), (1.0, 1.0)), -0.1)
    with pytest.raises(ValueError, match="a bar must hold an insert"):
        TurningTool("", Cutter(((0.0, 0.0), (1.0, 0.0), (1.0, 1.0))), KAPR, BoringBar(16.0, 80.0, 11.0))

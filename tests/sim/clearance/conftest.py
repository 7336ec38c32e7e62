from __future__ import annotations

import math

import pytest
import shapely
from shapely.geometry.base import BaseGeometry

from meshes import insert as inserts
from meshes import soft_jaw
from meshes.boring_bar import BoringBar
from meshes.placement import jaw_placement, placed
from meshes.pocket import Pocket, removed_outside
from meshes.soft_jaw import SoftJawBlank
from sim.clearance import image
from sim.clearance.tool import Tool, boring_tool

HEIGHT = 50.0
OPENING = 30.0


@pytest.fixture(scope="session")
def blank() -> SoftJawBlank:
    """An invented jaw with a flat inner end."""
    return SoftJawBlank(
        length=110.0,
        width=50.0,
        height=HEIGHT,
        tip_width=50.0,
        screws=(60.0, 90.0),
        hole_diameter=13.0,
        counterbore_diameter=20.0,
        counterbore_depth=30.0,
    )


@pytest.fixture(scope="session")
def jaws(blank: SoftJawBlank) -> BaseGeometry:
    """Image of three such jaws with their inner ends 30 mm from the axis."""
    return image.of_mesh(placed(soft_jaw.mesh(blank), jaw_placement(0, OPENING)))


@pytest.fixture(scope="session")
def pockets() -> shapely.Polygon:
    """Two nested pockets of 120 and 100 mm, as the region turned away."""
    return shapely.Polygon(
        removed_outside([Pocket(120.0, 12.0, 2.0, 0.5, 1.0), Pocket(100.0, 25.0, 2.0, 0.5, 1.0)], HEIGHT)
    )


@pytest.fixture(scope="session")
def copying_tool() -> Tool:
    """A 16 mm bar with a slender insert, so that the relief groove can be copied."""
    return boring_tool(
        BoringBar(diameter=16.0, reach=120.0, functional_offset=11.0),
        inserts.parse("VCMT 110302"),
        math.radians(107.5),
    )

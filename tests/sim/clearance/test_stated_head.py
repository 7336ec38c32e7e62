"""A bar whose head is stated: its pieces against its solid, and where it differs from the simplified one it rules."""

from __future__ import annotations

import math

import numpy as np
import pytest
import shapely

from meshes import boring_bar
from meshes import insert as inserts
from meshes.boring_bar import BoringBar
from meshes.placement import placed, translation
from sim.clearance import image
from sim.clearance.check import clearance_of
from sim.clearance.result import Body
from sim.clearance.sweep import swept
from sim.clearance.tool import boring_tool
from sim.programs.path import Move

KAPR = math.radians(95.0)
CCMT = inserts.parse("CCMT 09T304")
# The bar's shank lies from 3 to 19 mm from the tip across the axis.
SLIM = ((-0.6, 1.5), (-3.0, 30.0), (-19.0, 30.0), (-15.0, 12.0), (-6.0, 3.0))
FAT = ((-0.6, 1.5), (-0.6, 30.0), (-21.5, 30.0), (-21.5, 3.0), (-6.0, 1.5))


def bar(head: tuple[tuple[float, float], ...] | None) -> BoringBar:
    return BoringBar(16.0, 100.0, 11.0, 22.0, "steel", head)


@pytest.mark.parametrize("head", [SLIM, FAT])
@pytest.mark.parametrize(("radius", "added"), [(11.0, 0.8), (25.0, 0.55), (80.0, 0.2)])
def test_pieces_cover_the_solid_of_the_bar(
    head: tuple[tuple[float, float], ...], radius: float, added: float
) -> None:
    """Added is the step of the head's layers; the least bore takes off what does not enter it on either side."""
    tool = boring_tool(bar(head), CCMT, KAPR)
    solid = placed(boring_bar.mesh(bar(head), CCMT, KAPR), translation(radius, 0.0, 0.0))
    assert solid.is_watertight
    at = np.array([[radius, 0.0]])
    covered = shapely.union_all([swept(part, at, at)[0] for part in tool.parts])
    seen = image.of_mesh(solid)
    assert covered.buffer(0.1).contains(seen)
    assert seen.buffer(added).contains(covered)


@pytest.mark.parametrize(("head", "touches"), [(SLIM, False), (None, False), (FAT, True)])
def test_the_stated_outline_rules(head: tuple[tuple[float, float], ...] | None, touches: bool) -> None:
    """A pin whose edge stands 20.5 mm from the tip: the far side of the fat head is 21.5 mm from it, others' 19 mm."""
    tool = boring_tool(bar(head), CCMT, KAPR)
    pin = Body("pin", shapely.box(0.0, 0.0, 30.0 - 20.5, 60.0), "fixture")
    path = [Move("rapid", (30.0, 90.0), (30.0, 40.0))]
    found = clearance_of(path, tool, [pin], shapely.Polygon(), None, 0.0).touches
    assert {touch.part for touch in found} == ({"head"} if touches else set())
    if touches:
        assert "head" not in tool.assumed

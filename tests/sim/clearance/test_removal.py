"""What many cuts take, looked at all at once, beside cuts taken one after the other."""

from __future__ import annotations

import math

import numpy as np
import pytest
import shapely

from sim.base.arrays import Floats, Geometries
from sim.clearance import removal
from sim.clearance.removal import BLOCK, Cuts, removal_of
from sim.clearance.sweep import fronts_of, swept
from sim.clearance.tiles import Standing
from sim.clearance.tool import ToolPart

STOCK = shapely.box(42.0, 0.0, 80.0, 50.0)
NOSE = 0.8


def insert() -> ToolPart:
    """Return a rhombus of 80 degrees with a nose, its tip at the origin, as it stands in a boring bar."""
    corners = np.array([[0.0, 0.0], [-1.0, 9.0], [-10.0, 9.5], [-9.0, 1.5]])
    outline = shapely.buffer(shapely.buffer(shapely.Polygon(corners), -NOSE), NOSE, quad_segs=4)
    ring = shapely.get_coordinates(shapely.orient_polygons(outline))[:-1]
    return ToolPart("insert", "insert", ring, 0.0, 0.0)


def cuts(whole: Geometries, fronts: Geometries) -> Cuts:
    """Return cuts that are there already."""
    return Cuts(whole.__getitem__, whole.__getitem__, fronts.__getitem__)


def path(kind: str) -> Floats:
    """Return the corners of a path: along a wall, on an arc, in and out, back over what is cut, or anywhere."""
    if kind == "wall":
        return np.column_stack([np.full(90, 60.0), np.linspace(52.0, 40.0, 90)])
    if kind == "arc":
        turn = np.linspace(0.0, math.pi, 90)
        return np.column_stack([55.0 + 4.0 * np.sin(turn), 40.0 + 6.0 * np.cos(turn)])
    if kind == "cusps":
        z = np.repeat(np.linspace(45.0, 35.0, 45), 2)
        return np.column_stack([np.where(np.arange(90) % 2, 59.0, 60.0), z])
    if kind == "again":
        z = np.linspace(45.0, 40.0, 10)
        return np.column_stack([np.full(60, 60.0), np.concatenate([z, z[::-1]] * 3)])
    return np.random.default_rng(5).uniform((50.0, 30.0), (65.0, 48.0), (90, 2))


@pytest.mark.parametrize("kind", ["wall", "arc", "cusps", "again", "anywhere"])
def test_each_cut_takes_what_those_before_it_have_left(kind: str) -> None:
    part, points = insert(), path(kind)
    whole = swept(part, points[:-1], points[1:])
    fronts = fronts_of(part, points[:-1], points[1:])
    fronts[0] = whole[0]
    taken = removal_of(
        len(whole),
        lambda some: cuts(whole[some], fronts[some]),
        Standing.whole(STOCK),
    )
    left = STOCK
    for cut, removed in zip(whole, taken.removed, strict=True):
        expected = shapely.intersection(left, cut)
        assert shapely.area(shapely.symmetric_difference(removed, expected)) < 1e-6
        assert removed.area == pytest.approx(expected.area, abs=1e-8)
        left = shapely.difference(left, cut)
    assert shapely.area(shapely.symmetric_difference(taken.left, left)) < 1e-6


@pytest.mark.parametrize("kind", ["wall", "arc", "cusps", "again", "anywhere"])
def test_a_front_is_what_a_step_covers_beyond_its_start(kind: str) -> None:
    """The front is told from edges alone; what it must be follows from an overlay of step and start."""
    part, points = insert(), path(kind)
    starts, ends = points[:-1], points[1:]
    fronts = fronts_of(part, starts, ends)
    assert shapely.is_valid(fronts).all()
    beyond = shapely.difference(swept(part, starts, ends), swept(part, starts, starts))
    assert shapely.area(fronts) == pytest.approx(shapely.area(beyond), abs=1e-9)
    assert shapely.area(shapely.intersection(fronts, beyond)) == pytest.approx(shapely.area(beyond), abs=1e-7)


def test_no_step_has_no_front_and_one_across_the_axis_none_that_is_known() -> None:
    part = insert()
    fronts = fronts_of(part, np.array([[50.0, 40.0], [5.0, 40.0]]), np.array([[50.0, 40.0], [5.0, 39.0]]))
    assert fronts[0].is_empty
    assert fronts[1] is None


@pytest.mark.parametrize(("kind", "some"), [("wall", False), ("cusps", False), ("anywhere", True)])
def test_cuts_are_taken_one_by_one_where_the_areas_do_not_add_up(
    kind: str, some: bool, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Passes along a wall, with cusps or without, need it in no block; a path to and fro does."""
    blocks: list[int] = []
    one_by_one = removal._cut_in_blocks

    def counted(cuts: Geometries, left: Geometries, removed: Geometries) -> None:
        blocks.append(len(left))
        one_by_one(cuts, left, removed)

    monkeypatch.setattr(removal, "_cut_in_blocks", counted)
    part, points = insert(), path(kind)
    whole = swept(part, points[:-1], points[1:])
    fronts = np.r_[whole[:1], fronts_of(part, points[:-1], points[1:])[1:]]
    removal_of(len(whole), lambda some: cuts(whole[some], fronts[some]), Standing.whole(STOCK))
    assert sum(blocks) <= -(-len(whole) // BLOCK)
    assert any(blocks) == some

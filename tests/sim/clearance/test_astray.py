"""Rapid moves that may leave their line: against straight rapids along the ways that a control could take.

That axes at rates of their own run a dogleg, and never turn back, is common practice, no source.
"""

from __future__ import annotations

import dataclasses
import itertools
import math

import numpy as np
import pytest
import shapely
from shapely.geometry.base import BaseGeometry

from meshes import insert as inserts
from meshes.points import Point
from sim.clearance.astray import between, corner_of, roaming
from sim.clearance.boring import BoringPlan, boring_path
from sim.clearance.check import clearance_of
from sim.clearance.result import Body
from sim.clearance.runs import Run, check_runs
from sim.clearance.sweep import along_path, swept
from sim.clearance.tool import BoringBar, Tool, boring_tool, pieces
from sim.programs.path import Move
from sim.programs.rapids import dogleg, oblique

NOWHERE = shapely.Polygon()
SQUARE = Tool("square", pieces("insert", "insert", [(-4.0, 0.0), (0.0, 0.0), (0.0, 4.0), (-4.0, 4.0)]), 0.0)


def rapid(start: Point, end: Point, *, astray: bool) -> Move:
    return Move("rapid", start, end, astray=astray, block=10, line=1)


def body(low: float, bottom: float, high: float, top: float) -> Body:
    return Body("block", shapely.box(low, bottom, high, top), "fixture")


def both_ways(start: Point, end: Point, bodies: list[Body], tool: Tool = SQUARE) -> tuple[object, object]:
    return tuple(
        clearance_of([rapid(start, end, astray=astray)], tool, bodies, NOWHERE, None, 1.0)
        for astray in (False, True)
    )  # type: ignore[return-value]


@pytest.mark.parametrize(
    "at",
    [
        (90.0, 20.0, 100.0, 30.0),  # beside the corner where x has arrived first
        (30.0, 80.0, 40.0, 95.0),  # and where z has
        (70.0, 44.0, 72.0, 46.0),  # within the rectangle, on no way along its border
    ],
)
def test_what_only_a_dogleg_meets_is_a_touch_that_says_so(at: tuple[float, float, float, float]) -> None:
    straight, stray = both_ways((30.0, 20.0), (100.0, 100.0), [body(*at)])
    assert not straight.touches
    (touch,) = stray.touches
    assert (touch.kind, touch.move, touch.block, touch.astray) == ("rapid contact", 0, 10, True)
    assert stray.clearance == pytest.approx([0.0])
    assert stray.astray.tolist() == [True]
    # The tip stands where the square about to overlap the block does so by next to nothing.
    x, z = touch.tool_at
    assert shapely.box(x - 4.0, z, x, z + 4.0).distance(shapely.box(*at)) < 0.02
    assert 30.0 <= x <= 100.0
    assert 20.0 <= z <= 100.0


def test_what_the_line_meets_is_a_touch_of_the_line() -> None:
    straight, stray = both_ways((30.0, 20.0), (100.0, 100.0), [body(60.0, 50.0, 70.0, 60.0)])
    assert stray.touches == straight.touches
    assert not any(touch.astray for touch in stray.touches)


def test_clearance_is_the_least_of_all_ways_and_says_where_it_comes_from() -> None:
    """The block stands 3 mm right of the rectangle and 40 mm under the line; one at the start is the line's."""
    straight, stray = both_ways((30.0, 20.0), (100.0, 100.0), [body(103.0, 20.0, 110.0, 25.0)])
    assert stray.clearance == pytest.approx([3.0])
    assert stray.astray.tolist() == [True]
    assert straight.clearance[0] > 40.0
    assert not straight.astray.any()
    near_start = both_ways((30.0, 20.0), (100.0, 100.0), [body(20.0, 10.0, 24.0, 19.0)])
    assert near_start[1].clearance == pytest.approx(near_start[0].clearance)
    assert near_start[1].clearance == pytest.approx([math.hypot(2.0, 1.0)])
    assert not near_start[1].astray.any()


@pytest.mark.parametrize("seed", range(4))
def test_no_dogleg_at_any_rates_comes_nearer_or_touches_more(seed: int) -> None:
    """Ways at drawn ratios of the rates, each as straight moves: the least of them is not below the rectangle's."""
    rng = np.random.default_rng(seed)
    tool = boring_tool(BoringBar(16.0, 60.0, 11.0), inserts.parse("CCMT 09T304"), math.radians(95.0))
    start, end = (tuple(point) for point in rng.uniform([20.0, 10.0], [90.0, 120.0], (2, 2)).tolist())
    corners = rng.uniform([10.0, 0.0], [100.0, 130.0], (3, 2))
    bodies = [
        Body(f"block {n}", shapely.box(x, z, x + 6.0, z + 6.0), "fixture") for n, (x, z) in enumerate(corners)
    ]
    stray = clearance_of([rapid(start, end, astray=True)], tool, bodies, NOWHERE, None, 1.0)
    least = math.inf
    for ratio in [0.0, 1e9, *(10.0 ** rng.uniform(-1.5, 1.5, 60)).tolist()]:
        corner = corner_of(rapid(start, end, astray=False), ratio)
        ways = [rapid(a, b, astray=False) for a, b in itertools.pairwise([start, corner, end]) if a != b]
        found = clearance_of(ways, tool, bodies, NOWHERE, None, 1.0)
        least = min(least, found.least_clearance)
        for touch in found.touches:
            assert (touch.part, touch.body) in {(one.part, one.body) for one in stray.touches}
    assert stray.least_clearance <= least + 1e-6
    # ... and is nearly reached: the ratios lie close together.
    assert stray.least_clearance >= least - 1.5


def test_rectangles_of_thick_pieces_across_the_axis_hold_the_images_of_their_places() -> None:
    tool = boring_tool(BoringBar(16.0, 60.0, 11.0), inserts.parse("CCMT 09T304"), math.radians(95.0))
    rng = np.random.default_rng(5)
    starts, ends = np.array([[25.0, 40.0], [-3.0, 5.0]]), np.array([[2.0, 10.0], [30.0, 30.0]])
    for part in tool.parts:
        whole = between(part, starts, ends)
        assert all(shapely.is_valid(whole))
        for row in range(2):
            places = starts[row] + rng.random((40, 2)) * (ends[row] - starts[row])
            one = shapely.union_all(shapely.make_valid(swept(part, places, places)))
            assert shapely.difference(one, whole[row]).area < 0.02


def test_the_stock_is_that_of_the_moment() -> None:
    """Up past the corner of the stock at x = 50, z = 30: x first, it is 1 mm in the wall, until that is cut away."""
    stock = shapely.box(50.0, 0.0, 80.0, 30.0)
    down, up = rapid((48.0, 40.0), (48.0, 10.0), astray=False), rapid((48.0, 10.0), (51.0, 40.0), astray=True)
    over = rapid((51.0, 40.0), (54.0, 40.0), astray=False)
    cut = [
        Move("feed", a, b)
        for a, b in itertools.pairwise([(54.0, 40.0), (54.0, 5.0), (48.0, 5.0), (48.0, 40.0)])
    ]
    early = clearance_of([down, up, over, *cut], SQUARE, [], stock, None, 0.0)
    (touch,) = early.touches
    assert (touch.kind, touch.move, touch.body, touch.astray) == ("rapid contact", 1, "soft jaws", True)
    assert touch.overlap == pytest.approx((1.0, 20.0))
    assert early.approach[1] == 0.0
    assert not clearance_of([over, *cut, down, up], SQUARE, [], stock, None, 0.0).touches
    straight = dataclasses.replace(up, astray=False)
    assert not clearance_of([down, straight, over, *cut], SQUARE, [], stock, None, 0.0).touches
    # The feeds are judged once, with the line, whatever strays.
    plain = clearance_of([down, straight, over, *cut], SQUARE, [], stock, None, 0.0)
    assert early.removed == pytest.approx(plain.removed)


def test_numbers_of_moves_stay_through_runs() -> None:
    ring = [body(90.0, 20.0, 100.0, 30.0)]
    first = Run(SQUARE, (rapid((20.0, 60.0), (30.0, 20.0), astray=True),))
    second = Run(SQUARE, (rapid((30.0, 20.0), (100.0, 100.0), astray=True),))
    found = check_runs((first, second), ring, NOWHERE, None, 0.0)
    assert [(touch.move, touch.astray) for touch in found.touches] == [(1, True)]
    assert found.astray.tolist() == [False, True]  # the first is nearest at its end
    assert found.clearance[1] == 0.0


def test_moves_that_may_not_stray_are_judged_as_before() -> None:
    moves = [rapid((30.0, 20.0), (100.0, 100.0), astray=False)]
    sweep = along_path(moves, SQUARE)
    assert roaming(sweep) is sweep


def test_corners_of_doglegs_agree_with_the_reader_that_runs_them() -> None:
    move = rapid((30.0, 20.0), (100.0, 100.0), astray=False)
    for ratio in (0.3, 0.875, 1.0, 4.0):
        parts = dogleg(move, ratio)
        assert parts[0].end == pytest.approx(corner_of(move, ratio))
    assert corner_of(move, 0.0) == (30.0, 100.0)
    assert corner_of(move, math.inf) == (100.0, 20.0)
    assert not oblique(dataclasses.replace(move, kind="feed"))


@pytest.mark.parametrize("direction", ["outside", "inside"])
def test_the_path_that_is_made_moves_one_axis_at_rapid(
    direction: str, jaws: BaseGeometry, pockets: shapely.Polygon, copying_tool: Tool
) -> None:
    """So it runs the same whichever way a control runs two axes."""
    from sim.clearance.tool import mirrored

    inside = direction == "inside"
    wanted = jaws.difference(shapely.box(110.0, 30.0, 400.0, 60.0) if inside else pockets)
    tool = mirrored(copying_tool) if inside else copying_tool
    path = boring_path(jaws, wanted, tool, BoringPlan(direction, 2.0, 0.3, 80.0))  # type: ignore[arg-type]
    assert len(path) > 20
    assert not any(oblique(move) for move in path)

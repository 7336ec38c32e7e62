"""Paths that change tools: the same as one path where the tools are the same."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
import shapely
from shapely.geometry.base import BaseGeometry

from sim.base.kept import forget
from sim.clearance.boring import BoringPlan, boring_path
from sim.clearance.check import clearance_of
from sim.clearance.result import Body
from sim.clearance.runs import Run, check_runs, stock_at
from sim.clearance.tool import Tool, pieces
from sim.programs.path import Move

SQUARE = Tool("square", pieces("insert", "insert", [(-4.0, 0.0), (0.0, 0.0), (0.0, 4.0), (-4.0, 4.0)]), 0.0)


def test_a_path_cut_in_two_gives_the_same(
    jaws: BaseGeometry, pockets: shapely.Polygon, copying_tool: Tool
) -> None:
    wanted = jaws.difference(pockets)
    path = boring_path(jaws, wanted, copying_tool, BoringPlan("outside", 2.0, 0.3, 80.0))
    bodies = [Body("boring ring", shapely.box(58.0, 50.0, 110.0, 65.0), "fixture")]
    whole = clearance_of(path, copying_tool, bodies, jaws, wanted, 1.0)
    middle = len(path) // 2
    runs = (Run(copying_tool, path[:middle]), Run(copying_tool, path[middle:]))
    found = check_runs(runs, bodies, jaws, wanted, 1.0)
    assert found.clearance == pytest.approx(whole.clearance, abs=1e-6)
    assert found.body == whole.body
    assert found.removed == pytest.approx(whole.removed, abs=1e-5)
    assert found.leftover_area == pytest.approx(whole.leftover_area, abs=1e-5)
    assert found.first_touch is not None
    assert whole.first_touch is not None
    assert (found.first_touch.kind, found.first_touch.move) == (
        whole.first_touch.kind,
        whole.first_touch.move,
    )


def test_each_tool_cuts_what_the_one_before_has_left() -> None:
    """Two passes of 4 mm by two tools; the second alone would take 8 mm at once."""
    block = shapely.box(20.0, 0.0, 60.0, 30.0)
    first = Run(SQUARE, (Move("feed", (24.0, 40.0), (24.0, 10.0)),), 4.5)
    second = Run(
        SQUARE, (Move("rapid", (28.0, 40.0), (28.0, 35.0)), Move("feed", (28.0, 35.0), (28.0, 10.0))), 4.5
    )
    both = check_runs((first, second), [], block, None, 0.0)
    assert not both.touches
    assert both.depth_of_cut == pytest.approx([4.0, 0.0, 4.0])
    alone = check_runs((second,), [], block, None, 0.0)
    assert [touch.kind for touch in alone.touches] == []
    # 4 mm of the insert's width: it plunges and leaves a wall inside of it.
    assert alone.removed.sum() == pytest.approx(4.0 * 20.0)


def test_touches_are_numbered_through() -> None:
    ring = [Body("boring ring", shapely.box(50.0, 30.0, 60.0, 40.0), "fixture")]
    first = Run(
        SQUARE, (Move("rapid", (20.0, 60.0), (20.0, 50.0)), Move("rapid", (20.0, 50.0), (20.0, 60.0)))
    )
    second = Run(
        SQUARE, (Move("rapid", (20.0, 60.0), (52.0, 60.0)), Move("rapid", (52.0, 60.0), (52.0, 20.0)))
    )
    found = check_runs((first, second), ring, shapely.Polygon(), None, 0.0)
    assert [touch.move for touch in found.touches] == [3]
    assert len(found.part) == len(found.clearance) == 4


def test_no_run() -> None:
    with pytest.raises(ValueError, match="at least one run"):
        check_runs((), [], shapely.Polygon(), None, 0.0)


def test_stock_at_a_place_of_the_path() -> None:
    """Half way down the second of two passes: 4 mm are off, and 4 mm more over half of the depth."""
    block = shapely.box(20.0, 0.0, 60.0, 30.0)
    runs = (
        Run(SQUARE, (Move("feed", (24.0, 40.0), (24.0, 10.0)), Move("rapid", (24.0, 10.0), (24.0, 40.0)))),
        Run(SQUARE, (Move("rapid", (24.0, 40.0), (28.0, 40.0)), Move("feed", (28.0, 40.0), (28.0, 10.0)))),
    )
    before = stock_at(runs, block, 2, (28.0, 40.0))
    assert block.area - before.area == pytest.approx(4.0 * 20.0)
    half = stock_at(runs, block, 3, (28.0, 20.0))
    assert before.area - half.area == pytest.approx(4.0 * 10.0)
    assert stock_at(runs, block, 0, (24.0, 40.0)).area == block.area
    # On an arc the move ends where it is nearest to the point: a quarter turn about (24, 10) leaves the rest standing.
    arc = (Run(SQUARE, (Move("feed", (24.0, 30.0), (44.0, 10.0), centre=(24.0, 10.0)),)),)
    some = stock_at(arc, block, 0, (24.0 + 14.142, 10.0 + 14.142))
    assert stock_at(arc, block, 0, (44.0, 10.0)).area < some.area < block.area


def test_a_path_at_another_speed_is_known_and_any_other_path_is_not(
    copying_tool: Tool, jaws: BaseGeometry, pockets: shapely.Polygon
) -> None:
    """Where a tool passes does not hang on speed and feed; what stands around it does."""
    bodies = (Body("ring", shapely.box(40.0, 60.0, 90.0, 70.0), "fixture"),)
    moves = (
        Move("rapid", (50.0, 80.0), (50.0, 56.0), speed=900.0),
        Move("feed", (50.0, 56.0), (50.0, 30.0), speed=900.0, feed=0.2),
    )
    wanted = jaws.difference(pockets)
    asked = ((Run(copying_tool, moves),), bodies, jaws, wanted, 1.0)
    known = check_runs(*asked)
    faster = tuple(replace(m, speed=1200.0, surface_speed=200.0) for m in moves)
    assert check_runs((Run(copying_tool, faster, None, "forward"),), *asked[1:]) is known
    others = (
        ((Run(copying_tool, (moves[0], replace(moves[1], end=(50.0, 30.5)))),), *asked[1:]),
        ((Run(copying_tool, (moves[0], replace(moves[1], line=7))),), *asked[1:]),
        ((Run(copying_tool, (replace(moves[0], astray=True), moves[1])),), *asked[1:]),
        ((Run(copying_tool, moves, 2.0),), *asked[1:]),
        (asked[0], (replace(bodies[0], image=shapely.box(40.0, 60.0, 90.0, 70.1)),), *asked[2:]),
        (asked[0], (replace(bodies[0], name="plug"),), *asked[2:]),
        (*asked[:2], shapely.box(0.0, 0.0, 90.0, 40.0), *asked[3:]),
        (*asked[:3], None, 1.0),
        (*asked[:4], 1.5),
    )
    for other in others:
        assert check_runs(*other) is not known
    forget()
    again = check_runs(*asked)
    assert again is not known
    assert np.array_equal(again.clearance, known.clearance)
    assert again.touches == known.touches

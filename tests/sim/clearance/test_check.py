"""Touches and clearances of simple paths against closed forms; elementary geometry, no source needed."""

from __future__ import annotations

import itertools
import math

import numpy as np
import pytest
import shapely
from shapely.geometry.base import BaseGeometry

from meshes import insert as inserts
from meshes.boring_bar import BoringBar
from sim.clearance.boring import BoringPlan, boring_path
from sim.clearance.check import _End, clearance_of
from sim.clearance.obstacle import Nearest, against_bodies
from sim.clearance.result import Body
from sim.clearance.sweep import along_path
from sim.clearance.tool import Tool, boring_tool, cut, insert_polygon, mirrored, pieces
from sim.clearance.tool_outlines import shank_outline
from sim.programs.path import Move

NOWHERE = shapely.Polygon()
TOOL = Tool(
    name="square tip on a plate and a bar",
    parts=(
        *pieces("insert", "insert", [(-4.0, 0.0), (0.0, 0.0), (0.0, 4.0), (-4.0, 4.0)]),
        *cut([shank_outline(BoringBar(diameter=16.0, reach=100.0, functional_offset=11.0), 10.0)]),
    ),
    nose_radius=0.0,
)


def rapid(*points: tuple[float, float]) -> list[Move]:
    return [Move("rapid", a, b, block=10 * k) for k, (a, b) in enumerate(itertools.pairwise(points), 1)]


def feed(*points: tuple[float, float]) -> list[Move]:
    return [Move("feed", a, b, block=10 * k) for k, (a, b) in enumerate(itertools.pairwise(points), 1)]


def ring(inner: float, outer: float, bottom: float, top: float) -> Body:
    return Body("boring ring", shapely.box(inner, bottom, outer, top), "fixture")


def test_clearance_of_a_tip_that_passes_a_ring() -> None:
    """Tip at radius 40 through a ring of 50 mm inner radius: 10 mm."""
    result = clearance_of(
        rapid((40.0, 80.0), (40.0, 20.0)), TOOL, [ring(50.0, 90.0, 50.0, 60.0)], NOWHERE, None, 1.0
    )
    assert result.clearance == pytest.approx([10.0], abs=1e-9)
    assert (result.part, result.body) == (("insert",), ("boring ring",))
    assert result.passes


def test_clearance_is_measured_across_corners() -> None:
    """The tip stops 3 mm outside and 4 mm above a ring's corner: 5 mm."""
    result = clearance_of(
        rapid((47.0, 90.0), (47.0, 64.0)), TOOL, [ring(50.0, 90.0, 50.0, 60.0)], NOWHERE, None, 1.0
    )
    assert result.clearance == pytest.approx([5.0], abs=1e-9)


def test_far_side_of_a_bar_touches_in_a_small_bore() -> None:
    """Tip at 6 mm: the bar's axis lies at 6 - 11 = -5, its far side at 5 + 8 = 13 mm; the bore has 12."""
    bore = Body("sleeve", shapely.box(12.0, 0.0, 30.0, 60.0), "fixture")
    result = clearance_of(rapid((6.0, 80.0), (6.0, 10.0)), TOOL, [bore], NOWHERE, None, 0.5)
    touch = result.first_touch
    assert touch is not None
    assert (touch.kind, touch.part, touch.body) == ("rapid contact", "bar", "sleeve")
    assert touch.overlap[0] == pytest.approx(1.0, abs=1e-9)
    wider = Body("sleeve", shapely.box(13.5, 0.0, 30.0, 60.0), "fixture")
    assert clearance_of(
        rapid((6.0, 80.0), (6.0, 10.0)), TOOL, [wider], NOWHERE, None, 0.5
    ).least_clearance == pytest.approx(0.5)


def test_belly_of_a_thick_plate_touches_before_its_plane() -> None:
    """A plate 12 mm deep at x = 16 is seen at sqrt(16^2 + 12^2) = 20 mm."""
    tool = Tool(
        "plate",
        (*pieces("insert", "insert", [(-2.0, 0.0), (0.0, 0.0), (0.0, 2.0), (-2.0, 2.0)]),
         *pieces("holder", "holder", [(-6.0, 4.0), (-1.0, 4.0), (-1.0, 50.0), (-6.0, 50.0)], 0.0, 12.0)),
        0.0,
    )  # fmt: skip
    path = rapid((17.0, 80.0), (17.0, 20.0))
    clear = clearance_of(
        path, tool, [Body("sleeve", shapely.box(20.5, 0.0, 40.0, 60.0), "fixture")], NOWHERE, None, 0.0
    )
    assert clear.least_clearance == pytest.approx(0.5, abs=1e-6)
    assert clear.part == ("holder",)
    met = clearance_of(
        path, tool, [Body("sleeve", shapely.box(19.5, 0.0, 40.0, 60.0), "fixture")], NOWHERE, None, 0.0
    )
    assert met.touches[0].overlap[0] == pytest.approx(0.5, abs=1e-6)


def test_first_touch_names_move_block_and_place() -> None:
    """The tip comes down at radius 55 on a ring whose top is at 60: there it meets first."""
    path = rapid((40.0, 90.0), (55.0, 90.0), (55.0, 40.0))
    touch = clearance_of(path, TOOL, [ring(50.0, 90.0, 50.0, 60.0)], NOWHERE, None, 1.0).first_touch
    assert touch is not None
    assert (touch.kind, touch.move, touch.block, touch.part) == ("rapid contact", 1, 20, "insert")
    assert touch.tool_at == pytest.approx((55.0, 60.0), abs=0.01)
    assert touch.place[1] == pytest.approx(60.0, abs=0.01)
    assert 51.0 <= touch.place[0] <= 55.0
    assert touch.overlap == pytest.approx((4.0, 10.0), abs=1e-6)


def test_kinds_of_touch_are_told_apart() -> None:
    stock = shapely.box(30.0, 0.0, 80.0, 50.0)
    wanted = stock.difference(shapely.box(0.0, 20.0, 60.0, 60.0))
    bodies = [ring(50.0, 90.0, 50.0, 60.0)]
    seen = {
        name: {
            touch.kind
            for touch in clearance_of(path, TOOL, bodies, stock, wanted, 0.0, depth_limit=limit).touches
        }
        for name, path, limit in (
            ("insert in the ring", feed((45.0, 55.0), (55.0, 55.0)), 99.0),
            ("rapid in the stock", rapid((35.0, 80.0), (35.0, 40.0)), 99.0),
            ("gouge", feed((33.0, 51.0), (33.0, 19.0)), 99.0),
            ("deep", feed((33.5, 51.0), (33.5, 30.0)), 3.0),
            ("nothing", feed((32.0, 51.0), (32.0, 30.0)), 3.0),
        )
    }
    assert seen == {
        "insert in the ring": {"insert contact"},
        "rapid in the stock": {"rapid contact"},
        "gouge": {"gouge"},
        "deep": {"depth of cut"},
        "nothing": set(),
    }


def test_gouge_and_leftover_are_measured() -> None:
    """2 mm below a seat over 4 mm of width; the rest of the pocket stays."""
    stock = shapely.box(30.0, 0.0, 80.0, 50.0)
    wanted = stock.difference(shapely.box(0.0, 20.0, 34.0, 60.0))
    result = clearance_of(feed((34.0, 51.0), (34.0, 18.0)), TOOL, [], stock, wanted, 0.0)
    assert result.gouge_area == pytest.approx(8.0)
    assert result.gouge_depth == pytest.approx(2.0)
    assert [touch.kind for touch in result.touches] == ["gouge"]
    assert result.touches[0].depth == pytest.approx(2.0)
    assert result.touches[0].tool_at[1] == pytest.approx(20.0, abs=0.01)
    assert result.leftover_area == 0.0
    short = clearance_of(feed((34.0, 51.0), (34.0, 22.5)), TOOL, [], stock, wanted, 0.0)
    assert short.leftover_area == pytest.approx(10.0)
    assert short.leftover_depth == pytest.approx(2.5)


def test_stock_is_judged_as_it_is_then() -> None:
    """A rapid through a cut groove is safe after the cut and a touch before it."""
    stock = shapely.box(30.0, 0.0, 80.0, 50.0)
    cut = feed((33.0, 55.0), (33.0, 10.0))
    back = rapid((33.0, 10.0), (33.0, 55.0))
    assert not clearance_of([*cut, *back], TOOL, [], stock, None, 0.0).touches
    early = clearance_of([*rapid((33.0, 55.0), (33.0, 10.0)), *cut], TOOL, [], stock, None, 0.0)
    assert [(touch.kind, touch.move) for touch in early.touches] == [("rapid contact", 0)]
    assert early.removed == pytest.approx([0.0, 3.0 * 40.0])


def test_shank_may_follow_the_insert_but_not_run_ahead() -> None:
    """A plate behind the insert passes where the insert has cut; one wider than the insert does not."""
    stock = shapely.box(30.0, 0.0, 80.0, 50.0)
    tip = pieces("insert", "insert", [(-4.0, 0.0), (0.0, 0.0), (0.0, 4.0), (-4.0, 4.0)])
    behind = Tool(
        "behind",
        (*tip, *pieces("shank", "shank", [(-4.0, 4.5), (-0.5, 4.5), (-0.5, 60.0), (-4.0, 60.0)])),
        0.0,
    )
    wide = Tool(
        "wide", (*tip, *pieces("shank", "shank", [(-6.0, 4.5), (-0.5, 4.5), (-0.5, 60.0), (-6.0, 60.0)])), 0.0
    )
    path = feed((40.0, 55.0), (40.0, 10.0))
    assert not clearance_of(path, behind, [], stock, None, 0.0).touches
    touch = clearance_of(path, wide, [], stock, None, 0.0).first_touch
    assert touch is not None
    assert (touch.kind, touch.part) == ("shank contact", "shank")
    assert touch.overlap[0] == pytest.approx(2.0, abs=0.02)
    assert touch.tool_at[1] == pytest.approx(45.5, abs=0.02)


def test_arcs_cut_round() -> None:
    """A quarter circle of 10 mm about the corner of a square: what is left is bounded by it."""
    tip = Tool(
        "point", pieces("insert", "insert", [(-0.01, 0.0), (0.0, 0.0), (0.0, 0.01), (-0.01, 0.01)]), 0.0
    )
    stock = shapely.box(30.0, 0.0, 60.0, 31.0)
    path = [Move("feed", (40.0, 30.0), (50.0, 20.0), centre=(40.0, 20.0), clockwise=False)]
    result = clearance_of(path, tip, [], stock, None, 0.0)
    # A square of side a that runs right and down covers a (|dx| + |dz|) and itself.
    assert result.removed[0] == pytest.approx(0.01 * 20.0 + 0.01**2, rel=1e-4)
    middle = shapely.Point(40.0 + 10.0 / math.sqrt(2.0) - 0.005, 20.0 + 10.0 / math.sqrt(2.0) + 0.005)
    assert result.stock_left.distance(middle) > 0.0


def test_generated_path_turns_the_pockets(
    jaws: BaseGeometry, pockets: shapely.Polygon, copying_tool: Tool
) -> None:
    """No gouge; what is left is the fillet of the nose in the corners, r^2 (1 - pi/4) each."""
    wanted = jaws.difference(pockets)
    path = boring_path(jaws, wanted, copying_tool, BoringPlan("outside", 2.0, 0.3, 80.0, 300.0))
    result = clearance_of(path, copying_tool, [], jaws, wanted, 1.0)
    assert not result.touches
    assert result.gouge_area == 0.0
    fillet = copying_tool.nose_radius**2 * (1.0 - math.pi / 4.0)
    assert result.leftover_area == pytest.approx(2.0 * fillet, abs=1e-3)
    assert result.leftover_depth < copying_tool.nose_radius * 0.4
    assert result.removed.sum() == pytest.approx(jaws.area - wanted.area - result.leftover_area, abs=1e-4)
    rough = np.array([move.stage == "rough" for move in path])
    assert result.depth_of_cut[rough].max() < 2.5


def test_insert_that_cannot_reach_the_groove_leaves_it(jaws: BaseGeometry, pockets: shapely.Polygon) -> None:
    """An 80 deg insert at 95 deg has 5 deg behind its edge; the groove's run-out stands at 30 deg."""
    tool = boring_tool(BoringBar(16.0, 120.0, 11.0), inserts.parse("CCMT 09T304"), math.radians(95.0))
    wanted = jaws.difference(pockets)
    result = clearance_of(
        boring_path(jaws, wanted, tool, BoringPlan("outside", 2.0, 0.3, 80.0)), tool, [], jaws, wanted, 1.0
    )
    assert not result.touches
    # The tip reaches 2 mm of height times tan 5 deg into the groove of 0.5 mm.
    assert result.leftover_depth == pytest.approx(0.5 - 2.0 * math.tan(math.radians(5.0)), abs=0.05)


def test_path_for_inside_gripping_turns_the_outer_ends(jaws: BaseGeometry, copying_tool: Tool) -> None:
    tool = mirrored(copying_tool)
    wanted = jaws.difference(shapely.box(110.0, 30.0, 400.0, 60.0))
    path = boring_path(jaws, wanted, tool, BoringPlan("inside", 2.0, 0.3, 80.0))
    result = clearance_of(path, tool, [], jaws, wanted, 1.0)
    assert not result.touches
    assert result.leftover_area == pytest.approx(tool.nose_radius**2 * (1.0 - math.pi / 4.0), abs=1e-3)


def test_path_touches_a_ring_that_is_too_small(
    jaws: BaseGeometry, pockets: shapely.Polygon, copying_tool: Tool
) -> None:
    """The pocket has a radius of 60 mm (61 at the chamfer's mouth), the ring a hole of 55."""
    wanted = jaws.difference(pockets)
    path = boring_path(jaws, wanted, copying_tool, BoringPlan("outside", 2.0, 0.3, 80.0))
    result = clearance_of(path, copying_tool, [ring(55.0, 110.0, 50.0, 65.0)], jaws, wanted, 1.0)
    first = result.first_touch
    assert first is not None
    assert (first.kind, first.part, first.body) == ("rapid contact", "insert", "boring ring")
    assert path[first.move].stage == "rough"
    # Rough passes grow by 2 mm from 30 mm; the first beyond 55 mm is at 56.
    assert first.tool_at == pytest.approx((56.0, 65.0), abs=0.02)
    deepest = max(touch.overlap[0] for touch in result.touches)
    assert deepest == pytest.approx(61.2 - 55.0, abs=0.25)


def test_no_moves_no_bodies_no_stock() -> None:
    result = clearance_of([], TOOL, [], NOWHERE, NOWHERE, 1.0)
    assert result.passes
    assert result.least_clearance == math.inf
    assert result.least_move == -1


def test_insert_polygon_touches_the_axes_at_its_nose(copying_tool: Tool) -> None:
    low, bottom, high, _ = insert_polygon(copying_tool).bounds
    assert (high, bottom) == pytest.approx((0.0, 0.0), abs=1e-9)
    assert low < -5.0


@pytest.mark.parametrize("start", [35.0, 3.0])
def test_path_against_widened_bodies_gives_the_same_distances(start: float, copying_tool: Tool) -> None:
    """Two ways to the same figure: polygons of the steps, and the path against widened bodies."""
    rng = np.random.default_rng(7)
    points = np.array([start, 60.0]) + np.cumsum(rng.normal(size=(120, 2)), axis=0)
    moves = [Move("rapid", tuple(a), tuple(b)) for a, b in itertools.pairwise(points.tolist())]
    bodies = [ring(45.0, 90.0, 60.0, 75.0), Body("plug", shapely.box(0.0, -60.0, 10.0, 40.0), "fixture")]
    sweep = along_path(moves, copying_tool)
    found = []
    for few_steps in (10_000, 0):
        nearest = Nearest.nothing(len(moves))
        against_bodies(sweep, bodies, nearest, few_steps)
        found.append(nearest)
    assert found[1].distance == pytest.approx(found[0].distance, abs=1e-6)
    assert 0.0 < found[0].distance.min() < 15.0


@pytest.mark.parametrize("size", [0.0, 0.0055, 1.0])
@pytest.mark.parametrize("more", [0.0, 0.2])
def test_a_gouge_as_wide_as_the_tolerance_is_found_beside_what_is_left_over(size: float, more: float) -> None:
    """A square less of what is wanted, and a strip more: what is missing shows in the areas, however little it is."""
    wanted = shapely.box(0.0, 0.0, 50.0, 40.0)
    left = shapely.difference(
        shapely.box(0.0, 0.0, 50.0 + more, 40.0), shapely.box(20.0, 10.0, 20.0 + size, 10.0 + size)
    )
    end = _End.of(left, wanted)
    assert end.gouge[0].area == pytest.approx(size**2, abs=1e-9)
    assert end.leftover[0].area == pytest.approx(40.0 * more, abs=1e-9)
    assert end.leftover[1] == pytest.approx(more, abs=1e-9)

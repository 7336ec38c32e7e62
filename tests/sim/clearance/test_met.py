"""How deep a tool stands in the stock, by another way: the stock cut step by step, and looked at as each step finds it.

Elementary geometry, no source. The depth of a touch is the greatest over all moves that it counts, each in the stock as
it is then: what later moves remove is still there.
"""

from __future__ import annotations

import itertools

import numpy as np
import pytest
import shapely
from shapely.geometry.base import BaseGeometry

from sim.clearance import met
from sim.clearance.check import clearance_of
from sim.clearance.removal import removal
from sim.clearance.result import ClearanceResult
from sim.clearance.shapes import depth_below
from sim.clearance.stock_then import StockThen
from sim.clearance.tool import Tool, pieces
from sim.programs.path import Move

STOCK = shapely.box(40.0, 0.0, 90.0, 50.0)
TIP = [(-5.0, 0.2), (0.0, 0.0), (-1.0, 5.0)]
Ring = list[tuple[float, float]]
# One stands in what stays, the other in what later moves take.
PLATES: dict[str, Ring] = {
    "beside": [(-9.0, 6.0), (0.6, 6.0), (0.6, 30.0), (-9.0, 30.0)],
    "ahead": [(-9.0, -3.0), (-1.5, -3.0), (-1.5, 30.0), (-9.0, 30.0)],
}


def tool_with(plate: Ring) -> Tool:
    return Tool("tool", (*pieces("insert", "insert", TIP), *pieces("plate", "shank", plate)), 0.0)


def cusps(count: int, top: float = 51.0, bottom: float = 20.0) -> list[Move]:
    """Return passes across a wall, a little deeper in z each, along which the plate comes to stand in metal."""
    z = np.repeat(np.linspace(top, bottom, count // 2), 2)
    x = np.where(np.arange(len(z)) % 2, 54.0, 55.0 + 0.8 * np.sin(z))
    points = [(44.0, 60.0), (44.0, top), *zip(x.tolist(), z.tolist(), strict=True)]
    return [Move("feed", a, b) for a, b in itertools.pairwise(points)]


def moved(ring: Ring, move: Move) -> BaseGeometry:
    """Return what a convex ring covers along a straight move: the hull of its corners at both ends."""
    ends = np.array([move.start, move.end])
    return shapely.MultiPoint((ends[:, None] + np.array(ring)[None]).reshape(-1, 2)).convex_hull


def cut_one_by_one(moves: list[Move], plate: Ring) -> dict[int, float]:
    """Return how deep the plate reaches into the stock that each move leaves, in the moves in which it does."""
    left: BaseGeometry = STOCK
    found = {}
    for number, move in enumerate(moves):
        left = left.difference(moved(TIP, move))
        common = left.intersection(moved(plate, move))
        if not common.buffer(-0.0025, join_style="mitre").is_empty:
            inside = shapely.segmentize(common, 0.02)
            points = shapely.points(shapely.get_coordinates(inside))
            found[number] = float(shapely.distance(points, left.boundary).max())
    return found


def of_plate(result: ClearanceResult) -> tuple[int, int, float]:
    (touch,) = [one for one in result.touches if one.part == "plate"]
    return touch.move, touch.count, touch.depth


@pytest.mark.parametrize("where", list(PLATES))
@pytest.mark.parametrize(("count", "few"), [(60, met.FEW), (140, 20)])
def test_the_depth_of_a_touch_is_the_greatest_in_the_stock_as_it_is_then(
    count: int, few: int, where: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Few are measured each, many to a tolerance; the sampling of outlines adds an eighth of a millimetre at most.

    Of the many two are measured first, so that the others are found by what is tried here.
    """
    monkeypatch.setattr(met, "FEW", few)
    monkeypatch.setattr(met, "_SEEDS", 2)
    moves = cusps(count)
    expected = cut_one_by_one(moves, PLATES[where])
    assert len(expected) > count // 3
    first, touched, depth = of_plate(clearance_of(moves, tool_with(PLATES[where]), [], STOCK, None, 0.0))
    assert (first, touched) == (min(expected), len(expected))
    slack = met.DEPTH if len(expected) > met.FEW else 0.0
    assert max(expected.values()) - 0.125 - slack <= depth <= max(expected.values()) + 0.125


def test_many_are_measured_as_deep_as_each(monkeypatch: pytest.MonkeyPatch) -> None:
    """The same path with each overlap measured, and with those only that may be deeper."""
    moves = cusps(240)
    each = of_plate(clearance_of(moves, tool_with(PLATES["ahead"]), [], STOCK, None, 0.0))
    monkeypatch.setattr(met, "FEW", 20)
    some = of_plate(clearance_of(moves, tool_with(PLATES["ahead"]), [], STOCK, None, 0.0))
    assert some[:2] == each[:2]
    assert each[2] - met.DEPTH <= some[2] <= each[2] + 1e-9


NARROW: Ring = [(-4.0, 6.0), (0.6, 6.0), (0.6, 30.0), (-4.0, 30.0)]  # stands in the wall alone


def with_deep_ones(count: int, deeper: dict[int, float]) -> list[Move]:
    """Return passes across a wall of which some go deeper than the others, by so many mm."""
    moves = cusps(count)
    for at, by in deeper.items():
        deep = (moves[at].end[0] + by, moves[at].end[1])
        moves[at] = Move("feed", moves[at].start, deep)
        moves[at + 1] = Move("feed", deep, moves[at + 1].end)
    return moves


@pytest.mark.parametrize("at", [177, 185])
def test_of_many_the_one_that_is_deeper_than_all_is_measured(
    monkeypatch: pytest.MonkeyPatch, at: int
) -> None:
    """A deep pass and then a deeper one lie between those that are measured first; cut step by step says how deep."""
    moves = with_deep_ones(240, {89: 1.2, at: 2.5})
    expected = cut_one_by_one(moves, NARROW)
    deepest = sorted(expected.values())
    assert deepest[-5] + 0.4 < deepest[-3] == expected[89] < deepest[-1] - 0.4 == expected[at] - 0.4
    monkeypatch.setattr(met, "FEW", 20)
    _, touched, depth = of_plate(clearance_of(moves, tool_with(NARROW), [], STOCK, None, 0.0))
    assert touched == len(expected)
    assert deepest[-1] - 0.125 - met.DEPTH <= depth <= deepest[-1] + 0.125


def test_a_step_gets_as_far_from_a_line_as_the_farther_of_its_ends() -> None:
    """So much deeper than a step along the line it may reach at most, whichever way it runs."""
    line = np.array([0.0, 0.0]), np.array([3.0, 4.0])
    near, far, beyond = (3.0, 4.0), (-4.0, 3.0), (6.0, 8.0)
    starts, ends = np.array([near, far, near, near]), np.array([far, near, near, beyond])
    assert met.farthest(starts, ends, line) == pytest.approx([5.0, 5.0, 0.0, 5.0])
    point = np.array([1.0, 1.0])
    assert met.farthest(np.array([[1.0, 3.0]]), np.array([[1.0, 1.0]]), (point, point)) == pytest.approx(
        [2.0]
    )


@pytest.mark.parametrize("seed", range(4))
def test_metal_that_was_cut_apart_has_no_surface_within(seed: int) -> None:
    """What many cuts take and what they leave join to the whole stock: its surface is as long as before any cut."""
    rng = np.random.default_rng(seed)
    corners = rng.uniform((42.0, 5.0), (80.0, 45.0), (120, 1, 2)) + rng.uniform(-6.0, 6.0, (120, 5, 2))
    taken = removal(np.asarray(shapely.convex_hull(shapely.multipoints(corners)), dtype=object), STOCK)
    whole = StockThen(np.array([taken.left]), taken.removed).within((0.0, 0.0, 100.0, 100.0))
    assert whole.symmetric_difference(STOCK).area < 1e-3
    assert whole.boundary.length == pytest.approx(STOCK.boundary.length, abs=1e-3)


@pytest.mark.parametrize("first", range(5))
def test_corners_on_straight_walls_do_not_move_a_depth(first: int) -> None:
    """Between two walls the deepest points lie on edges, not at corners; an outline may begin at any corner."""
    gouge = np.array([(-0.15, 0.0), (-0.15, 1.0), (0.9, 0.52), (0.9, 0.48)])
    more = np.roll(
        shapely.get_coordinates(shapely.segmentize(shapely.Polygon(gouge), 0.13))[:-1], first, axis=0
    )
    walls = shapely.MultiLineString([[(-0.2, -1.0), (-0.2, 2.0)], [(1.1, -1.0), (1.1, 2.0)]])
    expected = depth_below(shapely.Polygon(gouge), walls)
    assert depth_below(shapely.Polygon(more), walls) == pytest.approx(expected, abs=1e-9)


SHALLOW: Ring = [(-4.0, 0.5), (0.2, 0.5), (0.2, 5.5), (-4.0, 5.5)]  # of the same part, less deep in the wall


@pytest.mark.parametrize("rings", [(NARROW, SHALLOW), (SHALLOW, NARROW)], ids=["deeper first", "deeper last"])
@pytest.mark.parametrize("at", [177, 185])
def test_pieces_of_a_part_are_measured_side_by_side(
    monkeypatch: pytest.MonkeyPatch, at: int, rings: tuple[Ring, Ring]
) -> None:
    """Both are in metal at many steps; what one of them reaches says nothing of the other.

    Back from the deep place it goes rapidly, so that nothing else of the same touch is as deep.
    """
    moves = with_deep_ones(240, {89: 1.2, at: 2.5})
    moves[at + 1] = Move("rapid", moves[at + 1].start, moves[at + 1].end)
    one, other = (cut_one_by_one(moves, ring) for ring in rings)
    assert min(len(one), len(other)) > 60
    monkeypatch.setattr(met, "FEW", 20)
    monkeypatch.setattr(met, "_SEEDS", 1)
    plates = [piece for ring in rings for piece in pieces("plate", "shank", ring)]
    tool = Tool("tool", (*pieces("insert", "insert", TIP), *plates), 0.0)
    touches = clearance_of(moves, tool, [], STOCK, None, 0.0).touches
    (touch,) = [found for found in touches if (found.part, found.kind) == ("plate", "shank contact")]
    assert touch.count == len({*one, *other} - {at + 1})
    deepest = max(*one.values(), *other.values())
    assert deepest - 0.125 - met.DEPTH <= touch.depth <= deepest + 0.125

"""Paths of which some steps reach across the axis: facing past the middle, drills. Held to points, each asked alone.

A point at radius rho and height z turns into the tool where the tool covers (rho, z) or (-rho, z). An insert moved
along a straight step covers it if for some share of the step no edge of the insert has it outside: one interval of
shares an edge. The first cut that covers a point takes it.
"""

from __future__ import annotations

import itertools
import math

import numpy as np
import pytest
import shapely

from sim.clearance.check import clearance_of
from sim.clearance.tool import Tool, ToolPart
from sim.programs.path import Move

Place = tuple[float, float]
STOCK = shapely.box(0.0, 0.0, 20.0, 30.0)
POINTS = np.random.default_rng(5).uniform((0.0, 0.0), (20.0, 30.0), (40_000, 2))
RHOMBUS = np.array([(0.0, 0.0), (6.0, 1.0), (7.0, 7.0), (1.0, 6.0)])
DRILL = np.array([(-3.0, 40.0), (-3.0, 2.0), (0.0, 0.0), (3.0, 2.0), (3.0, 40.0)])
LOPSIDED = np.array([(-1.0, 40.0), (-1.0, 2.0), (0.0, 0.0), (3.0, 2.0), (3.0, 40.0)])


def covered(outline: np.ndarray, start: Place, end: Place, points: np.ndarray) -> np.ndarray:
    """Tell which points (n, 2) an insert covers in a step, on the side of the axis where it is."""
    least, most = np.zeros(len(points)), np.ones(len(points))
    along = np.subtract(end, start)
    for one, other in zip(outline, np.roll(outline, -1, axis=0), strict=True):
        inward = np.array([one[1] - other[1], other[0] - one[0]])
        over = (points - one - np.array(start)) @ inward  # must be at least share times slope
        slope = along @ inward
        if slope == 0.0:
            most = np.where(over < 0.0, -1.0, most)
        elif slope > 0.0:
            most = np.minimum(most, over / slope)
        else:
            least = np.maximum(least, over / slope)
    found: np.ndarray = least <= most
    return found


def taken_by(outline: np.ndarray, moves: list[Move]) -> np.ndarray:
    """Return the number of the move that takes each point; -1 for none."""
    found = np.full(len(POINTS), -1)
    for number, move in enumerate(moves):
        if move.kind == "feed":
            there = covered(outline, move.start, move.end, POINTS)
            there |= covered(outline, move.start, move.end, POINTS * [-1.0, 1.0])
            found[there & (found < 0)] = number
    return found


def path(places: list[tuple[str, float, float]]) -> list[Move]:
    ends = [(x, z) for _, x, z in places]
    kinds = [kind for kind, _, _ in places[1:]]
    return [
        Move("feed" if kind == "f" else "rapid", a, b)
        for kind, (a, b) in zip(kinds, itertools.pairwise(ends), strict=True)
    ]


def wavy(count: int, top: float) -> list[tuple[str, float, float]]:
    heights = np.linspace(top, 4.0, count)
    return [("f", 17.0 + 0.5 * math.sin(1.3 * z) + 0.2 * (k % 2), z) for k, z in enumerate(heights.tolist())]


FACED = path([
    ("r", 30.0, 29.0), ("f", -0.8, 29.0), ("r", 30.0, 29.0), *[("f", 17.5, 29.0)], *wavy(90, 28.5), ("r", 30.0, 27.0),
    ("f", -0.8, 27.0), ("f", -0.8, 26.5), ("f", 0.4, 26.0), ("r", 30.0, 26.0), ("f", 16.9, 26.0), *wavy(150, 25.5),
    ("f", 12.0, 4.5), ("f", -2.0, 10.0), ("f", 3.0, 24.0), ("r", -9.0, 35.0), ("f", -9.0, 20.0),
    *[("f", -x, z) for _, x, z in wavy(190, 18.0)], *[("f", 8.0 - k, 2.0 + 0.3 * (k % 2)) for k in range(12)],
])  # fmt: skip
DRILLED = path([
    ("r", 0.0, 35.0),
    *[one for k in range(90) for one in (("f", 0.0, 29.9 - 0.2 * k), ("r", 0.0, 32.0))],
])  # fmt: skip


@pytest.mark.parametrize(
    ("outline", "moves"),
    [
        (RHOMBUS, FACED),
        (DRILL, DRILLED),
        (LOPSIDED, DRILLED),
        (DRILL + np.array([1.0, 0.0]), DRILLED),
        (DRILL + np.array([3.5, 0.0]), DRILLED),
    ],
    ids=[
        "faced past the middle",
        "drill",
        "drill with one lip short",
        "drill beside the axis",
        "one that clears it",
    ],
)
def test_every_point_goes_with_the_first_cut_that_covers_it(outline: np.ndarray, moves: list[Move]) -> None:
    tool = Tool("tool", (ToolPart("insert", "insert", outline),), 0.0)
    result = clearance_of(moves, tool, [], STOCK, None, 0.0)
    by = taken_by(outline, moves)
    left = shapely.contains_xy(result.stock_left, POINTS)
    assert (left == (by < 0)).all()
    assert 0.05 < np.mean(by < 0) < 0.99
    # Of a share p of n points as many lie in an area within five times the root of n p (1 - p).
    share = result.removed / STOCK.area
    seen = np.bincount(by[by >= 0], minlength=len(moves)) / len(POINTS)
    assert (np.abs(seen - share) <= 5.0 * np.sqrt(share * (1.0 - share) / len(POINTS)) + 1e-4).all()
    assert result.removed.sum() == pytest.approx(STOCK.area - result.stock_left.area, abs=1e-4)


@pytest.mark.parametrize("x", [0.0, 0.7, -1.5, 2.9, 3.5])
def test_a_part_that_moves_along_the_axis_is_what_is_seen_of_it(x: float) -> None:
    """Half a drill, folded: its image at rest is that of the whole, point by point."""
    part = ToolPart("insert", "insert", DRILL)
    starts, ends = np.array([(x, 20.0), (x, 15.0)]), np.array([(x, 15.0), (x, 12.0)])
    folded = part.folded(starts, ends)
    seen = POINTS - [x, 12.0]
    within = [shapely.contains_xy(shapely.Polygon(one), at) for one, at in (
        (folded.outline, seen), (part.outline, seen), (part.outline, POINTS * [-1.0, 1.0] - [x, 12.0]),
    )]  # fmt: skip
    assert (within[0] == (within[1] | within[2])).all()
    assert folded.outline[:, 0].min() + x >= -1e-9
    assert (folded is part) == (x == 3.5)


def test_steps_that_run_otherwise_are_left_as_they_are() -> None:
    part = ToolPart("insert", "insert", DRILL)
    assert part.folded(np.array([(0.0, 5.0)]), np.array([(0.1, 4.0)])) is part
    assert part.folded(np.array([(0.0, 5.0), (1.0, 4.0)]), np.array([(0.0, 4.0), (1.0, 3.0)])) is part
    thick = ToolPart("insert", "insert", DRILL, 0.0, 2.0)
    assert thick.folded(np.array([(0.0, 5.0)]), np.array([(0.0, 4.0)])) is thick

"""A stock of many corners, in pieces: nothing is lost at their borders, and a block of cuts makes few of them anew.

Elementary geometry, no source: the same moves are taken from the whole stock one after the other by plain overlays.
"""

from __future__ import annotations

import itertools
import math

import numpy as np
import pytest
import shapely

from sim.clearance.cells import MOST, in_cells, pieces_of, straightened
from sim.clearance.check import clearance_of
from sim.clearance.removal import removal
from sim.clearance.tool import Tool, pieces
from sim.clearance.touch import TOUCH, thick
from sim.programs.path import Move

WALL = 45.0
STOCK = shapely.box(40.0, 0.0, 60.0, 30.0)
POINTED = Tool("pointed", pieces("insert", "insert", [(-6.0, 0.3), (0.0, 0.0), (-6.0, 4.0)]), 0.0)


def cusps(count: int, pitch: float, *, rapid: bool = False) -> list[Move]:
    """In and out again with a pointed tool, down a wall: a cusp is left between one and the next."""
    points = [(30.0, 40.0), (30.0, 29.0)]
    for k in range(count):
        z = 29.0 - pitch * k
        points += [(WALL, z), (WALL - 1.0, z), (WALL - 1.0, z - pitch)]
    kinds = itertools.chain(("rapid",), itertools.cycle(("feed", "rapid" if rapid else "feed", "rapid")))
    return [Move(kind, a, b) for kind, (a, b) in zip(kinds, itertools.pairwise(points), strict=False)]  # type: ignore[arg-type]


def swept_by(move: Move) -> shapely.Geometry:
    ring = np.vstack([POINTED.parts[0].outline + move.start, POINTED.parts[0].outline + move.end])
    return shapely.MultiPoint(ring).convex_hull


@pytest.mark.parametrize("pitch", [0.05, 0.0713])
def test_cusps_are_those_of_one_cut_after_the_other(pitch: float) -> None:
    """Move by move from the whole stock: areas taken, what is left, and which rapid moves meet it."""
    moves = [*cusps(170, pitch), Move("rapid", (WALL - 1.0, 22.0), (WALL + 0.012, 25.0))]
    found = clearance_of(moves, POINTED, [], STOCK, None, 0.0)
    left, taken, met = STOCK, np.zeros(len(moves)), []
    for number, move in enumerate(moves):
        image = swept_by(move)
        if move.kind == "feed":
            taken[number] = left.intersection(image).area
            left = left.difference(image)
        elif not thick(np.array([left.intersection(image)], dtype=object))[0].is_empty:
            met.append(number)
    assert shapely.get_num_coordinates(left) > MOST
    assert found.removed == pytest.approx(taken, abs=1e-9)
    assert found.stock_left.symmetric_difference(left).area < 1e-9
    touches = [touch for touch in found.touches if touch.kind == "rapid contact"]
    assert [(touch.move, touch.count) for touch in touches] == [(met[0], len(met))]
    assert met[-1] == len(moves) - 1


def test_a_block_makes_few_pieces_anew() -> None:
    """Four times the cusps, as much for each: corners of all pieces that ever were, over the cuts."""
    corners = []
    for count in (250, 1000):
        cuts = np.array(
            [shapely.Polygon([(30.0, z), (WALL, z + 0.002), (30.0, z + 0.004)]) for z in
             np.linspace(1.0, 29.0, count).tolist()], dtype=object
        )  # fmt: skip
        taken = removal(cuts, STOCK)
        assert shapely.get_num_coordinates(taken.left) > 2 * count
        assert len(taken.tiles.before(taken.blocks)) > 1
        corners.append(shapely.get_num_coordinates(taken.tiles.pieces).sum() / count)
    assert corners[1] < 1.5 * corners[0]


@pytest.mark.parametrize("number", range(6))
def test_what_is_thick_is_so_within_a_piece(number: int) -> None:
    """A band of many corners, along and across every border: as thick in its pieces as in one, none of it lost."""
    rng = np.random.default_rng(number)
    z = np.sort(rng.uniform(0.0, 8.0, 900))
    wave = np.cumsum(rng.normal(scale=2e-4, size=len(z)))
    thickness = TOUCH * (1.02 if number % 2 else 0.98)
    band = shapely.Polygon(
        np.vstack([np.column_stack([wave, z]), np.column_stack([wave + thickness, z])[::-1]])
    )
    if number > 2:
        band = shapely.transform(band, lambda xy: xy[:, ::-1])
    parts = pieces_of(np.array([band], dtype=object))
    assert len(parts) > 4
    assert shapely.get_num_coordinates(parts).max() <= MOST
    assert shapely.union_all(parts, grid_size=1e-9).symmetric_difference(band).area < 1e-7
    for width in (0.5, 0.9, 0.97, 1.1):
        whole = thick(np.array([band], dtype=object), width * thickness)
        each = thick(parts, width * thickness)
        assert shapely.is_empty(whole).all() == shapely.is_empty(each).all()


def test_pieces_reach_over_each_other() -> None:
    """Corners that all lie on one short side: the cell is cut across that side, not along it."""
    z = np.linspace(0.0, 3.0, 2000)
    comb = shapely.Polygon(
        np.vstack([np.column_stack([10.0 + 0.01 * (np.arange(2000) % 2), z]), [[90.0, 3.0], [90.0, 0.0]]])
    )
    parts = [piece for piece, _ in in_cells(comb, shapely.bounds(comb))]
    assert max(shapely.get_num_coordinates(parts)) <= MOST
    heights = sorted((one.bounds[1], one.bounds[3]) for one in parts)
    assert all(before[1] >= after[0] + 5.0 * TOUCH for before, after in itertools.pairwise(heights))


def test_straight_walls_lose_their_corners_and_bends_keep_them() -> None:
    """A rectangle with 4,000 points on its sides; an arc, each corner within a nanometre of its neighbours'."""
    side = np.linspace(0.0, 10.0, 1001)[:-1]
    ring = np.vstack([
        np.column_stack([side, 0.0 * side]), np.column_stack([10.0 + 0.0 * side, side]),
        np.column_stack([10.0 - side, 10.0 + 0.0 * side]), np.column_stack([0.0 * side, 10.0 - side]),
    ])  # fmt: skip
    square = straightened(shapely.Polygon(ring))
    assert shapely.get_num_coordinates(square) == 5
    assert square.equals(shapely.box(0.0, 0.0, 10.0, 10.0))
    turn = np.linspace(0.0, math.pi, 30_000)
    bow = np.vstack(
        [0.1 * np.column_stack([np.cos(turn), np.sin(turn)]), [[-0.3, 0.0], [-0.3, -1.0], [0.1, -1.0]]]
    )
    bent = straightened(shapely.Polygon(bow))
    assert bent.area == pytest.approx(0.5 * math.pi * 0.01 + 0.4, abs=1e-6)
    thinned = shapely.Polygon(np.vstack([bow[:30_000:100], bow[-4:]]))
    assert shapely.symmetric_difference(bent, thinned).area < 1e-5
    assert shapely.hausdorff_distance(bent, thinned) < 1e-3

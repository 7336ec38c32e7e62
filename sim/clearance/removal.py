"""Material removed by a sequence of cuts, each from what the earlier ones have left.

The cuts are taken in blocks. The stock before each block follows from the union of the cuts of the block
before, in pieces (`sim.clearance.tiles`) of which a block looks at those alone that it cuts; within a block only the
part of the stock that it reaches is carried from cut to cut, for all blocks side by side. The shapes stay small, so the
cost grows with the number of cuts and not with their number times the whole stock.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from sim.base.arrays import Geometries, Ints
from sim.base.threads import each, shares
from sim.clearance.shapes import EMPTY, areal
from sim.clearance.tiles import Standing, Tiles, joined
from sim.clearance.union import parted, united

BLOCK = 32  # cuts
AT_ONCE = 128  # blocks whose cuts are there at a time


@dataclass(frozen=True, slots=True, eq=False)
class Removal:
    """What n cuts remove.

    Attributes
    ----------
    removed : (n,) array of shapely geometries
        Taken by each cut, empty where it cuts air.
    together : (blocks,) array of shapely geometries
        Taken by all cuts of each block together.
    tiles : Tiles
        The stock before each block of cuts.
    left : BaseGeometry
        What is left of it in the end.
    blocks, block : int
        How many blocks, and cuts per block.
    """

    removed: Geometries
    together: Geometries
    tiles: Tiles
    left: BaseGeometry
    blocks: int
    block: int


def removal(cuts: Geometries, stock: BaseGeometry) -> Removal:
    """Return what each of n cuts (polygons, in order) removes from the stock."""
    return removal_of(len(cuts), lambda some: (cuts[some], cuts[some]), stock)


def removal_of(
    count: int, cuts_of: Callable[[Ints], tuple[Geometries, Geometries]], stock: BaseGeometry
) -> Removal:
    """Return what each of some cuts removes from the stock; few of the cuts are there at a time.

    Parameters
    ----------
    count : int
        How many cuts.
    cuts_of : function
        Returns cuts (polygons) by their numbers, whole blocks of them in order, and as many polygons, of which some may
        be empty, that have the same union within each `BLOCK` of them.
    stock : BaseGeometry
    """
    blocks = -(-count // BLOCK)
    standing = Standing.whole(stock)
    removed, together = [np.zeros(0, dtype=object)], [np.zeros(0, dtype=object)]
    for first in range(0, blocks, AT_ONCE):
        cuts, covers = cuts_of(np.arange(first * BLOCK, min(count, (first + AT_ONCE) * BLOCK)))
        taken, reached = _taken(cuts, covers, standing, first)
        removed.append(taken)
        together.append(reached)
    tiles = standing.tiles()
    left = joined(tiles.before(blocks)) if blocks else stock
    return Removal(np.concatenate(removed), np.concatenate(together), tiles, left, blocks, BLOCK)


def _taken(
    cuts: Geometries, covers: Geometries, standing: Standing, first: int
) -> tuple[Geometries, Geometries]:
    """Cut the stock by some blocks from a first one on; return what each cut and each block takes."""
    blocks = -(-len(cuts) // BLOCK)
    grid, cover = _in_blocks(cuts, blocks), _in_blocks(covers, blocks)
    runs = shares(blocks)
    unions = np.concatenate(each(lambda run: united(cover[run]), runs))
    reached = areal(
        np.array([standing.cut(first + k, union) for k, union in enumerate(unions)], dtype=object)
    )
    removed = np.full(grid.shape, EMPTY, dtype=object)
    each(lambda run: _cut_in_blocks(grid[run], reached[run].copy(), removed[run[0] : run[-1] + 1]), runs)
    return removed.reshape(-1)[: len(cuts)], reached


def _in_blocks(shapes: Geometries, blocks: int) -> Geometries:
    """Return shapes as a grid with a row for each block, filled up with nothing."""
    padded = np.full(blocks * BLOCK, EMPTY, dtype=object)
    padded[: len(shapes)] = shapes
    return padded.reshape(blocks, BLOCK)


def _cut_in_blocks(cuts: Geometries, left: Geometries, removed: Geometries) -> None:
    """Fill in what the cuts (b, n) of b blocks remove, of the stock `left` (b,) that each block reaches."""
    for column in range(cuts.shape[1]):
        hit = np.flatnonzero(shapely.intersects(left, cuts[:, column]))
        taken, rest = parted(left[hit], cuts[hit, column])
        removed[hit, column], left[hit] = areal(taken), areal(rest)

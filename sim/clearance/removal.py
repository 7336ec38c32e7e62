"""Material removed by a sequence of cuts, each from what the earlier ones have left.

The cuts are taken in blocks. The stock before each block follows from the union of the cuts of the block
before, in pieces (`sim.clearance.tiles`) of which a block looks at those alone that it cuts; within a block only the
part of the stock that it reaches is carried from cut to cut, for all blocks side by side. The shapes stay small, so the
cost grows with the number of cuts and not with their number times the whole stock.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from sim.base.arrays import Floats, Geometries, Ints
from sim.base.threads import each, shares
from sim.clearance.led_runs import LedRuns, bands
from sim.clearance.shapes import EMPTY, areal
from sim.clearance.tiles import Standing, Tiles
from sim.clearance.union import parted, united

BLOCK = 64  # cuts
AT_ONCE = 64  # blocks whose cuts are there at a time
_SAME = 1e-9  # mm2 by which the areas of what the cuts of a block take may differ from that of all together


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
    standing : Standing
        What is left of it in the end.
    blocks, block : int
        How many blocks, and cuts per block.
    """

    removed: Geometries
    together: Geometries
    tiles: Tiles
    standing: Standing
    blocks: int
    block: int

    @property
    def left(self) -> BaseGeometry:
        """What is left of the stock in the end, put together anew each time it is asked for."""
        return self.standing.left()


class Cuts(NamedTuple):
    """Some cuts (n,), whole blocks of `BLOCK` in order, and what says the same of them in fewer corners.

    Attributes
    ----------
    whole : function
        Returns what those of some numbers cover.
    covers : (n,) array of shapely geometries
        Some may be empty; they have the same union within each block.
    fronts : function
        Returns of those of some numbers at least what the one before does not cover.
    led : LedRuns, optional
        The same cuts as steps of one insert.
    """

    whole: Callable[[Ints], Geometries]
    covers: Geometries
    fronts: Callable[[Ints], Geometries]
    led: LedRuns | None = None


def removal(cuts: Geometries, stock: BaseGeometry) -> Removal:
    """Return what each of n cuts (polygons, in order) removes from the stock."""

    def cuts_of(some: Ints) -> Cuts:
        return Cuts(cuts[some].__getitem__, cuts[some], cuts[some].__getitem__)

    return removal_of(len(cuts), cuts_of, Standing.whole(stock))


def removal_of(count: int, cuts_of: Callable[[Ints], Cuts], standing: Standing) -> Removal:
    """Return what each of some cuts removes from the stock; few of the cuts are there at a time.

    Parameters
    ----------
    count : int
        How many cuts.
    cuts_of : function
        Returns cuts by their numbers.
    standing : Standing
        The stock, as nothing of these has cut it; it is cut.
    """
    blocks = -(-count // BLOCK)
    removed, together = [np.zeros(0, dtype=object)], [np.zeros(0, dtype=object)]
    for first in range(0, blocks, AT_ONCE):
        cuts = cuts_of(np.arange(first * BLOCK, min(count, (first + AT_ONCE) * BLOCK)))
        taken, reached = _taken(cuts, standing, first)
        removed.append(taken)
        together.append(reached)
    return Removal(
        np.concatenate(removed), np.concatenate(together), standing.tiles(), standing, blocks, BLOCK
    )


def _taken(cuts: Cuts, standing: Standing, first: int) -> tuple[Geometries, Geometries]:
    """Cut the stock by some blocks from a first one on; return what each cut and each block takes."""
    count = len(cuts.covers)
    blocks = -(-count // BLOCK)
    cover = _in_blocks(cuts.covers, blocks)
    unions = np.concatenate(each(lambda run: united(cover[run]), shares(blocks)))
    found = [standing.cut(first + k, union) for k, union in enumerate(unions)]
    reached = areal(np.array([one for one, _ in found], dtype=object))
    before = np.array([*(one for _, one in found), None], dtype=object)[:-1]
    removed, open_ones = _at_once(cuts, reached, before)
    if len(open_ones):
        grid = _in_blocks(cuts.whole(np.arange(count)), blocks)[open_ones]
        one_by_one = np.full(grid.shape, EMPTY, dtype=object)
        each(
            lambda run: _cut_in_blocks(
                grid[run], reached[open_ones[run]].copy(), one_by_one[run[0] : run[-1] + 1]
            ),
            shares(len(open_ones)),
        )
        removed[open_ones] = one_by_one
    return removed.reshape(-1)[:count], reached


def _at_once(cuts: Cuts, reached: Geometries, before: Geometries) -> tuple[Geometries, Ints]:
    """Return what each cut (b, n) of b blocks takes of what its block reaches, and the blocks for which that fails.

    A cut takes no more than its front has in common with what the block reaches, less what one or two cuts before it
    cover. In most paths that is already all that they have in common, and then the areas add up to that of the block:
    shapes that hold what each cut takes, lie in what all take and have no larger area together do not overlap. Of most
    steps along a contour it is known by its corners, see `sim.clearance.led_runs`; where that does not add up, an
    overlay is asked instead.
    """
    count = len(cuts.covers)
    block = np.arange(count) // BLOCK
    share = np.full(count, EMPTY, dtype=object)
    area = shapely.area(reached)
    rest = area[block] > 0.0
    shapely.prepare(reached)

    def too_much() -> Floats:
        found: Floats = np.bincount(block, shapely.area(share), len(reached)) - area
        return found

    if cuts.led is not None:
        steps, taken = bands(cuts.led, before, block)
        steps, taken = steps[rest[steps]], taken[rest[steps]]
        share[steps] = taken
        rest[steps] = False
        _overlaid(cuts, share, reached, block, np.flatnonzero(rest))
        rest = (too_much() < -_SAME)[block] & ~rest
    _overlaid(cuts, share, reached, block, np.flatnonzero(rest))
    for back in (1, 2):
        open_ones = np.abs(too_much()) > _SAME
        if not open_ones.any():
            break
        behind = np.arange(back, count)
        behind = behind[(block[behind] == block[behind - back]) & open_ones[block[behind]]]
        if cuts.led is not None:  # within a run no step passes over what another does
            behind = behind[cuts.led.run[behind] != cuts.led.run[behind - back]]
        behind = behind[~shapely.is_empty(share[behind])]
        share[behind] = _side_by_side(shapely.difference, share[behind], cuts.whole(behind - back))
    return _in_blocks(share, len(reached)), np.flatnonzero(np.abs(too_much()) > _SAME)


def _overlaid(cuts: Cuts, share: Geometries, reached: Geometries, block: Ints, some: Ints) -> None:
    """Fill in what the fronts of some cuts have in common with what their blocks reach."""
    fronts = cuts.fronts(some)
    hit = shapely.intersects(reached[block[some]], fronts)
    share[some] = EMPTY
    share[some[hit]] = _side_by_side(shapely.intersection, reached[block[some[hit]]], fronts[hit])


def _side_by_side(
    overlay: Callable[[Geometries, Geometries], Geometries], ones: Geometries, others: Geometries
) -> Geometries:
    """Return an overlay of pairs of shapes, areas only."""
    runs = shares(len(ones))
    return np.concatenate(each(lambda run: areal(overlay(ones[run], others[run])), runs))


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

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

from sim.base.arrays import Flags, Floats, Geometries, Ints
from sim.base.threads import each, shares
from sim.clearance.layers import Covered, Uppers, covered, layers
from sim.clearance.led_runs import LedRuns, bands
from sim.clearance.shapes import EMPTY, areal
from sim.clearance.tiles import Standing, Tiles
from sim.clearance.union import parted, united

BLOCK = 64  # cuts
AT_ONCE = 192  # blocks whose cuts are there at a time
BUNDLE = 8  # blocks that are cut out of the stock at once where they can be; spans of blocks begin with one
FEW_RUNS = 8  # straight ones of a block; of so few an overlay is quicker than outlines
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
    bundled : (ceil(blocks / `BUNDLE`),) array of shapely geometries
        Taken by all cuts of each bundle of blocks together, empty where that has not been found.
    tiles : Tiles
        The stock before each block of cuts.
    standing : Standing
        What is left of it in the end.
    blocks, block : int
        How many blocks, and cuts per block.
    """

    removed: Geometries
    together: Geometries
    bundled: Geometries
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
    covers : function
        Returns of those of some numbers, whole blocks, shapes of which some may be empty: they have the same union
        within each block.
    fronts : function
        Returns of those of some numbers at least what the one before does not cover.
    led : LedRuns, optional
        The same cuts as steps of one insert; no run goes on beyond a block.
    uppers : function, optional
        Returns the upper outlines of those of some numbers, None where they have none.
    across : (n,), optional
        Cuts that reach across the axis: they have no upper outline.
    """

    whole: Callable[[Ints], Geometries]
    covers: Callable[[Ints], Geometries]
    fronts: Callable[[Ints], Geometries]
    led: LedRuns | None = None
    uppers: Callable[[Ints], Uppers | None] | None = None
    across: Flags | None = None


def removal(cuts: Geometries, stock: BaseGeometry) -> Removal:
    """Return what each of n cuts (polygons, in order) removes from the stock."""

    def cuts_of(some: Ints) -> Cuts:
        return Cuts(cuts[some].__getitem__, cuts[some].__getitem__, cuts[some].__getitem__)

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
    found = [[np.zeros(0, dtype=object)] * 3]
    for first in range(0, blocks, AT_ONCE):
        cuts = cuts_of(np.arange(first * BLOCK, min(count, (first + AT_ONCE) * BLOCK)))
        found.append([*_taken(cuts, min(count - first * BLOCK, AT_ONCE * BLOCK), standing, first)])
    removed, together, bundled = (np.concatenate(some) for some in zip(*found, strict=True))
    return Removal(removed, together, bundled, standing.tiles(), standing, blocks, BLOCK)


def _taken(
    cuts: Cuts, count: int, standing: Standing, first: int
) -> tuple[Geometries, Geometries, Geometries]:
    """Cut the stock by some blocks from a first one on; return what each of so many cuts, block and bundle takes."""
    blocks = -(-count // BLOCK)
    many, uppers = _of_many_runs(cuts, count)
    together = None if uppers is None else _covered(uppers)
    plain = np.setdiff1d(np.arange(blocks), many)
    unions = np.full(blocks, EMPTY, dtype=object)
    if len(plain):
        cover = _in_blocks(cuts.covers(_of_blocks(plain, count)), len(plain))
        shapes = each(lambda run: united(cover[run]), shares(len(plain)))
        unions[plain] = np.concatenate(shapes)
    level = np.zeros(blocks, dtype=bool)  # blocks of which all that matters lies above one
    reached, before = np.full(blocks, EMPTY, dtype=object), np.full(blocks, None, dtype=object)
    bundles = None if together is None else _Bundles.of(many, blocks, together)
    k, place = 0, np.cumsum(np.isin(np.arange(blocks), many)) - 1
    while k < blocks:
        if bundles is not None and (end := bundles.cut(k, standing, first)):
            level[k:end] = True
            k = end
            continue
        one = unions[k]
        if together is not None and k in many:
            level[k] = not standing.meets(together.below[place[k]])
            one = together.above[place[k]] if level[k] else united(cuts.covers(_of_blocks(k, count))[None])[0]
        reached[k], before[k] = standing.cut(first + k, one)
        k += 1
    if bundles is not None:
        bundles.share_out(reached)
    reached = areal(reached)
    removed = np.full(count, EMPTY, dtype=object)
    if uppers is not None:
        known = reached.copy()
        known[~level] = EMPTY
        removed[_of_blocks(many, count)], unknown = _layers(uppers, known[many])
        level[many[unknown]] = False
    rough = np.flatnonzero(~level)

    def overlaid(rows: Ints) -> Geometries:
        return _overlaid_in_blocks(
            cuts, _of_blocks(rough[rows], count), reached[rough[rows]], before[rough[rows]]
        )

    if len(rough):
        removed[_of_blocks(rough, count)] = np.concatenate(each(overlaid, _halves(len(rough))))
    bundled = np.full(-(-blocks // BUNDLE), EMPTY, dtype=object)
    if bundles is not None:
        bundled[bundles.blocks[::BUNDLE] // BUNDLE] = areal(bundles.taken)
    return removed, reached, bundled


def _halves(blocks: int) -> list[Ints]:
    """Return the numbers of so many blocks in one or two runs of whole bundles."""
    half = -(-blocks // (2 * BUNDLE)) * BUNDLE
    return [np.arange(half), np.arange(half, blocks)] if half < blocks else [np.arange(blocks)]


def _covered(cuts: Uppers) -> Covered:
    """Return what the blocks of some cuts cover, one half of them beside the other."""
    count = len(cuts.along)
    runs = [_of_blocks(rows, count) for rows in _halves(-(-count // BLOCK))]
    return Covered.joined(each(lambda run: covered(cuts.only(run), BLOCK), runs))


def _layers(cuts: Uppers, reached: Geometries) -> tuple[Geometries, Flags]:
    """Return what each cut takes of what its block does, and of which blocks that is not known, half beside half."""
    count = len(cuts.along)
    found = each(
        lambda rows: layers(cuts.only(_of_blocks(rows, count)), BLOCK, reached[rows]), _halves(len(reached))
    )
    return np.concatenate([taken for taken, _ in found]), np.concatenate([unknown for _, unknown in found])


@dataclass(frozen=True, slots=True, eq=False)
class _Bundles:
    """Blocks that follow each other, cut out of the stock at once where nothing that matters lies below a level.

    Attributes
    ----------
    blocks : (m,)
        Numbers of the blocks that are in a bundle, `BUNDLE` in each but perhaps the last.
    above : (m,) array of shapely geometries
        What each of them covers above its level.
    outlines : Uppers
        The same as cuts of the bundles.
    together : Covered
        What the bundles cover.
    taken : (m / BUNDLE,) array of shapely geometries
        What each has taken; filled while they are cut.
    """

    blocks: Ints
    above: Geometries
    outlines: Uppers
    together: Covered
    taken: Geometries

    @classmethod
    def of(cls, many: Ints, blocks: int, together: Covered) -> _Bundles | None:
        """Put those `many` of so many blocks in bundles whose outlines are known; None without a whole bundle."""
        size = np.bincount(many // BUNDLE, minlength=-(-blocks // BUNDLE))
        whole = size == np.minimum(BUNDLE, blocks - BUNDLE * np.arange(len(size)))
        rows = np.flatnonzero(whole[many // BUNDLE])
        if not len(rows):
            return None
        outlines = together.outlines.only(rows)
        found = covered(outlines, BUNDLE)
        return cls(
            many[rows], together.above[rows], outlines, found, np.full(len(found.above), EMPTY, dtype=object)
        )

    def cut(self, block: int, standing: Standing, first: int) -> int:
        """Cut the stock by the bundle that begins with a block, and return its end; 0 where none does, or can be."""
        row = int(np.searchsorted(self.blocks, block))
        if row % BUNDLE or row >= len(self.blocks) or self.blocks[row] != block:
            return 0
        number = row // BUNDLE
        if standing.meets(self.together.below[number]):
            return 0
        end = int(self.blocks[: row + BUNDLE][-1]) + 1
        self.taken[number] = standing.cut(first + end - 1, self.together.above[number])[0]
        return end

    def share_out(self, reached: Geometries) -> None:
        """Fill in what each block takes of what its bundle does."""
        found, unknown = layers(self.outlines, BUNDLE, self.taken)
        for number in np.flatnonzero(unknown).tolist():
            left = self.taken[number]
            for row in range(BUNDLE * number, min(BUNDLE * (number + 1), len(self.blocks))):
                (found[row],), (left,) = parted(np.array([left], dtype=object), self.above[row : row + 1])
        some = np.flatnonzero(~shapely.is_empty(found))
        reached[self.blocks[some]] = found[some]


def _of_many_runs(cuts: Cuts, count: int) -> tuple[Ints, Uppers | None]:
    """Return the blocks of which it is worth to see the upper outlines, and those of their cuts, None without one."""
    many = np.zeros(0, dtype=np.int64)
    if cuts.led is not None:
        runs = np.bincount(np.flatnonzero(cuts.led.bends()) // BLOCK)
        many = np.flatnonzero(runs > FEW_RUNS)
        if cuts.across is not None:
            many = np.setdiff1d(many, np.flatnonzero(cuts.across) // BLOCK)
    uppers = cuts.uppers(_of_blocks(many, count)) if cuts.uppers is not None and len(many) else None
    return (many, uppers) if uppers is not None else (many[:0], None)


def _of_blocks(blocks: Ints | int, count: int) -> Ints:
    """Return the numbers of the cuts of some blocks, of so many cuts in all."""
    found = (np.atleast_1d(blocks)[:, None] * BLOCK + np.arange(BLOCK)).ravel()
    return found[found < count]


def _overlaid_in_blocks(cuts: Cuts, some: Ints, reached: Geometries, before: Geometries) -> Geometries:
    """Return what some cuts take, whole blocks of them, out of what each block reaches, by overlays."""
    removed, open_ones = _at_once(cuts, some, reached, before)
    if len(open_ones):
        grid = _in_blocks(cuts.whole(some), len(reached))[open_ones]
        one_by_one = np.full(grid.shape, EMPTY, dtype=object)
        each(
            lambda run: _cut_in_blocks(
                grid[run], reached[open_ones[run]].copy(), one_by_one[run[0] : run[-1] + 1]
            ),
            shares(len(open_ones)),
        )
        removed[open_ones] = one_by_one
    found: Geometries = removed.reshape(-1)[: len(some)]
    return found


def _at_once(cuts: Cuts, some: Ints, reached: Geometries, before: Geometries) -> tuple[Geometries, Ints]:
    """Return what each cut (b, n) of b blocks takes of what its block reaches, and the blocks for which that fails.

    A cut takes no more than its front has in common with what the block reaches, less what one or two cuts before it
    cover. In most paths that is already all that they have in common, and then the areas add up to that of the block:
    shapes that hold what each cut takes, lie in what all take and have no larger area together do not overlap. Of most
    steps along a contour it is known by its corners, see `sim.clearance.led_runs`; where that does not add up, an
    overlay is asked instead.
    """
    count = len(some)
    block = np.arange(count) // BLOCK
    share = np.full(count, EMPTY, dtype=object)
    area = shapely.area(reached)
    rest = area[block] > 0.0
    shapely.prepare(reached)
    led = None if cuts.led is None else cuts.led.only(some)

    def too_much() -> Floats:
        found: Floats = np.bincount(block, shapely.area(share), len(reached)) - area
        return found

    def overlay(rows: Ints) -> None:
        fronts = cuts.fronts(some[rows])
        hit = shapely.intersects(reached[block[rows]], fronts)
        share[rows] = EMPTY
        share[rows[hit]] = _side_by_side(shapely.intersection, reached[block[rows[hit]]], fronts[hit])

    if led is not None:
        steps, taken = bands(led, before, block)
        steps, taken = steps[rest[steps]], taken[rest[steps]]
        share[steps] = taken
        rest[steps] = False
        overlay(np.flatnonzero(rest))
        rest = (too_much() < -_SAME)[block] & ~rest
    overlay(np.flatnonzero(rest))
    for back in (1, 2):
        open_ones = np.abs(too_much()) > _SAME
        if not open_ones.any():
            break
        behind = np.arange(back, count)
        behind = behind[(block[behind] == block[behind - back]) & open_ones[block[behind]]]
        if led is not None:  # within a run no step passes over what another does
            behind = behind[led.run[behind] != led.run[behind - back]]
        behind = behind[~shapely.is_empty(share[behind])]
        share[behind] = _side_by_side(shapely.difference, share[behind], cuts.whole(some[behind - back]))
    return _in_blocks(share, len(reached)), np.flatnonzero(np.abs(too_much()) > _SAME)


def _side_by_side(
    overlay: Callable[[Geometries, Geometries], Geometries], ones: Geometries, others: Geometries
) -> Geometries:
    """Return an overlay of pairs of shapes, areas only."""
    runs = shares(len(ones))
    found = each(lambda run: areal(overlay(ones[run], others[run])), runs)
    return np.concatenate(found)


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

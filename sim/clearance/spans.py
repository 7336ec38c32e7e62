"""Spans of blocks of cuts: steps that are judged together against the stock which the first of them finds.

The stock is known at the borders of blocks of cuts (`sim.clearance.removal`). In a step within a span it consists of
what the span leaves and of what the rest of the span is still going to remove.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from functools import cache
from typing import NamedTuple

import numpy as np
import shapely

from sim.base.arrays import Flags, Floats, Geometries, Ints
from sim.clearance.obstacle import query_nearest
from sim.clearance.removal import Removal
from sim.clearance.shapes import copied
from sim.clearance.stock_then import StockThen

NEARER = 1e-12  # share of a distance; what is nearer by less is as near
OUTWARD = np.array([-1.0, -1.0, 1.0, 1.0])  # from the sides of a rectangle
_FAR = 1e6  # mm, larger than any lathe
_WIDER = 1e-9  # mm, and share of a distance, by which it is looked farther: rounding hides nothing
_EVERY = 32  # steps, of which what is nearest to one is tried in the others
_AT_ONCE = 1024  # steps; each may come near to all pieces of the stock
_LINES = 16384  # of an outline; one of an edge takes as much memory as one of some edges


@dataclass(frozen=True, slots=True, eq=False)
class Span:
    """Steps judged together.

    Attributes
    ----------
    rows : (n,)
        Numbers of the steps.
    before : (s,)
        Stock that the first of them finds, in pieces that reach over each other, see `sim.clearance.tiles`.
    after : (t,)
        Stock that the last of them leaves, in such pieces.
    cutting : (m,)
        Those of the steps that remove something.
    pieces : (m,)
        What they remove.
    windows : (m + 1, 4)
        Rectangles (rho, z, rho, z) round each piece and all after it, mm; the last, round none, lies nowhere.
    block : (m,)
        Which block of cuts each piece belongs to, from the first of the span on.
    together : (b,) array of shapely geometries
        What each of these blocks removes.
    """

    rows: Ints
    before: Geometries
    after: Geometries
    cutting: Ints
    pieces: Geometries
    windows: Floats
    block: Ints
    together: Geometries

    def later(self, steps: Ints) -> Floats:
        """Return rectangles round what is removed after each of some steps, (n, 4)."""
        return np.asarray(self.windows[np.searchsorted(self.cutting, steps, side="right")], dtype=np.float64)

    def shares(self) -> Geometries:
        """Return what single steps remove and after it what each block of them does."""
        return np.concatenate([self.pieces, self.together])

    def is_later(self, steps: Ints, share: Ints) -> Flags:
        """Tell which shares are still there in some steps: single ones of the same block, and whole later blocks."""
        later: Flags = self.is_alone_later(steps, share)
        later |= share - len(self.pieces) > self.block_of_next(steps)
        return later

    def is_alone_later(self, steps: Ints, share: Ints) -> Flags:
        """Tell which shares are single ones of the same block that are still there in some steps."""
        if not len(self.pieces):
            return np.zeros(len(share), dtype=bool)
        alone = share < len(self.pieces)
        later: Flags = alone & (share >= np.searchsorted(self.cutting, steps, side="right"))
        later &= self.block[np.where(alone, share, 0)] == self.block_of_next(steps)
        return later

    def block_of_next(self, steps: Ints) -> Ints:
        """Return the block of the next cut after each of some steps; beyond the last where there is none."""
        first = np.searchsorted(self.cutting, steps, side="right")
        return np.append(self.block, len(self.together))[first]

    def then(self, step: int) -> StockThen:
        """Return the stock that a step finds and does not take itself."""
        first = int(np.searchsorted(self.cutting, step, side="right"))
        if first == len(self.cutting):
            return StockThen(self.after, self.pieces[first:])
        block = int(self.block[first])
        end = int(np.searchsorted(self.block, block, side="right"))
        return StockThen(self.after, np.concatenate([self.pieces[first:end], self.together[block + 1 :]]))


class Trees(NamedTuple):
    """What the stock that a span leaves is looked for in: short lines of its outline, and its pieces."""

    outline: shapely.STRtree
    after: shapely.STRtree

    @classmethod
    def when_asked(cls, span: Span) -> Callable[[], Trees]:
        """Return a function that returns those of a span, made once."""
        return cache(lambda: cls.of(span))

    @classmethod
    def of(cls, span: Span) -> Trees:
        """Return those of a span."""
        shapely.prepare(span.after)
        return cls(shapely.STRtree(_outlines(span.after)), shapely.STRtree(span.after))

    def nearest(self, shapes: Geometries, reach: Floats) -> Floats:
        """Return the distance (mm) of shapes from the outline of the stock; inf where that is out of reach (n,), mm.

        Along a wall what is nearest to one step mostly is so to those after it. So it is looked for in few steps. Where
        no piece of the stock comes into a rectangle as much larger than a step's as that is away, nothing is nearer.
        """
        distance, rest = np.full(len(shapes), np.inf), np.arange(len(shapes))
        if len(self.after) == 1:  # of many, what is nearest to few steps tells more for less
            rest = self._coming_near(shapes, reach)
        few = shapes[rest[::_EVERY]] if len(self.after) > 1 else shapes[:0]
        row, line, _ = query_nearest(self.outline, few)
        if len(row) == -(-len(rest) // _EVERY):
            lines = self.outline.geometries[line[np.arange(len(rest)) // _EVERY]]
            distance[rest] = shapely.distance(shapes[rest], lines)
            boxes = shapely.bounds(shapes[rest]) + (1.0 - NEARER) * distance[rest, None] * OUTWARD
            some = [
                run[np.unique(self.after.query(shapely.box(*boxes[run].T))[0])]
                for run in np.split(np.arange(len(rest)), range(_AT_ONCE, len(rest), _AT_ONCE))
            ]
            rest = rest[np.concatenate(some)]
        row, _, gap = query_nearest(self.outline, shapes[rest])
        distance[rest[row]] = gap
        return distance

    def _coming_near(self, shapes: Geometries, reach: Floats) -> Ints:
        """Return the numbers of shapes that come as near to the stock as their reach (mm), and perhaps some more."""
        far = np.minimum(reach, _FAR) * (1.0 + _WIDER) + _WIDER
        boxes = shapely.box(*(shapely.bounds(shapes) + far[:, None] * OUTWARD).T)
        found = [np.zeros(0, dtype=np.int64)]
        for run in np.split(np.arange(len(shapes)), range(_AT_ONCE, len(shapes), _AT_ONCE)):
            row, piece = self.after.query(boxes[run])
            near = shapely.dwithin(self.after.geometries[piece], shapes[run[row]], far[run[row]])
            found.append(run[np.unique(row[near])])
        return np.concatenate(found)


def spans_of(feeds: Flags, taken: Removal, removed: Geometries, blocks: int) -> list[Span]:
    """Cut n steps into spans of some blocks of cuts.

    Parameters
    ----------
    feeds : (n,)
        Which of them feed.
    taken : Removal
        What those remove.
    removed : (n,) array of shapely geometries
        The same for all steps, empty for rapid ones.
    blocks : int
        Of a span; no unit.
    """
    made: Ints = np.cumsum(feeds) - feeds  # cuts made before each step
    last = taken.blocks
    current = np.minimum(made, max(0, taken.block * last - 1)) // (taken.block * blocks)
    some = ~np.asarray(shapely.is_empty(removed))
    starts = np.flatnonzero(np.r_[True, np.diff(current) != 0][: len(current)])
    spans = []
    for rows in np.split(np.arange(len(current)), starts[1:]):
        if len(rows):
            first = blocks * int(current[rows[0]])
            before, after = taken.tiles.before(first), taken.tiles.before(min(first + blocks, last))
            cutting = rows[some[rows]]
            pieces = removed[cutting]
            together = taken.together[first : first + blocks]
            block = made[cutting] // taken.block - first
            spans.append(Span(rows, before, after, cutting, pieces, _windows(pieces), block, together))
    return spans


def some_of(spans: list[Span], only: Ints | None) -> list[Span]:
    """Leave some steps of the spans to be judged; what the others remove stays known."""
    if only is None:
        return spans
    left = [replace(span, rows=np.intersect1d(span.rows, only)) for span in spans]
    return [span for span in left if len(span.rows)]


def own_of(spans: list[Span]) -> list[Span]:
    """Return the same spans with a stock of their own; a piece that stays through many of them is copied once."""
    pieces = {id(piece): piece for span in spans for piece in (*span.before, *span.after)}
    whole = np.array([*pieces.values(), None], dtype=object)[:-1]
    own = dict(zip(pieces, copied(whole), strict=True))

    def of(some: Geometries) -> Geometries:
        return np.array([*(own[id(piece)] for piece in some), None], dtype=object)[:-1]

    return [replace(span, before=of(span.before), after=of(span.after)) for span in spans]


def _outlines(shapes: Geometries) -> Geometries:
    """Return the outlines of areas as lines of as few edges as make no more than some `_LINES`."""
    points, ring = shapely.get_coordinates(shapely.get_rings(shapely.get_parts(shapes)), return_index=True)
    sizes = np.bincount(ring)
    edges = -(-len(points) // _LINES)
    lines = -(-(sizes - 1) // max(1, edges))
    of = np.repeat(np.arange(len(sizes)), lines)
    first = edges * (np.arange(len(of)) - (np.cumsum(lines) - lines)[of])
    corners = np.minimum(edges, sizes[of] - 1 - first) + 1
    begin = (np.cumsum(sizes) - sizes)[of] + first - (np.cumsum(corners) - corners)
    line = np.repeat(np.arange(len(of)), corners)
    found = shapely.linestrings(points[begin[line] + np.arange(len(line))], indices=line)
    return np.asarray(found, dtype=object)


def _windows(pieces: Geometries) -> Floats:
    """Return the rectangles round each of some shapes and all after it, and one at the end that lies nowhere."""
    boxes = np.vstack([shapely.bounds(pieces).reshape(-1, 4), [[np.inf, np.inf, -np.inf, -np.inf]]])[::-1]
    low, high = np.minimum.accumulate(boxes[:, :2]), np.maximum.accumulate(boxes[:, 2:])
    return np.hstack([low, high])[::-1]

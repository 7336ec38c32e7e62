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
from sim.clearance.obstacle import outline_segments
from sim.clearance.removal import Removal
from sim.clearance.stock_then import StockThen


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
    """What the stock that a span leaves is looked for in: its edges, and its pieces."""

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
        edges = outline_segments(list(span.after))[0]
        return cls(shapely.STRtree(edges), shapely.STRtree(span.after))


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


def _windows(pieces: Geometries) -> Floats:
    """Return the rectangles round each of some shapes and all after it, and one at the end that lies nowhere."""
    boxes = np.vstack([shapely.bounds(pieces).reshape(-1, 4), [[np.inf, np.inf, -np.inf, -np.inf]]])[::-1]
    low, high = np.minimum.accumulate(boxes[:, :2]), np.maximum.accumulate(boxes[:, 2:])
    return np.hstack([low, high])[::-1]

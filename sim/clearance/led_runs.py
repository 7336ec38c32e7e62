"""Runs of steps that the same edges of the insert lead: what each of them takes, without an overlay.

The edges that lead a step are a chain of the insert's outline. While the same chain leads, a run of joined steps passes
over no place twice: the sum of some edges of the chain never has the direction of a sum of steps that all of them lead.
So what the run passes over is one ring, and what a step passes over is the band between the chain at its start and at
its end. Where the chain crosses the outline of the stock at both in the same way, on the same edges, what the step
takes is known by its corners. Every other step is left to an overlay.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
import shapely

from sim.base.arrays import Flags, Floats, Geometries, Ints
from sim.clearance.sweep import leading

_NEAR = 1e-9  # mm; chain and outline that meet so near to a corner of either are left to an overlay
_PARALLEL = 1e-9  # sine; as are edges that turn less from each other
_LONG = 4  # steps of a run; shorter ones are not worth it


class LedRuns(NamedTuple):
    """Joined steps (n,) of a flat convex insert, cut into runs; each step belongs to one.

    Attributes
    ----------
    outline : (k, 2) array
        Of the insert, relative to the tip, counter-clockwise, mm.
    starts, ends : (n, 2) array
        x, z of the tip, mm.
    run : (n,)
        Number of each step's run.
    first, chain : (r,)
        Of each run: number of the corner with which its chain begins, and how many edges it has.
    """

    outline: Floats
    starts: Floats
    ends: Floats
    run: Ints
    first: Ints
    chain: Ints

    @classmethod
    def of(
        cls, outline: Floats, starts: Floats, ends: Floats, border: int, alone: Flags | None = None
    ) -> LedRuns:
        """Cut steps into runs, of which none goes on beyond a multiple of so many steps, with some steps `alone` (n,).

        Such a step is a run that leads nowhere.
        """
        first, count = leading(outline, starts, ends)
        if alone is not None:
            count[alone] = 0
        joins = (starts[1:] == ends[:-1]).all(axis=1) & (count[1:] > 0)
        joins &= (first[1:] == first[:-1]) & (count[1:] == count[:-1])
        begins = np.r_[True, ~joins] | (np.arange(len(starts)) % border == 0)
        rows = np.flatnonzero(begins)
        return cls(outline, starts, ends, np.cumsum(begins) - 1, first[rows], count[rows])

    def only(self, some: Ints) -> LedRuns:
        """Return some of the runs, by the numbers of all their steps."""
        kept, run = np.unique(self.run[some], return_inverse=True)
        return LedRuns(
            self.outline, self.starts[some], self.ends[some], run, self.first[kept], self.chain[kept]
        )

    def rows(self) -> Ints:
        """Return the number of the first step of each run."""
        return np.flatnonzero(np.r_[True, np.diff(self.run) != 0])

    def bends(self) -> Flags:
        """Tell which steps begin a run or turn from the one before."""
        along = self.ends - self.starts
        length, before = np.hypot(along[:, 0], along[:, 1]), np.maximum(np.arange(len(along)) - 1, 0)
        turn = along[before, 0] * along[:, 1] - along[before, 1] * along[:, 0]
        bends: Flags = np.abs(turn) > _PARALLEL * length * length[before]
        bends[self.rows()] = True
        return bends

    def nodes(self) -> tuple[Floats, Ints]:
        """Return the places of the tip at which steps begin, and at which each run ends, and the run of each.

        A step begins at the place with its own number and that of its run together, and ends at the next.
        """
        of = np.repeat(np.arange(len(self.first)), np.bincount(self.run) + 1)
        at = np.zeros((len(of), 2))
        begins = np.arange(len(self.run)) + self.run
        at[begins + 1] = self.ends
        at[begins] = self.starts
        return at, of

    def covers(self) -> Geometries:
        """Return what the insert covers in each run, its place at the start included, (r,)."""
        k, length = len(self.outline), np.bincount(self.run)
        at, of = self.nodes()
        begin = np.searchsorted(of, np.arange(len(length)))
        # One end of the chain along the path, the chain at its end, the other back, the rest of the insert.
        parts = np.column_stack([length + 1, np.maximum(self.chain - 1, 0), length + 1, k - self.chain - 1])
        parts[self.chain == 0] = [0, 0, 0, k]  # a run of one step that leads nowhere
        sizes = parts.ravel()
        which = np.repeat(np.arange(len(sizes)), sizes)
        place = np.arange(len(which)) - np.repeat(np.cumsum(sizes) - sizes, sizes)
        run, part = which // 4, which % 4
        corner = self.first[run] + np.choose(
            part, [0, place + 1, self.chain[run], self.chain[run] + 1 + place]
        )
        node = begin[run] + np.choose(part, [place, length[run], length[run] - place, 0])
        rings = self.outline[corner % k] + at[node]
        return np.asarray(shapely.polygons(shapely.linearrings(rings, indices=run)), dtype=object)


class _Crossings(NamedTuple):
    """Where chains cross the outline of the stock, in the order of the places of the tip and along each chain.

    Attributes
    ----------
    node : (c,)
        Number of the place of the tip.
    along : (c,)
        Number of the chain's edge and share of it, no unit.
    edge : (c,)
        Number of the outline's edge.
    enters : (c,)
        Whether the chain runs into the stock there.
    unclear : (m,)
        Of all places: the chain meets a corner there, or is beside an edge.
    """

    node: Ints
    along: Floats
    edge: Ints
    enters: Flags
    unclear: Flags


class _Inside(NamedTuple):
    """The stretch of the chain in the stock at each place of the tip (m,); from 0 to -1 where there is none.

    Attributes
    ----------
    low, high : (m,)
        Where along the chain it begins and ends, see `_Crossings.along`.
    from_edge, to_edge : (m,)
        Edge of the outline on which; -1 at an end of the chain.
    clear : (m,)
        Whether that is all.
    """

    low: Floats
    high: Floats
    from_edge: Ints
    to_edge: Ints
    clear: Flags


def bands(runs: LedRuns, stock: Geometries, block: Ints) -> tuple[Ints, Geometries]:
    """Return the steps of which it is known what they take of the stock before their run, and that.

    Parameters
    ----------
    runs : LedRuns
        n steps.
    stock : (b,) array of shapely geometries
        Before each of some blocks, with no area in common with the insert where a run begins; None leaves the steps of
        a block to an overlay.
    block : (n,)
        Of each step.
    """
    some = np.flatnonzero(
        (np.bincount(runs.run) >= _LONG)[runs.run]
        & (runs.chain[runs.run] > 0)
        & ~shapely.is_missing(stock)[block]
    )
    if not len(some):
        return some, np.zeros(0, dtype=object)
    runs, block = runs.only(some), block[some]
    whole, owner = np.unique(block, return_inverse=True)
    solids, of_run = shapely.orient_polygons(stock[whole]), owner[runs.rows()]
    at, of = runs.nodes()
    crossings = _crossings(runs, at, of, *_edges(solids), of_run)
    inside = _inside(runs, at, of, crossings, solids[of_run])
    begins = np.arange(len(runs.run)) + runs.run
    ends = begins + 1
    known = inside.clear[begins] & inside.clear[ends]
    known &= inside.from_edge[begins] == inside.from_edge[ends]
    known &= inside.to_edge[begins] == inside.to_edge[ends]
    empty = inside.high < inside.low
    known &= empty[begins] == empty[ends]
    steps = np.flatnonzero(known)
    taken = np.full(len(steps), shapely.Polygon(), dtype=object)
    thick = np.flatnonzero(~empty[begins[steps]])
    if len(thick):
        taken[thick] = _rings(runs, at, of, inside, begins[steps[thick]])
    return some[steps], taken


def _edges(shapes: Geometries) -> tuple[Floats, Ints]:
    """Return the edges (e, 2, 2) of shapes with the area to their left, and the shape of each."""
    rings, shape = shapely.get_rings(shapes, return_index=True)
    points, ring = shapely.get_coordinates(rings, return_index=True)
    within = ring[1:] == ring[:-1]
    return np.stack([points[:-1], points[1:]], axis=1)[within], shape[ring[:-1][within]]


def _crossings(runs: LedRuns, at: Floats, of: Ints, edges: Floats, owner: Ints, block: Ints) -> _Crossings:
    """Find where the chain crosses the edges of the stock of its block, at every place of the tip."""
    begin = np.searchsorted(of, np.arange(len(block)))
    low, high = np.minimum.reduceat(at, begin), np.maximum.reduceat(at, begin)
    # Of each run the edges of its block, then those that a corner-to-corner edge of its chain may come near to.
    first = np.searchsorted(owner, np.arange(int(block.max()) + 2))
    run, place = _spread(first[block + 1] - first[block])
    edge = first[block[run]] + place
    box = runs.outline.min(axis=0) - _NEAR, runs.outline.max(axis=0) + _NEAR
    near = _meet(low[run] + box[0], high[run] + box[1], edges[edge])
    run, edge = run[near], edge[near]
    pair, link = _spread(runs.chain[run])
    run, edge = run[pair], edge[pair]
    k = len(runs.outline)
    one = runs.outline[(runs.first[run] + link) % k]
    other = runs.outline[(runs.first[run] + link + 1) % k]
    near = _meet(
        low[run] + np.minimum(one, other) - _NEAR, high[run] + np.maximum(one, other) + _NEAR, edges[edge]
    )
    run, edge, link, one, other = run[near], edge[near], link[near], one[near], other[near]
    unclear = np.zeros(len(at), dtype=bool)
    away, touching = _behind(one, other, at[begin[run]], at[begin[run] + 1], edges[edge])
    unclear[begin[run[touching]]] = True
    near = ~away & ~touching
    run, edge, link, one, other = run[near], edge[near], link[near], one[near], other[near]
    pair, place = _spread(np.bincount(of)[run])
    node = begin[run[pair]] + place
    along, across = other - one, edges[edge, 1] - edges[edge, 0]
    turn = along[:, 0] * across[:, 1] - along[:, 1] * across[:, 0]
    size, width = np.hypot(along[:, 0], along[:, 1]), np.hypot(across[:, 0], across[:, 1])
    beside = np.abs(turn) <= _PARALLEL * size * width
    between = edges[edge, 0][pair] - one[pair] - at[node]
    divisor = np.where(beside, 1.0, turn)[pair]
    share = (between[:, 0] * across[pair, 1] - between[:, 1] * across[pair, 0]) / divisor
    other_share = (between[:, 0] * along[pair, 1] - between[:, 1] * along[pair, 0]) / divisor
    slack = _NEAR / np.maximum(size, _NEAR)[pair], _NEAR / np.maximum(width, _NEAR)[pair]
    meets = (share >= -slack[0]) & (share <= 1.0 + slack[0])
    meets &= (other_share >= -slack[1]) & (other_share <= 1.0 + slack[1])
    doubtful = np.minimum(np.abs(share), np.abs(1.0 - share)) <= slack[0]
    doubtful |= np.minimum(np.abs(other_share), np.abs(1.0 - other_share)) <= slack[1]
    # Beside each other they may meet in many points: where the line of one passes the other so near.
    level = np.abs(between[:, 0] * along[pair, 1] - between[:, 1] * along[pair, 0]) <= _NEAR * size[pair]
    unclear[node[np.where(beside[pair], level, meets & doubtful)]] = True
    found = np.flatnonzero(meets & ~beside[pair])
    node, where = node[found], link[pair[found]] + share[found]
    order = np.lexsort((where, node))
    found = pair[found[order]]
    return _Crossings(node[order], where[order], edge[found], turn[found] < 0.0, unclear)


def _behind(one: Floats, other: Floats, first: Floats, second: Floats, edges: Floats) -> tuple[Flags, Flags]:
    """Tell of edges of a chain (n, 2) each, at the first two places of a run, which run away from edges of the stock.

    Also which only touch what the run before has left, at the first place.
    """
    along = other - one
    out = np.column_stack([along[:, 1], -along[:, 0]]) / np.hypot(along[:, 0], along[:, 1])[:, None]
    most = ((edges - (one + first)[:, None]) * out[:, None]).sum(axis=2).max(axis=1)
    leaves = ((second - first) * out).sum(axis=1) > 2.0 * _NEAR
    return most < -_NEAR, (np.abs(most) <= _NEAR) & leaves


def _inside(runs: LedRuns, at: Floats, of: Ints, crossings: _Crossings, stock: Geometries) -> _Inside:
    """Return the stretch of the chain in the stock at each place of the tip, where it is one."""
    count = np.bincount(crossings.node, minlength=len(at))
    first = np.cumsum(count) - count
    low, high = np.zeros(len(at)), runs.chain[of].astype(np.float64)
    from_edge, to_edge = np.full(len(at), -1), np.full(len(at), -1)
    one, two = np.flatnonzero(count == 1), np.flatnonzero(count == 2)
    enters = crossings.enters
    into, out = one[enters[first[one]]], one[~enters[first[one]]]
    both = two[enters[first[two]] & ~enters[first[two] + 1]]
    into, out, away = np.r_[into, both], np.r_[out, both], np.r_[first[out], first[both] + 1]
    low[into], from_edge[into] = crossings.along[first[into]], crossings.edge[first[into]]
    high[out], to_edge[out] = crossings.along[away], crossings.edge[away]
    clear = count == 0
    clear[into] = clear[out] = True
    none = np.flatnonzero(count == 0)
    begins = runs.outline[runs.first[of[none]] % len(runs.outline)] + at[none]
    outside = none[~shapely.contains_xy(stock[of[none]], begins)]
    high[outside] = -1.0
    return _Inside(low, high, from_edge, to_edge, clear & ~crossings.unclear)


def _rings(runs: LedRuns, at: Floats, of: Ints, inside: _Inside, begins: Ints) -> Geometries:
    """Return the bands in the stock between the chain at some places of the tip and at the next."""
    nodes = np.unique(np.r_[begins, begins + 1])
    low, high = inside.low[nodes], inside.high[nodes]
    after = np.floor(low).astype(np.int64) + 1
    sizes = np.ceil(high).astype(np.int64) - after + 2  # corners of the chain between two points
    which, place = _spread(sizes)
    along = np.clip(after[which] - 1.0 + place, low[which], high[which])
    link = np.minimum(np.floor(along).astype(np.int64), runs.chain[of[nodes]][which] - 1)
    share = (along - link)[:, None]
    k, corner = len(runs.outline), runs.first[of[nodes]][which] + link
    one, other = runs.outline[corner % k], runs.outline[(corner + 1) % k]
    points = np.where(share < 1.0, one + share * (other - one), other) + at[nodes][which]
    offset = np.cumsum(sizes) - sizes
    here = np.searchsorted(nodes, begins)
    there = np.searchsorted(nodes, begins + 1)
    ring, place = _spread(sizes[here] + sizes[there])
    back = place >= sizes[here][ring]
    last = offset[there] + sizes[there] - 1
    index = np.where(back, last[ring] - (place - sizes[here][ring]), offset[here][ring] + place)
    return np.asarray(shapely.polygons(shapely.linearrings(points[index], indices=ring)), dtype=object)


def _spread(sizes: Ints) -> tuple[Ints, Ints]:
    """Return for rows of so many places each the row of every place, and its number within."""
    row = np.repeat(np.arange(len(sizes)), sizes)
    return row, np.arange(len(row)) - np.repeat(np.cumsum(sizes) - sizes, sizes)


def _meet(low: Floats, high: Floats, edges: Floats) -> Flags:
    """Tell which rectangles (n, 2) meet those round edges (n, 2, 2)."""
    meets: Flags = ((edges.min(axis=1) <= high) & (edges.max(axis=1) >= low)).all(axis=1)
    return meets

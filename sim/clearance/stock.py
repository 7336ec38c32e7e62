"""Seat, shank and rapid moves against the stock as it is when they pass it.

Steps are judged in spans of blocks of cuts (`sim.clearance.spans`). Within one feed step material counts as gone
once the insert has passed it (`sim.clearance.shadow`).
"""

from __future__ import annotations

from collections.abc import Callable
from functools import cache
from typing import TypeVar

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from sim.base.arrays import Flags, Floats, Geometries, Ints
from sim.base.share import counted
from sim.base.threads import beside
from sim.clearance.met import DEPTH
from sim.clearance.obstacle import Nearest, is_touch
from sim.clearance.removal import BUNDLE, Removal
from sim.clearance.shadow import exposed, sector, shadowed
from sim.clearance.shapes import extent
from sim.clearance.spans import NEARER, OUTWARD, Span, Trees, own_of, some_of, spans_of
from sim.clearance.stock_then import StockThen
from sim.clearance.sweep import SAG, ToolSweep
from sim.clearance.together import may_touch, touch_together
from sim.clearance.touch import TOUCH, Overlap, contact_kind, thick

_Judged = TypeVar("_Judged")
_SPAN = BUNDLE  # blocks of cuts that are judged together for touches: the stock is known where they begin
_CORNERS = 256  # of the stock, for each block of cuts whose distances are looked at together
_OFTEN = 32  # touches in a span, from which on they are at every step
_EVERY = 16  # steps that touch, of which one is overlaid
_FAR = 1e6  # mm, larger than any lathe
APPROACH_REACH = 10.0  # mm; a rapid move that keeps farther from the stock is no approach


def against_stock(
    sweep: ToolSweep,
    taken: Removal,
    removed: Geometries,
    nearest: Nearest,
    number: int,
    name: str,
    only: Ints | None = None,
) -> tuple[Floats, list[Overlap]]:
    """Judge every step against the stock as it is then.

    Parameters
    ----------
    sweep : ToolSweep
        n steps.
    taken : Removal
        What the feed steps remove.
    removed : (n,) array of shapely geometries
        The same for all steps, empty for rapid ones.
    nearest : Nearest
        Is told the distance of the shank, and touches of all pieces.
    number, name : int, str
        The stock's number in `nearest`, and what it is called.
    only : (m,) array, optional
        Rapid steps, the only ones that are judged.

    Returns
    -------
    approach : (n,) array
        Distance of insert, seat and holder to the stock in rapid steps, mm; inf in feed steps and beyond
        `APPROACH_REACH`.
    overlaps : list of Overlap
    """
    path = sweep.path
    approach = np.full(len(path.move), np.inf)
    corners = int(shapely.get_num_coordinates(taken.tiles.before(taken.blocks)).sum())
    together = _SPAN * max(1, corners // (_CORNERS * _SPAN))
    cutting = np.flatnonzero(~shapely.is_empty(removed)) if only is None else only[:0]
    headings = np.unique(sector(path.ends[cutting] - path.starts[cutting]))

    @cache  # most pieces come near no stock, and are not asked for
    def safe(index: int) -> Flags:
        return shadowed(sweep.tool, sweep.tool.parts[index], headings)

    def note(span: Span) -> None:
        _note_distances(sweep, span, nearest, number, approach)

    _in_halves(note, some_of(spans_of(path.feeds, taken, removed, together), only))
    spans = some_of(spans_of(path.feeds, taken, removed, _SPAN), only)
    overlaps = [
        one for found in _in_halves(lambda span: _overlaps(sweep, span, safe, name), spans) for one in found
    ]
    steps = np.array([one.step for one in overlaps], dtype=np.int64)
    pieces = np.array([one.piece for one in overlaps], dtype=np.int64)
    for index in np.unique(pieces).tolist():
        touching = np.unique(steps[pieces == index])
        nearest.note(touching, np.zeros(len(touching)), index, number)
        if sweep.tool.parts[index].kind != "shank":
            approach[touching[~path.feeds[touching]]] = 0.0
    return approach, overlaps


def _in_halves(judge: Callable[[Span], _Judged], spans: list[Span]) -> list[_Judged]:
    """Return what is found of each span, one half of them beside the other; the first tells its share.

    The second half has the stock for itself.
    """
    half = (len(spans) + 1) // 2
    own = own_of(spans[half:])
    one, other = beside(
        lambda: [judge(span) for span in counted(spans[:half])], lambda: [judge(span) for span in own]
    )
    return one + other


def _note_distances(sweep: ToolSweep, span: Span, nearest: Nearest, number: int, approach: Floats) -> None:
    """Note the shank's distance from the stock, and that of the other pieces in rapid steps."""
    rapid = span.rows[~sweep.path.feeds[span.rows]]
    trees = Trees.when_asked(span)
    for index, part in enumerate(sweep.tool.parts):
        if part.kind == "shank":
            rows = span.rows
            reach = np.minimum(nearest.distance[rows], _FAR)
            if not _keeps_away(sweep, index, rows, span, float(reach.max())):
                distance = _distance(sweep.images(index, rows), rows, span, trees(), reach)
                nearest.note(rows, distance, index, number)
    if len(rapid):
        _note_approach(sweep, span, rapid, trees, approach)


def _note_approach(
    sweep: ToolSweep, span: Span, rapid: Ints, trees: Callable[[], Trees], approach: Floats
) -> None:
    """Note how near the pieces but the shank come to the stock in rapid steps."""

    def look(index: int, rows: Ints) -> None:
        distance = _distance(sweep.images(index, rows), rows, span, trees(), approach[rows])
        approach[rows] = np.minimum(approach[rows], distance)

    approach[rapid] = beyond = np.nextafter(APPROACH_REACH, np.inf)
    deep: list[tuple[int, Ints]] = []
    for index, part in enumerate(sweep.tool.parts):
        if part.kind == "shank":
            continue
        rows = sweep.open(index, rapid[approach[rapid] > 0.0])
        if len(rows) and not _keeps_away(sweep, index, rows, span, float(approach[rows].max())):
            if part.far > 0.0:
                deep.append((index, rows))
            else:
                look(index, rows)
    if deep:
        # Images of thick parts cost more than rectangles round them, and few come nearer than the insert.
        boxes = np.concatenate([sweep.boxes(index, rows) for index, rows in deep])
        every = np.concatenate([rows for _, rows in deep])
        near = np.isfinite(_distance(boxes, every, span, trees(), approach[every]))
        borders = np.cumsum([len(rows) for _, rows in deep])[:-1]
        for (index, rows), some in zip(deep, np.split(near, borders), strict=True):
            some &= approach[rows] > 0.0
            if some.any():
                look(index, rows[some])
    approach[rapid[approach[rapid] == beyond]] = np.inf


def _keeps_away(sweep: ToolSweep, index: int, rows: Ints, span: Span, reach: float) -> bool:
    """Tell whether a rectangle round a piece in all of some steps is farther than so many mm from the stock before."""
    starts, ends = sweep.path.starts[rows], sweep.path.ends[rows]
    low, high = np.minimum(starts, ends).min(axis=0), np.maximum(starts, ends).max(axis=0)
    box = shapely.box(*sweep.around(index, low[None], high[None])[0])
    return not shapely.dwithin(box, span.before, reach).any()


def _overlaps(sweep: ToolSweep, span: Span, safe: Callable[[int], Flags], name: str) -> list[Overlap]:
    """Find where pieces overlap the stock as it is then."""
    feeds = sweep.path.feeds
    shapely.prepare(span.after)
    trees = shapely.STRtree(span.after), shapely.STRtree(span.shares())
    then = cache(span.then)  # pieces that touch do so in many of the same steps
    found: list[Overlap] = []
    for index in _coming_near(sweep, span, trees[0]):
        part = sweep.tool.parts[index]
        judged = sweep.open(index, span.rows if part.kind != "insert" else span.rows[~feeds[span.rows]])
        met = _touches(sweep, index, judged, span, trees, then)
        if part.kind != "insert" and feeds[span.rows].any():
            # Where it touches at every step, only the first may begin in what the step itself takes; and no disc in
            # that is wider than the step is long, so that short ones reach no deeper in it than the tolerance.
            known = np.unique([step for step, _ in met]).astype(np.int64)
            along = sweep.path.ends[known] - sweep.path.starts[known]
            short = np.hypot(along[:, 0], along[:, 1]) <= 2.0 * DEPTH
            known = known[1:][short[1:]] if len(known) > _OFTEN else known[:0]
            met += _meets_own_cut(sweep, index, span, safe, known)
        for step, solid in met:
            kind = contact_kind(part.kind, feeds=bool(feeds[step]))
            found.append(Overlap(kind, step, index, name, solid))
    return found


def _coming_near(sweep: ToolSweep, span: Span, after: shapely.STRtree) -> list[int]:
    """Return the pieces that a rectangle round all their steps does not keep away from the stock of a span."""
    tips = np.stack([sweep.path.starts[span.rows], sweep.path.ends[span.rows]])
    low, high = tips.min(axis=(0, 1))[None], tips.max(axis=(0, 1))[None]
    bounds = np.vstack([sweep.around(index, low, high) for index in range(len(sweep.tool.parts))])
    boxes = np.asarray(shapely.box(*bounds.T), dtype=object)
    window = span.windows[0]
    near = ((bounds[:, :2] <= window[2:]) & (bounds[:, 2:] >= window[:2])).all(axis=1)
    near[after.query(boxes, predicate="intersects")[0]] = True
    found: list[int] = np.flatnonzero(near).tolist()
    return found


def _touches(
    sweep: ToolSweep,
    index: int,
    steps: Ints,
    span: Span,
    trees: tuple[shapely.STRtree, shapely.STRtree],
    then: Callable[[int], StockThen],
) -> list[tuple[int, BaseGeometry | StockThen]]:
    """Find the steps that touch the stock as it is then, and that stock."""
    after, cut = trees
    if not len(steps):
        return []
    met = _touch_what_is_left(sweep, index, steps, span, after)
    found: list[tuple[int, BaseGeometry | StockThen]] = [(step, then(step)) for step in met.tolist()]
    near = sweep.within(index, steps, span.later(steps))
    if not len(near):
        return found
    row, share = cut.query(sweep.boxes(index, near))
    there = span.is_later(near[row], share) & ~np.isin(near[row], met)
    row, share = row[there], share[there]
    some, which = np.unique(row, return_inverse=True)
    images, shares = sweep.images(index, near[some])[which], cut.geometries[share]
    met_too = np.asarray(shapely.intersects(images, shares))
    step, images, shares = near[row[met_too]], images[met_too], shares[met_too]
    rest, first, of = np.unique(step, return_index=True, return_inverse=True)
    whole = images[first]
    # Of the stock in pieces those that lie round the image are all that it can meet.
    row, tile = after.query(whole)
    may = may_touch(whole, np.r_[of, row], np.concatenate([shares, span.after[tile]]))
    some = may[of]
    sure = _touch_one(images[some], step[some], shares[some])
    doubtful = np.flatnonzero(may & ~np.isin(rest, list(sure)))
    if len(doubtful):
        place = np.full(len(rest), -1)
        place[doubtful] = np.arange(len(doubtful))
        mine, left = place[of] >= 0, place[row] >= 0
        together = touch_together(
            whole[doubtful],
            np.r_[place[of[mine]], place[row[left]]],
            np.concatenate([shares[mine], span.after[tile[left]]]),
        )
        sure |= set(rest[doubtful[together]].tolist())
    return found + [(one, then(one)) for one in rest.tolist() if one in sure]


def _touch_one(images: Geometries, step: Ints, shares: Geometries) -> set[int]:
    """Return those of the steps whose images touch the largest of the shapes that each of them meets."""
    order = np.lexsort((-shapely.area(shares), step))
    first = order[np.r_[True, np.diff(step[order]) != 0][: len(order)]]
    return set(step[first[is_touch(images[first], shares[first])]].tolist())


def _touch_what_is_left(
    sweep: ToolSweep, index: int, steps: Ints, span: Span, after: shapely.STRtree
) -> Ints:
    """Return the steps that touch what a span leaves of the stock."""
    near = sweep.within(index, steps, shapely.total_bounds(span.after)) if len(span.after) else steps[:0]
    if not len(near):
        return near
    row, tile = _meeting(after, span.after, sweep.boxes(index, near))
    if not len(row):
        return near[:0]
    some, which = np.unique(row, return_inverse=True)
    images = sweep.images(index, near[some])[which]
    met: Ints = np.unique(near[row[_touch_in_turn(sweep, near[row], images, span.after, tile)]])
    return met


def _touch_in_turn(sweep: ToolSweep, steps: Ints, images: Geometries, solids: Geometries, of: Ints) -> Flags:
    """Tell which images of a piece in some steps touch prepared solids, as `is_touch` does of each pair.

    In metal a piece touches step after step. Of every few steps one is overlaid; a square in what it has in common with
    the solid, moved as the tip moves, lies in both for most of the others, and then they surely touch.
    """
    if len(steps) < 2 * _EVERY:
        return is_touch(images, solids[of])
    order = np.lexsort((steps, of))
    seeds = order[::_EVERY]
    common = thick(shapely.intersection(images[seeds], solids[of[seeds]]))
    places = shapely.get_coordinates(shapely.point_on_surface(common), return_index=True)
    at = np.full((len(seeds), 2), np.nan)
    at[places[1]] = places[0]
    seed = np.arange(len(order)) // _EVERY
    tips = sweep.path.ends[steps[order]]
    at = at[seed] + tips - tips[seed * _EVERY]
    known = np.flatnonzero(np.isfinite(at[:, 0]))
    squares = np.asarray(shapely.box(*(at[known] - TOUCH).T, *(at[known] + TOUCH).T), dtype=object)
    pairs = order[known]
    inside = shapely.contains(solids[of[pairs]], squares)
    inside[inside] = shapely.contains(images[pairs[inside]], squares[inside])
    found = np.zeros(len(steps), dtype=bool)
    found[pairs[inside]] = True
    rest = np.flatnonzero(~found)
    found[rest] = is_touch(images[rest], solids[of[rest]])
    return found


def _meeting(tree: shapely.STRtree, solids: Geometries, shapes: Geometries) -> tuple[Ints, Ints]:
    """Return which shapes meet which of the prepared solids of a tree, by their numbers."""
    shape, solid = tree.query(shapes)
    meets = np.asarray(shapely.intersects(solids[solid], shapes[shape]))
    return shape[meets], solid[meets]


def _distance(
    shapes: Geometries,
    steps: Ints,
    span: Span,
    trees: Trees,
    reach: Floats,
) -> Floats:
    """Distance of steps to the stock they find, mm; 0 where they meet it, inf where it is out of reach."""
    distance, boxes = np.full(len(shapes), np.inf), shapely.bounds(shapes)
    distance[_meeting(trees.after, span.after, shapes)[0]] = 0.0
    # What the next cut takes is mostly the nearest: where it is, nothing farther off need be looked at.
    first = np.searchsorted(span.cutting, steps, side="right")
    next_ones = np.flatnonzero((first < len(span.pieces)) & (distance > 0.0))
    pieces = span.pieces[first[next_ones]]
    some = _apart(boxes[next_ones], shapely.bounds(pieces).reshape(-1, 4)) <= reach[next_ones]
    next_ones, pieces = next_ones[some], pieces[some]
    distance[next_ones] = shapely.distance(shapes[next_ones], pieces)
    distance = np.minimum(distance, trees.nearest(shapes, np.minimum(distance, reach)))
    within = np.minimum(distance * (1.0 - NEARER), reach)
    close = np.flatnonzero(_apart(boxes, span.later(steps)) <= within)
    if not len(close):
        return np.where(distance <= reach, distance, np.inf)
    # What single steps of a block take lies in what all of it takes: few come near enough to ask for each.
    own = span.block_of_next(steps[close])
    grown = boxes[close] + np.minimum(within[close], _FAR)[:, None] * OUTWARD
    row, block = shapely.STRtree(span.together).query(shapely.box(*grown.T))
    some = own[row] <= block
    row, block = row[some], block[some]
    shapely.prepare(span.together)
    some = shapely.dwithin(span.together[block], shapes[close[row]], within[close[row]])
    row, block = row[some], block[some]
    alone = own[row] == block
    whole = close[row[~alone]]
    np.minimum.at(distance, whole, shapely.distance(span.together[block[~alone]], shapes[whole]))
    alone = close[row[alone]]
    first = np.searchsorted(span.cutting, steps[alone], side="right")
    within = np.minimum(within, distance * (1.0 - NEARER))
    count = np.searchsorted(span.block, span.block[first], side="right") - first - 1
    row = np.repeat(alone, count)
    share = np.repeat(first + 1 + count - np.cumsum(count), count) + np.arange(len(row))
    some = _apart(boxes[row], shapely.bounds(span.pieces)[share]) <= within[row]
    row, share = row[some], share[some]
    np.minimum.at(distance, row, shapely.distance(shapes[row], span.pieces[share]))
    return np.where(distance <= reach, distance, np.inf)


def _apart(boxes: Floats, windows: Floats) -> Floats:
    """Distance (mm) of rectangles from others, both (n, 4)."""
    over = np.maximum(boxes[:, :2] - windows[:, 2:], windows[:, :2] - boxes[:, 2:]).clip(0.0)
    return np.asarray(np.hypot(over[:, 0], over[:, 1]), dtype=np.float64)


def _meets_own_cut(
    sweep: ToolSweep, index: int, span: Span, safe: Callable[[int], Flags], known: Ints
) -> list[tuple[int, BaseGeometry | StockThen]]:
    """Find further steps than the known ones in which a piece meets material before the insert removes it in them."""
    path, part = sweep.path, sweep.tool.parts[index]
    along = path.ends[span.cutting] - path.starts[span.cutting]
    doubtful = np.flatnonzero(~np.isin(span.cutting, known))
    if not len(doubtful):
        return []
    boxes, pieces = sweep.bounds(index, span.cutting[doubtful]), shapely.bounds(span.pieces[doubtful])
    doubtful = doubtful[_apart(boxes, pieces) == 0.0]
    doubtful = doubtful[~safe(index)[sector(along[doubtful])]] if len(doubtful) else doubtful
    if not len(doubtful):
        return []
    around = sweep.boxes(index, span.cutting[doubtful])
    doubtful = doubtful[shapely.intersects(around, span.pieces[doubtful])]
    if not len(doubtful):
        return []
    # What lies before the insert is but a part of the piece: most steps do not meet that much with the whole.
    whole = shapely.intersection(sweep.images(index, span.cutting[doubtful]), span.pieces[doubtful])
    doubtful = doubtful[extent(whole).min(axis=1) >= TOUCH - 4.0 * SAG]
    steps = span.cutting[doubtful]
    ahead = exposed(sweep.tool, part, path.starts[steps], path.ends[steps])
    met = is_touch(ahead, span.pieces[doubtful])
    return [(int(span.cutting[one]), span.pieces[one]) for one in doubtful[met]]

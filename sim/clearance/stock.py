"""Seat, shank and rapid moves against the stock as it is when they pass it.

The stock is known at the borders of blocks of cuts (`sim.clearance.removal`). In a step within a span of
such blocks it consists of what the span leaves and of what the rest of the span is still going to remove.

Within one feed step material counts as gone once the insert has passed it. A point of the tool meets
material that the insert removes in the same step only if the insert does not run ahead of it: what lies in
the shadow of the insert, cast against the direction of the step, is safe, and nothing else is. (For the
thin slices of a thick part this holds for each slice; the shadow of the rake face is used for all.)
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from sim.clearance.obstacle import Nearest, is_touch, outline_segments
from sim.clearance.removal import Removal, polygons, region
from sim.clearance.sweep import ToolSweep, swept
from sim.clearance.tool import Tool, ToolPart, pieces
from sim.clearance.touch import Overlap, contact_kind, thick

_SHADOW = 1e4  # mm, longer than any move
_HEADINGS = 120  # directions for which it is looked up whether a piece lies in the insert's shadow
_SPAN = 8  # blocks of cuts that are judged together for touches
_FAR = 1e6  # mm, larger than any lathe
APPROACH_REACH = 10.0  # mm; a rapid move that keeps farther from the stock is no approach

Geometries = NDArray[np.object_]
Floats = NDArray[np.float64]
Integers = NDArray[np.int64]


@dataclass(frozen=True, slots=True, eq=False)
class _Span:
    """Steps judged together.

    Attributes
    ----------
    rows : (n,)
        Numbers of the steps.
    after : BaseGeometry
        Stock that the last of them leaves.
    cutting : (m,)
        Those of the steps that remove something.
    pieces : (m,)
        What they remove.
    cut : STRtree
        Of `pieces`.
    """

    rows: Integers
    after: BaseGeometry
    cutting: Integers
    pieces: Geometries
    cut: shapely.STRtree


def against_stock(
    sweep: ToolSweep, taken: Removal, removed: Geometries, nearest: Nearest, number: int, name: str
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

    Returns
    -------
    approach : (n,) array
        Distance of insert, seat and holder to the stock in rapid steps, mm; inf in feed steps and beyond
        `APPROACH_REACH`.
    overlaps : list of Overlap
    """
    approach = np.full(len(sweep.path.move), np.inf)
    for span in _spans(sweep, taken, removed, 1):
        _note_distances(sweep, span, nearest, number, approach)
    overlaps: list[Overlap] = []
    safe = [_safe_headings(sweep.tool, part) for part in sweep.tool.parts]
    for span in _spans(sweep, taken, removed, _SPAN):
        for index, part in enumerate(sweep.tool.parts):
            found = _overlaps(sweep, span, index, safe[index], name)
            overlaps += found
            met = np.array([one.step for one in found], dtype=np.int64)
            nearest.note(met, np.zeros(len(met)), index, number)
            if part.kind != "shank":
                rapid = met[~sweep.path.feeds[met]]
                approach[rapid] = 0.0
    return approach, overlaps


def _spans(sweep: ToolSweep, taken: Removal, removed: Geometries, blocks: int) -> Iterator[_Span]:
    """Cut the steps into spans of some blocks of cuts."""
    feeds = sweep.path.feeds
    made: Integers = np.cumsum(feeds) - feeds  # cuts made before each step
    last = len(taken.snapshots) - 1
    current = np.minimum(made, max(0, taken.block * last - 1)) // (taken.block * blocks)
    some = ~np.asarray(shapely.is_empty(removed))
    starts = np.flatnonzero(np.r_[True, np.diff(current) != 0][: len(current)])
    for rows in np.split(np.arange(len(current)), starts[1:]):
        if not len(rows):
            continue
        after: BaseGeometry = taken.snapshots[min(blocks * (int(current[rows[0]]) + 1), last)]
        shapely.prepare(after)
        cutting = rows[some[rows]]
        yield _Span(rows, after, cutting, removed[cutting], shapely.STRtree(removed[cutting]))


def _note_distances(sweep: ToolSweep, span: _Span, nearest: Nearest, number: int, approach: Floats) -> None:
    """Note the shank's distance from the stock, and that of the other pieces in rapid steps."""
    outline = shapely.STRtree(outline_segments([span.after])[0])
    rapid = span.rows[~sweep.path.feeds[span.rows]]
    for index, part in enumerate(sweep.tool.parts):
        images = sweep.images[index]
        if part.kind == "shank":
            reach = np.minimum(nearest.distance[span.rows], _FAR)
            nearest.note(span.rows, _distance(images, span.rows, span, outline, reach), index, number)
        elif len(rapid):
            reach = np.minimum(approach[rapid], APPROACH_REACH)
            approach[rapid] = np.minimum(approach[rapid], _distance(images, rapid, span, outline, reach))


def _overlaps(sweep: ToolSweep, span: _Span, index: int, safe: NDArray[np.bool_], name: str) -> list[Overlap]:
    """Find where a piece overlaps the stock as it is then."""
    feeds, part, images = sweep.path.feeds, sweep.tool.parts[index], sweep.images[index]
    judged = span.rows if part.kind != "insert" else span.rows[~feeds[span.rows]]
    if not len(judged):
        return []
    met, solid = _touches(images, judged, span)
    if part.kind != "insert":
        own, taken = _meets_own_cut(sweep, index, span, safe)
        met, solid = np.r_[met, own], [*solid, *taken]
    return [
        Overlap(contact_kind(part.kind, feeds=bool(feeds[step])), int(step), index, name, body)
        for step, body in zip(met, solid, strict=True)
    ]


def _touches(images: Geometries, steps: Integers, span: _Span) -> tuple[Integers, list[BaseGeometry]]:
    """Find the steps that touch the stock as it is then, and as much of that stock as they meet."""
    met = steps[shapely.intersects(span.after, images[steps])]
    met = met[is_touch(images[met], span.after)]
    solid: list[BaseGeometry] = [span.after] * len(met)
    step, piece = span.cut.query(images[steps], predicate="intersects")
    later = span.cutting[piece] > steps[step]
    step, piece = steps[step[later]], piece[later]
    for one in np.setdiff1d(step, met):
        stock = region(shapely.union_all([span.after, *span.pieces[piece[step == one]]]))
        if is_touch(images[one : one + 1], stock)[0]:
            met = np.r_[met, one]
            solid.append(stock)
    return met, solid


def _distance(
    images: Geometries, steps: Integers, span: _Span, outline: shapely.STRtree, reach: Floats
) -> Floats:
    """Distance of steps to the stock they find, mm; 0 where they meet it, inf where it is out of reach."""
    shapes = images[steps]
    distance = np.full(len(steps), np.inf)
    (row, _), gap = outline.query_nearest(shapes, return_distance=True, all_matches=False)
    distance[row] = gap
    distance[shapely.intersects(span.after, shapes)] = 0.0
    row, piece = span.cut.query(shapes, predicate="dwithin", distance=np.minimum(distance, reach))
    later = span.cutting[piece] > steps[row]
    row, piece = row[later], piece[later]
    np.minimum.at(distance, row, shapely.distance(shapes[row], span.pieces[piece]))
    return np.where(distance <= reach, distance, np.inf)


def _meets_own_cut(
    sweep: ToolSweep, index: int, span: _Span, safe: NDArray[np.bool_]
) -> tuple[Integers, list[BaseGeometry]]:
    """Find the steps in which a piece meets material before the insert removes it in the same step."""
    path, part = sweep.path, sweep.tool.parts[index]
    along = path.ends[span.cutting] - path.starts[span.cutting]
    sector = np.floor(np.arctan2(along[:, 1], along[:, 0]) / (2.0 * np.pi) * _HEADINGS).astype(np.int64)
    doubtful = np.flatnonzero(~safe[sector % _HEADINGS])
    images = sweep.images[index][span.cutting[doubtful]]
    doubtful = doubtful[shapely.intersects(images, span.pieces[doubtful])]
    length = np.hypot(along[doubtful, 0], along[doubtful, 1])
    direction = np.round(along[doubtful] / np.where(length > 0.0, length, 1.0)[:, None], 6)
    met = np.zeros(len(doubtful), dtype=bool)
    for heading in np.unique(direction, axis=0):
        rows = np.flatnonzero((direction == heading).all(axis=1))
        cutting = span.cutting[doubtful[rows]]
        for exposed in _outside_shadow(sweep.tool, part, heading):
            shape = swept(exposed, path.starts[cutting], path.ends[cutting])
            met[rows] |= is_touch(shape, span.pieces[doubtful[rows]])
    return span.cutting[doubtful[met]], list(span.pieces[doubtful[met]])


def _safe_headings(tool: Tool, part: ToolPart) -> NDArray[np.bool_]:
    """Tell for sectors of directions (from +x to +z, `_HEADINGS` to the turn) that the insert runs ahead.

    If a piece lies in the shadow of a convex insert for both borders of a sector, it does so within.
    """
    if part.kind == "insert":
        return np.ones(_HEADINGS, dtype=bool)
    angle = 2.0 * np.pi * np.arange(_HEADINGS) / _HEADINGS
    headings = np.column_stack([np.cos(angle), np.sin(angle)])
    inside = np.array([bool(shapely.is_empty(_exposed(tool, part, heading))) for heading in headings])
    safe: NDArray[np.bool_] = inside & np.roll(inside, -1)
    return safe


def _outside_shadow(tool: Tool, part: ToolPart, heading: Floats) -> tuple[ToolPart, ...]:
    """Pieces of a part that the insert does not run ahead of."""
    found: list[ToolPart] = []
    for polygon in polygons(_exposed(tool, part, heading)):
        ring = shapely.get_coordinates(polygon.exterior)[:-1]
        found += pieces(part.name, part.kind, ring, part.near, part.far)
    return tuple(found)


def _exposed(tool: Tool, part: ToolPart, heading: Floats) -> BaseGeometry:
    back = -_SHADOW * heading
    shadows = [
        shapely.MultiPoint(np.vstack([one.outline, one.outline + back])).convex_hull
        for one in tool.parts
        if one.kind == "insert"
    ]
    rest = shapely.difference(shapely.Polygon(part.outline), shapely.union_all(shadows))
    exposed: BaseGeometry = thick(np.array([rest]))[0]
    return exposed

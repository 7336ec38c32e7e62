"""Seat, shank and rapid moves against the stock as it is when they pass it.

The stock is known at the borders of blocks of cuts (`sim.clearance.removal`). In a step within a block it
consists of what the block leaves and of what the rest of the block is still going to remove.

Within one feed step material counts as gone once the insert has passed it. A point of the tool meets
material that the insert removes in the same step only if the insert does not run ahead of it: what lies in
the shadow of the insert, cast against the direction of the step, is safe, and nothing else is. (For the
thin slices of a thick part this holds for each slice; the shadow of the rake face is used for all.)
"""

from __future__ import annotations

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from sim.clearance.obstacle import Nearest, is_touch, outline_segments
from sim.clearance.removal import Removal, polygons, region
from sim.clearance.sweep import ToolSweep, swept
from sim.clearance.tool import ToolPart, insert_polygon, pieces
from sim.clearance.touch import Overlap, contact_kind, thick

_SHADOW = 1e4  # mm, longer than any move

Geometries = NDArray[np.object_]
Floats = NDArray[np.float64]
Integers = NDArray[np.int64]


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
        Distance of insert, seat and holder to the stock in rapid steps, mm; inf in feed steps.
    overlaps : list of Overlap
    """
    path = sweep.path
    approach = np.full(len(path.move), np.inf)
    overlaps: list[Overlap] = []
    made: Integers = np.cumsum(path.feeds) - path.feeds  # cuts made before each step
    block = np.minimum(made // taken.block, max(0, len(taken.snapshots) - 2))
    for current in np.unique(block):
        rows = np.flatnonzero(block == current)
        after = taken.snapshots[min(current + 1, len(taken.snapshots) - 1)]
        for index, part in enumerate(sweep.tool.parts):
            which = rows[~path.feeds[rows]] if part.kind == "insert" else rows
            if not len(which):
                continue
            distance, solid = _in_block(sweep.images[index], which, rows[-1] + 1, after, removed)
            met = (distance == 0.0) & is_touch(sweep.images[index][which], solid)
            if part.kind != "insert":
                own = np.flatnonzero(~met & _meets_own_cut(sweep, index, which, removed))
                solid[own] = removed[which[own]]
                met[own], distance[own] = True, 0.0
            for j in np.flatnonzero(met):
                kind = contact_kind(part.kind, feeds=bool(path.feeds[which[j]]))
                overlaps.append(Overlap(kind, int(which[j]), index, name, solid[j]))
            if part.kind != "shank":
                rapid = ~path.feeds[which]
                approach[which[rapid]] = np.minimum(approach[which[rapid]], distance[rapid])
                nearest.note(which[met], distance[met], index, number)
            else:
                nearest.note(which, distance, index, number)
    return approach, overlaps


def _in_block(
    images: Geometries, which: Integers, end: int, after: BaseGeometry, removed: Geometries
) -> tuple[Floats, Geometries]:
    """Distance of steps to the stock they find, and that stock (or as much of it as they can meet)."""
    shapes = images[which]
    distance = np.full(len(which), np.inf)
    solid = np.full(len(which), after, dtype=object)
    if not shapely.is_empty(after):
        shapely.prepare(after)
        tree = shapely.STRtree(outline_segments([after])[0])
        (query, _), gap = tree.query_nearest(shapes, return_distance=True, all_matches=False)
        distance[query] = gap
        distance[shapely.intersects(after, shapes)] = 0.0
    later_all = removed[which[0] : end]
    some = which[0] + np.flatnonzero(~shapely.is_empty(later_all))
    if not len(some):
        return distance, solid
    cut = shapely.union_all(removed[some])
    shapely.prepare(cut)
    near = shapely.dwithin(cut, shapes, np.minimum(distance, 1e6))
    for j in np.flatnonzero(near & (which < some[-1])):
        later = removed[some[some > which[j]]]
        gaps = shapely.distance(shapes[j], later)
        distance[j] = min(distance[j], float(gaps.min()))
        if (gaps == 0.0).any():
            solid[j] = region(shapely.union_all([after, *later[gaps == 0.0]]))
    return distance, solid


def _meets_own_cut(sweep: ToolSweep, index: int, which: Integers, removed: Geometries) -> NDArray[np.bool_]:
    """Tell in which steps a piece meets material before the insert removes it in the same step."""
    met = np.zeros(len(which), dtype=bool)
    shapes = sweep.images[index]
    candidates = np.flatnonzero(shapely.intersects(shapes[which], removed[which]))
    if not len(candidates):
        return met
    along = sweep.path.ends[which[candidates]] - sweep.path.starts[which[candidates]]
    length = np.hypot(along[:, 0], along[:, 1])
    direction = np.round(along / np.where(length > 0.0, length, 1.0)[:, None], 6)
    for heading in np.unique(direction, axis=0):
        rows = candidates[(direction == heading).all(axis=1)]
        for exposed in _outside_shadow(sweep, sweep.tool.parts[index], heading):
            steps = which[rows]
            shape = swept(exposed, sweep.path.starts[steps], sweep.path.ends[steps])
            met[rows] |= is_touch(shape, removed[steps])
    return met


def _outside_shadow(sweep: ToolSweep, part: ToolPart, heading: Floats) -> tuple[ToolPart, ...]:
    """Pieces of a part that the insert does not run ahead of."""
    insert = insert_polygon(sweep.tool)
    back = -_SHADOW * heading
    hulls = [
        shapely.union(piece, shapely.transform(piece, lambda xy: xy + back)).convex_hull
        for piece in (shapely.Polygon(p.outline) for p in sweep.tool.parts if p.kind == "insert")
    ]
    rest = thick(
        np.array([shapely.difference(shapely.Polygon(part.outline), shapely.union_all([insert, *hulls]))])
    )[0]
    found: list[ToolPart] = []
    for polygon in polygons(rest):
        found += pieces(
            part.name, part.kind, shapely.get_coordinates(polygon.exterior)[:-1], part.near, part.far
        )
    return tuple(found)

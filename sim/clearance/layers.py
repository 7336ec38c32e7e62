"""What cuts of a flat convex insert take, one after the other, as layers over a line: without an overlay.

Seen the way that the insert points, which is away from its middle, every cut is what lies between a lower and an upper
outline over a line across that way. Where both ends of all upper outlines lie no higher than a level, what the cuts
cover above it is all between it and the highest of the outlines: of a convex cut nothing is missing there. So where the
stock has nothing below the level that the cuts could meet, heights alone tell what they take, and each takes the layer
between the height that those before it have left and its own.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

import numpy as np
import shapely

from sim.base.arrays import Flags, Floats, Geometries, Ints
from sim.clearance.heights import LEAST, Heights, raised
from sim.clearance.shapes import EMPTY

_NONE = 1e-12  # mm2; what is reached of no larger area is nothing
_SAME = 1e-9  # mm2 by which layers may differ from what all cuts of a block take together
_FEW = 8  # cuts that are seen together before all of a block
_APART = 1e-9  # mm along the line by which neighbours of an outline follow each other at least


class Uppers(NamedTuple):
    """Upper outlines of n cuts, over a line.

    Attributes
    ----------
    way : (2,)
        x, z of the way that the insert points, a unit direction.
    along, height : (n, m)
        Corners of each, in the order along the line, mm.
    box : (n, 4)
        Least and greatest along and height of the tip as along, height, along, height; mm.
    outline : (k, 2)
        Of the insert from the tip on: along, height, mm.
    """

    way: Floats
    along: Floats
    height: Floats
    box: Floats
    outline: Floats

    def only(self, some: Ints) -> Uppers:
        """Return those of some cuts."""
        return self._replace(along=self.along[some], height=self.height[some], box=self.box[some])

    @classmethod
    def of(cls, outline: Floats, starts: Floats, ends: Floats) -> Uppers | None:
        """Return those of straight steps (n, 2) of a counter-clockwise insert (k, 2); None where it points nowhere."""
        middle = np.asarray(shapely.get_coordinates(shapely.centroid(shapely.Polygon(outline)))[0])
        size = float(np.hypot(*middle))
        if size < _APART:
            return None
        way = -middle / size
        ring, one, other = (_turned(points, way) for points in (outline, starts, ends))
        first, last = int(ring[:, 0].argmin()), int(ring[:, 0].argmax())
        chain = ring[(first - np.arange((first - last) % len(ring) + 1)) % len(ring)]
        swap = one[:, 0] > other[:, 0]
        one[swap], other[swap] = other[swap], one[swap].copy()
        upright = one[:, 0] == other[:, 0]
        one[upright, 1] = other[upright, 1] = np.maximum(one[upright, 1], other[upright, 1])
        step, edges = other - one, np.diff(chain, axis=0)
        steeper = step[:, 1:] * edges[:, 0] - step[:, :1] * edges[:, 1] < 0.0
        place = np.arange(len(chain) + 1)
        behind = place > steeper.sum(axis=1)[:, None]
        corners = chain[place - behind] + np.where(behind[:, :, None], other[:, None], one[:, None])
        box = np.hstack([np.minimum(one, other), np.maximum(one, other)])
        return cls(way, corners[:, :, 0], corners[:, :, 1], box, ring)


class Covered(NamedTuple):
    """What the cuts of each of b blocks cover together.

    Attributes
    ----------
    above : (b,) array of shapely geometries
        All of it above a level, x and z, mm.
    below : (b,) array of shapely geometries
        What holds the rest.
    outlines : Uppers
        Of the blocks, each as one cut: what is highest of its cuts, from its level on.
    """

    above: Geometries
    below: Geometries
    outlines: Uppers

    @classmethod
    def joined(cls, parts: Sequence[Covered]) -> Covered:
        """Return what is known of blocks in several parts as one."""
        wide = max(part.outlines.along.shape[1] for part in parts)
        outlines = [part.outlines for part in parts]
        return cls(
            np.concatenate([part.above for part in parts]),
            np.concatenate([part.below for part in parts]),
            outlines[0]._replace(
                along=np.concatenate([_widened(one.along, wide) for one in outlines]),
                height=np.concatenate([_widened(one.height, wide) for one in outlines]),
                box=np.concatenate([one.box for one in outlines]),
            ),
        )


def _widened(rows: Floats, count: int) -> Floats:
    """Return rows of so many places, with their last repeated."""
    return np.pad(rows, ((0, 0), (0, count - rows.shape[1])), mode="edge")


def covered(cuts: Uppers, size: int) -> Covered:
    """Return what blocks of so many cuts cover."""
    while size > _FEW and size % _FEW == 0:
        # Of few at a time, then of those: what is highest of all is gone through by fewer.
        cuts, size = _highest(cuts, size=_FEW)[0], size // _FEW
    outlines, found, level = _highest(cuts, size)
    return Covered(_hills(found, level, cuts.way), _below(outlines, level), outlines)


def _highest(cuts: Uppers, size: int) -> tuple[Uppers, Heights, Floats]:
    """Return what is highest of blocks of so many cuts, as cuts and as heights, and from what level on that holds."""
    rows = _rows(len(cuts.along), size)
    blocks = np.arange(len(rows))
    level = np.maximum(cuts.height[:, 0], cuts.height[:, -1])[rows].max(axis=1)
    low, high = cuts.along[rows].min(axis=(1, 2)), cuts.along[rows].max(axis=(1, 2))
    found = Heights(np.repeat(blocks, 2), np.column_stack([low, high]).ravel(), np.repeat(level, 2))
    for column in rows.T:
        found = raised(found, cuts.along[column], cuts.height[column]).highest()
    box = np.hstack([cuts.box[rows][:, :, :2].min(axis=1), cuts.box[rows][:, :, 2:].max(axis=1)])
    return Uppers(cuts.way, *_side_by_side(found), box, cuts.outline), found, level


def layers(cuts: Uppers, size: int, reached: Geometries) -> tuple[Geometries, Flags]:
    """Return what each cut takes, and of which blocks that is not known.

    Parameters
    ----------
    cuts : Uppers
        n cuts.
    size : int
        Cuts of a block.
    reached : (b,) array of shapely geometries
        What all cuts of a block take, all of it above the level of `covered`; mm.
    """
    rows = _rows(len(cuts.along), size)
    parts, block = shapely.get_parts(reached, return_index=True)
    some = shapely.area(parts) > _NONE
    parts, block = parts[some], block[some]
    open_ones = np.zeros(len(rows), dtype=bool)
    taken = np.full(len(cuts.along), EMPTY, dtype=object)
    if not len(parts):
        return taken, open_ones
    floor, simple = _lower_outlines(parts, cuts.way)
    open_ones[block[~simple]] = True
    kept = np.flatnonzero(~open_ones[block])
    floor = _only(floor, kept)
    parts, block = parts[kept], block[kept]
    rings, ring, lane, cut = [np.zeros((0, 2))], [np.zeros(0, dtype=np.int64)], [], []
    count, top = 0, floor
    for column in rows[block].T if len(parts) else ():
        merged = raised(top, cuts.along[column], cuts.height[column])
        if not merged.higher.any():
            continue
        top, (points, of, owner) = merged.highest(), merged.layers()
        rings.append(points)
        ring.append(of + count)
        lane.append(owner)
        cut.append(column[owner])
        count += len(owner)
    if count:
        corners = _turned_back(np.concatenate(rings), cuts.way)
        found = np.asarray(shapely.polygons(shapely.linearrings(corners, indices=np.concatenate(ring))))
        _fill(taken, found, np.concatenate(cut))
        known = np.bincount(np.concatenate(lane), shapely.area(found), len(parts))
        open_ones[block[np.abs(known - shapely.area(parts)) > _SAME]] = True
    return taken, open_ones


def _rows(count: int, size: int) -> Ints:
    """Return the numbers of cuts in blocks (b, size); the last cut fills up its block, and takes nothing there."""
    return np.minimum(np.arange(-(-count // size) * size), count - 1).reshape(-1, size)


def _turned(points: Floats, way: Floats) -> Floats:
    """Return points (n, 2; x, z) as along the line and height over it."""
    return np.asarray(points @ np.array([[way[1], way[0]], [-way[0], way[1]]]), dtype=np.float64)


def _turned_back(points: Floats, way: Floats) -> Floats:
    """Return points (n, 2; along, height) as x and z."""
    return np.asarray(points @ np.array([[way[1], -way[0]], [way[0], way[1]]]), dtype=np.float64)


def _hills(found: Heights, level: Floats, way: Floats) -> Geometries:
    """Return what lies between levels (b,) and the heights over them."""
    high = found.height > level[found.lane] + LEAST
    begins = np.flatnonzero(high & ~np.r_[False, high[:-1]])
    ends = np.flatnonzero(high & ~np.r_[high[1:], False])
    hills = np.full(len(level), EMPTY, dtype=object)
    if not len(begins):
        return hills
    # With the points on the level before and behind; outlines neither begin nor end above it.
    sizes = ends - begins + 3
    ring = np.repeat(np.arange(len(begins)), sizes)
    place = (begins - 1)[ring] + np.arange(len(ring)) - (np.cumsum(sizes) - sizes)[ring]
    points = _turned_back(np.column_stack([found.along[place], found.height[place]]), way)
    shapes = shapely.polygons(shapely.linearrings(points, indices=ring))
    _fill(hills, np.asarray(shapes, dtype=object), found.lane[begins])
    return hills


def _side_by_side(heights: Heights) -> tuple[Floats, Floats]:
    """Return along and height of each lane as rows (l, m); those of fewer points repeat their last."""
    begin = np.flatnonzero(np.r_[True, np.diff(heights.lane) != 0])
    count = np.diff(np.r_[begin, len(heights.lane)])
    place = begin[:, None] + np.minimum(np.arange(count.max()), count[:, None] - 1)
    return heights.along[place], heights.height[place]


def _below(outlines: Uppers, level: Floats) -> Geometries:
    """Return what holds all that blocks of cuts cover below levels (b,)."""
    low, high = outlines.box[:, :2], outlines.box[:, 2:]
    corners = np.stack(
        [low, np.column_stack([high[:, 0], low[:, 1]]), high, np.column_stack([low[:, 0], high[:, 1]])],
        axis=1,
    )
    points = (corners[:, :, None] + outlines.outline).reshape(len(level), -1, 2)
    hulls = shapely.convex_hull(shapely.multipoints(points))
    bounds = shapely.bounds(hulls)
    bounds[:, 3] = level
    found = shapely.intersection(hulls, shapely.box(*bounds.T))
    turned = shapely.transform(found, lambda points: _turned_back(points, outlines.way))
    return np.asarray(turned, dtype=object)


def _lower_outlines(parts: Geometries, way: Floats) -> tuple[Heights, Flags]:
    """Return the lower outlines of polygons (p,) and which of them go along the line without turning back."""
    simple = (shapely.get_num_interior_rings(parts) == 0) & (shapely.get_type_id(parts) == 3)
    parts = parts.copy()
    parts[~simple] = shapely.box(0.0, 0.0, 1.0, 1.0)
    points, lane = shapely.get_coordinates(shapely.orient_polygons(parts), return_index=True)
    last = np.r_[lane[1:] != lane[:-1], True]
    points, lane = _turned(points[~last], way), lane[~last]
    begin = np.searchsorted(lane, np.arange(len(parts)))
    count = np.diff(np.r_[begin, len(lane)])
    order = np.lexsort((points[:, 1], points[:, 0], lane))
    first = order[begin]
    order = np.lexsort((points[:, 1], -points[:, 0], lane))
    end = order[begin]
    size = (end - first) % count + 1
    of = np.repeat(np.arange(len(parts)), size)
    place = np.arange(len(of)) - (np.cumsum(size) - size)[of]
    place = begin[of] + (first[of] - begin[of] + place) % count[of]
    # Overlays leave corners that are one but for rounding.
    moved = np.abs(np.diff(points[place], axis=0)).max(axis=1) > _APART
    place, of = (values[np.r_[True, moved | (of[1:] != of[:-1])]] for values in (place, of))
    found = Heights(of, points[place, 0], points[place, 1])
    back = np.flatnonzero((np.diff(found.along) < _APART) & (of[1:] == of[:-1]))
    simple[of[back]] = False
    return found, simple


def _only(heights: Heights, lanes: Ints) -> Heights:
    """Return some lanes, in their order and numbered anew."""
    place = np.full(int(heights.lane.max(initial=0)) + 1, -1)
    place[lanes] = np.arange(len(lanes))
    kept = place[heights.lane] >= 0
    return Heights(place[heights.lane[kept]], heights.along[kept], heights.height[kept])


def _fill(found: Geometries, shapes: Geometries, owner: Ints) -> None:
    """Put polygons in their places; several of one place together."""
    order = np.argsort(owner, kind="stable")
    shapes, owner = shapes[order], owner[order]
    alone = np.r_[True, owner[1:] != owner[:-1]] & np.r_[owner[:-1] != owner[1:], True]
    found[owner[alone]] = shapes[alone]
    if not alone.all():
        shapely.multipolygons(shapes[~alone], indices=owner[~alone], out=found)

"""What cuts of a flat convex insert take, one after the other, as layers over a line: without an overlay.

Seen the way that the insert points, which is away from its middle, every cut is what lies between a lower and an upper
outline over a line across that way. Where both ends of all upper outlines lie no higher than a level, what the cuts
cover above it is all between it and the highest of the outlines: of a convex cut nothing is missing there. So where the
stock has nothing below the level that the cuts could meet, heights alone tell what they take, and each takes the layer
between the height that those before it have left and its own.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any, NamedTuple

import numpy as np
import shapely

from sim.base.arrays import Flags, Floats, Geometries, Ints
from sim.clearance.shapes import EMPTY

_LEAST = 1e-11  # mm; a layer that is nowhere thicker is none
_NONE = 1e-12  # mm2; what is reached of no larger area is nothing
_SAME = 1e-9  # mm2 by which layers may differ from what all cuts of a block take together
_FEW = 8  # cuts that are seen together before all of a block
_APART = 1e-9  # mm along the line by which neighbours of an outline follow each other at least


class Heights(NamedTuple):
    """Outlines over the line, one for each of some lanes, point by point (p,), by lane and along the line.

    Attributes
    ----------
    lane : (p,)
        Number of the outline.
    along, height : (p,)
        mm.
    """

    lane: Ints
    along: Floats
    height: Floats


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
        found = _raised(found, cuts.along[column], cuts.height[column]).highest()
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
        merged = _raised(top, cuts.along[column], cuts.height[column])
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


def _raised(ground: Heights, along: Floats, height: Floats) -> _Merged:
    """Return the ground and upper outlines in each lane, point by point.

    Parameters
    ----------
    ground : Heights
        At least two points in each of l lanes.
    along, height : (l, m)
        Corners of the outlines; where the ground is known none begins or ends above it.
    """
    lanes, wide = along.shape
    begin = np.searchsorted(ground.lane, np.arange(lanes))
    end = np.r_[begin[1:], len(ground.lane)] - 1
    least = min(ground.along.min(), along.min())
    apart = max(ground.along.max(), along.max()) - least + 1.0
    key = (ground.along - least) + apart * ground.lane
    keys = ((along - least) + apart * np.arange(lanes)[:, None]).ravel()
    flat, tall = along.ravel(), height.ravel()
    # Corners of the outlines among the points of the ground, over whose stretch alone they count.
    inside = np.flatnonzero((along > ground.along[begin, None]) & (along < ground.along[end, None]))
    lane, at = inside // wide, flat[inside]
    left = np.searchsorted(key, keys[inside], side="right") - 1
    left = np.clip(left, begin[lane], end[lane] - 1)
    below = _between(at, left, ground.along, ground.height)
    # Points of the ground under the outlines: of each, how many corners come before it or are there.
    right = np.cumsum(np.bincount(np.searchsorted(key, keys), minlength=len(key) + 1))[:-1]
    first = ground.lane * wide
    above = _between(ground.along, np.clip(right - 1, first, first + wide - 2), flat, tall)
    out = (ground.along < along[:, 0][ground.lane]) | (ground.along > along[:, -1][ground.lane])
    above[out] = ground.height[out]
    # One after the other: each corner behind the point to its left.
    places = np.arange(len(key)) + np.cumsum(np.bincount(left + 1, minlength=len(key) + 1))[:-1]
    corners = left + 1 + np.arange(len(left))
    corner = np.zeros(len(key) + len(left), dtype=bool)
    corner[corners] = True

    def merged(of_ground: Any, of_corners: Any) -> Any:
        found = np.zeros(len(corner), dtype=of_ground.dtype)
        found[places], found[corners] = of_ground, of_corners
        return found

    low, high = merged(ground.height, below), merged(above, tall[inside])
    over = high - low
    higher = over > _LEAST
    # The ends of a lane stay where they are: what rises there does not add up with what its block takes.
    higher[places[begin]] = higher[places[end]] = False
    return _Merged(merged(ground.lane, lane), merged(ground.along, at), low, high, corner, over, higher)


def _between(at: Floats, left: Ints, along: Floats, height: Floats) -> Floats:
    """Return heights on the lines from points of an outline, by their numbers, to the next."""
    one, from_ = along[left], height[left]
    wide = along[left + 1] - one
    share = (at - one) / np.where(wide > 0.0, wide, np.inf)
    found: Floats = from_ + share.clip(0.0, 1.0) * (height[left + 1] - from_)
    return found


class _Merged(NamedTuple):
    """Points of the ground and corners of outlines, by lane and along the line, and how high both are there.

    Attributes
    ----------
    lane, along, low, high : (p,)
        Lane, place and height of ground and outline, mm.
    corner : (p,)
        Whether it is one of an outline.
    over : (p,)
        How far the outline is above the ground, mm.
    higher : (p,)
        Whether it is.
    """

    lane: Ints
    along: Floats
    low: Floats
    high: Floats
    corner: Flags
    over: Floats
    higher: Flags

    def crossings(self) -> tuple[Ints, Floats, Floats]:
        """Return after which points the two cross, and where: along and height.

        That is where one rises over the other or falls back, between neighbours.
        """
        cross = np.flatnonzero(self.higher[1:] != self.higher[:-1])
        one, other = (
            np.where(self.higher[k], self.over[k], np.minimum(self.over[k], 0.0)) for k in (cross, cross + 1)
        )
        share = one / (one - other)
        along, low = (v[cross] + share * (v[cross + 1] - v[cross]) for v in (self.along, self.low))
        return cross, along, low

    def highest(self) -> Heights:
        """Return the higher of the two."""
        cross, along, height = self.crossings()
        kept = self.higher == self.corner
        rows = np.flatnonzero(kept)
        between = np.cumsum(kept)[cross] + np.arange(len(cross))
        others = np.ones(len(rows) + len(cross), dtype=bool)
        others[between] = False
        lanes, places, heights = (
            np.zeros(len(others), dtype=np.int64),
            np.zeros(len(others)),
            np.zeros(len(others)),
        )
        lanes[between], places[between], heights[between] = self.lane[cross], along, height
        lanes[others], places[others] = self.lane[rows], self.along[rows]
        heights[others] = np.where(self.corner[rows], self.high[rows], self.low[rows])
        return Heights(lanes, places, heights)

    def layers(self) -> tuple[Floats, Ints, Ints]:
        """Return layers between the two: corners (p, 2) of rings without their last, and ring of each, lane of each ring.

        A ring: where the outline rises, the ground, where it falls, and the outline back.
        """
        cross, along, height = self.crossings()
        rings, higher = len(cross) // 2, np.flatnonzero(self.higher)
        ring, corner = np.repeat(np.arange(rings), cross[1::2] - cross[::2]), self.corner[higher]
        floor, roof = higher[~corner], higher[corner]
        of_floor, of_roof = ring[~corner], ring[corner]
        floors, roofs = np.bincount(of_floor, minlength=rings), np.bincount(of_roof, minlength=rings)
        sizes = floors + roofs + 2
        offset = np.cumsum(sizes) - sizes
        points = np.zeros((int(sizes.sum()), 2))
        for column, ends, on_floor, on_roof in (
            (0, along, self.along, self.along),
            (1, height, self.low, self.high),
        ):
            points[offset, column], points[offset + 1 + floors, column] = ends[::2], ends[1::2]
            rank = np.arange(len(of_floor)) - (np.cumsum(floors) - floors)[of_floor]
            points[offset[of_floor] + 1 + rank, column] = on_floor[floor]
            rank = np.arange(len(of_roof)) - (np.cumsum(roofs) - roofs)[of_roof]
            points[(offset + sizes - 1)[of_roof] - rank, column] = on_roof[roof]
        return points, np.repeat(np.arange(rings), sizes), self.lane[cross[::2]]


def _hills(found: Heights, level: Floats, way: Floats) -> Geometries:
    """Return what lies between levels (b,) and the heights over them."""
    high = found.height > level[found.lane] + _LEAST
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

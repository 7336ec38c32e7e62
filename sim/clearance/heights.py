"""Outlines over a line, in many lanes at once: which of two is higher, and what lies between them.

Every cut of a path is put on the outlines below it point by point, so what one point costs counts: no more passes over
the arrays than there must be.
"""

from __future__ import annotations

from typing import Any, NamedTuple

import numpy as np

from sim.base.arrays import Flags, Floats, Ints

LEAST = 1e-11  # mm; what rises by no more than that does not rise


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


class Merged(NamedTuple):
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
        """Return layers between the two: corners (p, 2) of rings without their last, ring of each, lane of each ring.

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


def raised(ground: Heights, along: Floats, height: Floats) -> Merged:
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
    higher = over > LEAST
    # The ends of a lane stay where they are: what rises there does not add up with what its block takes.
    higher[places[begin]] = higher[places[end]] = False
    return Merged(merged(ground.lane, lane), merged(ground.along, at), low, high, corner, over, higher)


def _between(at: Floats, left: Ints, along: Floats, height: Floats) -> Floats:
    """Return heights on the lines from points of an outline, by their numbers, to the next."""
    one, from_ = along[left], height[left]
    wide = along[left + 1] - one
    share = (at - one) / np.where(wide > 0.0, wide, np.inf)
    found: Floats = from_ + share.clip(0.0, 1.0) * (height[left + 1] - from_)
    return found

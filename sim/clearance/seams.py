"""Pieces of a shape that reach over each other, put together at the seams between their cells without an overlay.

Of each piece the outline within its own cell is taken; where it leaves the cell it goes on in the piece beside. So what
that costs hangs on the corners once, where a union of many pieces goes through them once for each doubling of pieces.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
import shapely
from scipy.spatial import KDTree
from shapely.geometry.base import BaseGeometry

from sim.base.arrays import Flags, Floats, Geometries, Ints
from sim.clearance.cells import OVERLAP

# Borders of cells are coordinates of corners, so that outlines may run along them: the seams lie beside them, well
# within what both pieces reach over, at a share of it that no usual path has.
_ASIDE = 0.4142135 * OVERLAP  # mm
_AT_ONCE = 64  # pieces; all of a long path's would take as much memory again as its stretches
_SAME = (
    1e-7  # mm by which the places may differ in which an outline leaves a cell and comes into that beside it
)


class _Chains(NamedTuple):
    """The outlines of pieces within their cells: straight edges (n,), in the order of their rings.

    Attributes
    ----------
    starts, ends : (n, 2)
        mm.
    after : (n,)
        Number of the edge that goes on from each within the cell, -1 where it leaves the cell.
    comes_in : (n,)
        Whether none leads to it within the cell.
    """

    starts: Floats
    ends: Floats
    after: Ints
    comes_in: Flags


def stitched(pieces: Geometries, cells: Floats) -> BaseGeometry | None:
    """Return pieces in cells (n, 4; rho, z, rho, z) as one shape; None where that is not to be had without an overlay.

    Whether it is valid has not been looked at; corners are left where the outline crosses seams.

    Parameters
    ----------
    pieces : (n,) array of shapely geometries
        Areas; each is what of the shape lies in its cell and at least `OVERLAP` around it, mm.
    cells : (n, 4) array
        They have no area in common, and outside of all of them there is nothing of the shape; mm.
    """
    chains = _chains(pieces, _seamed(cells))
    out, into = np.flatnonzero(chains.after < 0), np.flatnonzero(chains.comes_in)
    if len(out) != len(into):
        return None
    after = chains.after
    if len(out):
        apart, nearest = KDTree(chains.starts[into]).query(chains.ends[out])
        if np.max(apart) > _SAME or len(np.unique(nearest)) < len(out):
            return None
        after[out] = into[nearest]
    return _of_rings(*_rings(chains.starts, after))


def _seamed(cells: Floats) -> Floats:
    """Return cells with their borders moved to the seams, and without borders where nothing is beyond."""
    found = cells + _ASIDE
    found[:, :2][cells[:, :2] == cells[:, :2].min(axis=0)] = -np.inf
    found[:, 2:][cells[:, 2:] == cells[:, 2:].max(axis=0)] = np.inf
    return found


def _chains(pieces: Geometries, cells: Floats) -> _Chains:
    """Return of the outlines of pieces what lies in their cells; few of the pieces are looked at together."""
    runs = np.split(np.arange(len(pieces)), range(_AT_ONCE, len(pieces), _AT_ONCE))
    found = [_within(pieces[run], cells[run]) for run in runs]
    first = np.cumsum([0, *(len(one.after) for one in found[:-1])]).tolist()
    after = [np.where(one.after < 0, -1, one.after + k) for one, k in zip(found, first, strict=True)]
    return _Chains(
        np.concatenate([one.starts for one in found]),
        np.concatenate([one.ends for one in found]),
        np.concatenate(after),
        np.concatenate([one.comes_in for one in found]),
    )


def _within(pieces: Geometries, cells: Floats) -> _Chains:
    """Return of the outline of each piece what lies in its cell, metal to the left."""
    polygons, piece = shapely.get_parts(pieces, return_index=True)
    rings, of = shapely.get_rings(shapely.orient_polygons(polygons), return_index=True)
    points, ring = shapely.get_coordinates(rings, return_index=True)
    edge = np.flatnonzero(ring[1:] == ring[:-1])
    starts, ends, ring = points[edge], points[edge + 1], ring[edge]
    cell = cells[piece[of[ring]]]
    along = ends - starts
    with np.errstate(divide="ignore", invalid="ignore"):
        low, high = (cell[:, :2] - starts) / along, (cell[:, 2:] - starts) / along
    level = along == 0.0
    beside = (level & ((starts < cell[:, :2]) | (starts >= cell[:, 2:]))).any(axis=1)
    first, last = (
        np.where(level, -np.inf, np.minimum(low, high)),
        np.where(level, np.inf, np.maximum(low, high)),
    )
    begin, end = first.max(axis=1).clip(0.0), last.min(axis=1).clip(None, 1.0)
    inside = (end > begin) & ~beside
    # The next edge of the same ring; of the last of a ring that is the first.
    count = np.bincount(ring, minlength=len(rings))
    offset = np.cumsum(count) - count
    behind = offset[ring] + (np.arange(len(ring)) + 1 - offset[ring]) % count[ring]
    goes_on = inside & inside[behind] & (end == 1.0)
    led_to = np.zeros(len(ring), dtype=bool)
    led_to[behind[goes_on]] = True
    place = np.cumsum(inside) - 1
    after = np.where(goes_on, place[behind], -1)[inside]
    begin, end = begin[inside, None], end[inside, None]
    starts, ends, along = starts[inside], ends[inside], along[inside]
    return _Chains(
        np.where(begin > 0.0, starts + begin * along, starts),
        np.where(end < 1.0, starts + end * along, ends),
        after,
        ~led_to[inside],
    )


def _rings(starts: Floats, after: Ints) -> tuple[Floats, Ints]:
    """Return the corners of the rings that edges make, in order, and the ring of each."""
    order, ring = [], []
    onward, number = after.tolist(), 0
    for first in range(len(onward)):
        one = first
        while onward[one] >= 0:
            order.append(one)
            ring.append(number)
            onward[one], one = -1, onward[one]
        if one == first and order and ring[-1] == number:
            number += 1
    return starts[order], np.array(ring, dtype=np.int64)


def _of_rings(points: Floats, ring: Ints) -> BaseGeometry | None:
    """Return the areas to the left of rings; None where a ring cannot be, or a hole has nothing around it."""
    if not len(ring) or np.bincount(ring).min() < 3:
        return None
    rings = np.asarray(shapely.linearrings(points, indices=ring), dtype=object)
    outer = shapely.is_ccw(rings)
    shells, holes = np.asarray(shapely.polygons(rings[outer]), dtype=object), rings[~outer]
    if not len(shells):
        return None
    inner = np.zeros(0, dtype=np.int64), np.zeros(0, dtype=np.int64)
    if len(holes):
        hole, shell = shapely.STRtree(shells).query(holes, predicate="covered_by")
        order = np.lexsort((shapely.area(shells[shell]), hole))
        _, first = np.unique(hole[order], return_index=True)
        inner = hole[order][first], shell[order][first]
        if len(first) < len(holes):
            return None
    found = [
        shapely.Polygon(rings[outer][number], list(holes[inner[0][inner[1] == number]]))
        for number in range(len(shells))
    ]
    return found[0] if len(found) == 1 else shapely.MultiPolygon(found)

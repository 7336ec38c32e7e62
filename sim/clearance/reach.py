"""How far shapes reach, square to a direction each, within any of some pieces: without an overlay for each pair.

What two polygons have in common ends at a corner of one that lies in the other, or where their outlines cross.
"""

from __future__ import annotations

import numpy as np
import shapely

from sim.base.arrays import Floats, Geometries, Ints
from sim.clearance.obstacle import outline_segments


def reach_within(shapes: Geometries, heading: Floats, pieces: Geometries) -> tuple[Floats, Floats]:
    """Return where that of shapes which lies within any of some pieces begins and ends square to directions.

    Parameters
    ----------
    shapes : (n,) array of shapely geometries
        Polygons, none of them empty, mm.
    heading : (n, 2) array
        Unit directions.
    pieces : (m,) array of shapely polygons
        They may overlap.

    Returns
    -------
    least, most : (n,)
        mm; inf and -inf where nothing of a shape lies within a piece.
    """
    if not len(pieces):
        return np.full(len(shapes), np.inf), np.full(len(shapes), -np.inf)
    trees = shapely.STRtree(pieces), shapely.STRtree(outline_segments(list(pieces))[0])
    return _least(shapes, heading, trees), -_least(shapes, -heading, trees)


def _least(shapes: Geometries, heading: Floats, trees: tuple[shapely.STRtree, shapely.STRtree]) -> Floats:
    """Return where that of shapes which lies within the pieces of a tree, with one of their edges, begins."""
    solids, edges = trees
    found, open_ones = _of_corners(shapes, heading, solids)
    if not len(open_ones):
        return found
    segments, owner = outline_segments(list(shapes[open_ones]))
    owner = open_ones[owner]
    ends = shapely.get_coordinates(segments).reshape(-1, 2, 2)
    before = _across(ends, heading[owner][:, None]).min(axis=1) < found[owner]
    segments, owner, ends = segments[before], owner[before], ends[before]
    one, other = edges.query(segments, predicate="intersects")
    met = shapely.get_coordinates(edges.geometries[other]).reshape(-1, 2, 2)
    np.minimum.at(found, owner[one], _crossing(ends[one], met, heading[owner[one]]))
    # Of what lies before that, the edges that reach there are the outline: corners of pieces in it lie between them.
    low, high = np.full((len(shapes), 2), np.inf), np.full((len(shapes), 2), -np.inf)
    np.minimum.at(low, owner, ends.min(axis=1))
    np.maximum.at(high, owner, ends.max(axis=1))
    some = np.unique(owner)
    corners = np.unique(shapely.get_coordinates(edges.geometries), axis=0)
    tree = shapely.STRtree(np.asarray(shapely.points(corners), dtype=object))
    box, corner = tree.query(shapely.box(*low[some].T, *high[some].T))
    which, at = some[box], corners[corner]
    across = _across(at, heading[which])
    ahead = np.flatnonzero(across < found[which])
    ahead = ahead[shapely.intersects_xy(shapes[which[ahead]], at[ahead])]
    np.minimum.at(found, which[ahead], across[ahead])
    return found


def _of_corners(shapes: Geometries, heading: Floats, solids: shapely.STRtree) -> tuple[Floats, Ints]:
    """Return the least of the corners of each shape that lie in a piece, and which shapes have one before it."""
    corners, owner = shapely.get_coordinates(shapes, return_index=True)
    across = _across(corners, heading[owner])
    order = np.lexsort((across, owner))
    first = np.searchsorted(owner, np.arange(len(shapes)))
    rank = np.arange(len(corners)) - first[owner]
    found = np.full(len(shapes), np.inf)
    looked, most = 0, 1
    while looked <= rank.max(initial=-1):
        # Most have one of their first corners in a piece: ever more are looked at only where none was yet.
        now = order[(rank >= looked) & (rank < looked + most) & np.isinf(found[owner])]
        inside = now[np.unique(solids.query(shapely.points(corners[now]), predicate="intersects")[0])]
        np.minimum.at(found, owner[inside], across[inside])
        looked, most = looked + most, 2 * most
    return found, np.flatnonzero(found > across[order[first]])


def _crossing(ones: Floats, others: Floats, heading: Floats) -> Floats:
    """Return where segments (n, 2, 2) that meet others have their first common point square to a heading, mm."""
    along, across = ones[:, 1] - ones[:, 0], others[:, 1] - others[:, 0]
    between = others - ones[:, :1]
    square = along[:, 0] * across[:, 1] - along[:, 1] * across[:, 0]
    parallel = square == 0.0
    share = between[:, 0, 0] * across[:, 1] - between[:, 0, 1] * across[:, 0]
    share = share / np.where(parallel, 1.0, square)
    length = (along**2).sum(axis=1)
    shares = np.where(
        parallel[:, None],
        (between * along[:, None]).sum(axis=2) / np.where(length > 0.0, length, 1.0)[:, None],
        share[:, None],
    ).clip(0.0, 1.0)
    points = ones[:, :1] + shares[:, :, None] * along[:, None]
    least: Floats = _across(points, heading[:, None]).min(axis=1)
    return least


def _across(points: Floats, heading: Floats) -> Floats:
    """Return how far (mm) points (..., 2) lie square to headings (..., 2)."""
    across: Floats = points[..., 0] * heading[..., 1] - points[..., 1] * heading[..., 0]
    return across

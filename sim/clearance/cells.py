"""Shapes of many corners in cells of few, so that what meets a small part of one looks at no more than that.

A cell's piece reaches a little over its borders. So whatever is thicker than the tolerance of touches somewhere is so
within one of the pieces: no seam needs mending before that is asked.
"""

from __future__ import annotations

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from sim.base.arrays import Flags, Floats, Geometries
from sim.clearance.shapes import polygons, region

STRAIGHT = 1e-9  # mm; corners that stand out less are none
MOST = 256  # corners of a piece; a shape with no more is one
OVERLAP = 0.013  # mm; a mitred outline that is moved in looks at most five times half the tolerance around
_OUTWARD = np.array([-1.0, -1.0, 1.0, 1.0])
_LOST = 1e-7  # mm2; more may not be missing
_WORTH = 0.65  # share of the corners; a half that keeps more has too many of them around its border


def halved(shape: BaseGeometry, cell: Floats) -> list[tuple[BaseGeometry, Floats]]:
    """Return the two halves of a cell by corners, each with what of the shape lies in it and a little around.

    Parameters
    ----------
    shape : BaseGeometry
        Areas only, mm.
    cell : (4,) array
        Least and greatest rho and z as rho, z, rho, z; mm.

    Returns
    -------
    list of (BaseGeometry, (4,) array)
        The cell as it is where no border leaves each half clearly fewer corners.
    """
    corners = shapely.get_coordinates(shape)
    low, border, high = np.sort(corners, axis=0)[
        [len(corners) // 4, len(corners) // 2, 3 * len(corners) // 4]
    ]
    # Corners of a comb lie at two radii: the axis that leaves each half the fewest, then that of the wider spread.
    larger = np.maximum((corners <= border + OVERLAP).sum(axis=0), (corners >= border - OVERLAP).sum(axis=0))
    for axis in np.lexsort((low - high, larger)).tolist():
        if larger[axis] > _WORTH * len(corners):
            break
        low_part, high_part = cell.copy(), cell.copy()
        low_part[2 + axis] = high_part[axis] = border[axis]
        pieces = _cut_at(shape, low_part, high_part)
        if max(map(shapely.get_num_coordinates, pieces)) <= _WORTH * len(corners):
            return list(zip(pieces, (low_part, high_part), strict=True))
    return [(shape, cell)]


def _cut_at(shape: BaseGeometry, *halves: Floats) -> tuple[BaseGeometry, BaseGeometry]:
    """Return what of a shape lies in each half of its cell and a little around, mm.

    To clip it takes a twentieth of an overlay, but promises nothing: so what it gives must be valid, and the areas add
    up with that of the strip which both reach over.
    """
    one, other = (half + OVERLAP * _OUTWARD for half in halves)
    strip = np.r_[np.maximum(one[:2], other[:2]), np.minimum(one[2:], other[2:])]
    pieces = [shapely.clip_by_rect(shape, *box) for box in (one, other, strip)]
    area = shapely.area(pieces)
    if not shapely.is_valid(pieces[:2]).all() or abs(area[0] + area[1] - area[2] - shape.area) > _LOST:
        pieces = [shapely.intersection(shape, shapely.box(*box)) for box in (one, other)]
    return region(pieces[0]), region(pieces[1])


def in_cells(shape: BaseGeometry, cell: Floats) -> list[tuple[BaseGeometry, Floats]]:
    """Return a shape in pieces of at most `MOST` corners where that can be had, with the cell of each."""
    done: list[tuple[BaseGeometry, Floats]] = []
    left = [(shape, cell)]
    while left:
        piece, around = left.pop()
        parts = halved(piece, around) if shapely.get_num_coordinates(piece) > MOST else [(piece, around)]
        (done if len(parts) == 1 else left).extend(parts)
    return done


def pieces_of(shapes: Geometries) -> Geometries:
    """Return the polygons of shapes, those of many corners in cells; empty ones are left out."""
    parts = shapely.get_parts(shapes)
    parts = parts[(shapely.get_type_id(parts) == 3) & ~shapely.is_empty(parts)]
    many = shapely.get_num_coordinates(parts) > MOST
    cut = [piece for one in parts[many] for piece, _ in in_cells(one, shapely.bounds(one))]
    return np.concatenate([parts[~many], np.array(cut, dtype=object)])


def straightened(shape: BaseGeometry) -> BaseGeometry:
    """Return a shape without corners that stand out less than `STRAIGHT`.

    The search of Douglas and Peucker asks all corners between two each time, so of a shape of many corners only
    those go that lie beside the line of their neighbours.
    """
    found: BaseGeometry
    if shapely.get_num_coordinates(shape) <= MOST:
        found = shapely.simplify(shape, STRAIGHT)
        return found
    found = without_straight_corners(shape)
    return found if shapely.is_valid(found) else shape


def without_straight_corners(shape: BaseGeometry) -> BaseGeometry:
    """Return the same; it may cross itself where that needed the corners."""
    parts = [
        shapely.Polygon(
            _corners(shapely.get_coordinates(part.exterior)),
            [_corners(shapely.get_coordinates(hole)) for hole in part.interiors],
        )
        for part in polygons(shape)
    ]
    return parts[0] if len(parts) == 1 else shapely.MultiPolygon(parts)


def _corners(ring: Floats) -> Floats:
    """Return a closed ring (n, 2) without the corners that lie on the line from the last to the next that does not."""
    points = ring[:-1]
    straight = _beside(points, np.roll(points, 1, axis=0), np.roll(points, -1, axis=0))
    kept = np.flatnonzero(~straight)
    if len(kept) < 3:
        return ring
    after = np.searchsorted(kept, np.arange(len(points)), side="right") % len(kept)
    drop = straight & _beside(points, points[kept[after - 1]], points[kept[after]])
    # All of a stretch go, or none: what is left is then as near to the new line as what has gone.
    stays = np.bincount(after[straight & ~drop], minlength=len(kept)) > 0
    points = points[~drop | stays[after]]
    return points if len(points) >= 3 else ring


def _beside(points: Floats, before: Floats, behind: Floats) -> Flags:
    """Tell which points lie on the lines between others, (n, 2) each, to `STRAIGHT`."""
    along, off = behind - before, points - before
    length = np.hypot(along[:, 0], along[:, 1])
    across = np.abs(along[:, 0] * off[:, 1] - along[:, 1] * off[:, 0])
    ahead = (along * off).sum(axis=1)
    between: Flags = (across <= STRAIGHT * length) & (ahead >= 0.0) & (ahead <= length**2)
    return between

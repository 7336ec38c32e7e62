"""Shapes of the half-plane: what of an overlay has an area, where shapes lie, how deep one reaches into another."""

from __future__ import annotations

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from sim.base.arrays import Floats, Geometries

EMPTY = shapely.Polygon()
_STRAIGHT = 1e-9  # mm; corners that stand out less are none


def areal(shapes: Geometries) -> Geometries:
    """Return the shapes without the points and lines that overlays leave where regions merely touch."""
    shapes = np.atleast_1d(np.asarray(shapes, dtype=object)).copy()
    kind = shapely.get_type_id(shapes)
    mixed = np.flatnonzero((kind != 3) & (kind != 6))
    if not len(mixed):
        return shapes
    parts, owner = shapely.get_parts(shapes[mixed], return_index=True)
    solid = shapely.get_type_id(parts) == 3
    parts, owner = parts[solid], owner[solid]
    count = np.bincount(owner, minlength=len(mixed))
    shapes[mixed] = EMPTY
    alone = count[owner] == 1
    shapes[mixed[owner[alone]]] = parts[alone]
    for index in np.flatnonzero(count > 1):
        shapes[mixed[index]] = shapely.union_all(parts[owner == index])
    return shapes


def copied(shapes: Geometries) -> Geometries:
    """Return the same shapes, which share nothing with the others: two at once are not to ask one that is prepared."""
    return np.asarray(shapely.force_2d(shapes), dtype=object)


def region(shape: BaseGeometry) -> BaseGeometry:
    """Return one shape without the points and lines that overlays leave."""
    solid: BaseGeometry = areal(np.array([shape], dtype=object))[0]
    return solid


def polygons(shape: BaseGeometry) -> list[shapely.Polygon]:
    """Return the polygons of a shape; none if it is empty."""
    return [
        part for part in shapely.get_parts(shape) if isinstance(part, shapely.Polygon) and not part.is_empty
    ]


def bounds(shape: BaseGeometry) -> tuple[float, float, float, float]:
    """Return least rho, least z, greatest rho, greatest z of a shape, mm."""
    low, bottom, high, top = shapely.bounds(shape).tolist()
    return low, bottom, high, top


def extent(shapes: Geometries) -> Floats:
    """Return the (width along rho, height along z) of shapes in mm, (n, 2); 0 for empty ones."""
    bounds = np.nan_to_num(shapely.bounds(shapes))
    return bounds[:, 2:] - bounds[:, :2]


def depth_inside(region: BaseGeometry, solid: BaseGeometry, spacing: float = 0.25) -> float:
    """Return how deep (mm) a region of a solid reaches below the solid's surface.

    The greatest distance of points on the region's outline, `spacing` mm apart, and of the middle of its
    greatest inscribed circle from the surface.
    """
    return 0.0 if region.is_empty else depth_below(region, shapely.boundary(solid), spacing)


def depth_below(region: BaseGeometry, surface: BaseGeometry, spacing: float = 0.25) -> float:
    """Return how far (mm) a region that has an area reaches from a surface, see `depth_inside`."""
    # Points on its edges as they look: corners on straight walls, where short steps met, move none of them.
    plain = shapely.simplify(shapely.normalize(region), _STRAIGHT)
    outline = shapely.segmentize(shapely.boundary(plain), spacing)
    points = shapely.points(shapely.get_coordinates(outline))
    depth = float(shapely.distance(points, surface).max())
    largest = max(shapely.get_parts(region), key=shapely.area)
    middle = shapely.get_point(shapely.maximum_inscribed_circle(largest, tolerance=0.05), 0)
    return max(depth, float(shapely.distance(middle, surface)))

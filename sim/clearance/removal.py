"""Material removed by a sequence of cuts, each from what the earlier ones have left.

A cut takes what lies in its region and in none of the earlier regions. To find it for every one of n cuts,
the regions are joined pairwise in a binary tree, and the stock is handed down the tree: the left half of a
node gets the node's stock, the right half what the left half leaves, both trimmed to what they can reach.
The pieces shrink on the way down, so the cost grows with n log n of small polygons and not with n times the
whole stock.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

Geometries = NDArray[np.object_]
BLOCK_LEVEL = 6  # snapshots of the stock are kept every 2**6 cuts
EMPTY = shapely.Polygon()


@dataclass(frozen=True, slots=True, eq=False)
class Removal:
    """What n cuts remove.

    Attributes
    ----------
    removed : (n,) array of shapely geometries
        Taken by each cut, empty where it cuts air.
    snapshots : (n / block + 1,) array of shapely geometries
        The stock before each block of cuts; the last is what is left.
    block : int
        Cuts per block.
    """

    removed: Geometries
    snapshots: Geometries
    block: int

    @property
    def left(self) -> BaseGeometry:
        """What is left of the stock in the end."""
        left: BaseGeometry = self.snapshots[-1]
        return left


def removal(cuts: Geometries, stock: BaseGeometry) -> Removal:
    """Return what each of n cuts (polygons, in order) removes from the stock."""
    levels = [_padded(cuts)]
    while len(levels[-1]) > 1:
        pairs = levels[-1].reshape(-1, 2)
        levels.append(areal(shapely.union(pairs[:, 0], pairs[:, 1])))
    left = np.array([areal(shapely.intersection(stock, levels[-1]))[0]], dtype=object)
    for level in reversed(levels[:-1]):
        first, second = level[0::2], level[1::2]
        earlier = areal(shapely.intersection(left, first))
        later = areal(shapely.intersection(areal(shapely.difference(left, first)), second))
        left = np.stack([earlier, later], axis=1).reshape(-1)
    depth = min(BLOCK_LEVEL, len(levels) - 1)
    blocks = -(-len(cuts) // 2**depth)
    snapshots = [stock]
    for cut in levels[depth][:blocks]:
        before = snapshots[-1]
        snapshots.append(region(shapely.difference(before, cut)))
    kept = np.full(len(snapshots), None, dtype=object)
    kept[:] = snapshots
    return Removal(left[: len(cuts)], kept, 2**depth)


def areal(shapes: Geometries) -> Geometries:
    """Return the shapes without the points and lines that overlays leave where regions merely touch."""
    shapes = np.atleast_1d(np.asarray(shapes, dtype=object)).copy()
    kind = shapely.get_type_id(shapes)
    for index in np.flatnonzero((kind != 3) & (kind != 6)):
        parts = shapely.get_parts(shapes[index])
        solid = parts[shapely.get_type_id(parts) == 3]
        shapes[index] = shapely.union_all(solid) if len(solid) else EMPTY
    return shapes


def _padded(cuts: Geometries) -> Geometries:
    size = 1 << max(0, len(cuts) - 1).bit_length()
    padded = np.full(size, EMPTY, dtype=object)
    padded[: len(cuts)] = cuts
    return padded


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


def extent(shapes: Geometries) -> NDArray[np.float64]:
    """Return the (width along rho, height along z) of shapes in mm, (n, 2); 0 for empty ones."""
    bounds = np.nan_to_num(shapely.bounds(shapes))
    return bounds[:, 2:] - bounds[:, :2]


def width_across(shapes: Geometries, direction: NDArray[np.float64]) -> NDArray[np.float64]:
    """Return the width (mm) of shapes square to unit directions (n, 2); 0 for empty ones."""
    coordinates, owner = shapely.get_coordinates(shapes, return_index=True)
    across = coordinates[:, 0] * direction[owner, 1] - coordinates[:, 1] * direction[owner, 0]
    low, high = np.full(len(shapes), np.inf), np.full(len(shapes), -np.inf)
    np.minimum.at(low, owner, across)
    np.maximum.at(high, owner, across)
    return np.where(high >= low, high - low, 0.0)


def depth_inside(region: BaseGeometry, solid: BaseGeometry, spacing: float = 0.25) -> float:
    """Return how deep (mm) a region of a solid reaches below the solid's surface.

    The greatest distance of points on the region's outline, `spacing` mm apart, and of the middle of its
    greatest inscribed circle from the surface.
    """
    if region.is_empty:
        return 0.0
    surface = shapely.boundary(solid)
    outline = shapely.segmentize(shapely.boundary(region), spacing)
    points = shapely.points(shapely.get_coordinates(outline))
    depth = float(shapely.distance(points, surface).max())
    largest = max(shapely.get_parts(region), key=shapely.area)
    middle = shapely.get_point(shapely.maximum_inscribed_circle(largest, tolerance=0.05), 0)
    return max(depth, float(shapely.distance(middle, surface)))

"""Material removed by a sequence of cuts, each from what the earlier ones have left.

The cuts are taken in blocks. The stock before each block follows from the union of the cuts of the block
before; within a block only the part of it that the block reaches is carried from cut to cut, for all blocks
side by side. The shapes stay small, so the cost grows with the number of cuts and not with their number
times the whole stock.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from sim.base.arrays import Floats, Geometries
from sim.base.threads import each, shares
from sim.clearance.union import parted, united

BLOCK = 32  # cuts
_STRAIGHT = 1e-9  # mm; corners that stand out less are none
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


def removal(cuts: Geometries, stock: BaseGeometry, covers: Geometries | None = None) -> Removal:
    """Return what each of n cuts (polygons, in order) removes from the stock.

    Parameters
    ----------
    cuts : (n,) array
        Polygons, in order.
    stock : BaseGeometry
    covers : (n,) array, optional
        Fewer polygons (the others empty) which have the same union as the cuts within each `BLOCK` of them.
    """
    blocks = -(-len(cuts) // BLOCK)
    if not blocks:
        return Removal(np.zeros(0, dtype=object), np.full(1, stock, dtype=object), BLOCK)
    grid = _in_blocks(cuts, blocks)
    cover = grid if covers is None else _in_blocks(covers, blocks)
    runs = shares(blocks)
    unions = np.concatenate(each(lambda run: united(cover[run]), runs))
    snapshots = np.full(blocks + 1, stock, dtype=object)
    reached = np.full(blocks, EMPTY, dtype=object)
    for number in range(blocks):
        within, less = parted(snapshots[number : number + 1], unions[number : number + 1])
        reached[number] = within[0]
        # Short steps leave corners on straight walls; without them the outline stays as short as it looks.
        snapshots[number + 1] = region(shapely.simplify(less[0], _STRAIGHT))
    removed = np.full(grid.shape, EMPTY, dtype=object)
    each(lambda run: _cut_in_blocks(grid[run], areal(reached[run]), removed[run[0] : run[-1] + 1]), runs)
    return Removal(removed.reshape(-1)[: len(cuts)], snapshots, BLOCK)


def _in_blocks(shapes: Geometries, blocks: int) -> Geometries:
    """Return shapes as a grid with a row for each block, filled up with nothing."""
    padded = np.full(blocks * BLOCK, EMPTY, dtype=object)
    padded[: len(shapes)] = shapes
    return padded.reshape(blocks, BLOCK)


def _cut_in_blocks(cuts: Geometries, left: Geometries, removed: Geometries) -> None:
    """Fill in what the cuts (b, n) of b blocks remove, of the stock `left` (b,) that each block reaches."""
    for column in range(cuts.shape[1]):
        hit = np.flatnonzero(shapely.intersects(left, cuts[:, column]))
        taken, rest = parted(left[hit], cuts[hit, column])
        removed[hit, column], left[hit] = areal(taken), areal(rest)


def areal(shapes: Geometries) -> Geometries:
    """Return the shapes without the points and lines that overlays leave where regions merely touch."""
    shapes = np.atleast_1d(np.asarray(shapes, dtype=object)).copy()
    kind = shapely.get_type_id(shapes)
    for index in np.flatnonzero((kind != 3) & (kind != 6)):
        parts = shapely.get_parts(shapes[index])
        solid = parts[shapely.get_type_id(parts) == 3]
        shapes[index] = shapely.union_all(solid) if len(solid) else EMPTY
    return shapes


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
    if region.is_empty:
        return 0.0
    surface = shapely.boundary(solid)
    outline = shapely.segmentize(shapely.boundary(region), spacing)
    points = shapely.points(shapely.get_coordinates(outline))
    depth = float(shapely.distance(points, surface).max())
    largest = max(shapely.get_parts(region), key=shapely.area)
    middle = shapely.get_point(shapely.maximum_inscribed_circle(largest, tolerance=0.05), 0)
    return max(depth, float(shapely.distance(middle, surface)))

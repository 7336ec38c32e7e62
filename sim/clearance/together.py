"""Which images touch several shapes together, though perhaps none of them alone."""

from __future__ import annotations

import numpy as np
import shapely

from sim.base.arrays import Flags, Geometries, Ints
from sim.clearance.shapes import EMPTY, areal
from sim.clearance.touch import TOUCH, is_thick
from sim.clearance.union import united

_WITHIN = (
    0.49 * TOUCH
)  # mm; the middle of a disc that is as wide as the tolerance lies as deep in what holds it
_LEAST = 0.25 * TOUCH**2  # mm2; in so little lies no disc that is as wide as the tolerance


def touch_together(images: Geometries, of: Ints, shapes: Geometries) -> Flags:
    """Tell which images overlap what some shapes are together by more than the tolerance.

    A tool that moves off along what it has just cut meets the rest of the stock in nothing but edges. So of each image
    only what it has in common with the shapes is put together, and only where that has an area worth the name: the
    shapes themselves may have many corners.

    Parameters
    ----------
    images : (n,) array of shapely geometries
    of : (m,)
        Which image is held against each shape.
    shapes : (m,) array of shapely geometries
        They may reach over each other.
    """
    common = areal(shapely.intersection(images[of], shapes))
    area = shapely.area(common)
    # All together have no more area than the sum.
    enough = np.bincount(of, area, len(images)) >= _LEAST
    some = np.flatnonzero(enough[of] & (area > 0.0))
    found = np.zeros(len(images), dtype=bool)
    if len(some):
        some = some[np.argsort(of[some], kind="stable")]
        which, row, count = np.unique(of[some], return_inverse=True, return_counts=True)
        grid = np.full((len(which), count.max()), EMPTY, dtype=object)
        grid[row, np.arange(len(some)) - (np.cumsum(count) - count)[row]] = common[some]
        found[which] = is_thick(united(grid))
    return found


def may_touch(images: Geometries, of: Ints, shapes: Geometries) -> Flags:
    """Tell which images may overlap what some shapes are together by more than the tolerance, without an overlay.

    Where they do, the middle of a disc as wide as that lies in one of the shapes and as deep as half of it in the
    image. Of a tool that moves along what it has just cut nothing lies so deep in metal. Parameters as above.
    """
    cores = np.asarray(shapely.buffer(images, -_WITHIN), dtype=object)
    shapely.prepare(cores)
    found = np.zeros(len(images), dtype=bool)
    found[of[np.asarray(shapely.intersects(cores[of], shapes), dtype=bool)]] = True
    return found

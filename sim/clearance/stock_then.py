"""The stock as one step finds it, put together only where somebody looks.

A path may meet the stock in every step. Put together whole for each of them, the stock would cost its corners times the
steps.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import ArrayLike
from shapely.geometry.base import BaseGeometry

from sim.base.arrays import Floats, Geometries
from sim.clearance.shapes import EMPTY, region
from sim.clearance.union import united

CRACK = 1e-5  # mm to each side of a crack; an overlay rounds far less


@dataclass(frozen=True, slots=True, eq=False)
class StockThen:
    """The stock that a step finds.

    Attributes
    ----------
    left : (t,) array of shapely geometries
        Pieces that it leaves, which reach over each other, see `sim.clearance.tiles`; mm.
    later : (m,) array of shapely geometries
        What steps after it are still going to take.
    """

    left: Geometries
    later: Geometries

    def within(self, box: ArrayLike) -> BaseGeometry:
        """Return what of the stock meets a rectangle (rho, z, rho, z; mm), whole pieces of it."""
        some: list[BaseGeometry] = [
            one for one in (*_meeting(self.left, box), *_meeting(self.later, box)) if not one.is_empty
        ]
        if not some:
            return EMPTY
        return (
            some[0]
            if len(some) == 1
            else _closed(united(np.array([*some, None], dtype=object)[None, :-1])[0])
        )

    def bounds(self) -> Floats:
        """Return the rectangle round all of it, mm."""
        found: Floats = shapely.total_bounds(np.concatenate([self.left, self.later]))
        return found


def near(solid: BaseGeometry | StockThen, box: ArrayLike) -> BaseGeometry:
    """Return what of a solid meets a rectangle (rho, z, rho, z; mm) and perhaps more of it."""
    return solid.within(box) if isinstance(solid, StockThen) else solid


def with_surface(solid: BaseGeometry | StockThen, box: Floats) -> tuple[BaseGeometry, BaseGeometry, bool]:
    """Return a solid and its surface within a rectangle (rho, z, rho, z; mm), and whether that is all of it."""
    if not isinstance(solid, StockThen):
        return solid, shapely.boundary(solid), True
    found, whole = solid.within(box), solid.bounds()
    return *surface_within(found, box), bool((box[:2] < whole[:2]).all() and (box[2:] > whole[2:]).all())


def surface_within(solid: BaseGeometry, box: Floats) -> tuple[BaseGeometry, BaseGeometry]:
    """Return a solid and that of its surface which lies in a rectangle (rho, z, rho, z; mm)."""
    edge: BaseGeometry = shapely.clip_by_rect(shapely.boundary(solid), *box.tolist())
    return solid, edge


def _closed(shape: BaseGeometry) -> BaseGeometry:
    """Return a shape without the cracks along which it was cut apart: their sides would count as its surface."""
    with np.errstate(
        divide="ignore", invalid="ignore"
    ):  # GEOS divides by zero on its way round a mitre of no angle
        wider = shapely.buffer(shape, CRACK, join_style="mitre")
        return region(shapely.buffer(wider, -CRACK, join_style="mitre"))


def _meeting(shapes: Geometries, box: ArrayLike) -> Geometries:
    low, bottom, high, top = np.asarray(box, dtype=np.float64).tolist()
    boxes = shapely.bounds(shapes).reshape(-1, 4)
    meets = (boxes <= (high, top, np.inf, np.inf)) & (boxes >= (-np.inf, -np.inf, low, bottom))
    found: Geometries = shapes[meets.all(axis=1)]
    return found

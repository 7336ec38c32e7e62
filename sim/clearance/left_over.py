"""How thick the layer is that a path leaves on a face, told apart from what a nose radius leaves in a corner."""

from __future__ import annotations

import math

import shapely
from shapely.geometry.base import BaseGeometry

from sim.clearance.shapes import polygons
from sim.clearance.touch import TOUCH

# What a nose of the largest usual radius (1.6 mm) leaves in a square corner is no longer along either face; what is
# longer lies on a face (common practice, no source).
CORNER = 3.0  # mm
_FINE = 1e-4  # mm, of the thickness


def face_layer(leftover: BaseGeometry, most: float) -> float:
    """Return the thickness (mm) that a leftover has over a length of more than `CORNER`; 0 where it has none.

    Parameters
    ----------
    leftover : BaseGeometry
        What a path leaves beyond the wanted shape, (rho, z) in mm.
    most : float
        Thickness beyond which it is not looked for, mm.
    """
    long = [one for one in polygons(leftover) if _length(one) > CORNER]
    if not long or not most > TOUCH:
        return 0.0
    low, high = 0.0, most
    while high - low > _FINE:
        middle = 0.5 * (low + high)
        if any(_is_as_thick(one, middle) for one in long):
            low = middle
        else:
            high = middle
    return high if high > TOUCH else 0.0


def _is_as_thick(piece: shapely.Polygon, thickness: float) -> bool:
    """Tell whether a disc of this diameter passes along a piece over more than a corner's length."""
    cores = polygons(shapely.buffer(piece, -0.5 * thickness))
    return any(_length(core) + thickness > CORNER for core in cores)


def _length(piece: shapely.Polygon) -> float:
    """Return the longest extent of a piece along either axis or across, mm."""
    low, bottom, high, top = piece.bounds
    return math.hypot(high - low, top - bottom)

"""Hatching cut once into lines, so that every format shows the same (45 deg, narrow: common practice, no source)."""

from __future__ import annotations

import math

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from sim.drawing.pens import HATCH
from sim.drawing.primitives import Group, Line

SHORTEST = 0.05  # mm of a line that is drawn
RISE = {"up": math.radians(45.0), "down": math.radians(135.0)}


def hatching(name: str, region: BaseGeometry, rise: str, spacing: float) -> Group:
    """Return the lines at 45 deg that fill a region.

    Parameters
    ----------
    name : str
        Of the body that is cut.
    region : BaseGeometry
        On the paper, mm; where words stand it has a hole.
    rise : {'up', 'down'}
        To the right; bodies that touch differ in it or in the spacing.
    spacing : float
        Of the lines, mm.
    """
    if region.is_empty:
        return Group("hatching", name, ())
    angle = RISE[rise]
    along, across = (
        np.array([math.cos(angle), math.sin(angle)]),
        np.array([-math.sin(angle), math.cos(angle)]),
    )
    corners = shapely.get_coordinates(region)
    offs, reach = corners @ across, corners @ along
    # Counted from the sheet's corner, so that pieces of one body are hatched as one.
    steps = np.arange(math.floor(offs.min() / spacing) + 1, math.floor(offs.max() / spacing) + 1) * spacing
    lines = [
        shapely.LineString(
            [off * across + (reach.min() - 1.0) * along, off * across + (reach.max() + 1.0) * along]
        )
        for off in steps
    ]
    found = []
    for piece in shapely.get_parts(shapely.intersection(lines, region)) if lines else ():
        if piece.geom_type == "LineString" and piece.length > SHORTEST:
            (x0, y0), (x1, y1) = shapely.get_coordinates(piece).tolist()
            found.append(Line((x0, y0), (x1, y1), HATCH))
    return Group("hatching", name, tuple(found))

"""What carries a tool where its stated shape ends: nobody states it, but no tool ends in the air.

A bar with a short reach, a holder with a short shank would else pass wherever the rest of the tool stands in the work.
So a bar is taken to be held by a sleeve of twice its diameter behind its reach (common practice, no source), a shank or
a plate to go on as wide and as thick as it ends. Both are the least that is there; a stated turret takes their place.
"""

from __future__ import annotations

import numpy as np
import shapely

from meshes.boring_bar import BoringBar
from meshes.tool_holder import ToolHolder, section_polygon
from sim.clearance.tool_outlines import Outline

CARRIER = "what carries the tool"
GOES_ON = 100.0  # mm behind the end of what is stated
SLEEVE = 2.0  # times the bar's diameter (common practice, no source)
_END = 0.1  # share of a plate's length, from its far end, that tells how wide it ends


def carrier_outline(carrier: BoringBar | ToolHolder) -> Outline:
    """Return what stands behind a bar's reach or a holder's end, (x, z) in mm from the tip of an outward cut."""
    if isinstance(carrier, BoringBar):
        half, axis = 0.5 * SLEEVE * carrier.diameter, -carrier.functional_offset
        box = shapely.box(axis - half, carrier.reach, axis + half, carrier.reach + GOES_ON)
        return _outline(box, 0.0)  # round: see `sim.clearance.tool`
    section = section_polygon(carrier)
    low_x, low_z, high_x, high_z = section.bounds
    # Away from the tip it goes on where it is longest: up along z, or along x to the side that it lies on.
    if high_z >= max(-low_x, high_x):
        end = section.intersection(
            shapely.box(low_x, high_z - _END * (high_z - low_z), high_x, high_z)
        ).bounds
        return _outline(shapely.box(end[0], high_z, end[2], high_z + GOES_ON), carrier.thickness)
    width = _END * (high_x - low_x)
    if -low_x >= high_x:
        end = section.intersection(shapely.box(low_x, low_z, low_x + width, high_z)).bounds
        return _outline(shapely.box(low_x - GOES_ON, end[1], low_x, end[3]), carrier.thickness)
    end = section.intersection(shapely.box(high_x - width, low_z, high_x, high_z)).bounds
    return _outline(shapely.box(high_x, end[1], high_x + GOES_ON, end[3]), carrier.thickness)


def _outline(box: shapely.Polygon, thickness: float) -> Outline:
    ring = np.asarray(shapely.get_coordinates(shapely.orient_polygons(box))[:-1])
    return Outline(CARRIER, "holder", ring, 0.0, thickness, assumed=True)

"""What of a tool its insert runs ahead of, so that it meets only what has been cut.

Within one straight feed step a point of the tool meets material before the insert removes it only if the
insert does not pass first: if the point lies outside the shadow that the insert casts against the direction
of the step. (For the thin slices of a thick piece this holds for each slice; the shadow of the rake face is
used for all of them.)
"""

from __future__ import annotations

import numpy as np
import shapely
from numpy.typing import NDArray

from sim.base.arrays import Flags, Floats, Ints
from sim.clearance.shapes import polygons
from sim.clearance.tool import Tool, ToolPart, pieces
from sim.clearance.touch import thick

SECTORS = 120  # of directions, from +x towards +z
_LONG = 1e4  # mm, longer than any move


def sector(along: Floats) -> Ints:
    """Return the sector of directions (n, 2)."""
    turn = np.arctan2(along[:, 1], along[:, 0]) / (2.0 * np.pi)
    sectors: Ints = np.floor(turn * SECTORS).astype(np.int64) % SECTORS
    return sectors


def shadowed(tool: Tool, part: ToolPart, sectors: Ints) -> Flags:
    """Tell for all sectors of directions whether the insert surely runs ahead of a piece; only some are asked.

    If a piece lies in the shadow of a convex insert for both borders of a sector, it does so within. False
    outside the `sectors` asked for.
    """
    borders = np.unique(np.r_[sectors, sectors + 1]) % SECTORS
    angle = 2.0 * np.pi * borders / SECTORS
    hidden = np.zeros(SECTORS, dtype=bool)
    hidden[borders] = shapely.is_empty(_exposed(tool, part, np.column_stack([np.cos(angle), np.sin(angle)])))
    asked = np.zeros(SECTORS, dtype=bool)
    asked[sectors] = True
    sure: Flags = asked & hidden & np.roll(hidden, -1)
    return sure


def exposed(tool: Tool, part: ToolPart, heading: Floats) -> tuple[ToolPart, ...]:
    """Return the pieces of a part that the insert does not run ahead of in one direction (2,)."""
    found: list[ToolPart] = []
    for polygon in polygons(_exposed(tool, part, heading[None])[0]):
        ring = shapely.get_coordinates(polygon.exterior)[:-1]
        found += pieces(part.name, part.kind, ring, part.near, part.far)
    return tuple(found)


def _exposed(tool: Tool, part: ToolPart, headings: Floats) -> NDArray[np.object_]:
    """Return what of a part lies outside the insert's shadow for directions (n, 2)."""
    rest = np.full(len(headings), shapely.Polygon(part.outline), dtype=object)
    for insert in tool.parts:
        if insert.kind == "insert":
            back = insert.outline[None] - _LONG * headings[:, None]
            corners = np.concatenate([np.broadcast_to(insert.outline, back.shape), back], axis=1)
            rest = shapely.difference(rest, shapely.convex_hull(shapely.multipoints(corners)))
    return thick(rest)

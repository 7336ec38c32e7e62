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

from sim.base.arrays import Flags, Floats, Geometries, Ints
from sim.clearance.shapes import EMPTY, areal
from sim.clearance.sweep import moved, seen
from sim.clearance.tool import CONVEX, Tool, ToolPart
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


def exposed(tool: Tool, part: ToolPart, starts: Floats, ends: Floats) -> Geometries:
    """Return what a part covers in straight steps (n, 2) with that of it which the insert does not run ahead of.

    Empty where the insert runs ahead of all of it.
    """
    along = ends - starts
    length = np.hypot(along[:, 0], along[:, 1])
    heading = np.round(along / np.where(length > 0.0, length, 1.0)[:, None], 6)
    headings, which = np.unique(heading, axis=0, return_inverse=True)
    rings, of, count = _convex_rings(_exposed(tool, part, headings))
    order = np.argsort(of, kind="stable")
    first = np.searchsorted(of[order], np.arange(len(headings) + 1))
    pieces = np.diff(first)[which.ravel()]  # how many each step has
    step = np.repeat(np.arange(len(starts)), pieces)
    own = np.arange(len(step)) - np.repeat(np.cumsum(pieces) - pieces, pieces)
    ring = order[first[which.ravel()[step]] + own]
    images = np.full((len(starts), int(pieces.max(initial=1))), None, dtype=object)
    for corners in np.unique(count[ring]):
        some = np.flatnonzero(count[ring] == corners)
        at = step[some]
        images[at, own[some]] = seen(moved(rings[ring[some], :corners] + starts[at, None], along[at]), part)
    return (
        areal(np.asarray(shapely.union_all(images, axis=1), dtype=object))
        if images.shape[1] > 1
        else _filled(images[:, 0])
    )


def _filled(images: Geometries) -> Geometries:
    found = images.copy()
    found[[one is None for one in images.tolist()]] = EMPTY
    return found


def _convex_rings(shapes: Geometries) -> tuple[Floats, Ints, Ints]:
    """Return counter-clockwise rings (m, k, 2) that make up shapes, the shape of each, and its corners."""
    parts, of = shapely.get_parts(shapes, return_index=True)
    kept = (shapely.get_type_id(parts) == 3) & ~shapely.is_empty(parts)
    parts, of = parts[kept], of[kept]
    area = shapely.area(parts)
    bent = shapely.area(shapely.convex_hull(parts)) - area > CONVEX * area
    cut, owner = shapely.get_parts(shapely.constrained_delaunay_triangles(parts[bent]), return_index=True)
    whole = np.concatenate([shapely.convex_hull(parts[~bent]), cut])
    xy, ring = shapely.get_coordinates(shapely.orient_polygons(whole), return_index=True)
    count = np.bincount(ring, minlength=len(whole))
    place = np.arange(len(ring)) - np.repeat(np.cumsum(count) - count, count)
    rings = np.zeros((len(whole), int(count.max(initial=1)), 2))
    rings[ring, place] = xy
    return rings, np.concatenate([of[~bent], of[bent][owner]]), count - 1  # the last corner is the first


def _exposed(tool: Tool, part: ToolPart, headings: Floats) -> NDArray[np.object_]:
    """Return what of a part lies outside the insert's shadow for directions (n, 2)."""
    rest = np.full(len(headings), shapely.Polygon(part.outline), dtype=object)
    for insert in tool.parts:
        if insert.kind == "insert":
            back = insert.outline[None] - _LONG * headings[:, None]
            corners = np.concatenate([np.broadcast_to(insert.outline, back.shape), back], axis=1)
            rest = shapely.difference(rest, shapely.convex_hull(shapely.multipoints(corners)))
    return thick(rest)

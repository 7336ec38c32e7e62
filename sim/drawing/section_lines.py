"""A cut body on the paper: its outline, its hatching with room left for words, the teeth of a serrated foot."""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import pairwise

import shapely
from shapely import affinity
from shapely.geometry.base import BaseGeometry

from meshes.master_jaw import TOOTH_ANGLE
from sim.drawing.hatching import hatching
from sim.drawing.pens import EDGE, THIN, Pen
from sim.drawing.primitives import Group, Item, Line, View, Words, flat

AROUND_WORDS = 0.6  # mm that hatching keeps from words


def on_paper(region: BaseGeometry, view: View) -> BaseGeometry:
    """Return a region given as (radius, z) on the paper: z to the right, away from the chuck, the radius up."""
    (x, y), scale = view.origin, view.scale
    return affinity.affine_transform(region, [0.0, scale, scale, 0.0, x, y])


def outline(region: BaseGeometry, pen: Pen = EDGE) -> list[Line]:
    """Return the lines round a region on the paper, holes too."""
    found = []
    for polygon in shapely.get_parts(region):
        if polygon.geom_type != "Polygon":
            continue
        for ring in (polygon.exterior, *polygon.interiors):
            # Corners that only tell where pieces were joined are none.
            corners = shapely.get_coordinates(shapely.normalize(shapely.simplify(ring, 1e-9)))
            found += [Line((a, b), (c, d), pen) for (a, b), (c, d) in pairwise(corners.tolist())]
    return found


def behind(region: BaseGeometry) -> list[tuple[float, float]]:
    """Return the edges of a hollow body of revolution that are seen behind the plane of its section.

    Parameters
    ----------
    region : BaseGeometry
        (radius, z) above the axis, mm.

    Returns
    -------
    list of (z, radius)
        An edge goes from that radius below the axis to the same above it, mm.
    """
    found = []
    for z in sorted({round(float(v), 6) for v in shapely.get_coordinates(region)[:, 1]}):
        slabs = (
            region.intersection(shapely.box(-1.0, z + a, 1e4, z + b))
            for a, b in ((-2e-4, -1e-4), (1e-4, 2e-4))
        )
        radii = [slab.bounds[0] for slab in slabs if not slab.is_empty]
        ends = len(radii) == 1 or max(radii) - min(radii) > 1e-3
        if radii and ends and max(radii) > 1e-3:
            found.append((z, max(radii)))
    return found


def hatched(name: str, region: BaseGeometry, rise: str, spacing: float, drawn: Sequence[Item]) -> Group:
    """Return a region's hatching on the paper; it stops around the words of what is drawn."""
    words = [item.box(AROUND_WORDS) for item in flat(list(drawn)) if isinstance(item, Words)]
    return hatching(name, region.difference(shapely.union_all(words)) if words else region, rise, spacing)


def teeth(low: float, high: float, pitch: float, view: View, *, below: bool = False) -> list[Item]:
    """Return the serrations of a jaw's foot between two radii (mm), which stand from z = 0 towards the chuck.

    `below`: of a jaw that is drawn below the axis.
    """
    depth, count = 0.5 * pitch / math.tan(0.5 * TOOTH_ANGLE), math.floor((high - low) / pitch + 1e-9)
    corners = [(low, 0.0)]
    for number in range(count):
        corners += [(low + (number + 0.5) * pitch, -depth), (low + (number + 1.0) * pitch, 0.0)]
    points = [view.at(z, -r if below else r) for r, z in corners]
    return [Line(a, b, THIN) for a, b in pairwise(points)]

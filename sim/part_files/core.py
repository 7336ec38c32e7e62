"""The turned core of a solid that is no body of revolution: where at least half of each circle about its axis is metal.

The solid is cut by half planes through its axis. Lines of some of these cuts divide the half plane (r, z) into pieces;
a piece belongs to the core if most cuts find metal in it. So holes off the axis are filled and lugs left out. mm.
"""

from __future__ import annotations

import math

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from sim.base.arrays import Flags, Floats
from sim.part_files.triangles import Triangles

CUTS = 180  # half planes that are asked
DIVIDING = 12  # of them whose lines divide the half plane
OFF = 0.37  # of a step by which the first stands off the x axis, so that few go through corners
GRID = 1e-4  # mm
SLIVER = 1e-3  # mm; a thinner piece is rounding
_CHUNK = 4_000_000  # pairs of a piece and a line looked at together


def turned_core(solid: Triangles, within: float) -> tuple[tuple[float, float], ...]:
    """Return the half section (r, z) of the core of a solid in the part frame, its corners within a distance, mm.

    Raises
    ------
    ValueError
        If there is none in one piece, as a clause behind the file's name.
    """
    cuts = [half for n in range(CUTS // 2) for half in _cut(solid, math.pi * (n + OFF) / (CUTS // 2))]
    dividing = np.vstack(cuts[:: CUTS // DIVIDING])
    low, high = float(solid.corners[:, 2].min()), float(solid.corners[:, 2].max())
    lines = [*map(shapely.LineString, dividing), shapely.LineString([(0.0, low), (0.0, high)])]
    noded = shapely.union_all(shapely.set_precision(np.array(lines, dtype=object), GRID), grid_size=GRID)
    pieces = shapely.get_parts(shapely.polygonize([noded]))
    inside = _shares(shapely.get_coordinates(shapely.point_on_surface(pieces)), cuts) >= 0.5
    core = _opened(shapely.union_all(pieces[inside], grid_size=GRID))
    parts = [part for part in shapely.get_parts(core) if part.area > SLIVER]
    if len(parts) != 1:
        raise ValueError(
            f"must have a turned core in one piece about its axis, found {len(parts)} pieces in which most of each "
            "circle is metal: is this the axis?"
        )
    ring = shapely.simplify(shapely.Polygon(parts[0].exterior), within).exterior.coords[:-1]
    return tuple((max(0.0, float(r)) if r > SLIVER else 0.0, float(z)) for r, z in ring)


def _opened(shape: BaseGeometry) -> BaseGeometry:
    """Return a shape without what is thinner than a sliver."""
    thin = shapely.buffer(shape, -SLIVER, join_style="mitre")
    return shapely.intersection(shape, shapely.buffer(thin, 1.5 * SLIVER, join_style="mitre"))


def _cut(solid: Triangles, angle: float) -> tuple[Floats, Floats]:
    """Return the lines in which the plane at an angle cuts the surface: on its own side, and beyond the axis.

    Each is (n, 2, 2): both ends (r, z) of n lines.
    """
    along, across = (
        np.array([math.cos(angle), math.sin(angle)]),
        np.array([-math.sin(angle), math.cos(angle)]),
    )
    off = solid.corners[:, :2] @ across
    flat = np.column_stack([solid.corners[:, :2] @ along, solid.corners[:, 2]])
    above = off > 0.0
    faces = solid.faces[above[solid.faces].any(axis=1) & ~above[solid.faces].all(axis=1)]
    # The corner that stands alone on its side comes first.
    sides = above[faces]
    alone = np.where(sides.sum(axis=1) == 1, sides.argmax(axis=1), (~sides).argmax(axis=1))
    first, second, third = (faces[np.arange(len(faces)), (alone + k) % 3] for k in range(3))
    ends = []
    for other in (second, third):
        share = (off[first] / (off[first] - off[other]))[:, None]
        ends.append(flat[first] + share * (flat[other] - flat[first]))
    lines = np.stack(ends, axis=1)
    return _beside(lines), _beside(lines * np.array([-1.0, 1.0]))


def _beside(lines: Floats) -> Floats:
    """Return what of lines (n, 2, 2) lies at r >= 0."""
    some = lines[(lines[:, :, 0] > 0.0).any(axis=1)]
    low = some[:, :, 0].argmin(axis=1)
    at = np.arange(len(some))
    inner, outer = some[at, low], some[at, 1 - low]
    crosses = inner[:, 0] < 0.0
    share = np.where(crosses, -inner[:, 0] / np.where(crosses, outer[:, 0] - inner[:, 0], 1.0), 0.0)
    return np.stack([inner + share[:, None] * (outer - inner), outer], axis=1)


def _shares(points: Floats, cuts: list[Floats]) -> Floats:
    """Return the share of half planes in which each point (n, 2) lies in metal: a line to infinity leaves it once."""
    found = np.zeros(len(points))
    for lines in cuts:
        for begin in range(0, len(points), max(1, _CHUNK // max(1, len(lines)))):
            some = slice(begin, begin + max(1, _CHUNK // max(1, len(lines))))
            found[some] += _odd(points[some], lines)
    return found / len(cuts)


def _odd(points: Floats, lines: Floats) -> Flags:
    r, z = points[:, 0:1], points[:, 1:2]
    (r0, z0), (r1, z1) = lines[:, 0].T, lines[:, 1].T
    spans = (z0 > z) != (z1 > z)
    rise = np.where(z1 == z0, 1.0, z1 - z0)
    beyond = r0 + (z - z0) / rise * (r1 - r0) > r
    return np.asarray((spans & beyond).sum(axis=1) % 2 == 1)

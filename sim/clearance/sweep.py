"""What the parts of a tool cover in the half-plane while the tip runs along straight steps."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import ArrayLike
from shapely.geometry.base import BaseGeometry

from sim.base.arrays import Floats, Geometries, Ints
from sim.clearance.shapes import areal
from sim.clearance.tool import ON_AXIS, Tool, ToolPart
from sim.clearance.union import united_exactly
from sim.programs.path import Move, Steps, steps

SAG = 5e-4  # mm by which a chord may leave the curved edge of a thick part's image
_FAR = 1e6  # mm, larger than any lathe
_PARALLEL = 1e-9  # sine; an edge that leads a step by less passes over nothing


@dataclass(frozen=True, slots=True, eq=False)
class ToolSweep:
    """A tool along a path: n steps, p pieces.

    Attributes
    ----------
    moves : tuple of Move
    path : Steps
    tool : Tool
    """

    moves: tuple[Move, ...]
    path: Steps
    tool: Tool

    def bounds(self, index: int, rows: Ints | None = None) -> Floats:
        """Return least rho, least z, greatest rho, greatest z of what a piece covers in some steps (all), (n, 4) mm."""
        chosen = slice(None) if rows is None else rows
        return _bounds(self.tool.parts[index], self.path.starts[chosen], self.path.ends[chosen])

    def around(self, index: int, starts: Floats, ends: Floats) -> Floats:
        """Return the same for stretches of steps, with the tip between least and greatest x, z (n, 2) each."""
        return _bounds(self.tool.parts[index], starts, ends)

    def open(self, index: int, rows: Ints) -> Ints:
        """Return those of the steps in which a piece is not hidden behind others."""
        limit = self.tool.parts[index].hidden_from
        if not np.isfinite(limit):
            return rows
        least = np.minimum(self.path.starts[rows, 0], self.path.ends[rows, 0])
        seen: Ints = rows[least < limit]
        return seen

    def boxes(self, index: int, rows: Ints) -> Geometries:
        """Return rectangles round what a piece covers in some steps."""
        return np.asarray(shapely.box(*self.bounds(index, rows).T), dtype=object)

    def within(self, index: int, rows: Ints, region: ArrayLike) -> Ints:
        """Return those of the steps in which the rectangle round a piece meets another (rho, z, rho, z).

        One rectangle for all steps, or one for each, (n, 4).
        """
        boxes, others = self.bounds(index, rows), np.asarray(region, dtype=np.float64)
        meets = (boxes[:, :2] <= others[..., 2:]) & (boxes[:, 2:] >= others[..., :2])
        near: Ints = rows[meets.all(axis=1)]
        return near

    def images(self, index: int, rows: Ints | None = None) -> Geometries:
        """Return what a piece covers in some steps (in all if not given)."""
        chosen = slice(None) if rows is None else rows
        return swept(self.tool.parts[index], self.path.starts[chosen], self.path.ends[chosen])


def along_path(moves: Sequence[Move], tool: Tool) -> ToolSweep:
    """Return a tool along a path; its pieces are swept only where somebody looks, and not kept."""
    return ToolSweep(tuple(moves), steps(moves), tool)


def _bounds(part: ToolPart, starts: Floats, ends: Floats) -> Floats:
    """Return the rectangles round the image of a part over straight steps, (n, 4)."""
    low = np.minimum(starts, ends) + part.outline.min(axis=0)
    high = np.maximum(starts, ends) + part.outline.max(axis=0)
    nearest = np.maximum(0.0, np.maximum(low[:, 0], -high[:, 0]))
    farthest = np.maximum(np.abs(low[:, 0]), np.abs(high[:, 0]))
    rho = np.hypot(nearest, part.near), np.hypot(farthest, part.far)
    return np.column_stack([rho[0], low[:, 1], rho[1], high[:, 1]])


def swept(part: ToolPart, starts: Floats, ends: Floats) -> Geometries:
    """Return the image of a part over straight steps of the tip.

    Parameters
    ----------
    part : ToolPart
        Convex piece of a tool.
    starts, ends : (n, 2) array
        x, z of the tip in mm.

    Returns
    -------
    (n,) array of shapely polygons
        In (rho, z), mm; MultiPolygon possible where the part reaches across the axis.
    """
    return seen(_swept_rings(part.outline, starts, ends - starts), part)


def seen(rings: Floats, part: ToolPart) -> Geometries:
    """Return the images of convex counter-clockwise rings (n, k, 2) of a part's thickness."""
    low, high = rings[:, :, 0].min(axis=1), rings[:, :, 0].max(axis=1)
    beyond = high <= 0.0
    if beyond.any():
        rings[beyond] = rings[beyond][:, ::-1] * np.array([-1.0, 1.0])
    across = ~beyond & (low < -ON_AXIS)
    images = np.full(len(rings), None, dtype=object)
    if not across.all():
        images[~across] = _seen(rings[~across], part)
    if across.any():
        images[across] = _seen_across(rings[across], part)
    return images


def _swept_rings(outline: Floats, starts: Floats, along: Floats) -> Floats:
    """Outline, convex and counter-clockwise, moved along straight steps: (n, k + 2, 2) rings."""
    k = len(outline)
    turn = along[:, :1] * outline[:, 1] - along[:, 1:] * outline[:, 0]
    right, left = turn.argmin(axis=1), turn.argmax(axis=1)
    front = (left - right) % k  # corners from the rightmost to the leftmost lead the motion
    position = np.arange(k + 2)
    leading = position <= front[:, None]
    corner = (right[:, None] + np.where(leading, position, position - 1)) % k
    rings: Floats = outline[corner] + starts[:, None, :] + leading[:, :, None] * along[:, None, :]
    return rings


def leading(outline: Floats, starts: Floats, ends: Floats) -> tuple[Ints, Ints]:
    """Return with which corner of a convex outline the edges begin that lead straight steps, and how many they are."""
    along, edges = ends - starts, np.roll(outline, -1, axis=0) - outline
    length = np.hypot(along[:, 0], along[:, 1])
    turn = along[:, :1] * edges[:, 1] - along[:, 1:] * edges[:, 0]
    leads = turn > _PARALLEL * length[:, None] * np.hypot(edges[:, 0], edges[:, 1])
    # Of a convex outline they follow each other.
    return (leads & ~np.roll(leads, 1, axis=1)).argmax(axis=1), leads.sum(axis=1)


def fronts_of(part: ToolPart, starts: Floats, ends: Floats) -> Geometries:
    """Return what a flat convex part covers in straight steps beyond its place at their start, empty where nothing.

    That is what its edges which lead the step pass over. Steps in which it reaches across the axis have None.
    """
    outline, along = part.outline, ends - starts
    first, count = leading(outline, starts, ends)
    place = np.arange(count.max(initial=0) + 1)
    # Rings with fewer corners than the longest repeat their last.
    chain = np.concatenate(
        [np.minimum(place, count[:, None]), count[:, None] - np.minimum(place, count[:, None])], 1
    )
    rings = outline[(first[:, None] + chain) % len(outline)] + starts[:, None]
    rings[:, : len(place)] += along[:, None]
    found = np.full(len(starts), shapely.Polygon(), dtype=object)
    some = count > 0
    found[some] = shapely.polygons(rings[some])
    across = np.minimum(starts[:, 0], ends[:, 0]) + outline[:, 0].min() < -ON_AXIS
    found[across] = None
    return found


def moved(rings: Floats, along: Floats) -> Floats:
    """Return convex counter-clockwise rings (n, k, 2), each moved along its own line (n, 2): (n, k + 2, 2)."""
    count = rings.shape[1]
    turn = along[:, None, 0] * rings[:, :, 1] - along[:, None, 1] * rings[:, :, 0]
    right, left = turn.argmin(axis=1)[:, None], turn.argmax(axis=1)[:, None]
    position = np.arange(count + 2)
    leading = position <= (left - right) % count
    corner = (right + np.where(leading, position, position - 1)) % count
    whole: Floats = (
        np.take_along_axis(rings, corner[:, :, None], axis=1) + leading[:, :, None] * along[:, None]
    )
    return whole


def _seen(rings: Floats, part: ToolPart) -> Geometries:
    """Images of rings at x >= 0, all with the same number of corners."""
    if part.far == 0.0:
        return np.asarray(shapely.polygons(rings), dtype=object)
    count = rings.shape[1]
    owner = np.repeat(np.arange(len(rings)), count)
    return _thick(rings.reshape(-1, 2), owner, part)


def _seen_across(rings: Floats, part: ToolPart) -> Geometries:
    """Images of rings that reach across the axis: both sides, each folded onto x >= 0."""
    outlines = shapely.polygons(rings)
    sides = []
    for box, sign in (
        (shapely.box(0.0, -_FAR, _FAR, _FAR), 1.0),
        (shapely.box(-_FAR, -_FAR, 0.0, _FAR), -1.0),
    ):
        side = shapely.intersection(outlines, box)
        side = shapely.transform(side, lambda xy, sign=sign: xy * np.array([sign, 1.0]))
        side = shapely.orient_polygons(side)
        xy, owner = shapely.get_coordinates(side, return_index=True)
        last = np.r_[owner[1:] != owner[:-1], True]
        sides.append(_thick(xy[~last], owner[~last], part) if part.far > 0.0 else side)
    return np.asarray(shapely.union(sides[0], sides[1]), dtype=object)


def _thick(corners: Floats, owner: Ints, part: ToolPart) -> Geometries:
    """Images of convex counter-clockwise rings at x >= 0 over near <= |y| <= far.

    On the way up (z growing) a ring bounds the part outwards: rho = sqrt(x^2 + far^2); on the way down
    inwards: rho = sqrt(x^2 + near^2). Level edges join the two.
    """
    first = np.r_[True, owner[1:] != owner[:-1]]
    start = np.flatnonzero(first)
    following = np.arange(1, len(corners) + 1)
    following[np.r_[start[1:], len(corners)] - 1] = start
    begin, end = corners, corners[following]
    rise = end[:, 1] - begin[:, 1]
    # A level edge keeps the depth of the edge before it at its start; its other end is the next edge's.
    depth = np.where(rise > 0.0, part.far, part.near)
    kept = rise != 0.0
    begin, end, depth, owner = begin[kept], end[kept], depth[kept], owner[kept]
    width = np.abs(end[:, 0] - begin[:, 0])
    nearest = np.minimum(end[:, 0], begin[:, 0]).clip(0.0)
    square = nearest**2 + depth**2
    bend = np.where(square > 0.0, depth**2 / np.where(square > 0.0, square, 1.0) ** 1.5, 0.0)
    count = np.ceil(width * np.sqrt(bend / (8.0 * SAG))).astype(np.int64).clip(1)
    points = count + 1  # both ends: the neighbour may have another depth
    which = np.repeat(np.arange(len(begin)), points)
    k = np.arange(len(which)) - np.repeat(np.cumsum(points) - points, points)
    share = k / count[which]
    xz = np.where((share < 1.0)[:, None], begin[which] + share[:, None] * (end - begin)[which], end[which])
    xz[:, 0] = np.hypot(xz[:, 0].clip(0.0), depth[which])
    images = np.asarray(shapely.polygons(shapely.linearrings(xz, indices=owner[which])), dtype=object)
    # In a sharp corner the chords of the two sides may cross, by less than the sag.
    crossed = ~shapely.is_valid(images)
    images[crossed] = areal(shapely.make_valid(images[crossed]))
    return images


def minkowski_blocked(solid: BaseGeometry, outline: Floats) -> BaseGeometry:
    """Return the tip positions at which a convex outline (relative to the tip) meets a solid.

    It is the Minkowski sum of the solid and the outline turned round: exact for polygons, to a nanometre.
    """
    back = -outline  # turned by half a turn: still counter-clockwise
    points, ring = shapely.get_coordinates(
        shapely.get_parts(shapely.boundary(shapely.get_parts(solid))), return_index=True
    )
    within = ring[1:] == ring[:-1]
    begin, end = points[:-1][within], points[1:][within]
    along_edges = np.asarray(shapely.polygons(_swept_rings(back, begin, end - begin)), dtype=object)
    moved: BaseGeometry = shapely.transform(solid, lambda xy: xy + back[0])
    return united_exactly([moved, *along_edges.tolist()])

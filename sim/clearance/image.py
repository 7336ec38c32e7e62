r"""Half-plane images of what turns with the spindle.

A tool that stands still sees a turning solid only through (rho, z) = (sqrt(x^2 + y^2), z): the image of a
solid is the set of all circles about the spindle axis that meet it. The distance of two images is the least
distance of the two bodies over all angles of the spindle.

The image of a triangle is no triangle. In the plane of the triangle let u run horizontally and a(z) be the
distance of the plane from the axis at the height z; then rho^2 = a(z)^2 + u^2 with a linear in z, so a
straight edge becomes a hyperbola and the image folds along u = 0, the points of the triangle nearest to the
axis. The boundary of the image of a closed surface therefore consists of

- edges at which both neighbouring triangles lie on the same side in the image (fold edges),
- the lines u = 0 within triangles, and
- intervals of rho at heights where the surface has flat parts (z constant) or horizontal edges.

These lines cut the half-plane into faces. A face belongs to the image as a whole or not at all: it does if
the circle through one of its points meets a triangle, or lies wholly inside the solid.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import shapely
import trimesh
from numpy.typing import ArrayLike, NDArray
from shapely.geometry.base import BaseGeometry

from meshes.revolve import checked_outline
from sim.base.answers import written
from sim.base.arrays import Flags, Floats, Ints
from sim.base.kept import kept

TOLERANCE = 1e-3  # mm
# Shares of the tolerance: linework is rounded to a grid, and chords leave hyperbolas by less than half a grid
# cell, so that lines which end on a hyperbola are joined to its chord.
_GRID_SHARE = 0.5
_SAG_SHARE = 0.2
_FAR = 1e12  # grid cells, farther than any solid
_NOTHING = shapely.Polygon()
_SAME = 1e-7  # mm
_LEVEL = 1e-6  # mm; an edge that rises less counts as horizontal
_CHUNK = 4_000_000  # pairs of a face and a triangle looked at together


@dataclass(frozen=True, slots=True, eq=False)
class _Triangles:
    """Triangles of a mesh in their own planes; n triangles.

    Attributes
    ----------
    corners : (n, 3, 3)
        x, y, z of the corners.
    across : (n, 3)
        u of the corners, horizontally in the plane of the triangle, 0 nearest to the axis.
    offset : (n, 3)
        a at the corners: signed distance of the triangle's plane from the axis at their height.
    flat : (n,)
        Height (z extent) below the grid; `across` and `offset` mean nothing then.
    """

    corners: Floats
    across: Floats
    offset: Floats
    flat: Flags


def of_outline(outline: ArrayLike) -> shapely.Polygon:
    """Return the image of a body of revolution: its closed (r, z) outline in mm, exact.

    Raises
    ------
    ValueError
        If the outline crosses itself, has no area or reaches across the axis.
    """
    return shapely.Polygon(checked_outline(outline))


def of_mesh(mesh: trimesh.Trimesh, tolerance: float = TOLERANCE) -> BaseGeometry:
    """Return the image of a solid about the z axis.

    Parameters
    ----------
    mesh : trimesh.Trimesh
        Closed surface, outward normals, mm, already placed about the spindle axis. Of bodies that are
        congruent under turning (three jaws) one is enough: they share one image.
    tolerance : float
        mm; every point of the true image lies within this distance of the one returned, and the other way
        round (chords of hyperbolas, rounding of coordinates).

    Returns
    -------
    BaseGeometry
        Polygon or MultiPolygon in (rho, z), mm.

    Raises
    ------
    ValueError
        If the mesh has no triangles or the tolerance is not greater than 0.
    """
    if not tolerance > 0.0:
        raise ValueError(f"tolerance of an image must be greater than 0 mm, found {tolerance:g} mm")
    if len(mesh.faces) == 0:
        raise ValueError("an image needs a mesh with triangles, found none")
    return _of_surface(np.array(mesh.vertices, dtype=np.float64), np.array(mesh.faces), tolerance)


@written
@kept(64)  # a setup has some ten solids, and most stay where they are while others are moved
def _of_surface(corners: Floats, sides: NDArray[np.integer], tolerance: float) -> BaseGeometry:
    """Return the image of triangles, (n, 3) corners in mm and (m, 3) numbers of corners; see `of_mesh`."""
    grid = _GRID_SHARE * tolerance
    vertices, faces = _merged(corners, sides)
    triangles = _in_own_planes(vertices[faces], grid)
    segments = np.vstack(
        [
            _fold_edges(vertices, faces, triangles, _SAG_SHARE * tolerance),
            _fold_lines(triangles),
            _flat_intervals(triangles),
            [[0.0, vertices[:, 2].min(), 0.0, vertices[:, 2].max()]],
        ]
    )
    lines = _noded(segments, grid)
    cells = np.array(shapely.get_parts(shapely.polygonize([lines])), dtype=object)
    points = shapely.get_coordinates(shapely.point_on_surface(cells)) * grid
    kept = shapely.coverage_union_all(cells[_is_covered(points, triangles)]) if len(cells) else _NOTHING
    whole = _with_spikes(kept, lines, vertices[:, 2] / grid)
    return shapely.transform(whole, lambda xy: xy * grid).normalize()


def _merged(vertices: Floats, faces: NDArray[np.integer]) -> tuple[Floats, Ints]:
    """Vertices once each (equal to 1e-9 mm), so that triangles know their neighbours."""
    _, first, inverse = np.unique(vertices.round(9), axis=0, return_index=True, return_inverse=True)
    return vertices[first], inverse.reshape(-1)[faces].astype(np.int64)


def _in_own_planes(corners: Floats, grid: float) -> _Triangles:
    normal = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
    length = np.hypot(normal[:, 0], normal[:, 1])
    flat = np.ptp(corners[:, :, 2], axis=1) <= 0.5 * grid
    safe = np.where(length > 0.0, length, 1.0)
    hx, hy = normal[:, 0] / safe, normal[:, 1] / safe
    x, y = corners[:, :, 0], corners[:, :, 1]
    across = y * hx[:, None] - x * hy[:, None]
    offset = x * hx[:, None] + y * hy[:, None]
    return _Triangles(corners, across, offset, flat)


def _fold_edges(vertices: Floats, faces: Ints, triangles: _Triangles, sag: float) -> Floats:
    """Segments (rho, z, rho, z) of the edges at which the image may end, as chords of hyperbolas."""
    ends = np.sort(np.vstack([faces[:, [1, 2]], faces[:, [2, 0]], faces[:, [0, 1]]]), axis=1)
    face, corner = np.tile(np.arange(len(faces)), 3), np.repeat(np.arange(3), len(faces))
    order = np.lexsort((ends[:, 1], ends[:, 0]))
    ends, face, corner = ends[order], face[order], corner[order]
    starts = np.flatnonzero(np.r_[True, (np.diff(ends, axis=0) != 0).any(axis=1)])
    counts = np.diff(np.r_[starts, len(ends)])
    pairs = starts[counts == 2]
    first, second = vertices[ends[pairs, 0]], vertices[ends[pairs, 1]]
    one, two = (
        _Neighbour.of(
            triangles, face[rows], corner[rows], faces[face[rows], (corner[rows] + 1) % 3], ends[rows]
        )
        for rows in (pairs, pairs + 1)
    )
    breaks = np.sort(np.column_stack([one.crossing(), two.crossing()]), axis=1)
    stops = np.column_stack([np.zeros(len(pairs)), breaks, np.ones(len(pairs))])
    # Edges with one neighbour or with three and more are kept whole, as if they were folds.
    pieces = [vertices[ends[starts[counts != 2]]]]
    split = ~(triangles.flat[face[pairs]] & triangles.flat[face[pairs + 1]])
    for low, high in zip(stops.T[:-1], stops.T[1:], strict=True):
        middle = 0.5 * (low + high)
        folds = split & (high > low) & (one.direction(middle) * two.direction(middle) >= 0.0)
        along = second - first
        begin = first + low[:, None] * along
        end = np.where((high == 1.0)[:, None], second, first + high[:, None] * along)
        pieces.append(np.stack([begin[folds], end[folds]], axis=1))
    edges = np.vstack(pieces)
    level = np.abs(edges[:, 1, 2] - edges[:, 0, 2]) <= _LEVEL
    return np.vstack([hyperbola_chords(edges[~level], sag), _intervals(edges[level])])


@dataclass(frozen=True, slots=True, eq=False)
class _Neighbour:
    """How triangles lie to one of their edges; n edges, each run from its lower vertex number.

    Attributes
    ----------
    start, end : (n,)
        u at the ends of the edge, in the plane of the triangle.
    side : (n,)
        Sign of the direction of u from the edge into the triangle; 0 if it cannot be told (flat triangle,
        horizontal edge, needle).
    """

    start: Floats
    end: Floats
    side: Floats

    @staticmethod
    def of(triangles: _Triangles, face: Ints, opposite: Ints, after: Ints, ends: Ints) -> _Neighbour:
        """Look at triangles `face` from their corner `opposite`; `after` is the vertex that follows it."""
        at = np.arange(len(face))
        forward = after == ends[:, 0]
        i = np.where(forward, opposite + 1, opposite + 2) % 3
        j = np.where(forward, opposite + 2, opposite + 1) % 3
        u, z = triangles.across[face], triangles.corners[face, :, 2]
        rise = z[at, j] - z[at, i]
        level = np.abs(rise) <= _LEVEL
        line = u[at, i] + (z[at, opposite] - z[at, i]) * (u[at, j] - u[at, i]) / np.where(level, 1.0, rise)
        inward = u[at, opposite] - line
        unclear = level | triangles.flat[face] | (np.abs(inward) <= 1e-12 * (1.0 + np.abs(u).max(axis=1)))
        return _Neighbour(u[at, i], u[at, j], np.where(unclear, 0.0, np.sign(inward)))

    def crossing(self) -> Floats:
        """Where (0..1) the edge passes u = 0; 0 where it does not."""
        crosses = (self.start * self.end < 0.0) & (self.side != 0.0)
        return np.where(crosses, self.start / np.where(crosses, self.start - self.end, 1.0), 0.0)

    def direction(self, where: Floats) -> Floats:
        """Sign of the direction of rho from a point of the edge into the triangle."""
        return self.side * np.sign(self.start + where * (self.end - self.start))


def hyperbola_chords(edges: Floats, sag: float) -> Floats:
    """Return the images of straight edges as chords that leave them by `sag` (mm) at most.

    Parameters
    ----------
    edges : (n, 2, 3) array
        End points in mm.
    sag : float
        mm, measured along rho.

    Returns
    -------
    (m, 4) array
        rho, z, rho, z of each chord.
    """
    begin, along = edges[:, 0], edges[:, 1] - edges[:, 0]
    length = np.hypot(along[:, 0], along[:, 1])
    safe = np.where(length > 0.0, length, 1.0)
    nearest = np.abs(begin[:, 0] * along[:, 1] - begin[:, 1] * along[:, 0]) / safe
    nearest = np.maximum(nearest, 1e-9)  # an edge through the axis: the hyperbola's two branches
    u0 = (begin[:, 0] * along[:, 0] + begin[:, 1] * along[:, 1]) / safe
    s0, s1 = np.arcsinh(u0 / nearest), np.arcsinh((u0 + length) / nearest)
    # With u = h sinh s, rho = h cosh s a chord over 2 d in s leaves the curve by h (cosh d - 1) at most.
    step = 2.0 * np.arccosh(1.0 + sag / nearest)
    count = np.where(length > 0.0, np.ceil((s1 - s0) / step), 1.0).astype(np.int64).clip(1)
    which = np.repeat(np.arange(len(edges)), count)
    k = np.arange(len(which)) - np.repeat(np.cumsum(count) - count, count)

    def at(index: Ints) -> Floats:
        s = s0[which] + (s1 - s0)[which] * index / count[which]
        where = (nearest[which] * np.sinh(s) - u0[which]) / safe[which]
        where = np.where(index == 0, 0.0, np.where(index == count[which], 1.0, where))
        point = begin[which] + where[:, None] * along[which]
        return np.column_stack([np.hypot(point[:, 0], point[:, 1]), point[:, 2]])

    return np.hstack([at(k), at(k + 1)])


def _fold_lines(triangles: _Triangles) -> Floats:
    """Segments (rho, z, rho, z) of the points of each triangle that are nearest to the axis (u = 0)."""
    u = triangles.across
    ends: list[Floats] = []
    inside: list[Flags] = []
    for i, j in ((0, 1), (1, 2), (2, 0)):
        crosses = (u[:, i] * u[:, j] <= 0.0) & (u[:, i] != u[:, j]) & ~triangles.flat
        share = np.where(crosses, u[:, i] / np.where(crosses, u[:, i] - u[:, j], 1.0), 0.0)
        az = np.stack([triangles.offset, triangles.corners[:, :, 2]], axis=2)
        ends.append(az[:, i] + share[:, None] * (az[:, j] - az[:, i]))
        inside.append(crosses)
    points, valid = np.stack(ends, axis=1), np.stack(inside, axis=1)
    some = valid.sum(axis=1) >= 2
    points, valid = points[some], valid[some]
    at, z = np.arange(len(points)), points[:, :, 1]
    low = points[at, np.where(valid, z, np.inf).argmin(axis=1)]
    high = points[at, np.where(valid, z, -np.inf).argmax(axis=1)]
    # Where the plane passes through the axis on the way up, rho = |a| has a kink.
    kinked = low[:, 0] * high[:, 0] < 0.0
    share = np.where(kinked, low[:, 0] / np.where(kinked, low[:, 0] - high[:, 0], 1.0), 1.0)
    middle = low + share[:, None] * (high - low)
    lines = np.vstack([np.hstack([low, middle]), np.hstack([middle, high])])
    lines[:, [0, 2]] = np.abs(lines[:, [0, 2]])
    return lines


def _flat_intervals(triangles: _Triangles) -> Floats:
    """Segments (rho, z, rho, z) of flat triangles: from their nearest to their farthest point."""
    return _intervals(triangles.corners[triangles.flat])


def _intervals(corners: Floats) -> Floats:
    """Segments (rho, z, rho, z) of level edges (n, 2, 3) or level triangles (n, 3, 3)."""
    xy = corners[:, :, :2]
    following = np.roll(xy, -1, axis=1)
    along = following - xy
    square = (along**2).sum(axis=2)
    share = -(xy * along).sum(axis=2) / np.where(square > 0.0, square, 1.0)
    foot = xy + share.clip(0.0, 1.0)[:, :, None] * along
    turn = xy[:, :, 0] * following[:, :, 1] - xy[:, :, 1] * following[:, :, 0]
    encloses = ((turn >= 0.0).all(axis=1) | (turn <= 0.0).all(axis=1)) & (corners.shape[1] > 2)
    near = np.where(encloses, 0.0, np.hypot(foot[:, :, 0], foot[:, :, 1]).min(axis=1))
    far = np.hypot(xy[:, :, 0], xy[:, :, 1]).max(axis=1)
    z = corners[:, :, 2].mean(axis=1)
    return np.column_stack([near, z, far, z])


def _with_spikes(kept: BaseGeometry, lines: BaseGeometry, heights: Floats) -> BaseGeometry:
    """Add what is thinner than the grid: all lines but the axis itself lie on the surface of the solid."""
    axis = shapely.box(-0.5, heights.min() - 1.0, 0.5, heights.max() + 1.0)
    loose = shapely.difference(lines, shapely.union(shapely.buffer(kept, 1.0), axis))
    if shapely.is_empty(loose):
        return kept
    spikes = shapely.buffer(loose, 0.5, cap_style="square")
    return shapely.intersection(shapely.union(kept, spikes), shapely.box(0.0, -_FAR, _FAR, _FAR))


def _noded(segments: Floats, grid: float) -> BaseGeometry:
    """Segments cut at all their crossings, in units of the grid."""
    whole = np.zeros(segments.shape)
    for axis in (0, 1):
        whole[:, [axis, axis + 2]] = np.rint(_welded(segments[:, [axis, axis + 2]]) / grid)
    swap = (whole[:, 0] > whole[:, 2]) | ((whole[:, 0] == whole[:, 2]) & (whole[:, 1] > whole[:, 3]))
    whole[swap] = whole[swap][:, [2, 3, 0, 1]]
    level = whole[:, 1] == whole[:, 3]
    lines = np.vstack([np.unique(whole[~level], axis=0), _joined(whole[level])])
    lines = lines[(lines[:, :2] != lines[:, 2:]).any(axis=1)]
    # Snap rounding: ends that miss a line by less than the grid are joined to it, so no face is left open.
    return shapely.union_all(shapely.linestrings(lines.reshape(-1, 2, 2)), grid_size=1.0)


def _welded(values: Floats) -> Floats:
    """Make values one that differ by less than `_SAME`: the same corner reached by two ways of computing.

    Rounding alone would send such a pair to different grid points where it straddles a tie.
    """
    order = np.argsort(values, axis=None)
    rising = values.reshape(-1)[order]
    first = np.flatnonzero(np.r_[True, np.diff(rising) > _SAME])
    welded = np.zeros(len(rising))
    welded[order] = np.repeat(rising[first], np.diff(np.r_[first, len(rising)]))
    return welded.reshape(values.shape)


def _joined(level: Floats) -> Floats:
    """Horizontal segments, those that overlap at one height made one."""
    if not len(level):
        return level
    order = np.lexsort((level[:, 0], level[:, 1]))
    low, z, high = level[order, 0], level[order, 1], level[order, 2]
    group = np.cumsum(np.r_[False, np.diff(z) != 0.0])
    apart = group * (high.max(initial=0.0) + 2.0)
    reach = np.maximum.accumulate(high + apart)
    starts = np.flatnonzero(np.r_[True, low[1:] + apart[1:] > reach[:-1]][: len(low)])
    stops = np.r_[starts[1:], len(low)] - 1
    return np.column_stack([low[starts], z[starts], (reach - apart)[stops], z[starts]])


def _is_covered(points: Floats, triangles: _Triangles) -> Flags:
    """Tell for points (rho, z), (n, 2), whether their circles meet a triangle or lie inside the solid."""
    covered = np.zeros(len(points), dtype=bool)
    z = triangles.corners[:, :, 2]
    bottom, top = z.min(axis=1), z.max(axis=1)
    rows = max(1, _CHUNK // len(z))
    for begin in range(0, len(points), rows):
        height = points[begin : begin + rows, 1, None]
        which, face = np.nonzero((bottom <= height) & (height <= top) & ~triangles.flat)
        met = _is_met(points[begin + which], face, triangles)
        covered[begin + which[met]] = True
    free = np.flatnonzero(~covered)
    at = np.column_stack([points[free, 0], np.zeros(len(free)), points[free, 1]])
    covered[free] = winding_number(at, triangles.corners) > 0.5
    return covered


def _is_met(points: Floats, face: Ints, triangles: _Triangles) -> Flags:
    """Tell for pairs of a point (rho, z) and a triangle at its height whether the circle meets it."""
    u, a, z = triangles.across[face], triangles.offset[face], triangles.corners[face, :, 2]
    height = points[:, 1]
    low, high = np.full(len(face), np.inf), np.full(len(face), -np.inf)
    distance = np.zeros(len(face))
    for i, j in ((0, 1), (1, 2), (2, 0)):
        rise = z[:, j] - z[:, i]
        share = (height - z[:, i]) / np.where(rise != 0.0, rise, 1.0)
        cut = (rise != 0.0) & (share >= 0.0) & (share <= 1.0)
        across = u[:, i] + share * (u[:, j] - u[:, i])
        low, high = np.where(cut, np.minimum(low, across), low), np.where(cut, np.maximum(high, across), high)
        distance = np.where(cut, a[:, i] + share * (a[:, j] - a[:, i]), distance)
    square = points[:, 0] ** 2 - distance**2
    root = np.sqrt(np.maximum(square, 0.0))
    between = ((low <= root) & (root <= high)) | ((low <= -root) & (-root <= high))
    return (square >= 0.0) & between


def winding_number(points: Floats, corners: Floats) -> Floats:
    """Return how often a closed surface winds round points: 1 inside, 0 outside.

    Solid angle of each triangle seen from the point (Van Oosterom and Strackee, IEEE Trans. Biomed. Eng. 30,
    1983, 125), summed and divided by 4 pi.

    Parameters
    ----------
    points : (n, 3) array
    corners : (m, 3, 3) array
        Corners of the triangles, counter-clockwise seen from outside.
    """
    turns = np.zeros(len(points))
    for number, point in enumerate(points):
        a, b, c = (corners[:, k] - point for k in range(3))
        la, lb, lc = (np.linalg.norm(v, axis=1) for v in (a, b, c))
        triple = np.einsum("ij,ij->i", a, np.cross(b, c))
        ab, bc, ca = ((p * q).sum(axis=1) for p, q in ((a, b), (b, c), (c, a)))
        turns[number] = np.arctan2(triple, la * lb * lc + ab * lc + bc * la + ca * lb).sum() / (2.0 * np.pi)
    return turns

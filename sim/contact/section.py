"""Triangles over the (r, z) half section of any turned part, fine behind the gripped surface.

Rows of points run parallel to the gripped surface, thin at the surface and as wide as the bands: high harmonics of
the pressure reach no deeper than R/n. The rest is filled with points whose spacing grows with the distance from
the surface and never exceeds a third of the local wall. Delaunay triangulation does the rest; edges of the outline that
it misses are split until it has them all.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
import shapely
from scipy.spatial import Delaunay, QhullError, cKDTree

from sim.base.arrays import Flags, Floats, Ints
from sim.contact.bodies import TurnedPart

_GROWTH = 0.35  # growth of the spacing per mm of distance
_TOUCH = 1e-7  # mm; points nearer than this are one point


@dataclass(frozen=True, slots=True)
class GrippedSurface:
    """The straight piece of the outline that the jaws meet.

    Attributes
    ----------
    z_low_mm, z_high_mm : float
        Its ends.
    radius_mm : float
        At z = 0 of its line, which runs on straight.
    slope : float
        Change of the radius per mm of z.
    """

    z_low_mm: float
    z_high_mm: float
    radius_mm: float
    slope: float = 0.0

    def radius_at(self, z_mm: Floats) -> Floats:
        """Radius at heights z, mm."""
        return np.asarray(self.radius_mm + self.slope * z_mm, dtype=np.float64)


def gripped_surface(part: TurnedPart, radius_mm: float, z_low_mm: float, z_high_mm: float) -> GrippedSurface:
    """Find the longest edge of the outline that the jaws meet, within 1 % or 0.5 mm of a radius.

    Parameters
    ----------
    part : TurnedPart
        The body.
    radius_mm : float
        Nominal radius of the gripped surface.
    z_low_mm, z_high_mm : float
        Height that the jaw face offers; the surface is clipped to it.

    Raises
    ------
    ValueError
        When no such edge exists.
    """
    start, end = part.outline_mm, np.roll(part.outline_mm, -1, axis=0)
    low = np.maximum(np.minimum(start[:, 1], end[:, 1]), z_low_mm)
    high = np.minimum(np.maximum(start[:, 1], end[:, 1]), z_high_mm)
    rise = np.where(np.abs(end[:, 1] - start[:, 1]) > _TOUCH, end[:, 1] - start[:, 1], np.inf)
    slope = (end[:, 0] - start[:, 0]) / rise
    at_zero = start[:, 0] - slope * start[:, 1]
    radius = at_zero + slope * 0.5 * (low + high)
    steep = np.abs(end[:, 0] - start[:, 0]) <= 0.1 * np.abs(end[:, 1] - start[:, 1])
    meets = steep & (np.abs(radius - radius_mm) <= max(0.5, 0.01 * radius_mm)) & (high - low > _TOUCH)
    if not meets.any():
        raise ValueError(
            f"the part's outline has no turned surface of radius {radius_mm:g} mm between z = {z_low_mm:g} and "
            f"{z_high_mm:g} mm, where the jaws meet it"
        )
    best = int(np.argmax(np.where(meets, high - low, 0.0)))
    return GrippedSurface(float(low[best]), float(high[best]), float(at_zero[best]), float(slope[best]))


def _outline_with(part: TurnedPart, points: Floats) -> tuple[shapely.Polygon, Floats]:
    """Polygon of the part and its corners with `points` that lie on its edges put in between."""
    polygon = shapely.Polygon(part.outline_mm)
    if not polygon.is_valid:
        raise ValueError(
            f"the part's outline is not a simple closed line: {shapely.is_valid_reason(polygon)}"
        )
    corners = np.asarray(polygon.exterior.coords[:-1])
    rows = []
    for a, b in zip(corners, np.roll(corners, -1, axis=0), strict=True):
        along = b - a
        share = (points - a) @ along / (along @ along)
        off = np.linalg.norm(points - a - share[:, None] * along, axis=1)
        inner = np.unique(share[(off < 1e-6) & (share > 1e-9) & (share < 1.0 - 1e-9)])
        rows.append(a + np.concatenate([[0.0], inner])[:, None] * along)
    return polygon, np.concatenate(rows)


def _grip_rows(
    polygon: shapely.Polygon,
    surface: GrippedSurface,
    heights: Floats,
    inward: float,
    finest: float,
    wall: float,
) -> Floats:
    """Points (k, 2) in rows behind the gripped surface, first row on it."""
    widest = float(np.diff(heights).max())
    steps, depth = [0.0], finest
    while depth < min(4.0 * widest, 0.6 * wall):
        steps.append(depth)
        depth += min(widest, 0.2 * wall, 0.6 * depth + finest)
    depths, z = np.meshgrid(steps, heights, indexing="ij")
    r = surface.radius_at(z) - inward * depths
    points = np.column_stack([r.ravel(), z.ravel()])
    thickness = np.repeat(np.diff(steps, prepend=-finest), heights.size)
    room = shapely.distance(polygon.exterior, shapely.points(points))
    inside = shapely.contains_xy(polygon, points[:, 0], points[:, 1]) & (room > 0.5 * thickness)
    on_outline = room < 1e-6
    return points[inside | on_outline]


def _size_sources(polygon: shapely.Polygon, rows: Floats, band: float) -> tuple[Floats, Floats]:
    """Places (k, 2) and the spacing wanted there (k,): the gripped rows, and a third of the wall along the outline."""
    left, bottom, right, top = polygon.bounds
    reach = math.hypot(right - left, top - bottom)
    exterior = shapely.segmentize(polygon.exterior, reach / 40.0)
    ring = np.asarray(exterior.coords)
    if not shapely.is_ccw(polygon.exterior):
        ring = ring[::-1]
    middle, along = 0.5 * (ring[1:] + ring[:-1]), np.diff(ring, axis=0)
    inward = np.column_stack([-along[:, 1], along[:, 0]]) / np.linalg.norm(along, axis=1)[:, None]
    rays = shapely.linestrings(np.stack([middle + 1e-6 * reach * inward, middle + reach * inward], axis=1))
    hits = shapely.intersection(rays, polygon.exterior)
    walls = shapely.distance(shapely.points(middle), hits)
    walls = np.where(np.isfinite(walls) & (walls > 0.0), walls, reach)
    # Waves around a small bore are short too; faces and the axis of a solid part are none.
    turned = (np.abs(inward[:, 0]) > 0.5) & (middle[:, 0] > 1e-6 * reach)
    curved = np.where(turned, 0.4 * middle[:, 0], reach)
    sizes = np.maximum(np.minimum(walls / 3.0, curved), 0.15 * band)
    return np.concatenate([middle, rows]), np.concatenate([sizes, np.full(len(rows), band)])


def _sizes_at(points: Floats, places: Floats, wanted: Floats, largest: float) -> Floats:
    """Return the spacing at `points` (n,): the least of each source's plus its growth with distance."""
    size = np.full(len(points), largest)
    for row in range(0, len(points), 2000):
        part = points[row : row + 2000]
        distance = np.linalg.norm(part[:, None, :] - places[None, :, :], axis=2)
        size[row : row + 2000] = np.minimum(size[row : row + 2000], (wanted + _GROWTH * distance).min(axis=1))
    return size


def _subdivided(heights: Floats, step: float) -> Floats:
    """Edges of the bands with each band divided evenly into pieces no longer than `step`."""
    pieces = [np.linspace(a, b, math.ceil((b - a) / step - 1e-9) + 1)[:-1] for a, b in pairwise(heights)]
    return np.concatenate([*pieces, heights[-1:]])


def _wall_behind(polygon: shapely.Polygon, surface: GrippedSurface, heights: Floats, inward: float) -> float:
    """Least thickness of the material behind the gripped surface, mm."""
    z = np.linspace(heights[0], heights[-1], 33)[1:-1]
    left, _, right, _ = polygon.bounds
    start = np.column_stack([surface.radius_at(z) - inward * 1e-6 * (right - left), z])
    end = start - np.array([inward * 2.0 * (right - left), 0.0])
    hits = shapely.intersection(shapely.linestrings(np.stack([start, end], axis=1)), polygon.exterior)
    walls = shapely.distance(shapely.points(start), hits)
    return float(np.nanmin(np.where(np.isfinite(walls) & (walls > 0.0), walls, right - left)))


def _divided(corners: Floats, places: Floats, wanted: Floats, largest: float, kept: Floats) -> Floats:
    """Corners of the outline with every edge divided to the spacing along it, save those between `kept` points."""
    whole = cKDTree(kept).query(corners)[0] < 1e-6
    rows = []
    following = np.roll(corners, -1, axis=0)
    for a, b, keep in zip(corners, following, whole & np.roll(whole, -1), strict=True):
        length = float(np.linalg.norm(b - a))
        samples = np.linspace(0.0, 1.0, 65)
        size = _sizes_at(a + samples[:, None] * (b - a), places, wanted, largest)
        count = np.concatenate([[0.0], np.cumsum(length / 64.0 * 0.5 * (1.0 / size[1:] + 1.0 / size[:-1]))])
        pieces = 1 if keep else max(1, round(float(count[-1])))
        shares = np.interp(np.linspace(0.0, count[-1], pieces + 1)[:-1], count, samples)
        rows.append(a + shares[:, None] * (b - a))
    return np.concatenate(rows)


def _filling(polygon: shapely.Polygon, places: Floats, wanted: Floats, largest: float) -> Floats:
    """Points inside the polygon at the wanted spacing: centres of a tree of squares, split until small enough."""
    left, bottom, right, top = polygon.bounds
    side = max(right - left, top - bottom)
    squares = np.array([[0.5 * (left + right), 0.5 * (bottom + top)]])
    kept = []
    while len(squares):
        small = _sizes_at(squares, places, wanted, largest) >= side
        kept.append(squares[small])
        quarter = 0.25 * side * np.array([[-1.0, -1.0], [1.0, -1.0], [-1.0, 1.0], [1.0, 1.0]])
        squares = (squares[~small][:, None, :] + quarter[None, :, :]).reshape(-1, 2)
        side *= 0.5
        squares = squares[shapely.dwithin(polygon, shapely.points(squares), side)]
    points = np.concatenate(kept)
    return np.asarray(points[shapely.contains_xy(polygon, points[:, 0], points[:, 1])], dtype=np.float64)


def _triangles(points: Floats, polygon: shapely.Polygon) -> Ints:
    try:
        found = Delaunay(points).simplices
    except QhullError as error:
        raise ValueError("the part's outline encloses no area that can be divided") from error
    a, b, c = (points[found[:, k]] for k in range(3))
    area = 0.5 * np.abs((b - a)[:, 0] * (c - a)[:, 1] - (b - a)[:, 1] * (c - a)[:, 0])
    longest = np.max([((p - q) ** 2).sum(axis=1) for p, q in ((a, b), (b, c), (c, a))], axis=0)
    centre = (a + b + c) / 3.0
    inside = shapely.contains_xy(polygon, centre[:, 0], centre[:, 1])
    return np.asarray(found[inside & (area > 1e-6 * longest)], dtype=np.int64)


def _missing(count: int, triangles: Ints) -> Ints:
    """Numbers of the outline's edges (i, i + 1) that no triangle has."""
    pairs = np.sort(
        np.concatenate([triangles[:, [0, 1]], triangles[:, [1, 2]], triangles[:, [2, 0]]]), axis=1
    )
    have = {(int(i), int(j)) for i, j in pairs[(pairs < count).all(axis=1)]}
    edges = [tuple(sorted((i, (i + 1) % count))) for i in range(count)]
    return np.array([i for i, edge in enumerate(edges) if edge not in have], dtype=np.int64)


def section_triangles(
    part: TurnedPart,
    surface: GrippedSurface,
    heights_mm: Floats,
    *,
    inside: bool = False,
    finest_mm: float | None = None,
) -> tuple[Floats, Ints]:
    """Divide the part's half section into triangles.

    Parameters
    ----------
    part : TurnedPart
        The body.
    surface : GrippedSurface
        The gripped surface.
    heights_mm : (nz + 1,) array
        Edges of the bands on it.
    inside : bool
        True when the part is gripped in its bore.
    finest_mm : float or None
        Depth of the first row behind the gripped surface; R/120 when None.

    Returns
    -------
    points (n, 2) of r and z in mm, and triangles (m, 3) of their numbers. The edges of the bands are points.

    Raises
    ------
    ValueError
        When the outline crosses itself or cannot be divided.
    """
    polygon = shapely.Polygon(part.outline_mm)
    inward = -1.0 if inside else 1.0
    wall = _wall_behind(polygon, surface, heights_mm, inward)
    heights = _subdivided(heights_mm, max(0.5 * wall, 0.15 * float(np.diff(heights_mm).max())))
    band = float(np.diff(heights).max())
    finest = min(band, surface.radius_mm / 120.0 if finest_mm is None else finest_mm)
    rows = _grip_rows(polygon, surface, heights, inward, finest, wall)
    polygon, corners = _outline_with(part, rows)
    places, wanted = _size_sources(polygon, rows, band)
    left, bottom, right, top = polygon.bounds
    largest = max(band, 0.15 * max(right - left, top - bottom))
    kept = np.column_stack([surface.radius_at(heights), heights])
    outline = _divided(corners, places, wanted, largest, kept)
    filling = _filling(polygon, places, wanted, largest)
    filling = filling[~_among_rows(filling, rows, surface, heights, inward)]
    return _conforming(polygon, outline, rows, filling, _sizes_at(filling, places, wanted, largest))


def _among_rows(
    points: Floats, rows: Floats, surface: GrippedSurface, heights: Floats, inward: float
) -> Flags:
    """Flag points that lie in or near the block of whole rows behind the gripped surface."""
    depths, count = np.unique(
        np.round(inward * (surface.radius_at(rows[:, 1]) - rows[:, 0]), 6), return_counts=True
    )
    deepest = float(depths[count == heights.size].max())
    margin = 0.5 * float(np.diff(heights).max())
    depth, z = inward * (surface.radius_at(points[:, 1]) - points[:, 0]), points[:, 1]
    near = (depth < deepest + margin) & (z > heights[0] - margin) & (z < heights[-1] + margin)
    return np.asarray(near, dtype=np.bool_)


def _conforming(
    polygon: shapely.Polygon, outline: Floats, rows: Floats, filling: Floats, size: Floats
) -> tuple[Floats, Ints]:
    """Triangulate so that every edge of the outline is an edge of a triangle."""
    rows = rows[shapely.distance(polygon.exterior, shapely.points(rows)) > 1e-6]
    if len(rows):
        clear = cKDTree(rows).query(filling)[0] > 0.6 * size
        filling, size = filling[clear], size[clear]
    for _ in range(12):
        spacing = np.linalg.norm(outline - np.roll(outline, -1, axis=0), axis=1)
        near, which = cKDTree(outline).query(filling)
        room = shapely.distance(polygon.exterior, shapely.points(filling))
        inner = filling[
            (room > 0.45 * np.minimum(size, 2.0 * spacing[which])) & (near > 0.5 * spacing[which])
        ]
        points = np.concatenate([outline, rows, inner])
        triangles = _triangles(points, polygon)
        missing = _missing(len(outline), triangles)
        if not missing.size:
            used = np.unique(triangles)
            number = np.full(len(points), -1)
            number[used] = np.arange(used.size)
            return points[used], np.asarray(number[triangles], dtype=np.int64)
        middles = 0.5 * (outline[missing] + outline[(missing + 1) % len(outline)])
        outline = np.insert(outline, missing + 1, middles, axis=0)
    raise ValueError(
        "the part's outline could not be divided into triangles: it is too thin or too jagged somewhere"
    )

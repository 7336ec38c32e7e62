"""Solids of revolution about the spindle axis from a closed (r, z) outline, whole or a sector.

Facets are volume-true: the vertices of a section of n facets stand at r sqrt((2 pi / n) / sin(2 pi / n))
instead of r, so that every flat facet encloses exactly the area of its arc and Pappus' volume holds
whatever n is. The facets then cross the true circle: to first order their edges stand r (pi / n)^2 / 3
outside it and their middles r (pi / n)^2 / 6 inside (n = 1024, r = 60 mm: 0.19 and 0.09 micrometres).
"""

from __future__ import annotations

import math

import manifold3d
import numpy as np
import shapely
import trimesh
from numpy.typing import ArrayLike, NDArray

SECTIONS = 256


def facet_factor(step: float) -> float:
    """Return by how much vertices stand outside the true radius for facets of `step` rad."""
    return math.sqrt(step / math.sin(step))


def revolve(
    outline: ArrayLike, sections: int = SECTIONS, sector: tuple[float, float] | None = None
) -> trimesh.Trimesh:
    """Return the watertight solid that a closed outline sweeps about the z axis.

    Parameters
    ----------
    outline : (n, 2) array_like
        (r, z) in mm, r >= 0, either sense of rotation, first point not repeated. It may touch the axis in
        points or edges.
    sections : int
        Facets per full turn, at least 8.
    sector : (start, end), optional
        Angles in rad that bound the solid; without it the turn is full.

    Raises
    ------
    ValueError
        If the outline crosses itself, has no area or reaches across the axis, or the sections are too few.
    """
    points = checked_outline(outline)
    if sections < 8:
        raise ValueError(f"a solid of revolution needs at least 8 sections, found {sections}")
    start, end = (0.0, 2.0 * math.pi) if sector is None else sector
    # A whole number of facets must stay that number in spite of rounding.
    count = max(1, math.ceil(sections * (end - start) / (2.0 * math.pi) - 1e-9))
    step = (end - start) / count
    rings = count if sector is None else count + 1
    turn = start + step * np.arange(rings)
    radius = points[:, 0] * facet_factor(step)
    vertices = np.zeros((rings, len(points), 3))
    vertices[:, :, 0] = np.cos(turn)[:, None] * radius
    vertices[:, :, 1] = np.sin(turn)[:, None] * radius
    vertices[:, :, 2] = points[:, 1]
    # A point on the axis is one vertex for the whole turn: every ring uses the first ring's.
    names = np.arange(rings * len(points)).reshape(rings, len(points))
    names[:, points[:, 0] == 0.0] = names[0, points[:, 0] == 0.0]
    faces = _side_faces(names, points[:, 0] == 0.0, closed=sector is None)
    if sector is not None:
        cap = _cap_faces(points)
        faces = np.vstack([faces, names[0][cap], names[-1][cap[:, ::-1]]])
    used, faces = np.unique(faces, return_inverse=True)
    return trimesh.Trimesh(
        vertices=vertices.reshape(-1, 3)[used], faces=faces.reshape(-1, 3), process=False, validate=False
    )


def checked_outline(outline: ArrayLike) -> NDArray[np.float64]:
    """Return the outline as (n, 2) float array, counter-clockwise in (r, z), or say why it bounds no solid.

    Raises
    ------
    ValueError
        If it is not (n, 2) and finite, reaches across the axis, crosses itself or encloses no area.
    """
    points = np.array(outline, dtype=np.float64)
    if points.ndim != 2 or points.shape[1] != 2 or len(points) < 3:
        raise ValueError(f"an outline must be three or more (r, z) points, found shape {points.shape}")
    if not np.isfinite(points).all():
        raise ValueError("an outline must consist of finite numbers, found one that is not")
    if len(points) > 3 and np.array_equal(points[0], points[-1]):
        points = points[:-1]
    points[np.abs(points[:, 0]) < 1e-9, 0] = 0.0  # rounding, as of r cos 90 deg, is on the axis
    if points[:, 0].min() < 0.0:
        raise ValueError(f"an outline must keep to r >= 0 mm, found r = {points[:, 0].min():g} mm")
    polygon = shapely.Polygon(points)
    if not polygon.is_valid or polygon.area <= 0.0:
        reason = shapely.is_valid_reason(polygon) if not polygon.is_valid else "it encloses no area"
        raise ValueError(f"an outline must not cross or touch itself, found: {reason}")
    return points if polygon.exterior.is_ccw else points[::-1].copy()


def volume_by_pappus(outline: ArrayLike) -> float:
    """Return the volume (mm3) of the full turn: area times the path of its centroid (Pappus)."""
    polygon = shapely.Polygon(checked_outline(outline))
    return 2.0 * math.pi * polygon.centroid.x * polygon.area


def _side_faces(names: NDArray[np.int64], on_axis: NDArray[np.bool_], *, closed: bool) -> NDArray[np.int64]:
    """Triangles of the swept sides; `names` (rings, points) are vertex indices."""
    following = np.roll(names, -1, axis=0) if closed else names[1:]
    here = names if closed else names[:-1]
    a, b = here, np.roll(here, -1, axis=1)
    c, d = np.roll(following, -1, axis=1), following
    start_on, end_on = on_axis, np.roll(on_axis, -1)
    lower = ~(start_on & end_on) & ~start_on  # triangle a d c vanishes where its point a lies on the axis
    upper = ~(start_on & end_on) & ~end_on  # triangle a c b vanishes where its point b lies on the axis
    first = np.stack([a[:, lower], d[:, lower], c[:, lower]], axis=-1).reshape(-1, 3)
    second = np.stack([a[:, upper], c[:, upper], b[:, upper]], axis=-1).reshape(-1, 3)
    return np.vstack([first, second])


def _cap_faces(points: NDArray[np.float64]) -> NDArray[np.int64]:
    """Triangles of the flat outline, counter-clockwise in (r, z), as indices of its own points."""
    return np.asarray(manifold3d.triangulate([points]), dtype=np.int64)

"""A rendered picture as SVG: shading as an embedded picture, visible edges as lines that stay sharp at any size.

Which edges are seen is read from the depth of the same rendering: sharp edges, and the outlines of round bodies.
"""

from __future__ import annotations

import base64
import io
from collections.abc import Sequence
from html import escape

import numpy as np
import trimesh
from PIL import Image

from sim.assessment.results import CAUTIONS
from sim.base.arrays import Floats
from sim.views.camera import Camera, axes, projected
from sim.views.colours import EDGE
from sim.views.layer import Layer, Picture
from sim.views.packing import packed

STEP = 2.0  # pixels between the points of an edge that are tried
BEHIND = 0.004  # share of the distance to the eye by which an edge may lie behind the surface seen there
WIDTH = 1.1  # pixels of a line


def as_svg(picture: Picture, depth: Floats, layers: Sequence[Layer], camera: Camera, title: str) -> str:
    """Return a picture with its visible edges as SVG.

    Parameters
    ----------
    picture : (height, width, 3 or 4) array of uint8
    depth : (height, width) array
        Distance from the eye along the line of sight, mm; inf where nothing is.
    layers, camera : sequence of Layer, Camera
        What was drawn, from where.
    title : str
        Read aloud; the cautions follow as its description.
    """
    height, width = picture.shape[:2]
    file = io.BytesIO()
    Image.fromarray(picture).save(file, format="PNG", compress_level=9)
    data = base64.b64encode(file.getvalue()).decode("ascii")
    lines = "".join(_path(points) for points in visible_edges(depth, layers, camera))
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {width} {height}" width="{width}" height="{height}" '
        f'role="img"><title>{escape(title)}</title><desc>{escape(" ".join(CAUTIONS))}</desc>'
        f'<image href="data:image/png;base64,{data}" width="{width}" height="{height}"/>'
        f'<path d="{lines}" fill="none" stroke="{EDGE}" stroke-width="{WIDTH}" stroke-linecap="round" '
        'stroke-linejoin="round" opacity="0.8"/></svg>\n'
    )


def visible_edges(depth: Floats, layers: Sequence[Layer], camera: Camera) -> list[Floats]:
    """Return the parts of edges that are seen, each as points (n, 2) in pixels from the top left."""
    found: list[Floats] = []
    for layer in layers:
        if layer.edges and layer.opacity >= 1.0:
            sharp, more = packed(layer.mesh).edges.astype(np.float64), layer.lines
            ends = np.concatenate([sharp, outlines(layer.mesh, camera), *([] if more is None else [more])])
            if len(ends):
                found += _seen(ends, depth, camera)
    return found


def outlines(mesh: trimesh.Trimesh, camera: Camera) -> Floats:
    """Return the edges (n, 2, 3) between a face that looks to the eye and one that looks away."""
    vertices = np.asarray(mesh.vertices)
    towards = (
        np.einsum("ij,ij->i", np.asarray(mesh.face_normals), np.array(camera.eye) - mesh.triangles_center)
        > 0.0
    )
    pairs, ends = np.asarray(mesh.face_adjacency), np.asarray(mesh.face_adjacency_edges)
    turning = towards[pairs[:, 0]] != towards[pairs[:, 1]]
    found: Floats = vertices[ends[turning]]
    return found


def distances(camera: Camera, points: Floats) -> Floats:
    """Return how far points (n, 3) lie from the eye along the line of sight, mm."""
    back = axes(np.array(camera.eye) - np.array(camera.focus), camera.up)[2]
    away: Floats = (np.array(camera.eye) - points) @ back
    return away


def _seen(ends: Floats, depth: Floats, camera: Camera) -> list[Floats]:
    """Try points along edges against the depth, and return the runs of those that are seen."""
    height, width = depth.shape
    size = (width, height)
    nearest = _nearest_around(depth)
    starts, stops = projected(camera, ends[:, 0], size), projected(camera, ends[:, 1], size)
    counts = np.maximum(2, np.ceil(np.hypot(*(stops - starts).T) / STEP).astype(int) + 1)
    first = np.cumsum(counts) - counts
    edge = np.repeat(np.arange(len(ends)), counts)
    share = (np.arange(len(edge)) - first[edge]) / (counts[edge] - 1)
    points = ends[edge, 0] + share[:, None] * (ends[edge, 1] - ends[edge, 0])
    at = projected(camera, points, size)
    column, row = np.rint(at[:, 0]).astype(int), np.rint(at[:, 1]).astype(int)
    inside = (column >= 0) & (column < width) & (row >= 0) & (row < height)
    away = distances(camera, points)
    seen = np.zeros(len(points), dtype=bool)
    seen[inside] = away[inside] <= nearest[row[inside], column[inside]] * (1.0 + BEHIND)
    # A run ends where the next point is not seen or is of the next edge.
    parted = np.flatnonzero((np.diff(seen) != 0) | (np.diff(edge) != 0)) + 1
    begins, stops_at = np.concatenate([[0], parted]), np.concatenate([parted, [len(edge)]]) - 1
    shown = seen[begins] & (stops_at > begins)
    return [at[[begin, end]] for begin, end in zip(begins[shown], stops_at[shown], strict=True)]


def _nearest_around(depth: Floats) -> Floats:
    """Return the farthest depth in a pixel and its neighbours: an edge lies between two surfaces, on the nearer one."""
    padded = np.pad(depth, 1, mode="edge")
    height, width = depth.shape
    shifts = [padded[r : r + height, c : c + width] for r in range(3) for c in range(3)]
    return np.asarray(np.max(shifts, axis=0))


def _path(points: Floats) -> str:
    (x0, y0), (x1, y1) = np.round(points, 1).tolist()
    return f"M{x0:g} {y0:g}L{x1:g} {y1:g}"

"""Solids packed for the page: corners with normals, triangles and sharp edges as little-endian arrays in base64.

The page copies them into its buffers as they are. Normals are smooth over gentle bends and split at sharp edges, so
that a turned face of many facets looks turned and an edge looks like one.
"""

from __future__ import annotations

import base64
import math
from dataclasses import dataclass
from typing import Any

import numpy as np
import trimesh
from numpy.typing import NDArray

from sim.base.arrays import Floats, Ints

CREASE = math.radians(28.0)  # a bend sharper than this is an edge, as in the rendered pictures
_SAME = 6  # decimals of a millimetre to which corners count as one


@dataclass(frozen=True, slots=True, eq=False)
class Packed:
    """A surface ready to be drawn.

    Attributes
    ----------
    positions : (n, 3) float32
        mm.
    normals : (n, 3) float32
        Unit.
    triangles : (m, 3) uint32
    edges : (k, 2, 3) float32
        Ends of the sharp edges, mm.
    """

    positions: NDArray[np.float32]
    normals: NDArray[np.float32]
    triangles: NDArray[np.uint32]
    edges: NDArray[np.float32]


def packed(mesh: trimesh.Trimesh, crease: float = CREASE) -> Packed:
    """Return a mesh with normals that are split where it bends by more than `crease` (rad)."""
    vertices, faces = _merged(mesh)
    normals, areas = _face_normals(vertices, faces)
    kept = areas > 1e-12
    faces, normals = faces[kept], normals[kept]
    at_corners = _corner_normals(vertices, faces, normals, crease)
    corners = np.column_stack([faces.reshape(-1), np.rint(at_corners * 8192.0)]).astype(np.int64)
    unique, index = np.unique(corners, axis=0, return_inverse=True)
    shown = unique[:, 1:] / np.linalg.norm(unique[:, 1:], axis=1, keepdims=True)
    return Packed(
        vertices[unique[:, 0]].astype(np.float32),
        shown.astype(np.float32),
        index.reshape(-1, 3).astype(np.uint32),
        _sharp_edges(vertices, faces, normals, crease).astype(np.float32),
    )


def encoded(surface: Packed) -> dict[str, Any]:
    """Return a surface as the page reads it: counts and base64 of float32, int16 (4 a normal) and uint32."""
    normals = np.zeros((len(surface.normals), 4), dtype="<i2")
    normals[:, :3] = np.rint(surface.normals * 32767.0)
    return {
        "positions": base64_of(surface.positions.astype("<f4")),
        "normals": base64_of(normals),
        "triangles": base64_of(surface.triangles.astype("<u4")),
        "edges": base64_of(surface.edges.astype("<f4")),
    }


def base64_of(array: NDArray[Any]) -> str:
    """Return the bytes of an array as base64 text."""
    return base64.b64encode(np.ascontiguousarray(array).tobytes()).decode("ascii")


def _merged(mesh: trimesh.Trimesh) -> tuple[Floats, Ints]:
    """Vertices once each, so that triangles know their neighbours; no triangle with two corners in one place."""
    rounded = np.asarray(mesh.vertices, dtype=np.float64).round(_SAME)
    vertices, inverse = np.unique(rounded, axis=0, return_inverse=True)
    faces = inverse.reshape(-1)[np.asarray(mesh.faces)].astype(np.int64)
    whole = (faces[:, 0] != faces[:, 1]) & (faces[:, 1] != faces[:, 2]) & (faces[:, 2] != faces[:, 0])
    return vertices, faces[whole]


def _face_normals(vertices: Floats, faces: Ints) -> tuple[Floats, Floats]:
    a, b, c = (vertices[faces[:, k]] for k in range(3))
    across = np.cross(b - a, c - a)
    length = np.linalg.norm(across, axis=1)
    return across / np.maximum(length, 1e-300)[:, None], 0.5 * length


def _corner_normals(vertices: Floats, faces: Ints, normals: Floats, crease: float) -> Floats:
    """Return normals (3 m, 3) at the corners: the mean, by angle, of the faces around that bend gently."""
    corner_of = faces.reshape(-1)
    face_of = np.repeat(np.arange(len(faces)), 3)
    weights = _corner_angles(vertices, faces).reshape(-1)
    order = np.argsort(corner_of, kind="stable")
    starts = np.flatnonzero(np.r_[True, np.diff(corner_of[order]) != 0])
    counts = np.diff(np.r_[starts, len(order)])
    summed = np.zeros((len(corner_of), 3))
    limit = math.cos(crease)
    # All pairs of corners that meet in one vertex, vertices of one count at a time.
    for count in np.unique(counts):
        groups = order[starts[counts == count][:, None] + np.arange(count)]
        own = normals[face_of[groups]]
        alike = np.einsum("gik,gjk->gij", own, own) >= limit
        weighted = own * weights[groups][:, :, None]
        summed[groups] = np.einsum("gij,gjk->gik", alike, weighted)
    length = np.linalg.norm(summed, axis=1)
    return np.where(length[:, None] > 1e-12, summed / np.maximum(length, 1e-12)[:, None], normals[face_of])


def _corner_angles(vertices: Floats, faces: Ints) -> Floats:
    angles = np.zeros(faces.shape)
    for k in range(3):
        here = vertices[faces[:, k]]
        one, other = vertices[faces[:, (k + 1) % 3]] - here, vertices[faces[:, (k + 2) % 3]] - here
        sine = np.linalg.norm(np.cross(one, other), axis=1)
        angles[:, k] = np.arctan2(sine, np.einsum("ij,ij->i", one, other))
    return angles


def _sharp_edges(vertices: Floats, faces: Ints, normals: Floats, crease: float) -> Floats:
    """Return the ends (k, 2, 3) of edges between faces that bend by more than the crease, and of open edges."""
    ends = np.sort(np.vstack([faces[:, [0, 1]], faces[:, [1, 2]], faces[:, [2, 0]]]), axis=1)
    face = np.tile(np.arange(len(faces)), 3)
    order = np.lexsort((ends[:, 1], ends[:, 0]))
    ends, face = ends[order], face[order]
    starts = np.flatnonzero(np.r_[True, (np.diff(ends, axis=0) != 0).any(axis=1)])
    counts = np.diff(np.r_[starts, len(ends)])
    pairs = starts[counts == 2]
    bend = np.einsum("ij,ij->i", normals[face[pairs]], normals[face[pairs + 1]])
    kept = np.concatenate([pairs[bend < math.cos(crease)], starts[counts == 1]])
    found: Floats = vertices[ends[kept]]
    return found

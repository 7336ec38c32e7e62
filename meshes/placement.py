"""Rigid placements as 4x4 matrices (mm, rad): of bodies about the spindle axis z, and of jaws."""

from __future__ import annotations

import math

import numpy as np
import trimesh
from numpy.typing import NDArray

JAW_COUNT = 3
JAW_SPACING = 2.0 * math.pi / JAW_COUNT


def translation(x: float, y: float, z: float) -> NDArray[np.float64]:
    """Return the 4x4 matrix that moves by (x, y, z) mm."""
    matrix = np.eye(4)
    matrix[:3, 3] = (x, y, z)
    return matrix


def rotation_z(angle: float) -> NDArray[np.float64]:
    """Return the 4x4 matrix that turns by `angle` (rad) about z, counter-clockwise from the tailstock."""
    matrix = np.eye(4)
    cosine, sine = math.cos(angle), math.sin(angle)
    matrix[:2, :2] = ((cosine, -sine), (sine, cosine))
    return matrix


def jaw_placement(index: int, inner_end_radius: float) -> NDArray[np.float64]:
    """Return the placement of jaw `index` (0, 1, 2) with its inner end at a radius (mm) from the axis.

    It is Rz(120 deg * index) after a move of the jaw frame outward along x.
    """
    return rotation_z(JAW_SPACING * index) @ translation(inner_end_radius, 0.0, 0.0)


def placed(solid: trimesh.Trimesh, placement: NDArray[np.float64]) -> trimesh.Trimesh:
    """Return a copy of the solid moved by a rigid placement; the solid given stays as it is."""
    vertices = np.asarray(solid.vertices) @ placement[:3, :3].T + placement[:3, 3]
    return trimesh.Trimesh(vertices=vertices, faces=np.array(solid.faces), process=False, validate=False)

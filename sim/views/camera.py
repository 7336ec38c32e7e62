"""Where a picture is taken from, fitted to what it shows; points of the scene to points of the picture.

The picture's right, up and towards are a right-handed triad; lengths in mm, pixels counted from the top left.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Literal

import numpy as np
import trimesh
from numpy.typing import ArrayLike

from meshes.points import Vector
from sim.base.arrays import Floats

Preset = Literal["three-quarter", "spindle", "side"]

# Direction from what is seen to the eye, and what is up in the picture (x: through jaw 1). The chuck stands left, the
# tailstock right, as turners draw it.
_DIRECTIONS: dict[Preset, tuple[Vector, Vector]] = {
    "three-quarter": ((0.42, 0.80, 0.62), (1.0, 0.0, 0.0)),
    "spindle": ((0.0, 0.0, 1.0), (1.0, 0.0, 0.0)),
    "side": ((0.0, 1.0, 0.0), (1.0, 0.0, 0.0)),
}
VIEW_ANGLE = 24.0  # deg, from the top to the bottom of the picture


@dataclass(frozen=True, slots=True)
class Camera:
    """A pinhole camera: eye, the point it looks at, what is up, and the angle from top to bottom (deg)."""

    eye: Vector
    focus: Vector
    up: Vector
    angle: float = VIEW_ANGLE


def axes(towards: ArrayLike, up: ArrayLike) -> Floats:
    """Return right, up and towards (3, 3), unit rows, of a camera with a direction to the eye and an up."""
    back = np.asarray(towards, dtype=np.float64)
    back = back / np.linalg.norm(back)
    right = np.cross(np.asarray(up, dtype=np.float64), back)
    right /= np.linalg.norm(right)
    return np.stack([right, np.cross(back, right), back])


def fitted(
    points: ArrayLike, towards: Vector, up: Vector, size: tuple[int, int], fill: float = 0.94
) -> Camera:
    """Return the camera that sees all points (n, 3) and fills `fill` of the picture (width, height)."""
    seen = np.asarray(points, dtype=np.float64) @ axes(towards, up).T
    tall = math.tan(math.radians(0.5 * VIEW_ANGLE)) * fill
    wide = tall * size[0] / size[1]
    # A point is inside the picture if |x - cx| <= wide (depth to the eye), and so for y: in each direction two
    # slanted lines bound the eye's place, and their crossing is the nearest eye.
    eye = np.zeros(3)
    near = []
    for axis, slope in ((0, wide), (1, tall)):
        high = float((seen[:, axis] + slope * seen[:, 2]).max())
        low = float((-seen[:, axis] + slope * seen[:, 2]).max())
        eye[axis] = 0.5 * (high - low)
        near.append(0.5 * (high + low) / slope)
    eye[2] = max(near)
    depth = float(seen[:, 2].mean())
    frame = axes(towards, up)
    place, look = eye @ frame, np.array([eye[0], eye[1], depth]) @ frame
    return Camera(_vector(place), _vector(look), up)


def preset(name: Preset, meshes: Iterable[trimesh.Trimesh], size: tuple[int, int]) -> Camera:
    """Return one of the named cameras, fitted to the meshes."""
    towards, up = _DIRECTIONS[name]
    points = np.vstack([mesh.vertices for mesh in meshes])
    return fitted(points, towards, up, size)


def projected(camera: Camera, points: ArrayLike, size: tuple[int, int]) -> Floats:
    """Return where points (n, 3) are seen in a picture of (width, height) pixels: (n, 2) from the top left."""
    eye, focus = np.array(camera.eye), np.array(camera.focus)
    seen = (np.atleast_2d(np.asarray(points, dtype=np.float64)) - eye) @ axes(eye - focus, camera.up).T
    scale = 0.5 * size[1] / math.tan(math.radians(0.5 * camera.angle)) / -seen[:, 2]
    return np.column_stack([0.5 * size[0] + scale * seen[:, 0], 0.5 * size[1] - scale * seen[:, 1]])


def _vector(values: Floats) -> Vector:
    return float(values[0]), float(values[1]), float(values[2])

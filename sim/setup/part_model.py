"""A part from a file that is no body of revolution: its solid, what it sweeps, and what of it is all around. mm."""

from __future__ import annotations

import numpy as np
import shapely
import trimesh
from shapely.geometry.base import BaseGeometry

from meshes.revolve import revolve
from meshes.workpiece import Workpiece
from sim.clearance import image
from sim.part_files.triangles import Triangles
from sim.scenario import Operation

IMAGE = 0.005  # mm within which images are found
FAR = 1e4  # mm
BEYOND = 10.0  # mm by which what is looked at from outside reaches past the part


def modelled_part(operation: Operation) -> Workpiece:
    """Return the part of an operation.

    Raises
    ------
    ValueError
        If its outline bounds no solid.
    """
    work, surface = operation.workpiece, _surface(operation)
    if surface is None:
        return Workpiece(work.outline)
    return Workpiece(work.outline, surface.mesh(), swept(surface))


def _surface(operation: Operation) -> Triangles | None:
    return None if operation.workpiece.shape is None else operation.workpiece.shape.surface


def swept(surface: Triangles) -> BaseGeometry:
    """Return all (r, z) that a solid reaches at some angle, a little more rather than less.

    No more than its farthest corners, and none of that little under the face that rests on the jaws, z = 0.
    """
    exact = image.of_mesh(surface.mesh(), IMAGE)
    more: BaseGeometry = shapely.buffer(exact, 2.0 * IMAGE, join_style="mitre")
    more = shapely.difference(more, shapely.box(-FAR, -3.0 * IMAGE, FAR, 0.0))
    low, high = surface.corners[:, 2].min(), surface.corners[:, 2].max()
    whole = shapely.box(0.0, low, np.hypot(*surface.corners[:, :2].T).max(), high)
    return shapely.intersection(shapely.union(exact, more), whole)


def all_around(surface: Triangles) -> BaseGeometry:
    """Return all (r, z) at which a solid is metal at every angle, a little less rather than more.

    It is what the image of the room around the solid leaves.
    """
    low, high = surface.corners.min(axis=0)[2] - BEYOND, surface.corners.max(axis=0)[2] + BEYOND
    radius = float(np.hypot(*surface.corners[:, :2].T).max()) + BEYOND
    shell = revolve([(0.0, low), (2.0 * radius, low), (2.0 * radius, high), (0.0, high)], 64)
    room = trimesh.Trimesh(
        np.vstack([shell.vertices, surface.corners]),
        np.vstack([shell.faces, surface.faces[:, ::-1] + len(shell.vertices)]),
        process=False,
        validate=False,
    )
    around = image.of_mesh(room, IMAGE)
    return shapely.difference(shapely.box(0.0, low, radius, high), shapely.buffer(around, IMAGE))

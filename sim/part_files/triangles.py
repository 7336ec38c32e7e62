"""The closed surface of one solid out of a file's bytes: STL, OBJ, GLB, 3MF, STEP. Lengths in mm."""

from __future__ import annotations

import io
import logging
from dataclasses import dataclass

import numpy as np
import trimesh

from sim.base.arrays import Floats, Ints
from sim.base.limits import TRIANGLES
from sim.part_files.glb import require_whole

# What a reader stumbles over becomes one sentence here; its own words, with a traceback, would stand before it.
logging.getLogger("trimesh").addHandler(logging.NullHandler())

SCALES = {"mm": 1.0, "cm": 10.0, "m": 1000.0, "in": 25.4}  # to mm
NO_UNIT = (
    "stl",
    "obj",
    "glb",
)  # kinds whose unit must be stated; of a GLB the metre of its standard is often not kept
OWN_UNIT = ("step", "stp", "3mf")
MOST_TRIANGLES = TRIANGLES.most
LARGEST_PART = 5000.0  # mm
FARTHEST = 1e6  # mm from the origin of the file, beyond which a corner is no part of anything turned


@dataclass(frozen=True, slots=True, eq=False)
class Triangles:
    """A closed surface.

    Attributes
    ----------
    corners : (n, 3) array
        mm, each place once.
    faces : (m, 3) array
        Numbers of corners, wound outward.
    """

    corners: Floats
    faces: Ints

    def __post_init__(self) -> None:
        for array in (self.corners, self.faces):
            array.setflags(write=False)

    def mesh(self) -> trimesh.Trimesh:
        """Return it as a mesh."""
        return trimesh.Trimesh(self.corners, self.faces, process=False, validate=False)


def closed_triangles(data: bytes, kind: str, unit: str | None) -> Triangles:
    """Return the surface of the one solid in a file.

    Parameters
    ----------
    data : bytes
    kind : str
        End of the file's name, without the dot.
    unit : str or None
        Of its coordinates, where the file does not say it.

    Raises
    ------
    ValueError
        What is wrong, as a clause behind the file's name.
    NotAvailableError
        If the reader of STEP is not installed.
    """
    if not data.strip():
        raise ValueError("must hold one solid, found an empty file")
    if kind in OWN_UNIT and unit is not None:
        raise ValueError(f"says its unit itself: unit must be left out, found {unit}")
    if kind in NO_UNIT and unit is None:
        raise ValueError(f"does not say its unit reliably: unit must be stated, one of {', '.join(SCALES)}")
    if kind in ("step", "stp"):
        from sim.part_files.step import step_triangles  # each reader where a file of its kind is read

        corners, faces = step_triangles(data)
    elif kind == "3mf":
        from sim.part_files.three_mf import three_mf_triangles

        corners, faces = three_mf_triangles(data)
    else:
        corners, faces = _loaded(data, kind)
        corners = corners * SCALES[unit or "mm"]
    return _one_solid(corners, faces)


def _loaded(data: bytes, kind: str) -> tuple[Floats, Ints]:
    if kind == "glb":
        require_whole(data, MOST_TRIANGLES)
    try:
        # By its bytes alone: what a model names beside itself (a device, say) is not opened.
        found = trimesh.load(io.BytesIO(data), file_type=kind, force="mesh", process=False)
    except Exception:  # whatever a reader of a foreign format stumbles over
        found = None
    if not isinstance(found, trimesh.Trimesh) or len(found.faces) == 0 or found.vertices.shape[1:] != (3,):
        raise ValueError("must hold the triangles of one solid, found none that can be read")
    return np.asarray(found.vertices, dtype=np.float64), np.asarray(found.faces, dtype=np.int64)


def _of_its_corners(corners: Floats, faces: Ints) -> tuple[Floats, Ints]:
    """Return the corners that triangles have, and these by them; a damaged file names others, or some far away."""
    if faces.min() < 0 or faces.max() >= len(corners):
        raise ValueError(
            f"must have triangles of its own {len(corners)} corners, found one of a corner that it has not"
        )
    used, named = np.unique(faces, return_inverse=True)
    found = corners[used]
    farthest = float(np.abs(found).max())
    if farthest > FARTHEST:
        raise ValueError(
            f"must lie within {FARTHEST:g} mm of its origin, found a corner at {farthest:.4g} mm (is the unit right?)"
        )
    return found, named.reshape(faces.shape)


def _one_solid(corners: Floats, faces: Ints) -> Triangles:
    if len(faces) > MOST_TRIANGLES:
        raise ValueError(f"must hold at most {MOST_TRIANGLES} triangles, found {len(faces)}")
    if not np.isfinite(corners).all():
        raise ValueError("must hold finite coordinates, found one that is not")
    corners, faces = _of_its_corners(corners, faces)
    extent = float(np.ptp(corners, axis=0).max())
    if not 0.0 < extent <= LARGEST_PART:
        raise ValueError(
            f"must be up to {LARGEST_PART:g} mm large, found {extent:.4g} mm (is the unit right?)"
        )
    mesh = trimesh.Trimesh(corners, faces, process=False, validate=False)
    mesh.merge_vertices(merge_norm=True, merge_tex=True, digits_vertex=6)
    mesh.update_faces(mesh.nondegenerate_faces(height=1e-9))
    mesh.remove_unreferenced_vertices()
    if len(mesh.faces) == 0 or not mesh.is_watertight:
        raise ValueError("must be a closed surface, found gaps (a face missing, or edges that do not meet)")
    if not mesh.is_winding_consistent:
        raise ValueError("must have all its triangles wound outward, found some the other way")
    bodies = int(mesh.body_count)
    if bodies != 1:
        raise ValueError(
            f"must hold one solid, found {bodies} closed surfaces (several bodies, or hollows inside)"
        )
    if mesh.volume < 0.0:
        mesh.invert()
    if not mesh.volume > 0.0:
        raise ValueError("must hold one solid, found a surface that encloses nothing")
    return Triangles(np.array(mesh.vertices, dtype=np.float64), np.array(mesh.faces, dtype=np.int64))

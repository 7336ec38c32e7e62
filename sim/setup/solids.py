"""Solids as arrays and back, so that a check which made them before reads them instead. Lengths in mm."""

from __future__ import annotations

import numpy as np
import trimesh

from meshes import boring_ring, chuck_body, jaw_screw, master_jaw, t_nut
from meshes.boring_ring import BoringRing
from meshes.chuck_body import ChuckBody
from meshes.jaw_screw import JawScrew
from meshes.master_jaw import MasterJaw
from meshes.t_nut import TNut
from sim.base.answers import written
from sim.base.arrays import Floats, Ints

Made = ChuckBody | MasterJaw | TNut | JawScrew | BoringRing
Corners = tuple[Floats, Ints]  # (n, 3) corners, mm, and (m, 3) their numbers in each triangle


def corners(solid: trimesh.Trimesh) -> Corners:
    """Return a solid's surface as arrays."""
    return np.array(solid.vertices, dtype=np.float64), np.array(solid.faces, dtype=np.int64)


def solid(surface: Corners) -> trimesh.Trimesh:
    """Return the solid of a surface, its arrays copied."""
    vertices, faces = (np.array(part) for part in surface)
    return trimesh.Trimesh(vertices, faces, process=False, validate=False)


def made(part: Made) -> trimesh.Trimesh:
    """Return the solid of a part from its dimensions, as its own module makes it."""
    return solid(_made(part))


@written
def _made(part: Made) -> Corners:
    return corners(_mesh(part))


def _mesh(part: Made) -> trimesh.Trimesh:
    match part:
        case ChuckBody():
            return chuck_body.mesh(part)
        case MasterJaw():
            return master_jaw.mesh(part)
        case TNut():
            return t_nut.mesh(part)
        case JawScrew():
            return jaw_screw.mesh(part)
        case BoringRing():
            return boring_ring.mesh(part)

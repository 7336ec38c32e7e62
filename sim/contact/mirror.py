"""Contacts that are their own mirror image in the plane through the spindle and the middle of jaw 1.

Jaws 2 and 3 are images of each other there, and jaw 1 is its own. A gap that is mirrored, as that of a part whose lobes
stand to jaw 1, and a load in that plane need half of the cells: forces are unique (the compliance is positive
definite), so they are mirrored, too.
"""

from __future__ import annotations

import numpy as np

from sim.base.arrays import Floats, Ints
from sim.contact.face import FaceGrid
from sim.contact.prepared import Prepared

MIRRORED_MOTIONS = (
    0,
    3,
    4,
)  # part x, tilt about y, closing travel; what is left moves or turns across the plane
ACROSS = [1, 2]


def treats_mirrored(grid: FaceGrid, gap: Floats, loads: Floats) -> bool:
    """Tell whether loads (5,) and gap (n,) are mirrored, and the strips of the grid are."""
    edges = grid.angle_edges_rad
    if (
        np.any(loads[ACROSS])
        or grid.shape[1] % 2
        or not np.allclose(edges, -edges[::-1], rtol=0.0, atol=1e-12)
    ):
        return False
    faces = gap.reshape(3, *grid.shape)
    across = np.abs(faces - faces[[0, 2, 1], :, ::-1])
    return bool(across.max() <= 1e-12 * (1.0 + np.abs(gap).max()))


def mirrored_images(grid: FaceGrid) -> Ints:
    """Cells of half of jaw 1 and of all of jaw 2, (m, 2), each with its image."""
    nz, nt = grid.shape
    cell = np.arange(3 * nz * nt).reshape(3, nz, nt)
    image = cell[[0, 2, 1], :, ::-1]
    return np.concatenate(
        [np.column_stack([cell[0, :, nt // 2 :].ravel(), image[0, :, nt // 2 :].ravel()]),
         np.column_stack([cell[1].ravel(), image[1].ravel()])]
    )  # fmt: skip


def mirrored_bodies(ready: Prepared) -> tuple[Floats, Floats]:
    """Compliance (m, m) of the bodies whose images carry the same force, and its inverse."""
    images = mirrored_images(ready.grid)
    return (
        ready.once("mirrored compliance", 0.0, lambda: _folded(ready.total_mm_n, images)),
        ready.once("mirrored stiffness", 0.0, lambda: _folded(ready.stiffness_n_mm, images)),
    )


def _folded(matrix: Floats, images: Ints) -> Floats:
    """Sum what each cell has of a cell and of its image; the inverse of a mirrored matrix folds into the inverse."""
    rows = matrix[images[:, 0]]
    summed = rows[:, images[:, 0]] + rows[:, images[:, 1]]
    return np.asarray(0.5 * (summed + summed.T))

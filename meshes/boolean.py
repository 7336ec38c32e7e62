"""Booleans of watertight solids by manifold3d, and the way between its solids and `trimesh.Trimesh`."""

from __future__ import annotations

from collections.abc import Sequence

import manifold3d
import numpy as np
import trimesh


def to_manifold(solid: trimesh.Trimesh) -> manifold3d.Manifold:
    """Return a manifold3d solid of a watertight mesh, in double precision.

    Raises
    ------
    ValueError
        If the mesh is not the closed, consistently wound surface of a solid.
    """
    # Copies: manifold3d takes writable arrays only, and its own come back read-only.
    result = manifold3d.Manifold(
        manifold3d.Mesh64(
            vert_properties=np.array(solid.vertices, dtype=np.float64, order="C"),
            tri_verts=np.array(solid.faces, dtype=np.uint64, order="C"),
        )
    )
    if result.status() != manifold3d.Error.NoError:
        raise ValueError(f"a boolean needs closed solids, one of them is not: {result.status().name}")
    return result


def from_manifold(solid: manifold3d.Manifold) -> trimesh.Trimesh:
    """Return the mesh of a manifold3d solid, faces wound outward; an empty solid gives no faces."""
    arrays = solid.to_mesh64()
    return trimesh.Trimesh(
        vertices=np.array(arrays.vert_properties[:, :3], dtype=np.float64),
        faces=np.array(arrays.tri_verts, dtype=np.int64),
        process=False,
        validate=False,
    )


def union(solids: Sequence[trimesh.Trimesh]) -> trimesh.Trimesh:
    """Return everything that lies in at least one of the solids."""
    return _combined(solids, manifold3d.OpType.Add)


def difference(solid: trimesh.Trimesh, cutters: Sequence[trimesh.Trimesh]) -> trimesh.Trimesh:
    """Return the solid without what lies in any of the cutters."""
    return _combined([solid, *cutters], manifold3d.OpType.Subtract)


def intersection(solids: Sequence[trimesh.Trimesh]) -> trimesh.Trimesh:
    """Return what lies in all of the solids."""
    return _combined(solids, manifold3d.OpType.Intersect)


def _combined(solids: Sequence[trimesh.Trimesh], operation: manifold3d.OpType) -> trimesh.Trimesh:
    if not solids:
        raise ValueError("a boolean needs at least one solid, found none")
    return from_manifold(manifold3d.Manifold.batch_boolean([to_manifold(s) for s in solids], operation))

"""Least distance between two solids by their facets."""

from __future__ import annotations

import trimesh

from meshes.boolean import to_manifold


def least_distance(first: trimesh.Trimesh, second: trimesh.Trimesh, search_length: float) -> float:
    """Return the least distance (mm) between two solids, 0 where they overlap, at most `search_length` (mm).

    The solids are taken as their flat facets; a round surface deviates from them as `meshes.revolve` says.
    """
    return float(to_manifold(first).min_gap(to_manifold(second), search_length))

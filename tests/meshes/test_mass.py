from __future__ import annotations

import numpy as np
import pytest
import trimesh

from meshes.mass import MassProperties, mass_properties


def test_arrays_are_own_read_only_copies() -> None:
    centroid = np.zeros(3)
    properties = MassProperties(1.0, 1.0, centroid, np.eye(3))
    centroid[0] = 5.0
    assert properties.centroid[0] == 0.0
    with pytest.raises(ValueError, match="read-only"):
        properties.inertia[0, 0] = 2.0


def test_shapes_are_checked() -> None:
    with pytest.raises(ValueError, match="centroid must have the shape"):
        MassProperties(1.0, 1.0, np.zeros(2), np.eye(3))


def test_inside_out_and_weightless_solids_are_refused() -> None:
    box = trimesh.creation.box()
    inside_out = trimesh.Trimesh(box.vertices, box.faces[:, ::-1], process=False)
    with pytest.raises(ValueError, match="greater than 0 mm3"):
        mass_properties(inside_out, 1.0)
    with pytest.raises(ValueError, match="density"):
        mass_properties(box, 0.0)

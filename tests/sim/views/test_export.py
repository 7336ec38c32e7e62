from __future__ import annotations

import io
from pathlib import Path

import numpy as np
import pytest
import trimesh

from sim.assessment.results import Assessment
from sim.base.errors import OutputError
from sim.base.files import write_whole
from sim.views.export import assembly_solids, glb, jaw_stl


def test_glb_loads_with_a_named_node_for_each_body_in_metres(two_steps: Assessment) -> None:
    """Read back by trimesh: glTF 2.0, metres, y up (jaw 1), the spindle along x."""
    solids = assembly_solids(two_steps, 0)
    scene = trimesh.load_scene(io.BytesIO(glb(solids)), file_type="glb")
    assert {solid.name for solid in solids} <= set(scene.graph.nodes_geometry)
    whole = np.vstack([solid.mesh.bounds for solid in solids])
    low, high = whole.min(axis=0) / 1000.0, whole.max(axis=0) / 1000.0
    assert scene.bounds == pytest.approx(np.array([low[[2, 0, 1]], high[[2, 0, 1]]]), abs=1e-6)
    for solid in solids:
        transform, geometry = scene.graph[solid.name]
        loaded = scene.geometry[geometry].copy().apply_transform(transform)
        assert loaded.volume * 1e9 == pytest.approx(solid.mesh.volume, rel=1e-4)


def test_stl_of_the_bored_jaw_is_its_solid(two_steps: Assessment) -> None:
    loaded = trimesh.load_mesh(io.BytesIO(jaw_stl(two_steps.parts)), file_type="stl")
    assert loaded.volume == pytest.approx(two_steps.parts.bored.volume, rel=1e-5)
    assert loaded.bounds == pytest.approx(two_steps.parts.bored.bounds, abs=1e-4)


def test_file_is_written_whole_or_not_at_all(tmp_path: Path) -> None:
    path = tmp_path / "deeper" / "file.bin"
    assert write_whole(path, b"first").read_bytes() == b"first"
    write_whole(path, b"second")
    assert path.read_bytes() == b"second"
    assert [p.name for p in path.parent.iterdir()] == ["file.bin"]


def test_failure_to_write_is_one_sentence_and_leaves_nothing(tmp_path: Path) -> None:
    (tmp_path / "taken").mkdir()
    with pytest.raises(OutputError, match="taken: cannot be written"):
        write_whole(tmp_path / "taken", b"data")
    assert [p.name for p in tmp_path.iterdir()] == ["taken"]
    (tmp_path / "file").write_bytes(b"")
    with pytest.raises(OutputError, match="cannot be written"):
        write_whole(tmp_path / "file" / "below", b"data")

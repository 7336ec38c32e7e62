"""A STEP file as another program reads it: OpenCASCADE, by way of its triangles and its list of faces."""

from __future__ import annotations

import io
import json
import struct
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

import cascadio
import numpy as np
import pytest
import trimesh


@dataclass(frozen=True)
class ReadSolid:
    """A solid of a STEP file: its triangles in mm, and its faces as the reader names them, in metres."""

    mesh: trimesh.Trimesh
    faces: list[dict[str, Any]]
    face_of_triangle: Any  # number of the face that each triangle lies on

    def kinds(self, kind: str) -> list[dict[str, Any]]:
        return [one for one in self.faces if one["type"] == kind]


@pytest.fixture(scope="session")
def read_step() -> Callable[[bytes], ReadSolid]:
    def read(content: bytes, fine: float = 0.003) -> ReadSolid:
        glb = cascadio.load(
            content, file_type="step", include_brep=True, tol_linear=fine, tol_angular=10.0 * fine
        )
        assert glb, "the reader found no solid"
        mesh = trimesh.load(io.BytesIO(glb), file_type="glb", force="mesh")
        mesh.merge_vertices(merge_norm=True, merge_tex=True)
        mesh.apply_scale(1000.0)
        (size,) = struct.unpack_from("<I", glb, 12)
        found = json.loads(glb[20 : 20 + size])
        (whole,) = found["meshes"]
        (primitive,) = whole["primitives"]
        brep = primitive["extensions"]["TM_brep_faces"]
        accessor = found["accessors"][brep["faceIndices"]]
        view = found["bufferViews"][accessor["bufferView"]]
        kind = {5121: "u1", 5123: "<u2", 5125: "<u4"}[accessor["componentType"]]
        start = 20 + size + 8 + view.get("byteOffset", 0) + accessor.get("byteOffset", 0)
        numbers = np.frombuffer(glb, kind, accessor["count"], start)
        assert len(numbers) == len(mesh.faces)
        return ReadSolid(mesh, brep["faces"], numbers)

    return read

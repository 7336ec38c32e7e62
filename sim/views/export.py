"""Models for other programs: the assembly as GLB, the bored jaw as STL."""

from __future__ import annotations

from collections.abc import Iterable

import numpy as np
import trimesh
from trimesh.visual import TextureVisuals
from trimesh.visual.material import PBRMaterial

from sim.assessment.results import Assessment
from sim.setup import pose
from sim.setup.parts import Parts
from sim.setup.pose import Solid
from sim.views.colours import body_colour, rgb

# glTF 2.0 counts in metres with y up: the spindle (z) lies along x, jaw 1 (x) stands up along y.
TO_GLTF = np.array(
    [[0.0, 0.0, 1e-3, 0.0], [1e-3, 0.0, 0.0, 0.0], [0.0, 1e-3, 0.0, 0.0], [0.0, 0.0, 0.0, 1.0]]
)


def glb(solids: Iterable[Solid]) -> bytes:
    """Return solids as a binary glTF 2.0: one named node for each body, its colour, metres, y up."""
    scene = trimesh.Scene()
    for solid in solids:
        red, green, blue = (_linear(c) for c in rgb(body_colour(solid.kind)))
        mesh = trimesh.Trimesh(np.array(solid.mesh.vertices), np.array(solid.mesh.faces), process=False)
        material = PBRMaterial(  # type: ignore[no-untyped-call]
            name=solid.kind,
            baseColorFactor=[red, green, blue, 1.0],
            metallicFactor=0.35,
            roughnessFactor=0.55,
        )
        mesh.visual = TextureVisuals(material=material)  # type: ignore[no-untyped-call]
        scene.add_geometry(mesh, node_name=solid.name, geom_name=solid.name, transform=TO_GLTF)
    exported: bytes = scene.export(file_type="glb")  # type: ignore[no-untyped-call]
    return exported


def assembly_solids(assessment: Assessment, operation: int) -> tuple[Solid, ...]:
    """Return the gripped assembly of an operation."""
    figures = assessment.operations[operation]
    return pose.gripping_scene(assessment.parts, operation, figures.grip_travel)


def jaw_stl(parts: Parts) -> bytes:
    """Return one bored jaw in its own frame as binary STL, mm: x along the jaw, z up from the serrated plane."""
    exported = parts.bored.export(file_type="stl")
    if not isinstance(exported, bytes):
        raise TypeError("a binary STL must be bytes")
    return exported


def _linear(channel: float) -> float:
    """Return the linear value of an sRGB channel: glTF states factors so (glTF 2.0, 3.9.2)."""
    return channel / 12.92 if channel <= 0.04045 else float(((channel + 0.055) / 1.055) ** 2.4)

"""Models for other programs: the assembly as GLB, the bored jaw as STL."""

from __future__ import annotations

from collections.abc import Iterable

import numpy as np
import trimesh
from trimesh.visual import TextureVisuals
from trimesh.visual.material import PBRMaterial

from sim.assessment.figures.operation import OperationFigures
from sim.assessment.results import CAUTIONS, Assessment
from sim.base.arrays import Floats
from sim.setup import pose
from sim.setup.parts import Parts
from sim.setup.pose import Solid
from sim.views.colours import body_colour, rgb
from sim.views.face_patches import ABOVE_FACE, face_patches
from sim.views.pressure_scale import coloured

PRESSURE = "_PRESSURE_MPA"  # a vertex attribute of one's own begins so (glTF 2.0, 3.7.2.1)
# glTF 2.0 counts in metres with y up: the spindle (z) lies along x, jaw 1 (x) stands up along y.
TO_GLTF = np.array(
    [[0.0, 0.0, 1e-3, 0.0], [1e-3, 0.0, 0.0, 0.0], [0.0, 1e-3, 0.0, 0.0], [0.0, 0.0, 0.0, 1.0]]
)


def glb(solids: Iterable[Solid]) -> bytes:
    """Return solids as a binary glTF 2.0: one named node for each body, its colour, metres, y up."""
    scene = trimesh.Scene()
    for solid in solids:
        _add(scene, solid)
    exported: bytes = scene.export(file_type="glb")  # type: ignore[no-untyped-call]
    return exported


def _add(scene: trimesh.Scene, solid: Solid, metal: str = "") -> None:
    red, green, blue = (_linear(c) for c in rgb(body_colour(solid.kind)))
    mesh = trimesh.Trimesh(np.array(solid.mesh.vertices), np.array(solid.mesh.faces), process=False)
    material = PBRMaterial(  # type: ignore[no-untyped-call]
        name=solid.kind,
        baseColorFactor=[red, green, blue, 1.0],
        metallicFactor=0.35,
        roughnessFactor=0.55,
    )
    mesh.visual = TextureVisuals(material=material)  # type: ignore[no-untyped-call]
    if metal:
        mesh.metadata["material"] = metal
    scene.add_geometry(mesh, node_name=solid.name, geom_name=solid.name, transform=TO_GLTF)


def assembly_glb(assessment: Assessment, operation: int) -> bytes:
    """Return the gripped assembly of an operation as binary glTF 2.0, with the contact pressure of each jaw.

    Bodies carry their names and, where the scenario states one, their material. The gripped part of each jaw's face is
    a mesh of its own with the band-mean pressure as colours (COLOR_0) and as numbers (_PRESSURE_MPA); what they mean
    stands in its extras.
    """
    scenario, figures = assessment.scenario, assessment.operations[operation]
    metals = {"soft jaw": scenario.soft_jaw.material, "workpiece": figures.operation.workpiece.material}
    scene = trimesh.Scene()
    scene.metadata.update(
        {
            "title": scenario.title,
            "operation": figures.operation.name,
            "units": "m",
            "axes": "spindle along x away from the chuck, jaw 1 up along y",
            "jaw_travel_mm": figures.grip_travel,
            "released": False,
            "caution": CAUTIONS[1],
        }
    )
    for solid in assembly_solids(assessment, operation):
        _add(scene, solid, metals.get(solid.kind, ""))
    patches = face_patches(figures, assessment.parts)
    highest = max(float(max(values.max() for _, values in patches)), 1e-9)
    for number, (patch, values) in enumerate(patches, start=1):
        _add_pressure(scene, f"contact pressure {number}", patch, values, highest, figures)
    exported: bytes = scene.export(file_type="glb")  # type: ignore[no-untyped-call]
    return exported


def _add_pressure(
    scene: trimesh.Scene,
    name: str,
    patch: trimesh.Trimesh,
    values: Floats,
    highest: float,
    figures: OperationFigures,
) -> None:
    kept = np.unique(patch.faces)
    numbers = np.zeros(len(patch.vertices), dtype=np.int64)
    numbers[kept] = np.arange(len(kept))
    stated = values[kept].astype(np.float32)
    mesh = trimesh.Trimesh(
        np.array(patch.vertices)[kept],
        numbers[patch.faces],
        process=False,
        vertex_attributes={PRESSURE: stated},
    )
    shades = coloured(values[kept], highest) / 255.0
    linear = np.where(shades <= 0.04045, shades / 12.92, ((shades + 0.055) / 1.055) ** 2.4)
    colours = np.column_stack([np.round(255.0 * linear), np.full(len(kept), 255.0)]).astype(np.uint8)
    material = PBRMaterial(  # type: ignore[no-untyped-call]
        name="contact pressure",
        baseColorFactor=[1.0, 1.0, 1.0, 1.0],
        metallicFactor=0.0,
        roughnessFactor=1.0,
        doubleSided=True,
    )
    mesh.visual = TextureVisuals(material=material)  # type: ignore[no-untyped-call]
    mesh.visual.vertex_attributes["color"] = colours
    mesh.metadata.update(
        {
            "attribute": PRESSURE,
            "quantity": "contact pressure, means of bands",
            "unit": "MPa",
            "range_MPa": [float(stated.min()), float(stated.max())],
            "colours_MPa": [0.0, highest],
            "colours_go_with": "the root of the pressure",
            "state": figures.clamping.state,
            "model": figures.clamping.model,
            "before_the_face_mm": ABOVE_FACE,
        }
    )
    scene.add_geometry(mesh, node_name=name, geom_name=name, transform=TO_GLTF)


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

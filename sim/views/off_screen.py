"""Layers drawn by VTK in a window off the screen: its pixels, and how far what is seen lies from the eye.

VTK is asked directly: what pyvista asks it for each surface and window takes longer than these pictures do.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from typing import Any

import numpy as np
from vtkmodules.util.numpy_support import numpy_to_vtk, numpy_to_vtkIdTypeArray, vtk_to_numpy
from vtkmodules.vtkCommonCore import vtkFloatArray, vtkPoints, vtkUnsignedCharArray
from vtkmodules.vtkCommonDataModel import vtkCellArray, vtkPolyData
from vtkmodules.vtkFiltersCore import vtkFeatureEdges, vtkPolyDataNormals
from vtkmodules.vtkRenderingCore import vtkActor, vtkLight, vtkPolyDataMapper, vtkRenderer, vtkRenderWindow
from vtkmodules.vtkRenderingOpenGL2 import (
    vtkCameraPass,
    vtkRenderPassCollection,
    vtkRenderStepsPass,
    vtkSequencePass,
    vtkSSAOPass,
)

from sim.base.arrays import Floats, Ints
from sim.views.camera import Camera
from sim.views.colours import BACKDROP, EDGE, rgb
from sim.views.layer import FEATURE_ANGLE, LIGHTS, Layer, Picture

BEFORE = 1e-3  # share of the distance to the eye by which lines on a surface stand before it


def new_window() -> Any:
    """Return a window off the screen; who has it ends it by its `Finalize`."""
    window = vtkRenderWindow()
    window.SetOffScreenRendering(1)
    # Many samples a pixel are not asked for: the shading of corners is drawn without, to the same picture.
    window.SetMultiSamples(0)
    return window


def pixels_of(window: Any, layers: Sequence[Layer], camera: Camera, size: tuple[int, int]) -> Picture:
    """Return layers as seen by a camera, (height, width, 3), corners and recesses darkened, which shows depth."""
    bounds = np.array([layer.mesh.bounds for layer in layers])
    reach = float(np.linalg.norm(bounds[:, 1].max(axis=0) - bounds[:, 0].min(axis=0)))
    with _scene(window, camera, size) as scene:
        for layer in layers:
            _enter(scene, layer, camera)
        shading = _corners_darkened(reach)
        scene.SetPass(shading)
        scene.ResetCameraClippingRange()
        window.Render()
        found = vtkUnsignedCharArray()
        window.GetPixelData(0, 0, size[0] - 1, size[1] - 1, 1, found, 0)
        shading.ReleaseGraphicsResources(window)
    return np.ascontiguousarray(vtk_to_numpy(found).reshape(size[1], size[0], 3)[::-1])


def depth_of(window: Any, layers: Sequence[Layer], camera: Camera, size: tuple[int, int]) -> Floats:
    """Return how far what is seen lies from the eye along the line of sight, (height, width), mm; inf for nothing."""
    with _scene(window, camera, size) as scene:
        for layer in layers:
            scene.AddActor(_actor(_surface(layer), EDGE))
        scene.ResetCameraClippingRange()
        window.Render()
        found = vtkFloatArray()
        window.GetZbufferData(0, 0, size[0] - 1, size[1] - 1, found)
        near, far = scene.GetActiveCamera().GetClippingRange()
    share = vtk_to_numpy(found).astype(np.float64).reshape(size[1], size[0])[::-1]
    away: Floats = near * far / (far - share * (far - near))
    # Nothing there: the far plane, which VTK keeps well behind all solids. Rounded, so not met exactly.
    return np.where(away > 0.999 * far, np.inf, away)


@contextmanager
def _scene(window: Any, camera: Camera, size: tuple[int, int]) -> Iterator[Any]:
    """Put an empty scene with its ground, lights and eye into the window, and take it out again."""
    scene = vtkRenderer()
    scene.SetBackground(*rgb(BACKDROP))
    scene.AutomaticLightCreationOff()
    for place, strength in LIGHTS:
        light = vtkLight()
        light.SetLightTypeToCameraLight()
        light.SetPosition(*place)
        light.SetIntensity(strength)
        scene.AddLight(light)
    eye = scene.GetActiveCamera()
    eye.SetPosition(*camera.eye)
    eye.SetFocalPoint(*camera.focus)
    eye.SetViewUp(*camera.up)
    eye.SetViewAngle(camera.angle)
    window.SetSize(*size)
    window.AddRenderer(scene)
    try:
        yield scene
    finally:
        window.RemoveRenderer(scene)


def _corners_darkened(reach: float) -> Any:
    """Return the passes that draw a scene of an extent (mm) and darken what little light from around would reach."""
    passes = vtkRenderPassCollection()
    passes.AddItem(vtkRenderStepsPass())
    one_by_one = vtkSequencePass()
    one_by_one.SetPasses(passes)
    seen = vtkCameraPass()
    seen.SetDelegatePass(one_by_one)
    shading = vtkSSAOPass()
    shading.SetRadius(0.05 * reach)
    shading.SetBias(0.002 * reach)
    shading.SetKernelSize(16)  # places asked a pixel: twice as many look the same and take a quarter longer
    shading.BlurOn()
    shading.SetDelegatePass(seen)
    return shading


def _enter(scene: Any, layer: Layer, camera: Camera) -> None:
    surface = _surface(layer)
    if layer.vertex_colours is not None:
        scene.AddActor(_painted(surface, layer.vertex_colours))
        return
    scene.AddActor(_shaded(surface, layer))
    opacity = min(1.0, layer.opacity + 0.25)
    if layer.edges:
        edges = vtkFeatureEdges()
        edges.SetInputData(surface)
        edges.SetFeatureAngle(FEATURE_ANGLE)
        edges.BoundaryEdgesOff()
        edges.NonManifoldEdgesOff()
        edges.ColoringOff()
        edges.Update()
        if edges.GetOutput().GetNumberOfCells():
            scene.AddActor(_actor(edges.GetOutput(), EDGE, opacity, wide=1.6))
    if layer.lines is not None and len(layer.lines):
        # A little nearer than they lie: the depth of the picture cannot tell lines on a surface from the surface.
        nearer = layer.lines + BEFORE * (np.array(camera.eye) - layer.lines)
        ends = np.arange(2 * len(nearer)).reshape(-1, 2)
        scene.AddActor(_actor(_with_lines(nearer.reshape(-1, 3), ends), EDGE, opacity, wide=1.3))


def _surface(layer: Layer) -> Any:
    surface = vtkPolyData()
    surface.SetPoints(_points(np.asarray(layer.mesh.vertices)))
    surface.SetPolys(_cells(np.asarray(layer.mesh.faces)))
    return surface


def _with_lines(points_mm: Floats, ends: Ints) -> Any:
    lines = vtkPolyData()
    lines.SetPoints(_points(points_mm))
    lines.SetLines(_cells(ends))
    return lines


def _points(points_mm: Floats) -> Any:
    points = vtkPoints()
    points.SetData(numpy_to_vtk(np.ascontiguousarray(points_mm, dtype=np.float64), deep=True))
    return points


def _cells(corners: Ints) -> Any:
    cells = vtkCellArray()
    flat = np.ascontiguousarray(corners, dtype=np.int64).ravel()
    cells.SetData(corners.shape[1], numpy_to_vtkIdTypeArray(flat, deep=True))
    return cells


def _actor(drawn: Any, colour: str, opacity: float = 1.0, *, wide: float = 1.0) -> Any:
    mapper = vtkPolyDataMapper()
    mapper.SetInputData(drawn)
    mapper.ScalarVisibilityOff()
    actor = vtkActor()
    actor.SetMapper(mapper)
    look = actor.GetProperty()
    look.SetColor(*rgb(colour))
    look.SetOpacity(opacity)
    look.SetLineWidth(wide)
    return actor


def _shaded(surface: Any, layer: Layer) -> Any:
    """Return a surface in the light, smooth but for its sharp edges."""
    normals = vtkPolyDataNormals()
    normals.SetInputData(surface)
    normals.SetFeatureAngle(FEATURE_ANGLE)
    normals.Update()
    actor = _actor(normals.GetOutput(), layer.colour, layer.opacity)
    look = actor.GetProperty()
    look.SetInterpolationToPhong()
    look.SetAmbient(0.2)
    look.SetDiffuse(0.92)
    look.SetSpecular(0.16)
    look.SetSpecularPower(20.0)
    return actor


def _painted(surface: Any, colours: Picture) -> Any:
    """Return a surface in the colours of its corners, without light."""
    surface.GetPointData().SetScalars(numpy_to_vtk(np.ascontiguousarray(colours), deep=True))
    # Just not opaque: drawn after the shading of corners, which would darken it against its colour bar.
    actor = _actor(surface, EDGE, 0.999)
    actor.GetMapper().ScalarVisibilityOn()
    actor.GetMapper().SetColorModeToDirectScalars()
    actor.GetProperty().LightingOff()
    return actor

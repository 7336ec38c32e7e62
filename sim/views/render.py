"""Off-screen rendering of solids by VTK: the driver tried once in a child process, then one call per picture.

Where the drivers lack, VTK can end the whole process; the child takes that fall and the user gets one sentence.
"""

from __future__ import annotations

import base64
import io
import os
import subprocess
import sys
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache

import numpy as np
import trimesh
from numpy.typing import NDArray

from sim.base.answers import in_pieces
from sim.base.arrays import Flags, Floats
from sim.base.errors import NotAvailableError
from sim.views.camera import Camera
from sim.views.colours import BACKDROP, EDGE, rgb
from sim.views.kept_pieces import kept_piece

Picture = NDArray[np.uint8]
TRIAL_SECONDS = 30.0
FEATURE_ANGLE = 28.0  # deg; edges sharper than this are drawn and not shaded over
SUPERSAMPLING = 1.5  # pixels drawn for each pixel kept, along each side
BEFORE = 1e-3  # share of the distance to the eye by which lines on a surface stand before it
_TRIAL = """
import os
import vtkmodules.vtkRenderingOpenGL2
from vtkmodules.vtkRenderingCore import vtkRenderer, vtkRenderWindow
window = vtkRenderWindow()
window.SetOffScreenRendering(1)
window.SetSize(16, 16)
window.AddRenderer(vtkRenderer())
window.Render()
os._exit(0 if window.SupportsOpenGL() else 1)
"""
# Key, fill and rim light: where they stand as seen from the camera (right, up, towards) and how strong they are.
LIGHTS = (((-0.7, 0.9, 1.0), 0.62), ((0.15, 0.1, 1.0), 0.38), ((0.9, -0.3, 0.5), 0.26))


@dataclass(frozen=True, slots=True, eq=False)
class Layer:
    """A surface to draw.

    Attributes
    ----------
    mesh : Trimesh
        Stays as it is.
    colour : str
        '#rrggbb', where `vertex_colours` is None.
    opacity : float
        Share from 0 to 1.
    edges : bool
        Draw the sharp edges.
    vertex_colours : (n, 3) array of uint8, optional
        Shown as they are, without light, so that they agree with a colour bar.
    lines : (n, 2, 3) array, optional
        Lines on the surface that its edges do not show, mm.
    """

    mesh: trimesh.Trimesh
    colour: str = "#c0c0c0"
    opacity: float = 1.0
    edges: bool = True
    vertex_colours: Picture | None = None
    lines: Floats | None = None


@dataclass(frozen=True, slots=True, eq=False)
class Staged:
    """What a picture shows: layers to draw, and the camera."""

    layers: tuple[Layer, ...]
    camera: Camera


def require_rendering() -> None:
    """Make sure that pictures can be rendered.

    Raises
    ------
    NotAvailableError
        If they cannot; the message says what to install.
    """
    problem = _trial()
    if problem:
        raise NotAvailableError(
            f"pictures cannot be rendered off-screen ({problem}); on Debian install libegl1, libgl1-mesa-dri "
            "and libx11-6"
        )


def refused() -> bool:
    """Tell whether a picture has been asked for that could not be rendered."""
    return bool(_trial.cache_info().currsize and _trial())


@cache
def _trial() -> str:
    """Try VTK in a child process; return what went wrong, empty if nothing did."""
    _choose_window()
    try:
        done = subprocess.run(  # noqa: S603  (our own interpreter and our own text)
            [sys.executable, "-c", _TRIAL], capture_output=True, timeout=TRIAL_SECONDS, check=False
        )
    except subprocess.TimeoutExpired:
        return f"no picture within {TRIAL_SECONDS:g} s"
    except OSError as error:
        return str(error.strerror)
    if done.returncode == 0:
        return ""
    return f"the trial ended with {'signal' if done.returncode < 0 else 'status'} {abs(done.returncode)}"


def _choose_window() -> None:
    """Without a display let VTK draw by EGL, which needs no X server."""
    if sys.platform == "linux" and not os.environ.get("DISPLAY"):
        os.environ.setdefault("VTK_DEFAULT_OPENGL_WINDOW", "vtkEGLRenderWindow")


def render(
    layers: Sequence[Layer],
    camera: Camera,
    size: tuple[int, int],
    *,
    shade: bool = True,
    transparent: bool = False,
) -> Picture:
    """Draw layers as seen by a camera.

    Parameters
    ----------
    layers : sequence of Layer
    camera : Camera
    size : (width, height)
        Pixels.
    shade : bool
        Darken corners and recesses (ambient occlusion), which shows depth.
    transparent : bool
        Leave the ground out: the fourth channel then says how much of a pixel is covered.

    Returns
    -------
    (height, width, 3) array of uint8, (height, width, 4) if transparent

    Raises
    ------
    NotAvailableError
        If this computer cannot render.
    """
    asked = (tuple(layers), camera, size, shade, transparent)
    if not in_pieces():
        return _rendered(*asked)
    drawn: list[Picture] = []

    def made() -> str:
        drawn.append(_rendered(*asked))
        return _as_text(drawn[0])

    text = kept_piece("picture", *asked, make=made)
    return drawn[0] if drawn else _of_text(text)


def _rendered(
    layers: Sequence[Layer],
    camera: Camera,
    size: tuple[int, int],
    shade: bool,  # noqa: FBT001
    transparent: bool,  # noqa: FBT001
) -> Picture:
    require_rendering()
    import pyvista
    from PIL import Image

    drawn = (round(size[0] * SUPERSAMPLING), round(size[1] * SUPERSAMPLING))
    plotter = pyvista.Plotter(off_screen=True, window_size=drawn, lighting="none")
    try:
        plotter.set_background(BACKDROP)
        for place, strength in LIGHTS:
            light = pyvista.Light(position=place, light_type="camera light", intensity=strength)
            plotter.add_light(light)
        for layer in layers:
            _add(plotter, layer, camera)
        if shade:
            bounds = np.array([layer.mesh.bounds for layer in layers])
            reach = float(np.linalg.norm(bounds[:, 1].max(axis=0) - bounds[:, 0].min(axis=0)))
            plotter.enable_ssao(radius=0.05 * reach, bias=0.002 * reach, kernel_size=32, blur=True)
        _look(plotter, camera)
        shot = np.asarray(plotter.screenshot(return_img=True))[:, :, :3]
    finally:
        plotter.close()
    if transparent:
        return _cut_out(shot, np.isfinite(_depth(layers, camera, drawn)), size)
    image = Image.fromarray(np.ascontiguousarray(shot))
    return np.asarray(image.resize(size, Image.Resampling.LANCZOS), dtype=np.uint8)


def _as_text(picture: Picture) -> str:
    from PIL import Image

    file = io.BytesIO()
    Image.fromarray(picture).save(file, format="PNG", compress_level=1)
    return base64.b64encode(file.getvalue()).decode("ascii")


def _of_text(text: str) -> Picture:
    from PIL import Image

    return np.array(Image.open(io.BytesIO(base64.b64decode(text))), dtype=np.uint8)


def depth(layers: Sequence[Layer], camera: Camera, size: tuple[int, int]) -> Floats:
    """Return how far what is seen lies from the eye along the line of sight, (height, width), mm; inf for nothing.

    Raises
    ------
    NotAvailableError
        If this computer cannot render.
    """
    require_rendering()
    return _depth(layers, camera, size)


def _depth(layers: Sequence[Layer], camera: Camera, size: tuple[int, int]) -> Floats:
    import pyvista

    plotter = pyvista.Plotter(off_screen=True, window_size=size, lighting="none")
    try:
        for layer in layers:
            plotter.add_mesh(_surface(layer.mesh), color="white")
        _look(plotter, camera)
        plotter.show(auto_close=False, interactive=False)
        away = -np.asarray(plotter.get_image_depth(fill_value=None), dtype=np.float64)
        # Nothing there: the far plane, which VTK keeps well behind all solids. Rounded, so not met exactly.
        nothing = away > 0.999 * plotter.camera.clipping_range[1]
    finally:
        plotter.close()
    return np.where(nothing, np.inf, away)


def _cut_out(shot: Picture, covered: Flags, size: tuple[int, int]) -> Picture:
    """Return a picture with a channel of coverage, colours of partly covered pixels from their covered part alone."""
    from PIL import Image

    alpha = np.where(covered, 255, 0).astype(np.uint8)
    image = Image.fromarray(np.dstack([np.where(covered[..., None], shot, 0).astype(np.uint8), alpha]))
    # 'a' in lower case: colours weighted by coverage, so that nothing of the ground gets into the rim.
    small = image.convert("RGBa").resize(size, Image.Resampling.BOX).convert("RGBA")
    return np.asarray(small, dtype=np.uint8)


def _look(plotter: object, camera: Camera) -> None:
    import pyvista

    assert isinstance(plotter, pyvista.Plotter)  # noqa: S101
    plotter.camera_position = [camera.eye, camera.focus, camera.up]
    plotter.camera.view_angle = camera.angle
    plotter.reset_camera_clipping_range()


def _surface(mesh: trimesh.Trimesh) -> object:
    import pyvista

    faces = np.column_stack([np.full(len(mesh.faces), 3), mesh.faces])
    return pyvista.PolyData(np.array(mesh.vertices, dtype=np.float64), faces.ravel())


def _add(plotter: object, layer: Layer, camera: Camera) -> None:
    import pyvista

    assert isinstance(plotter, pyvista.Plotter)  # noqa: S101  (pyvista is imported here and not above)
    surface = _surface(layer.mesh)
    assert isinstance(surface, pyvista.PolyData)  # noqa: S101
    if layer.vertex_colours is not None:
        # Just not opaque: drawn after the shading of corners, which would darken it against its colour bar.
        plotter.add_mesh(surface, scalars=layer.vertex_colours, rgb=True, lighting=False, opacity=0.999)
        return
    plotter.add_mesh(
        surface, color=rgb(layer.colour), opacity=layer.opacity, smooth_shading=True, split_sharp_edges=True,
        feature_angle=FEATURE_ANGLE, ambient=0.2, diffuse=0.92, specular=0.16, specular_power=20.0,
    )  # fmt: skip
    if layer.edges:
        edges = surface.extract_feature_edges(
            FEATURE_ANGLE, boundary_edges=False, non_manifold_edges=False, manifold_edges=False
        )
        if edges.n_cells:
            plotter.add_mesh(edges, color=EDGE, line_width=1.6, opacity=min(1.0, layer.opacity + 0.25))
    if layer.lines is not None and len(layer.lines):
        # A little nearer than they lie: the depth of the picture cannot tell lines on a surface from the surface.
        nearer = layer.lines + BEFORE * (np.array(camera.eye) - layer.lines)
        lines = pyvista.line_segments_from_points(nearer.reshape(-1, 3))
        plotter.add_mesh(lines, color=EDGE, line_width=1.3, opacity=min(1.0, layer.opacity + 0.25))

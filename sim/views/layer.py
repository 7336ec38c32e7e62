"""What pictures of solids are drawn from: surfaces with their colours, the lights, and the eye."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import trimesh
from numpy.typing import NDArray

from sim.base.arrays import Floats
from sim.views.camera import Camera

Picture = NDArray[np.uint8]
FEATURE_ANGLE = 28.0  # deg; edges sharper than this are drawn and not shaded over
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

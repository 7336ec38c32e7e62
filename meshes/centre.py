"""A live centre in its quill: a cone, a body behind it, and the quill that carries both."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
import trimesh
from numpy.typing import NDArray

from meshes.dimension import require_less, require_positive
from meshes.revolve import SECTIONS, revolve


@dataclass(frozen=True, slots=True)
class Centre:
    """A live centre, its cone's tip in z = 0, pointing towards -z; lengths in mm, the cone's angle in rad."""

    cone_angle: float
    cone_diameter: float
    body_diameter: float
    body_length: float
    quill_diameter: float
    quill_length: float

    def __post_init__(self) -> None:
        require_positive(
            "centre",
            cone_angle=self.cone_angle,
            cone_diameter=self.cone_diameter,
            body_diameter=self.body_diameter,
            body_length=self.body_length,
            quill_diameter=self.quill_diameter,
            quill_length=self.quill_length,
        )
        require_less("centre", "cone's angle", self.cone_angle, "half a turn", math.pi)
        if self.cone_diameter > self.body_diameter:
            raise ValueError(
                f"centre: cone of {self.cone_diameter:g} mm must be no wider than its body, "
                f"{self.body_diameter:g} mm"
            )

    @property
    def cone_length(self) -> float:
        """From its tip to the body."""
        return depth(self.cone_diameter, self.cone_angle)


def depth(diameter: float, cone_angle: float) -> float:
    """Return how far a cone's tip lies from where it is `diameter` wide, mm; its angle in rad."""
    return 0.5 * diameter / math.tan(0.5 * cone_angle)


def section_outline(centre: Centre) -> NDArray[np.float64]:
    """Return the (r, z) outline, (n, 2) in mm, counter-clockwise."""
    cone, body, quill = (0.5 * d for d in (centre.cone_diameter, centre.body_diameter, centre.quill_diameter))
    low = centre.cone_length
    high = low + centre.body_length
    corners = [(0.0, 0.0), (cone, low), (body, low), (body, high), (quill, high)]
    corners += [(quill, high + centre.quill_length), (0.0, high + centre.quill_length)]
    return np.array([c for k, c in enumerate(corners) if k == 0 or c != corners[k - 1]])


def mesh(centre: Centre, sections: int = SECTIONS) -> trimesh.Trimesh:
    """Return the centre's solid."""
    return revolve(section_outline(centre), sections)

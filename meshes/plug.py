"""The plug: a disc in a seat bored first, on which the jaws clamp while they are bored."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import trimesh
from numpy.typing import NDArray

from meshes.dimension import require_less, require_not_negative, require_positive
from meshes.revolve import SECTIONS, revolve


@dataclass(frozen=True, slots=True)
class Plug:
    """A disc, lower face in z = 0, chamfered 45 deg on both outer edges; lengths in mm."""

    diameter: float
    thickness: float
    bore_diameter: float = 0.0
    chamfer: float = 0.0

    def __post_init__(self) -> None:
        require_positive("plug", diameter=self.diameter, thickness=self.thickness)
        require_not_negative("plug", bore_diameter=self.bore_diameter, chamfer=self.chamfer)
        require_less(
            "plug", "bore diameter", self.bore_diameter, "its diameter", self.diameter - 2.0 * self.chamfer
        )
        require_less("plug", "chamfer", self.chamfer, "half its thickness", 0.5 * self.thickness)


def section_outline(plug: Plug) -> NDArray[np.float64]:
    """Return the (r, z) outline, (n, 2) in mm, counter-clockwise."""
    bore, outer, c, top = 0.5 * plug.bore_diameter, 0.5 * plug.diameter, plug.chamfer, plug.thickness
    if c == 0.0:
        return np.array([(bore, 0.0), (outer, 0.0), (outer, top), (bore, top)])
    return np.array(
        [(bore, 0.0), (outer - c, 0.0), (outer, c), (outer, top - c), (outer - c, top), (bore, top)]
    )


def mesh(plug: Plug, sections: int = SECTIONS) -> trimesh.Trimesh:
    """Return the plug's solid."""
    return revolve(section_outline(plug), sections)

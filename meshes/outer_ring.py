"""The outer ring: jaws that will grip a part by its bore press outward against it while they are turned."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import trimesh
from numpy.typing import NDArray

from meshes.dimension import require_less, require_positive
from meshes.revolve import SECTIONS, revolve


@dataclass(frozen=True, slots=True)
class OuterRing:
    """A plain ring round the jaws, lower face in z = 0; lengths in mm."""

    outer_diameter: float
    inner_diameter: float
    thickness: float

    def __post_init__(self) -> None:
        require_positive(
            "outer ring",
            outer_diameter=self.outer_diameter,
            inner_diameter=self.inner_diameter,
            thickness=self.thickness,
        )
        require_less(
            "outer ring", "inner diameter", self.inner_diameter, "the outer diameter", self.outer_diameter
        )


def section_outline(ring: OuterRing) -> NDArray[np.float64]:
    """Return the (r, z) outline, (4, 2) in mm, counter-clockwise."""
    inner, outer = 0.5 * ring.inner_diameter, 0.5 * ring.outer_diameter
    return np.array([(inner, 0.0), (outer, 0.0), (outer, ring.thickness), (inner, ring.thickness)])


def mesh(ring: OuterRing, sections: int = SECTIONS) -> trimesh.Trimesh:
    """Return the ring's solid."""
    return revolve(section_outline(ring), sections)

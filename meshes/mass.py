"""Mass properties of a closed mesh of uniform density."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import trimesh
from numpy.typing import NDArray


@dataclass(frozen=True, slots=True, eq=False)
class MassProperties:
    """Mass properties; both arrays are read-only copies.

    Attributes
    ----------
    volume : float
        mm3.
    mass : float
        kg.
    centroid : (3,) array
        Centre of mass in the mesh's own frame, mm.
    inertia : (3, 3) array
        Inertia tensor about the centroid in the mesh's axes, kg mm2.
    """

    volume: float
    mass: float
    centroid: NDArray[np.float64]
    inertia: NDArray[np.float64]

    def __post_init__(self) -> None:
        for name, shape in (("centroid", (3,)), ("inertia", (3, 3))):
            array = np.array(getattr(self, name), dtype=np.float64)
            if array.shape != shape:
                raise ValueError(f"{name} must have the shape {shape}, found {array.shape}")
            array.setflags(write=False)
            object.__setattr__(self, name, array)


def mass_properties(solid: trimesh.Trimesh, density: float) -> MassProperties:
    """Return volume, mass, centroid and inertia of a solid of density kg/mm3 (steel: 7.85e-6).

    Raises
    ------
    ValueError
        If the mesh encloses no volume, is wound inside out, or the density is not greater than 0.
    """
    if not density > 0.0:
        raise ValueError(f"density must be greater than 0 kg/mm3, found {density:g} kg/mm3")
    # Of density 1, which the mesh keeps for as long as its corners and triangles stay the same.
    found = solid.mass_properties
    volume = float(found.volume)
    if not volume > 0.0:
        raise ValueError(f"a solid must enclose a volume greater than 0 mm3, found {volume:g} mm3")
    return MassProperties(
        volume, density * volume, np.array(found.center_mass), density * np.array(found.inertia)
    )

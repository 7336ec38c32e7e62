"""The boring ring: lies on the jaws' top faces, its pins in the counterbores of the jaw screws."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
import trimesh
from numpy.typing import NDArray

from meshes.boolean import union
from meshes.dimension import require_less, require_positive
from meshes.placement import placed, rotation_z, translation
from meshes.revolve import SECTIONS, revolve

PIN_SECTIONS = 48


@dataclass(frozen=True, slots=True)
class BoringRing:
    """A ring with pins; lengths in mm.

    Own frame: axis z, bottom face in z = 0 (on the jaws' top faces), the ring in 0 <= z <= thickness, the
    pins in -pin_length <= z <= 0, the first pin on the x axis (jaw 1).
    """

    outer_diameter: float
    inner_diameter: float
    thickness: float
    pin_diameter: float
    pin_length: float
    pin_circle_diameter: float
    pin_count: int = 3

    def __post_init__(self) -> None:
        part = "boring ring"
        require_positive(
            part,
            outer_diameter=self.outer_diameter,
            inner_diameter=self.inner_diameter,
            thickness=self.thickness,
            pin_diameter=self.pin_diameter,
            pin_length=self.pin_length,
            pin_circle_diameter=self.pin_circle_diameter,
        )
        require_less(part, "inner diameter", self.inner_diameter, "the outer diameter", self.outer_diameter)
        least = self.inner_diameter + self.pin_diameter
        most = self.outer_diameter - self.pin_diameter
        if not least <= self.pin_circle_diameter <= most:
            raise ValueError(
                f"{part}: pin circle diameter must be {least:g} to {most:g} mm so that the pins stand "
                f"under the ring, found {self.pin_circle_diameter:g} mm"
            )
        if self.pin_count < 1:
            raise ValueError(f"{part}: pin count must be 1 or more, found {self.pin_count}")


def section_outline(ring: BoringRing) -> NDArray[np.float64]:
    """Return the (r, z) outline of the ring without its pins, (4, 2) in mm, counter-clockwise."""
    inner, outer = 0.5 * ring.inner_diameter, 0.5 * ring.outer_diameter
    return np.array([(inner, 0.0), (outer, 0.0), (outer, ring.thickness), (inner, ring.thickness)])


def mesh(ring: BoringRing, sections: int = SECTIONS) -> trimesh.Trimesh:
    """Return the ring with its pins as one solid."""
    radius = 0.5 * ring.pin_diameter
    # The pins reach into the ring so that the union has no faces that merely touch.
    bottom, top = -ring.pin_length, 0.5 * ring.thickness
    pin = revolve([(0.0, bottom), (radius, bottom), (radius, top), (0.0, top)], PIN_SECTIONS)
    outward = translation(0.5 * ring.pin_circle_diameter, 0.0, 0.0)
    pins = [
        placed(pin, rotation_z(2.0 * math.pi * index / ring.pin_count) @ outward)
        for index in range(ring.pin_count)
    ]
    return union([revolve(section_outline(ring), sections), *pins])

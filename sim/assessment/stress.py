"""Stress and displacement of the clamped part: how far its figures may be taken for true.

All figures here are those of small elastic displacements. They stop being true where part or jaw yields, or where the
part moves by more than a tenth of its wall (common practice for small displacements of a bent wall, no source).

- Wall of a hollow part: the stress around it, E times the strain around the circle that the jaws do not touch, which
  the finite elements give (u/r + dv/(r dtheta)), or the plane annulus without them. Gripped inside, the bore's own
  stress is larger than that of the outside by at most (a^2 + b^2) / (2 a^2), Lame's ratio for radii a and b; that of
  bending of a curved bar is less.
- Under the jaws: 0.6 of the band-mean pressure. Where cylinders touch along a line, the largest equivalent stress
  (Tresca) is 0.60 p0, and yield begins at p0 = 1.67 Y (K. L. Johnson, Contact Mechanics, chapter 6, from memory).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from sim.assessment.part_wall import PartWall
from sim.base.floats import Number, larger
from sim.contact import ClampedShape
from sim.mechanics import distortion

SOLID_BORE = 0.05  # a solid part's outside squeezes like that of an annulus with this share as its bore
UNDER_PRESSURE = 0.6  # equivalent stress under a line contact over its pressure
LEAST_OF_WALL = 0.1  # share of the wall that a displacement may reach


@dataclass(frozen=True, slots=True)
class Strained:
    """Stress around the wall (MPa), largest share of a yield strength, largest radial displacement (mm)."""

    hoop: float
    share: float
    displacement: float


def strained(wall: PartWall, per_jaw: float, peak: float, shape: ClampedShape | None) -> Strained:
    """Return stress and displacement of a clamped part.

    Parameters
    ----------
    wall : PartWall
    per_jaw : float
        Grip, N.
    peak : float
        Largest band-mean pressure, MPa.
    shape : ClampedShape or None
        Of `reported_surfaces`, whose first is the circle that the jaws do not touch unless the part is solid; None
        without finite elements.
    """
    part, inner, outer = wall.material, wall.inner, wall.outer
    if shape is None:
        even = even_annulus(wall, per_jaw)
        hoop, moved = even.free_stress, even.largest
    else:
        circles = 2 if inner > 0.0 else 1
        hoop = part.modulus * float(np.abs(shape.hoop_strain[0]).max())
        moved = float(np.abs(shape.moved_mm[:circles, 0]).max())
    if inner <= 0.0:
        hoop = 0.0
    elif wall.direction == "inside":
        hoop *= (inner**2 + outer**2) / (2.0 * inner**2)
    return Strained(hoop, share_of_yield(hoop, part.yield_strength, peak, wall.softer), moved)


def share_of_yield(hoop: Number, part: float, peak: Number, softer: float) -> Number:
    """Return the largest share of a yield strength (MPa): around the part's wall, or of the softer under a jaw."""
    return larger(hoop / part, UNDER_PRESSURE * peak / softer)


def even_annulus(wall: PartWall, per_jaw: float) -> distortion.Annulus:
    """Return a plane annulus of the part's wall over the held length, each jaw (N) spread evenly over its arc."""
    return distortion.annulus(
        per_jaw,
        max(wall.inner, SOLID_BORE * wall.outer),
        wall.outer,
        wall.length,
        wall.material.modulus,
        wall.material.poisson,
        direction=wall.direction,
        half_angle=wall.half_angle,
    )


def annulus_roundness(wall: PartWall, per_jaw: float) -> float:
    """Return the three-lobe out-of-roundness (um) after release of a plane annulus."""
    shape = even_annulus(wall, per_jaw)
    return shape.bore_roundness if wall.bore_is_turned else shape.outside_roundness

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

import math
from dataclasses import dataclass

import numpy as np

from sim.assessment.bodies import wall
from sim.base import tables
from sim.base.floats import Number, larger
from sim.contact import ClampedShape
from sim.mechanics import distortion
from sim.setup.parts import HeldZone, Parts, face_half_chord

SOLID_BORE = 0.05  # a solid part's outside squeezes like that of an annulus with this share as its bore
UNDER_PRESSURE = 0.6  # equivalent stress under a line contact over its pressure
LEAST_OF_WALL = 0.1  # share of the wall that a displacement may reach
AT_GRIP = "at the gripped height"  # ends the names of the surfaces that are looked at


@dataclass(frozen=True, slots=True)
class Strained:
    """Stress around the wall (MPa), largest share of a yield strength, largest radial displacement (mm)."""

    hoop: float
    share: float
    displacement: float


def strained(
    parts: Parts, index: int, zone: HeldZone, per_jaw: float, peak: float, shape: ClampedShape | None
) -> Strained:
    """Return stress and displacement of a clamped part.

    Parameters
    ----------
    per_jaw : float
        Grip, N.
    peak : float
        Largest band-mean pressure, MPa.
    shape : ClampedShape or None
        Of `reported_surfaces`, whose first is the circle that the jaws do not touch unless the part is solid; None
        without finite elements.
    """
    part = tables.material(parts.scenario.operations[index].workpiece.material)
    inner, outer = wall(parts, index, zone)
    if shape is None:
        even = even_annulus(parts, index, zone, per_jaw)
        hoop, moved = even.free_stress, even.largest
    else:
        circles = 2 if inner > 0.0 else 1
        hoop = part.modulus * float(np.abs(shape.hoop_strain[0]).max())
        moved = float(np.abs(shape.moved_mm[:circles, 0]).max())
    if inner <= 0.0:
        hoop = 0.0
    elif parts.direction == "inside":
        hoop *= (inner**2 + outer**2) / (2.0 * inner**2)
    softer = min(part.yield_strength, parts.jaw_material.yield_strength)
    return Strained(hoop, share_of_yield(hoop, part.yield_strength, peak, softer), moved)


def share_of_yield(hoop: Number, part: float, peak: Number, softer: float) -> Number:
    """Return the largest share of a yield strength (MPa): around the part's wall, or of the softer under a jaw."""
    return larger(hoop / part, UNDER_PRESSURE * peak / softer)


def even_annulus(parts: Parts, index: int, zone: HeldZone, per_jaw: float) -> distortion.Annulus:
    """Return a plane annulus of the part's wall over the held length, each jaw (N) spread evenly over its arc."""
    scenario, (inner, outer) = parts.scenario, wall(parts, index, zone)
    material = tables.material(scenario.operations[index].workpiece.material)
    gripped = outer if parts.direction == "outside" else inner
    half_chord = face_half_chord(scenario, 0.5 * scenario.pocket_of(scenario.operations[index]).diameter)
    return distortion.annulus(
        per_jaw,
        max(inner, SOLID_BORE * outer),
        outer,
        zone.length,
        material.modulus,
        material.poisson,
        direction=parts.direction,
        half_angle=math.asin(min(0.99, half_chord / gripped)),
    )

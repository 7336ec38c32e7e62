"""Stress and displacement of the clamped part: does it bear the grip, and may its figures be taken for true.

All figures here are those of small elastic displacements. They stop being true where part or jaw yields, or where the
part moves by more than a tenth of its wall (common practice for small displacements of a bent wall, no source).

- Part: the finite elements' stress as a mean over bands of 3 deg and about 2 mm along its outline
  (`sim.contact.stress`). A part that yields is judged by the equivalent stress of von Mises against its yield strength.
  A brittle one (grey iron) breaks where it is pulled, so it is judged by the largest principal tension, against the
  0.1 % proof strength, which for grey iron lies at about two thirds of the tensile strength (EN 1561: 98 of 150 MPa,
  metals-china.com, grey cast iron EN-GJL; a table of materials has 170 of 250); what it bears under pressure is
  several times that.
- Without finite elements: the plane annulus' own stress around its free side.
- Under the jaws: 0.6 of the band-mean pressure. Where cylinders touch along a line, the largest equivalent stress
  (Tresca) is 0.60 p0, and yield begins at p0 = 1.67 Y (K. L. Johnson, Contact Mechanics, chapter 6;
  worked out again in `tests/reference/test_many_digits.py`).

Not in it: the cut's own force, the turning part's centrifugal force (7 MPa for steel of 200 mm at 3000 rev/min), what
the part brings along from casting, forging or hardening.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np

from sim.assessment.part_wall import PartWall
from sim.base.floats import Number, larger
from sim.contact import ClampedShape, ClampedStress
from sim.mechanics import distortion

StressKind = Literal["equivalent", "tension", "around the wall"]
SOLID_BORE = 0.05  # a solid part's outside squeezes like that of an annulus with this share as its bore
UNDER_PRESSURE = 0.6  # equivalent stress under a line contact over its pressure
LEAST_OF_WALL = 0.1  # share of the wall that a displacement may reach


@dataclass(frozen=True, slots=True)
class Strained:
    """Stress and displacement of the part in one state.

    Attributes
    ----------
    hoop : float
        Largest stress around the part in its wall at the gripped height, tension or pressure, MPa; 0 if it is solid.
    bending : float
        Largest half difference of that stress between the two sides of the wall, MPa; nan without finite elements.
    decisive : float
        What is judged, MPa.
    kind : StressKind
        What that is: the equivalent stress, of a brittle part the tension, without finite elements around the wall.
    place : (float, float) or None
        r and z (mm) of the band where that is; None without finite elements.
    share : float
        Largest share of a yield strength, under the jaws included.
    displacement : float
        Largest radial displacement at the gripped height, mm.
    """

    hoop: float
    bending: float
    decisive: float
    kind: StressKind
    place: tuple[float, float] | None
    share: float
    displacement: float


def strained(
    wall: PartWall, per_jaw: float, peak: float, shape: ClampedShape | None, stress: ClampedStress | None
) -> Strained:
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
    stress : ClampedStress or None
        None without finite elements.
    """
    part, hollow = wall.material, wall.inner > 0.0
    if shape is None or stress is None:
        even = even_annulus(wall, per_jaw)
        hoop = even.free_stress if hollow else 0.0
        share = share_of_yield(hoop, part.yield_strength, peak, wall.softer)
        return Strained(hoop, math.nan, hoop, "around the wall", None, share, even.largest)
    hoop, bending = _around_wall(shape, stress) if hollow else (0.0, math.nan)
    kind: StressKind = "tension" if part.brittle else "equivalent"
    band, largest = stress.largest_tension() if part.brittle else stress.largest_equivalent()
    decisive = max(largest, 0.0)
    place = (float(stress.places_mm[band, 0]), float(stress.places_mm[band, 1]))
    moved = float(np.abs(shape.moved_mm[: 2 if hollow else 1, 0]).max())
    share = share_of_yield(decisive, part.yield_strength, peak, wall.softer)
    return Strained(hoop, bending, decisive, kind, place, share, moved)


def worst_of(found: Sequence[Strained]) -> Strained:
    """Return the largest of each figure; the place is that of the decisive stress."""
    decisive = max(found, key=lambda one: one.decisive)
    return Strained(
        hoop=max(one.hoop for one in found),
        bending=max(one.bending for one in found),
        decisive=decisive.decisive,
        kind=decisive.kind,
        place=decisive.place,
        share=max(one.share for one in found),
        displacement=max(one.displacement for one in found),
    )


def _around_wall(shape: ClampedShape, stress: ClampedStress) -> tuple[float, float]:
    """Return the largest stress around the wall at the gripped height and its bending, MPa, of the bands nearest.

    Less the stress along r: the pressure of a jaw on a flat surface presses it together by as much all round, which is
    no stress of the wall (half-plane; worked out in `tests/reference/test_worked_out.py`). On a free side there is
    none.
    """
    sides = []
    for place in shape.places_mm[:2]:
        band = int(np.linalg.norm(stress.places_mm - place, axis=1).argmin())
        sides.append(stress.tensor_mpa[band, 1] - stress.tensor_mpa[band, 0])
    return float(np.abs(sides).max()), float(0.5 * np.abs(sides[0] - sides[1]).max())


def share_of_yield(decisive: Number, part: float, peak: Number, softer: float) -> Number:
    """Return the largest share of a yield strength (MPa): of the part's in its bands, or of the softer under a jaw."""
    return larger(decisive / part, UNDER_PRESSURE * peak / softer)


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

"""What a cut does to the sections of a part that stand between the jaws and it: bends, twists and pushes them.

A section with modulus W (mm3) and area A (mm2), a ring or a disc, bears at its rim

    sigma = M / W + N / A,    tau = T / (2 W)

(elementary theory of beams and shafts, any handbook of the strength of materials). What yields is judged by the
equivalent stress of von Mises, sqrt(sigma^2 + 3 tau^2), what is brittle by the largest tension,
sigma / 2 + sqrt(sigma^2 / 4 + tau^2). Left out: the notch at the foot of a groove, which a metal that yields levels,
and the shear of the side force, which is least where bending is most. Lengths in mm, forces in N, stress in MPa.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from sim.base.arrays import Flags, Floats
from sim.base.floats import Number
from sim.mechanics.cutting import ALONG_AN_AXIS, CutForces, part_load


@dataclass(frozen=True, slots=True, eq=False)
class Sections:
    """Sections of a part that one cut loads, (n,) each.

    Attributes
    ----------
    height : array
        From the part's back face, mm.
    modulus, area : array
        W of the ring that bears the cut, mm3, and its area, mm2; 0 where there is none.
    bends : array
        Moment for each newton of the cut across the spindle, N mm/N.
    weight : array
        Moment of the weight beyond, N mm.
    below : array of bool
        Between the jaws and the cut, so that they are twisted and pushed, too.
    """

    height: Floats
    modulus: Floats
    area: Floats
    bends: Floats
    weight: Floats
    below: Flags


def stresses(forces: CutForces[Number], sections: Sections, *, brittle: bool) -> Floats:
    """Return the stress of each section under a cut, MPa: (v, n) for forces of v variants, 1 for floats."""
    load = part_load(forces)
    arm = forces.off_axis if forces.kind in ALONG_AN_AXIS else 0.5 * forces.diameter
    side, axial, torque = (
        np.atleast_1d(np.asarray(of, dtype=np.float64))[:, None]
        for of in (load.radial, load.towards_chuck + load.away_from_chuck, load.torque)
    )
    moment = side * sections.bends + sections.weight + np.where(sections.below, arm * axial, 0.0)
    with np.errstate(divide="ignore", invalid="ignore"):
        bent = moment / sections.modulus + np.where(sections.below, axial, 0.0) / sections.area
        twisted = np.where(sections.below, torque, 0.0) / (2.0 * sections.modulus)
    found = (
        0.5 * bent + np.sqrt(0.25 * bent**2 + twisted**2) if brittle else np.sqrt(bent**2 + 3.0 * twisted**2)
    )
    gone: Floats = np.where(sections.modulus > 0.0, found, np.inf)
    return gone


def worst_stress(forces: CutForces[Number], sections: Sections, *, brittle: bool) -> tuple[Floats, float]:
    """Return the largest stress (MPa) of each variant, and the height (mm) at which the first one's is."""
    if len(sections.height) == 0:
        return np.zeros(np.shape(np.atleast_1d(np.asarray(forces.tangential)))), 0.0
    found = stresses(forces, sections, brittle=brittle)
    return found.max(axis=1), float(sections.height[found[0].argmax()])

"""A thin cylinder with free ends, pinched by two opposite radial forces at half its length, by the part's elements.

Radius of the wall's middle 4.953 in, length 10.35 in, wall 0.094 in, E = 10.5e6 psi, nu = 0.3125, forces of 100 lb: the
force moves by 0.1139 in (R. D. Cook, Concepts and Applications of Finite Element Analysis, 2nd ed. 1981, 284-287; H.
Takemoto and R. D. Cook, Int. J. Numer. Meth. Eng. 7, 1973; case and figure as quoted in the public verification
examples of PyMAPDL, VM6, where two shell elements give the same).

S. Timoshenko and S. Woinowsky-Krieger, Theory of Plates and Shells, treat the same case without stretch of the middle
surface (`closed_forms.inextensional_cylinder`): 0.1084 in, less by 4.8 %. That form lets all heights move alike.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cache

import numpy as np

from sim.contact.bodies import TurnedPart
from sim.contact.face import FaceGrid
from sim.contact.part import part_harmonics, part_section
from sim.contact.section import GrippedSurface

INCH, POUND = 25.4, 4.4482216152605  # mm, N
RADIUS, LENGTH, WALL = 4.953 * INCH, 10.35 * INCH, 0.094 * INCH
MODULUS, POISSON, FORCE = 10.5e6 * POUND / INCH**2, 0.3125, 100.0 * POUND
PRINTED = 0.1139 * INCH  # mm
_ORDERS = 60  # harmonics; those beyond add 0.04 %


@dataclass(frozen=True, slots=True)
class Pinched:
    """Motion of the wall's middle line towards the axis under a force, mm.

    Attributes
    ----------
    middle, end : at half the length and at an end of the cylinder.
    """

    middle: float
    end: float


@cache
def pinched(band: float = 2.0, wall: float = WALL, orders: int = _ORDERS) -> Pinched:
    """Pinch the cylinder by forces that are points around it and spread evenly over a `band` of its length, mm."""
    outer, middle = RADIUS + 0.5 * wall, 0.5 * LENGTH
    half = np.linspace(0.0, middle - 0.5 * band, 7) if band < LENGTH else np.zeros(1)
    edges = np.r_[half, LENGTH - half[::-1]]
    grid = FaceGrid(np.linspace(-0.2, 0.2, 5), edges, outer)
    box = np.array([(outer - wall, 0.0), (outer, 0.0), (outer, LENGTH), (outer - wall, LENGTH)])
    section = part_section(TurnedPart(box, MODULUS, POISSON), grid, GrippedSurface(0.0, LENGTH, outer))
    n = np.arange(0.0, orders + 1.0, 2.0)
    found = part_harmonics(section, n, np.array([[RADIUS, middle], [RADIUS, 1e-3]]))
    load = np.where(n == 0.0, FORCE / math.pi, 2.0 * FORCE / math.pi)  # N/rad of two points, by harmonic
    moved = load @ found.place_mm[:, :, 0, half.size - 1]
    return Pinched(float(moved[0]), float(moved[1]))

"""Unbalance of what turns with the spindle, its permissible residual, and the energy of a loose jaw.

Masses in kg, lengths in mm, speeds in rev/min. Unbalance in g mm, the unit of ISO 21940-11.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np

from sim.base.floats import Number

GRADE = 6.3  # mm/s, ISO 21940-11 class G 6.3, usual for chucks (common practice, no source)


@dataclass(frozen=True, slots=True)
class OffsetMass:
    """A body: mass (kg) and centre of mass off the spindle axis (mm)."""

    mass: float
    x: float
    y: float


@dataclass(frozen=True, slots=True)
class Unbalance:
    """Resultant unbalance: amount (g mm) and direction from x through jaw 1 (rad, -pi to pi)."""

    amount: float
    angle: float


def unbalance(bodies: Iterable[OffsetMass]) -> Unbalance:
    """Return the static unbalance |sum(m r)| of bodies about the spindle axis."""
    fixed = tuple(bodies)
    x = math.fsum(1e3 * body.mass * body.x for body in fixed)
    y = math.fsum(1e3 * body.mass * body.y for body in fixed)
    return Unbalance(math.hypot(x, y), math.atan2(y, x))


def permissible_unbalance(mass: float, speed: Number, grade: float = GRADE) -> Number:
    """Return the permissible residual unbalance, g mm: U_per = m e_per with e_per omega = G (ISO 21940-11).

    Parameters
    ----------
    mass : float
        Of the whole rotor: chuck, jaws and part, without the spindle, kg.
    speed : float or array
        rev/min.
    grade : float
        G = e_per omega, mm/s.

    Raises
    ------
    ValueError
        If mass, speed or grade is not greater than 0.
    """
    slowest = float(np.min(speed))
    if not (mass > 0.0 and slowest > 0.0 and grade > 0.0):
        raise ValueError(
            "mass, speed and balance grade must be greater than 0, "
            f"found {mass:g} kg, {slowest:g} rev/min and {grade:g} mm/s"
        )
    return 1e3 * mass * grade / _angular(speed)


def unbalance_force(amount: float, speed: float) -> float:
    """Return the turning force (N) of an unbalance (g mm) at a speed (rev/min)."""
    return 1e-6 * amount * _angular(speed) ** 2


def loose_jaw_energy(mass: float, radius: float, speed: float) -> float:
    """Return the energy (J) of a jaw (kg) that leaves from a radius (mm) at a speed: m (omega r)^2 / 2."""
    return 0.5 * mass * (1e-3 * radius * _angular(speed)) ** 2


def _angular(speed: Number) -> Number:
    return speed * math.pi / 30.0

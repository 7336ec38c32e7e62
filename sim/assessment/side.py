"""What pushes and tips the part in the jaws: a cut, fixed in space, and the part's weight."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass
from functools import reduce

from meshes import workpiece
from meshes.mass import mass_properties
from sim.base import tables
from sim.base.floats import Number, larger
from sim.mechanics.cutting import CutForces, cut_wrench
from sim.setup.held import HeldZone
from sim.setup.parts import Parts

GRAVITY = 9.80665  # m/s2, standard value (ISO 80000-3)


@dataclass(frozen=True, slots=True)
class SideLoad:
    """Load across the spindle on the part, about the axis' point at the middle of the gripped height.

    The spindle lies level. x points from the axis to the tool; weight is added along the cut's side force, its least
    favourable direction, since a scenario does not say where in space the tool stands.

    Attributes
    ----------
    force : (float, float)
        x and y, N.
    moment : (float, float)
        About x and y, N mm.
    weight : float
        Share of it that is the part's weight, N.
    """

    force: tuple[float, float]
    moment: tuple[float, float]
    weight: float

    @property
    def amount(self) -> float:
        """Amount of the force, N."""
        return math.hypot(*self.force)


def cut_side_load(forces: CutForces, above_middle: float) -> tuple[tuple[float, float], tuple[float, float]]:
    """Return force (N) and moment (N mm) of a cut across the spindle, `above_middle` mm from the held middle."""
    x, y, _, about_x, about_y, _ = cut_wrench(forces, above_middle)
    return (x, y), (about_x, about_y)


def weight_load(parts: Parts, index: int, zone: HeldZone) -> tuple[float, float]:
    """Return the weight of an operation's part (N) and its arm: height of its centroid above the held middle (mm)."""
    material = tables.material(parts.scenario.operations[index].workpiece.material)
    body = mass_properties(workpiece.mesh(parts.workpieces[index]), material.density)
    return GRAVITY * body.mass, zone.seat + float(body.centroid[2]) - zone.middle


def tips_along(moment: float, arm: float) -> float:
    """Return the sign of a force along x whose `arm` (mm) adds to a `moment` about y (N mm)."""
    return math.copysign(1.0, moment * arm) if moment * arm != 0.0 else 1.0


def largest_side_force(sides: Iterable[Number], weight: float) -> Number:
    """Return the amount (N) of the largest load across the spindle, the weight along each cut's own, as below."""
    return reduce(larger, sides) + weight


def worst_side_load(weighs: tuple[float, float], zone: HeldZone, cuts: Iterable[CutForces]) -> SideLoad:
    """Return the largest load across the spindle that a cut and the part's weight, as from `weight_load`, give."""
    weight, lever = weighs
    loads = []
    for forces in cuts:
        force, moment = cut_side_load(forces, zone.seat + forces.height - zone.middle)
        amount = math.hypot(*force)
        # Without a side force (a drill): so that the weight tips as the thrust off the axis does.
        x, y = (force[0] / amount, force[1] / amount) if amount > 0.0 else (tips_along(moment[1], lever), 0.0)
        loads.append(
            SideLoad(
                (force[0] + weight * x, force[1] + weight * y),
                (moment[0] - lever * weight * y, moment[1] + lever * weight * x),
                weight,
            )
        )
    return max(loads, key=lambda load: load.amount)

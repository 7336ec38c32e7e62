"""What pushes and tips the part in the jaws: a cut, fixed in space, and the part's weight."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass
from functools import reduce

from meshes import workpiece
from meshes.mass import mass_properties
from sim.base.floats import Number, larger
from sim.mechanics.cutting import CutForces, cut_wrench
from sim.scenario.chuck import SpindleAxis
from sim.setup.held import HeldZone
from sim.setup.parts import Parts

GRAVITY = 9.80665  # m/s2, standard value (ISO 80000-3)


@dataclass(frozen=True, slots=True)
class PartWeight:
    """The part's weight.

    Attributes
    ----------
    amount : float
        N.
    arm : float
        Height of its centroid above the held middle, mm.
    axis : {'level', 'upright', 'hanging'}
        How the spindle lies.
    """

    amount: float
    arm: float
    axis: SpindleAxis = "level"

    @property
    def across(self) -> float:
        """What of it acts across the spindle, N."""
        return self.amount if self.axis == "level" else 0.0

    @property
    def along(self) -> float:
        """What of it acts along the spindle, N; above 0 where it pulls the part away from the chuck."""
        return {"level": 0.0, "upright": -self.amount, "hanging": self.amount}[self.axis]


@dataclass(frozen=True, slots=True)
class SideLoad:
    """Load across the spindle on the part, about the axis' point at the middle of the gripped height.

    x points from the axis to the tool; of a level spindle the weight is added along the cut's side force, its least
    favourable direction, since a scenario does not say where in space the tool stands.

    Attributes
    ----------
    force : (float, float)
        x and y, N.
    moment : (float, float)
        About x and y, N mm.
    weight : float
        Share of it that is the part's weight, N; 0 where the spindle does not lie level.
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


def weight_load(parts: Parts, index: int, zone: HeldZone) -> PartWeight:
    """Return the weight of an operation's part where it is held."""
    material = parts.scenario.metal(parts.scenario.operations[index].workpiece.material)
    body = mass_properties(workpiece.mesh(parts.workpieces[index]), material.density)
    arm = zone.seat + float(body.centroid[2]) - zone.middle
    return PartWeight(GRAVITY * body.mass, arm, parts.scenario.machine.spindle_axis)


def tips_along(moment: float, arm: float) -> float:
    """Return the sign of a force along x whose `arm` (mm) adds to a `moment` about y (N mm)."""
    return math.copysign(1.0, moment * arm) if moment * arm != 0.0 else 1.0


def largest_side_force(sides: Iterable[Number], weight: float) -> Number:
    """Return the amount (N) of the largest load across the spindle, the weight along each cut's own, as below."""
    return reduce(larger, sides) + weight


def share_on_the_jaws(height: float, zone: HeldZone, outermost: float | None) -> float:
    """Return what the jaws bear of a force across the spindle at a height (mm, chuck frame), as a share; 1 or more.

    Between the jaws and the outermost of what else bears the part they never bear more than all of it; how much less,
    stiffnesses decide that nobody knows, so that none is taken off. Beyond it the part is a lever over that support: at
    a above it, and the jaws l below it, they bear a / l the other way (lever law), which may be more.
    """
    if outermost is None or outermost <= zone.middle:
        return 1.0
    return max(1.0, (height - outermost) / (outermost - zone.middle))


def worst_side_load(
    weighs: PartWeight, zone: HeldZone, cuts: Iterable[CutForces], outermost: float | None = None
) -> SideLoad:
    """Return the largest load across the spindle that a cut and the part's weight, as from `weight_load`, give.

    `outermost` is the height of the farthest of what bears the part beside the jaws, mm, chuck frame; None for nothing.
    """
    lever = weighs.arm
    weight = weighs.across * share_on_the_jaws(zone.middle + lever, zone, outermost)
    loads = []
    for forces in cuts:
        share = share_on_the_jaws(zone.seat + forces.height, zone, outermost)
        pushed, tipped = cut_side_load(forces, zone.seat + forces.height - zone.middle)
        force, moment = (share * pushed[0], share * pushed[1]), (share * tipped[0], share * tipped[1])
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

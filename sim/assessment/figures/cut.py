"""What a cut asks of the grip, and how it is held.

Lengths in mm, forces in N, pressures in MPa, speeds in rev/min.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from sim.holding import Holding
from sim.mechanics.cutting import CutForces


@dataclass(frozen=True, slots=True)
class CutDemand:
    """What one cut asks of the grip: its forces, side force and needed total grip, N, no safety.

    `needed` is the handbooks' figure, the larger of torque with axial force, and tipping.
    """

    name: str
    speed: float
    forces: CutForces
    side_force: float
    needed: float
    governing: str


@dataclass(frozen=True, slots=True, eq=False)
class CutHolding:
    """How one cut is held at its own speed: multiples of the cut's forces beside the part's weight.

    Attributes
    ----------
    grip : float
        Total grip left, N; the gain of inside gripping is not counted.
    turn : Holding
        Over one revolution with everything at once, by linear programs: what is judged.
    without_shift : float
        At its least favourable spindle angle if pressure did not shift along the jaws. No unit.
    without_back_face : float
        There if the part did not stand on the back face, and neither centre nor steady rest bore it (then over one
        revolution). No unit.
    handbook : float
        By the closed forms: grip over `CutDemand.needed`. No unit.
    asked : float
        Total grip that the cut asks for with everything at once, N, no safety, as
        `sim.assessment.holding.grip_asked_for` tells it; NaN where nobody has asked.
    """

    grip: float
    turn: Holding
    without_shift: float
    without_back_face: float
    handbook: float
    asked: float = math.nan

    @property
    def factor(self) -> float:
        """The least over the revolution."""
        return self.turn.factor

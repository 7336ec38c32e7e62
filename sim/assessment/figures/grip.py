"""Figures of the grip of an operation.

Lengths in mm, forces in N, pressures in MPa, speeds in rev/min.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from sim.base.arrays import Floats
from sim.mechanics.spin import PermissibleSpeed


@dataclass(frozen=True, slots=True, eq=False)
class SpeedCurve:
    """Grip against speed (rev/min), for the plot: total grip left and total grip needed, N, (n,) arrays."""

    speeds: Floats
    grip: Floats
    needed: Floats

    def __post_init__(self) -> None:
        for name in ("speeds", "grip", "needed"):
            copy = np.array(getattr(self, name), dtype=np.float64)
            copy.setflags(write=False)
            object.__setattr__(self, name, copy)


@dataclass(frozen=True, slots=True, eq=False)
class GripFigures:
    """Grip of one operation; forces in N.

    Attributes
    ----------
    rest_total, rest_per_jaw, low_speed_total, high_speed_total : float
        Total at rest, per jaw at rest, total at the operation's lowest and highest speed.
    per_jaw_at_speed : float
        Per jaw at the highest speed.
    basis : str
        'chuck data' or 'free body'.
    height : float
        Grip height above the serrated plane, mm.
    needed_total : float
        Grip needed while cutting (without safety): the most that a cut, or a move of the program, needs by linear
        programs; by the closed forms where these do not tell.
    friction : float
        Friction of part in jaws used for holding, no unit.
    centrifugal_per_jaw : float
        At the highest speed.
    largest_total, largest_per_jaw : float
        The most that the jaws press in any state: at rest outside; inside at the highest speed, all of the
        centrifugal force added, whatever share of it the scenario lets count.
    counted_total : float
        At the highest speed without the gain of inside gripping, which holds nothing.
    guide_moment : float
        Largest grip force per jaw times its height above the guideway's middle, N mm.
    centrifugal_moment : float
        Sum of mass times centroid radius of one jaw with all that hangs on it, kg mm.
    permissible : PermissibleSpeed
        By VDI 3106, by the loss of two thirds of the grip, marked on the chuck, and the least.
    curve : SpeedCurve
    """

    rest_total: float
    rest_per_jaw: float
    largest_total: float
    largest_per_jaw: float
    counted_total: float
    guide_moment: float
    low_speed_total: float
    high_speed_total: float
    per_jaw_at_speed: float
    basis: str
    height: float
    needed_total: float
    friction: float
    centrifugal_moment: float
    centrifugal_per_jaw: float
    permissible: PermissibleSpeed
    curve: SpeedCurve

"""Grip at speed, and the speeds that the standards permit.

Masses in kg, radii in mm, speeds in rev/min, forces in N. Symbols of VDI 3106: F_sp0 grip at rest and F_spz
grip needed while cutting, both totals over the jaws; M_c centrifugal moment sum(m r) over all jaws; S_z and
S_sp safety factors. VDI 3106 and EN 1550 / ISO 16156 are used in the form quoted in public chuck manuals;
the standards themselves were not at hand.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Literal

Direction = Literal["outside", "inside"]
Governing = Literal["VDI 3106", "two thirds of the grip", "marked speed"]

LARGEST_LOSS = 2.0 / 3.0  # share of the grip at rest (EN 1550)


@dataclass(frozen=True, slots=True)
class TurningMass:
    """A body on one jaw: mass (kg) and radius of its centre of mass from the spindle axis (mm)."""

    mass: float
    radius: float


@dataclass(frozen=True, slots=True)
class PermissibleSpeed:
    """Permissible speed three ways, rev/min, and the least of them.

    Attributes
    ----------
    by_cutting : float
        VDI 3106; 0 when the grip at rest is not enough, infinite when speed takes no grip away.
    by_loss : float
        n_67: the centrifugal force takes two thirds of the grip at rest (EN 1550).
    marked : float
        Marked on the chuck.
    least : float
        Least of the three.
    governing : str
        Which of them that is.
    """

    by_cutting: float
    by_loss: float
    marked: float
    least: float
    governing: Governing


def angular_speed(speed: float) -> float:
    """Return rad/s for rev/min."""
    return speed * math.pi / 30.0


def centrifugal_moment(masses: Iterable[TurningMass]) -> float:
    """Return sum(m r), kg mm."""
    return math.fsum(body.mass * body.radius for body in masses)


def centrifugal_force(moment: float, speed: float) -> float:
    """Return the centrifugal force (N) of a centrifugal moment (kg mm) at a speed (rev/min)."""
    return 1e-3 * moment * angular_speed(speed) ** 2  # kg mm/s2 = mN


def loss_share(part_stiffness: float, chuck_stiffness: float) -> float:
    """Return the share lam of the centrifugal force that leaves the grip: k_part / (k_part + k_chuck).

    Part and chuck are two springs side by side under one load, both in the same unit, per jaw.

    Raises
    ------
    ValueError
        If a stiffness is not greater than 0.
    """
    if not (part_stiffness > 0.0 and chuck_stiffness > 0.0):
        raise ValueError(
            "stiffnesses must be greater than 0 N/mm, "
            f"found {part_stiffness:g} N/mm and {chuck_stiffness:g} N/mm"
        )
    return part_stiffness / (part_stiffness + chuck_stiffness)


def grip_at_speed(grip_at_rest: float, centrifugal: float, direction: Direction, lam: float = 1.0) -> float:
    """Return the grip (N) at speed: F0 - lam Fc outside, F0 + lam Fc inside; never below 0.

    Grip and centrifugal force both per jaw or both total. lam = 1 is the cautious value for outside gripping.
    """
    if direction == "outside":
        return max(0.0, grip_at_rest - lam * centrifugal)
    return grip_at_rest + lam * centrifugal


def speed_at_grip(grip_at_rest: float, grip: float, moment: float, lam: float = 1.0) -> float:
    """Return the speed (rev/min) at which an outside grip (N) has fallen to `grip`.

    `moment` is the centrifugal moment (kg mm) of as many jaws as the grip counts. 0 if the grip at rest is
    already less; infinite if speed takes nothing away.
    """
    spare = grip_at_rest - grip
    if spare < 0.0:
        return 0.0
    if lam * moment <= 0.0:
        return math.inf
    return 30.0 / math.pi * math.sqrt(1e3 * spare / (lam * moment))


def required_grip_at_rest(
    cutting_grip: float,
    centrifugal: float,
    direction: Direction,
    cutting_factor: float = 1.5,
    grip_factor: float = 1.5,
) -> float:
    """Return F_sp0 = S_sp (S_z F_spz +/- F_c) of VDI 3106, N; plus outside, and inside no credit for F_c.

    Parameters
    ----------
    cutting_grip : float
        F_spz, total grip needed while cutting, N.
    centrifugal : float
        F_c of all jaws, N.
    """
    loss = centrifugal if direction == "outside" else 0.0
    return grip_factor * (cutting_factor * cutting_grip + loss)


def permissible_speed(
    grip_at_rest: float,
    cutting_grip: float,
    moment: float,
    marked_speed: float,
    direction: Direction,
    cutting_factor: float = 1.5,
    grip_factor: float = 1.5,
) -> PermissibleSpeed:
    """Return the permissible speed by VDI 3106, by the largest loss of grip, and as marked.

    n = (30/pi) sqrt((F_sp0/S_sp - S_z F_spz)/M_c); n_67 from F_c = 2/3 F_sp0. Inside gripping gains grip with
    speed: the first is then 0 or unlimited, the second unlimited.

    Parameters
    ----------
    grip_at_rest, cutting_grip : float
        F_sp0 and F_spz, totals, N.
    moment : float
        M_c of all jaws, kg mm.
    """
    at_rest = grip_at_rest / grip_factor
    needed = cutting_factor * cutting_grip
    losing = moment if direction == "outside" else 0.0
    by_cutting = speed_at_grip(at_rest, needed, losing)
    by_loss = speed_at_grip(grip_at_rest, (1.0 - LARGEST_LOSS) * grip_at_rest, losing)
    ways: tuple[tuple[float, Governing], ...] = (
        (by_cutting, "VDI 3106"),
        (by_loss, "two thirds of the grip"),
        (marked_speed, "marked speed"),
    )
    least, governing = min(ways, key=lambda way: way[0])
    return PermissibleSpeed(by_cutting, by_loss, marked_speed, least, governing)

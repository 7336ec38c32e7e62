"""Grip at speed, and the speeds that the standards permit.

Masses in kg, radii in mm, speeds in rev/min, forces in N. Symbols of VDI 3106: F_sp0 grip at rest and F_spz
grip needed while cutting, both totals over the jaws; M_c centrifugal moment sum(m r) over all jaws; S_z and
S_sp safety factors. VDI 3106 and EN 1550 / ISO 16156 are used in the form quoted in public chuck manuals;
the standards themselves were not at hand.

Grips, moments, speeds and factors may be floats or arrays of one shape.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Generic, Literal

from sim.base.floats import Number, choose, larger, root, smaller
from sim.base.gripping import Direction

Governing = Literal["VDI 3106", "two thirds of the grip", "marked speed"]

LARGEST_LOSS = 2.0 / 3.0  # share of the grip at rest (EN 1550)
SAFETY = 1.5  # S_z and S_sp where none are stated (VDI 3106, as quoted)


@dataclass(frozen=True, slots=True)
class TurningMass:
    """A body on one jaw: mass (kg) and radius of its centre of mass from the spindle axis (mm)."""

    mass: float
    radius: float


@dataclass(frozen=True, slots=True)
class PermissibleSpeed(Generic[Number]):
    """Permissible speed three ways, rev/min.

    Attributes
    ----------
    by_cutting : float or array
        VDI 3106; 0 when the grip at rest is not enough, infinite when speed takes no grip away.
    by_loss : float or array
        n_67: the centrifugal force takes two thirds of the grip at rest (EN 1550).
    marked : float or array
        Marked on the chuck.
    """

    by_cutting: Number
    by_loss: Number
    marked: Number

    @property
    def least(self) -> Number:
        """Least of the three."""
        return smaller(smaller(self.by_cutting, self.by_loss), self.marked)

    def within(self, *others: Number) -> Number:
        """Return the least of the three and of further limits, as the machine's."""
        least = self.least
        for other in others:
            least = smaller(least, other)
        return least

    @property
    def governing(self: PermissibleSpeed) -> Governing:
        """Which of the three is the least."""
        ways: tuple[tuple[float, Governing], ...] = (
            (self.by_cutting, "VDI 3106"),
            (self.by_loss, "two thirds of the grip"),
            (self.marked, "marked speed"),
        )
        return min(ways, key=lambda way: way[0])[1]


@dataclass(frozen=True, slots=True)
class TurningGrip(Generic[Number]):
    """Total grip at the speeds of an operation, N.

    Attributes
    ----------
    rest, low_speed, high_speed : float or array
        At rest, at the lowest and at the highest speed.
    counted : float or array
        At the highest speed without the gain of inside gripping, which holds nothing.
    largest : float or array
        The most that the jaws press in any state: at rest outside; inside at the highest speed, all of the
        centrifugal force added, whatever share of it counts.
    """

    rest: Number
    low_speed: Number
    high_speed: Number
    counted: Number
    largest: Number

    def guide_moment(self, height: float, jaws: int = 3) -> Number:
        """Return the largest moment (N mm) on a jaw's guideway, gripped at a height (mm) above its middle."""
        return self.largest / jaws * height


def angular_speed(speed: Number) -> Number:
    """Return rad/s for rev/min."""
    return speed * math.pi / 30.0


def centrifugal_moment(masses: Iterable[TurningMass]) -> float:
    """Return sum(m r), kg mm."""
    return math.fsum(body.mass * body.radius for body in masses)


def centrifugal_force(moment: Number, speed: Number) -> Number:
    """Return the centrifugal force (N) of a centrifugal moment (kg mm) at a speed (rev/min)."""
    omega = angular_speed(speed)
    return 1e-3 * moment * (omega * omega)  # kg mm/s2 = mN


def mass_pulls(differences: Sequence[float], radius: Number, speed: Number) -> list[Number]:
    """Return what each jaw pulls outward (N) by the mass that it has beyond the others (kg), at a radius (mm)."""
    return [centrifugal_force(mass * radius, speed) for mass in differences]


def grip_at_speed(
    grip_at_rest: Number, centrifugal: Number, direction: Direction, lam: Number | float = 1.0
) -> Number:
    """Return the grip (N) at speed: F0 - lam Fc outside, F0 + lam Fc inside; never below 0.

    Grip and centrifugal force both per jaw or both total. lam = 1 is the cautious value for outside gripping.
    """
    if direction == "outside":
        return larger(0.0, grip_at_rest - lam * centrifugal)
    return grip_at_rest + lam * centrifugal


def grip_left(
    grip_at_rest: Number, centrifugal: Number, direction: Direction, lam: Number | float = 1.0
) -> Number:
    """Return the grip (N) that counts at speed: as `grip_at_speed`, without the gain of inside gripping."""
    return smaller(grip_at_rest, grip_at_speed(grip_at_rest, centrifugal, direction, lam))


def turning_grip(
    grip_at_rest: Number, slow: Number, fast: Number, direction: Direction, lam: Number | float = 1.0
) -> TurningGrip[Number]:
    """Return the total grip by the centrifugal force of all jaws at the lowest and at the highest speed, N."""
    return TurningGrip(
        rest=grip_at_rest,
        low_speed=grip_at_speed(grip_at_rest, slow, direction, lam),
        high_speed=grip_at_speed(grip_at_rest, fast, direction, lam),
        counted=grip_left(grip_at_rest, fast, direction, lam),
        largest=grip_at_rest if direction == "outside" else grip_at_rest + fast,
    )


def pressed_at_speed(largest: Number, at_speed: Number, direction: Direction) -> Number:
    """Return with what the jaws press at the highest speed, N: inside with all that speed gains, outside what is left.

    `largest` and `at_speed` as in `TurningGrip`.
    """
    return largest if direction == "inside" else at_speed


def speed_at_grip(grip_at_rest: Number, grip: Number, moment: Number, lam: float = 1.0) -> Number:
    """Return the speed (rev/min) at which an outside grip (N) has fallen to `grip`.

    `moment` is the centrifugal moment (kg mm) of as many jaws as the grip counts. 0 if the grip at rest is
    already less; infinite if speed takes nothing away.
    """
    spare, losing = grip_at_rest - grip, lam * moment
    per_moment = 1e3 * larger(0.0, spare) / choose(losing > 0.0, losing, 1.0)
    found = choose(losing > 0.0, 30.0 / math.pi * root(per_moment), math.inf)
    return choose(spare < 0.0, 0.0, found)


def required_grip_at_rest(
    cutting_grip: Number,
    centrifugal: Number,
    direction: Direction,
    cutting_factor: Number | float = SAFETY,
    grip_factor: Number | float = SAFETY,
) -> Number:
    """Return F_sp0 = S_sp (S_z F_spz +/- F_c) of VDI 3106, N; plus outside, and inside no credit for F_c.

    Parameters
    ----------
    cutting_grip : float or array
        F_spz, total grip needed while cutting, N.
    centrifugal : float or array
        F_c of all jaws, N.
    """
    loss = centrifugal if direction == "outside" else 0.0
    return grip_factor * (cutting_factor * cutting_grip + loss)


def permissible_speed(
    grip_at_rest: Number,
    cutting_grip: Number,
    moment: Number,
    marked_speed: Number,
    direction: Direction,
    cutting_factor: Number | float = SAFETY,
    grip_factor: Number | float = SAFETY,
) -> PermissibleSpeed[Number]:
    """Return the permissible speed by VDI 3106, by the largest loss of grip, and as marked.

    n = (30/pi) sqrt((F_sp0/S_sp - S_z F_spz)/M_c); n_67 from F_c = 2/3 F_sp0. Inside gripping gains grip with
    speed: the first is then 0 or unlimited, the second unlimited.

    Parameters
    ----------
    grip_at_rest, cutting_grip : float or array
        F_sp0 and F_spz, totals, N.
    moment : float or array
        M_c of all jaws, kg mm.
    """
    at_rest = grip_at_rest / grip_factor
    needed = cutting_factor * cutting_grip
    losing = moment if direction == "outside" else 0.0 * moment
    by_cutting = speed_at_grip(at_rest, needed, losing)
    by_loss = speed_at_grip(grip_at_rest, (1.0 - LARGEST_LOSS) * grip_at_rest, losing)
    return PermissibleSpeed(by_cutting, by_loss, marked_speed)

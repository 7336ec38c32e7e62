"""How far a gripped part stands off the spindle, and out of square to it: closed forms.

Derived for this project, no publication. A part without friction between three jaws of radial stiffness K_r and
tangential stiffness K_t, each with its contact, all faces closed: radial errors d_i and tangential errors q_i of the
jaws shift it by

    e = (2/3) [rho sum d_i u_i + (1 - rho) sum q_i t_i],    rho = K_r / (K_r + K_t),

u_i the outward direction of jaw i, t_i that 90 deg on. What all jaws have alike shifts nothing. A lobe
a cos n(theta - phase) of the gripped surface is, for each jaw, a radial and a tangential error by the weights w with
which the face carries:

    C_n = int w cos(n x) cos x / int w cos^2 x,    S_n = int w sin(n x) sin x / int w sin^2 x,
    n = 3k:      e = 0,
    n = 3k - 1:  e = -a [rho C_n - (1 - rho) S_n] exp(-i n phase),
    n = 3k + 1:  e = -a [rho C_n + (1 - rho) S_n] exp(+i n phase);  |e| does not depend on the phase.

rho is near 1 where guideways have play (K_t is small), about 0.5 for full faces on stiff jaws. |e| is convex in rho, so
what is worst lies at an end. Total indicator run-out is 2 |e| (exact for a circle; what a spindle error motion and a
circular run-out are: ISO 230-7, ISO 1101). A two-point micrometer sees no odd lobes (ISO 4292, withdrawn). How machined
top jaws and the pitch of serrations are tested and toleranced: ISO 3442-3:2007, 6.5 and 5 (its values not seen).

Seats at heights z_i on a radius r tilt a part that stands on them by g = (2/(3 r)) sum z_i u_i; walls that slope by
s_i tilt one that they hold by (2/3) rho sum s_i u_i. Lengths in mm, angles in rad; floats or arrays of one shape where
a signature says Number.
"""

from __future__ import annotations

import cmath
import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Generic

import numpy as np

from sim.base.arrays import Floats
from sim.base.floats import Number, root

ORDERS = (2, 4, 5, 7)  # lobes that shift a part in three jaws; which it has is not known from an amount alone
JAWS = (0.0, 2.0 * math.pi / 3.0, 4.0 * math.pi / 3.0)
ALIKE_WORST = 4.0 / 3.0  # of errors up to +-d of each jaw, rho apart: one sign on one jaw, the other on two
ALIKE_ROOT = 2.0 / math.sqrt(3.0)  # the root of the mean square of three that know nothing of each other
ONE_JAW = 2.0 / 3.0
BETWEEN = math.sqrt(
    3.0
)  # 2 cos 30 deg: the worst radial and the worst tangential sums point at least 30 deg apart


@dataclass(frozen=True, slots=True)
class Scatter(Generic[Number]):
    """What errors of the jaws do whose sizes are known and whose signs are not: the worst, and the root of squares."""

    worst: Number
    root: Number


def lobe_weights(order: int, angles: Floats, weights: Floats) -> tuple[float, float]:
    """Return C_n and S_n of one face.

    Parameters
    ----------
    order : int
        n.
    angles : (k,) array
        Off the jaw's middle, rad, on both sides of it.
    weights : (k,) array
        How stiffly each place carries, 0 where it gapes; even about the middle.

    Returns
    -------
    (float, float)
        S_n is n for a face that carries at its middle alone, its limit.
    """
    x, w = np.asarray(angles), np.asarray(weights)
    across = float(np.sum(w * np.sin(x) ** 2))
    c = float(np.sum(w * np.cos(order * x) * np.cos(x)) / np.sum(w * np.cos(x) ** 2))
    s = float(np.sum(w * np.sin(order * x) * np.sin(x)) / across) if across > 0.0 else float(order)
    return c, s


def full_weights(order: int, half_angle: float) -> tuple[float, float]:
    """Return C_n and S_n of a face that carries evenly over +- its half angle (rad)."""
    a, b = (math.sin(k * half_angle) / k for k in (order - 1, order + 1))
    sines = 0.5 * math.sin(2.0 * half_angle)
    return (a + b) / (half_angle + sines), (a - b) / (half_angle - sines)


def edge_weights(order: int, half_angle: float) -> tuple[float, float]:
    """Return C_n and S_n of a face that carries at its edges alone, at +- its half angle (rad)."""
    return (
        math.cos(order * half_angle) / math.cos(half_angle),
        math.sin(order * half_angle) / math.sin(half_angle),
    )


def middle_weights(order: int) -> tuple[float, float]:
    """Return C_n and S_n of a face that carries at its middle alone."""
    return 1.0, float(order)


def lobe_shift(order: int, rho: float, c: float, s: float) -> float:
    """Return |e| over the amplitude of a lobe (half its peak to valley)."""
    return abs(_lobe(order, rho, c, s))


def lobe_vector(order: int, phase: float, rho: float, c: float, s: float) -> tuple[float, float]:
    """Return x and y of e over the amplitude of a lobe whose top stands at a phase (rad) from jaw 1."""
    turn = -1.0 if order % 3 == 2 else 1.0
    e = -_lobe(order, rho, c, s) * cmath.exp(1j * turn * order * phase)
    return e.real, e.imag


def _lobe(order: int, rho: float, c: float, s: float) -> float:
    if order % 3 == 0:
        return 0.0
    sign = 1.0 if order % 3 == 1 else -1.0
    return rho * c + sign * (1.0 - rho) * s


def jaws_vector(
    errors: Sequence[float], rho: float, across: Sequence[float] = (0.0, 0.0, 0.0)
) -> tuple[float, float]:
    """Return x and y of e, mm, by radial and tangential errors of the jaws (mm, outward, counter-clockwise)."""
    along_x = sum(d * math.cos(turn) for d, turn in zip(errors, JAWS, strict=True))
    along_y = sum(d * math.sin(turn) for d, turn in zip(errors, JAWS, strict=True))
    across_x = -sum(q * math.sin(turn) for q, turn in zip(across, JAWS, strict=True))
    across_y = sum(q * math.cos(turn) for q, turn in zip(across, JAWS, strict=True))
    free = 1.0 - rho
    return ONE_JAW * (rho * along_x + free * across_x), ONE_JAW * (rho * along_y + free * across_y)


def jaw_shift(errors: Sequence[float], rho: float) -> float:
    """Return |e| (mm) of radial errors of the three jaws (mm)."""
    return math.hypot(*jaws_vector(errors, rho))


def rho_of(shift: Number, offset: float) -> Number:
    """Return rho from how far one jaw's offset shifts the part (both mm): the part follows by (2/3) rho of it."""
    return shift / (ONE_JAW * offset)


def of_each_jaw(along: Number, rho: Number | float, across: Number | float = 0.0) -> Scatter[Number]:
    """Return the shift by errors of up to +-`along` (radial) and +-`across` (tangential) of each jaw, mm.

    The worst sums of both kinds point 30 deg apart at the nearest, so they do not quite add up.
    """
    a, b = rho * along, (1.0 - rho) * across
    squares = a * a + b * b
    return Scatter(ALIKE_WORST * root(squares + BETWEEN * a * b), ALIKE_ROOT * root(squares))


def of_one_jaw(error: Number, rho: Number | float) -> Number:
    """Return the shift (mm) by a radial error (mm) of a single jaw, as by a chip behind the part."""
    return ONE_JAW * rho * error


def seats_vector(heights: Sequence[float], radius: float) -> tuple[float, float]:
    """Return x and y of the tilt g (rad) of a part that stands on three seats of these heights (mm) at a radius (mm).

    The face rises along g; the axis leans by it: e(z) = e - g (z - z_g).
    """
    x = sum(z * math.cos(turn) for z, turn in zip(heights, JAWS, strict=True))
    y = sum(z * math.sin(turn) for z, turn in zip(heights, JAWS, strict=True))
    return 2.0 * x / (3.0 * radius), 2.0 * y / (3.0 * radius)


def by_seats(height: Number, radius: Number | float) -> Scatter[Number]:
    """Return the tilt (rad) by seats that stand up to +-`height` (mm) off each other at a radius (mm)."""
    return Scatter(ALIKE_WORST * height / radius, ALIKE_ROOT * height / radius)


def by_walls(slope: Number, rho: Number | float) -> Scatter[Number]:
    """Return the tilt (rad) by walls that slope up to +-`slope` (rad) off each other, of a part that they hold."""
    return Scatter(ALIKE_WORST * rho * slope, ALIKE_ROOT * rho * slope)


def chip_tilt(thickness: float, radius: float, half_angle: float = 0.0) -> float:
    """Return the tilt (rad) by a chip (mm thick) under a part, on the middle of one of three ledges.

    Parameters
    ----------
    half_angle : float
        Of the arc of a ledge, rad: 0 for three points, which tilt most; 60 deg for a full ring.
    """
    return thickness / (radius * (1.0 + math.cos(JAWS[1] / 2.0 - half_angle)))


def friction_moment(friction: float, force: float, radius: float) -> float:
    """Return the least moment (N mm) about any cross axis that friction along the spindle resists at three jaws.

    Parameters
    ----------
    force : float
        Of each jaw, N.
    radius : float
        Of the gripped surface, mm.
    """
    return 1.5 * friction * force * radius

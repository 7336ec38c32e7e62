"""How far a gripped part stands off the spindle by its lobes, and by jaws that stand off or pull: closed forms.

Derived for this project, no publication. A part without friction between three jaws of radial stiffness K_r and
tangential stiffness K_t, each with its contact, all faces closed: radial errors d_i of the jaws shift it by

    e = (2/3) rho sum d_i u_i,    rho = K_r / (K_r + K_t),

u_i the outward direction of jaw i. A lobe a cos n(theta - phase) of the gripped surface is, for each jaw, a radial and
a tangential error by the weights w with which the face carries:

    C_n = int w cos(n x) cos x / int w cos^2 x,    S_n = int w sin(n x) sin x / int w sin^2 x,
    n = 3k: e = 0,    n = 3k - 1: |e| = a |rho C_n - (1 - rho) S_n|,    n = 3k + 1: |e| = a |rho C_n + (1 - rho) S_n|,

at any phase. rho is near 1 where guideways have play (K_t is small), about 0.5 for full faces on stiff jaws. |e| is
convex in rho, so what is worst lies at an end. Total indicator run-out is 2 |e|. Lengths in mm, angles in rad.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np

from sim.base.arrays import Floats

ORDERS = (2, 4, 5, 7)  # lobes that shift a part in three jaws; which it has is not known from an amount alone
JAWS = (0.0, 2.0 * math.pi / 3.0, 4.0 * math.pi / 3.0)


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


def lobe_shift(order: int, rho: float, c: float, s: float) -> float:
    """Return |e| over the amplitude of a lobe (half its peak to valley)."""
    if order % 3 == 0:
        return 0.0
    sign = 1.0 if order % 3 == 1 else -1.0
    return abs(rho * c + sign * (1.0 - rho) * s)


def jaw_shift(errors: Sequence[float], rho: float) -> float:
    """Return |e| (mm) of radial errors of the three jaws (mm)."""
    x = sum(d * math.cos(turn) for d, turn in zip(errors, JAWS, strict=True))
    y = sum(d * math.sin(turn) for d, turn in zip(errors, JAWS, strict=True))
    return 2.0 / 3.0 * rho * math.hypot(x, y)

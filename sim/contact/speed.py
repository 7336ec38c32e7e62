"""Grip of a turning chuck from the stiffnesses of drive, jaws and part."""

from __future__ import annotations

import numpy as np

from sim.base.arrays import Floats
from sim.contact.prepared import Prepared
from sim.contact.setup import ContactSetup
from sim.contact.solve import ContactResult, spun


def grip_at_speed(setup: ContactSetup, rest: ContactResult, outward_n: Floats, prepared: Prepared) -> Floats:
    """Grip of each jaw at several speeds with the piston held where it stood at rest, N, (k, 3).

    Parameters
    ----------
    setup, rest, prepared : ContactSetup, ContactResult, Prepared
        The clamped part at rest; the guide's radial stiffness decides what is lost.
    outward_n : (k, 3) array
        Force of each jaw away from the spindle (centrifugal, with T-nuts and screws) at each speed.

    Raises
    ------
    ContactNotConverged
        When a jaw leaves the part so that nothing holds it.
    """
    grips, last = np.zeros((len(outward_n), 3)), rest
    for row, outward in enumerate(outward_n):
        last = spun(setup, last, (float(outward[0]), float(outward[1]), float(outward[2])), prepared)
        grips[row] = last.grip_n
    return grips


def solved_loss_share(
    setup: ContactSetup, rest: ContactResult, outward_n: float, prepared: Prepared
) -> float:
    """Share lam of a jaw's outward force that the grip loses outside, or gains inside.

    lam = k_bodies/(k_bodies + k_drive), two springs in parallel under one load: 0 with a rigid drive,
    towards 1 with a soft one. It is a figure for comparison; the permissible speed is judged with lam = 1.

    Parameters
    ----------
    setup, rest, prepared : ContactSetup, ContactResult, Prepared
        The clamped part at rest.
    outward_n : float
        Force of each jaw, above 0.
    """
    if not outward_n > 0.0:
        raise ValueError(f"outward_n must be above 0, not {outward_n}")
    turning = grip_at_speed(setup, rest, np.full((1, 3), outward_n), prepared)
    return float(rest.grid.sign * np.mean(rest.grip_n - turning[0])) / outward_n

"""A thin ring held by sector jaws that reach nearly around it: Lame's ring under pressure from outside.

Timoshenko and Goodier, Theory of Elasticity, thick-walled cylinder (test_derived_again.py has it from its two
constants): under the pressure p from outside its outside moves inward by
p R / E ((R^2 + r^2) / (R^2 - r^2) - nu), its bore by 2 p R^2 r / (E (R^2 - r^2)). Jaws bored to the size that the ring
has under that pressure, and far stiffer than it, press it evenly over all that they cover; without friction a sector of
half angle a then takes 2 p R h sin(a) along its travel.
"""

from __future__ import annotations

import math
from itertools import pairwise

import numpy as np
import pytest

from sim.contact import (
    ContactSetup,
    GripGeometry,
    GripLoad,
    JawBlock,
    TurnedPart,
    clamped_shape,
    prepare,
    press,
)

OUTER, INNER, LOW, HIGH = 60.0, 54.0, 0.0, 12.0
E, NU, PRESSURE = 70e3, 0.33, 2.0
RIGID = (7e9, 0.3)
OWN = PRESSURE * OUTER / E * ((OUTER**2 + INNER**2) / (OUTER**2 - INNER**2) - NU)
BORE_IN = 2.0 * PRESSURE * OUTER**2 * INNER / (E * (OUTER**2 - INNER**2))


def clamped(degrees: float):
    """Return pressures (strips,) of a jaw and how far the bore moves inward, its mean and peak to peak, mm."""
    half = 0.5 * math.radians(degrees)
    ring = TurnedPart(np.array([(INNER, LOW), (OUTER, LOW), (OUTER, HIGH), (INNER, HIGH)]), E, NU)
    grip = GripGeometry(OUTER - OWN, OUTER, 2.0 * OUTER * math.sin(half), LOW, HIGH)
    closing = 3.0 * PRESSURE * 2.0 * OUTER * (HIGH - LOW) * math.sin(half)
    setup = ContactSetup(
        grip,
        ring,
        JawBlock(120.0, 40.0, *RIGID),
        GripLoad(closing),
        hold_square=True,
        strips=48,
        bands=2,
        model="elastic",
    )
    bodies = prepare(setup, np.array([[INNER, 0.5 * (LOW + HIGH)]]))
    found = press(setup, None, bodies)
    moved = -clamped_shape(found, bodies).moved_mm[0, 0]
    return found.pressure_mpa[0].mean(axis=0), float(moved.mean()), float(np.ptp(moved))


def test_sectors_of_119_deg_press_as_lame_has_it() -> None:
    pressures, mean, lobes = clamped(119.0)
    # Evenly but for the edges, beside gaps of 1 deg.
    assert pressures[4:-4] == pytest.approx(PRESSURE, rel=0.02)
    assert mean == pytest.approx(BORE_IN * 119.0 / 120.0, rel=0.005)
    assert lobes < 0.01 * mean


def test_lobes_go_to_nought_as_the_arcs_close() -> None:
    """The wider the sectors, the rounder the ring stays under one pressure; blocks of 45 deg squeeze it most."""
    lobes = [clamped(degrees)[2] for degrees in (45.0, 90.0, 110.0, 119.0)]
    assert all(wider < 0.2 * narrower for narrower, wider in pairwise(lobes))
    assert lobes[-1] < 1e-3 * lobes[0]

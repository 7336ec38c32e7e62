"""Contact of a long cylinder in a larger hole, equal materials, any size of contact.

A. Persson, On the stress distribution of cylindrical elastic bodies in contact, Chalmers, 1964; closed form as given
by M. Ciavarella and P. Decuzzi, The state of stress induced by the plane frictionless cylindrical contact,
Int. J. Solids Struct. 38 (2001) 4507. The formulas are from memory, not verified against the print; what stands
against a slip of memory is that the pressure adds up to the load for every half-angle (checked below) and that the
finite-element solver, which knows nothing of them, agrees.
"""

import math

import numpy as np
import pytest
from scipy.integrate import quad

from sim.contact.plane_case import pin_in_hole

RADIUS, LOAD, E, NU = 50.0, 1000.0, 210e3, 0.3


def difference(half_angle):
    """x = E1 dR / Q with E1 = E/(1 - nu^2)."""
    b2 = math.tan(0.5 * half_angle) ** 2
    return (2.0 - math.log1p(b2) - 2.0 * b2**2) / (math.pi * b2 * (1.0 + b2))


def pressure(phi, half_angle):
    """Return p R / Q."""
    b2, y2 = math.tan(0.5 * half_angle) ** 2, math.tan(0.5 * phi) ** 2
    if y2 >= b2:
        return 0.0
    s, q = math.sqrt(b2 - y2), math.sqrt(1.0 + b2)
    return 2.0 * s / (math.pi * q * (1.0 + y2)) + math.log((q + s) / (q - s)) / (2.0 * math.pi * b2 * q**2)


@pytest.mark.parametrize("degrees", [1.0, 9.0, 27.0, 60.0, 85.0])
def test_the_reference_carries_its_load(degrees):
    half = math.radians(degrees)
    carried = 2.0 * quad(lambda phi: pressure(phi, half) * math.cos(phi), 0.0, half, epsabs=1e-12)[0]
    assert carried == pytest.approx(1.0, abs=1e-9)


@pytest.mark.parametrize("degrees", [9.0, 20.0, 40.0, 60.0])
def test_cylinder_in_a_hole(degrees):
    """Required: 1 % from 9 to 60 deg. Measured: 0.6 % on the half-angle, 0.03 % on the pressure in the middle."""
    half = math.radians(degrees)
    gap = difference(half) * LOAD * (1.0 - NU**2) / E
    found = pin_in_hole(LOAD, gap, 1.25 * half, RADIUS, strips=60, material=(E, NU))
    assert found.half_angle_rad == pytest.approx(half, rel=0.01)
    assert found.line_force_n_mm == pytest.approx(LOAD, rel=1e-9)
    width = found.angles_rad[1] - found.angles_rad[0]
    strip = [
        quad(pressure, a - 0.5 * width, a + 0.5 * width, args=(half,), epsabs=1e-6, limit=200)[0] / width
        for a in found.angles_rad
    ]
    expected = np.array(strip) * LOAD / RADIUS
    assert found.centre_mpa == pytest.approx(expected.max(), rel=0.002)
    error = np.abs(found.pressure_mpa - expected) / expected.max()
    inner = np.abs(found.angles_rad) < half - 2.0 * width
    assert error[inner].max() < 0.003
    # The strips next to the end, where the pressure falls like a root, depend on where the end cuts a strip.
    assert error.max() < 0.0125

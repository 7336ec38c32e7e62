"""Contact of a long cylinder in a larger hole, equal materials, any size of contact (Persson, see closed_forms.py).

The print was not at hand; what stands against a slip is that the
pressure adds up to the load for every half-angle (checked below) and that the finite-element solver, which knows
nothing of them, agrees.
"""

import math

import accuracy
import closed_forms
import numpy as np
import pytest
from scipy.integrate import quad


@pytest.mark.parametrize("degrees", [1.0, 9.0, 27.0, 60.0, 85.0])
def test_the_reference_carries_its_load(degrees):
    half = math.radians(degrees)

    def upward(phi):
        return closed_forms.conformal_pressure(phi, half) * math.cos(phi)

    assert 2.0 * quad(upward, 0.0, half, epsabs=1e-12)[0] == pytest.approx(1.0, abs=1e-9)


@pytest.mark.parametrize("degrees", [9.0, 20.0, 40.0, 60.0])
def test_cylinder_in_a_hole(degrees):
    """Required: 1 % from 9 to 60 deg. Measured: 0.6 % on the half-angle, 0.03 % on the pressure in the middle."""
    half = math.radians(degrees)
    found = accuracy.conformal(degrees)
    assert found.half_angle_rad == pytest.approx(half, rel=0.01)
    assert found.line_force_n_mm == pytest.approx(accuracy.PERSSON_LOAD, rel=1e-9)
    width = found.angles_rad[1] - found.angles_rad[0]
    strip = [closed_forms.conformal_strip(a, width, half) for a in found.angles_rad]
    expected = np.array(strip) * accuracy.PERSSON_LOAD / accuracy.RADIUS
    assert found.centre_mpa == pytest.approx(expected.max(), rel=0.002)
    error = np.abs(found.pressure_mpa - expected) / expected.max()
    inner = np.abs(found.angles_rad) < half - 2.0 * width
    assert error[inner].max() < 0.003
    # The strips next to the end, where the pressure falls like a root, depend on where the end cuts a strip.
    assert error.max() < 0.0125
